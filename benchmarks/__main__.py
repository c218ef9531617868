"""Run every benchmark, or those named on the command line."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import benchmarks
from benchmarks.harness import machine

HELPERS = {"harness", "naive", "__main__"}


def main() -> None:
    """Run the benchmarks in the order of their names."""
    names = [module.name for module in pkgutil.iter_modules(benchmarks.__path__) if module.name not in HELPERS]
    print(machine())
    for name in sys.argv[1:] or names:
        module = importlib.import_module(f"benchmarks.{name}")
        print(f"\n{(module.__doc__ or name).splitlines()[0]}")
        module.run()


main()
