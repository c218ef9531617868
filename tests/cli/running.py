"""Running the command: in this process, which is quick, or as a program of its own, which is the real thing."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sysconfig
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

from nightfold.cli import run

#: The program as it is installed beside this Python.
PROGRAM = Path(sysconfig.get_path("scripts")) / "nightfold"
#: What a plain terminal of 80 columns tells a program; nothing of this machine's own settings.
PLAIN = {
    "PATH": os.environ.get("PATH", ""),
    "COLUMNS": "80",
    "LANG": "C.UTF-8",
    "TERM": "xterm-256color",
    # Whatever is kept, is kept where no person keeps anything.
    "NIGHTFOLD_HOME": (_home := tempfile.TemporaryDirectory(prefix="nightfold-tests-")).name,
}


@dataclass(frozen=True, slots=True)
class Ran:
    """What came of one run of the command."""

    code: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()

    @property
    def data(self) -> Any:
        """The one JSON value that was printed."""
        assert self.code == 0, self.err
        assert self.out.count("\n") == 1
        return json.loads(self.out)


def here(*arguments: str, stdin: str | bytes = b"", columns: int = 80) -> Ran:
    """Run the command in this process, with ``stdin`` to read."""
    given = stdin.encode() if isinstance(stdin, str) else stdin
    out, err, source = (io.TextIOWrapper(io.BytesIO(data), encoding="utf-8", newline="") for data in (b"", b"", given))
    environment = {**PLAIN, "COLUMNS": str(columns)}
    with (
        mock.patch.dict(os.environ, environment, clear=True),
        mock.patch("sys.stdin", source),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        code = run(list(arguments))
    said = []
    for stream in (out, err):
        stream.flush()
        stream.seek(0)
        said.append(stream.read())
    return Ran(code, *said)


def there(
    *arguments: str, stdin: str | bytes = b"", environment: Mapping[str, str] | None = None, encoding: str = "utf-8"
) -> Ran:
    """Run the installed program, with ``environment`` besides the plain one."""
    done = subprocess.run(
        [str(PROGRAM), *arguments],
        input=stdin.encode() if isinstance(stdin, str) else stdin,
        capture_output=True,
        env={**PLAIN, **(environment or {})},
        timeout=120,
        check=False,
    )
    return Ran(done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding))


def shell(line: str, *arguments: str, environment: Mapping[str, str] | None = None) -> Ran:
    """Run a line of shell in which ``nightfold`` is the program and ``$1`` … are ``arguments``."""
    environment = {**PLAIN, **(environment or {})}
    environment["PATH"] = f"{PROGRAM.parent}{os.pathsep}{environment['PATH']}"
    done = subprocess.run(
        ["/bin/sh", "-c", line, "sh", *arguments], capture_output=True, env=environment, timeout=120, check=False
    )
    return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())


def complaint(ran: Ran, *fragments: str, lines: int = 1) -> None:
    """Assert that the run ended as bad input must: exit code 2, nothing but a clear sentence on standard error."""
    assert ran.code == 2, ran
    assert ran.out == "", ran.out
    told = ran.err.splitlines()
    assert len(told) == lines, ran.err
    assert ran.err.endswith("\n")
    for line in told:
        assert line.startswith("nightfold: ")
        assert line.removeprefix("nightfold: ").isprintable()
        assert len(line) < 1000
    assert "Traceback" not in ran.err
    for fragment in fragments:
        assert fragment in ran.err, f"{fragment!r} is not in {ran.err!r}"


def cases(table: Mapping[str, Sequence[Any]]) -> list[Any]:
    """A table of named cases as pytest takes them."""
    import pytest

    return [pytest.param(*row, id=name) for name, row in table.items()]
