"""What lies on the table while one drills: the method, the letters, the hold, one's own words."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from nightfold.blind.dealing import Dealer
from nightfold.blind.features import ANY, Features
from nightfold.blind.hold import Hold, parse_hold
from nightfold.blind.lettering import Lettering, load_lettering
from nightfold.blind.method import DEFAULT, Method, load_method
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.ways import SwapWay
from nightfold.cube.geometry import Orbit, geometry
from nightfold.cube.notation import FACE_LETTERS, write
from nightfold.practice.drills.errors import DrillError

#: So many cubes are dealt for one question before what it needs is called too rare.
_MOST_DEALS = 300
#: So many cubes that were read lately are remembered.
_MOST_SHOWN = 50


@dataclass(frozen=True)
class Table:
    """What questions are asked and marked with.

    The method's own hold is how cubes are shown.  ``words`` are a person's own words by pair, as ``pair_text`` of
    ``nightfold.memory.symbols`` writes pairs; each pair may have several.  Make it with ``Table.laid``.
    """

    method: Method
    lettering: Lettering
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def laid(
        cls,
        method: Method | str = DEFAULT,
        lettering: Lettering | str | None = None,
        hold: Hold | str | None = None,
        words: Mapping[str, tuple[str, ...]] | None = None,
    ) -> Table:
        """A table from names or loaded things, as ``make_plan`` takes them.

        Raises NightfoldError where one of them cannot be used.
        """
        method = load_method(method) if isinstance(method, str) else method
        lettering = method.lettering if lettering is None else lettering
        if isinstance(lettering, str):
            lettering = load_lettering(lettering, method.size)
        if hold is not None:
            method = replace(method, hold=parse_hold(hold) if isinstance(hold, str) else hold)
            make_plan("", method, lettering)  # refuses a hold that no cube can have
        return cls(method, lettering, words or {})

    @cached_property
    def digest(self) -> str:
        """A short text that is another whenever anything is that answers depend on; one's words apart."""
        method = self.method
        parts = [str(method.hold), method.breaks, write(method.parity.turns)]
        for way in method.ways:
            parts += [way.orbit.name, self.name(way.buffer), self.name(way.home), write(way.core)]
        for orbit, symbols in sorted(self.lettering.symbols.items()):
            parts += [orbit, *(symbols[sticker] for sticker in sorted(symbols))]
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16]

    @cached_property
    def shown(self) -> dict[str, Shown]:
        """Cubes that were read lately, since one is looked at several times while an answer is marked."""
        return {}

    @property
    def orbits(self) -> tuple[str, ...]:
        """The names of the orbits, in the order in which the method solves them."""
        return tuple(way.orbit.name for way in self.method.ways)

    def way(self, orbit: str) -> SwapWay:
        """How the method executes an orbit's letters.  Raises MethodError for an orbit it does not have."""
        return self.method.way(orbit)

    def name(self, sticker: int) -> str:
        """The name of a sticker or place by its number."""
        return geometry(self.method.size).names[sticker]

    def symbol(self, orbit: str, sticker: int) -> str:
        """The letter of a sticker."""
        return self.lettering.symbol(orbit, sticker)

    def named(self, orbit: str, sticker: int) -> str:
        """A letter with its sticker, ``H (LB)``."""
        return f"{self.symbol(orbit, sticker)} ({self.name(sticker)})"

    def targets(self, orbit: str) -> tuple[int, ...]:
        """Every sticker a memo can name, face by face and clockwise, as letters are mostly learnt."""
        geo, way = geometry(self.method.size), self.way(orbit)
        found = (sticker for face in FACE_LETTERS for sticker in geo.clockwise(way.orbit, face))
        return tuple(sticker for sticker in found if sticker in way.targets)

    def orbit(self, name: str) -> Orbit:
        """The orbit called ``name``.  Raises MethodError for one the method does not have."""
        return self.way(name).orbit


@dataclass(frozen=True, slots=True)
class Shown:
    """A cube to look at: the scramble from a solved cube, and the plan that Nightfold would make of it."""

    scramble: str
    plan: Plan

    @property
    def net(self) -> str:
        """The colours of all stickers in number order, as the cube is held for reading."""
        return "".join(self.plan.scheme[face] for face in self.plan.cube.colours)


def show(table: Table, scramble: str = "") -> Shown:
    """The cube after ``scramble``, held and read as the table says; the solved one without.

    Raises NotationError for text that is no scramble.
    """
    known = table.shown
    if scramble not in known:
        if len(known) >= _MOST_SHOWN:
            known.clear()
        known[scramble] = Shown(scramble, make_plan(scramble, table.method, table.lettering))
    return known[scramble]


def deal(
    table: Table, dice: random.Random, features: Features = ANY, fits: Callable[[Shown], bool] | None = None
) -> Shown:
    """A random cube that has ``features`` and that ``fits``.

    Raises FeatureError where no cube has the features, DrillError where none that fits turns up.
    """
    method, lettering = table.method, table.lettering
    dealer = Dealer(features=features, method=method, lettering=lettering, seed=dice.getrandbits(63))
    for _ in range(_MOST_DEALS):
        shown = show(table, str(dealer.deal()))
        if fits is None or fits(shown):
            return shown
    raise DrillError(f"{_MOST_DEALS} cubes with {features} were dealt, and none was fit for this question")
