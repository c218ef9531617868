"""``nightfold app``: the browser app, served from this machine."""

from __future__ import annotations

from typing import Annotated

import typer

from nightfold.cli.common import read_text
from nightfold.cube.errors import NightfoldError


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("app")(serve)


def serve(
    port: Annotated[
        int | None,
        typer.Option("--port", metavar="PORT", help="The port; 8765 or, if that is taken, a free one if not given."),
    ] = None,
    host: Annotated[
        str, typer.Option("--host", metavar="ADDRESS", help="Another address than this machine alone can reach.")
    ] = "127.0.0.1",
    no_browser: Annotated[bool, typer.Option("--no-browser", metavar="", help="Do not open the browser.")] = False,
    passphrase_file: Annotated[
        str | None,
        typer.Option("--passphrase-file", metavar="FILE", help="What others must enter, on the file's first line."),
    ] = None,
) -> None:
    """Open Nightfold in the browser; everything stays on this machine.  Ctrl-C ends it."""
    if port is not None and not 1 <= port <= 65_535:
        raise NightfoldError(f"--port {port} is no port; give a number from 1 to 65535")
    passphrase = None
    if passphrase_file is not None:
        passphrase = (read_text(passphrase_file, "passphrase file").splitlines() or [""])[0].strip()
        if not passphrase:
            raise NightfoldError("the passphrase file is empty; its first line is the passphrase")
    try:
        from nightfold.web.server import serve as run
    except ModuleNotFoundError as trouble:
        raise NightfoldError(f"the browser app needs {trouble.name}; install Nightfold again to get it") from None
    try:
        run(host, port, passphrase, not no_browser)
    except KeyboardInterrupt:
        print()
