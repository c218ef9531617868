"""Nightfold: for people who solve the cube blindfolded and teach others to.

What a script needs most::

    import nightfold

    plan = nightfold.make_plan("R U2 F' L2 D B2 R' F D2 L U'")
    print(plan.orbits[0].letters, plan.solved)

``Dealer`` deals scrambles, also with asked-for ``Features``; ``odds`` counts how likely they are; ``find`` searches for
algorithms; ``mark_memo`` judges a written memo; ``hold_inquest`` tells which slips explain the cube that came out.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nightfold.blind.dealing import Dealer
    from nightfold.blind.features import Features
    from nightfold.blind.lettering import Lettering, load_lettering
    from nightfold.blind.method import Method, load_method, method_names
    from nightfold.blind.odds import odds
    from nightfold.blind.plan import Plan, Step, make_plan
    from nightfold.blind.reading import OrbitReading
    from nightfold.coach.inquest import hold_inquest
    from nightfold.coach.marking import mark_memo
    from nightfold.cube.errors import NightfoldError
    from nightfold.cube.notation import Algorithm, Turn, parse
    from nightfold.cube.state import Cube
    from nightfold.search.finding import find

__version__ = "0.1.0"

# Each name is fetched when first asked for, so that a program that needs one part does not load them all.
_HOME = {
    "Algorithm": "cube.notation",
    "Cube": "cube.state",
    "Dealer": "blind.dealing",
    "Features": "blind.features",
    "Lettering": "blind.lettering",
    "Method": "blind.method",
    "NightfoldError": "cube.errors",
    "OrbitReading": "blind.reading",
    "Plan": "blind.plan",
    "Step": "blind.plan",
    "Turn": "cube.notation",
    "find": "search.finding",
    "hold_inquest": "coach.inquest",
    "load_lettering": "blind.lettering",
    "load_method": "blind.method",
    "make_plan": "blind.plan",
    "mark_memo": "coach.marking",
    "method_names": "blind.method",
    "odds": "blind.odds",
    "parse": "cube.notation",
}

__all__ = [
    "Algorithm",
    "Cube",
    "Dealer",
    "Features",
    "Lettering",
    "Method",
    "NightfoldError",
    "OrbitReading",
    "Plan",
    "Step",
    "Turn",
    "find",
    "hold_inquest",
    "load_lettering",
    "load_method",
    "make_plan",
    "mark_memo",
    "method_names",
    "odds",
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
