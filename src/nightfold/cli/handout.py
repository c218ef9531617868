"""``nightfold handout``: pages to print and hand round."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import (
    LAMP,
    QUIET,
    HoldOption,
    JsonOption,
    LetteringOption,
    MethodOption,
    console,
    print_hanging,
    print_json,
    searching,
    visible,
)
from nightfold.paper.handouts import KINDS, Choice, Kind

handout_app = typer.Typer(
    name="handout",
    help="Print pages to hand round: each kind is a PDF, on A4 or Letter, in colour or in grey, in large print too.",
    no_args_is_help=False,
)

PaperOption = Annotated[str, typer.Option("--paper", metavar="a4|letter", help="The paper it is printed on.")]
GreyOption = Annotated[
    bool, typer.Option("--grey", metavar="", help="No colours: hatchings and letters, for any printer and copier.")
]
LargeOption = Annotated[bool, typer.Option("--large", metavar="", help="Large print.")]
OutOption = Annotated[
    str | None,
    typer.Option(
        "--out",
        "-o",
        metavar="FILE|-",
        help="Where to write it; a telling name in this folder if not given, - for standard output.",
    ),
]


def register(app: typer.Typer) -> None:
    """Add the commands to the application: one for each kind of handout."""
    app.add_typer(handout_app)


@handout_app.callback(invoke_without_command=True)
def handout(context: typer.Context) -> None:
    """Print pages to hand round: each kind is a PDF, on A4 or Letter, in colour or in grey, in large print too."""
    if context.invoked_subcommand is not None:
        return
    from rich.text import Text

    out = console()
    for kind in KINDS.values():
        out.print(Text(kind.name, style=LAMP))
        print_hanging(out, kind.about)
        for choice in kind.choices:
            print_hanging(
                out,
                Text.assemble((f"{choice.option} {choice.metavar}".strip(), LAMP), f"  {choice.about}"),
                rest="      ",
            )
    out.print()
    print_hanging(
        out, Text("Print one with: nightfold handout KIND; every kind tells its options with --help.", style=QUIET), ""
    )


def _command(kind: Kind) -> Callable[..., None]:
    """The command for one kind, with the options that all have and its own choices."""

    def command(
        method: str,
        lettering: str | None,
        hold: str | None,
        paper: str,
        grey: bool,
        large: bool,
        out: str | None,
        as_json: bool,
        **choices: Any,
    ) -> None:
        from nightfold.paper.handouts import file_name, save_all, written
        from nightfold.paper.handouts import handout as print_handout
        from nightfold.paper.press import Look
        from nightfold.paper.subject import subject
        from nightfold.paper.watched import watched

        about = subject(method, lettering, hold)
        look = Look(paper, grey, large)  # type: ignore[arg-type]  # any text comes from the terminal; Look tells
        with searching(as_json) as tell, watched(tell or (lambda _: None)):
            if out == "-":
                pages = print_handout(kind.name, about, look, **choices)
            else:
                path = Path(out if out is not None else file_name(kind.name, about, look, **choices))
                made = written(kind.name, about, path, look, **choices)
        if out == "-":
            sys.stdout.buffer.write(pages)
            return
        save_all(made, path)
        if as_json:
            print_json({"kind": kind.name, "file": str(path)} | ({"said": made.said} if made.said else {}))
        else:
            print(visible(str(path)))
            if made.said:
                print_hanging(console(), made.said, "", "")

    shared: list[tuple[str, Any, Any]] = [
        ("method", MethodOption, DEFAULT_METHOD),
        ("lettering", LetteringOption, None),
        ("hold", HoldOption, None),
        ("paper", PaperOption, "a4"),
        ("grey", GreyOption, False),
        ("large", LargeOption, False),
        ("out", OutOption, None),
        ("as_json", JsonOption, False),
    ]
    own = [(choice.name, _option(choice), choice.default) for choice in kind.choices]
    parameters = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=annotation)
        for name, annotation, default in (*own, *shared)
    ]
    command.__doc__ = kind.about
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {parameter.name: parameter.annotation for parameter in parameters}
    return command


def _option(choice: Choice) -> Any:
    """How the option parser is told of a choice."""
    kind: Any = bool if choice.default is False else str | None if choice.default is None else int
    return Annotated[kind, typer.Option(choice.option, metavar=choice.metavar, help=choice.about)]


for _kind in KINDS.values():
    handout_app.command(_kind.name)(_command(_kind))
