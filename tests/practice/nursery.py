"""A process that has loaded everything and begets others, which are at work at once and can be killed at any moment.

Run as a program it reads what to beget, a JSON value a line, and answers with the port at which the child is to be
spoken with; the next line has the child killed.
"""

from __future__ import annotations

import io
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NoReturn

ROOT = Path(__file__).parents[2]

# --- whoever gives orders ----------------------------------------------------------------------------------------


class Nursery:
    """The process, as the tests see it."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process
        #: Where its children keep their logbook.
        self.place: str | Path = ""
        #: How long the last child was spoken with, in seconds.
        self.lasted = 0.0
        self._death: threading.Timer | None = None

    def _say(self, line: str) -> None:
        assert self._process.stdin is not None
        print(line, file=self._process.stdin, flush=True)

    def _hear(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the process that begets others has ended"
        return line.strip()

    def _beget(self, what: str, asked: dict[str, Any]) -> int:
        self._say(json.dumps({"what": what, "place": str(self.place), "asked": asked}))
        return int(self._hear())

    @contextmanager
    def doomed(self, after: float | None, what: str, **asked: Any) -> Iterator[int]:
        """A child that is killed so many seconds from now; gives its port, and waits until it is dead.

        If ``after`` is None the block dooms it; what it does not do before it ends is done then.
        """
        port = self._beget(what, asked)
        self._death = None
        if after is not None:
            self.doom(after)
        began = time.monotonic()
        try:
            yield port
        finally:
            self.lasted = time.monotonic() - began
            death = self._death or self.doom(0)
            death.join()
            assert self._hear() == "gone"

    def doom(self, after: float) -> threading.Timer:
        """Have the child killed so many seconds from now."""
        self._death = threading.Timer(after, self._say, [""])
        self._death.start()
        return self._death

    def told(self, after: float, what: str, typed: str = "", **asked: Any) -> list[str]:
        """The whole lines that a child printed, which was given these to read and killed so many seconds from now."""
        with self.doomed(after, what, **asked) as port:
            return list(_lines(port, typed))

    def told_then(self, after: float, tellings: int, what: str, **asked: Any) -> list[str]:
        """The lines of a child that is killed so many seconds after it has printed so many of them."""
        lines = _lines(self._beget(what, asked))
        told = [next(lines) for _ in range(tellings)]
        time.sleep(after)
        self._say("")
        told += lines
        assert self._hear() == "gone"
        return told


def _lines(port: int, typed: str = "") -> Iterator[str]:
    """What is printed at a port, line by line, until whoever prints is dead; half a line is none."""
    try:
        # A child begins its work once somebody listens, so that is done now and not with the first line.
        connection = socket.create_connection(("127.0.0.1", port), timeout=60)
    except ConnectionError:
        return iter(())  # it was dead before
    return _whole_lines(connection, typed)


def _whole_lines(connection: socket.socket, typed: str) -> Iterator[str]:
    with connection:
        said = b""
        try:
            connection.sendall(typed.encode())
            connection.shutdown(socket.SHUT_WR)
            while some := connection.recv(65536):
                *whole, said = (said + some).split(b"\n")
                yield from (line.decode() for line in whole)
        except OSError as trouble:
            if isinstance(trouble, TimeoutError):
                raise


@contextmanager
def nursery(home: Path) -> Iterator[Nursery]:
    """The process, with a folder for settings; nothing of it and its children is left afterwards, whatever happens."""
    process = subprocess.Popen(
        [sys.executable, "-m", __name__],
        cwd=ROOT,
        env={**os.environ, "NIGHTFOLD_HOME": str(home), "COLUMNS": "80"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        yield Nursery(process)
    finally:
        # Without orders it kills and reaps its child and ends; if it cannot, the whole group is killed.
        try:
            process.communicate(timeout=10)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()


# --- the children ------------------------------------------------------------------------------------------------


def _serve(listening: socket.socket) -> None:
    """The browser app's server."""
    import uvicorn

    from nightfold.web.guard import Guard
    from nightfold.web.server import configured

    guard = Guard(_app, host="127.0.0.1", port=listening.getsockname()[1], passphrase=None)
    uvicorn.Server(configured(guard)).run(sockets=[listening])


def _command(arguments: list[str]) -> None:
    """The command in the terminal."""
    from nightfold.cli import run

    run(arguments)


def _begin(number: int) -> None:
    """Make a logbook."""
    from nightfold.practice.logbook import Logbook

    with Logbook.open() as book:
        book.set_fact("begun", str(number))
    print("done", flush=True)


def _import(source: str) -> None:
    """Import a file."""
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.transfer import import_rows, read_rows

    with Logbook.open(backups=False) as book:
        import_rows(book.database, read_rows(Path(source)))
    print("done", flush=True)


def _back_up() -> None:
    """Make one backup after the other."""
    from nightfold.practice.backup import ASKED, make_backup
    from nightfold.practice.logbook import Logbook

    with Logbook.open(backups=False) as book:
        while True:
            print(make_backup(book.database, ASKED).path.name, flush=True)


def _restore(source: str) -> None:
    """Bring a backup back."""
    from nightfold.practice.opening import restore
    from nightfold.practice.places import logbook_place

    restore(logbook_place()[0], Path(source))
    print("done", flush=True)


_WORKS: dict[str, Callable[..., None]] = {
    "command": _command,
    "begin": _begin,
    "import": _import,
    "back up": _back_up,
    "restore": _restore,
}
#: What libraries load only when it is used.
_LATE = (
    "alembic.autogenerate",
    "alembic.command",
    "encodings.idna",
    "nightfold.practice.migration",
    "uvicorn.lifespan.off",
    "uvicorn.loops.asyncio",
    "uvicorn.protocols.http.h11_impl",
)
_app: Any = None


def _live(listening: socket.socket, what: str, place: str, asked: dict[str, Any]) -> NoReturn:
    """The life of a child, who does one thing."""
    try:
        os.environ["NIGHTFOLD_LOGBOOK"] = place
        if what == "serve":
            ends = (os.open(os.devnull, os.O_RDONLY), os.open(os.devnull, os.O_WRONLY))
            os.dup2(ends[0], 0)
            os.dup2(ends[1], 1)
            _serve(listening)
        connection, _ = listening.accept()
        for number in range(3):
            os.dup2(connection.fileno(), number)
        connection.close()
        listening.close()
        sys.stdin = io.TextIOWrapper(io.FileIO(0))
        sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(number, "w")) for number in (1, 2))
        _WORKS[what](**asked)
        sys.stdout.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        os._exit(0)


def _load() -> None:
    """Load whatever the children will need, by doing it all once elsewhere; no thread may be left of that."""
    import asyncio
    import contextlib
    import gc
    import importlib
    import tempfile

    from nightfold.cli import run
    from nightfold.memory.lexicon import language_of
    from nightfold.web.app import create_app
    from nightfold.web.attempts import AttemptIn, _begin
    from nightfold.web.book import close_books
    from nightfold.web.drills import AskIn, _next

    for module in _LATE:
        importlib.import_module(module)
    attempt = {"id": "9e7b86de-3024-4308-8ec0-0339e018e6e1", "started": "2026-03-05T18:00:00Z"}
    language_of("ABCD")
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
        os.environ["NIGHTFOLD_LOGBOOK"] = f"{folder}/logbook.db"
        run(["attempt", "R U F2", "--time", "1:00.00", "--outcome", "solved"])
        run(["words", "LS", "--add", "lantern smoke"])
        sys.stdin, orders = io.StringIO("A\n"), sys.stdin
        run(["drill", "turned", "--count", "1"])
        sys.stdin = orders
        _begin(AttemptIn.model_validate({**attempt, "cube": {"scramble": "R U F2"}}))
        _next("turned", AskIn.model_validate({"level": 1}))
        close_books()
    global _app
    _app = create_app()
    asyncio.run(_ask_once())
    assert threading.active_count() == 1, threading.enumerate()
    gc.freeze()


async def _ask_once() -> None:
    """Have the app refuse a request, since it makes itself ready with its first; its routes would start threads."""

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"{}"}

    async def send(_: Any) -> None:
        pass

    scope = {"type": "http", "method": "POST", "path": "/api/attempts", "query_string": b"", "headers": []}
    await _app(scope, receive, send)


def _beget() -> None:
    """Beget what is asked for, one child after the other, as long as somebody asks."""
    from nightfold.web.server import listen

    _load()
    for line in iter(sys.stdin.readline, ""):
        order = json.loads(line)
        listening = listen("127.0.0.1", 0)
        child = os.fork()
        if child == 0:
            _live(listening, **order)
        print(listening.getsockname()[1], flush=True)
        listening.close()
        sys.stdin.readline()  # the order to kill it, or the end of whoever gives orders
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        print("gone", flush=True)


if __name__ == "__main__":
    _beget()
