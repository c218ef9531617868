"""Setups: the turns that bring a target to the home target without disturbing anything that matters."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from nightfold.cube.geometry import geometry, inverse, turn_permutation
from nightfold.cube.notation import Turn, write


@dataclass(frozen=True, slots=True)
class Ease:
    """What turns cost the hand; see ``ease.toml`` for the meaning of each weight."""

    quarter: float
    half: float
    wide: float
    slice: float
    awkward: Mapping[str, float]

    def cost(self, turns: Sequence[Turn]) -> float:
        """The cost of a sequence, the sum over its turns."""
        total = 0.0
        for turn in turns:
            stem = str(turn._replace(amount=1))
            total += self.half if abs(turn.amount) == 2 else self.quarter
            total += self.slice if turn.outer != 1 else self.wide if turn.inner > 1 else 0.0
            total += self.awkward.get(stem, 0.0)
        return round(total, 6)


@dataclass(frozen=True, slots=True)
class Setup:
    """One way to bring ``sticker`` to the home target.

    ``kind`` is its class, derived from the turns: how many there are and which layers they move.  ``path`` are the
    stickers' places from the target to the home target, ``sentence`` tells the path turn by turn.
    """

    sticker: int
    turns: tuple[Turn, ...]
    path: tuple[int, ...]
    cost: float
    kind: str
    sentence: str

    @property
    def text(self) -> str:
        """The setup turns in standard notation; empty where none are needed."""
        return write(self.turns)

    @property
    def undo(self) -> tuple[Turn, ...]:
        """The turns that take the setup back."""
        return tuple(turn.inverse.plain for turn in reversed(self.turns))


def find_setups(
    size: int, targets: Sequence[int], home: int, free: Sequence[Turn], ease: Ease
) -> dict[int, tuple[Setup, ...]]:
    """Every shortest setup over the ``free`` turns for each of ``targets``, the easiest first.

    A target that the free turns cannot bring to ``home`` gets an empty tuple.
    """
    moves = {turn: inverse(turn_permutation(size, turn)) for turn in free}
    # From the home target backwards: how many turns each place is away.
    distance = {home: 0}
    queue = deque([home])
    while queue:
        place = queue.popleft()
        for turn in free:
            # A free turn's inverse is free too, so the graph may be walked in either direction.
            back = turn_permutation(size, turn)[place]
            if back not in distance:
                distance[back] = distance[place] + 1
                queue.append(back)

    def shortest(place: int) -> list[tuple[Turn, ...]]:
        if place == home:
            return [()]
        found: list[tuple[Turn, ...]] = []
        for turn in free:
            step = moves[turn][place]
            if distance.get(step, -2) == distance[place] - 1:
                found.extend((turn, *rest) for rest in shortest(step))
        return found

    table = {}
    for target in targets:
        sequences = shortest(target) if target in distance else []
        setups = [_setup(size, target, turns, moves, ease) for turns in sequences]
        table[target] = tuple(sorted(setups, key=lambda setup: (setup.cost, setup.text)))
    return table


def _setup(size: int, target: int, turns: tuple[Turn, ...], moves: dict[Turn, tuple[int, ...]], ease: Ease) -> Setup:
    path = [target]
    for turn in turns:
        path.append(moves[turn][path[-1]])
    return Setup(target, turns, tuple(path), ease.cost(turns), _kind(turns), _sentence(size, turns, path))


_NUMBER_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def number_word(number: int) -> str:
    """Small numbers as words, others as digits."""
    return _NUMBER_WORDS[number] if number < len(_NUMBER_WORDS) else str(number)


def _kind(turns: tuple[Turn, ...]) -> str:
    if not turns:
        return "no setup"
    layers = ", then ".join(str(turn._replace(amount=1)) for turn in turns)
    return f"{number_word(len(turns))} turn{'s' if len(turns) > 1 else ''}: {layers}"


def _sentence(size: int, turns: tuple[Turn, ...], path: list[int]) -> str:
    """The way of the sticker, turn by turn: "Dw' carries LF to BL, L lifts BL to UL"."""
    geo = geometry(size)
    names = geo.names
    if not turns:
        return f"{names[path[0]]} is the home target itself, so nothing is set up"
    heights = [geo.coordinates[place][0][1] for place in path]
    parts = []
    for turn, before, after, low, high in zip(turns, path, path[1:], heights, heights[1:], strict=False):
        verb = "lifts" if high > low else "lowers" if high < low else "carries"
        parts.append(f"{turn} {verb} {names[before]} to {names[after]}")
    return ", ".join(parts)


def families(turns: Sequence[Turn]) -> str:
    """Turns by layer: ``L, Lw, D`` for all three amounts of each, ``U2`` where only some are meant."""
    parts = []
    for stem, group in groupby(turns, key=lambda turn: str(turn._replace(amount=1))):
        members = list(group)
        parts.append(stem if len(members) == 3 else " ".join(map(str, members)))
    return ", ".join(parts)
