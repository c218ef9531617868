"""What a solver meant to do: the plan of the memo they give, right or wrong, or of any right memo they may have had."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from nightfold.blind.plan import PARITY, Plan, Step, parity_sentence
from nightfold.blind.reading import BreakPoint, Cycle, OrbitReading, Target, trace_orbit
from nightfold.coach.memo import read_memo
from nightfold.cube.geometry import geometry
from nightfold.cube.sequences import cancel

#: Without a memo, so many other right memos are looked at.
MOST_MEMOS = 400


def meant_plan(plan: Plan, memos: Mapping[str, str | Sequence[str]]) -> Plan:
    """The plan a solver meant to execute: that of the memos they give, by orbit, else the tool's own reading.

    A memo is followed letter by letter.  Where tracing can give it, its breaks are the reading's; where it cannot, the
    letters are taken as they stand, and parity is decided by the count of the first orbit.  If the memos are wrong,
    ``solved`` of the plan is false.  Raises MethodError for an orbit the method does not have and MemoError for a
    symbol that is no letter.
    """
    for name in memos:
        plan.method.way(name)
    if not memos:
        return plan
    readings: list[OrbitReading] = []
    for reading in plan.orbits:
        name = reading.orbit.name
        if name not in memos:
            readings.append(reading)
            continue
        memo = memos[name]
        text = memo if isinstance(memo, str) else " ".join(memo)
        letters = read_memo(text, reading.orbit, plan.lettering)
        readings.append(_followed(plan, reading, letters) or _as_written(plan, reading, letters))
    return plan_of(plan, readings)


def _followed(plan: Plan, reading: OrbitReading, letters: tuple[int, ...]) -> OrbitReading | None:
    """The reading that gives just these letters, or None where tracing cannot give them."""
    first = reading.cycles[:1]
    at = len(first[0].targets) if first and first[0].kind == "buffer" else 0

    def choose(point: BreakPoint) -> int:
        nonlocal at
        wanted = letters[at] if at < len(letters) else -1
        chosen = wanted if wanted in point.options else next(iter(point.options))
        at += len(point.options[chosen])
        return chosen

    traced = trace_orbit(plan.cube, reading.orbit, reading.buffer, plan.lettering, choose, plan.scheme)
    return traced if tuple(target.sticker for target in traced.targets) == letters else None


def _as_written(plan: Plan, reading: OrbitReading, letters: Sequence[int]) -> OrbitReading:
    """A reading of letters that tracing does not give: one row of them, with no cycles known."""
    cycle = Cycle("buffer", _targets(plan, reading, letters), (), "")
    return replace(reading, cycles=(cycle,) if letters else (), in_place=(), buffer_turned=False)


def _targets(plan: Plan, reading: OrbitReading, letters: Sequence[int]) -> tuple[Target, ...]:
    symbols = plan.lettering.of(reading.orbit)
    return tuple(Target(sticker, symbols[sticker], "next", "") for sticker in letters)


def plan_of(plan: Plan, readings: Iterable[OrbitReading]) -> Plan:
    """The plan of the same cube with other readings, right or wrong; ``solved`` tells which."""
    readings = tuple(readings)
    method = plan.method
    names = geometry(method.size).names
    steps: list[Step] = []
    for number, (way, reading) in enumerate(zip(method.ways, readings, strict=True)):
        if number and readings[0].odd and method.parity.turns:
            steps.append(Step(PARITY, "", "", (), method.parity.turns, (), parity_sentence(method, readings)))
        own = geometry(method.size).piece_of(way.buffer)
        for target in reading.targets:
            if target.sticker in own:
                why = f"{names[target.sticker]} is on the buffer piece, which cannot be shot to: nothing is turned"
                steps.append(Step(way.orbit.name, target.symbol, names[target.sticker], (), (), (), why))
                continue
            for done in way.execute((target.sticker,)):
                sticker = names[target.sticker]
                steps.append(Step(way.orbit.name, target.symbol, sticker, done.setup, done.core, done.undo, done.why))
    solution = tuple(turn for step in steps for turn in step.turns)
    return replace(
        plan,
        orbits=readings,
        parity=readings[0].odd,
        steps=tuple(steps),
        solution=solution,
        cancelled=cancel(solution),
        solved=plan.cube.apply(solution).is_solved,
    )


# --- other right memos ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OtherMemo:
    """A right memo that differs from the tool's own in the breaks of one orbit.

    It stands for all memos with one cycle entered so and the same cycles behind it; for slips in that cycle, the
    letters ``start`` to ``end`` (exclusive) of the orbit's memo, the rest makes no difference.  ``chance`` is how
    likely a solver who breaks anywhere has one of them.
    """

    plan: Plan
    orbit: str
    start: int
    end: int
    chance: float


def other_memos(plan: Plan, orbits: Iterable[str], most: int = MOST_MEMOS) -> tuple[OtherMemo, ...]:
    """Right memos of ``orbits`` with other breaks than the plan's, the likelier first, at most ``most`` of them.

    A cycle does the same whatever sticker it is entered at, so what a slip in it comes to depends on its own entry
    and on which cycles come behind it.  Every entry of every cycle is tried with every set of the others behind it.
    """
    found = [other for name in orbits for other in _of_orbit(plan, name)]
    found.sort(key=lambda other: -other[-1])
    return tuple(_other(plan, *other) for other in found[:most])


#: The orbit's name, its cycles in order as letters, which of them is meant, and the chance.
_Variant = tuple[str, list[tuple[int, ...]], int, float]


def _of_orbit(plan: Plan, name: str) -> Iterator[_Variant]:
    reading = next(reading for reading in plan.orbits if reading.orbit.name == name)
    own = [tuple(target.sticker for target in cycle.targets) for cycle in reading.cycles if cycle.kind != "buffer"]
    entries = cycle_entries(plan, reading)
    for number, run in enumerate(own):
        mine = [entry for entry in entries.values() if set(_pieces(plan, entry)) == set(_pieces(plan, run))]
        others = [other for at, other in enumerate(own) if at != number]
        for size in range(len(others) + 1):
            chance = 1 / (len(mine) * len(own) * math.comb(len(others), size))
            for behind in combinations(range(len(others)), size):
                before = [other for at, other in enumerate(others) if at not in behind]
                after = [others[at] for at in behind]
                for entry in mine:
                    if [*before, entry, *after] != own:
                        yield name, [*before, entry, *after], len(before), chance


def cycle_entries(plan: Plan, reading: OrbitReading) -> dict[int, tuple[int, ...]]:
    """Every sticker the first break of an orbit may go to, with the letters that its cycle gives."""
    seen: list[dict[int, tuple[int, ...]]] = []

    def look(point: BreakPoint) -> int:
        seen.append(dict(point.options))
        return next(iter(point.options))

    trace_orbit(plan.cube, reading.orbit, reading.buffer, plan.lettering, look, plan.scheme)
    return seen[0] if seen else {}


def _pieces(plan: Plan, run: Iterable[int]) -> tuple[tuple[int, ...], ...]:
    geo = geometry(plan.method.size)
    return tuple(geo.piece_of(sticker) for sticker in run)


def with_cycles(plan: Plan, name: str, runs: Iterable[Sequence[int]]) -> Plan:
    """The plan with the cycles behind the buffer's own, in one orbit, entered and ordered as ``runs`` gives them."""
    readings = []
    for reading in plan.orbits:
        if reading.orbit.name != name:
            readings.append(reading)
            continue
        cycles = [cycle for cycle in reading.cycles if cycle.kind == "buffer"]
        for run in runs:
            alone = len(set(_pieces(plan, run))) == 1
            cycles.append(Cycle("in place" if alone else "break", _targets(plan, reading, run), (), ""))
        readings.append(replace(reading, cycles=tuple(cycles)))
    return plan_of(plan, readings)


def _other(plan: Plan, name: str, runs: list[tuple[int, ...]], number: int, chance: float) -> OtherMemo:
    other = with_cycles(plan, name, runs)
    reading = next(reading for reading in other.orbits if reading.orbit.name == name)
    total = len(reading.targets)
    start = total - sum(map(len, runs)) + sum(map(len, runs[:number]))
    return OtherMemo(other, name, start, start + len(runs[number]), chance)
