"""The words of a language with what is known of them: how common, how picturable, what kind of picture.

How common a word is comes from wordfreq, in some forty languages; how picturable and of what kind is known for
English alone (``ratings.py``, and ``data/kinds-en.tsv`` made from WordNet by ``from_wordnet.py``).
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.memory.errors import WordsError
from nightfold.memory.images import Picture, picture_of
from nightfold.memory.ratings import Rating, ratings

#: The kinds of pictures a word may be.
KINDS = (
    "person",
    "animal",
    "object",
    "food",
    "place",
    "plant",
    "body",
    "nature",
    "stuff",
    "action",
    "quality",
    "idea",
)
#: So many of the most frequent words of a language without ratings are looked at.
_MOST = 30_000
#: Words of a language without ratings have at least so many letters; of one with ratings at least ``_SHORTEST``.
_SHORTEST, _SHORTEST_UNRATED = 2, 3
#: A word that nobody rated is as concrete as others of its kind, less so much.
_DOUBT = 0.3
#: What the file of kinds says of names and forms.
_NO_PICTURE = "none"
#: So concrete is a word that is a picture whatever it is.
_SURE = 4.5
#: For letterings in other scripts the language that is most written in it.
_SCRIPTS = (
    ("el", "Ͱ", "Ͽ"),
    ("ru", "Ѐ", "ӿ"),
    ("he", "֐", "׿"),
    ("ar", "؀", "ۿ"),
    ("hi", "ऀ", "ॿ"),
    ("bn", "ঀ", "৿"),
    ("ta", "஀", "௿"),
    ("ja", "぀", "ヿ"),
    ("zh", "一", "鿿"),
    ("ko", "가", "힣"),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One word of a language.

    ``zipf`` is the decimal logarithm of how often it comes in a billion words; ``concreteness`` (1 to 5) and
    ``visual`` (0 to 5) are None where unknown, ``kind`` is empty then.  ``verb`` is ``t`` for a word that is also
    something done to something, ``i`` for another verb.  ``thing`` is shared by words for the same thing.
    """

    word: str
    zipf: float
    concreteness: float | None = None
    visual: float | None = None
    kind: str = ""
    verb: str = ""
    thing: str = ""


@dataclass(frozen=True, slots=True)
class Lexicon:
    """The words of a language that may stand for pairs; ``rated`` tells whether their pictures are rated."""

    language: str
    rated: bool
    entries: Mapping[str, Entry]

    def picture(self, word: str) -> Picture:
        """The keys of a word's picture, known to the lexicon or not; see ``images.py``."""
        return _picture(self.language, word)


@cache
def _picture(language: str, word: str) -> Picture:
    entries = lexicon(language).entries
    entry = entries.get(word)
    # Halves of compounds are only told where the lexicon has few accidental words.
    known = entries if language == "en" else ()
    return picture_of(word, language, entry.thing if entry else "", known)


@cache
def weights() -> Mapping[str, Mapping[str, float]]:
    """The numbers of ``weights.toml``."""
    found: dict[str, Any] = tomllib.loads(Path(__file__).with_name("weights.toml").read_text("utf-8"))
    return found


@cache
def languages() -> tuple[str, ...]:
    """The codes of all languages that have words."""
    import wordfreq

    return tuple(sorted(wordfreq.available_languages()))


def language_of(symbols: Iterable[str]) -> str:
    """The language in which words for these symbols are looked for if none is named: English for Latin letters."""
    chars = [char for symbol in symbols for char in symbol if char.isalpha()]
    for language, first, last in _SCRIPTS:
        if chars and sum(first <= char <= last for char in chars) * 2 > len(chars):
            return language
    return "en"


@cache
def lexicon(language: str) -> Lexicon:
    """The words of a language by its code, such as ``en`` or ``de``.

    Raises WordsError for a language that has none, or when the data are not installed.
    """
    code = language.strip().casefold()
    if code not in languages():
        raise WordsError(f"there are no words for the language “{language[:24]}”; known are {', '.join(languages())}")
    if code != language:
        return lexicon(code)
    import wordfreq

    frequencies = wordfreq.get_frequency_dict(code, "best")
    found = _english(frequencies) if code == "en" else _unrated(code, frequencies)
    return Lexicon(code, code == "en", {entry.word: entry for entry in found})


def zipf(frequency: float) -> float:
    """A share of all words on the Zipf scale: the decimal logarithm of the times in a billion, to two places.

    Source: van Heuven, Mandera, Keuleers & Brysbaert (2014), as wordfreq uses it.
    """
    return round(math.log10(frequency) + 9, 2) if frequency > 0 else 0.0


def _unrated(code: str, frequencies: Mapping[str, float]) -> Iterator[Entry]:
    rarest = weights()["common"]["least"]
    ranked = sorted(frequencies.items(), key=lambda item: (-item[1], item[0]))
    for word, frequency in ranked[:_MOST]:
        if word.isalpha() and len(word) >= _SHORTEST_UNRATED and (common := zipf(frequency)) >= rarest:
            yield Entry(f"{word[:-1]}ς" if code == "el" and word.endswith("σ") else word, common)


def _english(frequencies: Mapping[str, float]) -> Iterator[Entry]:
    rated = ratings()
    rarest, vaguest = weights()["common"]["least"], weights()["picturable"]["least"]
    lines = list(_kinds())
    usual = _usual_concreteness(lines)
    told = {line[0] for line in lines}
    lines += [(word, "", "", "") for word, rating in rated.items() if word not in told and _is_thing(word, rating)]
    for word, kind, verb, thing in lines:
        if kind == _NO_PICTURE or (word.endswith("s") and word[:-1] in told):
            continue  # the plural of a word is the same picture
        common = zipf(frequencies.get(word, 0.0))
        rating = rated.get(word)
        concreteness = rating.concreteness if rating else round(usual[kind] - _DOUBT, 2)
        if common >= rarest and concreteness >= vaguest and len(word) >= _SHORTEST:
            yield Entry(word, common, concreteness, rating.visual if rating else None, kind, verb, thing)


def _is_thing(word: str, rating: Rating) -> bool:
    """Whether a rated word that WordNet does not have is a picture all the same, and no mere form of another word."""
    plain = word.isascii() and word.isalpha() and word.islower()
    return plain and rating.concreteness >= _SURE and not word.endswith(("s", "ed", "ing"))


def _kinds() -> Iterator[tuple[str, str, str, str]]:
    """The lines of the file made from WordNet: word, kind, verb, thing."""
    path = Path(__file__).parent / "data" / "kinds-en.tsv"
    for line in path.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            word, kind, verb, thing = line.split("\t")
            yield word, kind, verb, thing


def _usual_concreteness(lines: Iterable[tuple[str, str, str, str]]) -> dict[str, float]:
    """How concrete the rated words of each kind are on average."""
    rated = ratings()
    found: dict[str, list[float]] = {}
    for word, kind, _, _ in lines:
        if word in rated and kind != _NO_PICTURE:
            found.setdefault(kind, []).append(rated[word].concreteness)
    return {kind: sum(values) / len(values) for kind, values in found.items()}
