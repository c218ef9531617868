"""Odds on the desk in a real browser: where the cube lies among all, and how often such a cube is met."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from playwright.sync_api import expect

from nightfold.blind.features import parse_features
from nightfold.blind.odds import odds, place_of
from nightfold.blind.plan import make_plan
from nightfold.blind.states import chance
from nightfold.cli.odds import one_in, percent
from tests.web.browser import REFUSED, Window
from tests.web.desk import SCRAMBLE, put


@pytest.mark.parametrize(
    ("scramble", "word"),
    [(SCRAMBLE, "harder"), ("U F U'", "easier"), ("D F L2 B U R F' L' B2", None)],
)
def test_the_desk_shows_where_the_cube_lies(window: Window, scramble: str, word: str | None) -> None:
    place = place_of(put(window, scramble))
    share = max(place.harder, place.easier)
    told = "easier" if place.harder >= place.easier else "harder"
    assert told == (word or told)
    button = window.page.locator(".odds > button")
    expect(button).to_have_text(f"{told} than {percent(share)}")
    button.click()
    panel = window.page.get_by_role("dialog", name=f"{told} than {percent(share)} of all cubes")
    expect(panel).to_contain_text(
        f"easier than {percent(place.harder)} of them, harder than {percent(place.easier)}, "
        f"and as hard as {percent(place.alike)}"
    )
    expect(panel).to_contain_text(f"met once in {one_in(place.chance).removeprefix('1 in ')}.")
    rows = {row[0]: row[1:] for row in (text.split("\t") for text in panel.locator("tbody tr").all_inner_texts())}
    for name, standing in place.standings.items():
        shares = [percent(part) for part in (standing.fewer, standing.equal, standing.more)]
        assert rows[name.replace("_", " ")] == [str(standing.value), *shares]
    assert rows["parity"][:1] == ["yes" if place.own.parity else "no"]
    window.page.keyboard.press("Escape")
    expect(panel).to_be_hidden()


def test_the_standing_follows_the_cube(window: Window) -> None:
    put(window, "U F U'")
    window.page.get_by_label("Scramble").fill(SCRAMBLE)
    expect(window.page.locator(".odds > button")).to_have_text(
        f"harder than {percent(place_of(make_plan(SCRAMBLE)).easier)}"
    )


def test_features_show_the_odds_of_such_a_cube_as_they_are_chosen(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go()
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()
    told = page.locator(".chance")
    wanted: dict[str, str | None] = {}
    for label, name, text in (
        ("Flipped edges", "flipped", "1"),
        ("Twisted corners", "twisted", "0"),
        ("Letters in all", "letters", "..18"),
        ("Solved edges", "solved_edges", "3.."),
    ):
        page.get_by_label(label).fill(text)
        wanted[name] = text
        share = chance(parse_features(wanted))
        expect(told).to_contain_text(f"met once in {one_in(share).removeprefix('1 in ')}")
        exact = re.search(r"exactly (\S+) of all", told.inner_text())
        assert exact is None or Fraction(exact[1]) == share
    page.get_by_label("Flipped edges").fill("13")
    expect(told.locator(".bad")).to_contain_text("⚠")


def test_a_short_fraction_is_told_exactly(window: Window) -> None:
    page = window.go()
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()
    page.get_by_label("Parity").select_option("yes")
    assert odds(parse_features({"parity": "yes"})).chance == Fraction(1, 2)
    expect(page.locator(".chance")).to_contain_text("met once in 2 (exactly 1/2 of all).")


def test_what_is_found_by_trying_is_dealt_with_an_estimate(window: Window) -> None:
    page = window.go()
    page.get_by_role("button", name="Deal", exact=True).click()
    page.get_by_text("Only cubes with").click()
    page.get_by_label("Parity").select_option("no")
    page.get_by_label("With the letters").fill("edges=K")
    page.get_by_label("Most turns").fill("380")
    expect(page.locator(".chance")).to_contain_text("told when it is dealt")
    page.get_by_role("button", name="Deal a cube").click()
    page.wait_for_function("() => location.hash.includes('scramble=')")
    plan = make_plan(window.address()["scramble"])
    assert not plan.parity
    assert "K" in plan.orbits[0].letters
    assert len(plan.solution) <= 380
    said = page.locator("#entry-trouble .said")
    expect(said).to_have_text(
        re.compile(
            r"^Random states among the cubes that fit; such a cube is met about once in \d+ "
            r"\(between \d+ and \d+, from [5-9]\d\d looked at\)\.$"
        )
    )
    # The panel is folded up, and says what was asked for.
    expect(page.locator("summary").first).to_have_text(
        "Only cubes with parity no, with the letters edges=K, most turns 380"
    )
