"""Random states for the tests of the solvers, drawn from all that turns can reach, each equally likely."""

from __future__ import annotations

import random

from nightfold.cube.geometry import rotation_permutations
from nightfold.cube.net import is_odd
from nightfold.cube.state import Cube
from nightfold.search.native import BYTES, core, pack


def _turned(draw: random.Random, count: int, kinds: int) -> list[int]:
    """How far pieces are turned: all but the last at will, that one so that the sum is a multiple of ``kinds``."""
    turned = [draw.randrange(kinds) for _ in range(count - 1)]
    return [*turned, -sum(turned) % kinds]


def random_state(draw: random.Random) -> Cube:
    """A 3x3x3 with its centres at home."""
    corners, edges = draw.sample(range(8), 8), draw.sample(range(12), 12)
    if is_odd(corners) != is_odd(edges):
        edges[0], edges[1] = edges[1], edges[0]
    return Cube.from_pieces(
        {
            "corners": list(zip(corners, _turned(draw, 8, 3), strict=True)),
            "edges": list(zip(edges, _turned(draw, 12, 2), strict=True)),
        }
    )


def random_pocket(draw: random.Random) -> Cube:
    """A 2x2x2 held in any way."""
    corners = list(zip(draw.sample(range(8), 8), _turned(draw, 8, 3), strict=True))
    return Cube.from_pieces({"corners": corners}, 2)


def any_hold(draw: random.Random, cube: Cube) -> Cube:
    """The cube held in one of the 24 ways."""
    return cube.then(Cube(cube.size, draw.choice(list(rotation_permutations(cube.size).values()))))


def after(states: bytes, turns: bytes) -> bytes:
    """Packed states, each after the packed turn of the same number, as the native product has it."""
    out = bytearray(len(states))
    core.multiply(states, turns, out, "scalar")
    return bytes(out)


def packed_solved(count: int) -> bytes:
    """Solved cubes, packed."""
    return pack(Cube.solved()) * count


def split(states: bytes) -> list[bytes]:
    """Packed states one by one."""
    return [states[at : at + BYTES] for at in range(0, len(states), BYTES)]
