"""The unfolded cube as a picture: SVG by building text, nothing else needed.

The picture is ``WIDTH`` by ``HEIGHT`` units for every size of cube.  ``sticker_centre`` tells where a sticker's middle
is, so that anything can be drawn over the net and handed in as ``overlay``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry
from nightfold.cube.net import COLOUR_NAMES, STANDARD_COLOURS, Net, face_colours, net_of
from nightfold.cube.notation import FACE_LETTERS
from nightfold.cube.state import Cube

#: The ground and the lamp of the night look.
GROUND, LAMP = "#0d1322", "#f2b45a"
#: What the stickers are painted with, in the order of the faces U, L, F, R, B, D.
STICKER_PAINT = ("#f6f1e4", "#f5872f", "#2ea866", "#d8324a", "#3b6fdb", "#f7d64a")
_DARK_INK, _LIGHT_INK = "#10131c", "#fffdf7"

_FACE, _GAP, _MARGIN = 156.0, 24.0, 26.0
#: Where each face U, L, F, R, B, D stands in the net: column and row of blocks.
_BLOCKS = ((1, 0), (0, 1), (1, 1), (2, 1), (3, 1), (1, 2))
#: The size of the whole picture in user units.
WIDTH = 2 * _MARGIN + 4 * _FACE + 3 * _GAP
HEIGHT = 2 * _MARGIN + 3 * _FACE + 2 * _GAP


def sticker_pitch(size: int) -> float:
    """The distance between the middles of neighbouring stickers of one face."""
    return _FACE / size


def sticker_centre(size: int, sticker: int) -> tuple[float, float]:
    """The middle of a sticker in the picture, from the left and from the top.

    Raises GeometryError for a sticker or a size that there is not.
    """
    if not 0 <= sticker < len(geometry(size).names):
        raise GeometryError(f"a {size}x{size}x{size} has stickers 0 to {6 * size * size - 1}, not {sticker}")
    face, place = divmod(sticker, size * size)
    row, column = divmod(place, size)
    left, top = _corner(face)
    return left + (column + 0.5) * sticker_pitch(size), top + (row + 0.5) * sticker_pitch(size)


def net_svg(
    cube: Cube | Net,
    *,
    colours: Sequence[str] | None = None,
    labels: Mapping[int, str] | None = None,
    title: str | None = None,
    overlay: str = "",
) -> str:
    """The unfolded cube as an SVG document.

    ``colours`` are the symbols of the faces U, L, F, R, B, D of a Cube, the standard ones unless given (a Net brings
    its own); the standard symbols get their own paint, others the paint of the face they belong to.  ``labels`` are
    set large on the stickers they name; a sticker without one carries its colour's symbol in small.  ``title`` is
    what a screen reader says.  ``overlay`` is SVG drawn over the stickers as it stands; its maker escapes what needs
    it.  Raises NetError for colours that are not six different symbols, GeometryError for a label of a sticker that
    the cube has not.
    """
    net = cube if isinstance(cube, Net) else net_of(cube, colours or STANDARD_COLOURS)
    size = net.size
    labels = labels or {}
    for sticker in labels:
        sticker_centre(size, sticker)
    paint = _paint(net, tuple(colours) if colours and isinstance(cube, Cube) else None)
    title = title or f"The unfolded {size}x{size}x{size} cube"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(WIDTH)} {number(HEIGHT)}" '
        f'width="{number(WIDTH)}" height="{number(HEIGHT)}" role="img" aria-label="{escape(clean_text(title))}">',
        f"<title>{escape(clean_text(title))}</title>",
        f'<rect width="{number(WIDTH)}" height="{number(HEIGHT)}" rx="14" fill="{GROUND}"/>',
        '<g font-family="ui-sans-serif, system-ui, \'DejaVu Sans\', sans-serif" text-anchor="middle">',
        *(_face_name(face) for face in range(6)),
        *(_sticker(net, sticker, paint[net.symbols[sticker]], labels.get(sticker)) for sticker in range(6 * size**2)),
        "</g>",
        *([f"<g>{overlay}</g>"] if overlay else []),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _corner(face: int) -> tuple[float, float]:
    """The top-left corner of a face's block."""
    across, down = _BLOCKS[face]
    return _MARGIN + across * (_FACE + _GAP), _MARGIN + down * (_FACE + _GAP)


def _paint(net: Net, colours: tuple[str, ...] | None) -> dict[str, str]:
    """What each symbol is painted with."""
    symbols = set(net.symbols)
    if symbols == set(COLOUR_NAMES):
        order: Sequence[str] = STANDARD_COLOURS
    elif colours is not None:
        order = colours
    else:
        order = face_colours(net)
    return dict(zip(order, STICKER_PAINT, strict=True))


def _face_name(face: int) -> str:
    """The face's letter in lamplight above the left end of its block."""
    left, top = _corner(face)
    return _text(left + 7, top - 9, FACE_LETTERS[face], 12, LAMP)


def _sticker(net: Net, sticker: int, paint: str, label: str | None) -> str:
    pitch = sticker_pitch(net.size)
    x, y = sticker_centre(net.size, sticker)
    side = pitch - min(0.08 * pitch, 4)
    square = (
        f'<rect x="{number(x - side / 2)}" y="{number(y - side / 2)}" width="{number(side)}" height="{number(side)}" '
        f'rx="{number(pitch * 0.14)}" fill="{paint}"/>'
    )
    if label:
        # Long labels shrink: the widest bold letter is as wide as its type size.
        return square + _text(x, y, label, min(0.6, 0.86 / len(label)) * pitch, ink_on(paint), "600")
    return square + _text(x, y, net.symbols[sticker], 0.27 * pitch, ink_on(paint))


def _text(x: float, y: float, text: str, height: float, ink: str, weight: str = "400") -> str:
    """Text set about a point.  Capitals are about 0.72 of the type size high, so half of that below is the line."""
    return (
        f'<text x="{number(x)}" y="{number(y + 0.36 * height)}" font-size="{number(height)}" font-weight="{weight}" '
        f'fill="{ink}">{escape(clean_text(text))}</text>'
    )


def ink_on(paint: str) -> str:
    """Dark or light ink for text on ``paint`` (``#rrggbb``), whichever contrasts more.

    Contrast is the ratio of relative luminances defined in the Web Content Accessibility Guidelines (WCAG) 2.1.
    """
    light = luminance(paint)
    on_dark = (light + 0.05) / (luminance(_DARK_INK) + 0.05)
    on_light = (luminance(_LIGHT_INK) + 0.05) / (light + 0.05)
    return _DARK_INK if on_dark >= on_light else _LIGHT_INK


def luminance(paint: str) -> float:
    """The relative luminance of ``#rrggbb``, 0 for black to 1 for white, as WCAG 2.1 defines it."""

    def linear(part: int) -> float:
        share = part / 255
        return share / 12.92 if share <= 0.03928 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(int(paint[at : at + 2], 16)) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def number(value: float, decimals: int = 2) -> str:
    """A number as short as so many decimals allow."""
    return f"{value:.{decimals}f}".rstrip("0").rstrip(".")


def clean_text(text: str) -> str:
    """Text without the characters that XML 1.0 cannot hold."""
    return "".join(
        char
        if char in "\t\n\r" or " " <= char <= "\ud7ff" or "\ue000" <= char <= "\ufffd" or char > "\uffff"
        else "\ufffd"
        for char in text
    )
