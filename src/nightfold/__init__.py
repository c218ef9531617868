"""Nightfold: for people who solve the cube blindfolded and teach others to.

What a script needs most::

    import nightfold

    plan = nightfold.make_plan("R U2 F' L2 D B2 R' F D2 L U'")
    print(plan.orbits[0].letters, plan.solved)
"""

from nightfold.blind.lettering import Lettering, load_lettering
from nightfold.blind.method import Method, load_method, method_names
from nightfold.blind.plan import Plan, Step, make_plan
from nightfold.blind.reading import OrbitReading
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import Algorithm, Turn, parse
from nightfold.cube.state import Cube

__version__ = "0.1.0"

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
