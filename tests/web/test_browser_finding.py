"""The screen for finding algorithms, in a real browser."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.web.browser import REFUSED, Window

LONG = {"how": "parity", "longest": "20", "extra": "6"}


def test_stickers_picked_one_by_one_become_cycles_and_arrows(window: Window) -> None:
    page = window.go("finding")
    net = page.get_by_label("The unfolded cube: pick stickers one after the other")
    for name in ("LUB", "RDF", "FUR"):
        net.get_by_role("button", name=re.compile(rf"^{name}\b")).click()
    field = page.get_by_label("Cycles of stickers")
    expect(field).to_have_value("LUB RDF FUR")
    assert page.locator(".net > svg:last-child g.leads").count() == 3
    assert page.locator(".net > svg:last-child g").count() == 9
    net.get_by_role("button", name=re.compile(r"^LUB\b")).click()
    expect(field).to_have_value("LUB RDF FUR;")
    assert "want=LUB+RDF+FUR;" in page.url
    page.get_by_role("button", name="Find", exact=True).click()
    found = page.get_by_role("button", name="D2 L' D' R2 D L D' R2 D'", exact=True)
    expect(found).to_be_visible()
    expect(page.get_by_text("= [D2: [L', D' R2 D]]")).to_be_visible()
    expect(page.get_by_text("None is shorter than 9 turns")).to_be_visible()
    found.click()
    assert found.get_attribute("aria-pressed") == "true"
    expect(page.get_by_text("9 of 9")).to_be_visible()


def test_picking_works_by_keyboard_alone(window: Window) -> None:
    page = window.go("finding")
    net = page.get_by_label("The unfolded cube: pick stickers one after the other")
    net.locator('[tabindex="0"]').focus()
    # From the top-left corner of U one to the right (UB), then one down and one right of that (UR).
    for key in ("ArrowRight", "Enter", "ArrowDown", "ArrowRight", "Enter"):
        page.keyboard.press(key)
    expect(page.get_by_label("Cycles of stickers")).to_have_value("UB UR")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Cycles of stickers")).to_have_value("UB")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"want": "UF UR"}, "it exchanges an odd number of pieces"),
        ({"want": "UF UX"}, "“UX” is no sticker"),
        ({"want": "UF UR DB", "turns": "Q"}, "Q"),
        ({"want": "UF UR DB", "turns": " "}, "There are no turns to search with"),
        ({"want": "UF UR DB", "any": "nowhere"}, "“nowhere” is no sticker"),
        ({"how": "like", "like": "R U ["}, "["),
        ({"how": "parity", "parity": "nobodys"}, "there is no method “nobodys”"),
    ],
)
def test_what_cannot_be_searched_is_said_in_one_sentence(window: Window, asked: dict[str, str], said: str) -> None:
    window.expected.append(REFUSED)
    page = window.go("finding", **asked)
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text(re.compile(re.escape(said), re.I))
    expect(page.get_by_role("button", name=re.compile("^Find"))).to_be_enabled()


def test_a_search_shows_its_progress_until_it_is_stopped(window: Window) -> None:
    page = window.go("finding", **LONG)
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_text(re.compile(r"Searching sequences of \d+ turns"))).to_be_visible()
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_text(re.compile("^Stopped"))).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Find"))).to_be_enabled()


def test_results_are_compared_by_column_and_a_link_brings_them_back(window: Window) -> None:
    page = window.go("finding", want="UF UR DB", extra="1", searched="1")
    expect(page.locator("tbody tr")).to_have_count(12)
    page.get_by_role("button", name=re.compile("^Show .* more")).click()
    count = page.locator("tbody tr").count()
    assert count > 12
    for column, heading in ((1, "OBTM"), (2, "STM"), (0, "Ease")):
        page.get_by_role("columnheader", name=heading).get_by_role("button").click()
        shown = [float(cell) for cell in page.locator(f"tbody td:nth-child({column + 1})").all_inner_texts()]
        assert shown == sorted(shown)
        assert len(shown) == count
    page.get_by_role("columnheader", name="OBTM").get_by_role("button").click()
    page.reload()
    expect(page.locator("th[aria-sort]")).to_contain_text("OBTM")


def test_turns_are_chosen_by_layer_or_written(window: Window) -> None:
    page = window.go("finding", want="UF UR DB")
    for name in ("L", "F", "B", "M"):
        page.get_by_role("button", name=name, exact=True).click()
    field = page.get_by_label(re.compile("^Turns to use"))
    expect(field).to_have_value("U D R M")
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_text("= [D' R2 D, M2]")).to_be_visible()
    field.fill("R2 U2")
    expect(page.get_by_text("The question has changed since.")).to_be_visible()
    assert page.get_by_role("button", name="R", exact=True).get_attribute("aria-pressed") == "true"
    assert page.get_by_role("button", name="D", exact=True).get_attribute("aria-pressed") == "false"


def test_the_effect_of_an_algorithm_is_found_again(window: Window) -> None:
    page = window.go("finding", how="like")
    expect(page.get_by_role("button", name="Find", exact=True)).to_be_disabled()
    page.get_by_label("The algorithm whose effect is wanted").fill("R U R' U'")
    expect(page.get_by_text(re.compile("^It moves corners"))).to_be_visible()
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.get_by_text("= [R, U]")).to_be_visible()
