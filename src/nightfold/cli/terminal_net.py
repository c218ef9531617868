"""The unfolded cube drawn in the terminal: every sticker its colour, its place's letter and its colour's initial."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from nightfold.blind.hold import STANDARD
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


def print_net(out: Console, cube: Cube, labels: Mapping[int, str], scheme: Sequence[str] = STANDARD) -> None:
    """Print the unfolded cube; ``labels`` are the letters of places, ``scheme`` the colours of the faces."""
    from rich.cells import cell_len
    from rich.text import Text

    size, area = cube.size, cube.size**2
    colours = [scheme[colour] for colour in cube.colours]
    width = max((cell_len(label) for label in labels.values()), default=1)

    def cells(face: int, row: int) -> Text:
        line = Text()
        for column in range(size):
            place = face * area + row * size + column
            label = labels.get(place, "·")
            shown = f" {label}{' ' * (width - cell_len(label))}{colours[place].lower()}"
            line.append(shown, style=_PAINT.get(colours[place], ""))
        return line

    margin = " " * (size * (width + 2) + 1)
    for row in range(size):
        out.print(Text("  " + margin) + cells(0, row))
    for row in range(size):
        line = Text("  ")
        for face in (1, 2, 3, 4):
            line.append_text(cells(face, row)).append(" ")
        out.print(line, no_wrap=True, overflow="ignore", crop=False)
    for row in range(size):
        out.print(Text("  " + margin) + cells(5, row))
