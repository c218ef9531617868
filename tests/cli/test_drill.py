"""``nightfold drill`` and ``nightfold today``: answers from a pipe and at a real terminal, and what is kept of them."""

from __future__ import annotations

import io
import json
import random
import re
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from unittest import mock

import pytest

from nightfold.cli.drill import Face
from nightfold.practice.drills import EXERCISES, Question, Table
from nightfold.practice.kept import LogbookKeeper
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Card, Mistake, Review, Run, Source, Word, id_of
from nightfold.practice.schedule import due_at
from nightfold.practice.sitting import Sitting
from tests.cli.running import PLAIN, Ran, cases, complaint, here, there
from tests.cli.test_attempt import terminal


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    return {"NIGHTFOLD_HOME": str(tmp_path)}


def book_of(home: dict[str, str]) -> Logbook:
    return Logbook.open(Path(home["NIGHTFOLD_HOME"]) / "logbook.db", backups=False)


def at_home(home: dict[str, str], *arguments: str, stdin: str = "") -> Ran:
    """Run in this process, with a home where nothing but this test keeps anything."""
    with mock.patch.dict(PLAIN, home):
        return here(*arguments, stdin=stdin)


def drilled(home: dict[str, str], *arguments: str, stdin: str = "") -> Ran:
    return at_home(home, "drill", *arguments, stdin=stdin)


# --- listing and asking ----------------------------------------------------------------------------------------


def test_alone_it_lists_the_exercises() -> None:
    ran = here("drill")
    assert ran.code == 0
    for name, one in EXERCISES.items():
        assert f"  {name} " in ran.out
        assert one.about.split(",")[0].split(";")[0][:30] in " ".join(ran.out.split())
    assert all(len(line) <= 80 for line in ran.lines)
    listed = here("drill", "--json").data["exercises"]
    assert [one["name"] for one in listed] == list(EXERCISES)
    assert listed[0]["most_level"] == EXERCISES["sticker-letter"].most_level


def test_questions_are_answered_line_by_line() -> None:
    given = "D\nseven\n\nB\n?\n"
    ran = here("drill", "sticker-letter", "--count", "3", "--seed", "1", "--unkept", stdin=given, columns=200)
    assert ran.code == 0
    told = [line.strip() for line in ran.lines if "·" not in line and line.strip()]
    assert told == [
        "1  Sticker to letter, level 1",
        "Which letter of the edges has the lit sticker, UL?",
        "letter: D",
        "right  UL is D.",
        "2  Sticker to letter, level 1",
        "Which letter of the edges has the lit sticker, UF?",
        "letter: seven",
        "“seven” is no letter of the edges in “clockwise”; they are A B C D E F G H I J K L M N O P Q R S T U V W X; "
        "try again",
        "letter:",
        "nothing was written; write “?” if you do not know",
        "letter: B",
        "wrong  B is UR, beside it on the same face; UF is C.",
        "3  Sticker to letter, level 1",
        "Which letter of the edges has the lit sticker, LB?",
        "letter: ?",
        "wrong  LB is H.",
        "1 of 3 right",
    ]
    lit = [line for line in ran.lines if re.search(r"\?[wo]", line)]
    assert len(lit) == 3


@pytest.mark.parametrize("method", ["two-swap", "corners-first", "j-and-y", "left-hand"])
@pytest.mark.parametrize("name", [name for name in EXERCISES if name not in ("pair-word", "word-pair")])
def test_right_answers_are_right_with_every_method(name: str, method: str) -> None:
    """The same seed asks the same again, so the answers can be found beforehand."""
    first = here(
        "drill", name, "--count", "1", "--seed", "5", "--method", method, "--unkept", "--json", stdin="?\n\n\n"
    )
    (asked,) = first.data["answers"]
    assert not asked["right"] and first.data["asked"] == 1
    answer = asked["expected"][0]
    again = here("drill", name, "--count", "1", "--seed", "5", "--method", method, "--unkept", "--json", stdin=answer)
    (done,) = again.data["answers"]
    assert done["asked"] == asked["asked"]
    assert done["right"] and again.data["right"] == 1
    assert not {"key", "table"} & set(done["asked"])


def test_questions_go_to_the_side_where_data_are_wanted() -> None:
    ran = here("drill", "parity", "--count", "1", "--unkept", "--json", stdin="yes\n")
    assert ran.code == 0 and len(ran.lines) == 1
    assert "Parity or not, level 1" in ran.err and "1 of 1" not in ran.err
    answer = ran.data["answers"][0]
    assert answer["ms"] is None and answer["rating"] in (1, 3)
    assert datetime.fromisoformat(answer["due"]).tzinfo is not None


def test_the_answers_may_end_early() -> None:
    assert here("drill", "parity", "--unkept", stdin="").lines[-1] == "nothing was answered"
    ran = here("drill", "trace", "--unkept", "--seed", "1", "--orbit", "edges", stdin="A\n\n \nB\n")
    assert ran.code == 0 and ran.lines[-1] == "0 of 2 right"
    part = here("drill", "hold-memo", "--unkept", "--seed", "1", "--count", "9", stdin="AB\nCD\n")
    assert re.fullmatch(r"0 of \d right", part.lines[-1])


def test_a_memo_may_be_shown_and_asked_for_as_one_likes() -> None:
    ran = here("drill", "hold-memo", "--count", "1", "--shown", "9", "--delay", "60", "--unkept", stdin="", columns=200)
    assert "4 letters, shown for 9 seconds; after 60 seconds you are asked for them: give them again" in ran.out


def test_own_words(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text("pair,word\nLS,lighthouse\nHE,hedge\n", "utf-8")
    options = ("--own", str(file), "--count", "2", "--seed", "1", "--unkept")
    # Whichever of the two comes first.
    ran = [
        here("drill", "pair-word", *options, stdin=given) for given in ("hedge\nlighthouse\n", "lighthouse\nhedge\n")
    ]
    assert sorted(one.lines[-1] for one in ran) == ["0 of 2 right", "2 of 2 right"]
    ran = [here("drill", "word-pair", *options, stdin=given) for given in ("he\nsl\n", "ls\neh\n")]
    assert sorted(one.lines[-1] for one in ran) == ["0 of 2 right", "1 of 2 right"]


def test_a_long_practice_begins_with_a_caution_and_a_short_one_does_not() -> None:
    said = "Sit down at a clear table."
    # What counts is for how long it will go on: ten seconds a question of parity and two for reading, 90 a cube.
    assert here("drill", "trace", "--unkept").out.count(said) == 1
    assert here("drill", "trace", "--count", "9", "--unkept").out.count(said) == 0
    assert here("drill", "parity", "--minutes", "20", "--unkept").out.count(said) == 1
    assert here("drill", "parity", "--count", "75", "--unkept").out.count(said) == 1
    assert said not in here("drill", "parity", "--count", "74", "--unkept").out
    assert said not in here("drill", "trace", "--count", "20", "--minutes", "14", "--unkept").out


REFUSED: dict[str, tuple[list[str], str]] = {
    "no such exercise": (["juggling"], "“juggling” is no exercise; exercises are sticker-letter"),
    "no questions": (["parity", "--count", "0"], "--count is 0; 1 to 500 questions can be asked"),
    "no time": (["parity", "--minutes", "0"], "--minutes is 0; up to 240 minutes can be practised"),
    "no such level": (["parity", "--level", "9"], "parity has the levels 1 to 6, not 9"),
    "no such orbit": (["turned", "--orbit", "wings"], "“wings” is no orbit of two-swap; it has edges and corners"),
    "an orbit of none": (["pair-word", "--orbit", "edges"], "there are none yet"),
    "no words": (["pair-word"], "pair-word asks for your own words, and there are none yet"),
    "delay of nothing": (["parity", "--delay", "5"], "--shown and --delay are for hold-memo; parity has neither"),
    "delay for ever": (["hold-memo", "--delay", "1e9"], "cannot be asked for after 1e+09 seconds; 0 to 900 can be"),
    "no such method": (["parity", "--method", "three-swap"], "there is no method “three-swap”"),
    "no such hold": (["parity", "--hold", "white,yellow"], "are opposite faces"),
}


@pytest.mark.parametrize(("arguments", "sentence"), cases(REFUSED))
def test_what_cannot_be_drilled(arguments: list[str], sentence: str) -> None:
    ran = here("drill", *arguments, "--unkept", stdin="A\n")
    assert ran.code == 2 and sentence in " ".join(ran.err.split())
    assert "Traceback" not in ran.err


def test_answers_that_are_no_text() -> None:
    ran = here("drill", "parity", "--unkept", stdin=b"\xff\xfe\n")
    assert ran.code == 2 and "the answers are not text (UTF-8)" in ran.err


def test_no_terminal_obeys_what_is_typed() -> None:
    ran = here("drill", "sticker-letter", "--count", "1", "--unkept", stdin="\x1b[2J\nA\n")
    assert "\x1b" not in ran.out


# --- what is kept ---------------------------------------------------------------------------------------------


def test_answers_are_kept_one_by_one(home: dict[str, str]) -> None:
    ran = drilled(home, "sticker-letter", "--count", "3", "--seed", "1", stdin="D\n\nB\n?\n")
    assert ran.code == 0, ran.err
    with book_of(home) as book:
        (run,) = book.runs(exercise="sticker-letter")
        reviews = book.reviews(exercise="sticker-letter")
        cards = book.cards(exercise="sticker-letter")
    assert run.ended is not None and run.score == pytest.approx(1 / 3)
    assert run.result == {"asked": 3, "right": 1} and run.settings["count"] == 3
    assert [review.right for review in reviews[::-1]] == [True, False, False]
    assert [review.given for review in reviews[::-1]] == ["D", "B", "?"]
    assert {review.run for review in reviews} == {run.id}
    assert [card.subject for card in cards] == sorted(f"clockwise/edges/{name}" for name in ("UL", "UF", "LB"))
    for card in cards:
        assert due_at(card.state) == card.due
        assert card.stability == card.state["stability"]
    # What was asked can be marked again from what is kept.
    for review in reviews:
        question = Question.from_dict(review.asked["question"])
        assert EXERCISES["sticker-letter"].mark(Table.laid(), question, review.given).right == review.right


def test_the_next_drill_goes_on_from_what_was_kept(home: dict[str, str]) -> None:
    drilled(home, "setup", "--count", "2", stdin="?\n?\n")
    ran = drilled(home, "setup", "--count", "1", stdin="?\n")
    assert "Set up D (UL)" in ran.out, "A and C were begun by now, D is next"
    # Of another solver nothing is known.
    ran = drilled(home, "setup", "--count", "1", "--solver", "Jory", stdin="?\n")
    assert "Set up A (UB)" in ran.out
    with book_of(home) as book:
        assert len(book.reviews(solver="")) == 3 and len(book.reviews(solver="Jory")) == 1


def test_unkept_is_not_kept(home: dict[str, str]) -> None:
    drilled(home, "sticker-letter", "--count", "2", "--unkept", stdin="A\nC\n")
    assert not list(Path(home["NIGHTFOLD_HOME"]).iterdir())


def test_a_drill_without_an_answer_leaves_no_run(home: dict[str, str]) -> None:
    drilled(home, "sticker-letter", stdin="")
    with book_of(home) as book:
        assert book.runs() == [] and book.reviews() == []


def test_words_of_the_logbook_are_asked_for(home: dict[str, str]) -> None:
    with book_of(home) as book:
        book.put_word(Word(pair="L S", word="lighthouse"))
    ran = drilled(home, "pair-word", "--count", "1", stdin="lighthouse\n")
    assert "1 of 1 right" in ran.out


def test_mistakes_of_drills_are_kept_and_today_knows_of_them(home: dict[str, str]) -> None:
    drilled(home, "turned", "--orbit", "edges", "--count", "2", "--seed", "1", stdin="none\nnone\n")
    with book_of(home) as book:
        mistakes = book.mistakes(source=Source.DRILL)
        (run,) = book.runs()
    assert mistakes and {mistake.kind for mistake in mistakes} == {"missed-flipped"}
    assert {mistake.run for mistake in mistakes} == {run.id}
    plan = at_home(home, "today", "--minutes", "10", "--json").data
    assert plan["items"][0]["exercise"] == "turned"
    assert plan["items"][0]["why"].startswith("a flipped edge was missed ")


def test_what_a_keeper_in_the_logbook_tells_is_what_was_done(home: dict[str, str]) -> None:
    """The logbook's keeper and the forgetful one lead through the same questions."""
    from nightfold.practice.keeper import Forgetful

    def go(keeper: Forgetful | LogbookKeeper, renew: Callable[[], Forgetful | LogbookKeeper]) -> list[object]:
        told: list[object] = []
        moment = [datetime(2026, 3, 1, 19, tzinfo=UTC)]
        dice = random.Random(3)
        for _ in range(4):
            for name in ("next-letter", "sticker-letter", "hold-memo"):
                sitting = Sitting(Table.laid(), EXERCISES[name], keeper, dice, lambda: moment[0])
                keeper.start(name, {"count": 5}, moment[0])
                for at in range(5):
                    question = sitting.next()
                    right = dice.random() < 0.7
                    given = sitting.exercise.expected(sitting.table, question)[0] if right else "?"
                    done = sitting.answer(question, given, 2000 + 500 * at)
                    told.append((question, done.review.card, done.review.rating))
                    moment[0] += timedelta(seconds=20)
                keeper.stop(sitting.right, 5, moment[0])
                told.append((keeper.begun(name, moment[0] - timedelta(hours=20)), *keeper.past(name, 7)))
            moment[0] += timedelta(hours=30)
            keeper = renew()
        return told

    forgetful = Forgetful()
    with book_of(home) as book:
        kept = go(LogbookKeeper(book), lambda: LogbookKeeper(book))
        assert kept == go(forgetful, lambda: forgetful)
        assert book.counts()["review"] == 60 and book.counts()["run"] == 12


def test_mistakes_of_inquests_and_markings_are_handed_on(home: dict[str, str]) -> None:
    now = datetime.now(UTC)
    with book_of(home) as book:
        attempt = Attempt(started=now, scramble="R U")
        book.add_attempt(attempt)
        common = {"attempt": attempt.id, "found": now, "orbit": "edges"}
        book.add(
            Mistake(source=Source.INQUEST, kind="other-sticker", letter="H", probability=0.8, **common),  # type: ignore[arg-type]
            Mistake(source=Source.MARKING, kind="neighbour", letter="G", said={"expected": ["H"]}, **common),  # type: ignore[arg-type]
            Mistake(source=Source.MARKING, kind="wrong-letter", letter="G", said={"expected": ["H", "R"]}, **common),  # type: ignore[arg-type]
        )
        found = {lapse.kind: lapse for lapse in LogbookKeeper(book).lapses(now - timedelta(days=1))}
        assert {kind: (lapse.letter, lapse.weight) for kind, lapse in found.items()} == {
            "other-sticker": ("H", 0.8),
            "neighbour": ("H", 1.0),
            "wrong-letter": ("", 1.0),
        }
        assert LogbookKeeper(book).lapses(now + timedelta(days=1)) == []
        assert LogbookKeeper(book, "Jory").lapses(now - timedelta(days=1)) == []


def test_what_a_marking_found_leads_todays_practice(home: dict[str, str]) -> None:
    now = datetime.now(UTC)
    with book_of(home) as book:
        attempt = Attempt(started=now, scramble="R U")
        book.add_attempt(attempt)
        said = {"expected": ["H"]}
        book.add(
            Mistake(
                source=Source.MARKING,
                kind="neighbour",
                orbit="edges",
                letter="G",
                said=said,
                attempt=attempt.id,
                found=now,
            )
        )
    first = at_home(home, "today", "--minutes", "10", "--json").data["items"][0]
    assert (first["exercise"], first["subjects"][0]) == ("sticker-letter", "edges/LB")
    assert first["why"].startswith("letter H of the edges was taken for the one beside it once in the last week")


def test_reviews_without_a_question_are_passed_over(home: dict[str, str]) -> None:
    now = datetime.now(UTC)
    with book_of(home) as book:
        card = Card(exercise="parity", subject="edges", due=now)
        assert card.id == id_of("card", "", "parity", "edges")
        book.add_review(Review(card=card.id, exercise="parity", answered=now, rating=3, right=True), card)
        keeper = LogbookKeeper(book)
        assert keeper.past("parity", 10) == [] and keeper.begun("parity", now - timedelta(days=1)) == 0


def test_an_answer_that_cannot_be_kept_ends_the_drill(home: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The answer was well; asking for it again would not help."""
    from nightfold.cli.drill import practise
    from nightfold.practice.errors import StoringError
    from nightfold.practice.keeper import Answered, Forgetful

    class Full(Forgetful):
        def keep(self, answered: Answered) -> None:
            raise StoringError("the disk is full")

    sitting = Sitting(Table.laid(), EXERCISES["parity"], Full(), random.Random(1))
    monkeypatch.setattr("sys.stdin", io.StringIO("yes\nno\n"))
    with pytest.raises(StoringError, match="the disk is full"):
        practise(sitting, Face(), 2)
    assert sitting.answers == []


# --- at a terminal ---------------------------------------------------------------------------------------------


def test_at_a_terminal_times_are_taken(home: dict[str, str]) -> None:
    with terminal(home, "drill", "sticker-letter", "--count", "2", "--seed", "1") as at:
        at.expect("letter: ")
        at.press("D\n")
        at.expect(r"right\S*  \S*\d+\.\d s")
        at.expect("letter: ")
        at.press("C\n")
        at.expect(r"2 of 2 right, \d+\.\d s an answer")
        assert at.end() == 0
    with book_of(home) as book:
        times = [review.answer_ms for review in book.reviews()]
    assert all(ms is not None and 0 <= ms < 30_000 for ms in times)


def test_a_memo_is_taken_away_before_it_is_asked_for(home: dict[str, str]) -> None:
    with terminal(home, "drill", "hold-memo", "--count", "1", "--orbit", "edges", "--unkept") as at:
        at.expect("give them again in order.")
        at.expect(r"\n  (\x1b\[[0-9;]*m)?[A-X]{2} [A-X]{2}")
        at.expect("press Enter when you have it")
        at.press("\n")
        at.expect(r"\x1b\[2J")
        at.expect("give them again in order.")
        at.expect("edges: ")
        at.press("AB\n")
        at.expect("0 of 1 right|1 of 1 right")
        assert at.end() == 0


def test_what_is_typed_while_a_memo_is_shown_is_no_answer(home: dict[str, str]) -> None:
    options = ("--count", "1", "--orbit", "edges", "--shown", "1", "--delay", "1", "--unkept")
    with terminal(home, "drill", "hold-memo", *options, "--json") as at:
        at.expect("press Enter to see it")
        at.press("\n")
        at.expect(r"\n  (\x1b\[[0-9;]*m)?[A-X]{2} [A-X]{2}")
        at.press("AB\nCD")
        at.expect("edges: ")
        at.press("XC\n")
        at.expect('"given": "XC"')
        assert at.end() == 0


def test_a_glance_is_over_before_one_answers_and_the_place_is_told_nowhere(home: dict[str, str]) -> None:
    with terminal(home, "drill", "sticker-letter", "--count", "1", "--level", "5", "--unkept") as at:
        at.expect(r"has the lit sticker\?")
        at.expect("press Enter to see it")
        at.press("\n")
        at.expect(r"\?")  # the mark on the net
        at.expect(r"\x1b\[2J")
        at.expect(r"has the lit sticker\?")
        at.expect("letter: ")
        at.press("?\n")
        at.expect(r"wrong\S*  \S*\d+\.\d s\S*  \w+ is \w\.")
        assert at.end() == 0


def test_tracing_tells_that_the_clock_runs_and_the_times_before(home: dict[str, str]) -> None:
    options = ("drill", "trace", "--count", "2", "--orbit", "edges", "--level", "1", "--seed")
    with mock.patch.dict(PLAIN, home):
        known = here(*options, "4", "--unkept", "--json", stdin="?\n?\n").data["answers"]
    with terminal(home, *options, "4") as at:
        at.expect("The clock runs; the first right answer sets your record.")
        at.expect("letters: ")
        at.press(known[0]["expected"][0] + "\n")
        at.expect(r"right\S*  \S*\d+\.\d s, \d+\.\d s a letter, your best so far")
        at.expect(r"The clock runs; right answers took you \d+\.\d s a letter, at best \d+\.\d s\.")
        at.expect("letters: ")
        at.press("?\n")
        at.expect(r"wrong\S*  \S*\d+\.\d s\S*  ")
        assert at.end() == 0


def test_a_memo_shown_for_a_second_is_filed_as_timed(home: dict[str, str]) -> None:
    for options, kind in ((("--shown", "1"), "timed"), (("--shown", "1", "--delay", "1"), "delayed")):
        drilled(home, "hold-memo", "--count", "1", "--orbit", "corners", *options, stdin="?\n")
        with book_of(home) as book:
            assert book.reviews()[0].asked["question"]["subject"] == f"corners/{kind}"
            assert f"corners/{kind}" in {card.subject for card in book.cards(exercise="hold-memo")}


def wait_until_it_waits(process: int) -> None:
    """Until the program sleeps, waiting for a line; a signal just before that would find it only with the next line."""
    stat = Path(f"/proc/{process}/stat")
    while stat.exists() and stat.read_text().rpartition(")")[2].split()[0] != "S":
        time.sleep(0.05)


def test_broken_off_it_tells_how_it_went_and_keeps_what_there_was(home: dict[str, str]) -> None:
    with terminal(home, "drill", "sticker-letter", "--seed", "2") as at:
        at.expect("letter: ")
        at.press("A\n")
        at.expect("letter: ")
        wait_until_it_waits(at.process.pid)
        at.process.send_signal(signal.SIGINT)
        at.expect("1 of 1 right")
        assert at.end() == 130
    with book_of(home) as book:
        assert len(book.reviews()) == 1
        (run,) = book.runs()
        assert run.ended is not None


def test_what_was_answered_survives_a_kill(home: dict[str, str]) -> None:
    with terminal(home, "drill", "sticker-letter", "--seed", "2") as at:
        at.expect("letter: ")
        at.press("A\n")
        at.expect("UB is A.")
        at.process.kill()
        at.end()
    with book_of(home) as book:
        assert [review.given for review in book.reviews()] == ["A"]
        assert book.get(Run, book.reviews()[0].run or "") is not None


# --- today -----------------------------------------------------------------------------------------------------


def test_today_for_one_who_begins() -> None:
    ran = here("today", "--minutes", "10", "--unkept")
    assert ran.code == 0
    assert ran.lines[0] == " 1  Sticker to letter  10 questions, about 1 min"
    assert ran.lines[1] == "    10 new."
    assert ran.lines[-1].endswith("in all; nightfold today --start goes through it")
    assert all(len(line) <= 80 for line in ran.lines)
    data = here("today", "--minutes", "10", "--unkept", "--json").data
    assert data["minutes"] == 10 and data["seconds"] <= 600
    assert {item["exercise"] for item in data["items"]} >= {"sticker-letter", "trace"}


def test_today_only_looks(home: dict[str, str]) -> None:
    assert at_home(home, "today").code == 0
    assert not list(Path(home["NIGHTFOLD_HOME"]).iterdir())


def test_today_goes_through_it(home: dict[str, str]) -> None:
    plan = at_home(home, "today", "--minutes", "1", "--json").data
    assert [item["exercise"] for item in plan["items"]] == ["sticker-letter", "letter-sticker"]
    answers = "".join("A\n" if name == 0 else "UB\n" for name in (0, 1) for _ in range(plan["items"][name]["count"]))
    ran = at_home(home, "today", "--minutes", "1", "--start", "--seed", "2", stdin=answers)
    assert ran.code == 0, ran.err
    assert ran.out.count("Sit down at a clear table.") == 1
    total = sum(item["count"] for item in plan["items"])
    assert re.fullmatch(rf"[0-2] of {total} right", ran.lines[-1])
    with book_of(home) as book:
        assert {run.exercise for run in book.runs()} == {"sticker-letter", "letter-sticker"}
        assert len(book.reviews(most=None)) == total
    later = at_home(home, "today", "--minutes", "1", "--json").data
    assert later != plan


def test_today_with_answers_that_end_early(home: dict[str, str]) -> None:
    ran = at_home(home, "today", "--minutes", "5", "--start", stdin="?\n?\n")
    assert ran.code == 0 and ran.lines[-1] == "0 of 2 right"


class Hands:
    """Somebody at a terminal who needs so many seconds for each answer, by a clock that only answers move."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, seconds: float) -> None:
        self.now, self.seconds = 1000.0, seconds
        for command in ("drill", "today"):
            monkeypatch.setattr(f"nightfold.cli.{command}.Face", partial(Face, watch=lambda: self.now))
        monkeypatch.setattr(Face, "answer", self.answer)

    def answer(self, *_: object) -> str:
        self.now += self.seconds
        return "?"


def test_todays_practice_stops_when_the_minutes_are_over(home: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Of one who takes ten times as long as reckoned with each exercise has its turn, and the time is kept."""
    plan = at_home(home, "today", "--minutes", "10", "--json").data
    hands = Hands(monkeypatch, 60.0)
    ran = at_home(home, "today", "--minutes", "10", "--start", "--seed", "3")
    assert ran.code == 0, ran.err
    total, asked = sum(item["count"] for item in plan["items"]), round((hands.now - 1000) / 60)
    assert 10 <= asked <= 12 < total
    assert f"the 10 minutes are over; {total - asked} questions left out, and what is due stays due" in ran.out
    assert ran.lines[-1] == f"0 of {asked} right"
    with book_of(home) as book:
        assert {one.exercise for one in book.reviews(most=None)} == {item["exercise"] for item in plan["items"]}


def test_todays_practice_of_one_who_is_quick_ends_before_the_time(
    home: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = at_home(home, "today", "--minutes", "10", "--json").data
    Hands(monkeypatch, 1.0)
    ran = at_home(home, "today", "--minutes", "10", "--start", "--seed", "3")
    assert ran.lines[-1] == f"0 of {sum(item['count'] for item in plan['items'])} right"
    assert "over" not in ran.out.split("Sit down")[1]


def test_what_one_block_is_slow_with_comes_again_if_there_is_time(
    home: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A first block that is slow is cut short; as the others are quick, it is gone through in the end all the same."""
    plan = at_home(home, "today", "--minutes", "10", "--json").data
    hands = Hands(monkeypatch, 1.0)
    slow = plan["items"][0]["exercise"]

    def answer(_: object, question: Question, *__: object) -> str:
        hands.now += 30.0 if question.exercise == slow else 1.0
        return "?"

    monkeypatch.setattr(Face, "answer", answer)
    ran = at_home(home, "today", "--minutes", "10", "--start", "--seed", "3")
    assert "enough of Sticker to letter for now" in ran.out
    assert ran.lines[-1] == f"0 of {sum(item['count'] for item in plan['items'])} right"


def test_a_drill_says_that_its_minutes_are_over(monkeypatch: pytest.MonkeyPatch) -> None:
    Hands(monkeypatch, 25.0)
    ran = here("drill", "parity", "--minutes", "2", "--unkept", "--seed", "1")
    assert ran.lines[-2:] == ["the 2 minutes are over", "0 of 5 right"]
    Hands(monkeypatch, 25.0)
    assert "the minute is over" in here("drill", "parity", "--minutes", "1", "--unkept", "--seed", "1").lines


def test_one_question_mark_does_not_make_a_day_of_a_hundred_cubes(home: dict[str, str]) -> None:
    drilled(home, "trace", "--count", "1", stdin="?\n")
    with book_of(home) as book:
        (review,) = book.reviews()
        book.put(replace(review, answer_ms=100))
    plan = at_home(home, "today", "--minutes", "20", "--json").data
    cubes = [item for item in plan["items"] if item["exercise"] == "trace"]
    assert sum(item["count"] for item in cubes) <= 6
    assert all(item["seconds"] >= 80 * item["count"] for item in cubes)


def test_what_cannot_be_planned() -> None:
    complaint(here("today", "--minutes", "0.1", "--unkept"), "0.1 minutes cannot be planned; 1 to 240 can")
    complaint(here("today", "--start", "--json", "--unkept"), "--start asks questions and --json prints data")


def test_the_program_itself_lists_and_asks() -> None:
    assert json.loads(there("drill", "--json").out)["exercises"]
    ran = there("drill", "turned", "--count", "1", "--unkept", "--seed", "3", stdin="none\n")
    assert ran.code == 0 and re.search(r"[01] of 1 right", ran.out)
