"""Pictures as pixels."""

from __future__ import annotations

import io
import struct

import pytest
from PIL import Image

from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.picture import net_svg, sticker_centre
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import HEIGHT, WIDTH, sticker_middle, view_svg
from nightfold.paper.ink import PAPER_PAINT
from nightfold.paper.press import PaperError
from nightfold.paper.raster import png_of, pngs_of


def size_of(png: bytes) -> tuple[int, int]:
    """Width and height from the first chunk of a PNG (W3C, Portable Network Graphics, third edition, 11.2.1)."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert png[12:16] == b"IHDR"
    width, height = struct.unpack(">II", png[16:24])
    return width, height


@pytest.mark.parametrize("width", [16, 333, 1200])
def test_pictures_are_as_wide_as_asked_and_keep_their_shape(width: int) -> None:
    assert size_of(png_of(view_svg(Cube.solved()), width)) == (width, round(width * HEIGHT / WIDTH))


def test_every_sticker_has_its_paint_in_the_middle() -> None:
    cube = Cube.from_turns("R U2 F' L2 D B2 R' F")
    shown = Image.open(io.BytesIO(png_of(view_svg(cube), 480))).convert("RGB")
    for sticker in (*range(9), *range(18, 36)):
        x, y = sticker_middle(3, sticker, "front")
        paint = PAPER_PAINT[cube.colours[sticker]]
        assert "#{:02x}{:02x}{:02x}".format(*shown.getpixel((int(2 * x), int(2 * y)))) == paint  # type: ignore[misc]


def test_the_ground_is_white_or_nothing() -> None:
    night = net_svg(Cube.solved(), colours=STANDARD_COLOURS)
    for clear, corner in ((False, (255, 255, 255, 255)), (True, (0, 0, 0, 0))):
        shown = Image.open(io.BytesIO(png_of(night, 760, clear=clear))).convert("RGBA")
        assert shown.getpixel((0, 0)) == corner
        x, y = sticker_centre(3, 0)
        assert shown.getpixel((int(x) + 18, int(y) + 18)) == (0xF6, 0xF1, 0xE4, 255)


def test_many_at_once_are_the_same_as_one_by_one() -> None:
    some = [view_svg(Cube.from_turns("R U" * at)) for at in range(1, 4)] * 20
    together = list(pngs_of(some, 60))
    assert len(together) == 60
    assert together[50] == png_of(some[50], 60)
    assert len(set(together)) == 3


def test_what_is_no_picture_is_told() -> None:
    for text in ("", "plain", "<svg/>", '<svg viewBox="0 0 0 0"/>'):
        with pytest.raises(PaperError, match="no SVG picture"):
            png_of(text, 100)
    with pytest.raises(PaperError, match="the picture cannot be drawn"):
        png_of('<svg viewBox="0 0 10 10"', 100)
    for width in (0, -5, 15, 8001):
        with pytest.raises(PaperError, match=f"a picture {width} pixels wide cannot be drawn; 16 to 8000 can"):
            png_of(view_svg(Cube.solved()), width)
