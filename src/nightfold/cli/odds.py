"""``nightfold odds``: exact probabilities over all cubes, over those with certain features, and where a cube lies."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import LAMP, QUIET, JsonOption, MethodOption, console, print_hanging, print_json
from nightfold.cli.features import with_features

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from nightfold.blind.features import Features
    from nightfold.blind.odds import Odds, Place, Table

#: What is shown side by side.
_SIDE_BY_SIDE = (
    ("edge_letters", "corner_letters"),
    ("edge_breaks", "corner_breaks"),
    ("flipped_edges", "twisted_corners"),
    ("solved_edges", "solved_corners"),
    ("total_letters", "total_breaks"),
)
#: The columns of one table and of its bars.
_WIDTH, _BAR = 38, 20
#: Shares below this are not told exactly, and values at either end that are rarer, all together, share one line.
_RARE = Fraction(1, 1000)


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("odds")(odds)


@with_features
def odds(
    features: Features,
    scramble: Annotated[
        str | None, typer.Argument(metavar="SCRAMBLE", help="A scramble in quotes, to see where it lies.")
    ] = None,
    method: MethodOption = DEFAULT_METHOD,
    as_json: JsonOption = False,
) -> None:
    """What to expect of a cube: the exact odds of letters, breaks and parity, and where one scramble lies."""
    from nightfold.blind.method import load_method
    from nightfold.blind.odds import odds as odds_of
    from nightfold.blind.odds import place_of
    from nightfold.blind.plan import make_plan

    chosen = load_method(method)
    found = odds_of(features)
    plan = make_plan(scramble, chosen) if scramble is not None else None
    place = place_of(plan, features) if plan else None
    if as_json:
        data = found.to_dict()
        if plan and place:
            data["scramble"] = {"scramble": plan.scramble, **place.to_dict()}
        print_json(data)
        return
    out = console()
    if features.wishes:
        _print_chance(out, found)
        out.print()
    if plan and place:
        _print_place(out, plan.scramble, place)
        return
    _print_tables(out, found)


def _print_chance(out: Console, found: Odds) -> None:
    from rich.text import Text

    print_hanging(out, Text.assemble(("ODDS  ", "bold"), (str(found.features), LAMP)), "", "      ")
    out.print(Text.assemble("      ", (one_in(found.chance), LAMP), (f", exactly {found.chance}", QUIET)))


def _print_place(out: Console, scramble: str, place: Place) -> None:
    from rich.table import Table as Grid
    from rich.text import Text

    who = "these cubes" if place.among.wishes else "all cubes"
    print_hanging(out, Text.assemble(("SCRAMBLE  ", "bold"), scramble or "no turns: the solved cube"), "", "          ")
    if not place.has_features:
        out.print(Text("          it is not one of these cubes itself", style=QUIET))
    easier = Text.assemble("easier than ", (f"{percent(place.harder)} of {who}", LAMP))
    easier.append(f", harder than {percent(place.easier)}, as hard as {percent(place.alike)}")
    print_hanging(out, easier, "          ", "          ")
    said = f"fewer letters are easier, and at equal letters fewer breaks; the table shows the shares of {who} with"
    print_hanging(out, Text(f"{said} fewer, as many and more than this one", style=QUIET), "          ", "          ")
    out.print()
    grid = Grid(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_edge=False)
    grid.add_column("", no_wrap=True)
    for heading in ("this cube", "fewer", "as many", "more"):
        grid.add_column(heading, justify="right", overflow="fold")
    for name, standing in place.standings.items():
        shares = [percent(share) for share in (standing.fewer, standing.equal, standing.more)]
        grid.add_row(name.replace("_", " "), Text(str(standing.value), style=LAMP), *shares)
    out.print(grid)
    out.print()
    parity = "it has parity" if place.own.parity else "it has no parity"
    alike = f"the chance of a cube like it in all of this and in its buffers is {one_in(place.chance)}"
    print_hanging(out, Text(f"{parity}; {alike}", style=QUIET), "", "")


def _print_tables(out: Console, found: Odds) -> None:
    from rich.text import Text

    wide = out.width >= 2 * _WIDTH + 2
    for pair in _SIDE_BY_SIDE:
        columns = [_table_lines(out, name, found.tables[name]) for name in pair]
        if wide:
            height = max(map(len, columns))
            left, right = (column + [Text()] * (height - len(column)) for column in columns)
            for a, b in zip(left, right, strict=True):
                line = a.copy()
                line.pad_right(_WIDTH + 2 - line.cell_len)
                out.print(line.append_text(b) if b else a)
        else:
            for column in columns:
                for line in column:
                    out.print(line)
        out.print()
    out.print(Text.assemble(("PARITY", "bold"), f"  {percent(found.parity)} have odd numbers of letters"))


def _table_lines(out: Console, name: str, table: Table) -> list[Text]:
    """A heading with the mean, and a line with a bar for every value that is not too rare."""
    from rich.text import Text

    heading = Text(name.replace("_", " ").upper(), style="bold").append(f"  mean {float(table.mean):.2f}", style=QUIET)
    lines = [heading]
    longest = max(table.chances.values())
    for values, share in _rows(table):
        label = str(values[0]) if len(values) == 1 else f"{values[0]}-{values[-1]}"
        line = Text(f"{label:>6} {percent(share):>7}  ").append(bar(share / longest, _BAR, out.encoding), style=LAMP)
        line.rstrip()
        lines.append(line)
    return lines


def _rows(table: Table) -> list[tuple[list[int], Fraction]]:
    """Values with their chances; the rarest at either end are taken together."""
    rows = [([value], share) for value, share in table.chances.items()]
    for at in (0, -1):
        end: list[tuple[list[int], Fraction]] = []
        while len(rows) > 1 and sum(share for _, share in end) + rows[at][1] < _RARE:
            end.append(rows.pop(at))
        if end:
            values = sorted(value for row, _ in end for value in row)
            rows.insert(0 if at == 0 else len(rows), (values, sum((share for _, share in end), Fraction(0))))
    return rows


def bar(part: Fraction, width: int, encoding: str = "utf-8") -> str:
    """A horizontal bar, ``part`` of ``width`` long to an eighth of a column; of # where there is no Unicode."""
    if not encoding.lower().startswith("utf"):
        return "#" * round(part * width)
    whole, eighths = divmod(round(part * width * 8), 8)
    return "█" * whole + ("" if not eighths else chr(0x2590 - eighths))


def percent(share: Fraction) -> str:
    """A share as a percentage; what is small but not nothing, or nearly all, is not rounded away."""
    if share in (0, 1):
        return f"{int(share) * 100}%"
    if share < _RARE:
        return "<0.1%"
    if share > 1 - _RARE:
        return ">99.9%"
    return f"{float(share * 100):.1f}%"


def one_in(chance: Fraction) -> str:
    """A chance as ``1 in 3.2`` or ``1 in 1,234,567``, the number rounded."""
    number = 1 / chance
    return f"1 in {float(number):,.1f}".removesuffix(".0") if number < 100 else f"1 in {round(number):,}"
