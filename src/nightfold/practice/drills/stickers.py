"""Sticker to letter, and letter to sticker."""

from __future__ import annotations

import random

from nightfold.cube.geometry import geometry
from nightfold.practice.drills.base import Exercise, Marked, likeness, sticker_of, sticker_subjects
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal, show
from nightfold.practice.level import GLANCES


class StickerLetter(Exercise):
    """A sticker is lit; which letter has it?

    Levels: on a solved cube; on a scrambled one, whose colours mislead; then for a glance only, ever shorter, and the
    sentence does not name the place then.
    """

    name = "sticker-letter"
    title = "Sticker to letter"
    about = "A sticker is lit on the cube; say its letter."
    most_level = 2 + len(GLANCES)
    seconds = 4.0
    own_levels = False
    depends = "lettering"
    mixed = True

    def subjects(self, table: Table) -> tuple[str, ...]:
        """Every sticker a memo can name."""
        return sticker_subjects(table)

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        cube = show(table) if level == 1 else deal(table, dice)
        orbit, name = subject.split("/")
        return self._question(
            table,
            subject,
            level,
            f"Which letter of the {orbit} has the lit sticker{'' if level > 2 else f', {name}'}?",
            "letter",
            cube,
            lit=(name,),
            seconds=GLANCES[level - 3] if level > 2 else None,
        )

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """The sticker's letter."""
        return (table.symbol(*sticker_of(table, question)),)

    def why(self, table: Table, question: Question) -> str:
        """``LB is H.``"""
        orbit, sticker = sticker_of(table, question)
        return f"{table.name(sticker)} is {table.symbol(orbit, sticker)}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        orbit, sticker = sticker_of(table, question)
        return _compare(table, question, self, sticker, table.lettering.sticker(orbit, given))


class LetterSticker(Exercise):
    """A letter is given; which sticker has it?

    Levels: found on a solved cube; on a scrambled one; named with no cube to look at.
    """

    name = "letter-sticker"
    title = "Letter to sticker"
    about = "A letter is given; point to its sticker or name it."
    most_level = 3
    seconds = 5.0
    own_levels = False
    depends = "lettering"
    mixed = True

    def subjects(self, table: Table) -> tuple[str, ...]:
        """Every sticker a memo can name."""
        return sticker_subjects(table)

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        cube = show(table) if level == 1 else deal(table, dice) if level == 2 else None
        orbit, name = subject.split("/")
        letter = table.symbol(orbit, geometry(table.method.size).sticker(name))
        return self._question(table, subject, level, f"Which sticker of the {orbit} is {letter}?", "sticker", cube)

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """The sticker's name."""
        return (table.name(sticker_of(table, question)[1]),)

    def why(self, table: Table, question: Question) -> str:
        """``H is LB.``"""
        orbit, sticker = sticker_of(table, question)
        return f"{table.symbol(orbit, sticker)} is {table.name(sticker)}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        given_sticker = geometry(table.method.size).sticker(given)
        return _compare(table, question, self, sticker_of(table, question)[1], given_sticker)


def _compare(table: Table, question: Question, exercise: Exercise, right: int, given: int) -> Marked:
    """The judgement where one sticker is right and another, or the same, was given."""
    orbit = question.topic[0]
    expected, why = exercise.expected(table, question), exercise.why(table, question)
    if given == right:
        return Marked(True, 1.0, expected, why)
    if given not in table.orbit(orbit).stickers:
        return Marked(False, 0.0, expected, f"{table.name(given)} is no sticker of the {orbit}; {why}")
    alike = likeness(table, orbit, given, right)
    how = f", {alike}" if alike else ""
    wrong = f"{table.symbol(orbit, given)} is {table.name(given)}{how}; "
    return Marked(False, 0.0, expected, wrong + why)
