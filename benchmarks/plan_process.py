"""`nightfold plan` as a whole process, beside bare Python."""

from __future__ import annotations

import sys

from benchmarks.harness import process, report

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"


def run() -> None:
    """Measure and report."""
    command = [sys.executable, "-c", "import sys; from nightfold.cli import main; main()", "plan", SCRAMBLE]
    wall, memory = process(command)
    bare, bare_memory = process([sys.executable, "-c", "pass"])
    naive = "from benchmarks.naive import plan; import sys; print(plan(sys.argv[1]))"
    slow, _ = process([sys.executable, "-c", naive, SCRAMBLE.replace("Rw", "R")], rounds=3)
    report("nightfold plan, wall", f"{wall:.3f} s", f"bare Python {bare:.3f} s, naive planner {slow:.2f} s", "0.3 s")
    report("nightfold plan, peak memory", f"{memory:.0f} MB", f"bare Python {bare_memory:.0f} MB", "80 MB")
    imported, _ = process([sys.executable, "-c", "import nightfold"])
    report("import nightfold, over bare Python", f"{(imported - bare) * 1e3:.0f} ms", "", "60 ms")
