"""The daily backups of a logbook that is open: beside whatever is done with it, so that nobody waits for them."""

from __future__ import annotations

import threading
import time

from nightfold.practice.backup import back_up_if_due, is_small
from nightfold.practice.database import Database
from nightfold.practice.errors import LogbookError, StoringError

#: So often, in seconds, one looks whether a backup is due.
LOOK_EVERY = 3600.0


class Upkeep:
    """Makes the daily backups of a database while it is written to, and of a large one when it is opened, too."""

    def __init__(self, database: Database, warnings: list[str]) -> None:
        self._database, self._warnings = database, warnings
        self._lock = threading.Lock()
        self._looked = time.monotonic()
        self._work: threading.Thread | None = None
        database.after_writing = self.look
        if not is_small(database):
            self._looked -= LOOK_EVERY
            self.look()

    def look(self) -> None:
        """Make the daily backup in another thread, if it is due and one has not looked lately."""
        with self._lock:
            if time.monotonic() - self._looked < LOOK_EVERY or (self._work is not None and self._work.is_alive()):
                return
            self._looked = time.monotonic()
            self._work = threading.Thread(target=self._back_up, name="backup", daemon=True)
            self._work.start()

    def _back_up(self) -> None:
        try:
            back_up_if_due(self._database)
        except (LogbookError, StoringError) as trouble:
            self._warnings.append(f"there is no new backup: {trouble}")

    def finish(self) -> None:
        """Wait for a backup that is being made."""
        with self._lock:
            work = self._work
        if work is not None:
            work.join()
