"""Writing files so that they survive a kill at any moment.

A file is written beside its place under another name, brought to the disk, and then put in its place in one step; so
there is always the old one or the new one, whole.  What cannot be read is set aside under another name and never
written over; what is removed is set aside too.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from nightfold.practice.errors import StoringError

#: Unfinished files older than this, in seconds, are left from a process that was killed.
_STALE = 3600.0

_lock = threading.Lock()


def write(path: Path, text: str) -> None:
    """Put a text file in its place, whole or not at all.  Raises StoringError."""
    with _lock, unfinished(path) as part:
        part.write_bytes(text.encode("utf-8"))


@contextmanager
def unfinished(path: Path) -> Iterator[Path]:
    """Where to make the file that shall be at ``path``: it is put there once the block has ended well.

    Folders are made as needed.  Raises StoringError where the system refuses any of this, in the block too.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}-{time.monotonic_ns()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            yield part
            with part.open("rb+") as file:
                os.fsync(file.fileno())
            os.replace(part, path)  # noqa: PTH105 - the one step that may not be interrupted
        except BaseException:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            raise
        folder_to_disk(path.parent)
    except OSError as trouble:
        raise StoringError(f"{path} cannot be written: {trouble.strerror or trouble}") from None
    _sweep(path.parent)


def set_aside(path: Path, word: str) -> Path:
    """Give a file another name, ``word`` and a number behind it, and return that.  Raises StoringError."""
    with _lock:
        for number in range(1, 1_000_000):
            aside = path.with_name(f"{path.name}.{word}-{number}")
            try:
                # A link, unlike a renaming, never takes the place of a file that is there.
                os.link(path, aside)
                path.unlink()
                folder_to_disk(path.parent)
            except FileExistsError:
                continue
            except OSError as trouble:
                if aside.exists() or not path.exists():
                    raise StoringError(f"{path} cannot be set aside: {trouble.strerror or trouble}") from None
                try:
                    path.rename(aside)  # where the disk knows no links
                except OSError:
                    raise StoringError(f"{path} cannot be set aside: {trouble.strerror or trouble}") from None
            return aside
    raise StoringError(f"{path} cannot be set aside: there are a million such files already")


def folder_to_disk(folder: Path) -> None:
    """Bring the folder's list of names to the disk, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sweep(folder: Path) -> None:
    """Remove what writers that were killed have left unfinished."""
    for left in folder.glob(".*.part"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > _STALE:
                left.unlink()
