"""What a drill needs to know of the past, and where it puts what happens: the one place that a logbook plugs into."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from nightfold.practice.drills import Marked, Question
from nightfold.practice.schedule import Review
from nightfold.practice.today import Lapse


@dataclass(frozen=True, slots=True)
class Past:
    """An earlier answer: of which card, at which level, whether right, and how long it took, where that is known.

    ``ms`` is for each of the ``size`` letters that were asked for; ``before`` is how many seconds something was shown
    before that.
    """

    card: str
    level: int
    right: bool
    ms: float | None
    when: datetime
    size: int = 1
    before: float = 0.0


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer with all that came of it.

    ``card`` is what the schedule knows the subject by; ``ms`` is how long the answer took as measured, None where
    nobody measured.
    """

    card: str
    question: Question
    given: str
    marked: Marked
    ms: int | None
    review: Review
    when: datetime

    @property
    def ms_a_letter(self) -> float | None:
        """The time by which answers are compared."""
        return None if self.ms is None else self.ms / self.question.size

    def past(self) -> Past:
        """The answer as later drills see it."""
        asked = self.question
        return Past(self.card, asked.level, self.marked.right, self.ms_a_letter, self.when, asked.size, asked.before)

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain data, for programs."""
        return {
            "subject": self.question.subject,
            "level": self.question.level,
            "asked": self.question.public(),
            "given": self.given,
            **self.marked.to_dict(),
            "ms": self.ms,
            "rating": self.review.rating,
            "due": self.review.due.isoformat(),
        }


class Keeper(Protocol):
    """Where drills are kept."""

    def cards(self, exercise: str) -> Mapping[str, Mapping[str, Any]]:
        """The state of every card of an exercise, as the schedule writes it."""

    def past(self, exercise: str, most: int) -> Sequence[Past]:
        """The last ``most`` answers in an exercise, the oldest first."""

    def begun(self, exercise: str, since: datetime) -> int:
        """How many cards of an exercise were asked for the first time since then."""

    def lapses(self, since: datetime) -> Sequence[Lapse]:
        """The mistakes since then that inquests, markings and drills found."""

    def words(self) -> Mapping[str, tuple[str, ...]]:
        """One's own words by pair, as ``pair_text`` writes pairs."""

    def start(self, exercise: str, settings: Mapping[str, Any], when: datetime) -> None:
        """A run of questions begins."""

    def keep(self, answered: Answered) -> None:
        """Keep an answer; when this returns it is kept for good, as far as this keeper keeps anything."""

    def stop(self, right: int, asked: int, when: datetime) -> None:
        """The run is over."""


@dataclass(slots=True)
class Forgetful:
    """Keeps everything while the program runs, and nothing after; for trying things out, and for tests."""

    own_words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    answers: dict[str, list[Answered]] = field(default_factory=dict)
    runs: list[dict[str, Any]] = field(default_factory=list)

    def cards(self, exercise: str) -> Mapping[str, Mapping[str, Any]]:
        """The state of every card of an exercise."""
        return {answered.card: answered.review.card for answered in self.answers.get(exercise, ())}

    def past(self, exercise: str, most: int) -> Sequence[Past]:
        """The last answers in an exercise."""
        return [answered.past() for answered in self.answers.get(exercise, ())[-most:]]

    def begun(self, exercise: str, since: datetime) -> int:
        """How many cards were asked for the first time since then."""
        first: dict[str, datetime] = {}
        for answered in self.answers.get(exercise, ()):
            first.setdefault(answered.card, answered.when)
        return sum(when >= since for when in first.values())

    def lapses(self, since: datetime) -> Sequence[Lapse]:
        """What the markings of drills found."""
        return [
            Lapse(slip.kind, slip.orbit, slip.letter, answered.when)
            for answers in self.answers.values()
            for answered in answers
            for slip in answered.marked.mistakes
            if answered.when >= since
        ]

    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The words it was given."""
        return self.own_words

    def start(self, exercise: str, settings: Mapping[str, Any], when: datetime) -> None:
        """Note the run."""
        self.runs.append({"exercise": exercise, "settings": dict(settings), "started": when})

    def keep(self, answered: Answered) -> None:
        """Keep an answer in memory."""
        self.answers.setdefault(answered.question.exercise, []).append(answered)

    def stop(self, right: int, asked: int, when: datetime) -> None:
        """Note how it went."""
        self.runs[-1] |= {"right": right, "asked": asked, "ended": when}
