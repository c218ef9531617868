"""What is covered: a word for every pair that can occur, and which of them are missing, clashing or weak."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from nightfold.blind.lettering import Lettering
from nightfold.blind.method import Method
from nightfold.memory.candidates import Assigned, Candidate, Finder
from nightfold.memory.occurring import letters_in_use, pairs_of
from nightfold.memory.own import USUAL_STRENGTH, OwnWord, OwnWords
from nightfold.memory.symbols import Pair, pair_text

#: What a pair may be, from good to bad: it has a word of one's own; a suggestion; a word that is too faint; one that is
#: near-identical with another pair's; none.
STATES = ("own", "suggestion", "weak", "clashing", "missing")


@dataclass(frozen=True, slots=True)
class Cell:
    """One pair: its state, its word if it has one, the pairs whose words are near-identical with it.

    ``in_place`` tells that the pair only comes from a piece flipped or twisted in its place.
    """

    pair: Pair
    state: str
    candidate: Candidate | None
    like: tuple[Pair, ...]
    in_place: bool


@dataclass(frozen=True, slots=True)
class Coverage:
    """The cells of each orbit by pair, and its letters in order."""

    language: str
    letters: Mapping[str, tuple[str, ...]]
    cells: Mapping[str, Mapping[Pair, Cell]]

    @property
    def words(self) -> dict[Pair, Candidate]:
        """The word of every pair that has one."""
        found = (cell for cells in self.cells.values() for cell in cells.values())
        return {cell.pair: cell.candidate for cell in found if cell.candidate}

    def counts(self, orbit: str) -> dict[str, int]:
        """How many pairs of an orbit are in each state."""
        counted = Counter(cell.state for cell in self.cells[orbit].values())
        return {state: counted[state] for state in STATES}

    def as_own(self) -> tuple[OwnWord, ...]:
        """The words as own words, to be kept and changed in a file: suggestions with the usual strength."""
        return tuple(
            OwnWord(
                pair_text(pair), one.word, one.kind, one.note, USUAL_STRENGTH if one.strength is None else one.strength
            )
            for pair, one in self.words.items()
        )

    def to_dict(self) -> dict[str, Any]:
        """The coverage as plain data, in the stable form that docs/plan-json.md describes."""
        return {
            "language": self.language,
            "orbits": [
                {
                    "orbit": name,
                    "letters": list(self.letters[name]),
                    "counts": self.counts(name),
                    "pairs": [_cell_data(cell) for cell in cells.values()],
                }
                for name, cells in self.cells.items()
            ],
        }


def _cell_data(cell: Cell) -> dict[str, Any]:
    return {
        "pair": pair_text(cell.pair),
        "state": cell.state,
        "word": cell.candidate.word if cell.candidate else None,
        "like": [pair_text(pair) for pair in cell.like],
        "in_place": cell.in_place,
    }


def cover(finder: Finder, method: Method, lettering: Lettering, orbits: tuple[str, ...] | None = None) -> Coverage:
    """A word for every pair that can occur in the orbits (all of the method if None).

    Words are given to all pairs of the method, whichever orbits are asked for, so that a pair has one word always.
    Where a clash is told, both sides tell it: the later pair could not be kept apart from the earlier.
    """
    every = pairs_of(method, lettering)
    given = finder.assign(pair for pairs in every.values() for pair in pairs)
    wanted = {name: pairs for name, pairs in every.items() if orbits is None or name in orbits}
    like = _both_ways(given)
    letters = {
        way.orbit.name: letters_in_use(way.orbit, way.buffer, lettering)
        for way in method.ways
        if way.orbit.name in wanted
    }
    cells = {
        name: {pair: _cell(pair, given.get(pair), like.get(pair, ()), in_place) for pair, in_place in pairs.items()}
        for name, pairs in wanted.items()
    }
    return Coverage(finder.language, letters, cells)


def _both_ways(given: Mapping[Pair, Assigned]) -> dict[Pair, tuple[Pair, ...]]:
    """For every pair all that it clashes with, told on either side."""
    found: dict[Pair, dict[Pair, None]] = {}
    for pair, assigned in given.items():
        for other in assigned.like:
            found.setdefault(pair, {})[other] = None
            found.setdefault(other, {})[pair] = None
    return {pair: tuple(others) for pair, others in found.items()}


def _cell(pair: Pair, assigned: Assigned | None, like: tuple[Pair, ...], in_place: bool) -> Cell:
    if assigned is None:
        return Cell(pair, "missing", None, (), in_place)
    word = assigned.candidate
    if like:
        state = "clashing"
    elif word.weak:
        state = "weak"
    else:
        state = "own" if word.own else "suggestion"
    return Cell(pair, state, word, like, in_place)


def unused_pairs(own: OwnWords, method: Method, lettering: Lettering) -> list[str]:
    """The pairs of own words that no memo of this lettering has."""
    used: set[Pair] = {pair for pairs in pairs_of(method, lettering).values() for pair in pairs}
    used |= {(letter,) for way in method.ways for letter in letters_in_use(way.orbit, way.buffer, lettering)}
    served = {word.pair for pair in used for word in own.of(pair)}
    return [pair for pair in own if pair not in served]
