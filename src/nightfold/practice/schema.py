"""The tables of a logbook: one for each kind of record, with its fields for columns, and three of kept summaries.

Times are microseconds since 1970 in universal time, and data are JSON; so both sort and come back alike in every
database.  Referring keys are checked at the end of a transaction, so that records can be written in any order.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    text,
)
from sqlalchemy.types import TypeEngine

from nightfold.practice import fields
from nightfold.practice.records import KINDS, Record, specs

#: The revision of the newest migration, whose tables these are.
HEAD = "0003"
#: The table in which the migrations note their revision.
VERSION_TABLE = "nightfold_schema"
#: Identifies a SQLite file as a logbook: “NFLB” in its header.
APPLICATION_ID = 0x4E464C42

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


class Microseconds(TypeDecorator[datetime]):
    """A moment as microseconds since 1970."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """From the moment to the number."""
        return None if value is None else (value - _EPOCH) // _MICROSECOND

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """From the number to the moment."""
        return None if value is None else _EPOCH + timedelta(microseconds=value)


class Json(TypeDecorator[Any]):
    """Plain data as JSON."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """From the data to the text."""
        return None if value is None else fields.to_json(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:
        """From the text to the data."""
        return None if value is None else json.loads(value)


class JsonList(Json):
    """Texts in order as JSON."""

    cache_ok = True

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:
        """From the text to the tuple of texts."""
        return None if value is None else tuple(json.loads(value))


class Chosen(TypeDecorator[StrEnum]):
    """One word of an enumeration, as that text."""

    impl = String
    cache_ok = True

    def __init__(self, words: type[StrEnum]) -> None:
        super().__init__(20)
        self.words = words

    def process_bind_param(self, value: StrEnum | None, dialect: Dialect) -> str | None:
        """From the word to the text."""
        return None if value is None else str(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> StrEnum | None:
        """From the text to the word."""
        return None if value is None else self.words(value)


def _type_of(holds: fields.Field) -> TypeEngine[Any]:
    match holds:
        case fields.Ident():
            return String(36)
        case fields.Text(line=True):
            return String(holds.most)
        case fields.Text():
            return Text()
        case fields.Pair():
            return String(80)
        case fields.Whole():
            return BigInteger()
        case fields.Number():
            return Double()
        case fields.Flag():
            return Boolean()
        case fields.Moment():
            return Microseconds()
        case fields.Day():
            return String(10)
        case fields.Texts():
            return JsonList()
        case fields.Choice():
            return Chosen(holds.words)
        case _:
            return Json()


metadata = MetaData()

#: What follows the record that a key refers to out of the logbook; other keys become empty.
FOLLOWS = {("cube", "attempt"), ("mistake", "attempt"), ("mistake", "run"), ("review", "card")}
#: By what records are looked up, besides their ids.
_INDEXES: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "series": (("solver", "started"),),
    "attempt": (
        ("started",),
        ("solver", "started"),
        ("solver", "event", "started"),
        ("solver", "method", "started"),
        ("solver", "outcome", "started"),
        ("solver", "event", "outcome", "total_ms"),
        ("series", "number"),
    ),
    "cube": (("attempt", "number"),),
    "run": (("solver", "exercise", "started"),),
    "mistake": (("solver", "found"), ("attempt",), ("run",)),
    "word": (("solver", "language", "pair"),),
    "card": (("solver", "due"), ("solver", "exercise", "due")),
    "review": (("card", "answered"), ("solver", "exercise", "answered"), ("solver", "answered"), ("run",)),
}
#: By what those of the demo are looked up: they are few, so these indexes cost nothing.
_DEMO_INDEXES: Mapping[str, tuple[str, ...]] = {
    "attempt": ("solver", "event", "started"),
    "mistake": ("solver", "found"),
    "review": ("solver", "exercise", "answered"),
}


def _table(kind: type[Record]) -> Table:
    columns: list[Column[Any]] = []
    for spec in specs(kind):
        key: list[ForeignKey] = []
        if (to := kind.refers.get(spec.name)) is not None:
            rule = "CASCADE" if (kind.noun, spec.name) in FOLLOWS else "SET NULL"
            key = [ForeignKey(f"{to}.id", ondelete=rule, deferrable=True, initially="DEFERRED")]
        columns.append(
            Column(spec.name, _type_of(spec.holds), *key, primary_key=spec.name == "id", nullable=spec.optional)
        )
    indexes = [Index(f"{kind.noun}_by_{'_'.join(names)}", *names) for names in _INDEXES.get(kind.noun, ())]
    if (names := _DEMO_INDEXES.get(kind.noun)) is not None:
        indexes.append(
            Index(f"{kind.noun}_of_demo", *names, sqlite_where=text("demo = 1"), postgresql_where=text("demo"))
        )
    return Table(kind.noun, metadata, *columns, *indexes)


#: The table of each kind of record, which is named like one record of it.
TABLES: Mapping[type[Record], Table] = {kind: _table(kind) for kind in KINDS}


def _summary(name: str, keys: Mapping[str, TypeEngine[Any]], sums: tuple[str, ...]) -> Table:
    return Table(
        name,
        metadata,
        *(Column(key, kind, primary_key=True, autoincrement=False) for key, kind in keys.items()),
        *(Column(one, BigInteger, nullable=False) for one in sums),
        sqlite_with_rowid=False,
    )


#: Attempts of one day, event and method: of each ``value`` of a ``feature`` of their plans, or all (``all``, 0).
#: ``timed``, ``memo_timed`` and ``executed`` count the solved ones of which the time, the memo time or both are known,
#: with the sums of their times (penalties in them), memo times, and times less memo times, in milliseconds; the last
#: five are those whose plans and mistakes are known, and what these plans had in all.
ATTEMPT_TALLY = _summary(
    "attempt_tally",
    {
        "feature": String(20),
        "solver": String(200),
        "event": String(200),
        "day": String(10),
        "method": String(200),
        "demo": Boolean(),
        "value": Integer(),
    },
    (
        *("attempts", "solved", "plus2", "dnf", "dns", "unfinished"),
        *("timed", "total_ms", "memo_timed", "memo_ms", "executed", "execution_ms"),
        *("planned", "letters", "cycles", "parities", "turns"),
    ),
)
#: Mistakes of one day; ``weight`` sums their probabilities in millionths, ``cost`` those of the mistakes alone.
MISTAKE_TALLY = _summary(
    "mistake_tally",
    {
        "solver": String(200),
        "day": String(10),
        "source": String(20),
        "kind": String(200),
        "orbit": String(200),
        "demo": Boolean(),
    },
    ("mistakes", "weight", "cost"),
)
#: Answers of one day to one exercise; ``timed`` counts the right ones whose times are known, ``answer_ms`` sums those.
#: ``again`` counts those to what was last asked a day or more before, ``recalled`` the right ones of these.
REVIEW_TALLY = _summary(
    "review_tally",
    {"solver": String(200), "day": String(10), "exercise": String(200), "demo": Boolean()},
    ("reviews", "right", "share", "timed", "answer_ms", "again", "recalled"),
)
