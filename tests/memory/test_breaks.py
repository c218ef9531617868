"""The breaks policy ``words``, against every choice of breaks there is."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import product

import pytest

from nightfold.blind.dealing import Dealer
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method
from nightfold.blind.plan import make_plan
from nightfold.blind.reading import BreakPoint, OrbitReading, lowest_letter, trace_orbit
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.memory.breaks import StrongestPairs, Worth, words_breaks, worth_of
from nightfold.memory.candidates import Candidate, Finder
from nightfold.memory.occurring import memo_pairs, reading_pairs
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.symbols import Pair
from tests.memory.finders import LETTERS, covered, finder

LETTERING = load_lettering()
METHOD = load_method("two-swap")


def every_reading(cube: Cube, orbit: str) -> Iterator[OrbitReading]:
    """The readings of one orbit by every choice of breaks, told by the numbers of the options taken."""
    way = METHOD.way(orbit)
    taken: list[int] = []
    while True:
        widths: list[int] = []

        def nth(point: BreakPoint, widths: list[int] = widths, taken: tuple[int, ...] = tuple(taken)) -> int:
            options = sorted(point.options)
            widths.append(len(options))
            return options[taken[len(widths) - 1]] if len(widths) <= len(taken) else options[0]

        yield trace_orbit(cube, way.orbit, way.buffer, LETTERING, nth)
        taken += [0] * (len(widths) - len(taken))
        while taken and taken[-1] + 1 == widths[len(taken) - 1]:
            taken.pop()
        if not taken:
            return
        taken[-1] += 1


def chance_worth(seed: int) -> Worth:
    """Worth that is different for every pair."""
    dice = random.Random(seed)
    known = {pair: dice.random() for pair in (*product(LETTERS, repeat=2), *((letter,) for letter in LETTERS))}
    return known.__getitem__


def total(letters: tuple[str, ...], worth: Worth) -> float:
    return sum(worth(pair) for pair in memo_pairs(letters))


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_no_choice_of_breaks_is_worth_more_and_none_has_fewer_letters(orbit: str) -> None:
    way = METHOD.way(orbit)
    dealer = Dealer(seed=11)
    compared = 0
    while compared < 12:
        cube = dealer.deal().cube
        usual = trace_orbit(cube, way.orbit, way.buffer, LETTERING)
        if not 1 < usual.memos <= 1500:
            continue
        worth = chance_worth(compared)
        readings = list(every_reading(cube, orbit))
        assert len(readings) == usual.memos
        assert {len(one.letters) for one in readings} == {len(usual.letters)}
        chosen = trace_orbit(cube, way.orbit, way.buffer, LETTERING, StrongestPairs(LETTERING, worth))
        assert total(chosen.letters, worth) == pytest.approx(max(total(one.letters, worth) for one in readings))
        compared += 1


def test_equal_worth_falls_to_the_lowest_letter() -> None:
    for deal in range(8):
        cube = Dealer(seed=deal).deal().cube
        for way in METHOD.ways:
            by_words = trace_orbit(cube, way.orbit, way.buffer, LETTERING, StrongestPairs(LETTERING, lambda pair: 0.5))
            lowest = trace_orbit(cube, way.orbit, way.buffer, LETTERING, lowest_letter(LETTERING))
            assert by_words.letters == lowest.letters


def test_the_cube_with_every_edge_flipped() -> None:
    """Eleven cycles to take in any order, which is the most there can be."""
    edges = geometry(3).orbit("edges")
    cube = Cube.from_pieces({"edges": [(place, 1) for place in range(len(edges.pieces))]})
    way = METHOD.way("edges")
    worth = chance_worth(3)
    reading = trace_orbit(cube, way.orbit, way.buffer, LETTERING, StrongestPairs(LETTERING, worth))
    assert (len(reading.cycles), len(reading.letters)) == (11, 22)
    # Pieces in place are pairs of their own, so each is entered at its better sticker.
    for first, second in reading_pairs(reading):
        assert worth((first, second)) > worth((second, first))


def test_pieces_that_look_alike() -> None:
    geo = geometry(4)
    orbit = next(orbit for orbit in geo.orbits if orbit.alike)
    lettering = load_lettering(size=4)
    cube = Cube.from_turns("Rw U2 Fw D Lw2 B", 4)
    by_words = trace_orbit(cube, orbit, orbit.stickers[0], lettering, StrongestPairs(lettering, lambda pair: 1.0))
    assert by_words.letters == trace_orbit(cube, orbit, orbit.stickers[0], lettering).letters


def test_own_words_are_worth_more_than_suggestions_and_strong_ones_more_than_weak() -> None:
    own = OwnWords([OwnWord("BJ", "bijou", strength=1.0), OwnWord("BK", "bike", strength=0.0)])
    with_own = Finder(LETTERS, own=own)
    words: dict[Pair, Candidate] = {pair: with_own.of(pair, 1)[0] for pair in (("B", "J"), ("B", "K"), ("B", "R"))}
    worth = worth_of(words, with_own)
    assert 1 == worth(("B", "J")) > worth(("B", "K")) > worth(("B", "R")) > worth(("J", "B")) == 0
    assert worth(("Q",)) == next(iter(with_own.of(("Q",), 1))).worth > 0


def sum_of(plan_pairs: list[Pair]) -> float:
    worth = worth_of(covered().words, finder())
    return sum(worth(pair) for pair in plan_pairs)


def test_plans_with_the_policy() -> None:
    policy = words_breaks(METHOD, LETTERING)
    better = 0
    dealer = Dealer(seed=2)
    for _ in range(15):
        cube = dealer.deal().cube
        plans = [make_plan(cube, METHOD, LETTERING, breaks=breaks) for breaks in ("lowest", policy)]
        usual, chosen = ([pair for one in plan.orbits for pair in reading_pairs(one)] for plan in plans)
        assert plans[1].solved and plans[1].letters == plans[0].letters
        assert sum_of(chosen) >= sum_of(usual) - 1e-9
        better += sum_of(chosen) > sum_of(usual) + 1e-6
    assert better > 5


def test_a_strong_word_of_ones_own_is_used() -> None:
    """Whatever pair one knows best is in the memo if some choice of breaks puts it there."""
    cube = next(
        cube
        for cube in (Dealer(seed=seed).deal().cube for seed in range(99))
        if 10 < trace_orbit(cube, METHOD.way("edges").orbit, METHOD.way("edges").buffer, LETTERING).memos < 500
    )
    lowest = set(reading_pairs(make_plan(cube, METHOD, LETTERING).orbits[0]))
    others = {pair for one in every_reading(cube, "edges") for pair in reading_pairs(one) if len(pair) == 2} - lowest
    pair = min(others)
    own = OwnWords([OwnWord("".join(pair), "lighthouse", strength=1.0)])
    plan = make_plan(cube, METHOD, LETTERING, breaks=words_breaks(METHOD, LETTERING, own))
    # A suggestion is worth half at most, so that one own word of full strength outweighs what else may change with it
    # in all but odd cases; this is none.
    assert pair in reading_pairs(plan.orbits[0])
