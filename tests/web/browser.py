"""A real browser for the tests of the app: one Chromium for all of them, a fresh window for each.

Where no browser (or no built app) is found the tests are skipped, unless CI is set: then they fail.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Playwright

FRONTEND = Path(__file__).parents[2] / "frontend"
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
#: What Chromium itself says of an answer that is not 200; the app shows the sentence that came with it.
REFUSED = "the server responded with a status of 422"
WIDE, NARROW = (1280, 800), (390, 844)
Light = Literal["dark", "light"]


def missing(what: str) -> NoReturn:
    """Skip for want of something, or fail where nothing may be wanting."""
    if os.environ.get("CI", "").lower() in ("1", "true"):
        pytest.fail(f"{what}; with CI set this is an error")
    pytest.skip(what)


def chromium() -> str:
    """Where the system's Chromium is; skips or fails without one."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    missing("no Chromium on the PATH; make browser brings it")


_DRIVER = pytest.StashKey["Playwright"]()


def playwright_of(config: pytest.Config) -> Playwright:
    """Playwright, which can run only once in a process: whoever asks later gets the one that is running."""
    if _DRIVER not in config.stash:
        try:
            from playwright.sync_api import sync_playwright
        except ModuleNotFoundError:
            missing("Playwright is not installed; pip install nightfold[dev] brings it")
        config.stash[_DRIVER] = sync_playwright().start()
        config.add_cleanup(config.stash[_DRIVER].stop)
    return config.stash[_DRIVER]


@pytest.fixture(scope="session", name="browser")
def a_browser(request: pytest.FixtureRequest) -> Iterator[Browser]:
    """One Chromium for all tests."""
    from nightfold.web.pages import built_folder

    path = chromium()
    if built_folder() is None:
        missing("the browser app is not built; install Nightfold where Node 20 is found")
    made = playwright_of(request.config).chromium.launch(executable_path=path, args=list(FLAGS))
    yield made
    made.close()


@dataclass
class Window:
    """A window on the app, and everything that it said and asked for."""

    page: Page
    origin: str
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    #: Parts of console errors that this test brings about on purpose.
    expected: list[str] = field(default_factory=list)

    def go(self, hash_: str = "") -> None:
        """Open an address of the app and wait until it has answered."""
        self.page.goto(f"{self.origin}/{hash_}")
        self.page.wait_for_selector("main > *")

    def params(self) -> dict[str, str]:
        """What the address bar holds."""
        found: dict[str, str] = self.page.evaluate(
            "Object.fromEntries(new URLSearchParams(location.hash.split(/[?](.*)/s)[1] ?? ''))"
        )
        return found

    def letters(self, orbit: str) -> str:
        """The letters on show for an orbit, without spaces."""
        return "".join(self.page.locator(f'.row[aria-label^="{orbit}"] .letter').all_inner_texts())

    def wait_for_letters(self, orbit: str, letters: str) -> None:
        """Wait until an orbit shows these letters."""
        self.page.wait_for_function(
            "([orbit, wanted]) => [...document.querySelectorAll(`.row[aria-label^='${orbit}'] .letter`)]"
            ".map(e => e.textContent).join('') === wanted",
            arg=[orbit, letters],
        )

    def net(self) -> str:
        """The colour initials of the net, place by place."""
        found: str = self.page.evaluate(
            "[...document.querySelectorAll('section.net .spot')].sort((a, b) => a.dataset.place - b.dataset.place)"
            ".map(e => e.querySelector('.initial')?.textContent ?? '-').join('')"
        )
        return found

    def wait_for_net(self, colours: str) -> None:
        """Wait until the net shows these colours."""
        self.page.wait_for_function(
            "wanted => [...document.querySelectorAll('section.net .spot')]"
            ".sort((a, b) => a.dataset.place - b.dataset.place)"
            ".map(e => e.querySelector('.initial')?.textContent ?? '-').join('') === wanted",
            arg=colours,
        )

    def overflow(self) -> int:
        """By how many pixels the page is wider than the window."""
        found: int = self.page.evaluate("document.scrollingElement.scrollWidth - document.documentElement.clientWidth")
        return found

    def faults(self) -> list[str]:
        """What axe-core calls serious or critical."""
        axe = FRONTEND / "node_modules" / "axe-core" / "axe.min.js"
        if not axe.is_file():
            missing("axe-core is not there; run npm ci in the folder frontend")
        self.page.evaluate(axe.read_text(encoding="utf-8"))
        found: list[dict[str, Any]] = self.page.evaluate(
            "axe.run(document, {resultTypes: ['violations']}).then(r => r.violations.map(v => ("
            "{id: v.id, impact: v.impact, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + ' ' +"
            " (n.any[0]?.message ?? ''))})))"
        )
        return [json.dumps(fault) for fault in found if fault["impact"] in ("serious", "critical")]


@contextmanager
def window(
    browser: Browser, port: int, size: tuple[int, int] = WIDE, light: Light = "dark", still: bool = True
) -> Iterator[Window]:
    """A fresh window; at its end no request may have left the machine and no error stand in the console."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=light,
        reduced_motion="reduce" if still else "no-preference",
        has_touch=size == NARROW,
    )
    context.set_default_timeout(20_000)
    page = context.new_page()
    made = Window(page, f"http://127.0.0.1:{port}")
    page.on("request", lambda request: made.asked.append(request.url))
    page.on("console", lambda message: made.said.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: made.said.append(str(error)))
    try:
        yield made
        strangers = [url for url in made.asked if not url.startswith(made.origin + "/")]
        assert not strangers, "requests left the machine"
        unexpected = [text for text in made.said if not any(part in text for part in made.expected)]
        assert not unexpected, "errors in the console"
    finally:
        context.close()


@pytest.fixture(name="desk")
def a_desk(browser: Browser, port: int) -> Iterator[Window]:
    """A wide window by night, without motion."""
    with window(browser, port) as made:
        yield made
