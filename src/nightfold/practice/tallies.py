"""What each record adds to the kept summaries, so that a long logbook answers as fast as a short one.

All summaries are sums, so a record that is written adds what it counts for, and one that goes takes it away again.
Shares and probabilities are summed in millionths, as whole numbers, which add up exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from sqlalchemy import ClauseElement, ColumnElement, Connection, Table, and_, bindparam, delete, insert, select, update
from sqlalchemy.sql.compiler import SQLCompiler

from nightfold.practice.records import Attempt, Mistake, Record, Review
from nightfold.practice.results import PENALTY_MS, Outcome
from nightfold.practice.schema import ATTEMPT_TALLY, MISTAKE_TALLY, REVIEW_TALLY

#: The summaries.
TALLIES = (ATTEMPT_TALLY, MISTAKE_TALLY, REVIEW_TALLY)
#: Millionths in one.
MILLION = 1_000_000
#: From so many days on between two answers the later one tells what was kept in mind.  A day less some hours, as one
#: does not practise at the same minute every day.
KEPT_FOR = 20 / 24
#: The feature that all attempts have.
ALL = "all"
#: Features of plans by which attempts are counted.
FEATURES = ("letters", "edge_letters", "corner_letters", "breaks", "flipped", "twisted", "parity")

_SOLVED = (Outcome.SOLVED, Outcome.PLUS2)
#: In the order of the summary's columns.
_OUTCOMES = (Outcome.SOLVED, Outcome.PLUS2, Outcome.DNF, Outcome.DNS, Outcome.UNFINISHED)
_KEYS = {table: tuple(column.name for column in table.primary_key) for table in TALLIES}
_SUMS = {table: tuple(column.name for column in table.c if not column.primary_key) for table in TALLIES}

#: What is added: for each summary, by the keys of its rows, the sums in the order of its columns.
Sums = dict[tuple[Any, ...], list[int]]
#: What a record counts for: a summary, keys of rows of it, and what is added to each of these.
Counted = tuple[Table, list[tuple[Any, ...]], list[int]]


def features_of(attempt: Attempt) -> Iterator[tuple[str, int]]:
    """The features of an attempt's plan that are known."""
    for feature in FEATURES:
        if feature == "letters":
            value = _letters(attempt)
        else:
            value = getattr(attempt, feature)
        if value is not None:
            yield feature, int(value)


def _letters(attempt: Attempt) -> int | None:
    both = attempt.edge_letters, attempt.corner_letters
    return None if both == (None, None) else sum(count or 0 for count in both)


def planned(attempt: Attempt) -> list[int]:
    """What an attempt adds if its plan and its mistakes are known: itself, its letters, cycles, parity and turns.

    A solved one had no mistakes; those of one that failed can only be known if the cube that came out is.
    """
    letters = _letters(attempt)
    known = attempt.outcome in _SOLVED or (attempt.outcome is Outcome.DNF and attempt.final is not None)
    if letters is None or not known:
        return [0, 0, 0, 0, 0]
    return [1, letters, attempt.cycles or 0, int(attempt.parity or False), attempt.turns or 0]


def _of_attempt(attempt: Attempt) -> Counted:
    outcome = attempt.outcome
    total = attempt.total_ms if outcome in _SOLVED else None
    memo = attempt.memo_ms if outcome in _SOLVED else None
    timed = None if total is None else total + PENALTY_MS * (outcome is Outcome.PLUS2)
    executed = None if total is None or memo is None else max(0, total - memo)
    sums = [1, *(int(outcome is one) for one in _OUTCOMES)]
    for ms in (timed, memo, executed):
        sums += [int(ms is not None), ms or 0]
    sums += planned(attempt)
    rest = (attempt.solver, attempt.event, attempt.day, attempt.method, attempt.demo)
    return ATTEMPT_TALLY, [(ALL, *rest, 0), *((name, *rest, value) for name, value in features_of(attempt))], sums


def _of_mistake(mistake: Mistake) -> Counted:
    weight = round(mistake.probability * MILLION)
    key = (mistake.solver, mistake.day, str(mistake.source), mistake.kind, mistake.orbit, mistake.demo)
    return MISTAKE_TALLY, [key], [1, weight, weight if mistake.alone else 0]


def _of_review(review: Review) -> Counted:
    timed = review.answer_ms if review.right else None
    again = review.days_since is not None and review.days_since >= KEPT_FOR
    sums = [1, int(review.right), round(review.share * MILLION), int(timed is not None), timed or 0]
    sums += [int(again), int(again and review.right)]
    return REVIEW_TALLY, [(review.solver, review.day, review.exercise, review.demo)], sums


class Tallying:
    """Gathers what written and removed records change in the summaries, to change each row of these once."""

    def __init__(self) -> None:
        self.sums: dict[Table, Sums] = {table: {} for table in TALLIES}

    def add(self, records: Iterable[Record]) -> None:
        """Count records in."""
        self._count(records, 1)

    def take(self, records: Iterable[Record]) -> None:
        """Count records out."""
        self._count(records, -1)

    def _count(self, records: Iterable[Record], sign: int) -> None:
        for record in records:
            match record:
                case Attempt():
                    table, keys, counted = _of_attempt(record)
                case Mistake():
                    table, keys, counted = _of_mistake(record)
                case Review():
                    table, keys, counted = _of_review(record)
                case _:
                    continue
            rows = self.sums[table]
            for key in keys:
                row = rows.get(key)
                if row is None:
                    rows[key] = [sign * number for number in counted]
                else:
                    for at, number in enumerate(counted):
                        row[at] += sign * number

    def write(self, connection: Connection) -> None:
        """Change the summaries, within the connection's transaction."""
        for table, rows in self.sums.items():
            _add(connection, table, [(*key, *sums) for key, sums in sorted(rows.items()) if any(sums)])
            rows.clear()


def _add(connection: Connection, table: Table, rows: list[tuple[Any, ...]]) -> None:
    """Add to rows of a summary, and make those that are not there."""
    if not rows:
        return
    named = [dict(zip(table.c.keys(), row, strict=True)) for row in rows]
    adding = _adding(connection.dialect.name, table)
    if adding is None:
        add_one_by_one(connection, table, named)
    else:
        # There may be hundreds of thousands; as plain statements they go straight to the driver.
        compiled = adding.compile(dialect=connection.dialect)
        assert isinstance(compiled, SQLCompiler)
        connection.exec_driver_sql(compiled.string, rows if compiled.positiontup == table.c.keys() else named)
    # A row is left with nothing only where something was taken away.
    counted = table.c[_SUMS[table][0]]
    if emptied := [row for row in named if row[counted.name] < 0]:
        keys = [{f"at_{name}": row[name] for name in _KEYS[table]} for row in emptied]
        connection.execute(delete(table).where(_here(table), counted == 0), keys)


@cache
def _adding(dialect: str, table: Table) -> ClauseElement | None:
    """The statement that adds to a row of a summary or makes it; None where a database has none."""
    if dialect not in ("sqlite", "postgresql"):
        return None
    from sqlalchemy.dialects import postgresql, sqlite

    made = sqlite.insert(table) if dialect == "sqlite" else postgresql.insert(table)
    return made.on_conflict_do_update(
        index_elements=list(_KEYS[table]),
        set_={name: table.c[name] + made.excluded[name] for name in _SUMS[table]},
    )


def add_one_by_one(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Add to rows of a summary in any database; writers come one at a time, so nobody else makes them in between."""
    more = {name: table.c[name] + bindparam(f"of_{name}") for name in _SUMS[table]}
    for row in rows:
        given = {f"at_{name}": row[name] for name in _KEYS[table]} | {f"of_{name}": row[name] for name in _SUMS[table]}
        if connection.execute(update(table).where(_here(table)).values(more), given).rowcount == 0:
            connection.execute(insert(table), row)


def _here(table: Table) -> ColumnElement[bool]:
    return and_(*(table.c[name] == bindparam(f"at_{name}") for name in _KEYS[table]))


def kept_sums(connection: Connection) -> dict[tuple[str, tuple[Any, ...]], dict[str, int]]:
    """All that the summaries hold, by the names of their tables and their keys."""
    found = {}
    for table in TALLIES:
        for row in connection.execute(select(table)).mappings():
            found[table.name, tuple(row[name] for name in _KEYS[table])] = {name: row[name] for name in _SUMS[table]}
    return found


def plain_sums(tallying: Tallying) -> dict[tuple[str, tuple[Any, ...]], dict[str, int]]:
    """What was counted, in the same form."""
    return {
        (table.name, key): dict(zip(_SUMS[table], sums, strict=True))
        for table, rows in tallying.sums.items()
        for key, sums in rows.items()
        if any(sums)
    }
