"""The finder: one 3-cycle, the whole libraries of 3-cycles, beside plain breadth-first search."""

from __future__ import annotations

import itertools
import time

from benchmarks.harness import report, seconds
from nightfold.cube.geometry import Permutation, compose, geometry, turn_permutation
from nightfold.cube.state import Cube
from nightfold.search.effects import parse_effect
from nightfold.search.finding import FACES, _turn_set, find, parse_turn_set


def plain_search(wanted: Permutation, turns: str, longest: int) -> int | None:
    """The shortest length of a sequence with the effect, by breadth-first search in plain Python."""
    steps = [turn_permutation(3, turn) for turn in parse_turn_set(turns)]
    level = {tuple(range(54))}
    seen = set(level)
    for length in range(1, longest + 1):
        level = {compose(state, step) for state in level for step in steps} - seen
        if wanted in level:
            return length
        seen |= level
    return None


def run() -> None:
    """Measure and report."""
    edges = parse_effect("UF UR DB")

    def fresh(wanted: Cube, turns: str, longest: int) -> None:
        _turn_set.cache_clear()
        find(wanted, turns, longest=longest, threads=1)

    took = seconds(lambda: fresh(edges, FACES, 9))
    report("one edge 3-cycle, up to 9 turns, 1 core", f"{took * 1e3:.0f} ms", "tables included", "200 ms")
    small = parse_effect("UF UB DF")
    ours = seconds(lambda: fresh(small, "R U M", 4))
    plain = seconds(lambda: plain_search(small.stickers, "R U M", 4), rounds=3)
    report(
        "one 3-cycle of 4 turns", f"{ours * 1e3:.1f} ms", f"plain search {plain * 1e3:,.0f} ms: {plain / ours:,.0f} x"
    )

    geo = geometry(3)
    start = time.perf_counter()
    found = 0
    for orbit, buffer in (("edges", "UF"), ("corners", "UFR")):
        others = [s for s in geo.orbit(orbit).stickers if s not in geo.piece_of(geo.sticker(buffer))]
        for first, second in itertools.permutations(others, 2):
            if second not in geo.piece_of(first):
                wanted = parse_effect(f"{buffer} {geo.names[first]} {geo.names[second]}")
                found += bool(find(wanted, longest=12).algorithms)
    took = time.perf_counter() - start
    report(f"library of {found} 3-cycles, all shortest", f"{took:.1f} s", "", "60 s")
