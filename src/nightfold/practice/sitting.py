"""A sitting: one question of an exercise after the other, chosen by the schedule, as hard as the learner is good.

The terminal and the browser both drive this; it looks at no clock and no disk but those it is given.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import median
from typing import Any

from nightfold.practice.drills import DrillError, Exercise, Question, Table
from nightfold.practice.keeper import Answered, Keeper, Past
from nightfold.practice.level import Standing, standing_of
from nightfold.practice.schedule import (
    A_DAY,
    LOOK_BACK,
    NEW_A_DAY,
    due_at,
    fresh_allowance,
    new_card,
    next_subject,
    pace_of,
    rate,
    review,
)

#: How many answers back one looks for levels and times.
_PAST = 400


def utc_now() -> datetime:
    """The present moment, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Times:
    """How many seconds a letter right answers took: usually, and at best."""

    usual: float
    best: float


class Sitting:
    """Questions of one exercise.

    ``orbit`` keeps to the subjects of one orbit, ``level`` fixes how hard it is, ``wanted`` are subjects to be asked
    first, ``after`` is the subject that was asked last, ``fits`` tells which subjects may be asked at all.  The same
    dice, clock and past give the same questions.  Raises DrillError where there is nothing to ask.
    """

    def __init__(
        self,
        table: Table,
        exercise: Exercise,
        keeper: Keeper,
        dice: random.Random,
        clock: Callable[[], datetime] = utc_now,
        *,
        orbit: str | None = None,
        level: int | None = None,
        wanted: Iterable[str] = (),
        after: str | None = None,
        fits: Callable[[str], bool] = lambda _: True,
    ) -> None:
        self.table = table
        self.exercise = exercise
        self.keeper = keeper
        self.dice = dice
        self.clock = clock
        self.level = level
        self.subjects = tuple(subject for subject in _chosen(table, exercise, orbit) if fits(subject))
        if not self.subjects:
            raise DrillError(f"{exercise.name} has nothing to ask in that way")
        self.wanted = [subject for subject in wanted if subject in self.subjects]
        self.answers: list[Answered] = []
        if level is not None and not 1 <= level <= exercise.most_level:
            raise DrillError(f"{exercise.name} has the levels 1 to {exercise.most_level}, not {level}")
        subject_of_card = {exercise.card(table, subject): subject for subject in exercise.subjects(table)}
        states = keeper.cards(exercise.name)
        self._cards: dict[str, Mapping[str, Any]] = {
            subject_of_card[card]: state for card, state in states.items() if card in subject_of_card
        }
        self._due = {subject: due_at(state) for subject, state in self._cards.items()}
        past = keeper.past(exercise.name, _PAST)
        self._times = [one.ms for one in past if one.right and one.ms is not None][-LOOK_BACK:]
        self._paces: dict[str, list[float]] = {}
        for one in past:
            if one.right and one.ms is not None:
                self._paces.setdefault(one.card, []).append(one.ms)
        self._standings = self._found(past)
        self._begun = keeper.begun(exercise.name, clock() - A_DAY)
        self._last = after

    def _found(self, past: Iterable[Past]) -> dict[str, Standing]:
        """Where the learner stands by the answers so far: with each card, or in the whole exercise under no name."""
        answers: dict[str, list[tuple[int, bool]]] = {}
        for one in past:
            answers.setdefault(one.card if self.exercise.own_levels else "", []).append((one.level, one.right))
        return {key: standing_of(found, self.exercise.most_level) for key, found in answers.items()}

    def _key(self, subject: str) -> str:
        return self.exercise.card(self.table, subject) if self.exercise.own_levels else ""

    def times_at(self, subject: str) -> Times | None:
        """One's times at a subject so far, where one is told them; None where there are none."""
        times = self._paces.get(self.exercise.card(self.table, subject), [])
        if not self.exercise.against_clock or not times:
            return None
        return Times(median(times[-LOOK_BACK:]) / 1000, min(times) / 1000)

    @property
    def right(self) -> int:
        """How many answers were right so far."""
        return sum(answered.marked.right for answered in self.answers)

    def next(self) -> Question:
        """The next question."""
        subject, level = self.choose()
        return self.exercise.ask(self.table, subject, self.dice, level)

    def choose(self) -> tuple[str, int]:
        """The subject of the next question, and how hard it is to be."""
        now = self.clock()
        due = {subject: when for subject, when in self._due.items() if subject in self.subjects}
        fresh = fresh_allowance(sum(when <= now for when in due.values()), self._begun)
        subject = next_subject(self._order(due, fresh), due, now, fresh, self.wanted, self._last)
        assert subject is not None, "there is always a subject, or the sitting would not have begun"
        if subject in self.wanted:
            self.wanted.remove(subject)
        self._last = subject
        return subject, self.level or self._standings.get(self._key(subject), Standing()).level

    def _order(self, due: Mapping[str, Any], fresh: int) -> Sequence[str]:
        """The subjects in the order in which they are begun; those of today by the dice where an order would tell."""
        new = [subject for subject in self.subjects if subject not in due][: fresh or NEW_A_DAY]
        if not self.exercise.mixed or len(new) < 2:
            return self.subjects
        first = self.dice.choice([subject for subject in new if subject != self._last])
        return (first, *(subject for subject in self.subjects if subject != first))

    def answer(self, question: Question, given: str, ms: int | None = None) -> Answered:
        """Judge an answer that took ``ms`` milliseconds, rate it, schedule its subject anew, and keep all of it.

        Raises NightfoldError for an answer that cannot be read; nothing has happened then, and another may be given.
        """
        marked = self.exercise.mark(self.table, question, given)
        now, subject = self.clock(), question.subject
        card = self.exercise.card(self.table, subject)
        state = self._cards.get(subject) or new_card(self.exercise.name, card, now)
        pace = None if ms is None else ms / question.size
        rating = rate(marked.right, pace, pace_of(self._times))
        answered = Answered(card, question, given, marked, ms, review(state, rating, now, ms), now)
        self.keeper.keep(answered)
        self._begun += subject not in self._cards
        self._cards[subject], self._due[subject] = answered.review.card, answered.review.due
        if marked.right and pace is not None:
            self._times.append(pace)
            self._paces.setdefault(card, []).append(pace)
        key = self._key(subject)
        standing = self._standings.get(key, Standing())
        self._standings[key] = standing.after(marked.right, self.exercise.most_level)
        self.answers.append(answered)
        return answered


def _chosen(table: Table, exercise: Exercise, orbit: str | None) -> tuple[str, ...]:
    """The subjects to be asked.  Raises DrillError where there are none."""
    found = exercise.subjects(table)
    if not found:
        raise DrillError(f"{exercise.name} asks for your own words, and there are none yet; give some first")
    if orbit is None:
        return found
    if orbit not in table.orbits:
        raise DrillError(f"“{orbit[:24]}” is no orbit of {table.method.name}; it has {' and '.join(table.orbits)}")
    kept = tuple(subject for subject in found if subject.split("/")[0] == orbit)
    if not kept:
        raise DrillError(f"{exercise.name} has nothing that is about the {orbit} alone")
    return kept
