"""``nightfold mark``: judge a learner's written memo against every right memo of the cube."""

from __future__ import annotations

from typing import Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.plan import make_plan
from nightfold.cli.common import (
    LAMP,
    QUIET,
    HoldOption,
    JsonOption,
    LetteringOption,
    MethodOption,
    console,
    pairs,
    print_json,
)
from nightfold.cube.errors import NightfoldError


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("mark")(mark)


def mark(
    scramble: Annotated[str, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes.")],
    edges: Annotated[str | None, typer.Option("--edges", metavar="MEMO", help="The edge letters as written.")] = None,
    corners: Annotated[
        str | None, typer.Option("--corners", metavar="MEMO", help="The corner letters as written.")
    ] = None,
    parity: Annotated[
        str | None, typer.Option("--parity", metavar="yes|no", help="What the learner said about parity.")
    ] = None,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    as_json: JsonOption = False,
) -> None:
    """Mark a memo: right, or each fault with its place, what was right there, and why."""
    from nightfold.coach.marking import mark_memo

    written = {name: memo for name, memo in (("edges", edges), ("corners", corners)) if memo is not None}
    marking = mark_memo(make_plan(scramble, method, lettering, hold), written, _yes_or_no(parity))
    if as_json:
        print_json(marking.to_dict())
        return
    from rich.table import Table
    from rich.text import Text

    out = console()
    for marked in marking.orbits:
        verdict = ("right", "bold green") if marked.ok else ("wrong", "bold red")
        out.print(Text.assemble((marked.orbit.name.upper(), "bold"), "  ", verdict))
        out.print(Text(f"  {pairs([marked.letters]) or 'nothing written'}", style=LAMP))
        table = Table.grid(padding=(0, 2))
        for fault in marked.faults:
            table.add_row(Text(f"  {fault.at + 1}", style=QUIET), Text(fault.letter or "-", style=LAMP), fault.say)
        if not marked.ok:
            out.print(table)
            out.print(Text.assemble(("  right would be  ", QUIET), pairs([marked.corrected])))
        out.print()
    out.print(marking.say)


def _yes_or_no(answer: str | None) -> bool | None:
    if answer is None:
        return None
    if answer.strip().lower() not in ("yes", "no"):
        raise NightfoldError(f"--parity is “{answer[:24]}”; answer yes or no")
    return answer.strip().lower() == "yes"
