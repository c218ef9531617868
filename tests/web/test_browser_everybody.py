"""Every screen in every state is for everybody: by night and by day, wide and narrow, with text twice as large.

axe-core finds nothing serious, nothing is wider than the window, everything to be pressed is large enough and nothing
lies over it, the console stays empty and no request leaves the machine (the last two in every test of the browser).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Page, expect

from nightfold.blind.plan import make_plan
from nightfold.cube.notation import write
from tests.web.browser import AWAY, NARROW, REFUSED, WIDE, Window
from tests.web.desk import SCRAMBLE, SOLVED, letters_of

PLAN = make_plan(SCRAMBLE)
EDGES, CORNERS = letters_of(PLAN)


@dataclass(frozen=True)
class State:
    """A screen in one state: its address, what is done there, and what shows that it is there."""

    screen: str
    ready: str
    asked: dict[str, str] = field(default_factory=dict)
    do: Callable[[Page], object] = lambda page: None
    expected: tuple[str, ...] = ()


def deal(page: Page) -> None:
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()


def end(page: Page) -> None:
    page.get_by_role("slider").press("End")


def unfold(page: Page) -> None:
    expect(page.get_by_role("heading", level=2).first).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")


def lose_server(page: Page) -> None:
    page.route("**/api/**", lambda route: route.abort())
    page.get_by_label("Scramble").fill("F2 U")


def spoil(page: Page) -> None:
    box = page.get_by_label("The method’s file")
    box.fill(box.input_value().replace('buffer = "', 'buffer = "X'))


def double(page: Page) -> None:
    page.get_by_label("UF, edges, white").fill("B")


def press(page: Page, *keys: str) -> None:
    """Start the clock and press these keys, a hand's breadth apart; Escape is held, as giving up takes."""
    expect(page.locator(".surface .words")).to_have_text("Hold, then let go to start")
    page.locator(".surface").focus()
    page.keyboard.down(" ")
    expect(page.locator(".surface .words")).to_have_text("Let go to start")
    page.keyboard.up(" ")
    for key in keys:
        page.wait_for_timeout(900)
        page.keyboard.press(key, delay=700 if key == "Escape" else 0)


def cut_off(page: Page) -> None:
    press(page)
    page.wait_for_timeout(900)
    page.reload()


def keep_and_count(page: Page) -> None:
    press(page, "Escape")
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill("R")
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.locator(".found")).to_be_visible()
    page.get_by_role("link", name="See it in the logbook").click()


def look_at_progress(page: Page) -> None:
    keep_and_count(page)
    page.get_by_role("button", name="Progress").click()
    expect(page.locator(".sums")).to_be_visible()
    unfold(page)


def drill(page: Page) -> None:
    page.locator("button.exercise", has_text="Setup for a letter").click()


STATES = {
    "start": State("", ".panels"),
    "start, refused": State("desk", "#entry-trouble .bad", {"scramble": "R U Q"}, expected=(REFUSED,)),
    "start, wishes": State("desk", ".features", do=deal),
    "desk, read": State("desk", ".star", {"scramble": SCRAMBLE}),
    "desk, a break": State(
        "desk", ".why .option", {"scramble": SCRAMBLE}, lambda page: page.locator(".star.chosen").first.click()
    ),
    "desk, underway": State("desk", ".steps", {"scramble": SCRAMBLE, "at": "30"}),
    "desk, painting": State("desk", ".verdict .bad", {"paint": f"{SOLVED[:7]}G{SOLVED[8:]}"}),
    "desk, covered": State("desk", ".covered form", {"scramble": SCRAMBLE, "eyes": "covered"}),
    "desk, no server": State("desk", ".banner", {"scramble": SCRAMBLE}, lose_server, (AWAY,)),
    "marking, empty": State("marking", ".start"),
    "marking, no letter": State("marking", ".unknown", {"scramble": SCRAMBLE, "edges": "I7"}),
    "marking, wrong": State(
        "marking",
        ".result ol > li",
        {"scramble": SCRAMBLE, "edges": EDGES[:-1], "corners": CORNERS[1:], "parity": "yes", "marked": "1"},
    ),
    "marking, right": State(
        "marking", ".star", {"scramble": SCRAMBLE, "edges": EDGES, "corners": CORNERS, "marked": "1"}
    ),
    "inquest, empty": State("inquest", ".start"),
    "inquest, no letter": State("inquest", ".unknown", {"scramble": SCRAMBLE, "edges": "7"}),
    "inquest, turns made": State(
        "inquest",
        "form .trouble[role=alert]:not(:empty)",
        {"scramble": SCRAMBLE, "came": "performed"},
        lambda page: page.get_by_role("button", name="Hold the inquest").click(),
    ),
    "inquest, explained": State(
        "inquest",
        ".step.slip",
        {"scramble": SCRAMBLE, "left": write(PLAN.solution[-1:]), "asked": "1"},
        end,
    ),
    "finding, empty": State("finding", ".wish"),
    "finding, refused": State(
        "finding",
        "[role=alert]",
        {"want": "UF UR"},
        lambda page: page.get_by_role("button", name="Find", exact=True).click(),
        (REFUSED,),
    ),
    "finding, searching": State(
        "finding", "button:text-is('Stop')", {"how": "parity", "longest": "20", "extra": "6", "searched": "1"}
    ),
    "finding, found": State(
        "finding", "tbody tr", {"want": "UF UR DB", "turns": "R U D M", "searched": "1", "try": "R U"}
    ),
    "methods": State("methods", ".verdicts, table, details", {"show": "two-swap"}, unfold),
    "methods, changed": State("methods", "#method-verdict .good", {"show": "j-and-y", "edit": "1"}),
    "methods, refused": State("methods", "#method-verdict .bad", {"show": "two-swap", "edit": "1"}, spoil),
    "lettering": State("methods", "input[aria-label]", {"part": "lettering", "show": "greek"}, unfold),
    "lettering, doubled": State("methods", ".verdict .bad", {"part": "lettering", "show": "clockwise"}, double),
    "help, screens": State("help", "#help-keys"),
    "help, questions": State(
        "help", ".example", {"part": "questions", "q": "free,letter,unsaid,buffer,parity,turned,letters"}
    ),
    "help, refused": State(
        "help", "[role=alert]", {"part": "questions", "method": "nobodys", "q": "free"}, expected=(REFUSED,)
    ),
    "attempt, empty": State("attempt", ".surface", do=lambda page: page.get_by_text("Sound, light").click()),
    "attempt, refused": State("attempt", "[role=alert]:not(:empty)", {"scramble": "R Q"}, expected=(REFUSED,)),
    "attempt, memorising": State("attempt", ".clock.runs", {"scramble": SCRAMBLE}, press),
    "attempt, eyes covered": State("attempt", ".clock.runs", {"scramble": SCRAMBLE}, lambda page: press(page, " ")),
    "attempt, over": State("attempt", ".result", {"scramble": SCRAMBLE}, lambda page: press(page, " ", "k", "s")),
    "attempt, DNF": State("attempt", "#inquest-head", {"scramble": SCRAMBLE}, lambda page: press(page, "Escape")),
    "attempt, cut off": State("attempt", "text=was cut off", {"scramble": SCRAMBLE}, cut_off),
    "logbook, empty": State("logbook", ".empty"),
    "logbook, an attempt": State("attempt", ".details dl", {"scramble": SCRAMBLE}, keep_and_count),
    "logbook, progress": State("attempt", ".plot canvas", {"scramble": SCRAMBLE}, look_at_progress),
    "drills, today": State("drills", "button:has-text('Start all')", {"level": "1"}),
    "drills, a setup": State("drills", ".question form input", {"level": "1"}, drill),
    "words, a pair": State("words", "[role=grid]", {"pair": "LS"}),
    "words, own": State("words", "#words-own", {"part": "own"}),
    "words, a memo": State("words", ".phrase", {"part": "memo", "scramble": SCRAMBLE}),
    "handouts": State("handouts", "ol img"),
    "handouts, exercises": State("handouts", "ol img", {"kind": "exercises"}, unfold),
    "handouts, refused": State("handouts", "[role=alert]", {"method": "nobodys"}, expected=(REFUSED,)),
    "no screen": State("lighthouse", ".notice"),
}


@pytest.mark.parametrize("name", STATES)
def test_it_is_for_everybody(another: Callable[..., AbstractContextManager[Window]], name: str) -> None:
    state = STATES[name]
    with another(expected=state.expected) as window:
        page = window.go(state.screen, **state.asked)
        state.do(page)
        expect(page.locator(state.ready).first).to_be_visible()
        for width in (WIDE, NARROW):
            window.resize(width)
            expect(page.locator(state.ready).first).to_be_visible()
            window.show_by("night")
            assert window.faults() == [], width
            # By day nothing but the colours is other than by night.
            window.show_by("day")
            assert window.faults("color-contrast") == [], width
            assert window.too_small() == [], width
            for size in (100, 200):
                window.text_size(size)
                assert window.overflowing() == [], (width, size)
                assert window.hidden_behind() == [], (width, size)
            window.text_size(100)


def test_every_screen_is_here(window: Window) -> None:
    page = window.go()
    links = page.get_by_role("navigation").get_by_role("link").all()
    screens = {re.sub(r"^#/|\?.*$", "", str(link.get_attribute("href"))) for link in links}
    assert screens - {"desk"} <= {state.screen for state in STATES.values()}
