"""One place on the cube, pointed out in a picture so small that it fits beside a line of text."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.picture import clean_text, number
from nightfold.paper.cubeview import FACES, HEIGHT, WIDTH, Side, letter_on_face, sticker_corners
from nightfold.paper.ink import FAINT, FONTS, LINE, inks, paler

#: How much of the paint is left on all the other stickers.
_PALE = 0.3
#: The empty border of a whole view that is cut off here, from the left and from the top.
_CUT = (12.0, 8.0)


def side_of(size: int, sticker: int) -> Side:
    """The side that shows a sticker."""
    return "front" if geometry(size).faces[sticker] in FACES["front"] else "behind"


def place_svg(
    size: int,
    sticker: int,
    *,
    colours: Sequence[str] = STANDARD_COLOURS,
    grey: bool = False,
    names: bool = False,
    title: str = "",
) -> str:
    """The side that shows ``sticker``, pale, with that sticker in full colour and a heavy line round it.

    ``colours`` are the symbols of the faces U, L, F, R, B, D.  In ``grey`` the sticker is black on a white cube.
    ``names`` sets the faces' names in their middles.  Raises GeometryError for a sticker that the cube has not.
    """
    side, table = side_of(size, sticker), geometry(size)
    paints = inks(colours)
    title = clean_text(title or f"{table.names[sticker]}, from {'the front' if side == 'front' else 'behind'}")
    left, top = _CUT
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{number(left)} {number(top)} {number(WIDTH - 2 * left)} '
        f'{number(HEIGHT - 2 * top)}" role="img" aria-label="{escape(title)}">',
        f'<g stroke="{FAINT}" stroke-width="2.5" stroke-linejoin="round">',
    ]
    for shown in range(len(table.names)):
        if table.faces[shown] in FACES[side] and shown != sticker:
            paint = "#ffffff" if grey else paler(paints[colours["ULFRBD".index(table.faces[shown])]].fill, _PALE)
            parts.append(_polygon(sticker_corners(size, shown, side, 0.04), paint))
    paint = LINE if grey else paints[colours["ULFRBD".index(table.faces[sticker])]].fill
    parts += [
        f'</g><g stroke="{LINE}" stroke-width="11" stroke-linejoin="round">',
        _polygon(sticker_corners(size, sticker, side, 0.04), paint),
        f'</g><g text-anchor="middle" font-family="{FONTS}">',
    ]
    for face, middle in table.fixed_centres.items():
        if names and face in FACES[side] and middle != sticker:
            parts.append(letter_on_face(size, middle, side, face, LINE, False, small=True))
    parts.append("</g></svg>")
    return "\n".join(parts) + "\n"


def _polygon(corners: Sequence[tuple[float, float]], fill: str) -> str:
    points = " ".join(f"{number(x, 1)},{number(y, 1)}" for x, y in corners)
    return f'<polygon points="{points}" fill="{fill}"/>'
