"""Opening a logbook for use: it is made if there is none, upgraded if old, set aside if damaged; and restoring it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from nightfold.practice.backup import (
    BEFORE_RESTORE,
    BEFORE_UPGRADE,
    back_up_if_due,
    backups,
    check_backup,
    closing_database,
    integrity,
    is_database,
    is_small,
    make_backup,
    newest_good,
    page_damage,
    rows_of,
)
from nightfold.practice.database import Database, is_sqlite_file, use_write_ahead_log, without_hint
from nightfold.practice.errors import LogbookError, NewerError, StoringError, UnsoundError
from nightfold.practice.files import set_aside, unfinished
from nightfold.practice.migration import revision_of, steps_from, upgrade
from nightfold.practice.places import data_folder
from nightfold.practice.records import Fact, counted
from nightfold.practice.transfer import Progress, put_back
from nightfold.practice.writing import Writer

#: What lies beside a SQLite file while it is used, and belongs to it.
_BESIDE = ("-wal", "-shm", "-journal")
#: What the name of a damaged file that was set aside goes on with.
DAMAGED = "damaged"


def prepare(database: Database, *, make: bool = True, fresh: bool = False, back_up: bool = True) -> list[str]:
    """Make a logbook ready for writing; returns what could not be done about its backups, in sentences.

    Raises UnsoundError for a damaged file, which is set aside then; for one that is not there though there are backups
    of it, unless a ``fresh`` one is wanted; NewerError and StoringError; LogbookError for one that is not to be made.
    """
    path = database.path
    if path is not None:
        _find(database, path, make, fresh)
    try:
        with database.reading() as connection:
            revision = revision_of(connection)
            raw = connection.connection.driver_connection
            # Nothing is written to a damaged file; a large one takes long to look through, and is each day.
            if isinstance(raw, sqlite3.Connection) and is_small(database) and (said := page_damage(raw)):
                raise UnsoundError(f"the logbook {path} is damaged: {said}")
        steps = steps_from(revision)
        if path is not None:
            with database.told():
                use_write_ahead_log(path)
        if steps:
            if revision is not None:
                make_backup(database, BEFORE_UPGRADE)
            _upgrade(database)
    except UnsoundError as trouble:
        raise set_damaged_aside(database, trouble) from None
    if not back_up or not is_small(database):
        return []  # that of a large one is made while it is open
    try:
        back_up_if_due(database)
    except UnsoundError as trouble:
        raise set_damaged_aside(database, trouble) from None
    except (StoringError, LogbookError) as trouble:
        return [f"there is no new backup: {trouble}"]
    return []


def _upgrade(database: Database) -> None:
    from nightfold import __version__

    with database.writing() as connection:
        # Another process may have been first.
        if steps_from(before := revision_of(connection)):
            upgrade(connection)
            writer = Writer(connection)
            writer.put([Fact(name="made-by" if before is None else "upgraded-by", value=__version__)])
            writer.finish()


def _find(database: Database, path: Path, make: bool, fresh: bool) -> None:
    """Have a file at the path that looks like a whole logbook, or none."""
    try:
        if make:
            path.parent.mkdir(parents=True, exist_ok=True)
        size = path.stat().st_size if path.exists() else 0
        if size and not fresh:
            _look_over(path, size)
            return
    except UnsoundError as trouble:
        raise set_damaged_aside(database, trouble) from None
    except OSError as trouble:
        raise StoringError(f"the logbook {path} cannot be made or opened: {trouble.strerror or trouble}") from None
    if fresh:
        _clear_away(path)
        return
    refuse_lost(database, path)
    if not make:
        raise LogbookError("there is no logbook yet; it is made when something is first kept")


def refuse_lost(database: Database, path: Path) -> None:
    """Raise UnsoundError where nothing is at the place of a logbook that was set aside or that has backups."""
    was_there = _lost(path) or newest_good(database)
    # Looked at last: another process may just have made it.
    if was_there and not (path.exists() and path.stat().st_size):
        how = "is empty" if path.exists() else "is not there any more"
        raise UnsoundError(f"the logbook {path} {how}; {_offer(database)}")


def _look_over(path: Path, size: int) -> None:
    """Raise UnsoundError for a file that is plainly no whole database; a look at its pages comes with the backup."""
    if not is_sqlite_file(path):
        raise UnsoundError(f"the logbook {path} is damaged: it does not begin as a database does")
    log = Path(f"{path}-wal")
    if log.exists() and log.stat().st_size:
        return  # the log may hold what is missing
    try:
        with closing(sqlite3.connect(path, timeout=60)) as connection:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            length = connection.execute("PRAGMA page_size").fetchone()[0]
            connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except sqlite3.OperationalError:
        return  # busy, or not to be opened: told of when it is used
    except sqlite3.DatabaseError as trouble:
        raise UnsoundError(f"the logbook {path} is damaged: {trouble}") from None
    if pages * length > size:
        raise UnsoundError(f"the logbook {path} is damaged: {pages * length - size:,} bytes at its end are missing")


def _lost(path: Path) -> bool:
    """Whether a damaged logbook was set aside from here."""
    return any(path.parent.glob(f"{path.name}.{DAMAGED}-*"))


def set_damaged_aside(database: Database, trouble: UnsoundError) -> UnsoundError:
    """Set a damaged file aside, and say what can be done."""
    path = database.path
    if path is None:
        return trouble
    if path != data_folder() / path.name and not backups(database):
        # Perhaps it never was a logbook, and somebody's own file was named by mistake: leave it alone.
        return UnsoundError(f"{without_hint(trouble)}; or it is no logbook: then name another file")
    database.close()
    aside = _clear_away(path)
    where = f"; it was set aside as {aside.name}" if aside else ""
    return UnsoundError(f"{without_hint(trouble)}{where}; {_offer(database)}")


def _clear_away(path: Path) -> Path | None:
    """Set aside whatever is at a logbook's place, with what belongs to it; None if nothing is."""
    aside = set_aside(path, DAMAGED) if path.exists() else None
    for end in _BESIDE:
        beside = Path(f"{path}{end}")
        if not beside.exists():
            continue
        if aside is None:
            set_aside(beside, DAMAGED)
        else:
            with suppress(OSError):
                os.replace(beside, f"{aside}{end}")  # noqa: PTH105 - the name is new, so nothing is replaced
    return aside


def _offer(database: Database) -> str:
    """What can be brought back."""
    if (found := newest_good(database)) is None:
        return "there is no backup of it; nightfold logbook restore --empty begins a new one"
    backup, counts = found
    made = backup.made.astimezone().strftime("%Y-%m-%d %H:%M")
    return (
        f"nightfold logbook restore brings back the newest good backup, of {made} with {counted(counts)}, "
        "and nightfold logbook restore --empty begins a new one"
    )


def restore(
    place: str | Path, source: Path | None = None, progress: Progress | None = None, *, undo: bool = False
) -> tuple[Path, dict[str, int]]:
    """Put a backup or an export in the place of a logbook; returns its path and how many records there are then.

    It is the newest good backup if no file is named.  What was there is backed up before, or set aside where it is
    damaged.  To ``undo`` a restoring, a logbook that a newer program wrote is brought back too, though it cannot be
    counted.  Raises LogbookError where there is no such backup or it is damaged, StoringError where it cannot be kept.
    """
    database = Database(place)
    try:
        if source is None:
            if (found := newest_good(database)) is None:
                raise LogbookError(f"there is no good backup of the logbook {database.shown}; name a file")
            source = found[0].path
        try:
            counts = check_backup(source)
        except NewerError:
            if not undo or database.path is None or not is_database(source):
                raise
            _restore_file(database, database.path, source, progress)
            return source, {}
        if database.path is None:
            prepare(database, back_up=False)
            make_backup(database, BEFORE_RESTORE)
            put_back(database, rows_of(source), progress)
        else:
            _restore_file(database, database.path, source, progress)
            prepare(database, back_up=False)
    finally:
        database.close()
    return source, counts


def begin_empty(place: str | Path) -> str:
    """Begin an empty logbook where one was lost or damaged; returns where it is.

    Raises LogbookError where there is one that is sound, since nothing must be lost.
    """
    database = Database(place)
    try:
        path = database.path
        if path is None:
            raise LogbookError(f"{database.shown} is on a server; make an empty database there")
        if _is_sound(database, path):
            raise LogbookError(
                f"the logbook {path} is sound; to begin an empty one, move it and its backups away first"
            )
        database.close()
        prepare(database, fresh=True, back_up=False)
        return database.shown
    finally:
        database.close()


def _restore_file(database: Database, path: Path, source: Path, progress: Progress | None) -> None:
    if _is_sound(database, path):
        make_backup(database, BEFORE_RESTORE)
        if not is_database(source):
            prepare(database, back_up=False)
            put_back(database, rows_of(source), progress)
            return
        # Through SQLite, so that whoever has the logbook open sees all of the new one, or the old one.
        with (
            database.told(),
            closing(sqlite3.connect(source)) as here,
            closing(sqlite3.connect(path, timeout=60)) as there,
        ):
            here.backup(there)
        return
    database.close()
    _clear_away(path)
    with unfinished(path) as part:
        if is_database(source):
            with closing(sqlite3.connect(source)) as here, closing(sqlite3.connect(part)) as there:
                here.backup(there)
        else:
            with closing_database(part) as new:
                prepare(new, fresh=True, back_up=False)
                put_back(new, rows_of(source), progress)


def _is_sound(database: Database, path: Path) -> bool:
    """Whether there is a logbook that can be read all through."""
    if not path.exists() or not path.stat().st_size:
        return False
    try:
        _look_over(path, path.stat().st_size)
        with database.reading() as connection:
            revision = revision_of(connection)
            raw = connection.connection.driver_connection
            assert isinstance(raw, sqlite3.Connection)
            return revision is not None and not integrity(raw)
    except UnsoundError:
        return False
