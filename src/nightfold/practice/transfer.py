"""Exporting and importing: JSON Lines in one file, or CSV with one table a file; docs/logbook.md describes both.

Everything goes out of one transaction and into one: what is exported is the logbook as it was at one moment, and what
cannot be imported whole is not imported at all.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, select

from nightfold.practice.database import Database
from nightfold.practice.errors import ImportingError, LogbookError, NewerError, RecordError, StoringError
from nightfold.practice.fields import MOST_TEXT
from nightfold.practice.files import folder_to_disk, unfinished
from nightfold.practice.records import BY_NOUN, KINDS, Fact, Record, id_of, specs
from nightfold.practice.schema import HEAD, TABLES
from nightfold.practice.writing import Writer, count, find_all, in_chunks

#: To be raised when files are written in another form.
FORMAT = 1
#: So many faults of a file are told.
MOST_PROBLEMS = 20
#: No row or line of a logbook is nearly so long.
_MOST_LINE = 40 * MOST_TEXT

#: Progress is told after each so many records.
_EVERY = 2_000

#: Told how many records were dealt with so far, a few times a second.
Progress = Callable[[int], object]


# --- out -----------------------------------------------------------------------------------------------------


def write_lines(connection: Connection, out: IO[bytes], progress: Progress | None = None) -> dict[str, int]:
    """Write all records as JSON Lines; returns how many of each kind.

    The first line tells what the file is and how many records it holds.
    """
    from nightfold import __version__

    counts = count(connection)
    head = {
        "nightfold": "logbook",
        "format": FORMAT,
        "tables": HEAD,
        "by": __version__,
        "made": datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z"),
        "records": {noun: number for noun, number in counts.items() if number},
    }
    out.write(json.dumps(head, ensure_ascii=False).encode() + b"\n")
    for done, record in enumerate(_all(connection), 1):
        line = {"record": record.noun, **record.to_dict()}
        out.write(json.dumps(line, ensure_ascii=False, separators=(",", ":")).encode() + b"\n")
        if progress is not None and done % _EVERY == 0:
            progress(done)
    return counts


def write_file(connection: Connection, path: Path, progress: Progress | None = None) -> dict[str, int]:
    """Write all records as JSON Lines into a file that is not there yet; returns how many of each kind.

    The file appears when all is in it.  Raises StoringError.
    """
    if path.exists():
        raise StoringError(f"“{path}” is there already; choose another name")
    with unfinished(path) as part, part.open("wb") as out:
        return write_lines(connection, out, progress)


def write_tables(connection: Connection, folder: Path, progress: Progress | None = None) -> dict[str, int]:
    """Write all records as CSV, one file for each kind, into a folder that is not there yet or empty.

    The folder appears when all is in it.  Returns how many records of each kind there are.  Raises StoringError.
    """
    part = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    counts: Counter[str] = Counter()
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise StoringError(f"“{folder}” is there already; choose another name, or an empty folder")
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        try:
            for kind in KINDS:
                with (part / f"{kind.noun}.csv").open("x", encoding="utf-8", newline="") as file:
                    rows = csv.writer(file)
                    rows.writerow(spec.name for spec in specs(kind))
                    for record in find_all(connection, kind):
                        rows.writerow(record.to_cells())
                        counts[kind.noun] += 1
                        if progress is not None and counts.total() % _EVERY == 0:
                            progress(counts.total())
                    file.flush()
                    os.fsync(file.fileno())
            part.rename(folder)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True)
            raise
        folder_to_disk(folder.parent)
    except OSError as trouble:
        raise StoringError(f"“{folder}” cannot be written: {trouble.strerror or trouble}") from None
    return {kind.noun: counts[kind.noun] for kind in KINDS}


def _all(connection: Connection) -> Iterator[Record]:
    for kind in KINDS:
        yield from find_all(connection, kind)


# --- in ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a file: its place, and the record it tells, or else what is wrong with it."""

    place: str
    record: Record | None
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Imported:
    """What came of an import, by what kinds of records are called.

    ``same`` were there already, just so; ``replaced`` were there with other content; ``dry`` when nothing was kept.
    """

    new: dict[str, int] = field(default_factory=dict)
    same: dict[str, int] = field(default_factory=dict)
    replaced: dict[str, int] = field(default_factory=dict)
    dry: bool = False

    def to_dict(self) -> dict[str, Any]:
        """What came of it as plain data."""
        return {"new": self.new, "same": self.same, "replaced": self.replaced, "dry": self.dry}


def read_rows(path: Path, noun: str | None = None) -> Iterator[Row]:
    """The rows of a file of JSON Lines, a CSV file or a folder of them, one by one.

    A CSV file holds records of the kind that it is named after, or ``noun``.  Raises LogbookError for a file that
    cannot be read or is none of these, ImportingError for one that is cut off.
    """
    try:
        if path.is_dir():
            files = {found.stem: found for found in path.glob("*.csv")}
            if unknown := sorted(set(files) - set(BY_NOUN)):
                raise LogbookError(f"“{path}” holds {unknown[0]}.csv; known are {_names()}")
            if not files:
                raise LogbookError(f"“{path}” holds no CSV; they are called {_names()}")
            for kind in KINDS:
                if kind.noun in files:
                    yield from _table(files[kind.noun], kind, f"{kind.noun}.csv, ")
        elif path.suffix.lower() == ".csv":
            called = noun or path.stem
            if called not in BY_NOUN:
                raise LogbookError(
                    f"“{path}” may hold anything; name it {_names()}, or say with --kind what its rows are"
                )
            yield from _table(path, BY_NOUN[called], "")
        else:
            yield from _lines(path)
    except UnicodeDecodeError:
        raise LogbookError(f"“{path}” is not text in UTF-8, so it is no export of a logbook") from None
    except OSError as trouble:
        raise LogbookError(f"“{path}” cannot be read: {trouble.strerror or trouble}") from None


def _names() -> str:
    return ", ".join(f"{noun}.csv" for noun in BY_NOUN)


def _lines(path: Path) -> Iterator[Row]:
    told: dict[str, int] | None = None
    met: Counter[str] = Counter()
    with path.open(encoding="utf-8-sig", newline="\n") as file:
        number = 0
        while line := file.readline(_MOST_LINE):
            number += 1
            place = f"line {number}"
            if number == 1:
                told = _head(line, path)
                continue
            if not line.strip():
                continue
            try:
                data = json.loads(line)
            except (ValueError, RecursionError):
                yield Row(place, None, "no JSON" + ("" if line.endswith("\n") else ", as if the file were cut off"))
                continue
            if not isinstance(data, dict) or (kind := BY_NOUN.get(str(data.get("record")))) is None:
                yield Row(place, None, f"“record” must be one of {', '.join(BY_NOUN)}")
                continue
            del data["record"]
            met[kind.noun] += 1
            yield _row(place, kind, data, kind.from_dict)
    if number == 0:
        raise LogbookError(f"“{path}” is empty, so it is no export of a logbook")
    if told is not None and told != dict(met):
        noun = next(noun for noun in {**told, **met} if told.get(noun, 0) != met[noun])
        raise ImportingError(
            (
                f"the first line tells of {told.get(noun, 0):,} records “{noun}”, the file holds {met[noun]:,}: it was "
                "cut off or edited; where that is as it should be, take “records” out of the first line",
            )
        )


def _head(line: str, path: Path) -> dict[str, int] | None:
    """How many records the first line tells of; None if it does not."""
    try:
        head = json.loads(line)
        if head["nightfold"] != "logbook":
            raise ValueError
        form, tables, records = int(head["format"]), str(head.get("tables", HEAD)), head.get("records")
        counts = None if records is None else {str(noun): int(number) for noun, number in records.items() if number}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise LogbookError(
            f'“{path}” is no export of a logbook: its first line must be {{"nightfold": "logbook", "format": {FORMAT}}}'
        ) from None
    if form > FORMAT or tables > HEAD:
        raise NewerError(f"“{path}” was written by a newer Nightfold; nothing was changed: use the newer version")
    return counts


def _table(path: Path, kind: type[Record], where: str) -> Iterator[Row]:
    csv.field_size_limit(_MOST_LINE)
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.reader(file, strict=True)
        begun = 1
        names: list[str] | None = None
        while True:
            try:
                cells = next(reader, None)
            except csv.Error as trouble:
                yield Row(f"{where}line {begun}", None, f"no CSV: {trouble}")
                return
            if cells is None:
                return
            place, begun = f"{where}line {begun}", reader.line_num + 1
            if names is None:
                names = [cell.strip() for cell in cells]
                if problem := _wrong_names(names, kind):
                    yield Row(place, None, problem)
                    return
            elif len(cells) == len(names):
                data = dict(zip(names, cells, strict=True))
                yield _row(place, kind, data, kind.from_cells)
            elif cells:
                yield Row(place, None, f"{len(cells)} cells; the first line names {len(names)}")


def _wrong_names(names: list[str], kind: type[Record]) -> str:
    known = [spec.name for spec in specs(kind)]
    for name in names:
        if name not in known or names.count(name) > 1:
            what = "stands twice" if name in known else "is no column"
            return f"{kind.noun}: “{name[:40]}” {what}; columns are {', '.join(known)}"
    return ""


def _row(place: str, kind: type[Record], data: dict[str, Any], read: Callable[[dict[str, Any]], Record]) -> Row:
    if not data.get("id") and not kind.told_by:
        # The same row is the same record whenever it is read again.
        told = {name: value for name, value in data.items() if value not in ("", None)}
        data["id"] = id_of("imported", kind.noun, json.dumps(told, sort_keys=True))
    try:
        return Row(place, read(data))
    except RecordError as wrong:
        return Row(place, None, str(wrong))


def import_rows(
    database: Database,
    rows: Iterable[Row],
    *,
    replace: bool = False,
    dry: bool = False,
    progress: Progress | None = None,
) -> Imported:
    """Import records, all of them or none; those that are there already just so are left alone.

    ``replace`` takes the file's word where a record is there with other content, which is a fault otherwise.  ``dry``
    does everything but keep it.  Raises ImportingError with what is wrong and where.
    """
    with database.writing(keep=not dry) as connection:
        return _bring_in(connection, rows, replace, dry, progress)


def put_back(database: Database, rows: Iterable[Row], progress: Progress | None = None) -> dict[str, int]:
    """Put the records of a file in the place of everything that is there; all of it, or nothing happens.

    Returns how many records there are of each kind then.  Raises ImportingError with what is wrong and where.
    """
    with database.writing() as connection:
        Writer(connection).clear()
        _bring_in(connection, rows, False, False, progress)
        return count(connection)


def _bring_in(
    connection: Connection, rows: Iterable[Row], replace: bool, dry: bool, progress: Progress | None
) -> Imported:
    writer, faults = Writer(connection), _Faults()
    new: Counter[str] = Counter()
    same: Counter[str] = Counter()
    replaced: Counter[str] = Counter()
    needed: dict[str, dict[str, str]] = {}
    done = 0
    for some in _alike(rows):
        places: dict[int, str] = {}
        records = []
        for row in some:
            if row.record is None:
                faults.add(row.place, row.problem)
                continue
            records.append(row.record)
            places[id(row.record)] = row.place
            for name, noun in row.record.refers.items():
                if (other := getattr(row.record, name)) is not None:
                    needed.setdefault(noun, {}).setdefault(other, row.place)
        added = writer.add(records)
        for record in added.different:
            if isinstance(record, Fact):
                same[record.noun] += 1  # what a logbook knows of itself stays
            elif replace:
                writer.put([record])
                replaced[record.noun] += 1
            else:
                faults.add(
                    places[id(record)],
                    f"the {record.noun} {record.id} is there already, with other content; --replace takes this one",
                )
        if records:
            new[records[0].noun] += added.new
            same[records[0].noun] += added.same
        if progress is not None and done // _EVERY != (done + len(some)) // _EVERY:
            progress(done + len(some))
        done += len(some)
    _check_references(connection, needed, faults)
    if faults.told:
        raise ImportingError(tuple(faults.told), faults.more)
    writer.finish()
    return Imported(_told(new), _told(same), _told(replaced), dry)


def _told(counts: Counter[str]) -> dict[str, int]:
    return {noun: counts[noun] for noun in BY_NOUN if counts[noun]}


class _Faults:
    """What is wrong with a file, the first of it told."""

    def __init__(self) -> None:
        self.told: list[str] = []
        self.more = 0

    def add(self, place: str, problem: str) -> None:
        if len(self.told) < MOST_PROBLEMS:
            self.told.append(f"{place}: {problem}")
        else:
            self.more += 1


def _alike(rows: Iterable[Row], most: int = 500) -> Iterator[list[Row]]:
    """Rows in order, those of one kind that follow one another together."""
    some: list[Row] = []
    kind: type[Record] | None = None
    for row in rows:
        its = kind if row.record is None else type(row.record)
        if some and (its is not kind or len(some) == most):
            yield some
            some = []
        some.append(row)
        kind = its
    if some:
        yield some


def _check_references(connection: Connection, needed: dict[str, dict[str, str]], faults: _Faults) -> None:
    """Tell of records that refer to others which are neither in the logbook nor in the file."""
    for noun, places in needed.items():
        column = TABLES[BY_NOUN[noun]].c.id
        for some in in_chunks(places):
            there = set(connection.execute(select(column).where(column.in_(some))).scalars())
            for ident in some:
                if ident not in there:
                    faults.add(
                        places[ident], f"it refers to the {noun} {ident}, which is neither there nor in the file"
                    )
