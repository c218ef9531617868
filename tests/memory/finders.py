"""Finders that several tests use; making one reads all the words of a language, so each is made once."""

from __future__ import annotations

from functools import cache
from itertools import permutations

from nightfold.blind.lettering import load_lettering
from nightfold.memory.candidates import Finder
from nightfold.memory.coverage import Coverage, cover
from nightfold.memory.patterns import patterns
from nightfold.memory.symbols import Pair

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
#: Every pair of two different letters of the default lettering.
PAIRS: tuple[Pair, ...] = tuple(permutations(LETTERS, 2))
GREEK = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩ"


@cache
def finder(*names: str, letters: str = LETTERS, language: str | None = None, rude: bool = False) -> Finder:
    """A finder by some patterns, by all that suit the language if none are named."""
    by = [patterns()[name] for name in names] if names else None
    return Finder(letters, language, by, rude)


@cache
def covered() -> Coverage:
    """The default lettering's coverage for the default method, without own words."""
    from nightfold.blind.method import load_method

    return cover(finder(), load_method("two-swap"), load_lettering())
