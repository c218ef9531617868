"""The cube as it lies after scrambling, unfolded, to check the scrambling by."""

from __future__ import annotations

from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.state import Cube
from nightfold.paper.unfolded import unfolded_svg

#: The stickers of cubes with more layers are too small for letters in a picture of the unfolded cube.
_LETTERED = 5


def scrambled_svg(cube: Cube, grey: bool) -> str:
    """The unfolded cube as it lies after scrambling, to check that by; in grey each sticker tells its colour."""
    area = cube.size * cube.size
    told = {}
    if grey and cube.size <= _LETTERED:
        told = {place: STANDARD_COLOURS[sticker // area] for place, sticker in enumerate(cube.stickers)}
    return unfolded_svg(cube, labels=told, grey=grey, title="The scrambled cube, unfolded")
