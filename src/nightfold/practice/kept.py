"""Drills in the logbook: what is known there of cards, answers, mistakes and words, and where answers are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from nightfold.memory.symbols import pair_text
from nightfold.practice.drills import DrillError, Question
from nightfold.practice.keeper import Answered, Past
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Card, Mistake, Review, Run, Source, id_of, new_id
from nightfold.practice.schedule import days_since
from nightfold.practice.today import Lapse

#: So many mistakes are looked at, the newest first.
_MOST_MISTAKES = 2000


class LogbookKeeper:
    """Keeps the drills of one solver in a logbook; what ``keep`` has returned from is on the disk.

    In a review's ``asked``, ``question`` is the question as ``Question.to_dict`` writes it, and ``begun`` tells that
    its card was asked for the first time.  A run's ``result`` counts ``asked`` and ``right``.
    """

    def __init__(self, book: Logbook, solver: str = "") -> None:
        self.book = book
        self.solver = solver
        self.run: Run | None = None
        #: The id of the next review, where whoever answers makes it; else it gets a new one.
        self.ident: str | None = None
        self._cards: dict[str, dict[str, Mapping[str, Any]]] = {}

    def cards(self, exercise: str) -> Mapping[str, Mapping[str, Any]]:
        """The state of every card of an exercise, as the schedule writes it."""
        if exercise not in self._cards:
            found = self.book.cards(solver=self.solver, exercise=exercise)
            self._cards[exercise] = {card.subject: card.state for card in found}
        return self._cards[exercise]

    def past(self, exercise: str, most: int) -> Sequence[Past]:
        """The last ``most`` answers in an exercise, the oldest first; those of no question are passed over."""
        subjects = {id_of(Card.noun, self.solver, exercise, subject): subject for subject in self.cards(exercise)}
        found = []
        for review in reversed(self.book.reviews(solver=self.solver, exercise=exercise, most=most)):
            asked = review.asked.get("question")
            if review.card in subjects and isinstance(asked, Mapping):
                size = max(1, int(asked.get("size", 1)))
                ms = None if review.answer_ms is None else review.answer_ms / size
                level = int(asked.get("level", 1))
                before = _before(asked)
                found.append(Past(subjects[review.card], level, review.right, ms, review.answered, size, before))
        return found

    def begun(self, exercise: str, since: datetime) -> int:
        """How many cards of an exercise were asked for the first time since then."""
        found = self.book.reviews(solver=self.solver, exercise=exercise, since=since, most=None)
        return sum(bool(review.asked.get("begun")) for review in found)

    def lapses(self, since: datetime) -> Sequence[Lapse]:
        """The mistakes since then, with the letters that should have been."""
        found = self.book.mistakes(solver=self.solver, since=since, most=_MOST_MISTAKES)
        return [
            Lapse(mistake.kind, mistake.orbit, _meant(mistake), mistake.found, mistake.probability) for mistake in found
        ]

    def words(self) -> Mapping[str, tuple[str, ...]]:
        """One's own words by pair, as ``pair_text`` writes pairs, the best known first."""
        found: dict[str, list[str]] = {}
        for word in self.book.words(solver=self.solver):
            found.setdefault(pair_text(word.symbols), []).append(word.word)
        return {pair: tuple(words) for pair, words in found.items()}

    def start(self, exercise: str, settings: Mapping[str, Any], when: datetime) -> None:
        """Keep that a run begins."""
        told = {name: value for name, value in settings.items() if value is not None}
        self.run = Run(solver=self.solver, exercise=exercise, started=when, settings=told)
        self.book.add_run(self.run)

    def keep(self, answered: Answered) -> None:
        """Keep an answer, what its card is now, and the mistakes in it; all of it is on the disk afterwards."""
        question, done = answered.question, answered.review
        run = self.run.id if self.run else None
        known = self.cards(question.exercise)
        card = Card(
            solver=self.solver,
            exercise=question.exercise,
            subject=answered.card,
            state=dict(done.card),
            due=done.due,
            stability=done.card.get("stability"),
            difficulty=done.card.get("difficulty"),
        )
        review = Review(
            id=self.ident or new_id(),
            solver=self.solver,
            card=card.id,
            run=run,
            exercise=question.exercise,
            answered=answered.when,
            rating=done.rating,
            right=answered.marked.right,
            share=answered.marked.share,
            answer_ms=answered.ms,
            days_since=days_since(known.get(answered.card), answered.when),
            asked={"question": question.to_dict(), "begun": answered.card not in known},
            given=answered.given,
        )
        mistakes = [
            Mistake(
                solver=self.solver,
                run=run,
                found=answered.when,
                source=Source.DRILL,
                kind=slip.kind,
                orbit=slip.orbit,
                at=slip.at,
                letter=slip.letter,
                said={"say": answered.marked.say},
            )
            for slip in answered.marked.mistakes
        ]
        self.book.add_review(review, card, mistakes)
        self._cards[question.exercise][answered.card] = done.card

    def stop(self, right: int, asked: int, when: datetime) -> None:
        """Keep how the run went; one without an answer is not kept at all."""
        if self.run is None:
            return
        if asked:
            result = {"asked": asked, "right": right}
            self.book.put(replace(self.run, ended=when, score=right / asked, result=result))
        else:
            self.book.remove(Run, self.run.id)
        self.run = None


def _before(asked: Mapping[str, Any]) -> float:
    """For how long something was shown before the answer, in a question that was kept."""
    try:
        return Question.from_dict(asked).before
    except DrillError:  # of another time
        return 0.0


def _meant(mistake: Mistake) -> str:
    """The letter that should have been: a marking keeps the one that was written, and what it expected."""
    if mistake.source is not Source.MARKING:
        return mistake.letter
    expected = mistake.said.get("expected")
    return str(expected[0]) if isinstance(expected, list) and len(expected) == 1 else ""
