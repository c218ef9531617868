"""Words in a real browser: found, kept, changed, brought in, told; by keyboard, at every width, in both themes."""

from __future__ import annotations

import httpx
from playwright.sync_api import expect

from tests.web.browser import REFUSED, Window
from tests.web.serving import SCRAMBLE, asked


def test_a_word_is_kept_changed_and_removed(window: Window, client: httpx.Client) -> None:
    window.expected.append(REFUSED)
    page = window.go("words")
    expect(page.get_by_text("Type a pair, or choose one in the grid.")).to_be_visible()
    page.get_by_label("A letter pair").fill("LSX")
    expect(page.get_by_text("“LSX” is no pair of letters")).to_be_visible()
    page.get_by_label("A letter pair").fill("LS")
    page.get_by_role("button", name="Keep laser as your own").click()
    expect(page.get_by_role("button", name="Change laser")).to_be_visible()
    page.get_by_label("Word", exact=True).fill("lighthouse")
    page.get_by_label("Kind").select_option("place")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Change lighthouse").click()
    page.get_by_label("Note", exact=True).fill("where we meet")
    page.get_by_role("button", name="Save the change").click()
    expect(page.get_by_role("rowheader", name="lighthouse where we meet")).to_be_visible()
    page.get_by_role("button", name="Remove laser").click()
    expect(page.get_by_role("button", name="Keep laser as your own")).to_be_visible()
    assert [(one["word"], one["note"]) for one in asked(client, "words/own")] == [("lighthouse", "where we meet")]


def test_the_grid_is_walked_by_keyboard_and_opens_a_pair(window: Window) -> None:
    page = window.go("words")
    grid = page.get_by_role("grid")
    expect(grid).to_be_visible()
    grid.locator('[tabindex="0"]').focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    expect(grid.locator('[data-at="1,2"]')).to_be_focused()
    page.keyboard.press("Enter")
    window.wait_for_address(pair="CD")
    expect(page.get_by_role("heading", name="Your own word for CD")).to_be_visible()
    page.get_by_role("button", name="corners").click()
    expect(page.get_by_role("grid", name="All pairs of the corners")).to_be_visible()


def test_a_file_with_a_bad_row_brings_nothing_and_a_good_one_all(window: Window, client: httpx.Client) -> None:
    page = window.go("words", part="own")
    expect(page.get_by_text("You keep no words in this language yet.")).to_be_visible()
    box = page.get_by_label("or its text")
    box.fill("pair,word,kind\nLS,lamp,object\nAB,abbey,noise\n")
    page.get_by_role("button", name="See what would come of it").click()
    expect(page.get_by_text("row 3, column kind")).to_be_visible()
    assert asked(client, "words/own") == []
    box.fill("pair,word,kind\nLS,lamp,object\nAB,abbey,place\n")
    page.get_by_role("button", name="See what would come of it").click()
    page.get_by_role("button", name="Take 2 words").click()
    expect(page.get_by_role("rowheader", name="abbey")).to_be_visible()
    page.get_by_label("Look for a pair, a word or a note").fill("ls")
    expect(page.get_by_text("1 of 2 words")).to_be_visible()
    with page.expect_download() as loading:
        page.get_by_role("link", name="Take your words out").click()
    assert loading.value.path().read_text("utf-8").startswith("pair,word,kind,note,strength\nAB,abbey,place")


def test_the_memo_is_told_along_a_route_of_ones_own(window: Window) -> None:
    page = window.go("words", part="memo", scramble=SCRAMBLE)
    expect(page.locator(".phrase")).to_have_count(2)
    page.get_by_label("corners told as").select_option("route")
    expect(page.get_by_text("write one down below and keep it")).to_be_visible()
    # What was told before is no memo along a route, and nothing is wrong yet.
    expect(page.locator(".phrase")).to_have_count(0)
    expect(page.locator("[role=alert]").filter(has_text="⚠")).to_have_count(0)
    page.get_by_label("Its name").fill("round the harbour")
    page.get_by_label("What you pass").fill("harbour, stairs, lamp room, gallery")
    page.get_by_role("button", name="Keep the route").click()
    expect(page.locator(".phrase").filter(has_text="Harbour")).to_be_visible()


def test_patterns_a_rule_and_all_marks(window: Window) -> None:
    page = window.go("words", pair="LS")
    page.get_by_text("How words stand for a pair: all patterns").click()
    page.get_by_role("checkbox", name="two-words").check()
    window.wait_for_address(pattern="two-words")
    rows = page.get_by_role("table", name="Words for LS").locator("tbody tr")
    expect(rows.first).to_contain_text("two-words")
    page.get_by_role("button", name="Why these scores").click()
    marks = rows.first.locator("td.number")
    # The score and its five marks, of two words too.
    expect(marks).to_have_count(6)
    assert all(text.strip().isdigit() for text in marks.all_inner_texts())
    page.get_by_role("checkbox", name="two-words").uncheck()
    page.get_by_label("A rule of your own").fill("starts {a}, ends {b}e")
    page.get_by_role("button", name="Use the rule").click()
    expect(page.get_by_text("How words stand for a pair: the rule “starts {a}, ends {b}e”")).to_be_visible()
    expect(rows.first).to_contain_text("rule")
    page.get_by_label("Language").select_option("de")
    expect(page.get_by_text("Of German it is not known how picturable words are")).to_be_visible()
    expect(page.get_by_role("checkbox", name="sounds")).to_be_disabled()
