"""Nightfold: for people who solve the cube blindfolded and teach others to.

What a script needs most::

    import nightfold

    plan = nightfold.make_plan("R U2 F' L2 D B2 R' F D2 L U'")
    print(plan.orbits[0].letters, plan.solved)
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nightfold.blind.lettering import Lettering, load_lettering
    from nightfold.blind.method import Method, load_method, method_names
    from nightfold.blind.plan import Plan, Step, make_plan
    from nightfold.blind.reading import OrbitReading
    from nightfold.cube.errors import NightfoldError
    from nightfold.cube.notation import Algorithm, Turn, parse
    from nightfold.cube.state import Cube

__version__ = "0.1.0"

# Each name is fetched when first asked for, so that a program that needs one part does not load them all.
_HOME = {
    "Algorithm": "cube.notation",
    "Cube": "cube.state",
    "Lettering": "blind.lettering",
    "Method": "blind.method",
    "NightfoldError": "cube.errors",
    "OrbitReading": "blind.reading",
    "Plan": "blind.plan",
    "Step": "blind.plan",
    "Turn": "cube.notation",
    "load_lettering": "blind.lettering",
    "load_method": "blind.method",
    "make_plan": "blind.plan",
    "method_names": "blind.method",
    "parse": "cube.notation",
}

__all__ = [
    "Algorithm",
    "Cube",
    "Lettering",
    "Method",
    "NightfoldError",
    "OrbitReading",
    "Plan",
    "Step",
    "Turn",
    "load_lettering",
    "load_method",
    "make_plan",
    "method_names",
    "parse",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
