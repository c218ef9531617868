"""Solving: scrambles a second, tables, optimal search and the 2x2x2, beside plain Python."""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from statistics import mean
from typing import TypeVar

from benchmarks.harness import process, report, seconds
from nightfold.cube.geometry import Permutation, geometry, rotation_permutations, turn_permutation
from nightfold.cube.net import is_odd
from nightfold.cube.notation import Turn
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube
from nightfold.search import pocket, solver
from nightfold.search.native import core, pack, pack_turns
from nightfold.search.solver import TURNS, processors, solve_many, solve_packed, symmetries

Result = TypeVar("Result")

PERMUTATIONS = [turn_permutation(3, turn) for turn in TURNS]


def timed(work: Callable[[], Result]) -> tuple[Result, float]:
    """What ``work`` gives, and the seconds it took."""
    start = time.perf_counter()
    result = work()
    return result, time.perf_counter() - start


def random_states(count: int, seed: int = 3) -> list[Cube]:
    """Random states of the 3x3x3, each equally likely."""
    draw = random.Random(seed)
    cubes = []
    for _ in range(count):
        corners, edges = draw.sample(range(8), 8), draw.sample(range(12), 12)
        if is_odd(corners) != is_odd(edges):
            edges[0], edges[1] = edges[1], edges[0]
        twists, flips = draw.choices(range(3), k=7), draw.choices(range(2), k=11)
        placed = {
            "corners": list(zip(corners, [*twists, -sum(twists) % 3], strict=True)),
            "edges": list(zip(edges, [*flips, sum(flips) % 2], strict=True)),
        }
        cubes.append(Cube.from_pieces(placed))
    return cubes


def random_walks(count: int, length: int, size: int = 3) -> list[Cube]:
    """Cubes ``length`` random face turns from solved, none of which take one another back."""
    draw = random.Random(length)
    cubes = []
    for _ in range(count):
        turns: tuple[Turn, ...] = ()
        while len(turns) < length:
            turns = cancel((*turns, draw.choice(TURNS)))
        cubes.append(Cube.from_turns(turns, size))
    return cubes


# --- plain Python ----------------------------------------------------------------------------------------------


def plain_deepening(cube: Cube) -> tuple[int, int]:
    """The distance of a 3x3x3 by iterative deepening without any table, and how many nodes that took."""
    solved = Cube.solved().stickers
    nodes = 0

    def reach(state: Permutation, left: int, last: int) -> bool:
        nonlocal nodes
        nodes += 1
        if left == 0:
            return state == solved
        return any(
            reach(tuple(state[i] for i in turn), left - 1, number // 3)
            for number, turn in enumerate(PERMUTATIONS)
            if number // 3 != last
        )

    depth = 0
    while not reach(cube.stickers, depth, -1):
        depth += 1
    return depth, nodes


def plain_phase_one(depth: int) -> int:
    """How many elements of phase 1 a breadth-first search on tuples finds up to ``depth`` turns."""
    edges = geometry(3).orbit("edges").pieces
    first = {piece[0] for name in ("corners", "edges") for piece in geometry(3).orbit(name).pieces}
    middle = {sticker for piece in edges[8:] for sticker in piece}
    start = tuple((place in first) + 2 * (place in middle) for place in range(54))
    seen, here = {start}, {start}
    for _ in range(depth):
        here = {tuple(state[i] for i in turn) for state in here for turn in PERMUTATIONS} - seen
        seen |= here
    return len(seen)


def plain_pocket(cube: Cube) -> int:
    """The distance of a 2x2x2 by breadth-first search from both ends."""
    turns = [turn_permutation(2, turn) for turn in pocket.TURNS]
    found = [{cube.stickers}, set(rotation_permutations(2).values())]
    rims = [set(end) for end in found]
    depth = 0
    while not found[0] & found[1]:
        side = int(len(rims[1]) < len(rims[0]))
        rims[side] = {tuple(state[i] for i in turn) for state in rims[side] for turn in turns} - found[side]
        found[side] |= rims[side]
        depth += 1
    return depth


# --- the measurements ------------------------------------------------------------------------------------------


def run() -> None:
    """Measure and report."""
    _tables()
    _two_phases()
    _optimal()
    _pocket()


def _tables() -> None:
    turns, symmetric = pack_turns(TURNS), symmetries()
    build = min(timed(lambda: core.build_two_phase(turns, symmetric, processors()))[1] for _ in range(3))
    found, plain = timed(lambda: plain_phase_one(5))
    hours = sum(solver.load_solver().phase_one_counts) * plain / found / 3600
    reference = f"plain breadth-first search {hours:,.1f} h, reckoned from its first {found:,} elements"
    report(f"tables built, {processors()} threads", f"{build:.2f} s", reference, "5 s")
    load = seconds(solver.load_solver)
    report("tables loaded and checked", f"{load * 1e3:.1f} ms", f"building them {build * 1e3:,.0f} ms", "50 ms")

    script = "from nightfold.search.solver import load_solver; load_solver()"
    bare = process([sys.executable, "-c", "import nightfold.search.solver"], rounds=1)[1]
    loaded = process([sys.executable, "-c", script], rounds=1)[1]
    with tempfile.TemporaryDirectory() as folder:
        # The first of the two processes finds no tables there, and the greater peak counts.
        there = f"import os; os.environ['NIGHTFOLD_CACHE'] = {folder!r}; "
        built = process([sys.executable, "-c", there + script], rounds=1)[1]
    report("memory of a process with loaded tables", f"{loaded:.0f} MB", f"without {bare:.0f} MB", "200 MB")
    report("memory of a process that builds them", f"{built:.0f} MB", f"without {bare:.0f} MB", "200 MB")


def _two_phases() -> None:
    native, cubes = solver.load_solver(), random_states(2000)
    packed = b"".join(map(pack, cubes))
    for name, longest, effort, aim in (
        ("as a rule", 21, solver.EFFORT, "1,000 /s"),
        ("first found", 21, 0, ""),
        ("20 at most", 20, 0, ""),
    ):
        out = bytearray(len(packed))
        (_, nodes), used = timed(partial(native.solve, packed, out, longest, effort, 1))
        lengths = out[::32]
        told = f"mean {mean(lengths):.2f} turns, at most {max(lengths)}, {nodes / used / 1e6:.1f} million nodes/s"
        report(f"random states, {name}, one core", f"{len(cubes) / used:,.0f} /s", told, aim)
    few = cubes[:500]
    solutions, used = timed(lambda: solve_many(few, threads=1))
    assert all(cube.apply(solution).is_solved for cube, solution in zip(few, solutions, strict=True))
    report("the same from Cube to Turns, replayed", f"{len(few) / used:,.0f} /s", "", "1,000 /s")
    near = random_walks(4, 4)
    reached, plain = timed(lambda: [plain_deepening(cube) for cube in near])
    _, used = timed(lambda: solve_packed(b"".join(map(pack, near * 50)), threads=1))
    rate = sum(nodes for _, nodes in reached) / plain / 1e6
    report(
        "cubes four turns away, one core",
        f"{len(near) * 50 / used:,.0f} /s",
        f"plain deepening {len(near) / plain:,.2f} /s, {rate:.2f} million nodes/s",
    )


def _optimal() -> None:
    native = solver.load_solver()
    for length, count in ((12, 20), (14, 10), (15, 5)):
        nodes, used, lengths = 0, 0.0, []
        for cube in random_walks(count, length):
            out = bytearray(32)
            (_, looked), spent = timed(partial(native.optimal, pack(cube), out, 20, 1))
            nodes, used = nodes + looked, used + spent
            lengths.append(out[0])
        told = f"distances {min(lengths)} to {max(lengths)}, {nodes / used / 1e6:.2f} million nodes/s"
        report(f"optimal, {length} random turns, one core", f"{used / count * 1e3:,.1f} ms", told)
    near = random_walks(4, 4)
    reached, plain = timed(lambda: [plain_deepening(cube) for cube in near])
    solved, used = timed(lambda: [len(solver.solve(cube, optimal=True, threads=1)) for cube in near])
    assert solved == [distance for distance, _ in reached]
    report(
        "optimal, 4 random turns, one core",
        f"{used / len(near) * 1e3:,.2f} ms",
        f"plain deepening {plain / len(near) * 1e3:,.0f} ms",
    )


def _pocket() -> None:
    turns = pack_turns(pocket.TURNS)
    build = min(timed(lambda: core.build_pocket(turns))[1] for _ in range(3))
    report("2x2x2: all states", f"{build:.2f} s", f"loaded in {seconds(pocket.load_solver) * 1e3:.1f} ms")
    cubes = random_walks(3000, 40, 2)
    solutions, used = timed(lambda: pocket.solve_many(cubes))
    few = cubes[:2]
    distances, plain = timed(lambda: [plain_pocket(cube) for cube in few])
    assert distances == [len(solution) for solution in solutions[: len(few)]]
    reference = f"plain search from both ends {len(few) / plain:,.1f} /s"
    report("2x2x2: optimal, from Cube to Turns", f"{len(cubes) / used:,.0f} /s", reference)
