"""Between browser and server: one that is closed is told of and awaited; work that nobody waits for any more ends."""

from __future__ import annotations

import re
import signal
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect

from nightfold.blind.method import load_method
from nightfold.blind.plan import make_plan
from nightfold.coach import attempt
from nightfold.web.work import ANSWERS, SEARCHES
from tests.web.browser import AWAY, Window, opened
from tests.web.desk import SCRAMBLE, letters_of, wait_for_letters
from tests.web.serving import App, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser

BANNER = ".banner[role=alert]"
#: How a server that is ended answers what is still under way.
STOPPED = "the server responded with a status of 503"
EDGES = letters_of(make_plan(SCRAMBLE))[0]


# --- a server that is closed ---


class Closing:
    """A window on a program of its own, which can be ended and started again where it was."""

    window: Window

    def __init__(self) -> None:
        # Bound but not listening: nobody else is given this port while the server is away.
        self.place = socket.socket()
        self.place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.place.bind(("127.0.0.1", 0))
        self.port: int = self.place.getsockname()[1]
        self.begin()

    @property
    def page(self) -> Page:
        return self.window.page

    def end(self) -> None:
        """End the server as Ctrl-C does."""
        code, said = self.app.end()
        assert (code, said) == (0, "")

    def begin(self) -> None:
        """Start it, always at the same address."""
        self.app = App("--port", str(self.port))
        assert self.app.line.startswith("Nightfold is at"), self.app.end()

    def is_away(self) -> None:
        """The banner must say so."""
        expect(self.page.locator(BANNER)).to_contain_text("Nightfold’s server does not answer.")

    def is_back(self) -> None:
        """The banner must go by itself."""
        expect(self.page.locator(BANNER)).to_have_count(0)


@pytest.fixture
def closing(browser: Browser) -> Iterator[Closing]:
    made = Closing()
    try:
        with opened(browser, made.port, expected=[AWAY, STOPPED]) as made.window:
            yield made
    finally:
        made.app.end()
        made.place.close()


def test_on_the_desk_what_was_typed_is_read_when_the_server_is_back(closing: Closing) -> None:
    page = closing.window.go("desk", scramble=SCRAMBLE)
    wait_for_letters(closing.window, "edges", EDGES)
    closing.end()
    page.get_by_label("Scramble").fill("F2 U")
    closing.is_away()
    expect(page.get_by_label("Scramble")).to_have_value("F2 U")
    closing.begin()
    closing.is_back()
    wait_for_letters(closing.window, "edges", letters_of(make_plan("F2 U"))[0])


def test_the_newcomer_deals_again(closing: Closing) -> None:
    page = closing.window.go()
    closing.end()
    page.get_by_role("button", name="Deal me an easy cube").click()
    closing.is_away()
    closing.begin()
    closing.is_back()
    page.get_by_role("button", name="Deal a cube").click()
    expect(page.locator(".letter").first).to_be_visible()


def test_a_memo_and_a_marked_one_are_kept(closing: Closing) -> None:
    page = closing.window.go("marking", scramble=SCRAMBLE, edges=EDGES)
    expect(page.get_by_role("textbox", name="Corners")).to_be_visible()
    closing.end()
    page.get_by_role("textbox", name="Corners").fill("A")
    page.get_by_role("button", name="Mark it").click()
    closing.is_away()
    expect(page.get_by_role("textbox", name="Corners")).to_have_value("A")
    closing.begin()
    closing.is_back()
    page.get_by_role("button", name="Mark it").click()
    expect(page.locator(".result h2")).to_have_text("Not right yet")
    expect(page.locator("form .trouble[role=alert]")).to_have_text("")


def test_an_inquest_is_held_when_the_server_is_back(closing: Closing) -> None:
    page = closing.window.go("inquest", scramble=SCRAMBLE, left="R")
    expect(page.get_by_role("button", name="Hold the inquest")).to_be_visible()
    closing.end()
    page.get_by_role("button", name="Hold the inquest").click()
    closing.is_away()
    closing.begin()
    closing.is_back()
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.locator(".verdict h2")).to_be_visible()
    expect(page.locator("form .trouble[role=alert]")).to_have_text("")


def test_a_search_says_that_the_server_was_ended_and_can_be_begun_again(closing: Closing) -> None:
    page = closing.window.go("finding", how="parity", longest="20", extra="6")
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_text("Searching sequences of")).to_be_visible()
    closing.end()
    expect(page.get_by_role("alert")).to_contain_text("stopped")
    page.get_by_role("button", name=re.compile("^Find")).click()
    closing.is_away()
    closing.begin()
    closing.is_back()
    page.get_by_role("button", name=re.compile("^Find")).click()
    expect(page.get_by_text("Searching sequences of")).to_be_visible()


def test_a_search_says_that_the_server_broke_down(closing: Closing) -> None:
    page = closing.window.go("finding", how="parity", longest="20", extra="6")
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_text("Searching sequences of")).to_be_visible()
    closing.app.end(signal.SIGKILL)
    closing.is_away()
    expect(page.get_by_role("alert").filter(has_text="The connection broke off")).to_be_visible()
    closing.begin()
    closing.is_back()


def test_a_changed_method_is_checked_and_saved_when_the_server_is_back(closing: Closing) -> None:
    page = closing.window.go("methods", show="two-swap", edit="1")
    box = page.get_by_label("The method’s file")
    expect(page.get_by_text("It works")).to_be_visible()
    closing.end()
    text = box.input_value().replace('buffer = "UR"', 'buffer = "UX"')
    box.fill(text)
    closing.is_away()
    closing.begin()
    closing.is_back()
    expect(page.locator("#method-verdict")).to_contain_text("“UX” is no sticker")
    expect(box).to_have_value(text)


def test_help_answers_for_the_method_that_was_chosen_meanwhile(closing: Closing) -> None:
    page = closing.window.go("help", part="questions", q="letter")
    answer = page.locator("details .answer").nth(1)
    swap = load_method("two-swap").ways[0].label
    expect(answer).to_contain_text(swap)
    closing.end()
    page.get_by_label("Answers for the method").select_option("j-and-y")
    closing.is_away()
    closing.begin()
    closing.is_back()
    other = load_method("j-and-y").ways[0].label
    assert other != swap
    expect(answer).to_contain_text(other)


def test_a_screen_that_cannot_be_fetched_says_so(closing: Closing) -> None:
    closing.window.expected.append("Failed to fetch dynamically imported module")
    page = closing.window.go("desk")
    closing.end()
    page.get_by_role("navigation").get_by_role("link", name="Methods").click()
    expect(page.locator("main")).to_contain_text("This screen could not be loaded; is the server still running?")
    closing.begin()
    page.get_by_role("link", name="Load the page again").click()
    expect(page.get_by_role("heading", level=1, name="Methods")).to_be_visible()


def test_one_may_ask_at_once_whether_it_is_back(window: Window) -> None:
    """The server's answers are held back, so that the next try is due only when the test asks for it."""
    window.expected.append(AWAY)
    page = window.go("desk", scramble=SCRAMBLE)
    wait_for_letters(window, "edges", EDGES)
    page.clock.install()
    page.clock.pause_at(page.evaluate("Date.now() + 1000"))
    page.route("**/api/**", lambda route: route.abort())
    page.get_by_label("Scramble").fill("F2 U")
    page.clock.run_for(200)
    expect(page.locator(BANNER)).to_be_visible()
    page.unroute("**/api/**")
    page.get_by_role("button", name="Try now").click()
    expect(page.locator(BANNER)).to_have_count(0)


# --- work that nobody waits for any more ---


def working() -> bool:
    """Whether the server is at a search that nobody has stopped."""
    return any(not task.stopped for bench in (ANSWERS, SEARCHES) for task in tuple(bench.tasks))


def find(page: Page) -> None:
    """Begin a search for algorithms that takes much longer than any test."""
    page.get_by_role("button", name="Find", exact=True).click()


def inquire(page: Page) -> None:
    page.get_by_role("button", name="Hold the inquest").click()


@pytest.fixture
def endless(monkeypatch: pytest.MonkeyPatch) -> None:
    """Inquests that go on until they are told to stop: real ones end too soon to be stopped for certain."""

    def examine(*_: object, progress: Callable[[int, int], bool], **__: object) -> None:
        while progress(1, 0):
            time.sleep(0.001)

    monkeypatch.setattr(attempt, "examine_attempt", examine)


LONG: dict[str, tuple[dict[str, str], Callable[[Page], None]]] = {
    "finding": ({"how": "parity", "longest": "20", "extra": "6"}, find),
    "inquest": ({"scramble": SCRAMBLE, "left": "R U F"}, inquire),
}
each_search = pytest.mark.parametrize("screen", LONG)


def searching(window: Window, screen: str) -> Page:
    """A window in which a long search is under way."""
    asked, begin = LONG[screen]
    page = window.go(screen, **asked)
    begin(page)
    assert until(working)
    return page


@each_search
@pytest.mark.usefixtures("endless")
def test_a_closed_tab_ends_its_search(another: Callable[..., AbstractContextManager[Window]], screen: str) -> None:
    with another() as window:
        searching(window, screen).close()
        assert until(lambda: not working())


@each_search
@pytest.mark.usefixtures("endless")
def test_leaving_the_screen_ends_the_search(window: Window, screen: str) -> None:
    page = searching(window, screen)
    page.get_by_role("navigation").get_by_role("link", name="Methods").click()
    expect(page.get_by_role("heading", level=1, name="Methods")).to_be_visible()
    assert until(lambda: not working())


@each_search
@pytest.mark.usefixtures("endless")
def test_loading_the_page_again_ends_the_search_before(window: Window, screen: str) -> None:
    page = searching(window, screen)
    before = {task for bench in (ANSWERS, SEARCHES) for task in tuple(bench.tasks)}
    page.reload()
    assert until(lambda: all(task.stopped for task in before))


@each_search
@pytest.mark.usefixtures("endless")
def test_stop_ends_the_search(window: Window, screen: str) -> None:
    page = searching(window, screen)
    page.get_by_role("button", name="Stop").click()
    assert until(lambda: not working())
    expect(page.get_by_role("button", name="Stop")).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile("^Find|^Hold the inquest"))).to_be_enabled()
    expect(page.locator("tbody, .explanations")).to_have_count(0)
