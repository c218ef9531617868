"""Exporting and importing: JSON Lines in one file, or CSV with one table a file; docs/logbook.md describes both.

Tables that were kept elsewhere are understood by ``sheets``.

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
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, select

from nightfold.practice.database import Database
from nightfold.practice.errors import ImportingError, LogbookError, NewerError, RecordError, StoringError
from nightfold.practice.fields import MOST_TEXT
from nightfold.practice.files import folder_to_disk, unfinished
from nightfold.practice.naming import named
from nightfold.practice.records import BY_NOUN, KINDS, Attempt, Fact, Record, id_of, specs
from nightfold.practice.schema import HEAD, TABLES
from nightfold.practice.sense import impossible, unusual
from nightfold.practice.sheets import Asked, Sheet, Table, read_table
from nightfold.practice.writing import Writer, count, find_all, find_by_id, in_chunks

#: To be raised when files are written in another form.
FORMAT = 1
#: So many faults of a file are told.
MOST_PROBLEMS = 20
#: No row or line of a logbook is nearly so long.
_MOST_LINE = 40 * MOST_TEXT

_OR_TABLE = "or say with --kind what the rows of a table are"

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
    """A row of a file: its place, and the record it tells, or else what is wrong with it; and what is unusual."""

    place: str
    record: Record | None
    problem: str = ""
    unusual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """What a file holds: its rows, one by one.

    Of a table that was kept elsewhere ``told`` says in lines how it was understood, and ``left`` names the columns that
    are not taken.
    """

    rows: Iterator[Row]
    told: tuple[str, ...] = ()
    left: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Imported:
    """What came of an import, by what kinds of records are called.

    ``same`` were there already, just so; ``replaced`` were there with other content; ``dry`` when nothing was kept.
    ``unusual`` tells what may be so, but seldom is.
    """

    new: dict[str, int] = field(default_factory=dict)
    same: dict[str, int] = field(default_factory=dict)
    replaced: dict[str, int] = field(default_factory=dict)
    dry: bool = False
    unusual: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """What came of it as plain data."""
        told = {"new": self.new, "same": self.same, "replaced": self.replaced, "dry": self.dry}
        return {**told, "unusual": list(self.unusual)}


def read_rows(path: Path, noun: str | None = None) -> Iterator[Row]:
    """The rows of ``open_source``.  Raises LogbookError, also while they are read."""
    yield from open_source(path, noun).rows


def open_source(path: Path, noun: str | None = None, asked: Asked | None = None, shown: str | None = None) -> Source:
    """What a file of JSON Lines, a CSV file or a folder of them holds.

    A CSV file holds records of the kind that it is named after, or ``noun``, or attempts where its columns tell a
    result; ``asked`` says more of it.  ``shown`` is what sentences call the file.  Raises LogbookError for a file that
    cannot be read or is none of these, also while its rows are read.
    """
    shown = shown or str(path)
    with _told(shown):
        if path.is_dir():
            return Source(_safely(_folder(path, shown), shown))
        with path.open("rb") as file:
            begins = file.read(64).lstrip(b"\xef\xbb\xbf \t\r\n")
        named = path.suffix.lower() in (".csv", ".tsv", ".tab")
        if begins.startswith((b"{", b"[")) or not (named or noun or asked):
            return Source(_safely(_lines(path, shown), shown))
        called = noun or (path.stem if path.stem in BY_NOUN else None)
        if called is not None and not asked and _is_export(path, BY_NOUN[called]):
            return Source(_safely(_table(path, BY_NOUN[called], "", shown), shown))
        table = read_table(path.read_bytes(), shown, asked)
        sheet = Sheet(table, asked) if called in (None, Attempt.noun) else None
        if called is None and not (asked or (sheet is not None and (sheet.is_one or sheet.problem))):
            raise LogbookError(
                f"“{shown}” may hold anything: say with --kind what its rows are, or with --column result=NAME which "
                f"of its columns is the result: {', '.join(table.names)[:400]}"
            )
        if sheet is None:
            return Source(_plain(table, BY_NOUN[called or ""]))
        return Source(_made(sheet), tuple(sheet.told), tuple(sheet.left))


@contextmanager
def _told(shown: str) -> Iterator[None]:
    """Turns the errors of reading into ours."""
    try:
        yield
    except UnicodeDecodeError:
        raise LogbookError(f"“{shown}” is not text in UTF-8, so it is no export of a logbook; {_OR_TABLE}") from None
    except OSError as trouble:
        raise LogbookError(f"“{shown}” cannot be read: {trouble.strerror or trouble}") from None


def _safely(rows: Iterator[Row], shown: str) -> Iterator[Row]:
    with _told(shown):
        yield from rows


def _folder(path: Path, shown: str) -> Iterator[Row]:
    files = {found.stem: found for found in path.glob("*.csv")}
    if unknown := sorted(set(files) - set(BY_NOUN)):
        raise LogbookError(f"“{shown}” holds {unknown[0]}.csv; known are {_names()}")
    if not files:
        raise LogbookError(f"“{shown}” holds no CSV; they are called {_names()}")
    for kind in KINDS:
        if kind.noun in files:
            yield from _table(files[kind.noun], kind, f"{kind.noun}.csv, ", str(files[kind.noun]))


def _is_export(path: Path, kind: type[Record]) -> bool:
    """Whether a table begins as that of an export does, which may be large and is read row by row."""
    with path.open("rb") as file:
        first = file.readline(_MOST_LINE)
    try:
        names = first.decode("utf-8-sig").rstrip("\r\n").split(",")
    except UnicodeDecodeError:
        return False
    return "id" in names and not _wrong_names(names, kind)


def _made(sheet: Sheet) -> Iterator[Row]:
    """The rows of a table of attempts that was kept elsewhere, or by hand."""
    if problem := sheet.problem or sheet.lacks:
        yield Row(f"line {sheet.table.head_line}", None, problem)
        return
    for made in sheet.rows():
        place = f"line {made.line}"
        if made.problem:
            yield Row(f"{place}, column “{made.column}”" if made.column else place, None, made.problem)
        for record in made.records:
            wrong = impossible(record)
            column = "" if wrong is None or sheet.own else sheet.column_of(wrong[0])
            yield _judged(f"{place}, column “{column}”" if column else place, record, wrong, bool(column))


def _plain(table: Table, kind: type[Record]) -> Iterator[Row]:
    """The rows of a table of other records than attempts: its columns are called as their fields are."""
    if problem := _wrong_names(table.names, kind):
        yield Row(f"line {table.head_line}", None, problem)
        return
    met: Counter[str] = Counter()
    for line, cells in table.rows:
        if len(cells) != len(table.names):
            yield Row(f"line {line}", None, f"{len(cells)} cells; the first line names {len(table.names)}")
        else:
            yield _row(f"line {line}", kind, dict(zip(table.names, cells, strict=True)), kind.from_cells, met)
    if table.wrong is not None:
        yield Row(f"line {table.wrong[0]}", None, table.wrong[1])


def _names() -> str:
    return ", ".join(f"{noun}.csv" for noun in BY_NOUN)


def _lines(path: Path, shown: str) -> Iterator[Row]:
    told: dict[str, int] | None = None
    met: Counter[str] = Counter()
    alike: Counter[str] = Counter()
    unread = 0
    with path.open(encoding="utf-8-sig", newline="\n") as file:
        number = 0
        while line := file.readline(_MOST_LINE):
            number += 1
            place = f"line {number}"
            if number == 1:
                told = _head(line, shown)
                continue
            if not line.strip():
                continue
            try:
                data = json.loads(line)
            except (ValueError, RecursionError):
                unread += 1
                yield Row(place, None, "no JSON" + ("" if line.endswith("\n") else ", as if the file were cut off"))
                continue
            if not isinstance(data, dict) or (kind := BY_NOUN.get(str(data.get("record")))) is None:
                unread += 1
                yield Row(place, None, f"“record” must be one of {', '.join(BY_NOUN)}")
                continue
            del data["record"]
            met[kind.noun] += 1
            yield _row(place, kind, data, kind.from_dict, alike)
    if number == 0:
        raise LogbookError(f"“{shown}” is empty, so it is no export of a logbook")
    # A line that could not be read is told of already, and may be what is missing.
    if told is not None and told != dict(met) and sum(told.values()) != met.total() + unread:
        noun = next(noun for noun in {**told, **met} if told.get(noun, 0) != met[noun])
        yield Row(
            "line 1",
            None,
            f"it tells of {told.get(noun, 0):,} records “{noun}”, and the file holds {met[noun]:,}: it was cut off or "
            "edited; where that is as it should be, take “records” out of the first line",
        )
    elif told is not None and told != dict(met) and not unread:
        yield Row("line 1", None, "its “records” are of other kinds than the file holds; it was edited: take them out")


def _head(line: str, shown: str) -> dict[str, int] | None:
    """How many records the first line tells of; None if it does not."""
    try:
        head = json.loads(line)
        if head["nightfold"] != "logbook":
            raise ValueError
        form, tables, records = int(head["format"]), str(head.get("tables", HEAD)), head.get("records")
        counts = None if records is None else {str(noun): int(number) for noun, number in records.items() if number}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise LogbookError(
            f"“{shown}” is no export of a logbook: its first line must be "
            f'{{"nightfold": "logbook", "format": {FORMAT}}}; {_OR_TABLE}'
        ) from None
    if form > FORMAT or tables > HEAD:
        raise NewerError(f"“{shown}” was written by a newer Nightfold; nothing was changed: use the newer version")
    return counts


def _table(path: Path, kind: type[Record], where: str, shown: str) -> Iterator[Row]:
    csv.field_size_limit(_MOST_LINE)
    alike: Counter[str] = Counter()
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
                if names is None:
                    raise LogbookError(f"“{shown}” is empty; a table begins with a line that names its columns")
                return
            place, begun = f"{where}line {begun}", reader.line_num + 1
            if names is None:
                names = [cell.strip() for cell in cells]
                if problem := _wrong_names(names, kind):
                    yield Row(place, None, problem)
                    return
            elif len(cells) == len(names):
                data = dict(zip(names, cells, strict=True))
                yield _row(place, kind, data, kind.from_cells, alike)
            elif cells:
                yield Row(place, None, f"{len(cells)} cells; the first line names {len(names)}")


def _wrong_names(names: list[str], kind: type[Record]) -> str:
    known = [spec.name for spec in specs(kind)]
    for name in names:
        if name not in known or names.count(name) > 1:
            what = "stands twice" if name in known else "is no column"
            return f"{kind.noun}: “{name[:40]}” {what}; columns are {', '.join(known)}"
    return ""


def _row(
    place: str,
    kind: type[Record],
    data: dict[str, Any],
    read: Callable[[dict[str, Any]], Record],
    alike: Counter[str],
) -> Row:
    """The row that tells a record; ``alike`` counts rows that are the same."""
    exported = bool(data.get("id"))
    if not exported and not kind.told_by:
        # The same row is the same record whenever it is read again; of like rows in one file each is its own.
        told = json.dumps({name: value for name, value in data.items() if value not in ("", None)}, sort_keys=True)
        alike[told] += 1
        data["id"] = id_of("imported", kind.noun, told, *([str(alike[told])] if alike[told] > 1 else []))
    try:
        record = read(data)
    except RecordError as wrong:
        return Row(place, None, str(wrong).replace("_ms must be a whole", "_ms must be milliseconds, a whole"))
    if not exported:
        return _judged(place, record, impossible(record))
    # What has an id was in a logbook, and comes back into one whatever it is.
    wrong_with = impossible(record, thorough=False)
    strange = tuple(unusual(record)) if wrong_with is None else (*unusual(record), f"{wrong_with[0]}: {wrong_with[1]}")
    return Row(place, record, "", strange)


def _judged(place: str, record: Record, wrong: tuple[str, str] | None, by_column: bool = False) -> Row:
    """The row of a record that comes from outside, which must make sense."""
    if wrong is not None:
        return Row(place, None, wrong[1] if by_column else f"{record.noun}: {wrong[0]}: {wrong[1]}")
    return Row(place, record, "", tuple(unusual(record)))


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
    strange: dict[str, list[str]] = {}
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
            for said in row.unusual:
                strange.setdefault(said, []).append(row.place)
            for name, noun in row.record.refers.items():
                if (other := getattr(row.record, name)) is not None:
                    needed.setdefault(noun, {}).setdefault(other, row.place)
        added = writer.add(records)
        there = find_by_id(connection, type(records[0]), [one.id for one in added.different]) if records else {}
        for record in added.different:
            if isinstance(record, Fact) or _same_but_for_line_ends(record, there[record.id]):
                same[record.noun] += 1  # what a logbook knows of itself stays
            elif replace:
                writer.put([record])
                replaced[record.noun] += 1
            else:
                faults.add(
                    places[id(record)],
                    f"{named(record)} is there already, with other content; --replace takes this one",
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
    return Imported(_by_noun(new), _by_noun(same), _by_noun(replaced), dry, _summed(strange))


def _by_noun(counts: Counter[str]) -> dict[str, int]:
    return {noun: counts[noun] for noun in BY_NOUN if counts[noun]}


def _summed(strange: dict[str, list[str]]) -> tuple[str, ...]:
    """What is unusual, each with where it was found first and how often."""
    told = [
        f"{places[0]}: {said}" + (f" (and in {len(places) - 1:,} more)" if len(places) > 1 else "")
        for said, places in strange.items()
    ]
    more = len(told) - MOST_PROBLEMS
    return (*told[:MOST_PROBLEMS], f"and {more:,} more like these") if more > 0 else tuple(told)


def _same_but_for_line_ends(one: Record, other: Record) -> bool:
    """Whether two records tell the same; editors and spreadsheets turn the ends of lines into those of their system."""

    def plain(record: Record) -> str:
        return json.dumps(record.to_dict(), sort_keys=True).replace("\\r\\n", "\\n")

    return plain(one) == plain(other)


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
