"""Attempts that are kept already: judged anew, corrected, removed and brought back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from nightfold.cli.common import console, print_hanging, print_json, visible
from nightfold.cli.ended import Asked, Ended, clock_at, close, read_outcomes, read_times
from nightfold.cube.errors import NightfoldError
from nightfold.practice.results import clock

if TYPE_CHECKING:
    from nightfold.practice.logbook import Logbook


def correct(
    book: Logbook, asked: Asked, called: str, outcome: str | None, time: str | None, memo_time: str | None
) -> None:
    """Judge a kept attempt anew, or correct its times, its memo and its note."""
    from nightfold.practice.attempts import judged
    from nightfold.practice.choosing import choose_attempt

    found = choose_attempt(book, called, asked.solver)
    cubes = book.cubes(found.id)
    count = len(cubes) or 1
    words = None if outcome is None else read_outcomes(outcome, count)
    if (words, time, memo_time, asked.note, asked.memo, asked.came_out) == (None, None, None, None, None, False):
        raise NightfoldError(
            "say what to correct: --outcome, --time, --memo-time, --note, --edges, --corners, --left or --final"
        )
    asked.check_what_came_out(count, words or [found.outcome])
    times = read_times(time, memo_time, count)
    changes: dict[str, Any] = {**times}
    if asked.note is not None:
        changes["note"] = asked.note
    if asked.memo is not None:
        asked.method, asked.lettering, asked.hold = found.method, found.lettering or None, found.hold or None
        asked.check(found.scramble)
        changes["memo"] = {**found.memo, **asked.memo}
    of_each = words is not None and len(words) == count > 1
    if words is not None and not of_each:
        changes["outcome"] = words[0]
    changed = judged(replace(found, **changes), changes.get("outcome", found.outcome))
    if changed.memo_ms is not None and changed.total_ms is not None and changed.memo_ms > changed.total_ms:
        raise NightfoldError(
            f"memorising took {clock(changed.memo_ms // 10)}, longer than all of it, {clock(changed.total_ms // 10)}"
        )
    if of_each and changed.total_ms is None:
        raise NightfoldError("an attempt at many cubes needs its time; give --time, or say --outcome dnf of all")
    ended = Ended(book.change_attempt(found.id, **changes), cubes)
    anew = words if of_each and words else [cube.outcome for cube in cubes if "total_ms" in changes and words is None]
    for at, one in enumerate(anew):
        ended.attempt, ended.cubes[at] = book.judge_cube(found.id, cubes[at].number, one)
    close(book, asked, ended)


def remove(book: Logbook, asked: Asked, called: str) -> None:
    """Take an attempt out of the logbook, and say how it comes back."""
    from nightfold.practice.attempts import result_words
    from nightfold.practice.choosing import choose_attempt
    from nightfold.practice.removed import remove

    found = choose_attempt(book, called, asked.solver)
    remove(book, found)
    if asked.as_json:
        print_json({"removed": found.to_dict()})
        return
    print_hanging(console(), f"removed: the attempt of {clock_at(found.started)}, {result_words(found)}", "", "")
    print_hanging(console(), f"nightfold attempt --bring-back {found.id} brings it back", "", "")


def bring_back(book: Logbook, asked: Asked, ident: str) -> None:
    """Bring an attempt back that was removed."""
    from nightfold.practice.records import Attempt
    from nightfold.practice.removed import bring_back

    if not bring_back(book, ident) and book.get(Attempt, ident) is None:
        raise NightfoldError(f"no attempt {visible(ident[:40])} was removed, or too many were since then")
    found = book.get(Attempt, ident)
    assert found is not None
    close(book, asked, Ended(found, book.cubes(ident)))
