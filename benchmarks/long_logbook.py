"""A logbook of a million attempts and as many answers: every screen of it, and keeping one more.

``python -m benchmarks.long_logbook 100000`` takes fewer.
"""

from __future__ import annotations

import http.client
import random
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from pathlib import Path

from tests.practice import invented

from benchmarks import web
from benchmarks.harness import report, seconds
from nightfold.practice import demo
from nightfold.practice.agenda import todays_practice
from nightfold.practice.drills import Table, exercise
from nightfold.practice.kept import LogbookKeeper
from nightfold.practice.learning import own_priors
from nightfold.practice.logbook import Logbook
from nightfold.practice.progress import Scope, bests, newest, overview, rates, retention
from nightfold.practice.records import Attempt
from nightfold.practice.results import Outcome
from nightfold.practice.sitting import Sitting

MANY = 1_000_000
DAYS = 2000
#: What an answer on the screen may take.
AIM = "200 ms"


def run(count: int = MANY) -> None:
    """Fill a logbook, and ask it all that the terminal and the screens do."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name) / "logbook.db"
        begun = time.perf_counter()
        invented.fill(place, count, days=DAYS)
        taken, size = time.perf_counter() - begun, place.stat().st_size / 1e6
        report(f"inventing and keeping {count:,} of each", f"{taken:.0f} s", f"{size:,.0f} MB")
        with Logbook.open(place, backups=False) as book:
            begun = time.perf_counter()
            demo.load_demo(book, invented.START + timedelta(days=DAYS))
            report("loading the demo beside them", f"{time.perf_counter() - begun:.2f} s", aim="1.5 s")
            _ask(book)
        _ask_server(name)


def _ask(book: Logbook) -> None:
    today = invented.START + timedelta(days=DAYS)
    middle = book.attempts(event="333bf", until=today - timedelta(days=DAYS // 2), most=1)[0]
    mine, theirs = Scope("", "333bf"), Scope("Maren", "333bf", demo=True)
    table = Table.laid()
    more = invented.attempts(1000, seed=77)

    def one(attempt: Attempt) -> object:
        return book.get(Attempt, attempt.id), book.mistakes(attempts=[attempt.id]), book.cubes(attempt.id)

    asked: list[tuple[str, Callable[[], object]]] = [
        ("the screen of progress, by month", lambda: overview(book, mine, today.date(), "letters", "month", 100)),
        ("  by week", lambda: overview(book, mine, today.date(), "letters", "week", 100)),
        ("  by day", lambda: overview(book, mine, today.date(), "letters", "day", 100)),
        ("  of the demo", lambda: overview(book, theirs, today.date(), "letters", "month", 100)),
        ("  split by letters", lambda: rates(book, mine, "letters")),
        ("  split by parity", lambda: rates(book, mine, "parity")),
        ("  the newest with best and mean of 3", lambda: newest(book, mine, 100)),
        ("  personal bests", lambda: bests(book, mine)),
        ("  retention month by month", lambda: retention(book, mine, "month")),
        ("a page of attempts, the newest", lambda: book.attempts(event="333bf", demo=False, most=31)),
        ("  in the middle", lambda: book.attempts(event="333bf", demo=False, before=middle, most=31)),
        ("  of the demo", lambda: book.attempts(solver="Maren", event="333bf", demo=True, most=31)),
        ("one attempt with its mistakes", lambda: one(middle)),
        ("clocks that nobody has stopped", lambda: book.attempts(outcomes=[Outcome.UNFINISHED], demo=False, most=20)),
        ("whose practice there is", book.solvers),
        ("what the inquest learns", lambda: own_priors(book)),
        ("today's practice", lambda: todays_practice(table, LogbookKeeper(book), 20, today)),
        ("the next question of a drill", lambda: _next(book, table)),
        ("one more attempt kept for good", lambda: book.add_attempt(next(more))),
    ]
    for name, work in asked:
        report(name, f"{seconds(work) * 1e3:.1f} ms", aim=AIM)


def _ask_server(home: str) -> None:
    """What the screens ask, over HTTP."""
    server, port, _ = web.start(home)
    connection = http.client.HTTPConnection("127.0.0.1", port)

    def answer(path: str) -> None:
        connection.request("GET", f"/api/{path}")
        told = connection.getresponse()
        if told.read() == b"" or told.status != 200:
            raise RuntimeError(f"{path} was answered with {told.status}")

    try:
        for by in ("month", "week", "day"):
            took = seconds(partial(answer, f"progress?split=letters&by={by}"), 31)
            report(f"over HTTP: progress by {by}", f"{took * 1e3:.1f} ms", aim=AIM)
        report("  attempts", f"{seconds(partial(answer, 'attempts'), 31) * 1e3:.1f} ms", aim=AIM)
    finally:
        web.end(server)


def _next(book: Logbook, table: Table) -> object:
    return Sitting(table, exercise("setup"), LogbookKeeper(book), random.Random(1)).next()


if __name__ == "__main__":
    run(int(sys.argv[1]) if len(sys.argv) > 1 else MANY)
