"""A cube's memo in words: a word for every pair, and the phrase of each orbit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from nightfold.blind.lettering import Lettering
from nightfold.blind.method import Method
from nightfold.blind.plan import Plan
from nightfold.memory.breaks import StrongestPairs, worth_of
from nightfold.memory.candidates import Candidate, Finder
from nightfold.memory.coverage import cover
from nightfold.memory.errors import WordsError
from nightfold.memory.occurring import reading_pairs
from nightfold.memory.phrases import Phrase, Writer, read_route, styles_of
from nightfold.memory.symbols import Pair, pair_text

#: The breaks policy that looks for good pairs.
WORDS = "words"


@dataclass(frozen=True, slots=True)
class Telling:
    """The memo of a plan in words.

    ``memo`` are the pairs of each orbit, ``words`` the word of each of them, ``phrases`` those that could be written,
    ``why_not`` tells why there are none where nobody insisted on them.
    """

    plan: Plan
    language: str
    memo: Mapping[str, tuple[Pair, ...]]
    words: Mapping[str, tuple[Candidate | None, ...]]
    phrases: Mapping[str, Phrase]
    why_not: str

    def to_dict(self) -> dict[str, Any]:
        """The memo as plain data, in the stable form that docs/plan-json.md describes."""
        return {
            "scramble": self.plan.scramble,
            "language": self.language,
            "orbits": [
                {
                    "orbit": name,
                    "pairs": [_row(pair, one) for pair, one in zip(pairs, self.words[name], strict=True)],
                    "phrase": self.phrases[name].to_dict() if name in self.phrases else None,
                }
                for name, pairs in self.memo.items()
            ],
        }


def tell(
    finder: Finder,
    method: Method,
    lettering: Lettering,
    plan: Callable[[Any], Plan],
    breaks: str | None = None,
    styles: str | None = None,
    route: str | None = None,
) -> Telling:
    """The memo in words of the cube that ``plan`` makes a plan of when it is given a breaks policy.

    ``styles`` and ``route`` are texts as ``styles_of`` and ``read_route`` take them; where neither is given and the
    phrases cannot be written, there are none.  Raises NightfoldError for what cannot be used.
    """
    known = cover(finder, method, lettering).words
    policy: Any = breaks
    if breaks is not None and breaks.strip() == WORDS:
        chooser = StrongestPairs(lettering, worth_of(known, finder))
        policy = dict.fromkeys((way.orbit.name for way in method.ways), chooser)
    made = plan(policy)
    memo = {reading.orbit.name: reading_pairs(reading) for reading in made.orbits}
    places = read_route(route) if route is not None else ()
    asked = "route" if styles is None and places else styles
    wanted = styles_of(asked, tuple(memo))
    phrases: dict[str, Phrase] = {}
    why_not = ""
    try:
        phrases = {phrase.orbit: phrase for phrase in Writer(finder, known).write(memo, wanted, places)}
    except WordsError as trouble:
        if asked is not None:
            raise
        why_not = str(trouble)
    words = {
        name: tuple(_word_told(pair, phrases.get(name), known, finder) for pair in pairs)
        for name, pairs in memo.items()
    }
    return Telling(made, finder.language, memo, words, phrases, why_not)


def _word_told(pair: Pair, phrase: Phrase | None, known: Mapping[Pair, Candidate], finder: Finder) -> Candidate | None:
    """The word of a pair in its phrase; where that tells none, the one it always has."""
    for part in phrase.parts if phrase else ():
        if part.pair == pair and part.candidate:
            return part.candidate
    return known.get(pair) or next(iter(finder.of(pair, 1)), None)


def _row(pair: Pair, one: Candidate | None) -> dict[str, Any]:
    word = one.to_dict() if one else {"word": None, "own": False, "kind": "", "weak": False, "note": ""}
    return {"pair": pair_text(pair), **{key: word[key] for key in ("word", "own", "kind", "weak", "note")}}
