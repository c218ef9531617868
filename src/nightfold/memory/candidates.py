"""Candidates: the words that may stand for letter pairs, best first, and one for each of many pairs, kept apart.

Of one pair's candidates no two are near-identical pictures.  Where every pair gets a word, words are given out
greedily: the pairs that have the fewest good single words choose first, those that only two words can tell come last;
each takes its best candidate that is near-identical with none given before, and only a pair for which there is none
must share.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from itertools import islice
from typing import Any

from nightfold.memory.images import Picture, alike
from nightfold.memory.indexed import word_index
from nightfold.memory.lexicon import Entry, First, Lexicon, language_of, lexicon, weights
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.patterns import TWO_WORDS, Pattern, chosen_patterns, patterns
from nightfold.memory.ranking import Marks, marks, marks_of_two
from nightfold.memory.symbols import Pair, Symbols

#: So many further candidates of two words are looked at when one of them is given out.
DEEP = 60
#: A pair has so many candidates of two words where they can be had.
_ENOUGH = 24
#: What a candidate of two words loses, where words are given out, for every time that its first word, and that its
#: second one, was used before; from ``_FEW`` times on the first word is left alone if another can be had.
_AGAIN_FIRST, _AGAIN_SECOND, _FEW = 0.02, 0.02, 4


@dataclass(frozen=True, slots=True)
class Candidate:
    """A word, or two, that may stand for a pair.

    ``pattern`` names the way it does (``own`` for a word of one's own), which leads back to the letters as easily as
    ``weight`` says.  ``pictures`` are those of its words; ``entries`` what is known of them.  ``strength`` and ``note``
    belong to own words; those have a ``score`` where they would be suggested too.
    """

    word: str
    pattern: str
    score: float | None
    kind: str = ""
    weight: float = 1.0
    entries: tuple[Entry, ...] = ()
    pictures: tuple[Picture, ...] = ()
    note: str = ""
    strength: float | None = None

    @property
    def own(self) -> bool:
        """Whether it is a word of one's own."""
        return self.strength is not None

    @property
    def marks(self) -> Marks | None:
        """Why a suggestion scores as it does; None for a word of one's own that is none."""
        if self.own and self.score is None:
            return None
        if self.pattern == TWO_WORDS or len(self.entries) == 2:
            return marks_of_two(*(marks(entry, self.weight) for entry in self.entries))
        return marks(self.entries[0], self.weight)

    @property
    def weak(self) -> bool:
        """Whether it is too faint to rely on: little known, or a suggestion that makes a poor picture."""
        limits = weights()["weak"]
        return self.strength < limits["own"] if self.strength is not None else self.rank < limits["suggestion"]

    @property
    def worth(self) -> float:
        """What the pair is worth to a memo, from 0 to 1; a word of one's own beats every suggestion."""
        scale = weights()["worth"]
        if self.strength is not None:
            return scale["own"] + (1 - scale["own"]) * self.strength
        return scale["suggestion"] * self.rank

    @property
    def rank(self) -> float:
        """The score, nothing where there is none."""
        return self.score or 0.0

    def to_dict(self) -> dict[str, Any]:
        """The candidate as plain data, in the stable form that docs/plan-json.md describes."""
        return {
            "word": self.word,
            "own": self.own,
            "kind": self.kind,
            "pattern": self.pattern,
            "score": self.score,
            "marks": asdict(self.marks) if self.marks else None,
            "weak": self.weak,
            "note": self.note,
            "strength": self.strength,
        }

    def alike(self, other: Candidate) -> bool:
        """Whether the two are near-identical pictures."""
        return alike(self.pictures, other.pictures)


def _order(one: Candidate) -> tuple[float, str]:
    return -one.rank, one.word


class Finder:
    """Finds candidates for the pairs of some symbols.

    ``language`` is a code such as ``en`` (chosen by the symbols if None), ``by`` the patterns to use (all that suit the
    language if None), ``rude`` lets rude words through, ``own`` are the words that come first.  Raises WordsError for a
    language without words.
    """

    def __init__(
        self,
        symbols: Iterable[str],
        language: str | None = None,
        by: Sequence[Pattern] | None = None,
        rude: bool = False,
        own: OwnWords | None = None,
    ) -> None:
        self.symbols = Symbols(symbols)
        self.lexicon: Lexicon = lexicon(language if language is not None else language_of(self.symbols.all))
        self.language = self.lexicon.language
        self.patterns = tuple(chosen_patterns(None, self.language) if by is None else by)
        self.rude = rude
        self.own = own or OwnWords()
        self._index = word_index(self.symbols, self.language, self.patterns, rude)

    # --- one pair ------------------------------------------------------------------------------------------

    def of(self, pair: Pair, most: int = 12) -> tuple[Candidate, ...]:
        """The best candidates of a pair, at most so many: own words first, then suggestions, all different pictures."""
        found: list[Candidate] = list(self.own_words(pair))
        for candidate in self.suggestions(pair):
            if len(found) >= most:
                break
            if not any(candidate.alike(other) for other in found):
                found.append(candidate)
        return tuple(found[:most])

    def own_words(self, pair: Pair) -> tuple[Candidate, ...]:
        """One's own words for a pair as candidates, the strongest first."""
        return tuple(self._as_candidate(word, pair) for word in self.own.of(pair))

    def suggestions(self, pair: Pair) -> Iterator[Candidate]:
        """All that the patterns give for a pair, best first; near-identical pictures are not sorted out."""
        double: list[Candidate] = []
        # Two words are only put together once they can be better than the best single word that is left.
        bound = self._two_words_at_most(pair)
        for score, entry, pattern in self._index.words.get(pair, ()):
            if bound is not None and score < bound:
                double, bound = sorted(self._two_words(pair), key=_order), None
            while double and _order(double[0]) < (-score, entry.word):
                yield double.pop(0)
            pictures = (self.lexicon.picture(entry.word),)
            yield Candidate(entry.word, pattern.name, score, entry.kind, pattern.weight, (entry,), pictures)
        yield from sorted(self._two_words(pair), key=_order) if bound is not None else double

    def _as_candidate(self, own: OwnWord, pair: Pair) -> Candidate:
        words = own.word.casefold().split()
        pictures = tuple(self.lexicon.picture(word) for word in words)
        told = own.word.casefold()
        for score, entry, pattern in self._index.words.get(pair, ()):
            if entry.word == told:
                kind = own.kind or entry.kind
                return Candidate(
                    own.word, "own", score, kind, pattern.weight, (entry,), pictures, own.note, own.strength
                )
        for one in self._two_words(pair) if len(words) == 2 else ():
            if one.word == told:
                kind = own.kind or one.kind
                return Candidate(
                    own.word, "own", one.score, kind, one.weight, one.entries, pictures, own.note, own.strength
                )
        known = tuple(self.lexicon.entries[word] for word in words if word in self.lexicon.entries)
        kind = own.kind or (known[-1].kind if known else "")
        return Candidate(own.word, "own", None, kind, 1.0, known, pictures, own.note, own.strength)

    # --- two words -----------------------------------------------------------------------------------------

    def _two_words(self, pair: Pair) -> list[Candidate]:
        """Candidates of two words, each second word once, first words as seldom as can be."""
        firsts, _, seconds = self._index.opened(pair)
        # Firsts that fit come in turn, entered elsewhere for every pair, so that no word comes oftener than it must.
        turns: dict[str, int] = defaultdict(lambda: 5 * sum(map(ord, pair[1])))
        fitting: dict[str, list[First]] = {}
        found: dict[str, Candidate] = {}
        # Where few words can stand second each comes again, with another first.
        rounds = -(-_ENOUGH // len(seconds)) if seconds else 0
        for _, entry in seconds * rounds:
            if entry.kind not in fitting:
                fitting[entry.kind] = [one for one in firsts if not entry.kind or entry.kind in one.before]
            fit, picture = fitting[entry.kind], self.lexicon.picture(entry.word)
            for _ in fit:
                turns[entry.kind] += 1
                first = fit[turns[entry.kind] % len(fit)].entry
                if not picture & self.lexicon.picture(first.word):
                    made = self._pair_candidate(first, entry)
                    found.setdefault(made.word, made)
                    break
        return list(found.values())

    def _two_words_at_most(self, pair: Pair) -> float | None:
        """What two words can score at most; None where there are none."""
        firsts, alone, seconds = self._index.opened(pair)
        if not firsts or not seconds:
            return None
        # A quality counts as the kind of what it is said of, at most fully.
        gained = weights()["score"]["kind"] * (1 - min(weights()["kind"].values())) / sum(weights()["score"].values())
        return round((min(1.0, alone + gained) + seconds[0][0] + gained) / 2, 4)

    def _pair_candidate(self, one: Entry, two: Entry) -> Candidate:
        weight = patterns()[TWO_WORDS].weight
        pictures = (self.lexicon.picture(one.word), self.lexicon.picture(two.word))
        score = marks_of_two(self._index.marks(one), self._index.marks(two)).score
        return Candidate(f"{one.word} {two.word}", TWO_WORDS, score, two.kind, weight, (one, two), pictures)

    # --- many pairs ----------------------------------------------------------------------------------------

    def assign(self, pairs: Iterable[Pair]) -> dict[Pair, Assigned]:
        """A word for every pair, no two of them near-identical where that can be had.

        Own words are given first, whatever they are; see the head of this file for the suggestions.
        """
        wanted = {pair: place for place, pair in enumerate(dict.fromkeys(pairs))}
        given: dict[Pair, Assigned] = {}
        taken = _Taken()
        for pair in wanted:
            if own := self.own_words(pair):
                given[pair] = Assigned(own[0], taken.like(own[0]))
                taken.take(own[0], pair)
        limit, words = weights()["weak"]["suggestion"], self._index.words

        def choice(pair: Pair) -> tuple[bool, int, int]:
            good = bisect_right(words.get(pair, ()), -limit, key=lambda row: -row[0])
            # What only two words can tell comes last, since two words can be had of what is left.
            return not good, good, wanted[pair]

        for pair in sorted((pair for pair in wanted if pair not in given), key=choice):
            free = (one for one in self.suggestions(pair) if not taken.like(one))
            best = next(free, None)
            if best is not None:
                if best.pattern == TWO_WORDS:
                    some = [best, *islice(free, DEEP)]
                    best = max(some, key=taken.value)
                given[pair] = Assigned(best, ())
                taken.take(best, pair)
            elif (shared := next(self.suggestions(pair), None)) is not None:
                given[pair] = Assigned(shared, taken.like(shared))
        return {pair: given[pair] for pair in wanted if pair in given}


@dataclass(frozen=True, slots=True)
class Assigned:
    """The word given to a pair, and the pairs that had a near-identical one before."""

    candidate: Candidate
    like: tuple[Pair, ...]


class _Taken:
    """What was given out so far, found again by the keys of its pictures."""

    def __init__(self) -> None:
        self._by_key: dict[str, list[tuple[Candidate, Pair]]] = defaultdict(list)
        self._uses: Counter[str] = Counter()

    def take(self, candidate: Candidate, pair: Pair) -> None:
        for key in {key for picture in candidate.pictures for key in picture}:
            self._by_key[key].append((candidate, pair))
        if candidate.pattern == TWO_WORDS:
            self._uses.update(entry.word for entry in candidate.entries)

    def value(self, candidate: Candidate) -> tuple[bool, float]:
        """What a candidate is worth to be given out now: two words lose by every use of either before."""
        if candidate.pattern != TWO_WORDS:
            return True, candidate.rank
        first, second = (self._uses[entry.word] for entry in candidate.entries)
        return first < _FEW, candidate.rank - _AGAIN_FIRST * first - _AGAIN_SECOND * second

    def like(self, candidate: Candidate) -> tuple[Pair, ...]:
        """The pairs whose words are near-identical with this one."""
        near = (row for picture in candidate.pictures for key in picture for row in self._by_key.get(key, ()))
        return tuple(dict.fromkeys(pair for other, pair in near if candidate.alike(other)))


def counted(finder: Finder, pairs: Iterable[Pair], enough: int = 5) -> dict[Pair, int]:
    """How many different pictures each pair has among its suggestions, counted up to ``enough``."""
    return {pair: sum(not one.own for one in finder.of(pair, enough)) for pair in pairs}
