"""Solving the 2x2x2, always in the fewest turns: all its 3,674,160 states are in one table (native/pocket.hpp).

A 2x2x2 has no centres that tell how it is held, so the corner that belongs at DBL is left where it is and the three
faces that do not touch it are turned.  A solution holds for the cube as it is held; after it every face shows one
colour.  Every solution is replayed on ``Cube`` before it is given.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable
from functools import cache

from nightfold.cube.errors import GeometryError, ImpossibleCubeError
from nightfold.cube.geometry import geometry, inverse, rotation_permutations
from nightfold.cube.notation import Turn, invert, parse_turns
from nightfold.cube.sequences import rotate
from nightfold.cube.state import Cube
from nightfold.search.native import BYTES, core, pack_turns
from nightfold.search.tables import load_tables

#: No 2x2x2 needs more turns (published tables; counted again when the table is built).
GREATEST_DISTANCE = 11
#: The turns searched, in the order the native core numbers them: those that leave the corner at DBL alone.
TURNS = tuple(Turn(face, 1, 1, amount) for face in "URF" for amount in (1, 2, -1))

_CORNERS = 16
_SOLVED = bytes([*range(16), *range(16)])
_lock = threading.Lock()


def solve(cube: Cube) -> tuple[Turn, ...]:
    """The fewest face turns after which every face of a 2x2x2 shows one colour; at most 11.

    Raises GeometryError for a cube of another size, ImpossibleCubeError where no turns lead to the cube.
    """
    return solve_many([cube])[0]


def solve_many(cubes: Iterable[Cube]) -> list[tuple[Turn, ...]]:
    """``solve`` for many cubes at once.  Raises as ``solve`` does."""
    cubes = list(cubes)
    homes = [to_home(cube) for cube in cubes]
    states = b"".join(_pack(home) for home, _ in homes)
    out = bytearray(len(states))
    _solver().solve(states, out)
    found = []
    for number, (cube, (_, rotation)) in enumerate(zip(cubes, homes, strict=True)):
        length, *numbers = out[number * BYTES : (number + 1) * BYTES]
        solution = rotate(tuple(TURNS[turn] for turn in numbers[:length]), rotation)
        if not cube.apply(solution).is_solved:
            raise AssertionError("the solution of the 2x2x2 does not solve it")
        found.append(solution)
    return found


def distance(cube: Cube) -> int:
    """How many turns a 2x2x2 is away from solved.  Raises as ``solve`` does."""
    return len(solve(cube))


def scramble_for(cube: Cube) -> tuple[Turn, ...]:
    """Turns that make ``cube`` of a solved one: ``Cube.from_turns(scramble_for(cube), 2) == cube``.

    As few face turns as can be, and behind them up to two rotations if the corner DBL is not at home.  Raises as
    ``solve`` does.
    """
    home, rotation = to_home(cube)
    return (*(turn.plain for turn in invert(solve(home))), *parse_turns(rotation))


def to_home(cube: Cube) -> tuple[Cube, str]:
    """The cube held with the corner DBL at home, and the rotation that then brings it to how it was held.

    Raises GeometryError for a cube that is no 2x2x2 and ImpossibleCubeError where no turns lead to it.
    """
    if cube.size != 2:
        raise GeometryError(f"this solver knows the 2x2x2 only, not a cube of {cube.size} layers")
    try:
        placed = cube.pieces("corners")
        whole = Cube.from_pieces({"corners": placed}, 2) == cube
    except GeometryError:
        whole = False
    if not whole:
        raise ImpossibleCubeError("this is no cube: the stickers of a piece have come apart")
    if sum(turned for _, turned in placed) % 3:
        from nightfold.cube.diagnosis import describe, find_problems
        from nightfold.cube.net import net_of

        raise ImpossibleCubeError(describe(find_problems(net_of(cube))))
    place, turned = next((place, turned) for place, (piece, turned) in enumerate(placed) if piece == _held())
    rotation = _rotation_of()[place, turned]
    back = inverse(rotation_permutations(2)[rotation])
    return Cube(2, tuple(cube.stickers[place] for place in back)), rotation


def _pack(home: Cube) -> bytes:
    """The 2x2x2 as the corners of a packed 3x3x3."""
    corners = bytes(piece | turned << 4 for piece, turned in home.pieces("corners"))
    return _SOLVED[:_CORNERS] + corners + _SOLVED[_CORNERS + len(corners) :]


@cache
def _held() -> int:
    """The number of the corner DBL."""
    geo = geometry(2)
    return next(n for n, piece in enumerate(geo.orbit("corners").pieces) if geo.piece_name(piece[0]) == "DBL")


@cache
def _rotation_of() -> dict[tuple[int, int], str]:
    """By where the corner DBL is and how far it is turned there: the rotation that brings it there."""
    found = {}
    for text, permutation in rotation_permutations(2).items():
        for place, (piece, turned) in enumerate(Cube(2, permutation).pieces("corners")):
            if piece == _held():
                found[place, turned] = text
    return found


_loaded: core.Pocket | None = None


def _solver() -> core.Pocket:
    """The native solver with its table, loaded or built when first asked for."""
    global _loaded
    with _lock:
        if _loaded is None:
            _loaded = load_solver()
        return _loaded


def load_solver() -> core.Pocket:
    """A native solver of its own, with its table from the cache folder, or built and put there."""
    turns = pack_turns(TURNS)
    return core.Pocket(turns, load_tables("pocket", turns, lambda: core.build_pocket(turns)))
