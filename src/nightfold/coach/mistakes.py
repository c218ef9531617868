"""The catalogue of slips: what can go wrong at each place of a plan, as data and as edits of the meant turns."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise
from pathlib import Path

from nightfold.blind.hold import as_held, colour_name
from nightfold.blind.plan import PARITY, Plan, Step
from nightfold.blind.reading import trace_orbit
from nightfold.cube.geometry import geometry, rotation_permutations
from nightfold.cube.notation import FACE_LETTERS, Turn, parse_turns, write
from nightfold.search.native import pack, pack_turns


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of slip; see ``mistakes.toml`` for what its parts mean."""

    name: str
    chance: float
    each: str
    say: str
    felt: str
    hint: str

    @property
    def weight(self) -> float:
        """The logarithm of its odds at one place."""
        return math.log(self.chance / (1 - self.chance))


@cache
def catalogue() -> Mapping[str, Kind]:
    """Every kind of slip by name."""
    data = tomllib.loads(Path(__file__).with_name("mistakes.toml").read_text("utf-8"))
    return {name: Kind(name, **fields) for name, fields in data.items()}


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip at one place of a plan.

    The meant turns ``start`` to ``end`` (exclusive) become ``turns``.  ``orbit`` and ``at`` tell the letter it is about
    (``at`` is None where it is about none).  ``fields`` fill the kind's sentences.
    """

    kind: str
    start: int
    end: int
    turns: tuple[Turn, ...]
    weight: float
    orbit: str
    at: int | None
    letter: str
    fields: Mapping[str, str]

    def told(self, sentence: str) -> str:
        """One of the kind's sentences, filled in."""
        return sentence.format_map(_Filled(self.fields))


class _Filled(dict[str, str]):
    """Fields of a sentence; what was not said stays out."""

    def __missing__(self, key: str) -> str:
        return ""


@cache
def turn_table() -> tuple[tuple[Turn, ...], dict[Turn, int], bytes]:
    """Every single turn of the 3x3x3: faces, wide turns, slices, rotations; their numbers; and all of them packed."""
    stems = [*FACE_LETTERS, *(f"{face}w" for face in FACE_LETTERS), *"MESxyz"]
    turns = tuple(parse_turns(stem + amount)[0] for stem in stems for amount in ("", "2", "'"))
    return turns, {turn: number for number, turn in enumerate(turns)}, pack_turns(turns)


@cache
def packed_rotations() -> bytes:
    """The 24 whole-cube rotations packed, that of no turn first."""
    from nightfold.cube.state import Cube

    return b"".join(pack(Cube(3, permutation)) for permutation in rotation_permutations(3).values())


#: Face turns, and the turns and rotations a hand may slip into.
_FACE_TURNS = 18
_ROTATIONS = ("x", "x'", "x2", "y", "y'", "y2", "z", "z'", "z2")


@cache
def alternatives() -> tuple[tuple[tuple[int, float, str], ...], ...]:
    """For each turn of the table what may be made in its place: turn number (-1 for none), weight and kind of slip."""
    turns, numbers, _ = turn_table()
    kinds = catalogue()

    def one(turn: Turn) -> tuple[tuple[int, float, str], ...]:
        found: dict[int, tuple[float, str]] = {-1: (kinds["turn-left-out"].weight, "turn-left-out")}

        def may_be(other: Turn, kind: str, share: int = 1) -> None:
            number = numbers[other.plain]
            if other.plain != turn.plain and number not in found:
                found[number] = kinds[kind].weight - math.log(share), kind

        if abs(turn.amount) == 1:
            may_be(turn.inverse, "turn-wrong-way")
            may_be(turn._replace(amount=2), "turn-half-or-quarter")
        else:
            may_be(turn._replace(amount=1), "turn-half-or-quarter", 2)
            may_be(turn._replace(amount=-1), "turn-half-or-quarter", 2)
        if turn.letter in FACE_LETTERS:
            may_be(turn._replace(inner=3 - turn.inner), "turn-wide-or-narrow")
            for face in FACE_LETTERS:
                may_be(turn._replace(letter=face), "turn-other-layer", 5)
                may_be(turn._replace(letter=face, amount=-turn.amount), "turn-other-layer", 10)
        return tuple((number, weight, kind) for number, (weight, kind) in found.items())

    return tuple(one(turn) for turn in turns)


@cache
def strays() -> tuple[tuple[int, float], ...]:
    """Turns that may slip in between any two: every face turn."""
    weight = catalogue()["stray-turn"].weight - math.log(_FACE_TURNS)
    return tuple((number, weight) for number in range(_FACE_TURNS))


class Slips:
    """Every slip that can happen in the execution of one plan.

    ``edits`` are those of whole steps.  Those of single turns are far more and are named only when one is asked for:
    see ``turn_slip`` and ``stray_slip``.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.starts: list[int] = []
        self.meant: list[Turn] = []
        for step in plan.steps:
            self.starts.append(len(self.meant))
            self.meant += step.turns
        self.geo = geometry(plan.method.size)

    # --- where things are ---

    @cached_property
    def letter_of_step(self) -> list[int | None]:
        """For each step its letter's index in the orbit's memo; None for the parity step."""
        counted: dict[str, int] = {}
        found: list[int | None] = []
        for step in self.plan.steps:
            if step.orbit == PARITY:
                found.append(None)
                continue
            found.append(counted.get(step.orbit, 0))
            counted[step.orbit] = counted.get(step.orbit, 0) + 1
        return found

    def step_at(self, place: int) -> int:
        """The step that the turn at ``place`` belongs to; the last step for the place behind all turns."""
        found = 0
        for number, start in enumerate(self.starts):
            if start <= place:
                found = number
        return found

    def end(self, number: int) -> int:
        """The place behind a step's last turn."""
        return self.starts[number] + len(self.plan.steps[number].turns)

    def place_words(self, number: int) -> str:
        """``edge letter 7, G``."""
        step = self.plan.steps[number]
        if step.orbit == PARITY:
            return "parity"
        at = self.letter_of_step[number]
        word = step.orbit.removesuffix("s")
        return f"{word} letter {(at or 0) + 1}, {step.letter}"

    # --- slips of whole steps ---

    @cached_property
    def edits(self) -> list[Slip]:
        """Slips of letters, pairs, cycles, orbits, steps and parity."""
        return [*self._letters(), *self._pairs(), *self._cycles(), *self._holds(), *self._steps(), *self._parity()]

    def _slip(
        self,
        kind: str,
        first: int,
        last: int,
        turns: tuple[Turn, ...],
        share: float = 1.0,
        **fields: str,
    ) -> Slip:
        """A slip that replaces the steps ``first`` to ``last``; its chance is shared among ``share`` like it."""
        step = self.plan.steps[first]
        fields = {"place": self.place_words(first), "orbit": step.orbit, **fields}
        return Slip(
            kind,
            self.starts[first],
            self.end(last),
            turns,
            catalogue()[kind].weight - math.log(share),
            step.orbit,
            self.letter_of_step[first],
            step.letter,
            fields,
        )

    def _of_orbit(self, name: str) -> list[int]:
        return [number for number, step in enumerate(self.plan.steps) if step.orbit == name]

    def _shot(self, orbit: str, sticker: int) -> tuple[Turn, ...]:
        return self.plan.method.way(orbit).execute((sticker,))[0].turns

    def _named(self, orbit: str, sticker: int) -> str:
        return f"{self.plan.lettering.symbol(orbit, sticker)} ({self.geo.names[sticker]})"

    def _letters(self) -> Iterator[Slip]:
        steps = self.plan.steps
        for reading in self.plan.orbits:
            name = reading.orbit.name
            numbers = self._of_orbit(name)
            targets = [target.sticker for target in reading.targets]
            possible = self.plan.method.way(name).targets
            for number, sticker in zip(numbers, targets, strict=True):
                meant = self._named(name, sticker)
                piece = self.geo.piece_of(sticker)
                ring = self.geo.clockwise(reading.orbit, self.geo.faces[sticker])
                at = ring.index(sticker)
                like = {ring[at - 1], ring[(at + 1) % len(ring)]}
                groups: dict[str, list[int]] = {"other-sticker": [], "look-alike": [], "another-letter": []}
                for other in possible:
                    if other == sticker:
                        continue
                    kind = "other-sticker" if other in piece else "look-alike" if other in like else "another-letter"
                    groups[kind].append(other)
                for kind, others in groups.items():
                    for other in others:
                        made = self._named(name, other)
                        yield self._slip(
                            kind, number, number, self._shot(name, other), len(others), meant=meant, made=made
                        )
                yield self._slip("letter-left-out", number, number, (), meant=meant)
                yield self._slip("letter-doubled", number, number, steps[number].turns * 2, meant=meant)
                if numbers[0] == 0:
                    yield self._miscounted(number, numbers, meant)
            for one, two in pairwise(numbers):
                yield self._slip(
                    "letters-exchanged",
                    one,
                    two,
                    steps[two].turns + steps[one].turns,
                    meant=steps[one].letter,
                    made=steps[two].letter,
                )

    def _miscounted(self, number: int, numbers: list[int], meant: str) -> Slip:
        """A letter of the first orbit left out, and the parity step with it decided the other way."""
        steps = self.plan.steps
        rest = tuple(turn for later in numbers if later > number for turn in steps[later].turns)
        last = numbers[-1]
        if self.plan.parity and last + 1 < len(steps) and steps[last + 1].orbit == PARITY:
            return self._slip("left-out-miscounted", number, last + 1, rest, meant=meant)
        return self._slip("left-out-miscounted", number, last, rest + self.plan.method.parity.turns, meant=meant)

    def _pairs(self) -> Iterator[Slip]:
        steps = self.plan.steps
        for reading in self.plan.orbits:
            numbers = self._of_orbit(reading.orbit.name)
            pairs = [numbers[at : at + 2] for at in range(0, len(numbers), 2)]
            turns = [tuple(turn for number in pair for turn in steps[number].turns) for pair in pairs]
            said = ["".join(steps[number].letter for number in pair) for pair in pairs]
            for at, pair in enumerate(pairs):
                if len(pair) == 2:
                    yield self._slip("pair-lost", pair[0], pair[1], (), meant=said[at])
                if at + 1 < len(pairs) and len(pair) == len(pairs[at + 1]):
                    yield self._slip(
                        "pairs-exchanged",
                        pair[0],
                        pairs[at + 1][-1],
                        turns[at + 1] + turns[at],
                        meant=said[at],
                        made=said[at + 1],
                    )

    def _cycles(self) -> Iterator[Slip]:
        for reading in self.plan.orbits:
            numbers = iter(self._of_orbit(reading.orbit.name))
            turned = "flipped" if reading.orbit.turns_of_piece == 2 else "twisted"
            for cycle in reading.cycles:
                mine = [next(numbers) for _ in cycle.targets]
                if cycle.kind == "buffer":
                    continue
                kind = "turned-forgotten" if cycle.kind == "in place" else "cycle-lost"
                yield self._slip(kind, mine[0], mine[-1], (), meant=" ".join(cycle.letters), turned=turned)
                if cycle.kind == "break":
                    yield self._slip("closing-forgotten", mine[-1], mine[-1], (), meant=cycle.letters[-1])

    def _holds(self) -> Iterator[Slip]:
        """An orbit read with the cube held another way, and executed as usual."""
        plan = self.plan
        shown = plan.cube
        area = shown.size**2
        centres = self.geo.fixed_centres
        rotations = [rotation for rotation in rotation_permutations(shown.size) if rotation]
        for way in plan.method.ways:
            name = way.orbit.name
            numbers = self._of_orbit(name)
            if not numbers:
                continue
            for rotation in rotations:
                turned = shown.apply(rotation)
                other = trace_orbit(as_held(turned), way.orbit, way.buffer, plan.lettering)
                turns = tuple(turn for target in other.targets for turn in self._shot(name, target.sticker))
                top, front = (colour_name(plan.scheme[turned.stickers[centres[face]] // area]) for face in "UF")
                made = f"{top} up and {front} in front"
                yield self._slip("other-hold", numbers[0], numbers[-1], turns, len(rotations), made=made)

    def _steps(self) -> Iterator[Slip]:
        plan = self.plan
        labels = {way.orbit.name: way.label for way in plan.method.ways}
        cores = {way.orbit.name: way.core for way in plan.method.ways}
        for number, step in enumerate(plan.steps):
            if step.orbit == PARITY:
                continue
            label = labels[step.orbit]
            setup, core, undo = step.setup, step.swap, step.undo
            if setup:
                yield from self._setups(number, step)
            yield self._slip("swap-left-out", number, number, setup + undo, label=label)
            yield self._slip("swap-twice", number, number, setup + core + core + undo, label=label)
            for other, turns in cores.items():
                if other != step.orbit:
                    made = labels[other]
                    yield self._slip("other-swap", number, number, setup + turns + undo, label=label, made=made)
            for rotation in _ROTATIONS:
                turn = parse_turns(rotation)
                yield self._slip("cube-turned", number, number, turn + step.turns, len(_ROTATIONS), made=rotation)

    def _setups(self, number: int, step: Step) -> Iterator[Slip]:
        setup, core, undo = step.setup, step.swap, step.undo
        meant = write(setup)
        yield self._slip("setup-left-out", number, number, core + undo, meant=meant)
        yield self._slip("setup-and-undo-left-out", number, number, core, meant=meant)
        yield self._slip("undo-left-out", number, number, setup + core, meant=write(undo))
        yield self._slip("undo-not-turned-round", number, number, setup + core + setup, meant=write(undo), made=meant)
        if len(setup) > 1:
            same_order = tuple(turn.inverse.plain for turn in setup)
            made = write(same_order)
            yield self._slip(
                "undo-not-turned-round", number, number, setup + core + same_order, meant=write(undo), made=made
            )
        wrong = [
            (*setup[:at], turn.inverse.plain, *setup[at + 1 :])
            for at, turn in enumerate(setup)
            if abs(turn.amount) == 1
        ]
        wrong += [
            (*setup[:at], turn._replace(inner=3 - turn.inner), *setup[at + 1 :])
            for at, turn in enumerate(setup)
            if turn.letter in FACE_LETTERS
        ]
        wrong += [
            (*setup[:at], turn._replace(amount=amount), *setup[at + 1 :])
            for at, turn in enumerate(setup)
            for amount in ((2,) if abs(turn.amount) == 1 else (1, -1))
        ]
        for made_turns in wrong:
            back = tuple(turn.inverse.plain for turn in reversed(made_turns))
            made = write(made_turns)
            yield self._slip(
                "setup-wrong-way", number, number, made_turns + core + back, len(wrong), meant=meant, made=made
            )

    def _parity(self) -> Iterator[Slip]:
        plan = self.plan
        step = plan.method.parity
        if not step.turns or not plan.steps:
            return
        label = step.label
        last = len(plan.steps) - 1

        def whole(kind: str, start: int, end: int, turns: tuple[Turn, ...]) -> Slip:
            return Slip(
                kind, start, end, turns, catalogue()[kind].weight, PARITY, None, "", {"label": label, "orbit": PARITY}
            )

        number = next((n for n, one in enumerate(plan.steps) if one.orbit == PARITY), None)
        total = len(self.meant)
        if number is None:
            first = plan.orbits[0].orbit.name
            between = max((self.end(n) for n in self._of_orbit(first)), default=0)
            yield whole("parity-needless", between, between, step.turns)
        else:
            start, end = self.starts[number], self.end(number)
            yield whole("parity-forgotten", start, end, ())
            after = tuple(turn for n in range(number + 1, last + 1) for turn in plan.steps[n].turns)
            yield whole("parity-late", start, total, after + step.turns)
            before = tuple(turn for n in range(number) for turn in plan.steps[n].turns)
            yield whole("parity-early", 0, end, step.turns + before)
        turn = self.meant[-1]
        yield Slip(
            "last-turn-short",
            total - 1,
            total,
            (),
            catalogue()["last-turn-short"].weight,
            plan.steps[last].orbit,
            self.letter_of_step[last],
            plan.steps[last].letter,
            {"meant": str(turn)},
        )

    # --- slips of single turns ---

    def _part(self, place: int) -> tuple[int, str]:
        """The step of a place, and what of it the turn there belongs to."""
        number = self.step_at(place)
        step = self.plan.steps[number]
        offset = place - self.starts[number]
        if step.orbit == PARITY:
            return number, self.plan.method.parity.label
        if offset < len(step.setup):
            return number, "setup"
        if offset < len(step.setup) + len(step.swap):
            return number, self.plan.method.way(step.orbit).label
        return number, "undo"

    def turn_slip(self, place: int, choice: int) -> Slip:
        """The slip of making another turn than the one at ``place``, numbered as in ``alternatives``."""
        turns, numbers, _ = turn_table()
        meant = self.meant[place]
        made, weight, kind = alternatives()[numbers[meant]][choice]
        number, part = self._part(place)
        step = self.plan.steps[number]
        fields = {
            "place": self.place_words(number),
            "meant": str(meant),
            "made": str(turns[made]) if made >= 0 else "",
            "part": part,
        }
        made_turns = (turns[made],) if made >= 0 else ()
        return Slip(
            kind, place, place + 1, made_turns, weight, step.orbit, self.letter_of_step[number], step.letter, fields
        )

    def stray_slip(self, place: int, choice: int) -> Slip:
        """The slip of a stray turn before the turn at ``place`` (behind the last, where ``place`` is the end)."""
        turns = turn_table()[0]
        made, weight = strays()[choice]
        if not self.plan.steps:
            return Slip(
                "stray-turn",
                0,
                0,
                (turns[made],),
                weight,
                "",
                None,
                "",
                {"place": "at the end", "made": str(turns[made])},
            )
        if place < len(self.meant):
            number, part = self._part(place)
            offset = place - self.starts[number]
            where = f"before turn {offset + 1} of the step, in the {part}" if offset else "before its first turn"
        else:
            number, where = len(self.plan.steps) - 1, "after its last turn"
        step = self.plan.steps[number]
        fields = {"place": self.place_words(number), "made": str(turns[made]), "part": where}
        return Slip(
            "stray-turn",
            place,
            place,
            (turns[made],),
            weight,
            step.orbit,
            self.letter_of_step[number],
            step.letter,
            fields,
        )


#: Told how a slip is named by the native join: kind 0 an edit, 1 another turn, 2 a stray one.
Namer = Callable[[int, int, int], Slip]


def namer(slips: Slips) -> Namer:
    """The function that names the slips of the native join for a plan."""

    def name(kind: int, place: int, number: int) -> Slip:
        if kind == 0:
            return slips.edits[number]
        return slips.turn_slip(place, number) if kind == 1 else slips.stray_slip(place, number)

    return name
