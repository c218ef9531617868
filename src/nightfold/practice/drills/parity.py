"""Parity or not: are the numbers of letters odd?"""

from __future__ import annotations

import random
from dataclasses import replace

from nightfold.cube.errors import NightfoldError
from nightfold.practice.drills.base import Exercise, Marked, count_of
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal, show
from nightfold.practice.level import TRACED, traced

YES, NO = "yes", "no"


def read_yes_no(text: str) -> bool:
    """True for yes, False for no, also by their first letters.  Raises NightfoldError for anything else."""
    word = text.strip().lower()
    if word in (YES, YES[0]):
        return True
    if word in (NO, NO[0]):
        return False
    raise NightfoldError(f"“{text.strip()[:24]}” is neither; answer yes or no")


class Parity(Exercise):
    """Is there parity?

    Subjects: ``counted``, from the letters themselves; ``edges`` or ``corners``, from a cube of which one traces or
    counts that orbit alone, since both are odd or both are even.  Levels: cubes with ever more letters.
    """

    name = "parity"
    title = "Parity or not"
    about = "Letters or a cube; say whether the numbers of letters are odd, so that parity is due."
    most_level = len(TRACED["edges"])
    seconds = 10.0

    def subjects(self, table: Table) -> tuple[str, ...]:
        """``counted`` and each orbit."""
        return ("counted", *table.orbits)

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        orbit = table.orbits[0] if subject == "counted" else subject
        cube = deal(table, dice, replace(traced(orbit, level), parity=dice.random() < 0.5))
        if subject == "counted":
            reading = next(one for one in cube.plan.orbits if one.orbit.name == orbit)
            prompt = f"These are the letters of the {orbit}: is there parity?"
            return self._question(table, subject, level, prompt, "yes-no", letters=reading.letters, key=(orbit,))
        prompt = f"Look at the {subject} alone: is there parity?"
        return self._question(table, subject, level, prompt, "yes-no", cube)

    def _count(self, table: Table, question: Question) -> tuple[str, int]:
        """The orbit that is looked at and how many letters it has."""
        if question.key:
            return question.key[0], len(question.letters)
        orbit = question.topic[0]
        found = show(table, question.scramble).plan.orbits
        return orbit, next(len(one.targets) for one in found if one.orbit.name == orbit)

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """``yes`` or ``no``."""
        return (YES if self._count(table, question)[1] % 2 else NO,)

    def why(self, table: Table, question: Question) -> str:
        """How many letters there are, and how they come about where one could not count them."""
        orbit, count = self._count(table, question)
        odd = "odd: there is parity" if count % 2 else "even: there is no parity"
        letters = count_of(count, f"{table.orbit(orbit).piece_word} letter")
        if question.key:
            return f"There {'is' if count == 1 else 'are'} {letters}, which is {odd}."
        reading = next(one for one in show(table, question.scramble).plan.orbits if one.orbit.name == orbit)
        sizes = " + ".join(str(len(cycle.targets)) for cycle in reading.cycles)
        parts = f" ({sizes}, cycle by cycle)" if len(reading.cycles) > 1 else ""
        return f"There {'is' if count == 1 else 'are'} {letters}{parts}, which is {odd}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        right = read_yes_no(given) == (self.expected(table, question) == (YES,))
        return Marked(right, float(right), self.expected(table, question), self.why(table, question))
