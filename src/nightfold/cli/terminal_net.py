"""The unfolded cube drawn in the terminal: every sticker its colour, its place's letter and its colour's initial."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.state import Cube

if TYPE_CHECKING:
    from rich.console import Console

#: Ground and ink of each colour initial; initials that are not listed are drawn plain.
_PAINT = {
    "W": "black on rgb(236,233,222)",
    "O": "black on rgb(240,138,44)",
    "G": "black on rgb(60,168,98)",
    "R": "white on rgb(190,46,54)",
    "B": "white on rgb(44,92,184)",
    "Y": "black on rgb(242,210,74)",
}


def print_net(out: Console, cube: Cube, labels: Mapping[int, str], scheme: Sequence[str] = STANDARD_COLOURS) -> None:
    """Print the unfolded cube; ``labels`` are the letters of places, ``scheme`` the colours of the faces."""
    from rich.cells import cell_len, set_cell_size
    from rich.text import Text

    size, area = cube.size, cube.size**2
    colours = [scheme[colour] for colour in cube.colours]
    # The line must hold the letters and the colours; where it cannot, the gaps go first, then the letters' ends.
    ink = max(cell_len(colour) for colour in scheme)
    room = (out.width - 6) // (4 * size) - ink
    width = max(1, min(room, max((cell_len(label) for label in labels.values()), default=1)))
    gap = " " if width < room else ""

    def cells(face: int, row: int) -> Text:
        line = Text()
        for column in range(size):
            place = face * area + row * size + column
            label = set_cell_size(labels.get(place, "·"), width)
            shown = f"{gap}{label}{set_cell_size(colours[place].lower(), ink)}"
            line.append(shown, style=_PAINT.get(colours[place], ""))
        return line

    aside = Text(" " * (size * (len(gap) + width + ink)))
    for faces in ((None, 0), (1, 2, 3, 4), (None, 5)):
        for row in range(size):
            line = Text(" ").join(aside if face is None else cells(face, row) for face in faces)
            out.print(Text("  ") + line, no_wrap=True, overflow="ignore", crop=False)
