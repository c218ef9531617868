"""Practice in a real browser: gone on with where it was, kept to its minutes, and nothing taken for an answer."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from nightfold.practice.logbook import Logbook
from tests.web.browser import Window
from tests.web.serving import ended_run


def start(page: Page, title: str) -> None:
    page.locator("button.exercise", has_text=title).click()
    expect(page.locator(".question form input").first).to_be_focused()


def give_up(page: Page) -> None:
    expect(page.locator(".question form input:not([readonly])").first).to_be_focused()
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Go on")).to_be_focused()


def answers() -> int:
    with Logbook.open() as book:
        return len(book.reviews(most=None))


# --- going on ---------------------------------------------------------------------------------------------------


def test_a_page_that_is_loaded_again_goes_on_where_it_was(window: Window) -> None:
    page = window.go("drills", level="1", count="3")
    start(page, "Trace a cube")
    give_up(page)
    page.keyboard.press("Enter")
    expect(page.get_by_text("2 of 3, level 1; 0 right")).to_be_visible()
    expect(page.locator(".question form input").first).to_be_focused()
    page.keyboard.type("AB c")
    scramble = page.locator(".scramble").inner_text()
    page.wait_for_timeout(1200)
    page.reload()
    expect(page.get_by_text("You go on where you were: one question is answered.")).to_be_visible()
    # The same cube, the letters that were typed, and the clock where it stood.
    assert page.locator(".scramble").inner_text() == scramble
    expect(page.locator(".question form input").first).to_have_value("AB c")
    assert page.get_by_role("timer").inner_text() != "0:00"
    page.locator(".question form input").first.fill("?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    # The judgement is there again too, and the end after it.
    page.reload()
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_text("3 of 3")).to_be_visible()
    expect(page.locator(".question form input").first).to_be_focused()
    give_up(page)
    page.keyboard.press("Enter")
    expect(page.get_by_text("0 of 3 right")).to_be_visible()
    page.reload()
    expect(page.get_by_text("0 of 3 right")).to_be_visible()
    page.get_by_role("button", name="To the exercises").click()
    page.reload()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    assert "exercise" not in window.address()
    with Logbook.open() as book:
        assert ended_run(book).result == {"asked": 3, "right": 0}
    assert answers() == 3


def test_back_and_forward_go_on_with_it_too(window: Window) -> None:
    page = window.go("drills", level="1", count="2")
    start(page, "Sticker to letter")
    give_up(page)
    page.keyboard.press("Enter")
    expect(page.get_by_text("2 of 2")).to_be_visible()
    page.get_by_role("navigation", name="Screens").get_by_role("link", name="Words").click()
    expect(page.locator(".question")).to_have_count(0)
    page.go_back()
    expect(page.get_by_text("You go on where you were: one question is answered.")).to_be_visible()
    page.go_forward()
    expect(page.locator(".question")).to_have_count(0)
    page.go_back()
    expect(page.locator(".question form input").first).to_be_focused()
    give_up(page)
    page.keyboard.press("Enter")
    expect(page.get_by_text("0 of 2 right")).to_be_visible()
    with Logbook.open() as book:
        assert ended_run(book).result == {"asked": 2, "right": 0}


def test_an_answer_that_was_under_way_is_kept_once(window: Window) -> None:
    """The page is loaded again after the answer was sent and before its judgement came."""
    page = window.go("drills", level="1", count="2")
    start(page, "Sticker to letter")
    sent: list[str] = []

    def late(route) -> None:  # type: ignore[no-untyped-def]
        sent.append(route.request.post_data_json["id"])
        route.fetch()
        # No answer ever comes back to this page.

    page.route("**/api/drills/answer", late)
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    page.wait_for_timeout(500)
    page.unroute("**/api/drills/answer")
    page.reload()
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    assert len(sent) == 1 and answers() == 1


def test_opened_afresh_it_is_offered_and_an_address_opens_its_exercise(window: Window) -> None:
    page = window.go("drills", level="1", count="2", exercise="parity")
    expect(page.get_by_role("heading", name="Parity or not")).to_be_visible()
    give_up(page)
    page = window.go("drills")
    expect(page.get_by_text("You left Parity or not with 1 of 2 answered.")).to_be_visible()
    page.get_by_role("button", name="Go on with it").click()
    page.get_by_role("button", name="Go on").click()
    give_up(page)
    page.keyboard.press("Enter")
    expect(page.get_by_text("0 of 2 right")).to_be_visible()
    page = window.go("drills", exercise="juggling")
    expect(page.get_by_text("There is no exercise “juggling”; take one of these.")).to_be_visible()


# --- what is no answer ------------------------------------------------------------------------------------------


def test_enter_alone_is_no_answer(window: Window) -> None:
    page = window.go("drills", level="1")
    start(page, "Flipped or twisted")
    page.keyboard.press("Enter")
    alert = page.get_by_role("alert").filter(has_text="Nothing was written")
    expect(alert).to_have_text("⚠ Nothing was written; write “-” for none, or “?” if you do not know.")
    expect(page.locator(".question form input")).to_be_focused()
    page.get_by_role("button", name="Answer").click()
    expect(alert).to_be_visible()
    assert answers() == 0
    page.get_by_role("button", name="I do not know").click()
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    assert answers() == 1


def test_each_line_of_an_answer_needs_something(window: Window) -> None:
    page = window.go("drills", level="1")
    start(page, "Trace a cube")
    # The third subject is the whole cube, with three lines.
    for _ in range(2):
        give_up(page)
        page.keyboard.press("Enter")
        expect(page.locator(".question form input").first).to_be_focused()
    lines = page.locator(".question form input")
    expect(lines).to_have_count(3)
    page.keyboard.type("AB")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert").filter(has_text="Nothing was written for the corners")).to_be_visible()
    expect(lines.nth(1)).to_be_focused()
    page.keyboard.type("-")
    page.keyboard.press("Enter")
    expect(lines.nth(2)).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert").filter(has_text="Nothing was written for parity; write “?”")).to_be_visible()
    assert answers() == 2
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Whether there is parity was not answered.")).to_be_visible()


def test_numbers_that_cannot_be_are_told(window: Window) -> None:
    page = window.go("drills")
    line = page.get_by_label("Minutes you have")
    begin = page.get_by_role("button", name=re.compile("^Start all"))
    expect(begin).to_be_visible()
    for typed in ("0", "-4", "241"):
        line.fill(typed)
        expect(page.get_by_text(f"{typed} minutes cannot be; 1 to 240 can.")).to_be_visible()
        expect(begin).to_have_count(0)
    line.fill("5")
    expect(begin).to_have_text("Start all, about 5 min")
    page.get_by_label("Questions", exact=True).fill("0")
    page.get_by_label("Questions", exact=True).press("Enter")
    expect(page.get_by_text("0 questions cannot be; 1 to 500 can.")).to_be_visible()
    page.locator("button.exercise").first.click()
    expect(page.get_by_label("Questions", exact=True)).to_be_focused()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()


# --- glances, clocks, minutes -------------------------------------------------------------------------------------


def test_after_the_glance_nothing_tells_the_place(window: Window) -> None:
    page = window.go("drills", level="5", orbit="edges")
    with page.expect_response("**/next") as answered:
        page.locator("button.exercise", has_text="Sticker to letter").click()
    (place,) = answered.value.json()["lit"]
    expect(page.get_by_text("It was shown for 0.8 seconds.")).to_be_visible()
    expect(page.locator(".prompt")).to_have_text("Which letter of the edges has the lit sticker?")
    whole = page.locator("main").inner_html()
    assert f"lit: {place}" not in whole and "lit:" not in whole
    page.keyboard.type("?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text=f"{place} is ")).to_be_visible()


def test_a_clock_runs_while_one_traces_and_times_are_compared(window: Window) -> None:
    page = window.go("drills", level="1", orbit="edges", count="2")
    start(page, "Trace a cube")
    timer = page.get_by_role("timer")
    expect(timer).to_have_text("0:02")
    expect(page.get_by_text("the first right answer sets your record")).to_be_visible()
    give_up(page)
    expect(timer).to_have_count(0)
    right = page.locator(".verdict").inner_text().split("edges ")[1].split(", one of")[0].rstrip(".")
    page.keyboard.press("Escape")
    # The same cube is not asked again; what is right is told by the judgement alone, so a kept answer is made right.
    with Logbook.open() as book:
        (kept,) = book.reviews()
        book.put(replace(kept, right=True, answer_ms=5000 * len(right.replace(" ", ""))))
    page = window.go("drills", level="1", orbit="edges", exercise="trace")
    expect(page.get_by_text("so far 5.0 s a letter, at best 5.0 s")).to_be_visible()
    page.keyboard.press("Escape")
    page = window.go("drills", level="1", exercise="parity")
    expect(page.locator(".question form input")).to_be_focused()
    expect(page.get_by_role("timer")).to_have_count(0)


def test_a_long_run_begins_with_a_caution_by_its_time(window: Window) -> None:
    said = "Give hands and eyes five minutes’ rest"
    page = window.go("drills")
    start(page, "Parity or not")
    expect(page.get_by_text(said)).to_have_count(0)
    page.keyboard.press("Escape")
    start(page, "Trace a cube")
    expect(page.get_by_text(said)).to_be_visible()
    page.get_by_role("button", name="Understood").click()
    expect(page.get_by_text(said)).to_have_count(0)


@pytest.mark.parametrize("minutes", [1, 5])
def test_todays_practice_asks_no_more_when_the_minutes_are_over(window: Window, minutes: int) -> None:
    page = window.page
    page.clock.install()
    page = window.go("drills", minutes=str(minutes))
    begin = page.get_by_role("button", name=re.compile("^Start all"))
    expect(begin).to_have_text(f"Start all, about {minutes} min" if minutes > 1 else re.compile("about (1 min|.. s)"))
    whole = sum(int(found) for found in re.findall(r"(\d+) questions?", page.locator("ol").inner_text()))
    begin.click()
    expect(page.get_by_text(f"1 of {whole}, level 1; {minutes} min left")).to_be_visible()
    seen, asked = set(), 0
    while page.get_by_role("heading", name="How it went").count() == 0:
        expect(page.locator(".question form input, .question button.main").first).to_be_visible()
        seen.add(page.locator("h1").inner_text())
        page.clock.fast_forward(15_000 * minutes)
        if page.get_by_role("button", name="I have it").count():
            page.get_by_role("button", name="I have it").click()
        page.get_by_role("button", name="I do not know").click()
        go_on = page.get_by_role("button", name="Go on")
        expect(go_on).to_be_visible()
        asked += 1
        go_on.click()
        expect(page.locator(".question form input:not([readonly]), #drills-over").first).to_be_visible()
    assert 3 <= asked <= 5
    assert len(seen) >= 2, "each exercise has its share of the time"
    over = "The minute is over" if minutes == 1 else f"The {minutes} minutes are over"
    expect(page.get_by_text(f"{over}; {whole - asked} questions were left out. What is due stays due.")).to_be_visible()


def test_a_link_and_arrow_keys_lead_to_the_exercises(window: Window) -> None:
    page = window.go("drills")
    expect(page.locator("button.exercise").first).to_be_visible()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # Go to the content
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the exercises")).to_be_focused()
    page.keyboard.press("Enter")
    first = page.locator("button.exercise")
    expect(first.first).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(first.nth(1)).to_be_focused()
    page.keyboard.press("End")
    expect(first.last).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(first.last).to_be_focused()
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Letter", exact=True)).to_be_focused()
