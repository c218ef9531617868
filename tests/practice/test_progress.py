"""What a logbook shows, against plain counting over the same records."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from nightfold.practice.checking import check
from nightfold.practice.errors import LogbookError
from nightfold.practice.learning import learn_from, learns_from, moment_of, own_priors
from nightfold.practice.logbook import Logbook
from nightfold.practice.progress import (
    TABLES,
    Bests,
    Period,
    Scope,
    bests,
    mistakes,
    newest,
    newest_many,
    nothing_yet,
    overview,
    rates,
    retention,
    start_of,
    streak,
    table_csv,
    timeline,
)
from nightfold.practice.records import Attempt, AttemptCube, Card, Mistake, Record, Review, Source
from nightfold.practice.results import Outcome, mean, result_of
from nightfold.practice.tendencies import SMOOTHING

START = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
ENDED = (Outcome.SOLVED, Outcome.PLUS2, Outcome.DNF)


@cache
def kept() -> tuple[list[Attempt], list[Mistake], list[Review], list[Record]]:
    """A spring of invented practice."""
    dice = random.Random(1859)
    attempts, found, reviews = [], [], []
    card = Card(exercise="letter", subject="edges/LB", due=START)
    for number in range(400):
        when = START + timedelta(days=number // 5 + (number // 100) * 3, minutes=13 * (number % 5))
        outcome = dice.choices(list(Outcome), [50, 5, 40, 2, 3])[0]
        memo = dice.randrange(20_000, 60_000)
        attempt = Attempt(
            solver=dice.choice(["", "", "Jory"]),
            event=dice.choice(["333bf", "333bf", "444bf"]),
            started=when,
            day=when.date().isoformat(),
            method=dice.choice(["two-swap", "left-hand"]),
            outcome=outcome,
            memo_ms=memo if dice.random() < 0.9 else None,
            total_ms=memo + dice.randrange(30_000, 90_000) if outcome in ENDED else None,
            final="what came out" if outcome is Outcome.DNF and number % 3 else None,
            edge_letters=dice.randrange(8, 15),
            corner_letters=dice.randrange(5, 11),
            breaks=dice.randrange(4),
            cycles=dice.randrange(2, 6),
            turns=dice.randrange(200, 400),
            flipped=0,
            twisted=dice.randrange(2),
            parity=dice.random() < 0.5,
        )
        attempts.append(attempt)
        if attempt.final is not None:
            found += [
                Mistake(
                    solver=attempt.solver,
                    attempt=attempt.id,
                    found=when,
                    day=attempt.day,
                    source=Source.INQUEST,
                    explanation=explanation,
                    probability=dice.choice([0.5, 0.25, 1.0]),
                    alone=dice.random() < 0.7,
                    kind=dice.choice(["undo-left-out", "letter-left-out", "parity-forgotten"]),
                    orbit="edges",
                )
                for explanation in range(dice.randrange(1, 3))
            ]
        reviews.append(
            Review(
                card=card.id,
                exercise=dice.choice(["letter", "setup"]),
                answered=when,
                day=attempt.day,
                rating=dice.randrange(1, 5),
                right=dice.random() < 0.8,
                answer_ms=dice.randrange(500, 5000),
            )
        )
    return attempts, found, reviews, [card]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    attempts, found, reviews, rest = kept()
    with Logbook.open(tmp_path_factory.mktemp("logbook") / "logbook.db", backups=False) as made:
        made.add(*rest, *attempts, *found, *reviews)
        yield made


def mine(scope: Scope) -> list[Attempt]:
    return [
        attempt
        for attempt in kept()[0]
        if attempt.solver == scope.solver
        and scope.event in (None, attempt.event)
        and (scope.since or "") <= attempt.day <= (scope.until or "9999")
    ]


SCOPES = [
    Scope(),
    Scope(event="333bf"),
    Scope("Jory", "444bf"),
    Scope(since="2026-02-01", until="2026-02-28"),
    Scope("nobody"),
]


@pytest.mark.parametrize("scope", SCOPES, ids=str)
@pytest.mark.parametrize("split", [None, "letters", "breaks", "parity", "method"])
def test_rates(book: Logbook, scope: Scope, split: str | None) -> None:
    groups: defaultdict[str, list[Attempt]] = defaultdict(list)
    for attempt in mine(scope):
        letters = (attempt.edge_letters or 0) + (attempt.corner_letters or 0)
        key = {
            None: "all",
            "letters": str(letters),
            "breaks": str(attempt.breaks),
            "parity": "yes" if attempt.parity else "no",
            "method": attempt.method,
        }[split]
        groups[key].append(attempt)
    found = {rate.of: rate for rate in rates(book, scope, split)}
    assert set(found) == set(groups)
    for key, attempts in groups.items():
        solved = [attempt for attempt in attempts if attempt.outcome in (Outcome.SOLVED, Outcome.PLUS2)]
        rate = found[key]
        assert rate.attempts == len(attempts)
        assert (rate.solved.good, rate.solved.all) == (len(solved), sum(one.outcome in ENDED for one in attempts))
        total = [penalized(attempt) for attempt in solved]
        assert rate.total_ms == (pytest.approx(sum(total) / len(total)) if total else None)
        memo = [attempt.memo_ms for attempt in solved if attempt.memo_ms is not None]
        assert rate.memo_ms == (pytest.approx(sum(memo) / len(memo)) if memo else None)
        both = [(one.total_ms, one.memo_ms) for one in solved if None not in (one.total_ms, one.memo_ms)]
        execution = [ms - memo_ms for ms, memo_ms in both if ms is not None and memo_ms is not None]
        assert rate.execution_ms == (pytest.approx(sum(execution) / len(execution)) if execution else None)
    if split in ("letters", "breaks"):
        assert list(found) == sorted(found, key=int)


def penalized(attempt: Attempt) -> int:
    """One turn away from solved is two seconds more.  Source: WCA Regulations 10e3."""
    assert attempt.total_ms is not None
    return attempt.total_ms + 2000 * (attempt.outcome is Outcome.PLUS2)


@pytest.mark.parametrize("scope", SCOPES, ids=str)
def test_the_timeline_adds_up(book: Logbook, scope: Scope) -> None:
    for period in ("day", "week", "month", "year"):
        line = timeline(book, scope, period)
        assert sum(rate.attempts for rate in line) == len(mine(scope))
        assert [rate.of for rate in line] == sorted({start_of(one.day, period) for one in mine(scope)})


@pytest.mark.parametrize("scope", SCOPES, ids=str)
def test_the_newest_attempts_and_bests(book: Logbook, scope: Scope) -> None:
    ended = sorted((one for one in mine(scope) if one.outcome in ENDED), key=lambda one: (one.started, one.id))
    results = [result_of(one.outcome, one.total_ms) for one in ended]
    points = newest(book, scope, 25)
    assert [point.id for point in points] == [one.id for one in ended[-25:]]
    assert [point.result for point in points] == results[-25:]
    for at, point in enumerate(points, start=len(ended) - len(points)):
        assert point.rolling.mean == (mean(results[at - 2 : at + 1]) if at > 1 else None)
    if scope.event is None:
        with pytest.raises(LogbookError, match="one event"):
            bests(book, scope)
        return
    found = bests(book, scope)
    assert found.single == min((one for one in results if one is not None), default=None)
    means = [mean(results[at - 2 : at + 1]) for at in range(2, len(results))]
    assert found.mean_of_3 == min((one for one in means if one is not None), default=None)
    if found.single is not None:
        days = [one.day for one, result in zip(ended, results, strict=True) if result == found.single]
        assert found.single_day in days


def test_mistakes_and_their_cost(book: Logbook) -> None:
    scope = Scope()
    own = [one for one in kept()[1] if one.solver == ""]
    found = mistakes(book, scope)
    assert {one.kind for one in found} == {one.kind for one in own}
    for figure in found:
        those = [one for one in own if one.kind == figure.kind]
        assert figure.times == pytest.approx(sum(one.probability for one in those))
        assert figure.cost == pytest.approx(sum(one.probability for one in those if one.alone))
    assert [one.cost for one in found] == sorted((one.cost for one in found), reverse=True)
    assert sum(one.times for one in mistakes(book, scope, "week")) == pytest.approx(sum(one.times for one in found))


def test_retention(book: Logbook) -> None:
    for figure in retention(book, Scope()):
        those = [one for one in kept()[2] if one.exercise == figure.exercise]
        assert (figure.right.good, figure.right.all) == (sum(one.right for one in those), len(those))
        right = [one.answer_ms for one in those if one.right and one.answer_ms is not None]
        assert figure.answer_ms == pytest.approx(sum(right) / len(right))
    assert sum(one.right.all for one in retention(book, Scope(), "month")) == len(kept()[2])


@pytest.mark.parametrize("period", ["day", "week", "month", "year"])
def test_lines_to_be_drawn_are_the_same_figures(book: Logbook, period: Period) -> None:
    scope = Scope("", "333bf")
    told = overview(book, scope, START.date(), period=period)
    lines, figures = told["mistakes_by_period"], mistakes(book, scope, period)
    assert lines["periods"] == sorted({one.of for one in figures})
    drawn = {
        (of, line["kind"]): (times, cost)
        for line in lines["lines"]
        for of, times, cost in zip(lines["periods"], line["times"], line["cost"], strict=True)
    }
    assert {key: found for key, found in drawn.items() if found != (0, 0)} == {
        (one.of, one.kind): (one.times, one.cost) for one in figures
    }
    kept_lines, known = told["retention_by_period"], retention(book, scope, period)
    assert kept_lines["periods"] == sorted({one.of for one in known})
    asked = {
        (of, line["exercise"]): (right, of_all, answer_ms)
        for line in kept_lines["lines"]
        for of, right, of_all, answer_ms in zip(
            kept_lines["periods"], line["right"], line["asked"], line["answer_ms"], strict=True
        )
        if of_all
    }
    assert asked == {(one.of, one.exercise): (one.right.good, one.right.all, one.answer_ms) for one in known}


def test_day_by_day_it_goes_back_a_year(tmp_path: Path) -> None:
    days = ["2023-02-01", "2025-01-30", "2025-02-01", "2026-02-02"]
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        assert overview(book, Scope("", "333bf"), START.date()) == nothing_yet("333bf")
        for day in days:
            book.add(Attempt(started=datetime.fromisoformat(f"{day}T18:00:00+00:00"), day=day, outcome=Outcome.DNF))

        def told(period: Period, scope: Scope) -> tuple[list[str], str | None]:
            found = overview(book, scope, START.date(), period=period)
            return [one["of"] for one in found["timeline"]], found["periods_since"]

        assert told("day", Scope("", "333bf")) == (days[2:], "2025-02-01")
        assert told("day", Scope("", "333bf", until="2025-01-31")) == (["2025-01-30"], "2024-01-30")
        assert told("day", Scope("", "333bf", since="2026-01-01")) == (days[3:], None)
        assert told("week", Scope("", "333bf")) == (["2023-01-30", "2025-01-27", "2026-02-02"], None)
        assert [one.of for one in timeline(book, Scope("", "333bf"), "day")] == days


def test_streaks(book: Logbook) -> None:
    days = sorted({date.fromisoformat(one.day) for one in kept()[2]})
    longest, run = 1, 1
    for before, after in pairwise(days):
        run = run + 1 if (after - before).days == 1 else 1
        longest = max(longest, run)
    found = streak(book, Scope(), days[-1] + timedelta(days=1))
    assert (found.now, found.longest) == (run, longest)
    assert longest > run or longest == 20
    assert streak(book, Scope(), days[-1] + timedelta(days=2)).now == 0
    assert streak(book, Scope("nobody"), days[-1]).longest == 0


def examined(attempt: Attempt) -> bool:
    """Whether it is known which mistakes there were: none, or those of the cube that came out."""
    return attempt.outcome in (Outcome.SOLVED, Outcome.PLUS2) or attempt.final is not None


def test_the_logbook_tells_how_prone_one_is(book: Logbook) -> None:
    planned = [one for one in mine(Scope()) if examined(one)]
    seen: defaultdict[str, float] = defaultdict(float)
    for one in kept()[1]:
        seen[one.kind] += one.probability * (one.solver == "")
    own = own_priors(book)
    due = 0.06 * len(planned)  # parity forgotten, once a solve, by the catalogue
    assert own["parity-forgotten"] == pytest.approx((seen["parity-forgotten"] + SMOOTHING) / (due + SMOOTHING))
    assert own["cube-turned"] < 1 < own["parity-forgotten"]
    assert own_priors(book, "nobody") == pytest.approx(dict.fromkeys(own, 1.0))


@pytest.mark.parametrize("after", [0, 7, 13, 26, 400])
def test_it_learns_from_the_moment_one_says(book: Logbook, after: int) -> None:
    moment = kept()[0][after % 400].started + timedelta(minutes=after // 400 * 60 * 48)
    before = own_priors(book)
    learn_from(book, moment)
    assert learns_from(book) == moment
    assert learns_from(book, "Jory") is None
    planned = [one for one in mine(Scope()) if examined(one) and one.started >= moment]
    seen: defaultdict[str, float] = defaultdict(float)
    for one in kept()[1]:
        seen[one.kind] += one.probability * (one.solver == "" and one.found >= moment)
    own = own_priors(book)
    due = 0.06 * len(planned)
    assert own["parity-forgotten"] == pytest.approx((seen["parity-forgotten"] + SMOOTHING) / (due + SMOOTHING))
    assert len(book.mistakes(solver=None, most=None)) == len(kept()[1])  # nothing was removed
    learn_from(book, None)
    assert learns_from(book) is None
    assert own_priors(book) == before


def _examined(number: int, outcome: Outcome, final: str | None) -> tuple[Attempt, list[Mistake]]:
    plan: dict[str, Any] = {"edge_letters": 12, "corner_letters": 8, "cycles": 3, "turns": 300, "parity": False}
    attempt = Attempt(started=START + timedelta(days=number), outcome=outcome, total_ms=60_000, final=final, **plan)
    mistake = Mistake(attempt=attempt.id, found=attempt.started, source=Source.INQUEST, kind="undo-left-out")
    return attempt, [mistake] * (final is not None)


def test_failures_into_which_nobody_looked_teach_nothing(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        for number in range(40):
            book.add_attempt(_examined(number, Outcome.SOLVED, None)[0])
        solved_alone = own_priors(book)
        for number in range(40, 80):
            book.add_attempt(_examined(number, Outcome.DNF, None)[0])
        assert own_priors(book) == solved_alone


def test_what_was_found_in_an_attempt_is_no_evidence_for_itself(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        for number in range(20):
            attempt, found = _examined(number, Outcome.DNF, "what came out")
            book.add_attempt(attempt, mistakes=found)
        before = own_priors(book)
        attempt, mistakes_found = _examined(20, Outcome.DNF, "what came out")
        book.add_attempt(attempt, mistakes=mistakes_found)
        assert own_priors(book)["undo-left-out"] > before["undo-left-out"]
        assert own_priors(book, but=attempt) == before
        learn_from(book, attempt.started)
        assert own_priors(book, but=attempt) == pytest.approx(dict.fromkeys(before, 1.0))


def test_what_was_found_at_many_cubes_shifts_no_chances(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        for number in range(20):
            attempt, found = _examined(number, Outcome.DNF, "what came out")
            book.add_attempt(attempt, mistakes=found)
        before = own_priors(book)
        many = Attempt(started=START + timedelta(days=30), event="333mbf", outcome=Outcome.SOLVED, total_ms=900_000)
        cube = AttemptCube(attempt=many.id, number=1, outcome=Outcome.DNF)
        at_cube = Mistake(
            attempt=many.id, found=many.started, source=Source.INQUEST, kind="undo-left-out", said={"cube": 1}
        )
        book.add_attempt(many, [cube], [at_cube])
        assert len(mistakes(book, Scope())) == 1  # it is shown all the same
        assert own_priors(book) == own_priors(book, but=many) == before
        learn_from(book, START + timedelta(days=25))
        assert own_priors(book) == pytest.approx(dict.fromkeys(before, 1.0))


def test_an_attempt_that_was_no_dnf_after_all_has_no_mistakes(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        attempt, mistakes_found = _examined(1, Outcome.DNF, "what came out")
        book.add_attempt(attempt, mistakes=mistakes_found)
        book.change_attempt(attempt.id, note="late")
        assert len(book.mistakes()) == 1 and len(mistakes(book, Scope())) == 1
        book.change_attempt(attempt.id, outcome=Outcome.SOLVED)
        assert book.mistakes() == [] and mistakes(book, Scope()) == []
        assert check(book.database).sound


def test_mistakes_of_drills_cost_no_solves(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add(Mistake(found=START, source=Source.DRILL, kind="closed-early", alone=True))
        book.add(Mistake(found=START, source=Source.MARKING, kind="unlike", alone=True))
        assert mistakes(book, Scope()) == [] and len(book.mistakes()) == 2


def test_scores_at_many_cubes(tmp_path: Path) -> None:
    """Ranked by points, then time, then fewer unsolved cubes.  Source: WCA Regulations 9f12c."""
    tried = [
        (2, 2, 0, 120_000, "2/2 in 2:00"),
        (10, 10, 0, 3_300_000, "10/10 in 55:00"),
        (6, 5, 1, 3_000_000, "5/6 in 50:02"),
        (12, 11, 0, 3_290_400, "11/12 in 54:50"),
        (4, 1, 0, 1_200_000, "DNF"),
        (3, 0, 0, None, "DNF"),
    ]
    scope = Scope("", "333mbf")
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        assert bests(book, scope) == Bests() and newest_many(book, scope) == []
        for number, (cubes, solved, penalties, ms, _) in enumerate(tried):
            outcome = Outcome.DNF if ms is None else Outcome.SOLVED
            attempt = Attempt(started=START + timedelta(days=number), event="333mbf", outcome=outcome, total_ms=ms)
            outcomes = [Outcome.PLUS2] * penalties + [Outcome.SOLVED] * (solved - penalties)
            outcomes += [Outcome.DNF] * (cubes - solved)
            parts = [AttemptCube(attempt=attempt.id, number=at, outcome=one) for at, one in enumerate(outcomes, 1)]
            book.add_attempt(attempt, parts)
        points = [point.to_dict() for point in newest_many(book, scope)]
        assert [point["result"] for point in points] == [said for *_, said in tried]
        assert [point["points"] for point in points] == [2, 10, 4, 10, None, None]
        # Ten points each: the shorter time is better, however many cubes it took.
        assert bests(book, scope) == Bests(many="11/12 in 54:50", many_day=points[3]["day"])
        told = overview(book, scope, START.date())
        assert told["many"] == points and told["attempts"] == []
        rows = table_csv(book, scope, "attempts").splitlines()
        assert rows[0] == "id,day,result,points,solved,cubes,seconds" and len(rows) == 1 + len(tried)
        assert table_csv(book, scope, "bests").splitlines()[1].startswith(",,,,11/12 in 54:50,")


@pytest.mark.parametrize("table", TABLES)
def test_every_table_has_its_head(tmp_path: Path, table: str) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        lines = table_csv(book, Scope("", "333bf"), table).splitlines()
        assert "," in lines[0]
        assert len(lines) == (2 if table in ("bests", "streak") else 1)
        book.add(*(Attempt(started=START, method="=1+1", outcome=Outcome.DNF) for _ in range(70)))
        assert len(table_csv(book, Scope("", "333bf"), "attempts").splitlines()) == 71
        assert table_csv(book, Scope("", "333bf"), "rates", "method").splitlines()[1].startswith("\\=1+1,70,")


def test_moments_to_learn_from() -> None:
    assert moment_of("all") is None
    assert moment_of("now", START) == START
    found = moment_of("2026-03-05")
    assert found is not None
    assert found.astimezone().strftime("%Y-%m-%d %H:%M") == "2026-03-05 00:00"
    with pytest.raises(LogbookError, match="is still to come"):
        moment_of("2026-03-06", START)
    for text in ("soon", "2026-13-01", "", "0001-01-01T", "Now"):
        with pytest.raises(LogbookError, match="is no time to learn from; say now, all or a day as in 2026-03-05"):
            moment_of(text)


def test_what_cannot_be_asked(book: Logbook) -> None:
    with pytest.raises(LogbookError, match="cannot be split by “colour”; say letters"):
        rates(book, Scope(), "colour")
    with pytest.raises(LogbookError, match="is no day; write it as"):
        Scope(since="yesterday")
    with pytest.raises(LogbookError, match="is no period; say day"):
        start_of("2026-01-01", "moon")  # type: ignore[arg-type]


def test_what_was_kept_in_mind_is_what_is_known_a_day_later(tmp_path: Path) -> None:
    card = Card(exercise="setup", subject="edges/LB", due=START)
    told = [(None, True), (0.01, True), (1.0, True), (0.9, False), (7.5, True)]
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        book.add(card)
        for number, (days, right) in enumerate(told):
            at = START + timedelta(days=number)
            book.add(Review(card=card.id, exercise="setup", answered=at, rating=3, right=right, days_since=days))
        (found,) = retention(book, Scope())
        assert (found.right.good, found.right.all) == (4, 5)
        assert (found.kept.good, found.kept.all) == (2, 3)
