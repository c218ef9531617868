"""From what a request says of a cube to its plan, and from the plan to what a drawing needs."""

from __future__ import annotations

from typing import Any

from nightfold.blind.hold import Hold, parse_hold
from nightfold.blind.method import Method
from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.geometry import OPPOSITE
from nightfold.cube.notation import FACE_LETTERS
from nightfold.web import library
from nightfold.web.errors import WebError
from nightfold.web.models import CubeIn


def plan_of(asked: CubeIn) -> Plan:
    """The plan of the cube that was asked about.

    Raises UnknownNameError for a method or lettering that is not there, NightfoldError for what cannot be used.
    """
    if (asked.scramble is None) == (asked.net is None):
        raise WebError("give either a scramble or a net, not both and not neither")
    chosen = library.method(asked.method)
    letters = library.letters_for(chosen, asked.lettering)
    hold = None if asked.hold is None else parse_hold(asked.hold)
    if asked.net is None:
        return make_plan(asked.scramble or "", chosen, letters, hold, asked.breaks)
    from nightfold.cube.net import cube_from_net

    cube, scheme = cube_from_net(asked.net)
    return make_plan(cube, chosen, letters, hold or _hold_as_typed(chosen, scheme), asked.breaks, scheme)


def _hold_as_typed(method: Method, scheme: tuple[str, ...]) -> Hold:
    """The method's hold where the net's colours know it, else the net as it was typed."""
    wanted = method.hold
    faces = dict(zip(scheme, FACE_LETTERS, strict=True))
    if wanted.top in faces and wanted.front in faces and faces[wanted.top] != OPPOSITE[faces[wanted.front]]:
        return wanted
    return Hold(scheme[0], scheme[2])


def view_of(plan: Plan) -> dict[str, Any]:
    """What ``View`` holds of a plan."""
    return {
        "size": plan.cube.size,
        "colours": [plan.scheme[face] for face in plan.cube.colours],
        "names": list(plan.cube_names),
        "letters": {name: dict(symbols) for name, symbols in plan.lettering.symbols.items()},
        "scheme": list(plan.scheme),
        "hold_words": str(Hold(plan.scheme[0], plan.scheme[2])),
    }
