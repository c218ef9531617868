"""``nightfold look``: the unfolded cube in the terminal, as SVG, or as net text."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nightfold.blind.lettering import DEFAULT, load_lettering
from nightfold.cli.common import QUIET, JsonOption, NetOption, SizeOption, console, print_json, read_text
from nightfold.cli.terminal_net import print_net
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.state import Cube


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("look")(look)


def look(
    scramble: Annotated[str | None, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes.")] = None,
    net: NetOption = None,
    size: SizeOption = 3,
    lettering: Annotated[str, typer.Option("--lettering", metavar="NAME|FILE", help="The letters to show.")] = DEFAULT,
    svg: Annotated[str | None, typer.Option("--svg", metavar="FILE", help="Write the picture to a file.")] = None,
    as_text: Annotated[
        bool, typer.Option("--text", metavar="", help="Print net text, which --net reads back.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """The cube unfolded, in colour, with the letters of its places."""
    from nightfold.cube.net import cube_from_net, write_net
    from nightfold.cube.picture import net_svg

    if (scramble is None) == (net is None):
        raise NightfoldError('give either a scramble in quotes, as in nightfold look "R U F2", or --net with a file')
    scheme: tuple[str, ...] = STANDARD_COLOURS
    if net is not None:
        cube, scheme = cube_from_net(read_text(net, "net"))
    else:
        cube = Cube.from_turns(scramble or "", size)
    labels = load_lettering(lettering, cube.size).labels
    if svg is not None:
        picture = net_svg(cube, colours=scheme, labels=labels)
        try:
            Path(svg).write_text(picture, encoding="utf-8")
        except (OSError, ValueError) as trouble:
            reason = getattr(trouble, "strerror", None) or "not a usable path"
            raise NightfoldError(f"“{svg[:80]}” cannot be written: {reason}") from None
    if as_json:
        print_json({"size": cube.size, "net": write_net(cube, scheme), "solved": cube.is_solved})
        return
    if as_text:
        print(write_net(cube, scheme))
        return
    from rich.text import Text

    out = console()
    print_net(out, cube, labels, scheme)
    out.print()
    out.print(Text("capital: the letter of the place; small: the sticker's colour", style=QUIET))
