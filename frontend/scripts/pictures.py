"""Takes the pictures of the app in docs/pictures from the running app: ``python frontend/scripts/pictures.py [NAME]``.

It needs Playwright and a Chromium, as the tests of the app do.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from playwright.sync_api import Page, sync_playwright

from nightfold.blind.plan import make_plan
from nightfold.cube.net import write_net

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"
SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
FLAGS = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")


@dataclass(frozen=True)
class Picture:
    """One picture: the screen and its address, the window, and what is done before it is taken."""

    screen: str
    params: dict[str, str]
    size: tuple[int, int] = (1280, 800)
    scale: float = 1.25
    theme: str = "dark"
    whole: bool = False
    do: Callable[[Page], object] = lambda page: None


def slipped() -> str:
    """The net of a cube that came out after two turns were left out."""
    plan = make_plan(SCRAMBLE)
    turns = list(plan.solution)
    del turns[30], turns[150]
    return "".join(write_net(plan.cube.apply(turns)).split())


def paint(page: Page) -> None:
    """Paint a flipped edge."""
    for place, colour in ((7, "green"), (19, "white")):
        page.get_by_role("radio", name=colour).check(force=True)
        page.locator(f'section.net [data-place="{place}"]').click()
    page.get_by_role("group", name="Repairs").wait_for()


def step(page: Page) -> None:
    """Go on to the middle of a swap."""
    for _ in range(9):
        page.keyboard.press("ArrowRight")


def scroll(page: Page) -> None:
    """Bring the cube and the net into view."""
    page.locator("section.letters").evaluate("at => scrollTo(0, at.offsetTop)")


def attempt(page: Page) -> None:
    """Time an attempt, call it a DNF, and hold the inquest."""
    page.locator(".surface").focus()
    page.keyboard.down(" ")
    page.get_by_text("Let go to start").first.wait_for()
    page.keyboard.up(" ")
    for key in (" ", "k", "d"):
        page.wait_for_timeout(1000)
        page.keyboard.press(key)
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill(str(PLAN.solution[-1].inverse))
    page.get_by_role("button", name="Hold the inquest").click()
    page.locator(".found").wait_for()


def load_demo(page: Page) -> None:
    """Load the demo and look at what became better."""
    page.get_by_role("button", name="Load the demo").click()
    page.get_by_role("note").wait_for(timeout=120_000)
    page.locator(".plot canvas").first.wait_for()


def drill(page: Page) -> None:
    """Begin an exercise."""
    page.locator("button.exercise", has_text="Setup for a letter").click()
    page.locator(".question form input").wait_for()


def see_words(page: Page) -> None:
    """Wait for the candidates of a pair and for the grid."""
    page.get_by_role("grid").wait_for()


def see_pages(page: Page) -> None:
    """Wait until the pages of a handout are drawn."""
    page.locator("ol img").first.wait_for()
    page.wait_for_function("[...document.querySelectorAll('ol img')].every(one => one.complete)")


PLAN = make_plan(SCRAMBLE)
EDGES, CORNERS = ("".join(reading.letters) for reading in PLAN.orbits)
DESK = {"scramble": SCRAMBLE}
WRONG = {"edges": EDGES[:10] + EDGES[11] + EDGES[10] + EDGES[12:], "corners": CORNERS, "marked": "1"}
FOUND = {"want": "UF UR DB", "turns": "R U M", "extra": "2", "searched": "1"}

ALL = {
    "start": Picture("desk", {}, size=(1280, 640)),
    "desk-dark": Picture("desk", DESK, do=lambda page: page.locator(".letter").nth(6).hover()),
    "desk-light": Picture("desk", DESK, theme="light", do=step),
    "desk-narrow": Picture("desk", DESK, size=(390, 844), scale=1.5, do=scroll),
    "desk-painting": Picture("desk", {"paint": "W" * 9 + "OOOGGGRRRBBB" * 3 + "Y" * 9}, do=paint),
    "marking": Picture("marking", DESK | WRONG, scale=1, whole=True),
    "inquest": Picture("inquest", DESK | {"final": slipped(), "asked": "1"}, scale=1, whole=True),
    "attempt": Picture("attempt", DESK, size=(1280, 900), scale=1, theme="light", do=attempt),
    "logbook": Picture("logbook", {}, size=(1280, 1000), scale=1, do=load_demo),
    "drills": Picture("drills", {"level": "2"}, size=(1280, 900), scale=1, do=drill),
    "words": Picture("words", {"pair": "LS"}, size=(1280, 900), scale=1, do=see_words),
    "handouts": Picture("handouts", {"kind": "setups"}, size=(1280, 900), scale=1, do=see_pages),
    "finding": Picture("finding", FOUND, size=(1366, 860), scale=1),
    "methods": Picture("methods", {}, size=(1366, 1000), scale=1),
    "help": Picture("help", {"part": "questions", "q": "letters"}, size=(1280, 900), scale=1, theme="light"),
}


@contextmanager
def served() -> Iterator[str]:
    """The app on a free port, with an empty folder of its own."""
    program = Path(sysconfig.get_path("scripts")) / "nightfold"
    with tempfile.TemporaryDirectory() as home:
        environment = os.environ | {"NIGHTFOLD_HOME": home}
        process = subprocess.Popen([program, "app", "--no-browser"], stdout=subprocess.PIPE, text=True, env=environment)
        try:
            assert process.stdout is not None
            found = re.search(r"http://\S+", process.stdout.readline())
            assert found, "the app does not start"
            yield found[0]
        finally:
            process.terminate()
            process.wait()


def main(names: list[str]) -> None:
    """Take the pictures of these names, or all."""
    programs = ("chromium-headless-shell", "chromium", "chromium-browser")
    path = next((found for name in programs if (found := shutil.which(name))), None)
    with served() as origin, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        for name in names or ALL:
            wanted = ALL[name]
            context = browser.new_context(
                viewport={"width": wanted.size[0], "height": wanted.size[1]},
                device_scale_factor=wanted.scale,
                color_scheme="light" if wanted.theme == "light" else "dark",
                reduced_motion="reduce",
            )
            page = context.new_page()
            page.goto(f"{origin}/#/{wanted.screen}?{urlencode(wanted.params)}")
            page.wait_for_load_state("networkidle")
            if understood := page.get_by_role("button", name="Understood").all():
                understood[0].click()
            wanted.do(page)
            page.wait_for_load_state("networkidle")
            page.wait_for_timeout(1500)  # until the cube is drawn
            page.screenshot(path=PICTURES / f"{name}.png", full_page=wanted.whole)
            context.close()
            print(name)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1:])
