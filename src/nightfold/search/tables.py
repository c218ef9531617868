"""Tables that take a while to build, kept in the user's cache folder and checked whenever they are loaded.

A file is 64 bytes of head and then the tables as the native core made them.  The head tells the format, what the
tables were made from, how long they are and their checksum; whatever does not agree is built anew.  A file appears
under its name only when it is whole, so processes that start together do not disturb one another.
"""

from __future__ import annotations

import os
import struct
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from nightfold.search.native import core

if TYPE_CHECKING:
    from typing_extensions import Buffer

#: To be raised whenever the native core lays out tables otherwise.
FORMAT = 1
#: The environment variable that names another folder.
FOLDER_VARIABLE = "NIGHTFOLD_CACHE"

_MAGIC = b"Nightfold tables"
#: Magic, format, nothing, length, what the tables were made from, checksum, nothing.
_HEAD = struct.Struct("<16sIIQ16sQQ")
#: Unfinished files older than this, in seconds, are left from a process that was killed.
_STALE = 24 * 3600

_told: set[Path] = set()


def cache_folder() -> Path:
    """Where tables are kept: the folder that NIGHTFOLD_CACHE names, else the user's cache folder."""
    if named := os.environ.get(FOLDER_VARIABLE):
        return Path(named).expanduser()
    from platformdirs import user_cache_path

    return user_cache_path("nightfold", appauthor=False)


def load_tables(name: str, made_from: bytes, build: Callable[[], bytes]) -> Buffer:
    """The tables called ``name``: from the cache folder, or built and put there.

    ``made_from`` is all that the tables depend on; others are not taken.  Where nothing can be written the tables
    serve from memory, and a sentence on standard error says so once.
    """
    path = cache_folder() / f"{name}.tables"
    key = _key(name, made_from)
    found = _read(path, key)
    if found is not None:
        return found
    tables = build()
    head = _HEAD.pack(_MAGIC, FORMAT, 0, len(tables), key, core.checksum(tables), 0)
    try:
        _write(path, head, tables)
    except OSError as trouble:
        _tell_once(path.parent, trouble.strerror or str(trouble))
    return tables


def _key(name: str, made_from: bytes) -> bytes:
    from hashlib import blake2b

    return blake2b(name.encode() + b"\0" + made_from, digest_size=16).digest()


def _read(path: Path, key: bytes) -> Buffer | None:
    """The tables in a file, mapped into memory; None unless they are whole and the right ones."""
    import mmap

    try:
        with path.open("rb") as file:
            whole = memoryview(mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ))
    except (OSError, ValueError):  # not there, not readable, or empty
        return None
    if len(whole) < _HEAD.size:
        return None
    tables = whole[_HEAD.size :]
    expected = _HEAD.pack(_MAGIC, FORMAT, 0, len(tables), key, core.checksum(tables), 0)
    return tables if whole[: _HEAD.size] == expected else None


def _write(path: Path, head: bytes, tables: bytes) -> None:
    """Put a file in its place whole or not at all.  Raises OSError."""
    folder = path.parent
    folder.mkdir(parents=True, exist_ok=True)
    unfinished = folder / f".{path.name}.{os.getpid()}-{time.monotonic_ns()}.part"
    try:
        with unfinished.open("xb") as file:
            file.write(head)
            file.write(tables)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except BaseException:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise
    for left in folder.glob(f".{path.name}.*.part"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > _STALE:
                left.unlink()


def _tell_once(folder: Path, why: str) -> None:
    if folder in _told:
        return
    _told.add(folder)
    import logging

    logging.getLogger("nightfold").warning(
        "tables cannot be kept in %s (%s), so they are built again each time; name a folder that can be written in %s",
        folder,
        why,
        FOLDER_VARIABLE,
    )
