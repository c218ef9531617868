"""The demo logbook: marked, the same each time, true to its cubes, and gone without a trace."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from sqlalchemy import select

from nightfold.coach.attempt import examine_attempt
from nightfold.practice.attempts import plan_of
from nightfold.practice.demo import demo_records, demo_solvers, load_demo
from nightfold.practice.logbook import Logbook
from nightfold.practice.own_words import written_over
from nightfold.practice.progress import Scope, mistakes, rates
from nightfold.practice.records import Attempt, Card, Mistake, Record, Review, Solver, Word
from nightfold.practice.results import Outcome
from nightfold.practice.schema import TABLES

TODAY = datetime(2026, 6, 2, tzinfo=UTC)


@cache
def records() -> tuple[Record, ...]:
    return tuple(demo_records(TODAY))


def test_all_of_it_is_marked_and_past() -> None:
    assert all(record.demo for record in records())  # type: ignore[attr-defined]
    starts = [record.started for record in records() if isinstance(record, Attempt)]
    assert max(starts) < TODAY
    assert {moment.strftime("%A") for moment in starts} == {"Thursday"}
    assert len({record.id for record in records()}) == len(records())


def test_failures_are_explained_and_successes_have_nothing_to_explain() -> None:
    explained = {record.attempt for record in records() if isinstance(record, Mistake)}
    for record in records():
        if isinstance(record, Attempt):
            assert (record.id in explained) == (record.outcome is Outcome.DNF)
            assert record.edge_letters == len(
                next(r for r in plan_of(record).orbits if r.orbit.name == "edges").letters
            )


def test_an_inquest_that_takes_nothing_for_granted_finds_the_same() -> None:
    failed = [record for record in records() if isinstance(record, Attempt) and record.outcome is Outcome.DNF]
    for attempt in failed[::20]:
        kept = [record for record in records() if isinstance(record, Mistake) and record.attempt == attempt.id]
        verdict = examine_attempt(plan_of(attempt), attempt.memo, final=attempt.final, mistakes=1, top=2)
        found = [
            (one.probability, mistake.kind, mistake.say) for one in verdict.explanations for mistake in one.mistakes
        ]
        assert [(kind, say) for _, kind, say in found] == [(one.kind, one.said["say"]) for one in kept]
        assert [one.probability for one in kept] == pytest.approx([share for share, _, _ in found], abs=1e-3)


def test_cards_are_what_their_answers_made_of_them() -> None:
    cards = {record.id: record for record in records() if isinstance(record, Card)}
    answered = Counter(record.card for record in records() if isinstance(record, Review))
    assert set(answered) == set(cards)
    assert all(card.due.isoformat() == card.state["due"] for card in cards.values())


def test_it_comes_and_goes_without_a_trace(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        own = Attempt(started=TODAY, outcome=Outcome.SOLVED, total_ms=100_000)
        book.add_attempt(own)
        before, untouched = book.counts(), rates(book, Scope(event="333bf"))
        assert demo_solvers(book) == []
        loaded = load_demo(book, TODAY)
        assert loaded == len(records()) + 1  # and the fact that it was loaded
        counts = book.counts()
        assert load_demo(book, TODAY) == loaded
        assert book.counts() == counts
        assert rates(book, Scope(event="333bf")) == untouched
        for name in demo_solvers(book):
            (rate,) = rates(book, Scope(name, "333bf", demo=True))
            assert rate.attempts == 64
            assert mistakes(book, Scope(name, demo=True))
        assert book.remove_demo() == loaded
        assert book.counts() == before
        assert demo_solvers(book) == []
        assert book.solvers() == [""]
        assert book.tallies("solver", solver=None) == book.tallies("solver", solver="")


def test_what_a_club_keeps_itself_stays(tmp_path: Path) -> None:
    """Somebody of the club may have the same name as somebody of the demo, and the same word."""
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        mine = Word(solver="Maren", pair="L S", word="lighthouse", note="the old one", created=TODAY, changed=TODAY)
        me = Solver(name="Maren", created=TODAY, note="me")
        book.add(mine, me)
        loaded = load_demo(book, TODAY)
        assert loaded == len(records()) + 1 - 2
        assert book.get(Word, mine.id) == mine and book.get(Solver, me.id) == me
        assert book.remove_demo() == loaded
        assert book.get(Word, mine.id) == mine and book.get(Solver, me.id) == me


def test_a_word_of_the_demo_becomes_ones_own_as_if_newly_made(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        load_demo(book, TODAY)
        now = datetime(2026, 7, 1, tzinfo=UTC)
        mine = Word(solver="Maren", pair="L S", word="lighthouse", created=now, changed=now)
        told, new = written_over(book, [mine], "Maren")
        assert (told, new) == ([mine], 1)
        book.put(*told)
        later = replace(mine, created=now + timedelta(days=1), note="brighter")
        assert written_over(book, [later], "Maren") == ([replace(later, created=now)], 0)
        book.remove_demo()
        assert book.words(solver="Maren") == [mine]


@pytest.mark.parametrize("kind", [Attempt, Mistake, Review])
def test_it_is_found_without_looking_at_all_others(kind: type[Record], tmp_path: Path) -> None:
    query = select(TABLES[kind].c.id).where(TABLES[kind].c.demo)
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book, book.database.reading() as connection:
        told = str(query.compile(dialect=connection.dialect))
        steps = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {told}").all()
    assert any(f"{kind.noun}_of_demo" in step[-1] for step in steps), steps
