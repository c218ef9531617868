"""Which symbol stands for which sticker.

A lettering file is TOML::

    name = "mine"
    [every-orbit]            # holds for corners, edges, wings, centres …
    U = "A B C D"            # clockwise from the face's top-left corner as it lies in the unfolded cube
    L = "E F G H"
    …
    [edges]                  # an orbit may differ
    U = "a b c d"
    [edges.stickers]         # and so may single stickers
    UF = "☂"

The default gives A to X to the faces in the order U, L, F, R, B, D, clockwise: common practice, no source.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from nightfold.blind.errors import LetteringError
from nightfold.blind.files import only_known, read_named, shipped_names, table_of, text_of
from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import Geometry, Orbit, geometry
from nightfold.cube.notation import FACE_LETTERS, MAX_SIZE, MIN_SIZE

DEFAULT = "clockwise"
EVERY = "every-orbit"
MAX_SYMBOL = 16


@dataclass(frozen=True, slots=True)
class Lettering:
    """A symbol for every sticker of every lettered orbit of one size.

    ``symbols[orbit][sticker]`` is the symbol, one or more characters without white space.
    """

    name: str
    size: int
    symbols: Mapping[str, Mapping[int, str]]

    def symbol(self, orbit: Orbit | str, sticker: int) -> str:
        """The symbol of a sticker.  Raises LetteringError when the orbit has no letters."""
        return self.of(orbit)[sticker]

    def of(self, orbit: Orbit | str) -> Mapping[int, str]:
        """All symbols of one orbit by sticker.  Raises LetteringError when the orbit has no letters."""
        name = orbit if isinstance(orbit, str) else orbit.name
        if name not in self.symbols:
            raise LetteringError(f"the lettering “{self.name}” has no letters for {name}")
        return self.symbols[name]

    def sticker(self, orbit: Orbit | str, symbol: str) -> int:
        """The sticker a symbol stands for; small and capital letters count alike where that is clear.

        Raises LetteringError for a symbol the orbit does not use.
        """
        symbols = self.of(orbit)
        wanted = unicodedata.normalize("NFC", symbol.strip())
        exact = [sticker for sticker, known in symbols.items() if known == wanted]
        loose = exact or [s for s, known in symbols.items() if known.casefold() == wanted.casefold()]
        if len(loose) == 1:
            return loose[0]
        name = orbit if isinstance(orbit, str) else orbit.name
        listed = " ".join(sorted(symbols.values()))
        raise LetteringError(f"“{symbol[:24]}” is no letter of the {name} in “{self.name}”; they are {listed}")

    @property
    def labels(self) -> dict[int, str]:
        """Every lettered sticker with its symbol, whatever its orbit."""
        return {sticker: symbol for orbit in self.symbols.values() for sticker, symbol in orbit.items()}

    def to_dict(self) -> dict[str, Any]:
        """The lettering as plain data: for each orbit the symbol of each sticker by its name."""
        names = geometry(self.size).names
        symbols = {
            orbit: {names[sticker]: symbol for sticker, symbol in table.items()}
            for orbit, table in self.symbols.items()
        }
        return {"name": self.name, "size": self.size, "symbols": symbols}


def lettering_names() -> tuple[str, ...]:
    """The letterings that come with Nightfold."""
    return shipped_names("letterings")


@lru_cache(maxsize=64)
def _shipped(name: str, size: int) -> Lettering:
    return lettering_from(read_named(name, "letterings", LetteringError)[1], size, name)


def load_lettering(source: str | Path = DEFAULT, size: int = 3) -> Lettering:
    """A lettering by its shipped name or from a file, for a cube of ``size`` layers.

    Raises LetteringError when it does not exist, cannot be read, leaves a sticker without a symbol or uses one
    twice in an orbit.
    """
    if isinstance(source, str) and source in lettering_names():
        return _shipped(source, size)
    name, data = read_named(source, "letterings", LetteringError)
    return lettering_from(data, size, name)


def lettering_from(data: dict[str, Any], size: int, name: str) -> Lettering:
    """A lettering from the content of its file; errors as for ``load_lettering``."""
    geo = geometry(size)
    orbit_names = tuple(orbit.name for orbit in geo.orbits)
    title = text_of(data, "name", name, LetteringError, name)
    known = ["name", "about", EVERY, *orbit_names]
    if not set(data) <= set(known):
        # One file may letter cubes of several sizes, so orbits of other sizes are no mistake.
        known += [orbit.name for other in range(MIN_SIZE, MAX_SIZE + 1) for orbit in geometry(other).orbits]
    only_known(data, tuple(dict.fromkeys(known)), name, LetteringError)
    common = table_of(data, EVERY, name, LetteringError)
    only_known(common, tuple(FACE_LETTERS), f"{name}, [{EVERY}]", LetteringError)
    symbols: dict[str, dict[int, str]] = {}
    for orbit in geo.orbits:
        own = table_of(data, orbit.name, name, LetteringError)
        if not own and not common:
            continue
        symbols[orbit.name] = _letter_orbit(geo, orbit, {**common, **own}, name)
    for needed in {"corners", "edges"} & set(orbit_names):
        if needed not in symbols:
            raise LetteringError(f"{name}: the {needed} have no letters; add a table [{needed}] or [{EVERY}]")
    return Lettering(title, size, symbols)


def _letter_orbit(geo: Geometry, orbit: Orbit, table: dict[str, Any], name: str) -> dict[int, str]:
    where = f"{name}, [{orbit.name}]"
    only_known(table, (*FACE_LETTERS, "stickers"), where, LetteringError)
    symbols: dict[int, str] = {}
    for face in FACE_LETTERS:
        if face not in table:
            continue
        places = geo.clockwise(orbit, face)
        words = text_of(table, face, where, LetteringError).split()
        if len(words) > len(places):
            raise LetteringError(f"{where}: face {face} has {len(places)} stickers but {len(words)} symbols")
        symbols.update(zip(places, words, strict=False))
    for sticker_name, symbol in table_of(table, "stickers", where, LetteringError).items():
        try:
            sticker = geo.sticker(sticker_name)
        except GeometryError as trouble:
            raise LetteringError(f"{where}: {trouble}") from None
        if sticker not in orbit.stickers:
            raise LetteringError(f"{where}: {geo.names[sticker]} is no sticker of the {orbit.name}")
        if not isinstance(symbol, str) or not symbol.strip() or len(symbol.split()) != 1:
            raise LetteringError(f"{where}: the symbol of {geo.names[sticker]} must be text without spaces")
        symbols[sticker] = symbol.strip()
    symbols = {sticker: _clean(symbols[sticker], where) for sticker in sorted(symbols)}
    _check(geo, orbit, symbols, where)
    return symbols


def _clean(symbol: str, where: str) -> str:
    symbol = unicodedata.normalize("NFC", symbol)
    if len(symbol) > MAX_SYMBOL:
        raise LetteringError(f"{where}: “{symbol[:MAX_SYMBOL]}…” is longer than {MAX_SYMBOL} characters")
    if any(unicodedata.category(char) in ("Cc", "Cs", "Cn") for char in symbol):
        raise LetteringError(f"{where}: {symbol!r} holds a character that cannot be shown")
    if not any(unicodedata.category(char)[0] in "LNPS" or unicodedata.category(char) == "Co" for char in symbol):
        raise LetteringError(f"{where}: {symbol!r} shows nothing one could read")
    return symbol


def _check(geo: Geometry, orbit: Orbit, symbols: dict[int, str], where: str) -> None:
    """Gaps and doubles, each as one sentence."""
    missing = [geo.names[sticker] for sticker in orbit.stickers if sticker not in symbols]
    if missing:
        listed = ", ".join(missing[:6]) + (" …" if len(missing) > 6 else "")
        raise LetteringError(f"{where}: {len(missing)} of {len(orbit.stickers)} stickers have no symbol: {listed}")
    first: dict[str, int] = {}
    for sticker, symbol in symbols.items():
        other = first.setdefault(symbol, sticker)
        if other != sticker:
            raise LetteringError(
                f"{where}: “{symbol}” stands for both {geo.names[other]} and {geo.names[sticker]}; "
                "each symbol may be used once in an orbit"
            )


def letters_by_orbit(text: str, orbits: Sequence[str], what: str = "") -> list[tuple[str, str]]:
    """Letters as ``(orbit, letter)`` from text such as ``edges=K Q;corners=B``, in order.

    ``orbits`` are those that may be named; ``what`` is what the text is for, told with what is wrong.  Raises
    LetteringError.
    """
    found: list[tuple[str, str]] = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, equals, letters = part.partition("=")
        if not equals or name.strip() not in orbits:
            raise LetteringError(
                f"{what} “{part[:40]}” must be an orbit, =, and letters, as in {orbits[0]}=K Q".strip()
            )
        found += [(name.strip(), letter) for letter in letters.split()]
    return found


def lettering_data(lettering: Lettering) -> dict[str, Any]:
    """The lettering as the content of a file; ``lettering_from`` makes an equal lettering of it."""
    geo = geometry(lettering.size)
    data: dict[str, Any] = {"name": lettering.name}
    for name, symbols in lettering.symbols.items():
        orbit = geo.orbit(name)
        data[name] = {
            face: " ".join(symbols[sticker] for sticker in geo.clockwise(orbit, face)) for face in FACE_LETTERS
        }
    return data


def save_lettering(lettering: Lettering, path: str | Path) -> None:
    """Write a lettering to a file that ``load_lettering`` reads.  Raises LetteringError when that fails."""
    import tomli_w

    try:
        Path(path).write_text(tomli_w.dumps(lettering_data(lettering)), encoding="utf-8")
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else "not a usable path"
        raise LetteringError(f"“{str(path)[:80]}” cannot be written: {reason}") from None
