"""``nightfold turns``: what an algorithm does."""

from __future__ import annotations

from typing import Annotated

import typer

from nightfold.cli.common import LAMP, QUIET, JsonOption, SizeOption, console, print_hanging, print_json
from nightfold.cube.account import account_of
from nightfold.cube.notation import write


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("turns")(turns)


def turns(
    algorithm: Annotated[str, typer.Argument(metavar="ALG", help='The algorithm in quotes, as in "[R: U2]".')],
    size: SizeOption = 3,
    as_json: JsonOption = False,
) -> None:
    """What an algorithm does: its cycles of stickers, order, counts, inverse and mirror."""
    account = account_of(algorithm, size)
    if as_json:
        print_json(account.to_dict())
        return
    from rich.table import Table
    from rich.text import Text

    out = console()
    grid = Table.grid(padding=(0, 2))
    read, single = account.algorithm, account.turns
    grid.add_row(Text("algorithm", style=QUIET), Text(str(read) or "no turns", style=LAMP))
    if write(single) != str(read):
        grid.add_row(Text("expanded", style=QUIET), write(single))
    if account.shortened != tuple(turn.plain for turn in single):
        grid.add_row(Text("without waste", style=QUIET), write(account.shortened) or "nothing is left")
    grid.add_row(Text("inverse", style=QUIET), str(read.inverse()))
    grid.add_row(Text("mirrored", style=QUIET), write(account.mirrored))
    order = account.cube.order
    grid.add_row(Text("order", style=QUIET), f"{order}: done that often, everything is home again")
    counts = account.counts
    said = f"{counts.obtm} OBTM, {counts.etm} ETM, {counts.stm} STM, {counts.qtm} QTM"
    grid.add_row(Text("turns", style=QUIET), said)
    out.print(grid)
    if not account.cycles:
        out.print("moves nothing")
    for kind, listed in account.cycles.items():
        out.print()
        out.print(Text(kind.upper(), style="bold"))
        for names in listed:
            print_hanging(out, " > ".join(names) + (f" > {names[0]}" if len(names) > 2 else ""), rest="    ")
