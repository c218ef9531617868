"""``POST /api/plan``: the whole blind solve of one cube."""

from __future__ import annotations

from typing import Any, Literal

from fastapi import APIRouter, Request
from pydantic import Field

from nightfold.blind.plan import Plan
from nightfold.cube.notation import parse_turns
from nightfold.web.cubes import WORDS, plan_of, view_of
from nightfold.web.models import Answer, CubeIn, View
from nightfold.web.work import Task, quick, search

router = APIRouter(tags=["plan"])


class TargetOut(Answer):
    """One letter of a reading."""

    sticker: int = Field(description="The place shot to.")
    letter: str
    role: Literal["first", "next", "break", "close"] = Field(
        description="first: shown by the buffer; break: chosen; close: back at the piece broken into."
    )
    why: str = Field(description="Why this letter follows, in one sentence.")


class CycleOut(Answer):
    """One figure of a reading."""

    kind: Literal["buffer", "break", "in place"]
    targets: list[TargetOut]
    options: list[int] = Field(description="The stickers the break may go to; empty for the buffer's cycle.")
    end: str = Field(description="How the cycle ends; empty where its last letter has said so.")


class OrbitOut(Answer):
    """What tracing one orbit yields."""

    orbit: Literal["edges", "corners"]
    buffer: str = Field(description="The buffer sticker.")
    letters: list[str] = Field(description="The letters to remember, in order.")
    stickers: list[str] = Field(description="The sticker that each letter stands for.")
    cycles: list[list[str]] = Field(description="The same letters cycle by cycle.")
    in_place: list[str] = Field(description="Where pieces flipped or twisted in their places were entered.")
    buffer_turned: bool = Field(description="Whether the buffer's own piece is home but flipped or twisted.")
    odd: bool = Field(description="Whether the number of letters is odd.")
    reasons: list[str] = Field(description="For each letter why it follows.")
    readings: list[CycleOut] = Field(description="The cycles with everything a drawing needs.")


class StepOut(Answer):
    """One step: set up, swap, undo.  The parity step has no letter, sticker, setup or undo."""

    orbit: Literal["edges", "corners", "parity"]
    letter: str
    sticker: str
    setup: str
    swap: str
    undo: str
    why: str = Field(description="Why it works, in one sentence.")
    place: int = Field(description="The index in ``turns`` of the step's first turn.")


class CountsOut(Answer):
    """How much there is to remember and to turn."""

    letters: int
    turns: int = Field(description="The turns of the solution.")
    turns_cancelled: int = Field(description="The turns that are left where undo meets setup.")
    memos: int = Field(description="How many different right memos the cube has.")


class PlanOut(Answer):
    """A whole blind solve, replayed on the cube."""

    scramble: str = Field(description="The scramble as given; empty for a cube read from a net.")
    hold: str = Field(description="The rotation to make before anything else; empty if there is none.")
    method: str
    lettering: str
    orbits: list[OrbitOut] = Field(description="The readings, in order of execution.")
    parity: bool
    steps: list[StepOut]
    solution: str = Field(description="All turns after the hold.")
    counts: CountsOut
    solved: bool = Field(description="Whether replaying every turn on the cube solved it.")
    view: View
    turns: list[str] = Field(description="Every turn in order, the hold's rotations first, one token each.")
    labels: dict[str, str] = Field(description="What the swap algorithm of each orbit and the parity one are called.")


@router.post("/plan")
async def plan(cube: CubeIn, request: Request) -> PlanOut:
    """The whole blind solve: how to hold the cube, what to remember, every step and why it works."""

    def work(_: Task | None = None) -> PlanOut:
        return PlanOut.model_validate(plan_data(plan_of(cube)))

    # Words for all pairs are looked for once, which takes a while.
    return await (search(request, work) if cube.breaks == WORDS else quick(work))


def plan_data(made: Plan) -> dict[str, Any]:
    """What ``PlanOut`` holds: the plan's stable form with what a drawing and a player need besides."""
    data = made.to_dict()
    for orbit, reading in zip(data["orbits"], made.orbits, strict=True):
        orbit["readings"] = [
            {
                "kind": cycle.kind,
                "targets": [
                    {"sticker": one.sticker, "letter": one.symbol, "role": one.role, "why": one.why}
                    for one in cycle.targets
                ],
                "options": list(cycle.options),
                "end": cycle.end,
            }
            for cycle in reading.cycles
        ]
    turns = [str(turn) for turn in (*parse_turns(made.hold), *made.solution)]
    place = len(turns) - len(made.solution)
    for told, step in zip(data["steps"], made.steps, strict=True):
        told["place"] = place
        place += len(step.turns)
    return data | {"view": view_of(made), "turns": turns, "labels": made.labels}
