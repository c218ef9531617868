"""The logbook keeps what is written, once, and finds it again; its summaries are those of its records."""

from __future__ import annotations

import random
import threading
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fsrs import Card as FsrsCard
from fsrs import Rating, Scheduler
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from nightfold.practice import tallies
from nightfold.practice.checking import check
from nightfold.practice.errors import ClashError, LogbookError, RecordError
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import (
    KINDS,
    Attempt,
    AttemptCube,
    Card,
    Mistake,
    Record,
    Review,
    Route,
    Run,
    Series,
    SeriesKind,
    Solver,
    Source,
    Word,
    new_id,
)
from nightfold.practice.results import PENALTY_MS, Outcome
from nightfold.practice.schema import TABLES
from nightfold.practice.tallies import FEATURES, features_of
from nightfold.practice.tendencies import Exposure
from nightfold.practice.writing import find_all
from tests.practice import invented
from tests.practice.strategies import logbooks

NOW = datetime(2026, 1, 9, 19, 30, tzinfo=UTC)


def all_records(book: Logbook) -> set[Record]:
    with book.database.reading() as connection:
        return {record for kind in KINDS for record in find_all(connection, kind) if record.noun != "fact"}


def a_review(**changes: Any) -> tuple[Review, Card]:
    card = Card(exercise="setup", subject="edges/LB", due=NOW + timedelta(days=3), state={"stability": 3.0})
    review = Review(card=card.id, exercise="setup", answered=NOW, rating=3, right=True, answer_ms=1800)
    return replace(review, **changes), card


# --- writing -------------------------------------------------------------------------------------------------


@settings(max_examples=25)
@given(written=logbooks())
def test_any_records_come_back_as_they_were(tmp_path_factory: pytest.TempPathFactory, written: list[Record]) -> None:
    path = tmp_path_factory.mktemp("any") / "logbook.db"
    with Logbook.open(path) as book:
        book.add(*random.Random(1).sample(written, len(written)))  # in any order
        assert book.add(*written) == 0
    with Logbook.open(path, backups=False) as book:
        assert all_records(book) == {record for record in written if record.noun != "fact"}
        assert check(book.database).problems == ()


def test_records_with_everything_in_them_come_back(book: Logbook) -> None:
    """The same in both databases, with numbers at the ends of their ranges and all kinds of characters."""
    series = Series(kind=SeriesKind.EVENING, started=datetime(1, 1, 2, tzinfo=UTC), name="Été · вечер · 夜")
    attempt = Attempt(
        series=series.id,
        number=3,
        started=datetime(9999, 12, 30, 23, 59, 59, 999_999, tzinfo=UTC),
        memo_ms=10**10,
        total_ms=0,
        final="",
        memo={"edges": "FU P", "corners": "", "odd": [1, 2.5, None, {"\u0000": "\U0001f9ca"}]},
        note="a\tb\r\nc\\ “d” \x1f",
    )
    cubes = [AttemptCube(attempt=attempt.id, number=number, scramble="R U", outcome=Outcome.DNF) for number in (1, 2)]
    run = Run(exercise="hold", started=NOW, score=1e-300, settings={"letters": 8})
    mistake = Mistake(run=run.id, found=NOW, source=Source.DRILL, kind="beside", probability=1 / 3)
    route = Route(name="harbour", loci=("steps", "lamp", ""))
    word = Word(pair="Ch Ll", language="es", word="chillido", strength=0.1)
    review, card = a_review(run=run.id, share=0.1 + 0.2)
    written = [series, attempt, *cubes, run, mistake, route, word, card, review, Solver(name="Jory", created=NOW)]
    assert book.add(*written) == len(written)
    assert all_records(book) == set(written)
    assert [book.get(type(one), one.id) for one in written] == written
    assert book.get(Attempt, new_id()) is None


def test_the_greatest_of_everything_is_summed(book: Logbook) -> None:
    most: dict[str, Any] = {"memo_ms": 10**10, "total_ms": 10**10, "cycles": 10**6, "turns": 10**6}
    letters: dict[str, Any] = {
        "edge_letters": 10**6,
        "corner_letters": 10**6,
        "breaks": 10**6,
        "flipped": 10**6,
        "twisted": 10**6,
    }
    book.add(*(Attempt(started=NOW, outcome=Outcome.SOLVED, **most, **letters) for _ in range(100)))
    (tally,) = book.tallies("value", feature="letters")
    assert (tally.key, tally.attempts, tally.total_ms) == ((2 * 10**6,), 100, 10**12)
    assert check(book.database).problems == ()


def test_writing_twice_is_writing_once(book: Logbook) -> None:
    attempt = Attempt(started=NOW, outcome=Outcome.SOLVED, total_ms=60_000)
    assert book.add_attempt(attempt)
    assert not book.add_attempt(attempt)
    assert book.counts()["attempt"] == book.tallies()[0].attempts == 1
    with pytest.raises(ClashError, match="with other content; nothing was written"):
        book.add(Attempt(started=NOW), replace(attempt, note="wind"))
    assert book.counts()["attempt"] == 1
    book.put(replace(attempt, note="wind"))
    assert book.attempts() == [replace(attempt, note="wind")]
    with pytest.raises(ClashError, match="twice, with different content"):
        book.put(attempt, replace(attempt, note="rain"))


def test_all_of_a_write_is_kept_or_nothing(book: Logbook) -> None:
    lost = AttemptCube(attempt=new_id(), number=1)  # of an attempt that is not there
    with pytest.raises(LogbookError):
        book.add(Attempt(started=NOW), lost)
    assert book.attempts() == [] and book.tallies() == []


def test_an_attempt_begins_and_ends(book: Logbook) -> None:
    begun = Attempt(started=NOW, scramble="R U F2", edge_letters=10, corner_letters=7, parity=False)
    book.add_attempt(begun)
    ended = book.finish_attempt(begun.id, Outcome.PLUS2, 61_230, memo_ms=20_010, memo={"edges": "FU"})
    assert ended == replace(begun, outcome=Outcome.PLUS2, total_ms=61_230, memo_ms=20_010, memo={"edges": "FU"})
    assert book.finish_attempt(begun.id, Outcome.PLUS2, 61_230) == ended  # told once more
    assert book.attempts() == [ended]
    corrected = book.change_attempt(begun.id, outcome=Outcome.DNF, note="a corner")
    assert (corrected.total_ms, corrected.note) == (61_230, "a corner")
    assert [(one.plus2, one.dnf, one.unfinished) for one in book.tallies()] == [(0, 1, 0)]
    refused: list[tuple[dict[str, Any], str]] = [
        ({"colour": 1}, "attempts have no colour"),
        ({"id": new_id()}, "cannot be changed"),
        ({"memo_ms": -4}, "memo_ms must be"),
    ]
    for changes, sentence in refused:
        with pytest.raises(RecordError, match=sentence):
            book.change_attempt(begun.id, **changes)
    with pytest.raises(RecordError, match="there is no attempt"):
        book.change_attempt(new_id(), note="lost")


def test_what_goes_takes_what_is_part_of_it_along(book: Logbook) -> None:
    series = Series(kind=SeriesKind.SINGLE, started=NOW)
    attempt, other = (Attempt(started=NOW, series=series.id, number=number) for number in (1, 2))
    cube = AttemptCube(attempt=attempt.id, number=1)
    run = Run(exercise="setup", started=NOW)
    review, card = a_review(run=run.id)
    mistake = Mistake(attempt=attempt.id, found=NOW, source=Source.MARKING, kind="beside")
    book.add(series, attempt, other, cube, run, review, card, mistake)
    assert book.remove(Attempt, attempt.id, new_id()) == 1
    assert all_records(book) == {series, other, run, review, card}
    assert book.mistake_tallies() == [] and book.tallies()[0].attempts == 1
    assert book.remove(Series, series.id) == 1
    assert book.attempts() == [replace(other, series=None)]
    assert book.remove(Run, run.id) == 1
    assert book.reviews() == [replace(review, run=None)]
    assert book.remove(Card, card.id) == 1
    assert book.reviews() == [] and book.review_tallies() == []
    assert check(book.database).sound


def test_the_demo_goes_as_a_whole(book: Logbook) -> None:
    mine = Attempt(started=NOW)
    demo = Attempt(started=NOW, demo=True)
    review, card = a_review(demo=True)
    book.add(mine, demo, replace(card, demo=True), review)
    book.add(Mistake(attempt=demo.id, found=NOW, source=Source.INQUEST, kind="beside", demo=True))
    assert book.attempts(demo=True) == [demo] and book.tallies(demo=False)[0].attempts == 1
    assert book.remove_demo() == 4
    assert all_records(book) == {mine}
    assert check(book.database).sound


def test_an_answer_and_its_card_are_written_together(book: Logbook) -> None:
    """The card is kept as the scheduler knows it; a repeated answer does not turn it back."""
    scheduler = Scheduler(enable_fuzzing=False)
    known, at = FsrsCard(card_id=1, due=NOW), NOW
    last = None
    for step in range(4):
        known, _ = scheduler.review_card(known, Rating.Good, at)
        card = Card(
            exercise="setup",
            subject="edges/LB",
            state=dict(known.to_dict()),
            due=known.due,
            stability=known.stability,
            difficulty=known.difficulty,
        )
        review = Review(card=card.id, exercise="setup", answered=at, rating=3, right=True, answer_ms=1000 + step)
        assert book.add_review(review, card)
        last = last or (review, card)
        at = known.due + timedelta(hours=1)
    assert last is not None and not book.add_review(*last)
    kept = book.card("setup", "edges/LB")
    assert kept == card and kept is not None
    assert FsrsCard.from_dict(kept.state) == known  # type: ignore[arg-type]  # what it was made of
    assert book.answer_times("setup") == [1003, 1002, 1001, 1000]
    with pytest.raises(ClashError, match="with other content"):
        book.add_review(replace(last[0], given="Q"), card)
    with pytest.raises(RecordError, match="not the one that the review is of"):
        book.add_review(review, Card(exercise="setup", subject="edges/UF", due=NOW))


def test_mistakes_of_one_source_take_the_place_of_those_before(book: Logbook) -> None:
    attempt = Attempt(started=NOW)
    book.add(attempt)

    def found(source: Source, *kinds: str) -> list[Mistake]:
        return [
            Mistake(
                attempt=attempt.id, found=NOW, source=source, kind=kind, explanation=at, probability=0.5, alone=True
            )
            for at, kind in enumerate(kinds)
        ]

    marked = found(Source.MARKING, "beside")
    book.add(*marked)
    book.keep_inquest(attempt.id, found(Source.INQUEST, "beside", "look-alike"))
    again = found(Source.INQUEST, "letter-doubled")
    for _ in range(2):
        book.keep_inquest(attempt.id, again)
    assert set(book.mistakes(attempts=[attempt.id])) == {*marked, *again}
    assert book.mistakes(source=Source.INQUEST) == again
    assert [(one.key, one.mistakes, one.cost) for one in book.mistake_tallies("kind")] == [
        (("beside",), 1, 0.5),
        (("letter-doubled",), 1, 0.5),
    ]
    with pytest.raises(RecordError, match="not all mistakes of the attempt"):
        book.keep_inquest(attempt.id, marked)
    with pytest.raises(RecordError, match="not all mistakes of the attempt"):
        book.keep_inquest(Attempt(started=NOW).id, again)


def test_words_routes_runs_and_facts(book: Logbook) -> None:
    word = Word(pair="L S", word="lighthouse", kind="place")
    weaker = Word(pair="L S", word="lobster", strength=0.2)
    other = Word(pair="A B", word="abbey", language="fr")
    for one in (word, weaker, other):
        book.put_word(one)
    book.put_word(replace(word, note="the one on the point"))
    word = replace(word, note="the one on the point")
    assert book.words() == [word, weaker, other]
    assert book.words(language="fr") == [other] and book.words(pair="L S", language="en") == [word, weaker]
    assert book.remove_word(weaker) and not book.remove_word(weaker)
    route = Route(name="harbour", loci=("steps", "lamp"))
    book.put_route(route)
    book.put_route(replace(route, loci=("lamp",)))
    assert book.routes() == [replace(route, loci=("lamp",))]
    run = Run(exercise="setup", started=NOW)
    assert book.add_run(run) and not book.add_run(run)
    book.put(replace(run, ended=NOW, score=0.9))
    assert book.runs(exercise="setup") == [replace(run, ended=NOW, score=0.9)] and book.runs(exercise="x") == []
    assert book.fact("demo-loaded") is None
    book.set_fact("demo-loaded", "2026-01-09")
    book.set_fact("demo-loaded", "2026-01-10")
    assert book.fact("demo-loaded") == "2026-01-10"
    book.set_fact("demo-loaded", None)
    assert book.fact("demo-loaded") is None


def test_several_solvers_keep_apart(book: Logbook) -> None:
    assert book.solvers() == []
    mine, jorys = Attempt(started=NOW), Attempt(started=NOW, solver="Jory")
    book.add(mine, jorys, Word(pair="L S", word="lamp", solver="Elowen"), Solver(name="Wick"))
    assert book.solvers() == ["", "Elowen", "Jory", "Wick"]
    assert book.attempts() == [mine] and book.attempts(solver="Jory") == [jorys]
    assert set(book.attempts(solver=None)) == {mine, jorys}
    assert [one.key for one in book.tallies("solver", solver=None)] == [("",), ("Jory",)]
    assert book.words() == []


# --- finding -------------------------------------------------------------------------------------------------


@pytest.fixture
def practised(book: Logbook) -> tuple[Logbook, list[Attempt], list[Review], list[Mistake]]:
    """A logbook with a winter's practice, and what is in it."""
    written = list(invented.practice(240, seed=7, days=100))
    book.add(*written)
    attempts = [one for one in written if isinstance(one, Attempt)]
    reviews = [one for one in written if isinstance(one, Review)]
    return book, attempts[::-1], reviews[::-1], [one for one in written if isinstance(one, Mistake)]


def test_attempts_are_found_as_plain_python_finds_them(
    practised: tuple[Logbook, list[Attempt], list[Review], list[Mistake]],
) -> None:
    book, attempts, _, _ = practised
    middle = attempts[120].started
    choices: list[tuple[dict[str, Any], Callable[[Attempt], bool]]] = [
        ({}, lambda one: True),
        ({"event": "444bf"}, lambda one: one.event == "444bf"),
        ({"method": "two-swap"}, lambda one: one.method == "two-swap"),
        ({"outcomes": [Outcome.DNS]}, lambda one: one.outcome is Outcome.DNS),
        ({"outcomes": [Outcome.SOLVED, Outcome.PLUS2]}, lambda one: one.outcome in ("solved", "plus2")),
        ({"outcomes": []}, lambda one: False),
        ({"since": middle}, lambda one: one.started >= middle),
        ({"until": middle}, lambda one: one.started < middle),
        ({"series": new_id()}, lambda one: False),
        ({"solver": "Jory"}, lambda one: False),
        ({"event": "333bf", "method": "left-hand", "since": middle}, lambda one: one.event == "333bf"
         and one.method == "left-hand" and one.started >= middle),
    ]  # fmt: skip
    for asked, fits in choices:
        assert book.attempts(**asked, most=None) == [one for one in attempts if fits(one)]


def test_pages_of_attempts_have_each_of_them_once(book: Logbook) -> None:
    """Also of those that started at the same moment."""
    written = [Attempt(started=NOW + timedelta(minutes=number // 7)) for number in range(50)]
    book.add(*written)
    pages: list[Attempt] = []
    while page := book.attempts(before=pages[-1] if pages else None, most=8):
        pages += page
    assert pages == sorted(written, key=lambda one: (one.started, one.id), reverse=True)


def test_reviews_cards_and_mistakes_are_found_as_plain_python_finds_them(
    practised: tuple[Logbook, list[Attempt], list[Review], list[Mistake]],
) -> None:
    book, _, reviews, mistakes = practised
    cards = invented.cards()
    assert book.reviews(most=None) == reviews
    assert book.reviews(exercise="setup", most=5) == [one for one in reviews if one.exercise == "setup"][:5]
    assert book.reviews(card=reviews[0].card, most=None) == [one for one in reviews if one.card == reviews[0].card]
    assert book.cards() == sorted(cards, key=lambda one: (one.exercise, one.subject))
    now = invented.START + timedelta(days=900)
    due = sorted((one for one in cards if one.due <= now), key=lambda one: (one.due, one.id))
    assert book.due_cards(now, most=None) == due and book.due_cards(now, most=7) == due[:7]
    assert book.due_counts(now) == dict(Counter(one.exercise for one in due))
    assert book.due_cards(now, exercise="parity", most=None) == [one for one in due if one.exercise == "parity"]
    times = [one.answer_ms for one in reviews if one.exercise == "setup" and one.right]
    assert book.answer_times("setup", most=10) == times[:10]
    since = reviews[100].answered
    assert book.reviews(since=since, most=None) == [one for one in reviews if one.answered >= since]
    assert set(book.mistakes(most=None)) == set(mistakes)
    assert set(book.mistakes(since=since)) == {one for one in mistakes if one.found >= since}


def test_the_best_time_has_its_penalty_added(book: Logbook) -> None:
    assert book.best(event="333bf") is None
    times = [(Outcome.SOLVED, 60_000), (Outcome.PLUS2, 58_500), (Outcome.DNF, 10_000), (Outcome.SOLVED, None)]
    book.add(*(Attempt(started=NOW, day="2026-01-09", outcome=outcome, total_ms=ms) for outcome, ms in times))
    assert book.best(event="333bf") == (60_000, "2026-01-09")
    book.add(Attempt(started=NOW, day="2026-01-10", outcome=Outcome.PLUS2, total_ms=57_000))
    assert book.best(event="333bf") == (57_000 + PENALTY_MS, "2026-01-10")
    assert book.best(event="444bf") is None
    book.add(Attempt(started=NOW, day="2026-01-10", outcome=Outcome.SOLVED, total_ms=30_000, demo=True))
    assert book.best(event="333bf", demo=False) == (57_000 + PENALTY_MS, "2026-01-10")


# --- summaries -----------------------------------------------------------------------------------------------


def plainly_counted(attempts: Iterable[Attempt], key: Callable[[Attempt], tuple[Any, ...]]) -> dict[Any, list[int]]:
    found: dict[Any, list[int]] = {}
    for one in attempts:
        sums = found.setdefault(key(one), [0] * 7)
        solved = one.outcome in (Outcome.SOLVED, Outcome.PLUS2)
        sums[0] += 1
        sums[1] += one.outcome is Outcome.SOLVED
        sums[2] += one.outcome is Outcome.DNF
        # One turn away is two seconds more.  Source: WCA Regulations 10e3.
        sums[3] += (one.total_ms or 0) + 2000 * (one.outcome is Outcome.PLUS2) if solved else 0
        sums[4] += one.memo_ms or 0 if solved else 0
        sums[5] += solved and one.memo_ms is not None
        sums[6] += (one.total_ms or 0) - (one.memo_ms or 0) if solved else 0
    return dict(sorted(found.items()))


def monday_of(day: str) -> str:
    """Monday is the first day of a week.  Source: ISO 8601, as Python's date.isocalendar has it."""
    year, week, _ = date.fromisoformat(day).isocalendar()
    return date.fromisocalendar(year, week, 1).isoformat()


def test_attempts_are_counted_as_plain_python_counts_them(
    practised: tuple[Logbook, list[Attempt], list[Review], list[Mistake]],
) -> None:
    book, attempts, _, _ = practised
    keys: list[tuple[tuple[str, ...], Callable[[Attempt], tuple[Any, ...]]]] = [
        ((), lambda one: ()),
        (("event",), lambda one: (one.event,)),
        (("day",), lambda one: (one.day,)),
        (("month", "method"), lambda one: (one.day[:7], one.method)),
        (("week",), lambda one: (monday_of(one.day),)),
        (("solver", "event", "day"), lambda one: (one.solver, one.event, one.day)),
    ]
    for by, key in keys:
        kept = {
            one.key: [
                *(one.attempts, one.solved, one.dnf, one.total_ms, one.memo_ms, one.memo_timed),
                one.execution_ms,
            ]
            for one in book.tallies(*by)
        }
        assert kept == plainly_counted(attempts, key)
    for feature in FEATURES:
        valued = {one.key[0]: one.attempts for one in book.tallies("value", feature=feature)}
        assert valued == Counter(dict(features_of(one))[feature] for one in attempts)
    day = attempts[100].day
    assert sum(one.attempts for one in book.tallies(since=day)) == sum(one.day >= day for one in attempts)
    assert sum(one.attempts for one in book.tallies(until=day)) == sum(one.day <= day for one in attempts)
    assert book.tallies(since="2031-01-01") == []


def test_answers_mistakes_and_exposure_are_counted_as_plain_python_counts_them(
    practised: tuple[Logbook, list[Attempt], list[Review], list[Mistake]],
) -> None:
    book, attempts, reviews, mistakes = practised
    for tally in book.review_tallies("exercise"):
        mine = [one for one in reviews if one.exercise == tally.key[0]]
        right = [one for one in mine if one.right]
        assert (tally.reviews, tally.right, tally.timed) == (len(mine), len(right), len(right))
        assert tally.answer_ms == sum(one.answer_ms or 0 for one in right)
        assert tally.share == pytest.approx(sum(one.share for one in mine))
    for found in book.mistake_tallies("kind", "orbit"):
        those = [one for one in mistakes if (one.kind, one.orbit) == found.key]
        assert found.mistakes == len(those)
        assert found.weight == found.cost == pytest.approx(sum(one.probability for one in those))
    solved = (Outcome.SOLVED, Outcome.PLUS2)
    known = [one for one in attempts if one.outcome in solved or one.final is not None]
    assert len(known) not in (0, len(attempts))
    assert book.exposure() == Exposure(
        len(known),
        sum((one.edge_letters or 0) + (one.corner_letters or 0) for one in known),
        sum(one.cycles or 0 for one in known),
        sum(bool(one.parity) for one in known),
        sum(one.turns or 0 for one in known),
    )
    assert book.practised_days() == sorted({one.day for one in attempts} | {one.day for one in reviews})


@pytest.mark.parametrize("asked", [("colour",), ("feature",), ("demo",)])
def test_nothing_is_counted_by_what_is_not_known(book: Logbook, asked: tuple[str, ...]) -> None:
    for counting in (book.tallies, book.mistake_tallies, book.review_tallies):
        with pytest.raises(LogbookError, match="nothing is counted by"):
            counting(*asked)
    with pytest.raises(LogbookError, match="features are letters"):
        book.tallies(feature="colour")


@settings(max_examples=20)
@given(seed=st.integers(0, 10_000))
def test_summaries_stay_true_whatever_is_done(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    dice = random.Random(seed)
    with Logbook.open(tmp_path_factory.mktemp("sums") / "logbook.db") as book:
        written = list(invented.practice(10, seed=seed, days=5, per_exercise=1))
        book.add(*written)
        for _ in range(8):
            record = dice.choice(written)
            match dice.randrange(5):
                case 0:
                    book.remove(type(record), record.id)
                case 1:
                    one = dice.choice([one for one in written if isinstance(one, Attempt)])
                    book.put(replace(one, outcome=dice.choice(list(Outcome)), event="333mbf", edge_letters=None))
                case 2:
                    other = dice.choice([one for one in written if isinstance(one, Attempt)])
                    book.put(replace(other, day="2020-02-29", method="", memo_ms=None, parity=None))
                case 3 if isinstance(record, Mistake | Attempt | Review):
                    book.remove(type(record), record.id)
                case _:
                    book.put(Attempt(started=NOW, demo=True, corner_letters=dice.randrange(9)))
        assert check(book.database).problems == ()


def test_databases_that_cannot_add_or_make_a_row_at_once_count_alike(
    book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tallies, "_adding", lambda dialect, table: None)
    written = list(invented.practice(30, days=4, per_exercise=1))
    book.add(*written)
    book.add(*invented.attempts(30, seed=2, days=4))
    book.remove(Attempt, *(one.id for one in written[30:60]))
    assert check(book.database).problems == ()


def test_a_check_finds_what_is_wrong(book: Logbook) -> None:
    attempt = Attempt(started=NOW, memo_ms=5)
    book.add(attempt)
    table = TABLES[Attempt]
    with book.database.writing() as connection:
        connection.execute(table.update().values(event="333mbf"))
    assert check(book.database).problems[0].startswith("the summaries are not those of the records: attempt_tally, all")
    with book.database.writing() as connection:
        connection.execute(table.update().values(event="333bf", memo_ms=-5))
    assert check(book.database).problems == (
        f"the attempt {attempt.id} cannot be read: attempt: memo_ms must be a whole number from 0 to 10000000000, "
        "not “-5”",
    )
    with book.database.writing() as connection:
        connection.exec_driver_sql("UPDATE attempt SET memo_ms = 5, memo = '{'")
    assert check(book.database).problems[0].startswith(f"the attempt {attempt.id} cannot be read: ")


# --- together ------------------------------------------------------------------------------------------------


def test_threads_that_write_at_once_lose_nothing(book: Logbook) -> None:
    """One logbook for all threads, as the server of the browser app has it."""
    written = [[Attempt(started=NOW + timedelta(seconds=at), day="2026-01-09") for at in range(10)] for _ in range(6)]
    troubles: list[BaseException] = []

    def write(attempts: list[Attempt]) -> None:
        try:
            for attempt in attempts:
                book.add_attempt(attempt)
                book.finish_attempt(attempt.id, Outcome.SOLVED, 50_000)
                assert book.get(Attempt, attempt.id) is not None
        except BaseException as trouble:
            troubles.append(trouble)

    threads = [threading.Thread(target=write, args=(attempts,)) for attempts in written]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not troubles
    assert {one.id for one in book.attempts(most=None)} == {one.id for some in written for one in some}
    assert [(one.attempts, one.solved) for one in book.tallies()] == [(60, 60)]
    assert check(book.database).sound


def test_a_reader_sees_one_moment(book: Logbook) -> None:
    first, second = Attempt(started=NOW), Attempt(started=NOW)
    book.add(first)
    count = select(TABLES[Attempt].c.id)
    with book.database.reading() as connection:
        assert connection.execute(count).scalars().all() == [first.id]
        book.add(second)
        assert connection.execute(count).scalars().all() == [first.id]
    assert len(book.attempts()) == 2


def test_a_logbook_that_is_looked_at_cannot_be_written_to(place: str, home: Path) -> None:
    assert Logbook.look(place) is None
    if "://" not in place:
        assert not home.exists()
    with Logbook.open(place) as book:
        book.add(Attempt(started=NOW))
    seen = Logbook.look(place)
    assert seen is not None
    with seen:
        assert len(seen.attempts()) == 1
        with pytest.raises(LogbookError, match="opened for reading only"):
            seen.add(Attempt(started=NOW))
