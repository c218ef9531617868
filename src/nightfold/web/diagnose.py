"""``POST /api/diagnose``: whether a painted cube exists and, if not, what is wrong and what would mend it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from pydantic import Field

from nightfold.cube.diagnosis import ProblemKind, RepairKind
from nightfold.web.models import Answer, Asked
from nightfold.web.work import Task, search

router = APIRouter(tags=["cube"])

#: How many repairs are sent; more are no help.
MOST_REPAIRS = 40


class DiagnoseIn(Asked):
    """An unfolded cube."""

    net: str = Field(description="The net text: the rows of U, then the band L F R B, then the rows of D.")


class ProblemOut(Answer):
    """One thing that is wrong."""

    kind: ProblemKind
    sentence: str
    stickers: list[int] = Field(description="Where it shows; empty where it may be anywhere.")


class RepairOut(Answer):
    """One change that makes the cube possible."""

    kind: RepairKind
    sentence: str = Field(description="What to do.")
    net: str = Field(description="The net text after it.")


class DiagnosisOut(Answer):
    """What was found."""

    possible: bool = Field(description="Whether turns lead to this cube.")
    problems: list[ProblemOut]
    repairs: list[RepairOut] = Field(description=f"The most plausible repairs first, at most {MOST_REPAIRS}.")
    repairs_found: int = Field(description="How many repairs there are in all.")
    sentence: str = Field(description="The whole in one sentence.")


@router.post("/diagnose")
async def diagnose(asked: DiagnoseIn, request: Request) -> DiagnosisOut:
    """Whether turns lead to this cube; if not, what is wrong with it and which one change would mend it."""
    from nightfold.cube.diagnosis import diagnose as find_out

    def work(_: Task) -> DiagnosisOut:
        found = find_out(asked.net, MOST_REPAIRS)
        return DiagnosisOut(
            possible=found.possible,
            problems=[ProblemOut(kind=p.kind, sentence=p.sentence, stickers=list(p.stickers)) for p in found.problems],
            repairs=[RepairOut(kind=r.kind, sentence=r.sentence, net=str(r.net)) for r in found.repairs],
            repairs_found=found.repairs_found,
            sentence=found.sentence,
        )

    return await search(request, work)
