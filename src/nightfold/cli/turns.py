"""``nightfold turns``: what an algorithm does."""

from __future__ import annotations

from typing import Annotated

import typer

from nightfold.cli.common import LAMP, QUIET, JsonOption, SizeOption, console, print_hanging, print_json
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import parse, write
from nightfold.cube.sequences import cancel, count, mirror
from nightfold.cube.state import Cube


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("turns")(turns)


def turns(
    algorithm: Annotated[str, typer.Argument(metavar="ALG", help='The algorithm in quotes, as in "[R: U2]".')],
    size: SizeOption = 3,
    as_json: JsonOption = False,
) -> None:
    """What an algorithm does: its cycles of stickers, order, counts, inverse and mirror."""
    read = parse(algorithm, size)
    single = read.expand()
    cube = Cube.from_turns(single, size)
    geo = geometry(size)
    counts = count(single)
    cycles: dict[str, list[list[str]]] = {}
    for cycle in cube.cycles():
        orbit = geo.orbit_of(cycle[0])
        # The second stickers of wings only repeat what the first ones tell; centres that move tell the hold.
        kind = orbit.name if orbit else "centres" if len(geo.names[cycle[0]]) == 1 else ""
        if kind:
            cycles.setdefault(kind, []).append([geo.names[sticker] for sticker in cycle])
    if as_json:
        print_json(
            {
                "algorithm": str(read),
                "size": size,
                "expanded": write(single),
                "cancelled": write(cancel(single)),
                "inverse": write(cancel(read.inverse().expand())),
                "mirrored": write(mirror(single)),
                "counts": {"obtm": counts.obtm, "etm": counts.etm, "stm": counts.stm, "qtm": counts.qtm},
                "order": cube.order,
                "cycles": cycles,
            }
        )
        return
    from rich.table import Table
    from rich.text import Text

    out = console()
    grid = Table.grid(padding=(0, 2))
    grid.add_row(Text("algorithm", style=QUIET), Text(str(read) or "no turns", style=LAMP))
    if write(single) != str(read):
        grid.add_row(Text("expanded", style=QUIET), write(single))
    if cancel(single) != tuple(turn.plain for turn in single):
        grid.add_row(Text("without waste", style=QUIET), write(cancel(single)) or "nothing is left")
    grid.add_row(Text("inverse", style=QUIET), str(read.inverse()))
    grid.add_row(Text("mirrored", style=QUIET), write(mirror(single)))
    grid.add_row(Text("order", style=QUIET), f"{cube.order}: done that often, everything is home again")
    said = f"{counts.obtm} OBTM, {counts.etm} ETM, {counts.stm} STM, {counts.qtm} QTM"
    grid.add_row(Text("turns", style=QUIET), said)
    out.print(grid)
    if not cycles:
        out.print("moves nothing")
    for kind, listed in cycles.items():
        out.print()
        out.print(Text(kind.upper(), style="bold"))
        for names in listed:
            print_hanging(out, " > ".join(names) + (f" > {names[0]}" if len(names) > 2 else ""), rest="    ")
