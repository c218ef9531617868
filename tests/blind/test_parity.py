"""The parity step: found for every exchange of two corners and two edges, and for nothing else."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from nightfold.blind.parity import EXCHANGES, find_parity
from nightfold.cube.geometry import Permutation, identity, permutation_of
from nightfold.cube.notation import parse_turns, write
from nightfold.cube.state import Cube

from . import referee


def exchange(corners: tuple[int, int], twist: int, edges: tuple[int, int], flip: int) -> Permutation:
    """Two corners and two edges exchanged, turned as they go so that doing it twice restores them."""
    placed = {"corners": [(piece, 0) for piece in range(8)], "edges": [(piece, 0) for piece in range(12)]}
    a, b = corners
    placed["corners"][a], placed["corners"][b] = (b, twist), (a, -twist % 3)
    a, b = edges
    placed["edges"][a], placed["edges"][b] = (b, flip), (a, flip)
    return Cube.from_pieces(placed).stickers


def test_every_kind_of_exchange_has_an_algorithm() -> None:
    """Of the 28 x 3 x 66 x 2 = 11,088 exchanges a spread of them; each algorithm is replayed by the referee."""
    every = [
        (corners, twist, edges, flip)
        for corners in combinations(range(8), 2)
        for twist in range(3)
        for edges in combinations(range(12), 2)
        for flip in range(2)
    ]
    assert len(every) == 11_088
    for case in random.Random(3).sample(every, 400):
        wanted = exchange(*case)
        turns = find_parity(wanted)
        assert turns is not None
        assert all(turn.letter in "ULFRBD" and turn.inner == 1 for turn in turns)
        assert len(turns) <= 24
        assert referee.play(write(turns)) == tuple("ULFRBD"[source // 9] for source in wanted)
        assert permutation_of(turns, 3) == wanted


@pytest.mark.parametrize("name", EXCHANGES)
def test_what_the_trade_knows_is_found_again(name: str) -> None:
    """The perms of common practice, no source: held any way, none is found longer than itself."""
    for rotation in ("", "y", "x2", "z y'"):
        text = f"{rotation} {EXCHANGES[name]} {referee.undone(rotation)}"
        wanted = permutation_of(parse_turns(text), 3)
        moved = referee.carries(text)
        assert sorted(map(len, moved)) == [2] * 4 + [3] * 6
        turns = find_parity(wanted)
        assert turns is not None
        assert len(turns) <= len(EXCHANGES[name].split())
        assert permutation_of(turns, 3) == wanted


def test_nothing_to_do() -> None:
    assert find_parity(identity(3)) == ()


@pytest.mark.parametrize(
    "text",
    [
        "R",
        "M2 U M2 U2 M2 U M2",
        "x R U R' D2 R U' R' D2 R2 x'",
        "R U R' U'",
        "R2 U2 R2 U2 R2 U2",
        "R U R' U' R' F R2 U' R' U' R U R' F' D",
        "R U R' U' R' F R2 U' R' U' R U R' F' [z: M' U M' U M' U2 M U M U M U2]",
    ],
)
def test_other_effects_have_none(text: str) -> None:
    """Among them an exchange with two more edges flipped, which also restores itself when done twice."""
    assert find_parity(permutation_of(parse_turns(text), 3)) is None
