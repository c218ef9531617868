"""From what a request says of a cube to its plan, and from the plan to what a drawing needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nightfold.blind.hold import parse_hold
from nightfold.blind.plan import Plan, make_plan, plan_of_net
from nightfold.blind.reading import Chooser
from nightfold.web import library
from nightfold.web.errors import WebError
from nightfold.web.models import CubeIn

#: The breaks policy that makes the strongest pairs out of one's own words and those suggested.
WORDS = "words"


def plan_of(asked: CubeIn, policy: str | Mapping[str, Chooser] | None = None) -> Plan:
    """The plan of the cube that was asked about, by another breaks ``policy`` than it names if one is given.

    Raises UnknownNameError for a method or lettering that is not there, NightfoldError for what cannot be used.
    """
    if (asked.scramble is None) == (asked.net is None):
        raise WebError("give either a scramble or a net, not both and not neither")
    chosen = library.method(asked.method)
    letters = library.letters_for(chosen, asked.lettering)
    hold = None if asked.hold is None else parse_hold(asked.hold)
    breaks = asked.breaks if policy is None else policy
    if isinstance(breaks, str) and breaks.strip() == WORDS:
        from nightfold.web.words import strongest_pairs

        breaks = strongest_pairs(chosen, letters)
    if asked.net is None:
        return make_plan(asked.scramble or "", chosen, letters, hold, breaks)
    return plan_of_net(asked.net, chosen, letters, hold, breaks)


def view_of(plan: Plan) -> dict[str, Any]:
    """What ``View`` holds of a plan."""
    return {
        "size": plan.cube.size,
        "colours": [plan.scheme[face] for face in plan.cube.colours],
        "names": list(plan.cube_names),
        "letters": {name: dict(symbols) for name, symbols in plan.lettering.symbols.items()},
        "scheme": list(plan.scheme),
        "hold_words": str(plan.held),
    }
