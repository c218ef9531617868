"""Some pages take a while: who waits for them can be told how far they have come, and can stop their making."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

#: Takes a line about what is being made; what it raises ends the making.
Watcher = Callable[[str], object]
_watcher: ContextVar[Watcher | None] = ContextVar("watcher", default=None)


@contextmanager
def watched(watcher: Watcher) -> Iterator[None]:
    """While this lasts, in this thread, ``watcher`` is told of what is being made."""
    before = _watcher.set(watcher)
    try:
        yield
    finally:
        _watcher.reset(before)


def tell(line: str) -> None:
    """Tell whoever waits what is being made now.  Raises whatever ends the making."""
    if (watcher := _watcher.get()) is not None:
        watcher(line)


def looked_at(tried: int, fitted: int) -> bool:
    """Tell of cubes that a dealer looked at, as its ``progress``.  Raises whatever ends the making."""
    tell(f"{tried:,} cubes looked at, {fitted:,} fit")
    return True
