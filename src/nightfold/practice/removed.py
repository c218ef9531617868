"""Attempts that were removed, kept for a while as small files so that they can be brought back.

Each is an export of its own, which ``nightfold logbook import`` takes too.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from nightfold.practice.backup import backup_folder, stem
from nightfold.practice.errors import LogbookError
from nightfold.practice.files import write
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Record, Series
from nightfold.practice.transfer import FORMAT, read_rows

#: So many of them are kept.
MOST = 20


def remove(book: Logbook, attempt: Attempt) -> None:
    """Remove an attempt with its cubes and mistakes; what it was is on the disk first.  Raises StoringError."""
    ident = attempt.id
    records: list[Record] = [attempt, *book.cubes(ident), *book.mistakes(solver=None, attempts=[ident], most=None)]
    lines = [{"nightfold": "logbook", "format": FORMAT}, *({"record": one.noun, **one.to_dict()} for one in records)]
    write(_file(book, ident), "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines))
    book.remove(Attempt, ident)
    for old in _files(book)[MOST:]:
        with suppress(OSError):
            old.unlink()


def removed(book: Logbook, solver: str = "", event: str | None = None, demo: bool = False) -> list[Attempt]:
    """A solver's attempts that were removed and can be brought back, of all events if None; the last removed first."""
    found = [record for path in _files(book) for record in _read(path) if isinstance(record, Attempt)]
    return [
        one
        for one in found
        if one.solver == solver
        and event in (None, one.event)
        and one.demo == demo
        and book.get(Attempt, one.id) is None
    ]


def bring_back(book: Logbook, ident: str) -> bool:
    """Bring an attempt back as it was; False where it was not removed, or too long ago."""
    path = _file(book, ident)
    records = _read(path)
    if not records:
        return False
    for at, record in enumerate(records):
        if isinstance(record, Attempt) and record.series is not None and book.get(Series, record.series) is None:
            records[at] = replace(record, series=None, number=None)
    book.put(*records)
    with suppress(OSError):
        path.unlink()
    return True


def _folder(book: Logbook) -> Path:
    """Beside the backups of the logbook."""
    return backup_folder(book.database).with_name("removed")


def _file(book: Logbook, ident: str) -> Path:
    # Ids are made of hexadecimal digits and hyphens; whatever else is asked for leads to no file.
    name = ident if ident.replace("-", "").isalnum() else "none"
    return _folder(book) / f"{stem(book.database)}-attempt-{name[:40]}.jsonl"


def _files(book: Logbook) -> list[Path]:
    """The files, the newest first."""
    dated, begins = [], f"{stem(book.database)}-attempt-"
    with suppress(OSError):
        for path in _folder(book).iterdir():
            if path.name.startswith(begins) and path.suffix == ".jsonl":
                with suppress(OSError):
                    dated.append((path.stat().st_mtime_ns, path))
    return [path for _, path in sorted(dated, reverse=True)]


def _read(path: Path) -> list[Record]:
    """The records of a file; none where it is gone or damaged."""
    with suppress(LogbookError):
        rows = list(read_rows(path))
        if all(row.record is not None for row in rows):
            return [row.record for row in rows if row.record is not None]
    return []
