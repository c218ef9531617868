"""``POST /api/mark``: judge a learner's memo against every right memo of the cube."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from pydantic import Field

from nightfold.web.cubes import plan_of, view_of
from nightfold.web.models import Answer, Asked, CubeIn, View
from nightfold.web.work import search

router = APIRouter(tags=["coach"])


class MarkIn(Asked):
    """A memo as it was written, of one orbit or both."""

    cube: CubeIn
    edges: str | None = Field(None, description="The edge letters as written; null where there are none to mark.")
    corners: str | None = Field(None, description="The corner letters as written.")
    parity: bool | None = Field(None, description="What the learner said about parity; null if nothing.")


class FaultOut(Answer):
    """One thing wrong with a memo."""

    at: int = Field(description="The index of the letter it is about; of a missing one, where it should stand.")
    letter: str = Field(description="What was written there; empty if nothing was.")
    kind: str
    expected: list[str] = Field(description="Every letter that would have been right.")
    say: str = Field(description="The fault in one sentence.")


class MarkedOrbitOut(Answer):
    """How one orbit's memo was judged."""

    orbit: Literal["edges", "corners"]
    ok: bool
    letters: list[str] = Field(description="The letters as they were read.")
    faults: list[FaultOut]
    corrected: list[str] = Field(description="The right memo that the faults lead to, or the nearest.")


class MarkedOut(Answer):
    """A marked memo."""

    verdict: Literal["right", "wrong"]
    orbits: list[MarkedOrbitOut]
    parity_ok: bool | None = Field(description="Whether the answer about parity was right; null if none was given.")
    say: str = Field(description="The whole in a sentence or two.")


class MarkingOut(MarkedOut):
    """A marked memo and the cube it is of."""

    view: View


@router.post("/mark")
async def mark(asked: MarkIn, request: Request) -> MarkingOut:
    """Right, or each fault with its place, what was right there, and why."""
    return await search(request, lambda _: _mark(asked))


def _mark(asked: MarkIn) -> MarkingOut:
    from nightfold.coach.marking import mark_memo

    written = {name: memo for name in ("edges", "corners") if (memo := getattr(asked, name)) is not None}
    plan = plan_of(asked.cube)
    marking = mark_memo(plan, written, asked.parity)
    return MarkingOut.model_validate({**marking.to_dict(), "view": view_of(plan)})
