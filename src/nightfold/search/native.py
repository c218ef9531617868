"""The native core and the form in which cubes are handed to it: 32 bytes a 3x3x3.

Byte ``i`` (0 to 11) tells what is at edge place ``i``: the piece in its low four bits, how far it is turned in the high
four.  Bytes 16 to 23 do so for corners and 24 to 29 for centres (numbered on from 8); the rest hold their own number.
Pieces and places are numbered as in ``Orbit.pieces``, centres by face in the order U, L, F, R, B, D.
"""

from __future__ import annotations

from collections.abc import Iterable

from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn
from nightfold.cube.state import Cube
from nightfold.search import _native as core

BYTES = 32
_CORNERS, _CENTRES = 16, 24
_AT = {"edges": 0, "corners": _CORNERS}
_SOLVED = bytes([*range(16), *range(16)])

__all__ = ["BYTES", "core", "pack", "pack_turns", "unpack"]


def pack(cube: Cube) -> bytes:
    """A 3x3x3 as 32 bytes.  Raises GeometryError for another size."""
    if cube.size != 3:
        raise GeometryError(f"the native core knows the 3x3x3 only, not a cube of {cube.size} layers")
    packed = bytearray(_SOLVED)
    for orbit, start in _AT.items():
        for place, (piece, turned) in enumerate(cube.pieces(orbit)):
            packed[start + place] = piece | turned << 4
    for number, centre in enumerate(geometry(3).fixed_centres.values()):
        packed[_CENTRES + number] = 8 + cube.stickers[centre] // 9
    return bytes(packed)


def unpack(packed: bytes) -> Cube:
    """The cube that ``pack`` made 32 bytes of."""
    pieces = {
        orbit: [(byte & 0x0F, byte >> 4) for byte in packed[start : start + len(geometry(3).orbit(orbit).pieces)]]
        for orbit, start in _AT.items()
    }
    stickers = list(Cube.from_pieces(pieces).stickers)
    centres = tuple(geometry(3).fixed_centres.values())
    for number, centre in enumerate(centres):
        stickers[centre] = centres[packed[_CENTRES + number] - 8]
    return Cube(3, tuple(stickers))


def pack_turns(turns: Iterable[Turn]) -> bytes:
    """One packed cube for each turn, end to end: what the kernels learn the geometry from."""
    return b"".join(pack(Cube.from_turns((turn,))) for turn in turns)
