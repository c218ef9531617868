"""``nightfold plan``: the whole blind solve of one cube, or of one scramble a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.hold import parse_hold
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.method import load_method
from nightfold.blind.plan import PARITY, Plan, make_plan, parity_sentence, plan_of_net
from nightfold.cli.common import (
    LAMP,
    QUIET,
    HoldOption,
    JsonOption,
    LetteringOption,
    MethodOption,
    NetOption,
    complain,
    console,
    pairs,
    print_hanging,
    print_json,
    read_text,
)
from nightfold.cli.words import LanguageOption, OwnOption, break_policy
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import write

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("plan")(plan)


def plan(
    scramble: Annotated[
        str | None,
        typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes, or - for one a line from standard input."),
    ] = None,
    net: NetOption = None,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    breaks: Annotated[
        str | None,
        typer.Option(
            "--breaks",
            metavar="POLICY",
            help="Where to break into a new cycle: lowest (letter), shortest (plan), words (the strongest pairs), or "
            "choose:edges=K Q;corners=B.",
        ),
    ] = None,
    own: OwnOption = None,
    language: LanguageOption = None,
    brief: Annotated[
        bool, typer.Option("--brief", metavar="", help="Only hold, letters, parity and steps; no sentences.")
    ] = False,
    as_json: JsonOption = False,
) -> int:
    """The whole blind solve: how to hold the cube, what to remember, every step and why it works."""
    if (scramble is None) == (net is None):
        raise NightfoldError('give either a scramble in quotes, as in nightfold plan "R U F2", or --net with a file')
    chosen = load_method(method)
    # Whatever holds for every scramble is read first, so that what is wrong with it is said once.
    letters = load_lettering(chosen.lettering if lettering is None else lettering, chosen.size)
    wanted = None if hold is None else parse_hold(hold)
    policy = break_policy(breaks, chosen, letters, own, language)

    if net is not None:
        _show(plan_of_net(read_text(net, "net"), chosen, letters, wanted, policy), brief, as_json)
        return 0
    if scramble != "-":
        _show(make_plan(scramble or "", chosen, letters, wanted, policy), brief, as_json)
        return 0
    code = 0
    lines = [(number, line) for number, line in enumerate(read_text("-", "list of scrambles").splitlines(), 1)]
    lines = [(number, line) for number, line in lines if line.strip()]
    if not lines:
        raise NightfoldError("standard input holds no scramble; give one a line")
    for number, line in lines:
        try:
            _show(make_plan(line, chosen, letters, wanted, policy), brief, as_json)
            if not as_json:
                print()
        except NightfoldError as trouble:
            # The other lines still get their plans; the reader of JSON keeps one object a line.
            code = complain(f"line {number}: {trouble}")
            if as_json:
                print_json({"line": number, "error": str(trouble)})
    return code


def _show(made: Plan, brief: bool, as_json: bool) -> None:
    if as_json:
        print_json(made.to_dict())
        return
    out = console()
    _head(out, made)
    _memo(out, made, brief)
    _steps(out, made, brief)
    _foot(out, made)


def _head(out: Console, made: Plan) -> None:
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 2))
    grid.add_column(style=QUIET, no_wrap=True)
    grid.add_column()
    if made.scramble:
        grid.add_row("scramble", made.scramble)
    turn = (
        Text.assemble((made.hold, LAMP), f" first, then {made.held}") if made.hold else Text(f"as it is: {made.held}")
    )
    grid.add_row("hold", turn)
    grid.add_row("method", f"{made.method.name}: {made.method.title}")
    out.print(grid)


def _memo(out: Console, made: Plan, brief: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    names = made.cube_names
    for reading in made.orbits:
        count = len(reading.targets)
        breaks = f", {reading.breaks} break{'s' if reading.breaks != 1 else ''}" if reading.breaks else ""
        said = f"buffer {names[reading.buffer]}, {count} letter{'s' if count != 1 else ''}{breaks}"
        out.print()
        out.print(Text.assemble((reading.orbit.name.upper(), "bold"), "  ", (said, QUIET)))
        memo = pairs(cycle.letters for cycle in reading.cycles) or "nothing to remember: all solved"
        print_hanging(out, Text(memo, style=LAMP if count else QUIET))
        if brief:
            continue
        told = Table.grid(padding=(0, 2))
        for cycle in reading.cycles:
            for target in cycle.targets:
                told.add_row(Text("  " + target.symbol, style=LAMP), target.why)
            if cycle.end:
                told.add_row("", Text(cycle.end, style=QUIET))
        out.print(told)
    out.print()
    if made.parity:
        said = parity_sentence(made.method, made.orbits)
        print_hanging(out, Text.assemble(("PARITY  yes", "bold"), "" if brief else f"  {said}"), "")
    else:
        said = "both counts are even" if made.letters else "there is nothing to do"
        out.print(Text.assemble(("PARITY  no", "bold"), "" if brief else f"  {said}"))


def _steps(out: Console, made: Plan, brief: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    if not made.steps:
        return
    labels = made.labels
    swaps = {labels[step.orbit]: write(step.swap) for step in made.steps}
    out.print()
    out.print(Text("STEPS", style="bold"))
    learned = Table.grid(padding=(0, 2))
    for label, turns in swaps.items():
        learned.add_row(Text(f"  {label}", style=QUIET), turns)
    out.print(learned)
    for name in dict.fromkeys(step.orbit for step in made.steps):
        out.print()
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_edge=False)
        for heading, justify in (("", "right"), (name, "left"), ("", "left"), ("setup", "left")):
            table.add_column(heading, justify=justify, no_wrap=True)  # type: ignore[arg-type]
        table.add_column("swap", no_wrap=True)
        table.add_column("undo", no_wrap=True)
        if not brief:
            table.add_column("why it works")
        for number, step in enumerate(made.steps, 1):
            if step.orbit != name:
                continue
            row: list[str | Text] = [str(number), Text(step.letter, style=LAMP), step.sticker]
            row += [write(step.setup) or "-", labels[name], write(step.undo) or "-"]
            if not brief:
                row.append(Text(step.why if name != PARITY else "see above", style=QUIET))
            table.add_row(*row)
        out.print(table)


def _foot(out: Console, made: Plan) -> None:
    from rich.text import Text

    turns, short = len(made.solution), len(made.cancelled)
    choice = "one right memo" if made.memos == 1 else f"{made.memos:,} right memos"
    counts = f"{made.letters} letters, {turns} turns"
    if short < turns:
        counts += f" ({short} where undo meets setup)"
    verdict = ("replayed on the cube: solved", "bold green") if made.solved else ("NOT SOLVED", "bold red")
    out.print()
    print_hanging(out, Text.assemble(verdict, f"; {counts}; {choice}"), "")
