"""The empty desk in a real browser: how a newcomer comes to a first reading, and what is refused on the way."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from nightfold.blind.dealing import Dealer
from nightfold.blind.features import features_of, parse_features
from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import parse_turns
from tests.web.browser import REFUSED, Window
from tests.web.desk import SOLVED, letters_of, wait_for_letters, wait_for_net

EASY = {"edge_letters": "..10", "corner_letters": "..6", "edge_breaks": "..1", "corner_breaks": "0"}


def dealt(window: Window) -> Plan:
    """The plan of the cube that was dealt, whose letters must be on show."""
    window.page.wait_for_function("() => location.hash.includes('scramble=')")
    plan = make_plan(window.address()["scramble"])
    for reading, wanted in zip(plan.orbits, letters_of(plan), strict=True):
        wait_for_letters(window, reading.orbit.name, wanted)
    return plan


def trouble(page: Page, wanted: str) -> None:
    """Wait for the one sentence beside the entry."""
    expect(page.locator("#entry-trouble .bad")).to_have_text(f"⚠ {wanted}")


def test_three_panels_lead_to_a_first_reading(window: Window) -> None:
    page = window.go()
    expect(page.locator(".panels section")).to_have_count(3)
    page.get_by_role("button", name="Deal me an easy cube").click()
    plan = dealt(window)
    assert parse_features({**EASY, "flipped": "0", "twisted": "0"}).allow(features_of(plan))
    expect(page.locator("#entry-trouble .said")).to_contain_text("met")
    page.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_function("() => Number(document.querySelector('input[type=range]').value) > 0")
    page.keyboard.press("End")
    wait_for_net(window, SOLVED)
    page.go_back()
    expect(page.locator(".panels")).to_be_visible()


def test_any_cube_is_dealt_and_another_after_it(window: Window) -> None:
    page = window.go()
    page.get_by_role("button", name="Any cube").click()
    dealt(window)
    first = window.address()["scramble"]
    assert len(parse_turns(first)) > 10
    page.get_by_role("button", name="Deal a cube").click()
    page.wait_for_function(
        "before => new URLSearchParams(location.hash.split(/[?](.*)/s)[1]).get('scramble') !== before", arg=first
    )
    dealt(window)


def test_the_start_is_walked_by_keyboard_alone(window: Window) -> None:
    page = window.go()
    reached: list[str] = []
    while "Deal me an easy cube" not in reached:
        assert len(reached) < 40, reached
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.innerText || document.activeElement.ariaLabel || ''"))
    assert reached[0] == "Go to the content"
    page.keyboard.press("Enter")
    dealt(window)


def test_a_first_scramble_that_is_none_is_told_in_a_sentence(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go()
    page.get_by_label("Scramble").fill("R U Q")
    with pytest.raises(NightfoldError) as wrong:
        parse_turns("R U Q")
    trouble(page, str(wrong.value))
    expect(page.locator(".letter")).to_have_count(0)
    page.get_by_label("Scramble").fill("")
    expect(page.locator("#entry-trouble")).to_have_text("")
    expect(page.locator(".panels")).to_be_visible()


@pytest.mark.parametrize(
    ("label", "name", "text"),
    [
        ("Edge letters", "edge_letters", "banana"),
        ("Edge letters", "edge_letters", "40..50"),
        ("Corner letters", "corner_letters", "8..6"),
        ("Edge breaks", "edge_breaks", "99"),
        ("Twisted corners", "twisted", "-1"),
    ],
)
def test_impossible_wishes_are_refused_in_words(window: Window, label: str, name: str, text: str) -> None:
    window.expected.append(REFUSED)
    page = window.go()
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()
    page.get_by_label(label).fill(text)
    page.get_by_role("button", name="Deal a cube").click()
    with pytest.raises(NightfoldError) as wrong:
        Dealer(3, parse_features({name: text}))
    trouble(page, str(wrong.value))
    assert "scramble" not in window.address()
    # The wish is mended where it stands.
    page.get_by_label(label).fill("..12" if "letters" in name else "0..")
    page.get_by_role("button", name="Deal a cube").click()
    dealt(window)
    expect(page.locator("#entry-trouble .bad")).to_have_count(0)


def test_most_turns_must_be_a_number(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go()
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()
    page.get_by_label("Most turns").fill("many")
    page.get_by_role("button", name="Deal a cube").click()
    expect(page.locator("#entry-trouble .bad")).to_have_text(re.compile("most.turns", re.IGNORECASE))
    assert "scramble" not in window.address()
