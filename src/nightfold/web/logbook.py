"""``/api/progress``, ``/api/chances``, ``/api/solvers``, ``/api/demo``: what the logbook shows and to whom."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import PlainTextResponse
from pydantic import AwareDatetime, Field

from nightfold.web.attempts import OutcomeName
from nightfold.web.book import book
from nightfold.web.models import Answer, Asked
from nightfold.web.work import SEARCHES, Task, quick, search

router = APIRouter(tags=["practice"])

PeriodName = Literal["day", "week", "month", "year"]
SplitName = Literal["letters", "edge_letters", "corner_letters", "breaks", "flipped", "twisted", "parity", "method"]
TableName = Literal["attempts", "bests", "rates", "timeline", "mistakes", "costs", "retention", "streak"]
Who = Annotated[str, Query(max_length=200, description="Whose practice; empty for one's own.")]
Event = Annotated[str, Query(max_length=200, description="An event of the WCA, by its id.")]
Day = Annotated[str | None, Query(description="A day, as in 2026-03-05.")]
Newest = Annotated[int, Query(ge=1, le=2000, description="How many of the newest attempts.")]


class ShareOut(Answer):
    """So many of so many, and where the true rate lies with 95 % confidence."""

    good: int
    all: int
    value: float | None
    low: float
    high: float


class RateOut(Answer):
    """How attempts of one sort went; times are means of the solved ones in milliseconds."""

    of: str
    attempts: int
    solved: ShareOut
    memo_ms: float | None
    execution_ms: float | None
    total_ms: float | None


class PointOut(Answer):
    """One attempt; results are hundredths of a second."""

    id: str
    day: str
    outcome: OutcomeName
    result: int | None
    memo_ms: int | None
    best_of_3: int | None
    mean_of_3: int | None


class ManyPointOut(Answer):
    """One attempt at many cubes with its score; null where it has none."""

    id: str
    day: str
    result: str
    points: int | None
    solved: int | None
    cubes: int | None
    seconds: int | None


class BestsOut(Answer):
    """Personal bests in hundredths of a second; at many cubes the best score."""

    single: int | None
    single_day: str | None
    memo: int | None
    mean_of_3: int | None
    many: str | None
    many_day: str | None


class MistakeFigureOut(Answer):
    """A kind of mistake: how often it was found, and how many solves it has cost."""

    of: str
    kind: str
    times: float
    cost: float


class MistakeLineOut(Answer):
    """A kind of mistake through the periods: one number for each."""

    kind: str
    times: list[float]
    cost: list[float]


class MistakeLinesOut(Answer):
    """Kinds of mistakes through the periods in which any was found."""

    periods: list[str]
    lines: list[MistakeLineOut]


class RetentionOut(Answer):
    """How much of an exercise was known, and how much of what was last asked a day or more before."""

    of: str
    exercise: str
    right: ShareOut
    kept: ShareOut
    answer_ms: float | None


class RetentionLineOut(Answer):
    """What was known of an exercise through the periods: one number for each."""

    exercise: str
    right: list[int]
    asked: list[int]
    kept: list[int]
    again: list[int]
    answer_ms: list[float | None]


class RetentionLinesOut(Answer):
    """What was known of exercises through the periods in which anything was asked."""

    periods: list[str]
    lines: list[RetentionLineOut]


class StreakOut(Answer):
    """Days in a row with practice."""

    now: int
    longest: int


class ProgressOut(Answer):
    """Everything there is to show of one event."""

    event: str
    rates: list[RateOut]
    split: list[RateOut]
    timeline: list[RateOut]
    attempts: list[PointOut] = Field(description="The newest attempts at one cube.")
    many: list[ManyPointOut] = Field(description="The newest attempts at many cubes.")
    bests: BestsOut
    mistakes: list[MistakeFigureOut]
    mistakes_by_period: MistakeLinesOut
    retention: list[RetentionOut]
    retention_by_period: RetentionLinesOut
    periods_since: str | None = Field(
        description="Day by day, the day before which the timeline and what goes by periods leave off; otherwise null."
    )
    streak: StreakOut
    learns_from: str | None = Field(description="From when on mistakes shift the chances of inquests; null for all.")


class ChancesIn(Asked):
    """From when on a solver's mistakes shift the chances of their inquests."""

    solver: str = Field("", max_length=200, description="Whose mistakes; empty for one's own.")
    learns_from: AwareDatetime | None = Field(description="A moment, or null for all mistakes that are kept.")


class ChancesOut(Answer):
    """From when on mistakes count, as it is kept."""

    learns_from: str | None


class SolversOut(Answer):
    """Whose practice is kept; the empty name is oneself."""

    solvers: list[str]
    demo: list[str] = Field(description="Those of the demo; empty if it is not loaded.")


@router.get("/progress")
async def get_progress(
    solver: Who = "",
    event: Event = "333bf",
    since: Day = None,
    until: Day = None,
    split: SplitName | None = None,
    by: PeriodName = "month",
    last: Newest = 100,
    demo: bool = False,
) -> ProgressOut:
    """Success, times, bests, mistakes and what they cost, what the drills left behind."""

    def work() -> ProgressOut:
        from nightfold.practice.progress import Scope, overview

        today = datetime.now().astimezone().date()
        found = overview(book(), Scope(solver, event, since, until, demo), today, split, by, last)
        return ProgressOut.model_validate(found)

    return await quick(work)


@router.get("/progress.csv", response_class=PlainTextResponse)
async def get_progress_csv(
    table: TableName,
    solver: Who = "",
    event: Event = "333bf",
    since: Day = None,
    until: Day = None,
    split: SplitName | None = None,
    by: PeriodName = "month",
    last: Newest | None = None,
    demo: bool = False,
) -> PlainTextResponse:
    """One of the tables as CSV, to be kept as a file; of all attempts, unless only so many are asked for."""

    def work() -> str:
        from nightfold.practice.progress import Scope, table_csv

        return table_csv(book(), Scope(solver, event, since, until, demo), table, split, by, last)

    return PlainTextResponse(
        await quick(work),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="nightfold-{table}.csv"'},
    )


@router.put("/chances")
async def put_chances(asked: ChancesIn) -> ChancesOut:
    """Keep from when on mistakes shift the chances of inquests; none of them is removed."""

    def work() -> ChancesOut:
        from nightfold.practice.learning import learn_from, learns_from

        learn_from(book(), asked.learns_from, asked.solver)
        kept = learns_from(book(), asked.solver)
        return ChancesOut(learns_from=None if kept is None else kept.isoformat(timespec="seconds"))

    return await quick(work)


@router.get("/solvers")
async def get_solvers() -> SolversOut:
    """Whose practice the logbook keeps."""
    return await quick(_solvers)


@router.post("/demo")
async def load_the_demo(request: Request) -> SolversOut:
    """Load the demo: sixteen Thursdays of the club at Fennel Point, invented, every record marked."""

    def work(_: Task) -> SolversOut:
        from nightfold.practice.demo import load_demo

        load_demo(book())
        return _solvers()

    return await search(request, work, bench=SEARCHES)


@router.delete("/demo")
async def remove_the_demo() -> SolversOut:
    """Remove the demo without a trace."""

    def work() -> SolversOut:
        book().remove_demo()
        return _solvers()

    return await quick(work)


def _solvers() -> SolversOut:
    from nightfold.practice.demo import demo_solvers

    kept: Any = book()
    demo = demo_solvers(kept)
    return SolversOut(solvers=[name for name in kept.solvers() if name not in demo], demo=demo)
