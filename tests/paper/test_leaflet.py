"""The leaflet: what it tells is so, by the engine and on the cube."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import cycle

import pytest

from nightfold.blind.lettering import lettering_names
from nightfold.blind.method import method_names
from nightfold.blind.odds import odds
from nightfold.cube.geometry import geometry, permutation_of
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES
from nightfold.paper.leaflet import CAUTION, leaflet_of, press_leaflet
from nightfold.paper.press import Look
from nightfold.paper.subject import Subject, subject
from tests.paper.printed import count, text

HOLDS = ("white,green", "yellow,red", "blue,orange", "G,W")
SUBJECTS = [
    subject(method, lettering, hold)
    for method, lettering, hold in zip(method_names(), cycle(lettering_names()), HOLDS, strict=False)
]
each_subject = pytest.mark.parametrize("about", SUBJECTS, ids=lambda about: about.method.name)


@each_subject
def test_the_example_on_paper_solves_the_cube(about: Subject) -> None:
    """The turn and the steps are read from the paper and made on a cube."""
    told = leaflet_of(about)
    shown = text(press_leaflet(about))
    scramble = re.search(r"Read a cube: ([UDFBLR]['2]?) ", shown)
    assert scramble
    cube = Cube.from_turns(scramble[1])
    swaps = {way.label: way.core for way in about.method.ways} | {about.method.parity.label: about.method.parity.turns}
    table = shown[shown.index("setup swap undo") : shown.index("From here on")]
    turns = r"(?:–|(?:[A-Z]w?[2']? ?)+?)"
    labels = "|".join(sorted(map(re.escape, swaps), key=len, reverse=True))
    steps = re.findall(rf"\d (?:(\S+) ([UDFBLR]{{2,3}}) )?({turns}) ({labels}) ({turns})(?= \d )", table + " 9 ")
    assert len(steps) >= told.plan.letters
    made = 0
    for _, _, setup, label, undo in steps:
        for part in (parse_turns(setup.replace("–", "")), swaps[label], parse_turns(undo.replace("–", ""))):
            cube = cube.apply(part)
            made += len(part)
    assert cube.is_solved
    assert f"after {made} turns" in shown
    assert [letter for letter, *_ in steps if letter] == [
        letter for reading in told.plan.orbits for letter in reading.letters
    ]


@each_subject
def test_the_first_letter_done_twice_is_nothing(about: Subject) -> None:
    told = leaflet_of(about)
    way = about.method.ways[0]
    once = parse_turns(told.first.setup) + way.core + parse_turns(told.first.undo)
    assert about.letters.sticker(way.orbit, told.first.letter) == told.first_sticker
    assert told.first.setup
    assert not Cube.from_turns(once).is_solved
    assert Cube.from_turns(once + once).is_solved
    assert told.first_why in text(press_leaflet(about))


@each_subject
def test_figures_and_reasons_are_the_engines(about: Subject) -> None:
    told = leaflet_of(about)
    shown = text(press_leaflet(about))
    total = odds().total_letters
    low, high = told.range
    assert f"takes {float(total.mean):.1f} letters on average" in shown
    assert f"more than nine in ten take {low} to {high}" in shown
    assert 1 - total.fewer(low) - total.more(high) > Fraction(9, 10)
    # The range is no wider than it must be at either end.
    assert total.fewer(low + 1) >= Fraction(1, 20) and total.more(high - 1) > Fraction(1, 20)
    assert f"Tonight {told.plan.letters} are enough" in shown
    every = [setup for way in about.method.ways for setup in way.listed()]
    assert f"{len(every)} setups are all there is to learn" in shown
    assert f"{sum(len(setup.turns) <= 2 for setup in every)} of the setups have two turns at most" in shown
    for reading in told.plan.orbits:
        assert not reading.breaks
        for target in reading.targets:
            assert target.why in shown
    assert bool(told.parity) == told.plan.parity
    assert told.parity in shown
    assert str(about.hold) in shown
    assert CAUTION in shown


@each_subject
def test_arrows_join_what_is_exchanged(about: Subject) -> None:
    table = geometry(3)
    for way, exchange in zip(about.method.ways, leaflet_of(about).exchanges, strict=True):
        assert exchange.swap.split() == [str(turn) for turn in way.core]
        if exchange.arrow is None:
            assert len(exchange.sides) == 2
            continue
        one, other = exchange.arrow
        after = permutation_of(way.core, 3)
        assert (after[one], after[other]) == (other, one)
        assert {table.faces[one], table.faces[other]} <= set(FACES[exchange.sides[0]])


@pytest.mark.parametrize("look", [Look(), Look("letter"), Look(grey=True), Look("letter", grey=True)], ids=str)
def test_it_has_two_pages(look: Look) -> None:
    for about in SUBJECTS:
        assert count(press_leaflet(about, look)) == 2
