"""Marking a learner's memo against every right memo the cube has.

A cube has many right memos: every break may be made into any sticker of any unsolved piece.  The native search
(native/marking.hpp) finds the cheapest way to explain what was written as tracing with slips, over all of them at once;
here its steps become faults with words, and the whole is weighed against two other explanations: letters of the right
cube held another way, and the other orbit's letters.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from nightfold.blind.hold import Hold, as_held, colour_name
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.ways import and_list
from nightfold.coach.memo import MemoError, read_memo
from nightfold.cube.geometry import Orbit, geometry, rotation_permutations
from nightfold.cube.state import Cube
from nightfold.search.native import core

#: The kinds of slip in the order of the native search, with what each weighs: 20 is one plain slip.  A reading that
#: needs fewer slips always wins; among equals the more telling kind does.
WEIGHTS: dict[str, int] = {
    "right": 0,
    "other-sticker": 20,
    "neighbour": 21,
    "wrong-letter": 24,
    "left-out": 22,
    "not-closed": 20,
    "doubled": 18,
    "extra-letter": 22,
    "exchanged": 20,
    "pairs-exchanged": 20,
    "broke-into-solved": 20,
    "closed-early": 21,
    "missed-turned": 20,
    "missed-cycle": 21,
    "stopped-early": 23,
    "too-long": 20,
}
_KINDS = tuple(WEIGHTS)
#: What one slip costs at most, and two and a bit: only a memo further off is tried as another hold's or orbit's.
_ONE_SLIP, _FEW_SLIPS = 24, 60
#: How many moments of tracing the search may look at before it says that too much is wrong to tell.
_MOST_STATES = 60_000


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a memo.

    ``at`` is the index of the letter it is about, from 0 (where a letter is missing: where it should stand), ``letter``
    what was written there (empty if nothing was), ``expected`` every letter that would have been right.
    """

    at: int
    letter: str
    kind: str
    expected: tuple[str, ...]
    say: str


@dataclass(frozen=True, slots=True)
class MarkedOrbit:
    """How one orbit's memo was judged.  ``corrected`` is the nearest right memo; the memo itself when it is right."""

    orbit: Orbit
    letters: tuple[str, ...]
    faults: tuple[Fault, ...]
    corrected: tuple[str, ...]

    @property
    def ok(self) -> bool:
        """True when the memo is right."""
        return not self.faults


@dataclass(frozen=True, slots=True)
class Marking:
    """A marked memo.  ``parity_ok`` is None when no answer was given; ``say`` is the whole in a sentence or two."""

    plan: Plan
    orbits: tuple[MarkedOrbit, ...]
    parity_ok: bool | None
    say: str

    @property
    def right(self) -> bool:
        """True when every orbit's memo and the parity answer are right."""
        return all(orbit.ok for orbit in self.orbits) and self.parity_ok is not False

    def to_dict(self) -> dict[str, Any]:
        """The marking as plain data, in the stable form that docs/marking.md describes."""
        return {
            "verdict": "right" if self.right else "wrong",
            "orbits": [
                {
                    "orbit": marked.orbit.name,
                    "ok": marked.ok,
                    "letters": list(marked.letters),
                    "faults": [
                        {
                            "at": fault.at,
                            "letter": fault.letter,
                            "kind": fault.kind,
                            "expected": list(fault.expected),
                            "say": fault.say,
                        }
                        for fault in marked.faults
                    ],
                    "corrected": list(marked.corrected),
                }
                for marked in self.orbits
            ],
            "parity_ok": self.parity_ok,
            "say": self.say,
        }


# --- the orbit as the native search knows it -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Numbers:
    """An orbit's stickers numbered from 0, with what never changes about them."""

    stickers: tuple[int, ...]
    number: dict[int, int]
    piece: list[int]
    beside: list[int]


@lru_cache(maxsize=16)
def _numbers(size: int, name: str) -> _Numbers:
    geo = geometry(size)
    orbit = geo.orbit(name)
    number = {sticker: at for at, sticker in enumerate(orbit.stickers)}
    piece_number = {sticker: at for at, piece in enumerate(orbit.pieces) for sticker in piece}
    beside = []
    for sticker in orbit.stickers:
        ring = geo.clockwise(orbit, geo.faces[sticker])
        at = ring.index(sticker)
        beside.append(1 << number[ring[at - 1]] | 1 << number[ring[(at + 1) % len(ring)]])
    return _Numbers(orbit.stickers, number, [piece_number[s] for s in orbit.stickers], beside)


@dataclass(frozen=True, slots=True)
class _Step:
    kind: str
    at: int
    expected: tuple[int, ...]
    right: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Judged:
    steps: tuple[_Step, ...]
    cost: int
    gave_up: bool


def _judge(
    cube: Cube, orbit: Orbit, buffer: int, memo: Sequence[int], *, strict: bool = False, most_cost: int = 10_000
) -> _Judged:
    """The cheapest explanation of a memo of one orbit on a cube numbered by its hold."""
    numbers = _numbers(cube.size, orbit.name)
    steps, cost, gave_up = core.mark_memo(
        [numbers.number[cube.stickers[place]] for place in numbers.stickers],
        numbers.piece,
        numbers.beside,
        numbers.number[buffer],
        [numbers.number[sticker] for sticker in memo],
        list(WEIGHTS.values()),
        strict,
        most_cost,
        _MOST_STATES * (4 if strict else 1),
    )

    def stickers(mask: int) -> tuple[int, ...]:
        return tuple(sticker for at, sticker in enumerate(numbers.stickers) if mask >> at & 1)

    return _Judged(
        tuple(
            _Step(_KINDS[slip], at, stickers(mask), tuple(numbers.stickers[number] for number in right))
            for slip, at, mask, right in steps
        ),
        cost,
        gave_up,
    )


# --- marking -------------------------------------------------------------------------------------------------


def mark_memo(plan: Plan, memos: Mapping[str, str | Sequence[str]], parity: bool | None = None) -> Marking:
    """Judge a learner's memo of the cube that ``plan`` was made for.

    ``memos`` gives the text (or the letters) for one or more orbits by name; ``parity`` the learner's answer, if any.
    Raises MemoError for a symbol that is not in the lettering.
    """
    for name in memos:
        plan.method.way(name)
    written = {
        way.orbit.name: read_memo(_text(memos[way.orbit.name]), way.orbit, plan.lettering)
        for way in plan.method.ways
        if way.orbit.name in memos
    }
    if not written:
        raise MemoError("there is no memo to mark; give the edges', the corners', or both")
    orbits = tuple(
        _mark_orbit(plan, way.orbit, way.buffer, written) for way in plan.method.ways if way.orbit.name in written
    )
    parity_ok = None if parity is None else parity == plan.parity
    return Marking(plan, orbits, parity_ok, _say(plan, orbits, written, parity, parity_ok))


def _text(memo: str | Sequence[str]) -> str:
    return memo if isinstance(memo, str) else " ".join(memo)


def _mark_orbit(plan: Plan, orbit: Orbit, buffer: int, written: Mapping[str, tuple[int, ...]]) -> MarkedOrbit:
    symbols = plan.lettering.of(orbit)
    memo = written[orbit.name]
    letters = tuple(symbols[sticker] for sticker in memo)
    judged = _judge(plan.cube, orbit, buffer, memo, most_cost=_FEW_SLIPS)
    if judged.cost == 0 and not judged.gave_up:
        return MarkedOrbit(orbit, letters, (), letters)
    if judged.gave_up and memo:
        otherwise = _other_hold(plan, orbit, buffer, memo) or _other_orbit(plan, orbit, letters)
        if otherwise is not None:
            return MarkedOrbit(orbit, letters, (otherwise,), _own_letters(plan, orbit))
        judged = _judge(plan.cube, orbit, buffer, memo)
    if judged.gave_up:
        expected = _own_letters(plan, orbit)
        say = f"so much differs that no single slip can be named; start again, for example with {' '.join(expected)}"
        unlike = Fault(0, letters[0] if letters else "", "unlike", expected[:1], say)
        return MarkedOrbit(orbit, letters, (unlike,), expected)
    tell = _Teller(plan, orbit, memo)
    faults = tuple(tell.fault(step) for step in judged.steps if step.kind != "right")
    return MarkedOrbit(orbit, letters, faults, _corrected(plan, orbit, buffer, memo))


def _own_letters(plan: Plan, orbit: Orbit) -> tuple[str, ...]:
    """The letters of the plan's own reading of an orbit."""
    return next(reading.letters for reading in plan.orbits if reading.orbit == orbit)


def _corrected(plan: Plan, orbit: Orbit, buffer: int, memo: tuple[int, ...]) -> tuple[str, ...]:
    """The nearest right memo: the steps of the cheapest explanation that stays on one."""
    judged = _judge(plan.cube, orbit, buffer, memo, strict=True)
    if judged.gave_up:
        return _own_letters(plan, orbit)
    symbols = plan.lettering.of(orbit)
    return tuple(symbols[sticker] for step in judged.steps for sticker in step.right)


def _other_hold(plan: Plan, orbit: Orbit, buffer: int, memo: tuple[int, ...]) -> Fault | None:
    """The memo as a right memo of the same cube held another way."""
    best: tuple[int, str] | None = None
    for rotation in rotation_permutations(plan.cube.size):
        if not rotation:
            continue
        turned = as_held(plan.cube.apply(rotation))
        other = _judge(turned, orbit, buffer, memo, most_cost=_ONE_SLIP)
        if not other.gave_up and (best is None or other.cost < best[0]):
            best = other.cost, rotation
    if best is None:
        return None
    area = plan.cube.size**2
    seen = plan.cube.apply(best[1]).stickers
    top, front = (colour_name(plan.scheme[seen[at] // area]) for at in _centres(plan.cube))
    held = f"{colour_name(plan.scheme[0])} up and {colour_name(plan.scheme[2])} in front"
    near = "these letters are right" if best[0] == 0 else "these letters are right but for one slip"
    say = f"{near} for the cube held with {top} up and {front} in front; it is to be held with {held}"
    expected = _own_letters(plan, orbit)
    return Fault(0, plan.lettering.symbol(orbit, memo[0]), "held-differently", expected[:1], say)


def _centres(cube: Cube) -> tuple[int, int]:
    centres = geometry(cube.size).fixed_centres
    return centres["U"], centres["F"]


def _other_orbit(plan: Plan, orbit: Orbit, letters: tuple[str, ...]) -> Fault | None:
    """The memo as a right memo of the other orbit."""
    for way in plan.method.ways:
        if way.orbit == orbit:
            continue
        try:
            memo = read_memo(" ".join(letters), way.orbit, plan.lettering)
        except MemoError:
            continue
        if _judge(plan.cube, way.orbit, way.buffer, memo, most_cost=_ONE_SLIP).gave_up:
            continue
        say = f"these are right letters of the {way.orbit.name}, written where the {orbit.name} belong"
        return Fault(0, letters[0], "other-orbit", _own_letters(plan, orbit)[:1], say)
    return None


class _Teller:
    """A teacher's sentence for each fault."""

    def __init__(self, plan: Plan, orbit: Orbit, memo: tuple[int, ...]) -> None:
        self.geo = geometry(plan.cube.size)
        self.plan = plan
        self.memo = memo
        self.orbit = orbit
        self.symbols = plan.lettering.of(orbit)
        self.word = {2: "flipped", 3: "twisted"}.get(orbit.turns_of_piece, "turned")

    def named(self, sticker: int) -> str:
        return f"{self.symbols[sticker]} ({self.geo.names[sticker]})"

    def fault(self, step: _Step) -> Fault:
        at = step.at
        sticker = self.memo[at] if at < len(self.memo) else None
        present = step.kind not in ("left-out", "not-closed", "missed-turned", "missed-cycle", "stopped-early")
        letter = self.symbols[sticker] if sticker is not None and present else ""
        kind = step.kind
        if kind == "missed-turned":
            kind = f"missed-{self.word}"
        expected = tuple(self.symbols[s] for s in step.expected)
        if kind in ("doubled", "extra-letter", "too-long"):
            expected = ()
        elif kind in ("exchanged", "pairs-exchanged"):
            expected = (self.symbols[step.right[0]],)
        return Fault(at, letter, kind, expected, self.sentence(step, sticker))

    def sentence(self, step: _Step, sticker: int | None) -> str:
        geo, named = self.geo, self.named
        place = f"letter {step.at + 1}"
        written = named(sticker) if sticker is not None else ""
        right = named(step.right[0]) if step.right else ""
        many = and_list([self.symbols[s] for s in step.right])
        match step.kind:
            case "other-sticker":
                return f"{place}, {written}, is the right piece but not its right sticker; it is {right}"
            case "neighbour":
                return f"{place}, {written}, lies beside the right sticker; it is {right}"
            case "wrong-letter":
                return f"{place}, {written}, is not where the tracing goes; it goes to {right}"
            case "left-out":
                return f"a letter is left out before {place}: {right}"
            case "not-closed":
                return (
                    f"the cycle is not closed before {place}: {right} is on the piece it was broken into at and "
                    "must be shot to as well"
                )
            case "doubled":
                return f"{place}, {written}, is written twice; once is right"
            case "extra-letter":
                return f"{place}, {written}, has no place here; leave it out"
            case "exchanged":
                return f"{place} and the next are exchanged; it is {' '.join(self.symbols[s] for s in step.right)}"
            case "pairs-exchanged":
                pair = " ".join(self.symbols[s] for s in step.right)
                return f"the pair at {place} and the next pair are exchanged; it is {pair}"
            case "broke-into-solved":
                return (
                    f"{place}, {written}, breaks into a piece that needs nothing any more; break into an unsolved one"
                )
            case "closed-early":
                return (
                    f"the cycle is ended too early at {place}: {many} {'is' if len(step.right) == 1 else 'are'} missing"
                )
            case "missed-turned":
                piece = geo.piece_name(step.right[0])
                return f"{piece} is in its place but {self.word}, and is missed: {many} turns it right"
            case "missed-cycle":
                pieces = and_list(tuple(dict.fromkeys(geo.piece_name(s) for s in step.right)))
                return f"the cycle of {pieces} is missed: {many}"
            case "stopped-early":
                return f"the memo stops too early: {many} {'is' if len(step.right) == 1 else 'are'} missing"
            case _:
                return f"from {place} on there is too much: everything is solved before it"


# --- the whole in words --------------------------------------------------------------------------------------


def _say(
    plan: Plan,
    orbits: tuple[MarkedOrbit, ...],
    written: Mapping[str, tuple[int, ...]],
    parity: bool | None,
    parity_ok: bool | None,
) -> str:
    parts = []
    for marked in orbits:
        if marked.ok:
            parts.append(f"The {marked.orbit.name} are right.")
        else:
            count = len(marked.faults)
            parts.append(f"The {marked.orbit.name} have {'one fault' if count == 1 else f'{count} faults'}.")
    if len(written) == 2:
        (one, a), (other, b) = written.items()
        if len(a) % 2 != len(b) % 2:
            parts.append(
                f"{len(a)} letters of {one} and {len(b)} of {other} cannot both be right: the counts of a cube "
                "are both even or both odd."
            )
    if parity_ok is False:
        truth = "odd, so there is parity" if plan.parity else "even, so there is no parity"
        parts.append(f"The parity answer “{'yes' if parity else 'no'}” is wrong: the letter counts are {truth}.")
    elif parity_ok:
        parts.append("The parity answer is right.")
    if all(marked.ok for marked in orbits) and len(orbits) == len(plan.method.ways):
        parts.append(_better_breaks(plan, written))
    return " ".join(filter(None, parts))


def _better_breaks(plan: Plan, written: Mapping[str, tuple[int, ...]]) -> str:
    """What other breaks would have saved; the number of letters is the same for every right memo."""
    turns = sum(plan.method.way(name).cost(sticker) for name, memo in written.items() for sticker in memo)
    hold = Hold(plan.scheme[0], plan.scheme[2])
    best = make_plan(plan.cube, plan.method, plan.lettering, hold, "shortest", plan.scheme)
    least = sum(plan.method.way(r.orbit.name).cost(t.sticker) for r in best.orbits for t in r.targets)
    if least == turns:
        return "No other choice of breaks would have saved a turn." if turns else ""
    better = "; ".join(f"{reading.orbit.name} {' '.join(reading.letters)}" for reading in best.orbits)
    return f"Other breaks would have saved {turns - least} turns: {better}."
