"""A second 3x3x3, made from scratch as a judge: it shares no code with Nightfold and reads colours as an eye does.

Places are unit vectors: where a piece sits and which way its sticker looks (x to the right, y up, z to the front).  A
state is the 54 colours seen, faces U, L, F, R, B, D, row by row as the cube lies unfolded; colours are named by the
face they cover on a solved cube.  Stickers are named canonically: own face, then the other faces in alphabetical
order, so that ``UFR`` and ``URF`` are one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from itertools import product
from operator import itemgetter

Vector = tuple[int, int, int]
State = tuple[str, ...]
Seen = dict[str, str]
#: The targets of a memo, and those of them that were broken into.
Memo = tuple[tuple[str, ...], tuple[str, ...]]

FACES = "ULFRBD"
#: For each face: the way it looks, the way its rows run, the way its columns run.
SIDES: dict[str, tuple[Vector, Vector, Vector]] = {
    "U": ((0, 1, 0), (1, 0, 0), (0, 0, 1)),
    "L": ((-1, 0, 0), (0, 0, 1), (0, -1, 0)),
    "F": ((0, 0, 1), (1, 0, 0), (0, -1, 0)),
    "R": ((1, 0, 0), (0, 0, -1), (0, -1, 0)),
    "B": ((0, 0, -1), (-1, 0, 0), (0, -1, 0)),
    "D": ((0, -1, 0), (1, 0, 0), (0, 0, -1)),
}
SOLVED: State = tuple(face for face in FACES for _ in range(9))
PARITY = "parity"


def _dot(a: Vector, b: Vector) -> int:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _combine(*terms: tuple[int, Vector]) -> Vector:
    return (
        sum(factor * vector[0] for factor, vector in terms),
        sum(factor * vector[1] for factor, vector in terms),
        sum(factor * vector[2] for factor, vector in terms),
    )


PLACES: tuple[tuple[Vector, Vector], ...] = tuple(
    (_combine((1, look), (column, right), (row, down)), look)
    for look, right, down in SIDES.values()
    for row, column in product((-1, 0, 1), repeat=2)
)
_INDEX = {place: index for index, place in enumerate(PLACES)}


def _name(place: tuple[Vector, Vector]) -> str:
    cubie, look = place
    own = next(face for face in FACES if SIDES[face][0] == look)
    others = [face for face in FACES if face != own and _dot(SIDES[face][0], cubie) == 1]
    return own + "".join(sorted(others))


NAMES = tuple(map(_name, PLACES))
WHERE = {name: index for index, name in enumerate(NAMES)}


def canon(name: str) -> str:
    """A sticker's name with the letters behind the first in alphabetical order."""
    return name[0] + "".join(sorted(name[1:]))


def height(name: str) -> int:
    """How high a sticker's piece sits: 1 in the top layer, 0 in the middle, -1 at the bottom."""
    return PLACES[WHERE[canon(name)]][0][1]


# --- turning -----------------------------------------------------------------------------------------------------

_TOKEN = re.compile(r"([ULFRBD])(w?)(2'|2|'|)|([ulfrbd])(2'|2|'|)|([MESxyz])(2'|2|'|)")
_LIKE = {"M": "L", "E": "D", "S": "F", "x": "R", "y": "U", "z": "F"}


@cache
def _sources(token: str) -> tuple[int, ...]:
    match = _TOKEN.fullmatch(token)
    assert match, f"{token!r} is no single turn"
    layers: tuple[int, ...]
    if match[1]:
        face, layers, suffix = match[1], (1, 0) if match[2] else (1,), match[3]
    elif match[4]:
        face, layers, suffix = match[4].upper(), (1, 0), match[5]
    else:
        face, layers, suffix = _LIKE[match[6]], (0,) if match[6] in "MES" else (1, 0, -1), match[7]
    axis = SIDES[face][0]

    def turned(vector: Vector) -> Vector:
        # A quarter turn clockwise seen from outside: what lies along the axis stays, the rest turns by -90 degrees.
        return _combine((-1, _cross(axis, vector)), (_dot(axis, vector), axis))

    quarter = list(range(54))
    for index, (cubie, look) in enumerate(PLACES):
        if _dot(axis, cubie) in layers:
            quarter[_INDEX[turned(cubie), turned(look)]] = index
    result = list(range(54))
    for _ in range({"": 1, "'": 3}.get(suffix, 2)):
        result = [result[source] for source in quarter]
    return tuple(result)


@cache
def _getter(token: str) -> Callable[[State], State]:
    first, second, *rest = _sources(token)
    return itemgetter(first, second, *rest)


def play(text: str, state: State = SOLVED) -> State:
    """The colours after the turns of ``text``, one token a turn."""
    for token in text.split():
        state = _getter(token)(state)
    return state


def carried(name: str, text: str) -> str:
    """Where the turns of ``text`` carry the sticker at a place."""
    at = WHERE[canon(name)]
    for token in text.split():
        at = _sources(token).index(at)
    return NAMES[at]


@cache
def carries(text: str) -> dict[str, str]:
    """Where the turns of ``text`` carry the sticker of every place; only what moves is listed."""
    state = tuple(NAMES)
    for token in text.split():
        state = _getter(token)(state)
    return {source: place for place, source in zip(NAMES, state, strict=True) if source != place}


def undone(text: str) -> str:
    """The turns that take ``text`` back, half turns without a direction."""
    back = []
    for token in reversed(text.split()):
        if token.endswith(("2", "2'")):
            back.append(token.rstrip("'"))
        else:
            back.append(token[:-1] if token.endswith("'") else token + "'")
    return " ".join(back)


def solved_somehow(state: State) -> bool:
    """Every face shows one colour, however the cube is held."""
    return all(len(set(state[9 * face : 9 * face + 9])) == 1 for face in range(6))


# --- pieces and letters ------------------------------------------------------------------------------------------


def _round_piece(names: list[str]) -> tuple[str, ...]:
    """The stickers of a piece clockwise, seen from outside."""
    if len(names) == 3:
        a, b, c = (SIDES[name[0]][0] for name in names)
        if _dot(a, _cross(b, c)) > 0:
            names[1], names[2] = names[2], names[1]
    return tuple(names)


def _pieces(size: int) -> tuple[tuple[str, ...], ...]:
    groups: dict[frozenset[str], list[str]] = {}
    for name in NAMES:
        if len(name) == size:
            groups.setdefault(frozenset(name), []).append(name)
    return tuple(map(_round_piece, groups.values()))


ORBITS = {"corners": _pieces(3), "edges": _pieces(2)}
#: The stickers of a sticker's piece, clockwise from that sticker.
ROUND = {
    piece[step]: piece[step:] + piece[:step]
    for pieces in ORBITS.values()
    for piece in pieces
    for step in range(len(piece))
}


def _clockwise(orbit: str) -> dict[str, str]:
    """The common lettering, A to X clockwise on U, L, F, R, B, D from the top-left corner or the top edge."""
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    edges = ((0, -1), (1, 0), (0, 1), (-1, 0))
    names = []
    for look, right, down in SIDES.values():
        for column, row in corners if orbit == "corners" else edges:
            names.append(NAMES[_INDEX[_combine((1, look), (column, right), (row, down)), look]])
    return dict(zip(names, "ABCDEFGHIJKLMNOPQRSTUVWX", strict=True))


LETTER = {orbit: _clockwise(orbit) for orbit in ORBITS}
STICKER = {orbit: {letter: name for name, letter in table.items()} for orbit, table in LETTER.items()}


def look(state: State, orbit: str) -> Seen:
    """For every place of the orbit the sticker seen there, named by where it belongs as the cube is held now."""
    face_of = {state[9 * number + 4]: face for number, face in enumerate(FACES)}
    seen = {}
    for piece in ORBITS[orbit]:
        shown = [face_of[state[WHERE[name]]] for name in piece]
        for step, name in enumerate(piece):
            seen[name] = shown[step] + "".join(sorted(shown[:step] + shown[step + 1 :]))
    return seen


# --- tracing -----------------------------------------------------------------------------------------------------


def shoot(seen: Seen, buffer: str, target: str) -> None:
    """Exchange the pieces of buffer and target, sticker to sticker, clockwise on."""
    for a, b in zip(ROUND[buffer], ROUND[target], strict=True):
        seen[a], seen[b] = seen[b], seen[a]


def buffer_home(seen: Seen, buffer: str) -> bool:
    """The buffer's own piece is in its place, whichever way round."""
    return seen[buffer] in ROUND[buffer]


def unsolved(seen: Seen, buffer: str) -> list[str]:
    """The stickers of unsolved pieces other than the buffer's."""
    return [name for name, sticker in seen.items() if name != sticker and name not in ROUND[buffer]]


def turned_in_place(seen: Seen, buffer: str) -> set[frozenset[str]]:
    """The pieces other than the buffer's that are in their places but flipped or twisted."""
    return {
        frozenset(ROUND[name])
        for name, sticker in seen.items()
        if sticker != name and sticker in ROUND[name] and name not in ROUND[buffer]
    }


def follow(state: State, orbit: str, buffer: str, targets: list[str]) -> list[list[str]]:
    """The targets split into cycles, every one of them tested.

    While the buffer shows a sticker of another piece, the only right target is where that belongs; once the buffer's
    piece is home, any sticker of any unsolved piece may be broken into.  At the end the orbit must be solved.
    """
    seen = look(state, orbit)
    cycles: list[list[str]] = []
    for target in targets:
        if buffer_home(seen, buffer):
            assert target in unsolved(seen, buffer), f"{target} is broken into though its piece is solved"
            cycles.append([])
        else:
            assert target == seen[buffer], f"the buffer shows {seen[buffer]}, not {target}"
            if not cycles:
                cycles.append([])
        cycles[-1].append(target)
        shoot(seen, buffer, target)
    assert all(name == sticker for name, sticker in seen.items()), "something is left unsolved"
    return cycles


def memos(state: State, orbit: str, buffer: str) -> Iterator[Memo]:
    """Every right memo, by trying every break: its targets and the stickers broken into."""

    def run(seen: Seen, targets: tuple[str, ...], breaks: tuple[str, ...]) -> Iterator[Memo]:
        seen = dict(seen)
        while not buffer_home(seen, buffer):
            target = seen[buffer]
            targets = (*targets, target)
            shoot(seen, buffer, target)
        options = unsolved(seen, buffer)
        if not options:
            yield targets, breaks
        for entry in options:
            after = dict(seen)
            shoot(after, buffer, entry)
            yield from run(after, (*targets, entry), (*breaks, entry))

    yield from run(look(state, orbit), (), ())
