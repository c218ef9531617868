"""Drills in a real browser: by keyboard alone, turned on the cube, held in mind, and kept while the server is away."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from nightfold.practice.logbook import Logbook
from tests.web.browser import AWAY, REFUSED, Window
from tests.web.serving import ended_run


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
        assert ended_run(book, "sticker-letter").result == {"asked": 2, "right": 0}


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


def test_a_memo_is_shown_for_a_while_and_asked_for_later_as_one_chooses(window: Window) -> None:
    page = window.go("drills", level="1")
    page.get_by_label("Shown, seconds").fill("1")
    page.get_by_label("Asked for after, seconds").fill("2")
    page.get_by_label("Asked for after, seconds").press("Enter")
    window.wait_for_address(shown="1", delay="2")
    _start(page, "Hold a memo")
    expect(page.get_by_text("shown for 1 second; after 2 seconds")).to_be_visible()
    shown = page.locator("dd").all_inner_texts()
    # Nobody presses anything: it goes, and is asked for later.
    expect(page.get_by_text("Keep it in mind")).to_be_visible()
    expect(page.locator("dd")).to_have_count(0)
    expect(page.get_by_role("textbox").first).to_be_focused()
    for text in shown:
        page.keyboard.type(text.lower())
        page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="✓ Right")).to_be_visible()
    with Logbook.open() as book:
        (kept,) = book.reviews(exercise="hold-memo")
    assert (kept.asked["question"]["seconds"], kept.asked["question"]["delay"]) == (1, 2)


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
