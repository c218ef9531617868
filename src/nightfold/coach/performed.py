"""The turns that were really made, typed while watching a recording, held against the plan step by step.

A step was done as planned if the turns between two moments do to the cube what the step does, whatever they are:
another setup, a wide turn for a slice, the cube turned as a whole meanwhile, undo and next setup run together.  The
alignment that has the fewest steps depart is found by dynamic programming over steps and moments; what departs is
named by the catalogue of slips.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import itemgetter
from typing import Any, cast

from nightfold.blind.plan import PARITY, Plan
from nightfold.coach.inquest import Desk, Explanation, Found, Mistake, Verdict, mistake_of
from nightfold.coach.meant import cycle_entries, with_cycles
from nightfold.coach.mistakes import Letter, Scaling, Slip, Stretch, scaling, turned_with
from nightfold.cube.geometry import (
    Permutation,
    compose,
    geometry,
    identity,
    inverse,
    permutation_of,
    rotation_permutations,
    turn_permutation,
)
from nightfold.cube.notation import Turn, invert, parse_turns, write
from nightfold.cube.sequences import normal_form, rotate_turn
from nightfold.cube.state import Cube

#: What makes one alignment worse than another, the weightier first: a step that departs, a turn too many or too few in
#: a step, two steps that run together, and departing one step earlier.
_DEPARTS, _TURN, _MERGED, _EARLIER = 10_000_000, 10_000, 100, 1
#: Up to so many slips are preferred to fewer where they are just what was turned.
_MOST_EXACT = 2
#: So many turns are told at most.
_MOST_SHOWN = 20
#: So many turns at the end of a step may have run together with the next setup.
_MOST_MERGED = 3

AS_PLANNED, ANOTHER_WAY, DEPARTS = "as planned", "another way", "departs"
#: What no slip of the catalogue explains.
OTHER_TURNS = "other-turns"


@dataclass(frozen=True, slots=True)
class StepDone:
    """How one step of the plan was done: ``as planned``, ``another way`` (to the same effect), or it ``departs``.

    ``turned`` are the turns that were made in its place.
    """

    step: int
    orbit: str
    at: int | None
    letter: str
    how: str
    meant: tuple[Turn, ...]
    turned: tuple[Turn, ...]

    def to_dict(self) -> dict[str, Any]:
        """The step as plain data."""
        return {
            "step": self.step,
            "orbit": self.orbit,
            "at": self.at,
            "letter": self.letter,
            "how": self.how,
            "meant": write(self.meant),
            "turned": write(self.turned),
        }


@dataclass(frozen=True, slots=True)
class Alignment:
    """The turns that were made beside the plan.  ``departures`` tell what went wrong, in order."""

    steps: tuple[StepDone, ...]
    departures: tuple[Mistake, ...]
    say: str

    @property
    def first(self) -> StepDone | None:
        """The first step that departs."""
        return next((step for step in self.steps if step.how == DEPARTS), None)

    def to_dict(self) -> dict[str, Any]:
        """The alignment as plain data."""
        first = self.first
        return {
            "say": self.say,
            "first_departure": None if first is None else first.to_dict(),
            "steps": [step.to_dict() for step in self.steps],
        }


# --- moments -------------------------------------------------------------------------------------------------


@lru_cache(maxsize=8)
def _centres(size: int) -> Callable[[Permutation], Permutation]:
    """Picks the centres out of a state."""
    return cast(Callable[[Permutation], Permutation], itemgetter(*geometry(size).fixed_centres.values()))


@lru_cache(maxsize=64)
def _homeward(size: int, shown: Permutation) -> Permutation:
    """The rotation to put behind a state whose centres show these stickers to bring them home."""
    at = _centres(size)(identity(size))
    for rotation in rotation_permutations(size).values():
        if tuple(shown[at.index(rotation[centre])] for centre in at) == at:
            return rotation
    raise AssertionError("centres are always one of 24 ways round")


def _home(state: Permutation, size: int) -> Permutation:
    """The state turned as a whole until its centres are home."""
    return compose(state, _homeward(size, _centres(size)(state)))


@lru_cache(maxsize=4096)
def _effect(turns: tuple[Turn, ...], size: int) -> Permutation:
    return permutation_of(turns, size)


class _Moments:
    """What the turns had done to the cube at each moment.

    ``framed`` are the turns as they would be written had the cube never been turned as a whole, each with where it
    stands among those made; ``done`` is what they had done at each moment.
    """

    def __init__(self, turns: tuple[Turn, ...], size: int) -> None:
        self.turns, self.size = turns, size
        self.framed: list[Turn | None] = []
        back: list[Turn] = []  # takes back how the cube was turned so far
        for turn in turns:
            if turn.is_rotation:
                back.insert(0, turn.inverse)
            self.framed.append(None if turn.is_rotation else rotate_turn(turn, tuple(back)).plain)
        self.done = [identity(size)]
        for framed in self.framed:
            last = self.done[-1]
            self.done.append(last if framed is None else compose(last, turn_permutation(size, framed)))
        self._where: dict[tuple[Turn, ...], dict[Permutation, list[int]]] = {}

    def state(self, moment: int, missing: tuple[Turn, ...] = ()) -> Permutation:
        """What was done at a moment, and ``missing`` after it, with the centres brought home."""
        done = self.done[moment]
        return _home(compose(done, _effect(missing, self.size)) if missing else done, self.size)

    def when(self, state: Permutation, missing: tuple[Turn, ...] = ()) -> Sequence[int]:
        """The moments at which ``state`` gives just this."""
        if missing not in self._where:
            where: dict[Permutation, list[int]] = {}
            for moment in range(len(self.done)):
                where.setdefault(self.state(moment, missing), []).append(moment)
            self._where[missing] = where
        return self._where[missing].get(state, ())

    def made(self, start: int, end: int) -> tuple[Turn, ...]:
        """What was turned between two moments, as it would be written had the cube never been turned as a whole."""
        return tuple(turn for turn in self.framed[start:end] if turn is not None)


@dataclass(frozen=True, slots=True)
class _At:
    """A moment in the alignment: ``missing`` is the end of the step before, run together with the next step's start."""

    moment: int
    missing: tuple[Turn, ...] = ()


@dataclass(slots=True)
class _Path:
    cost: int
    before: tuple[_At, _Path] | None = None
    departs: bool = False


class _Aligner:
    def __init__(self, plan: Plan, moments: _Moments) -> None:
        self.plan, self.moments = plan, moments
        self.effects = [_effect(step.turns, plan.cube.size) for step in plan.steps]
        self.missing = [tuple(self._missing(number)) for number in range(len(plan.steps))]

    def _missing(self, number: int) -> Iterator[tuple[Turn, ...]]:
        """What may be missing at the end of a step because it ran together with the next one's setup."""
        yield ()
        turns = self.plan.steps[number].turns
        if number + 1 < len(self.plan.steps):
            for back in range(1, min(_MOST_MERGED, len(turns)) + 1):
                for amount in (1, 2, -1):
                    yield (turns[-back]._replace(amount=amount), *turns[len(turns) - back + 1 :])

    def matches(self, number: int, at: _At) -> Iterator[_At]:
        """Where a step can end that begins here and does what is planned."""
        wanted = compose(self.moments.state(at.moment, at.missing), self.effects[number])
        for missing in self.missing[number]:
            for moment in self.moments.when(wanted, missing):
                if moment >= at.moment:
                    yield _At(moment, missing)

    def reach(self) -> int:
        """How many steps from the first on were done as planned."""
        here = {_At(0)}
        for number in range(len(self.plan.steps)):
            here = {to for at in here for to in self.matches(number, at)}
            if not here:
                return number
        return len(self.plan.steps)

    def align(self) -> list[tuple[_At, bool]]:
        """For each step where it ends and whether it departs; one more where turns are left at the end.

        As few steps as can be depart; among such alignments the one whose steps are nearest to their planned length,
        and that lets the fewest run together, is taken.
        """
        last = len(self.moments.turns)
        paths: dict[_At, _Path] = {_At(0): _Path(0)}
        for number, step in enumerate(self.plan.steps):
            onward: dict[_At, _Path] = {}
            for at, path in paths.items():
                for to in self.matches(number, at):
                    cost = path.cost + (_MERGED if to.missing else 0)
                    cost += _TURN * abs(to.moment - at.moment - len(step.turns))
                    if to not in onward or cost < onward[to].cost:
                        onward[to] = _Path(cost, (at, path))
            self._depart(paths, onward, len(step.turns), _DEPARTS + _EARLIER * (len(self.plan.steps) - number))
            paths = onward
        end = self.moments.state(last)

        def whole(at: _At, path: _Path) -> int:
            done = self.moments.state(at.moment) == end
            return path.cost + (0 if done else _DEPARTS + _TURN * (last - at.moment))

        at, path = min(paths.items(), key=lambda item: whole(*item))
        ends = [] if self.moments.state(at.moment) == end else [(_At(last), True)]
        while path.before is not None:
            ends.append((at, path.departs))
            at, path = path.before
        return ends[::-1]

    def _depart(self, paths: Mapping[_At, _Path], onward: dict[_At, _Path], planned: int, price: int) -> None:
        """A step that departs may end at any later moment; what counts is how far it is from its planned length."""
        last = len(self.moments.turns)
        begins: list[tuple[int, _At] | None] = [None] * (last + 1)  # the cheapest beginning at each moment
        for at, path in paths.items():
            known = begins[at.moment]
            if known is None or path.cost < known[0]:
                begins[at.moment] = path.cost, at
        longer: tuple[int, _At] | None = None  # the cheapest beginning that makes the step as long as planned or longer
        for moment in range(last + 1):
            if longer is not None:
                longer = longer[0] + _TURN, longer[1]
            if moment >= planned:
                longer = _cheaper(longer, begins[moment - planned])
            best = longer
            for start in range(max(0, moment - planned + 1), moment + 1):
                if (begin := begins[start]) is not None:
                    best = _cheaper(best, (begin[0] + _TURN * (planned - (moment - start)), begin[1]))
            to = _At(moment)
            if best is not None and (to not in onward or best[0] + price < onward[to].cost):
                onward[to] = _Path(best[0] + price, (best[1], paths[best[1]]), True)


def _cheaper(one: tuple[int, _At] | None, other: tuple[int, _At] | None) -> tuple[int, _At] | None:
    if one is None or (other is not None and other[0] < one[0]):
        return other
    return one


# --- the memo that was followed ------------------------------------------------------------------------------


def followed_plan(plan: Plan, turns: tuple[Turn, ...], orbits: Iterable[str]) -> Plan:
    """The plan with the breaks, in the orbits whose memo is not known, that the turns follow farthest."""
    moments = _Moments(turns, plan.cube.size)
    best, reach = plan, _Aligner(plan, moments).reach()
    for name in orbits:
        reading = next(reading for reading in best.orbits if reading.orbit.name == name)
        entries = cycle_entries(best, reading)
        piece = geometry(plan.cube.size).piece_of
        left = [[target.sticker for target in cycle.targets] for cycle in reading.cycles if cycle.kind != "buffer"]
        chosen: list[Sequence[int]] = []
        while left:
            found: tuple[int, Plan, tuple[int, ...], int] | None = None
            for entry, run in entries.items():
                at = next((n for n, other in enumerate(left) if piece(entry) in map(piece, other)), None)
                if at is None:
                    continue
                rest = [*left[:at], *left[at + 1 :]]
                tried = with_cycles(best, name, [*chosen, run, *rest])
                far = _Aligner(tried, moments).reach()
                if found is None or far > found[0]:
                    found = far, tried, run, at
            assert found is not None
            far, tried, run, at = found
            if far > reach:
                best, reach = tried, far
                chosen.append(run)
            else:
                at = 0
                chosen.append(left[0])
            del left[at]
    return best


# --- the verdict ---------------------------------------------------------------------------------------------


def judge_turns(
    plan: Plan,
    turns: str | Sequence[Turn],
    *,
    other_breaks: Iterable[str] = (),
    mistakes: int = 3,
    priors: Mapping[str, float] | None = None,
    threads: int | None = None,
) -> Verdict:
    """Hold turns that were really made, from the scrambled cube as the plan holds it, against the plan.

    A rotation that brings the scramble to the plan's hold may stand before them.  ``other_breaks`` are orbits whose
    memo is not known: there the breaks are taken that the turns follow.  The verdict's plan is the one that was
    followed, and it has one explanation, whose mistakes are what departs.  Raises NotationError for turns that cannot
    be read, and InquestError for a method whose steps are not one letter each.
    """
    made = parse_turns(turns, plan.cube.size) if isinstance(turns, str) else tuple(turns)
    made = _from_hold(plan, tuple(turn.plain for turn in made))
    plan = followed_plan(plan, made, other_breaks)
    final = plan.cube.apply(made)
    moments = _Moments(made, plan.cube.size)
    ends = _Aligner(plan, moments).align()
    steps = tuple(_steps_done(plan, moments, ends))
    scaled, threads = scaling(priors), threads or os.cpu_count() or 1
    told = [_explained(plan, moments, ends, *run, mistakes, scaled, threads) for run in _runs(ends)]
    parts = [part for found in told for part in found.parts]
    departures = tuple(mistake_of(slip) for found in told for slip in found.slips)
    meant = [turn for step in plan.steps for turn in step.turns]
    if not plan.cube.apply(turned_with(meant, parts)).same_up_to_rotation(final):
        raise AssertionError("what departs does not lead to the cube that came out")
    alignment = Alignment(steps, departures, _say(plan, steps, departures, final.is_solved))
    explanation = Explanation(1.0, departures, (), made)
    verdict = Verdict(plan, (explanation,), (0, 0, 0), None, final.is_solved, performed=alignment)
    return verdict


def _from_hold(plan: Plan, turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """The turns without the rotation that brings the scramble to the hold, if they begin with it."""
    at = 0
    while at < len(turns) and turns[at].is_rotation:
        at += 1
    size = plan.cube.size
    if plan.hold and permutation_of(turns[:at], size) == permutation_of(parse_turns(plan.hold, size), size):
        return turns[at:]
    return turns


def _steps_done(plan: Plan, moments: _Moments, ends: Sequence[tuple[_At, bool]]) -> Iterator[StepDone]:
    begun = _At(0)
    counted: dict[str, int] = {}
    for number, step in enumerate(plan.steps):
        at, departs = ends[number]
        made = (*invert(begun.missing), *moments.made(begun.moment, at.moment), *at.missing)
        how = DEPARTS if departs else AS_PLANNED if normal_form(made) == normal_form(step.turns) else ANOTHER_WAY
        index = counted.get(step.orbit, 0)
        counted[step.orbit] = index + 1
        turned = moments.turns[begun.moment : at.moment]
        begun = at
        yield StepDone(
            number, step.orbit, None if step.orbit == PARITY else index, step.letter, how, step.turns, turned
        )


def _runs(ends: Sequence[tuple[_At, bool]]) -> Iterator[tuple[int, int]]:
    """Stretches of steps that depart, as first and last (exclusive)."""
    first: int | None = None
    for number, (_, departs) in enumerate([*ends, (_At(0), False)]):
        if departs and first is None:
            first = number
        if not departs and first is not None:
            yield first, number
            first = None


def _explained(
    plan: Plan,
    moments: _Moments,
    ends: Sequence[tuple[_At, bool]],
    first: int,
    last: int,
    mistakes: int,
    scaled: Scaling,
    threads: int,
) -> Found:
    """Slips of the catalogue, within these steps, that do what was turned there; else the turns themselves.

    Of slips that do the same, those are taken that are turned just so, even if they are more.
    """
    size = plan.cube.size
    begun = ends[first - 1][0] if first else _At(0)
    ended = ends[last - 1][0]
    before, behind = moments.state(begun.moment, begun.missing), moments.state(ended.moment, ended.missing)
    did = compose(inverse(before), behind)
    meant = [turn for step in plan.steps for turn in step.turns]
    start = sum(len(step.turns) for step in plan.steps[:first])
    end = sum(len(step.turns) for step in plan.steps[:last])
    made = (*invert(begun.missing), *moments.made(begun.moment, ended.moment), *ended.missing)
    form = normal_form(made)
    # The cube that would have come out had nothing else gone wrong.
    state = compose(compose(permutation_of(tuple(meant[:start]), size), did), permutation_of(tuple(meant[end:]), size))
    final = plan.cube.then(Cube(size, state))
    desk = Desk(plan, scaled)
    likeliest: Found | None = None
    for most in range(1, mistakes + 1):
        if most > _MOST_EXACT and likeliest is not None:
            break
        for found in desk.search(final, most, threads, nearest=False)[0]:
            if not found.slips or not all(start <= part.start and part.end <= end for part in found.parts):
                continue
            if normal_form(_within(desk, found, start, end)) == form:
                return found
            likeliest = likeliest or found
    return likeliest or _other_turns(
        plan, desk, did, made, moments.turns[begun.moment : ended.moment], first, start, end
    )


def _within(desk: Desk, found: Found, start: int, end: int) -> tuple[Turn, ...]:
    """What is turned in a stretch of the plan with these slips."""
    turned = desk.turns(found)
    return turned[start : len(turned) - (len(desk.slips.meant) - end)]


def _other_turns(
    plan: Plan,
    desk: Desk,
    did: Permutation,
    made: tuple[Turn, ...],
    turned: tuple[Turn, ...],
    first: int,
    start: int,
    end: int,
) -> Found:
    """What was turned in a stretch, as a slip of its own kind; a rotation brings the centres home behind it."""
    size = plan.cube.size
    back = compose(inverse(permutation_of(made, size)), did)
    for text, permutation in rotation_permutations(size).items():
        if permutation == back:
            made += parse_turns(text, size)
    if permutation_of(made, size) != did:
        # Centres were off before, so the turns do something else here: other turns to the same effect stand for them.
        from nightfold.search.solver import solve

        made = invert(solve(Cube(size, did)))
    steps, slips = plan.steps, desk.slips
    number = min(first, len(steps) - 1)
    letter: tuple[Letter, ...] = (slips.letters[number],) if steps else ()
    place = slips.place_words(number) if steps else "with nothing to do"
    fields = {"place": place, "made": _shortened(turned), "meant": _shortened(slips.meant[start:end])}
    slip = Slip(OTHER_TURNS, (Stretch(start, end, made),), 0.0, letter, steps[number].letter if steps else "", fields)
    return Found(0.0, (slip,), slip.parts)


def _shortened(turns: Sequence[Turn]) -> str:
    """Turns as text, not too many of them."""
    if not turns:
        return "nothing"
    if len(turns) <= _MOST_SHOWN:
        return write(tuple(turns))
    return f"{write(tuple(turns[:_MOST_SHOWN]))} … ({len(turns)} turns)"


def _say(plan: Plan, steps: Sequence[StepDone], departures: Sequence[Mistake], solved: bool) -> str:
    others = sum(step.how == ANOTHER_WAY for step in steps)
    in_other_ways = f", {others} of them in another way to the same effect" if others else ""
    if not departures:
        return f"All {len(steps)} steps were done{in_other_ways}." if steps else "There was nothing to do."
    first = next((step for step in steps if step.how == DEPARTS), None)
    end = " The cube is solved all the same." if solved else ""
    if first is None:
        return f"All {len(steps)} steps were done{in_other_ways}; then {departures[0].say}.{end}"
    before = f"The first {first.step} steps were done as planned" if first.step > 1 else ""
    before = before or ("The first step was done as planned" if first.step else "")
    lead = f"{before}; the next departs" if before else "The very first step departs"
    return f"{lead}: {departures[0].say}.{end}"
