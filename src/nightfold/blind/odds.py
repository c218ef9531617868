"""The odds: how many letters, breaks and turned pieces to expect, exactly, over all cubes or those with given features.

``difficulty``, by which cubes are ranked, is the number of letters of both orbits together and, at equal letters, the
number of breaks: fewer is easier.  Everything here is a quotient of two counts of states (see
``nightfold.blind.states``).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from nightfold.blind.features import ANY, Features, features_of
from nightfold.blind.plan import Plan
from nightfold.blind.reading import OrbitReading
from nightfold.blind.states import Shape, chance, possible


@dataclass(frozen=True, slots=True)
class Table:
    """The chances of a whole number: ``chances[value]`` for every value it can take, lowest first; they sum to 1."""

    chances: Mapping[int, Fraction]

    @property
    def mean(self) -> Fraction:
        """The expected value."""
        return sum((value * share for value, share in self.chances.items()), Fraction(0))

    @property
    def variance(self) -> Fraction:
        """The expected square of the distance from the mean."""
        mean = self.mean
        return sum(((value - mean) ** 2 * share for value, share in self.chances.items()), Fraction(0))

    def equal(self, value: int) -> Fraction:
        """The chance of just ``value``."""
        return self.chances.get(value, Fraction(0))

    def fewer(self, value: int) -> Fraction:
        """The chance of less than ``value``."""
        return sum((share for other, share in self.chances.items() if other < value), Fraction(0))

    def more(self, value: int) -> Fraction:
        """The chance of more than ``value``."""
        return 1 - self.fewer(value) - self.equal(value)

    def percentile(self, share: Fraction | float) -> int:
        """The least value that is not exceeded with a chance of ``share`` or more: 0.5 gives the median.

        Raises ValueError for a share outside 0 to 1.
        """
        if not 0 <= share <= 1:
            raise ValueError(f"a share lies between 0 and 1; {share} does not")
        total = Fraction(0)
        for value, chance_of in self.chances.items():
            total += chance_of
            if total >= share:
                return value
        return max(self.chances)


@dataclass(frozen=True, slots=True)
class Odds:
    """Exact odds over all cubes that have ``features``; ``chance`` is that of a cube to have them at all.

    The tables count, as ``Features`` does: letters and breaks of each orbit and of both together, edges flipped and
    corners twisted in place without the buffer's, solved pieces with the buffer's.  ``parity`` is the chance that the
    numbers of letters are odd.  ``difficulty[letters, breaks]`` is the chance of that many of both orbits together,
    easiest first.
    """

    features: Features
    chance: Fraction
    edge_letters: Table
    corner_letters: Table
    total_letters: Table
    edge_breaks: Table
    corner_breaks: Table
    total_breaks: Table
    flipped_edges: Table
    twisted_corners: Table
    solved_edges: Table
    solved_corners: Table
    parity: Fraction
    difficulty: Mapping[tuple[int, int], Fraction]

    @property
    def tables(self) -> dict[str, Table]:
        """All tables of numbers by name."""
        return {name: getattr(self, name) for name in TABLES}

    def to_dict(self) -> dict[str, Any]:
        """The odds as plain data: a mean and a table for each name, every number a fraction such as ``"3/8"``."""
        data: dict[str, Any] = {
            name: {
                "mean": str(table.mean),
                "table": {str(value): str(share) for value, share in table.chances.items()},
            }
            for name, table in self.tables.items()
        }
        data["parity"] = {
            "mean": str(self.parity),
            "table": {"yes": str(self.parity), "no": str(1 - self.parity)},
        }
        if self.features.wishes:
            data["chance"] = str(self.chance)
        return data


#: The tables of numbers, in the order in which they are shown.
TABLES = (
    "edge_letters",
    "corner_letters",
    "total_letters",
    "edge_breaks",
    "corner_breaks",
    "total_breaks",
    "flipped_edges",
    "twisted_corners",
    "solved_edges",
    "solved_corners",
)
#: The feature that a table counts, where it goes by another name.
FEATURE_OF = {
    "total_letters": "letters",
    "total_breaks": "breaks",
    "flipped_edges": "flipped",
    "twisted_corners": "twisted",
}


@lru_cache(maxsize=64)
def odds(features: Features = ANY) -> Odds:
    """The exact odds over all cubes, or over those that have ``features``.

    They are the same for every buffer, and so for every method that reads cubes from one buffer an orbit.  Raises
    FeatureError where no cube has the features.
    """
    found = possible(features)

    def table(counted: Iterable[tuple[int, int]]) -> Table:
        return Table(_shares(counted, found.count))

    def of(side: Sequence[tuple[Shape, int]], number: str) -> Table:
        return table((getattr(shape, number), states) for shape, states in side)

    return Odds(
        features=features,
        chance=chance(features),
        edge_letters=of(found.edges, "letters"),
        corner_letters=of(found.corners, "letters"),
        total_letters=table((letters, states) for (letters, _), states in found.together.items()),
        edge_breaks=of(found.edges, "breaks"),
        corner_breaks=of(found.corners, "breaks"),
        total_breaks=table((breaks, states) for (_, breaks), states in found.together.items()),
        flipped_edges=of(found.edges, "turned"),
        twisted_corners=of(found.corners, "turned"),
        solved_edges=of(found.edges, "right"),
        solved_corners=of(found.corners, "right"),
        parity=Fraction(sum(states for shape, states in found.edges if shape.letters % 2), found.count),
        difficulty={key: Fraction(states, found.count) for key, states in found.together.items()},
    )


def _shares(counted: Iterable[tuple[int, int]], count: int) -> dict[int, Fraction]:
    summed: dict[int, int] = defaultdict(int)
    for value, states in counted:
        summed[value] += states
    return {value: Fraction(summed[value], count) for value in sorted(summed)}


# --- where one cube lies -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Standing:
    """One number of a cube among all: its value, and the shares of cubes with fewer, as many, and more."""

    value: int
    fewer: Fraction
    equal: Fraction
    more: Fraction


@dataclass(frozen=True, slots=True)
class Place:
    """Where a cube lies among all cubes, or among those with ``among``'s features.

    ``own`` are the cube's own features.  ``easier``, ``alike`` and ``harder`` are the shares of cubes with fewer, as
    many and more letters in all; at equal letters, breaks in all decide.  So the share ``harder`` is that of the cubes
    that this one is easier than.  ``standings`` tells the same of each table of numbers by its name.
    """

    own: Features
    among: Features
    easier: Fraction
    alike: Fraction
    harder: Fraction
    standings: Mapping[str, Standing]

    @property
    def chance(self) -> Fraction:
        """The chance of a cube like it in everything that features tell of."""
        return chance(self.own)

    @property
    def has_features(self) -> bool:
        """Whether the cube itself is one of those it is compared with."""
        return self.among.allow(self.own)

    def to_dict(self) -> dict[str, Any]:
        """The place as plain data, every share a fraction such as ``"3/8"``."""
        return {
            "easier": str(self.easier),
            "alike": str(self.alike),
            "harder": str(self.harder),
            "parity": self.own.parity,
            "has_features": self.has_features,
            "chance": str(self.chance),
            "standings": {
                name: {
                    "value": standing.value,
                    "fewer": str(standing.fewer),
                    "equal": str(standing.equal),
                    "more": str(standing.more),
                }
                for name, standing in self.standings.items()
            },
        }


def place_of(read: Plan | Sequence[OrbitReading], among: Features = ANY) -> Place:
    """Where the cube that was read lies among all cubes, or among those that have the features ``among``.

    Takes a plan, or the readings of both orbits of a 3x3x3.  Raises ReadingError for other readings and FeatureError
    where no cube has the features ``among``.
    """
    own = features_of(read)
    base = odds(among)
    standings = {}
    for name, table in base.tables.items():
        value = own.wishes[FEATURE_OF.get(name, name)][0]
        standings[name] = Standing(value, table.fewer(value), table.equal(value), table.more(value))
    key = standings["total_letters"].value, standings["total_breaks"].value
    easier = sum((share for other, share in base.difficulty.items() if other < key), Fraction(0))
    alike = base.difficulty.get(key, Fraction(0))
    return Place(own, among, easier, alike, 1 - easier - alike, standings)
