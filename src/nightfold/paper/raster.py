"""SVG pictures as pixels."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from nightfold.paper.ink import FONTS
from nightfold.paper.press import OWN_SIGNS, PaperError, fonts
from nightfold.paper.watched import tell

#: The narrowest and the widest picture, in pixels.
NARROWEST, WIDEST = 16, 8000
_TEMPLATE = Path(__file__).with_name("pages") / "raster.typ"
_VIEW_BOX = re.compile(r'viewBox="[\d.-]+ [\d.-]+ ([\d.]+) ([\d.]+)"')
#: So many pictures are drawn at once.
_TOGETHER = 50


def png_of(svg: str, width_px: int, *, clear: bool = False) -> bytes:
    """An SVG picture as PNG, ``width_px`` pixels wide and as high as its shape asks.

    Its ground is white, or nothing if ``clear``.  Raises PaperError for a width that is none, or for a text that is no
    SVG picture with a ``viewBox``.
    """
    return next(pngs_of([svg], width_px, clear=clear))


def pngs_of(pictures: Sequence[str], width_px: int, *, clear: bool = False) -> Iterator[bytes]:
    """SVG pictures of one shape as PNGs of one size, in order; as ``png_of``, but many at once are much faster."""
    if not NARROWEST <= width_px <= WIDEST:
        raise PaperError(f"a picture {width_px} pixels wide cannot be drawn; {NARROWEST} to {WIDEST} can")
    for at in range(0, len(pictures), _TOGETHER):
        tell(f"drawing picture {at + 1:,} of {len(pictures):,}")
        yield from _drawn(pictures[at : at + _TOGETHER], width_px, clear)


def _drawn(pictures: Sequence[str], width: int, clear: bool) -> list[bytes]:
    import typst

    height = height_of(pictures[0], width)
    # Names that mean "what this machine has" mean nothing here, so the font that comes along is asked for first.
    named = [picture.replace('font-family="', f'font-family="{FONTS}, ') for picture in pictures]
    text = json.dumps(named, ensure_ascii=False)
    try:
        # One point of the page is one pixel.
        made = typst.compile(
            str(_TEMPLATE),
            root=str(_TEMPLATE.parent),
            font_paths=fonts(OWN_SIGNS.fullmatch(text) is None),
            ignore_system_fonts=True,
            sys_inputs={"pictures": text, "width": str(width), "height": str(height), "clear": "yes" * clear},
            format="png",
            ppi=72,
        )
    except typst.TypstError as trouble:
        raise PaperError(f"the picture cannot be drawn: {trouble.message}") from None
    return made if isinstance(made, list) else [made]


def height_of(svg: str, width_px: int) -> int:
    """How many pixels high a picture is at this width.  Raises PaperError for a text that has no ``viewBox``."""
    found = _VIEW_BOX.search(svg)
    if found is None or not float(found[1]):
        raise PaperError("this is no SVG picture with a viewBox, so its shape is not known")
    return max(1, round(width_px * float(found[2]) / float(found[1])))
