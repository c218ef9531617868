"""A second model of the cube, to referee the first: stickers are points in space, turns are rotation matrices.

Nothing here knows the tables of ``nightfold.cube.geometry``; only the numbering of stickers and the meaning of the
turns are stated again, in other terms.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from nightfold.cube.notation import Turn

Ints = npt.NDArray[np.int64]

FACES = "ULFRBD"
#: For each face as it lies in the unfolded cube: outwards, to the right, and down, in space
#: (x to the right, y up, z towards the viewer).
FRAMES = {
    "U": ((0, 1, 0), (1, 0, 0), (0, 0, 1)),
    "L": ((-1, 0, 0), (0, 0, 1), (0, -1, 0)),
    "F": ((0, 0, 1), (1, 0, 0), (0, -1, 0)),
    "R": ((1, 0, 0), (0, 0, -1), (0, -1, 0)),
    "B": ((0, 0, -1), (-1, 0, 0), (0, -1, 0)),
    "D": ((0, -1, 0), (1, 0, 0), (0, 0, -1)),
}
#: Slices and rotations turn like these faces (WCA 12a4 for rotations; common practice for slices).
LIKE = {"M": "L", "E": "D", "S": "F", "x": "R", "y": "U", "z": "F"}


def outward(face: str) -> Ints:
    return np.array(FRAMES[face][0])


def points(size: int) -> Ints:
    """A row (x, y, z, outward x, y, z) for each sticker, in sticker order; cubies are 2 apart, the middle is 0."""
    rows = []
    for face in FACES:
        out, right, down = (np.array(v) for v in FRAMES[face])
        for row in range(size):
            for column in range(size):
                cubie = (size - 1) * out + (2 * column - size + 1) * right + (2 * row - size + 1) * down
                rows.append(np.concatenate([cubie, out]))
    return np.array(rows)


def clockwise(face: str) -> Ints:
    """The matrix of a quarter turn, clockwise seen from outside ``face``: minus 90 degrees about its outward axis.

    Rodrigues' formula for that angle: v goes to n (n . v) - n x v.
    """
    n = outward(face)
    return np.array([n * int(n @ v) - np.cross(n, v) for v in np.eye(3, dtype=np.int64)]).T


def _numbers(rows: Ints, size: int) -> Ints:
    """Which sticker sits at each of the given points."""
    where = {tuple(map(int, row)): number for number, row in enumerate(points(size))}
    return np.array([where[tuple(map(int, row))] for row in rows])


def carry(size: int, matrix: Ints, depths: range, face: str) -> tuple[int, ...]:
    """The source tuple of moving the layers ``depths``, counted from ``face`` and from 1, by ``matrix``."""
    stickers = points(size)
    moved = stickers.copy()
    depth = (size - 1 - stickers[:, :3] @ outward(face)) // 2 + 1
    turns = (depth >= depths.start) & (depth < depths.stop)
    moved[turns, :3] = stickers[turns, :3] @ matrix.T
    moved[turns, 3:] = stickers[turns, 3:] @ matrix.T
    source = np.empty(len(stickers), dtype=np.int64)
    source[_numbers(moved, size)] = np.arange(len(stickers))
    return tuple(map(int, source))


def turn_source(size: int, turn: Turn) -> tuple[int, ...]:
    """What ``turn`` does, by matrices."""
    face = LIKE.get(turn.letter, turn.letter)
    if turn.letter in "xyz":
        depths = range(1, size + 1)
    elif turn.letter in "MES":
        depths = range((size + 1) // 2, (size + 1) // 2 + 1)
    else:
        depths = range(turn.outer, turn.inner + 1)
    matrix = np.linalg.matrix_power(clockwise(face), turn.amount % 4)
    return carry(size, matrix, depths, face)


def reflection(size: int, plane: str) -> tuple[int, ...]:
    """The sticker that each sticker is seen as in a mirror in the plane of the slice M, E or S."""
    matrix = np.diag([-1 if plane == p else 1 for p in "MES"])
    rows = points(size)
    return tuple(map(int, _numbers(np.hstack([rows[:, :3] @ matrix, rows[:, 3:] @ matrix]), size)))
