"""How the solver holds the cube: which colour is up and which in front."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nightfold.blind.errors import ReadingError
from nightfold.cube.geometry import OPPOSITE, compose, geometry, rotation_permutations
from nightfold.cube.net import COLOUR_NAMES, STANDARD_COLOURS
from nightfold.cube.notation import FACE_LETTERS
from nightfold.cube.state import Cube


@dataclass(frozen=True, slots=True)
class Hold:
    """Which colour is up and which in front, by initial."""

    top: str
    front: str

    def __str__(self) -> str:
        return f"{colour_name(self.top)} up, {colour_name(self.front)} in front"


def colour_name(symbol: str) -> str:
    """``green`` for G; a symbol that is no standard initial names itself."""
    return COLOUR_NAMES.get(symbol, symbol)


def parse_hold(text: str) -> Hold:
    """Read ``white,green`` or ``W,G``.  Raises ReadingError."""
    parts = [part.strip() for part in text.replace("/", ",").replace(" ", ",").split(",") if part.strip()]
    if len(parts) != 2:
        raise ReadingError(f"the hold “{text[:40]}” must be two colours, up and in front, as in white,green or W,G")
    by_name = {name: initial for initial, name in COLOUR_NAMES.items()}
    top, front = (by_name.get(part.lower(), part.upper()) for part in parts)
    for part, symbol in zip(parts, (top, front), strict=True):
        if len(symbol) != 1:
            raise ReadingError(
                f"“{part[:24]}” is no colour; colours are {', '.join(COLOUR_NAMES.values())}, or their initials"
            )
    if top == front:
        raise ReadingError(f"the hold “{text[:40]}” names one colour twice; up and in front must differ")
    return Hold(top, front)


def hold_as_typed(wanted: Hold, scheme: Sequence[str]) -> Hold:
    """``wanted`` where a net with these face colours can be held so, else the net as it was typed.

    ``scheme`` are the colours of the faces U, L, F, R, B, D.
    """
    faces = dict(zip(scheme, FACE_LETTERS, strict=True))
    if wanted.top in faces and wanted.front in faces and faces[wanted.top] != OPPOSITE[faces[wanted.front]]:
        return wanted
    return Hold(scheme[0], scheme[2])


def rotation_to(hold: Hold, cube: Cube, scheme: Sequence[str] = STANDARD_COLOURS) -> str:
    """The rotation that brings ``cube`` to the hold, the shortest; empty if it is held so already.

    ``scheme`` are the colours of the faces U, L, F, R, B, D that the cube's stickers are numbered by.  Raises
    ReadingError when the cube has no such colours or they are opposite, or has no middle layer to tell its colours by.
    """
    geo = geometry(cube.size)
    centres = geo.fixed_centres
    if not centres:
        raise ReadingError(f"a {cube.size}x{cube.size}x{cube.size} has no fixed centres to tell how it is held")
    area = cube.size * cube.size
    shown = {scheme[cube.stickers[centres[face]] // area]: face for face in FACE_LETTERS}
    for symbol in (hold.top, hold.front):
        if symbol not in shown:
            raise ReadingError(f"no centre is {colour_name(symbol)}; the centres are {', '.join(shown)}")
    if OPPOSITE[shown[hold.top]] == shown[hold.front]:
        raise ReadingError(
            f"{colour_name(hold.top)} and {colour_name(hold.front)} are opposite faces; with one up the other cannot "
            "be in front"
        )
    top, front = centres[shown[hold.top]], centres[shown[hold.front]]
    for text, source in rotation_permutations(cube.size).items():
        if source[centres["U"]] == top and source[centres["F"]] == front:
            return text
    raise AssertionError("24 rotations cover every hold")


def as_held(cube: Cube) -> Cube:
    """The cube with its stickers numbered by where they belong in the present hold, so that centres are home.

    Only for cubes with fixed centres.
    """
    centres = geometry(cube.size).fixed_centres
    for source in rotation_permutations(cube.size).values():
        if all(cube.stickers[at] == source[at] for at in centres.values()):
            held = Cube(cube.size, source).inverse()
            return Cube(cube.size, compose(held.stickers, cube.stickers))
    raise AssertionError("centres are always one of 24 ways round")
