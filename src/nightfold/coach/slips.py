"""Every slip that can happen in the execution of one plan, as edits of the turns that were meant."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple, Protocol

from nightfold.blind.hold import as_held, colour_name
from nightfold.blind.method import Method
from nightfold.blind.plan import PARITY, Plan
from nightfold.blind.reading import trace_targets
from nightfold.blind.ways import SwapWay
from nightfold.coach.mistakes import (
    InquestError,
    Letter,
    Scaling,
    Slip,
    Stretch,
    alternatives,
    coded,
    strays,
    turn_table,
    weights,
)
from nightfold.cube.geometry import OPPOSITE, geometry, rotation_permutations
from nightfold.cube.notation import FACE_LETTERS, Turn, parse_turns, write

#: What fills a kind's sentences; a number is a sticker, to be named by the lettering.
Fields = Mapping[str, str | int]
_ROTATIONS = ("x", "x'", "x2", "y", "y'", "y2", "z", "z'", "z2")
#: How the native join names slips: an edit, another turn, a stray turn, the first and the second part of a split slip.
EDIT, TURN, STRAY, SPLIT, SPLIT_END = range(5)


# --- slips within one step -----------------------------------------------------------------------------------


class _Template(NamedTuple):
    """A slip within the step of one sticker, wherever that step stands.

    ``start`` and ``end`` count from the step's first turn; ``shift`` takes the share of its kind's chance off.
    """

    kind: str
    start: int
    end: int
    turns: tuple[Turn, ...]
    code: bytes
    shift: float
    fields: Fields


class _Whole(Protocol):
    """Makes the template of a slip that replaces a whole step."""

    def __call__(self, kind: str, turns: tuple[Turn, ...], share: int = 1, **more: str | int) -> _Template: ...


class _Stock:
    """The templates of one method, made when first asked for."""

    def __init__(self, method: Method) -> None:
        self.method = method
        self.geo = geometry(method.size)
        self.ways: dict[str, SwapWay] = {way.orbit.name: way for way in method.ways}
        self._made: dict[tuple[str, int], tuple[_Template, ...]] = {}
        self._shots: dict[tuple[str, int], tuple[tuple[Turn, ...], bytes]] = {}

    def of(self, orbit: str, sticker: int) -> tuple[_Template, ...]:
        """Every slip within the step that shoots to ``sticker``."""
        key = orbit, sticker
        if key not in self._made:
            self._made[key] = tuple(self._make(self.ways[orbit], sticker))
        return self._made[key]

    def shot(self, orbit: str, sticker: int) -> tuple[Turn, ...]:
        """The turns that shoot to ``sticker``; none where it is on the buffer piece."""
        way = self.ways[orbit]
        return way.execute((sticker,))[0].turns if sticker in way.targets else ()

    def shots(self, orbit: str, stickers: Iterable[int]) -> tuple[tuple[Turn, ...], bytes]:
        """The turns that shoot to one sticker after the other, and their code."""
        found = []
        for sticker in stickers:
            key = orbit, sticker
            if key not in self._shots:
                turns = self.shot(orbit, sticker)
                self._shots[key] = turns, coded(turns)
            found.append(self._shots[key])
        return tuple(turn for turns, _ in found for turn in turns), b"".join(code for _, code in found)

    def _make(self, way: SwapWay, sticker: int) -> Iterator[_Template]:
        length = len(self.shot(way.orbit.name, sticker))

        def whole(kind: str, turns: tuple[Turn, ...], share: int = 1, **more: str | int) -> _Template:
            fields: dict[str, str | int] = {"meant": sticker, "label": way.label, **more}
            return _Template(kind, 0, length, turns, coded(turns), -math.log(share), fields)

        for kind, others in self._other_letters(way, sticker).items():
            for other in others:
                yield whole(kind, self.shot(way.orbit.name, other), len(others), made=other)
        if not length:
            return
        done = way.execute((sticker,))[0]
        setup, core, undo = done.setup, done.core, done.undo
        yield whole("letter-left-out", ())
        yield whole("letter-doubled", done.turns * 2)
        if setup:
            yield from _setups(setup, core, undo, whole)
        yield whole("swap-left-out", setup + undo)
        yield whole("swap-twice", setup + core + core + undo)
        yield whole("swap-inverted", setup + tuple(turn.inverse.plain for turn in reversed(core)) + undo)
        swaps = [other for other in self.method.ways if other.orbit != way.orbit]
        for swap in swaps:
            yield whole("other-swap", setup + swap.core + undo, len(swaps), made=swap.label)
        yield from _cube_turned({0: "before it", len(setup): "after its setup", length - len(undo): "before its undo"})

    def _other_letters(self, way: SwapWay, sticker: int) -> dict[str, list[int]]:
        """The stickers one may shoot to instead, by what makes one think of them."""
        geo = self.geo
        piece, face = geo.piece_of(sticker), geo.faces[sticker]
        ring = geo.clockwise(way.orbit, face)
        at = ring.index(sticker)
        beside = {ring[at - 1], ring[(at + 1) % len(ring)]}
        alike = {geo.clockwise(way.orbit, other)[at] for other in FACE_LETTERS if other not in (face, OPPOSITE[face])}
        groups: dict[str, list[int]] = {}
        for other in way.targets:
            if other == sticker:
                continue
            if other in piece:
                kind = "other-sticker"
            elif other in alike:
                kind = "look-alike"
            else:
                kind = "beside" if other in beside else "another-letter"
            groups.setdefault(kind, []).append(other)
        return groups


def _setups(
    setup: tuple[Turn, ...], core: tuple[Turn, ...], undo: tuple[Turn, ...], whole: _Whole
) -> Iterator[_Template]:
    meant, back = write(setup), write(undo)
    yield whole("setup-left-out", core + undo, meant=meant)
    yield whole("setup-and-undo-left-out", core, meant=meant)
    yield whole("undo-left-out", setup + core, meant=back)
    undos = dict.fromkeys((setup, tuple(turn.inverse.plain for turn in setup)))
    undos.pop(undo, None)
    for wrong in undos:
        yield whole("undo-not-turned-round", setup + core + wrong, len(undos), meant=back, made=write(wrong))
    made: dict[str, list[tuple[Turn, ...]]] = {}
    for at, turn in enumerate(setup):
        others = [("setup-wrong-way", turn.inverse.plain)] if abs(turn.amount) == 1 else []
        amounts = (2,) if abs(turn.amount) == 1 else (1, -1)
        others += [("setup-half-or-quarter", turn._replace(amount=amount)) for amount in amounts]
        if turn.letter in FACE_LETTERS:
            others.append(("setup-wide-or-narrow", turn._replace(inner=3 - turn.inner)))
        for kind, other in others:
            made.setdefault(kind, []).append((*setup[:at], other, *setup[at + 1 :]))
    for kind, setups in made.items():
        for turns in setups:
            undone = tuple(turn.inverse.plain for turn in reversed(turns))
            yield whole(kind, turns + core + undone, len(setups), meant=meant, made=write(turns))


def _cube_turned(places: Mapping[int, str]) -> Iterator[_Template]:
    """The whole cube turned at one of the places of a step."""
    shift = -math.log(len(_ROTATIONS) * len(places))
    for offset, words in places.items():
        for rotation in _ROTATIONS:
            turns, fields = parse_turns(rotation), {"made": rotation, "part": words}
            yield _Template("cube-turned", offset, offset, turns, coded(turns), shift, fields)


class _Same:
    """A method compared by identity: its stock is found without looking at what is in it."""

    def __init__(self, method: Method) -> None:
        self.method = method

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.method is self.method

    def __hash__(self) -> int:
        return id(self.method)


@lru_cache(maxsize=8)
def _stock(same: _Same) -> _Stock:
    return _Stock(same.method)


# --- slips of a plan -----------------------------------------------------------------------------------------


class _Told(NamedTuple):
    """What a slip of whole steps is told by: its kind, the steps it concerns, its parts and the fields of its words."""

    kind: str
    steps: tuple[int, ...]
    parts: tuple[Stretch, ...]
    weight: float
    fields: Fields


class Slips:
    """Every slip that can happen in the execution of one plan.

    ``edits`` and ``splits`` are those of whole steps, in the form the native join takes: one stretch of the ``meant``
    turns replaced, or two.  Those of single turns are far more; the join makes them itself from ``alternatives`` and
    ``strays``.  ``slip`` tells what a slip is that the join has found.

    Raises InquestError for a method whose steps are not one letter each.
    """

    def __init__(self, plan: Plan, scaled: Scaling = (), *, holds: bool = True) -> None:
        if not all(isinstance(way, SwapWay) for way in plan.method.ways):
            raise InquestError(
                f"the method {plan.method.name} does several letters at once; an inquest can be held where each letter "
                "has its own setup, swap and undo"
            )
        self.plan = plan
        self.scaled = scaled
        self.geo = geometry(plan.method.size)
        self.starts: list[int] = []
        self.meant: list[Turn] = []
        for step in plan.steps:
            self.starts.append(len(self.meant))
            self.meant += step.turns
        self._stock = _stock(_Same(plan.method))
        self._weights = weights(scaled)
        self._told: list[_Told | tuple[int, _Template]] = []
        self._split: list[_Told] = []
        self.edits: list[tuple[int, int, bytes, float]] = []
        self.splits: list[tuple[int, int, bytes, int, int, bytes, float]] = []
        self._within_steps()
        self._of_letters()
        self._of_pairs()
        self._of_cycles()
        if holds:
            self._of_holds()
        self._of_parity()

    # --- where things are ---

    @cached_property
    def letters(self) -> list[Letter]:
        """What letter each step is."""
        counted: dict[str, int] = {}
        found: list[Letter] = []
        for step in self.plan.steps:
            if step.orbit == PARITY:
                found.append((PARITY, None))
                continue
            found.append((step.orbit, counted.get(step.orbit, 0)))
            counted[step.orbit] = counted.get(step.orbit, 0) + 1
        return found

    @cached_property
    def _numbers(self) -> dict[str, list[int]]:
        """The steps of each orbit."""
        found: dict[str, list[int]] = {reading.orbit.name: [] for reading in self.plan.orbits}
        for number, step in enumerate(self.plan.steps):
            if step.orbit != PARITY:
                found[step.orbit].append(number)
        return found

    @cached_property
    def _parity_step(self) -> int | None:
        return next((number for number, step in enumerate(self.plan.steps) if step.orbit == PARITY), None)

    @cached_property
    def _between(self) -> int:
        """The place between the two orbits."""
        return max((self.end(number) for number in self._numbers[self.plan.orbits[0].orbit.name]), default=0)

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
        orbit, at = self.letters[number]
        if at is None:
            return "parity"
        return f"{self.geo.orbit(orbit).piece_word} letter {at + 1}, {self.plan.steps[number].letter}"

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
            return number, self._stock.ways[step.orbit].label
        return number, "undo"

    # --- telling ---

    def slip(self, kind: int, place: int, number: int) -> Slip:
        """The slip that the native join names so."""
        if kind == TURN:
            return self._turn_slip(place, number)
        if kind == STRAY:
            return self._stray_slip(place, number)
        told = self._split[number] if kind in (SPLIT, SPLIT_END) else self._told[number]
        if not isinstance(told, _Told):
            step, template = told
            start = self.starts[step]
            part = Stretch(start + template.start, start + template.end, template.turns)
            weight = self._weights[template.kind] + template.shift
            told = _Told(template.kind, (step,), (part,), weight, template.fields)
        orbit = self.plan.steps[told.steps[0]].orbit if told.steps else PARITY
        fields = {key: self._named(orbit, value) for key, value in told.fields.items()}
        if told.steps:
            fields = {"place": self.place_words(told.steps[0]), **fields}
        letters = tuple(self.letters[step] for step in told.steps) or ((PARITY, None),)
        if told.kind == "wrong-length":
            letters = (*letters, (PARITY, None))
        letter = self.plan.steps[told.steps[0]].letter if told.steps else ""
        return Slip(told.kind, told.parts, told.weight, letters, letter, fields)

    def _named(self, orbit: str, value: str | int) -> str:
        if isinstance(value, str):
            return value
        return f"{self.plan.lettering.symbol(orbit, value)} ({self.geo.names[value]})"

    def _turn_slip(self, place: int, choice: int) -> Slip:
        turns, numbers, _ = turn_table()
        meant = self.meant[place]
        made, weight, kind = alternatives(self.scaled)[numbers[meant]][choice]
        number, part = self._part(place)
        made_turns = (turns[made],) if made >= 0 else ()
        fields = {"place": self.place_words(number), "meant": str(meant), "made": write(made_turns), "part": part}
        letter = self.plan.steps[number].letter
        return Slip(kind, (Stretch(place, place + 1, made_turns),), weight, (self.letters[number],), letter, fields)

    def _stray_slip(self, place: int, choice: int) -> Slip:
        made, weight, kind = strays(self.scaled)[choice]
        turn = turn_table()[0][made]
        part = Stretch(place, place, (turn,))
        if not self.plan.steps:
            return Slip(kind, (part,), weight, (), "", {"place": "with nothing to do", "made": str(turn)})
        if place < len(self.meant):
            number, name = self._part(place)
            offset = place - self.starts[number]
            where = f"before turn {offset + 1} of the step, in the {name}" if offset else "before its first turn"
        else:
            number, where = len(self.plan.steps) - 1, "after its last turn"
        fields = {"place": self.place_words(number), "made": str(turn), "part": where}
        return Slip(kind, (part,), weight, (self.letters[number],), self.plan.steps[number].letter, fields)

    # --- making ---

    def _edit(
        self,
        kind: str,
        steps: tuple[int, ...],
        start: int,
        end: int,
        turns: tuple[Turn, ...],
        share: int = 1,
        **fields: str,
    ) -> None:
        self._add(_Told(kind, steps, (Stretch(start, end, turns),), self._weight(kind, share), fields), coded(turns))

    def _add(self, told: _Told, code: bytes) -> None:
        """A slip of one part, the code of whose turns is known."""
        (part,) = told.parts
        self._told.append(told)
        self.edits.append((part.start, part.end, code, told.weight))

    def _weight(self, kind: str, share: int) -> float:
        return self._weights[kind] - math.log(share)

    def _over(self, kind: str, steps: tuple[int, ...], turns: tuple[Turn, ...], share: int = 1, **fields: str) -> None:
        """A slip that replaces all of some steps that follow one another."""
        self._replaced(kind, steps, turns, coded(turns), share, **fields)

    def _replaced(
        self, kind: str, steps: tuple[int, ...], turns: tuple[Turn, ...], code: bytes, share: int, **fields: str
    ) -> None:
        """The same, where the code of the turns is known."""
        part = Stretch(self.starts[steps[0]], self.end(steps[-1]), turns)
        self._add(_Told(kind, steps, (part,), self._weight(kind, share), fields), code)

    def _two_parts(
        self, kind: str, steps: tuple[int, ...], first: Stretch, second: Stretch, share: int = 1, **fields: str
    ) -> None:
        weight = self._weights[kind] - math.log(share)
        self._split.append(_Told(kind, steps, (first, second), weight, fields))
        one, other = (first.start, first.end, coded(first.turns)), (second.start, second.end, coded(second.turns))
        self.splits.append((*one, *other, weight))

    def _within_steps(self) -> None:
        weight = self._weights
        for number, step in enumerate(self.plan.steps):
            if step.orbit == PARITY:
                templates = tuple(_cube_turned({0: "before it"}))
            else:
                templates = self._stock.of(step.orbit, self.geo.sticker(step.sticker))
            start = self.starts[number]
            self._told += [(number, template) for template in templates]
            self.edits += [(start + t.start, start + t.end, t.code, weight[t.kind] + t.shift) for t in templates]

    def _letter(self, number: int) -> str:
        """``G (LD)``."""
        step = self.plan.steps[number]
        return f"{step.letter} ({step.sticker})"

    def _of_letters(self) -> None:
        steps = self.plan.steps
        for number in self._numbers[self.plan.orbits[0].orbit.name]:
            self._wrong_length(number)
        for numbers in self._numbers.values():
            for one, two in pairwise(numbers):
                turns = steps[two].turns + steps[one].turns
                self._over("letters-exchanged", (one, two), turns, meant=self._letter(one), made=self._letter(two))
            for one, two in zip(numbers, numbers[2:], strict=False):
                first = Stretch(self.starts[one], self.end(one), steps[two].turns)
                second = Stretch(self.starts[two], self.end(two), steps[one].turns)
                meant, made = self._letter(one), self._letter(two)
                self._two_parts("letters-crossed", (one, two), first, second, meant=meant, made=made)

    def _wrong_length(self, number: int) -> None:
        """A letter of the first orbit too few or too many, and the parity step decided by that count."""
        if not self.plan.method.parity.turns:
            return
        step, due = self.plan.steps[number], self._parity_step
        if due is None:
            parity = Stretch(self._between, self._between, self.plan.method.parity.turns)
        else:
            parity = Stretch(self.starts[due], self.end(due), ())
        for made, turns in (("left out", ()), ("taken twice", step.turns * 2)):
            letter = Stretch(self.starts[number], self.end(number), turns)
            self._two_parts("wrong-length", (number,), letter, parity, 2, meant=self._letter(number), made=made)

    def _of_pairs(self) -> None:
        steps = self.plan.steps
        for numbers in self._numbers.values():
            pairs = [tuple(numbers[at : at + 2]) for at in range(0, len(numbers) - 1, 2)]
            turns = [tuple(turn for number in pair for turn in steps[number].turns) for pair in pairs]
            said = [" ".join(steps[number].letter for number in pair) for pair in pairs]
            for at, pair in enumerate(pairs):
                self._over("pair-lost", pair, (), meant=said[at])
            for at, (one, two) in enumerate(pairwise(pairs)):
                made = turns[at + 1] + turns[at]
                self._over("pairs-exchanged", one + two, made, meant=said[at], made=said[at + 1])

    def _of_cycles(self) -> None:
        for reading in self.plan.orbits:
            numbers = iter(self._numbers[reading.orbit.name])
            turned = "flipped" if reading.orbit.turns_of_piece == 2 else "twisted"
            for cycle in reading.cycles:
                mine = tuple(next(numbers) for _ in cycle.targets)
                if cycle.kind == "buffer":
                    continue
                kind = "turned-forgotten" if cycle.kind == "in place" else "cycle-lost"
                self._over(kind, mine, (), meant=" ".join(cycle.letters), turned=turned)
                if cycle.kind == "break":
                    self._over("closing-forgotten", mine[-1:], (), meant=self._letter(mine[-1]))

    def _of_holds(self) -> None:
        """Orbits read with the cube held another way, and executed as usual."""
        plan, stock = self.plan, self._stock
        area = plan.cube.size**2
        centres = self.geo.fixed_centres
        rotations = [rotation for rotation in rotation_permutations(plan.cube.size) if rotation]
        if not plan.solved:
            return  # the letters are the solver's own
        parity = plan.method.parity.turns if plan.parity else ()
        parity_code = coded(parity)
        for rotation in rotations:
            turned = plan.cube.apply(rotation)
            held = as_held(turned)
            top, front = (colour_name(plan.scheme[turned.stickers[centres[face]] // area]) for face in "UF")
            made = f"{top} up and {front} in front"
            whole: list[tuple[tuple[Turn, ...], bytes]] = []
            for way in plan.method.ways:
                name = way.orbit.name
                whole.append(stock.shots(name, trace_targets(held, way.orbit, way.buffer, plan.lettering)))
                if numbers := self._numbers[name]:
                    self._replaced("other-hold", tuple(numbers), *whole[-1], len(rotations), made=made, orbit=name)
            if plan.steps:
                (one, one_code), (other, other_code) = whole
                turns, code = one + parity + other, one_code + parity_code + other_code
                steps = tuple(range(len(plan.steps)))
                self._replaced("all-in-other-hold", steps, turns, code, len(rotations), made=made)

    def _of_parity(self) -> None:
        plan, due = self.plan, self._parity_step
        label, turns = plan.method.parity.label, plan.method.parity.turns
        if not self.meant:
            return
        total = len(self.meant)
        if turns and due is None:
            places = {total: "at the end", self._between: "between the orbits"}
            for place, made in places.items():
                self._edit("parity-needless", (), place, place, turns, len(places), label=label, made=made)
        elif turns and due is not None:
            start, end = self.starts[due], self.end(due)
            self._edit("parity-forgotten", (), start, end, (), label=label)
            back = tuple(turn.inverse.plain for turn in reversed(turns))
            self._edit("parity-inverted", (), start, end, back, label=label)
            for way in plan.method.ways:
                fields = {"label": label, "made": way.label, "place": "parity"}
                self._edit("other-swap", (), start, end, way.core, len(plan.method.ways), **fields)
            self._misplaced(due)
        last, number = self.meant[-1], self.step_at(total - 1)
        half = abs(last.amount) == 2
        short: list[tuple[Turn, ...]] = [(last._replace(amount=amount),) for amount in (1, -1)] if half else [()]
        for made_turns in short:
            self._edit("last-turn-short", (number,), total - 1, total, made_turns, len(short), meant=str(last))

    def _misplaced(self, due: int) -> None:
        """The parity algorithm done at another place than between the orbits."""
        label, turns = self.plan.method.parity.label, self.plan.method.parity.turns
        start, end, total = self.starts[due], self.end(due), len(self.meant)
        forgotten = Stretch(start, end, ())
        self._two_parts("parity-early", (), Stretch(0, 0, turns), forgotten, label=label)
        self._two_parts("parity-late", (), forgotten, Stretch(total, total, turns), label=label)
        others = [number for number, place in enumerate(self.starts) if place not in (0, start, end)]
        for number in others:
            place = Stretch(self.starts[number], self.starts[number], turns)
            parts = (place, forgotten) if number < due else (forgotten, place)
            made = f"before {self.place_words(number)},"
            self._two_parts("parity-misplaced", (), *parts, len(others), label=label, made=made)
