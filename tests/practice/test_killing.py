"""Killed at any moment, the program loses nothing that it said is kept, doubles nothing, and leaves the logbook sound.

Killing a process is not pulling the plug; that what is acknowledged has reached the disk is SQLite's promise where the
log is brought to the disk at every commit, which is tested here too.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
import uuid
from collections import Counter
from collections.abc import Generator, Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from nightfold.practice.backup import backups, check_backup
from nightfold.practice.checking import check
from nightfold.practice.database import Database
from nightfold.practice.drills import EXERCISES, Question, Table
from nightfold.practice.logbook import Logbook
from nightfold.practice.opening import restore
from nightfold.practice.records import Attempt, AttemptCube, Fact, Review, Source, Word
from nightfold.practice.transfer import write_file
from tests.practice import invented
from tests.practice.nursery import ROOT, Nursery, nursery
from tests.practice.test_logbook import all_records

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and kill -9")

#: What is kept as the tests compare it: what tells it apart from everything else, and what it holds.
Key = tuple[Any, ...]
Content = tuple[Any, ...]
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
#: In which a wrong answer is a mistake that is kept with it.
EXERCISE = "turned"
#: The answers in one drill of the terminal.
ANSWERS = 4


@pytest.fixture(scope="module")
def mother(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    """Begets whatever is to be killed."""
    with nursery(tmp_path_factory.mktemp("settings")) as made:
        yield made


# --- what was promised, and what is there ------------------------------------------------------------------------


class Ledger:
    """What was said to be kept, and what may be kept besides because nobody could say so any more."""

    def __init__(self) -> None:
        self.promised: dict[Key, Content] = {}
        self.possible: dict[Key, set[Content]] = {}

    def begin(self, key: Key, *contents: Content) -> None:
        """Something is about to be kept."""
        self.possible[key] = set(contents)

    def acknowledge(self, key: Key) -> None:
        """It is said to be kept."""
        (self.promised[key],) = self.possible.pop(key)

    def judge(self, key: Key, content: Content | None) -> None:
        """Assert that this is there, or nothing if that is None, by what was promised and what is possible."""
        assert content == self.promised.get(key) or content in self.possible.get(key, ()), (key, content)

    def compare(self, book: Logbook) -> None:
        """Assert that all is there that was promised, once and as it was promised, and nothing else than may be."""
        found = list(_found(book))
        assert [key for key, number in Counter(key for key, _ in found).items() if number > 1] == []
        there = dict(found)
        assert self.promised.keys() - there.keys() == set()
        for key, content in there.items():
            self.judge(key, content)
        assert check(book.database).problems == ()


def _told(one: Attempt, cubes: list[AttemptCube]) -> Content:
    return (one.scramble, one.memo_ms, one.total_ms, one.outcome, *((cube.scramble, cube.outcome) for cube in cubes))


def _found(book: Logbook) -> Iterator[tuple[Key, Content]]:
    """What the logbook holds, each record by what only it was asked to hold."""
    attempts = book.attempts(solver=None, most=None)
    cubes: dict[str, list[AttemptCube]] = {one.id: [] for one in attempts}
    for cube in book.cubes(*cubes):
        cubes[cube.attempt].append(cube)
    for one in attempts:
        yield ("attempt", one.note), _told(one, cubes[one.id])
    assert sum(one.attempts for one in book.tallies(solver=None)) == len(attempts)
    reviews = book.reviews(solver=None, most=None)[::-1]
    position = Counter[str]()
    for review in reviews:
        # An answer by the browser is told by its time; one that is typed by whose it is, and by its place among these.
        place = review.answer_ms if review.answer_ms is not None else position[review.solver]
        position[review.solver] += 1
        yield ("answer", review.solver, place), (review.exercise, review.given)
    assert sum(one.reviews for one in book.review_tallies(solver=None)) == len(reviews)
    for solver in book.solvers():
        for word in book.words(solver=solver):
            yield ("word", word.word), (word.pair, word.note)
        for run in book.runs(solver=solver, most=None):
            yield ("run", run.solver), (run.result.get("asked"),)
    _one_step(book, reviews)


def _one_step(book: Logbook, reviews: list[Review]) -> None:
    """Assert that every answer came with what it made of its card and with the mistakes in it."""
    cards = {card.id: card for solver in book.solvers() for card in book.cards(solver=solver)}
    last = {review.card: review for review in reviews}
    assert {ident: card.state["last_review"] for ident, card in cards.items()} == {
        ident: review.answered.isoformat() for ident, review in last.items()
    }
    assert Counter(review.card for review in reviews if review.asked["begun"]) == Counter(dict.fromkeys(cards, 1))
    table = Table.laid()
    wanted = Counter[Content]()
    for review in reviews:
        marked = EXERCISES[review.exercise].mark(
            table, Question.from_dict(dict(review.asked["question"])), review.given
        )
        assert marked.right == review.right
        wanted.update((review.solver, review.answered, slip.kind, slip.letter) for slip in marked.mistakes)
    mistakes = book.mistakes(solver=None, source=Source.DRILL, most=None)
    assert mistakes or not reviews
    assert Counter((one.solver, one.found, one.kind, one.letter) for one in mistakes) == wanted


# --- the browser's part ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Request:
    """A request, and what is kept when it is answered."""

    method: str
    path: str
    body: dict[str, Any]
    key: Key | None = None
    content: Content = ()


def evening(dice: random.Random) -> Generator[Request, Any, None]:
    """An evening at the browser without an end: attempts at one cube and at two, answers, words."""

    def scramble() -> str:
        faces = [dice.choice("UDLRFB")]
        while len(faces) < 12:
            faces.append(dice.choice([face for face in "UDLRFB" if face != faces[-1]]))
        return " ".join(face + dice.choice(["", "'", "2"]) for face in faces)

    for number in count(1):
        key: Key = ("attempt", f"by the lamp, {number}")
        ident, one, memo = str(uuid.uuid4()), scramble(), 1000 + number
        body: dict[str, Any] = {"id": ident, "started": "2026-03-05T18:00:00Z", "note": key[1]}
        path = f"attempts/{ident}"
        yield Request("POST", "attempts", {**body, "cube": {"scramble": one}}, key, (one, None, None, "unfinished"))
        yield Request("PATCH", path, {"memo_ms": memo}, key, (one, memo, None, "unfinished"))
        ended = {"total_ms": 2 * memo, "outcome": "solved"}
        yield Request("PATCH", path, ended, key, (one, memo, 2 * memo, "solved"))

        asked = yield Request("POST", "drills/turned/next", {"level": 1})
        answer = {"id": str(uuid.uuid4()), "ticket": asked["ticket"], "given": dice.choice(LETTERS), "ms": number}
        kept: Content = (EXERCISE, answer["given"])
        yield Request("POST", "drills/answer", answer, ("answer", "", number), kept)

        pair, note = dice.sample(LETTERS, 2), f"seen from the pier {number}"
        word = {"pair": "".join(pair), "word": f"gull {number}", "note": note}
        yield Request("PUT", "words/own", word, ("word", word["word"]), (" ".join(pair), note))

        key, path = ("attempt", f"two cubes by the lamp, {number}"), f"attempts/{uuid.uuid4()}"
        two = [scramble(), scramble()]
        outcomes = ["unfinished", "unfinished"]
        body = {**body, "id": path.rpartition("/")[2], "scrambles": two, "note": key[1]}
        yield Request("POST", "attempts", body, key, ("", None, None, "unfinished", *zip(two, outcomes, strict=True)))
        times = {"memo_ms": memo, "total_ms": 3 * memo}
        whole = ("", memo, 3 * memo)
        yield Request("PATCH", path, times, key, (*whole, "unfinished", *zip(two, outcomes, strict=True)))
        for at in (0, 1):
            outcomes[at] = "solved"
            # The last cube decides what the attempt is, in the same step.
            kept = (*whole, outcomes[1], *zip(two, outcomes, strict=True))
            yield Request("PUT", f"{path}/cubes/{at + 1}", {"outcome": "solved"}, key, kept)


class Browser:
    """Whoever sits at the browser; what was not answered is sent again, as the app does."""

    #: Requests in a round.
    MOST = 10

    def __init__(self, ledger: Ledger, dice: random.Random) -> None:
        self.ledger = ledger
        self._evening = evening(dice)
        self._next = next(self._evening)
        self._dice = dice
        #: How long an answer takes, about.
        self._usual = 0.01

    def round(self, home: Nursery, after: float | None) -> int:
        """Send requests to a server until it is killed; how many were answered.

        It is killed after so many seconds, or, if that is None, about while it is at work on one of the requests.
        """
        last = None if after is not None else self._dice.randrange(self.MOST)
        with home.doomed(after, "serve") as port:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            try:
                for answered in range(self.MOST):
                    if answered == last:
                        home.doom(1.2 * self._dice.random() * self._usual)
                    began = time.monotonic()
                    if not self._send(connection):
                        return answered
                    self._usual = 0.9 * self._usual + 0.1 * (time.monotonic() - began)
                return self.MOST
            finally:
                connection.close()

    def _send(self, connection: http.client.HTTPConnection) -> bool:
        asked = self._next
        if asked.key is not None:
            self.ledger.begin(asked.key, asked.content)
        try:
            head = {"Content-Type": "application/json"}
            connection.request(asked.method, f"/api/{asked.path}", json.dumps(asked.body), head)
            answer = connection.getresponse()
            said = answer.read()
        except TimeoutError:
            raise
        except (OSError, http.client.HTTPException):
            return False
        assert answer.status == 200, said
        if asked.key is not None:
            self.ledger.acknowledge(asked.key)
        self._next = self._evening.send(json.loads(said))
        return True

    def look_at_the_last(self, place: str) -> None:
        """Assert that the attempt that the server was at when it was killed is as it was before or after, not between.

        It must be looked at now, since sending it again mends it.
        """
        asked = self._next
        if asked.key is not None and asked.key[0] == "attempt":
            ident = asked.body.get("id") or asked.path.split("/")[1]
            with Logbook(Database(place)) as book:
                found = book.get(Attempt, ident)
                self.ledger.judge(asked.key, None if found is None else _told(found, book.cubes(ident)))


# --- the terminal's part -----------------------------------------------------------------------------------------


class Terminal:
    """Whoever sits at the terminal: an attempt that was timed elsewhere, a drill, and now and then a word."""

    def __init__(self, ledger: Ledger, dice: random.Random) -> None:
        self.ledger = ledger
        self._dice = dice
        self._number = 0

    def attempt(self, home: Nursery, after: float) -> bool:
        """Keep an attempt; whether it was said to be kept."""
        self._number += 1
        key, scramble = ("attempt", f"at the terminal, {self._number}"), f"R U F{self._dice.choice([' D', ' L2', ''])}"
        self.ledger.begin(key, (scramble, 20_000, 83_450, "solved"))
        times = ["--time", "1:23.45", "--memo-time", "20.00", "--outcome", "solved"]
        told = home.told(after, "command", arguments=["attempt", scramble, *times, "--note", key[1]])
        if kept := any(re.match(r"result +1:23\.45", line) for line in told):
            self.ledger.acknowledge(key)
        return kept

    def word(self, home: Nursery, after: float) -> bool:
        """Keep a word; whether it was listed as one's own."""
        self._number += 1
        pair, word, note = self._dice.sample(LETTERS, 2), f"harbour {self._number}", f"typed {self._number}"
        self.ledger.begin(("word", word), (" ".join(pair), note))
        told = home.told(after, "command", arguments=["words", "".join(pair), "--add", word, "--note", note])
        if kept := any(word in line for line in told):
            self.ledger.acknowledge(("word", word))
        return kept

    def drill(self, home: Nursery, after: float) -> bool:
        """Answer the questions of a drill; whether it came to its end."""
        self._number += 1
        solver = f"Maren {self._number}"
        letters = self._dice.choices(LETTERS, k=ANSWERS)
        drill = ["drill", EXERCISE, "--count", str(ANSWERS), "--solver", solver]
        told = home.told(after, "command", typed="\n".join([*letters, ""]), arguments=drill)
        judged = sum(re.match(" +(right|wrong) ", line) is not None for line in told)
        for number, letter in enumerate(letters[: judged + 1]):  # the one in flight may be there, or not
            self.ledger.begin(("answer", solver, number), (EXERCISE, letter))
            if number < judged:
                self.ledger.acknowledge(("answer", solver, number))
        self.ledger.begin(("run", solver), *([] if judged else [(None,)]), (ANSWERS,))
        if whole := any(re.match(rf"\d of {ANSWERS} right", line) for line in told):
            self.ledger.begin(("run", solver), (ANSWERS,))
            self.ledger.acknowledge(("run", solver))
        elif judged:
            self.ledger.begin(("run", solver), (None,), (ANSWERS,))
        return whole


@pytest.mark.parametrize(("where", "rounds"), [("sqlite", 304), ("postgresql", 32)])
def test_killing_server_and_terminal_loses_and_doubles_nothing(
    where: str, rounds: int, home: Path, mother: Nursery, request: pytest.FixtureRequest
) -> None:
    place = str(home / "logbook.db") if where == "sqlite" else request.getfixturevalue("postgresql_place")
    dice = random.Random(300)
    ledger = Ledger()
    browser, terminal = Browser(ledger, dice), Terminal(ledger, dice)
    Logbook.open(place).close()
    works = ["browser", "attempt", "browser", "drill", "browser"]
    #: For how long a child has work to do, about: it is killed at any moment of that, or a little later.
    spans = dict.fromkeys([*works, "word"], 0.5)
    killed = Counter[str]()
    mother.place = place
    for number in range(rounds):
        work = "word" if number % 32 == 8 else works[number % len(works)]
        after = dice.random() * spans[work]
        if work == "browser":
            answered = browser.round(mother, after if number % 2 else None)
            browser.look_at_the_last(place)
            whole = answered == browser.MOST
            killed["before" if answered == 0 else "after" if whole else "between"] += 1
        else:
            whole = getattr(terminal, work)(mother, after)
            killed[f"{work} {'after' if whole else 'before'}"] += 1
        # How long the work takes depends on the machine and on what else that does.
        spans[work] = 1.3 * mother.lasted if whole else 1.03 * spans[work]
        if number % 80 == 79 or number == rounds - 1:
            with Logbook.open(place, backups=False) as book:
                ledger.compare(book)
    few = rounds // 100
    assert min(killed[when] for when in ("before", "between", "after")) >= few
    assert min(killed[f"{work} {when}"] for work in ("attempt", "drill") for when in ("before", "after")) >= few
    assert len(ledger.promised) > rounds // 2


def test_killing_it_while_it_begins_leaves_no_half_logbook(home: Path, mother: Nursery) -> None:
    dice = random.Random(25)
    begun = 0
    mother.place = home / "logbook.db"
    for number in range(15):
        for left in home.glob("logbook.db*"):
            left.unlink()
        begun += "done" in mother.told_then(dice.random() * 0.25, number % 5 == 4, "begin", number=number)
        with Logbook.open(home / "logbook.db") as book:
            assert book.fact("begun") in (None, str(number))
            assert check(book.database).problems == ()
    assert begun >= 3
    assert not list(home.glob("*damaged*"))


def test_killing_an_import_leaves_all_of_it_or_nothing(home: Path, tmp_path: Path, mother: Nursery) -> None:
    source = tmp_path / "evening.jsonl"
    with Logbook.open(tmp_path / "other.db") as other:
        other.add(*invented.practice(150, days=90, per_exercise=3))
        counts = other.counts()
        with other.database.reading() as connection:
            write_file(connection, source)
    dice = random.Random(30)
    path = home / "logbook.db"
    whole = []
    mother.place = path
    for number in range(15):
        with Logbook.open(path, backups=False) as book:
            for kind in (Attempt, Review, Word):
                book.remove(kind, *(record.id for record in all_records(book) if isinstance(record, kind)))
        if number % 5 == 4:
            mother.told_then(0, 1, "import", source=str(source))  # when it is done
        else:
            mother.told(dice.random() * 0.4 if number else 0, "import", source=str(source))
        with Logbook.open(path, backups=False) as book:
            assert book.counts()["attempt"] in (0, counts["attempt"])
            assert book.counts()["attempt"] == book.counts()["review"]
            assert check(book.database).problems == ()
            whole.append(book.counts()["attempt"] > 0)
    assert set(whole) == {True, False}


def test_killing_a_backup_leaves_only_good_ones(home: Path, mother: Nursery) -> None:
    path = home / "logbook.db"
    with Logbook.open(path, backups=False) as book:
        book.add(*invented.practice(800, days=90))
    dice = random.Random(20)
    told: list[str] = []
    mother.place = path
    for number in range(20):
        told += mother.told_then(dice.random() * 0.2, number % 2, "back up")
    with Logbook.open(path, backups=False) as book:
        found = backups(book.database)
        assert {one.path.name for one in found} >= set(told)
        for one in found:
            assert check_backup(one.path) == book.counts()
    assert len(told) >= 10


def test_killing_a_restore_leaves_the_old_or_the_new(home: Path, tmp_path: Path, mother: Nursery) -> None:
    path = home / "logbook.db"
    with Logbook.open(tmp_path / "one.db") as one, Logbook.open(tmp_path / "two.db") as two:
        one.add(*invented.practice(80, seed=1, days=60, per_exercise=3))
        two.add(*invented.practice(80, seed=2, days=60, per_exercise=3))
        contents = [frozenset(all_records(one)), frozenset(all_records(two))]
    restore(path, tmp_path / "one.db")
    dice = random.Random(24)
    seen = set()
    mother.place = path
    for number in range(15):
        source = str(tmp_path / ("two.db", "one.db")[number % 2])
        if number % 5 == 4:
            path.write_bytes(b"rubbish" * 999)  # nothing but a backup helps here
        if number < 2:
            mother.told_then(0, 1, "restore", source=source)  # when it is done
        else:
            mother.told(dice.random() * 0.4, "restore", source=source)
        if number % 5 == 4:
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
