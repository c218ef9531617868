"""The terminal: one file a command, each a thin layer over the functions that scripts call too."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from functools import cache
from typing import Annotated

import typer

from nightfold.cli import app as app_command
from nightfold.cli import (
    attempt,
    deal,
    drill,
    find,
    handout,
    inquest,
    lettering,
    logbook,
    look,
    mark,
    method,
    odds,
    plan,
    progress,
    setups,
    today,
    turns,
    where,
    words,
)
from nightfold.cli.common import complain
from nightfold.cube.errors import NightfoldError

#: All commands as the option parser has them, made but once.
_command = cache(typer.main.get_command)

app = typer.Typer(
    name="nightfold",
    help="Solve the cube blindfolded, and teach others to: from a scrambled cube to a verified, explained plan.",
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
)
for module in (
    plan,
    deal,
    mark,
    inquest,
    attempt,
    drill,
    today,
    progress,
    words,
    find,
    setups,
    handout,
    method,
    lettering,
    turns,
    look,
    odds,
    logbook,
    where,
    app_command,
):
    module.register(app)


def _version(wanted: bool) -> None:
    if wanted:
        from nightfold import __version__

        print(f"nightfold {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def options(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", metavar="", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Solve the cube blindfolded, and teach others to: from a scrambled cube to a verified, explained plan."""
    if context.invoked_subcommand is None:
        print(context.get_help())


def main() -> None:
    """Run the command line: 0 when all went well, 2 with one sentence on standard error for bad input."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):  # either is None where the caller has closed it
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without Unicode gets a mark, not a crash
    try:
        result = _command(app).main(arguments, prog_name="nightfold", standalone_mode=False)
        if sys.stdout is not None:
            sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except NightfoldError as trouble:
        return complain(str(trouble))
    except BrokenPipeError:
        # The reader has gone (as in `nightfold setups | head`): stop without a word.
        _discard_output()
        return 1
    except SystemExit as stop:
        # The libraries below us end so too when the reader has gone, and when completion has been answered.
        return stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    except OSError as trouble:
        _discard_output()
        return complain(f"the output cannot be written: {trouble.strerror or trouble}")
    except (KeyboardInterrupt, EOFError, typer.Abort):
        return 130
    except Exception as trouble:
        # What the option parser finds wrong comes as an exception with a sentence of its own.
        if hasattr(trouble, "format_message"):
            return complain(_misuse(str(trouble.format_message()), getattr(trouble, "ctx", None)))
        raise


def _discard_output() -> None:
    """Send what is still to be written nowhere, so that closing the stream does not fail once more."""
    with suppress(OSError, ValueError, AttributeError):  # no real stream, so nothing to fail
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _misuse(said: str, context: typer.Context | None) -> str:
    """The option parser's sentence in our form, with what would be right where it does not say so itself."""
    said = (said[:1].lower() + said[1:]).rstrip(".").replace(". Did you mean", "; did you mean")
    called = context.command_path if context else "nightfold"
    commands = getattr(context.command, "commands", None) if context else None
    if "; " in said:
        return said
    if "extra argument" in said and called.endswith(("plan", "look", "turns")):
        return f'{said}; put the turns in quotes, as in {called} "R U F2"'
    if "such command" in said and commands:
        return f"{said}; commands are {', '.join(commands)}"
    return f"{said}; see {called} --help"
