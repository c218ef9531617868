"""The inquest: from what was meant and what came out to the slips that explain it, the likeliest first.

Every slip of the catalogue, at every place, is one group element; the native join (native/inquest.hpp) covers all
combinations of one, two and three of them.  What it finds is replayed on the plain cube before it is shown, and the
odds of all explanations together make their probabilities.
"""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from nightfold.blind.errors import ReadingError
from nightfold.blind.hold import as_held
from nightfold.blind.method import Method
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import BreakPoint, Chooser
from nightfold.coach.memo import read_memo
from nightfold.coach.mistakes import (
    Slip,
    Slips,
    alternatives,
    catalogue,
    namer,
    packed_rotations,
    strays,
    turn_table,
)
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import compose, geometry, rotation_permutations
from nightfold.cube.notation import Turn, write
from nightfold.cube.state import Cube
from nightfold.search.native import core, pack


class InquestError(NightfoldError):
    """A question the inquest cannot answer: a cube of other colours, a memo that cannot be executed."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One slip of an explanation, in words.  ``at`` is the index of its letter from 0, None where it has none."""

    kind: str
    orbit: str
    at: int | None
    letter: str
    say: str
    felt: str
    hint: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Slips that together lead to the cube that came out.

    ``turns`` are what was turned then, from the scrambled cube as held; replaying them gives just that cube.
    """

    probability: float
    mistakes: tuple[Mistake, ...]
    turns: tuple[Turn, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What an inquest found.

    ``searched`` counts the single slips, pairs and triples that were covered.  ``nearest`` is the single slip (or none)
    that comes nearest when nothing explains the cube in full, leaving ``nearest_wrong`` pieces unexplained.
    """

    plan: Plan
    explanations: tuple[Explanation, ...]
    searched: tuple[int, int, int]
    nearest: Mistake | None
    nearest_wrong: int
    solved: bool

    def to_dict(self) -> dict[str, Any]:
        """The verdict as plain data, in the stable form that docs/inquest.md describes."""
        return {
            "solved": self.solved,
            "explanations": [
                {
                    "probability": round(one.probability, 6),
                    "mistakes": [_mistake_data(mistake) for mistake in one.mistakes],
                    "turns": write(one.turns),
                    "replays": True,
                }
                for one in self.explanations
            ],
            "searched": dict(zip(("singles", "pairs", "triples"), self.searched, strict=True)),
            "nearest": None
            if self.nearest is None
            else {**_mistake_data(self.nearest), "pieces_left_wrong": self.nearest_wrong},
        }


def _mistake_data(mistake: Mistake) -> dict[str, Any]:
    return {
        "kind": mistake.kind,
        "orbit": mistake.orbit,
        "at": mistake.at,
        "letter": mistake.letter,
        "say": mistake.say,
        "felt": mistake.felt,
        "hint": mistake.hint,
    }


# --- the question --------------------------------------------------------------------------------------------


def meant_plan(
    cube: Cube | str,
    memos: Mapping[str, str | Sequence[str]],
    method: Method,
    lettering: str | None = None,
    hold: str | None = None,
) -> Plan:
    """The plan a solver meant to execute: that of the memo they give, right or wrong, else the tool's own reading.

    A memo is followed letter by letter.  Where it is a right memo, its breaks are simply chosen in the reading.  Raises
    InquestError when a memo is no right memo of the cube: mark it first.
    """
    plan = make_plan(cube, method, lettering, hold)
    choosers: dict[str, Chooser] = {}
    for name, memo in memos.items():
        way = method.way(name)
        text = memo if isinstance(memo, str) else " ".join(memo)
        choosers[name] = _Following(list(read_memo(text, way.orbit, plan.lettering)))
    if not choosers:
        return plan
    try:
        followed = make_plan(cube, method, lettering, hold, choosers)
    except ReadingError:
        followed = None
    for reading in (followed or plan).orbits:
        follower = choosers.get(reading.orbit.name)
        if follower is None:
            continue
        assert isinstance(follower, _Following)
        if followed is None or [target.sticker for target in reading.targets] != follower.memo:
            raise InquestError(
                f"the {reading.orbit.name} memo is no right memo of this cube, so what was meant is already wrong; "
                "nightfold mark tells where"
            )
    assert followed is not None
    return followed


class _Following:
    """Makes the breaks that a memo makes."""

    def __init__(self, memo: list[int]) -> None:
        self.memo = memo

    def __call__(self, point: BreakPoint) -> int:
        # The next letter of the memo that can be broken into and has not been used is the break.
        used = getattr(self, "_used", 0)
        for at in range(used, len(self.memo)):
            if self.memo[at] in point.options:
                self._used = at + len(point.options[self.memo[at]])
                return self.memo[at]
        return next(iter(point.options))


def as_seen(plan: Plan, cube: Cube, scheme: Sequence[str]) -> Cube:
    """A cube given by its colours as it stands in the plan's hold, numbered like the plan's cube.

    Raises InquestError when its colours are not those of the plan's cube, or lie otherwise on it.
    """
    if set(scheme) != set(plan.scheme):
        raise InquestError(
            f"the cube that came out has the colours {' '.join(sorted(scheme))}, the scrambled one "
            f"{' '.join(sorted(plan.scheme))}; they must be the same"
        )
    area = cube.size**2
    centres = geometry(cube.size).fixed_centres
    for permutation in rotation_permutations(cube.size).values():
        turned = Cube(cube.size, compose(cube.stickers, permutation))
        shown = tuple(scheme[turned.stickers[at] // area] for at in centres.values())
        if shown == tuple(plan.scheme):
            return as_held(turned)
    raise InquestError("the centres of the cube that came out lie otherwise than on the scrambled cube")


# --- the inquest ---------------------------------------------------------------------------------------------


def hold_inquest(
    plan: Plan,
    final: Cube,
    *,
    mistakes: int = 3,
    top: int = 5,
    threads: int | None = None,
    triple_singles: int = 12_000,
) -> Verdict:
    """Which slips explain that ``final`` came out when ``plan`` was meant.

    ``final`` is numbered like ``plan.cube`` (see ``as_seen``), held in any way.  At most ``mistakes`` slips (1 to 3)
    are combined; ``top`` explanations are given.  Raises InquestError for other numbers.
    """
    if not 1 <= mistakes <= 3:
        raise InquestError(f"{mistakes} mistakes cannot be asked for; 1 to 3 can")
    if top < 1:
        raise InquestError(f"the best {top} explanations are none; ask for 1 or more")
    slips = Slips(plan)
    _, numbers, packed = turn_table()
    goal = _turned_home(final)
    told, searched, near, near_wrong = core.inquire(
        packed,
        [numbers[turn] for turn in slips.meant],
        [(slip.start, slip.end, [numbers[turn] for turn in slip.turns], slip.weight) for slip in slips.edits],
        [[(number, weight) for number, weight, _ in choices] for choices in alternatives()],
        [0.0] * len(slips.meant),
        list(strays()),
        packed_rotations(),
        pack(goal),
        mistakes,
        max(200, top),
        triple_singles,
        threads or os.cpu_count() or 1,
    )
    name = namer(slips)
    found = [(weight, [name(*slip) for slip in made]) for weight, made in told]
    total = sum(math.exp(weight) for weight, _ in found)
    explanations = []
    for weight, made in found[:top]:
        turned = _with_slips(slips.meant, made)
        if not plan.cube.apply(turned).same_up_to_rotation(goal):
            raise AssertionError("an explanation does not lead to the cube that came out")
        explanations.append(Explanation(math.exp(weight) / total, tuple(map(_mistake, made)), turned))
    nearest = None
    if not found and near[1]:
        nearest = _mistake(name(*near[1][0]))
    return Verdict(plan, tuple(explanations), searched, nearest, near_wrong, goal.is_solved)


def _turned_home(cube: Cube) -> Cube:
    """The cube turned as a whole until its centres are home."""
    centres = geometry(cube.size).fixed_centres.values()
    return next(
        Cube(cube.size, turned)
        for turned in (compose(cube.stickers, held) for held in rotation_permutations(cube.size).values())
        if all(turned[centre] == centre for centre in centres)
    )


def _with_slips(meant: Sequence[Turn], slips: Sequence[Slip]) -> tuple[Turn, ...]:
    """The turns that were made: the meant ones with every slip in its place."""
    turned: list[Turn] = []
    at = 0
    for slip in slips:
        turned += [*meant[at : slip.start], *slip.turns]
        at = slip.end
    return (*turned, *meant[at:])


def _mistake(slip: Slip) -> Mistake:
    kind = catalogue()[slip.kind]
    return Mistake(
        kind.name, slip.orbit, slip.at, slip.letter, slip.told(kind.say), slip.told(kind.felt), slip.told(kind.hint)
    )
