"""Invented practice, as much of it as one likes: solvers of the club in Fennel Point, their attempts and answers."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Card, Mistake, Record, Review, Source
from nightfold.practice.results import Outcome
from nightfold.practice.writing import in_chunks

START = datetime(2019, 10, 7, 18, 30, tzinfo=UTC)
EXERCISES = ("sticker-to-letter", "letter-to-sticker", "setup", "next-letter", "parity", "pair-to-word")
KINDS = ("other-sticker", "letter-left-out", "letter-doubled", "setup-not-undone", "parity-forgotten")
_TURNS = [face + amount for face in "ULFRBD" for amount in ("", "2", "'")]
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"


def _ident(dice: random.Random) -> str:
    return str(uuid.UUID(int=dice.getrandbits(128), version=4))


def attempts(count: int, seed: int = 1, days: int = 2000, solver: str = "") -> Iterator[Attempt]:
    """So many attempts, spread over so many days, in the order of their times."""
    dice = random.Random(seed)
    for number in range(count):
        started = START + timedelta(days=days * number / count)
        outcome = dice.choices(list(Outcome), (48, 4, 44, 1, 3))[0]
        memo_ms = round(dice.lognormvariate(10.4, 0.25))
        total_ms = memo_ms + round(dice.lognormvariate(11.0, 0.2))
        edges = [dice.choice(_LETTERS) for _ in range(dice.randrange(9, 16))]
        corners = [dice.choice(_LETTERS) for _ in range(dice.randrange(5, 11))]
        done = outcome in (Outcome.SOLVED, Outcome.PLUS2, Outcome.DNF)
        yield Attempt(
            id=_ident(dice),
            solver=solver,
            event=dice.choices(("333bf", "444bf"), (9, 1))[0],
            started=started,
            day=started.date().isoformat(),
            scramble=" ".join(dice.choices(_TURNS, k=21)),
            hold="white up, green in front",
            method=dice.choice(("two-swap", "left-hand")),
            lettering="clockwise",
            breaks_policy="lowest",
            outcome=outcome,
            memo_ms=memo_ms if done else None,
            total_ms=total_ms if done else None,
            final="what came out" if outcome is Outcome.DNF and number % 2 else None,
            memo={"edges": "".join(edges), "corners": "".join(corners)},
            edge_letters=len(edges),
            corner_letters=len(corners),
            breaks=dice.randrange(5),
            flipped=dice.choices((0, 1, 2), (6, 3, 1))[0],
            twisted=dice.choices((0, 1, 2), (5, 3, 1))[0],
            parity=bool(len(edges) % 2),
            cycles=dice.randrange(2, 8),
            turns=dice.randrange(180, 420),
        )


def mistakes(of: Attempt, seed: int = 1) -> list[Mistake]:
    """What an inquest may have said of an attempt that failed."""
    dice = random.Random(f"{seed} {of.id}")
    return [
        Mistake(
            id=_ident(dice),
            solver=of.solver,
            attempt=of.id,
            found=of.started + timedelta(minutes=5),
            day=of.day,
            source=Source.INQUEST,
            explanation=number,
            probability=round(0.6 / (number + 1), 6),
            alone=True,
            kind=dice.choice(KINDS),
            orbit=dice.choice(("edges", "corners")),
            at=dice.randrange(8),
            letter=dice.choice(_LETTERS),
            said={"say": "letter 3 was left out"},
        )
        for number in range(dice.randrange(1, 4))
    ]


def cards(solver: str = "", per_exercise: int = 40) -> list[Card]:
    """Cards of all exercises."""
    return [
        Card(
            solver=solver,
            exercise=exercise,
            subject=f"edges/{number}",
            due=START + timedelta(days=37 * number % 2000),
            state={"card_id": number, "state": 2, "stability": 3.5, "difficulty": 5.0},
            stability=3.5,
            difficulty=5.0,
        )
        for exercise in EXERCISES
        for number in range(per_exercise)
    ]


def reviews(count: int, known: list[Card], seed: int = 1, days: int = 2000) -> Iterator[Review]:
    """So many answers to what cards ask, spread over so many days, in the order of their times."""
    dice = random.Random(seed)
    for number in range(count):
        card = dice.choice(known)
        answered = START + timedelta(days=days * number / count, seconds=1)
        right = dice.random() < 0.85
        yield Review(
            id=_ident(dice),
            solver=card.solver,
            card=card.id,
            exercise=card.exercise,
            answered=answered,
            day=answered.date().isoformat(),
            rating=3 if right else 1,
            right=right,
            share=1.0 if right else 0.0,
            answer_ms=round(dice.lognormvariate(7.6, 0.4)),
            days_since=float(number % 9) if number % 3 else None,
            asked={"prompt": "which letter?", "sticker": "LB"},
            given=dice.choice(_LETTERS),
        )


def practice(count: int, seed: int = 1, days: int = 2000, per_exercise: int = 40) -> Iterator[Record]:
    """So many attempts with their mistakes, as many answers, and the cards of these."""
    known = cards(per_exercise=per_exercise)
    yield from known
    yield from reviews(count, known, seed, days)
    for attempt in attempts(count, seed, days):
        yield attempt
        if attempt.outcome is Outcome.DNF:
            yield from mistakes(attempt, seed)


def fill(place: str | Path, count: int, seed: int = 1, days: int = 2000) -> None:
    """Put so many attempts and answers into a logbook, a part at a time."""
    with Logbook.open(place, backups=False) as book:
        for some in in_chunks(practice(count, seed, days), 20_000):
            book.add(*some)
