"""Starting the server: an address, a free port, the browser, and an end without a mess."""

from __future__ import annotations

import errno
import gc
import logging
import socket
import sys
import threading
from typing import Any

import uvicorn

from nightfold.cube.errors import NightfoldError
from nightfold.web import work
from nightfold.web.app import create_app
from nightfold.web.book import close_books
from nightfold.web.guard import Guard, is_loopback

#: Where the app is when nothing else is said.
HOST, PORT = "127.0.0.1", 8765
#: A shorter passphrase is guessed too easily.
SHORTEST_PASSPHRASE = 8


class ServingError(NightfoldError):
    """An address that cannot be served, or a passphrase that is missing."""


class _Server(uvicorn.Server):
    """Asks running searches to end as soon as the server is asked to."""

    def handle_exit(self, sig: int, frame: Any) -> None:
        work.stop_all()
        super().handle_exit(sig, frame)


class Settled:
    """Spares the garbage collector whatever is there once modules were loaded, which they have mostly brought along.

    That stays, and to look through it again and again takes as long as a large answer.  What else is there just then
    is freed all the same as soon as nothing holds it; only what holds itself is not.
    """

    def __init__(self) -> None:
        self._modules = 0

    async def __call__(self) -> None:
        """Look whether modules were loaded since the last time."""
        if len(sys.modules) != self._modules:
            self._modules = len(sys.modules)
            gc.freeze()


def listen(host: str, port: int | None) -> socket.socket:
    """A socket on ``host``; ``port`` None means the usual one, or any that is free if that is taken.

    Raises ServingError when there is no such address or the port that was asked for is taken.
    """
    try:
        found = socket.getaddrinfo(host, port or PORT, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise ServingError(f"there is no address “{host[:80]}” on this machine; try 127.0.0.1") from None
    family, kind, proto, _, address = found[0]
    for wanted in (port if port is not None else PORT, 0):
        made = socket.socket(family, kind, proto)
        if sys.platform != "win32":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((address[0], wanted, *address[2:]))
            made.listen(128)
        except OSError as trouble:
            made.close()
            if trouble.errno in (errno.EADDRINUSE, errno.EACCES) and port is None and wanted:
                continue
            if trouble.errno == errno.EADDRINUSE:
                raise ServingError(f"port {wanted} is taken; leave out --port to have a free one chosen") from None
            raise ServingError(f"{host}:{wanted} cannot be served: {trouble.strerror or trouble}") from None
        return made
    raise AssertionError("the loop returns or raises")


def reached_at(host: str, family: int) -> str:
    """How an address names the machine: ``host`` itself or, where that means every way in, one that others reach it by.

    No packet is sent for that.
    """
    if host in ("0.0.0.0", "::"):
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                # Addresses kept for documentation; what counts is by which of its own the machine would go there.
                probe.connect(("192.0.2.1" if family == socket.AF_INET else "2001:db8::1", 9))
                host = probe.getsockname()[0]
        except OSError:
            host = "localhost"
    return f"[{host}]" if ":" in host else host


def serve(host: str = HOST, port: int | None = None, passphrase: str | None = None, browser: bool = True) -> None:
    """Serve until Ctrl-C.  Raises ServingError when that is not possible."""
    if not is_loopback(host):
        if passphrase is None:
            raise ServingError(f"others could reach {host}, so a passphrase is needed: give --passphrase-file")
        if len(passphrase) < SHORTEST_PASSPHRASE:
            raise ServingError(f"the passphrase has fewer than {SHORTEST_PASSPHRASE} characters; choose a longer one")
    listening = listen(host, port)
    at = listening.getsockname()[1]
    url = f"http://{reached_at(host, listening.family)}:{at}"
    print(f"Nightfold is at {url} (Ctrl-C ends it)", flush=True)
    if browser:
        threading.Thread(target=_open, args=(url,), daemon=True).start()
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
    config = configured(Guard(create_app(), host=host, port=at, passphrase=passphrase))
    config.callback_notify, config.timeout_notify = Settled(), 1
    try:
        with listening:
            _Server(config).run(sockets=[listening])
    finally:
        close_books()


def configured(app: Guard) -> uvicorn.Config:
    """How the server runs: nothing but HTTP, no log of requests, and a quick end."""
    return uvicorn.Config(
        app,
        http="h11",
        ws="none",
        lifespan="off",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=3,
    )


def _open(url: str) -> None:
    """Open the browser; where there is none, the address that was printed serves."""
    import webbrowser

    webbrowser.open(url)
