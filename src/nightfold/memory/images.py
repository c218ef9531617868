"""When two words are near-identical pictures, and keeping the words of many pairs apart.

Every word has a few keys; two words that share one count as the same picture:

- its stem, so that bake, baker and bakery, or lamp and lamps, are one; in other languages than English more of its
  end is taken off as well, since the most frequent words have forms that no stemmer joins;
- the stems of both halves of a compound, so that snowman is kept from snow and from snowball;
- what it names, so that sofa and couch are one, and lorry and truck, which is only a little more general;
- what one would draw the same way, as a camera and a webcam (``alike.toml``); both are known for English alone.

A candidate of two words has two pictures.  Two candidates are near-identical when all pictures of one are among those
of the other: *bear* and *brown bear* are, *brown bear* and *lazy bear* too where the quality is no picture of its own.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from functools import cache
from importlib import import_module
from threading import Lock
from typing import Any, Protocol


class _Stemmer(Protocol):
    def stemWord(self, word: str) -> str: ...  # noqa: N802


#: One picture by its keys.
Picture = frozenset[str]

#: Stemmers by the codes of languages.
_STEMMERS = {
    "ar": "arabic",
    "ca": "catalan",
    "cs": "czech",
    "da": "danish",
    "de": "german",
    "el": "greek",
    "en": "english",
    "es": "spanish",
    "fa": "persian",
    "fi": "finnish",
    "fr": "french",
    "hi": "hindi",
    "hu": "hungarian",
    "id": "indonesian",
    "it": "italian",
    "lt": "lithuanian",
    "nb": "norwegian",
    "nl": "dutch",
    "pl": "polish",
    "pt": "portuguese",
    "ro": "romanian",
    "ru": "russian",
    "sh": "serbian",
    "sv": "swedish",
    "ta": "tamil",
    "tr": "turkish",
}
#: Letters that endings of verbs and nouns are made of, taken off short words too where no pictures are known.
_ENDING, _BASE = frozenset("aeiouynrstm"), 3
#: Endings that make another word of the same family in English, and how much must be left before one.
_FAMILY, _LEFT = ("eries", "eri", "ery", "er", "or", "ist", "ess", "i", "e", "y"), 3
#: Halves of a compound have at least so many letters.
_HALF = 3
#: A stemmer keeps the word that it is at, so only one thread may use one.
_STEMMING = Lock()


@cache
def _stemmer(language: str) -> _Stemmer | None:
    snowball: Any = import_module("snowballstemmer")  # which has no types
    name = _STEMMERS.get(language)
    return snowball.stemmer(name) if name in snowball.algorithms() else None


@cache
def stem(word: str, language: str) -> str:
    """What is left of a word without its endings; in English also without those that make an actor or a place of it."""
    stemmer = _stemmer(language)
    if stemmer is None:
        return word
    with _STEMMING:
        found = stemmer.stemWord(word)
    if language == "en":
        for ending in _FAMILY:
            if found.endswith(ending) and len(found) - len(ending) >= _LEFT:
                return found.removesuffix(ending)
    return found


def base(word: str, language: str) -> str:
    """What is left of a stem without doubled letters and whatever else may be an ending, so that las, lass, lasst and
    last are one; too much on the whole, since most of what it joins are forms of one word.
    """
    found = re.sub(r"(.)\1", r"\1", stem(word, language))
    while len(found) > _BASE + 2 and found[-1] in _ENDING:
        found = found[:-1]
    while len(found) > _BASE and found[-1] in "st":
        found = found[:-1]
    return found


def picture_of(word: str, language: str, things: Iterable[str] = (), known: Collection[str] = ()) -> Picture:
    """The keys of a word: its stem, those of its halves where both are ``known`` words, and the ``things`` it names."""
    parts = [word, *word.replace("-", " ").split()]
    keys = {stem(part, language) for part in parts}
    if language != "en" and _stemmer(language) is not None:
        keys |= {f"-{base(part, language)}" for part in parts}
    for at in range(_HALF, len(word) - _HALF + 1):
        if word[:at] in known and word[at:] in known:
            keys |= {stem(word[:at], language), stem(word[at:], language)}
    return frozenset(keys).union(f"={thing}" for thing in things)


def alike(one: Iterable[Picture], other: Iterable[Picture]) -> bool:
    """Whether two candidates are near-identical, given the pictures of each."""
    first, second = list(one), list(other)
    return _within(first, second) or _within(second, first)


def _within(few: list[Picture], many: list[Picture]) -> bool:
    return all(any(a & b for b in many) for a in few)
