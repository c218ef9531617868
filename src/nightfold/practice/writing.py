"""Writing and reading records within one transaction, with the kept summaries always true to them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Connection, Select, bindparam, delete, func, insert, select, update

from nightfold.practice.errors import ClashError
from nightfold.practice.records import KINDS, Attempt, Mistake, Record, Review, records_by_kind, specs
from nightfold.practice.schema import FOLLOWS, TABLES
from nightfold.practice.tallies import TALLIES, Tallying

R = TypeVar("R", bound=Record)
T = TypeVar("T")

#: So many records are written or looked up by one statement.
CHUNK = 500


def in_chunks(things: Iterable[T], most: int = CHUNK) -> Iterator[list[T]]:
    """The things in order, at most so many at a time."""
    rest = iter(things)
    while some := list(islice(rest, most)):
        yield some


def find(connection: Connection, kind: type[R], query: Select[Any]) -> Iterator[R]:
    """The records that a query over all columns of a kind's table finds."""
    names = [spec.name for spec in specs(kind)]
    with connection.execute(query) as rows:
        for row in rows:
            # What comes from the database was checked when it went there.
            made = object.__new__(kind)
            for name, value in zip(names, row, strict=True):
                object.__setattr__(made, name, value)
            yield made


def find_all(connection: Connection, kind: type[R]) -> Iterator[R]:
    """All records of a kind by their ids, however many there are."""
    table = TABLES[kind]
    return find(connection, kind, select(table).order_by(table.c.id).execution_options(yield_per=1000))


def find_by_id(connection: Connection, kind: type[R], ids: Iterable[str]) -> dict[str, R]:
    """Those records of a kind that have one of these ids, by that."""
    column = TABLES[kind].c.id
    return {
        record.id: record
        for some in in_chunks(ids)
        for record in find(connection, kind, select(TABLES[kind]).where(column.in_(some)))
    }


def count(connection: Connection) -> dict[str, int]:
    """How many records there are, by what their kind is called."""
    return {
        kind.noun: connection.execute(select(func.count()).select_from(TABLES[kind])).scalar_one() for kind in KINDS
    }


def recount(connection: Connection) -> None:
    """Make the kept summaries anew, out of the records."""
    tallying = Tallying()
    for table in TALLIES:
        connection.execute(delete(table))
    for kind in (Attempt, Mistake, Review):
        tallying.add(find_all(connection, kind))
    tallying.write(connection)


@dataclass(frozen=True, slots=True)
class Added:
    """What came of adding records: how many were new, how many there already, and those that are there otherwise."""

    new: int
    same: int
    different: tuple[Record, ...]


class Writer:
    """Writes records within the connection's transaction; ``finish`` must be called before that ends."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._tallying = Tallying()

    def add(self, records: Iterable[Record]) -> Added:
        """Write records that are not there yet; one that is there just so is the same write once more."""
        new = same = 0
        different: list[Record] = []
        for kind, those in records_by_kind(records).items():
            for some in in_chunks(those):
                there = find_by_id(self._connection, kind, (record.id for record in some))
                fresh = []
                for record in some:
                    if (known := there.setdefault(record.id, record)) is record:
                        fresh.append(record)
                    elif known == record:
                        same += 1
                    else:
                        different.append(record)
                self._insert(kind, fresh)
                new += len(fresh)
        return Added(new, same, tuple(different))

    def put(self, records: Iterable[Record]) -> None:
        """Write records, each in the place of the one with its id, if there is one.

        Raises ClashError for a record of which there are two with different content.
        """
        for kind, those in records_by_kind(records).items():
            for some in in_chunks(those):
                wanted: dict[str, Record] = {}
                for record in some:
                    if wanted.setdefault(record.id, record) != record:
                        raise ClashError(f"the {kind.noun} {record.id} is to be written twice, with different content")
                there = find_by_id(self._connection, kind, wanted)
                self._insert(kind, [record for record in wanted.values() if record.id not in there])
                changed = [record for record in wanted.values() if there.get(record.id, record) != record]
                self._update(kind, [there[record.id] for record in changed], changed)

    def remove(self, kind: type[Record], ids: Iterable[str]) -> int:
        """Remove records, and with them those that follow them, as the mistakes of an attempt do; how many there were.

        Where another kind of record refers to one that goes, it refers to none from then on.
        """
        removed = 0
        for some in in_chunks(ids):
            there = find_by_id(self._connection, kind, some)
            for other in KINDS:
                for name, noun in other.refers.items():
                    if noun == kind.noun and (other.noun, name) in FOLLOWS:
                        column = TABLES[other].c[name]
                        followers = select(TABLES[other].c.id).where(column.in_(list(there)))
                        self.remove(other, self._connection.execute(followers).scalars().all())
            self._tallying.take(there.values())
            self._connection.execute(delete(TABLES[kind]).where(TABLES[kind].c.id.in_(list(there))))
            removed += len(there)
        return removed

    def clear(self) -> None:
        """Remove everything."""
        for kind in reversed(KINDS):
            self._connection.execute(delete(TABLES[kind]))
        for table in TALLIES:
            self._connection.execute(delete(table))
        self._tallying = Tallying()

    def finish(self) -> None:
        """Bring the summaries up to what was written."""
        self._tallying.write(self._connection)

    def _insert(self, kind: type[Record], records: Sequence[Record]) -> None:
        if records:
            self._connection.execute(insert(TABLES[kind]), [_row(record) for record in records])
            self._tallying.add(records)

    def _update(self, kind: type[Record], old: Sequence[Record], new: Sequence[Record]) -> None:
        if new:
            table = TABLES[kind]
            columns = [column.name for column in table.c if column.name != "id"]
            changing = (
                update(table)
                .where(table.c.id == bindparam("at_id"))
                .values({name: bindparam(f"of_{name}", type_=table.c[name].type) for name in columns})
            )
            rows = [{"at_id": row.pop("id")} | {f"of_{name}": row[name] for name in row} for row in map(_row, new)]
            self._connection.execute(changing, rows)
            self._tallying.take(old)
            self._tallying.add(new)


def _row(record: Record) -> dict[str, Any]:
    return {spec.name: getattr(record, spec.name) for spec in specs(type(record))}
