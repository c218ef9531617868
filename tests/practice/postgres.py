"""A real PostgreSQL server of the tests' own, where its programs are installed: in a folder, reached by a socket."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any


def programs() -> Path | None:
    """The folder of PostgreSQL's programs; None where it is not installed."""
    if (found := shutil.which("initdb")) is not None:
        return Path(found).resolve().parent
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda folder: float(folder.parent.name))
    return folders[-1] if folders else None


def _user() -> dict[str, Any]:
    """As whom to run the server, which refuses to be run by the system's administrator."""
    if os.geteuid() != 0:
        return {}
    for name in ("postgres", "nobody"):
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}
    raise RuntimeError("there is no user to run a server as")


@contextmanager
def server() -> Iterator[str]:
    """The URL of a running server, but for the database's name."""
    found = programs()
    assert found is not None
    user = _user()
    folder = Path(tempfile.mkdtemp(prefix="nf-pg-", dir="/tmp"))  # the path of a socket must be short
    try:
        if user:
            os.chown(folder, user["user"], user["group"])
        data = folder / "data"
        quietly: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.STDOUT, "cwd": folder, **user}
        options = ["--auth=trust", "--username=keeper", "--encoding=UTF8", "--locale=C", "--no-sync"]
        subprocess.run([found / "initdb", *options, "-D", data], check=True, **quietly)
        # The tests end clients, never the server, so nothing need reach its disk.
        settings = ["-c", "fsync=off", "-c", "max_connections=60", "-c", "listen_addresses=", "-k", str(folder)]
        running = subprocess.Popen([found / "postgres", "-D", data, *settings], **quietly)
        try:
            _wait(folder, running)
            yield f"postgresql://keeper@/{{name}}?host={folder}"
        finally:
            running.send_signal(signal.SIGINT)  # now, whoever is still there
            running.wait()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _wait(folder: Path, running: subprocess.Popen[bytes]) -> None:
    import time

    import psycopg

    for _ in range(600):
        try:
            psycopg.connect(f"postgresql://keeper@/postgres?host={folder}").close()
            return
        except psycopg.OperationalError:
            if running.poll() is not None:
                break
            time.sleep(0.05)
    raise RuntimeError("the PostgreSQL server of the tests does not start")


def make_database(url: str, name: str) -> str:
    """Make an empty database and return its URL."""
    import psycopg

    with psycopg.connect(url.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    return url.format(name=name)


def drop_database(url: str, name: str) -> None:
    """Remove a database, whoever may still be there."""
    import psycopg

    with psycopg.connect(url.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
