"""``nightfold methods`` and ``nightfold method``: what there is, what was derived, what was checked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.errors import MethodError
from nightfold.blind.method import DEFAULT, load_method, method_names
from nightfold.blind.setups import families
from nightfold.blind.ways import SwapWay
from nightfold.cli.common import LAMP, QUIET, JsonOption, complain, console, print_hanging, print_json
from nightfold.cube.geometry import geometry

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the commands to the application."""
    app.command("methods")(methods)
    app.command("method")(method)


def methods(as_json: JsonOption = False) -> None:
    """The methods that come along."""
    loaded = [load_method(name) for name in method_names()]
    if as_json:
        print_json([{"name": one.name, "title": one.title, "about": one.about.strip()} for one in loaded])
        return
    from rich.text import Text

    out = console()
    for one in loaded:
        out.print(Text.assemble((one.name, LAMP), f"  {one.title}"))
        print_hanging(out, Text(one.about.strip(), style=QUIET))
        out.print()
    out.print("Show one with: nightfold method NAME.  Write your own: docs/writing-a-method.md")


def method(
    name: Annotated[str, typer.Argument(metavar="NAME|FILE", help="A method's name, or a file of your own.")] = DEFAULT,
    as_json: JsonOption = False,
) -> int:
    """What a method is, what follows from it, and what was checked."""
    try:
        chosen = load_method(name)
    except MethodError as trouble:
        code = 2
        for problem in trouble.problems:
            code = complain(problem)
        return code
    if as_json:
        print_json(chosen.to_dict())
        return 0
    out = console()
    from rich.text import Text

    out.print(Text.assemble((chosen.name, LAMP), f"  {chosen.title}"))
    print_hanging(out, Text(chosen.about.strip(), style=QUIET))
    order = ", then ".join(way.orbit.name for way in chosen.ways)
    print_hanging(
        out, f"order: {order}; hold: {chosen.hold}; breaks: {chosen.breaks}; lettering: {chosen.lettering}", rest="    "
    )
    for way in chosen.ways:
        out.print()
        _print_way(out, way)
    out.print()
    step = chosen.parity
    out.print(Text.assemble(("PARITY", "bold"), "  ", (step.label + (" (searched)" if step.searched else ""), QUIET)))
    print_hanging(out, str(step.algorithm) or "nothing to do")
    out.print()
    out.print(Text("CHECKED", style="bold"))
    for sentence in chosen.checks:
        print_hanging(out, Text.assemble(("+ ", "green"), sentence), rest="    ")
    return 0


def _print_way(out: Console, way: SwapWay) -> None:
    from rich.table import Table
    from rich.text import Text

    names = geometry(way.orbit.size).names
    out.print(Text.assemble((way.orbit.name.upper(), "bold"), "  ", (f"way: {way.kind}", QUIET)))
    grid = Table.grid(padding=(0, 2))
    grid.add_row(Text("  buffer", style=QUIET), names[way.buffer])
    grid.add_row(Text("  home target", style=QUIET), names[way.home])
    grid.add_row(Text(f"  {way.label}", style=QUIET), str(way.algorithm))
    grid.add_row(Text("  free turns", style=QUIET), Text(families(way.free), style=LAMP))
    out.print(grid)
    kept = Table.grid(padding=(0, 2))
    for reason, stems in way.refused.items():
        kept.add_row(Text("  not " + ", ".join(stems), style=QUIET), Text(reason, style=QUIET))
    out.print(kept)
