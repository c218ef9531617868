"""A real browser for the tests of the app: one Chromium a process, windows that let nothing go wrong unseen.

Where the browser, the built app or a package of the folder frontend is missing, the tests are skipped with a sentence;
where CI is set they fail.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from urllib.parse import parse_qsl, urlencode

from nightfold.web.pages import built_folder
from tests.needs import missing

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Playwright

FRONTEND = Path(__file__).parents[2] / "frontend"
#: Nothing is fetched for the browser itself. Without a graphics chip the processor draws in three dimensions.
FLAGS = (
    "--no-sandbox",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
#: The processor draws even where there is a chip, so that tests see the same everywhere; and it draws the page itself
#: without a detour by three dimensions, in half the time.
BY_PROCESSOR = "--disable-gpu"
#: How long, in milliseconds, something may take to show: a busy machine is slow, which is no fault of the app.
PATIENCE = 30_000
#: What Chromium itself says in its console of an answer that refuses; the app shows the sentence that came with it.
REFUSED = "the server responded with a status of 4"
#: What it says while the server is away.
AWAY = "net::ERR_"

Theme = Literal["night", "day"]
THEMES: tuple[Theme, ...] = ("night", "day")
WIDE, NARROW = 1280, 390
HEIGHTS = {WIDE: 900, NARROW: 844}
#: The colour of the page's ground in each theme, as app.css has it.
GROUNDS = {"night": "rgb(11, 16, 32)", "day": "rgb(246, 242, 233)"}


@lru_cache(maxsize=1)
def node_version() -> tuple[int, ...]:
    """The version of Node, 0 where there is none."""
    found = shutil.which("node")
    if found is None:
        return (0,)
    said = subprocess.run([found, "--version"], capture_output=True, text=True, check=True).stdout
    return tuple(int(part) for part in said.strip().removeprefix("v").split("."))


def node(program: str = "node") -> str:
    """Where Node's program ``program`` is; skips or fails without it or without the packages of the folder frontend."""
    found = shutil.which(program)
    if found is None or node_version() < (20, 19) or not (FRONTEND / "node_modules" / "axe-core").is_dir():
        missing("Node 20.19 or newer and the packages of the folder frontend are needed (npm ci)")
    return found


@lru_cache(maxsize=1)
def axe() -> str:
    """The text of axe-core, which finds what keeps people out."""
    path = FRONTEND / "node_modules" / "axe-core" / "axe.min.js"
    if not path.is_file():
        missing("axe-core is not there: run npm ci in the folder frontend")
    return path.read_text(encoding="utf-8")


@contextmanager
def driver() -> Iterator[Playwright]:
    """Playwright, which can run only once in a process."""
    try:
        from playwright.sync_api import expect, sync_playwright
    except ModuleNotFoundError:
        missing("Playwright is not installed: pip install nightfold[dev] brings it")
    if built_folder() is None:
        missing("the browser app is not built: install Nightfold where Node 20.19 or newer is found")
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as made:
        yield made


def launched(playwright: Playwright, *flags: str) -> Browser:
    """Chromium: the one on the PATH, else Playwright's own; skips or fails where neither can be started."""
    from playwright.sync_api import Error

    names = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
    path = next((found for name in names if (found := shutil.which(name))), None)
    for at in dict.fromkeys((path, None)):
        try:
            return playwright.chromium.launch(executable_path=at, args=[*FLAGS, *flags])
        except Error as trouble:
            why = trouble.message.splitlines()[0]
    missing(f"no Chromium can be started (make needed fetches one): {why}")


@dataclass
class Window:
    """A window on the app, and everything that it asked for and complained of."""

    page: Page
    origin: str
    #: Parts of the console errors that a test brings about on purpose.
    expected: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda message: self.said.append(message.text) if message.type == "error" else None)
        self.page.on("pageerror", lambda error: self.said.append(str(error)))

    def go(self, screen: str = "", **params: str) -> Page:
        """Open a screen afresh, as a link from elsewhere does, and wait until it is there."""
        query = urlencode(params)
        return self.open(f"{self.origin}/{f'#/{screen}' if screen else ''}{f'?{query}' if query else ''}")

    def open(self, url: str) -> Page:
        """Open an address afresh."""
        self.page.goto("about:blank")
        self.page.goto(url)
        self.page.wait_for_selector("main > *")
        return self.page

    def address(self) -> dict[str, str]:
        """What the address holds behind the screen's name."""
        return dict(parse_qsl(self.page.evaluate("location.hash").partition("?")[2]))

    def wait_for_address(self, **wanted: str) -> None:
        """Wait until the address holds these."""
        self.page.wait_for_function(
            "wanted => { const held = new URLSearchParams(location.hash.split(/[?](.*)/s)[1] ?? '');"
            " return Object.entries(wanted).every(([name, value]) => held.get(name) === value) }",
            arg=wanted,
        )

    def show_by(self, theme: Theme) -> None:
        """Let the system prefer a theme, as at nightfall."""
        self.page.emulate_media(color_scheme="dark" if theme == "night" else "light")
        self.page.wait_for_function(
            "ground => getComputedStyle(document.body).backgroundColor === ground", arg=GROUNDS[theme]
        )

    def ground(self) -> str:
        """The colour of the page's ground."""
        found: str = self.page.evaluate("getComputedStyle(document.body).backgroundColor")
        return found

    def faults(self, *rules: str) -> list[str]:
        """What axe-core calls serious or critical, by these of its rules or by all."""
        self.page.evaluate(axe())
        found: list[dict[str, Any]] = self.page.evaluate(
            "rules => axe.run(document, { resultTypes: ['violations'], ...(rules.length && { runOnly: rules }) })"
            ".then(found => found.violations)",
            list(rules),
        )
        return [
            f"{fault['id']}: {node['html'][:160]} {' '.join(check['message'] for check in node['any'])[:200]}"
            for fault in found
            if fault["impact"] in ("serious", "critical")
            for node in fault["nodes"]
        ]

    def overflowing(self) -> list[str]:
        """What is wider than the window without a bar to scroll it with; the page itself first."""
        found: list[str] = self.page.evaluate(_OVERFLOWING)
        return found

    def too_small(self) -> list[str]:
        """What is to be pressed and is smaller than 24 by 24 pixels (WCAG 2.2, 2.5.8)."""
        found: list[str] = self.page.evaluate(_TOO_SMALL)
        return found

    def hidden_behind(self) -> list[str]:
        """What is to be pressed while something else lies over its middle."""
        found: list[str] = self.page.evaluate(_HIDDEN_BEHIND)
        return found

    def resize(self, width: int) -> None:
        """Make it this wide, as a hand on its corner does."""
        self.page.set_viewport_size({"width": width, "height": HEIGHTS[width]})

    def text_size(self, percent: int) -> None:
        """Show all text this much larger than usual."""
        self.page.evaluate("size => { document.documentElement.style.fontSize = size }", f"{percent}%")


_OVERFLOWING = """() => {
  const told = element => element.outerHTML.slice(0, 160);
  const width = document.documentElement.clientWidth;
  const wide = document.scrollingElement.scrollWidth;
  const found = wide > width ? [`the page, ${wide} wide`] : [];
  const scrolls = element => {
    for (let at = element; at && at !== document.body; at = at.parentElement) {
      const style = getComputedStyle(at);
      if (/auto|scroll/.test(style.overflowX) || style.clipPath !== 'none') return true;
    }
    return false;
  };
  for (const element of document.querySelectorAll('body *')) {
    const { left, right } = element.getBoundingClientRect();
    const sticksOut = left < right && left < width && right > width + 1 && element.checkVisibility();
    if (sticksOut && !scrolls(element)) found.push(told(element));
  }
  return found.slice(0, 5);
}"""
_TOO_SMALL = """() => [...document.querySelectorAll('main button, main select, main textarea, main summary, header a')]
  .filter(element => {
    const { width, height } = element.getBoundingClientRect();
    return width && (height < 24 || width < 24);
  }).map(element => element.outerHTML.slice(0, 160))"""
_HIDDEN_BEHIND = """() => {
  const found = [];
  for (const element of document.querySelectorAll('main button, main select, main a, main textarea, main summary')) {
    if (!element.checkVisibility()) continue;
    element.scrollIntoView({ block: 'center', behavior: 'instant' });
    const { left, right, top, bottom } = element.getClientRects()[0] ?? {};
    const hit = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    if (hit && !element.contains(hit) && !hit.contains(element))
      found.push(`${element.outerHTML.slice(0, 120)} behind ${hit.outerHTML.slice(0, 120)}`);
  }
  scrollTo(0, 0);
  return found;
}"""


@contextmanager
def opened(
    browser: Browser,
    port: int,
    width: int = WIDE,
    theme: Theme = "night",
    still: bool = True,
    expected: Sequence[str] = (),
) -> Iterator[Window]:
    """A fresh window; at its end no request may have left the machine and no error stand in the console."""
    context = browser.new_context(
        viewport={"width": width, "height": HEIGHTS[width]},
        color_scheme="dark" if theme == "night" else "light",
        reduced_motion="reduce" if still else "no-preference",
        has_touch=width == NARROW,
    )
    context.set_default_timeout(PATIENCE)
    made = Window(context.new_page(), f"http://127.0.0.1:{port}", list(expected))
    try:
        yield made
        strangers = [url for url in made.asked if not url.startswith((made.origin + "/", "data:", "blob:"))]
        assert strangers == [], f"requests left the machine: {strangers}"
        unexpected = [text for text in made.said if not any(part in text for part in made.expected)]
        assert unexpected == [], f"errors in the console: {unexpected}"
    finally:
        context.close()
