"""The database under a logbook: how it is reached, what a transaction is, and its errors in plain sentences.

SQLite keeps a write-ahead log and brings every transaction to the disk before it is acknowledged; PostgreSQL does so by
itself.  On both, one writer is at work at a time.
"""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from nightfold.practice.errors import BusyError, LogbookError, StoringError, UnsoundError

#: How long a writer waits for another one, in milliseconds.
PATIENCE_MS = 60_000
#: The number by which writers of one PostgreSQL database know that they write to one logbook.
_ADVISORY = 0x4E464C42
#: What a person can do about a damaged logbook.
HINT = "; nightfold logbook restore sets it aside and brings back the newest good backup"
#: The same where there is no backup.
EMPTY_HINT = "; there is no backup of it; nightfold logbook restore --empty sets it aside and begins a new one"
#: With less room than this, in bytes, a disk is full: SQLite needs as much beside the file, even to read.
_LEAST_ROOM = 64 << 10
#: Python packages whose modules are called otherwise.
_PACKAGES = {"MySQLdb": "mysqlclient", "psycopg": "nightfold[postgres]", "cx_Oracle": "cx-oracle"}
_SQLITE_HEAD = b"SQLite format 3\x00"
#: Primary result codes of SQLite.  Source: sqlite.org/rescode.html.
_BUSY, _LOCKED, _READONLY, _IOERR, _CORRUPT, _FULL, _CANTOPEN, _NOTADB = 5, 6, 8, 10, 11, 13, 14, 26


class Database:
    """A database by its URL, or a SQLite file by its path.  Raises LogbookError for what is neither."""

    def __init__(self, place: str | Path, *, writes: bool = True) -> None:
        self.url = read_url(str(place))
        self.writes = writes
        #: Why it could be opened for reading only, where it was to be written to.
        self.refused: StoringError | None = None
        #: Called after each transaction that was kept.
        self.after_writing: Callable[[], object] | None = None
        #: The file, where the database is one.
        self.path = Path(self.url.database or "") if self.url.get_backend_name() == "sqlite" else None
        self.engine = self._sqlite(self.path) if self.path is not None else self._server()

    @property
    def shown(self) -> str:
        """Where it is, without a password."""
        return str(self.path) if self.path is not None else self.url.render_as_string(hide_password=True)

    @property
    def is_postgresql(self) -> bool:
        """Whether it is a PostgreSQL database."""
        return self.url.get_backend_name() == "postgresql"

    def _sqlite(self, path: Path) -> Engine:
        def connect() -> sqlite3.Connection:
            address, alone = (str(path), False) if self.writes else _read_only(path)
            connection = sqlite3.connect(
                address,
                uri=not self.writes,
                timeout=PATIENCE_MS / 1000,
                isolation_level=None,  # transactions begin below, not in the driver
                check_same_thread=False,
            )
            if alone:
                # The index of the log is then kept in memory, where no file can be made for it.
                connection.execute("PRAGMA locking_mode=EXCLUSIVE")
                connection.execute("PRAGMA query_only=ON")
            connection.execute("PRAGMA foreign_keys=ON")
            connection.execute("PRAGMA synchronous=FULL")
            connection.execute("PRAGMA fullfsync=ON")  # where the system has one
            connection.execute("PRAGMA cache_size=-32768")
            connection.execute("PRAGMA journal_size_limit=67108864")
            return connection

        engine = create_engine("sqlite://", creator=connect, poolclass=_pool())

        @event.listens_for(engine, "begin")
        def begin(connection: Connection) -> None:
            writes = connection.get_execution_options().get("nightfold_writes")
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

        return engine

    def _server(self) -> Engine:
        options: dict[str, Any] = {"pool_pre_ping": True}
        if self.is_postgresql:
            options["connect_args"] = {"options": "-c synchronous_commit=on", "connect_timeout": 10}
            options["isolation_level"] = "REPEATABLE READ"
        else:
            options["isolation_level"] = "SERIALIZABLE"
        try:
            return create_engine(self.url, **options)
        except ModuleNotFoundError as trouble:
            raise LogbookError(f"{self.shown} needs {_package(trouble)}") from None
        except (SQLAlchemyError, TypeError) as trouble:
            raise LogbookError(f"{self.shown} is no URL of a database: {_plainly(trouble)}") from None

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees the database as it is at its beginning.  Raises LogbookError."""
        with self.told(), self.engine.connect() as connection, connection.begin() as transaction:
            yield connection
            transaction.rollback()

    @contextmanager
    def writing(self, *, keep: bool = True) -> Iterator[Connection]:
        """A transaction that is durable once the block has ended well, and never was otherwise.

        If it is not to be kept, it only tries whether all would go well.

        Raises StoringError where it cannot be kept, and LogbookError.
        """
        if self.refused is not None:
            raise self.refused
        if not self.writes:
            raise LogbookError(f"the logbook {self.shown} was opened for reading only")
        with self.told(), self.engine.connect() as plain:
            connection = plain.execution_options(nightfold_writes=True)
            if self.is_postgresql:
                # The lock comes before the transaction, which must see all that was written until then.
                connection = connection.execution_options(isolation_level="READ COMMITTED")
            with connection.begin() as transaction:
                if self.is_postgresql:
                    connection.execute(text(f"SET LOCAL lock_timeout = {PATIENCE_MS}"))
                    connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY})
                yield connection
                if not keep:
                    transaction.rollback()
        if keep and self.after_writing is not None:
            self.after_writing()

    @contextmanager
    def told(self) -> Iterator[None]:
        """Turns the errors of databases into ours."""
        try:
            yield
        except DBAPIError as trouble:
            raise self._error(trouble.orig or trouble) from None
        except (sqlite3.Error, PoolTimeoutError) as trouble:
            raise self._error(trouble) from None

    def _error(self, trouble: BaseException) -> LogbookError | StoringError:
        where = f"the logbook {self.shown}"
        if isinstance(trouble, sqlite3.Error):
            code = getattr(trouble, "sqlite_errorcode", 0) & 0xFF
            if code in (_BUSY, _LOCKED):
                return BusyError(f"{where} is being written to by another process; try again when that has ended")
            if code in (_CORRUPT, _NOTADB):
                return UnsoundError(f"{where} is damaged: {_plainly(trouble)}{self.hint()}")
            why = {
                _READONLY: "cannot be written to: the file or its folder is read-only",
                _FULL: "cannot grow: the disk is full; make room, what was kept before is safe",
                _IOERR: self._why_refused(trouble),
                _CANTOPEN: f"cannot be opened: {self._why_not()}",
            }.get(code)
            if why is not None:
                return StoringError(f"{where} {why}")
            return LogbookError(f"{where} cannot be used: {_plainly(trouble)}")
        state = getattr(trouble, "sqlstate", None) or ""
        if state.startswith("53"):  # insufficient resources: full disk, out of memory, too many connections
            return StoringError(f"{where} cannot be kept: {_plainly(trouble)}")
        if state in ("25006", "42501"):  # read-only transaction, insufficient privilege
            return StoringError(f"{where} cannot be written to: {_plainly(trouble)}")
        if state in ("55P03", "40001", "40P01") or isinstance(trouble, PoolTimeoutError):
            return BusyError(f"{where} is in use by others; try again: {_plainly(trouble)}")
        return LogbookError(f"{where} cannot be reached: {_plainly(trouble)}")

    def hint(self) -> str:
        """What a person can do where it is damaged."""
        from nightfold.practice.backup import backups

        return HINT if backups(self) else EMPTY_HINT

    def _why_refused(self, trouble: BaseException) -> str:
        assert self.path is not None
        if self.path.is_dir():
            return "cannot be opened: there is a folder of that name"
        try:
            full = shutil.disk_usage(self.path.parent).free < _LEAST_ROOM
        except OSError:
            full = False
        if full:
            return "cannot be used: the disk is full; make room, what was kept before is safe"
        return f"cannot be read or written to: the disk refuses ({_plainly(trouble)})"

    def _why_not(self) -> str:
        assert self.path is not None
        if self.path.is_dir():
            return "there is a folder of that name"
        if not self.path.parent.is_dir():
            return "its folder is not there"
        return "the file or its folder is read-only" if self.path.exists() else "its folder is read-only"


def read_url(place: str) -> URL:
    """The URL of a database, or of the SQLite file at a path.  Raises LogbookError."""
    if "://" not in place:
        return URL.create("sqlite", database=str(Path(place).expanduser()))
    try:
        url = make_url(place)
        url.get_dialect()
    except (ArgumentError, NoSuchModuleError, ValueError):
        kind = place.partition("://")[0]
        raise LogbookError(
            f"“{kind[:40]}://…” is no URL of a database that is known; write sqlite:///PATH or "
            "postgresql://USER@HOST/NAME"
        ) from None
    except ModuleNotFoundError as trouble:
        raise LogbookError(f"such a database needs {_package(trouble)}") from None
    if url.get_backend_name() == "postgresql" and url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() == "sqlite" and (not url.database or url.database == ":memory:"):
        raise LogbookError("a logbook in memory alone would keep nothing; write sqlite:///PATH")
    return url


def is_sqlite_file(path: Path) -> bool:
    """Whether a file begins as SQLite's do; an empty one will."""
    with path.open("rb") as file:
        return file.read(len(_SQLITE_HEAD)) in (_SQLITE_HEAD, b"")


def use_write_ahead_log(path: Path) -> None:
    """Have a SQLite file keep a write-ahead log, as it then does for good."""
    give_up = time.monotonic() + PATIENCE_MS / 1000
    while True:
        with closing(sqlite3.connect(path, timeout=PATIENCE_MS / 1000)) as connection:
            try:
                if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                    connection.execute("PRAGMA journal_mode=WAL")
                return
            except sqlite3.OperationalError as trouble:
                # Processes that start together may each be in another's way here, and none is made to wait.
                if trouble.sqlite_errorcode & 0xFF not in (_BUSY, _LOCKED) or time.monotonic() > give_up:
                    raise
        time.sleep(0.01)


def without_hint(sentence: object) -> str:
    """What is wrong, without what to do about it."""
    return str(sentence).removesuffix(HINT).removesuffix(EMPTY_HINT)


def _package(trouble: ModuleNotFoundError) -> str:
    """The Python package that is needed, and how to get it."""
    name = trouble.name or "of its driver"
    package = _PACKAGES.get(name, name)
    return f"the Python package {package}; install it, as with pip install “{package}”"


def _read_only(path: Path) -> tuple[str, bool]:
    """The address by which SQLite opens a file for reading only, and whether it must have the file alone."""
    address = f"file:{_quoted(path.absolute())}?mode=ro"
    log = path.with_name(path.name + "-wal")
    with closing(sqlite3.connect(address, uri=True)) as probe:
        try:
            probe.execute("SELECT count(*) FROM sqlite_schema")
        except sqlite3.OperationalError as trouble:
            if trouble.sqlite_errorcode & 0xFF not in (_CANTOPEN, _READONLY, _IOERR, _FULL) or path.is_dir():
                return address, False
            if not (log.exists() and log.stat().st_size):
                # Nothing may be written beside it, or the disk is full, and nothing lies in a log: it is as it stands.
                return address + "&immutable=1", False
            if trouble.sqlite_errorcode & 0xFF in (_IOERR, _FULL):
                return address.replace("?mode=ro", "?mode=rw"), True
    return address, False


def _quoted(path: Path) -> str:
    from urllib.parse import quote

    return quote(path.as_posix())


def _pool() -> Any:
    from sqlalchemy import QueuePool

    return QueuePool


def _plainly(trouble: BaseException) -> str:
    """What a library says, on one line."""
    return " ".join(str(trouble).split()).rstrip(".")[:300] or type(trouble).__name__
