"""One attempt of the logbook, by what a person calls it: the last one, the second of a day, or its id."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from nightfold.practice.errors import LogbookError
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, AttemptCube

#: What the newest attempt is called.
LAST = "last"


def choose_attempt(book: Logbook, called: str, solver: str = "") -> Attempt:
    """The attempt of a solver that is ``last``, the last of a day (``2026-03-05``) or its second (``2026-03-05/2``).

    Whatever else it is called is taken to be its id.  Raises LogbookError where there is none.
    """
    whose = f" of {solver[:40]}’s" if solver else ""
    if called == LAST:
        newest = book.attempts(solver=solver, demo=False, most=1)
        if not newest:
            raise LogbookError(f"there is no attempt{whose} in the logbook yet")
        return newest[0]
    day, stroke, number = called.partition("/")
    try:
        start = datetime.combine(date.fromisoformat(day), datetime.min.time(), UTC)
        since, until = start - timedelta(days=1), start + timedelta(days=2)
    except (ValueError, OverflowError):
        found = book.get(Attempt, called)
        if found is None:
            raise LogbookError(
                f"there is no attempt “{called[:40]}” in the logbook; say last, a day as in 2026-03-05, "
                "the second of a day as in 2026-03-05/2, or an id"
            ) from None
        return found
    around = book.attempts(solver=solver, demo=False, since=since, until=until, most=None)
    mine = [one for one in around if one.day == day][::-1]
    if not mine:
        raise LogbookError(f"there is no attempt{whose} on {day} in the logbook")
    at = number if stroke else str(len(mine))
    if not (at.isascii() and at.isdigit() and len(at) < 7 and 1 <= int(at) <= len(mine)):
        raise LogbookError(f"the attempts{whose} on {day} are numbered 1 to {len(mine)}; there is no {number[:20]}")
    return mine[int(at) - 1]


def name_of(book: Logbook, attempt: Attempt) -> str:
    """What ``choose_attempt`` finds an attempt by, as short as it can be: ``last``, else its id."""
    newest = book.attempts(solver=attempt.solver, demo=False, most=1)
    return LAST if newest and newest[0].id == attempt.id else attempt.id


def choose_cube(book: Logbook, attempt: Attempt, number: int | None) -> AttemptCube | None:
    """One cube of an attempt at many; None where there was but one.  Raises LogbookError where that is not there."""
    cubes = {cube.number: cube for cube in book.cubes(attempt.id)}
    if not cubes:
        if number is not None:
            raise LogbookError("that attempt was at one cube; leave the number of the cube out")
        return None
    if number is None or number not in cubes:
        raise LogbookError(f"that attempt was at many cubes; say which, 1 to {len(cubes)}")
    return cubes[number]
