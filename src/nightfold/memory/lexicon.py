"""The words of a language with what is known of them: how common, how picturable, what kind of picture.

How common a word is comes from wordfreq, in some forty languages; how picturable and of what kind is known for
English alone (``ratings.py``, and ``data/kinds-en.tsv`` made from WordNet by ``from_wordnet.py``).
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from nightfold.memory.errors import WordsError, cut
from nightfold.memory.images import Picture, picture_of
from nightfold.memory.ratings import ratings
from nightfold.memory.symbols import bare

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
#: Languages of which it is known how picturable words are.
RATED = ("en",)
#: So many of the most frequent words of a language without ratings are looked at.
_MOST = 30_000
#: Words of a language without ratings have at least so many letters; of one with ratings at least ``_SHORTEST``.
_SHORTEST, _SHORTEST_UNRATED = 2, 3
#: A word that nobody rated is as concrete as others of its kind, less so much.
_DOUBT = 0.3
#: Vowels of the Latin and the Cyrillic script, accents left out, and consonants that are some in a few languages.
_VOWELS, _SYLLABIC = frozenset("aeiouyæøœıаеёиоуыэюяієїъѣ"), frozenset("rlрл")
_LIQUID = frozenset(("cs", "sk", "sl", "sh", "mk", "bg"))
#: Roman numerals, and words that look like one.
_ROMAN = re.compile(r"(?=[ivxlcdm]{2})m{0,3}(?:c[md]|d?c{0,3})(?:x[cl]|l?x{0,3})(?:i[xv]|v?i{0,3})")
_NO_NUMERALS = frozenset(("dix", "mix", "lix", "mil"))
_ORDINAL = re.compile(r"x[ivx]*(?:e|è|ème|eme)")
#: What the file of kinds says of names and forms.
_NO_PICTURE = "none"
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
    something done to something, ``i`` for another verb.
    """

    word: str
    zipf: float
    concreteness: float | None = None
    visual: float | None = None
    kind: str = ""
    verb: str = ""


@dataclass(frozen=True, slots=True)
class First:
    """A word that may stand first of two, and the kinds of words that it may stand before."""

    entry: Entry
    before: frozenset[str]


@dataclass(frozen=True, slots=True)
class Lexicon:
    """The words of a language that may stand for pairs; ``rated`` tells whether their pictures are rated.

    ``firsts`` are those that may stand first of two, from ``firsts.toml``; where it has none, any may.
    """

    language: str
    rated: bool
    entries: Mapping[str, Entry]
    firsts: tuple[First, ...] = ()

    def picture(self, word: str) -> Picture:
        """The keys of a word's picture, known to the lexicon or not; see ``images.py``."""
        return _picture(self.language, word)


@cache
def _picture(language: str, word: str) -> Picture:
    if language != "en":
        return picture_of(word, language)
    # Halves of compounds are only told where the lexicon has few accidental words.
    known = lexicon(language).entries
    told = _names().get(word)
    if told and told.form_of:
        return _picture(language, told.form_of) | picture_of(word, language, known=known)
    return picture_of(word, language, told.things if told else (), known)


class _Line(NamedTuple):
    """A line of the file made from WordNet."""

    word: str
    kind: str
    verb: str
    things: tuple[str, ...]
    form_of: str


@cache
def _names() -> Mapping[str, _Line]:
    """All that is known of words as names of things, those that are no candidates too: own words may be any."""
    return {line.word: line for line in _kinds()}


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
        raise WordsError(f"there are no words for the language “{cut(language)}”; known are {', '.join(languages())}")
    if code != language:
        return lexicon(code)
    import wordfreq

    frequencies = wordfreq.get_frequency_dict(code, "best")
    found = _english(frequencies) if code == "en" else _unrated(code, frequencies)
    firsts = tuple(_firsts(frequencies)) if code == "en" else ()
    return Lexicon(code, code in RATED, {entry.word: entry for entry in found}, firsts)


def zipf(frequency: float) -> float:
    """A share of all words on the Zipf scale: the decimal logarithm of the times in a billion, to two places.

    Source: van Heuven, Mandera, Keuleers & Brysbaert (2014), as wordfreq uses it.
    """
    return round(math.log10(frequency) + 9, 2) if frequency > 0 else 0.0


def _unrated(code: str, frequencies: Mapping[str, float]) -> Iterator[Entry]:
    rarest, names = weights()["common"]["least"], _no_words()
    ranked = sorted(frequencies.items(), key=lambda item: (-item[1], item[0]))
    for word, frequency in ranked[:_MOST]:
        if not word.isalpha() or len(word) < _SHORTEST_UNRATED or (common := zipf(frequency)) < rarest:
            continue
        if word not in names and _is_spoken(word, code):
            yield Entry(f"{word[:-1]}ς" if code == "el" and word.endswith("σ") else word, common)


@cache
def _no_words() -> frozenset[str]:
    """First names and abbreviations that are met in many languages; see ``no-words.toml``."""
    table = tomllib.loads(Path(__file__).with_name("no-words.toml").read_text("utf-8"))
    return frozenset(word for some in table.values() for word in some.split())


def _is_spoken(word: str, code: str) -> bool:
    """Whether a word can be one: no Roman numeral, and with a vowel, without which it is an abbreviation."""
    if not "a" <= bare(word[0]) <= "z" and not "а" <= word[0] <= "ӿ":
        return True  # another script, of which the lexicon knows no vowels
    numeral = _ORDINAL.fullmatch(word) or (_ROMAN.fullmatch(word) and word not in _NO_NUMERALS)
    if numeral or len(word) < _SHORTEST:
        return False
    sung = _VOWELS | _SYLLABIC if code in _LIQUID else _VOWELS
    return any(bare(char) in sung for char in word)


def _english(frequencies: Mapping[str, float]) -> Iterator[Entry]:
    rated = ratings()
    rarest, vaguest = weights()["common"]["least"], weights()["picturable"]["least"]
    lines = list(_kinds())
    usual = _usual_concreteness(lines)
    told = {line.word for line in lines}
    for word, kind, verb, _, _ in lines:
        if kind == _NO_PICTURE or (word.endswith("s") and word[:-1] in told):
            continue  # the plural of a word is the same picture
        common = zipf(frequencies.get(word, 0.0))
        rating = rated.get(word)
        concreteness = rating.concreteness if rating else round(usual[kind] - _DOUBT, 2)
        if common >= rarest and concreteness >= vaguest and len(word) >= _SHORTEST:
            yield Entry(word, common, concreteness, rating.visual if rating else None, kind, verb)


def _firsts(frequencies: Mapping[str, float]) -> Iterator[First]:
    """Words that may stand first of two; before a kind of words each is there once."""
    groups = tomllib.loads(Path(__file__).with_name("firsts.toml").read_text("utf-8"))
    before: dict[str, set[str]] = {}
    for group in groups.values():
        for word in group["words"].split():
            before.setdefault(word, set()).update(group["before"])
    rated, usual = ratings(), weights()["picturable"]["first"]
    for word, kinds in before.items():
        rating = rated.get(word)
        # Each is seen, whatever people thought of when they rated it alone.
        concreteness = max(usual, rating.concreteness) if rating else usual
        common = zipf(frequencies.get(word, 0.0))
        yield First(Entry(word, common, concreteness, rating.visual if rating else None, "quality"), frozenset(kinds))


def _kinds() -> Iterator[_Line]:
    """The lines of the file made from WordNet, with what looks alike though it is something else."""
    folder = Path(__file__).parent
    rows: list[str] = tomllib.loads((folder / "alike.toml").read_text("utf-8"))["en"]
    groups: dict[str, tuple[str, ...]] = {}
    for number, row in enumerate(rows):
        for word in row.split():
            groups[word] = (*groups.get(word, ()), f"~{number}")
    for line in (folder / "data" / "kinds-en.tsv").read_text("utf-8").splitlines():
        if not line.startswith("#"):
            word, kind, verb, things, form_of = (line + "\t" * 4).split("\t")[:5]
            yield _Line(word, kind, verb, (*things.split(), *groups.pop(word, ())), form_of)
    yield from (_Line(word, _NO_PICTURE, "", keys, "") for word, keys in groups.items())


def _usual_concreteness(lines: Iterable[_Line]) -> dict[str, float]:
    """How concrete the rated words of each kind are on average."""
    rated = ratings()
    found: dict[str, list[float]] = {}
    for word, kind, *_ in lines:
        if word in rated and kind != _NO_PICTURE:
            found.setdefault(kind, []).append(rated[word].concreteness)
    return {kind: sum(values) / len(values) for kind, values in found.items()}
