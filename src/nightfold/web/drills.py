"""``/api/drills`` and ``/api/today``: questions that are asked, answered and scheduled, one by one.

A question is made anew from a ticket when its answer comes, so a server that was restarted meanwhile marks it all the
same.  The ticket names what is practised in a coded form: enough that nobody reads an answer by accident, not that
nobody could.
"""

from __future__ import annotations

import json
import random
import secrets
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from fastapi import APIRouter, Query, Request
from pydantic import Field

from nightfold.web import library
from nightfold.web.book import book
from nightfold.web.errors import WebError
from nightfold.web.models import Answer, Asked, LetteringName, MethodName
from nightfold.web.work import Task, quick, search

if TYPE_CHECKING:
    from datetime import datetime

    from nightfold.practice.drills import Marked, Question, Table
    from nightfold.practice.kept import LogbookKeeper

router = APIRouter(tags=["practice"])

Solver = Annotated[str, Field(max_length=200, description="Whose practice it is; empty for oneself.")]


class UnknownRunError(WebError):
    """A run that is not in the logbook."""

    status = 404


class TableIn(Asked):
    """With what one drills."""

    method: MethodName = "two-swap"
    lettering: LetteringName = None
    hold: str | None = None
    solver: Solver = ""


class AskIn(TableIn):
    """What to ask next."""

    orbit: str | None = Field(None, description="Keep to the edges or to the corners.")
    level: int | None = Field(None, ge=1, le=20, description="How hard; by the learner's answers if null.")
    wanted: list[str] = Field([], max_length=100, description="Subjects to be asked first, as today's practice has.")
    after: str | None = Field(None, max_length=4000, description="The ticket of the question before, not to repeat it.")
    shown: float | None = Field(None, description="For how many seconds a memo to hold is shown; 0 as long as wanted.")
    delay: float | None = Field(None, description="How many seconds after that it is asked for.")


class QuestionOut(Answer):
    """A question; no answer can be read from it."""

    ticket: str = Field(description="What the answer is sent with.")
    exercise: str
    title: str
    level: int
    prompt: str
    form: str = Field(description="letter, sticker, letters, turns, yes-no, pieces or word.")
    parts: list[str] = Field(description="The lines of an answer that has several.")
    choices: list[str]
    scramble: str
    hold: str
    net: str = Field(description="The 54 colours seen, place by place; empty where no cube is shown.")
    lit: list[str] = Field(description="Names of the stickers to be lit.")
    letters: list[str] = Field(description="The letters so far.")
    show: list[str] = Field(description="What is to be remembered, one text a part.")
    seconds: float | None = Field(description="How long it is shown; null as long as wanted.")
    delay: float = Field(description="Seconds until the answer is asked for.")
    may_be_none: bool = Field(description="Whether no letters, turns or pieces at all may be right, written -.")
    clock: bool = Field(description="Whether one sees the time run.")
    usual: float | None = Field(description="Seconds a letter that right answers took, where the time runs; else null.")
    best: float | None = Field(description="The same of the quickest.")


class GivenIn(TableIn):
    """An answer."""

    id: str = Field(max_length=40, description="A UUID that the client makes, so that sending twice is sending once.")
    ticket: str = Field(max_length=4000)
    given: str = Field(max_length=4000, description="Its lines; a question mark for “I do not know”.")
    ms: int | None = Field(None, ge=0, lt=10**9, description="How long it took.")
    run: str | None = Field(None, max_length=40, description="The run it belongs to.")


class JudgedOut(Answer):
    """How an answer was judged; it is kept when this is answered."""

    right: bool
    share: float
    size: int = Field(description="How many letters were asked for; times are compared by each.")
    expected: list[str]
    say: str
    rating: int
    due: str


class ExerciseOut(Answer):
    """An exercise."""

    name: str
    title: str
    about: str
    most_level: int
    due: int = Field(description="How many of its cards are due now.")
    seconds: int = Field(description="About how long one question takes this learner.")


class BlockOut(Answer):
    """One block of today's practice."""

    exercise: str
    subjects: list[str]
    count: int
    seconds: int
    why: str


class TodayOut(Answer):
    """What to practise in the minutes one has."""

    minutes: float
    seconds: int
    items: list[BlockOut]


class RunEnd(Asked):
    """How a run of questions went."""

    asked: int = Field(ge=0, le=100_000)
    right: int = Field(ge=0, le=100_000)


class RunOut(Answer):
    """A run of questions."""

    id: str


@dataclass(frozen=True, slots=True)
class _Ticket:
    """What a question is made of: its exercise, its subject, how hard, how the dice fall, and its times if chosen."""

    exercise: str
    subject: str
    level: int
    seed: int
    shown: float | None = None
    delay: float | None = None

    def __str__(self) -> str:
        parts = [self.exercise, self.subject, self.level, self.seed, self.shown, self.delay]
        return urlsafe_b64encode(json.dumps(parts, ensure_ascii=False).encode()).decode()

    @classmethod
    def read(cls, text: str) -> _Ticket:
        """The ticket that was sent out.  Raises WebError for a text that is none."""
        try:
            exercise, subject, level, seed, *times = json.loads(urlsafe_b64decode(text.encode()).decode())
            if not (isinstance(exercise, str) and isinstance(subject, str)):
                raise ValueError
            if not (isinstance(level, int) and isinstance(seed, int)):
                raise ValueError
            if len(times) > 2 or not all(time is None or isinstance(time, int | float) for time in times):
                raise ValueError
        except (ValueError, TypeError, RecursionError):
            raise WebError("this is no ticket of a question; ask for another question") from None
        return cls(exercise, subject, level, seed, *times)

    def question(self, table: Table) -> Question:
        """The question, which is the same each time."""
        from nightfold.practice.drills import exercise
        from nightfold.practice.drills.holding import timed

        asked = exercise(self.exercise).ask(table, self.subject, random.Random(self.seed), self.level)
        return asked if (self.shown, self.delay) == (None, None) else timed(asked, self.shown, self.delay)


@router.get("/drills")
async def get_drills(solver: Annotated[str, Query(max_length=200)] = "") -> list[ExerciseOut]:
    """All exercises, with how much is due in each."""

    def work() -> list[ExerciseOut]:
        from nightfold.practice.agenda import usual_seconds
        from nightfold.practice.drills import EXERCISES
        from nightfold.practice.kept import LogbookKeeper
        from nightfold.practice.sitting import utc_now

        due, keeper = book().due_counts(utc_now(), solver=solver), LogbookKeeper(book(), solver)
        return [
            ExerciseOut(
                name=one.name,
                title=one.title,
                about=one.about,
                most_level=one.most_level,
                due=due.get(one.name, 0),
                seconds=round(usual_seconds(one, keeper)),
            )
            for one in EXERCISES.values()
        ]

    return await quick(work)


@router.post("/drills/{exercise}/next")
async def next_question(exercise: str, asked: AskIn, request: Request) -> QuestionOut:
    """The next question of an exercise, chosen by what is due and as hard as the learner is good."""
    return await search(request, lambda _: _next(exercise, asked))


@router.post("/drills/answer")
async def answer_question(asked: GivenIn, request: Request) -> JudgedOut:
    """Judge an answer and keep it; one that cannot be read is refused, and may be given again."""
    return await search(request, lambda _: _answer(asked))


@router.post("/drills/{exercise}/runs")
async def begin_run(exercise: str, asked: TableIn) -> RunOut:
    """Keep that a run of an exercise begins."""

    def work() -> RunOut:
        from nightfold.practice import drills
        from nightfold.practice.records import Run
        from nightfold.practice.sitting import utc_now

        made = Run(solver=asked.solver, exercise=drills.exercise(exercise).name, started=utc_now())
        book().add_run(made)
        return RunOut(id=made.id)

    return await quick(work)


@router.patch("/drills/runs/{ident}")
async def end_run(ident: str, asked: RunEnd) -> RunOut:
    """Keep how a run went; one without an answer is not kept at all."""

    def work() -> RunOut:
        from nightfold.practice.kept import LogbookKeeper
        from nightfold.practice.records import Run
        from nightfold.practice.sitting import utc_now

        found = book().get(Run, ident)
        if found is None and not asked.asked:
            return RunOut(id=ident)  # it was let go of before, and the page asks once more
        if found is None:
            raise UnknownRunError(f"there is no run {ident[:40]} in the logbook")
        keeper = LogbookKeeper(book(), found.solver)
        keeper.run = found
        keeper.stop(min(asked.right, asked.asked), asked.asked, utc_now())
        return RunOut(id=ident)

    return await quick(work)


@router.post("/today")
async def get_today(
    asked: TableIn, request: Request, minutes: Annotated[float, Query(ge=1, le=240)] = 20.0
) -> TodayOut:
    """What is due and what went wrong lately, mixed, in the minutes one has."""

    def work(_: Task) -> TodayOut:
        from nightfold.practice.agenda import todays_practice
        from nightfold.practice.sitting import utc_now

        table, keeper = _laid(asked)
        return TodayOut.model_validate(todays_practice(table, keeper, minutes, utc_now()).to_dict())

    return await search(request, work)


def _laid(asked: TableIn) -> tuple[Table, LogbookKeeper]:
    from nightfold.practice.drills import Table
    from nightfold.practice.kept import LogbookKeeper

    keeper = LogbookKeeper(book(), asked.solver)
    method = library.method(asked.method)
    table = Table.laid(method, library.letters_for(method, asked.lettering), asked.hold, keeper.words())
    return table, keeper


def _next(exercise: str, asked: AskIn) -> QuestionOut:
    from nightfold.practice import drills
    from nightfold.practice.drills.holding import fits_times
    from nightfold.practice.sitting import Sitting

    times_chosen = exercise == "hold-memo" and (asked.shown, asked.delay) != (None, None)
    table, keeper = _laid(asked)
    sitting = Sitting(
        table,
        drills.exercise(exercise),
        keeper,
        secrets.SystemRandom(),
        orbit=asked.orbit,
        level=asked.level,
        wanted=asked.wanted,
        after=None if asked.after is None else _Ticket.read(asked.after).subject,
        fits=lambda subject: not times_chosen or fits_times(subject, asked.shown, asked.delay),
    )
    subject, level = sitting.choose()
    ticket = _Ticket(sitting.exercise.name, subject, level, secrets.randbits(48), asked.shown, asked.delay)
    question = ticket.question(table)
    times, one = sitting.times_at(subject), sitting.exercise
    told = {
        "may_be_none": one.may_be_none,
        "clock": one.against_clock,
        "usual": times and times.usual,
        "best": times and times.best,
    }
    return QuestionOut.model_validate({**question.public(), **told, "ticket": str(ticket), "title": one.title})


def _answer(asked: GivenIn) -> JudgedOut:
    from nightfold.practice import drills
    from nightfold.practice.records import Card, Review, Run
    from nightfold.practice.sitting import Sitting

    ticket = _Ticket.read(asked.ticket)
    table, keeper = _laid(asked)
    exercise = drills.exercise(ticket.exercise)
    question = ticket.question(table)
    if (known := book().get(Review, asked.id)) is not None:
        # It came twice: what it was judged then is said again, and nothing is counted anew.
        marked, card = exercise.mark(table, question, known.given), book().get(Card, known.card)
        return _judged(question, marked, known.rating, known.answered if card is None else card.due)
    keeper.ident = asked.id
    keeper.run = None if asked.run is None else book().get(Run, asked.run)
    answered = Sitting(table, exercise, keeper, secrets.SystemRandom()).answer(question, asked.given, asked.ms)
    return _judged(question, answered.marked, answered.review.rating, answered.review.due)


def _judged(question: Question, marked: Marked, rating: int, due: datetime) -> JudgedOut:
    return JudgedOut(
        right=marked.right,
        share=marked.share,
        size=question.size,
        expected=list(marked.expected),
        say=marked.say,
        rating=rating,
        due=due.isoformat(),
    )
