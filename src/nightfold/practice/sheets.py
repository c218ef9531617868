"""Tables of results as people keep them: any delimiter and encoding, times and dates as one writes them.

What the columns are is read from their names, plain words, and where that is not enough from what they hold; nothing is
guessed where two readings are possible.  docs/logbook.md lists the words.
"""

from __future__ import annotations

import codecs
import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any, Literal, NamedTuple

from nightfold.practice.attempts import BLIND_EVENT, MULTI_EVENT, multi_outcome
from nightfold.practice.errors import LogbookError, RecordError
from nightfold.practice.records import Attempt, AttemptCube, Record, id_of, specs
from nightfold.practice.results import PENALTY_MS, Outcome, ResultError, read_clock

#: How dates such as 9/1/2026 are written.
Dates = Literal["", "day-first", "month-first"]

#: What a column may tell besides the fields of an attempt, and the words that its name may be.
WORDS: Mapping[str, tuple[str, ...]] = {
    "started": ("started", "start", "began", "when", "date", "day", "date and time", "date time", "datetime"),
    "clock": ("clock", "time of day", "start time", "hour"),
    "result": ("result", "time", "total", "total time", "final time", "result time", "solve time"),
    "total_ms": ("total ms", "time ms", "result ms"),
    "memo_time": ("memo", "memo time", "memorisation", "memorization", "memorising", "memorizing"),
    "memo_ms": ("memo ms",),
    "execution": ("execution", "execution time"),
    "outcome": ("outcome", "penalty", "penalties", "status", "solved", "success"),
    "scramble": ("scramble", "scrambles", "scrambled with"),
    "event": ("event", "puzzle", "discipline"),
    "method": ("method",),
    "lettering": ("lettering", "letters"),
    "hold": ("hold", "orientation"),
    "solver": ("solver", "name", "person", "who", "member", "competitor"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks"),
    "final": ("final",),
}
_HOW_STARTED = "say --column started=NAME, or --value started=2026-01-09 for all rows"
#: What is told of a column that was understood.
_MEANINGS = {
    "started": "when it began",
    "clock": "the time of day when it began",
    "result": "the result",
    "total_ms": "the whole time, in milliseconds",
    "memo_time": "the time of the memo",
    "memo_ms": "the time of the memo, in milliseconds",
    "execution": "the time of execution",
    "outcome": "how it ended",
}
_OWN = {spec.name: spec for spec in specs(Attempt)}
#: What is read together, and not each for itself.
_TIMED = ("id", "started", "clock", "result", "total_ms", "memo_time", "memo_ms", "execution", "outcome")
#: Fields that mean nothing but in an export: a column so called in a table of one's own is another matter.
_ONLY_OWN = ("id", "series", "number", "demo")
#: What `--column` and `--value` may name.
TARGETS = tuple(dict.fromkeys([*WORDS, *_OWN]))
_BY_WORD = {word: target for target, words in WORDS.items() for word in words}

_DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
#: No row of a logbook is nearly so long, and no table of results so large.
_MOST_CELL, _MOST_BYTES = 8_000_000, 256 << 20
#: A result longer than this, in milliseconds, is none: ten hours.
_MOST_MS = 36_000_000
_MOST_CUBES = 500

_ENDINGS = {
    **dict.fromkeys(("solved", "ok", "yes", "y", "true", "1", "success", "done", "finished"), Outcome.SOLVED),
    **dict.fromkeys(("plus2", "+2", "plus 2", "+", "2"), Outcome.PLUS2),
    **dict.fromkeys(("dnf", "no", "n", "false", "0", "failed", "did not finish", "not solved"), Outcome.DNF),
    **dict.fromkeys(("dns", "did not start"), Outcome.DNS),
    "unfinished": Outcome.UNFINISHED,
}
#: What a column of penalties says where there is none.
_NO_PENALTY = ("", "0", "no", "none", "-", "ok", "solved", "false")


@dataclass(frozen=True, slots=True)
class Asked:
    """What whoever imports says of a table: the columns of what it tells, what holds for all rows, how dates are."""

    columns: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)
    dates: Dates = ""

    def __bool__(self) -> bool:
        return bool(self.columns or self.values or self.dates)


class CellError(Exception):
    """What is wrong with a cell: the column's name, and a sentence."""

    def __init__(self, column: str, problem: str) -> None:
        super().__init__(problem)
        self.column, self.problem = column, problem


@dataclass(slots=True)
class Table:
    """A table as it stands: the names of its columns, and its rows, each with the line that it begins in.

    ``wrong`` is where and why it could not be read to its end.
    """

    names: list[str]
    rows: list[tuple[int, list[str]]]
    head_line: int
    delimiter: str
    encoding: str
    wrong: tuple[int, str] | None = None

    @property
    def form(self) -> str:
        """How it is written, in words."""
        return f"{_DELIMITERS[self.delimiter]}, {self.encoding}"


def decode(data: bytes) -> tuple[str, str] | None:
    """The text of a file and the name of its encoding; None for what is no text.

    A byte order mark decides; then zero bytes, which betray UTF-16; then UTF-8, which hardly any other text is by
    chance; what is left is Windows-1252, or Latin-1 where that has no such character.
    """
    for mark, codec, name in (
        (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
        (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
        (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
    ):
        if data.startswith(mark):
            try:
                return _text(data.decode(codec), name)
            except UnicodeDecodeError:
                return None
    order = ["utf-8", "cp1252", "latin-1"]
    sample = data[:4000]
    if sample.count(0) > len(sample) // 4:
        order = ["utf-16-le" if sample[1::2].count(0) > sample[::2].count(0) else "utf-16-be"]
    for codec in order:
        try:
            text = data.decode(codec)
        except UnicodeDecodeError:
            continue
        return _text(text, {"utf-8": "UTF-8", "cp1252": "Windows-1252", "latin-1": "Latin-1"}.get(codec, "UTF-16"))
    return None


def _text(text: str, name: str) -> tuple[str, str] | None:
    """None where it holds control characters, as pictures and programs do."""
    return None if re.search(r"[\x00-\x08\x0e-\x1f]", text) else (text, name)


def read_table(data: bytes, shown: str, asked: Asked | None = None) -> Table:
    """A table in CSV or the like, whatever its delimiter and encoding.  Raises LogbookError for what is none."""
    if not data.strip():
        raise LogbookError(f"“{shown}” is empty; a table begins with a line that names its columns")
    if len(data) > _MOST_BYTES:
        raise LogbookError(f"“{shown}” has {len(data):,} bytes; a table of results has at most {_MOST_BYTES:,}")
    if (found := decode(data)) is None:
        raise LogbookError(f"“{shown}” is no text, so it is no table; save it as CSV, in UTF-8")
    text, encoding = found
    named = re.match(r"sep=([,;\t|])\r?\n", text)  # as spreadsheets write it
    known = {name.casefold() for name in ({} if asked is None else asked.columns).values()}
    tables = [
        _split(text[named.end() :] if named else text, sign, encoding, 1 + bool(named))
        for sign in ([named[1]] if named else _DELIMITERS)
    ]

    def fits(one: Table) -> tuple[int, int]:
        """How many columns have names that are known; then how many columns there are."""
        names = [name for name in one.names if _word(name) in _BY_WORD or name in _OWN or name.casefold() in known]
        return len(names), len(one.names)

    return max(tables, key=fits)


def _split(text: str, delimiter: str, encoding: str, line: int) -> Table:
    csv.field_size_limit(_MOST_CELL)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True, skipinitialspace=True)
    table = Table([], [], line, delimiter, encoding)
    begun = line
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as trouble:
            table.wrong = (begun, f"no CSV: {trouble}")
            return table
        if cells is None:
            return table
        if any(cell.strip() for cell in cells):
            if table.names:
                table.rows.append((begun, cells))
            else:
                table.names, table.head_line = [cell.strip() for cell in cells], begun
                while len(table.names) > 1 and not table.names[-1]:
                    table.names.pop()  # spreadsheets like to end lines with delimiters
        begun = reader.line_num + line


def _word(name: str) -> str:
    """The name of a column as words are looked up: small, plain, its unit only where that is milliseconds."""
    unit = re.search(r"[(\[]\s*(\w+)\s*[)\]]\s*$", name)
    plain = name[: unit.start()] if unit else name
    words = " ".join(re.findall(r"[^\W_]+", plain.casefold()))
    return f"{words} ms" if unit and unit[1].casefold() == "ms" else words


class Made(NamedTuple):
    """What a row tells: an attempt, and its cubes if there are many; or the column and what is wrong with it."""

    line: int
    records: tuple[Record, ...]
    column: str = ""
    problem: str = ""


class Sheet:
    """A table of attempts, understood.

    ``told`` says in lines how, where that was not plain; ``left`` names the columns that are not taken; ``problem``
    says why it cannot be understood.
    """

    def __init__(self, table: Table, asked: Asked | None = None) -> None:
        self.table, self.asked = table, asked or Asked()
        self.problem = ""
        #: What a column tells, by what it tells; and what all rows tell.
        self.columns: dict[str, int] = {}
        self.left: list[str] = []
        self._values: dict[str, str] = {}
        self._dates: Dates = self.asked.dates
        self._penalties = False
        self._written: Counter[str] = Counter()
        self._noon = self._local = False
        self.problem = self._assign() or self._understand_dates()
        self._begun = {} if self.problem else self._moments()

    # --- what the columns are --------------------------------------------------------------------------------

    @property
    def is_one(self) -> bool:
        """Whether there is a column that tells a result or how an attempt ended."""
        told = {*self.columns, *self._values}
        return not told.isdisjoint(("result", "total_ms", "outcome", "execution"))

    @property
    def lacks(self) -> str:
        """What no column tells though one must, and what to do; empty where nothing is lacking."""
        if not self.is_one:
            return f"no column tells the result; say which with --column result=NAME: {_listed(self.table.names)}"
        if not {"started"} & {*self.columns, *self._values}:
            return f"no column tells the day; {_HOW_STARTED}"
        return ""

    @property
    def own(self) -> bool:
        """Whether it is written as an export is: only an attempt's own fields, commas, UTF-8."""
        return not self.asked and self.table.form == "commas, UTF-8" and all(name in _OWN for name in self.table.names)

    @property
    def told(self) -> list[str]:
        """How the table was understood, in lines; none where it is written as an export is, with all its zones."""
        if self.own:
            return self._zones()
        names, lines = self.table.names, [f"read as {self.table.form}"]
        for target, at in sorted(self.columns.items(), key=lambda one: one[1]):
            lines.append(f"“{names[at]}” is {_MEANINGS.get(target, f'the {target}')}{self._detail(target)}")
        lines += [f"{target} is “{value}” in all rows" for target, value in self._values.items()]
        if "event" not in self.columns and "event" not in self._values:
            lines.append(f"the event is {BLIND_EVENT}, since no column tells it")
        if "result" in self.columns and any("+" in cell for cell in self._cells("result")):
            lines.append("a + behind a result: its two seconds are in it already")
        if "result" in self.columns and any("/" in cell for cell in self._cells("result")):
            lines.append(f"results such as 3/4 32:10 are of {MULTI_EVENT}; which cubes were solved is not known")
        endings = self._cells("outcome") if "outcome" in self.columns else []
        if any(_ENDINGS.get(cell.casefold()) is Outcome.PLUS2 for cell in endings):
            lines.append("+2 in a column of its own: the two seconds are added to the time as measured")
        return lines + self._zones()

    def _detail(self, target: str) -> str:
        if target != "started":
            return ""
        return {"day-first": ", the day before the month", "month-first": ", the month before the day", "": ""}[
            self._dates
        ]

    def _zones(self) -> list[str]:
        lines = ["days without a time of day begin at noon, their rows in order"] if self._noon else []
        return lines + (["times without a zone are those of this machine"] if self._local else [])

    def _cells(self, target: str) -> list[str]:
        at = self.columns[target]
        return [cells[at].strip() for _, cells in self.table.rows if at < len(cells) and cells[at].strip()]

    def _assign(self) -> str:
        names, asked = self.table.names, self.asked
        for target in (*asked.columns, *asked.values):
            if target not in TARGETS:
                return f"“{target[:40]}” is nothing that a column can tell; say one of {', '.join(TARGETS)}"
        taken: set[int] = set()
        for target, wanted in asked.columns.items():
            at = [number for number, name in enumerate(names) if name.casefold() == wanted.strip().casefold()]
            if len(at) != 1:
                how = "stands twice" if at else "is no column"
                return f"“{wanted[:40]}” {how}; the columns are {_listed(names)}"
            self.columns[target] = at[0]
            taken.add(at[0])
        self._values = {target: value.strip() for target, value in asked.values.items()}
        for name in names:
            if name and names.count(name) > 1 and not taken:
                return f"attempt: “{name[:40]}” stands twice; give each column a name of its own"
        found: dict[str, list[int]] = {}
        for number, name in enumerate(names):
            meant = None if number in taken else self._target(number, name)
            if meant is not None and meant not in self._values:
                found.setdefault(meant, []).append(number)
        if problem := self._settle(found):
            return problem
        used = {*taken, *self.columns.values()}
        self.left = [name or f"column {number + 1}" for number, name in enumerate(names) if number not in used]
        self._penalties = "outcome" in self.columns and _word(names[self.columns["outcome"]]).startswith("penalt")
        return ""

    def _target(self, number: int, name: str) -> str | None:
        cells = [row[number].strip() for _, row in self.table.rows if number < len(row) and row[number].strip()]
        if name == "memo" or _word(name) == "memo":  # the letters, as an export has them, or a time
            return "memo" if name == "memo" and all(one.startswith("{") for one in cells) else "memo_time"
        if name in _ONLY_OWN and not all(one in _OWN for one in self.table.names):
            return None
        if name in _OWN and name != "day":
            return name
        return _BY_WORD.get(_word(name))

    def _settle(self, found: dict[str, list[int]]) -> str:
        """Decide between columns that may tell the same."""
        names = self.table.names
        for target in ("started", "result"):
            those = found.get(target, [])
            if len(those) > 1 and "clock" not in found:
                hours = [at for at in those if self._is_time_of_day(at)]
                if len(hours) == 1 and (target == "started" or _word(names[hours[0]]) == "time"):
                    those.remove(hours[0])
                    found["clock"] = hours
        if len(found.get("started", [])) == 2 and "day" in names:
            # An export tells both when it began and which day that was where the solver was.
            found["started"].remove(names.index("day"))
            found["day"] = [names.index("day")]
        for target, those in found.items():
            if target in self.columns:
                continue
            if len(those) > 1:
                both = " and ".join(f"“{names[at]}”" for at in those)
                what = _MEANINGS.get(target, f"the {target}")
                return f"{both} may each be {what}; say which, as in --column {target}=“{names[those[0]]}”"
            self.columns[target] = those[0]
        result = self.columns.get("result")
        told = {"result", "clock"} & {*self.asked.columns, *(self.columns.keys() - {"result"})}
        if result is not None and not told and _word(names[result]) == "time" and self._is_time_of_day(result):
            name = names[result]
            return (
                f"“{name}” may be the result or the time of day when it began; say --column result={name} or "
                f"--column clock={name}"
            )
        if "result" in self.columns and "total_ms" in self.columns:
            return "both the result and total_ms are told; leave one of them out"
        return ""

    def _is_time_of_day(self, at: int) -> bool:
        cells = [cells[at].strip() for _, cells in self.table.rows if at < len(cells) and cells[at].strip()]
        return bool(cells) and all(_time_of_day(one) is not None for one in cells)

    def _understand_dates(self) -> str:
        """Whether the day stands before the month, by all dates of the file."""
        if "started" not in self.columns or self._dates:
            return ""
        firsts, seconds, slashes, example = 0, 0, False, ""
        for cell in self._cells("started"):
            if (parts := re.match(r"(\d{1,2})([-/.])\s?(\d{1,2})\2\s?(?:\d{4}|\d{2})(?!\d)", cell)) is None:
                continue
            one, other = int(parts[1]), int(parts[3])
            firsts, seconds = max(firsts, one), max(seconds, other)
            if parts[2] != "." and one != other:
                slashes, example = True, example or parts[0]
        if not firsts:
            return ""
        if firsts <= 12 and seconds <= 12 and slashes:
            return (
                f"“{example}” may have the day or the month first, and no date of the file tells; "
                "say --dates day-first or --dates month-first"
            )
        self._dates = "month-first" if seconds > 12 >= firsts else "day-first"
        return ""

    # --- what the rows are -----------------------------------------------------------------------------------

    def rows(self) -> Iterator[Made]:
        """What each row tells."""
        width = len(self.table.names)
        for line, cells in self.table.rows:
            if len(cells) < width or any(cell.strip() for cell in cells[width:]):
                yield Made(line, (), "", f"{len(cells)} cells; the first line names {width}")
                continue
            told = {target: cells[at].strip() for target, at in self.columns.items()}
            told |= self._values
            try:
                if (own := self._as_export(cells)) is not None:
                    yield Made(line, (own,))
                else:
                    yield Made(line, self._row(told, self._begun.get(line)))
            except CellError as wrong:
                yield Made(line, (), wrong.column, wrong.problem)
        if self.table.wrong is not None:
            yield Made(self.table.wrong[0], (), "", self.table.wrong[1])

    def _as_export(self, cells: list[str]) -> Record | None:
        """The record of a row that is written just as an export writes it."""
        if not (self.own and "outcome" in self.table.names):
            return None
        data: dict[str, str] = dict(zip(self.table.names, cells, strict=False))
        if not data.get("id"):
            # The same row is the same record whenever it is read again.
            told = {name: value for name, value in data.items() if value}
            data["id"] = self._ident(json.dumps(told, sort_keys=True))
        try:
            return Attempt.from_cells(data)
        except RecordError:
            return None

    def _ident(self, told: str) -> str:
        """The id of a row without one; of like rows each has its own."""
        self._written[told] += 1
        again = [str(self._written[told])] if self._written[told] > 1 else []
        return id_of("imported", "attempt", told, *again)

    def _moments(self) -> dict[int, tuple[datetime, str, str]]:
        """When the attempt of each line began, its day, and what was told of that; lines that are not in it are wrong.

        Rows of a day without a time of day follow one another by a second each, from noon on, in the order in which
        they happened: the file's, or the other way round where the newest stands first.
        """
        found: dict[int, tuple[date, time | None, datetime | None]] = {}
        for line, cells in self.table.rows:
            told = self._cell("started", cells)
            clock = self._cell("clock", cells)
            with_date = _moment(told, self._dates)
            if with_date is None:
                continue
            day, hour, whole = with_date
            if clock:
                if (hour := _time_of_day(clock)) is None:
                    continue
                whole = None
            found[line] = day, hour, whole
        days = [day for day, _, _ in found.values()]
        newest_first = len(days) > 1 and days[0] > days[-1] and all(a >= b for a, b in pairwise(days))
        met: Counter[date] = Counter()
        moments: dict[int, tuple[datetime, str, str]] = {}
        for line, (day, hour, whole) in reversed(found.items()) if newest_first else found.items():
            if whole is None:
                self._local = True
                said = day.isoformat() if hour is None else datetime.combine(day, hour).isoformat()
                if hour is None:
                    self._noon = True
                    begun = datetime.combine(day, time(12)) + timedelta(seconds=met[day])
                    met[day] += 1
                else:
                    begun = datetime.combine(day, hour)
                try:
                    whole = begun.astimezone()
                except (OverflowError, OSError, ValueError):
                    whole = begun.replace(tzinfo=UTC)
                moments[line] = whole, day.isoformat(), said
            else:
                moments[line] = whole, "", whole.isoformat()
        return moments

    def _cell(self, target: str, cells: list[str]) -> str:
        if target in self._values:
            return self._values[target]
        at = self.columns.get(target)
        return "" if at is None or at >= len(cells) else cells[at].strip()

    def column(self, target: str) -> str:
        """The name of the column that tells something, for sentences."""
        return self.table.names[self.columns[target]] if target in self.columns else ""

    def column_of(self, name: str) -> str:
        """The name of the column that a field of an attempt comes from; empty where none is."""
        many = {"total_ms": ("result", "total_ms", "execution"), "memo_ms": ("memo_time", "memo_ms")}
        return next((found for one in many.get(name, (name,)) if (found := self.column(one))), "")

    def _row(self, told: dict[str, str], moment: tuple[datetime, str, str] | None) -> tuple[Record, ...]:
        if moment is None:
            raise self._no_moment(told)
        ending = self._result(told)
        data: dict[str, Any] = {"started": moment[0], "day": moment[1]}
        for target, text in told.items():
            if target in _TIMED:
                continue
            if target == "event":
                data["event"] = _event(text) or BLIND_EVENT
            elif text:
                data[target] = self._field(target, text)
        total, memo, outcome = ending.ms, self._time("memo_time", told), ending.outcome
        if told.get("memo_ms"):
            memo = self._ms("memo_ms", told["memo_ms"])
        if total is None and told.get("execution"):
            total = (self._time("execution", told) or 0) + (memo or 0)
        if ending.solved is not None:
            data["event"] = MULTI_EVENT
        elif data.get("event") == MULTI_EVENT and total is not None:
            raise self._wrong("result", told.get("result", ""), "solved cubes, all cubes and the time, as in 3/4 32:10")
        # However its date is written, it is the same row.
        parts = {name: text for name, text in told.items() if text and name != "clock"} | {"started": moment[2]}
        ident = told.get("id") or self._ident(json.dumps(parts, sort_keys=True))
        if outcome is None:
            if total is None:
                raise self._wrong("result", "", "a time, DNF or DNS")
            outcome = Outcome.SOLVED
        try:
            attempt = Attempt(**data, id=ident, outcome=outcome, total_ms=total, memo_ms=memo)
        except RecordError as wrong:
            raise CellError("", str(wrong)) from None
        if ending.solved is None:
            return (attempt,)
        cubes = [
            AttemptCube(
                attempt=attempt.id,
                number=number,
                outcome=Outcome.SOLVED if number <= ending.solved else Outcome.DNF,
                note="which cubes were solved was not told",
            )
            for number in range(1, ending.cubes + 1)
        ]
        if multi_outcome(attempt, cubes) is Outcome.DNF:
            attempt = Attempt(**data, id=ident, outcome=Outcome.DNF, total_ms=total, memo_ms=memo)
        return (attempt, *cubes)

    def _no_moment(self, told: dict[str, str]) -> CellError:
        if _moment(told["started"], self._dates) is not None:
            return self._wrong("clock", told.get("clock", ""), "a time of day, as in 19:30")
        return self._wrong("started", told["started"], "a day or a time, as in 2026-01-09 or 2026-01-09 19:30")

    def _field(self, target: str, text: str) -> Any:
        spec = _OWN[target]
        try:
            return spec.holds.from_cell(text) if self.column(target) == target else spec.holds.read(text)
        except ValueError as wrong:
            raise self._wrong(target, text, str(wrong)) from None

    def _wrong(self, target: str, text: str, must: str) -> CellError:
        name = self.column(target)
        said = f"not “{text[:40]}”" if text else "and is empty"
        if name == target or not name:
            return CellError("", f"attempt: {target} must be {must}, {said}")
        return CellError(name, f"must be {must}, {said}")

    def _ms(self, target: str, text: str) -> int:
        if not re.fullmatch(r"\d{1,11}", text) or int(text) > 10**10:
            other = "result" if target == "total_ms" else "memo_time"
            instead = "" if self.own and self.column(target) != target else f"; for times as 1:42.45 call it {other}"
            raise self._wrong(target, text, f"milliseconds, a whole number as 102450 for 1:42.45{instead}")
        return int(text)

    def _time(self, target: str, told: dict[str, str]) -> int | None:
        text = told.get(target, "")
        if not text or text == "-":
            return None
        try:
            return _clock(text)
        except ResultError:
            raise self._wrong(target, text, "a time, as in 47.05, 1:42.45 or 12:04") from None

    def _result(self, told: dict[str, str]) -> _Ending:
        """How long it took and how it ended, as the result and the outcome tell together."""
        outcome = self._outcome(told)
        if told.get("total_ms"):
            return _Ending(self._ms("total_ms", told["total_ms"]), outcome)
        text = told.get("result", "")
        try:
            ending = _read_ending(text)
        except ResultError:
            raise self._wrong("result", text, "a time, as in 47.05 or 1:42.45, DNF, DNS, or 1:42.45+") from None
        if ending.ms is not None and ending.ms > _MOST_MS and ending.solved is None:
            how = f"--column total_ms=“{self.column('result')}”"
            raise self._wrong("result", text, f"less than ten hours; if it is in milliseconds, say {how}")
        if ending.solved is not None and not (2 <= ending.cubes <= _MOST_CUBES and ending.solved <= ending.cubes):
            raise self._wrong("result", text, f"solved cubes of 2 to {_MOST_CUBES}, as in 3/4 32:10")
        if ending.solved is not None and ending.ms is None:
            raise self._wrong("result", text, "solved cubes, all cubes and the time, as in 3/4 32:10")
        if outcome is None or ending.outcome is None or outcome is ending.outcome:
            return ending._replace(outcome=ending.outcome or outcome)
        if ending.outcome is Outcome.PLUS2 and outcome is Outcome.SOLVED:
            return ending
        raise self._wrong("outcome", told["outcome"], f"as the result “{text}” says, or empty")

    def _outcome(self, told: dict[str, str]) -> Outcome | None:
        text = told.get("outcome", "").casefold()
        if self._penalties and text in _NO_PENALTY:
            return None
        if not text:
            return None
        if (found := _ENDINGS.get(text)) is None or (self._penalties and text == "1"):
            raise self._wrong("outcome", told["outcome"], f"one of {', '.join(Outcome)}, or +2")
        return found


class _Ending(NamedTuple):
    """A result as it is written: milliseconds as measured, how it ended, and of many cubes how many were solved."""

    ms: int | None = None
    outcome: Outcome | None = None
    solved: int | None = None
    cubes: int = 0


_NUMBER = r"\d[\d:.,]*"


def _read_ending(text: str) -> _Ending:
    """A result as people write it.  Raises ResultError."""
    plain = text.strip().casefold()
    if plain in ("", "-"):
        return _Ending()
    if plain == "dns":
        return _Ending(None, Outcome.DNS)
    if found := re.fullmatch(rf"dnf\s*\(?\s*({_NUMBER})?\s*\)?", plain):
        return _Ending(_clock(found[1]) if found[1] else None, Outcome.DNF)
    if found := re.fullmatch(rf"(\d{{1,4}})\s*/\s*(\d{{1,4}})(?:(?:\s+in\s+|\s*[,;]?\s+|\s*\()({_NUMBER})\)?)?", plain):
        return _Ending(_clock(found[3]) if found[3] else None, None, int(found[1]), int(found[2]))
    if found := re.fullmatch(rf"({_NUMBER})\s*\+(\s*2)?", plain):
        ms = _clock(found[1]) - (0 if found[2] else PENALTY_MS)
        if ms <= 0:
            raise ResultError(f"“{text}” is less than its penalty")
        return _Ending(ms, Outcome.PLUS2)
    return _Ending(_clock(plain))


def _clock(text: str) -> int:
    """Milliseconds of a time, also with a decimal comma, an s, or more digits than milliseconds have."""
    plain = re.sub(r"\s*s(?:ec(?:onds)?)?$", "", text.strip().casefold())
    plain = re.sub(r",(\d+)$", r".\1", plain)
    return read_clock(re.sub(r"(\.\d{3})\d+$", r"\1", plain))


def _event(text: str) -> str:
    """An event by the WCA's id where it is a blind one, however it is written; else as it is written."""
    plain = re.sub(r"[\s_-]", "", text.casefold()).replace("×", "x")
    if found := re.fullmatch(r"([2-7])(?:x\1(?:x\1)?|\1\1)?(?:bf|bld|blind|blindfolded)", plain):
        return f"{found[1] * 3}bf"
    if re.fullmatch(r"(?:3x3x3|3x3|333)?(?:mbf|mbld|multi|multi(?:ple)?(?:bld|blind|blindfolded))", plain):
        return MULTI_EVENT
    return text.strip()


def _time_of_day(text: str) -> time | None:
    found = re.fullmatch(r"(\d{1,2})[:.h](\d\d)(?::(\d\d)(?:\.\d+)?)?\s*(?:([ap])\.?m\.?)?", text.strip().casefold())
    if found is None:
        return None
    hour = int(found[1])
    if found[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[4] == "p" else 0)
    try:
        return time(hour, int(found[2]), int(found[3] or 0))
    except ValueError:
        return None


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def _moment(text: str, dates: Dates) -> tuple[date, time | None, datetime | None] | None:
    """A day, the time of day if it is told, and the moment if its zone is told too; None for what is no day."""
    plain = text.strip()
    if re.match(r"\d{4}-\d\d-\d\d[T ]", plain):
        try:
            whole = datetime.fromisoformat(plain)
        except ValueError:
            whole = None
        if whole is not None:
            return whole.date(), whole.time(), whole if whole.utcoffset() is not None else None
    parts = re.fullmatch(r"(.*?\d)(?:(?:,?\s+|T)(\d{1,2}[:h]\d\d(?::\d\d(?:\.\d+)?)?\s*(?:[AaPp]\.?[Mm]\.?)?))?", plain)
    if parts is None or (day := _day(parts[1], dates)) is None:
        return None
    if parts[2] is None:
        return day, None, None
    return None if (hour := _time_of_day(parts[2])) is None else (day, hour, None)


def _day(text: str, dates: Dates) -> date | None:
    plain = re.sub(r"^[A-Za-z]{2,9}\.?,\s*", "", text.strip())  # the day of the week
    month: int
    if found := re.fullmatch(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", plain):
        year, month, day = int(found[1]), int(found[3]), int(found[4])
    elif found := re.fullmatch(r"(\d{1,2})([-/.])\s?(\d{1,2})\2\s?(\d{4}|\d{2})", plain):
        day, month, year = int(found[1]), int(found[3]), int(found[4])
        if dates == "month-first":
            day, month = month, day
    elif (found := re.fullmatch(r"(\d{1,2})(?:\.|st|nd|rd|th)?[ -]([A-Za-z]{3,9})\.?,?[ -](\d{4}|\d{2})", plain)) or (
        found := re.fullmatch(r"([A-Za-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})", plain)
    ):
        named, number = (found[2], found[1]) if found[1].isdigit() else (found[1], found[2])
        if named[:3].casefold() not in _MONTHS:
            return None
        month, day, year = _MONTHS.index(named[:3].casefold()) + 1, int(number), int(found[3])
    else:
        return None
    try:
        return date(year + (2000 if re.search(r"(?<!\d)\d\d$", plain) and not plain[:4].isdigit() else 0), month, day)
    except ValueError:
        return None


def _listed(names: list[str]) -> str:
    return ", ".join(f"“{name[:40]}”" for name in names[:20])
