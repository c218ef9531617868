"""Visits of the built app in a real browser, which watch that nothing goes wrong unseen."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qsl, urlencode

import pytest
from playwright.sync_api import Browser, Page, Playwright

from nightfold.web import pages
from tests.web.browser import playwright_of

#: What the browser is started with: drawn by the processor, so that it is the same everywhere.
ARGUMENTS = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
THEMES = ("night", "day")
WIDTHS = (1280, 390)
FRONTEND = Path(__file__).parents[2] / "frontend"
AXE = FRONTEND / "node_modules" / "axe-core" / "axe.min.js"


def launched(playwright: Playwright) -> Browser:
    """Chromium: the system's, else Playwright's own; without either the test is skipped, or fails where CI is set."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    try:
        return playwright.chromium.launch(executable_path=found, args=list(ARGUMENTS))
    except Exception as trouble:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip(f"no Chromium can be started: {trouble}")


class Visit:
    """One page; every console error, uncaught exception and request off the machine is remembered."""

    def __init__(self, page: Page, origin: str) -> None:
        self.page = page
        self.origin = origin
        self.errors: list[str] = []
        self.strangers: list[str] = []
        #: Whether the browser may note in its console that the server refused something.
        self.expects_refusals = False
        page.on("console", lambda message: self._said(message.type, message.text))
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", lambda request: self._asked(request.url))

    def _said(self, kind: str, text: str) -> None:
        refused = self.expects_refusals and "status of 4" in text
        if kind == "error" and not refused:
            self.errors.append(text)

    def _asked(self, url: str) -> None:
        if not url.startswith((self.origin, "data:", "blob:")):
            self.strangers.append(url)

    def go(self, screen: str, **params: str) -> Page:
        """Open a screen."""
        query = urlencode(params)
        self.page.goto("about:blank")
        self.page.goto(f"{self.origin}/#/{screen}{'?' if query else ''}{query}")
        self.page.locator("main").wait_for()
        return self.page

    def address(self) -> dict[str, str]:
        """What the address holds."""
        return dict(parse_qsl(self.page.url.partition("?")[2]))

    def look(self, theme: str, width: int) -> None:
        """Choose the theme as the system's, and the width of the window."""
        self.page.emulate_media(color_scheme="dark" if theme == "night" else "light", reduced_motion="reduce")
        self.page.set_viewport_size({"width": width, "height": 844 if width < 700 else 900})

    def is_accessible(self) -> None:
        """No serious violation of accessibility, and nothing wider than the window."""
        self.page.evaluate(AXE.read_text("utf-8"))
        found = self.page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
        grave = [
            (one["id"], [node["html"][:160] for node in one["nodes"]])
            for one in found["violations"]
            if one["impact"] in ("serious", "critical")
        ]
        assert grave == []
        assert self.page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    def went_well(self) -> None:
        """Nothing was said in the console, nobody else was asked."""
        assert self.errors == []
        assert self.strangers == []


def _missing(what: str) -> None:
    """Skip, or fail where CI is set."""
    if os.environ.get("CI") == "true":
        pytest.fail(what)
    pytest.skip(what)


#: Made once, however many test modules use them.
_FOLDER = pytest.StashKey[Path]()
_BROWSER = pytest.StashKey[Browser]()


@pytest.fixture(scope="session")
def origin(port: int, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the app is served, built from the sources as they are."""
    stash = request.config.stash
    if _FOLDER not in stash:
        npm = shutil.which("npm")
        if npm is None or not AXE.exists():
            _missing("Node 20 and `npm ci` in the folder frontend are needed to build the app")
        folder = tmp_path_factory.mktemp("built")
        command = [str(npm), "run", "build", "--", "--outDir", str(folder), "--emptyOutDir"]
        built = subprocess.run(command, cwd=FRONTEND, capture_output=True, text=True)
        assert built.returncode == 0, built.stdout + built.stderr
        stash[_FOLDER] = folder
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pages, "built_folder", lambda: stash[_FOLDER])
        yield f"http://127.0.0.1:{port}"


@pytest.fixture(scope="session")
def chromium(request: pytest.FixtureRequest) -> Browser:
    """The browser, one for the whole run."""
    stash = request.config.stash
    if _BROWSER not in stash:
        stash[_BROWSER] = launched(playwright_of(request.config))
        request.config.add_cleanup(stash[_BROWSER].close)
    return stash[_BROWSER]


@pytest.fixture
def visit(chromium: Browser, origin: str) -> Iterator[Visit]:
    """A page in a profile of its own; at the end nothing may have gone wrong unseen."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    made = Visit(context.new_page(), origin)
    yield made
    context.close()
    made.went_well()
