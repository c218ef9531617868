"""Candidates: the words that may stand for letter pairs, best first, and one for each of many pairs, kept apart.

Of one pair's candidates no two are near-identical pictures.  Where every pair gets a word, words are given out
greedily: the pairs that have the fewest good single words choose first, those that only two words can tell come last;
each takes its best candidate that is near-identical with none given before, and only a pair for which there is none
must share.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import islice
from typing import Any

from nightfold.memory.images import Picture, alike
from nightfold.memory.lexicon import Entry, Lexicon, language_of, lexicon, weights
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.patterns import TWO_WORDS, Pattern, chosen_patterns, patterns
from nightfold.memory.ranking import Marks, Scorer, marks
from nightfold.memory.rude import rude_filter
from nightfold.memory.symbols import Pair, Symbols

#: So many further candidates of two words are looked at when one of them is given out.
DEEP = 24
#: So many words are looked at to stand first of two, and so many to stand second.
_ACROSS = 60
#: Kinds of words that can stand second of two, and first besides qualities.
_SEEN = frozenset(("person", "animal", "object", "food", "place", "plant", "body", "nature", "stuff"))
#: A quality that is seen so well may stand first of two words.
_QUALITY = 3.2
#: What the first of two words gains or loses by its kind: a quality makes one picture with the second, an actor easily
#: does something with it, two things are only side by side.
_FIRST = {"quality": 0.05, "person": -0.05, "animal": -0.05}
_FIRST_ELSE = -0.1
#: What a candidate of two words loses, where words are given out, for every time that one of its words was used before.
_AGAIN = 0.02


@dataclass(frozen=True, slots=True)
class Candidate:
    """A word, or two, that may stand for a pair.

    ``pattern`` names the way it does (``own`` for a word of one's own), which leads back to the letters as easily as
    ``weight`` says.  ``pictures`` are those of its words; ``entries`` what is known of them.  ``strength`` and ``note``
    belong to own words.
    """

    word: str
    pattern: str
    score: float
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
        """Why a single word scores as it does; None for own words and for two words, whose score is a mean."""
        single = len(self.entries) == 1 and not self.own
        return marks(self.entries[0], self.weight) if single else None

    @property
    def weak(self) -> bool:
        """Whether it is too faint to rely on: little known, or a suggestion that makes a poor picture."""
        limits = weights()["weak"]
        return self.strength < limits["own"] if self.strength is not None else self.score < limits["suggestion"]

    @property
    def worth(self) -> float:
        """What the pair is worth to a memo, from 0 to 1; a word of one's own beats every suggestion."""
        scale = weights()["worth"]
        if self.strength is not None:
            return scale["own"] + (1 - scale["own"]) * self.strength
        return scale["suggestion"] * self.score

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


#: A word with its score.
_Scored = tuple[float, Entry]


def _order(one: Candidate) -> tuple[float, str]:
    return -one.score, one.word


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
        self._index: dict[Pair, list[tuple[float, Entry, Pattern]]] | None = None
        self._openers: dict[str, tuple[list[_Scored], list[_Scored]]] | None = None

    def prepare(self) -> None:
        """Make at once what is made when it is first needed, so that copies share it."""
        self._words()
        self._heads()

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
        return tuple(self._as_candidate(word) for word in self.own.of(pair))

    def suggestions(self, pair: Pair) -> Iterator[Candidate]:
        """All that the patterns give for a pair, best first; near-identical pictures are not sorted out."""
        double: list[Candidate] = []
        # Two words are only put together once they can be better than the best single word that is left.
        bound = self._two_words_at_most(pair)
        for score, entry, pattern in self._words().get(pair, ()):
            if bound is not None and score < bound:
                double, bound = sorted(self._two_words(pair), key=_order), None
            while double and _order(double[0]) < (-score, entry.word):
                yield double.pop(0)
            pictures = (self.lexicon.picture(entry.word),)
            yield Candidate(entry.word, pattern.name, score, entry.kind, pattern.weight, (entry,), pictures)
        yield from sorted(self._two_words(pair), key=_order) if bound is not None else double

    def _as_candidate(self, own: OwnWord) -> Candidate:
        words = own.word.casefold().split()
        known = tuple(entry for word in words if (entry := self.lexicon.entries.get(word)))
        kind = own.kind or (known[-1].kind if known else "")
        pictures = tuple(self.lexicon.picture(word) for word in words)
        return Candidate(own.word, "own", 1.0, kind, 1.0, known, pictures, own.note, own.strength)

    def _words(self) -> Mapping[Pair, list[tuple[float, Entry, Pattern]]]:
        """Every pair's single words, best first, each by the pattern that suits it best."""
        if self._index is None:
            best: dict[Pair, dict[str, tuple[float, Entry, Pattern]]] = defaultdict(dict)
            # A letter left over at the end of a memo is told by the head of a word, whatever patterns are chosen.
            opening = chosen_patterns("opening", self.language)[0]
            alone = () if any(pattern.name == opening.name for pattern in self.patterns) else (opening,)
            for entry in self._allowed():
                word, score = self.symbols.fold(entry.word), Scorer(entry)
                for pattern in self.patterns:
                    for pair in pattern.read(word, self.symbols):
                        known = best[pair]
                        if entry.word not in known or known[entry.word][2].weight < pattern.weight:
                            known[entry.word] = (score(pattern.weight), entry, pattern)
                for pattern in alone:
                    for pair in (pair for pair in pattern.read(word, self.symbols) if len(pair) == 1):
                        best[pair][entry.word] = (score(pattern.weight), entry, pattern)
            self._index = {
                pair: sorted(found.values(), key=lambda row: (-row[0], row[1].word)) for pair, found in best.items()
            }
        return self._index

    def _allowed(self) -> Iterator[Entry]:
        rude = rude_filter(self.language)
        for entry in self.lexicon.entries.values():
            if self.rude or not rude.is_rude(entry.word):
                yield entry

    # --- two words -----------------------------------------------------------------------------------------

    def _two_words(self, pair: Pair) -> list[Candidate]:
        """Candidates of two words, such that few words come twice."""
        firsts, seconds = self._opened(pair)
        if not firsts or not seconds:
            return []
        # Both lists go round together, so that no word comes oftener than it must.
        rounds = max(len(firsts), len(seconds))
        both = [(firsts[at % len(firsts)], seconds[at % len(seconds)]) for at in range(rounds)]
        return [self._pair_candidate(one, two) for one, two in both if one[1] != two[1]]

    def _two_words_at_most(self, pair: Pair) -> float | None:
        """What two words can score at most; None where there are none."""
        firsts, seconds = self._opened(pair)
        return round((firsts[0][0] + seconds[0][0]) / 2, 4) if firsts and seconds else None

    def _opened(self, pair: Pair) -> tuple[list[_Scored], list[_Scored]]:
        """The words that can stand first, and second, of two for a pair."""
        if len(pair) < 2 or self._both is None:
            return [], []
        heads = self._heads()
        return heads[pair[0]][0] if pair[0] in heads else [], heads[pair[1]][1] if pair[1] in heads else []

    @property
    def _both(self) -> Pattern | None:
        return next((pattern for pattern in self.patterns if pattern.name == TWO_WORDS), None)

    def _pair_candidate(self, one: _Scored, two: _Scored) -> Candidate:
        pictures = (self.lexicon.picture(one[1].word), self.lexicon.picture(two[1].word))
        word, mean = f"{one[1].word} {two[1].word}", round((one[0] + two[0]) / 2, 4)
        return Candidate(word, TWO_WORDS, mean, two[1].kind, 1.0, (one[1], two[1]), pictures)

    def _heads(self) -> Mapping[str, tuple[list[_Scored], list[_Scored]]]:
        """For every symbol the best words that begin with it, to stand first of two and to stand second."""
        weight = patterns()[TWO_WORDS].weight
        if self._openers is None:
            rude = rude_filter(self.language)
            firsts: dict[str, list[Entry]] = defaultdict(list)
            seconds: dict[str, list[Entry]] = defaultdict(list)
            for entry in self._allowed():
                for symbol, _ in self.symbols.at(self.symbols.fold(entry.word), 0):
                    if entry.kind in _SEEN or not entry.kind:
                        firsts[symbol].append(entry)
                        seconds[symbol].append(entry)
                    elif _is_seen(entry) and (self.rude or not rude.is_rude_before(entry.word)):
                        firsts[symbol].append(entry)
            self._openers = {
                symbol: (
                    _best_apart([(_as_first(entry, weight), entry) for entry in firsts[symbol]], self.lexicon),
                    _best_apart([(Scorer(entry)(weight), entry) for entry in seconds[symbol]], self.lexicon),
                )
                for symbol in self.symbols.all
            }
        return self._openers

    # --- many pairs ----------------------------------------------------------------------------------------

    def assign(self, pairs: Iterable[Pair]) -> dict[Pair, Assigned]:
        """A word for every pair, no two of them near-identical where that can be had.

        Own words are given first, whatever they are; see the head of this file for the suggestions.
        """
        wanted = list(dict.fromkeys(pairs))
        given: dict[Pair, Assigned] = {}
        taken = _Taken()
        for pair in wanted:
            if own := self.own_words(pair):
                given[pair] = Assigned(own[0], taken.like(own[0]))
                taken.take(own[0], pair)
        limit = weights()["weak"]["suggestion"]

        def choice(pair: Pair) -> tuple[bool, int, int]:
            good = sum(score >= limit for score, _, _ in self._words().get(pair, ()))
            # What only two words can tell comes last, since two words can be had of what is left.
            return not good, good, wanted.index(pair)

        for pair in sorted((pair for pair in wanted if pair not in given), key=choice):
            free = (one for one in self.suggestions(pair) if not taken.like(one))
            best = next(free, None)
            if best is not None:
                if best.pattern == TWO_WORDS:
                    some = [best, *islice(free, DEEP)]
                    best = max(some, key=lambda one: one.score - _AGAIN * taken.times(one))
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

    def take(self, candidate: Candidate, pair: Pair) -> None:
        for key in {key for picture in candidate.pictures for key in picture}:
            self._by_key[key].append((candidate, pair))

    def times(self, candidate: Candidate) -> int:
        """How often pictures of a candidate of two words were given out before, in others of two words."""
        if len(candidate.pictures) < 2:
            return 0
        return sum(max(len(self._by_key.get(key, ())) for key in picture) for picture in candidate.pictures)

    def like(self, candidate: Candidate) -> tuple[Pair, ...]:
        """The pairs whose words are near-identical with this one."""
        near = (row for picture in candidate.pictures for key in picture for row in self._by_key.get(key, ()))
        return tuple(dict.fromkeys(pair for other, pair in near if candidate.alike(other)))


def _is_seen(entry: Entry) -> bool:
    """Whether a quality can be seen well enough to stand first of two words."""
    return entry.kind == "quality" and (entry.concreteness or 0) >= _QUALITY


def _as_first(entry: Entry, pattern: float) -> float:
    """The score of a word as the first of two: a quality counts as much as a thing, and the two are one picture."""
    known = replace(entry, kind="object") if entry.kind == "quality" else entry
    return Scorer(known)(pattern) + (_FIRST.get(entry.kind, _FIRST_ELSE) if entry.kind else 0.0)


def _best_apart(entries: list[_Scored], words: Lexicon) -> list[_Scored]:
    """The best few of some words, no two of them near-identical."""
    found: list[_Scored] = []
    keys: set[str] = set()
    for score, entry in sorted(entries, key=lambda row: (-row[0], row[1].word)):
        picture = words.picture(entry.word)
        if not keys & picture:
            found.append((score, entry))
            keys |= picture
        if len(found) == _ACROSS:
            break
    return found


def counted(finder: Finder, pairs: Iterable[Pair], enough: int = 5) -> dict[Pair, int]:
    """How many different pictures each pair has among its suggestions, counted up to ``enough``."""
    return {pair: sum(not one.own for one in finder.of(pair, enough)) for pair in pairs}
