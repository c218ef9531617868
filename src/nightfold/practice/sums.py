"""Reading the kept summaries: attempts, mistakes and answers, counted together by what is asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

from sqlalchemy import ColumnElement, Connection, Table, func, select

from nightfold.practice.errors import LogbookError
from nightfold.practice.tallies import MILLION
from nightfold.practice.tendencies import Exposure


@dataclass(frozen=True, slots=True)
class Tally:
    """Attempts counted together: those that ``key`` tells, by what they were grouped by.

    ``timed`` are the solved ones whose time is known and ``total_ms`` the sum of these, ``memo_timed`` and ``memo_ms``
    the same for the memo; ``exposure`` counts those ended whose plan is known.
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
    exposure: Exposure

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Mapping[str, int]) -> Self:
        """The tally of a group that ``sums`` found."""
        return cls(
            key,
            found["attempts"],
            found["solved"],
            found["plus2"],
            found["dnf"],
            found["dns"],
            found["unfinished"],
            found["timed"],
            found["total_ms"],
            found["memo_timed"],
            found["memo_ms"],
            Exposure(found["planned"], found["letters"], found["cycles"], found["parities"], found["turns"]),
        )


@dataclass(frozen=True, slots=True)
class MistakeTally:
    """Mistakes counted together; ``weight`` is the sum of their probabilities, ``cost`` that of the ones alone."""

    key: tuple[Any, ...]
    mistakes: int
    weight: float
    cost: float

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Mapping[str, int]) -> Self:
        """The tally of a group that ``sums`` found."""
        return cls(key, found["mistakes"], found["weight"] / MILLION, found["cost"] / MILLION)


@dataclass(frozen=True, slots=True)
class ReviewTally:
    """Answers counted together; ``timed`` are the right ones whose time is known, ``answer_ms`` the sum of these."""

    key: tuple[Any, ...]
    reviews: int
    right: int
    share: float
    timed: int
    answer_ms: int

    @classmethod
    def of(cls, key: tuple[Any, ...], found: Mapping[str, int]) -> Self:
        """The tally of a group that ``sums`` found."""
        share = found["share"] / MILLION
        return cls(key, found["reviews"], found["right"], share, found["timed"], found["answer_ms"])


def sums(
    connection: Connection,
    table: Table,
    by: Sequence[str],
    wanted: Mapping[str, Any],
    since: str | None,
    until: str | None,
) -> list[tuple[tuple[Any, ...], dict[str, int]]]:
    """The sums of a summary for each group that its key columns ``by``, or ``month``, make, in their order.

    Only rows that hold what is ``wanted`` count (None where anything will do), of the days from ``since`` to ``until``.
    Without ``by`` it is one group, or none where nothing was counted.  Raises LogbookError for another column.
    """
    keys: list[ColumnElement[Any]] = []
    for name in by:
        if name == "month":
            keys.append(func.substr(table.c.day, 1, 7))
        elif name in {column.name for column in table.primary_key} - {"feature", "demo"}:
            keys.append(table.c[name])
        else:
            raise LogbookError(f"nothing is counted by “{name[:40]}” here")
    conditions = [table.c[name] == value for name, value in wanted.items() if value is not None]
    conditions += [] if since is None else [table.c.day >= since]
    conditions += [] if until is None else [table.c.day <= until]
    names = [column.name for column in table.c if not column.primary_key]
    totals = [func.sum(table.c[name]) for name in names]
    rows = connection.execute(select(*keys, *totals).where(*conditions).group_by(*keys).order_by(*keys))
    at = len(keys)
    return [
        (tuple(row[:at]), {name: int(number) for name, number in zip(names, row[at:], strict=True)})
        for row in rows
        if row[at] is not None
    ]
