"""What the commands share: reading input, the shared options, and how things are printed."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from rich.console import Console

    from nightfold.blind.lettering import Lettering

#: A lamp in the night: the accent for what matters on a line.
LAMP = "bold yellow"
#: Whatever explains, a shade quieter.
QUIET = "dim"
#: No file or stream a person hands over is anywhere near so large.
MAX_INPUT = 2_000_000

MethodOption = Annotated[str, typer.Option("--method", metavar="NAME|FILE", help="The method to solve by.")]
LetteringOption = Annotated[
    str | None,
    typer.Option("--lettering", metavar="NAME|FILE", help="The lettering; the method's own if not given."),
]
NetOption = Annotated[
    str | None,
    typer.Option("--net", metavar="FILE|-", help="Read the colours of the unfolded cube instead of a scramble."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print data for programs instead of text.")]
SizeOption = Annotated[int, typer.Option("--size", metavar="2..7", help="How many layers the cube has.")]


def complain(sentence: str) -> int:
    """Print what is wrong on standard error and return the exit code for it."""
    print(f"nightfold: {sentence}", file=sys.stderr)
    return 2


def console() -> Console:
    """Where text goes: as wide as the terminal, 80 columns when there is none, colour only where wanted."""
    from rich.console import Console

    return Console(highlight=False, soft_wrap=False, emoji=False, markup=False)


def print_json(data: Any) -> None:
    """One JSON value on one line."""
    print(json.dumps(data, ensure_ascii=False))


def read_text(source: str, what: str) -> str:
    """The text of a file, or of standard input for ``-``.

    Raises NightfoldError when it is missing, too large or not text.
    """
    shown = "standard input" if source == "-" else source
    try:
        if source == "-":
            data = sys.stdin.buffer.read(MAX_INPUT + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(MAX_INPUT + 1)
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else "not a usable path"
        raise NightfoldError(f"the {what} “{shown[:80]}” cannot be read: {reason}") from None
    if len(data) > MAX_INPUT:
        raise NightfoldError(f"{shown} holds more than {MAX_INPUT:,} bytes, which is no {what}")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise NightfoldError(
            f"{shown} is not text (byte {trouble.start + 1} is not UTF-8), so it is no {what}"
        ) from None


def joined(letters: Sequence[str]) -> str:
    """Letters run together, set apart by a dot where one has more than one character."""
    return ("" if all(len(letter) == 1 for letter in letters) else "·").join(letters)


def pairs(cycles: Iterable[Sequence[str]], bar: str = "|") -> str:
    """All letters in pairs, with a bar wherever a cycle ends: ``LX AE | HR | K|S VU``."""
    ended: list[tuple[str, bool]] = []
    for cycle in cycles:
        ended.extend((letter, number == len(cycle) - 1) for number, letter in enumerate(cycle))
    if ended:
        ended[-1] = (ended[-1][0], False)
    dot = "" if all(len(letter) == 1 for letter, _ in ended) else "·"
    parts = []
    for at in range(0, len(ended), 2):
        pair = ended[at : at + 2]
        inside = bar if len(pair) == 2 and pair[0][1] else dot
        parts.append(inside.join(letter for letter, _ in pair) + (f" {bar}" if pair[-1][1] else ""))
    return " ".join(parts)


def symbol_width(lettering: Lettering) -> int:
    """The widest symbol of a lettering in terminal cells."""
    from rich.cells import cell_len

    return max((cell_len(symbol) for symbol in lettering.labels.values()), default=1)
