"""When what is learnt comes again: a thin layer over the library ``fsrs``, which reckons with stability and difficulty.

Each subject of an exercise is a card.  An answer is rated by two rules and handed to the library; nothing of what that
computes is changed, and its spreading of intervals by chance is off, so that equal answers give equal dates.

- A wrong answer is ``Again``.
- A right answer is ``Good``; once there are ``ENOUGH`` right answers in the exercise to compare with, one that took
  more than ``SLOW`` times their median is ``Hard`` and one that took less than ``QUICK`` times it ``Easy``.  Times are
  compared letter by letter where an answer has several.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from statistics import median
from typing import TYPE_CHECKING, Any

from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from fsrs import Card, Scheduler

#: How many right answers there must be before speed says anything, and how many are looked back at.
ENOUGH, LOOK_BACK = 8, 60
#: From how many times the median on an answer is slow, and below how many it is quick.
SLOW, QUICK = 2.0, 0.6
#: How likely one shall still know what comes up, which is how the library chooses intervals.
RETENTION = 0.9
#: How many new cards an exercise brings in a day, and from how many due ones on it brings none.
NEW_A_DAY, TOO_MANY_DUE = 10, 30
#: What counts as today: the last so many hours, so that midnight is no new day for one who sits up.
A_DAY = timedelta(hours=20)

AGAIN, HARD, GOOD, EASY = 1, 2, 3, 4


class ScheduleError(NightfoldError):
    """A kept card that cannot be read, or a review before the one that was last."""


@dataclass(frozen=True, slots=True)
class Review:
    """What a review made of a card: its new state as the library writes it, when it is due, the rating, and the log."""

    card: Mapping[str, Any]
    due: datetime
    rating: int
    log: Mapping[str, Any]


# --- rating ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast a learner is in an exercise: the median of the right answers, in milliseconds a letter."""

    usual: float

    @property
    def slow(self) -> float:
        """A right answer that took longer is rated ``Hard``."""
        return SLOW * self.usual

    @property
    def quick(self) -> float:
        """A right answer that took less is rated ``Easy``."""
        return QUICK * self.usual


def pace_of(times: Sequence[float]) -> Pace | None:
    """The pace that right answers show, the oldest first; None while there are too few to tell."""
    last = [time for time in times if time > 0][-LOOK_BACK:]
    return Pace(median(last)) if len(last) >= ENOUGH else None


def rate(right: bool, ms: float | None = None, pace: Pace | None = None) -> int:
    """The rating of an answer that took ``ms`` milliseconds a letter; None where the time is not known."""
    if not right:
        return AGAIN
    if ms is None or pace is None:
        return GOOD
    return HARD if ms > pace.slow else EASY if ms < pace.quick else GOOD


# --- cards -----------------------------------------------------------------------------------------------------


@cache
def scheduler() -> Scheduler:
    """The library's scheduler as it is used here: its own weights, nothing left to chance."""
    from fsrs import Scheduler

    return Scheduler(desired_retention=RETENTION, enable_fuzzing=False)


def card_number(exercise: str, subject: str) -> int:
    """A number for a card that is the same wherever it is made: 48 bits of a digest of its name."""
    return int.from_bytes(hashlib.sha256(f"{exercise}\n{subject}".encode()).digest()[:6], "big")


def new_card(exercise: str, subject: str, now: datetime) -> dict[str, Any]:
    """A card that was never asked, due now."""
    from fsrs import Card

    return dict(Card(card_id=card_number(exercise, subject), due=_utc(now)).to_dict())


def days_since(card: Mapping[str, Any] | None, when: datetime) -> float | None:
    """How many days before ``when`` a card was last asked for; None where it never was.

    Raises ScheduleError for a card that cannot be read.
    """
    if card is None:
        return None
    try:
        last = card.get("last_review")
        return None if last is None else max(0.0, (when - datetime.fromisoformat(last)) / timedelta(days=1))
    except (TypeError, ValueError) as trouble:
        raise ScheduleError(f"a kept card cannot be read: {trouble}") from None


def review(card: Mapping[str, Any], rating: int, when: datetime, ms: int | None = None) -> Review:
    """The card after an answer at ``when`` that took ``ms`` milliseconds.

    ``card`` is a state as ``new_card`` or an earlier review gives it.  Where a clock was set back and ``when`` lies
    before the last review, the review counts as made then.  Raises ScheduleError for a card that cannot be read.
    """
    from fsrs import Rating

    known = _read(card)
    when = _utc(when)
    if known.last_review is not None:
        when = max(when, known.last_review)
    after, log = scheduler().review_card(known, Rating(rating), when, ms)
    return Review(dict(after.to_dict()), after.due, rating, dict(log.to_dict()))


def due_at(card: Mapping[str, Any]) -> datetime:
    """When a card is due.  Raises ScheduleError for a card that cannot be read."""
    return _read(card).due


def recall(card: Mapping[str, Any], when: datetime) -> float:
    """How likely the library thinks it is that the card is known at ``when``; 0 for one that was never asked.

    Raises ScheduleError for a card that cannot be read.
    """
    return float(scheduler().get_card_retrievability(_read(card), _utc(when)))


def _read(card: Mapping[str, Any]) -> Card:
    from fsrs import Card

    try:
        return Card.from_dict(dict(card))  # type: ignore[arg-type]
    except (KeyError, TypeError, ValueError) as trouble:
        raise ScheduleError(f"a kept card cannot be read: {type(trouble).__name__} at {trouble}") from None


def _utc(when: datetime) -> datetime:
    """The same moment in UTC, which the library asks for; a time without a zone is taken for UTC."""
    return when.replace(tzinfo=UTC) if when.tzinfo is None else when.astimezone(UTC)


# --- what comes next -------------------------------------------------------------------------------------------


def fresh_allowance(due: int, begun_today: int) -> int:
    """How many cards may be brought in now: so many a day, and none while much is due."""
    return 0 if due >= TOO_MANY_DUE else max(0, NEW_A_DAY - begun_today)


def next_subject(
    subjects: Sequence[str],
    due: Mapping[str, datetime],
    now: datetime,
    fresh: int,
    wanted: Iterable[str] = (),
    last: str | None = None,
) -> str | None:
    """What to ask: what is ``wanted``, then what is due longest, then something new, then what is due soonest.

    ``subjects`` are all there are, in the order in which they are best learnt; ``due`` says when those come again that
    were asked before; ``fresh`` is how many of the others may still be brought in.  ``last``, the one asked before, is
    passed over unless there is no other.  None where there is nothing to ask.
    """
    known = set(subjects)
    others = [subject for subject in subjects if subject != last] or list(subjects)
    for subject in wanted:
        if subject in known and subject != last:
            return subject
    coming = sorted((due[subject], at, subject) for at, subject in enumerate(others) if subject in due)
    if coming and coming[0][0] <= now:
        return coming[0][2]
    new = [subject for subject in others if subject not in due]
    if new and (fresh > 0 or not coming):
        return new[0]
    return coming[0][2] if coming else None
