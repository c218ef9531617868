"""The logbook: what is practised, kept for good.

Every method that writes is one transaction, and when it returns, what it wrote is on the disk.  One logbook may be used
by many threads, and one file or database by many processes, at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self, TypeVar

from sqlalchemy import ColumnElement, Connection, Select, String, case, func, select, type_coerce

from nightfold.practice.attempts import MULTI_EVENT, goes_on, multi_outcome, multi_result
from nightfold.practice.database import Database
from nightfold.practice.errors import BusyError, ClashError, LogbookError, RecordError, StoringError
from nightfold.practice.migration import revision_of, steps_from
from nightfold.practice.naming import named
from nightfold.practice.opening import prepare, refuse_lost
from nightfold.practice.places import logbook_place
from nightfold.practice.records import (
    Attempt,
    AttemptCube,
    Card,
    Fact,
    Mistake,
    Record,
    Review,
    Route,
    Run,
    Series,
    Solver,
    Source,
    Word,
)
from nightfold.practice.results import FEWEST_CUBES, PENALTY_MS, MultiResult, Outcome, result_of
from nightfold.practice.schema import ATTEMPT_TALLY, MISTAKE_TALLY, REVIEW_TALLY, TABLES
from nightfold.practice.sums import EXPOSED, TALLIED, MistakeTally, ReviewTally, Tally, days, sums
from nightfold.practice.tallies import ALL, FEATURES
from nightfold.practice.tendencies import Exposure
from nightfold.practice.upkeep import Upkeep
from nightfold.practice.writing import Writer, count, find, find_by_id, in_chunks

R = TypeVar("R", bound=Record)
_OUTCOMES = {str(outcome): outcome for outcome in Outcome}
_ENDED = (Outcome.SOLVED, Outcome.DNF)
#: What tells an attempt that begins from another one.
_BEGUN = ("started", "scramble", "solver", "event")


def _upgrade(database: Database) -> None:
    """Bring a logbook that is only read up to this program, as writing to it would."""
    database.close()
    writable = Database(database.path or database.url.render_as_string(hide_password=False))
    try:
        prepare(writable, make=False, back_up=False)
    except (StoringError, BusyError) as trouble:
        raise LogbookError(
            f"the logbook {database.shown} is from an older version and must be upgraded before it is read: {trouble}"
        ) from None
    finally:
        writable.close()


class Ended(NamedTuple):
    """An attempt that ended, in short."""

    id: str
    day: str
    outcome: Outcome
    total_ms: int | None
    memo_ms: int | None

    @property
    def result(self) -> int | None:
        """The result in hundredths of a second; None if it is none."""
        return None if self.total_ms is None else result_of(self.outcome, self.total_ms)


class Logbook:
    """A logbook that is open; ``close`` it, or use it as a context manager."""

    def __init__(self, database: Database, warnings: Iterable[str] = ()) -> None:
        self.database = database
        #: What a person should know though the logbook could be opened, such as that no backup could be made.
        self.warnings = list(warnings)
        self._upkeep: Upkeep | None = None

    @classmethod
    def open(cls, place: str | Path | None = None, *, make: bool = True, backups: bool = True) -> Self:
        """Open the logbook at a path or the URL of a database, or where settings say.

        If there is none it is made, unless ``make`` is False, and a daily backup is made if one is due, unless
        ``backups`` is False; that of a large logbook is made meanwhile.  Raises LogbookError with what is wrong and
        what to do, StoringError where it cannot be written to.
        """
        database = Database(logbook_place()[0] if place is None else place)
        try:
            book = cls(database, prepare(database, make=make, back_up=backups))
            if backups:
                book._upkeep = Upkeep(database, book.warnings)
            return book
        except BaseException:
            database.close()
            raise

    @classmethod
    def look(cls, place: str | Path | None = None) -> Self | None:
        """Open a logbook for reading only; None if there is none yet.

        One whose tables are older than this program is upgraded first, after a backup.  Raises LogbookError, also
        where that cannot be.
        """
        database = Database(logbook_place()[0] if place is None else place, writes=False)
        try:
            if database.path is not None and not (database.path.exists() and database.path.stat().st_size):
                refuse_lost(database, database.path)
                database.close()
                return None
            with database.reading() as connection:
                revision = revision_of(connection)
            if revision is not None and steps_from(revision):
                _upgrade(database)
            if revision is None:
                database.close()
                return None
            return cls(database)
        except BaseException:
            database.close()
            raise

    def close(self) -> None:
        """Let go of the file or the server, once a backup that is being made is there."""
        if self._upkeep is not None:
            self._upkeep.finish()
        self.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, trouble: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # --- any records -----------------------------------------------------------------------------------------

    def add(self, *records: Record) -> int:
        """Write records of any kinds, all or none; how many were new.

        One that is there already just so is left alone.  Raises ClashError for one that is there with other content.
        """
        with self.database.writing() as connection:
            writer = Writer(connection)
            added = writer.add(records)
            if added.different:
                first = added.different[0]
                raise ClashError(f"{named(first)} is there already, with other content; nothing was written")
            writer.finish()
        return added.new

    def put(self, *records: Record) -> None:
        """Write records of any kinds, all or none, each in the place of the one that has its id, if there is one."""
        with self.database.writing() as connection:
            writer = Writer(connection)
            writer.put(records)
            writer.finish()

    def get(self, kind: type[R], ident: str) -> R | None:
        """The record of a kind that has this id, if there is one."""
        with self.database.reading() as connection:
            return find_by_id(connection, kind, [ident]).get(ident)

    def remove(self, kind: type[Record], *idents: str) -> int:
        """Remove records, and those that are part of them, as an attempt's mistakes are; how many there were."""
        with self.database.writing() as connection:
            writer = Writer(connection)
            removed = writer.remove(kind, idents)
            writer.finish()
        return removed

    def counts(self) -> dict[str, int]:
        """How many records there are, by what their kind is called."""
        with self.database.reading() as connection:
            return count(connection)

    def remove_demo(self) -> int:
        """Remove all that the demo brought; how many records that were."""
        removed = 0
        with self.database.writing() as connection:
            writer = Writer(connection)
            for kind, table in reversed(list(TABLES.items())):
                idents = connection.execute(select(table.c.id).where(table.c.demo)).scalars().all()
                removed += writer.remove(kind, idents)
            writer.finish()
        return removed

    def _find(
        self,
        kind: type[R],
        *conditions: ColumnElement[bool] | None,
        order: Sequence[ColumnElement[Any]] = (),
        most: int | None = None,
    ) -> list[R]:
        query = select(TABLES[kind]).where(*(one for one in conditions if one is not None)).order_by(*order)
        with self.database.reading() as connection:
            return list(find(connection, kind, query if most is None else query.limit(most)))

    # --- solvers and facts -----------------------------------------------------------------------------------

    def solvers(self) -> list[str]:
        """The names of all whose practice is kept, in order; the empty one is oneself."""
        names: set[str] = set()
        with self.database.reading() as connection:
            names.update(connection.execute(select(TABLES[Solver].c.name)).scalars())
            for kind in (Series, Attempt, Run, Mistake, Route, Word, Card, Review):
                column = TABLES[kind].c.solver
                # Name by name through the index: there are few names, and there may be a million records.
                name = connection.execute(select(func.min(column))).scalar()
                while name is not None:
                    names.add(name)
                    name = connection.execute(select(func.min(column)).where(column > name)).scalar()
        return sorted(names)

    def fact(self, name: str) -> str | None:
        """What is known of the logbook itself under a name."""
        found = self.get(Fact, Fact(name=name).id)
        return None if found is None else found.value

    def set_fact(self, name: str, value: str | None) -> None:
        """Note something of the logbook itself, or forget it."""
        if value is None:
            self.remove(Fact, Fact(name=name).id)
        else:
            self.put(Fact(name=name, value=value))

    # --- attempts --------------------------------------------------------------------------------------------

    def add_attempt(
        self, attempt: Attempt, cubes: Iterable[AttemptCube] = (), mistakes: Iterable[Mistake] = ()
    ) -> bool:
        """Write an attempt with its cubes and mistakes; whether anything of it was new.  Raises ClashError."""
        return self.add(attempt, *cubes, *mistakes) > 0

    def begin_attempt(
        self, attempt: Attempt, cubes: Iterable[AttemptCube] = (), series: Series | None = None
    ) -> Attempt:
        """Write an attempt that begins, with the next number of its series; what is kept then.

        ``series`` is one that it shall count in: if one of its solver and kind still goes on, of its name or of none,
        that one is taken and gets the name, else this one is written.  Finding it and counting are part of the
        transaction, so attempts that begin at once have one series, and numbers of their own.  One that is there
        already stays as it is.  Raises ClashError where that is another one.
        """
        cubes = list(cubes)
        with self.database.writing() as connection:
            known = find_by_id(connection, Attempt, [attempt.id]).get(attempt.id)
            if known is not None:
                of = TABLES[AttemptCube].c
                query = select(TABLES[AttemptCube]).where(of.attempt == known.id).order_by(of.number)
                there = [cube.scramble for cube in find(connection, AttemptCube, query)]
                same = all(getattr(known, name) == getattr(attempt, name) for name in _BEGUN)
                if not same or there != [cube.scramble for cube in cubes]:
                    raise ClashError(
                        f"the attempt {attempt.id} is in the logbook already, with another scramble, solver or start; "
                        "give a new attempt an id of its own"
                    )
                return known
            writer = Writer(connection)
            if series is not None:
                series = _open_series(connection, series, attempt.started)
                writer.put([series])
                attempt = replace(attempt, series=series.id)
            if attempt.series is not None:
                table = TABLES[Attempt].c
                numbers = select(func.max(table.number), func.count()).where(table.series == attempt.series)
                highest, count = connection.execute(numbers).one()
                attempt = replace(attempt, number=max(highest or 0, count) + 1)
            writer.add([attempt, *cubes])
            writer.finish()
        return attempt

    def judge_cube(
        self, ident: str, number: int, outcome: Outcome, final: str | None = None
    ) -> tuple[Attempt, AttemptCube]:
        """Keep how one of many cubes came out, and what follows from it for the attempt; what both are then.

        A cube that is no DNF has no net of what came out and no mistakes.  Raises RecordError where there is none.
        """
        with self.database.writing() as connection:
            attempt, cubes = _with_cubes(connection, ident)
            if number not in cubes:
                raise RecordError(f"the attempt {ident[:40]} has no cube {number}")
            known = cubes[number].final if outcome is Outcome.DNF else None
            cubes[number] = replace(cubes[number], outcome=outcome, final=known if final is None else final)
            writer = Writer(connection)
            if len(cubes) >= FEWEST_CUBES and (whole := multi_outcome(attempt, list(cubes.values()))) in _ENDED:
                attempt = replace(attempt, outcome=whole)
            writer.put([cubes[number], attempt])
            if outcome is not Outcome.DNF:
                writer.remove(Mistake, _found_at(connection, ident, number))
            writer.finish()
        return attempt, cubes[number]

    def keep_inquest(
        self,
        ident: str,
        mistakes: Iterable[Mistake],
        *,
        cube: int | None = None,
        final: str | None = None,
        memo: Mapping[str, str] | None = None,
    ) -> None:
        """Keep what an inquest into an attempt, or into one of its many cubes, was told and found, all or none.

        What was found before goes; ``final`` and ``memo`` stay as they were where they are not told.  Raises
        RecordError, also for mistakes that are of another attempt or were found otherwise.
        """
        mistakes = list(mistakes)
        if any(mistake.attempt != ident or mistake.source is not Source.INQUEST for mistake in mistakes):
            raise RecordError(f"these are not all mistakes of the attempt {ident[:40]}, found by an inquest")
        told: dict[str, Any] = {"final": final, "memo": memo}
        given = {name: value for name, value in told.items() if value is not None}
        with self.database.writing() as connection:
            attempt, cubes = _with_cubes(connection, ident)
            if cube is not None and cube not in cubes:
                raise RecordError(f"the attempt {ident[:40]} has no cube {cube}")
            writer = Writer(connection)
            writer.put([replace(attempt if cube is None else cubes[cube], **given)])
            writer.remove(Mistake, _found_at(connection, ident, cube))
            writer.put(mistakes)
            writer.finish()

    def change_attempt(self, ident: str, **changes: Any) -> Attempt:
        """Change fields of an attempt, as when it ends: ``outcome``, ``total_ms`` and so on; what it is then.

        One that turns out to have been no DNF has no mistakes any more.  Raises RecordError for an attempt that is not
        there, and for what its fields cannot hold.
        """
        with self.database.writing() as connection:
            found = find_by_id(connection, Attempt, [ident]).get(ident)
            if found is None:
                raise RecordError(f"there is no attempt {ident[:40]}")
            try:
                changed = replace(found, **changes)
            except TypeError:
                raise RecordError(f"attempts have no {' and '.join(sorted(changes))}") from None
            if changed.id != ident:
                raise RecordError("the id of an attempt cannot be changed")
            writer = Writer(connection)
            writer.put([changed])
            if found.outcome is Outcome.DNF and changed.outcome is not Outcome.DNF:
                writer.remove(Mistake, _found_at(connection, ident, None))
            writer.finish()
        return changed

    def finish_attempt(
        self,
        ident: str,
        outcome: Outcome,
        total_ms: int | None,
        *,
        memo_ms: int | None = None,
        final: str | None = None,
        memo: Mapping[str, str] | None = None,
    ) -> Attempt:
        """End an attempt; what is not told stays as it was.  Raises RecordError."""
        told = {"total_ms": total_ms, "memo_ms": memo_ms, "final": final, "memo": memo}
        given = {name: value for name, value in told.items() if value is not None}
        return self.change_attempt(ident, outcome=outcome, **given)

    def attempts(
        self,
        *,
        solver: str | None = "",
        event: str | None = None,
        method: str | None = None,
        outcomes: Iterable[Outcome] | None = None,
        series: str | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
        demo: bool | None = None,
        before: Attempt | None = None,
        most: int | None = 50,
    ) -> list[Attempt]:
        """Attempts, the newest first; those of all solvers where it is None.

        ``since`` is included and ``until`` is not.  ``before`` is the last attempt of a page, to get the next one.
        """
        table = TABLES[Attempt].c
        chosen = None if outcomes is None else list(outcomes)
        older: ColumnElement[bool] | None = None
        if before is not None:
            older = (table.started < before.started) | ((table.started == before.started) & (table.id < before.id))
            older &= table.started <= before.started  # what the index can find the place by
        if chosen is not None and len(chosen) == 1:
            of_outcome: ColumnElement[bool] | None = table.outcome == chosen[0]
        else:
            of_outcome = None if chosen is None else table.outcome.in_(chosen)
        return self._find(
            Attempt,
            _is(table.solver, solver),
            _is(table.event, event),
            _is(table.method, method),
            _is(table.series, series),
            _is(table.demo, demo),
            of_outcome,
            None if since is None else table.started >= since,
            None if until is None else table.started < until,
            older,
            order=(table.started.desc(), table.id.desc()),
            most=most,
        )

    def cubes(self, *attempts: str) -> list[AttemptCube]:
        """The cubes of multi-blind attempts, in order."""
        table = TABLES[AttemptCube].c
        return self._find(AttemptCube, table.attempt.in_(attempts), order=(table.attempt, table.number))

    def ended(
        self,
        *,
        solver: str | None = "",
        event: str | None = None,
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
        most: int | None = 300,
    ) -> list[Ended]:
        """The newest attempts that ended, the newest first, in short.  ``since`` and ``until`` are days, included."""
        table = TABLES[Attempt].c
        # The words of outcomes as they are kept: to look each up again takes longer than all the rest.
        columns = (table.id, table.day, type_coerce(table.outcome, String), table.total_ms, table.memo_ms)
        query = _newest(select(*columns), solver, event, since, until, demo, most)
        with self.database.reading() as connection:
            rows = connection.execute(query).all()
        return [Ended(ident, day, _OUTCOMES[word], *times) for ident, day, word, *times in rows]

    def times(
        self,
        *,
        solver: str | None = "",
        event: str | None = None,
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
        most: int = 300,
    ) -> list[tuple[str, int | None, int | None]]:
        """Day, time and memo time of the newest attempts that ended, the oldest first, as measured, with penalties.

        Both times are None of an attempt that failed.  ``since`` and ``until`` are days, included.
        """
        table = TABLES[Attempt].c
        solved = table.outcome.in_((Outcome.SOLVED, Outcome.PLUS2))
        penalty = case((table.outcome == Outcome.PLUS2, PENALTY_MS), else_=0)
        columns = table.day, case((solved, table.total_ms + penalty)), case((solved, table.memo_ms))
        query = _newest(select(*columns), solver, event, since, until, demo, most)
        with self.database.reading() as connection:
            return [(day, time, memo) for day, time, memo in connection.execute(query).all()][::-1]

    def scores(
        self,
        *,
        solver: str | None = "",
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
        most: int | None = 300,
    ) -> list[tuple[str, str, MultiResult | None]]:
        """The newest attempts at many cubes that ended, the oldest first: id, day and score; None where it has none.

        ``since`` and ``until`` are days, included.
        """
        table = TABLES[Attempt].c
        query = _newest(select(table.id), solver, MULTI_EVENT, since, until, demo, most)
        with self.database.reading() as connection:
            idents = list(connection.execute(query).scalars())
            found: list[tuple[str, str, MultiResult | None]] = []
            for some in in_chunks(idents):
                attempts = find_by_id(connection, Attempt, some)
                of = TABLES[AttemptCube].c
                cubes: dict[str, list[AttemptCube]] = {}
                for cube in find(connection, AttemptCube, select(TABLES[AttemptCube]).where(of.attempt.in_(some))):
                    cubes.setdefault(cube.attempt, []).append(cube)
                for ident in some:
                    mine = cubes.get(ident, [])
                    score = multi_result(attempts[ident], mine) if len(mine) >= FEWEST_CUBES else None
                    found.append((ident, attempts[ident].day, score))
        return found[::-1]

    def best(self, *, solver: str = "", event: str, demo: bool | None = None) -> tuple[int, str] | None:
        """The shortest time of a solved attempt as measured, its penalty added, and its day; None if there is none."""
        table = TABLES[Attempt].c
        found = []
        with self.database.reading() as connection:
            for outcome, more in ((Outcome.SOLVED, 0), (Outcome.PLUS2, PENALTY_MS)):
                mine = [table.solver == solver, table.event == event, table.outcome == outcome]
                mine += [table.total_ms.is_not(None), *([] if demo is None else [table.demo == demo])]
                query = select(table.total_ms, table.day).where(*mine).order_by(table.total_ms).limit(1)
                found += [(ms + more, day) for ms, day in connection.execute(query)]
        return min(found, default=None)

    def tallies(
        self,
        *by: str,
        feature: str = ALL,
        solver: str | None = "",
        event: str | None = None,
        method: str | None = None,
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
    ) -> list[Tally]:
        """Attempts counted, from the kept summaries, in the order of what they are counted by.

        ``by`` is any of ``solver``, ``event``, ``method``, ``day``, ``week``, ``month`` and ``value``, which is the
        value of the ``feature``: ``letters``, ``edge_letters``, ``corner_letters``, ``breaks``, ``flipped``,
        ``twisted``, ``parity``.  ``since`` and ``until`` are days, both included.  Raises LogbookError for any other.
        """
        if feature not in (ALL, *FEATURES):
            raise LogbookError(f"attempts are not counted by “{feature[:40]}”; features are {', '.join(FEATURES)}")
        wanted = {"feature": feature, "solver": solver, "event": event, "method": method, "demo": demo}
        with self.database.reading() as connection:
            rows = sums(connection, ATTEMPT_TALLY, by, wanted, since, until, TALLIED)
        return [Tally.of(key, found) for key, found in rows]

    def exposure(self, *, solver: str = "", since: str | None = None, demo: bool | None = None) -> Exposure:
        """How often mistakes could have happened in the attempts whose plans are known."""
        wanted = {"feature": ALL, "solver": solver, "demo": demo}
        with self.database.reading() as connection:
            rows = sums(connection, ATTEMPT_TALLY, (), wanted, since, None, EXPOSED)
        return Exposure(*rows[0][1]) if rows else Exposure()

    def add_series(self, series: Series) -> bool:
        """Write a series; whether it was new.  Raises ClashError."""
        return self.add(series) > 0

    def series(self, *, solver: str | None = "", demo: bool | None = None, most: int | None = 50) -> list[Series]:
        """Series, the newest first."""
        table = TABLES[Series].c
        order = (table.started.desc(), table.id.desc())
        return self._find(Series, _is(table.solver, solver), _is(table.demo, demo), order=order, most=most)

    # --- mistakes --------------------------------------------------------------------------------------------

    def mistakes(
        self,
        *,
        solver: str | None = "",
        attempts: Iterable[str] | None = None,
        source: Source | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
        demo: bool | None = None,
        most: int | None = 1000,
    ) -> list[Mistake]:
        """Mistakes, the newest first, and of one attempt the likeliest explanations first; ``until`` is left out."""
        table = TABLES[Mistake].c
        idents = None if attempts is None else list(attempts)
        # Through the few of these attempts, not through all that the solver ever made.
        whose = table.solver if idents is None else table.solver.concat("")
        return self._find(
            Mistake,
            _is(whose, solver),
            None if idents is None else table.attempt.in_(idents),
            _is(table.source, source),
            _is(table.demo, demo),
            None if since is None else table.found >= since,
            None if until is None else table.found < until,
            order=(table.found.desc(), table.attempt, table.explanation, table.orbit, table.at, table.id),
            most=most,
        )

    def weights_at_many(
        self, *, solver: str = "", since: datetime | None = None, demo: bool | None = None
    ) -> dict[str, float]:
        """By kind, the probabilities of all mistakes that inquests into attempts at many cubes found, summed."""
        table, of = TABLES[Mistake].c, TABLES[Attempt].c
        wanted = [of.solver == solver, of.event == MULTI_EVENT, table.source == Source.INQUEST]
        wanted += [] if demo is None else [of.demo == demo]
        wanted += [] if since is None else [table.found >= since]
        both = TABLES[Mistake].join(TABLES[Attempt], table.attempt == of.id)
        query = select(table.kind, func.sum(table.probability)).select_from(both).where(*wanted).group_by(table.kind)
        with self.database.reading() as connection:
            return {kind: float(weight) for kind, weight in connection.execute(query)}

    def mistake_tallies(
        self,
        *by: str,
        solver: str | None = "",
        source: Source | None = None,
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
    ) -> list[MistakeTally]:
        """Mistakes counted, from the kept summaries, in the order of what they are counted by.

        ``by`` is any of ``solver``, ``source``, ``kind``, ``orbit``, ``day``, ``week`` and ``month``.  ``since`` and
        ``until`` are days, both included.  Raises LogbookError for any other.
        """
        wanted = {"solver": solver, "source": None if source is None else str(source), "demo": demo}
        with self.database.reading() as connection:
            rows = sums(connection, MISTAKE_TALLY, by, wanted, since, until)
        return [MistakeTally.of(key, found) for key, found in rows]

    # --- drills ----------------------------------------------------------------------------------------------

    def add_review(self, review: Review, card: Card, mistakes: Iterable[Mistake] = ()) -> bool:
        """Write an answer, what its card is after it and the mistakes in it, all or none; whether the answer was new.

        A repeated write leaves the others alone, since later answers may have changed the card.  Raises ClashError.
        """
        if review.card != card.id:
            raise RecordError("the card is not the one that the review is of")
        with self.database.writing() as connection:
            writer = Writer(connection)
            added = writer.add([review])
            if added.different:
                raise ClashError(f"{named(review)} is there already, with other content; nothing was written")
            if added.new:
                writer.put([card, *mistakes])
            writer.finish()
        return added.new > 0

    def card(self, exercise: str, subject: str, *, solver: str = "") -> Card | None:
        """The card of a subject, if there is one."""
        table = TABLES[Card].c
        mine = (table.solver == solver, table.exercise == exercise, table.subject == subject)
        return next(iter(self._find(Card, *mine)), None)

    def cards(self, *, solver: str = "", exercise: str | None = None, demo: bool | None = None) -> list[Card]:
        """All cards of a solver, by exercise and subject."""
        table = TABLES[Card].c
        order = (table.exercise, table.subject)
        mine = (table.solver == solver, _is(table.exercise, exercise), _is(table.demo, demo))
        return self._find(Card, *mine, order=order)

    def due_cards(
        self, now: datetime, *, solver: str = "", exercise: str | None = None, most: int | None = 200
    ) -> list[Card]:
        """The cards that are due, the longest due first."""
        table = TABLES[Card].c
        mine = (table.solver == solver, _is(table.exercise, exercise), table.due <= now)
        return self._find(Card, *mine, order=(table.due, table.id), most=most)

    def due_counts(self, now: datetime, *, solver: str = "") -> dict[str, int]:
        """How many cards are due, by exercise."""
        table = TABLES[Card].c
        query = select(table.exercise, func.count()).where(table.solver == solver, table.due <= now)
        with self.database.reading() as connection:
            rows = connection.execute(query.group_by(table.exercise).order_by(table.exercise))
            return {row.exercise: row[1] for row in rows}

    def reviews(
        self,
        *,
        solver: str | None = "",
        exercise: str | None = None,
        card: str | None = None,
        run: str | None = None,
        since: datetime | None = None,
        demo: bool | None = None,
        most: int | None = 200,
    ) -> list[Review]:
        """Answers, the newest first."""
        table = TABLES[Review].c
        return self._find(
            Review,
            _is(table.solver, solver),
            _is(table.exercise, exercise),
            _is(table.card, card),
            _is(table.run, run),
            _is(table.demo, demo),
            None if since is None else table.answered >= since,
            order=(table.answered.desc(), table.id.desc()),
            most=most,
        )

    def answer_times(self, exercise: str, *, solver: str = "", most: int = 200) -> list[int]:
        """The times of the last right answers to an exercise, in milliseconds, the newest first."""
        table = TABLES[Review].c
        query = (
            select(table.right, table.answer_ms)
            .where(table.solver == solver, table.exercise == exercise)
            .order_by(table.answered.desc())
            .limit(4 * most)
        )
        with self.database.reading() as connection:
            times = [ms for right, ms in connection.execute(query) if right and ms is not None]
        return times[:most]

    def review_tallies(
        self,
        *by: str,
        solver: str | None = "",
        exercise: str | None = None,
        since: str | None = None,
        until: str | None = None,
        demo: bool | None = None,
    ) -> list[ReviewTally]:
        """Answers counted, from the kept summaries, in the order of what they are counted by.

        ``by`` is any of ``solver``, ``exercise``, ``day``, ``week`` and ``month``.  ``since`` and ``until`` are
        days, both included.  Raises LogbookError for any other.
        """
        wanted = {"solver": solver, "exercise": exercise, "demo": demo}
        with self.database.reading() as connection:
            rows = sums(connection, REVIEW_TALLY, by, wanted, since, until)
        return [ReviewTally.of(key, found) for key, found in rows]

    def add_run(self, run: Run) -> bool:
        """Write a run of an exercise; whether it was new.  Raises ClashError; to end a run, ``put`` it."""
        return self.add(run) > 0

    def runs(self, *, solver: str | None = "", exercise: str | None = None, most: int | None = 50) -> list[Run]:
        """Runs of exercises, the newest first."""
        table = TABLES[Run].c
        order = (table.started.desc(), table.id.desc())
        return self._find(Run, _is(table.solver, solver), _is(table.exercise, exercise), order=order, most=most)

    # --- words and routes ------------------------------------------------------------------------------------

    def put_word(self, word: Word) -> None:
        """Write a word, in the place of the same word for the same pair, if there is one."""
        self.put(word)

    def remove_word(self, word: Word) -> bool:
        """Remove a word; whether it was there."""
        return self.remove(Word, word.id) > 0

    def words(self, *, solver: str = "", language: str | None = None, pair: str | None = None) -> list[Word]:
        """Words by pair, those of one pair the best known first."""
        table = TABLES[Word].c
        mine = (table.solver == solver, _is(table.language, language), _is(table.pair, pair))
        return self._find(Word, *mine, order=(table.language, table.pair, table.strength.desc(), table.word))

    def put_route(self, route: Route) -> None:
        """Write a route, in the place of the one with its id, if there is one."""
        self.put(route)

    def routes(self, *, solver: str = "") -> list[Route]:
        """Routes by name."""
        table = TABLES[Route].c
        return self._find(Route, table.solver == solver, order=(table.name, table.id))

    # --- sums ------------------------------------------------------------------------------------------------

    def practised_days(self, *, solver: str = "", demo: bool | None = None) -> list[str]:
        """The days on which there was an attempt or an answer, in order."""
        wanted = {"solver": solver, "demo": demo}
        with self.database.reading() as connection:
            found = set(days(connection, ATTEMPT_TALLY, {"feature": ALL, **wanted}))
            return sorted(found.union(days(connection, REVIEW_TALLY, wanted)))


def _open_series(connection: Connection, wanted: Series, now: datetime) -> Series:
    """The series of a kind, solver and name that still goes on; else the one that is wanted."""
    table, of = TABLES[Series].c, TABLES[Attempt].c
    mine = (table.solver == wanted.solver, table.kind == wanted.kind, table.demo == wanted.demo)
    query = select(TABLES[Series]).where(*mine).order_by(table.started.desc(), table.id.desc()).limit(20)
    found = [one for one in find(connection, Series, query) if not wanted.name or one.name in (wanted.name, "")]
    for known in sorted(found, key=lambda one: bool(wanted.name) and one.name != wanted.name):
        inside = select(TABLES[Attempt]).where(of.series == known.id).order_by(of.started, of.id)
        if goes_on(known, list(find(connection, Attempt, inside)), now):
            return replace(known, name=known.name or wanted.name)
    return wanted


def _with_cubes(connection: Connection, ident: str) -> tuple[Attempt, dict[int, AttemptCube]]:
    """An attempt and its cubes by their numbers.  Raises RecordError where it is not there."""
    attempt = find_by_id(connection, Attempt, [ident]).get(ident)
    if attempt is None:
        raise RecordError(f"there is no attempt {ident[:40]}")
    of = TABLES[AttemptCube].c
    query = select(TABLES[AttemptCube]).where(of.attempt == ident).order_by(of.number)
    return attempt, {cube.number: cube for cube in find(connection, AttemptCube, query)}


def _found_at(connection: Connection, ident: str, cube: int | None) -> list[str]:
    """The ids of the mistakes that inquests into an attempt found: at its only cube, or at one of many."""
    table = TABLES[Mistake].c
    query = select(table.id, table.said).where(table.attempt == ident, table.source == Source.INQUEST)
    return [mistake for mistake, said in connection.execute(query).all() if said.get("cube") == cube]


def _newest(
    query: Select[Any],
    solver: str | None,
    event: str | None,
    since: str | None,
    until: str | None,
    demo: bool | None,
    most: int | None,
) -> Select[Any]:
    """The query for the newest attempts that ended."""
    table = TABLES[Attempt].c
    wanted = [
        table.outcome.in_((Outcome.SOLVED, Outcome.PLUS2, Outcome.DNF)),
        _is(table.solver, solver),
        _is(table.event, event),
        _is(table.demo, demo),
        None if since is None else table.day >= since,
        None if until is None else table.day <= until,
    ]
    return (
        query.where(*(one for one in wanted if one is not None))
        .order_by(table.started.desc(), table.id.desc())
        .limit(most)
    )


def _is(column: ColumnElement[Any], wanted: Any) -> ColumnElement[bool] | None:
    """The condition that a column holds a value; none at all where None is wanted."""
    return None if wanted is None else column == wanted
