"""Small statistics for a logbook: shares with their intervals, rolling results, what mistakes cost."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from nightfold.practice.results import best, mean

#: The 97.5th percentile of the normal distribution: intervals hold 95 %.
_NORMAL_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Share:
    """``good`` of ``all`` tries, with the interval in which the true rate lies with 95 % confidence."""

    good: int
    all: int

    def __post_init__(self) -> None:
        if not 0 <= self.good <= self.all:
            raise ValueError(f"{self.good} of {self.all} is no share")

    @property
    def value(self) -> float | None:
        """The share itself; None of nothing."""
        return self.good / self.all if self.all else None

    @property
    def interval(self) -> tuple[float, float]:
        """The score interval.  Source: Wilson, Probable inference, J. Am. Stat. Assoc. 22 (1927)."""
        if not self.all:
            return 0.0, 1.0
        square = _NORMAL_95**2
        middle = self.good + square / 2
        half = _NORMAL_95 * math.sqrt(self.good * (self.all - self.good) / self.all + square / 4)
        whole = self.all + square
        # The ends are exact where all or none are good; rounding must not lead past them.
        low = 0.0 if self.good == 0 else (middle - half) / whole
        high = 1.0 if self.good == self.all else (middle + half) / whole
        return low, high

    def to_dict(self) -> dict[str, float | int | None]:
        """The share as plain data."""
        low, high = self.interval
        return {"good": self.good, "all": self.all, "value": self.value, "low": low, "high": high}


@dataclass(frozen=True, slots=True)
class Rolling:
    """Best of 3 and mean of 3 of an attempt and the two before it; None where there is none."""

    best: int | None
    mean: int | None


def rolling(results: Sequence[int | None]) -> list[Rolling]:
    """For every result, in the order of the attempts, what it makes with the two before it; the first two make nothing.

    Results are hundredths of a second, None where the attempt failed.
    """
    return [
        Rolling(best(results[at - 2 : at + 1]), mean(results[at - 2 : at + 1])) if at > 1 else Rolling(None, None)
        for at in range(len(results))
    ]


def costs(failures: Iterable[Iterable[tuple[float, Iterable[str]]]]) -> dict[str, float]:
    """What each kind of mistake costs: how many failed attempts would have been solved had it never happened.

    ``failures`` are attempts, each with its explanations: their probability, and the kinds of their mistakes.  An
    attempt is saved when all its mistakes are of the kind, so it adds the probability of just those explanations.
    The dearest comes first.
    """
    found: defaultdict[str, float] = defaultdict(float)
    for explanations in failures:
        for probability, kinds in explanations:
            if len(only := set(kinds)) == 1:
                found[only.pop()] += probability
    return dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def median(counts: Mapping[int, int]) -> float | None:
    """The median of numbers told by how often each occurs; None of nothing."""
    total = sum(counts.values())
    if not total:
        return None
    passed, low = 0, None
    for value in sorted(counts):
        passed += counts[value]
        if low is None and 2 * passed >= total:
            if 2 * passed > total:
                return float(value)
            low = value
        elif low is not None and counts[value]:
            return (low + value) / 2
    return float(low) if low is not None else None
