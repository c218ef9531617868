"""Drills in a real browser: by keyboard alone, turned on the cube, held in mind, and kept while the server is away."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager

import pytest
from playwright.sync_api import Page, expect

from nightfold.practice.logbook import Logbook
from nightfold.web.book import close_books
from tests.web.browser import AWAY, NARROW, REFUSED, THEMES, WIDE, Theme, Window

ANOTHER = Callable[..., AbstractContextManager[Window]]


@pytest.fixture(autouse=True)
def _books() -> Iterator[None]:
    yield
    close_books()


def _start(page: Page, title: str) -> None:
    button = page.locator("button.exercise", has_text=title)
    expect(button).to_be_visible()
    button.focus()
    page.keyboard.press("Enter")


def test_a_drill_from_beginning_to_end_by_keyboard_alone(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go("drills", count="2", level="1", orbit="corners")
    _start(page, "Sticker to letter")
    line = page.get_by_label("Letter", exact=True)
    expect(line).to_be_focused()
    page.keyboard.type("seagull")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert").filter(has_text="seagull")).to_be_visible()
    line.fill("")
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    said = page.get_by_role("status").filter(has_text="Not this one").inner_text()
    found = re.search(r"is (\w)\b|(\w) \(", said)
    assert found, said
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_text("2 of 2")).to_be_visible()
    expect(line).to_be_focused()
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="How it went")).to_be_focused()
    expect(page.get_by_text("0 of 2 right")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("heading", name="Drills", exact=True)).to_be_visible()
    with Logbook.open() as book:
        assert [one.right for one in book.reviews(exercise="sticker-letter")] == [False, False]
        (run,) = book.runs(exercise="sticker-letter")
    assert run.result == {"asked": 2, "right": 0}


def test_a_setup_is_turned_on_the_cube_and_any_right_one_counts(window: Window) -> None:
    page = window.go("drills", level="1", orbit="edges")
    _start(page, "Setup for a letter")
    page.get_by_role("button", name="Unfolded").click()
    net = page.get_by_role("img", name=re.compile("The unfolded cube; lit"))
    before = net.inner_html()
    line = page.get_by_role("textbox", name="Turns")
    line.fill("L")
    expect(net).not_to_have_js_property("innerHTML", before)
    page.get_by_role("button", name="L2", exact=True).click()
    expect(line).to_have_value("L'")
    page.get_by_role("button", name="Take all back").click()
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    told = page.get_by_role("status").filter(has_text="Right is").inner_text()
    found = re.search(r"Right is ([^:]+):", told)
    assert found, told
    page.keyboard.press("Escape")
    expect(page.get_by_role("heading", name="How it went")).to_be_visible()


def test_a_memo_is_shown_taken_away_and_given_again(window: Window) -> None:
    page = window.go("drills", level="1")
    _start(page, "Hold a memo")
    expect(page.get_by_role("button", name="I have it")).to_be_focused()
    shown = page.locator("dd").all_inner_texts()
    page.keyboard.press("Enter")
    expect(page.locator("dd")).to_have_count(0)
    for number, text in enumerate(shown):
        expect(page.get_by_role("textbox").nth(number)).to_be_focused()
        page.keyboard.type(text.lower())
        page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="✓ Right")).to_be_visible()


def test_an_answer_waits_while_the_server_is_away_and_is_kept_once(window: Window) -> None:
    window.expected.append(AWAY)
    page = window.go("drills", level="1")
    _start(page, "Sticker to letter")
    expect(page.get_by_label("Letter", exact=True)).to_be_focused()
    page.route("**/api/**", lambda route: route.abort())
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Written down here.")).to_be_visible()
    assert "drills/answer" in page.evaluate("localStorage.getItem('nightfold-unsent')")
    page.unroute("**/api/**")
    # The page goes on by itself as soon as the server answers again.
    expect(page.get_by_role("status").filter(has_text="Not this one")).to_be_visible()
    assert page.evaluate("localStorage.getItem('nightfold-unsent')") == "[]"
    with Logbook.open() as book:
        assert len(book.reviews(exercise="sticker-letter")) == 1


def test_today_is_started_and_leaving_without_an_answer_keeps_nothing(window: Window) -> None:
    page = window.go("drills", minutes="5")
    page.get_by_role("button", name="Start all").click()
    expect(page.get_by_role("button", name=re.compile("^Leave"))).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_nobody_is_kept_out(another: ANOTHER, width: int, theme: Theme) -> None:
    with another(width=width, theme=theme) as window:
        page = window.go("drills", level="1")
        expect(page.get_by_role("button", name="Start all")).to_be_visible()
        assert window.faults() == []
        assert window.overflowing() == []
        assert window.too_small() == []
        _start(page, "Setup for a letter")
        expect(page.get_by_role("textbox", name="Turns")).to_be_focused()
        assert window.faults() == []
        window.text_size(200)
        assert window.overflowing() == []
