"""How the other right memos of a cube differ from the one that is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import BreakPoint, Chooser, OrbitReading
from nightfold.cube.geometry import geometry


@dataclass(frozen=True, slots=True)
class OtherMemos:
    """Where the right memos of one orbit agree and where they differ.

    ``fixed`` are the letters that all of them begin with.  The cycles left after that may come in any order, and each
    may be entered at any letter of its ``entries``.  ``memos`` counts them all.
    """

    orbit: str
    fixed: tuple[str, ...]
    entries: tuple[tuple[str, ...], ...]
    memos: int

    @property
    def said(self) -> str:
        """That in a sentence or two."""
        begin = " ".join(self.fixed)
        if not self.entries:
            return f"No other memo of the {self.orbit} is right." if begin else f"No letter for the {self.orbit}."
        places = [" ".join(entries) for entries in self.entries]
        first = f"every right memo begins {begin}; then" if begin else "in every right memo"
        if len(places) == 1:
            rest = f"the cycle may be entered at any of {places[0]}"
        else:
            rest = f"{len(places)} cycles may come in any order, each entered at any of its letters, "
            rest += "; ".join(places)
        return f"{self.orbit.capitalize()}: {first} {rest} ({self.memos:,} memos)."


def other_memos(plan: Plan) -> tuple[OtherMemos, ...]:
    """How the right memos of a plan's cube differ, orbit by orbit."""
    return tuple(_of(reading, plan) for reading in plan.orbits)


def _of(reading: OrbitReading, plan: Plan) -> OtherMemos:
    symbols, piece_of = plan.lettering.of(reading.orbit), geometry(plan.method.size).piece_of
    fixed: tuple[str, ...] = ()
    entries = []
    for cycle in reading.cycles:
        if cycle.kind == "buffer":
            fixed = cycle.letters
            continue
        stickers = {sticker for target in cycle.targets for sticker in piece_of(target.sticker)}
        entries.append(tuple(sorted(symbols[sticker] for sticker in stickers)))
    return OtherMemos(reading.orbit.name, fixed, tuple(entries), reading.memos)


def another(plan: Plan) -> Plan | None:
    """A plan of the same cube with another right memo; None where there is no other."""
    if plan.memos == 1:
        return None
    for pick in (max, min):
        breaks = {reading.orbit.name: _by_letter(plan, reading, pick) for reading in plan.orbits}
        other = make_plan(plan.cube, plan.method, plan.lettering, plan.held, breaks, plan.scheme)
        if [reading.letters for reading in other.orbits] != [reading.letters for reading in plan.orbits]:
            return other
    raise AssertionError("two different breaks give two different memos")


def _by_letter(plan: Plan, reading: OrbitReading, pick: Callable[..., int]) -> Chooser:
    symbols = plan.lettering.of(reading.orbit)

    def choose(point: BreakPoint) -> int:
        return pick(point.options, key=symbols.__getitem__)

    return choose
