"""``POST /api/inquest``: which slips explain that another cube came out than was meant."""

from __future__ import annotations

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field
from starlette.responses import Response

from nightfold.web.cubes import plan_of, view_of
from nightfold.web.events import KIND, Stream, Tell, described
from nightfold.web.mark import MarkedOut
from nightfold.web.models import Answer, Asked, CubeIn, View
from nightfold.web.plan import PlanOut, plan_data
from nightfold.web.work import SEARCH_LIMIT, SEARCHES, Task, search

router = APIRouter(tags=["coach"])


class InquestIn(Asked):
    """What was meant and what came out; exactly one of ``final``, ``left`` and ``performed``."""

    cube: CubeIn = Field(description="The cube as it was scrambled.")
    edges: str | None = Field(None, description="The edge letters that were remembered; the plan's own if null.")
    corners: str | None = Field(None, description="The corner letters that were remembered; the plan's own if null.")
    final: str | None = Field(None, description="What came out, as net text, held in any way.")
    left: str | None = Field(None, description="Turns that would still solve what came out, in the plan's hold.")
    performed: str | None = Field(None, description="The turns that were made, in the plan's hold.")
    mistakes: int = Field(3, ge=1, le=3, description="How many slips are combined at most.")
    top: int = Field(5, ge=1, le=50, description="How many explanations are given.")


class MistakeOut(Answer):
    """One slip in words."""

    kind: str
    orbit: str
    at: int | None = Field(description="The index of the letter it is about; null where it is about none.")
    letter: str
    say: str = Field(description="What happened.")
    felt: str = Field(description="What the solver would have felt or seen.")
    hint: str = Field(description="What to practise.")


class NearestOut(Answer):
    """The slips that come nearest when nothing explains the cube in full."""

    mistakes: list[MistakeOut]
    pieces_left_wrong: int


class ExplanationOut(Answer):
    """Slips that together lead to the cube that came out; none where what was meant does."""

    probability: float
    mistakes: list[MistakeOut]
    also: list[str] = Field(description="What else may have happened at the same letters.")
    turns: str = Field(description="What was turned then, from the scrambled cube as held.")
    correction: str = Field(
        description="Turns that go back to the mistake and put it right; empty where they are many."
    )
    memo: dict[str, list[str]] = Field(description="By orbit the letters it takes to have been meant, if others.")
    repair: str = Field(description="What was put right in an impossible cube first; empty where nothing was.")
    replays: bool


class StepDoneOut(Answer):
    """How one step of the plan was done."""

    step: int = Field(description="The index of the step.")
    orbit: str
    at: int | None = Field(description="The index of its letter; null for the parity step.")
    letter: str
    how: str = Field(description="as planned, another way (to the same effect), or departs.")
    meant: str
    turned: str = Field(description="The turns that were made in its place.")


class PerformedOut(Answer):
    """The turns that were made beside the plan."""

    say: str
    first_departure: StepDoneOut | None
    steps: list[StepDoneOut]


class SearchedOut(Answer):
    """How much was covered."""

    singles: int
    pairs: int
    triples: int


class VerdictOut(Answer):
    """What an inquest found."""

    solved: bool = Field(description="Whether what came out is solved.")
    say: str = Field(description="The outcome in a sentence or two.")
    explanations: list[ExplanationOut] = Field(description="The likeliest first.")
    searched: SearchedOut
    memos_tried: int = Field(description="How many right memos were looked at.")
    nearest: NearestOut | None = Field(description="What comes nearest when nothing explains the cube; else null.")
    finish: str | None = Field(description="Turns that would have solved the cube as it came out.")
    memo_marking: MarkedOut | None = Field(description="The memo marked, where it was wrong; else null.")
    performed: PerformedOut | None = Field(description="The turns that were made beside the plan, if they are known.")
    repair: str = Field("", description="What the likeliest explanation puts right in an impossible cube.")
    problem: str = Field("", description="What is impossible about the cube that came out; empty if nothing.")
    view: View = Field(description="The scrambled cube as it was read.")
    meant: PlanOut = Field(description="The plan that was meant: the memo's, or the one that was followed.")


class InquestProgress(Answer):
    """The data of an event ``progress``."""

    mistakes: int = Field(description="How many slips are being combined now.")


#: Bodies of events, which OpenAPI has no other place for.
EVENTS: tuple[type[BaseModel], ...] = (InquestProgress,)


_EITHER = described(InquestProgress, VerdictOut)
_EITHER["description"] = f"The verdict, or, where `{KIND}` is accepted, events. {_EITHER['description']}"


@router.post("/inquest", response_model=VerdictOut, responses={200: _EITHER})
async def inquest(asked: InquestIn, request: Request) -> VerdictOut | Response:
    """The slips in memory or in turning that turn what was meant into what came out, ranked by probability."""
    if KIND in request.headers.get("accept", ""):
        too_long = "the inquest was stopped; ask for fewer mistakes"
        return Stream(lambda task, tell: _inquest(asked, task, tell), SEARCH_LIMIT, too_long)
    return await search(request, lambda task: _inquest(asked, task), bench=SEARCHES)


def _inquest(asked: InquestIn, task: Task, tell: Tell | None = None) -> VerdictOut:
    from nightfold.coach.attempt import examine_attempt

    told = 0

    def progress(mistakes: int, _: int) -> bool:
        nonlocal told
        if tell is not None and mistakes != told:
            told = mistakes
            tell(InquestProgress(mistakes=mistakes))
        return task.check()

    plan = plan_of(asked.cube)
    memos = {name: memo for name in ("edges", "corners") if (memo := getattr(asked, name)) is not None}
    verdict = examine_attempt(
        plan,
        memos,
        final=asked.final,
        left=asked.left,
        performed=asked.performed,
        mistakes=asked.mistakes,
        top=asked.top,
        progress=progress,
    )
    task.check()
    return VerdictOut.model_validate({**verdict.to_dict(), "view": view_of(plan), "meant": plan_data(verdict.plan)})
