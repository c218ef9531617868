"""Which letter pairs a memo can have: one after the other in an orbit, at any break choices.

Any two stickers of different pieces can follow one another, within a cycle or where one cycle ends and the next is
entered.  Two stickers of one piece can do so in a single case, as the two letters of a piece that is flipped or
twisted in place: in a longer cycle the sticker it was entered at and the one that closes it have others between them,
and once a cycle is closed none of its pieces is shot to again.  For the same reason no letter follows itself, and the
stickers of the buffer piece are never shot to.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations

from nightfold.blind.lettering import Lettering
from nightfold.blind.method import Method
from nightfold.blind.reading import OrbitReading
from nightfold.cube.geometry import Orbit
from nightfold.memory.errors import WordsError
from nightfold.memory.symbols import Pair


def letters_in_use(orbit: Orbit, buffer: int, lettering: Lettering) -> tuple[str, ...]:
    """The letters that can be shot to, in the order of their symbols: all but those of the buffer piece."""
    own = next(piece for piece in orbit.pieces if buffer in piece)
    return tuple(sorted(symbol for sticker, symbol in lettering.of(orbit).items() if sticker not in own))


def occurring_pairs(orbit: Orbit, buffer: int, lettering: Lettering) -> dict[Pair, bool]:
    """Every pair that a memo of the orbit can have, in order, with whether it is that of a piece turned in place.

    Raises WordsError for an orbit whose pieces look alike, in which a memo is not made of pieces.
    """
    if orbit.alike:
        raise WordsError(f"the pieces of the {orbit.name} look alike, so that their pairs are not told here")
    symbols = lettering.of(orbit)
    piece = {symbols[sticker]: number for number, piece in enumerate(orbit.pieces) for sticker in piece}
    return {
        (first, second): piece[first] == piece[second]
        for first, second in permutations(letters_in_use(orbit, buffer, lettering), 2)
    }


def pairs_of(method: Method, lettering: Lettering) -> dict[str, dict[Pair, bool]]:
    """``occurring_pairs`` of every orbit of a method."""
    return {way.orbit.name: occurring_pairs(way.orbit, way.buffer, lettering) for way in method.ways}


def memo_pairs(letters: Iterable[str]) -> tuple[Pair, ...]:
    """The letters of an orbit taken two by two; the last stands alone where they are odd in number."""
    all_letters = tuple(letters)
    return tuple(all_letters[at : at + 2] for at in range(0, len(all_letters), 2))


def reading_pairs(reading: OrbitReading) -> tuple[Pair, ...]:
    """The pairs of a reading."""
    return memo_pairs(reading.letters)
