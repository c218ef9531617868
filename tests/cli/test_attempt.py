"""``nightfold attempt``: at a real terminal with keys held and pressed, and with times taken elsewhere."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from nightfold.cube.net import write_net
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Source
from nightfold.practice.results import Outcome
from tests.cli.running import PLAIN, PROGRAM, complaint, here, there

SCRAMBLE = "D F L2 B U R F' L' B2"


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    return {"NIGHTFOLD_HOME": str(tmp_path)}


def book_of(home: dict[str, str]) -> Logbook:
    return Logbook.open(Path(home["NIGHTFOLD_HOME"]) / "logbook.db", backups=False)


class Terminal:
    """A program at a terminal, with somebody who presses keys and reads what is shown."""

    def __init__(self, handle: int, process: subprocess.Popen[bytes]) -> None:
        self.handle = handle
        self.process = process
        self.shown = ""

    def press(self, keys: str) -> None:
        os.write(self.handle, keys.encode())

    def hold(self, key: str, seconds: float) -> None:
        """Hold a key as a keyboard does that repeats it after 0.3 seconds, 30 times a second."""
        self.press(key)
        end = time.monotonic() + seconds
        time.sleep(0.3)
        while time.monotonic() < end:
            self.press(key)
            time.sleep(0.033)

    def read(self, seconds: float) -> bool:
        """Take in what is shown; False once the program has let go of the terminal."""
        ready, _, _ = select.select([self.handle], [], [], seconds)
        if ready:
            try:
                more = os.read(self.handle, 65536)
            except OSError:  # the other end is closed
                return False
            self.shown += more.decode("utf-8", "replace")
            return bool(more)
        return True

    def expect(self, pattern: str, seconds: float = 30) -> None:
        """Read until what is shown has the pattern in it; what was shown before is forgotten then."""
        end = time.monotonic() + seconds
        while not (found := re.search(pattern, self.shown)):
            assert time.monotonic() < end, f"{pattern!r} was not shown: {self.shown[-800:]!r}"
            assert self.read(0.2) or re.search(pattern, self.shown), f"{pattern!r} was not shown: {self.shown[-800:]!r}"
        self.shown = self.shown[found.end() :]

    def end(self) -> int:
        while self.read(0.2) and self.process.poll() is None:
            pass
        return self.process.wait(30)


@contextmanager
def terminal(home: dict[str, str], *arguments: str) -> Iterator[Terminal]:
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [str(PROGRAM), *arguments], stdin=theirs, stdout=theirs, stderr=theirs, env={**PLAIN, **home}, close_fds=True
    )
    os.close(theirs)
    try:
        yield Terminal(ours, process)
    finally:
        process.kill()
        process.wait()
        with suppress(OSError):
            os.close(ours)


def only(home: dict[str, str]) -> Attempt:
    with book_of(home) as book:
        (found,) = book.attempts(most=None)
    return found


def test_an_attempt_from_the_first_look_to_the_verdict(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE, "--series", "best-of-3") as at:
        at.expect("Sit down")
        at.expect("hold the space bar")
        at.press(" ")  # a touch starts nothing
        time.sleep(1.0)
        at.hold(" ", 1.0)
        at.expect("let go to start")
        at.expect("memorise  0.")
        with book_of(home) as book:  # it is kept from its start on
            (begun,) = book.attempts(most=None)
        assert (begun.outcome, begun.total_ms, begun.scramble) == (Outcome.UNFINISHED, None, SCRAMBLE)
        at.press(" ")
        at.expect(r"solve  \d+\.\d")
        at.press("b")
        at.expect("memorise")
        at.press(" ")
        at.expect("solve")
        at.press("x")
        at.expect("How did it come out")
        at.press("?s")
        at.expect(r"result  .*\d+\.\d\d")
        at.expect("best-of-3: Best: ")
        assert at.end() == 0
    kept = only(home)
    assert kept.id == begun.id
    assert kept.outcome is Outcome.SOLVED
    assert kept.memo_ms is not None
    assert kept.total_ms is not None
    assert 0 < kept.memo_ms < kept.total_ms < 30_000
    assert kept.edge_letters == 11


def test_a_failed_attempt_and_what_came_out(home: dict[str, str]) -> None:
    with terminal(home, "attempt", "R U F", "--enter", "--blank", "--bell") as at:
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("\a")
        at.press(" ")
        at.expect("\a")
        at.press(" ")
        at.expect("How did it come out")
        at.press("d")
        at.expect("left or net: ")
        at.press("no turns\r")
        at.expect("try again")
        at.press("R2\r")
        at.expect("WHAT HAPPENED")
        at.expect("FINISH")
        assert at.end() == 0
    with book_of(home) as book:
        (kept,) = book.attempts(most=None)
        found = book.mistakes(attempts=[kept.id])
    assert kept.outcome is Outcome.DNF
    assert kept.final is not None
    assert found
    assert all(one.source is Source.INQUEST for one in found)


def test_many_cubes(home: dict[str, str]) -> None:
    read = ("--method", "corners-first", "--lettering", "greek", "--hold", "yellow,green")
    evening = ("--series", "evening", "--name", "Lamp night")
    with terminal(home, "attempt", "--cubes", "3", "--seed", "7", "--enter", *read, *evening) as at:
        at.expect("3  ")
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("memorise")
        at.press(" ")
        at.expect("solve")
        at.press(" ")
        at.expect("How did each cube come out")
        at.press("s2d")
        at.expect("result  .*2/3 in 0:")
        at.expect("evening, Lamp night: No attempt at one cube yet.")  # what has points has no part in the best single
        assert at.end() == 0
    with book_of(home) as book:
        (kept,) = book.attempts(most=None)
        cubes = book.cubes(kept.id)
        (series,) = book.series()
    assert kept.event == "333mbf"
    assert (kept.method, kept.lettering, kept.hold) == ("corners-first", "greek", "yellow,green")
    assert (series.name, series.id) == ("Lamp night", kept.series)
    assert [cube.outcome for cube in cubes] == [Outcome.SOLVED, Outcome.PLUS2, Outcome.DNF]
    assert len({cube.scramble for cube in cubes}) == 3


def test_a_killed_attempt_is_there_and_can_go_on(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE, "--enter") as at:
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("memorise")
        at.press(" ")
        at.expect("solve")
        at.process.send_signal(signal.SIGKILL)
        at.process.wait()
    cut_off = only(home)
    assert cut_off.memo_ms is not None
    assert cut_off.total_ms is None
    with terminal(home, "attempt", "--enter") as at:
        at.expect("An attempt was cut off")
        at.press("g")
        at.expect("solve")
        at.press(" ")
        at.expect("How did it come out")
        at.press("s")
        at.expect("result")
        assert at.end() == 0
    kept = only(home)
    assert kept.id == cut_off.id
    assert kept.outcome is Outcome.SOLVED
    assert kept.memo_ms == cut_off.memo_ms


def test_leaving_before_the_start_keeps_nothing(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE) as at:
        at.expect("hold the space bar")
        at.press("q")
        at.expect("not started; nothing was kept")
        assert at.end() == 0
    with book_of(home) as book:
        assert book.attempts(most=None) == []


def test_an_attempt_timed_elsewhere_is_judged_and_kept(home: dict[str, str]) -> None:
    final = write_net(Cube.solved().apply(parse_turns("R")))
    told = ("attempt", SCRAMBLE, "--outcome", "dnf", "--time", "1:40.5", "--memo-time", "50", "--series", "mean-of-3")
    data = there(*told, "--final", "-", "--edges", "IU HT FE AX QO V", "--json", stdin=final, environment=home).data
    assert data["result"] == "DNF (1:40.50)"
    assert data["inquest"]["explanations"][0]["replays"]
    assert data["attempt"]["memo"] == {"edges": "IU HT FE AX QO V"}
    assert data["series"] == {"results": [None], "best": None, "mean": None, "complete": False, "say": "Best: DNF."}
    again = ("attempt", SCRAMBLE, "--outcome", "solved", "--time", "1:30", "--series", "mean-of-3")
    assert there(*again, environment=home).out == "result  1:30.00\nmean-of-3: Best: 1:30.00.\n"
    third = there(*again, environment=home)
    assert third.out.splitlines()[1] == "mean-of-3: Best: 1:30.00. Mean of 3: DNF."
    # The series is complete, so the next attempt begins another.
    assert there(*again, environment=home).out.splitlines()[1] == "mean-of-3: Best: 1:30.00."


def test_an_evening_has_a_name(home: dict[str, str]) -> None:
    told = ("attempt", SCRAMBLE, "--outcome", "solved", "--time", "1:30", "--series", "evening")
    assert there(*told, environment=home).out.splitlines()[1] == "evening: Best: 1:30.00."
    # The one that has no name yet takes it; then it is found with its name or without; another name is another evening.
    named = there(*told, "--name", " Lamp  night ", environment=home)
    assert named.out.splitlines()[1] == "evening, Lamp night: Best: 1:30.00."
    there(*told, environment=home)
    there(*told, "--name", "Storm", environment=home)
    with book_of(home) as book:
        assert {one.name: len(book.attempts(series=one.id)) for one in book.series()} == {"Lamp night": 3, "Storm": 1}
    there(*told, "--name", "Lamp night", environment=home)
    with book_of(home) as book:
        assert {one.name: len(book.attempts(series=one.id)) for one in book.series()} == {"Lamp night": 4, "Storm": 1}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--name", "Lamp night"], "--name is that of a series; say which with --series"),
        (["--time", "1:00"], "--time needs --outcome"),
        (["--outcome", "won"], "“won” is no outcome; say solved, plus2, dnf, dns"),
        (["--outcome", "solved", "--time", "1:7"], "is no time; write it as"),
        (["--outcome", "solved", "--time", "50", "--memo-time", "60"], "longer than all of it"),
        (["--outcome", "solved"], "needs its time"),
        (["--series", "ten"], "is no series; say best-of-3"),
        (["--cubes", "2"], "many cubes are dealt, not given"),
        (["--cubes", "0"], "0 cubes are no attempt"),
        (["--final", "x", "--left", "R"], "in one way"),
        (["--outcome", "dnf", "--time", "9", "--edges", "8"], "at column 1 of the edges memo"),
        (["--json"], "cannot hold a key"),
        ([], "there is no terminal here"),
    ],
)
def test_bad_input(arguments: list[str], words: str) -> None:
    complaint(here("attempt", SCRAMBLE, *arguments), words)


def test_many_cubes_have_points_and_no_mean() -> None:
    complaint(here("attempt", "--cubes", "3", "--series", "mean-of-3"), "has points, so it is in no mean-of-3")


@pytest.mark.parametrize(
    "wrong",
    [
        ["--left", "R8"],
        ["--final", "-"],
        ["--edges", "8"],
        ["--hold", "white,yellow"],
        ["--method", "lighthouse"],
        ["--lettering", "lighthouse"],
    ],
)
def test_what_cannot_be_read_is_refused_before_anything_is_kept(home: dict[str, str], wrong: list[str]) -> None:
    told = ("attempt", SCRAMBLE, "--outcome", "dnf", "--time", "1:00", "--series", "best-of-3", *wrong)
    complaint(there(*told, environment=home))
    with book_of(home) as book:
        assert book.attempts(most=None) == []
        assert book.series() == []
