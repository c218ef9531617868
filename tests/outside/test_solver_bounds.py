"""The solvers against published bounds and distances."""

from __future__ import annotations

import random
from functools import cache

import pytest

from nightfold.cube.geometry import rotation_permutations
from nightfold.cube.sequences import count
from nightfold.cube.state import Cube
from nightfold.search import pocket, solver
from nightfold.search.native import pack, pack_turns, unpack
from nightfold.search.solver import TURNS, solve, solve_many, solve_packed
from tests.search.states import after, any_hold, random_pocket, random_state, split


@cache
def positions_at(distance: int) -> tuple[bytes, ...]:
    """All positions of the 3x3x3 at just this distance, packed, by breadth-first search with our turns."""
    if distance == 0:
        return (pack(Cube.solved()),)
    before = positions_at(distance - 1)
    reached = after(b"".join(state * len(TURNS) for state in before), pack_turns(TURNS) * len(before))
    nearer = {*before, *(positions_at(distance - 2) if distance > 1 else ())}
    return tuple(sorted(set(split(reached)) - nearer))


@pytest.mark.parametrize(
    ("distance", "positions", "every"),
    [(0, 1, 1), (1, 18, 1), (2, 243, 1), (3, 3240, 1), (4, 43239, 1), (5, 574908, 60)],
)
def test_near_positions_are_solved_in_just_their_distance(distance: int, positions: int, every: int) -> None:
    """Source: the number of positions: Rokicki, Kociemba, Davidson, Dethridge, The Diameter of the Rubik's Cube Group
    Is Twenty, SIAM Review 56 (2014), and the authors' published tables.  All up to distance 4 are solved, optimally
    and by two phases; of distance 5 one in sixty.
    """
    found = positions_at(distance)
    assert len(found) == positions
    looked_at = found[::every]
    for state in looked_at:
        assert len(solve(unpack(state), optimal=True)) == distance
    for solution in solve_packed(b"".join(looked_at), effort=0):
        assert distance <= len(solution) <= 21


def test_phase_one_needs_at_most_12_turns() -> None:
    """Source: Kociemba's two-phase algorithm: phase 1 needs at most 12 and phase 2 at most 18 turns, from memory; how
    many elements lie at each distance in phase 1 is from memory too, and sums up to 2187 * 2048 * 495.
    """
    counts = solver.load_solver().phase_one_counts
    assert counts == [
        1, 4, 50, 592, 7156, 87236, 1043817, 12070278, 124946368, 821605960, 1199128738, 58202444, 476,
    ]  # fmt: skip
    assert sum(counts) == 3**7 * 2**11 * 495
    assert len(counts) - 1 == 12


def test_phase_one_distances_keep_the_bound() -> None:
    """Source: Kociemba's two-phase algorithm: phase 1 needs at most 12 turns, from memory."""
    native, draw = solver.load_solver(), random.Random(12)
    distances = [native.phase_one_distance(pack(random_state(draw))) for _ in range(1000)]
    assert 10 <= max(distances) <= 12
    assert 9 < sum(distances) / len(distances) < 10


def test_phase_two_needs_at_most_18_turns() -> None:
    """Source: Kociemba's two-phase algorithm: phase 2 needs at most 18 turns, from memory."""
    draw = random.Random(18)
    inner = [turn for turn in TURNS if turn.letter in "UD" or turn.amount == 2]
    cubes = [Cube.from_turns(draw.choices(inner, k=60)) for _ in range(400)]
    for cube, solution in zip(cubes, solve_many(cubes, effort=0), strict=True):
        assert cube.apply(solution) == Cube.solved()
        assert len(solution) <= 18


def test_no_state_needs_more_than_20_turns() -> None:
    """Source: Rokicki, Kociemba, Davidson, Dethridge, The Diameter of the Rubik's Cube Group Is Twenty."""
    draw = random.Random(20)
    for solution in solve_many([random_state(draw) for _ in range(100)], longest=20):
        assert count(solution).obtm <= 20


def test_optimal_solutions_keep_the_bound_and_undercut_the_way_there() -> None:
    """Source: none outside; random walks of 10 to 12 turns give an upper bound."""
    draw = random.Random(30)
    for length in (10, 11, 12) * 5:
        cube = any_hold(draw, Cube.from_turns(draw.choices(TURNS, k=length)))
        assert len(solve(cube, optimal=True)) <= length


@pytest.mark.parametrize(
    ("turns", "distance"),
    [
        ("F2 B2 U2 D2 L2 R2", 6),  # checkerboards on all six faces
        ("U D' R L' F B' U D'", 8),  # six spots
        ("R U' L' U R' U' L U", 8),  # three corners
        ("R L' F2 R' L U2", 6),  # three edges
        ("R U R' U R U2 R'", 7),
    ],
)
def test_well_known_positions(turns: str, distance: int) -> None:
    """Source: common practice, no source, from memory: these are the shortest known ways to these positions."""
    for rotation in ("", "x y"):
        assert len(solve(Cube.from_turns(f"{turns} {rotation}"), optimal=True)) == distance


def test_the_superflip_is_solved_in_20() -> None:
    """Source: Rokicki, Kociemba, Davidson, Dethridge: every edge flipped is a position at the greatest distance, 20."""
    flipped = Cube.from_pieces({"edges": [(place, 1) for place in range(12)]})
    assert len(solve(flipped, longest=20)) == 20


def test_the_2x2x2_at_every_distance() -> None:
    """Source: published tables; the sum checks to 3,674,160 (Joyner, Adventures in Group Theory)."""
    counts = pocket.load_solver().counts
    assert counts == [1, 9, 54, 321, 1847, 9992, 50136, 227536, 870072, 1887748, 623800, 2644]
    assert sum(counts) == 3_674_160


def test_the_2x2x2_never_needs_more_than_11_turns() -> None:
    """Source: published tables, as above; the mean distance that follows from them is 8.76."""
    draw = random.Random(11)
    distances = [len(solution) for solution in pocket.solve_many([random_pocket(draw) for _ in range(2000)])]
    assert max(distances) <= 11
    assert abs(sum(distances) / len(distances) - 8.76) < 0.1
    assert all(pocket.distance(Cube(2, held)) == 0 for held in rotation_permutations(2).values())
