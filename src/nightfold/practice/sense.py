"""What an attempt that comes from outside cannot be, and what is unusual in one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import lru_cache

from nightfold.cube.errors import NightfoldError
from nightfold.practice.attempts import MULTI_EVENT
from nightfold.practice.records import Attempt, AttemptCube, Record
from nightfold.practice.results import Outcome, clock

#: The blind events, by the ids that the WCA's results have (from memory).
BLIND_EVENTS = ("333bf", "444bf", "555bf", MULTI_EVENT)
#: Before this year there was no such puzzle: the first was built in 1974.
_FIRST_YEAR = 1974
#: A result of one cube that is longer, in milliseconds, is unusual: an hour.
_LONG_MS = 3_600_000


def impossible(record: Record, *, thorough: bool = True) -> tuple[str, str] | None:
    """What of an attempt or a cube cannot be: the field, and what is wrong with it and what would be right.

    Scrambles and nets are read only if it is to be ``thorough``.
    """
    if isinstance(record, Attempt):
        if record.outcome in (Outcome.SOLVED, Outcome.PLUS2) and record.total_ms is None:
            return "total_ms", "a solved attempt needs its time; give it, or call the attempt dnf"
        if record.total_ms == 0:
            return "total_ms", "a time of 0 is none; leave it out where it was not taken"
        if record.memo_ms is not None and record.total_ms is not None and record.memo_ms > record.total_ms:
            memo, total = (clock(ms // 10) for ms in (record.memo_ms, record.total_ms))
            return "memo_ms", f"the memo, {memo}, is longer than the whole, {total}; the whole time counts the memo too"
        if record.started.year < _FIRST_YEAR:
            return "started", f"the year {record.started.year} is before the first cube; years are written as 2026"
    if thorough and isinstance(record, Attempt | AttemptCube):
        return _unreadable(record)
    return None


def unusual(record: Record) -> Iterator[str]:
    """What of an attempt is unusual, but may be so."""
    if not isinstance(record, Attempt):
        return
    if record.event not in BLIND_EVENTS:
        yield f"event “{record.event[:40]}” is none of the blind events {', '.join(BLIND_EVENTS)}"
    if record.method and not _is_method(record.method):
        yield f"method “{record.method[:40]}” is none that Nightfold knows (nightfold methods lists them)"
    if record.started > datetime.now(UTC) + timedelta(days=1):
        yield "it begins in the future"
    if record.total_ms is not None and record.total_ms > _LONG_MS and record.event != MULTI_EVENT:
        yield "it took more than an hour"


def _unreadable(record: Attempt | AttemptCube) -> tuple[str, str] | None:
    from nightfold.cube.net import parse_net
    from nightfold.cube.notation import parse

    event = record.event if isinstance(record, Attempt) else "333bf"
    # The scrambles of other puzzles are written otherwise, and those of many cubes are many.
    cube = re.fullmatch(r"([2-7])\1\1(?!mbf)\w*", event)
    for name, text in (("scramble", record.scramble), ("final", record.final)):
        try:
            if text and text.strip() and cube:
                if name == "scramble":
                    parse(text, int(cube[1]))
                else:
                    parse_net(text)
        except NightfoldError as wrong:
            return name, str(wrong)
    return None


@lru_cache(maxsize=256)
def _is_method(name: str) -> bool:
    """Whether a method of that name comes along, or is one's own, or is a file."""
    from pathlib import Path

    from nightfold.blind.method import method_names
    from nightfold.practice.places import data_folder

    try:
        return name in method_names() or Path(name).is_file() or (data_folder("methods") / f"{name}.toml").is_file()
    except (OSError, ValueError):
        return False
