"""The whole cube in one picture: from the front and, beside that, from behind."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from html import escape

from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.picture import clean_text, number
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES, HEIGHT, WIDTH, Side, arrow_between, sticker_middle, view_body
from nightfold.paper.ink import ACCENT, LINE, hatchings

#: How far the view from behind stands to the right of the other, and how wide both are together.
BEHIND = WIDTH - 4
BOTH = BEHIND + WIDTH


def sides_svg(
    cube: Cube,
    *,
    colours: Sequence[str] = STANDARD_COLOURS,
    labels: Mapping[int, str] | None = None,
    lit: Collection[int] = (),
    arrows: Sequence[tuple[int, int]] = (),
    grey: bool = False,
    names: bool = False,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """All six faces as an SVG document; everything is as for ``view_svg``, but no arrow is left out.

    Raises NetError and GeometryError as that does.
    """
    title = clean_text(title or f"The {cube.size}x{cube.size}x{cube.size} cube from the front, and from behind")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(BOTH)} {number(HEIGHT)}" '
        f'width="{number(BOTH)}" height="{number(HEIGHT)}" role="img" aria-label="{escape(title)}">',
        f"<title>{escape(title)}</title>",
        *([hatchings(prefix)] if grey else []),
        *sides_body(
            cube, colours=colours, labels=labels, lit=lit, arrows=arrows, grey=grey, names=names, prefix=prefix
        ),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def sides_body(
    cube: Cube,
    *,
    colours: Sequence[str] = STANDARD_COLOURS,
    labels: Mapping[int, str] | None = None,
    lit: Collection[int] = (),
    arrows: Sequence[tuple[int, int]] = (),
    grey: bool = False,
    names: bool = False,
    prefix: str = "",
) -> list[str]:
    """What ``sides_svg`` draws, to be put into another picture, which needs ``hatchings(prefix)`` for grey."""
    parts: list[str] = []
    for side in FACES:
        parts += [
            f'<g transform="translate({number(_shift(side))} 0)">',
            *view_body(cube, side, colours=colours, labels=labels, lit=lit, grey=grey, names=names, prefix=prefix),
            "</g>",
        ]
    for one, other in arrows:
        parts.append(arrow_between(_middle(cube.size, one), _middle(cube.size, other), LINE if grey else ACCENT))
    return parts


def _shift(side: Side) -> float:
    return 0 if side == "front" else BEHIND


def _middle(size: int, sticker: int) -> tuple[float, float]:
    side: Side = "front" if geometry(size).faces[sticker] in FACES["front"] else "behind"
    x, y = sticker_middle(size, sticker, side)
    return x + _shift(side), y
