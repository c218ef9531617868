"""All words of a language, found by the pairs and symbols that they can stand for; made once for all who look in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cached_property
from threading import RLock
from typing import Any, NamedTuple

from nightfold.memory.images import Picture
from nightfold.memory.lexicon import Entry, First, lexicon
from nightfold.memory.patterns import TWO_WORDS, Pattern, chosen_patterns, patterns
from nightfold.memory.ranking import Marks, Scorer, marks
from nightfold.memory.rude import rude_filter
from nightfold.memory.symbols import Pair, Symbols

#: So many words are looked at to stand second of two.
_ACROSS = 60
#: Kinds of words that can stand second of two.
_SEEN = frozenset(("person", "animal", "object", "food", "place", "plant"))
#: So many indexes are kept ready; each takes some megabytes.
_READY = 4

#: A word with its score.
Scored = tuple[float, Entry]


class Opened(NamedTuple):
    """Words that can stand first of two, the best score of one of them, and the best that can stand second."""

    firsts: list[First]
    best_first: float
    seconds: list[Scored]


_NOTHING = Opened([], 0.0, [])


class WordIndex:
    """The words of a language as some symbols and patterns read them, with rude ones or without."""

    def __init__(self, symbols: Symbols, language: str, by: Sequence[Pattern], rude: bool) -> None:
        self._symbols, self._language, self._by, self._rude = symbols, language, by, rude
        self._lexicon = lexicon(language)
        self._marked: dict[tuple[str, str], Marks] = {}
        # Whoever comes while it is made waits, rather than making it again.
        self._making = RLock()

    @property
    def words(self) -> Mapping[Pair, list[tuple[float, Entry, Pattern]]]:
        """Every pair's single words, best first, each by the pattern that suits it best."""
        with self._making:
            return self._words

    def opened(self, pair: Pair) -> Opened:
        """What can stand first and second of two words for a pair."""
        if len(pair) < 2 or all(pattern.name != TWO_WORDS for pattern in self._by):
            return _NOTHING
        with self._making:
            before, after = (self._heads.get(symbol, _NOTHING) for symbol in pair)
        return Opened(before.firsts, before.best_first, after.seconds)

    def marks(self, entry: Entry) -> Marks:
        """The marks of one of two words, worked out but once."""
        # A word that stands first may be of another kind there.
        key = entry.word, entry.kind
        known = self._marked.get(key)
        if known is None:
            known = self._marked[key] = marks(entry, patterns()[TWO_WORDS].weight)
        return known

    @cached_property
    def _allowed(self) -> list[Entry]:
        rude = rude_filter(self._language)
        return [one for one in self._lexicon.entries.values() if self._rude or not rude.is_rude(one.word)]

    @cached_property
    def _words(self) -> dict[Pair, list[tuple[float, Entry, Pattern]]]:
        best: dict[Pair, dict[str, tuple[float, Entry, Pattern]]] = defaultdict(dict)
        # A letter left over at the end of a memo is told by the head of a word, whatever patterns are chosen.
        opening = chosen_patterns("opening", self._language)[0]
        alone = () if any(pattern.name == opening.name for pattern in self._by) else (opening,)
        for entry in self._allowed:
            word, score = self._symbols.fold(entry.word), Scorer(entry)
            for pattern in self._by:
                for pair in pattern.read(word, self._symbols):
                    known = best[pair]
                    if entry.word not in known or known[entry.word][2].weight < pattern.weight:
                        known[entry.word] = (score(pattern.weight), entry, pattern)
            for pattern in alone:
                for pair in (pair for pair in pattern.read(word, self._symbols) if len(pair) == 1):
                    best[pair][entry.word] = (score(pattern.weight), entry, pattern)
        return {pair: sorted(found.values(), key=lambda row: (-row[0], row[1].word)) for pair, found in best.items()}

    @cached_property
    def _heads(self) -> dict[str, Opened]:
        """For every symbol the words that begin with it."""
        weight = patterns()[TWO_WORDS].weight
        rude = rude_filter(self._language)
        firsts: dict[str, list[First]] = defaultdict(list)
        seconds: dict[str, list[Entry]] = defaultdict(list)
        for entry in self._allowed:
            if entry.kind in _SEEN or not entry.kind:
                for symbol, _ in self._symbols.at(self._symbols.fold(entry.word), 0):
                    seconds[symbol].append(entry)
        for one in self._lexicon.firsts:
            if self._rude or not rude.is_rude_before(one.entry.word):
                for symbol, _ in self._symbols.at(self._symbols.fold(one.entry.word), 0):
                    firsts[symbol].append(one)
        heads = {}
        for symbol in self._symbols.all:
            best = self._best_apart([(Scorer(entry)(weight), entry) for entry in seconds[symbol]])
            # Of a language whose words are not known any may stand first.
            some = firsts[symbol] if self._lexicon.firsts else [First(entry, frozenset()) for _, entry in best]
            heads[symbol] = Opened(some, max((Scorer(one.entry)(weight) for one in some), default=0.0), best)
        return heads

    def _best_apart(self, entries: list[Scored]) -> list[Scored]:
        """The best few of some words, no two of them near-identical."""
        found: list[Scored] = []
        keys: set[str] = set()
        for score, entry in sorted(entries, key=lambda row: (-row[0], row[1].word)):
            picture: Picture = self._lexicon.picture(entry.word)
            if not keys & picture:
                found.append((score, entry))
                keys |= picture
            if len(found) == _ACROSS:
                break
        return found


_indexes: dict[Any, WordIndex] = {}
_choosing = RLock()


def word_index(symbols: Symbols, language: str, by: Sequence[Pattern], rude: bool) -> WordIndex:
    """The index for these symbols and patterns; the one that was used longest ago is forgotten where there are many."""
    # A rule of one's own is another pattern each time it is read; what it says of itself tells it.
    key = symbols.all, language, rude, tuple((pattern.name, pattern.about) for pattern in by)
    with _choosing:
        found = _indexes.pop(key, None) or WordIndex(symbols, language, by, rude)
        if len(_indexes) >= _READY:
            _indexes.pop(next(iter(_indexes)))
        _indexes[key] = found
    return found
