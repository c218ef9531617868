"""The solver of the 3x3x3: every solution solves, short enough, the same each time; and what it says when it cannot."""

from __future__ import annotations

import itertools
import random
import signal
import subprocess
import sys
import threading
from functools import cache

import pytest
from hypothesis import given, settings

from nightfold.cube.errors import GeometryError, ImpossibleCubeError, NightfoldError
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn
from nightfold.cube.sequences import cancel, count, rotate
from nightfold.cube.state import Cube
from nightfold.search import solver
from nightfold.search.native import BYTES, core, pack, pack_turns
from nightfold.search.solver import (
    TURNS,
    SolvingError,
    SolvingStoppedError,
    scramble_for,
    solve,
    solve_many,
    solve_packed,
    symmetries,
)
from tests.search.states import after, any_hold, packed_solved, random_state, split
from tests.strategies import sequences

#: Every edge flipped: one of the hardest positions.
SUPERFLIP = "U R2 F B R B2 R U2 L B2 R U' D' R2 F R' L B2 U2 F2"

PACKED = dict(zip(TURNS, split(pack_turns(TURNS)), strict=True))


@cache
def states() -> tuple[Cube, ...]:
    draw = random.Random(20_24)
    return tuple(random_state(draw) for _ in range(10_000))


# --- two phases -----------------------------------------------------------------------------------------------


def test_ten_thousand_random_states_are_solved_in_at_most_21_turns() -> None:
    packed = b"".join(pack(cube) for cube in states())
    solutions = solve_packed(packed)
    assert len(solutions) == len(states())
    lengths = [len(solution) for solution in solutions]
    assert max(lengths) <= 21
    assert sum(lengths) / len(lengths) < 20
    for cube, solution in zip(states()[:500], solutions, strict=False):
        assert cube.apply(solution) == Cube.solved()
    for step in range(21):
        still = pack(Cube.solved())
        turns = b"".join(PACKED[s[step]] if step < len(s) else still for s in solutions)
        packed = after(packed, turns)
    assert packed == packed_solved(len(states()))


def test_a_solution_wastes_no_turn() -> None:
    for solution in solve_many(states()[:300]):
        assert set(solution) <= set(TURNS)
        assert cancel(solution) == solution
        assert count(solution).obtm == len(solution)


def test_the_same_answer_whatever_the_threads_and_the_order() -> None:
    cubes = states()[:300]
    once = solve_many(cubes, threads=1)
    assert solve_many(cubes, threads=2) == once
    assert solve_many(cubes[::-1], threads=5)[::-1] == once
    assert [solve(cube) for cube in cubes[:20]] == once[:20]


def test_20_turns_are_always_enough() -> None:
    solutions = solve_many(states()[:150], longest=20)
    assert max(map(len, solutions)) <= 20


def test_more_effort_never_makes_a_solution_longer() -> None:
    lengths = [[len(s) for s in solve_many(states()[:200], effort=effort)] for effort in (0, 1000, 5000)]
    for less, more in itertools.pairwise(lengths):
        assert all(a >= b for a, b in zip(less, more, strict=True))
        assert sum(less) > sum(more)


def test_hard_and_even_states() -> None:
    superflip = Cube.from_turns(SUPERFLIP)
    assert len(solve(superflip)) <= 21
    assert len(solve(superflip, longest=20)) == 20
    for text in ("", "M2 E2 S2", "U2 D2", "R2 U2 R2 U2 R2 U2", f"{SUPERFLIP} M2 E2 S2"):
        cube = Cube.from_turns(text)
        assert cube.apply(solve(cube)).is_solved
    assert solve(Cube.solved()) == solve(Cube.from_turns("x y'")) == ()


def test_no_way_of_one_to_four_turns_that_ends_outside_leads_back_into_the_subgroup() -> None:
    """What lets the search leave out such ways; of five turns there are some."""
    inner = {turn for turn in TURNS if turn.letter in "UD" or turn.amount == 2}
    axis = {face: number % 3 for number, face in enumerate("ULFDRB")}
    # Of parallel turns the one of the later face does not come first: such a way can be written the other way round.
    follow = {
        last: [t for t in TURNS if axis[t.letter] != axis[last.letter] or t.letter > last.letter] for last in TURNS
    }
    walks: list[tuple[bytes, Turn]] = [(PACKED[turn], turn) for turn in TURNS]
    back = []
    while True:
        back.append(sum(in_subgroup(state) for state, last in walks if last not in inner))
        if len(back) == 5:
            break
        longer = [(state, turn) for state, last in walks for turn in follow[last]]
        states = after(b"".join(state for state, _ in longer), b"".join(PACKED[turn] for _, turn in longer))
        walks = [(state, turn) for state, (_, turn) in zip(split(states), longer, strict=True)]
    assert back[:4] == [0, 0, 0, 0]
    assert back[4] > 0


def in_subgroup(state: bytes) -> bool:
    """No piece turned, and the middle edges in the middle layer."""
    return max(state[:12]) < 16 and max(state[16:24]) < 16 and min(state[8:12]) >= 8


def test_distances_of_phase_one_against_a_plain_breadth_first_search() -> None:
    turns = pack_turns(TURNS)

    def coset(state: bytes) -> bytes:
        flips, twists = bytes(b >> 4 for b in state[:12]), bytes(b >> 4 for b in state[16:24])
        return flips + twists + bytes((b & 15) >= 8 for b in state[:12])

    seen = {coset(pack(Cube.solved())): pack(Cube.solved())}
    here = list(seen.values())
    found = [1]
    native = solver.load_solver()
    for depth in range(1, 6):
        reached = after(b"".join(state * 18 for state in here), turns * len(here))
        new = {coset(state): state for state in split(reached)}
        here = [state for key, state in new.items() if key not in seen]
        seen |= {coset(state): state for state in here}
        found.append(len(here))
        for state in random.Random(depth).sample(here, min(len(here), 3000)):
            assert native.phase_one_distance(state) == depth
    assert found == native.phase_one_counts[:6]


# --- optimal --------------------------------------------------------------------------------------------------


def test_optimal_is_never_longer_than_the_way_there_nor_than_two_phases() -> None:
    draw = random.Random(12)
    for length in (9, 10, 11, 12) * 3:
        cube = any_hold(draw, Cube.from_turns(draw.choices(TURNS, k=length)))
        best = solve(cube, optimal=True)
        assert cube.apply(best).is_solved
        assert len(best) <= min(length, len(solve(cube)))


def test_optimal_distances_of_neighbours_differ_by_one_turn_at_most() -> None:
    draw = random.Random(11)
    cube = Cube.from_turns(draw.choices(TURNS, k=10))
    distance = len(solve(cube, optimal=True))
    beside = [len(solve(cube.apply((turn,)), optimal=True)) for turn in TURNS]
    assert set(beside) <= {distance - 1, distance, distance + 1}
    assert distance - 1 in beside


def test_optimal_is_the_same_with_any_number_of_threads() -> None:
    draw = random.Random(10)
    for _ in range(6):
        cube = Cube.from_turns(draw.choices(TURNS, k=13))
        assert len({solve(cube, optimal=True, threads=threads) for threads in (1, 2, 3)}) == 1


def test_optimal_of_a_cube_and_of_its_inverse_are_equally_long() -> None:
    draw = random.Random(9)
    for _ in range(10):
        cube = Cube.from_turns(draw.choices(TURNS, k=11))
        assert len(solve(cube, optimal=True)) == len(solve(cube.inverse(), optimal=True))


def test_optimal_says_when_the_longest_is_too_short() -> None:
    cube = Cube.from_turns("R U F' L2 D B")
    assert len(solve(cube, optimal=True, longest=6)) == 6
    with pytest.raises(SolvingError, match="more than 5 turns"):
        solve(cube, optimal=True, longest=5)
    with pytest.raises(SolvingError, match="more than 1 turn:"):
        solve(cube, optimal=True, longest=1)
    assert solve(Cube.solved(), optimal=True, longest=0) == ()


# --- held in any way ------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(sequences(3, 40))
def test_a_cube_is_solved_as_it_is_held(turns: tuple[Turn, ...]) -> None:
    cube = Cube.from_turns(turns)
    solved = cube.apply(solve(cube))
    assert solved.is_solved
    centres = geometry(3).fixed_centres.values()
    assert all(solved.stickers[centre] == cube.stickers[centre] for centre in centres)


@settings(max_examples=60)
@given(sequences(3, 40))
def test_a_scramble_makes_the_very_cube(turns: tuple[Turn, ...]) -> None:
    cube = Cube.from_turns(turns)
    scramble = scramble_for(cube)
    assert Cube.from_turns(scramble) == cube
    held = [turn.is_rotation for turn in scramble]
    assert held == sorted(held)
    assert sum(held) <= 2
    assert count(scramble).obtm <= 21


def test_an_optimal_scramble() -> None:
    cube = Cube.from_turns("R U F' x y2")
    assert [str(turn) for turn in scramble_for(cube, optimal=True)][:3] == ["R", "U", "F'"]


# --- what cannot be done --------------------------------------------------------------------------------------


def with_pieces(orbit: str, changes: dict[int, tuple[int, int]]) -> Cube:
    placed = list(Cube.solved().pieces(orbit))
    for place, piece in changes.items():
        placed[place] = piece
    return Cube.from_pieces({orbit: placed})


@pytest.mark.parametrize(
    ("cube", "said"),
    [
        (with_pieces("edges", {3: (3, 1)}), "one edge is flipped"),
        (with_pieces("corners", {5: (5, 1)}), "one corner is twisted clockwise"),
        (with_pieces("corners", {0: (1, 0), 1: (0, 0)}), "two pieces are exchanged"),
        (with_pieces("edges", {3: (3, 1)}).apply("R U x"), "one edge is flipped"),
        (Cube(3, (*range(1, 54), 0)), "come apart"),
        (Cube(3, (4, *range(1, 4), 0, *range(5, 54))), "come apart"),
        (Cube(3, tuple({1: 3, 3: 1}.get(n, n) for n in range(54))), "come apart"),
    ],
)
def test_impossible_cubes_are_named(cube: Cube, said: str) -> None:
    for optimal in (False, True):
        with pytest.raises(ImpossibleCubeError, match=said):
            solve(cube, optimal=optimal)
    with pytest.raises(ImpossibleCubeError, match=said):
        scramble_for(cube)
    with pytest.raises(ImpossibleCubeError, match=said):
        solve_many([Cube.solved(), cube])


def test_packed_states_are_checked_too() -> None:
    flipped = pack(with_pieces("edges", {3: (3, 1)}))
    with pytest.raises(ImpossibleCubeError, match="no turns lead to cube 2"):
        solve_packed(packed_solved(2) + flipped)
    for damage in (b"\xff" * BYTES, bytes(BYTES), pack(Cube.from_turns("x"))):
        with pytest.raises(ImpossibleCubeError, match="no turns lead to cube 0"):
            solve_packed(damage)
    with pytest.raises(NightfoldError, match="32 bytes a cube"):
        solve_packed(packed_solved(1)[:-1])
    assert solve_packed(b"") == []


@pytest.mark.parametrize("size", [2, 4, 7])
def test_other_sizes_are_refused(size: int) -> None:
    with pytest.raises(GeometryError, match="3x3x3 only"):
        solve(Cube.solved(size))


def test_promises_that_cannot_be_kept_are_refused() -> None:
    for longest in (-1, 0, 19, 31):
        with pytest.raises(SolvingError, match="20 to 30"):
            solve(Cube.solved(), longest=longest)
    for longest in (-1, 31):
        with pytest.raises(SolvingError, match="0 to 30"):
            solve(Cube.solved(), longest=longest, optimal=True)
    with pytest.raises(SolvingError, match="less than none"):
        solve(Cube.solved(), effort=-1)


def test_the_native_core_refuses_what_does_not_fit() -> None:
    turns, symmetric = pack_turns(TURNS), symmetries()
    axes = b"".join(pack(Cube.from_turns(text)) for text in ("", "x", "z"))
    with pytest.raises(ValueError, match="not the tables"):
        core.TwoPhase(turns, symmetric, axes, bytes(1 << 16))
    with pytest.raises(ValueError, match="18 turns"):
        core.TwoPhase(turns[BYTES:], symmetric, axes, b"")
    with pytest.raises(ValueError, match="18 turns of the faces"):
        core.build_two_phase(turns[:BYTES] * 18, symmetric, 1)
    sideways = [bytes(TURNS.index(turn) for turn in rotate(TURNS, "x")), bytes(range(18))]
    back = sideways[0].index
    for at in range(0, len(symmetric), 18):
        one = symmetric[at : at + 18]
        sideways.append(bytes(sideways[0][one[back(n)]] for n in range(18)))
    with pytest.raises(ValueError, match="do not keep the axis"):
        core.build_two_phase(turns, b"".join(sideways[2:]), 1)
    with pytest.raises(ValueError, match="no group"):
        core.build_two_phase(turns, symmetric[:-18] + bytes(range(17, -1, -1)), 1)
    with pytest.raises(ValueError, match="does not exist"):
        core.build_two_phase(turns, b"\xff" * 288, 1)


# --- stopping -------------------------------------------------------------------------------------------------


def long_search() -> Cube:
    """A cube whose optimal solution takes hours."""
    return Cube.from_turns(SUPERFLIP)


def test_progress_is_told_and_can_stop_a_search() -> None:
    told: list[tuple[int, int]] = []

    def progress(depth: int, nodes: int) -> bool:
        told.append((depth, nodes))
        return len(told) < 4

    with pytest.raises(SolvingStoppedError, match="stopped before"):
        solve(long_search(), optimal=True, progress=progress)
    assert len(told) == 4
    assert told == sorted(told)
    assert told[-1][1] > told[0][1]
    assert all(10 <= depth <= 20 for depth, _ in told)


def test_a_search_stops_amid_a_depth() -> None:
    told = [0]

    def progress(depth: int, nodes: int) -> bool:
        told[0] = nodes
        return depth < 16  # which takes many millions of nodes

    finished, nodes = solver.load_solver().optimal(pack(long_search()), bytearray(32), 20, 2, progress)
    assert not finished
    assert nodes < told[0] + 200_000


def test_an_exception_in_progress_comes_through() -> None:
    def progress(depth: int, nodes: int) -> None:
        raise LookupError(depth)

    with pytest.raises(LookupError):
        solve(long_search(), optimal=True, progress=progress)


def test_a_batch_can_be_stopped() -> None:
    packed = pack(long_search()) * 300
    with pytest.raises(SolvingStoppedError, match="every solution"):
        solve_packed(packed, longest=20, progress=lambda solved, nodes: False)


def test_other_threads_run_while_one_solves() -> None:
    """The interpreter's lock is free meanwhile: a thread that counts until the search ends gets somewhere."""
    counted, over = 0, threading.Event()

    def counting() -> None:
        nonlocal counted
        while not over.is_set():
            counted += 1

    ticks: list[int] = []

    def progress(depth: int, nodes: int) -> bool:
        ticks.append(counted)
        return len(ticks) < 3

    thread = threading.Thread(target=counting)
    thread.start()
    try:
        with pytest.raises(SolvingStoppedError):
            solve(long_search(), optimal=True, threads=1, progress=progress)
    finally:
        over.set()
        thread.join()
    assert ticks[0] < ticks[1] < ticks[2]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows sends no SIGINT to one process")
def test_ctrl_c_stops_a_long_search() -> None:
    script = f"""
from nightfold.cube.state import Cube
from nightfold.search.solver import solve
try:
    solve(Cube.from_turns({SUPERFLIP!r}), optimal=True, progress=lambda depth, nodes: print(depth, flush=True))
except KeyboardInterrupt:
    print("stopped", flush=True)
"""
    with subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip().isdigit()
        process.send_signal(signal.SIGINT)
        said, _ = process.communicate(timeout=60)
    assert said.splitlines()[-1] == "stopped"
    assert process.returncode == 0
