"""A sequence as a strip of pictures: the cube before it, and after every turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.notation import Turn
from nightfold.cube.picture import clean_text, number
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import HEIGHT, WIDTH, Side, view_body
from nightfold.paper.ink import FONTS, LINE, hatchings

#: Pictures in one row, and the room below each for the turn that led to it.
ACROSS = 6
_CAPTION = 42.0


def strip_svg(
    cube: Cube,
    turns: Sequence[Turn],
    side: Side = "front",
    *,
    colours: Sequence[str] = STANDARD_COLOURS,
    labels: Mapping[int, str] | None = None,
    lit: Sequence[frozenset[int]] = (),
    grey: bool = False,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """The cube before ``turns`` and after each of them, in rows of ACROSS pictures, each under its turn.

    ``lit`` are the stickers to ring in each picture, as many sets as pictures or none.  The rest is as for
    ``view_svg``.  Raises GeometryError for stickers that the cube has not, NotationError for turns it cannot make.
    """
    cubes = [cube]
    for turn in turns:
        cubes.append(cubes[-1].apply((turn,)))
    rows = -(-len(cubes) // ACROSS)
    width, height = WIDTH * min(len(cubes), ACROSS), (HEIGHT + _CAPTION) * rows
    heading = clean_text(title or f"The cube before and after each of {len(turns)} turns")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(width)} {number(height)}" '
        f'width="{number(width)}" height="{number(height)}" role="img" aria-label="{escape(heading)}">',
        f"<title>{escape(heading)}</title>",
        *([hatchings(prefix)] if grey else []),
    ]
    for at, shown in enumerate(cubes):
        row, column = divmod(at, ACROSS)
        caption = str(turns[at - 1]) if at else "before"
        rings = lit[at] if lit else ()
        parts += [
            f'<g transform="translate({number(column * WIDTH)} {number(row * (HEIGHT + _CAPTION))})">',
            *view_body(shown, side, colours=colours, labels=labels, lit=rings, grey=grey, prefix=prefix),
            f'<text x="{number(WIDTH / 2)}" y="{number(HEIGHT + 25)}" text-anchor="middle" font-size="30" '
            f'font-family="{FONTS}" fill="{LINE}">{escape(caption)}</text>',
            "</g>",
        ]
    return "\n".join([*parts, "</svg>"]) + "\n"
