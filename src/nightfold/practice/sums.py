"""Reading the kept summaries: attempts, mistakes and answers, counted together by what is asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

from sqlalchemy import ColumnElement, Connection, Date, Table, cast, func, select

from nightfold.practice.errors import LogbookError
from nightfold.practice.tallies import MILLION

#: What of the summary of attempts a tally tells, and what an exposure.
TALLIED = (
    *("attempts", "solved", "plus2", "dnf", "dns", "unfinished"),
    *("timed", "total_ms", "memo_timed", "memo_ms", "executed", "execution_ms"),
)
EXPOSED = ("planned", "letters", "cycles", "parities", "turns")


@dataclass(frozen=True, slots=True)
class Tally:
    """Attempts counted together: those that ``key`` tells, by what they were grouped by.

    ``timed`` are the solved ones whose time is known and ``total_ms`` the sum of these with their penalties,
    ``memo_timed`` and ``memo_ms`` the same for the memo, ``executed`` and ``execution_ms`` for what is left of the time
    after the memo, of those of which both are known.
    """

    key: tuple[Any, ...]
    attempts: int
    solved: int
    plus2: int
    dnf: int
    dns: int
    unfinished: int
    timed: int
    total_ms: int
    memo_timed: int
    memo_ms: int
    executed: int
    execution_ms: int

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Sequence[int]) -> Self:
        """The tally of a group that ``sums`` found."""
        return cls(key, *found)


@dataclass(frozen=True, slots=True)
class MistakeTally:
    """Mistakes counted together; ``weight`` is the sum of their probabilities, ``cost`` that of the ones alone."""

    key: tuple[Any, ...]
    mistakes: int
    weight: float
    cost: float

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Sequence[int]) -> Self:
        """The tally of a group that ``sums`` found."""
        mistakes, weight, cost = found
        return cls(key, mistakes, weight / MILLION, cost / MILLION)


@dataclass(frozen=True, slots=True)
class ReviewTally:
    """Answers counted together; ``timed`` are the right ones whose time is known, ``answer_ms`` the sum of these.

    ``again`` are those to what was last asked a day or more before, ``recalled`` the right ones of these.
    """

    key: tuple[Any, ...]
    reviews: int
    right: int
    share: float
    timed: int
    answer_ms: int
    again: int
    recalled: int

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Sequence[int]) -> Self:
        """The tally of a group that ``sums`` found."""
        reviews, right, share, *rest = found
        return cls(key, reviews, right, share / MILLION, *rest)


def sums(
    connection: Connection,
    table: Table,
    by: Sequence[str],
    wanted: Mapping[str, Any],
    since: str | None,
    until: str | None,
    columns: Sequence[str] | None = None,
) -> list[tuple[tuple[Any, ...], list[int]]]:
    """The sums of a summary for each group that its key columns ``by`` make, or ``week`` or ``month``, in their order.

    A week is told by its Monday, a month as ``2026-03``; where a database does not know weeks, they come as days.

    Only rows that hold what is ``wanted`` count (None where anything will do), of the days from ``since`` to ``until``.
    The sums are those of the ``columns``, or all.  Without ``by`` it is one group, or none where nothing was counted.
    Raises LogbookError for another column.
    """
    keys: list[ColumnElement[Any]] = []
    for name in by:
        if name in ("week", "month"):
            keys.append(_start(name, table.c.day, connection.dialect.name))
        elif name in {column.name for column in table.primary_key} - {"feature", "demo"}:
            keys.append(table.c[name])
        else:
            raise LogbookError(f"nothing is counted by “{name[:40]}” here")
    names = [column.name for column in table.c if not column.primary_key] if columns is None else columns
    totals = [func.sum(table.c[name]) for name in names]
    conditions = _conditions(table, wanted, since, until)
    rows = connection.execute(select(*keys, *totals).where(*conditions).group_by(*keys).order_by(*keys)).all()
    at = len(keys)
    # Sums of whole numbers are whole, but not every database says so.
    whole = list if connection.dialect.name == "sqlite" else _whole
    return [(tuple(row[:at]), whole(row[at:])) for row in rows if row[at] is not None]


def _start(period: str, day: ColumnElement[str], dialect: str) -> ColumnElement[str]:
    """The week or month of a day."""
    if period == "month":
        return func.substr(day, 1, 7)
    match dialect:
        case "sqlite":
            return func.date(day, "-6 days", "weekday 1")
        case "postgresql":
            return func.to_char(func.date_trunc("week", cast(day, Date)), "YYYY-MM-DD")
    return day


def _whole(numbers: Sequence[Any]) -> list[int]:
    return [int(number) for number in numbers]


def days(connection: Connection, table: Table, wanted: Mapping[str, Any]) -> list[str]:
    """The days of a summary on which anything counts that holds what is ``wanted``."""
    query = select(table.c.day).where(*_conditions(table, wanted, None, None)).distinct()
    return list(connection.execute(query).scalars())


def _conditions(
    table: Table, wanted: Mapping[str, Any], since: str | None, until: str | None
) -> list[ColumnElement[bool]]:
    conditions = [table.c[name] == value for name, value in wanted.items() if value is not None]
    conditions += [] if since is None else [table.c.day >= since]
    conditions += [] if until is None else [table.c.day <= until]
    return conditions
