"""An immutable cube of 2 to 7 layers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import (
    Orbit,
    Permutation,
    compose,
    geometry,
    identity,
    inverse,
    rotation_permutations,
    turn_getter,
)
from nightfold.cube.notation import FACE_LETTERS, Algorithm, Turn, parse_turns

Turns = str | Algorithm | Sequence[Turn]


def as_turns(turns: Turns, size: int) -> tuple[Turn, ...]:
    """Turns from any of the forms the API takes; text is read for a cube of ``size`` layers."""
    if isinstance(turns, str):
        return parse_turns(turns, size)
    if isinstance(turns, Algorithm):
        return turns.expand()
    return tuple(turns)


@dataclass(frozen=True, slots=True)
class Cube:
    """A cube: ``stickers[place]`` is the number of the sticker seen there, numbered by where it is when solved.

    A cube is also the permutation that made it, so cubes multiply: ``a.then(b)`` is a's turns and then b's.
    ``==`` compares every sticker in its place, also centres of one colour; see ``looks_like`` and
    ``same_up_to_rotation``.
    """

    size: int
    stickers: Permutation

    # --- making ---

    @classmethod
    def solved(cls, size: int = 3) -> Cube:
        """A solved cube of ``size`` layers, white up and green in front.  Raises GeometryError for a bad size."""
        geometry(size)
        return cls(size, identity(size))

    @classmethod
    def from_turns(cls, turns: Turns, size: int = 3) -> Cube:
        """The solved cube after ``turns``.  Raises NotationError or GeometryError."""
        return cls.solved(size).apply(turns)

    @classmethod
    def from_pieces(cls, pieces: Mapping[str, Sequence[tuple[int, int]]], size: int = 3) -> Cube:
        """A cube from its pieces; ``pieces[orbit][place] = (piece, turned)`` as ``Cube.pieces`` gives them.

        Orbits that are not named stay solved.  Whether turns can reach the cube is not asked here.  Raises
        GeometryError when an orbit does not exist or its pieces are not each there once.
        """
        geo = geometry(size)
        partner = {a: b for cubie in geo.cubies if len(cubie) == 2 for a, b in (cubie, cubie[::-1])}
        stickers = list(identity(size))
        for name, placed in pieces.items():
            orbit = geo.orbit(name)
            kinds = orbit.turns_of_piece
            if sorted(piece for piece, _ in placed) != list(range(len(orbit.pieces))):
                raise GeometryError(f"the {name} must list each of 0 to {len(orbit.pieces) - 1} once")
            for place, (piece, turned) in zip(orbit.pieces, placed, strict=True):
                for step in range(kinds):
                    stickers[place[(step + turned) % kinds]] = orbit.pieces[piece][step]
                if kinds == 1 and place[0] in partner:  # a wing's other sticker goes where the wing goes
                    stickers[partner[place[0]]] = partner[orbit.pieces[piece][0]]
        return cls(size, tuple(stickers))

    # --- multiplying ---

    def apply(self, turns: Turns) -> Cube:
        """This cube after ``turns`` (text, an Algorithm, or turns).

        Raises NotationError for text that cannot be read and GeometryError for a turn this size does not have.
        """
        state = self.stickers
        for turn in as_turns(turns, self.size):
            state = turn_getter(self.size, turn)(state)
        return Cube(self.size, state)

    def then(self, other: Cube) -> Cube:
        """The product: what this cube's turns followed by ``other``'s turns make of a solved cube."""
        if self.size != other.size:
            raise GeometryError(f"cubes of {self.size} and {other.size} layers cannot be multiplied")
        return Cube(self.size, compose(self.stickers, other.stickers))

    __mul__ = then

    def inverse(self) -> Cube:
        """The cube that, multiplied with this one, is solved."""
        return Cube(self.size, inverse(self.stickers))

    def power(self, exponent: int) -> Cube:
        """This cube's turns done ``exponent`` times over; negative exponents take the inverse."""
        base = self if exponent >= 0 else self.inverse()
        result = Cube(self.size, identity(self.size))
        for bit in bin(abs(exponent))[2:]:
            result = result.then(result)
            if bit == "1":
                result = result.then(base)
        return result

    @property
    def order(self) -> int:
        """How many times the cube's turns must be done until every sticker is home again."""
        return math.lcm(*(len(cycle) for cycle in self.cycles()), 1)

    def cycles(self) -> tuple[tuple[int, ...], ...]:
        """The cycles of stickers longer than one: the sticker at each place goes to the place after it."""
        goes_to = inverse(self.stickers)
        seen: set[int] = set()
        found = []
        for start in range(len(goes_to)):
            if start in seen or goes_to[start] == start:
                continue
            cycle = [start]
            while (place := goes_to[cycle[-1]]) != start:
                cycle.append(place)
            seen.update(cycle)
            found.append(tuple(cycle))
        return tuple(found)

    # --- looking ---

    @property
    def colours(self) -> tuple[int, ...]:
        """For each place the face (0 to 5 in the order U, L, F, R, B, D) whose colour is seen there."""
        area = self.size * self.size
        return tuple(sticker // area for sticker in self.stickers)

    @property
    def is_solved(self) -> bool:
        """True when every face shows one colour, however the cube is held (WCA 10c)."""
        area = self.size * self.size
        colours = self.colours
        return all(len(set(colours[face * area : (face + 1) * area])) == 1 for face in range(6))

    def looks_like(self, other: Cube) -> bool:
        """True when both show the same colours in the same places."""
        return self.size == other.size and self.colours == other.colours

    def same_up_to_rotation(self, other: Cube) -> bool:
        """True when turning one of them as a whole makes both look alike."""
        if self.size != other.size:
            return False
        mine = self.colours
        return any(compose(other.colours, held) == mine for held in rotation_permutations(self.size).values())

    def pieces(self, orbit: Orbit | str) -> tuple[tuple[int, int], ...]:
        """For each place of the orbit the piece in it and how far that is turned.

        Pieces and places are numbered as in ``Orbit.pieces``.  ``turned`` is the number of clockwise steps from the
        place's first sticker to where the piece's first sticker is: 0 to 2 for corners, 0 or 1 for edges.  Raises
        GeometryError for an orbit the cube does not have.
        """
        if isinstance(orbit, str):
            orbit = geometry(self.size).orbit(orbit)
        home = {piece[0]: number for number, piece in enumerate(orbit.pieces)}
        found = []
        for place in orbit.pieces:
            for turned, at in enumerate(place):
                if (number := home.get(self.stickers[at])) is not None:
                    found.append((number, turned))
                    break
        return tuple(found)

    def __repr__(self) -> str:
        if self.stickers == identity(self.size):
            return f"Cube.solved({self.size})"
        area = self.size * self.size
        letters = "".join(FACE_LETTERS[colour] for colour in self.colours)
        faces = " ".join(letters[face * area : (face + 1) * area] for face in range(6))
        return f"<Cube {self.size}x{self.size}x{self.size} {faces}>"

    def _repr_svg_(self) -> str:
        from nightfold.cube.picture import net_svg

        return net_svg(self)
