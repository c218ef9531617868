"""Colours in and out: the net text of a cube of 2 to 7 layers.

**Net text** is the unfolded cube as one sees it: the rows of U, then the band whose rows run through L, F, R and B,
then the rows of D; one symbol a sticker.  Only the reading order counts; white space, line breaks and the rules
``| , ; : /`` may stand anywhere.  Any six letters, digits or emoji serve as colours, and small letters mean the
same as large ones.

**Which cubes exist.**  A quarter turn of a face is an odd permutation (one 4-cycle) of the corners, of the edges or
midges, and of every orbit of centres, and an even one (two 4-cycles) of every orbit of wings.  A quarter turn of
the inner layer at depth ``d`` leaves corners and midges alone and is odd on the wings of depth ``d``, on the
t-centres of depth ``d`` and on both orbits of oblique centres that have ``d`` as one of their depths; on x-centres
it is even.  So, with the fixed centres at home,

- odd sizes: the corners and the edges (midges) are either both an odd permutation or both an even one;
- even sizes: corners and wings are free, so a 2x2x2 and a 4x4x4 with two corners exchanged both exist;
- centres: an orbit's sign is the corners' sign times the signs of the wings at its two depths.  Centres of one
  colour look alike, and numbering two of them the other way round changes the sign, so this forbids no colouring;
- always: the twists of the corners add up to a multiple of three and the flips of edges or midges to an even number.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations

from nightfold.cube.errors import ImpossibleCubeError, NetError
from nightfold.cube.geometry import Orbit, geometry
from nightfold.cube.notation import MAX_SIZE, MIN_SIZE
from nightfold.cube.state import Cube

#: What the standard colours are called.
COLOUR_NAMES = {"W": "white", "O": "orange", "G": "green", "R": "red", "B": "blue", "Y": "yellow"}
#: The standard colours in the order of the faces U, L, F, R, B, D (common practice, no source).
STANDARD_COLOURS: tuple[str, ...] = tuple(COLOUR_NAMES)
#: Symbols with a standard place: where a cube has no fixed centres these are held as listed, faces U, L, F, R, B, D.
_KNOWN_SCHEMES = (STANDARD_COLOURS, tuple("ULFRBD"), tuple("⬜🟧🟩🟥🟦🟨"))

#: The longest text that is read at all, in characters.
MAX_TEXT = 100_000
_COUNTS = {6 * size * size: size for size in range(MIN_SIZE, MAX_SIZE + 1)}
_RULES = set("|,;:/") | {chr(code) for code in range(0x2500, 0x2580)}


# --- the net and its text ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Net:
    """The colours of an unfolded cube, possible or not: ``symbols[sticker]`` in the numbering of ``geometry``.

    There are ``6 * size * size`` symbols of one character, six different ones.  ``str(net)`` is the net text.
    Raises NetError for anything else, GeometryError for a size there is not.
    """

    size: int
    symbols: tuple[str, ...]

    def __post_init__(self) -> None:
        expected = len(geometry(self.size).names)
        if len(self.symbols) != expected:
            raise NetError(f"{_cube(self.size)} has {expected} stickers, not {len(self.symbols)}")
        different = set(self.symbols)
        if len(different) != 6:
            raise NetError(f"a cube has six colours, not {len(different)}")
        for symbol in different:
            _check_symbol(symbol)

    def __str__(self) -> str:
        return "\n".join(
            (" " * (self.size * (_width(self.symbols[0]) + 1)) if len(row) == self.size else "")
            + " ".join(self.symbols[sticker] for sticker in row)
            for row in net_rows(self.size)
        )

    def with_symbols(self, changes: dict[int, str]) -> Net:
        """The same net with the stickers that ``changes`` names showing other symbols."""
        return Net(self.size, tuple(changes.get(i, symbol) for i, symbol in enumerate(self.symbols)))


def net_rows(size: int) -> tuple[tuple[int, ...], ...]:
    """The stickers row by row as a net text lists them: U, then L F R B side by side, then D."""
    faces = [range(face * size * size, (face + 1) * size * size) for face in range(6)]
    up, *band, down = [[tuple(f[i : i + size]) for i in range(0, size * size, size)] for f in faces]
    return (*up, *(sum(parts, ()) for parts in zip(*band, strict=True)), *down)


def net_of(cube: Cube, colours: Sequence[str] = STANDARD_COLOURS) -> Net:
    """What ``cube`` shows when its faces U, L, F, R, B, D have these ``colours``.

    Raises NetError unless the colours are six different symbols that a net text can hold.
    """
    colours = tuple(_fold(colour) for colour in colours)
    if len(colours) != 6 or len(set(colours)) != 6:
        raise NetError(
            f"a cube takes six different colours, for U, L, F, R, B and D in turn, not “{' '.join(colours)[:40]}”"
        )
    return Net(cube.size, tuple(colours[face] for face in cube.colours))


def write_net(cube: Cube, colours: Sequence[str] = STANDARD_COLOURS) -> str:
    """The net text of ``cube``, U and D set under one another with F; ``parse_net`` reads it back.

    ``colours`` are the symbols of the faces U, L, F, R, B, D.  Raises NetError as ``net_of`` does.
    """
    return str(net_of(cube, colours))


def parse_net(text: str) -> Net:
    """Read a net text.  The number of symbols tells the size: 24, 54, 96, 150, 216 or 294.

    Raises NetError, in one sentence with row and column (of the text, from 1, empty lines counted), for a symbol
    that cannot be a colour, a wrong number of stickers, or more or fewer than six colours.
    """
    if len(text) > MAX_TEXT:
        raise NetError(f"this text has {len(text)} characters; a net is no longer than {MAX_TEXT}")
    symbols: list[str] = []
    at: list[str] = []
    widths: dict[int, int] = {}
    for row, line in enumerate(text.splitlines(), 1):
        for column, char in enumerate(unicodedata.normalize("NFC", line), 1):
            if char.isspace() or char in _RULES or unicodedata.category(char) in ("Mn", "Me", "Cf"):
                continue  # Mn, Me, Cf: what follows some emoji to choose their look, and byte order marks
            symbol = _fold(char)
            place = f"row {row}, column {column}"
            _check_symbol(symbol, f" at {place}")
            symbols.append(symbol)
            at.append(place)
            widths[row] = widths.get(row, 0) + 1
    if len(symbols) not in _COUNTS:
        raise NetError(_wrong_number(len(symbols), widths))
    _check_six(symbols, at)
    size = _COUNTS[len(symbols)]
    in_order = (sticker for row in net_rows(size) for sticker in row)
    return Net(size, tuple(symbol for _, symbol in sorted(zip(in_order, symbols, strict=True))))


def _cube(size: int) -> str:
    return f"a {size}x{size}x{size}"


def _fold(char: str) -> str:
    """Upper case, where that is one character."""
    upper = char.upper()
    return upper if len(upper) == 1 else char


def _width(symbol: str) -> int:
    """How many terminal cells a symbol takes."""
    return 2 if unicodedata.east_asian_width(symbol) in "WF" else 1


def _shown(symbol: str) -> str:
    return f"“{symbol[:12]}”" if symbol.isprintable() else f"character U+{ord(symbol[0]):04X}"


def _check_symbol(symbol: str, where: str = "") -> None:
    if len(symbol) != 1 or not (unicodedata.category(symbol)[0] in "LN" or unicodedata.category(symbol) == "So"):
        raise NetError(f"{_shown(symbol)}{where} is no colour; a sticker is one letter, digit or emoji")


def listed(words: Sequence[str], last: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``; ``last`` is the word before the last."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _wrong_number(found: int, widths: dict[int, int]) -> str:
    """The sentence for a text that has ``found`` stickers, ``widths[row]`` of them in each row that has any."""
    if not found:
        return "there are no stickers in this net; type 54 for a 3x3x3, row by row: U, then L F R B, then D"
    expected, size = min(_COUNTS.items(), key=lambda entry: abs(entry[0] - found))
    sentence = f"this net has {found} sticker{'s' * (found != 1)}, where {_cube(size)} has {expected}"
    pattern = [len(row) for row in net_rows(size)]
    if len(widths) == len(pattern):
        wrong = [(row, has, due) for (row, has), due in zip(widths.items(), pattern, strict=True) if has != due]
        if len(wrong) <= 3:
            return sentence + ": " + listed([f"row {row} has {has} instead of {due}" for row, has, due in wrong])
    elif len(widths) > 1 and all(has in (size, 4 * size) for has in widths.values()):
        return sentence + f": there are {len(widths)} rows instead of {len(pattern)}"
    return sentence


def _check_six(symbols: Sequence[str], at: Sequence[str]) -> None:
    """Raise NetError unless there are six different symbols; the rarest are taken for the strangers."""
    count = Counter(symbols)
    if len(count) < 6:
        are = "colours are" if len(count) > 1 else "colour is"
        raise NetError(f"only {len(count)} {are} in this net ({listed(list(count))}); a cube has six")
    if len(count) > 6:
        usual = {symbol for symbol, _ in count.most_common(6)}
        at_fault = next(i for i, symbol in enumerate(symbols) if symbol not in usual)
        raise NetError(
            f"“{symbols[at_fault]}” at {at[at_fault]} is one colour too many beside "
            f"{listed([symbol for symbol in count if symbol in usual])}; a cube has six"
        )


# --- which piece is where ----------------------------------------------------------------------------------

Faces = tuple[int, ...]
#: A piece of an orbit and how far it is turned, as ``Cube.pieces`` gives them; None where no such piece exists.
Located = tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Family:
    """One orbit of pieces that show two or three colours.

    ``places`` are the stickers of each place, clockwise, leading sticker first; a wing has both its stickers here.
    ``homes`` takes the faces whose colours a place shows to the piece and how far it is turned.
    """

    orbit: Orbit
    places: tuple[tuple[int, ...], ...]
    homes: dict[Faces, tuple[int, int]]

    def locate(self, faces: Sequence[int]) -> list[Located]:
        """Which piece is in each place of a cube that shows the colour of ``faces[i]`` at place ``i``."""
        homes = self.homes
        return [homes.get(tuple([faces[sticker] for sticker in place])) for place in self.places]


@cache
def families(size: int) -> tuple[Family, ...]:
    """The orbits of a cube of ``size`` layers whose pieces show several colours: corners, edges, midges, wings."""
    geo = geometry(size)
    cubie_of = {sticker: cubie for cubie in geo.cubies for sticker in cubie}
    found = []
    for orbit in geo.orbits:
        if orbit.alike:
            continue
        places = tuple(
            piece if len(piece) > 1 else (*piece, *(s for s in cubie_of[piece[0]] if s != piece[0]))
            for piece in orbit.pieces
        )
        homes = {}
        for number, place in enumerate(places):
            shown = tuple(sticker // (size * size) for sticker in place)
            for turned in range(orbit.turns_of_piece):
                homes[shown[-turned:] + shown[:-turned] if turned else shown] = number, turned
        found.append(Family(orbit, places, homes))
    return tuple(found)


def fixed_centres(size: int) -> tuple[int, ...]:
    """The middle stickers of the six faces, in the order of the faces; none on even sizes."""
    return tuple(face * size * size + size * size // 2 for face in range(6)) if size % 2 else ()


def is_odd(permutation: Sequence[int]) -> bool:
    """True when the permutation takes an odd number of exchanges."""
    seen = [False] * len(permutation)
    exchanges = 0
    for start in range(len(permutation)):
        at = permutation[start]
        seen[start] = True
        while not seen[at]:
            seen[at] = True
            exchanges += 1
            at = permutation[at]
    return exchanges % 2 == 1


def is_possible(net: Net) -> bool:
    """True when turns lead from a solved cube of these colours to this net."""
    colours = _certain_colours(net)
    return colours is not None and _obeys_the_laws(net.size, _faces(net, colours))


def _faces(net: Net, colours: Sequence[str]) -> Faces:
    face = {colour: number for number, colour in enumerate(colours)}
    return tuple([face[symbol] for symbol in net.symbols])


def _obeys_the_laws(size: int, faces: Faces) -> bool:
    """Every piece there once, twists, flips and exchanges as the head of this file states them."""
    odd = []
    for family in families(size):
        numbers, twist = [], 0
        for located in family.locate(faces):
            if located is None:
                return False
            numbers.append(located[0])
            twist += located[1]
        if len(set(numbers)) < len(numbers) or twist % family.orbit.turns_of_piece:
            return False
        if family.orbit.turns_of_piece > 1:
            odd.append(is_odd(numbers))
    if len(set(odd)) > 1:
        return False
    orbits = (orbit for orbit in geometry(size).orbits if orbit.alike)
    return all(sorted(faces[s] for s in orbit.stickers) == _FOUR_OF_EACH for orbit in orbits)


_FOUR_OF_EACH = [face for face in range(6) for _ in range(4)]


# --- which colour is which face ----------------------------------------------------------------------------


def face_colours(net: Net) -> tuple[str, ...]:
    """The colour that each face U, L, F, R, B, D will have when the cube is solved as it is held.

    Odd sizes: the colour of its centre; if two centres show one colour, they and those colours that no centre shows
    are put where most pieces make sense.  Even sizes: the colours run as the corners say (as most of them do, on an
    impossible cube); of the 24 ways to hold that, white up and green in front if the colours are the standard ones,
    else the way in which the corner at DBL is at home.
    """
    certain = _certain_colours(net)
    if certain is not None:
        return certain
    if net.size % 2:
        shown = [net.symbols[sticker] for sticker in fixed_centres(net.size)]
        unclear = [face for face in range(6) if shown.count(shown[face]) > 1]
        spare = sorted(set(net.symbols) - {symbol for symbol in shown if shown.count(symbol) == 1})

        def with_spare(order: tuple[str, ...]) -> tuple[str, ...]:
            placed = dict(zip(unclear, order, strict=True))
            return tuple(placed.get(face, shown[face]) for face in range(6))

        def sense(colours: tuple[str, ...]) -> int:
            faces = _faces(net, colours)
            agree = sum(a == b for a, b in zip(colours, shown, strict=True))
            return agree + sum(located is not None for f in families(net.size)[:2] for located in f.locate(faces))

        return max(map(with_spare, permutations(spare)), key=sense)
    palette, known = _palette(net)
    corners = _corner_colours(net, palette)
    standard = tuple(range(6))
    best = max(_schemes().items(), key=lambda entry: (len(entry[0] & corners), known and standard in entry[1]))
    return _hold(net, palette, best[1], known)


def _certain_colours(net: Net) -> tuple[str, ...] | None:
    """``face_colours`` where centres or corners leave no doubt, else None."""
    if net.size % 2:
        shown = tuple(net.symbols[sticker] for sticker in fixed_centres(net.size))
        return shown if len(set(shown)) == 6 else None
    palette, known = _palette(net)
    scheme = _schemes().get(_corner_colours(net, palette))
    return None if scheme is None else _hold(net, palette, scheme, known)


def _palette(net: Net) -> tuple[tuple[str, ...], bool]:
    """The net's six colours in an order that depends on nothing else, and whether they have a standard place."""
    symbols = set(net.symbols)
    for scheme in _KNOWN_SCHEMES:
        if symbols == set(scheme):
            return scheme, True
    return tuple(sorted(symbols)), False


def _turn_to_least(triple: Sequence[int]) -> Faces:
    """One form for a corner's colours, whichever comes first going clockwise."""
    least = triple.index(min(triple))
    return (*triple[least:], *triple[:least])


def _corner_colours(net: Net, palette: tuple[str, ...]) -> frozenset[Faces]:
    number = {symbol: i for i, symbol in enumerate(palette)}
    places = families(net.size)[0].places
    return frozenset(_turn_to_least([number[net.symbols[sticker]] for sticker in place]) for place in places)


@cache
def _schemes() -> dict[frozenset[Faces], frozenset[Faces]]:
    """The 30 ways to colour a cube: the eight corners of each, and its 24 holds as colours by face."""
    corners = [tuple(sticker // 4 for sticker in place) for place in families(2)[0].places]
    found: dict[frozenset[Faces], set[Faces]] = {}
    for hold in permutations(range(6)):
        key = frozenset(_turn_to_least([hold[face] for face in corner]) for corner in corners)
        found.setdefault(key, set()).add(hold)
    return {key: frozenset(holds) for key, holds in found.items()}


def _hold(net: Net, palette: tuple[str, ...], scheme: frozenset[Faces], known: bool) -> tuple[str, ...]:
    standard = tuple(range(6))
    if known and standard in scheme:
        return palette
    area = net.size * net.size
    dbl = [(sticker // area, palette.index(net.symbols[sticker])) for sticker in families(net.size)[0].places[6]]
    chosen = max(sorted(scheme), key=lambda hold: sum(hold[face] == colour for face, colour in dbl))
    return tuple(palette[colour] for colour in chosen)


# --- from colours to a cube --------------------------------------------------------------------------------


def cube_from_net(net: Net | str) -> tuple[Cube, tuple[str, ...]]:
    """The cube that shows this net as it is held, and the colours of its faces U, L, F, R, B, D.

    The cube is numbered so that solving it without turning it as a whole gives every face the colour named for it;
    see ``face_colours`` for what is chosen where no fixed centre tells.  Wings are known by their colours and which
    of them leads.  Centres of one colour are numbered so that as many as possible are at home and the cube is one
    that turns reach; the head of this file says what that asks.  Raises NetError for a text that is no net and
    ImpossibleCubeError, saying what is wrong, for a net that no turns lead to.
    """
    if isinstance(net, str):
        net = parse_net(net)
    if not is_possible(net):
        from nightfold.cube.diagnosis import diagnose

        found = diagnose(net)
        raise ImpossibleCubeError(found.sentence + found.advice)
    colours = face_colours(net)
    size, area = net.size, net.size * net.size
    faces = _faces(net, colours)
    stickers = list(range(6 * area))
    odd_corners = False
    odd_wings: dict[int, bool] = {}
    for family in families(size):
        located = [found for found in family.locate(faces) if found is not None]
        for place, (piece, turned) in zip(family.places, located, strict=True):
            for step, sticker in enumerate(family.places[piece]):
                stickers[place[(step + turned) % len(place)]] = sticker
        numbers = [piece for piece, _ in located]
        if family.orbit.name == "corners":
            odd_corners = is_odd(numbers)
        elif family.orbit.turns_of_piece == 1:
            odd_wings[max(_depths(size, family.places[0][0]))] = is_odd(numbers)
    for orbit in geometry(size).orbits:
        if orbit.alike:
            should_be_odd = odd_corners
            for depth in _depths(size, orbit.stickers[0]):
                should_be_odd ^= odd_wings.get(depth, False)
            _number_centres(orbit, faces, stickers, should_be_odd)
    return Cube(size, tuple(stickers)), colours


def _depths(size: int, sticker: int) -> tuple[int, int]:
    """How many layers lie between a sticker and the nearest rim of its face, by row and by column."""
    row, column = divmod(sticker % (size * size), size)
    return min(row, size - 1 - row), min(column, size - 1 - column)


def _number_centres(orbit: Orbit, faces: Faces, stickers: list[int], should_be_odd: bool) -> None:
    """Fill the places of one orbit of centres in ``stickers``, keeping centres at home where the colour allows."""
    area = orbit.size * orbit.size
    members = orbit.stickers
    spare: dict[int, list[int]] = {face: [] for face in range(6)}
    away = []
    for place in members:
        if faces[place] == place // area:
            stickers[place] = place
        else:
            spare[place // area].append(place)
            away.append(place)
    for place in away:
        stickers[place] = spare[faces[place]].pop(0)
    number = {sticker: i for i, sticker in enumerate(members)}
    if is_odd([number[stickers[place]] for place in members]) != should_be_odd:
        # Renumber two centres of one colour, of a colour that has two away from home if there is one.
        alike: dict[int, list[int]] = {}
        for place in sorted(members, key=lambda place: stickers[place] == place):
            pair = alike.setdefault(faces[place], [])
            pair.append(place)
            if len(pair) == 2:
                a, b = pair
                stickers[a], stickers[b] = stickers[b], stickers[a]
                return
