"""What one does with a sequence of turns without a cube: mirror it, turn it, shorten it, count it."""

from __future__ import annotations

from dataclasses import dataclass

from nightfold.cube.errors import NotationError
from nightfold.cube.geometry import NORMALS, OPPOSITE, TURNS_LIKE, Vector, _rotate
from nightfold.cube.notation import FACE_LETTERS, SLICE_LETTERS, Turn, parse_turns

_AXIS = {"L": 0, "R": 0, "M": 0, "x": 0, "U": 1, "D": 1, "E": 1, "y": 1, "F": 2, "B": 2, "S": 2, "z": 2}
_LETTER_LIKE = {(face, letter in SLICE_LETTERS): letter for letter, face in TURNS_LIKE.items()}
#: The plane a mirror stands in, named by the slice that lies in it, and the faces it exchanges.
_MIRRORS = {"M": ("L", "R"), "E": ("U", "D"), "S": ("F", "B")}


def _carry(turn: Turn, faces: dict[str, str], sign: int) -> Turn:
    """``turn`` with its face carried to ``faces[face]`` and its direction multiplied by ``sign``."""
    amount = turn.amount * sign
    if turn.letter in FACE_LETTERS:
        return turn._replace(letter=faces[turn.letter], amount=amount)
    is_slice = turn.letter in SLICE_LETTERS
    face = faces[TURNS_LIKE[turn.letter]]
    if (face, is_slice) not in _LETTER_LIKE:
        face, amount = OPPOSITE[face], -amount
    return turn._replace(letter=_LETTER_LIKE[face, is_slice], amount=amount)


def mirror_turn(turn: Turn, plane: str = "M") -> Turn:
    """``turn`` seen in a mirror in the plane of the ``M`` (left-right), ``E`` (up-down) or ``S`` slice.

    Raises NotationError for another plane.
    """
    if plane not in _MIRRORS:
        raise NotationError(f"“{plane}” is no mirror; M exchanges left and right, E up and down, S front and back")
    a, b = _MIRRORS[plane]
    return _carry(turn, {**{face: face for face in FACE_LETTERS}, a: b, b: a}, -1)


def rotate_turn(turn: Turn, rotation: tuple[Turn, ...]) -> Turn:
    """``turn`` as it must be written when the cube is first turned by ``rotation``: the same layer moves.

    So ``rotation`` followed by the result does what ``turn`` followed by ``rotation`` does.  Raises NotationError
    if ``rotation`` holds anything but x, y and z.
    """
    faces = {}
    for face in FACE_LETTERS:
        normal: Vector = NORMALS[face]
        for part in rotation:
            if not part.is_rotation:
                raise NotationError(f"“{part}” is no rotation of the whole cube; x, y and z are", str(part))
            for _ in range(part.amount % 4):
                normal = _rotate(normal, TURNS_LIKE[part.letter])
        faces[face] = next(name for name, vector in NORMALS.items() if vector == normal)
    return _carry(turn, faces, 1)


def mirror(turns: tuple[Turn, ...], plane: str = "M") -> tuple[Turn, ...]:
    """The sequence seen in a mirror; planes and errors as for ``mirror_turn``."""
    return tuple(mirror_turn(turn, plane) for turn in turns)


def rotate(turns: tuple[Turn, ...], rotation: str) -> tuple[Turn, ...]:
    """The sequence as it must be done after turning the whole cube by ``rotation`` (``"x y'"``)."""
    parts = parse_turns(rotation)
    return tuple(rotate_turn(turn, parts) for turn in turns)


def cancel(turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """The sequence without waste: turns of one layer that meet, also across parallel ones, become one or none.

    ``L L2`` gives ``L'``; ``R L R'`` gives ``L``.  Half turns lose their direction.  Turns that stay keep their
    order, and nothing is rewritten into another kind of turn.
    """
    kept: list[Turn] = []
    for turn in turns:
        at = len(kept) - 1
        while at >= 0 and _AXIS[kept[at].letter] == _AXIS[turn.letter]:
            if kept[at][:3] == turn[:3]:
                amount = (kept[at].amount + turn.amount) % 4
                if amount:
                    kept[at] = turn._replace(amount=-1 if amount == 3 else amount)
                else:
                    del kept[at]
                break
            at -= 1
        else:
            kept.append(turn.plain)
    return tuple(kept)


def normal_form(turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """The sequence without waste and with parallel turns in one fixed order, so that equal ones compare equal."""
    ordered: list[Turn] = []
    run: list[Turn] = []
    for turn in cancel(turns):
        if run and _AXIS[run[-1].letter] != _AXIS[turn.letter]:
            ordered += sorted(run)
            run = []
        run.append(turn)
    return tuple(ordered + sorted(run))


@dataclass(frozen=True, slots=True)
class Counts:
    """How many turns a sequence has.

    ``obtm``: outer-block turns; rotations are free, an inner slice costs two (WCA 12a5).
    ``etm``: as executed; every turn and every rotation is one (WCA 12a6).
    ``stm``: slices are one turn too, rotations are free (common practice, no source).
    ``qtm``: quarter turns of outer blocks, a half turn is two (common practice, no source).
    """

    obtm: int
    etm: int
    stm: int
    qtm: int


def count(turns: tuple[Turn, ...]) -> Counts:
    """Count the turns in the four usual ways."""
    moving = [turn for turn in turns if not turn.is_rotation]
    blocks = [2 if turn.is_inner else 1 for turn in moving]
    return Counts(
        obtm=sum(blocks),
        etm=len(turns),
        stm=len(moving),
        qtm=sum(block * abs(turn.amount) for block, turn in zip(blocks, moving, strict=True)),
    )
