"""``nightfold lettering``: the lettered net."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nightfold.blind.lettering import DEFAULT, lettering_names, load_lettering, save_lettering
from nightfold.cli.common import LAMP, QUIET, JsonOption, SizeOption, console, print_json
from nightfold.cli.terminal_net import print_net
from nightfold.cube.errors import NightfoldError
from nightfold.cube.state import Cube


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("lettering")(lettering)


def lettering(
    name: Annotated[
        str, typer.Argument(metavar="NAME|FILE", help="A lettering's name, or a file of your own.")
    ] = DEFAULT,
    size: SizeOption = 3,
    save: Annotated[str | None, typer.Option("--save", metavar="FILE", help="Write it to a file to be edited.")] = None,
    as_json: JsonOption = False,
) -> None:
    """The lettered net: which letter stands for which sticker."""
    chosen = load_lettering(name, size)
    if save is not None:
        if Path(save).is_file():
            raise NightfoldError(f"“{Path(save).name[:80]}” is there already; choose another name, or remove it first")
        save_lettering(chosen, save)
    if as_json:
        print_json(chosen.to_dict())
        return
    from rich.text import Text

    out = console()
    out.print(Text.assemble((chosen.name, LAMP), (f"  for the {size}x{size}x{size}", QUIET)))
    out.print()
    print_net(out, Cube.solved(size), chosen.labels)
    out.print()
    out.print(
        Text(f"Others that come along: {', '.join(n for n in lettering_names() if n != chosen.name)}", style=QUIET)
    )
