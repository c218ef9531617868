"""Asking the interface: in this process, or a real server in a thread or a process of its own."""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import uvicorn

from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Run
from nightfold.web.app import create_app
from nightfold.web.guard import Guard
from nightfold.web.server import configured, listen
from tests.cli.running import PLAIN, PROGRAM

#: A lettering of one's own.
MINE = """name = "from the lighthouse"
about = "Letters of the club at Fennel Point."
[every-orbit]
U = "a b c d"
L = "e f g h"
F = "i j k l"
R = "m n o p"
B = "q r s t"
D = "u v w x"
"""
SCRAMBLE = "D F L2 B U R F' L' B2"


def client_of(port: int) -> httpx.Client:
    """A client of the server on ``port``."""
    return httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60, trust_env=False)


def asked(client: httpx.Client, path: str, body: Any = None, method: str | None = None) -> Any:
    """The answer to a request that must go well."""
    answer = client.request(method or ("GET" if body is None else "POST"), f"/api/{path}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def events(text: str) -> list[tuple[str, Any]]:
    """The events of a stream with their data; comments are left out."""
    found = []
    for part in text.split("\n\n"):
        lines = [line for line in part.splitlines() if not line.startswith(":")]
        if lines:
            event, data = lines
            found.append((event.removeprefix("event: "), json.loads(data.removeprefix("data: "))))
    return found


def until(what: Callable[[], bool], seconds: float = 30) -> bool:
    """Wait for something to become true; whether it did."""
    end = time.monotonic() + seconds
    while not what():
        if time.monotonic() > end:
            return False
        time.sleep(0.01)
    return True


def ended_run(book: Logbook, exercise: str | None = None) -> Run:
    """The one run of an exercise that is kept, once its end is: a page shows the sum before the server has it."""
    assert until(lambda: all(run.result for run in book.runs(exercise=exercise))), "the run's end is not kept"
    (run,) = book.runs(exercise=exercise)
    return run


@contextlib.contextmanager
def serving(host: str = "127.0.0.1", passphrase: str | None = None, app: Any = None) -> Iterator[int]:
    """A real server in a thread, guarded as if it were reached at ``host``; gives its port."""
    listening = listen("127.0.0.1", 0)
    port = listening.getsockname()[1]
    guard = Guard(app or create_app(), host=host, port=port, passphrase=passphrase)
    server = uvicorn.Server(configured(guard))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    try:
        yield port
    finally:
        server.should_exit = True
        thread.join()
        listening.close()


def send(port: int, method: str, path: str, body: bytes = b"", **headers: str) -> socket.socket:
    """Send a request and give the connection it was sent on, its answer still to be read."""
    head = {"Host": f"127.0.0.1:{port}", "Content-Type": "application/json", "Content-Length": str(len(body))}
    head |= {name.replace("_", "-"): value for name, value in headers.items()}
    connection = socket.create_connection(("127.0.0.1", port), timeout=30)
    lines = [f"{method} {path} HTTP/1.1", *(f"{name}: {value}" for name, value in head.items()), "", ""]
    connection.sendall("\r\n".join(lines).encode() + body)
    return connection


class App:
    """The program ``nightfold app`` in a process of its own."""

    def __init__(self, *arguments: str, **environment: str) -> None:
        self.process = subprocess.Popen(
            [str(PROGRAM), "app", "--no-browser", *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**PLAIN, "NIGHTFOLD_HOME": os.environ["NIGHTFOLD_HOME"], **environment},
        )
        assert self.process.stdout is not None
        self.line = self.process.stdout.readline()
        found = re.search(r"http://(\S+):(\d+)", self.line)
        self.host, self.port = (found[1], int(found[2])) if found else ("", 0)

    def end(self, sign: signal.Signals = signal.SIGINT) -> tuple[int, str]:
        """End it; its exit code and what it said on standard error."""
        if self.process.poll() is None:
            self.process.send_signal(sign)
        _, said = self.process.communicate(timeout=30)
        return self.process.returncode, said

    def __enter__(self) -> App:
        return self

    def __exit__(self, *_: object) -> None:
        self.end(signal.SIGKILL)
