"""What the tests of drills share: tables of all four methods, questions of every kind, and the letters as a judge sees.

Nothing here asks Nightfold what is right: cubes are played on the tests' own cube (``tests/blind/referee.py``).
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache

from nightfold.blind.method import method_names
from nightfold.practice.drills import EXERCISES, Question, Table
from tests.blind import referee
from tests.blind.referee import LETTER, Seen, canon

METHODS = method_names()
#: Words of some people at Fennel Point.
WORDS = {"LS": ("lighthouse",), "QM": ("quilt", "queen’s mug"), "HE": ("hedge",), "AB": ("abbey", "about-turn")}


@cache
def table_of(method: str = "two-swap", lettering: str | None = None, hold: str | None = None) -> Table:
    return Table.laid(method, lettering, hold, WORDS)


def questions(table: Table, name: str, seed: int = 7, most_subjects: int = 6) -> Iterator[Question]:
    """Questions of every level, of some subjects spread over all there are."""
    exercise, dice = EXERCISES[name], random.Random(seed)
    subjects = exercise.subjects(table)
    chosen = subjects if len(subjects) <= 12 else [*dice.sample(subjects, most_subjects)]
    for level in range(1, exercise.most_level + 1):
        for subject in chosen:
            yield exercise.ask(table, subject, dice, level)


def state_of(question: Question) -> referee.State:
    """The cube of a question on the tests' own cube, as it is held."""
    return referee.play(f"{question.scramble} {question.hold}")


def buffer_of(table: Table, orbit: str) -> str:
    return canon(table.name(table.way(orbit).buffer))


def seen_after(table: Table, question: Question, orbit: str) -> Seen:
    """What the tests' own cube shows once the letters so far are shot to, by the common lettering."""
    seen = referee.look(state_of(question), orbit)
    for letter in question.letters:
        referee.shoot(seen, buffer_of(table, orbit), referee.STICKER[orbit][letter])
    return seen


def memo_of(state: referee.State, orbit: str, buffer: str, dice: random.Random | None = None) -> list[str]:
    """A right memo by the common lettering, its breaks the lowest letters or by the dice."""
    seen, letters = referee.look(state, orbit), list[str]()
    while True:
        if not referee.buffer_home(seen, buffer):
            target = seen[buffer]
        elif options := sorted(referee.unsolved(seen, buffer), key=LETTER[orbit].__getitem__):
            target = dice.choice(options) if dice else options[0]
        else:
            return letters
        letters.append(LETTER[orbit][target])
        referee.shoot(seen, buffer, target)


def solves(state: referee.State, orbit: str, buffer: str, letters: list[str]) -> bool:
    """Whether shooting to the letters solves the orbit, none of them standing for the buffer's piece."""
    seen = referee.look(state, orbit)
    for letter in letters:
        target = referee.STICKER[orbit][letter]
        if target in referee.ROUND[buffer]:
            return False
        referee.shoot(seen, buffer, target)
    return all(name == sticker for name, sticker in seen.items())
