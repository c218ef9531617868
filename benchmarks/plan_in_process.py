"""A reading and plan in process, beside a planner without tables."""

from __future__ import annotations

import random

from benchmarks.harness import report, seconds
from benchmarks.naive import plan as naive_plan
from nightfold import make_plan


def scrambles(count: int, seed: int = 7) -> list[str]:
    """Random-turn scrambles of 25 outer turns."""
    draw = random.Random(seed)
    turns = [face + amount for face in "ULFRBD" for amount in ("", "2", "'")]
    return [" ".join(draw.choices(turns, k=25)) for _ in range(count)]


def run() -> None:
    """Measure and report."""
    many = scrambles(500)
    for text in many:
        assert make_plan(text).solved
    ours = seconds(lambda: [make_plan(text) for text in many]) / len(many)
    few = many[:2]
    naive = seconds(lambda: [naive_plan(text) for text in few], rounds=3) / len(few)
    report("reading and plan, one cube", f"{ours * 1e3:.2f} ms", f"naive {naive * 1e3:,.0f} ms", "2 ms")
    report("ratio", f"{naive / ours:,.0f} x")
