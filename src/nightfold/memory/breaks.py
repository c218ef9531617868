"""The breaks policy ``words``: break where the memo gets the strongest pairs.

However breaks are chosen, a memo has as many letters: every cycle but the buffer's adds one letter more than it has
pieces.  So the policy costs nothing; it only chooses the order of the cycles and where each is entered, which together
decide how the letters fall into pairs.  Of all choices it takes one whose pairs are worth most in sum.  This is exact:
what a cycle adds depends on nothing but the letter left over before it, so the best choice is found by working out,
for every set of cycles still to come and every letter that may be left over, what they can be worth at most.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from nightfold.blind.lettering import Lettering
from nightfold.blind.method import Method
from nightfold.blind.reading import BreakPoint, Chooser, lowest_letter
from nightfold.memory.candidates import Candidate, Finder
from nightfold.memory.coverage import cover
from nightfold.memory.own import OwnWords
from nightfold.memory.symbols import Pair

#: What a pair, or a letter left over, is worth to a memo.
Worth = Callable[[Pair], float]


class StrongestPairs:
    """A chooser for one orbit after another that makes the pairs of a memo worth most.

    It keeps nothing from one break to the next, so that one serves any number of cubes.  Equal worth falls to the
    lowest letter.  Where pieces look alike, cycles are not fixed and the lowest letter is taken.
    """

    def __init__(self, lettering: Lettering, worth: Worth) -> None:
        self.lettering = lettering
        self.worth = worth

    def __call__(self, point: BreakPoint) -> int:
        """The sticker to break into, which is the first of a best choice for all breaks still to come."""
        if point.orbit.alike:
            return lowest_letter(self.lettering)(point)
        symbols = self.lettering.of(point.orbit)
        left_over = symbols[point.before[-1]] if len(point.before) % 2 else ""
        return _Search(point, symbols, self.worth).best(left_over)


class _Search:
    """The cycles still to come at one break, each with its entries, and what they can be worth."""

    def __init__(self, point: BreakPoint, symbols: Mapping[int, str], worth: Worth) -> None:
        pieces = {sticker: number for number, piece in enumerate(point.orbit.pieces) for sticker in piece}
        cycles: dict[frozenset[int], dict[int, tuple[str, ...]]] = {}
        for entry, run in sorted(point.options.items(), key=lambda item: symbols[item[0]]):
            passed = frozenset(pieces[target] for target in run)
            cycles.setdefault(passed, {})[entry] = tuple(symbols[target] for target in run)
        self.cycles = list(cycles.values())
        self.worth = worth
        self.known: dict[tuple[int, str], tuple[float, int]] = {}

    def best(self, left_over: str) -> int:
        """The entry to begin with when all cycles are to come."""
        return self._most((1 << len(self.cycles)) - 1, left_over)[1]

    def _most(self, to_come: int, left_over: str) -> tuple[float, int]:
        """What the cycles ``to_come`` (a bit each) can be worth, and the entry that this begins with."""
        if not to_come:
            return (self.worth((left_over,)) if left_over else 0.0), -1
        found = self.known.get((to_come, left_over))
        if found is None:
            best, first = -1.0, -1
            for number, entries in enumerate(self.cycles):
                if not to_come >> number & 1:
                    continue
                for entry, letters in entries.items():
                    gained, left = self._gained(letters, left_over)
                    total = gained + self._most(to_come & ~(1 << number), left)[0]
                    if total > best + 1e-9:
                        best, first = total, entry
            found = self.known[to_come, left_over] = best, first
        return found

    def _gained(self, letters: tuple[str, ...], left_over: str) -> tuple[float, str]:
        """What the pairs are worth that a cycle completes, and the letter it leaves over."""
        line = (left_over, *letters) if left_over else letters
        whole = len(line) // 2 * 2
        return sum(self.worth((line[at], line[at + 1])) for at in range(0, whole, 2)), line[-1] if len(line) % 2 else ""


def worth_of(words: Mapping[Pair, Candidate], finder: Finder) -> Worth:
    """What pairs are worth by their words; a letter left over by the best word for it alone."""
    alone: dict[Pair, float] = {}

    def worth(pair: Pair) -> float:
        if len(pair) == 2:
            return words[pair].worth if pair in words else 0.0
        if pair not in alone:
            alone[pair] = next((one.worth for one in finder.of(pair, 1)), 0.0)
        return alone[pair]

    return worth


def words_breaks(
    method: Method, lettering: Lettering, own: OwnWords | None = None, language: str | None = None
) -> dict[str, Chooser]:
    """The policy ``words`` for every orbit of a method, to be handed to ``make_plan`` as its breaks.

    Raises WordsError for a language without words.
    """
    symbols = [symbol for orbit in lettering.symbols.values() for symbol in orbit.values()]
    finder = Finder(symbols, language, own=own)
    chooser = StrongestPairs(lettering, worth_of(cover(finder, method, lettering).words, finder))
    return {way.orbit.name: chooser for way in method.ways}
