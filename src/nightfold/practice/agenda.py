"""Today's practice out of what a keeper knows: which cards are due, what may be begun, how long things take."""

from __future__ import annotations

from datetime import datetime, timedelta
from statistics import median

from nightfold.practice.drills import EXERCISES, Table
from nightfold.practice.keeper import Keeper
from nightfold.practice.schedule import A_DAY, due_at, fresh_allowance
from nightfold.practice.today import Today, plan_today

#: Mistakes longer ago are not looked at.
LOOK_BACK = timedelta(days=90)
#: Seconds for reading what the teacher says, for each question.
_READING = 2.0
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
        if times := [one.ms * one.size for one in keeper.past(name, _TIMES) if one.ms is not None]:
            seconds[name] = median(times) / 1000 + _READING
    return plan_today(table, minutes, now, due, keeper.lapses(now - LOOK_BACK), fresh, seconds)


def _named(table: Table, name: str) -> list[tuple[str, str]]:
    """Every subject of an exercise with what its card is known by."""
    exercise = EXERCISES[name]
    return [(subject, exercise.card(table, subject)) for subject in exercise.subjects(table)]
