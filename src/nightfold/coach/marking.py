"""Marking a learner's memo against every right memo the cube has.

A memo is right when its letters, shot to one after the other, solve the orbit.  A cube has many right memos: every
break may be made into any sticker of any unsolved piece.  For a memo that is not, the native search
(native/marking.hpp) finds the cheapest way to explain what was written as tracing with slips, over all right memos at
once; here its steps become faults with words, and the whole is weighed against two other explanations: letters of the
right cube held another way, and the other orbit's letters.
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

#: The kinds of slip in the order of the native search, with what each weighs: 100 is one plain slip.  A reading that
#: needs fewer slips always wins; among equals the more telling kind does.
WEIGHTS: dict[str, int] = {
    "right": 0,
    "other-sticker": 100,
    "neighbour": 104,
    "wrong-letter": 120,
    "left-out": 110,
    "not-closed": 100,
    "doubled": 90,
    "extra-letter": 103,
    "exchanged": 101,
    "pairs-exchanged": 101,
    "broke-into-solved": 102,
    "closed-early": 105,
    "missed-turned": 100,
    "missed-cycle": 105,
    "stopped-early": 115,
    "too-long": 100,
}
_KINDS = tuple(WEIGHTS)
#: What one slip costs at most, and two: only a memo further off is tried as another hold's or orbit's with a slip.
_ONE_SLIP, _TWO_SLIPS = 130, 250
#: How many moments of tracing the search may look at before it says that too much is wrong to tell.
_MOST_MOMENTS = 60_000
#: The nearest right memo may take more: it is found among right memos alone, of which there are not so many.
_MOST_RIGHT_MOMENTS = 400_000
#: Kinds whose fault is that something is missing, so that no written letter is to blame.
_MISSING = frozenset(("left-out", "not-closed", "missed-turned", "missed-cycle", "stopped-early"))


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
    """How one orbit's memo was judged.

    ``corrected`` is the right memo that the faults lead to, or else the nearest one; the memo itself when it is right.
    ``remark`` is what may be said of a right memo that no tracing gives, and empty otherwise.
    """

    orbit: Orbit
    letters: tuple[str, ...]
    faults: tuple[Fault, ...]
    corrected: tuple[str, ...]
    remark: str = ""

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
    """A step of an explanation: a right letter or a slip.

    It is about ``letters`` letters from ``at`` on.  ``right`` is what belongs in their place.  ``strays`` tells that
    the reader went on from where this slip led, ``astray`` that one before did, so that ``right`` and ``expected`` are
    told from there.
    """

    kind: str
    at: int
    letters: int
    expected: tuple[int, ...]
    right: tuple[int, ...]
    astray: bool
    strays: bool


@dataclass(frozen=True, slots=True)
class _Explained:
    """The steps of the cheapest explanation, and with how many letters a right memo can begin as this one does."""

    steps: tuple[_Step, ...]
    cost: int
    right_letters: int
    gave_up: bool

    @property
    def slips(self) -> tuple[_Step, ...]:
        return tuple(step for step in self.steps if step.kind != "right")

    @property
    def plausible(self) -> bool:
        """Whether it may be told; with few right letters between them, naming many slips is reading tea leaves."""
        good = sum(step.letters for step in self.steps if step.kind in ("right", "exchanged", "pairs-exchanged"))
        return not self.gave_up and len(self.slips) <= max(1, good // 2 + 1)


class _Written:
    """A memo of one orbit on a cube whose stickers are numbered by its hold, ready for the native search."""

    def __init__(self, cube: Cube, orbit: Orbit, buffer: int, memo: tuple[int, ...]) -> None:
        self.memo = memo
        self.cube = cube
        self.orbit = orbit
        self.numbers = _numbers(cube.size, orbit.name)
        self.own = geometry(cube.size).piece_of(buffer)
        self.buffer = buffer
        number = self.numbers.number
        self._seen = [number[cube.stickers[place]] for place in self.numbers.stickers]
        self._memo = [number[sticker] for sticker in memo]

    def solves(self) -> bool:
        """Whether shooting to the letters one after the other brings every piece of the orbit home."""
        if not self.own_piece_spared():
            return False
        piece_of = geometry(self.cube.size).piece_of
        seen = {place: self.cube.stickers[place] for place in self.orbit.stickers}
        at, kinds = self.own.index(self.buffer), len(self.own)
        for target in self.memo:
            there = piece_of(target)
            to = there.index(target)
            for step in range(kinds):
                a, b = self.own[(at + step) % kinds], there[(to + step) % kinds]
                seen[a], seen[b] = seen[b], seen[a]
        return all(place == sticker for place, sticker in seen.items())

    def own_piece_spared(self) -> bool:
        """Whether no letter stands for the buffer's own piece, to which nothing can be shot."""
        return not set(self.own) & set(self.memo)

    def explain(self, most_cost: int = 10_000) -> _Explained:
        """The cheapest explanation, given up where it costs more than ``most_cost``."""
        numbers = self.numbers
        steps, cost, right_letters, gave_up = core.explain_memo(
            self._seen,
            numbers.piece,
            numbers.beside,
            numbers.number[self.buffer],
            self._memo,
            list(WEIGHTS.values()),
            most_cost,
            _MOST_MOMENTS,
        )
        ends = [at for _, at, *_ in steps[1:]] + [len(self.memo)]
        told = tuple(
            _Step(_KINDS[slip], at, end - at, self._stickers(mask), self._named(right), astray, strays)
            for (slip, at, mask, right, astray, strays), end in zip(steps, ends, strict=False)
        )
        return _Explained(told, cost, right_letters, gave_up)

    def nearest(self, keep: int, most_changes: int) -> tuple[int, ...] | None:
        """The right memo of fewest changes that begins with the first ``keep`` letters, which must be right."""
        numbers = self.numbers
        found = core.nearest_memo(
            self._seen,
            numbers.piece,
            numbers.number[self.buffer],
            self._memo,
            keep,
            most_changes,
            _MOST_RIGHT_MOMENTS,
        )
        return None if found is None else self._named(found)

    def _named(self, numbers: Sequence[int]) -> tuple[int, ...]:
        return tuple(self.numbers.stickers[number] for number in numbers)

    def _stickers(self, mask: int) -> tuple[int, ...]:
        return tuple(sticker for at, sticker in enumerate(self.numbers.stickers) if mask >> at & 1)


def _changes(written: Sequence[int], right: Sequence[int]) -> tuple[int, dict[int, int]]:
    """How few letters must be put in, left out or replaced to make ``right`` of ``written``.

    Also which letter of ``right`` then stands for which of ``written``, by index.  The usual table of the distances of
    all beginnings (Wagner and Fischer, The String-to-String Correction Problem, 1974).
    """
    table = [list(range(len(right) + 1))]
    for row, letter in enumerate(written, 1):
        line = [row]
        for column, other in enumerate(right, 1):
            above = table[-1]
            line.append(min(above[column] + 1, line[-1] + 1, above[column - 1] + (letter != other)))
        table.append(line)
    pairs: dict[int, int] = {}
    row, column = len(written), len(right)
    while row and column:
        if table[row][column] == table[row - 1][column - 1] + (written[row - 1] != right[column - 1]):
            row, column = row - 1, column - 1
            pairs[row] = column
        elif table[row][column] == table[row - 1][column] + 1:
            row -= 1
        else:
            column -= 1
    return table[-1][-1], pairs


# --- marking -------------------------------------------------------------------------------------------------


def mark_memo(plan: Plan, memos: Mapping[str, str | Sequence[str]], parity: bool | None = None) -> Marking:
    """Judge a learner's memo of the cube that ``plan`` was made for.

    ``memos`` gives the text (or the letters) for one or more orbits by name; ``parity`` the learner's answer, if any.
    Raises MemoError for a symbol that is not in the lettering, MethodError for an orbit the method does not have.
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
        _mark_orbit(plan, _Written(plan.cube, way.orbit, way.buffer, written[way.orbit.name]))
        for way in plan.method.ways
        if way.orbit.name in written
    )
    parity_ok = None if parity is None else parity == plan.parity
    return Marking(plan, orbits, parity_ok, _say(plan, orbits, written, parity, parity_ok))


def _text(memo: str | Sequence[str]) -> str:
    return memo if isinstance(memo, str) else " ".join(memo)


def _mark_orbit(plan: Plan, written: _Written) -> MarkedOrbit:
    orbit, memo = written.orbit, written.memo
    symbols = plan.lettering.of(orbit)
    letters = tuple(symbols[sticker] for sticker in memo)
    own = next(tuple(target.sticker for target in r.targets) for r in plan.orbits if r.orbit == orbit)
    explained = written.explain(_TWO_SLIPS)
    if written.solves():
        usual = not explained.gave_up and explained.cost == 0
        remark = "" if usual else _remark(plan, orbit, memo, explained.right_letters, len(own))
        return MarkedOrbit(orbit, letters, (), letters, remark)
    otherwise = None
    if memo and (explained.gave_up or explained.cost > _ONE_SLIP):
        otherwise = _elsewhere(plan, written, own, 0)
    if otherwise is None and not explained.plausible:
        otherwise = _elsewhere(plan, written, own, _ONE_SLIP) if memo else None
        explained = written.explain() if explained.gave_up and not otherwise else explained
    if otherwise is not None:
        return MarkedOrbit(orbit, letters, (otherwise,), tuple(symbols[sticker] for sticker in own))
    if not explained.plausible:
        expected = tuple(symbols[sticker] for sticker in own)
        say = f"so much differs that no single slip can be named; start again, for example with {' '.join(expected)}"
        unlike = Fault(0, letters[0] if letters else "", "unlike", expected[:1], say)
        return MarkedOrbit(orbit, letters, (unlike,), expected)
    corrected = _corrected(written, explained, own)
    tell = _Teller(plan, written, corrected)
    faults = tuple(tell.fault(step) for step in explained.slips)
    return MarkedOrbit(orbit, letters, faults, tuple(symbols[sticker] for sticker in corrected))


def _remark(plan: Plan, orbit: Orbit, memo: tuple[int, ...], right_letters: int, needed: int) -> str:
    """What is unusual about a memo that solves its orbit though no tracing gives it."""
    sticker = memo[right_letters]
    named = f"{plan.lettering.symbol(orbit, sticker)} ({geometry(plan.cube.size).names[sticker]})"
    more = len(memo) - needed
    longer = f", and it takes {more} {'letter' if more == 1 else 'letters'} more than needed" if more else ""
    return f"at letter {right_letters + 1}, {named}, it leaves the usual path, but all pieces come home{longer}"


def _corrected(written: _Written, explained: _Explained, own: tuple[int, ...]) -> tuple[int, ...]:
    """The right memo to show: never one that takes more changes than the plan's own letters.

    Best is the one that the explanation spells.  Where a slip was followed up it spells none; then the nearest that
    begins as the memo does up to its first fault, then the nearest of all.
    """
    memo = written.memo
    most, _ = _changes(memo, own)
    if not any(step.astray or step.strays for step in explained.steps):
        spelt = tuple(sticker for step in explained.steps for sticker in step.right)
        if _changes(memo, spelt)[0] <= most:
            return spelt
    first = explained.slips[0].at
    return written.nearest(first, most) or written.nearest(0, most) or own


def _elsewhere(plan: Plan, written: _Written, own: tuple[int, ...], most_cost: int) -> Fault | None:
    """The memo as one of the same cube held another way, or of the other orbit, but for slips of ``most_cost``."""
    return _other_hold(plan, written, own, most_cost) or _other_orbit(plan, written, own, most_cost)


def _whole(plan: Plan, written: _Written, own: tuple[int, ...], kind: str, say: str) -> Fault:
    """A fault of the whole memo; ``expected`` is the plan's own first letter (none where nothing is to be done)."""
    symbols = plan.lettering.of(written.orbit)
    return Fault(0, symbols[written.memo[0]], kind, tuple(symbols[sticker] for sticker in own[:1]), say)


def _other_hold(plan: Plan, written: _Written, own: tuple[int, ...], most_cost: int) -> Fault | None:
    """The memo as a right memo of the same cube held another way."""
    best: tuple[int, str] | None = None
    for rotation in rotation_permutations(plan.cube.size):
        if not rotation:
            continue
        turned = as_held(plan.cube.apply(rotation))
        other = _Written(turned, written.orbit, written.buffer, written.memo).explain(most_cost)
        if not other.gave_up and (best is None or other.cost < best[0]):
            best = other.cost, rotation
    if best is None:
        return None
    area = plan.cube.size**2
    seen = plan.cube.apply(best[1]).stickers
    centres = geometry(plan.cube.size).fixed_centres
    top, front = (colour_name(plan.scheme[seen[centres[face]] // area]) for face in "UF")
    held = f"{colour_name(plan.scheme[0])} up and {colour_name(plan.scheme[2])} in front"
    near = "these letters are right" if best[0] == 0 else "these letters are right but for one slip"
    say = f"{near} for the cube held with {top} up and {front} in front; it is to be held with {held}"
    return _whole(plan, written, own, "held-differently", say)


def _other_orbit(plan: Plan, written: _Written, own: tuple[int, ...], most_cost: int) -> Fault | None:
    """The memo as a right memo of the other orbit."""
    symbols = plan.lettering.of(written.orbit)
    for way in plan.method.ways:
        if way.orbit == written.orbit:
            continue
        try:
            memo = read_memo(" ".join(symbols[sticker] for sticker in written.memo), way.orbit, plan.lettering)
        except MemoError:
            continue
        other = _Written(plan.cube, way.orbit, way.buffer, memo).explain(most_cost)
        if other.gave_up:
            continue
        near = "these are right letters" if other.cost == 0 else "these are letters, right but for one slip,"
        say = f"{near} of the {way.orbit.name}, written where the {written.orbit.name} belong"
        return _whole(plan, written, own, "other-orbit", say)
    return None


# --- a teacher's sentence for each fault ---------------------------------------------------------------------


class _Teller:
    """Turns steps into faults with sentences."""

    def __init__(self, plan: Plan, written: _Written, corrected: tuple[int, ...]) -> None:
        self.geo = geometry(plan.cube.size)
        self.written = written
        self.memo = written.memo
        self.corrected = corrected
        self.symbols = plan.lettering.of(written.orbit)
        self.turned = {2: "flipped", 3: "twisted"}.get(written.orbit.turns_of_piece, "turned")

    def fault(self, step: _Step) -> Fault:
        blamed = step.at < len(self.memo) and step.kind not in _MISSING and step.letters > 0
        sticker = self.memo[step.at] if blamed else None
        kind = f"missed-{self.turned}" if step.kind == "missed-turned" else step.kind
        letter = "" if sticker is None else self.symbols[sticker]
        expected = self.instead(step.at) if step.astray else step.expected
        say = self.sentence(step, sticker)
        if step.strays and kind != "closed-early":
            say += "; what follows was read on from there"
        elif step.astray:
            say += " (as read on from the slip before)"
        return Fault(step.at, letter, kind, tuple(sorted(self.symbols[s] for s in expected)), say)

    def instead(self, at: int) -> tuple[int, ...]:
        """What the corrected memo has in place of a letter written after a slip that was followed up."""
        pairs = _changes(self.memo, self.corrected)[1]
        return (self.corrected[pairs[at]],) if at in pairs else ()

    def named(self, sticker: int) -> str:
        return f"{self.symbols[sticker]} ({self.geo.names[sticker]})"

    def spelt(self, stickers: Sequence[int]) -> str:
        return " ".join(self.symbols[sticker] for sticker in stickers)

    def sentence(self, step: _Step, sticker: int | None) -> str:
        place = f"letter {step.at + 1}"
        shown = f"{place}, {self.named(sticker)}," if sticker is not None else place
        right = self.named(step.right[0]) if step.right else ""
        letters = self.spelt(step.right)
        are = "is" if len(step.right) == 1 else "are"
        pieces = and_list(tuple(dict.fromkeys(self.geo.piece_name(s) for s in step.right)))
        blamed, own = sticker is not None, sticker in self.written.own
        match step.kind:
            case "other-sticker":
                return f"{shown} is the right piece but not its right sticker; it is {right}"
            case "neighbour":
                return f"{shown} lies beside the right sticker; it is {right}"
            case "wrong-letter":
                return f"{shown} is not where the tracing goes; it goes to {right}"
            case "left-out":
                return f"a letter is left out before {place}: {right}"
            case "not-closed":
                where = f"before {place}" if step.at < len(self.memo) else "at the end"
                return (
                    f"the cycle is not closed {where}: {right} is on the piece broken into and must be shot to as well"
                )
            case "doubled":
                return f"{shown} is written twice; once is right"
            case "extra-letter" if own:
                return f"{shown} is on the buffer's own piece, which is never shot to; leave it out"
            case "extra-letter":
                return f"{shown} has no place here; leave it out"
            case "exchanged":
                return f"{place} and the next are exchanged; it is {letters}"
            case "pairs-exchanged":
                return f"the pair at {place} and the next pair are exchanged; it is {letters}"
            case "broke-into-solved":
                return f"{shown} breaks into {self.not_broken(sticker)}; break into an unsolved piece"
            case "closed-early":
                how = f"{shown} ends the cycle too early" if blamed else f"the cycle is left too early before {place}"
                return f"{how}{', to take up its rest later' if step.strays else ''}; it goes on {letters}"
            case "missed-turned":
                return f"{pieces} is in its place but {self.turned}, and is missed: {letters} turn it right"
            case "missed-cycle":
                return f"the cycle of {pieces} is missed: {letters}"
            case "stopped-early" if self.memo:
                return f"the memo stops too early: {letters} {are} missing"
            case "stopped-early":
                return f"nothing is written: {letters} {are} missing"
            case _ if step.letters == 1:
                return f"{shown} is too much: everything is solved before it"
            case _:
                return f"from {place} on there is too much: everything is solved before it"

    def not_broken(self, sticker: int | None) -> str:
        """Why a piece is not to be broken into."""
        if sticker is None:
            return "nothing"
        if sticker in self.written.own:
            return "the buffer's own piece, which is never shot to"
        solved = self.written.cube.stickers[sticker] == sticker
        return f"{self.geo.piece_name(sticker)}, which is solved" + ("" if solved else " by the letters before")


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
            parts.append(f"The {marked.orbit.name} are right{'; ' if marked.remark else ''}{marked.remark}.")
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
    """How many turns the best choice of breaks would have saved."""
    turns = sum(plan.method.way(name).cost(sticker) for name, memo in written.items() for sticker in memo)
    hold = Hold(plan.scheme[0], plan.scheme[2])
    best = make_plan(plan.cube, plan.method, plan.lettering, hold, "shortest", plan.scheme)
    least = sum(plan.method.way(r.orbit.name).cost(t.sticker) for r in best.orbits for t in r.targets)
    if least == turns:
        return "No other choice of breaks would have saved a turn." if turns else ""
    better = "; ".join(f"{reading.orbit.name} {' '.join(reading.letters)}" for reading in best.orbits)
    return f"Other breaks would have saved {turns - least} turns: {better}."
