"""The unfolded cube for paper: on white, in colour or hatched, lettered or to be lettered by hand."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from html import escape

from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, Net, face_colours, net_of
from nightfold.cube.picture import HEIGHT, WIDTH, clean_text, number, sticker_centre, sticker_pitch
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import SMALL
from nightfold.paper.ink import FONTS, LINE, Ink, hatchings, inks

#: The ground's border in the night picture, most of which paper does not need.
_CUT = 23.0


def unfolded_svg(
    cube: Cube | Net,
    *,
    colours: Sequence[str] | None = None,
    labels: Mapping[int, str] | None = None,
    lit: Collection[int] = (),
    grey: bool = False,
    blank: bool = False,
    names: bool = False,
    title: str | None = None,
) -> str:
    """The unfolded cube as an SVG document.

    ``colours``, ``labels``, ``lit``, ``grey``, ``blank`` and ``names`` are as for ``view_svg``.  Raises NetError for
    colours that are not six different symbols, GeometryError for stickers that the cube has not.
    """
    net = cube if isinstance(cube, Net) else net_of(cube, colours or STANDARD_COLOURS)
    labels = labels or {}
    for sticker in (*labels, *lit):
        sticker_centre(net.size, sticker)
    laid = inks(colours or (face_colours(net) if isinstance(cube, Net) else STANDARD_COLOURS), grey=grey)
    title = clean_text(title or f"The unfolded {net.size}x{net.size}x{net.size} cube")
    stickers = range(6 * net.size**2)
    coloured: Collection[int] = geometry(net.size).fixed_centres.values() if blank else stickers
    ink = {sticker: laid[net.symbols[sticker]] if sticker in coloured else Ink("#ffffff", LINE) for sticker in stickers}
    width, height = number(WIDTH - 2 * _CUT), number(HEIGHT - 2 * _CUT)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{number(_CUT)} {number(_CUT)} {width} {height}" '
        f'width="{width}" height="{height}" role="img" aria-label="{escape(title)}">',
        f"<title>{escape(title)}</title>",
        *([hatchings()] if grey else []),
        f'<g stroke="{LINE}" stroke-width="1.2">',
        *(_square(net.size, sticker, 0.05, f'fill="{ink[sticker].fill}"') for sticker in stickers),
        "</g>",
        f'<g text-anchor="middle" font-family="{FONTS}" font-weight="600">',
        *(_label(net.size, sticker, label, ink[sticker].letter, grey) for sticker, label in labels.items() if label),
        *(
            _label(net.size, sticker, face, ink[sticker].letter, grey, small=True)
            for face, sticker in geometry(net.size).fixed_centres.items()
            if names and not labels.get(sticker)
        ),
        "</g>",
        '<g fill="none">',
        *(_square(net.size, sticker, 0.12, 'stroke="#fff" stroke-width="8"') for sticker in lit),
        *(_square(net.size, sticker, 0.12, f'stroke="{LINE}" stroke-width="5"') for sticker in lit),
        "</g>",
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _square(size: int, sticker: int, inset: float, more: str) -> str:
    x, y = sticker_centre(size, sticker)
    side = sticker_pitch(size) * (1 - inset)
    return (
        f'<rect x="{number(x - side / 2)}" y="{number(y - side / 2)}" width="{number(side)}" height="{number(side)}" '
        f'rx="{number(side * 0.1)}" {more}/>'
    )


def _label(size: int, sticker: int, label: str, ink: str, on_hatching: bool, small: bool = False) -> str:
    """A letter in the middle of its sticker, the smaller the longer it is; on hatching within a white line."""
    x, y = sticker_centre(size, sticker)
    height = (0.38 if small else min(0.6, 0.95 / len(label))) * sticker_pitch(size)
    halo = f' stroke="#fff" stroke-width="{number(height * 0.3)}" paint-order="stroke" stroke-linejoin="round"'
    return (
        f'<text x="{number(x)}" y="{number(y + 0.34 * height)}" font-size="{number(height)}" fill="{ink}"'
        f"{SMALL if small else ''}{halo if on_hatching else ''}>{escape(clean_text(label))}</text>"
    )
