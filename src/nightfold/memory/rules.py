"""Rules of one's own for words: a small language.

A rule is a list of parts set apart by commas; a word obeys it when it obeys every part::

    starts {a}, then {b}          begins with the first letter, the second comes somewhere after it
    starts {a}, ends {b}e         ends with the second letter and an e
    has {a}, next {b}, 4-7 letters

``{a}`` and ``{b}`` are the letters of the pair; other letters stand for themselves.

==============  =============================================================
starts X        the word begins with X
ends X          it ends with X
has X           X is somewhere in it
then X          X is somewhere after what the part before has found
next X          X comes right after what the part before has found
without X       X is nowhere in it
4-7 letters     so many letters; also ``5 letters``
==============  =============================================================

``has``, ``then`` and ``next`` take the first place that lets the parts after them be obeyed too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from nightfold.memory.errors import RuleError, cut
from nightfold.memory.symbols import Pair, Symbols

VERBS = ("starts", "ends", "has", "then", "next", "without")
#: No rule a person wrote is anywhere near so long.
MAX_RULE = 200
_LENGTH = re.compile(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?\s+letters?$")
_FORMS = "starts, ends, has, then, next, without, each with letters, or a number of letters such as 4-7 letters"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a rule: what it asks for, and the letters, ``{a}`` and ``{b}`` among them."""

    verb: str
    letters: str

    def text(self, pair: Pair) -> str:
        """The letters it asks for, for one pair."""
        return self.letters.replace("{a}", pair[0].casefold()).replace("{b}", pair[-1].casefold())

    def __str__(self) -> str:
        return f"{self.verb} {self.letters}"


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule, read and checked; ``least`` and ``most`` are the letters a word may have."""

    parts: tuple[Part, ...]
    least: int = 1
    most: int = 99

    @classmethod
    def parse(cls, text: str) -> Rule:
        """Read a rule.

        Raises RuleError, naming the column, for a part that is none, and for a rule that does not use both letters.
        """
        if len(text) > MAX_RULE:
            raise RuleError(f"the rule is longer than {MAX_RULE} characters")
        parts: list[Part] = []
        least, most = 1, 99
        place = 0
        for piece in text.split(","):
            column = place + len(piece) - len(piece.lstrip()) + 1
            place += len(piece) + 1
            said = piece.strip().casefold()
            if length := _LENGTH.match(said):
                least, most = int(length[1]), int(length[2] or length[1])
                if not 1 <= least <= most:
                    raise RuleError(
                        f"“{said}” at column {column} of the rule allows no word; write it as 4-7 letters", column
                    )
                continue
            parts.append(_part(said, column, parts))
        used = "".join(part.letters for part in parts if part.verb != "without")
        for letter, which in (("{a}", "first"), ("{b}", "second")):
            if letter not in used:
                raise RuleError(f"the rule never asks for {letter}, the {which} letter, so its words would not tell it")
        return cls(tuple(parts), least, most)

    def obeyed(self, word: str, pair: Pair) -> bool:
        """Whether a folded word obeys the rule for a pair."""
        return self.least <= len(word) <= self.most and self._obeyed(word, pair, 0, 0)

    def _obeyed(self, word: str, pair: Pair, number: int, place: int) -> bool:
        """Whether the parts from ``number`` on are obeyed where the part before ended at ``place``."""
        if number == len(self.parts):
            return True
        part = self.parts[number]
        text = part.text(pair)

        def rest(behind: int) -> bool:
            return self._obeyed(word, pair, number + 1, behind)

        match part.verb:
            case "starts":
                return word.startswith(text) and rest(len(text))
            case "ends":
                return word.endswith(text) and rest(len(word))
            case "next":
                return word.startswith(text, place) and rest(place + len(text))
            case "without":
                return text not in word and rest(place)
        at = word.find(text, place if part.verb == "then" else 0)
        while at >= 0:
            if rest(at + len(text)):
                return True
            at = word.find(text, at + 1)
        return False

    def read(self, word: str, symbols: Symbols) -> Iterator[Pair]:
        """The pairs for which a folded word obeys the rule."""
        # Only symbols that are in the word can be asked for, so few pairs need be tried.
        within = [symbol for symbol in symbols.all if symbol.casefold() in word]
        for first, second in product(within, repeat=2):
            if self.obeyed(word, (first, second)):
                yield first, second

    def __str__(self) -> str:
        said = [str(part) for part in self.parts]
        if (self.least, self.most) != (1, 99):
            said.append(f"{self.least} letters" if self.least == self.most else f"{self.least}-{self.most} letters")
        return ", ".join(said)


def _part(said: str, column: int, before: list[Part]) -> Part:
    """One part of a rule; raises RuleError."""
    verb, _, letters = said.partition(" ")
    letters = "".join(letters.split())
    if verb not in VERBS:
        shown = f"“{cut(said, 32)}”" if said else "nothing"
        raise RuleError(f"{shown} at column {column} is no part of a rule; parts are {_FORMS}", column)
    bare = letters.replace("{a}", "").replace("{b}", "")
    if not letters or not all(char.isalpha() or char in "'-" for char in bare):
        shown = f"“{cut(letters, 32)}”" if letters else "nothing"
        raise RuleError(
            f"“{verb}” at column {column} of the rule is followed by {shown}; it needs {{a}}, {{b}} or letters",
            column,
        )
    if verb in ("then", "next") and not any(part.verb != "without" for part in before):
        raise RuleError(f"“{verb}” at column {column} of the rule follows nothing; begin with starts or has", column)
    return Part(verb, letters)
