"""The cube as one sees it on the table: three faces at once, from the front or from behind, as SVG.

The eye looks along a diagonal of the cube, so all three faces are drawn alike, without perspective.  ``front`` shows
U, F and R; ``behind`` shows D, B and L, as one sees them who holds the cube up and looks at it from the other side.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from html import escape
from typing import Literal

from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import Vector, geometry
from nightfold.cube.net import STANDARD_COLOURS, Net, face_colours, net_of
from nightfold.cube.picture import clean_text, number
from nightfold.cube.state import Cube
from nightfold.paper.ink import ACCENT, FONTS, LINE, Ink, hatchings, inks

Side = Literal["front", "behind"]
#: The faces that each side shows.
FACES: Mapping[Side, str] = {"front": "UFR", "behind": "DBL"}
#: Width and height of the picture in user units, for every size of cube.
WIDTH, HEIGHT = 240.0, 264.0
_EDGE = 118.0
#: How the names of faces are set, so that none is taken for a letter.
SMALL = ' font-weight="400" font-style="italic"'
_COS, _SIN = math.cos(math.pi / 6), math.sin(math.pi / 6)


def project(point: tuple[float, float, float], side: Side) -> tuple[float, float]:
    """Where a point of the cube (its middle at 0, its faces at -1 and 1) lies in the picture, from the left and top."""
    x, y, z = point
    if side == "behind":
        # The other end of the diagonal: right and left, and front and back, change places; up stays up.
        x, z = -x, -z
        across, down = (x - z) * _COS, -(x + z) * _SIN - y
    else:
        across, down = (x - z) * _COS, (x + z) * _SIN - y
    return WIDTH / 2 + across * _EDGE / 2, HEIGHT / 2 + down * _EDGE / 2


@lru_cache(maxsize=8192)
def sticker_corners(size: int, sticker: int, side: Side, inset: float = 0.0) -> tuple[tuple[float, float], ...]:
    """The four corners of a sticker in the picture, drawn in by ``inset`` (0 to 1) of its width.

    Raises GeometryError for a sticker that this side does not show.
    """
    table = geometry(size)
    if not 0 <= sticker < len(table.names) or table.faces[sticker] not in FACES[side]:
        raise GeometryError(f"the view from the {side} of a {size}x{size}x{size} does not show sticker {sticker}")
    cubie, normal = table.coordinates[sticker]
    first, second = (axis for axis in range(3) if not normal[axis])
    half = (1 - inset) / size

    def corner(one: int, two: int) -> tuple[float, float]:
        point = [place / size + away / size for place, away in zip(cubie, normal, strict=True)]
        point[first] += one * half
        point[second] += two * half
        return project((point[0], point[1], point[2]), side)

    return tuple(corner(one, two) for one, two in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


def sticker_middle(size: int, sticker: int, side: Side) -> tuple[float, float]:
    """The middle of a sticker in the picture.  Raises GeometryError for one that this side does not show."""
    corners = sticker_corners(size, sticker, side)
    return sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4


def view_svg(
    cube: Cube | Net,
    side: Side = "front",
    *,
    colours: Sequence[str] | None = None,
    labels: Mapping[int, str] | None = None,
    lit: Collection[int] = (),
    arrows: Sequence[tuple[int, int]] = (),
    grey: bool = False,
    blank: bool = False,
    names: bool = False,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """Three faces of the cube as an SVG document.

    ``colours`` and ``labels`` are as for ``net_svg``.  Stickers in ``lit`` are ringed.  ``arrows`` join the middles of
    two stickers each, with a point at both ends: what is exchanged; those of which this side does not show both are
    left out.  ``grey`` lays on hatchings instead of colours, ``blank`` leaves all but the middles white, and ``names``
    sets the faces' names small in their middles.  ``prefix`` keeps the names of hatchings apart from those of other
    pictures in one document.  Raises NetError as ``net_svg`` does, GeometryError for stickers that the cube has not.
    """
    where = "the front" if side == "front" else "behind and below"
    title = clean_text(title or f"The {cube.size}x{cube.size}x{cube.size} cube from {where}")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(WIDTH)} {number(HEIGHT)}" '
        f'width="{number(WIDTH)}" height="{number(HEIGHT)}" role="img" aria-label="{escape(title)}">',
        f"<title>{escape(title)}</title>",
        *([hatchings(prefix)] if grey else []),
        *view_body(
            cube,
            side,
            colours=colours,
            labels=labels,
            lit=lit,
            arrows=arrows,
            grey=grey,
            blank=blank,
            names=names,
            prefix=prefix,
        ),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def view_body(
    cube: Cube | Net,
    side: Side,
    *,
    colours: Sequence[str] | None = None,
    labels: Mapping[int, str] | None = None,
    lit: Collection[int] = (),
    arrows: Sequence[tuple[int, int]] = (),
    grey: bool = False,
    blank: bool = False,
    names: bool = False,
    prefix: str = "",
) -> list[str]:
    """What ``view_svg`` draws, to be put into another picture, which needs ``hatchings(prefix)`` for grey."""
    net = cube if isinstance(cube, Net) else net_of(cube, colours or STANDARD_COLOURS)
    table, labels = geometry(net.size), labels or {}
    for sticker in (*labels, *lit, *(end for arrow in arrows for end in arrow)):
        if not 0 <= sticker < len(table.names):
            raise GeometryError(
                f"a {net.size}x{net.size}x{net.size} has stickers 0 to {len(table.names) - 1}, not {sticker}"
            )
    laid = inks(colours or (face_colours(net) if isinstance(cube, Net) else STANDARD_COLOURS), grey=grey, prefix=prefix)
    shown = [sticker for sticker in range(len(table.names)) if table.faces[sticker] in FACES[side]]
    coloured = table.fixed_centres.values() if blank else shown
    ink = {sticker: laid[net.symbols[sticker]] if sticker in coloured else Ink("#ffffff", LINE) for sticker in shown}
    return [
        f'<g stroke="{LINE}" stroke-width="1.2" stroke-linejoin="round">',
        *(_polygon(sticker_corners(net.size, sticker, side, 0.05), ink[sticker].fill) for sticker in shown),
        "</g>",
        f'<g text-anchor="middle" font-family="{FONTS}" font-weight="600">',
        *(
            letter_on_face(net.size, sticker, side, labels[sticker], ink[sticker].letter, grey)
            for sticker in shown
            if labels.get(sticker)
        ),
        *(
            letter_on_face(net.size, sticker, side, face, ink[sticker].letter, grey, small=True)
            for face, sticker in table.fixed_centres.items()
            if names and face in FACES[side] and not labels.get(sticker)
        ),
        "</g>",
        *(_ring(sticker_corners(net.size, sticker, side, 0.1)) for sticker in shown if sticker in lit),
        *(
            arrow_between(
                sticker_middle(net.size, one, side), sticker_middle(net.size, other, side), LINE if grey else ACCENT
            )
            for one, other in arrows
            if one in shown and other in shown
        ),
    ]


def _polygon(corners: Sequence[tuple[float, float]], fill: str, more: str = "") -> str:
    points = " ".join(f"{number(x)},{number(y)}" for x, y in corners)
    return f'<polygon points="{points}" fill="{fill}"{more}/>'


def _ring(corners: Sequence[tuple[float, float]]) -> str:
    """A heavy dark line within a white one, so that it stands out from any paint and hatching."""
    return "".join(
        _polygon(corners, "none", f' stroke="{paint}" stroke-width="{width}" stroke-linejoin="round"')
        for paint, width in (("#fff", 10), (LINE, 7))
    )


def letter_on_face(
    size: int, sticker: int, side: Side, label: str, ink: str, on_hatching: bool, small: bool = False
) -> str:
    """A letter that lies in its face, skewed as the face is and standing up, as SVG; ``small`` as faces' names are."""
    table = geometry(size)
    cubie, normal = table.coordinates[sticker]
    right, down = _directions(table.faces[sticker])
    if side == "behind" and table.faces[sticker] == "D":
        # Seen from behind the unfolded cube's D lies upside down; its letters are turned to stand.
        right, down = (-right[0], -right[1], -right[2]), (-down[0], -down[1], -down[2])

    def at(across: float, below: float) -> tuple[float, float]:
        point = [
            place / size + away / size + (across * r + below * d) / size
            for place, away, r, d in zip(cubie, normal, right, down, strict=True)
        ]
        return project((point[0], point[1], point[2]), side)

    (x, y), (rx, ry), (dx, dy) = at(0, 0), at(1, 0), at(0, 1)
    # A unit of the letter's own frame is half a sticker.
    matrix = " ".join(number(value, 4) for value in (rx - x, ry - y, dx - x, dy - y, x, y))
    height = 0.72 if small else min(1.15, 1.75 / len(label))
    halo = ' stroke="#fff" stroke-width="0.35" paint-order="stroke" stroke-linejoin="round"' if on_hatching else ""
    return (
        f'<text transform="matrix({matrix})" y="{number(0.36 * height, 3)}" font-size="{number(height, 3)}" '
        f'fill="{ink}"{SMALL if small else ""}{halo}>{escape(clean_text(label))}</text>'
    )


def _directions(face: str) -> tuple[Vector, Vector]:
    """Which way right and down go on a face as it lies in the unfolded cube."""
    table = geometry(3)
    first = "ULFRBD".index(face) * 9
    (start, _), (beside, _), (below, _) = (table.coordinates[first + away] for away in (0, 1, 3))
    right = tuple((b - a) // 2 for a, b in zip(start, beside, strict=True))
    down = tuple((b - a) // 2 for a, b in zip(start, below, strict=True))
    return (right[0], right[1], right[2]), (down[0], down[1], down[2])


def arrow_between(start: tuple[float, float], end: tuple[float, float], paint: str) -> str:
    """A line with a point at both ends, short of the two middles."""
    across, down = end[0] - start[0], end[1] - start[1]
    length = math.hypot(across, down) or 1.0
    ux, uy = across / length, down / length
    head = min(9.0, length / 3)

    def tip(x: float, y: float, way: float) -> str:
        back_x, back_y = x - way * head * ux, y - way * head * uy
        side_x, side_y = 0.45 * head * uy, -0.45 * head * ux
        return (
            f"M{number(x)} {number(y)}L{number(back_x + side_x)} {number(back_y + side_y)}"
            f"L{number(back_x - side_x)} {number(back_y - side_y)}Z"
        )

    line = (
        f"M{number(start[0] + head * ux)} {number(start[1] + head * uy)}"
        f"L{number(end[0] - head * ux)} {number(end[1] - head * uy)}"
    )
    heads = tip(*end, 1) + tip(*start, -1)
    return (
        f'<path d="{line}" stroke="#fff" stroke-width="6" stroke-linecap="round" fill="none"/>'
        f'<path d="{heads}" fill="{paint}" stroke="#fff" stroke-width="1.5"/>'
        f'<path d="{line}" stroke="{paint}" stroke-width="3" fill="none"/>'
    )
