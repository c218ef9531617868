"""The solver of the 2x2x2: always the fewest turns, held in any way."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import given, settings

from nightfold.cube.errors import GeometryError, ImpossibleCubeError
from nightfold.cube.geometry import Permutation, geometry, rotation_permutations, turn_permutation
from nightfold.cube.notation import Turn
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube
from nightfold.search import pocket
from nightfold.search.native import core, pack_turns
from nightfold.search.solver import TURNS as ALL_TURNS
from tests.search.states import random_pocket
from tests.strategies import sequences


def plain_distances(depth: int) -> dict[Permutation, int]:
    """Every 2x2x2 up to ``depth`` turns of any face from a solved one held in any of the 24 ways."""
    turns = [turn_permutation(2, turn) for turn in ALL_TURNS]
    found = dict.fromkeys(rotation_permutations(2).values(), 0)
    here = list(found)
    for distance in range(1, depth + 1):
        new = {tuple(state[place] for place in turn) for state in here for turn in turns}
        here = [state for state in new if state not in found]
        found |= dict.fromkeys(here, distance)
    return found


def test_distances_against_a_plain_breadth_first_search_with_all_faces() -> None:
    distances = plain_distances(4)
    assert Counter(distances.values()) == {0: 24, 1: 24 * 9, 2: 24 * 54, 3: 24 * 321, 4: 24 * 1847}
    draw = random.Random(2)
    for distance in range(5):
        chosen = [state for state, far in distances.items() if far == distance]
        for state in draw.sample(chosen, min(len(chosen), 600)):
            assert pocket.distance(Cube(2, state)) == distance


def test_random_states_are_solved_in_at_most_11_turns() -> None:
    draw = random.Random(222)
    cubes = [random_pocket(draw) for _ in range(2000)]
    solutions = pocket.solve_many(cubes)
    for cube, solution in zip(cubes, solutions, strict=True):
        assert cube.apply(solution).is_solved
        assert len(solution) <= pocket.GREATEST_DISTANCE
        assert cancel(solution) == solution
    assert Counter(map(len, solutions)).most_common(1)[0][0] == 9


def test_distances_of_neighbours_differ_by_one_turn_at_most() -> None:
    draw = random.Random(22)
    for _ in range(50):
        cube = random_pocket(draw)
        far = pocket.distance(cube)
        beside = {pocket.distance(cube.apply((turn,))) for turn in ALL_TURNS}
        assert beside <= {far - 1, far, far + 1}
        assert far - 1 in beside or far == 0


@settings(max_examples=80)
@given(sequences(2, 30))
def test_a_scramble_makes_the_very_cube(turns: tuple[Turn, ...]) -> None:
    cube = Cube.from_turns(turns, 2)
    scramble = pocket.scramble_for(cube)
    assert Cube.from_turns(scramble, 2) == cube
    held = [turn.is_rotation for turn in scramble]
    assert held == sorted(held)
    assert len(held) - sum(held) == pocket.distance(cube)


@settings(max_examples=40)
@given(sequences(2, 30))
def test_the_corner_dbl_stays_where_it_is(turns: tuple[Turn, ...]) -> None:
    cube = Cube.from_turns(turns, 2)
    stickers = geometry(2).piece_of(geometry(2).sticker("DBL"))
    solved = cube.apply(pocket.solve(cube))
    assert [solved.stickers.index(s) for s in stickers] == [cube.stickers.index(s) for s in stickers]


def test_solved_in_every_hold_needs_nothing() -> None:
    for permutation in rotation_permutations(2).values():
        assert pocket.solve(Cube(2, permutation)) == ()


def test_impossible_and_other_cubes_are_refused() -> None:
    twisted = Cube.from_pieces({"corners": [(n, int(n == 4)) for n in range(8)]}, 2)
    for cube in (twisted, twisted.apply("R U x")):
        with pytest.raises(ImpossibleCubeError, match="one corner is twisted"):
            pocket.solve(cube)
    for apart in (Cube(2, (1, 0, *range(2, 24))), Cube(2, (0,) * 24)):
        with pytest.raises(ImpossibleCubeError, match="come apart"):
            pocket.solve(apart)
    with pytest.raises(GeometryError, match="2x2x2 only"):
        pocket.solve(Cube.solved(3))


def test_the_native_core_refuses_what_does_not_fit() -> None:
    turns = pack_turns(pocket.TURNS)
    with pytest.raises(ValueError, match="just one corner"):
        core.build_pocket(pack_turns(turn for turn in ALL_TURNS if turn.letter in "ULR"))
    with pytest.raises(ValueError, match="9 turns"):
        core.build_pocket(turns[32:])
    with pytest.raises(ValueError, match="every state"):
        core.build_pocket(pack_turns([*pocket.TURNS[3:], *pocket.TURNS[1:2] * 3]))
    with pytest.raises(ValueError, match="not the tables"):
        core.Pocket(turns, bytes(100))
