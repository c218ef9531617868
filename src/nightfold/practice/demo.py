"""A demo logbook: sixteen Thursdays of the evening club at Fennel Point, invented from beginning to end.

Its people are not, its cubes are: every scramble is dealt, every failed cube was turned with a slip in it, and every
mistake was found by an inquest.  All of it is marked, and goes without a trace.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from nightfold.practice.attempts import begun, judged, mistakes_of
from nightfold.practice.records import Card, Fact, Record, Review, Run, Series, SeriesKind, Solver, Word
from nightfold.practice.results import Outcome
from nightfold.practice.schedule import days_since, new_card, rate, review
from nightfold.practice.writing import Writer

if TYPE_CHECKING:
    from nightfold.blind.plan import Plan
    from nightfold.cube.state import Cube
    from nightfold.practice.logbook import Logbook

#: The fact under which it is noted when the demo was loaded.
LOADED = "demo loaded"
#: So many Thursdays, the last of them in the week before.
_EVENINGS = 16
_ATTEMPTS = 4


@dataclass(frozen=True, slots=True)
class _Member:
    """Someone of the club: how fast at first and at last, in seconds, and how often solved at first and at last."""

    name: str
    method: str
    memo: tuple[float, float]
    execution: tuple[float, float]
    solved: tuple[float, float]
    #: What their failures are made of.
    slips: tuple[str, ...]
    note: str


_MEMBERS = (
    _Member("Maren", "two-swap", (48, 41), (62, 55), (0.7, 0.82), ("undo", "letter"), "keeps the lamp and the scores"),
    _Member("Jory", "left-hand", (130, 78), (150, 96), (0.25, 0.6), ("letter", "letter", "parity"), ""),
    _Member("Ansa", "two-swap", (210, 120), (240, 130), (0.1, 0.5), ("undo", "setup", "parity"), "began not long ago"),
)
_WORDS = (
    ("L S", "lighthouse", "place"),
    ("F P", "ferry pilot", "person"),
    ("B J", "bell jar", "object"),
    ("Q W", "quay wall", "place"),
    ("M H", "mackerel head", "food"),
    ("T F", "tide flag", "object"),
)
_DRILLS = ("sticker-letter", "setup", "next-letter")


def demo_records(today: datetime | None = None, seed: int = 1859) -> Iterator[Record]:
    """The records of the demo, ending in the week before ``today``; the same for the same day and seed."""
    from nightfold.blind.dealing import Dealer
    from nightfold.blind.method import load_method

    dice = random.Random(seed)
    today = (today or datetime.now(UTC)).replace(hour=19, minute=30, second=0, microsecond=0)
    first = today - timedelta(days=(today.weekday() - 3) % 7 + 7 * _EVENINGS)
    dealers = {
        method: Dealer(blind=True, method=load_method(method), seed=seed, effort=0)
        for method in {one.method for one in _MEMBERS}
    }
    for member in _MEMBERS:
        yield Solver(name=member.name, created=first, note=member.note, demo=True)
        for evening in range(_EVENINGS):
            when = first + timedelta(days=7 * evening)
            series = Series(
                id=_id(dice),
                solver=member.name,
                kind=SeriesKind.BEST_OF_3,
                name="Thursday",
                event="333bf",
                started=when,
            )
            yield replace(series, demo=True)
            for number in range(1, _ATTEMPTS + 1):
                part = (evening + number / _ATTEMPTS) / _EVENINGS
                inside = {"series": series.id, "number": number} if number <= 3 else {}
                scramble = str(dealers[member.method].deal())
                yield from _attempt(dice, member, scramble, when + timedelta(minutes=12 * number), part, inside)
        yield from _drilled(dice, member, first)
    for pair, word, kind in _WORDS:
        yield Word(
            solver="Maren", pair=pair, word=word, kind=kind, strength=0.8, created=first, changed=first, demo=True
        )


def load_demo(book: Logbook, today: datetime | None = None) -> int:
    """Load the demo into a logbook, in the place of one that is there; how many records that are.

    What of it is there already, as a word that somebody of the same name keeps, stays as it is.
    """
    book.remove_demo()
    loaded = Fact(name=LOADED, value=datetime.now(UTC).isoformat(timespec="seconds"), demo=True)
    with book.database.writing() as connection:
        writer = Writer(connection)
        added = writer.add([*demo_records(today), loaded])
        writer.finish()
    return added.new


def demo_solvers(book: Logbook) -> list[str]:
    """The names of the demo's people; none where it is not loaded."""
    return [member.name for member in _MEMBERS] if book.fact(LOADED) is not None else []


def _attempt(
    dice: random.Random, member: _Member, scramble: str, when: datetime, part: float, inside: dict[str, object]
) -> Iterator[Record]:
    from nightfold.blind.plan import make_plan
    from nightfold.coach.inquest import hold_inquest
    from nightfold.cube.net import write_net

    plan = make_plan(scramble, member.method)
    memo = _seconds(dice, member.memo, part) * plan.letters / 20
    execution = _seconds(dice, member.execution, part) * plan.letters / 20
    attempt = begun(
        plan,
        scramble,
        id=_id(dice),
        started=when,
        solver=member.name,
        memo_ms=round(1000 * memo),
        total_ms=round(1000 * (memo + execution)),
        demo=True,
        **inside,
    )
    if dice.random() < _between(member.solved, part):
        outcome = Outcome.PLUS2 if dice.random() < 0.05 else Outcome.SOLVED
        yield judged(attempt, outcome)
        return
    final = _gone_wrong(dice, plan, dice.choice(member.slips))
    memo_written = {reading.orbit.name: " ".join(reading.letters) for reading in plan.orbits}
    attempt = judged(attempt, Outcome.DNF, memo=memo_written, final=write_net(final))
    yield attempt
    # The memo was right, and nobody held the cube otherwise, so the inquest need not look for that.
    verdict = hold_inquest(plan, final, mistakes=1, top=2, thorough=False)
    for mistake in mistakes_of(attempt, verdict, when):
        yield replace(mistake, id=_id(dice))


def _gone_wrong(dice: random.Random, plan: Plan, slip: str) -> Cube:
    """The cube that comes out when one thing of the plan is done wrong."""
    turns = [list(step.turns) for step in plan.steps]
    at = dice.randrange(len(turns))
    step = plan.steps[at]
    match slip:
        case "undo" if step.undo:
            turns[at] = turns[at][: -len(step.undo)]
        case "setup" if step.setup:
            turns[at] = turns[at][len(step.setup) :]
        case "parity" if plan.parity:
            turns = [made for made, other in zip(turns, plan.steps, strict=True) if other.letter]
        case _:
            turns[at] = []
    return plan.cube.apply([turn for made in turns for turn in made])


def _drilled(dice: random.Random, member: _Member, first: datetime) -> Iterator[Record]:
    """A quarter of an hour of exercises every week, on a handful of stickers."""
    for exercise in _DRILLS:
        states: dict[str, dict[str, object]] = {}
        for evening in range(_EVENINGS):
            when = first + timedelta(days=7 * evening + 2)
            run = Run(id=_id(dice), solver=member.name, exercise=exercise, started=when, demo=True)
            right = 0
            answers: list[Record] = []
            for number, subject in enumerate(("edges/UB", "edges/LF", "edges/DR", "corners/UFR", "corners/DBL")):
                known = dice.random() < _between(member.solved, evening / _EVENINGS) / 2 + 0.5
                right += known
                ms = round(1000 * _seconds(dice, (3.2, 1.6), evening / _EVENINGS))
                at = when + timedelta(seconds=20 * number)
                state = states.get(subject) or new_card(exercise, subject, when)
                rating = rate(known, ms, None)
                done = review(state, rating, at, ms)
                states[subject] = dict(done.card)
                card = Card(
                    solver=member.name, exercise=exercise, subject=subject, state=done.card, due=done.due, demo=True
                )
                answers.append(
                    Review(
                        id=_id(dice),
                        solver=member.name,
                        card=card.id,
                        run=run.id,
                        exercise=exercise,
                        answered=at,
                        rating=rating,
                        right=known,
                        share=float(known),
                        answer_ms=ms,
                        days_since=days_since(state, at),
                        demo=True,
                    )
                )
                if evening == _EVENINGS - 1:
                    yield card
            yield replace(run, ended=when + timedelta(minutes=2), score=right / 5)
            yield from answers


def _between(ends: tuple[float, float], part: float) -> float:
    return ends[0] + (ends[1] - ends[0]) * min(1.0, part)


def _seconds(dice: random.Random, ends: tuple[float, float], part: float) -> float:
    return float(_between(ends, part) * dice.lognormvariate(0, 0.16))


def _id(dice: random.Random) -> str:
    """An id that the dice give, so that loading the demo twice is loading it once."""
    import uuid

    return str(uuid.UUID(int=dice.getrandbits(128), version=4))
