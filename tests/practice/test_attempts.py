"""Attempts as records: begun, judged, examined in a logbook, and together."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.dealing import Dealer
from nightfold.blind.method import method_names
from nightfold.blind.plan import make_plan
from nightfold.coach.inquest import Explanation, Verdict
from nightfold.coach.inquest import Mistake as Slip
from nightfold.coach.marking import mark_memo
from nightfold.cube.net import write_net
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube
from nightfold.practice.attempts import (
    SERIES_GAP,
    begun,
    begun_many,
    breaks_of,
    faults_of,
    goes_on,
    judged,
    mistakes_of,
    multi_result,
    plan_of,
    result_words,
    running,
    running_ms,
    standing,
)
from nightfold.practice.errors import ClashError, RecordError
from nightfold.practice.examining import examine
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, AttemptCube, Mistake, Series, SeriesKind, Source
from nightfold.practice.results import Outcome, ResultError

SCRAMBLE = "D F L2 B U R F' L' B2"
THEN = datetime(2026, 3, 5, 19, 30, tzinfo=UTC)


@pytest.mark.parametrize("method", method_names())
@pytest.mark.parametrize("hold", [None, "yellow,red"])
def test_the_plan_comes_back_from_the_record(method: str, hold: str | None) -> None:
    plan = make_plan(SCRAMBLE, method, hold=hold, breaks="shortest")
    attempt = begun(plan, SCRAMBLE, started=THEN, breaks_policy="shortest")
    again = plan_of(Attempt.from_dict(attempt.to_dict()))
    assert again.solution == plan.solution
    assert again.held == plan.held
    assert [reading.letters for reading in again.orbits] == [reading.letters for reading in plan.orbits]
    letters = {reading.orbit.name: len(reading.letters) for reading in plan.orbits}
    assert {"edges": attempt.edge_letters, "corners": attempt.corner_letters} == letters
    assert attempt.parity == plan.parity
    assert attempt.turns == len(plan.solution)


def test_a_running_clock_is_known_from_its_record() -> None:
    attempt = begun(None, SCRAMBLE, started=THEN)
    assert running(attempt)
    assert running_ms(attempt, THEN + timedelta(seconds=83, milliseconds=450)) == 83_450
    assert running_ms(attempt, THEN - timedelta(seconds=5)) == 0
    assert not running(judged(attempt, "dnf"))


def test_judging_keeps_what_was_written() -> None:
    attempt = begun(make_plan(SCRAMBLE), SCRAMBLE, started=THEN)
    done = judged(attempt, "solved", total_ms=90_000, memo_ms=40_000, memo={"edges": ["I", "U"], "corners": "QW"})
    assert (done.outcome, done.total_ms, done.memo) == (Outcome.SOLVED, 90_000, {"edges": "I U", "corners": "QW"})
    assert done.id == attempt.id
    with pytest.raises(RecordError, match="needs its time"):
        judged(attempt, Outcome.SOLVED)
    with pytest.raises(RecordError, match="is no outcome; an attempt is solved"):
        judged(attempt, "won")
    with pytest.raises(ResultError, match=r"0\.00 cannot be"):
        judged(attempt, "solved", total_ms=9)
    assert judged(attempt, "dnf", total_ms=0).total_ms == 0


def test_an_inquest_is_held_into_the_record_and_its_mistakes_are_kept(tmp_path: Path) -> None:
    plan = make_plan(SCRAMBLE)
    attempt = begun(plan, SCRAMBLE, started=THEN)
    book = Logbook.open(tmp_path / "logbook.db", backups=False)
    book.add_attempt(attempt)
    with pytest.raises(RecordError, match="nothing is known"):
        examine(book, attempt, plan)
    step = plan.steps[3]
    # The fourth letter's undo is left out.
    turns = [
        turn
        for other in plan.steps
        for turn in (other.turns[: len(other.turns) - len(step.undo)] if other is step else other.turns)
    ]
    final = write_net(plan.cube.apply(turns))
    attempt = judged(attempt, "dnf", final=final, total_ms=100_000)
    book.put(attempt)
    verdict = examine(book, attempt, plan, mistakes=1)
    mistakes = mistakes_of(attempt, verdict, THEN)
    assert mistakes[0].kind == "undo-left-out"
    assert (mistakes[0].orbit, mistakes[0].at, mistakes[0].letter) == ("edges", 3, step.letter)
    assert mistakes[0].alone
    assert all(one.attempt == attempt.id and one.source is Source.INQUEST for one in mistakes)
    assert sum(one.probability for one in mistakes if one.alone) <= 1.001
    assert [Mistake.from_dict(one.to_dict()) for one in mistakes] == mistakes
    kept = book.mistakes(attempts=[attempt.id])
    assert [(one.kind, one.explanation) for one in kept] == [(one.kind, one.explanation) for one in mistakes]
    left = examine(book, attempt, plan, left=" ".join(map(str, parse_turns("R"))), mistakes=1)
    assert left.explanations
    again = book.get(Attempt, attempt.id)
    assert again is not None
    assert again.final == write_net(Cube.solved().apply(parse_turns("R'")))


def test_two_slips_of_one_kind_cost_one_attempt(tmp_path: Path) -> None:
    plan = make_plan(SCRAMBLE)
    twice = tuple(Slip("undo-left-out", "edges", at, "A", "", "", "") for at in (2, 7))
    other = (twice[0], Slip("beside", "corners", 1, "B", "", "", ""))
    verdict = Verdict(
        plan, (Explanation(0.75, twice, (), ()), Explanation(0.25, other, (), ())), (1, 1, 0), None, False
    )
    attempt = begun(plan, SCRAMBLE, started=THEN, outcome=Outcome.DNF)
    mistakes = mistakes_of(attempt, verdict, THEN)
    assert [one.alone for one in mistakes] == [True, False, False, False]
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add_attempt(attempt, mistakes=mistakes)
        tallies = {tally.key[0]: tally for tally in book.mistake_tallies("kind")}
    # But for that kind the attempt had been solved with a probability of 0.75, not of twice as much.
    assert tallies["undo-left-out"].cost == pytest.approx(0.75)
    assert tallies["beside"].cost == 0
    # One of many cubes is no attempt.
    assert not any(one.alone for one in mistakes_of(attempt, verdict, THEN, cube=2))


def test_an_inquest_is_kept_as_a_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = make_plan("R U F")
    attempt = begun(plan, "R U F", started=THEN, outcome=Outcome.DNF)
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add_attempt(attempt)
        left = " ".join(map(str, plan.solution[-1:]))
        with monkeypatch.context() as broken:
            # Whatever breaks after the attempt was written takes that back as well.
            broken.setattr("nightfold.practice.logbook._found_at", lambda *_: 1 / 0)
            with pytest.raises(ZeroDivisionError):
                examine(book, attempt, plan, left=left, mistakes=1)
        assert book.get(Attempt, attempt.id) == attempt
        assert book.mistakes(attempts=[attempt.id]) == []
        examine(book, attempt, plan, left=left, mistakes=1)
        kept = book.get(Attempt, attempt.id)
        assert kept is not None
        assert kept.final is not None
        assert book.mistakes(attempts=[attempt.id])


def test_a_series_goes_on_past_midnight_and_is_numbered_once(tmp_path: Path) -> None:
    evening = Series(kind=SeriesKind.EVENING, name="Lamp night", started=THEN)
    late = begun(None, SCRAMBLE, started=THEN + timedelta(hours=5), outcome=Outcome.DNF, total_ms=3_600_000)
    assert goes_on(evening, [], THEN + SERIES_GAP - timedelta(seconds=1))
    assert not goes_on(evening, [], THEN + SERIES_GAP)
    assert goes_on(evening, [late], THEN + timedelta(hours=11))  # it ended five hours before
    assert not goes_on(evening, [late], THEN + timedelta(hours=12))
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:

        def begin(hours: float, name: str = "", kind: SeriesKind = SeriesKind.EVENING) -> Attempt:
            moment = THEN + timedelta(hours=hours)
            wanted = Series(kind=kind, name=name, started=moment)
            return book.begin_attempt(begun(None, SCRAMBLE, started=moment, outcome=Outcome.DNF), series=wanted)

        first = begin(0)
        assert (first.number, begin(3, "Lamp night").series) == (1, first.series)
        third = begin(7)
        assert (third.number, third.series) == (3, first.series)
        # Whatever is removed, no number is given twice.
        book.remove(Attempt, first.id)
        assert begin(8, "Lamp night").number == 4
        for other in (begin(8, "Storm"), begin(8, kind=SeriesKind.BEST_OF_3), begin(20)):
            assert (other.number, other.series == first.series) == (1, False)
        assert {one.name for one in book.series()} == {"Lamp night", "Storm", ""}
        # Begun once more it is the same; with other content it is refused.
        assert book.begin_attempt(replace(third, series=None, number=None)) == third
        with pytest.raises(ClashError, match="with another scramble"):
            book.begin_attempt(replace(third, scramble="R"))


def test_many_cubes_are_judged_in_one_step(tmp_path: Path) -> None:
    attempt, cubes = begun_many(["R U F", "L2 D"], make_plan("R U F"), started=THEN, total_ms=600_000)
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add_attempt(attempt, cubes)
        assert book.judge_cube(attempt.id, 1, Outcome.DNF)[0].outcome is Outcome.UNFINISHED
        plan = plan_of(attempt, cubes[0])
        assert plan.scramble == "R U F"
        examine(book, attempt, plan, cube=cubes[0], left=str(plan.solution[-1]), mistakes=1)
        assert {one.said["cube"] for one in book.mistakes(attempts=[attempt.id])} == {1}
        assert book.judge_cube(attempt.id, 2, Outcome.SOLVED)[0].outcome is Outcome.DNF
        # The attempt counts now, and what was found at the first cube stays until that one is no DNF.
        assert book.change_attempt(attempt.id, outcome=Outcome.SOLVED).outcome is Outcome.SOLVED
        assert book.mistakes(attempts=[attempt.id])
        whole, cube = book.judge_cube(attempt.id, 1, Outcome.PLUS2)
        assert (whole.outcome, cube.final) == (Outcome.SOLVED, None)
        assert book.mistakes(attempts=[attempt.id]) == []
        for ident, number in ((attempt.id, 3), ("lamp", 1)):
            with pytest.raises(RecordError, match=r"there is no attempt|has no cube 3"):
                book.judge_cube(ident, number, Outcome.DNF)
            with pytest.raises(RecordError, match=r"there is no attempt|has no cube 3"):
                book.keep_inquest(ident, [], cube=number)


@pytest.mark.parametrize("way", ["left", "performed"])
def test_what_came_out_is_kept_however_it_was_told(tmp_path: Path, way: str) -> None:
    plan = make_plan("R U F")
    attempt = begun(plan, "R U F", started=THEN, outcome=Outcome.DNF, memo={"edges": "PDL"})
    turns = plan.solution[:-1]
    out = plan.cube.apply(turns)
    told = {"left": " ".join(map(str, plan.solution[-1:])), "performed": " ".join(map(str, turns))}[way]
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add_attempt(attempt)
        memo = {reading.orbit.name: reading.letters for reading in plan.orbits}
        asked: dict[str, Any] = {way: told, "mistakes": 1}
        examine(book, attempt, plan, memo=memo, **asked)
        kept = book.get(Attempt, attempt.id)
        found = book.mistakes(attempts=[attempt.id])
    assert kept is not None
    assert kept.final == write_net(out)
    assert kept.memo == {orbit: " ".join(letters) for orbit, letters in memo.items()}
    assert found
    assert all(one.source is Source.INQUEST for one in found)


def test_faults_of_a_marking_become_records() -> None:
    marking = mark_memo(make_plan(SCRAMBLE), {"edges": "IU GT FE AX QO V", "corners": "QW MH PG L"})
    (fault,) = faults_of(marking, solver="Jory", found=THEN)
    assert (fault.kind, fault.orbit, fault.at, fault.letter, fault.solver) == ("neighbour", "edges", 2, "G", "Jory")
    assert fault.source is Source.MARKING


def timed(outcome: Outcome, ms: int | None) -> Attempt:
    return Attempt(started=THEN, outcome=outcome, total_ms=ms)


def test_three_attempts_make_a_best_and_a_mean() -> None:
    solved = [timed(Outcome.SOLVED, 90_009), timed(Outcome.PLUS2, 80_000), timed(Outcome.SOLVED, 100_000)]
    found = standing(solved)
    assert (found.results, found.best, found.mean, found.complete) == ((9_000, 8_200, 10_000), 8_200, 9_067, True)
    assert found.say == "Best: 1:22.00. Mean of 3: 1:30.67."
    failed = standing([*solved[:2], timed(Outcome.DNF, 70_000)], SeriesKind.MEAN_OF_3)
    assert (failed.best, failed.mean, failed.complete) == (8_200, None, True)
    assert failed.say == "Best: 1:22.00. Mean of 3: DNF."
    early = standing([solved[0], timed(Outcome.UNFINISHED, None)])
    assert (early.results, early.mean, early.complete) == ((9_000,), None, False)
    assert early.say == "1 of 3. Best: 1:30.00."
    assert standing([]).say == "No attempt yet."
    assert not standing(solved, SeriesKind.EVENING).complete
    assert standing(solved, SeriesKind.EVENING).say == "Best: 1:22.00."


def test_a_standing_tells_what_is_still_to_come() -> None:
    lost = [timed(Outcome.DNS, None)]
    assert standing(lost, SeriesKind.MEAN_OF_3).say == "1 of 3. None solved yet. The mean is a DNF."
    assert standing(lost, SeriesKind.BEST_OF_3).say == "1 of 3. None solved yet."
    assert standing(lost, SeriesKind.EVENING).say == "None solved yet."
    assert standing(lost * 3, SeriesKind.MEAN_OF_3).say == "Best: DNF. Mean of 3: DNF."
    many = Attempt(started=THEN, event="333mbf", outcome=Outcome.SOLVED, total_ms=600_000)
    assert standing([many], SeriesKind.EVENING).say == "1 attempt at many cubes."
    both = standing([many, many, timed(Outcome.SOLVED, 50_000)], SeriesKind.EVENING)
    assert both.say == "Best: 50.00. 2 attempts at many cubes."


@given(st.lists(st.sampled_from([one for one in Outcome if one is not Outcome.UNFINISHED]), min_size=2, max_size=8))
def test_many_cubes_are_scored_together(outcomes: list[Outcome]) -> None:
    attempt = timed(Outcome.SOLVED, 1_000_000)
    cubes = [
        AttemptCube(attempt=attempt.id, number=number, outcome=outcome)
        for number, outcome in enumerate(outcomes, start=1)
    ]
    result = multi_result(attempt, cubes)
    assert result is not None
    assert result.solved == sum(outcome in (Outcome.SOLVED, Outcome.PLUS2) for outcome in outcomes)
    assert result.seconds == 1_000 + 2 * outcomes.count(Outcome.PLUS2)
    assert multi_result(timed(Outcome.DNF, 5), cubes) is None
    assert multi_result(timed(Outcome.UNFINISHED, None), cubes) is None
    unjudged = [*cubes, AttemptCube(attempt=attempt.id, number=99)]
    assert multi_result(attempt, unjudged) is None


def test_results_in_words() -> None:
    assert result_words(timed(Outcome.SOLVED, 83_456)) == "1:23.45"
    assert result_words(timed(Outcome.PLUS2, 83_456)) == "1:25.45 (with +2)"
    assert result_words(timed(Outcome.DNF, 83_456)) == "DNF (1:23.45)"
    assert result_words(timed(Outcome.DNF, None)) == "DNF"
    assert result_words(timed(Outcome.DNS, None)) == "DNS"
    assert result_words(timed(Outcome.UNFINISHED, None)) == "unfinished"


def test_the_breaks_of_a_plan_make_it_again() -> None:
    dealer = Dealer(blind=True, seed=7)
    for _ in range(50):
        scramble = str(dealer.deal())
        plan = make_plan(scramble, breaks="shortest")
        again = make_plan(scramble, breaks=breaks_of(plan))
        assert again.solution == plan.solution
