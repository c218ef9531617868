"""How a sequence feels in the hands: a documented cost whose weights are data.

The model: the right wrist turns R and Rw, the left wrist L and Lw.  A wrist starts at rest and
can go ``wrist`` quarter turns either way; when the next turn would take it further, the hand takes a new grip, which
costs ``regrip`` and puts it at rest.  All other layers are turned by fingers: clockwise U, D', F by the right hand and
the opposite turns by the left; two finger turns of one hand in a row on different layers cost ``again`` more.  The
weights are common practice, no source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import Turn


class WeightsError(NightfoldError):
    """A file of weights that cannot be used."""


@dataclass(frozen=True, slots=True)
class Hands:
    """The weights of ``hands.toml``: what each turn costs, and what the hands' changes cost."""

    turn: dict[str, float]
    half: float
    again: float
    wrist: int
    regrip: float

    def cost(self, turns: Sequence[Turn]) -> float:
        """What ``turns`` cost the hands, done from a relaxed grip."""
        total = 0.0
        wrists = {"R": 0, "L": 0}
        last: tuple[str, str] | None = None
        for turn in turns:
            total += self._one(turn)
            hand, layer = self._hand(turn)
            if layer in wrists:
                # Half turns may go either way; a wrist takes the one that leaves it nearer rest.
                ways = (2, -2) if abs(turn.amount) == 2 else (self._way(turn),)
                reached = min((wrists[layer] + way for way in ways), key=abs)
                if abs(reached) > self.wrist + (1 if abs(turn.amount) == 2 else 0):
                    total += self.regrip
                    reached = min(ways, key=abs)
                wrists[layer] = reached
                last = None
            elif layer:
                if last is not None and last[0] == hand and last[1] != layer:
                    total += self.again
                last = (hand, layer)
            else:
                wrists = {"R": 0, "L": 0}
                last = None
        return round(total, 6)

    def _one(self, turn: Turn) -> float:
        weight = self.turn["rotation"] if turn.is_rotation else self.turn[turn.letter]
        if turn.inner > 1:
            weight += self.turn["wide"]
        return weight * (self.half if abs(turn.amount) == 2 else 1.0)

    @staticmethod
    def _way(turn: Turn) -> int:
        """Which way the wrist goes: up (away) is positive for both hands."""
        return turn.amount if turn.letter == "R" else -turn.amount

    @staticmethod
    def _hand(turn: Turn) -> tuple[str, str]:
        """The hand and what it uses: a wrist (``R`` or ``L``), fingers on a layer, or nothing for a rotation."""
        if turn.is_rotation:
            return "", ""
        if turn.letter in "RL":
            return turn.letter, turn.letter
        right = (turn.amount in (1, 2)) == (turn.letter in "UFSB")
        return ("R" if right else "L"), turn.letter


_KEYS = {
    "turn": ("U", "R", "L", "F", "D", "B", "wide", "M", "E", "S", "rotation"),
    "hand": ("half", "again", "wrist", "regrip"),
}


@cache
def default_hands() -> Hands:
    """The weights that come along."""
    path = Path(__file__).with_name("hands.toml")
    return _hands(tomllib.loads(path.read_text("utf-8")), None, path.name)


def load_hands(path: str | Path) -> Hands:
    """Weights from a file of one's own; numbers that are left out keep their usual value.

    Raises WeightsError when the file cannot be read or holds something else.
    """
    name = Path(path).name
    try:
        data = tomllib.loads(Path(path).read_text("utf-8"))
    except (OSError, ValueError) as trouble:
        reason = getattr(trouble, "strerror", None) or str(trouble)
        raise WeightsError(f"the weights “{str(path)[:80]}” cannot be read: {reason}") from None
    return _hands(data, default_hands(), name)


def _hands(data: dict[str, Any], base: Hands | None, name: str) -> Hands:
    found: dict[str, dict[str, float]] = {"turn": dict(base.turn) if base else {}, "hand": {}}
    if base:
        found["hand"] = {key: float(getattr(base, key)) for key in _KEYS["hand"]}
    for part, table in data.items():
        if part not in _KEYS or not isinstance(table, dict):
            raise WeightsError(f"{name}: “{part[:40]}” is not known here; known are [turn] and [hand]")
        for key, value in table.items():
            if key not in _KEYS[part]:
                raise WeightsError(f"{name}, [{part}]: “{key[:40]}” is not known; known are {', '.join(_KEYS[part])}")
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1000:
                raise WeightsError(f"{name}, [{part}]: “{key}” must be a number from 0 to 1000, not {value!r:.40}")
            found[part][key] = float(value)
    hand = found["hand"]
    return Hands(found["turn"], hand["half"], hand["again"], int(hand["wrist"]), hand["regrip"])
