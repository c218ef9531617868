"""Difficulty that follows the learner: who is right moves up a little, who is wrong moves down a good deal.

Levels are whole numbers from 1; behind them stands a number with a fraction.  A right answer adds ``UP`` to it, a wrong
one takes ``DOWN`` off.  Where one is right a share p of the time, it stays put on average if p · UP = (1 - p) · DOWN;
with the two in the ratio (1 - AIM) : AIM that is at p = AIM.  (Source: Kaernbach, Simple adaptive testing with the
weighted up-down method, Perception & Psychophysics 49, 1991; from memory.)  Until the first wrong answer steps are
larger, so that one who knows the cube is not kept at the beginning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nightfold.blind.features import MOST, Features, Range

#: How often one should be right: often enough to be sure of it, seldom enough to learn.
AIM = 0.85
DOWN = 0.85
UP = DOWN * (1 - AIM) / AIM
#: What a right answer adds before the first wrong one.
FIRST_UP = 0.5
#: How many answers back a level is reckoned from.
WINDOW = 40


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a learner stands.  ``found`` tells that a wrong answer has shown about where that is."""

    value: float = 1.0
    found: bool = False

    @property
    def level(self) -> int:
        """The level to ask at."""
        return int(self.value)

    def after(self, right: bool, most: int) -> Standing:
        """The standing after one more answer; ``most`` is the highest level there is."""
        step = (UP if self.found else FIRST_UP) if right else -DOWN
        # Up to just below the level after the highest, so that one wrong answer does not always cost a level.
        return Standing(min(max(self.value + step, 1.0), most + 0.99), self.found or not right)


def standing_of(recent: Sequence[tuple[int, bool]], most: int) -> Standing:
    """The standing that answers lead to, each given by its level and whether it was right, the oldest first.

    Only the last WINDOW count.  Where there were more, the first of these is taken to have been asked from the middle
    of its level.
    """
    last = recent[-WINDOW:]
    if len(recent) <= WINDOW:
        standing = Standing(float(last[0][0]) if last else 1.0)
    else:
        standing = Standing(last[0][0] + 0.5, True)
    for _, right in last:
        standing = standing.after(right, most)
    return standing


# --- what the levels of the exercises are ----------------------------------------------------------------------

#: How long a glance at a sticker lasts, in seconds, level by level.
GLANCES = (3.0, 1.5, 0.8)
#: How many letters are held, level by level: an orbit's whole memo, or a whole cube's.
HELD = {
    "edges": (4, 6, 8, 10, 11, 12, 13, 14, 15, 16, 17, 18),
    "corners": (3, 4, 5, 6, 7, 8, 9, 10, 11, 12),
    "cube": (8, 12, 14, 16, 18, 20, 22, 24, 26, 28),
}
#: How long a memo is shown for each of its letters where the time is short, in seconds, level by level; the last holds
#: for all higher levels.
SECONDS_A_LETTER = (4.0, 3.5, 3.0, 2.5, 2.2, 2.0, 1.8, 1.6, 1.4, 1.2)
#: How long after a memo was shown it is asked for where one has to wait, in seconds, level by level; likewise.
DELAYS = (20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0)
#: How many letters the cubes have that are looked at or traced, level by level.
TRACED: dict[str, tuple[Range, ...]] = {
    "edges": ((2, 6), (4, 8), (6, 11), (9, 14), (0, MOST["edge_letters"]), (13, MOST["edge_letters"])),
    "corners": ((2, 4), (3, 6), (5, 8), (6, 10), (0, MOST["corner_letters"]), (9, MOST["corner_letters"])),
}
#: How many pieces are turned in their places, and how many are solved at least, level by level.
TURNED: tuple[tuple[Range, int], ...] = (((1, 2), 6), ((0, 3), 4), ((0, 3), 2), ((0, 4), 0))


def at(ladder: Sequence[float], level: int) -> float:
    """The rung of a ladder at ``level``; the last one for all higher levels."""
    return ladder[min(level, len(ladder)) - 1]


def traced(orbit: str, level: int, breaks: Range | None = None, turned: Range | None = None) -> Features:
    """Features of the cubes that are traced at ``level``, with so many breaks and pieces turned in place.

    ``orbit`` may also be ``cube``: then both orbits have as many letters as at that level alone.
    """
    if orbit == "cube":
        edges, corners = traced("edges", level), traced("corners", level)
        return Features(edge_letters=edges.edge_letters, corner_letters=corners.corner_letters)
    letters = TRACED[orbit][min(level, len(TRACED[orbit])) - 1]
    if orbit == "edges":
        return Features(edge_letters=letters, edge_breaks=breaks, flipped=turned)
    return Features(corner_letters=letters, corner_breaks=breaks, twisted=turned)
