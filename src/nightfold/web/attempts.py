"""``/api/attempts`` and ``/api/series``: attempts as they happen, each step kept before it is answered."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from pydantic import AwareDatetime, Field

from nightfold.blind.method import DEFAULT
from nightfold.cube.errors import NightfoldError
from nightfold.practice.errors import ClashError
from nightfold.practice.results import Outcome, check_time, time_limit
from nightfold.web import library
from nightfold.web.book import book
from nightfold.web.cubes import WORDS, plan_of, view_of
from nightfold.web.errors import WebError
from nightfold.web.inquest import VerdictOut
from nightfold.web.models import Answer, Asked, CubeIn, LetteringName
from nightfold.web.plan import plan_data
from nightfold.web.work import SEARCHES, Task, quick, search

router = APIRouter(tags=["practice"])

Ident = Annotated[str, Field(description="A UUID that the client makes, so that asking twice is asking once.")]
Solver = Annotated[str, Field(max_length=200, description="Whose practice it is; empty for oneself.")]
OutcomeName = Literal["solved", "plus2", "dnf", "dns", "unfinished"]
SeriesName = Literal["single", "best-of-3", "mean-of-3", "evening"]
Milliseconds = Annotated[int, Field(ge=0, lt=10**10)]
#: The most cubes of one attempt.
_MOST_CUBES = 200


class UnknownAttemptError(WebError):
    """An attempt or a series that is not in the logbook."""

    status = 404


class TakenError(WebError):
    """An id that another attempt or series has already."""

    status = 409


class AttemptIn(Asked):
    """An attempt that begins: at one cube, or at many."""

    id: Ident
    started: AwareDatetime = Field(description="When the clock started.")
    cube: CubeIn | None = Field(None, description="The cube, by its scramble; null for many cubes.")
    scrambles: list[str] | None = Field(None, max_length=_MOST_CUBES, description="The scrambles of many cubes.")
    method: str | None = Field(None, description="Of many cubes: the name of the method.")
    lettering: LetteringName = None
    hold: str | None = Field(None, description="Of many cubes: the colours up and in front.")
    solver: Solver = ""
    series: Ident | None = None
    note: str = Field("", max_length=10_000)


class AttemptChange(Asked):
    """What has become of an attempt; what is null stays as it was."""

    memo_ms: Milliseconds | None = Field(None, description="How long memorising took.")
    total_ms: Milliseconds | None = Field(None, description="How long all of it took.")
    outcome: OutcomeName | None = None
    memo: dict[str, str] | None = Field(None, description="The letters that were meant, by orbit.")
    final: str | None = Field(None, description="The net text of the cube that came out.")
    note: str | None = Field(None, max_length=10_000)
    uncovered: bool = Field(False, description="The blindfold came off again, so the memo time is open once more.")


class CubeChange(Asked):
    """How one of many cubes came out."""

    outcome: OutcomeName
    final: str | None = Field(None, description="The net text of what came out; null leaves it as it was.")


class CubeOut(Answer):
    """One of many cubes."""

    number: int
    scramble: str
    outcome: OutcomeName
    final: str | None
    memo: dict[str, str]


class KeptMistakeOut(Answer):
    """A mistake that an inquest or a marking found."""

    explanation: int
    probability: float
    kind: str
    orbit: str
    at: int | None
    letter: str
    said: dict[str, Any]


class AttemptOut(Answer):
    """An attempt as the logbook has it."""

    id: str
    solver: str
    series: str | None
    number: int | None
    event: str
    started: str
    day: str
    scramble: str
    hold: str
    method: str
    lettering: str
    breaks_policy: str
    outcome: OutcomeName
    memo_ms: int | None
    total_ms: int | None
    result: str = Field(description="The result as it is written, by the competition rules.")
    running_ms: int | None = Field(description="How long the clock has run, if nobody has stopped it; else null.")
    memo: dict[str, str]
    final: str | None
    edge_letters: int | None
    corner_letters: int | None
    breaks: int | None
    parity: bool | None
    note: str
    demo: bool
    cubes: list[CubeOut]
    points: int | None = Field(description="Of many cubes, the solved ones less the others; else null.")
    limit_s: int | None = Field(description="Of many cubes, the time limit in seconds; else null.")


class AttemptsOut(Answer):
    """A page of attempts, the newest first."""

    attempts: list[AttemptOut]
    more: bool = Field(description="Whether there are older ones.")


class OneAttemptOut(AttemptOut):
    """An attempt with what went wrong in it."""

    mistakes: list[KeptMistakeOut]


class SeriesIn(Asked):
    """Attempts that belong together."""

    id: Ident
    kind: SeriesName
    name: str = Field("", max_length=200)
    event: str = Field("333bf", max_length=200)
    started: AwareDatetime
    solver: Solver = ""


class SeriesChange(Asked):
    """What a series is called from now on."""

    name: str = Field(max_length=200)


class StandingOut(Answer):
    """What the attempts of a series make together, in hundredths of a second."""

    results: list[int | None]
    best: int | None
    mean: int | None
    complete: bool
    say: str


class SeriesOut(Answer):
    """A series with its attempts, the first one first."""

    id: str
    kind: SeriesName
    name: str
    event: str
    started: str
    solver: str
    demo: bool
    attempts: list[AttemptOut]
    standing: StandingOut
    open: bool = Field(description="Whether the next attempt still counts with these.")


class ExamineIn(Asked):
    """What came out of a failed attempt, in one way; the logbook knows the rest."""

    cube: int | None = Field(None, description="Which of many cubes it is about.")
    final: str | None = Field(None, description="Its net text, held in any way.")
    left: str | None = Field(None, description="Turns that would still solve it, in the hold of the attempt.")
    performed: str | None = Field(None, description="The turns that were made.")
    memo: dict[str, str] | None = Field(None, description="The letters that were meant; null for those kept.")
    mistakes: int = Field(3, ge=1, le=3)
    top: int = Field(5, ge=1, le=50)


@router.post("/attempts")
async def begin_attempt(asked: AttemptIn) -> AttemptOut:
    """Keep an attempt whose clock has started; when this is answered it is on the disk."""
    return await quick(lambda: _begin(asked))


@router.get("/attempts")
async def get_attempts(
    solver: Annotated[str, Query(max_length=200)] = "",
    event: Annotated[str | None, Query(max_length=200)] = None,
    demo: bool = False,
    before: Annotated[str | None, Query(description="The last attempt of the page before.")] = None,
    most: Annotated[int, Query(ge=1, le=200)] = 30,
) -> AttemptsOut:
    """Attempts, the newest first."""

    def work() -> AttemptsOut:
        last = None if before is None else _attempt(before)
        found = book().attempts(solver=solver, event=event, demo=demo, before=last, most=most + 1)
        return AttemptsOut(attempts=_outs(found[:most]), more=len(found) > most)

    return await quick(work)


@router.get("/attempts/running")
async def running_attempts(
    solver: Annotated[str | None, Query(max_length=200, description="Whose; left out, anybody's.")] = None,
    unjudged: Annotated[
        bool, Query(description="Also the last one of today or yesterday, if nobody has said how it came out.")
    ] = False,
) -> AttemptsOut:
    """Attempts whose clocks nobody has stopped: cut off, or running in another window."""

    def work() -> AttemptsOut:
        from nightfold.practice.attempts import awaits_judgement, running

        found = book().attempts(solver=solver, outcomes=[Outcome.UNFINISHED], demo=False, most=20)
        last = book().attempts(solver=solver, demo=False, most=1) if unjudged else []
        waiting = [one for one in last if awaits_judgement(one, datetime.now(UTC))]
        return AttemptsOut(attempts=_outs([*waiting, *(one for one in found if running(one))]), more=False)

    return await quick(work)


@router.get("/attempts/removed")
async def removed_attempts(
    solver: Annotated[str, Query(max_length=200)] = "",
    event: Annotated[str | None, Query(max_length=200)] = None,
    demo: bool = False,
) -> AttemptsOut:
    """Attempts that were removed and can be brought back, the one removed last first."""

    def work() -> AttemptsOut:
        from nightfold.practice.removed import removed

        return AttemptsOut(attempts=_outs(removed(book(), solver, event, demo)), more=False)

    return await quick(work)


@router.get("/attempts/{ident}")
async def get_attempt(ident: str) -> OneAttemptOut:
    """One attempt with its mistakes."""
    return await quick(lambda: _one(ident))


@router.patch("/attempts/{ident}")
async def change_attempt(ident: str, asked: AttemptChange) -> AttemptOut:
    """Keep what has become of an attempt; when this is answered it is on the disk."""
    return await quick(lambda: _change(ident, asked))


@router.put("/attempts/{ident}/cubes/{number}")
async def change_cube(ident: str, number: int, asked: CubeChange) -> AttemptOut:
    """Keep how one of many cubes came out; when all are told, the outcome of the attempt follows."""

    def work() -> AttemptOut:
        _attempt(ident)
        _check_net(asked.final)
        if number not in {cube.number for cube in book().cubes(ident)}:
            raise UnknownAttemptError(f"the attempt {ident[:40]} has no cube {number}")
        return _out(book().judge_cube(ident, number, Outcome(asked.outcome), asked.final)[0])

    return await quick(work)


@router.delete("/attempts/{ident}")
async def remove_attempt(ident: str) -> OneAttemptOut:
    """Remove an attempt with its cubes and mistakes; what it was is answered once more."""

    def work() -> OneAttemptOut:
        from nightfold.practice.removed import remove

        was = _one(ident)
        remove(book(), _attempt(ident))
        return was

    return await quick(work)


@router.post("/attempts/{ident}/restore")
async def restore_attempt(ident: str) -> OneAttemptOut:
    """Bring back an attempt that was removed, as it was."""

    def work() -> OneAttemptOut:
        from nightfold.practice.removed import bring_back

        bring_back(book(), ident)
        return _one(ident)

    return await quick(work)


@router.post("/attempts/{ident}/inquest")
async def examine_kept(ident: str, asked: ExamineIn, request: Request) -> VerdictOut:
    """What went wrong in an attempt, by the chances that the solver's own mistakes suggest; it is kept."""
    return await search(request, lambda task: _examine(ident, asked, task), bench=SEARCHES)


@router.post("/series")
async def begin_series(asked: SeriesIn) -> SeriesOut:
    """Keep a series that begins."""

    def work() -> SeriesOut:
        from nightfold.practice.records import Series, SeriesKind

        given = asked.model_dump() | {"kind": SeriesKind(asked.kind), "name": " ".join(asked.name.split())}
        try:
            book().add_series(Series(**given))
        except ClashError as clash:
            raise TakenError(str(clash)) from None
        return _series_out(asked.id)

    return await quick(work)


@router.get("/series")
async def get_series(
    solver: Annotated[str, Query(max_length=200)] = "",
    demo: bool = False,
    most: Annotated[int, Query(ge=1, le=100)] = 10,
) -> list[SeriesOut]:
    """Series, the newest first."""
    return await quick(lambda: [_series_out(one.id) for one in book().series(solver=solver, demo=demo, most=most)])


@router.patch("/series/{ident}")
async def name_series(ident: str, asked: SeriesChange) -> SeriesOut:
    """Keep what a series is called."""

    def work() -> SeriesOut:
        book().put(replace(_series_of(ident), name=" ".join(asked.name.split())))
        return _series_out(ident)

    return await quick(work)


@router.get("/series/{ident}")
async def one_series(ident: str) -> SeriesOut:
    """One series with what its attempts make together."""
    return await quick(lambda: _series_out(ident))


def _begin(asked: AttemptIn) -> AttemptOut:
    from nightfold.cube.state import Cube
    from nightfold.practice.attempts import BLIND_EVENT, begun, begun_many, breaks_of
    from nightfold.practice.records import AttemptCube

    if (asked.cube is None) == (asked.scrambles is None):
        raise WebError("give either a cube or several scrambles, not both and not neither")
    if asked.cube is not None and (asked.method, asked.lettering, asked.hold) != (None, None, None):
        raise WebError("method, lettering and hold of one cube stand within “cube”; those beside it are of many cubes")
    kept = book()
    more: dict[str, Any] = {"id": asked.id, "solver": asked.solver, "note": asked.note}
    if asked.series is not None:
        _series_of(asked.series)
        more |= {"series": asked.series}
    if asked.cube is not None:
        if asked.cube.net is not None:
            raise WebError("an attempt needs its scramble, so that its cube can be met again; a net is not enough")
        plan = plan_of(asked.cube)
        attempt = begun(
            plan,
            plan.scramble,
            started=asked.started,
            event=BLIND_EVENT,
            method=asked.cube.method,
            # The words may be others by the time of an inquest: what they led to is kept.
            breaks_policy=breaks_of(plan) if asked.cube.breaks == WORDS else asked.cube.breaks or "",
            **more,
        )
        cubes: list[AttemptCube] = []
    else:
        scrambles = asked.scrambles or []
        if len(scrambles) < 2:
            raise WebError("an attempt at many cubes has two or more; give so many scrambles")
        for number, scramble in enumerate(scrambles, start=1):
            try:
                Cube.from_turns(scramble)
            except NightfoldError as trouble:
                raise WebError(f"cube {number}: {trouble}") from None
        read = CubeIn(
            scramble=scrambles[0],
            net=None,
            method=asked.method or DEFAULT,
            lettering=asked.lettering,
            hold=asked.hold,
            breaks=None,
        )
        told = (asked.method, asked.lettering, asked.hold) != (None, None, None)
        attempt, cubes = begun_many(scrambles, plan_of(read) if told else None, started=asked.started, **more)
    try:
        return _out(kept.begin_attempt(attempt, cubes))
    except ClashError as clash:
        raise TakenError(str(clash)) from None


def _change(ident: str, asked: AttemptChange) -> AttemptOut:
    from nightfold.practice.attempts import judged

    attempt = _attempt(ident)
    given = {
        name: value
        for name in ("memo_ms", "total_ms", "final", "note", "memo")
        if (value := getattr(asked, name)) is not None
    }
    if asked.uncovered:
        given["memo_ms"] = None
    _check_net(asked.final)
    memo, total = given.get("memo_ms", attempt.memo_ms), given.get("total_ms", attempt.total_ms)
    if memo is not None and total is not None and memo > total:
        raise WebError(f"memorising took {memo} milliseconds, longer than all of it, {total}")
    cubes = book().cubes(ident)
    if asked.total_ms is not None and len(cubes) > 1:
        check_time(asked.total_ms, len(cubes))
    if asked.outcome is not None:
        judged(replace(attempt, **given), asked.outcome)  # refuses what cannot be
        given["outcome"] = Outcome(asked.outcome)
        return _out(book().change_attempt(ident, **given))
    if not given:
        return _out(attempt)
    changed = book().change_attempt(ident, **given)
    if (settled := _settled(changed, cubes)) != changed:
        book().change_attempt(ident, outcome=settled.outcome)
    return _out(settled)


def _examine(ident: str, asked: ExamineIn, task: Task) -> VerdictOut:
    from nightfold.practice.choosing import choose_cube
    from nightfold.practice.examining import examine

    attempt = _attempt(ident)
    cube = choose_cube(book(), attempt, asked.cube)
    plan = _plan_again(attempt, attempt.scramble if cube is None else cube.scramble)
    told = asked.model_dump(exclude={"cube"})
    verdict = examine(book(), attempt, plan, cube=cube, **told, progress=task.check)
    return VerdictOut.model_validate({**verdict.to_dict(), "view": view_of(plan), "meant": plan_data(verdict.plan)})


def _plan_again(attempt: Any, scramble: str) -> Any:
    """The plan of a cube of a kept attempt; a method or lettering of one's own is looked for as the desk does."""
    from nightfold.practice.attempts import plan_of as plan_again

    if attempt.method not in library.METHODS.shipped() and not library.is_own(library.METHODS, attempt.method):
        return plan_again(replace(attempt, scramble=scramble))
    return plan_of(
        CubeIn(
            scramble=scramble,
            net=None,
            method=attempt.method,
            lettering=attempt.lettering or None,
            hold=attempt.hold or None,
            breaks=attempt.breaks_policy or None,
        )
    )


def _settled(attempt: Any, cubes: list[Any]) -> Any:
    """The attempt with the outcome that follows from its cubes, if it is one at many and they are all judged."""
    from nightfold.practice.attempts import multi_outcome

    if len(cubes) < 2 or (outcome := multi_outcome(attempt, cubes)) is Outcome.UNFINISHED:
        return attempt
    return replace(attempt, outcome=outcome)


def _check_net(net: str | None) -> None:
    """Raise NightfoldError unless it is a net, or None."""
    from nightfold.cube.net import parse_net

    if net is not None:
        parse_net(net)


def _one(ident: str) -> OneAttemptOut:
    attempt = _attempt(ident)
    mistakes = [one.to_dict() for one in book().mistakes(solver=None, attempts=[ident])]
    return OneAttemptOut.model_validate({**_out(attempt).model_dump(), "mistakes": mistakes})


def _attempt(ident: str) -> Any:
    from nightfold.practice.records import Attempt

    found = book().get(Attempt, ident)
    if found is None:
        raise UnknownAttemptError(f"there is no attempt {ident[:40]} in the logbook")
    return found


def _out(attempt: Any) -> AttemptOut:
    return _outs([attempt])[0]


def _outs(attempts: list[Any]) -> list[AttemptOut]:
    from nightfold.practice.attempts import multi_result, result_words, running, running_ms

    cubes: dict[str, list[Any]] = {}
    for cube in book().cubes(*(attempt.id for attempt in attempts)):
        cubes.setdefault(cube.attempt, []).append(cube)
    found = []
    for attempt in attempts:
        mine = cubes.get(attempt.id, [])
        multi = multi_result(attempt, mine) if len(mine) > 1 else None
        data = attempt.to_dict() | {
            "result": str(multi) if multi is not None else result_words(attempt),
            "running_ms": running_ms(attempt, datetime.now(UTC)) if running(attempt) else None,
            "cubes": [cube.to_dict() for cube in mine],
            "points": None if multi is None else multi.points,
            "limit_s": time_limit(len(mine)) if len(mine) > 1 else None,
        }
        found.append(AttemptOut.model_validate(data))
    return found


def _series_of(ident: str) -> Any:
    from nightfold.practice.records import Series

    found = book().get(Series, ident)
    if found is None:
        raise UnknownAttemptError(f"there is no series {ident[:40]} in the logbook")
    return found


def _series_out(ident: str) -> SeriesOut:
    from nightfold.practice.attempts import goes_on, standing

    found = _series_of(ident)
    attempts = book().attempts(solver=None, series=ident, most=None)[::-1]
    data = found.to_dict() | {
        "attempts": _outs(attempts),
        "standing": standing(attempts, found.kind).to_dict(),
        "open": goes_on(found, attempts, datetime.now(UTC)),
    }
    return SeriesOut.model_validate(data)
