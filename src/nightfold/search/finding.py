"""Finding algorithms: every shortest sequence of chosen turns with a wanted effect, ranked by how it feels.

The native finder meets in the middle (native/finder.hpp); here wishes become effects, and what it returns is replayed,
written as commutators and conjugates where it is one, and put in order.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import TURNS_LIKE, geometry
from nightfold.cube.notation import Algorithm, Turn, parse_turns, write
from nightfold.cube.sequences import count as count_turns
from nightfold.cube.state import Cube
from nightfold.search.effects import EffectError, illegal_reason
from nightfold.search.hands import Hands, default_hands
from nightfold.search.native import BYTES, core, pack, pack_turns
from nightfold.search.shape import as_brackets

#: The six faces, each by any amount.
FACES = "U D L R F B"
#: How many turns longer than the shortest may be asked for.
MOST_EXTRA = 6
#: Bytes of memory the finder's table may take when nothing else is said.
MEMORY = 512 << 20
#: About how many sequences are walked at most when no longest length is said; some seconds' work.
_PATIENCE = 150_000_000

#: Told the length being searched and how many sequences were walked; returns False to stop.
Progress = Callable[[int, int], bool]


class FindingError(NightfoldError):
    """A set of turns that cannot be searched."""


@dataclass(frozen=True, slots=True)
class Found:
    """One algorithm with the wanted effect.  ``form`` is the shortest of its bracket forms, None if it has none."""

    turns: tuple[Turn, ...]
    form: Algorithm | None
    cost: float
    obtm: int
    stm: int

    def __str__(self) -> str:
        return write(self.turns)

    def to_dict(self) -> dict[str, Any]:
        """The algorithm as plain data."""
        form = str(self.form) if self.form else None
        return {"algorithm": str(self), "form": form, "cost": self.cost, "obtm": self.obtm, "stm": self.stm}


@dataclass(frozen=True, slots=True)
class Findings:
    """What a search brought.

    ``algorithms`` are ordered by cost.  Every sequence of the chosen turns up to ``proven`` turns was tried, so that
    none shorter than ``shortest`` exists (None if none was found).  ``memory_bound`` tells that the table would have
    liked more memory, ``cut`` that there were more than could be kept, ``stopped`` that the search was ended early.
    ``turns`` are those it was searched with, as they were asked for.
    """

    algorithms: tuple[Found, ...]
    proven: int
    shortest: int | None
    walked: int
    memory_bound: bool
    cut: bool
    stopped: bool
    turns: str = FACES

    def best(self, count: int) -> Iterator[Found]:
        """The easiest ``count`` of them, each with its bracket form, which takes a moment to look for."""
        return map(with_form, self.algorithms[:count])

    def to_dict(self, shown: Sequence[Found]) -> dict[str, Any]:
        """What was found as plain data, with those algorithms of it that are to be told."""
        return {
            "turns": self.turns,
            "shortest": self.shortest,
            "proven": self.proven,
            "found": len(self.algorithms),
            "memory_bound": self.memory_bound,
            "cut": self.cut,
            "algorithms": [one.to_dict() for one in shown],
        }


@dataclass(frozen=True, slots=True)
class _TurnSet:
    turns: tuple[Turn, ...]
    finder: core.Finder


def parse_turn_set(text: str) -> tuple[Turn, ...]:
    """The turns a search may use: ``R`` allows R, R2 and R', ``R'`` the quarter turns only, ``R2`` the half turn only.

    Slices, wide turns and rotations may be among them.  Raises NotationError or FindingError.
    """
    stems: dict[Turn, set[int]] = {}
    for turn in parse_turns(text):
        amounts = {1: {1, 2, -1}, -1: {1, -1}, 2: {2}, -2: {2}}[turn.amount]
        stems.setdefault(turn._replace(amount=1), set()).update(amounts)
    turns = tuple(stem._replace(amount=a) for stem, amounts in stems.items() for a in (1, 2, -1) if a in amounts)
    if not turns:
        raise FindingError(f"there are no turns to search with; name some, as in {FACES}")
    if len(turns) > 63:
        raise FindingError(f"{len(turns)} different turns are too many to search with; at most 63 can be")
    return turns


@lru_cache(maxsize=4)
def _turn_set(text: str) -> _TurnSet:
    turns = parse_turn_set(text)
    stems = list(dict.fromkeys(turn._replace(amount=1) for turn in turns))
    axis = {"L": 0, "R": 0, "U": 1, "D": 1, "F": 2, "B": 2}
    finder = core.Finder(
        pack_turns(turns),
        [stems.index(turn._replace(amount=1)) for turn in turns],
        [axis[TURNS_LIKE.get(turn.letter, turn.letter)] for turn in turns],
        [turns.index(turn.inverse.plain) for turn in turns],
    )
    return _TurnSet(turns, finder)


def _flags(any_pieces: Iterable[str]) -> list[bool]:
    """Which bytes of a packed cube matter, given the orbits or pieces that may go anywhere."""
    geo = geometry(3)
    matters = [True] * BYTES
    starts = {"edges": 0, "corners": 16}
    for name in any_pieces:
        if name in starts:
            orbit = geo.orbit(name)
            numbers = list(range(len(orbit.pieces)))
        else:
            sticker = geo.sticker(name)
            found = geo.orbit_of(sticker)
            if found is None:
                raise EffectError(f"{name} is a centre; edges, corners, or pieces of theirs may be left open")
            orbit = found
            numbers = [orbit.pieces.index(geo.piece_of(sticker))]
        for number in numbers:
            matters[starts[orbit.name] + number] = False
    return matters


def find(
    wanted: Cube,
    turns: str = FACES,
    *,
    longest: int | None = None,
    extra: int = 0,
    any_pieces: Sequence[str] = (),
    hands: Hands | None = None,
    memory: int = MEMORY,
    threads: int | None = None,
    most: int = 20_000,
    progress: Progress | None = None,
) -> Findings:
    """Every shortest sequence of ``turns`` with the effect of ``wanted``, and those up to ``extra`` turns longer.

    ``longest`` is the greatest length searched; left out, lengths are tried until the work would take more than some
    seconds.  ``any_pieces`` are orbits (``corners``) or pieces (``UFL``) that may end up anywhere.  ``memory`` bounds
    the bytes of the finder's table: a smaller table makes the search slower, never incomplete.  Centres stay home.

    Raises EffectError when no turns can have the effect, NotationError or FindingError for the turns.
    """
    if wanted.size != 3:
        raise EffectError("effects are searched on the 3x3x3 only")
    if longest is not None and not 0 <= longest <= 20:
        raise FindingError(f"{longest} turns cannot be searched; the longest is 0 to 20")
    if not 0 <= extra <= MOST_EXTRA:
        raise FindingError(f"{extra} turns more than the shortest cannot be searched; 0 to {MOST_EXTRA} can")
    chosen = _turn_set(turns)
    matters = _flags(any_pieces)
    if all(matters) and (reason := illegal_reason(wanted)):
        raise EffectError(f"no turns have this effect: {reason}")
    told = chosen.finder.find(
        pack(wanted),
        matters,
        longest if longest is not None else _patient_length(chosen, memory),
        extra=extra,
        memory=memory,
        most=most,
        threads=threads or os.cpu_count() or 1,
        progress=progress,
    )
    weights = hands or default_hands()
    algorithms = []
    for sequence in told["sequences"]:
        made = tuple(chosen.turns[number] for number in sequence)
        if not _has_effect(made, wanted, matters):
            raise AssertionError(f"the finder returned {write(made)}, which does something else")
        counts = count_turns(made)
        algorithms.append((weights.cost(made), len(made), made, counts.obtm, counts.stm))
    algorithms.sort()
    return Findings(
        algorithms=tuple(Found(made, None, cost, obtm, stm) for cost, _, made, obtm, stm in algorithms),
        proven=told["proven"],
        shortest=min((length for _, length, *_ in algorithms), default=None),
        walked=told["walked"],
        memory_bound=told["memory_bound"],
        cut=told["cut"],
        stopped=told["stopped"],
        turns=turns,
    )


def with_form(found: Found) -> Found:
    """The same algorithm with its bracket form looked for, which takes a moment and so is done for what is shown."""
    return Found(found.turns, as_brackets(found.turns), found.cost, found.obtm, found.stm)


def _patient_length(chosen: _TurnSet, memory: int) -> int:
    """The greatest length whose walk stays within the patience, given the table that fits into memory."""
    depth = 0
    while depth < 9 and chosen.finder.sequences_of(depth + 1) * 32 + 4096 <= memory:
        depth += 1
    rest = 0
    while rest < 9 and rest < depth + 1 and chosen.finder.sequences_of(rest + 1) <= _PATIENCE:
        rest += 1
    return min(20, depth + rest)


def _has_effect(turns: tuple[Turn, ...], wanted: Cube, matters: list[bool]) -> bool:
    """Replay on the plain cube: every piece that matters is sent where it should be."""
    made = Cube.from_turns(turns)
    if all(matters):
        return made == wanted
    geo = geometry(3)
    for orbit, start in (("edges", 0), ("corners", 16)):
        for piece, stickers in enumerate(geo.orbit(orbit).pieces):
            if matters[start + piece] and any(
                made.stickers.index(sticker) != wanted.stickers.index(sticker) for sticker in stickers
            ):
                return False
    return all(made.stickers[centre] == centre for centre in geo.fixed_centres.values())
