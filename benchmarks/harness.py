"""Timing and reporting shared by the benchmarks."""

from __future__ import annotations

import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path


def machine() -> str:
    """The processor's name and the Python that runs, for the head of a report."""
    name = platform.processor() or platform.machine()
    try:
        with Path("/proc/cpuinfo").open(encoding="utf-8") as info:
            name = next((line.split(":", 1)[1].strip() for line in info if line.startswith("model name")), name)
    except OSError:
        pass
    return f"{name}, Python {platform.python_version()}"


def seconds(work: Callable[[], object], rounds: int = 7) -> float:
    """The median time of ``work`` over ``rounds`` runs, after one that is not counted."""
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def process(command: Sequence[str], rounds: int = 9) -> tuple[float, float]:
    """Median wall seconds of a whole process, and its peak memory in MB (the largest seen)."""
    times = []
    # A small Python in between, so that only this command's children are counted.
    probe = (
        "import resource,subprocess,sys,time;t=time.perf_counter();"
        "subprocess.run(sys.argv[1:],stdout=subprocess.DEVNULL,check=True);"
        "print(time.perf_counter()-t,resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    peak = 0.0
    for turn in range(rounds + 1):
        run = subprocess.run([sys.executable, "-c", probe, *command], capture_output=True, text=True, check=True)
        wall, memory = run.stdout.split()
        if turn:
            times.append(float(wall))
        peak = max(peak, float(memory) / (1024 if sys.platform != "darwin" else 1024 * 1024))
    return statistics.median(times), peak


def report(name: str, value: str, reference: str = "", aim: str = "") -> None:
    """One line of a report."""
    print(f"  {name:<44} {value:>14}" + (f"   {reference}" if reference else "") + (f"   aim: {aim}" if aim else ""))
