"""Holding a memo: letters are shown, taken away, and asked for later."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from nightfold.blind.features import Features
from nightfold.coach.memo import read_memo
from nightfold.practice.drills.base import Exercise, Marked, Noticed, count_of
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal
from nightfold.practice.level import DELAYS, HELD, SECONDS_A_LETTER, at

#: How a memo may be shown and asked for.
OWN_PACE, TIMED, DELAYED = "own-pace", "timed", "delayed"
#: No memo is shown or held longer in a drill: a quarter of an hour.
_MOST_SECONDS = 900


class HoldMemo(Exercise):
    """The memo of a dealt cube is shown and has to be given again.

    Subjects: the edges', the corners' or a whole cube's, at one's ``own-pace``, ``timed``, or ``delayed``.
    Levels: ever more letters; where the time is short, also ever less of it, and where one waits, ever longer.
    Answers are graded letter by letter, each in its place.
    """

    name = "hold-memo"
    title = "Hold a memo"
    about = "Letters are shown, at your pace or for a time; give them again, at once or after a while."
    most_level = max(map(len, HELD.values()))
    seconds = 60.0

    def subjects(self, table: Table) -> tuple[str, ...]:
        """``edges/timed`` and the like."""
        return tuple(f"{what}/{how}" for how in (OWN_PACE, TIMED, DELAYED) for what in (*table.orbits, "cube"))

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        what, how = subject.split("/")
        number = int(at(HELD[what], level))
        readings = deal(table, dice, _with_letters(what, number)).plan.orbits
        asked = [one for one in readings if what in ("cube", one.orbit.name) and one.letters]
        names = tuple(one.orbit.name for one in asked)
        seconds = number * at(SECONDS_A_LETTER, level) if how == TIMED else None
        delay = at(DELAYS, level) if how == DELAYED else 0.0
        return self._question(
            table,
            subject,
            level,
            _prompt(number, seconds, delay),
            "letters",
            parts=names,
            show=tuple(in_pairs(one.letters) for one in asked),
            seconds=seconds,
            delay=delay,
            size=number,
            key=tuple(" ".join((one.orbit.name, *one.letters)) for one in asked),
        )

    def _memos(self, question: Question) -> list[tuple[str, list[str]]]:
        """Each part's orbit and letters."""
        found = []
        for part in question.key:
            orbit, *letters = part.split(" ")
            found.append((orbit, letters))
        return found

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """The letters, part by part, in one answer."""
        return ("\n".join(question.show),)

    def why(self, table: Table, question: Question) -> str:
        """The letters that were shown."""
        return f"It was {'; '.join(question.show)}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        lines = given.splitlines()
        good, mistakes, said = 0, list[Noticed](), list[str]()
        for number, (orbit, letters) in enumerate(self._memos(question)):
            text = lines[number] if number < len(lines) else ""
            stickers = read_memo(text, table.orbit(orbit), table.lettering)
            told = [table.symbol(orbit, sticker) for sticker in stickers]
            good += sum(a == b for a, b in zip(told, letters, strict=False))
            slip, sentence = compare(letters, told, orbit)
            if slip:
                mistakes.append(slip)
                said.append(f"{orbit.capitalize()}: {sentence}" if len(question.key) > 1 else _capital(sentence))
        expected = self.expected(table, question)
        if not said:
            return Marked(True, 1.0, expected, f"All {count_of(question.size, 'letter')} in their places.")
        share = good / question.size
        in_place = f"{good} of {question.size} letters are in their places."
        said_all = " ".join([in_place, *said, self.why(table, question)])
        return Marked(False, share, expected, said_all, tuple(mistakes))


def timed(question: Question, seconds: float | None, delay: float | None) -> Question:
    """The question with its letters shown for so many seconds, and asked for after so many; None leaves it as it is.

    Its subject tells then how it is shown.  Raises DrillError for times that make no sense, and for a question that is
    not about holding a memo.
    """
    if question.exercise != HoldMemo.name:
        raise DrillError(f"for how long it is shown, and what passes then, is chosen for {HoldMemo.name} alone")
    for what, value in (("shown for", seconds), ("asked for after", delay)):
        if value is not None and not 0 <= value <= _MOST_SECONDS:
            raise DrillError(f"a memo cannot be {what} {value:g} seconds; 0 to {_MOST_SECONDS:,} can be")
    seconds = question.seconds if seconds is None else seconds or None
    delay = question.delay if delay is None else delay
    subject = f"{question.topic[0]}/{_how(seconds, delay)}"
    prompt = _prompt(question.size, seconds, delay)
    return replace(question, subject=subject, prompt=prompt, seconds=seconds, delay=delay)


def fits_times(subject: str, seconds: float | None, delay: float | None) -> bool:
    """Whether a subject of holding a memo stays what it is where the times are chosen as ``timed`` takes them."""
    how = subject.split("/")[-1]
    own = (1.0 if how == TIMED else None, 1.0 if how == DELAYED else 0.0)
    return how == _how(own[0] if seconds is None else seconds or None, own[1] if delay is None else delay)


def _how(seconds: float | None, delay: float) -> str:
    """What a memo is called that is shown for so many seconds and asked for after so many."""
    return DELAYED if delay else TIMED if seconds else OWN_PACE


def _prompt(number: int, seconds: float | None, delay: float) -> str:
    shown = f"for {_in_words(seconds)}" if seconds else "as long as you like"
    after = f"; after {_in_words(delay)} you are asked for them" if delay else ""
    return f"{count_of(number, 'letter')}, shown {shown}{after}: give them again in order."


def _in_words(seconds: float) -> str:
    return f"{seconds:g} second{'' if seconds == 1 else 's'}"


def _with_letters(what: str, number: int) -> Features:
    """Features of the cubes whose edges, corners or both together have so many letters."""
    exactly = (number, number)
    if what == "cube":
        return Features(letters=exactly)
    return Features(edge_letters=exactly) if what == "edges" else Features(corner_letters=exactly)


def in_pairs(letters: Sequence[str]) -> str:
    """Letters in pairs, as memos are written: ``KQ AB C``; letters of several characters are set apart by dots."""
    dot = "" if all(len(letter) == 1 for letter in letters) else "·"
    return " ".join(dot.join(letters[at : at + 2]) for at in range(0, len(letters), 2))


def compare(letters: Sequence[str], told: Sequence[str], orbit: str = "") -> tuple[Noticed | None, str]:
    """What happened to the letters of a memo that was recalled otherwise: the slip by its kind, and a sentence.

    The first place that differs decides; what is told of it is the least that makes the rest fit.  None and no
    sentence where nothing differs.
    """
    at = next((n for n, (a, b) in enumerate(zip(letters, told, strict=False)) if a != b), min(len(letters), len(told)))
    left, rest = list(letters[at:]), list(told[at:])
    if not left and not rest:
        return None, ""

    def slip(kind: str, sentence: str) -> tuple[Noticed, str]:
        return Noticed(kind, orbit, letters[at] if at < len(letters) else "", at), sentence

    place, pair = f"letter {at + 1}", at - at % 2
    if not rest:
        kind = "letter-left-out" if len(left) == 1 else "pair-lost"
        return slip(kind, f"the end is missing, {in_pairs(left)}.")
    if not left:
        kind = "letter-doubled" if rest == list(letters[-1:]) else "another-letter"
        return slip(kind, f"{in_pairs(rest)} at the end {'is' if len(rest) == 1 else 'are'} too much.")
    if left[1:2] + left[:1] == rest[:2] and left[2:] == rest[2:]:
        return slip("letters-exchanged", f"letters {at + 1} and {at + 2}, {left[0]} and {left[1]}, are exchanged.")
    ours, theirs = list(letters[pair:]), list(told[pair:])
    if len(ours) >= 4 and ours[2:4] + ours[:2] == theirs[:4] and ours[4:] == theirs[4:]:
        one, two = in_pairs(ours[:2]), in_pairs(ours[2:4])
        return slip("pairs-exchanged", f"the pairs {one} and {two} are exchanged.")
    if ours[2:] == theirs and len(ours) >= 2:
        return slip("pair-lost", f"the pair {in_pairs(ours[:2])} at letter {pair + 1} is left out; the rest is right.")
    if left[1:] == rest:
        return slip("letter-left-out", f"{place}, {left[0]}, is left out; the rest is right.")
    if rest[1:] == left:
        kind = "letter-doubled" if at and rest[0] == letters[at - 1] else "another-letter"
        return slip(kind, f"{rest[0]} at {place} is too much; the rest is right.")
    if left[1:] == rest[1:]:
        return slip("another-letter", f"{place} is {left[0]}, not {rest[0]}; the rest is right.")
    return slip("another-letter", f"from {place} on it differs; {left[0]} was shown there.")


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
