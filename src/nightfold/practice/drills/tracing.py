"""Single moments of tracing: the next letter, and whether and how a cycle ends.

A moment is a cube, an orbit and the letters so far.  Its skill is what the learner must see there; skills are the
subjects, since cubes never come twice.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from nightfold.blind.features import MOST
from nightfold.blind.reading import BreakPoint, OrbitReading, lowest_letter, trace_orbit
from nightfold.cube.geometry import geometry
from nightfold.practice.drills.base import Exercise, Marked, likeness
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Shown, Table, deal, show
from nightfold.practice.level import TRACED, traced

#: Answers to "does the cycle end here" that are no letters.
GOES_ON, ALL_DONE = "on", "all"
#: How many breaks a cube must have at least for a moment of some skill.
_BREAKS = {"break": 1, "after": 1, "close": 1, "to-close": 1, "buffer": 1, "buffer-turned": 1, "closed": 2}


@dataclass(frozen=True, slots=True)
class Moment:
    """Where tracing an orbit stands after some letters.

    ``options`` are the stickers that may come next: one, or at a break every sticker of every unsolved piece; none at
    the end.  ``why`` says what is seen, for the sticker that Nightfold's own reading goes on with.  ``skill`` is what
    one must be able to do to find the next letter, ``ending`` what to tell whether a cycle ends.
    """

    options: tuple[int, ...]
    why: str
    skill: str
    ending: str

    @property
    def is_break(self) -> bool:
        """Whether a cycle is done and something is left to break into."""
        return self.skill == "break"


def moments(table: Table, cube: Shown, reading: OrbitReading) -> tuple[Moment, ...]:
    """Every moment of a reading, before its first letter, between letters and after its last."""
    found: list[Moment] = []
    for number, cycle in enumerate(reading.cycles):
        for at, target in enumerate(cycle.targets):
            if target.role == "break":
                ending = "closed" if number and reading.cycles[number - 1].kind != "buffer" else _buffer(cube, reading)
                found.append(Moment(cycle.options, target.why, "break", ending))
            elif target.role == "close":
                skill = "turned" if cycle.kind == "in place" else "close"
                found.append(Moment((target.sticker,), target.why, skill, "to-close"))
            else:
                skill = "first" if target.role == "first" else "on" if cycle.kind == "buffer" or at > 1 else "after"
                found.append(Moment((target.sticker,), target.why, skill, "goes-on"))
    end = reading.cycles[-1].end if reading.cycles else ""
    return (*found, Moment((), f"{end} Every piece of the {reading.orbit.name} is right now.".strip(), "end", "solved"))


def _buffer(cube: Shown, reading: OrbitReading) -> str:
    """How the buffer's own piece turns up at the end of its cycle: by the buffer sticker or by another."""
    first = reading.cycles[0] if reading.cycles else None
    last = first.targets[-1].sticker if first and first.kind == "buffer" else reading.buffer
    return "buffer" if cube.plan.cube.stickers[last] == reading.buffer else "buffer-turned"


class _Follow:
    """Breaks into what the letters so far say, and after them wherever the lowest letter is."""

    def __init__(self, table: Table, written: Sequence[int], at: int) -> None:
        self.lowest = lowest_letter(table.lettering)
        self.written = written
        self.at = at

    def __call__(self, point: BreakPoint) -> int:
        entry = self.written[self.at] if self.at < len(self.written) else self.lowest(point)
        self.at += len(point.options.get(entry, ()))
        return entry


def read_on(table: Table, cube: Shown, orbit: str, letters: Sequence[str]) -> OrbitReading:
    """The reading of an orbit that begins with ``letters``.

    Raises DrillError, LetteringError or ReadingError where no tracing begins so.
    """
    way, plan = table.way(orbit), cube.plan
    written = [table.lettering.sticker(orbit, letter) for letter in letters]
    # The buffer's own cycle is the same wherever one breaks in afterwards.
    cycles = next(one.cycles for one in plan.orbits if one.orbit == way.orbit)
    at = len(cycles[0].targets) if cycles and cycles[0].kind == "buffer" else 0
    follow = _Follow(table, written, at)
    reading = trace_orbit(plan.cube, way.orbit, way.buffer, table.lettering, follow, plan.scheme)
    if [target.sticker for target in reading.targets[: len(written)]] != written:
        raise DrillError(f"no tracing of the {orbit} of this cube begins with {' '.join(letters)}")
    return reading


def moment_after(table: Table, cube: Shown, orbit: str, letters: Sequence[str]) -> Moment:
    """Where tracing stands after ``letters``; errors as for ``read_on``."""
    return moments(table, cube, read_on(table, cube, orbit, letters))[len(letters)]


class _Tracing(Exercise):
    """What the two exercises share: they deal a cube and ask at one moment of its reading."""

    most_level = len(TRACED["edges"])
    skills: tuple[str, ...]
    choices: tuple[str, ...] = ()

    def subjects(self, table: Table) -> tuple[str, ...]:
        """``edges/close`` and the like, for every skill in each orbit."""
        return tuple(f"{orbit}/{skill}" for orbit in table.orbits for skill in self.skills)

    def _skill(self, moment: Moment) -> str:
        raise NotImplementedError

    def _prompt(self, table: Table, orbit: str) -> str:
        raise NotImplementedError

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        orbit, skill = subject.split("/")
        least = _BREAKS.get(skill, 0)
        breaks = (least, MOST[f"{table.orbit(orbit).piece_word}_breaks"]) if least else None
        turned = (1, 3) if skill == "turned" else None
        found: list[int] = []

        def fits(cube: Shown) -> bool:
            reading = next(one for one in cube.plan.orbits if one.orbit.name == orbit)
            all_moments = moments(table, cube, reading)
            found[:] = [at for at, moment in enumerate(all_moments) if self._skill(moment) == skill]
            return bool(found)

        cube = deal(table, dice, traced(orbit, level, breaks, turned), fits)
        reading = next(one for one in cube.plan.orbits if one.orbit.name == orbit)
        return self._question(
            table,
            subject,
            level,
            self._prompt(table, orbit),
            "letter",
            cube,
            letters=reading.letters[: dice.choice(found)],
            choices=self.choices,
        )

    def _moment(self, table: Table, question: Question) -> Moment:
        return moment_after(table, show(table, question.scramble), question.topic[0], question.letters)

    def _letters(self, table: Table, question: Question, moment: Moment) -> tuple[str, ...]:
        """The letters that may come next."""
        return tuple(sorted(table.symbol(question.topic[0], sticker) for sticker in moment.options))

    def why(self, table: Table, question: Question) -> str:
        """What is seen at that moment, and what follows."""
        return self._moment(table, question).why

    def _elsewhere(self, table: Table, question: Question, moment: Moment, given: int) -> str:
        """What is said of a letter that does not come next."""
        orbit = question.topic[0]
        geo = geometry(table.method.size)
        named = table.named(orbit, given)
        if given in geo.piece_of(table.way(orbit).buffer):
            return f"{named} is on the buffer's own piece, to which nothing can be shot."
        if moment.is_break:
            return f"{named} is on a piece that is right by now, so there is nothing to break into."
        if not moment.options:
            return f"{named} is on a piece that is right by now."
        alike = likeness(table, orbit, given, moment.options[0])
        return f"{named} is {alike}." if alike else f"{named} is not where it goes."


class NextLetter(_Tracing):
    """A cube and the letters so far; what comes next?

    Skills: the ``first`` letter; going ``on``; where to ``break`` in; the letter ``after`` a break; the one that will
    ``close`` a cycle broken into; the second of a piece ``turned`` in its place.
    """

    name = "next-letter"
    title = "Next letter"
    about = "A cube and the letters so far; say which letter comes next."
    seconds = 12.0
    skills = ("first", "on", "break", "after", "close", "turned")

    def _skill(self, moment: Moment) -> str:
        return moment.skill

    def _prompt(self, table: Table, orbit: str) -> str:
        buffer = table.name(table.way(orbit).buffer)
        return (
            f"Trace the {orbit} from the buffer {buffer}: which letter comes next? Where a cycle is done, name any "
            "letter you may break into."
        )

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """The letter, or at a break every letter one may break into."""
        return self._letters(table, question, self._moment(table, question))

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        orbit = question.topic[0]
        sticker = table.lettering.sticker(orbit, given)
        moment = self._moment(table, question)
        expected = self._letters(table, question, moment)
        if sticker not in moment.options:
            said = f"{self._elsewhere(table, question, moment, sticker)} {moment.why}"
            return Marked(False, 0.0, expected, said)
        if moment.is_break:
            # The sentence of a break names the one that was chosen.
            letters = (*question.letters, table.symbol(orbit, sticker))
            reading = read_on(table, show(table, question.scramble), orbit, letters)
            return Marked(True, 1.0, expected, reading.targets[len(question.letters)].why)
        return Marked(True, 1.0, expected, moment.why)


class CycleEnd(_Tracing):
    """A cube and the letters so far: does a cycle end here, and where would you break in?

    Skills: a cycle that plainly ``goes-on``; one that is still ``to-close``; the ``buffer``'s own piece turning up,
    right or ``buffer-turned``; a cycle broken into that is ``closed``; everything ``solved``.
    """

    name = "cycle-end"
    title = "Where a cycle ends"
    about = "A cube and the letters so far; say whether a cycle ends here, and where you would break in."
    seconds = 15.0
    skills = ("goes-on", "buffer", "buffer-turned", "to-close", "closed", "solved")
    choices = (GOES_ON, ALL_DONE)

    def _skill(self, moment: Moment) -> str:
        return moment.ending

    def _prompt(self, table: Table, orbit: str) -> str:
        buffer = table.name(table.way(orbit).buffer)
        return (
            f"Trace the {orbit} from the buffer {buffer}: does a cycle end after these letters? Answer {GOES_ON} if "
            f"the cycle goes on, a letter to break into if it ends and something is left, {ALL_DONE} if all is solved."
        )

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """``on``, ``all``, or every letter one may break into."""
        return self._right(table, question, self._moment(table, question))

    def _right(self, table: Table, question: Question, moment: Moment) -> tuple[str, ...]:
        if moment.is_break:
            return self._letters(table, question, moment)
        return (GOES_ON,) if moment.options else (ALL_DONE,)

    def why(self, table: Table, question: Question) -> str:
        """What is seen at that moment, and what follows."""
        return _told(self._moment(table, question))

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        orbit, moment = question.topic[0], self._moment(table, question)
        expected = self._right(table, question, moment)
        symbols = table.lettering.of(orbit).values()
        word = given.strip().lower()
        if given.strip() not in symbols and word in self.choices:
            right = word in expected
            no = "" if right else "No cycle goes on here. " if word == GOES_ON else "Not everything is solved. "
            return Marked(right, float(right), expected, no + _told(moment))
        sticker = table.lettering.sticker(orbit, given)
        if moment.is_break and sticker in moment.options:
            letters = (*question.letters, table.symbol(orbit, sticker))
            reading = read_on(table, show(table, question.scramble), orbit, letters)
            return Marked(True, 1.0, expected, reading.targets[len(question.letters)].why)
        if moment.options and not moment.is_break:
            named = table.named(orbit, sticker)
            said = f"The cycle does not end here, so {named} is not to be broken into. {_told(moment)}"
            return Marked(False, 0.0, expected, said)
        said = f"{self._elsewhere(table, question, moment, sticker)} {_told(moment)}"
        return Marked(False, 0.0, expected, said)


def _told(moment: Moment) -> str:
    """What is seen, with the verdict on the cycle where the sentence does not give it."""
    if moment.is_break or not moment.options:
        return moment.why
    if moment.ending == "to-close":
        return f"The cycle still needs its last letter. {moment.why}"
    return f"The cycle goes on. {moment.why}"
