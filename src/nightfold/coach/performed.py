"""The turns that were really made, typed while watching a recording, held against the plan step by step.

A step was done as planned if the turns between two moments do to the cube what the step does, whatever they are:
another setup, a wide turn for a slice, the cube turned as a whole meanwhile, undo and next setup run together.  The
alignment that has the fewest steps depart is found by dynamic programming over steps and moments; what departs is
named by the catalogue of slips.

Turns are compared as the plan would have them written.  A solver who turns the cube as a whole on purpose makes other
turns from then on, and nothing departs; one who forgets that it is turned makes the turns of the plan, so that the
moment of turning departs and what follows does not.  So a moment has a frame, the rotation between the two.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import itemgetter
from typing import Any, cast

from nightfold.blind.plan import Plan
from nightfold.coach.inquest import Desk, Explanation, Found, Mistake, Progress, Verdict, mistake_of
from nightfold.coach.meant import cycle_entries, with_cycles
from nightfold.coach.mistakes import Letter, Slip, Stretch, scaling, turned_with
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

#: What makes one alignment worse than another with as many steps that depart: a turn too many or too few in a step, two
#: steps that run together, and departing one step earlier.
_TURN, _MERGED, _EARLIER = 10_000, 100, 1
#: So many steps may depart one by one; where more do, all do from the first on.
_MOST_DEPARTING = 4
#: A step that departs takes at most so many turns more than planned, and at its end the cube is held in one of so many
#: likeliest ways.
_MOST_EXTRA, _MOST_FRAMES = 40, 2
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


class _Frames:
    """The 24 rotations of a cube as permutations and as turns, told apart by how they lay the centres."""

    def __init__(self, size: int) -> None:
        self.texts = tuple(parse_turns(text, size) for text in rotation_permutations(size))
        self.permutations = tuple(rotation_permutations(size).values())
        self.inverses = tuple(inverse(permutation) for permutation in self.permutations)
        self._centres = cast(Callable[[Permutation], Permutation], itemgetter(*geometry(size).fixed_centres.values()))
        self._number = {self._centres(permutation): n for n, permutation in enumerate(self.permutations)}

    def of(self, state: Permutation) -> int:
        """The rotation that lays the centres as they lie in a state."""
        return self._number[self._centres(state)]

    def home(self, state: Permutation) -> Permutation:
        """The state turned as a whole until its centres are home."""
        return compose(state, self.inverses[self.of(state)])

    def between(self, one: int, other: int) -> int:
        """The rotation that, after ``one``, gives ``other``."""
        return self.of(compose(self.inverses[one], self.permutations[other]))


@lru_cache(maxsize=8)
def _frames(size: int) -> _Frames:
    return _Frames(size)


@lru_cache(maxsize=4096)
def _effect(turns: tuple[Turn, ...], size: int) -> Permutation:
    return permutation_of(turns, size)


@lru_cache(maxsize=4096)
def _undo(turns: tuple[Turn, ...], size: int) -> Permutation:
    return inverse(_effect(turns, size))


@dataclass(frozen=True, slots=True)
class _At:
    """A moment in the alignment.

    ``frame`` is the rotation that the cube is turned by on purpose.  ``missing`` is the end of the step before, run
    together with the start of the next.
    """

    moment: int
    frame: int = 0
    missing: tuple[Turn, ...] = ()


class _Moments:
    """What the turns had done to the cube at each moment."""

    def __init__(self, turns: tuple[Turn, ...], size: int) -> None:
        self.turns, self.size, self.frames = turns, size, _frames(size)
        self.done = [identity(size)]
        for turn in turns:
            self.done.append(compose(self.done[-1], turn_permutation(size, turn)))
        self.held = [self.frames.of(done) for done in self.done]
        self._where: dict[Permutation, list[int]] = {}
        for moment, done in enumerate(self.done):
            self._where.setdefault(self.frames.home(done), []).append(moment)

    def state(self, at: _At) -> Permutation:
        """What was done, as the plan would have it written."""
        state = compose(self.done[at.moment], self.frames.inverses[at.frame])
        return compose(state, _effect(at.missing, self.size)) if at.missing else state

    def when(self, state: Permutation, missing: tuple[Turn, ...]) -> Iterator[_At]:
        """Every moment with this state, as one at which ``missing`` is still to come."""
        centres = self.frames.of(state)
        for moment in self._where.get(compose(state, self.frames.inverses[centres]), ()):
            yield _At(moment, self.frames.between(centres, self.held[moment]), missing)

    def made(self, begun: _At, ended: _At) -> tuple[Turn, ...]:
        """What was turned between two moments, as the plan would have it written."""
        frame = self.frames.texts[begun.frame]
        turns = [rotate_turn(turn, invert(frame)).plain for turn in self.turns[begun.moment : ended.moment]]
        turned = self.frames.between(ended.frame, begun.frame)
        return (*invert(begun.missing), *turns, *self.frames.texts[turned], *ended.missing)


def _unrotated(turns: Sequence[Turn]) -> tuple[Turn, ...]:
    """Turns as they would be written without turning the cube as a whole, in one form for equal ones."""
    made: list[Turn] = []
    back: tuple[Turn, ...] = ()  # takes back how the cube was turned so far
    for turn in turns:
        if turn.is_rotation:
            back = (turn.inverse, *back)
        else:
            made.append(rotate_turn(turn, back).plain)
    return normal_form(tuple(made))


# --- the alignment -------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Path:
    cost: int
    before: tuple[_At, _Path] | None = None
    departs: bool = False


class _Aligner:
    def __init__(self, plan: Plan, moments: _Moments) -> None:
        self.plan, self.moments = plan, moments
        size = plan.cube.size
        #: For each step what may be missing at its end, and the step's effect short of that.
        self.ways = [
            [(missing, compose(_effect(step.turns, size), _undo(missing, size))) for missing in self._missing(number)]
            for number, step in enumerate(plan.steps)
        ]

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
        state = self.moments.state(at)
        for missing, effect in self.ways[number]:
            for to in self.moments.when(compose(state, effect), missing):
                if to.moment >= at.moment:
                    yield to

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

        As few steps as can be depart; among such alignments the one is taken whose steps are nearest to their planned
        length, that lets the fewest run together, and that departs latest.  Where more than a few depart, all do from
        the first on.
        """
        steps = len(self.plan.steps)
        layer: list[dict[_At, _Path]] = [{} for _ in range(steps + 1)]
        layer[0][_At(0)] = _Path(0)
        prefix: _Path | None = None
        reached = 0
        for departing in range(_MOST_DEPARTING + 1):
            self._match(layer)
            if not departing:
                reached = max(number for number, paths in enumerate(layer) if paths)
                prefix = min(layer[reached].items(), key=lambda one: one[1].cost)[1]
                start = next(at for at, path in layer[reached].items() if path is prefix)
            done = [(path.cost, at, path) for at, path in layer[steps].items() if self._end(at) is None]
            if done:
                _, at, path = min(done, key=lambda one: one[0])
                return self._ends(at, path)
            if layer[steps] and departing == 0:
                at, path = min(layer[steps].items(), key=lambda one: one[1].cost)
                return [*self._ends(at, path), (_At(len(self.moments.turns), at.frame), True)]
            layer = self._departed(layer)
        assert prefix is not None
        last = _At(len(self.moments.turns), start.frame)
        return [*self._ends(start, prefix), *[(last, True)] * (steps - reached)]

    def _match(self, layer: list[dict[_At, _Path]]) -> None:
        """Go on from every moment of a layer with steps that are done as planned."""
        for number, step in enumerate(self.plan.steps):
            onward = layer[number + 1]
            for at, path in layer[number].items():
                for to in self.matches(number, at):
                    cost = path.cost + _TURN * abs(to.moment - at.moment - len(step.turns))
                    cost += _MERGED if to.missing else 0
                    if to not in onward or cost < onward[to].cost:
                        onward[to] = _Path(cost, (at, path))

    def _departed(self, layer: list[dict[_At, _Path]]) -> list[dict[_At, _Path]]:
        """The layer in which one step more departs."""
        next_layer: list[dict[_At, _Path]] = [{}]
        for number, step in enumerate(self.plan.steps):
            onward: dict[_At, _Path] = {}
            self._depart(layer[number], onward, len(step.turns), _EARLIER * (len(self.plan.steps) - number))
            # Of the many ways to hold the cube then the two cheapest at each moment are kept.
            kept: dict[int, int] = {}
            for at in sorted(onward, key=lambda at: onward[at].cost):
                kept[at.moment] = kept.get(at.moment, 0) + 1
                if kept[at.moment] > _MOST_FRAMES:
                    del onward[at]
            next_layer.append(onward)
        return next_layer

    @staticmethod
    def _ends(at: _At, path: _Path) -> list[tuple[_At, bool]]:
        ends: list[tuple[_At, bool]] = []
        while path.before is not None:
            ends.append((at, path.departs))
            at, path = path.before
        return ends[::-1]

    def _end(self, at: _At) -> _At | None:
        """The last moment, where more than turning the cube as a whole was done after the last step."""
        last = len(self.moments.turns)
        home = self.moments.frames.home
        if home(self.moments.done[last]) == home(self.moments.done[at.moment]):
            return None
        return _At(last, at.frame)

    def _depart(self, paths: Mapping[_At, _Path], onward: dict[_At, _Path], planned: int, price: int) -> None:
        """A step that departs may end at any later moment; what counts is how far it is from its planned length.

        Whole turns of the cube in it were made on purpose, which leaves the centres as they lay in the plan, or not,
        which leaves the frame.
        """
        frames, moments = self.moments.frames, self.moments
        by_frame: dict[int, dict[_At, _Path]] = {}
        by_centres: dict[int, dict[_At, _Path]] = {}
        for at, path in paths.items():
            by_frame.setdefault(at.frame, {})[at] = path
            by_centres.setdefault(frames.of(moments.state(at)), {})[at] = path
        for frame, some in by_frame.items():
            for moment, cost, at in _cheapest(some, planned, len(moments.turns)):
                self._take(onward, _At(moment, frame), cost + price, at, some[at])
        for centres, some in by_centres.items():
            for moment, cost, at in _cheapest(some, planned, len(moments.turns)):
                frame = frames.between(centres, moments.held[moment])
                self._take(onward, _At(moment, frame), cost + price, at, some[at])

    @staticmethod
    def _take(onward: dict[_At, _Path], to: _At, cost: int, at: _At, path: _Path) -> None:
        if to not in onward or cost < onward[to].cost:
            onward[to] = _Path(cost, (at, path), True)


def _cheapest(paths: Mapping[_At, _Path], planned: int, last: int) -> Iterator[tuple[int, int, _At]]:
    """For every moment at which a step can end that departs, its cheapest beginning, with the cost."""
    begins: dict[int, tuple[int, _At]] = {}  # the cheapest beginning at each moment
    for at, path in paths.items():
        if at.moment not in begins or path.cost < begins[at.moment][0]:
            begins[at.moment] = path.cost, at
    if not begins:
        return
    best: dict[int, tuple[int, _At]] = {}
    for start, (cost, at) in begins.items():
        for moment in range(start, min(last, start + planned + _MOST_EXTRA) + 1):
            whole = cost + _TURN * abs(moment - start - planned)
            if moment not in best or whole < best[moment][0]:
                best[moment] = whole, at
    for moment, (cost, at) in best.items():
        yield moment, cost, at


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
    progress: Progress | None = None,
    threads: int | None = None,
) -> Verdict:
    """Hold turns that were really made, from the scrambled cube as the plan holds it, against the plan.

    A rotation that brings the scramble to the plan's hold may stand before them.  ``other_breaks`` are orbits whose
    memo is not known: there the breaks are taken that the turns follow.  The verdict's plan is the one that was
    followed, and it has one explanation, whose mistakes are what departs.  Raises NotationError for turns that cannot
    be read, InquestError for a method whose steps are not one letter each, and InquestStoppedError when ``progress``
    returned False.
    """
    made = parse_turns(turns, plan.cube.size) if isinstance(turns, str) else tuple(turns)
    made = _from_hold(plan, tuple(turn.plain for turn in made))
    plan = followed_plan(plan, made, other_breaks)
    final = plan.cube.apply(made)
    moments = _Moments(made, plan.cube.size)
    ends = _Aligner(plan, moments).align()
    desk = Desk(plan, scaling(priors))
    threads = threads or os.cpu_count() or 1
    runs = [
        _Run(
            *run,
            _explained(plan, moments, ends, *run, mistakes=mistakes, threads=threads, desk=desk, progress=progress),
        )
        for run in _runs(ends)
    ]
    departures = tuple(mistake_of(slip) for run in runs for slip in run.found.slips)
    parts = [part for run in runs for part in run.found.parts]
    if not plan.cube.apply(turned_with(desk.slips.meant, parts)).same_up_to_rotation(final):
        raise AssertionError("what departs does not lead to the cube that came out")
    steps = tuple(_steps_done(plan, moments, ends, runs, desk))
    alignment = Alignment(steps, departures, _say(steps, departures, final.is_solved))
    explanation = Explanation(1.0, departures, (), made)
    return Verdict(plan, (explanation,), (0, 0, 0), None, final.is_solved, performed=alignment)


def _from_hold(plan: Plan, turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """The turns without the rotation that brings the scramble to the hold, if they begin with it."""
    at = 0
    while at < len(turns) and turns[at].is_rotation:
        at += 1
    size = plan.cube.size
    if plan.hold and permutation_of(turns[:at], size) == permutation_of(parse_turns(plan.hold, size), size):
        return turns[at:]
    return turns


@dataclass(frozen=True, slots=True)
class _Run:
    """Steps ``first`` to ``last`` (exclusive) that depart, and the slips that tell what happened there."""

    first: int
    last: int
    found: Found

    def steps(self, letters: Sequence[Letter]) -> set[int]:
        """The steps that the slips concern."""
        concerned = {letter for slip in self.found.slips for letter in slip.letters}
        return {number for number, letter in enumerate(letters) if letter in concerned}


def _runs(ends: Sequence[tuple[_At, bool]]) -> Iterator[tuple[int, int]]:
    """Stretches of steps that depart, as first and last (exclusive)."""
    first: int | None = None
    for number, (_, departs) in enumerate([*ends, (_At(0), False)]):
        if departs and first is None:
            first = number
        if not departs and first is not None:
            yield first, number
            first = None


def _steps_done(
    plan: Plan, moments: _Moments, ends: Sequence[tuple[_At, bool]], runs: Sequence[_Run], desk: Desk
) -> Iterator[StepDone]:
    letters = desk.slips.letters
    begun = _At(0)
    for number, step in enumerate(plan.steps):
        at, departs = ends[number]
        turned = moments.turns[begun.moment : at.moment]
        how = AS_PLANNED if _unrotated(moments.made(begun, at)) == normal_form(step.turns) else ANOTHER_WAY
        begun = at
        for run in runs:
            named = run.steps(letters)
            if not run.first <= number < run.last and number not in named:
                continue
            # The slips know better than the alignment which of the steps beside one another it was.
            how, departs = (DEPARTS, True) if number in named else (AS_PLANNED, False)
            if run.found.slips[0].kind != OTHER_TURNS and named != set(range(run.first, run.last)):
                turned = _with_slips(desk, run.found, number) if departs else step.turns
        orbit, index = letters[number]
        yield StepDone(number, orbit, index, step.letter, DEPARTS if departs else how, step.turns, turned)


def _with_slips(desk: Desk, found: Found, number: int) -> tuple[Turn, ...]:
    """What was turned in a step whose slips are known; a slip over several steps is told with the first."""
    slips = desk.slips
    start, end = slips.starts[number], slips.end(number)
    mine = [part for slip in found.slips if slips.letters[number] in slip.letters for part in slip.parts]
    turned: list[Turn] = []
    at = start
    for part in sorted(mine, key=lambda part: (part.start, part.end)):
        if start <= part.start <= end and part.start >= at:
            turned += (*slips.meant[at : part.start], *part.turns)
            at = part.end
        elif part.start < start < part.end:
            at = max(at, part.end)
    return (*turned, *slips.meant[at:end])


def _explained(
    plan: Plan,
    moments: _Moments,
    ends: Sequence[tuple[_At, bool]],
    first: int,
    last: int,
    mistakes: int,
    threads: int,
    desk: Desk,
    progress: Progress | None,
) -> Found:
    """Slips of the catalogue, in these steps or beside them, that do what was turned there; else the turns themselves.

    Of slips that do the same those are taken that are turned just so, even if they are more.
    """
    _size, slips = plan.cube.size, desk.slips
    begun, ended = ends[first - 1][0] if first else _At(0), ends[last - 1][0]
    made = moments.made(begun, ended)
    meant = tuple(slips.meant)
    start, end = (slips.starts[n] if n < len(plan.steps) else len(meant) for n in (first, last))
    # What would have come out had nothing else gone wrong.
    final = plan.cube.apply((*meant[:start], *made, *meant[end:]))
    # Of a letter done twice the alignment cannot know whether this step or the next is at fault.
    low = slips.starts[first - 1] if 0 < first <= len(plan.steps) else start
    high = slips.end(last) if last < len(plan.steps) else len(meant)
    exact = (*meant[low:start], *made, *meant[end:high])
    form = _unrotated(exact)
    likeliest: Found | None = None
    alike: Found | None = None
    for most in range(1, mistakes + 1):
        if alike is not None or (most > _MOST_EXACT and likeliest is not None):
            break
        for found in desk.search(final, most, threads, nearest=False, progress=progress)[0]:
            if not found.slips or not all(low <= part.start and part.end <= high for part in found.parts):
                continue
            turned = desk.turns(found)
            turned = turned[low : len(turned) - (len(meant) - high)]
            if turned == exact:
                return found
            if alike is None and _unrotated(turned) == form:
                alike = found
            likeliest = likeliest or found
    return alike or likeliest or _other_turns(desk, made, moments.turns[begun.moment : ended.moment], first, start, end)


def _other_turns(
    desk: Desk, made: tuple[Turn, ...], turned: tuple[Turn, ...], first: int, start: int, end: int
) -> Found:
    """What was turned in a stretch, as a slip of its own kind."""
    slips, steps = desk.slips, desk.plan.steps
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


def _say(steps: Sequence[StepDone], departures: Sequence[Mistake], solved: bool) -> str:
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
