"""``nightfold find``: the best algorithms with a wanted effect."""

from __future__ import annotations

from typing import Annotated

import typer

from nightfold.cli.common import LAMP, QUIET, JsonOption, console, print_json, searching
from nightfold.cube.errors import NightfoldError


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("find")(find)


def find(
    want: Annotated[
        str | None,
        typer.Argument(
            metavar="WANT",
            help="Cycles of stickers: 'UF UR DB' sends UF to UR, UR to DB, DB to UF; 'UF FU; UB BU' flips two edges.",
        ),
    ] = None,
    like: Annotated[
        str | None, typer.Option("--like", metavar="ALG", help="The same effect as this algorithm's.")
    ] = None,
    parity: Annotated[
        str | None,
        typer.Option("--parity", metavar="METHOD", help="What two odd orbits leave behind in this method."),
    ] = None,
    turns: Annotated[
        str | None,
        typer.Option("--turns", metavar="TURNS", help="Which turns to use, as in 'R U M'; all faces if not given."),
    ] = None,
    longest: Annotated[
        int | None, typer.Option("--longest", metavar="N", help="Search no further than N turns (0 to 20).")
    ] = None,
    extra: Annotated[
        int, typer.Option("--extra", metavar="K", help="Also those up to K turns longer than the shortest.")
    ] = 0,
    any_pieces: Annotated[
        str,
        typer.Option("--any", metavar="PIECES", help="Pieces or orbits that may go anywhere: 'corners', 'UFL UBL'."),
    ] = "",
    count: Annotated[int, typer.Option("--count", metavar="N", help="Show so many, the easiest first.")] = 10,
    hands: Annotated[
        str | None, typer.Option("--hands", metavar="FILE", help="Your own weights for what is easy.")
    ] = None,
    memory: Annotated[
        int, typer.Option("--memory", metavar="MB", help="Memory the search may take for its table.")
    ] = 512,
    as_json: JsonOption = False,
) -> int:
    """Find algorithms: all shortest sequences with a wanted effect, the easiest for the hands first."""
    from nightfold.blind.method import load_method
    from nightfold.blind.wanted import PARITY_TURNS, wanted_effect
    from nightfold.search.finding import FACES
    from nightfold.search.finding import find as search
    from nightfold.search.hands import load_hands

    wanted = wanted_effect(want, like, None if parity is None else load_method(parity))
    turns = turns if turns is not None else PARITY_TURNS if parity is not None else FACES
    if count < 1:
        raise NightfoldError(f"--count {count} shows nothing; it must be 1 or more")
    if not 1 <= memory <= 1_000_000:
        raise NightfoldError(f"--memory {memory} is not possible; give megabytes from 1 to 1000000")
    weights = load_hands(hands) if hands else None
    with searching(as_json) as tell:

        def progress(length: int, walked: int) -> bool:
            if tell is not None:
                tell(f"searching {length} turns; {walked:,} sequences walked")
            return True

        found = search(
            wanted,
            turns,
            longest=longest,
            extra=extra,
            any_pieces=any_pieces.split(),
            hands=weights,
            memory=memory << 20,
            progress=progress,
        )
    shown = list(found.best(count))
    if as_json:
        print_json(found.to_dict(shown))
        return 0
    from rich.table import Table
    from rich.text import Text

    out = console()
    if shown:
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_edge=False)
        table.add_column("ease", justify="right", no_wrap=True)
        table.add_column("OBTM", justify="right", no_wrap=True)
        table.add_column("STM", justify="right", no_wrap=True)
        table.add_column("algorithm")
        for one in shown:
            line = Text(str(one), style=LAMP)
            if one.form:
                line.append(f"\n= {one.form}", style=QUIET)
            table.add_row(f"{one.cost:.1f}", str(one.obtm), str(one.stm), line)
        out.print(table)
        out.print()
    hidden = len(found.algorithms) - len(shown)
    if found.shortest is None:
        said = f"none has up to {found.proven} turns: every sequence of {turns} was tried"
    elif found.shortest == 0:
        said = "nothing is to be done: the effect is that of no turns at all"
    else:
        said = f"none is shorter than {found.shortest} turns: every sequence of {turns} was tried"
        if hidden:
            said += f"; {hidden:,} more were found (--count shows more)"
    notes = [said]
    if found.cut:
        notes.append("there are more than could be kept")
    if found.memory_bound:
        notes.append(f"a table beyond {memory} MB would have been faster (--memory)")
    out.print(Text("; ".join(notes), style=QUIET))
    return 0
