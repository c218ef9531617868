"""Looking a whole logbook through: its pages, its records, its summaries."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from nightfold.practice.backup import integrity
from nightfold.practice.database import Database
from nightfold.practice.errors import RecordError
from nightfold.practice.migration import revision_of
from nightfold.practice.records import KINDS, Record
from nightfold.practice.schema import TABLES
from nightfold.practice.tallies import Tallying, kept_sums, plain_sums
from nightfold.practice.transfer import Progress
from nightfold.practice.writing import find_all

#: So many problems are told.
_MOST = 20


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found: the revision of the tables, how many records there are, and what is wrong."""

    revision: str
    counts: dict[str, int]
    problems: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems

    def to_dict(self) -> dict[str, Any]:
        """What was found as plain data."""
        return {
            "sound": self.sound,
            "tables": self.revision,
            "records": self.counts,
            "problems": list(self.problems),
        }


def check(database: Database, progress: Progress | None = None) -> Checked:
    """Look a logbook through as it is at one moment.  Raises LogbookError where it cannot be read at all."""
    problems: list[str] = []
    counts: dict[str, int] = {}
    tallying = Tallying()
    with database.reading() as connection:
        revision = revision_of(connection)
        raw = connection.connection.driver_connection
        if isinstance(raw, sqlite3.Connection):
            problems += integrity(raw)
        if not problems:
            for kind in KINDS:
                counts[kind.noun] = 0
                for found in _records(connection, kind):
                    counts[kind.noun] += 1
                    if isinstance(found, str):
                        problems.append(found)
                    else:
                        tallying.add([found])
                    if progress is not None and counts[kind.noun] % 2000 == 0:
                        progress(sum(counts.values()))
        if not problems and (wrong := _untrue(connection, tallying)):
            problems.append(f"the summaries are not those of the records: {wrong}")
    return Checked(revision or "", counts, tuple(problems[:_MOST]))


def _records(connection: Connection, kind: type[Record]) -> Iterator[Record | str]:
    """The records of a kind, each read as one that comes from outside is, or what is wrong with it."""
    try:
        for record in find_all(connection, kind):
            try:
                yield kind.from_dict(record.to_dict())
            except (RecordError, ValueError, TypeError, AttributeError) as trouble:
                yield f"the {kind.noun} {record.id} cannot be read: {trouble}"
    except (ValueError, TypeError, LookupError, OverflowError):
        # A column that cannot be read spoils the whole query; go through one by one.
        table = TABLES[kind]
        for ident in connection.execute(select(table.c.id).order_by(table.c.id)).scalars().all():
            try:
                connection.execute(select(table).where(table.c.id == ident)).all()
            except (ValueError, TypeError, LookupError, OverflowError) as trouble:
                yield f"the {kind.noun} {ident} cannot be read: {trouble}"


def _untrue(connection: Connection, tallying: Tallying) -> str:
    """One row of a summary that is not what the records make; empty if there is none."""
    kept, plain = kept_sums(connection), plain_sums(tallying)
    for name, key in sorted(set(kept) | set(plain), key=str):
        if kept.get((name, key)) != plain.get((name, key)):
            return f"{name}, {', '.join(map(str, key))}"
    return ""
