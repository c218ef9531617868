"""Attempts gone wrong, made by turning: a judge of the inquest that shares nothing with it but the catalogue's chances.

A plan is taken as its text, step by step.  Every slip is written down as other tokens for a stretch of that text, by
rules stated here anew, and the attempt is then turned, token by token, on the tests' own cube (tests/blind/referee.py).
Where the judge has to know whether another attempt would have ended alike it makes those attempts too: all single
slips by turning, and pairs of them by multiplying what turning made of the stickers.
"""

from __future__ import annotations

import math
import random
import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise
from operator import itemgetter
from pathlib import Path
from typing import cast

import numpy as np
import numpy.typing as npt

import nightfold.coach
from nightfold.blind.plan import Plan
from nightfold.cube.geometry import geometry
from tests.blind import referee

Tokens = tuple[str, ...]
#: A letter of a plan: its orbit and its index, None for the parity step.
Letter = tuple[str, int | None]
Story = frozenset[Letter]
State = tuple[int, ...]

CHANCES: dict[str, float] = {
    name: kind["chance"]
    for name, kind in tomllib.loads((Path(nightfold.coach.__path__[0]) / "mistakes.toml").read_text("utf-8")).items()
}
FACES = "ULFRBD"
#: Opposite faces in the order of the common lettering: four letters a face, clockwise.
OPPOSITE = {0: 5, 5: 0, 1: 3, 3: 1, 2: 4, 4: 2}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
SOLVED: State = tuple(range(54))
CENTRES = (4, 13, 22, 31, 40, 49)


# --- tokens ------------------------------------------------------------------------------------------------------


def undone(tokens: Tokens) -> Tokens:
    return tuple(referee.undone(" ".join(tokens)).split())


def backwards(token: str) -> str:
    return undone((token,))[0]


def stem(token: str) -> str:
    return token.rstrip("2'")


def is_half(token: str) -> bool:
    return "2" in token


def other_amounts(token: str) -> list[str]:
    """A half turn for a quarter, or a quarter either way for a half."""
    return [stem(token), stem(token) + "'"] if is_half(token) else [stem(token) + "2"]


def other_width(token: str) -> list[str]:
    """A narrow turn for a wide one and the reverse; slices and rotations have neither."""
    if token[0] not in FACES:
        return []
    return [token.replace("w", "")] if "w" in token else [token[0] + "w" + token[1:]]


def other_faces(token: str) -> list[str]:
    """The same turn of each other face, either way round."""
    if token[0] not in FACES:
        return []
    made = []
    for face in FACES.replace(token[0], ""):
        one = face + token[1:]
        made += [one] if is_half(token) else [one, backwards(one)]
    return made


STRAY_FACES = [face + amount for face in FACES for amount in ("", "2", "'")]
STRAY_LAYERS = [layer + amount for layer in [*(f"{face}w" for face in FACES), *"MES"] for amount in ("", "2", "'")]
ROTATIONS = [axis + amount for axis in "xyz" for amount in ("", "2", "'")]


# --- turning -----------------------------------------------------------------------------------------------------


Turner = Callable[[State], State]


def play(tokens: Iterable[str], state: State) -> State:
    for token in tokens:
        state = _turner(token)(state)
    return state


@cache
def _turner(token: str) -> Turner:
    return cast(Turner, itemgetter(*referee._sources(token)))


@cache
def holds() -> dict[State, Turner]:
    """For each way the centres can lie, how to turn the cube as a whole until they are home."""
    found: dict[State, Turner] = {}
    for first in ["", *ROTATIONS]:
        for second in ["", *ROTATIONS]:
            text = f"{first} {second}".split()
            turned = play(text, SOLVED)
            back = play(undone(tuple(text)), SOLVED)
            found.setdefault(tuple(turned[at] for at in CENTRES), cast(Turner, itemgetter(*back)))
    assert len(found) == 24
    return found


def turned_home(state: State) -> State:
    return holds()[tuple(state[at] for at in CENTRES)](state)


# --- slips -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stretch:
    """The tokens ``start`` to ``end`` (exclusive) replaced by others."""

    start: int
    end: int
    made: Tokens


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip: its kind, its odds, the letters it concerns, and what was turned otherwise."""

    kind: str
    odds: float
    story: Story
    stretches: tuple[Stretch, ...]


def apart(slips: Sequence[Slip]) -> bool:
    """Whether all can be made in one attempt: no turn is replaced twice and no place is used twice."""
    parts = sorted((part.start, part.end) for slip in slips for part in slip.stretches)
    return all(a[1] <= b[0] and a != b for a, b in pairwise(parts))


#: One way in which a slip can happen: the letters it concerns and what is turned otherwise.
Choice = tuple[Sequence[Letter], tuple[Stretch, ...]]


class Attempt:
    """One plan, and everything that can go wrong when it is executed."""

    def __init__(self, plan: Plan) -> None:
        self.method = plan.method
        self.scramble = f"{plan.scramble} {plan.hold}"
        self.parts: list[tuple[Tokens, Tokens, Tokens]] = []
        self.letters: list[Letter] = []
        self.names: list[str] = []
        self.starts: list[int] = []
        self.tokens: Tokens = ()
        counted: dict[str, int] = defaultdict(int)
        for step in plan.steps:
            setup, swap, undo = (tuple(map(str, part)) for part in (step.setup, step.swap, step.undo))
            self.parts.append((setup, swap, undo))
            at = counted[step.orbit]
            counted[step.orbit] += 1
            self.letters.append((step.orbit, None if step.orbit == referee.PARITY else at))
            self.names.append(step.sticker)
            self.starts.append(len(self.tokens))
            self.tokens += setup + swap + undo
        self.orbits = {
            reading.orbit.name: [n for n, letter in enumerate(self.letters) if letter[0] == reading.orbit.name]
            for reading in plan.orbits
        }
        self.cycles = {
            reading.orbit.name: [(cycle.kind, len(cycle.targets)) for cycle in reading.cycles]
            for reading in plan.orbits
        }
        self.due = next((n for n, letter in enumerate(self.letters) if letter[0] == referee.PARITY), None)
        self.parity = tuple(map(str, plan.method.parity.turns))
        self.begun = play(self.scramble.split(), SOLVED)
        # As it was read; numbering the stickers by the hold makes the meant end the solved cube.
        self.meant = play(self.tokens, self.begun)

    # --- what every kind of slip may turn ---

    def span(self, first: int, last: int | None = None) -> tuple[int, int]:
        last = first if last is None else last
        return self.starts[first], self.starts[last] + len(self.step(last))

    def step(self, number: int) -> Tokens:
        setup, swap, undo = self.parts[number]
        return setup + swap + undo

    @cached_property
    def ways(self) -> dict[str, tuple[str, Tokens]]:
        """Each orbit's buffer and swap algorithm."""
        found = {}
        for way in self.method.ways:
            buffer = referee.canon(geometry(3).names[way.buffer])
            found[way.orbit.name] = buffer, tuple(str(turn.plain) for turn in way.algorithm.expand())
        return found

    def shot(self, orbit: str, name: str) -> Tokens:
        """The method's turns for one letter."""
        setup = tuple(map(str, self.method.way(orbit).setup(geometry(3).sticker(name)).turns))
        return setup + self.ways[orbit][1] + undone(setup)

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """Every single slip that leaves a trace, with what chances it has."""
        made: list[Slip] = []
        for kind, choices in self._choices():
            made += [
                Slip(kind, odds(kind) / len(choices), frozenset(letters), stretches) for letters, stretches in choices
            ]
        return tuple(slip for slip in made if self.outcome((slip,)) != self.solved)

    @cached_property
    def solved(self) -> State:
        return self.normal(self.meant)

    def normal(self, state: State) -> State:
        """A state as an eye tells it from others, however the cube is held."""
        return turned_home(state)

    def _choices(self) -> Iterator[tuple[str, list[Choice]]]:
        """Each kind at each place, with all the ways it can happen there."""
        for orbit, numbers in self.orbits.items():
            for number in numbers:
                yield from self._wrong_letters(orbit, number)
                yield from self._in_step(orbit, number)
            yield from self._among_letters(numbers)
            yield from self._in_cycles(orbit, numbers)
        first = next(iter(self.orbits.values()))
        for number in first:
            yield "wrong-length", self._miscounted(number, first)
        for number in range(len(self.letters)):
            if number == self.due:
                yield "cube-turned", [self._put_in(number, 0, (rotation,)) for rotation in ROTATIONS]
        yield from self._in_other_holds()
        yield from self._about_parity()
        for place, token in enumerate(self.tokens):
            yield from self._one_turn(place, token)
        for place in range(len(self.tokens) + 1):
            number = max((n for n, start in enumerate(self.starts) if start <= place), default=0)
            for kind, strays in (("stray-turn", STRAY_FACES), ("stray-slice", STRAY_LAYERS)):
                yield kind, [([self.letters[number]], (Stretch(place, place, (stray,)),)) for stray in strays]
        if self.tokens:
            last = self.tokens[-1]
            end = len(self.tokens)
            made = [(one,) for one in other_amounts(last)] if is_half(last) else [()]
            letter = [self.letters[-1]]
            yield "last-turn-short", [(letter, (Stretch(end - 1, end, tokens),)) for tokens in made]

    def _instead(self, first: int, last: int, made: Tokens) -> Choice:
        return self.letters[first : last + 1], (Stretch(*self.span(first, last), made),)

    def _put_in(self, number: int, offset: int, made: Tokens) -> Choice:
        place = self.starts[number] + offset
        return [self.letters[number]], (Stretch(place, place, made),)

    def _wrong_letters(self, orbit: str, number: int) -> Iterator[tuple[str, list[Choice]]]:
        meant = referee.canon(self.names[number])
        index = LETTERS.index(referee.LETTER[orbit][meant])
        face, corner = divmod(index, 4)
        groups: dict[str, list[Choice]] = defaultdict(list)
        for letter, name in referee.STICKER[orbit].items():
            if name in referee.ROUND[self.ways[orbit][0]] or name == meant:
                continue
            other_face, other_corner = divmod(LETTERS.index(letter), 4)
            if name in referee.ROUND[meant]:
                kind = "other-sticker"
            elif other_corner == corner and other_face not in (face, OPPOSITE[face]):
                kind = "look-alike"
            elif other_face == face and (other_corner - corner) % 4 in (1, 3):
                kind = "beside"
            else:
                kind = "another-letter"
            groups[kind].append(self._instead(number, number, self.shot(orbit, name)))
        yield from groups.items()

    def _in_step(self, orbit: str, number: int) -> Iterator[tuple[str, list[Choice]]]:
        setup, swap, undo = self.parts[number]

        def one(made: Tokens) -> Choice:
            return self._instead(number, number, made)

        yield "letter-left-out", [one(())]
        yield "letter-doubled", [one(self.step(number) * 2)]
        yield "swap-left-out", [one(setup + undo)]
        yield "swap-twice", [one(setup + swap + swap + undo)]
        yield "swap-inverted", [one(setup + undone(swap) + undo)]
        others = [algorithm for name, (_, algorithm) in self.ways.items() if name != orbit]
        yield "other-swap", [one(setup + algorithm + undo) for algorithm in others]
        places = sorted({0, len(setup), len(setup) + len(swap)})
        yield "cube-turned", [self._put_in(number, place, (turn,)) for place in places for turn in ROTATIONS]
        if not setup:
            return
        yield "setup-left-out", [one(swap + undo)]
        yield "setup-and-undo-left-out", [one(swap)]
        yield "undo-left-out", [one(setup + swap)]
        undos = {setup, tuple(map(backwards, setup))} - {undo}
        if undos:
            yield "undo-not-turned-round", [one(setup + swap + wrong) for wrong in sorted(undos)]
        wrong: dict[str, list[Tokens]] = defaultdict(list)
        for at, token in enumerate(setup):
            ways = {
                "setup-wrong-way": [] if is_half(token) else [backwards(token)],
                "setup-half-or-quarter": other_amounts(token),
                "setup-wide-or-narrow": other_width(token),
            }
            for kind, tokens in ways.items():
                wrong[kind] += [(*setup[:at], other, *setup[at + 1 :]) for other in tokens]
        for kind, setups in wrong.items():
            if setups:
                yield kind, [one(turned + swap + undone(turned)) for turned in setups]

    def _among_letters(self, numbers: list[int]) -> Iterator[tuple[str, list[Choice]]]:
        for one, two in pairwise(numbers):
            yield "letters-exchanged", [self._instead(one, two, self.step(two) + self.step(one))]
        for one, two in zip(numbers, numbers[2:], strict=False):
            stretches = Stretch(*self.span(one), self.step(two)), Stretch(*self.span(two), self.step(one))
            yield "letters-crossed", [([self.letters[one], self.letters[two]], stretches)]
        pairs = [(numbers[at], numbers[at + 1]) for at in range(0, len(numbers) - 1, 2)]
        for first, last in pairs:
            yield "pair-lost", [self._instead(first, last, ())]
        for (a, b), (c, d) in pairwise(pairs):
            made = self.step(c) + self.step(d) + self.step(a) + self.step(b)
            yield "pairs-exchanged", [self._instead(a, d, made)]

    def _in_cycles(self, orbit: str, numbers: list[int]) -> Iterator[tuple[str, list[Choice]]]:
        at = 0
        for kind, length in self.cycles[orbit]:
            mine = numbers[at : at + length]
            at += length
            if kind == "in place":
                yield "turned-forgotten", [self._instead(mine[0], mine[-1], ())]
            elif kind == "break":
                yield "cycle-lost", [self._instead(mine[0], mine[-1], ())]
                yield "closing-forgotten", [self._instead(mine[-1], mine[-1], ())]

    def _miscounted(self, number: int, first: list[int]) -> list[Choice]:
        if self.due is None:
            between = self.span(first[-1])[1]
            parity = Stretch(between, between, self.parity)
        else:
            parity = Stretch(*self.span(self.due), ())
        letters = [self.letters[number], (referee.PARITY, None)]
        return [(letters, (Stretch(*self.span(number), made), parity)) for made in ((), self.step(number) * 2)]

    def _traced(self, rotation: str, orbit: str) -> Tokens:
        """One orbit read with the cube turned first, breaking into the lowest letter, as the turns it would take."""
        colours = tuple(FACES[sticker // 9] for sticker in play(rotation.split(), self.begun))
        seen = referee.look(colours, orbit)
        buffer = self.ways[orbit][0]
        made: Tokens = ()
        while True:
            if referee.buffer_home(seen, buffer):
                unsolved = referee.unsolved(seen, buffer)
                if not unsolved:
                    return made
                target = min(unsolved, key=referee.LETTER[orbit].__getitem__)
            else:
                target = seen[buffer]
            made += self.shot(orbit, target)
            referee.shoot(seen, buffer, target)

    def _in_other_holds(self) -> Iterator[tuple[str, list[Choice]]]:
        held: dict[State, str] = {}
        for first in ["", *ROTATIONS]:
            for second in ["", *ROTATIONS]:
                text = f"{first} {second}".strip()
                turned = play(text.split(), SOLVED)
                held.setdefault(tuple(turned[at] for at in CENTRES), text)
        others = [text for text in held.values() if text]
        assert len(others) == 23
        read = {orbit: [self._traced(text, orbit) for text in others] for orbit in self.orbits}
        for orbit, numbers in self.orbits.items():
            if numbers:
                yield "other-hold", [self._instead(numbers[0], numbers[-1], made) for made in read[orbit]]
        if self.letters:
            parity = self.parity if self.due is not None else ()
            one, two = (read[orbit] for orbit in self.orbits)
            whole = [a + parity + b for a, b in zip(one, two, strict=True)]
            yield "all-in-other-hold", [self._instead(0, len(self.letters) - 1, made) for made in whole]

    def _about_parity(self) -> Iterator[tuple[str, list[Choice]]]:
        letters = [(referee.PARITY, None)]
        end = len(self.tokens)

        def put_in(place: int) -> Stretch:
            return Stretch(place, place, self.parity)

        if self.due is None:
            first = next(iter(self.orbits.values()))
            places = {end, self.span(first[-1])[1] if first else 0}
            if self.tokens:
                yield "parity-needless", [(letters, (put_in(place),)) for place in sorted(places)]
            return
        span = self.span(self.due)
        forgotten = Stretch(*span, ())
        yield "parity-forgotten", [(letters, (forgotten,))]
        yield "parity-inverted", [(letters, (Stretch(*span, undone(self.parity)),))]
        yield "other-swap", [(letters, (Stretch(*span, swap),)) for _, swap in self.ways.values()]
        yield "parity-early", [(letters, (put_in(0), forgotten))]
        yield "parity-late", [(letters, (forgotten, put_in(end)))]
        among = [place for place in self.starts if place not in (0, *span)]
        pairs = [(put_in(place), forgotten) if place < span[0] else (forgotten, put_in(place)) for place in among]
        if pairs:
            yield "parity-misplaced", [(letters, stretches) for stretches in pairs]

    def _one_turn(self, place: int, token: str) -> Iterator[tuple[str, list[Choice]]]:
        number = max(n for n, start in enumerate(self.starts) if start <= place)
        made: dict[str, list[Tokens]] = {
            "turn-left-out": [()],
            "turn-wrong-way": [] if is_half(token) else [(backwards(token),)],
            "turn-half-or-quarter": [(other,) for other in other_amounts(token)],
            "turn-wide-or-narrow": [(other,) for other in other_width(token)],
            "turn-other-layer": [(other,) for other in other_faces(token)],
        }
        for kind, choices in made.items():
            if choices:
                yield kind, [([self.letters[number]], (Stretch(place, place + 1, tokens),)) for tokens in choices]

    # --- turning it ---

    @cached_property
    def _before(self) -> list[State]:
        states = [self.begun]
        for token in self.tokens:
            states.append(play((token,), states[-1]))
        return states

    @cached_property
    def _rest(self) -> list[Turner]:
        """For each place, all meant turns from there on in one."""
        rests = [SOLVED]
        for token in reversed(self.tokens):
            one = play((token,), SOLVED)
            rests.append(tuple(one[at] for at in rests[-1]))
        return [cast(Turner, itemgetter(*rest)) for rest in reversed(rests)]

    def ends(self, slips: Sequence[Slip]) -> State:
        """The cube after the attempt with these slips, as it is held then."""
        parts = sorted((part for slip in slips for part in slip.stretches), key=lambda part: (part.start, part.end))
        if not parts:
            return self.meant
        state = self._before[parts[0].start]
        for part, after in pairwise([*parts, None]):
            assert part is not None
            state = play(part.made, state)
            if after is None:
                return self._rest[part.end](state)
            state = play(self.tokens[part.end : after.start], state)
        raise AssertionError

    def outcome(self, slips: Sequence[Slip]) -> State:
        """The cube that comes out, however it is held."""
        return self.normal(self.ends(slips))

    def draw(self, dice: random.Random, count: int) -> tuple[Slip, ...]:
        """So many slips as their chances have it, all of which can be made in one attempt and leave a trace."""
        odds = self._odds
        while True:
            slips = tuple(dice.choices(self.slips, odds, k=count))
            if apart(slips) and self.outcome(slips) != self.solved:
                return tuple(sorted(slips, key=lambda slip: slip.stretches[0].start))

    @cached_property
    def _odds(self) -> list[float]:
        return [slip.odds for slip in self.slips]


def odds(kind: str) -> float:
    return CHANCES[kind] / (1 - CHANCES[kind])


def story(slips: Iterable[Slip]) -> Story:
    return frozenset(letter for slip in slips for letter in slip.story)


# --- what else would have ended alike --------------------------------------------------------------------------------

Numbers = npt.NDArray[np.int64]
#: One sticker of each edge and corner: where these are tells where everything is.
SHOWING = [referee.WHERE[name] for name in ("UF", "UB", "UL", "UR", "FR", "FL", "BR", "BL", "DF", "DB", "DL", "DR")] + [
    referee.WHERE[name] for name in ("UFR", "UFL", "UBR", "UBL", "DFR", "DFL", "DBR", "DBL")
]


def inverse(state: Sequence[int]) -> State:
    back = [0] * len(state)
    for place, source in enumerate(state):
        back[source] = place
    return tuple(back)


def after(first: Sequence[int], then: Sequence[int]) -> State:
    """What turning ``first`` and ``then`` makes of a solved cube, both given as what they make of one."""
    return tuple(first[source] for source in then)


class Judge:
    """Which slips of an attempt end alike: single ones by turning them all, pairs by multiplying them.

    What multiplying finds is turned as well before it counts, so that only what it overlooks rests on algebra.
    """

    def __init__(self, attempt: Attempt) -> None:
        self.attempt = attempt
        self.by_outcome: dict[State, list[Slip]] = defaultdict(list)
        self.classes: dict[State, list[Slip]] = defaultdict(list)
        back = inverse(attempt.meant)
        for slip in attempt.slips:
            ends = attempt.ends((slip,))
            self.by_outcome[attempt.normal(ends)].append(slip)
            self.classes[after(back, ends)].append(slip)
        self.effects = list(self.classes)
        table = np.array(self.effects, dtype=np.intp)
        #: For each place, where each effect takes what is shown there.
        self._backs = np.ascontiguousarray(np.argsort(table, axis=1).T)
        dice = np.random.default_rng(1)
        # A row's print is the sum of random numbers, one for each place looked at and the sticker shown there.
        self._salt: Numbers = dice.integers(-(2**62), 2**62, size=(len(SHOWING), 54))
        prints: Numbers = np.zeros(len(table), dtype=np.int64)
        for k, place in enumerate(SHOWING):
            prints += self._salt[k][table[:, place]]
        self._order = np.argsort(prints)
        self._sorted = prints[self._order]
        self._sieve = np.zeros(2**20, dtype=bool)
        self._sieve[prints & (2**20 - 1)] = True
        self._splits = [slip for slip in attempt.slips if len(slip.stretches) == 2]

    def _equal(self, prints: Numbers) -> Iterator[tuple[int, int]]:
        """Which row has which effect, as ``(row, effect)``."""
        for row in np.nonzero(self._sieve[prints & (2**20 - 1)])[0]:
            place = int(np.searchsorted(self._sorted, prints[row]))
            while place < len(self._sorted) and self._sorted[place] == prints[row]:
                yield int(row), int(self._order[place])
                place += 1

    def _wanted(self, outcome: State) -> list[State]:
        """What slips must multiply to, for each way the cube may be held at the end."""
        goal = after(inverse(self.attempt.meant), outcome)
        return [after(goal, hold(SOLVED)) for hold in holds().values()]

    def _joined(self, wanted: State, behind: State = SOLVED, between: State = SOLVED) -> Iterator[tuple[int, int]]:
        """Effects a, b with a · between · b · behind = wanted."""
        goal = np.array(after(wanted, inverse(behind)))
        taken = inverse(between)
        prints = np.zeros(len(self.effects), dtype=np.int64)
        for k, place in enumerate(SHOWING):
            prints += self._salt[k][goal][self._backs[taken[place]]]
        for b, a in self._equal(prints):
            yield a, b

    def pairs(self, outcome: State) -> set[tuple[Slip, Slip]]:
        """Every two slips that end so."""
        found = set()
        for wanted in self._wanted(outcome):
            for a, b in self._joined(wanted):
                found |= self._turned(outcome, self.classes[self.effects[a]], self.classes[self.effects[b]])
            for split in self._splits:
                front, end = (self._part(split, part) for part in split.stretches)
                inner = after(after(inverse(front), wanted), inverse(end))
                for slip in self.classes.get(inner, ()):
                    found |= self._turned(outcome, [split], [slip])
        return found

    def _part(self, slip: Slip, part: Stretch) -> State:
        alone = Slip(slip.kind, slip.odds, slip.story, (part,))
        return after(inverse(self.attempt.meant), self.attempt.ends((alone,)))

    def _turned(
        self, outcome: State, one: Iterable[Slip], other: Iterable[Slip], *more: Slip
    ) -> set[tuple[Slip, Slip]]:
        return {
            (a, b)
            for a in one
            for b in other
            if apart((a, b, *more)) and self.attempt.outcome((a, b, *more)) == outcome
        }

    def triples_with(self, outcome: State, slip: Slip) -> set[tuple[Slip, Slip, Slip]]:
        """Every three slips that end so, of which ``slip`` is one."""
        effect = after(inverse(self.attempt.meant), self.attempt.ends((slip,)))
        found = set()
        for wanted in self._wanted(outcome):
            joined = [
                *self._joined(after(inverse(effect), wanted)),
                *self._joined(wanted, behind=effect),
                *self._joined(wanted, between=effect),
            ]
            for a, b in joined:
                pairs = self._turned(outcome, self.classes[self.effects[a]], self.classes[self.effects[b]], slip)
                found |= {(slip, *pair) for pair in pairs}
        return found

    def stories(self, slips: Sequence[Slip]) -> dict[Story, float]:
        """The odds of every story that ends as these slips do, with as many slips at most.

        Of three slips only the stories are known that keep one of them.
        """
        outcome = self.attempt.outcome(slips)
        ways: set[frozenset[Slip]] = {frozenset(slips)}
        ways |= {frozenset((slip,)) for slip in self.by_outcome[outcome]}
        if len(slips) >= 2:
            ways |= set(map(frozenset, self.pairs(outcome)))
        if len(slips) >= 3:
            ways |= {frozenset(three) for slip in slips for three in self.triples_with(outcome, slip)}
        odds: dict[Story, list[float]] = defaultdict(list)
        for way in ways:
            odds[story(way)].append(math.prod(sorted(slip.odds for slip in way)))
        # Sets have no order of their own, and the sum must not depend on it.
        return {one: math.fsum(shares) for one, shares in odds.items()}

    def identifiable(self, slips: Sequence[Slip]) -> bool:
        """Whether no other story that ends alike is as likely as the true one."""
        odds = self.stories(slips)
        mine = odds.pop(story(slips))
        return all(other < mine * (1 - 1e-9) for other in odds.values())


# --- rates -----------------------------------------------------------------------------------------------------------


def scrambles(dice: random.Random, count: int) -> list[str]:
    """Scrambles of twenty-five turns, no layer twice in a row."""
    found = []
    for _ in range(count):
        turns: list[str] = []
        while len(turns) < 25:
            turn = dice.choice(STRAY_FACES)
            if not turns or turns[-1][0] != turn[0]:
                turns.append(turn)
        found.append(" ".join(turns))
    return found


@dataclass
class Rates:
    """How often the first explanation, and one of the first three, was the true one.

    An attempt is identifiable when no other story that ends alike is as likely as the true one (see ``Judge``).
    ``same_kinds`` counts first explanations that name the very kinds that were drawn.
    """

    mistakes: int
    cases: int = 0
    first: int = 0
    among_three: int = 0
    identifiable: int = 0
    identifiable_first: int = 0
    identifiable_among_three: int = 0
    same_kinds: int = 0

    def count(self, place: int | None, identifiable: bool, same_kinds: bool) -> None:
        """Count one attempt whose true story came at ``place`` (from 0)."""
        first, three = place == 0, place is not None and place < 3
        self.cases += 1
        self.first += first
        self.among_three += three
        self.identifiable += identifiable
        self.identifiable_first += identifiable and first
        self.identifiable_among_three += identifiable and three
        self.same_kinds += first and same_kinds

    @property
    def row(self) -> list[str]:
        """The rates as the documentation lists them."""

        def share(part: int, whole: int) -> str:
            return f"{part / whole * 100:.1f}%"

        return [
            str(self.mistakes),
            str(self.cases),
            share(self.first, self.cases),
            share(self.among_three, self.cases),
            str(self.identifiable),
            share(self.identifiable_first, self.identifiable),
            share(self.identifiable_among_three, self.identifiable),
            share(self.same_kinds, self.cases),
        ]
