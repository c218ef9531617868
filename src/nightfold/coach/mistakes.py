"""The catalogue of slips: what can go wrong in an attempt, how likely it is, and what is said about it.

The kinds and their words are data, in ``mistakes.toml``.  ``nightfold.coach.slips`` finds every place in a plan where
they can happen.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import NamedTuple

from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import rotation_permutations
from nightfold.cube.notation import FACE_LETTERS, Turn, parse_turns
from nightfold.cube.state import Cube
from nightfold.search.native import pack, pack_turns


class InquestError(NightfoldError):
    """A question the inquest cannot answer: a cube of other colours, a memo that cannot be executed."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of slip; see ``mistakes.toml`` for what its parts mean."""

    name: str
    chance: float
    each: str
    where: str
    about: str
    say: str
    felt: str
    hint: str


@cache
def catalogue() -> Mapping[str, Kind]:
    """Every kind of slip by name."""
    data = tomllib.loads(Path(__file__).with_name("mistakes.toml").read_text("utf-8"))
    return {name: Kind(name, **fields) for name, fields in data.items()}


#: What the chances of kinds are multiplied by, as sorted pairs.
Scaling = tuple[tuple[str, float], ...]
#: However often a slip was seen, at one place it stays the exception; and what never happened yet still may.
_MOST, _LEAST = 0.5, 1e-9


def scaling(priors: Mapping[str, float] | None) -> Scaling:
    """Factors for the chances of some kinds, checked.  Raises InquestError for a kind or a number there is not."""
    for name, factor in (priors or {}).items():
        if name not in catalogue():
            raise InquestError(f"“{name[:40]}” is no kind of mistake; kinds are {', '.join(catalogue())}")
        if not (math.isfinite(factor) and factor >= 0):
            raise InquestError(f"the chance of {name} is multiplied by {factor}; it must be a number from 0 on")
    return tuple(sorted((priors or {}).items()))


@lru_cache(maxsize=64)
def weights(scaled: Scaling = ()) -> Mapping[str, float]:
    """The logarithm of the odds of every kind at one place."""
    factors = dict(scaled)

    def weight(kind: Kind) -> float:
        chance = min(_MOST, max(_LEAST, kind.chance * factors.get(kind.name, 1.0)))
        return math.log(chance / (1 - chance))

    return {name: weight(kind) for name, kind in catalogue().items()}


# --- slips ---------------------------------------------------------------------------------------------------


class Stretch(NamedTuple):
    """The meant turns ``start`` to ``end`` (exclusive), and what was turned instead."""

    start: int
    end: int
    turns: tuple[Turn, ...]


#: A letter of a plan: its orbit and its index in the orbit's memo, None for the parity step.
Letter = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip at one place of a plan: one stretch of the meant turns replaced, or two.

    ``letters`` are all letters it concerns, ``orbit``, ``at`` and ``letter`` tell the first of them (``at`` is None
    where it is about none).  ``fields`` fill the kind's sentences.
    """

    kind: str
    parts: tuple[Stretch, ...]
    weight: float
    letters: tuple[Letter, ...]
    letter: str
    fields: Mapping[str, str]

    @property
    def orbit(self) -> str:
        """The orbit of its first letter; ``parity`` for the parity step, empty where the plan has no steps."""
        return self.letters[0][0] if self.letters else ""

    @property
    def at(self) -> int | None:
        """The index of its first letter in the orbit's memo."""
        return self.letters[0][1] if self.letters else None

    def told(self, sentence: str) -> str:
        """One of the kind's sentences, filled in."""
        return sentence.format_map(_Filled(self.fields))


class _Filled(dict[str, str]):
    """Fields of a sentence; what was not said stays out."""

    def __missing__(self, key: str) -> str:
        return ""


def turned_with(meant: Sequence[Turn], parts: Iterable[Stretch]) -> tuple[Turn, ...]:
    """The turns that were made: the meant ones with every stretch replaced, given in the order of turning.

    Raises ValueError for stretches that overlap or are out of order.
    """
    turned: list[Turn] = []
    at = 0
    for part in parts:
        if part.start < at:
            raise ValueError("stretches that overlap cannot both be replaced")
        turned += [*meant[at : part.start], *part.turns]
        at = part.end
    return (*turned, *meant[at:])


# --- single turns --------------------------------------------------------------------------------------------


@cache
def turn_table() -> tuple[tuple[Turn, ...], dict[Turn, int], bytes]:
    """Every single turn of the 3x3x3: faces, wide turns, slices, rotations; their numbers; and all of them packed.

    A half turn has its number whichever way it is written to go.
    """
    stems = [*FACE_LETTERS, *(f"{face}w" for face in FACE_LETTERS), *"MESxyz"]
    turns = tuple(parse_turns(stem + amount)[0] for stem in stems for amount in ("", "2", "'"))
    numbers = {turn: number for number, turn in enumerate(turns)}
    numbers |= {turn._replace(amount=-2): number for turn, number in numbers.items() if turn.amount == 2}
    return turns, numbers, pack_turns(turns)


def coded(turns: Sequence[Turn]) -> bytes:
    """Turns as their numbers in the table."""
    numbers = turn_table()[1]
    return bytes([numbers[turn] for turn in turns])


@cache
def packed_rotations() -> bytes:
    """The 24 whole-cube rotations packed, that of no turn first."""
    return b"".join(pack(Cube(3, permutation)) for permutation in rotation_permutations(3).values())


#: What may be made in the place of a turn, or between two: turn number (-1 for none), weight, kind of slip.
Choice = tuple[int, float, str]
#: How many turns of the table are of one face, and how many of any layers.
_FACE_TURNS, _LAYER_TURNS = 18, 45


@lru_cache(maxsize=64)
def alternatives(scaled: Scaling = ()) -> tuple[tuple[Choice, ...], ...]:
    """For each turn of the table what may be made in its place."""
    turns, numbers, _ = turn_table()
    weight = weights(scaled)

    def one(turn: Turn) -> tuple[Choice, ...]:
        found: dict[int, tuple[float, str]] = {-1: (weight["turn-left-out"], "turn-left-out")}

        def may_be(other: Turn, kind: str, share: int = 1) -> None:
            number = numbers[other.plain]
            if other.plain != turn.plain and number not in found:
                found[number] = weight[kind] - math.log(share), kind

        if abs(turn.amount) == 1:
            may_be(turn.inverse, "turn-wrong-way")
            may_be(turn._replace(amount=2), "turn-half-or-quarter")
        else:
            may_be(turn._replace(amount=1), "turn-half-or-quarter", 2)
            may_be(turn._replace(amount=-1), "turn-half-or-quarter", 2)
        if turn.letter in FACE_LETTERS:
            may_be(turn._replace(inner=3 - turn.inner), "turn-wide-or-narrow")
            others = [face for face in FACE_LETTERS if face != turn.letter]
            # The same way round as likely as the other; a half turn is both.
            amounts = (turn.amount, -turn.amount) if abs(turn.amount) == 1 else (2,)
            for face in others:
                for amount in amounts:
                    may_be(turn._replace(letter=face, amount=amount), "turn-other-layer", len(others) * len(amounts))
        return tuple((number, weight, kind) for number, (weight, kind) in found.items())

    return tuple(one(turn) for turn in turns)


@lru_cache(maxsize=64)
def strays(scaled: Scaling = ()) -> tuple[Choice, ...]:
    """Turns that may slip in between any two: of a face, and of a middle layer or two layers."""
    weight = weights(scaled)
    face = weight["stray-turn"] - math.log(_FACE_TURNS)
    other = weight["stray-slice"] - math.log(_LAYER_TURNS - _FACE_TURNS)
    return tuple(
        (number, face, "stray-turn") if number < _FACE_TURNS else (number, other, "stray-slice")
        for number in range(_LAYER_TURNS)
    )
