"""Attempt cards: scrambles that are legal, pictures that show them, and rules as the regulations have them."""

from __future__ import annotations

import re
from functools import cache

import pytest

from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import net_of
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube
from nightfold.paper.attempt_cards import ATTEMPTS, MOST_ROUNDS, press_attempts, rounds_of
from nightfold.paper.press import Look
from nightfold.paper.subject import subject
from nightfold.practice.results import Outcome, as_result, best, clock, mean, result_of
from tests.paper.printed import HOSTILE, SIZES, coloured, count, fonts, lines, sizes

ABOUT = subject()
TURN = r"\d?[UDFBLRxyz]w?[2']?"


@cache
def read(pdf: bytes) -> list[str]:
    """The text of each page; reading pages with pictures takes a while."""
    return lines(pdf)


def scrambles(page: str) -> list[str]:
    """The scrambles on a page, in their order."""
    below = page[page.index("For the scrambler alone") :]
    found = re.findall(rf"^[123](?: |\n(?:(?:\w ?)+\n)*?)((?:{TURN}\s+){{8,}})", below, re.MULTILINE)
    return [" ".join(one.split()) for one in found]


def test_a_card_has_three_legal_scrambles_that_all_of_a_round_share() -> None:
    """Scrambles are for blindfolded events, so most leave the cube turned as a whole (WCA 4b3a)."""
    read_pages = read(press_attempts(ABOUT, competitors="Ines, Tomas, Bo", rounds=2, seed="5"))
    assert len(read_pages) == 6
    told = [scrambles(page) for page in read_pages]
    assert told[0] == told[1] == told[2] != told[3] == told[4] == told[5]
    assert len({*told[0], *told[3]}) == 2 * ATTEMPTS
    for page, name, number in zip(read_pages, ("Ines", "Tomas", "Bo") * 2, (1, 1, 1, 2, 2, 2), strict=True):
        assert f"name {name} round {number} of 2" in " ".join(page.split())
        assert f"Seed 5, round {number}." in " ".join(page.split())
    dealt = [deal for one in rounds_of(2, 5) for deal in one.deals]
    assert [Cube.from_turns(scramble) for scramble in told[0] + told[3]] == [deal.cube for deal in dealt]
    assert any(deal.orienting for deal in dealt)
    for scramble in told[0] + told[3]:
        # Only outer layers and wide turns of two, never slices or rotations (WCA 12a1, 12a2).
        assert all(turn.letter in "UDFBLR" for turn in parse_turns(scramble))


def test_the_grey_pictures_on_paper_show_the_scrambled_cubes() -> None:
    (page,) = read(press_attempts(ABOUT, Look(grey=True), seed="6"))
    shown = re.findall(r"(?:^[WOGRBY] [WOGRBY] [WOGRBY]\n){18}", page, re.MULTILINE)
    expected = ["".join(net_of(deal.cube).symbols) for deal in rounds_of(1, 6)[0].deals]
    assert sorted("".join(one.split()) for one in shown) == sorted(expected)


def test_the_same_seed_prints_the_same_and_another_others() -> None:
    first = press_attempts(ABOUT, seed="1")
    assert press_attempts(ABOUT, seed="1") == first
    assert scrambles(read(press_attempts(ABOUT, seed="2"))[0]) != scrambles(read(first)[0])
    # A round does not depend on how many follow.
    assert rounds_of(3, 1)[0] == rounds_of(1, 1)[0]
    drawn = press_attempts(ABOUT)
    seed = re.search(r"Seed (\d{6}), round 1", read(drawn)[0])
    assert seed
    assert press_attempts(ABOUT, seed=seed[1]) == drawn


@pytest.mark.parametrize("size", [2, 4, 5, 7])
def test_cards_for_other_cubes(size: int) -> None:
    pdf = press_attempts(ABOUT, size=size, seed="3")
    (page,) = read(pdf)
    assert f"{size}x{size}x{size} blindfolded, best of 3" in page
    assert ("random moves" if size > 3 else "random states") in page
    told = scrambles(page)
    assert [Cube.from_turns(one, size) for one in told] == [deal.cube for deal in rounds_of(1, 3, size)[0].deals]


def test_the_rules_on_the_card_are_those_that_results_are_made_by() -> None:
    """Source: WCA Regulations, version of 1 January 2024, clause by clause as cited on the card."""
    (page,) = read(press_attempts(ABOUT, seed="1"))
    said = " ".join(page.split())
    assert "One turn from solved, or a layer more than 45 degrees off: +2 seconds." in said  # 10e, 10f
    assert result_of(Outcome.PLUS2, 60_000) == as_result(62_000)
    assert "Under 10 minutes cut to hundredths (9f1)" in said
    assert clock(as_result(599_999)) == "9:59.99"
    assert "from there on rounded to whole seconds (9f2)" in said
    assert clock(as_result(600_500)) == "10:01"
    assert "Best of 3 It decides the round (9b3)." in said
    assert best([None, 900, 800]) == 800
    assert "Of the three results; one DNF makes it DNF (9f11)." in said
    assert mean([900, None, 800]) is None
    assert "memorising included (B1a)" in said
    assert "At a competition the current official regulations and the delegate decide." in said
    assert "before you cover your eyes" in said
    for field in ("memorised time penalty result judge solver", "Best of 3 Mean of 3", "date"):
        assert field in said
    assert said.count("+2 DNF") == ATTEMPTS


@pytest.mark.parametrize("name", HOSTILE, ids=lambda name: ascii(name[:12]))
def test_hostile_names_stay_what_they_are(name: str) -> None:
    alone = name.replace(",", " ")
    pdf = press_attempts(ABOUT, competitors=f"{alone}, Bo", seed="1")
    assert count(pdf) == 2
    shown = "".join(read(pdf)[0].replace("\u200b", "").split())
    if name.isascii():
        assert "".join(alone[:60].split()) in shown
    assert "Printedby" in shown and len(scrambles(read(pdf)[0].replace("\u200b", ""))) == ATTEMPTS


@pytest.mark.parametrize("look", [Look(), Look("letter", grey=True), Look("letter", large=True)], ids=str)
def test_paper_and_grey_are_what_was_asked_for(look: Look) -> None:
    pdf = press_attempts(ABOUT, look, competitors="Ines", seed="4")
    ((width, height),) = sizes(pdf)
    assert (width, height) == pytest.approx(SIZES[look.paper], abs=0.5)
    assert bool(coloured(pdf)) == (not look.grey)
    assert fonts(pdf) <= {"SourceSansPro"}
    assert b"pdfuaid" in pdf
    assert count(pdf) == (2 if look.large else 1)


@pytest.mark.parametrize(
    ("choices", "said"),
    [
        ({"rounds": 0}, f"0 rounds cannot be printed; 1 to {MOST_ROUNDS} can"),
        ({"rounds": 9}, "9 rounds cannot be printed"),
        ({"size": 8}, "a cube of 8 layers is not known here"),
        ({"seed": "x"}, "the seed “x” is no whole number"),
        ({"seed": str(1 << 64)}, "the seed is too large"),
        ({"competitors": ","}, "nobody to print for"),
    ],
)
def test_what_cannot_be_printed_is_told(choices: dict[str, object], said: str) -> None:
    with pytest.raises(NightfoldError) as told:
        press_attempts(ABOUT, **choices)  # type: ignore[arg-type]
    assert said in str(told.value)
