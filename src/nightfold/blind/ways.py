"""Ways of executing an orbit's letters.

A *way* turns the targets of one orbit into turns.  So far there is one, swaps of one piece at a time
(``way = "swap"``); others (3-cycles of two letters at a time, slice buffers, turning pieces in their places) become
further subclasses of ``Way`` listed in ``WAYS``: the reading, the plan and every face of the product know only ``Way``.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from nightfold.blind.errors import MethodError
from nightfold.blind.lettering import Lettering
from nightfold.blind.setups import Ease, Setup, families, find_setups
from nightfold.cube.geometry import (
    Orbit,
    Permutation,
    compose,
    geometry,
    inverse,
    permutation_of,
    turn_permutation,
)
from nightfold.cube.notation import FACE_LETTERS, Algorithm, Turn, write
from nightfold.cube.state import Cube


@dataclass(frozen=True, slots=True)
class Execution:
    """The turns that carry out one or more targets: set up, do the core, undo; ``why`` says why that works."""

    targets: tuple[int, ...]
    setup: tuple[Turn, ...]
    core: tuple[Turn, ...]
    undo: tuple[Turn, ...]
    why: str

    @property
    def turns(self) -> tuple[Turn, ...]:
        """All turns in order."""
        return self.setup + self.core + self.undo


@dataclass(frozen=True, slots=True)
class TurnVerdict:
    """Whether one outer-block turn may be used for setups, and the reason.

    ``spare`` marks a turn that would be allowed but moves this orbit just as a simpler free turn does.
    """

    turn: Turn
    free: bool
    spare: bool
    reason: str


class Way(ABC):
    """How one orbit's targets are executed, with everything derived from its few data."""

    kind: str
    orbit: Orbit
    buffer: int

    @abstractmethod
    def execute(self, targets: Sequence[int]) -> tuple[Execution, ...]:
        """The executions for ``targets`` in order."""

    @abstractmethod
    def cost(self, target: int) -> int:
        """How many turns carrying out ``target`` takes, setup and undo included."""

    @property
    @abstractmethod
    def leftover(self) -> Permutation:
        """What an odd number of targets leaves behind outside this orbit (the identity if nothing)."""


@dataclass(frozen=True)
class SwapWay(Way):
    """One piece at a time: set the target up to the home target, exchange it with the buffer, undo the setup.

    Make it with ``SwapWay.checked``; the other attributes are derived when first asked for.
    """

    orbit: Orbit
    buffer: int
    home: int
    algorithm: Algorithm
    label: str
    ease: Ease

    kind = "swap"

    @classmethod
    def checked(
        cls, orbit: Orbit, buffer: int, home: int, algorithm: Algorithm, label: str, ease: Ease
    ) -> tuple[SwapWay, tuple[str, ...]]:
        """The way and the sentences of every check that failed (none if the way works)."""
        way = cls(orbit, buffer, home, algorithm, label, ease)
        return way, tuple(way._problems())

    @cached_property
    def core(self) -> tuple[Turn, ...]:
        """The swap algorithm's single turns."""
        return tuple(turn.plain for turn in self.algorithm.expand())

    @cached_property
    def effect(self) -> Permutation:
        """What the swap algorithm does to the whole cube."""
        return permutation_of(self.core, self.orbit.size)

    @cached_property
    def leftover(self) -> Permutation:
        """The algorithm's effect outside the orbit, which an odd number of swaps leaves behind."""
        inside = self._cubies_of_orbit
        return tuple(place if place in inside else source for place, source in enumerate(self.effect))

    @cached_property
    def _cubies_of_orbit(self) -> frozenset[int]:
        """Every sticker on a cubie of the orbit (for wings that is more than the orbit's own stickers)."""
        mine = set(self.orbit.stickers)
        return frozenset(s for cubie in geometry(self.orbit.size).cubies if mine.intersection(cubie) for s in cubie)

    @cached_property
    def targets(self) -> tuple[int, ...]:
        """Every sticker that can be a target: all but the buffer piece's own."""
        own = geometry(self.orbit.size).piece_of(self.buffer)
        return tuple(sticker for sticker in self.orbit.stickers if sticker not in own)

    # --- setups ---

    @cached_property
    def verdicts(self) -> tuple[TurnVerdict, ...]:
        """Every outer-block turn of the cube with whether and why (not) it may be used for setups."""
        size = self.orbit.size
        verdicts = []
        kept: dict[Permutation, Turn] = {}
        untouched = and_list((f"the buffer {self._name(self.buffer)}", *self.disturbed_names))
        for inner in range(1, max(2, size)):
            for face in FACE_LETTERS:
                for amount in (1, 2, -1):
                    turn = Turn(face, 1, inner, amount)
                    if hindrance := self._hindrance(turn):
                        verdicts.append(TurnVerdict(turn, False, False, hindrance))
                        continue
                    source = turn_permutation(size, turn)
                    acts = tuple(source[sticker] for sticker in self.orbit.stickers)
                    like = kept.setdefault(acts, turn)
                    if acts == self.orbit.stickers:
                        spare = f"it does not move the {self.orbit.name}"
                    elif like != turn:
                        spare = f"it moves the {self.orbit.name} just as {like} does"
                    else:
                        spare = ""
                    kept_still = f"it leaves {untouched} as {'they are' if self.disturbed else 'it is'}"
                    if moved := self._piece_names(s for cycle in self.disturbed for s in cycle if source[s] != s):
                        kept_still = (
                            f"it leaves the buffer {self._name(self.buffer)} as it is and carries {and_list(moved)} "
                            f"only to one another's places, so that the {self.label} disturbs them just the same"
                        )
                    reason = spare or kept_still
                    verdicts.append(TurnVerdict(turn, not spare, bool(spare), reason))
        return tuple(verdicts)

    @cached_property
    def free(self) -> tuple[Turn, ...]:
        """The turns that setups may use."""
        order = {face: rank for rank, face in enumerate(FACE_LETTERS)}
        turns = [verdict.turn for verdict in self.verdicts if verdict.free]
        return tuple(sorted(turns, key=lambda turn: (order[turn.letter], turn.inner)))

    @cached_property
    def setups(self) -> dict[int, tuple[Setup, ...]]:
        """All shortest setups of every target, the easiest first; empty where there is none."""
        return find_setups(self.orbit.size, self.targets, self.home, self.free, self.ease)

    def setup(self, target: int) -> Setup:
        """The easiest shortest setup.  Raises MethodError for a target the free turns do not reach."""
        found = self.setups.get(target)
        if not found:
            raise MethodError(f"{self._name(target)} cannot be a target of the {self.orbit.name} in this method")
        return found[0]

    @cached_property
    def unreachable(self) -> tuple[int, ...]:
        """The targets that the free turns cannot bring to the home target."""
        return tuple(target for target, setups in self.setups.items() if not setups)

    @cached_property
    def _executions(self) -> dict[int, Execution]:
        return {}

    def execute(self, targets: Sequence[int]) -> tuple[Execution, ...]:
        """One execution a target.  Raises MethodError for a target that cannot be reached."""
        done = self._executions
        for target in targets:
            if target not in done:
                setup = self.setup(target)
                done[target] = Execution((target,), setup.turns, self.core, setup.undo, setup.sentence)
        return tuple(done[target] for target in targets)

    def cost(self, target: int) -> int:
        """Turns for one target: setup, swap algorithm, undo."""
        return len(self.core) + 2 * len(self.setup(target).turns)

    # --- as data ---

    def listed(self, every: bool = False) -> list[Setup]:
        """The easiest setup of each target, or every shortest one; class by class, the shortest class first."""
        found = [setup for setups in self.setups.values() for setup in (setups if every else setups[:1])]
        return sorted(found, key=lambda setup: (len(setup.turns), setup.kind, setup.text, setup.sticker))

    def to_dict(self) -> dict[str, Any]:
        """What was given and what follows, as plain data."""
        return {
            "orbit": self.orbit.name,
            "way": self.kind,
            "buffer": self._name(self.buffer),
            "home": self._name(self.home),
            "swap": write(self.core),
            "label": self.label,
            "free": [str(turn) for turn in self.free],
            "disturbs": list(self.disturbed_names),
            "verdicts": [
                {"turn": str(verdict.turn), "free": verdict.free, "spare": verdict.spare, "why": verdict.reason}
                for verdict in self.verdicts
            ],
        }

    def setups_to_dict(self, letters: Lettering, every: bool = False) -> dict[str, Any]:
        """The setups as plain data, each with the letter of its target; ``every`` as for ``listed``."""
        return {
            "orbit": self.orbit.name,
            "buffer": self._name(self.buffer),
            "home": self._name(self.home),
            "swap": write(self.core),
            "free": [str(turn) for turn in self.free],
            "setups": [
                {
                    "sticker": self._name(setup.sticker),
                    "letter": letters.symbol(self.orbit, setup.sticker),
                    "setup": setup.text,
                    "undo": write(setup.undo),
                    "class": setup.kind,
                    "cost": setup.cost,
                    "why": setup.sentence,
                }
                for setup in self.listed(every)
            ],
            "unreachable": [self._name(sticker) for sticker in self.unreachable],
        }

    # --- what is said about it ---

    def _name(self, sticker: int) -> str:
        return geometry(self.orbit.size).names[sticker]

    @cached_property
    def refused(self) -> dict[str, list[str]]:
        """For each reason why turns may not set up, those turns; a layer's name stands for all its turns."""
        verdicts = [verdict for verdict in self.verdicts if not verdict.free]
        found: dict[str, list[str]] = {}
        for stem in dict.fromkeys(str(verdict.turn._replace(amount=1)) for verdict in verdicts):
            mine = [verdict for verdict in verdicts if str(verdict.turn._replace(amount=1)) == stem]
            if len({verdict.reason for verdict in mine}) == 1:
                named = stem if len(mine) == 3 else " ".join(str(verdict.turn) for verdict in mine)
                found.setdefault(mine[0].reason, []).append(named)
            else:
                for verdict in mine:
                    found.setdefault(verdict.reason, []).append(str(verdict.turn))
        return found

    @cached_property
    def disturbed(self) -> tuple[tuple[int, ...], ...]:
        """The cycles of stickers that the algorithm moves outside the orbit."""
        return Cube(self.orbit.size, self.leftover).cycles()

    @cached_property
    def disturbed_names(self) -> tuple[str, ...]:
        """The pieces disturbed outside the orbit: ``("UFR", "UBR")``."""
        return self._piece_names(place for cycle in self.disturbed for place in cycle)

    def _piece_names(self, stickers: Iterable[int]) -> tuple[str, ...]:
        """The pieces that ``stickers`` belong to, each once."""
        geo = geometry(self.orbit.size)
        return tuple(dict.fromkeys(geo.piece_name(s) if geo.orbit_of(s) else geo.names[s] for s in stickers))

    def _hindrance(self, turn: Turn) -> str:
        """Why a turn must not be used for setups, or the empty text if it may."""
        source = turn_permutation(self.orbit.size, turn)
        if source[self.buffer] != self.buffer:
            return f"it carries the buffer {self._name(self.buffer)} away"
        # What the swap disturbs elsewhere must be the same places whether or not the turn was made before.
        if compose(source, self.leftover) != compose(self.leftover, source):
            moved = self._piece_names(s for cycle in self.disturbed for s in cycle if source[s] != s)
            return f"it moves {and_list(moved)}, which the {self.label} disturbs"
        return ""

    def _problems(self) -> list[str]:
        """Every way in which the data cannot work, as sentences a person can act on."""
        geo = geometry(self.orbit.size)
        name = self._name
        where = f"{self.orbit.name}: "
        if self.home in geo.piece_of(self.buffer):
            return [
                f"{where}the home target {name(self.home)} is on the buffer piece {geo.piece_name(self.buffer)}; "
                "it must be on another piece"
            ]
        effect = self.effect
        adrift = [face for face, centre in geo.fixed_centres.items() if effect[centre] != centre]
        if adrift:
            return [
                f"{where}the {self.label} leaves the cube turned or a middle layer moved (the {adrift[0]} centre is "
                "not back); add the rotation or slice turn that takes this back"
            ]
        goes = inverse(effect)
        buffer, home = self.buffer, self.home
        if goes[buffer] != home or goes[home] != buffer:
            return [f"{where}the {self.label} must exchange {name(buffer)} and {name(home)}, but {self._really(goes)}"]
        own = {*geo.piece_of(buffer), *geo.piece_of(home)}
        stray = [s for s in self.orbit.stickers if s not in own and goes[s] != s]
        if stray:
            names = and_list(self._piece_names(stray))
            return [
                f"{where}the {self.label} exchanges {name(buffer)} and {name(home)} but also moves {names}; "
                "a swap algorithm may move no other piece of its orbit"
            ]
        problems = []
        left = self.leftover
        if compose(left, left) != tuple(range(len(left))):
            problems.append(
                f"{where}doing the {self.label} twice does not restore {and_list(self.disturbed_names)}; what a swap "
                "disturbs elsewhere must come back when it is done again"
            )
        if self.unreachable and not problems:
            named = and_list(tuple(name(s) for s in self.unreachable[:8])) + (" …" if len(self.unreachable) > 8 else "")
            turns = families(self.free) or "none"
            problems.append(
                f"{where}{len(self.unreachable)} of {len(self.targets)} targets cannot be set up with the free turns "
                f"({turns}): {named}; choose another buffer, home target or swap algorithm"
            )
        return problems

    def _really(self, goes: Permutation) -> str:
        """What the algorithm does with the buffer instead of what it should."""
        name, buffer = self._name, self.buffer
        to = goes[buffer]
        if to == buffer:
            moved = self._piece_names(s for s in self.orbit.stickers if goes[s] != s)
            if not moved:
                return f"it moves none of the {self.orbit.name}"
            return f"it leaves {name(buffer)} where it is and moves {and_list(moved[:6])}"
        if goes[to] == buffer:
            return f"it exchanges {name(buffer)} and {name(to)}; the home target would be {name(to)}"
        return f"it carries {name(buffer)} to {name(to)} and that on to {name(goes[to])}, which is no exchange"


def and_list(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    if len(words) <= 1:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


#: The ways a method file can name.
WAYS = {SwapWay.kind: SwapWay}
