"""Paints and patterns: what a sticker looks like in colour, and in black and white where colours may not be had.

In grey every colour has a hatching of its own, so that a photocopy still tells them apart; a letter goes with each too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nightfold.cube.net import COLOUR_NAMES, STANDARD_COLOURS
from nightfold.cube.picture import STICKER_PAINT, ink_on

#: What lines are drawn with: black and grey without a tint, so that grey pages need one ink only.
LINE, FAINT = "#222222", "#8c8c8c"
ACCENT = "#b2541a"
#: What letters in pictures are set in: what pages are set in, or what a screen has.
FONTS = "Source Sans Pro, DejaVu Sans, ui-sans-serif, system-ui, sans-serif"


@dataclass(frozen=True, slots=True)
class Ink:
    """How one colour is laid on: its fill (a paint or a pattern), and what letters on it are drawn with."""

    fill: str
    letter: str


#: What stickers are painted with on paper, where white costs nothing: in the order of the faces U, L, F, R, B, D.
PAPER_PAINT = ("#ffffff", *STICKER_PAINT[1:])
#: For the faces U, L, F, R, B, D: the hatching's lines within a tile of 6 by 6 units.
_HATCHES = (
    "",  # white stays white
    '<path d="M-1 5l2 2M0 0l6 6M5 -1l2 2"/>',
    '<path d="M1.5 0v6M4.5 0v6"/>',
    '<path d="M0 1.5h6M0 4.5h6"/>',
    '<path d="M0 1.5h6M0 4.5h6M1.5 0v6M4.5 0v6"/>',
    '<path d="M1.5 1.5h0M4.5 4.5h0" stroke-width="1.9" stroke-linecap="round"/>',
)


def inks(colours: Sequence[str] = STANDARD_COLOURS, *, grey: bool = False, prefix: str = "") -> Mapping[str, Ink]:
    """How each of six colour symbols, given in the order of the faces U, L, F, R, B, D, is laid on.

    The standard symbols keep their own paint wherever they stand.  ``prefix`` sets the patterns of one picture apart
    from those of another on the same page.
    """
    order = STANDARD_COLOURS if set(colours) == set(COLOUR_NAMES) else tuple(colours)
    if grey:
        return {
            symbol: Ink(f"url(#{prefix}h{at})" if _HATCHES[at] else "#ffffff", LINE) for at, symbol in enumerate(order)
        }
    return {symbol: Ink(paint, ink_on(paint)) for symbol, paint in zip(order, PAPER_PAINT, strict=True)}


def hatchings(prefix: str = "") -> str:
    """The ``<defs>`` that grey inks refer to."""
    patterns = (
        f'<pattern id="{prefix}h{at}" width="6" height="6" patternUnits="userSpaceOnUse">'
        f'<rect width="6" height="6" fill="#fff"/><g stroke="#333" stroke-width="0.7" fill="none">{lines}</g></pattern>'
        for at, lines in enumerate(_HATCHES)
        if lines
    )
    return f"<defs>{''.join(patterns)}</defs>"


def paler(paint: str, share: float) -> str:
    """``paint`` (``#rrggbb``) mixed with white, of which ``share`` (0 to 1) is left."""
    parts = (int(paint[at : at + 2], 16) for at in (1, 3, 5))
    return "#" + "".join(f"{round(255 - (255 - part) * share):02x}" for part in parts)


def swatch_svg(fill: Ink, *, grey: bool = False) -> str:
    """A small square laid on with one ink, for a legend, as an SVG document."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 26 26" width="26" height="26">'
        f"{hatchings() if grey else ''}"
        f'<rect x="1" y="1" width="24" height="24" rx="2" fill="{fill.fill}" stroke="{LINE}" stroke-width="1.2"/>'
        "</svg>\n"
    )
