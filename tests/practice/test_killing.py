"""Killed at any moment, a process loses nothing that it was told is kept, and leaves the logbook sound.

Killing a process is not pulling the plug; that what is acknowledged has reached the disk is SQLite's promise where the
log is brought to the disk at every commit, which is tested here too.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from nightfold.practice.backup import backups, check_backup
from nightfold.practice.checking import check
from nightfold.practice.logbook import Logbook
from nightfold.practice.opening import restore
from nightfold.practice.records import Attempt, Fact, Review, Word
from nightfold.practice.transfer import write_file
from tests.practice import invented
from tests.practice.test_logbook import all_records

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and kill -9")

#: Begets a worker for each line it reads, which works until it is killed; so a round need not load the program anew.
PARENT = """
import os, signal, sys
from pathlib import Path
import nightfold.practice.migration
import alembic.command
import alembic.autogenerate
from nightfold.practice.backup import ASKED, make_backup
from nightfold.practice.logbook import Logbook
from nightfold.practice.opening import restore
from nightfold.practice.records import Attempt, AttemptCube, Card, Mistake, Review, Source, Word
from nightfold.practice.results import Outcome
from nightfold.practice.transfer import import_rows, read_rows
from tests.practice import invented

place = sys.argv[1]

def tell(what):
    os.write(1, f"{{what}}\\n".encode())  # in one piece, or not at all

{work}

for line in iter(sys.stdin.readline, ""):
    child = os.fork()
    if child == 0:
        tell(os.getpid())
        work(int(line))
        tell("done")
        while True:
            signal.pause()  # its number is nobody else's until it is killed
    os.waitpid(child, 0)
    tell("gone")
"""

#: An evening of attempts, answers and words, each told of once it is kept.
EVENING = """
def work(seed):
    with Logbook.open(place, backups=False) as book:
        attempts = invented.attempts(10_000, seed=seed, days=200)
        cards = invented.cards(per_exercise=2)
        reviews = invented.reviews(10_000, cards, seed=seed, days=200)
        while True:
            attempt, review = next(attempts), next(reviews)
            book.add_attempt(attempt)
            tell("attempt " + attempt.id)
            book.finish_attempt(attempt.id, Outcome.SOLVED, 1000)
            tell("ended " + attempt.id)
            card = next(card for card in cards if card.id == review.card)
            book.add_review(review, card)
            tell("review " + review.id)
            word = Word(pair="L S", word=str(review.id), created=review.answered, changed=review.answered)
            book.put_word(word)
            tell("word " + word.id)
            found = [Mistake(attempt=attempt.id, found=attempt.started, source=Source.INQUEST, kind="beside")]
            book.set_mistakes(attempt.id, Source.INQUEST, found)
            tell("mistake " + found[0].id)
"""


class Rounds:
    """A parent of workers, one a round, each killed after a while."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process

    def kill_one(self, seed: int, after: float, tellings: int = 0) -> list[str]:
        """Let a worker tell so many things and live so many seconds more, kill it, and return all that it told."""
        source, out = self._process.stdin, self._process.stdout
        assert source is not None and out is not None
        print(seed, file=source, flush=True)
        pid = int(out.readline())
        told = [out.readline().strip() for _ in range(tellings)]
        time.sleep(after)
        os.kill(pid, signal.SIGKILL)
        while (line := out.readline()) != "gone\n":
            assert line, "the parent of the workers has ended"
            told.append(line.strip())
        return told


@contextmanager
def workers(work: str, place: str | Path) -> Iterator[Rounds]:
    code = PARENT.format(work=work)
    with subprocess.Popen(
        [sys.executable, "-c", code, str(place)], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        yield Rounds(process)
        assert process.stdin is not None
        process.stdin.close()


def kept_all(book: Logbook, told: list[str]) -> None:
    """Assert that all is there that was told to be kept, once, and little else."""
    there = {
        "attempt": [one.id for one in book.attempts(most=None)],
        "ended": [one.id for one in book.attempts(most=None) if one.outcome == "solved"],
        "review": [one.id for one in book.reviews(most=None)],
        "word": [one.id for one in book.words()],
        "mistake": [one.id for one in book.mistakes(most=None)],
    }
    for noun, found in there.items():
        mine = [line.partition(" ")[2] for line in told if line.startswith(f"{noun} ")]
        assert len(found) == len(set(found))
        assert set(mine) <= set(found)
    counts = book.counts()
    assert counts["attempt"] == len(there["attempt"]) == sum(one.attempts for one in book.tallies())
    assert counts["review"] == len(there["review"]) == sum(one.reviews for one in book.review_tallies())


@pytest.mark.parametrize(("where", "rounds"), [("sqlite", 300), ("postgresql", 40)])
def test_killing_it_while_it_writes_loses_and_doubles_nothing(
    where: str, rounds: int, home: Path, request: pytest.FixtureRequest
) -> None:
    place = str(home / "logbook.db") if where == "sqlite" else request.getfixturevalue("postgresql_place")
    rng = random.Random(300)
    Logbook.open(place).close()
    told: list[str] = []
    with workers(EVENING, place) as killing:
        for number in range(rounds):
            told += killing.kill_one(number, rng.random() * 0.04, tellings=rng.randrange(4))
            if number % 50 == 49:
                with Logbook.open(place, backups=False) as book:
                    kept_all(book, told)
                    assert check(book.database).problems == ()
    assert len(told) > rounds
    with Logbook.open(place, backups=False) as book:
        kept_all(book, told)
        # At most one thing was kept in each round that could not be told any more.
        extra = sum(
            number for noun, number in book.counts().items() if noun in ("attempt", "review", "word", "mistake")
        )
        assert extra - len({line for line in told if not line.startswith("ended")}) <= rounds
        # Whoever was not told tries again, and nothing is there twice.
        for attempt in invented.attempts(10_000, seed=rounds - 1, days=200):
            if book.get(Attempt, attempt.id) is None:
                break
            before = len(book.attempts(most=None))
            book.put(attempt)
            assert len(book.attempts(most=None)) == before
        assert check(book.database).problems == ()


def test_killing_it_while_it_begins_leaves_no_half_logbook(home: Path) -> None:
    work = """
def work(seed):
    with Logbook.open(place) as book:
        book.set_fact("begun", str(seed))
"""
    rng = random.Random(25)
    begun = 0
    with workers(work, home / "logbook.db") as killing:
        for number in range(25):
            for left in home.glob("logbook.db*"):
                left.unlink()
            begun += "done" in killing.kill_one(number, rng.random() * 0.25, tellings=number % 5 == 4)
            with Logbook.open(home / "logbook.db") as book:
                assert book.fact("begun") in (None, str(number))
                assert check(book.database).problems == ()
    assert begun >= 5
    assert not list(home.glob("*damaged*"))


def test_killing_an_import_leaves_all_of_it_or_nothing(home: Path, tmp_path: Path) -> None:
    source = tmp_path / "evening.jsonl"
    with Logbook.open(tmp_path / "other.db") as other:
        other.add(*invented.practice(400, days=90, per_exercise=3))
        counts = other.counts()
        with other.database.reading() as connection:
            write_file(connection, source)
    work = f"""
def work(seed):
    with Logbook.open(place, backups=False) as book:
        import_rows(book.database, read_rows(Path({str(source)!r})))
"""
    rng = random.Random(30)
    path = home / "logbook.db"
    whole = []
    with workers(work, path) as killing:
        for number in range(20):
            with Logbook.open(path, backups=False) as book:
                for kind in (Attempt, Review, Word):
                    book.remove(kind, *(record.id for record in all_records(book) if isinstance(record, kind)))
            if number % 5 == 4:
                killing.kill_one(number, 0, tellings=1)  # when it is done
            else:
                killing.kill_one(number, rng.random() * 0.6 if number else 0)
            with Logbook.open(path, backups=False) as book:
                assert book.counts()["attempt"] in (0, counts["attempt"])
                assert book.counts()["attempt"] == book.counts()["review"]
                assert check(book.database).problems == ()
                whole.append(book.counts()["attempt"] > 0)
    assert set(whole) == {True, False}


def test_killing_a_backup_leaves_only_good_ones(home: Path) -> None:
    path = home / "logbook.db"
    with Logbook.open(path, backups=False) as book:
        book.add(*invented.practice(1500, days=90))
    work = """
def work(seed):
    with Logbook.open(place, backups=False) as book:
        while True:
            tell(make_backup(book.database, ASKED).path.name)
"""
    rng = random.Random(20)
    told: list[str] = []
    with workers(work, path) as killing:
        for number in range(20):
            told += killing.kill_one(number, rng.random() * 0.2, tellings=number % 2)
    with Logbook.open(path, backups=False) as book:
        found = backups(book.database)
        assert {one.path.name for one in found} >= set(told)
        for one in found:
            assert check_backup(one.path) == book.counts()
    assert len(told) >= 10


def test_killing_a_restore_leaves_the_old_or_the_new(home: Path, tmp_path: Path) -> None:
    path = home / "logbook.db"
    with Logbook.open(tmp_path / "one.db") as one, Logbook.open(tmp_path / "two.db") as two:
        one.add(*invented.practice(150, seed=1, days=60, per_exercise=3))
        two.add(*invented.practice(150, seed=2, days=60, per_exercise=3))
        contents = [frozenset(all_records(one)), frozenset(all_records(two))]
    work = f"""
def work(seed):
    restore(place, Path({str(tmp_path)!r}) / ("two.db", "one.db")[seed % 2])
"""
    restore(path, tmp_path / "one.db")
    rng = random.Random(24)
    seen = set()
    with workers(work, path) as killing:
        for number in range(18):
            if number % 6 == 5:
                path.write_bytes(b"rubbish" * 999)  # nothing but a backup helps here
            if number < 2:
                killing.kill_one(number, 0, tellings=1)  # when it is done
            else:
                killing.kill_one(number, rng.random() * 0.4)
            if number % 6 == 5:
                restore(path, tmp_path / "two.db")
            with Logbook.open(path, backups=False) as book:
                found = frozenset(record for record in all_records(book) if not isinstance(record, Fact))
                assert found in contents
                seen.add(found)
                assert check(book.database).problems == ()
    assert len(seen) == 2


def test_what_is_acknowledged_was_brought_to_the_disk_before(home: Path, tmp_path: Path) -> None:
    """The system calls of a writer show it: the last thing done to the log before each telling is bringing it there."""
    calls = tmp_path / "calls"
    traced = ["strace", "-f", "-y", "-o", str(calls), "-e", "trace=pwrite64,fsync,fdatasync,write"]
    if shutil.which("strace") is None or subprocess.run([*traced, "true"], check=False).returncode:
        pytest.skip("strace is not here, or may trace nothing")
    code = """
import os, sys
from nightfold.practice.logbook import Logbook
from tests.practice import invented
with Logbook.open(sys.argv[1]) as book:
    for attempt in invented.attempts(5):
        book.add_attempt(attempt)
        os.write(1, b"kept")
"""
    subprocess.run(
        [*traced, sys.executable, "-c", code, home / "logbook.db"], cwd=ROOT, check=True, capture_output=True
    )
    kept, last = 0, ""
    for call in calls.read_text("utf-8", "replace").splitlines():
        if "logbook.db-wal>" in call:
            last = call
        elif re.search(r"write\(1<.*kept", call):
            assert re.search(r"(fdatasync|fsync)\(.*= 0$", last), last
            kept, last = kept + 1, ""
    assert kept == 5


def test_every_commit_brings_the_log_to_the_disk(home: Path) -> None:
    with Logbook.open(home / "logbook.db") as book:
        for transaction in (book.database.writing, book.database.reading):
            with transaction() as connection:
                pragmas = {
                    name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
                    for name in ("journal_mode", "synchronous", "foreign_keys")
                }
            assert pragmas == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}  # 2 is FULL


def test_a_server_acknowledges_only_what_it_keeps(postgresql_place: str) -> None:
    with Logbook.open(postgresql_place) as book, book.database.writing() as connection:
        assert connection.exec_driver_sql("SHOW synchronous_commit").scalar_one() == "on"
