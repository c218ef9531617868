"""Marking a memo, beside trying every right memo of the cube by edit distance."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from benchmarks.harness import report, seconds
from benchmarks.plan_in_process import scrambles
from nightfold import make_plan
from nightfold.blind.plan import Plan
from nightfold.coach.marking import mark_memo
from nightfold.cube.geometry import geometry

#: Its edges have four cycles besides the buffer's, two of them edges flipped in place.
SMALL = "R' B' U L' D' U2 L2"


def right_memos(plan: Plan, orbit: str) -> Iterator[tuple[int, ...]]:
    """Every right memo of one orbit: every break tried at every sticker, in plain Python."""
    piece_of = geometry(3).piece_of
    seen, way = plan.cube.stickers, plan.method.way(orbit)
    own = piece_of(way.buffer)

    def from_break(passed: frozenset[tuple[int, ...]], letters: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        entries = [s for s in way.targets if seen[s] != s and piece_of(s) not in passed]
        if not entries:
            yield letters
        for entry in entries:
            cycle, pieces = [entry], {piece_of(entry)}
            while True:
                cycle.append(seen[cycle[-1]])
                if piece_of(cycle[-1]) == piece_of(entry):
                    break
                pieces.add(piece_of(cycle[-1]))
            yield from from_break(passed | pieces, letters + tuple(cycle))

    first: list[int] = []
    while piece_of(seen[first[-1] if first else way.buffer]) != own:
        first.append(seen[first[-1] if first else way.buffer])
    yield from from_break(frozenset(map(piece_of, first)), tuple(first))


def distance(one: Sequence[int], other: Sequence[int]) -> int:
    """How many letters must be put in, left out or replaced."""
    above = list(range(len(other) + 1))
    for row, letter in enumerate(one, 1):
        line = [row]
        for column, wanted in enumerate(other, 1):
            line.append(min(above[column] + 1, line[-1] + 1, above[column - 1] + (letter != wanted)))
        above = line
    return above[-1]


def run() -> None:
    """Measure and report."""
    dice = random.Random(4)
    plans = [make_plan(text) for text in scrambles(200)]
    right = [{r.orbit.name: list(r.letters) for r in plan.orbits} for plan in plans]
    letters = sorted(plans[0].lettering.of("edges").values())

    def changed(count: int) -> list[dict[str, list[str]]]:
        memos = []
        for memo in right:
            edges = list(memo["edges"])
            for at in dice.sample(range(len(edges)), min(count, len(edges))):
                edges[at] = dice.choice(letters)
            memos.append({**memo, "edges": edges})
        return memos

    hopeless = [{"edges": dice.choices(letters, k=20), "corners": dice.choices(letters, k=12)} for _ in plans]

    def each(memos: Sequence[dict[str, list[str]]]) -> float:
        return seconds(lambda: [mark_memo(plan, memo) for plan, memo in zip(plans, memos, strict=True)], 3) / len(plans)

    report("a right memo", f"{each(right) * 1e3:.2f} ms", "with the plan of fewest turns")
    report("a memo with one wrong letter", f"{each(changed(1)) * 1e3:.2f} ms", "", "20 ms")
    report("a memo with two wrong letters", f"{each(changed(2)) * 1e3:.2f} ms")
    report("a memo with three wrong letters", f"{each(changed(3)) * 1e3:.2f} ms")
    report("a hopeless memo", f"{each(hopeless) * 1e3:.2f} ms")

    plan = make_plan(SMALL)
    every = list(right_memos(plan, "edges"))
    assert len(every) == next(reading.memos for reading in plan.orbits if reading.orbit.name == "edges")
    written = [*every[-1][:4], *every[-1][5:]]
    memo = {"edges": [plan.lettering.symbol("edges", sticker) for sticker in written]}
    ours = seconds(lambda: mark_memo(plan, memo))
    theirs = seconds(lambda: min(right_memos(plan, "edges"), key=lambda one: distance(written, one)), 3)
    report(
        f"one of {len(every):,} right memos, less a letter",
        f"{ours * 1e3:.2f} ms",
        f"trying all {theirs * 1e3:,.0f} ms: {theirs / ours:,.0f} x",
    )
