"""What an algorithm is and does, all of it together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Algorithm, Turn, parse, write
from nightfold.cube.sequences import Counts, cancel, count, mirror
from nightfold.cube.state import Cube


@dataclass(frozen=True, slots=True)
class Account:
    """An algorithm, its single ``turns``, and the cube they make of a solved one."""

    algorithm: Algorithm
    turns: tuple[Turn, ...]
    cube: Cube

    @property
    def counts(self) -> Counts:
        """How many turns it has."""
        return count(self.turns)

    @property
    def shortened(self) -> tuple[Turn, ...]:
        """Its turns without waste."""
        return cancel(self.turns)

    @property
    def inverse(self) -> tuple[Turn, ...]:
        """The turns that take it back, without waste."""
        return cancel(self.algorithm.inverse().expand())

    @property
    def mirrored(self) -> tuple[Turn, ...]:
        """Its turns with left and right exchanged."""
        return mirror(self.turns)

    @property
    def cycles(self) -> dict[str, list[list[str]]]:
        """The cycles of stickers it makes, by name, for each orbit, and of the centres where they move."""
        geo = geometry(self.cube.size)
        found: dict[str, list[list[str]]] = {}
        for cycle in self.cube.cycles():
            orbit = geo.orbit_of(cycle[0])
            # The second stickers of wings only repeat what the first ones tell; centres that move tell the hold.
            kind = orbit.name if orbit else "centres" if len(geo.names[cycle[0]]) == 1 else ""
            if kind:
                found.setdefault(kind, []).append([geo.names[sticker] for sticker in cycle])
        return found

    def to_dict(self) -> dict[str, Any]:
        """All of it as plain data."""
        counts = self.counts
        return {
            "algorithm": str(self.algorithm),
            "size": self.cube.size,
            "expanded": write(self.turns),
            "cancelled": write(self.shortened),
            "inverse": write(self.inverse),
            "mirrored": write(self.mirrored),
            "counts": {"obtm": counts.obtm, "etm": counts.etm, "stm": counts.stm, "qtm": counts.qtm},
            "order": self.cube.order,
            "cycles": self.cycles,
        }


def account_of(algorithm: str, size: int = 3) -> Account:
    """What the algorithm is and does on a cube of ``size`` layers.  Raises NotationError."""
    read = parse(algorithm, size)
    turns = read.expand()
    return Account(read, turns, Cube.from_turns(turns, size))
