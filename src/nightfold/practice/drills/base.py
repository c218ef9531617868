"""What every exercise is: subjects to learn, questions about them, and a teacher's word on each answer."""

from __future__ import annotations

import random
from abc import ABC, abstractmethod
from dataclasses import asdict, dataclass
from typing import Any, ClassVar

from nightfold.cube.geometry import geometry
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Shown, Table

#: Said for "I do not know", whatever the form of the answer, and for "there is none" where that may be right.
GIVE_UP, NONE = "?", "-"
#: The line of an answer that asks for yes or no.
PARITY = "parity"
#: No answer is anywhere near so long.
_MOST_CHARACTERS = 4000


@dataclass(frozen=True, slots=True)
class Noticed:
    """A slip seen in an answer, for the logbook: its kind as the coach names it, and where it was."""

    kind: str
    orbit: str = ""
    letter: str = ""
    at: int | None = None


@dataclass(frozen=True, slots=True)
class Marked:
    """How an answer was judged.

    ``share`` is how much of it was right, from 0 to 1; ``expected`` every right answer, or of countless ones some
    that are; ``say`` a teacher's sentence.
    """

    right: bool
    share: float
    expected: tuple[str, ...]
    say: str
    mistakes: tuple[Noticed, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The judgement as plain data."""
        return {**asdict(self), "expected": list(self.expected), "mistakes": [asdict(slip) for slip in self.mistakes]}


class Exercise(ABC):
    """One exercise; its few data, and how it asks and marks.

    ``name`` is what one types, ``title`` and ``about`` what one reads.  Levels go from 1 to ``most_level``;
    ``own_levels`` tells that each subject has a level of its own.  ``seconds`` is how long a question may take
    a learner whose own times are not known yet.  ``depends`` tells what a change makes new things to learn
    of its subjects: the ``lettering``, the ``method`` or nothing.  ``mixed`` tells that new subjects are begun in no
    order, where that of the subjects would give answers away; ``against_clock`` that one is told one's times;
    ``may_be_none`` that no letters, turns or pieces at all may be right.
    """

    name: ClassVar[str]
    title: ClassVar[str]
    about: ClassVar[str]
    most_level: ClassVar[int]
    seconds: ClassVar[float]
    own_levels: ClassVar[bool] = True
    depends: ClassVar[str] = ""
    mixed: ClassVar[bool] = False
    against_clock: ClassVar[bool] = False
    may_be_none: ClassVar[bool] = False

    @abstractmethod
    def subjects(self, table: Table) -> tuple[str, ...]:
        """The keys of all that can be learnt here, in the order in which it is best learnt."""

    @abstractmethod
    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question: ...

    @abstractmethod
    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """Every right answer, or of countless ones some that are right."""

    @abstractmethod
    def why(self, table: Table, question: Question) -> str:
        """What is right and why, in a sentence."""

    @abstractmethod
    def _judge(self, table: Table, question: Question, given: str) -> Marked: ...

    def card(self, table: Table, subject: str) -> str:
        """What the schedule knows the subject by: another where another lettering or method makes it new."""
        over = {"lettering": table.lettering.name, "method": table.method.name}.get(self.depends)
        # Names come from people's own files; a card's must fit on a line.
        return f"{' '.join(over.split())[:80]}/{subject}" if over else subject

    def ask(self, table: Table, subject: str, dice: random.Random, level: int = 1) -> Question:
        """A question about ``subject``; the same dice give the same.

        Raises DrillError for a subject or a level there is not.
        """
        if subject not in self.subjects(table):
            raise DrillError(f"“{subject[:40]}” is no subject of {self.name}; {self._some_subjects(table)}")
        if not 1 <= level <= self.most_level:
            raise DrillError(f"{self.name} has the levels 1 to {self.most_level}, not {level}")
        return self._ask(table, subject, dice, level)

    def mark(self, table: Table, question: Question, given: str) -> Marked:
        """Judge an answer; of an answer with several parts each is a line.

        A question mark alone, or on each line, is "I do not know"; on one of several lines it says so of that one.
        No letters, turns or pieces at all are written ``-``.  Raises DrillError for a question of another exercise or
        table, and NightfoldError for an answer that cannot be read, such as an empty one: it is then not wrong, but to
        be given again.
        """
        if question.exercise != self.name:
            raise DrillError(f"this is a question of {question.exercise[:24]}, not of {self.name}")
        if question.table != table.digest:
            raise DrillError(
                "the method, the lettering or the hold has changed since this question was asked; ask another"
            )
        if len(given) > _MOST_CHARACTERS:
            raise DrillError(f"the answer has {len(given):,} characters; at most {_MOST_CHARACTERS:,} are read")
        if self.gives_up(table, " ".join(dict.fromkeys(given.split()))):
            return Marked(False, 0.0, self.expected(table, question), self.why(table, question))
        lines = given.split("\n") if question.parts else [given]
        lines += [""] * (len(question.parts) - len(lines))
        for at, line in enumerate(lines):
            if not line.strip() and at < max(1, len(question.parts)):
                raise DrillError(self.asks_for_more(question, at))
        if question.form == "letters":
            signs = {sign for sign in (GIVE_UP, NONE) if self._means(table, sign, sign)}
            lines = ["" if line.strip() in signs else line for line in lines]
        return self._judge(table, question, "\n".join(lines))

    def asks_for_more(self, question: Question, at: int = 0) -> str:
        """What is said where nothing was written in a line of an answer."""
        part = question.parts[at] if question.parts else ""
        of = f" for {'' if part == PARITY else 'the '}{part}" if part else ""
        none = f"“{NONE}” for none, or " if self.may_be_none and part != PARITY else ""
        return f"nothing was written{of}; write {none}“{GIVE_UP}” if you do not know"

    def gives_up(self, table: Table, given: str) -> bool:
        """Whether a line says "I do not know"."""
        return self._means(table, GIVE_UP, given.strip())

    def _means(self, table: Table, sign: str, given: str) -> bool:
        """Whether an answer is a sign, and no letter of the lettering that looks like it."""
        return given == sign and not any(sign in table.lettering.of(orbit).values() for orbit in table.orbits)

    def _some_subjects(self, table: Table) -> str:
        found = self.subjects(table)
        return f"there are {', '.join(found[:6])}{' …' if len(found) > 6 else ''}" if found else "there are none yet"

    def _question(
        self, table: Table, subject: str, level: int, prompt: str, form: str, cube: Shown | None = None, **rest: Any
    ) -> Question:
        seen: dict[str, Any] = {"scramble": cube.scramble, "hold": cube.plan.hold, "net": cube.net} if cube else {}
        return Question(self.name, subject, level, prompt, form, table.digest, **seen, **rest)


def sticker_subjects(table: Table) -> tuple[str, ...]:
    """``edges/LB`` and the like for every sticker a memo can name."""
    return tuple(f"{orbit}/{table.name(sticker)}" for orbit in table.orbits for sticker in table.targets(orbit))


def subject_of(table: Table, orbit: str, letter: str) -> str:
    """The subject that a letter is: ``edges/LB``.  Raises LetteringError for a letter there is not."""
    return f"{orbit}/{table.name(table.lettering.sticker(orbit, letter))}"


def sticker_of(table: Table, question: Question) -> tuple[str, int]:
    """The orbit and the sticker that a subject such as ``edges/LB`` names."""
    orbit, name = question.topic
    return orbit, geometry(table.method.size).sticker(name)


def likeness(table: Table, orbit: str, one: int, other: int) -> str:
    """How a sticker may have been taken for another, as a clause; empty where nothing is alike."""
    geo = geometry(table.method.size)
    if one in geo.piece_of(other):
        return "another sticker of the same piece"
    if geo.faces[one] == geo.faces[other]:
        ring = geo.clockwise(table.orbit(orbit), geo.faces[one])
        apart = (ring.index(one) - ring.index(other)) % len(ring)
        return "beside it on the same face" if apart in (1, len(ring) - 1) else "opposite on the same face"
    area = table.method.size**2
    return "alike, but on another face" if one % area == other % area else ""


def count_of(number: int, one: str, many: str = "") -> str:
    """``1 letter``, ``3 letters``."""
    return f"{number} {one if number == 1 else many or one + 's'}"
