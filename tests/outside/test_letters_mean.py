"""How many letters a cube takes: the exact mean, small cases counted out, and a sample of the reading itself."""

from __future__ import annotations

import math
import random
from fractions import Fraction
from itertools import permutations, product

import pytest

from nightfold.blind.lettering import load_lettering
from nightfold.blind.reading import trace_orbit
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube

SAMPLE = 20_000


def expected_letters(pieces: int, ways: int) -> Fraction:
    """The mean number of letters over all states of ``pieces`` pieces that each sit ``ways`` ways round.

    Every piece but the buffer's that is away from its place takes one letter: (n-1)²/n on average.  Every cycle of
    two or more pieces that the buffer is not in takes one letter more, the break; a random permutation has H_n
    cycles, of which one is the buffer's and (n-1)/n on average are other pieces in their places.  A piece in its
    place is turned with probability (o-1)/o and then takes two letters.
    """
    n, o = pieces, ways
    harmonic = sum((Fraction(1, k) for k in range(1, n + 1)), Fraction(0))
    away = Fraction((n - 1) ** 2, n)
    breaks = harmonic - 1 - Fraction(n - 1, n)
    in_place = 2 * Fraction(n - 1, n) * Fraction(o - 1, o)
    return away + breaks + in_place


def letters_by_swapping(order: tuple[int, ...], turned: tuple[int, ...], ways: int) -> int:
    """Letters of one abstract state, by making the swaps: piece 0 is the buffer's, ``order[place]`` the piece there."""
    at, turn = list(order), list(turned)
    letters = 0
    while True:
        if at[0] == 0:
            wrong = [place for place in range(1, len(at)) if at[place] != place or turn[place]]
            if not wrong:
                return letters
            target, offset = wrong[0], 0
        else:
            target, offset = at[0], turn[0]
        # The buffer's piece goes to the target at the sticker it belongs at, what is there comes to the buffer.
        at[0], at[target] = at[target], at[0]
        turn[0], turn[target] = (turn[target] + offset) % ways, (turn[0] - offset) % ways
        letters += 1


@pytest.mark.parametrize(("pieces", "ways"), [(3, 2), (3, 3), (4, 2), (4, 3), (5, 2), (5, 3)])
def test_the_mean_of_small_cases_counted_out(pieces: int, ways: int) -> None:
    """Every order and every way round with orientations adding up to 0, traced one by one; no source is needed."""
    total = number = 0
    for order in permutations(range(pieces)):
        for turned in product(range(ways), repeat=pieces):
            if sum(turned) % ways == 0:
                total += letters_by_swapping(order, turned, ways)
                number += 1
    assert number == math.factorial(pieces) * ways ** (pieces - 1)
    assert Fraction(total, number) == expected_letters(pieces, ways)


def test_the_exact_means() -> None:
    """Edges 12.19 letters and corners 8.13: derived above, compared with the sums written out by hand."""
    assert expected_letters(12, 2) == Fraction(121, 12) + (Fraction(86021, 27720) - Fraction(23, 12)) + Fraction(11, 12)
    assert expected_letters(8, 3) == Fraction(49, 8) + (Fraction(761, 280) - Fraction(15, 8)) + Fraction(7, 6)


def test_about_twenty_pieces_of_information() -> None:
    """Common practice, no source: about twenty pieces of information describe a 3x3x3."""
    assert 20 < expected_letters(12, 2) + expected_letters(8, 3) < 21


def odd(order: list[int]) -> bool:
    """Whether a permutation is odd, by its cycles."""
    seen, even_cycles = set[int](), 0
    for start in range(len(order)):
        length, at = 0, start
        while at not in seen:
            seen.add(at)
            at, length = order[at], length + 1
        even_cycles += length > 0 and length % 2 == 0
    return even_cycles % 2 == 1


def random_state(rng: random.Random) -> Cube:
    """A uniformly random state that turns can reach: equal parities, orientations that add up to 0."""
    corners, edges = rng.sample(range(8), 8), rng.sample(range(12), 12)
    if odd(corners) != odd(edges):
        # Exchanging two edges maps the wrong half of all pairs one to one onto the right half.
        edges[0], edges[1] = edges[1], edges[0]
    twists = [rng.randrange(3) for _ in range(7)]
    flips = [rng.randrange(2) for _ in range(11)]
    return Cube.from_pieces(
        {
            "corners": list(zip(corners, [*twists, -sum(twists) % 3], strict=True)),
            "edges": list(zip(edges, [*flips, sum(flips) % 2], strict=True)),
        }
    )


def test_a_random_state_is_one_that_turns_can_reach() -> None:
    """What the sample draws is read to the end with both counts odd or both even; no source is needed."""
    rng = random.Random(1)
    lettering, geo = load_lettering(), geometry(3)
    for _ in range(300):
        cube = random_state(rng)
        counts = {
            len(trace_orbit(cube, geo.orbit(name), geo.sticker(buffer), lettering).letters) % 2
            for name, buffer in (("edges", "DF"), ("corners", "UFR"))
        }
        assert len(counts) == 1


@pytest.mark.parametrize(
    ("name", "buffer", "pieces", "ways"), [("edges", "UR", 12, 2), ("corners", "LUB", 8, 3)], ids=["edges", "corners"]
)
def test_the_mean_of_a_sample(name: str, buffer: str, pieces: int, ways: int) -> None:
    """Over 20,000 random states the reading's mean lies within four standard errors of the exact one.

    Derived from uniform random permutations and orientations; no source is needed.
    """
    rng = random.Random(20_000)
    geo, lettering = geometry(3), load_lettering()
    orbit, at = geo.orbit(name), geo.sticker(buffer)
    counts = [len(trace_orbit(random_state(rng), orbit, at, lettering).targets) for _ in range(SAMPLE)]
    mean = sum(counts) / SAMPLE
    variance = sum((count - mean) ** 2 for count in counts) / (SAMPLE - 1)
    assert abs(mean - float(expected_letters(pieces, ways))) < 4 * math.sqrt(variance / SAMPLE)
    assert variance > 1
