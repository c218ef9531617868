"""Backups of a logbook: made and verified, and thinned out with time.

A backup of a SQLite file is another one, copied as it stood at one moment; of any other database it is an export.  Each
is read back before it counts as one.
"""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import func, select

from nightfold.practice.database import Database, is_sqlite_file, without_hint
from nightfold.practice.errors import ImportingError, LogbookError, UnsoundError
from nightfold.practice.files import unfinished
from nightfold.practice.migration import revision_of, steps_from, upgrade
from nightfold.practice.places import data_folder
from nightfold.practice.records import KINDS, Attempt, Fact, Review
from nightfold.practice.schema import TABLES
from nightfold.practice.transfer import Row, read_rows, write_lines
from nightfold.practice.writing import count, find_all

#: Of the daily backups, the newest of each of the last so many days, weeks and months that have any are kept.
DAYS, WEEKS, MONTHS = 7, 4, 6
#: A daily backup is due when the newest backup is older.
A_DAY = timedelta(days=1)
#: A file of so many bytes, or an export of so many attempts or answers, is made in a moment.
SMALL_BYTES, SMALL_COUNT = 16 << 20, 2000
#: What backups are made for; all but the daily ones stay until somebody removes them.
DAILY, ASKED, BEFORE_UPGRADE, BEFORE_RESTORE = "daily", "asked", "before-upgrade", "before-restore"

_NAME = re.compile(r"-(\d{8}-\d{6}-\d{6})-(daily|asked|before-upgrade|before-restore)\.(?:db|jsonl)")
_STAMP = "%Y%m%d-%H%M%S-%f"


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup: its file, when it was made, and what for."""

    path: Path
    made: datetime
    why: str

    @property
    def size(self) -> int:
        """The length of the file; 0 if it is gone."""
        try:
            return self.path.stat().st_size
        except OSError:
            return 0

    def to_dict(self) -> dict[str, Any]:
        """The backup as plain data."""
        made = self.made.isoformat(timespec="seconds").replace("+00:00", "Z")
        return {"path": str(self.path), "made": made, "why": self.why, "bytes": self.size}


def backup_folder(database: Database) -> Path:
    """Where backups are: in ``backups`` beside a SQLite file, in that of the user's data folder for other databases."""
    return (data_folder() if database.path is None else database.path.parent) / "backups"


def backups(database: Database) -> list[Backup]:
    """All backups of a logbook, the newest first."""
    begins, found = stem(database), []
    with suppress(OSError):
        for path in backup_folder(database).iterdir():
            if path.name.startswith(begins) and (name := _NAME.fullmatch(path.name[len(begins) :])):
                with suppress(ValueError):
                    made = datetime.strptime(name[1], _STAMP).replace(tzinfo=UTC)
                    found.append(Backup(path, made, name[2]))
    return sorted(found, key=lambda backup: backup.made, reverse=True)


def replaced(database: Database) -> Backup | None:
    """The logbook that a backup was put in the place of last, as it was; None if there is none."""
    return next((backup for backup in backups(database) if backup.why == BEFORE_RESTORE), None)


def stem(database: Database) -> str:
    """What the names of a logbook's backups, and of what was removed from it, begin with."""
    if database.path is not None:
        return database.path.stem
    url = database.url
    return re.sub(r"[^\w.-]", "_", "-".join(str(part) for part in (url.host, url.port, url.database) if part))


def make_backup(database: Database, why: str, now: datetime | None = None) -> Backup:
    """Back a logbook up, and read the backup back.

    Raises StoringError where it cannot be written, UnsoundError where what was written is not what is in the logbook.
    """
    now = now or datetime.now(UTC)
    kind = "jsonl" if database.path is None else "db"
    path = backup_folder(database) / f"{stem(database)}-{now.strftime(_STAMP)}-{why}.{kind}"
    with unfinished(path) as part:
        if database.path is not None:
            with database.told():
                _copy(database.path, part)
        else:
            with part.open("wb") as file, database.reading() as connection:
                digesting = _Digesting(file)
                counts = write_lines(connection, digesting)  # type: ignore[arg-type]  # all it needs is write
            _read_back(part, digesting.sha.digest(), counts)
    return Backup(path, now, why)


class _Digesting:
    """Writes on, and keeps the checksum of what was written."""

    def __init__(self, file: Any) -> None:
        self._file = file
        self.sha = hashlib.sha256()

    def write(self, data: bytes) -> int:
        """Write on."""
        self.sha.update(data)
        return int(self._file.write(data))


def _copy(source: Path, target: Path) -> None:
    """Copy a SQLite file as it stands at one moment, and compare."""
    with closing(sqlite3.connect(source, isolation_level=None, timeout=60)) as here:
        here.execute("BEGIN")
        counts = _counts(here)
        with closing(sqlite3.connect(target)) as there:
            here.backup(there)
            there.execute("PRAGMA journal_mode=DELETE")  # one file, which nothing lies beside
        here.execute("ROLLBACK")
    with closing(sqlite3.connect(target)) as there:
        problems = integrity(there)
        if problems or _counts(there) != counts:
            said = problems[0] if problems else "the copy does not hold what the logbook does"
            raise UnsoundError(f"the logbook {source} is damaged, so no backup was made of it: {said}")


def _counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table of a SQLite file has."""
    names = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}


def integrity(connection: sqlite3.Connection) -> list[str]:
    """What is wrong with a SQLite file: its pages, its indexes, keys that refer to nothing."""
    try:
        found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)") if row[0] != "ok"]
        for table, row, other, _ in connection.execute("PRAGMA foreign_key_check"):
            found.append(f"row {row} of {table} refers to a row of {other} that is not there")
            if len(found) >= 20:
                break
    except sqlite3.DatabaseError as trouble:
        return [str(trouble)]
    return found


def page_damage(connection: sqlite3.Connection) -> str:
    """What is wrong with the pages of a SQLite file, in a look much shorter than ``integrity``; empty if nothing is."""
    try:
        found = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.OperationalError:
        return ""  # busy, or not to be read: told of when it is used
    except sqlite3.DatabaseError as trouble:
        return str(trouble)
    return "" if found == "ok" else " ".join(found.split())


def _read_back(path: Path, digest: bytes, counts: dict[str, int]) -> None:
    with path.open("rb") as file:
        same = hashlib.file_digest(file, "sha256").digest() == digest
    found = dict.fromkeys(counts, 0)
    for row in read_rows(path):
        if row.record is None:
            raise UnsoundError(f"the backup {path} cannot be read back: {row.place}: {row.problem}")
        found[row.record.noun] += 1
    if not same or found != counts:
        raise UnsoundError(f"the backup {path} cannot be read back: it does not hold what the logbook does")


def check_backup(path: Path) -> dict[str, int]:
    """How many records a backup or an export holds, after reading all of it.

    Raises UnsoundError where it is damaged, NewerError where a newer version made it, LogbookError for another file.
    """
    if is_database(path):
        return _check_file(path)[1]
    found = dict.fromkeys((kind.noun for kind in KINDS), 0)
    try:
        for row in read_rows(path):
            if row.record is None:
                raise UnsoundError(f"“{path}” is damaged: {row.place}: {row.problem}")
            found[row.record.noun] += 1
    except ImportingError as trouble:
        raise UnsoundError(f"“{path}” is damaged: {trouble}") from None
    return found


def rows_of(path: Path) -> Iterator[Row]:
    """The records of a backup of either form, or of an export.

    Raises LogbookError where it is damaged, too new, or something else.
    """
    if not is_database(path):
        yield from read_rows(path)
        return
    revision, _ = _check_file(path)
    with TemporaryDirectory() as folder:
        if steps_from(revision):
            older, path = path, Path(folder) / "upgraded.db"
            _copy(older, path)
            with closing_database(path) as database, database.writing() as connection:
                upgrade(connection)
        with closing_database(path, writes=False) as database, database.reading() as connection:
            for kind in KINDS:
                for record in find_all(connection, kind):
                    yield Row(record.id, record)


def is_database(path: Path) -> bool:
    """Whether a file is a SQLite database, by how it begins.  Raises LogbookError if it cannot be read."""
    try:
        return path.is_file() and path.stat().st_size > 0 and is_sqlite_file(path)
    except OSError as trouble:
        raise LogbookError(f"“{path}” cannot be read: {trouble.strerror or trouble}") from None


def _check_file(path: Path) -> tuple[str, dict[str, int]]:
    """The revision of a SQLite file and how many records it holds, if it is whole, a logbook, and not too new."""
    try:
        return _read_file(path)
    except UnsoundError as trouble:
        said = without_hint(trouble).removeprefix(f"the logbook {path} is damaged: ")
        raise UnsoundError(said if said.startswith("“") else f"“{path}” is damaged: {said}") from None


def _read_file(path: Path) -> tuple[str, dict[str, int]]:
    with closing_database(path, writes=False) as database, database.reading() as connection:
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        if problems := integrity(raw):
            raise UnsoundError(f"“{path}” is damaged: {problems[0]}")
        revision = revision_of(connection)
        if revision is None:
            raise LogbookError(f"“{path}” is no backup of a logbook: it is an empty database")
        steps_from(revision)
        counts = _counts(raw)
    return revision, {kind.noun: counts.get(kind.noun, 0) for kind in KINDS}


def newest_good(database: Database) -> tuple[Backup, dict[str, int]] | None:
    """The newest backup that is sound, and how many records it holds."""
    for backup in backups(database):
        try:
            return backup, check_backup(backup.path)
        except LogbookError:
            continue
    return None


def back_up_if_due(database: Database, now: datetime | None = None) -> Backup | None:
    """Make the daily backup if the newest backup is older than a day, and there is anything to back up.

    Raises what ``make_backup`` does.
    """
    now = now or datetime.now(UTC)
    newest = next(iter(backups(database)), None)
    # A backup from the future, made under a wrong clock, must not keep others from being made.
    if newest is not None and abs(now - newest.made) < A_DAY:
        return None
    with database.reading() as connection:
        if not any(number for noun, number in count(connection).items() if noun != Fact.noun):
            return None
    made = make_backup(database, DAILY, now)
    for old in thinned(backups(database)):
        with suppress(OSError):
            old.path.unlink()
    return made


def is_small(database: Database) -> bool:
    """Whether a backup takes so little time that one may wait for it."""
    if database.path is not None:
        return not database.path.exists() or database.path.stat().st_size <= SMALL_BYTES
    with database.reading() as connection:
        for kind in (Attempt, Review):
            some = select(TABLES[kind].c.id).limit(SMALL_COUNT + 1).subquery()
            if connection.execute(select(func.count()).select_from(some)).scalar_one() > SMALL_COUNT:
                return False
    return True


def thinned(found: Sequence[Backup]) -> list[Backup]:
    """Those of the backups, the newest first, that need not be kept any longer."""
    daily = [backup for backup in found if backup.why == DAILY]
    kept: set[Path] = set()
    spans: tuple[tuple[int, Callable[[Backup], object]], ...] = (
        (DAYS, lambda backup: backup.made.date()),
        (WEEKS, lambda backup: backup.made.isocalendar()[:2]),
        (MONTHS, lambda backup: (backup.made.year, backup.made.month)),
    )
    for most, span in spans:
        newest: dict[object, Path] = {}
        for backup in daily:
            newest.setdefault(span(backup), backup.path)
        kept.update(list(newest.values())[:most])
    return [backup for backup in daily if backup.path not in kept]


@contextmanager
def closing_database(path: Path, *, writes: bool = True) -> Iterator[Database]:
    """A SQLite file as a database, let go of at the end."""
    database = Database(path, writes=writes)
    try:
        yield database
    finally:
        database.close()
