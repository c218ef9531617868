"""How many positions lie at each distance from solved, counted with our turns, against the published tables."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import numpy.typing as npt
import pytest

from nightfold.cube.geometry import geometry, inverse, turn_permutation
from nightfold.cube.notation import Turn
from nightfold.cube.state import Cube

Table = npt.NDArray[np.int32]

HALF_TURN_METRIC = (1, 2, -1)
QUARTER_TURN_METRIC = (1, -1)


def counts_3x3x3(amounts: tuple[int, ...], depth: int) -> list[int]:
    """Positions of the 3x3x3 at each exact distance up to ``depth``, by breadth-first search.

    A position is told by where one sticker of each piece has gone: 20 bytes.
    """
    geo = geometry(3)
    solved = bytes(piece[0] for name in ("corners", "edges") for piece in geo.orbit(name).pieces)
    tables = [
        bytes(inverse(turn_permutation(3, Turn(face, 1, 1, amount)))).ljust(256, b"\0")
        for face in "ULFRBD"
        for amount in amounts
    ]
    # Every turn can be taken back by a turn, so from one distance one reaches only the next, this and the last.
    before: set[bytes] = set()
    here = {solved}
    counts = [1]
    for _ in range(depth):
        after = {state.translate(table) for state in here for table in tables}
        after -= here
        after -= before
        before, here = here, after
        counts.append(len(here))
    return counts


def test_3x3x3_half_turn_metric() -> None:
    """Source: Rokicki, Kociemba, Davidson, Dethridge, The Diameter of the Rubik's Cube Group Is Twenty,
    SIAM Review 56 (2014), and the authors' published tables.
    """
    assert counts_3x3x3(HALF_TURN_METRIC, 5) == [1, 18, 243, 3240, 43239, 574908]


def test_3x3x3_quarter_turn_metric() -> None:
    """Source: the published tables of Rokicki, Kociemba, Davidson and Dethridge, as for the half-turn metric."""
    assert counts_3x3x3(QUARTER_TURN_METRIC, 6) == [1, 12, 114, 1068, 10011, 93840, 878880]


def _tables_2x2x2(amounts: tuple[int, ...]) -> tuple[list[Table], list[Table]]:
    """For each turn of R, U and F what it makes of each arrangement and of each twisting of seven corners.

    The corner DBL is held.  The twists by place after a turn depend on the twists before alone, so the two kinds of
    table are independent.
    """
    corners = geometry(2).orbit("corners").pieces
    held = next(n for n, piece in enumerate(corners) if geometry(2).piece_name(piece[0]) == "DBL")
    moving = [n for n in range(8) if n != held]
    orders = list(permutations(range(7)))
    order_number = {order: number for number, order in enumerate(orders)}
    # The twists add up to a multiple of three, so six of them tell the seventh.
    twists = [(*six, -sum(six) % 3) for six in product(range(3), repeat=6)]
    twist_number = {twist: number for number, twist in enumerate(twists)}
    arranging, twisting = [], []
    for face in "RUF":
        for amount in amounts:
            placed = Cube.from_turns((Turn(face, 1, 1, amount),), 2).pieces("corners")
            assert placed[held] == (held, 0)
            came_from = [moving.index(placed[place][0]) for place in moving]
            turned = [placed[place][1] for place in moving]
            arranging.append(np.array([order_number[tuple(o[i] for i in came_from)] for o in orders], dtype=np.int32))
            twisting.append(
                np.array(
                    [
                        twist_number[tuple((t[i] + more) % 3 for i, more in zip(came_from, turned, strict=True))]
                        for t in twists
                    ],
                    dtype=np.int32,
                )
            )
    return arranging, twisting


def counts_2x2x2(amounts: tuple[int, ...]) -> list[int]:
    """Positions of the 2x2x2 at each exact distance, all of them."""
    arranging, twisting = _tables_2x2x2(amounts)
    unseen = np.ones(5040 * 729, dtype=bool)
    here = np.array([0], dtype=np.int32)
    counts = []
    while len(here):
        unseen[here] = False
        counts.append(len(here))
        order, twist = here // 729, here % 729
        reached = np.zeros(len(unseen), dtype=bool)
        for arrange, turn in zip(arranging, twisting, strict=True):
            reached[arrange[order] * 729 + turn[twist]] = True
        here = np.flatnonzero(reached & unseen).astype(np.int32)
    return counts


def test_2x2x2_half_turn_metric() -> None:
    """Source: published tables; the sum checks to 3,674,160 (Joyner, Adventures in Group Theory)."""
    counts = counts_2x2x2(HALF_TURN_METRIC)
    assert counts == [1, 9, 54, 321, 1847, 9992, 50136, 227536, 870072, 1887748, 623800, 2644]
    assert sum(counts) == 3_674_160


def test_2x2x2_quarter_turn_metric() -> None:
    """Source: from memory; the sum checks to 3,674,160 (Joyner, Adventures in Group Theory)."""
    counts = counts_2x2x2(QUARTER_TURN_METRIC)
    assert counts == [
        1, 6, 27, 120, 534, 2256, 8969, 33058, 114149, 360508, 930588, 1350852, 782536, 90280, 276,
    ]  # fmt: skip
    assert sum(counts) == 3_674_160


@pytest.mark.parametrize("amounts", [HALF_TURN_METRIC, QUARTER_TURN_METRIC])
def test_2x2x2_tables_agree_with_the_cube(amounts: tuple[int, ...]) -> None:
    """Source: none outside; this ties the tables counted above to the turns of ``Cube`` on longer sequences."""
    arranging, twisting = _tables_2x2x2(amounts)
    turns = [Turn(face, 1, 1, amount) for face in "RUF" for amount in amounts]
    generator = np.random.default_rng(3_674_160)
    corners = geometry(2).orbit("corners").pieces
    moving = [n for n in range(8) if geometry(2).piece_name(corners[n][0]) != "DBL"]
    orders = list(permutations(range(7)))
    for _ in range(50):
        picked = [int(pick) for pick in generator.integers(0, len(turns), 12)]
        order = twist = 0
        for pick in picked:
            order, twist = int(arranging[pick][order]), int(twisting[pick][twist])
        placed = Cube.from_turns([turns[pick] for pick in picked], 2).pieces("corners")
        assert tuple(moving.index(placed[place][0]) for place in moving) == orders[order]
        assert sum(placed[place][1] * 3**n for n, place in enumerate(reversed(moving[:-1]))) == twist
