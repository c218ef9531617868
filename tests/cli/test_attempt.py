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
        at.hold("b", 1.0)
        at.expect("memorise")
        at.press(" ")
        at.expect("solve")
        at.press("x")
        at.expect("How did it come out")
        at.press("?s")
        at.expect(r"result  .*\d+\.\d\d")
        at.expect(r"best-of-3: 1 of 3\. Best: ")
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
        at.expect("1  solved")
        at.expect(r"2  one turn away \(\+2\)")
        at.expect("3  not solved")
        at.expect("cube 3, left or net: ")
        at.press("R2\r")
        at.expect("result  .*2/3 in 0:")
        at.expect("evening, Lamp night: 1 attempt at many cubes.")  # what has points has no part in the best single
        at.expect("CUBE 3")
        at.expect("WHAT HAPPENED")
        assert at.end() == 0
    with book_of(home) as book:
        (kept,) = book.attempts(most=None)
        cubes = book.cubes(kept.id)
        (series,) = book.series()
        found = book.mistakes(attempts=[kept.id])
    assert cubes[2].final == write_net(Cube.solved().apply(parse_turns("R2")))
    assert found
    assert all(one.said["cube"] == 3 and not one.alone for one in found)
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
        at.expect(r"An attempt was cut off\. It began at \d\d:\d\d; its clock ran on and stands at \d+\.\d\d")
        at.press("g")
        at.expect(re.escape(SCRAMBLE))
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
    said = "1 of 3. None solved yet. The mean is a DNF."
    assert data["series"] == {"results": [None], "best": None, "mean": None, "complete": False, "say": said}
    again = ("attempt", SCRAMBLE, "--outcome", "solved", "--time", "1:30", "--series", "mean-of-3")
    assert there(*again, environment=home).out == (
        "result  1:30.00\nmean-of-3: 2 of 3. Best: 1:30.00. The mean is a DNF.\n"
    )
    third = there(*again, environment=home)
    assert third.out.splitlines()[1] == "mean-of-3: Best: 1:30.00. Mean of 3: DNF."
    # The series is complete, so the next attempt begins another.
    assert there(*again, environment=home).out.splitlines()[1] == "mean-of-3: 1 of 3. Best: 1:30.00."


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
        (["--cubes", "2"], "--cubes says 2, but 1 scramble was given"),
        (["--memo-time", "9"], "--memo-time needs --outcome"),
        (["--outcome", "solved", "--time", "0"], "a time of 0.00 cannot be"),
        (["--outcome", "solved", "--time", "100:00:00"], "longer than a day"),
        (["--outcome", "solved", "--time", "9", "--left", "R"], "what came out of a failed attempt"),
        (["--outcome", "solved,dnf", "--time", "9"], "one cube has one outcome; here are 2"),
        (["--scramble", "U", "--outcome", "solved,solved", "--time", "25:00"], "2 cubes have 20:00 at most (H1b"),
        (["--scramble", "U", "--outcome", "solved", "--time", "9"], "2 cubes need 2 words, as in --outcome solved,dnf"),
        (["--scramble", "U", "--outcome", "solved,dnf"], "needs its time"),
        (["--scramble", "U8", "--outcome", "solved,dnf", "--time", "9"], "cube 2: "),
        (["--scramble", "U", "--left", "R"], "nightfold inquest --attempt last --cube 2"),
        (["--judge", "last", "--outcome", "dnf"], "that attempt is kept already"),
        (["--cubes", "0"], "0 cubes are no attempt"),
        (["--final", "x", "--left", "R"], "in one way"),
        (["--outcome", "dnf", "--time", "9", "--edges", "8"], "at column 1 of the edges memo"),
        (["--json"], "cannot hold a key"),
        ([], "there is no terminal here"),
    ],
)
def test_bad_input(arguments: list[str], words: str) -> None:
    complaint(here("attempt", SCRAMBLE, *arguments), words)


@pytest.mark.parametrize("held", [0.0, 0.36])
def test_a_touch_of_b_with_covered_eyes_stops_the_clock(home: dict[str, str], held: float) -> None:
    with terminal(home, "attempt", SCRAMBLE) as at:
        at.expect("hold the space bar")
        at.hold(" ", 1.0)
        at.expect("memorise  0.")
        time.sleep(0.3)
        at.press("q")  # a touch gives nothing up either
        time.sleep(1.0)
        at.press(" ")
        at.expect(r"solve  \d+\.\d")
        pressed = time.monotonic()
        if held:
            at.hold("b", held)
        else:
            at.press("b")
        at.expect("How did it come out")
        late = 1000 * (time.monotonic() - pressed)
        at.press("s")
        at.expect("result")
    kept = only(home)
    assert kept.memo_ms is not None
    assert kept.total_ms is not None
    assert kept.memo_ms > 1300
    # The clock stopped when the key came down, not when it was sure that it was not held.
    assert kept.total_ms - kept.memo_ms < late - 100


def test_giving_up_takes_a_key_that_is_held(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE) as at:
        at.expect("hold the space bar")
        at.hold(" ", 1.0)
        at.expect("memorise  0.")
        at.hold("q", 1.0)
        at.expect("given up while memorising: DNF")
        assert at.end() == 0
    assert only(home).outcome is Outcome.DNF


def test_where_keys_do_not_repeat_they_are_pressed_twice(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE, "--enter") as at:
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("twice q: give up")
        at.press(" ")
        at.expect("twice b: blindfold off again")
        at.press("b")
        time.sleep(0.3)
        at.press("b")
        at.expect("memorise")
        at.press("q")
        time.sleep(0.2)
        at.press("q")
        at.expect("given up while memorising: DNF")


def test_what_nobody_judged_is_asked_once_more(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE, "--enter") as at:
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("memorise")
        at.press(" ")
        at.expect("solve")
        at.press(" ")
        at.expect("How did it come out")
        at.process.send_signal(signal.SIGKILL)
        at.process.wait()
    assert only(home).outcome is Outcome.UNFINISHED
    with terminal(home, "attempt", "R U", "--enter") as at:
        at.expect("Nobody has said how the attempt of")
        at.expect(re.escape(SCRAMBLE))
        at.press("j")
        at.expect("How did it come out")
        at.press("d")
        at.expect("left or net: ")
        at.press("\r")
        at.expect("result  .*DNF")
        at.expect("Enter starts the clock")  # and then the attempt that was asked for
        at.press("q")
        assert at.end() == 0
    assert only(home).outcome is Outcome.DNF


def test_an_attempt_that_is_broken_off_says_how_to_go_on(home: dict[str, str]) -> None:
    with terminal(home, "attempt", SCRAMBLE, "--enter") as at:
        at.expect("Enter starts the clock")
        at.press("\r")
        at.expect("memorise")
        at.press("\x03")
        at.expect("The attempt is kept, and its clock runs on")
        assert at.end() == 130
    with terminal(home, "attempt", "R U", "--enter") as at:
        at.expect("An attempt was cut off")
        at.press("g")
        at.expect("What you typed is for another attempt")
        at.expect(re.escape(SCRAMBLE))
        at.press(" ")
        at.expect("solve")
        at.press(" ")
        at.expect("How did it come out")
        at.press("\x03")
        at.expect("kept with its time")
    with terminal(home, "attempt", "R U", "--enter") as at:
        at.expect("Nobody has said")
        at.press("k")
        at.expect("kept as unfinished")
        at.expect("Enter starts the clock")


def test_an_inquest_into_a_kept_attempt_is_kept_with_it(home: dict[str, str]) -> None:
    read = ("--method", "corners-first", "--hold", "yellow,green")
    told = ("attempt", SCRAMBLE, *read, "--solver", "Ansa", "--outcome", "dnf", "--time", "1:00")
    assert "nightfold inquest --attempt last --solver Ansa finds out" in there(*told, environment=home).out.replace(
        "\n", " "
    )
    asked = ("inquest", "--attempt", "last", "--solver", "Ansa")
    complaint(there(*asked, environment=home), "does not know yet what came out")
    complaint(there("inquest", "--attempt", "last", environment=home), "there is no attempt in the logbook yet")
    complaint(there("inquest", SCRAMBLE, *asked[1:], "--left", "R", environment=home), "leave them out")
    quickly = ("--mistakes", "1")
    found = there(*asked, "--left", "R", *quickly, "--json", environment=home).data
    with book_of(home) as book:
        (kept,) = book.attempts(solver=None)
        mistakes = book.mistakes(solver=None, attempts=[kept.id])
    assert kept.final == write_net(Cube.solved().apply(parse_turns("R'")))
    assert sorted(one.said["say"] for one in mistakes) == sorted(
        mistake["say"] for one in found["explanations"] for mistake in one["mistakes"]
    )
    # What was kept is looked into again, by the day and the number of the attempt or by its id.
    for which in (f"{kept.day}/1", kept.day, kept.id):
        again = there(*asked[:2], which, *asked[3:], *quickly, "--json", environment=home).data
        with book_of(home) as book:
            assert {one.said["say"] for one in book.mistakes(solver=None, attempts=[kept.id])} == {
                mistake["say"] for one in again["explanations"] for mistake in one["mistakes"]
            }
    for which, words in ((f"{kept.day}/2", "numbered 1 to 1"), ("2020-01-01", "on 2020-01-01"), ("lamp", "“lamp”")):
        complaint(there(*asked[:2], which, *asked[3:], environment=home), words)
    judged = there("attempt", "--judge", "last", "--solver", "Ansa", "--outcome", "solved", environment=home)
    assert judged.out == "result  1:00.00\n"
    complaint(there(*asked, environment=home), "that attempt is solved, so there is nothing to explain")
    with book_of(home) as book:
        assert book.mistakes(solver=None, attempts=[kept.id]) == []


def test_a_kept_attempt_is_corrected_removed_and_brought_back(home: dict[str, str]) -> None:
    there("attempt", SCRAMBLE, "--outcome", "dnf", "--time", "1:00", environment=home)
    judge = ("attempt", "--judge", "last")
    for wrong, words in (
        ([], "say what to correct"),
        (["--memo-time", "1:01"], "longer than all of it"),
        (["--outcome", "won"], "is no outcome"),
        (["--edges", "8"], "at column 1 of the edges memo"),
    ):
        complaint(there(*judge, *wrong, environment=home), words)
    told = ("--outcome", "plus2", "--time", "1:10", "--memo-time", "40", "--note", "by lamplight")
    assert there(*judge, *told, environment=home).out == "result  1:12.00 (with +2)\n"
    kept = only(home)
    assert (kept.memo_ms, kept.total_ms, kept.note) == (40_000, 70_000, "by lamplight")
    assert "WHAT HAPPENED" in there(*judge, "--outcome", "dnf", "--left", "R", environment=home).out
    removed = there("attempt", "--remove", "last", environment=home).out
    assert f"nightfold attempt --bring-back {kept.id} brings it" in removed
    with book_of(home) as book:
        assert book.attempts() == []
    complaint(there(*judge, "--note", "gone", environment=home), "there is no attempt in the logbook yet")
    there("attempt", "--bring-back", kept.id, environment=home)
    assert only(home).note == "by lamplight"
    complaint(there("attempt", "--bring-back", "lamp", environment=home), "no attempt lamp was removed")


def test_many_cubes_that_were_timed_elsewhere(home: dict[str, str]) -> None:
    told = ("attempt", "--scrambles", "-", "--time", "18:20", "--memo-time", "11:00", "--outcome")
    kept = there(*told, "solved,plus2,dnf", stdin="1. R U F\n\n2) L2 D B'\nF R2 U'\n", environment=home)
    assert kept.out.startswith("result  2/3 in 18:22   1 point\nnightfold inquest --attempt last --cube N")
    with book_of(home) as book:
        (attempt,) = book.attempts()
        assert [cube.scramble for cube in book.cubes(attempt.id)] == ["R U F", "L2 D B'", "F R2 U'"]
    examine = ("inquest", "--attempt", "last", "--cube")
    complaint(there(*examine, "1", "--left", "R", environment=home), "cube 1 of that attempt is solved")
    complaint(there(*examine, "4", "--left", "R", environment=home), "say which, 1 to 3")
    complaint(there(*examine[:-1], "--left", "R", environment=home), "say which, 1 to 3")
    assert (
        "WHAT HAPPENED" in there(*examine, "3", "--left", "R", "--edges", "AB", "--mistakes", "1", environment=home).out
    )
    with book_of(home) as book:
        third = book.cubes(attempt.id)[2]
        assert (third.memo, third.final) == ({"edges": "AB"}, write_net(Cube.solved().apply(parse_turns("R'"))))
        assert {one.said["cube"] for one in book.mistakes(attempts=[attempt.id])} == {3}
    # The second turns out to have failed, and the third to have been solved: its mistakes go.
    judged = there("attempt", "--judge", "last", "--outcome", "dnf,dnf,solved", environment=home)
    assert judged.out.startswith("result  DNF (18:20)\n")
    with book_of(home) as book:
        assert book.mistakes(attempts=[attempt.id]) == []
        assert book.cubes(attempt.id)[2].final is None
    complaint(there(*told, "solved", stdin="\n", environment=home), "the list of scrambles is empty")
    whole = there(*told, "dns", stdin="R\nU\n", environment=home)
    assert whole.out == "result  DNS\n"


def test_attempts_that_begin_at_once_have_one_series_and_numbers_of_their_own(home: dict[str, str]) -> None:
    with book_of(home):
        pass
    told = ["attempt", SCRAMBLE, "--outcome", "solved", "--time", "1:30", "--series", "evening"]
    at_once = [
        subprocess.Popen([str(PROGRAM), *told], env={**PLAIN, **home}, stdout=subprocess.DEVNULL) for _ in range(4)
    ]
    assert [one.wait(120) for one in at_once] == [0] * 4
    with book_of(home) as book:
        (series,) = book.series()
        assert sorted(one.number or 0 for one in book.attempts(series=series.id)) == [1, 2, 3, 4]


def test_help_fits_a_terminal_of_80_columns() -> None:
    helped = here("attempt", "--help")
    assert "press it to cover your eyes, and press any key" in " ".join(helped.out.split())
    # No line is broken where there is room for the next word, and no metavar squeezes what is said into a ribbon.
    assert helped.lines[7].strip() == "press it to cover your eyes, and press any key to stop. With --time an"
    (note,) = [line for line in helped.lines if line.startswith("│ --note")]
    assert note.index("A note to keep with it.") < 36


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
