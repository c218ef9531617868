"""``nightfold setups``: the whole setup table of a method, classed, with a sentence each."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.lettering import Lettering, load_lettering
from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.method import load_method
from nightfold.blind.setups import families
from nightfold.blind.ways import SwapWay
from nightfold.cli.common import LAMP, QUIET, JsonOption, LetteringOption, MethodOption, console, print_json
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import write

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("setups")(setups)


def setups(
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    orbit: Annotated[
        str | None, typer.Option("--orbit", metavar="NAME", help="Only this orbit: edges or corners.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", metavar="", help="All shortest setups of a target, not only the easiest.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Every setup a method allows: the turns for each target, in classes, with the way its sticker goes."""
    chosen = load_method(method)
    letters = load_lettering(chosen.lettering if lettering is None else lettering, chosen.size)
    if as_json:
        print_json(chosen.setups_to_dict(letters, orbit, every))
        return
    out = console()
    for number, way in enumerate(chosen.ways if orbit is None else (chosen.way(orbit),)):
        if number:
            out.print()
        _print(out, way, letters, every)


def _print(out: Console, way: SwapWay, letters: Lettering, every: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    names = geometry(way.orbit.size).names
    said = f"buffer {names[way.buffer]}, home target {names[way.home]}, {way.label}"
    out.print(Text.assemble((way.orbit.name.upper(), "bold"), "  ", (said, QUIET)))
    out.print(f"  free turns: {families(way.free)}")
    for kind, group in groupby(way.listed(every), key=lambda setup: setup.kind):
        out.print()
        out.print(Text(f"  {kind}", style="bold"))
        table = Table.grid(padding=(0, 2))
        for setup in group:
            letter = Text("  " + letters.symbol(way.orbit, setup.sticker), style=LAMP)
            why = Text(setup.sentence, style=QUIET)
            table.add_row(letter, names[setup.sticker], setup.text or "-", write(setup.undo) or "-", why)
        out.print(table)
