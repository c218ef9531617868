"""Which pairs a memo can have, against cubes: every one of them does occur, and no other ever does."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.dealing import Dealer
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.blind.plan import make_plan
from nightfold.blind.reading import BreakPoint
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import invert
from nightfold.cube.state import Cube
from nightfold.memory.errors import WordsError
from nightfold.memory.occurring import letters_in_use, memo_pairs, occurring_pairs, pairs_of, reading_pairs

LETTERING = load_lettering()


@pytest.mark.parametrize(("orbit", "letters", "in_place"), [("edges", 22, 22), ("corners", 21, 42)])
def test_how_many_there_are(orbit: str, letters: int, in_place: int) -> None:
    method = load_method("two-swap")
    way = method.way(orbit)
    assert len(letters_in_use(way.orbit, way.buffer, LETTERING)) == letters
    found = occurring_pairs(way.orbit, way.buffer, LETTERING)
    assert len(found) == letters * (letters - 1)
    assert sum(found.values()) == in_place


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_every_pair_does_occur(orbit: str) -> None:
    """The cube that two letters solve is read as these two letters."""
    method = load_method("two-swap")
    way = method.way(orbit)
    for pair, in_place in occurring_pairs(way.orbit, way.buffer, LETTERING).items():
        targets = [LETTERING.sticker(orbit, letter) for letter in pair]
        turns = tuple(turn for done in way.execute(targets) for turn in done.turns)
        cube = Cube.from_turns(invert(turns))

        def first(point: BreakPoint, entry: int = targets[0]) -> int:
            return entry if entry in point.options else min(point.options)

        reading = next(one for one in make_plan(cube, method, breaks={orbit: first}).orbits if one.orbit.name == orbit)
        assert reading_pairs(reading) == (pair,)
        assert [cycle.kind for cycle in reading.cycles] == (["in place"] if in_place else ["buffer"])


@pytest.mark.parametrize("name", method_names())
def test_no_other_pair_ever_occurs(name: str) -> None:
    method = load_method(name)
    known = pairs_of(method, LETTERING)
    dealer, dice = Dealer(seed=7), random.Random(name)
    for _ in range(60):

        def anywhere(point: BreakPoint) -> int:
            return dice.choice(sorted(point.options))

        plan = make_plan(dealer.deal().cube, method, LETTERING, breaks=dict.fromkeys(known, anywhere))
        for reading in plan.orbits:
            follow = list(zip(reading.letters, reading.letters[1:], strict=False))
            assert set(follow) <= set(known[reading.orbit.name])
            alone = [cycle.letters for cycle in reading.cycles if cycle.kind == "in place"]
            for pair in follow:
                assert not known[reading.orbit.name][pair] or pair in alone


def test_pairs_of_a_memo() -> None:
    assert memo_pairs("ABCDE") == (("A", "B"), ("C", "D"), ("E",))
    assert memo_pairs("") == ()


def test_orbits_whose_pieces_look_alike() -> None:
    orbit = geometry(5).orbits[-1]
    assert orbit.alike
    with pytest.raises(WordsError, match="look alike"):
        occurring_pairs(orbit, orbit.stickers[0], load_lettering(size=5))
