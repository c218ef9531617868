"""The logbook that the server keeps open."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from nightfold.practice.errors import StoringError
from nightfold.practice.places import logbook_place

if TYPE_CHECKING:
    from nightfold.practice.logbook import Logbook

_lock = threading.Lock()
_open: dict[str, Logbook] = {}


def book() -> Logbook:
    """The logbook where settings say it is, opened when it is first asked for.  Raises LogbookError, StoringError.

    Where it cannot be written to, as on a full disk, it can be read, and is tried again whenever it is asked for.
    """
    from nightfold.practice.logbook import Logbook

    place = logbook_place()[0]
    with _lock:
        if place not in _open or _open[place].database.refused is not None:
            _close()
            try:
                _open[place] = Logbook.open(place)
            except StoringError as trouble:
                seen = Logbook.look(place)
                if seen is None:
                    raise
                seen.database.refused = trouble
                _open[place] = seen
        return _open[place]


def close_books() -> None:
    """Let go of every logbook that is open."""
    with _lock:
        _close()


def _close() -> None:
    while _open:
        _open.popitem()[1].close()
