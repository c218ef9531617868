"""Where everything is: stickers, pieces, orbits and turns of a cube of 2 to 7 layers.

**Stickers** are numbered face by face in the order U, L, F, R, B, D, and on each face row by row as the face lies in
the unfolded cube (L, F, R, B in a band below U; D below F).  Sticker ``f * n * n + r * n + c`` is on face ``f``, row
``r``, column ``c``, all from 0.

**Turns** are source tuples: after the turn, place ``i`` shows what was at place ``turn[i]``.  Doing ``a`` and then
``b`` is ``a[b[i]]``.

**Orbits** are found by letting the turns carry stickers about.  Where both stickers of a wing can never meet, each
wing is represented by one of them, the one that comes first going clockwise round its face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from operator import itemgetter
from typing import cast

from nightfold.cube.errors import GeometryError
from nightfold.cube.notation import FACE_LETTERS, Turn, check_size, parse_turns

Vector = tuple[int, int, int]
Permutation = tuple[int, ...]

NORMALS: dict[str, Vector] = {
    "U": (0, 1, 0),
    "L": (-1, 0, 0),
    "F": (0, 0, 1),
    "R": (1, 0, 0),
    "B": (0, 0, -1),
    "D": (0, -1, 0),
}
OPPOSITE = {"U": "D", "D": "U", "L": "R", "R": "L", "F": "B", "B": "F"}
#: Which face each slice and rotation turns like.
TURNS_LIKE = {"M": "L", "E": "D", "S": "F", "x": "R", "y": "U", "z": "F"}
_FACE_OF_NORMAL = {normal: face for face, normal in NORMALS.items()}
#: The order in which the trade names the faces of a piece: up or down, front or back, left or right.
_NAMING_ORDER = "UDFBLR"


@dataclass(frozen=True, slots=True)
class Orbit:
    """Places that turns carry into one another.

    ``pieces`` lists the places piece by piece, each as its stickers going clockwise round the piece from the one on
    the earliest face in U, D, F, B, L, R order (wings and centres have one sticker).  ``stickers`` are all of them in
    number order.  ``alike`` tells that pieces of one colour cannot be told apart (centres of big cubes).
    """

    name: str
    size: int
    pieces: tuple[tuple[int, ...], ...]
    alike: bool

    @property
    def stickers(self) -> tuple[int, ...]:
        """Every sticker of the orbit, in number order."""
        return tuple(sorted(sticker for piece in self.pieces for sticker in piece))

    @property
    def turns_of_piece(self) -> int:
        """In how many ways a piece sits in a place: 3 for corners, 2 for edges, 1 for wings and centres."""
        return len(self.pieces[0])

    @property
    def piece_word(self) -> str:
        """The singular of the orbit's name, for sentences: ``edge``, ``wing 2``."""
        word, *layers = self.name.split(" ", 1)
        return " ".join([word.removesuffix("s"), *layers])


@dataclass(frozen=True, slots=True)
class Geometry:
    """All tables of one size; get it from ``geometry(size)``."""

    size: int
    names: tuple[str, ...]
    faces: tuple[str, ...]
    coordinates: tuple[tuple[Vector, Vector], ...]
    cubies: tuple[tuple[int, ...], ...]
    orbits: tuple[Orbit, ...]
    _by_name: dict[str, int]
    _orbit_of: dict[int, Orbit]
    _piece_of: dict[int, tuple[int, ...]]
    _cubie_of: dict[int, tuple[int, ...]]

    def sticker(self, name: str) -> int:
        """The number of the sticker called ``name``; the letters behind the first may stand in any order.

        ``UFR`` is the sticker on U of the corner at U, F and R; small letters name inner layers (``UFr``, ``Ub3l``).
        Raises GeometryError for a name the cube does not have.
        """
        found = self._by_name.get(_sorted_name(name.strip()))
        if found is None:
            found = self._by_name.get(_sorted_name(name.strip().upper())) if self.size <= 3 else None
        if found is None:
            raise GeometryError(
                f"“{name[:24]}” is no sticker of a {self.size}x{self.size}x{self.size}; "
                "a sticker is named by its own face first, then the other faces of its piece, as in UF or LUB"
            )
        return found

    def orbit(self, name: str) -> Orbit:
        """The orbit called ``name``.  Raises GeometryError, listing those there are."""
        for orbit in self.orbits:
            if orbit.name == name:
                return orbit
        known = ", ".join(orbit.name for orbit in self.orbits)
        raise GeometryError(f"a {self.size}x{self.size}x{self.size} has no orbit “{name[:40]}”; it has {known}")

    @property
    def fixed_centres(self) -> dict[str, int]:
        """The middle sticker of each face by face letter; empty on cubes without a middle layer."""
        return {face: self._by_name[face] for face in FACE_LETTERS if face in self._by_name}

    def orbit_of(self, sticker: int) -> Orbit | None:
        """The orbit that ``sticker`` belongs to, or None (fixed centres; second stickers of wings)."""
        return self._orbit_of.get(sticker)

    def piece_of(self, sticker: int) -> tuple[int, ...]:
        """The stickers of the piece that ``sticker`` belongs to, clockwise, in the orbit's order.

        Raises GeometryError where ``orbit_of`` gives None.
        """
        if sticker not in self._piece_of:
            raise GeometryError(
                f"{self.names[sticker]} on a {self.size}x{self.size}x{self.size} stands for no piece: "
                "it is a fixed centre, or the second sticker of a wing that goes by its other one"
            )
        return self._piece_of[sticker]

    def cubie_of(self, sticker: int) -> tuple[int, ...]:
        """All stickers of the little cube that ``sticker`` is on; more than ``piece_of`` gives for wings."""
        return self._cubie_of[sticker]

    def piece_name(self, sticker: int) -> str:
        """The name of the piece rather than the sticker: ``UFR`` for each of its three stickers."""
        return self.names[self.piece_of(sticker)[0]]

    def clockwise(self, orbit: Orbit, face: str) -> tuple[int, ...]:
        """The orbit's stickers on one face, clockwise from the top-left corner of the face as unfolded."""
        area = self.size * self.size
        half = (self.size - 1) / 2

        def angle(sticker: int) -> float:
            row, column = divmod(sticker % area, self.size)
            # 0 at the top-left corner, growing clockwise.
            turned = math.atan2(column - half, half - row) + math.pi / 4
            return round(turned % (2 * math.pi), 9)

        return tuple(sorted((s for s in orbit.stickers if self.faces[s] == face), key=angle))


def _sorted_name(name: str) -> str:
    """A name brought to one order: the first letter, then the others with their layer numbers sorted."""
    parts: list[str] = []
    number = ""
    for char in name[1:]:
        if char.isdigit():
            number += char
        else:
            parts.append(char + number)
            number = ""
    return name[:1] + "".join(sorted(parts)) + number


def _rotate(vector: Vector, face: str) -> Vector:
    """``vector`` after a clockwise quarter turn of the whole cube, seen from ``face``."""
    x, y, z = vector
    match face:
        case "R":
            return x, z, -y
        case "L":
            return x, -z, y
        case "U":
            return -z, y, x
        case "D":
            return z, y, -x
        case "F":
            return y, -x, z
        case _:
            return -y, x, z


def _place(size: int, face: str, row: int, column: int) -> tuple[Vector, Vector]:
    """The cubie (doubled coordinates, the cube's middle at 0) and the outward direction of one sticker."""
    top = size - 1
    right, down = 2 * column - top, 2 * row - top
    cubie: Vector
    match face:
        case "U":
            cubie = (right, top, down)
        case "D":
            cubie = (right, -top, -down)
        case "F":
            cubie = (right, -down, top)
        case "B":
            cubie = (-right, -down, -top)
        case "L":
            cubie = (-top, -down, right)
        case _:
            cubie = (top, -down, -right)
    return cubie, NORMALS[face]


def _name(size: int, cubie: Vector, normal: Vector) -> str:
    """``UFR``, ``FUr``, ``Ub3l``…: own face, then outer faces, then inner layers, up/down before front/back."""
    own = _FACE_OF_NORMAL[normal]
    outer, inner = [], []
    for face in _NAMING_ORDER:
        direction = NORMALS[face]
        height = sum(a * b for a, b in zip(cubie, direction, strict=True))
        if face == own or height <= 0:
            continue
        depth = (size - 1 - height) // 2 + 1
        if depth == 1:
            outer.append(face)
        else:
            inner.append(("" if depth == 2 else str(depth)) + face.lower())
    return own + "".join(outer) + "".join(inner)


def _clockwise_round_piece(stickers: list[int], coordinates: tuple[tuple[Vector, Vector], ...]) -> list[int]:
    """The stickers of a cubie, from the earliest face in naming order, clockwise seen from outside."""
    faces = {_FACE_OF_NORMAL[coordinates[s][1]]: s for s in stickers}
    ordered = [faces[face] for face in _NAMING_ORDER if face in faces]
    if len(ordered) == 3:
        a, b, c = (coordinates[s][1] for s in ordered)
        determinant = (
            a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
        )
        # Outward normals that follow one another clockwise, seen from outside, form a left-handed triple.
        if determinant > 0:
            ordered[1], ordered[2] = ordered[2], ordered[1]
    return ordered


def _orbit_kind(size: int, cubie: Vector) -> str:
    """The trade's name of the kind of piece at a place that is not a fixed centre."""
    top = size - 1
    depths = sorted((abs(c) for c in cubie), reverse=True)
    if depths[1] == top:
        if depths[2] == top:
            return "corners"
        if depths[2] == 0:
            return "edges" if size == 3 else "midges"
        return _numbered("wings", size, size // 2 - 1, (top - depths[2]) // 2)
    rings = (size - 2) // 2
    if depths[1] == depths[2]:
        return _numbered("x-centres", size, rings, (top - depths[1]) // 2)
    if depths[2] == 0:
        return _numbered("t-centres", size, rings, (top - depths[1]) // 2)
    return f"oblique-centres {(top - depths[1]) // 2 + 1}-{(top - depths[2]) // 2 + 1}"


def _numbered(word: str, size: int, kinds: int, depth: int) -> str:
    """``wings`` where there is one kind, ``wings 2``, ``wings 3`` (by layer) where there are more."""
    return word if kinds <= 1 else f"{word} {depth + 1}"


def _find_orbits(
    size: int,
    coordinates: tuple[tuple[Vector, Vector], ...],
    cubies: tuple[tuple[int, ...], ...],
    names: tuple[str, ...],
) -> tuple[Orbit, ...]:
    turns = [
        _turn_source(size, coordinates, face, layer, layer)
        for face in FACE_LETTERS
        for layer in range(1, size // 2 + 1)
    ]
    carried = list(range(len(coordinates)))

    def root(sticker: int) -> int:
        while carried[sticker] != sticker:
            carried[sticker] = carried[carried[sticker]]
            sticker = carried[sticker]
        return sticker

    for turn in turns:
        for to, source in enumerate(turn):
            carried[root(to)] = root(source)
    cubie_of = {sticker: cubie for cubie in cubies for sticker in cubie}
    groups: dict[int, list[int]] = {}
    for sticker in range(len(coordinates)):
        groups.setdefault(root(sticker), []).append(sticker)

    found: dict[str, Orbit] = {}
    for members in groups.values():
        if len(members) == 1:
            continue  # a fixed centre, which no turn of a layer beside it moves off its place
        inside = set(members)
        kind = _orbit_kind(size, coordinates[members[0]][0])
        pieces = tuple(
            dict.fromkeys(
                tuple(s for s in cubie_of[sticker] if s in inside)
                for sticker in sorted(members, key=lambda s: _naming_key(names[s]))
            )
        )
        if len(pieces[0]) == 1 and len(cubie_of[members[0]]) == 2:
            # Wings: of the two orbits of stickers keep the leading ones, left of the middle on the top edge of U.
            top_edge = [s for s in members if s < size]
            if not top_edge or min(top_edge) >= size / 2:
                continue
        name = kind
        if name.startswith("oblique"):
            leading = next(s for s in members if s < size * size and s // size < size / 2)
            row, column = divmod(leading, size)
            name += " left" if column < row or (column < size / 2 and row <= column) else " right"
        orbit_alike = len(cubie_of[members[0]]) == 1
        found[name] = Orbit(name, size, pieces, orbit_alike)
    order = ["corners", "edges", "midges", "wings", "x-centres", "t-centres", "oblique"]
    rank = {word: place for place, word in enumerate(order)}
    keys = sorted(found, key=lambda n: (rank[n.split()[0].split("-c")[0] if "oblique" in n else n.split()[0]], n))
    return tuple(found[key] for key in keys)


def _naming_key(name: str) -> tuple[int, ...]:
    """Orders stickers and pieces as the trade lists them: UF, UB, UL, UR, then the rest."""
    return tuple(_NAMING_ORDER.index(char.upper()) for char in name if not char.isdigit())


def _turn_source(
    size: int, coordinates: tuple[tuple[Vector, Vector], ...], face: str, outer: int, inner: int
) -> Permutation:
    """The source tuple of a clockwise quarter turn of the layers ``outer`` to ``inner`` counted from ``face``."""
    where = {place: index for index, place in enumerate(coordinates)}
    source = list(range(len(coordinates)))
    direction = NORMALS[face]
    for index, (cubie, normal) in enumerate(coordinates):
        depth = (size - 1 - sum(a * b for a, b in zip(cubie, direction, strict=True))) // 2 + 1
        if outer <= depth <= inner:
            source[where[_rotate(cubie, face), _rotate(normal, face)]] = index
    return tuple(source)


@cache
def geometry(size: int) -> Geometry:
    """The tables of a cube of ``size`` layers, built once.  Raises GeometryError for an unknown size."""
    check_size(size)
    places = [(face, *divmod(i, size)) for face in FACE_LETTERS for i in range(size * size)]
    coordinates = tuple(_place(size, *place) for place in places)
    names = tuple(_name(size, cubie, normal) for cubie, normal in coordinates)
    by_cubie: dict[Vector, list[int]] = {}
    for sticker, (cubie, _) in enumerate(coordinates):
        by_cubie.setdefault(cubie, []).append(sticker)
    cubies = tuple(tuple(_clockwise_round_piece(stickers, coordinates)) for stickers in by_cubie.values())
    orbits = _find_orbits(size, coordinates, cubies, names)
    return Geometry(
        size=size,
        names=names,
        faces=tuple(face for face, _, _ in places),
        coordinates=coordinates,
        cubies=cubies,
        orbits=orbits,
        _by_name={_sorted_name(name): sticker for sticker, name in enumerate(names)},
        _orbit_of={s: orbit for orbit in orbits for piece in orbit.pieces for s in piece},
        _piece_of={s: piece for orbit in orbits for piece in orbit.pieces for s in piece},
        _cubie_of={s: cubie for cubie in cubies for s in cubie},
    )


# --- turns as permutations ---------------------------------------------------------------------------------


def compose(first: Permutation, then: Permutation) -> Permutation:
    """The permutation of doing ``first`` and afterwards ``then``."""
    return cast(Permutation, itemgetter(*then)(first))


def inverse(permutation: Permutation) -> Permutation:
    """The permutation that takes ``permutation`` back."""
    result = [0] * len(permutation)
    for place, source in enumerate(permutation):
        result[source] = place
    return tuple(result)


def identity(size: int) -> Permutation:
    """The permutation that moves nothing."""
    return tuple(range(6 * size * size))


@cache
def _quarter_turn(size: int, face: str, outer: int, inner: int) -> Permutation:
    return _turn_source(size, geometry(size).coordinates, face, outer, inner)


@cache
def turn_permutation(size: int, turn: Turn) -> Permutation:
    """The source tuple of one turn on a cube of ``size`` layers.

    Raises GeometryError for a turn that such a cube does not have.
    """
    face = TURNS_LIKE.get(turn.letter, turn.letter)
    if turn.is_rotation:
        outer, inner = 1, size
    elif turn.letter in TURNS_LIKE and size % 2:
        outer = inner = (size + 1) // 2
    elif turn.letter in FACE_LETTERS and turn.inner < size:
        outer, inner = turn.outer, turn.inner
    else:
        raise GeometryError(f"a {size}x{size}x{size} has no turn {turn}")
    quarter = _quarter_turn(size, face, outer, inner)
    result = quarter
    for _ in range(turn.amount % 4 - 1):
        result = compose(result, quarter)
    return result


@cache
def turn_getter(size: int, turn: Turn) -> itemgetter[Permutation]:
    """``turn_permutation`` as a callable that applies the turn to a tuple of stickers, the fastest plain way."""
    return itemgetter(*turn_permutation(size, turn))


def permutation_of(turns: tuple[Turn, ...], size: int) -> Permutation:
    """The permutation of a whole sequence of turns."""
    state = identity(size)
    for turn in turns:
        state = turn_getter(size, turn)(state)
    return state


@cache
def rotation_permutations(size: int) -> dict[str, Permutation]:
    """The 24 ways to hold a cube: the shortest rotations (``""``, ``x``, ``z' y`` …) and their permutations."""
    singles = ["", *(f"{axis}{suffix}" for axis in "xyz" for suffix in ("", "2", "'"))]
    pairs = [f"{up} {turn}" for up in ("x", "x2", "x'", "z", "z'") for turn in ("y", "y2", "y'")]
    shortest: dict[Permutation, str] = {}
    for text in singles + pairs:
        shortest.setdefault(permutation_of(parse_turns(text, size), size), text)
    return {text: permutation for permutation, text in shortest.items()}
