"""What the commands share: reading input, the shared options, and how things are printed."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import MAX_SIZE, MIN_SIZE

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

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
HoldOption = Annotated[
    str | None, typer.Option("--hold", metavar="TOP,FRONT", help="Colours up and in front, as in white,green.")
]
SolverOption = Annotated[
    str, typer.Option("--solver", metavar="NAME", help="Whose practice it is; your own if not given.")
]
MeantEdgesOption = Annotated[
    str | None, typer.Option("--edges", metavar="MEMO", help="The edge letters that were meant, right or wrong.")
]
MeantCornersOption = Annotated[
    str | None, typer.Option("--corners", metavar="MEMO", help="The corner letters that were meant.")
]
FinalOption = Annotated[
    str | None, typer.Option("--final", metavar="NET|-", help="The colours of the cube that came out.")
]
LeftOption = Annotated[
    str | None, typer.Option("--left", metavar="ALG", help="Turns that would still solve the cube that came out.")
]
JsonOption = Annotated[bool, typer.Option("--json", metavar="", help="Print data for programs instead of text.")]


def _layers(text: str) -> int:
    """The number behind ``--size``."""
    text = str(text)  # the default comes here as a number
    for size in range(MIN_SIZE, MAX_SIZE + 1):
        if text.strip() == str(size):
            return size
    raise typer.BadParameter(f"“{text[:24]}” is no number of layers; {MIN_SIZE} to {MAX_SIZE} are known")


SizeOption = Annotated[
    int,
    typer.Option("--size", metavar=f"{MIN_SIZE}..{MAX_SIZE}", parser=_layers, help="How many layers the cube has."),
]


def complain(sentence: str) -> int:
    """Print what is wrong on standard error, on one line, and return the exit code for it."""
    if sys.stderr is not None:
        print(f"nightfold: {visible(sentence)}", file=sys.stderr)
    return 2


def visible(text: str) -> str:
    """Text in which line breaks, control characters and the like are written out, so that no terminal obeys them."""
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode() for char in text)


def console() -> Console:
    """Where text goes: as wide as the terminal, 80 columns when there is none, colour only where wanted."""
    from rich.console import Console

    return Console(highlight=False, soft_wrap=False, emoji=False, markup=False)


def print_json(data: Any) -> None:
    """One JSON value on one line; characters are escaped where the stream cannot hold them all."""
    encoding = (getattr(sys.stdout, "encoding", None) or "").lower()
    print(json.dumps(data, ensure_ascii=not encoding.startswith("utf")))


def print_hanging(out: Console, text: Text | str, first: str = "  ", rest: str = "  ") -> None:
    """Print text wrapped at the terminal's width, its first line behind ``first`` and the others behind ``rest``."""
    from rich.text import Text

    body = Text(text) if isinstance(text, str) else text
    lines = body.wrap(out, max(8, out.width - max(len(first), len(rest))))
    for number, line in enumerate(lines):
        line.rstrip()
        out.print(Text(rest if number else first).append_text(line))


def read_text(source: str, what: str) -> str:
    """The text of a file, or of standard input for ``-``.

    Raises NightfoldError when it is missing, too large or not text.
    """
    shown = "standard input" if source == "-" else source
    try:
        if source == "-":
            data = sys.stdin.buffer.read(MAX_INPUT + 1) if sys.stdin is not None else b""
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


@contextmanager
def searching(quiet: bool) -> Iterator[Callable[[str], None] | None]:
    """Shows how far long work has come, on standard error and only on a terminal: call what it gives with a line."""
    if quiet or sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status("searching") as status:
        yield status.update
