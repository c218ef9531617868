"""Today's practice out of what a keeper knows: which cards are due, what may be begun, how long things take.

How long a question takes is first what it usually takes; each right answer of one's own counts for more, and from
``ENOUGH`` on they alone do.  A wrong answer, and one given up, says nothing: it may be quick or slow for any reason.
"""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from statistics import median

from nightfold.practice.drills import EXERCISES, Exercise, Table
from nightfold.practice.keeper import Keeper
from nightfold.practice.schedule import A_DAY, ENOUGH, due_at, fresh_allowance
from nightfold.practice.today import Today, plan_today

#: Mistakes longer ago are not looked at.
LOOK_BACK = timedelta(days=90)
#: Seconds for reading what the teacher says, for each question.
_READING = 2.0
#: From so many seconds on a practice is long, and one is reminded of rest: half of the half hour that the usual advice
#: for work at a screen puts between breaks (common practice, no source).
LONG_SECONDS = 15 * 60.0
#: How many answers are looked at for usual times.
_TIMES = 40


def todays_practice(table: Table, keeper: Keeper, minutes: float, now: datetime) -> Today:
    """What to practise now in so many minutes.  Raises DrillError for minutes that cannot be planned."""
    due: dict[str, list[str]] = {}
    fresh: dict[str, list[str]] = {}
    seconds: dict[str, float] = {}
    for name, exercise in EXERCISES.items():
        cards = keeper.cards(name)
        known = {subject: cards[card] for subject, card in _named(table, name) if card in cards}
        when = sorted((due_at(state), subject) for subject, state in known.items())
        due[name] = [subject for moment, subject in when if moment <= now]
        allowed = fresh_allowance(len(due[name]), keeper.begun(name, now - A_DAY))
        fresh[name] = [subject for subject in exercise.subjects(table) if subject not in known][:allowed]
        if exercise.mixed:
            # In another order every day, but the same all day long.
            random.Random(f"{name} {now:%Y-%m-%d}").shuffle(fresh[name])
        seconds[name] = usual_seconds(exercise, keeper)
    return plan_today(table, minutes, now, due, keeper.lapses(now - LOOK_BACK), fresh, seconds)


def usual_seconds(exercise: Exercise, keeper: Keeper) -> float:
    """How many seconds a question of an exercise will take this learner, reading the judgement included."""
    right = [one for one in keeper.past(exercise.name, _TIMES) if one.right and one.ms is not None]
    times = [(one.ms or 0) * one.size / 1000 + one.before for one in right]
    own = min(1.0, len(times) / ENOUGH)
    return own * median(times or [0.0]) + (1 - own) * exercise.seconds + _READING


def _named(table: Table, name: str) -> list[tuple[str, str]]:
    """Every subject of an exercise with what its card is known by."""
    exercise = EXERCISES[name]
    return [(subject, exercise.card(table, subject)) for subject in exercise.subjects(table)]
