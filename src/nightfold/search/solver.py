"""Solving the 3x3x3: quickly in few turns, or in the fewest there are.

The quick way is the two-phase algorithm as H. Kociemba published it, the slow one iterative deepening A*; both are
described in native/twophase.hpp and use the same tables.  Every solution is replayed on ``Cube`` before it is given.

A cube may be held in any way.  A solution holds for the cube as it is held and never turns it as a whole: after it
every face shows the colour of its own centre.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from nightfold.cube.errors import GeometryError, ImpossibleCubeError, NightfoldError
from nightfold.cube.geometry import Permutation, geometry, inverse, rotation_permutations
from nightfold.cube.notation import FACE_LETTERS, Turn, invert, parse_turns
from nightfold.cube.sequences import mirror_turn, rotate, rotate_turn
from nightfold.cube.state import Cube
from nightfold.search.native import BYTES, core, pack, pack_turns, unpack
from nightfold.search.tables import load_tables

if TYPE_CHECKING:
    from typing_extensions import Buffer

#: The turns solutions are made of, in the order the native core numbers them.
TURNS = tuple(Turn(face, 1, 1, amount) for face in FACE_LETTERS for amount in (1, 2, -1))
#: No cube needs more turns: Rokicki, Kociemba, Davidson, Dethridge, The Diameter of the Rubik's Cube Group Is Twenty,
#: SIAM Review 56 (2014).
GREATEST_DISTANCE = 20
#: The longest solution the native core has room for.
MOST_TURNS = 30
#: How many nodes the two-phase search looks at before it is content with the solution it has.
EFFORT = 2000

#: Told two numbers about ten times a second; returning False stops the search, and so does an exception.
Progress = Callable[[int, int], object]

_SOLUTION_BYTES = 32
_NONE = 255
_lock = threading.Lock()


class SolvingError(NightfoldError):
    """A solution cannot be had in the way asked for."""


class SolvingStoppedError(SolvingError):
    """The search was stopped by its progress callback."""


def solve(
    cube: Cube,
    *,
    longest: int = 21,
    optimal: bool = False,
    effort: int = EFFORT,
    threads: int | None = None,
    progress: Progress | None = None,
) -> tuple[Turn, ...]:
    """Face turns that solve ``cube``, at most ``longest`` of them.

    Doing them leaves every face in the colour of its centre, with the cube held as it was.  With ``optimal`` they are
    the fewest possible; a cube 15 turns away takes about a second, and every turn more ten to fifteen times as long.
    Without, ``effort`` says how many nodes to search in all while a shorter solution is hoped for (0: take the first);
    ``longest`` must then be 20 or more, which every cube can be solved in.  The answer depends on nothing but
    these: not on ``threads`` (all processors when None; one serves a single cube unless ``optimal``).

    ``progress`` is told ``(depth, nodes)``: no solution has fewer than ``depth`` turns, and how many nodes were looked
    at.  Ctrl-C stops a search.

    Raises GeometryError for a cube of another size, ImpossibleCubeError where no turns lead to the cube, SolvingError
    when there is no solution of ``longest`` turns or that cannot be promised, SolvingStoppedError when ``progress``
    returned False.
    """
    if not optimal:
        return solve_many([cube], longest=longest, effort=effort, threads=1, progress=progress)[0]
    if not 0 <= longest <= MOST_TURNS:
        raise SolvingError(f"{longest} turns are asked for at most; it must be 0 to {MOST_TURNS}")
    home, rotation = to_home(cube)
    out = bytearray(_SOLUTION_BYTES)
    finished, _ = _solver().optimal(pack(home), out, longest, threads or processors(), progress)
    if not finished:
        raise SolvingStoppedError("the search was stopped before it found a solution")
    if out[0] == _NONE:
        raise SolvingError(
            f"the cube needs more than {longest} turn{'s' * (longest != 1)}: all shorter ways were tried"
        )
    return _checked(cube, rotation, _turns(out))


def solve_many(
    cubes: Iterable[Cube],
    *,
    longest: int = 21,
    effort: int = EFFORT,
    threads: int | None = None,
    progress: Progress | None = None,
) -> list[tuple[Turn, ...]]:
    """``solve`` for many cubes at once, on all processors when ``threads`` is None.

    ``progress`` is told how many cubes are solved and how many nodes were looked at.  Raises as ``solve`` does.
    """
    cubes = list(cubes)
    homes = [to_home(cube) for cube in cubes]
    states = b"".join(pack(home) for home, _ in homes)
    solutions = solve_packed(states, longest=longest, effort=effort, threads=threads, progress=progress)
    return [
        _checked(cube, rotation, solution)
        for cube, (_, rotation), solution in zip(cubes, homes, solutions, strict=True)
    ]


def solve_packed(
    states: Buffer,
    *,
    longest: int = 21,
    effort: int = EFFORT,
    threads: int | None = None,
    progress: Progress | None = None,
) -> list[tuple[Turn, ...]]:
    """``solve_many`` for states as ``native.pack`` makes them, centres at home; replayed by the native core alone.

    Raises ImpossibleCubeError, SolvingError and SolvingStoppedError as ``solve`` does.
    """
    if not GREATEST_DISTANCE <= longest <= MOST_TURNS:
        raise SolvingError(
            f"{longest} turns at most cannot be promised; every cube has a solution of {GREATEST_DISTANCE} turns, "
            f"so it must be {GREATEST_DISTANCE} to {MOST_TURNS} (or ask for an optimal solution)"
        )
    if effort < 0:
        raise SolvingError(f"an effort of {effort} nodes is less than none; 0 takes the first solution found")
    view = memoryview(states)
    out = bytearray(len(view) // BYTES * _SOLUTION_BYTES)
    try:
        finished, _ = _solver().solve(view, out, longest, effort, threads or processors(), progress)
    except ValueError as trouble:
        raise ImpossibleCubeError(str(trouble)) from None
    if not finished:
        raise SolvingStoppedError("the search was stopped before it found every solution")
    return [_turns(out[at : at + _SOLUTION_BYTES]) for at in range(0, len(out), _SOLUTION_BYTES)]


def scramble_for(
    cube: Cube, *, longest: int = 21, optimal: bool = False, effort: int = EFFORT, progress: Progress | None = None
) -> tuple[Turn, ...]:
    """Turns that make ``cube`` of a solved one: ``Cube.from_turns(scramble_for(cube)) == cube``.

    Face turns, as many as ``solve`` needs, and behind them up to two rotations if the cube is not held with its own U
    and F there.  Options and errors as for ``solve``.
    """
    home, rotation = to_home(cube)
    solution = solve(home, longest=longest, optimal=optimal, effort=effort, progress=progress)
    return (*(turn.plain for turn in invert(solution)), *parse_turns(rotation))


def to_home(cube: Cube) -> tuple[Cube, str]:
    """The cube held with its centres at home, and the rotation that then brings it to how it was held.

    Raises GeometryError for a cube that is no 3x3x3 and ImpossibleCubeError where no turns lead to it.
    """
    if cube.size != 3:
        raise GeometryError(
            f"the two-phase solver knows the 3x3x3 only, not a cube of {cube.size} layers"
            + ("; nightfold.search.pocket solves the 2x2x2" if cube.size == 2 else "")
        )
    try:
        rotation, back = _holds()[tuple(cube.stickers[centre] for centre in geometry(3).fixed_centres.values())]
        home = Cube(3, tuple(cube.stickers[place] for place in back))
        packed = pack(home)
        whole = unpack(packed) == home
    except (GeometryError, LookupError):
        whole = False
    if not whole:
        raise ImpossibleCubeError("this is no cube: its centres or the stickers of a piece have come apart")
    if not core.is_reachable(packed):
        from nightfold.cube.diagnosis import describe, find_problems
        from nightfold.cube.net import net_of

        raise ImpossibleCubeError(describe(find_problems(net_of(cube))))
    return home, rotation


def processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@cache
def _holds() -> dict[Permutation, tuple[str, Permutation]]:
    """By where the centres are: the rotation that brings them there, and the one that takes it back."""
    centres = geometry(3).fixed_centres.values()
    return {
        tuple(permutation[centre] for centre in centres): (text, inverse(permutation))
        for text, permutation in rotation_permutations(3).items()
    }


def _turns(solution: Sequence[int]) -> tuple[Turn, ...]:
    return tuple(TURNS[number] for number in solution[1 : 1 + solution[0]])


def _checked(cube: Cube, rotation: str, solution: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """A solution of the cube at home, as it is done on the cube as it is held; replayed."""
    if rotation:
        solution = rotate(solution, rotation)
    if cube.apply(solution).stickers != rotation_permutations(3)[rotation]:
        raise AssertionError("the solver's solution does not solve the cube")
    return solution


def symmetries() -> bytes:
    """The 16 rotations and mirrors that keep the up-down axis, each as what it makes of every turn."""
    found = []
    for text in rotation_permutations(3):
        rotation = parse_turns(text)
        if rotate_turn(TURNS[0], rotation).letter in "UD":
            for mirrored in (False, True):
                changed = (rotate_turn(mirror_turn(turn) if mirrored else turn, rotation).plain for turn in TURNS)
                found.append(bytes(TURNS.index(turn) for turn in changed))
    return b"".join(found)


_loaded: core.TwoPhase | None = None


def _solver() -> core.TwoPhase:
    """The native solver with its tables, loaded or built when first asked for."""
    global _loaded
    with _lock:
        if _loaded is None:
            _loaded = load_solver()
        return _loaded


def load_solver() -> core.TwoPhase:
    """A native solver of its own, with tables from the cache folder, or built and put there."""
    turns, symmetric = pack_turns(TURNS), symmetries()
    axes = b"".join(pack(Cube.from_turns(rotation)) for rotation in ("", "x", "z"))
    tables = load_tables("two-phase", turns + symmetric, lambda: core.build_two_phase(turns, symmetric, processors()))
    return core.TwoPhase(turns, symmetric, axes, tables)
