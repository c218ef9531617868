"""The terminal: one file a command, each a thin layer over the functions that scripts call too."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from nightfold.cli import lettering, look, method, plan, setups, turns
from nightfold.cli.common import complain
from nightfold.cube.errors import NightfoldError

app = typer.Typer(
    name="nightfold",
    help="Solve the cube blindfolded, and teach others to: from a scrambled cube to a verified, explained plan.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
)
for module in (plan, setups, method, lettering, turns, look):
    module.register(app)


def _version(wanted: bool) -> None:
    if wanted:
        from nightfold import __version__

        print(f"nightfold {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Solve the cube blindfolded, and teach others to: from a scrambled cube to a verified, explained plan."""


def main() -> None:
    """Run the command line: 0 when all went well, 2 with one sentence on standard error for bad input."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without Unicode gets a mark, not a crash
    try:
        result = typer.main.get_command(app).main(arguments, prog_name="nightfold", standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except NightfoldError as trouble:
        return complain(str(trouble))
    except BrokenPipeError:
        # The reader has gone (as in `nightfold setups | head`): stop without a word.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except (KeyboardInterrupt, EOFError, typer.Abort):
        return 130
    except Exception as trouble:
        # What the option parser finds wrong comes as an exception with a sentence of its own.
        if hasattr(trouble, "format_message"):
            return complain(str(trouble.format_message()) or "nothing was given; see nightfold --help")
        raise
