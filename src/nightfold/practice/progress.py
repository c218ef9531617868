"""What a logbook shows of one's progress: rates, times, bests, mistakes and what they cost, retention, streaks.

All but the newest attempts is told from the kept summaries, so a logbook of a million attempts answers like one of ten.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any, Literal

from nightfold.practice.attempts import MULTI_EVENT
from nightfold.practice.errors import LogbookError
from nightfold.practice.fields import harmless
from nightfold.practice.figures import Rolling, Share, rolling
from nightfold.practice.records import Source
from nightfold.practice.results import MultiResult, Outcome, as_result, mean

if TYPE_CHECKING:
    from nightfold.practice.logbook import Ended, Logbook
    from nightfold.practice.sums import Tally

Period = Literal["day", "week", "month", "year"]
PERIODS: tuple[Period, ...] = ("day", "week", "month", "year")
#: The tables that can be had as CSV.
TABLES = ("attempts", "bests", "rates", "timeline", "mistakes", "costs", "retention", "streak")
#: By what attempts can be split, and how the values are called.
SPLITS = ("letters", "edge_letters", "corner_letters", "breaks", "flipped", "twisted", "parity", "method")
#: The best mean of three attempts in a row is looked for among so many of the newest.
MOST_ROLLED = 10_000
#: An overview day by day goes back so far from the last day with practice: more points no plot can show.
DAY_BY_DAY = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class Scope:
    """Which attempts, mistakes and answers are looked at: whose, of which event, and from which day to which.

    Days are ISO dates, both included; None where there is no limit.  ``demo`` looks at the demo's records only.
    """

    solver: str = ""
    event: str | None = None
    since: str | None = None
    until: str | None = None
    demo: bool = False

    def __post_init__(self) -> None:
        for day in (self.since, self.until):
            if day is not None:
                try:
                    date.fromisoformat(day)
                except ValueError:
                    raise LogbookError(f"“{day[:20]}” is no day; write it as 2026-03-05") from None


@dataclass(frozen=True, slots=True)
class Rate:
    """How attempts of one sort went: ``of`` names the sort, as ``12`` letters, ``yes`` or ``2026-03``.

    ``solved`` counts those solved of those ended (all but the unfinished and those not started).  Times are means over
    the solved attempts whose times are known, in milliseconds; None where there are none.  ``total_ms`` has penalties
    in it, ``execution_ms`` is what is left of the time when memorising is over, of those of which both are known.
    """

    of: str
    attempts: int
    solved: Share
    memo_ms: float | None
    execution_ms: float | None
    total_ms: float | None

    def to_dict(self) -> dict[str, Any]:
        """The rate as plain data."""
        return {
            "of": self.of,
            "attempts": self.attempts,
            "solved": self.solved.to_dict(),
            "memo_ms": self.memo_ms,
            "execution_ms": self.execution_ms,
            "total_ms": self.total_ms,
        }


@dataclass(frozen=True, slots=True)
class MistakeFigure:
    """How often a kind of mistake was found, each find with its probability, and how many solves it cost."""

    of: str
    kind: str
    times: float
    cost: float

    def to_dict(self) -> dict[str, Any]:
        """The figure as plain data."""
        return {"of": self.of, "kind": self.kind, "times": self.times, "cost": self.cost}


@dataclass(frozen=True, slots=True)
class Retention:
    """How much of what was asked in an exercise was known, and how long right answers took on average.

    ``kept`` is the share of right answers to what was last asked a day or more before: what was kept in mind.
    """

    of: str
    exercise: str
    right: Share
    kept: Share
    answer_ms: float | None

    def to_dict(self) -> dict[str, Any]:
        """The retention as plain data."""
        return {
            "of": self.of,
            "exercise": self.exercise,
            "right": self.right.to_dict(),
            "kept": self.kept.to_dict(),
            "answer_ms": self.answer_ms,
        }


@dataclass(frozen=True, slots=True)
class Point:
    """One of the newest attempts: its day, its result in hundredths (None if it is none), and the rolling ones."""

    id: str
    day: str
    outcome: Outcome
    result: int | None
    memo_ms: int | None
    rolling: Rolling

    def to_dict(self) -> dict[str, Any]:
        """The point as plain data."""
        return {
            "id": self.id,
            "day": self.day,
            "outcome": str(self.outcome),
            "result": self.result,
            "memo_ms": self.memo_ms,
            "best_of_3": self.rolling.best,
            "mean_of_3": self.rolling.mean,
        }


@dataclass(frozen=True, slots=True)
class ManyPoint:
    """One of the newest attempts at many cubes: its day, and its score, None if it was called off."""

    id: str
    day: str
    score: MultiResult | None

    def to_dict(self) -> dict[str, Any]:
        """The point as plain data."""
        score = self.score
        return {
            "id": self.id,
            "day": self.day,
            "result": "DNF" if score is None else str(score),
            "points": score.points if score is not None and score.counts else None,
            "solved": None if score is None else score.solved,
            "cubes": None if score is None else score.cubes,
            "seconds": None if score is None else score.seconds,
        }


@dataclass(frozen=True, slots=True)
class Bests:
    """Personal bests, in hundredths of a second; None where there is none.

    ``memo`` and ``mean_of_3``, that of any three attempts in a row, are those of the MOST_ROLLED newest attempts.  At
    many cubes there is but ``many``, the best score of the MOST_ROLLED newest.
    """

    single: int | None = None
    single_day: str | None = None
    memo: int | None = None
    mean_of_3: int | None = None
    many: str | None = None
    many_day: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """The bests as plain data."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Streak:
    """On how many days in a row there was practice: up to today (or yesterday), and at most."""

    now: int
    longest: int

    def to_dict(self) -> dict[str, int]:
        """The streak as plain data."""
        return {"now": self.now, "longest": self.longest}


def overview(
    book: Logbook, scope: Scope, today: date, split: str | None = None, period: Period = "month", last: int = 60
) -> dict[str, Any]:
    """Everything there is to show of one event, as plain data.

    Day by day, what goes by periods begins at the day ``periods_since``, DAY_BY_DAY before the last one; otherwise that
    is None and they are all there.  Raises LogbookError for a split there is not, and where no event is told.
    """
    moment, many = learns_from(book, scope), scope.event == MULTI_EVENT
    days = book.practised_days(solver=scope.solver, demo=scope.demo)
    newer = _day_by_day(scope, days) if period == "day" else scope
    return {
        "event": scope.event,
        "rates": [rate.to_dict() for rate in rates(book, scope)],
        "split": [rate.to_dict() for rate in rates(book, scope, split)] if split else [],
        "timeline": [rate.to_dict() for rate in timeline(book, newer, period)],
        "attempts": [] if many else [point.to_dict() for point in newest(book, scope, last)],
        "many": [point.to_dict() for point in newest_many(book, scope, last)] if many else [],
        "bests": bests(book, scope).to_dict(),
        "mistakes": [one.to_dict() for one in mistakes(book, scope)],
        "mistakes_by_period": _mistake_lines(mistakes(book, newer, period)),
        "retention": [one.to_dict() for one in retention(book, scope)],
        "retention_by_period": _retention_lines(retention(book, newer, period)),
        "periods_since": None if newer is scope else newer.since,
        "streak": _streak(days, today).to_dict(),
        "learns_from": None if moment is None else moment.isoformat(timespec="seconds"),
    }


def nothing_yet(event: str) -> dict[str, Any]:
    """The overview of a logbook that is not there yet."""
    return {
        "event": event,
        **{name: [] for name in ("rates", "split", "timeline", "attempts", "many", "mistakes", "retention")},
        "mistakes_by_period": _mistake_lines([]),
        "retention_by_period": _retention_lines([]),
        "bests": Bests().to_dict(),
        "periods_since": None,
        "streak": Streak(0, 0).to_dict(),
        "learns_from": None,
    }


def _mistake_lines(figures: Iterable[MistakeFigure]) -> dict[str, Any]:
    """Kinds of mistakes by period as lines to be drawn: one number for each period."""
    found = {(one.of, one.kind): one for one in figures}
    periods, kinds = (sorted(set(names)) for names in (zip(*found, strict=True) if found else ((), ())))
    none = MistakeFigure("", "", 0.0, 0.0)
    lines = {kind: [found.get((of, kind), none) for of in periods] for kind in kinds}
    return {
        "periods": periods,
        "lines": [
            {"kind": kind, "times": [one.times for one in line], "cost": [one.cost for one in line]}
            for kind, line in lines.items()
        ],
    }


def _retention_lines(figures: Iterable[Retention]) -> dict[str, Any]:
    """What was known of exercises by period as lines to be drawn: one number for each period, or None."""
    found = {(one.of, one.exercise): one for one in figures}
    periods, exercises = (sorted(set(names)) for names in (zip(*found, strict=True) if found else ((), ())))
    none = Retention("", "", Share(0, 0), Share(0, 0), None)
    lines = {exercise: [found.get((of, exercise), none) for of in periods] for exercise in exercises}
    return {
        "periods": periods,
        "lines": [
            {
                "exercise": exercise,
                "right": [one.right.good for one in line],
                "asked": [one.right.all for one in line],
                "kept": [one.kept.good for one in line],
                "again": [one.kept.all for one in line],
                "answer_ms": [one.answer_ms for one in line],
            }
            for exercise, line in lines.items()
        ],
    }


def learns_from(book: Logbook, scope: Scope) -> datetime | None:
    """The moment from which mistakes shift the chances of the solver's inquests; None if all of them do."""
    from nightfold.practice import learning

    return None if scope.demo else learning.learns_from(book, scope.solver)


def table_csv(
    book: Logbook,
    scope: Scope,
    table: str,
    split: str | None = None,
    period: Period = "month",
    last: int | None = None,
    today: date | None = None,
) -> str:
    """One of the TABLES as CSV, its column names first; of the newest attempts so many, or all.

    Raises LogbookError for another table.
    """
    none: Any
    found: Sequence[Any]
    match table:
        case "attempts" if scope.event == MULTI_EVENT:
            none, found = ManyPoint("", "", None), newest_many(book, scope, last)
        case "attempts":
            none, found = Point("", "", Outcome.DNF, None, None, Rolling(None, None)), newest(book, scope, last)
        case "bests":
            none, found = Bests(), [bests(book, scope)]
        case "rates" | "timeline":
            none = Rate("", 0, Share(0, 0), None, None, None)
            found = rates(book, scope, split) if table == "rates" else timeline(book, scope, period)
        case "mistakes" | "costs":
            none = MistakeFigure("", "", 0.0, 0.0)
            found = mistakes(book, scope, period if table == "mistakes" else None)
        case "retention":
            none = Retention("", "", Share(0, 0), Share(0, 0), None)
            found = retention(book, scope, period)
        case "streak":
            none = Streak(0, 0)
            found = [streak(book, scope, today or datetime.now().astimezone().date())]
        case _:
            raise LogbookError(f"“{table[:24]}” is no table; say {', '.join(TABLES)}")
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_flat(none.to_dict()))
    for one in found:
        cells = _flat(one.to_dict()).values()
        writer.writerow(harmless(cell) if isinstance(cell, str) else cell for cell in cells)
    return text.getvalue()


def _flat(data: Mapping[str, Any]) -> dict[str, Any]:
    """Data within data as columns of their own, by both names."""
    found: dict[str, Any] = {}
    for name, value in data.items():
        if isinstance(value, Mapping):
            found |= {f"{name}_{inner}": one for inner, one in value.items()}
        else:
            found[name] = value
    return found


def rates(book: Logbook, scope: Scope, split: str | None = None) -> list[Rate]:
    """How attempts went: all together as one, or by a feature of their plans or their method.

    Raises LogbookError for a split there is not.
    """
    if split is not None and split not in SPLITS:
        raise LogbookError(f"attempts cannot be split by “{split[:40]}”; say {', '.join(SPLITS)}")
    if split is None:
        return [_rate("all", [tally]) for tally in _tallies(book, scope)]
    if split == "method":
        return [_rate(str(tally.key[0]), [tally]) for tally in _tallies(book, scope, "method")]
    named = {0: "no", 1: "yes"} if split == "parity" else {}
    return [
        _rate(named.get(tally.key[0], str(tally.key[0])), [tally])
        for tally in _tallies(book, scope, "value", feature=split)
    ]


def timeline(book: Logbook, scope: Scope, period: Period = "month") -> list[Rate]:
    """How attempts went day by day, or by weeks (from Monday), months or years; only those in which there were any."""
    gathered: dict[str, list[Tally]] = {}
    for tally in _tallies(book, scope, _span(period)):
        gathered.setdefault(start_of(tally.key[0], period), []).append(tally)
    return [_rate(start, tallies) for start, tallies in gathered.items()]


def newest(book: Logbook, scope: Scope, most: int | None = 300) -> list[Point]:
    """The newest attempts that ended, or all, the oldest of them first, with what each makes with the two before it."""
    ended = _ended(book, scope, None if most is None else most + 2)
    results = [attempt.result for attempt in ended]
    points = [
        Point(attempt.id, attempt.day, attempt.outcome, result, attempt.memo_ms, rolled)
        for attempt, result, rolled in zip(ended, results, rolling(results), strict=True)
    ]
    # The first two are only there for those after them, unless nothing came before.
    return points if most is None else points[-most:] if most else []


def newest_many(book: Logbook, scope: Scope, most: int | None = 300) -> list[ManyPoint]:
    """The newest attempts at many cubes that ended, or all, the oldest of them first, with their scores."""
    found = book.scores(solver=scope.solver, since=scope.since, until=scope.until, demo=scope.demo, most=most)
    return [ManyPoint(ident, day, score) for ident, day, score in found]


def bests(book: Logbook, scope: Scope) -> Bests:
    """Personal bests of an event.  Raises LogbookError where no event is told: bests of several are none."""
    if scope.event is None:
        raise LogbookError("bests are those of one event; say which, as in 333bf")
    if scope.event == MULTI_EVENT:
        points = newest_many(book, scope, MOST_ROLLED)
        counting = [(one.score.rank, one.day, str(one.score)) for one in points if one.score and one.score.counts]
        _, day, score = min(counting, default=(None, None, None))
        return Bests(many=score, many_day=day)
    ended = book.times(
        solver=scope.solver,
        event=scope.event,
        since=scope.since,
        until=scope.until,
        demo=scope.demo,
        most=MOST_ROLLED,
    )
    results = [None if time is None else as_result(time) for _, time, _ in ended]
    singles = {result: day for (day, _, _), result in zip(reversed(ended), reversed(results), strict=True)}
    if scope.since is None and scope.until is None and not scope.demo:
        # The very best may be older than all of these.
        first = book.best(solver=scope.solver, event=scope.event, demo=False)
        if first is not None:
            singles.setdefault(as_result(first[0]), first[1])
    single = min((result for result in singles if result is not None), default=None)
    memo = min((memo for _, time, memo in ended if time is not None and memo is not None), default=None)
    threes = zip(results, results[1:], results[2:], strict=False)
    # The best mean is that of the three which take the least in sum.
    sums = ((a + b + c, (a, b, c)) for a, b, c in threes if a is not None and b is not None and c is not None)
    least = min(sums, default=None)
    return Bests(
        single,
        None if single is None else singles[single],
        None if memo is None else as_result(memo),
        None if least is None else mean(least[1]),
    )


def mistakes(book: Logbook, scope: Scope, period: Period | None = None) -> list[MistakeFigure]:
    """Kinds of mistakes that inquests found, by what they cost, the dearest first; or period by period.

    They are those of all events: an inquest is held into whatever was executed as one cube.
    """
    gathered: dict[tuple[str, str], list[float]] = {}
    by: tuple[str, ...] = ("kind",) if period is None else ("kind", _span(period))
    about = {"solver": scope.solver, "demo": scope.demo, "since": scope.since, "until": scope.until}
    for tally in book.mistake_tallies(*by, source=Source.INQUEST, **about):  # type: ignore[arg-type]
        kind, *day = tally.key
        into = gathered.setdefault(("all" if period is None else start_of(day[0], period), kind), [0.0, 0.0])
        into[0] += tally.weight
        into[1] += tally.cost
    found = [MistakeFigure(of, kind, weight, cost) for (of, kind), (weight, cost) in gathered.items()]
    return sorted((one for one in found if one.times > 0), key=lambda one: (one.of, -one.cost, -one.times, one.kind))


def retention(book: Logbook, scope: Scope, period: Period | None = None) -> list[Retention]:
    """How much was known in each exercise, and how much was kept in mind; or period by period."""
    gathered: dict[tuple[str, str], list[int]] = {}
    by: tuple[str, ...] = ("exercise",) if period is None else ("exercise", _span(period))
    for tally in book.review_tallies(*by, solver=scope.solver, demo=scope.demo, since=scope.since, until=scope.until):
        exercise, *day = tally.key
        into = gathered.setdefault(("all" if period is None else start_of(day[0], period), exercise), [0] * 6)
        counts = (tally.reviews, tally.right, tally.again, tally.recalled, tally.timed, tally.answer_ms)
        for at, number in enumerate(counts):
            into[at] += number
    return [
        Retention(of, exercise, Share(right, reviews), Share(recalled, again), answer_ms / timed if timed else None)
        for (of, exercise), (reviews, right, again, recalled, timed, answer_ms) in sorted(gathered.items())
        if reviews
    ]


def streak(book: Logbook, scope: Scope, today: date) -> Streak:
    """On how many days in a row there was an attempt or a drill."""
    return _streak(book.practised_days(solver=scope.solver, demo=scope.demo), today)


def _streak(days: Iterable[str], today: date) -> Streak:
    longest = length = 0
    last: date | None = None
    for day in map(date.fromisoformat, days):
        length = length + 1 if last is not None and day - last == timedelta(days=1) else 1
        longest, last = max(longest, length), day
    now = length if last is not None and today - last <= timedelta(days=1) else 0
    return Streak(now, longest)


def start_of(day: str, period: Period) -> str:
    """The period that a day belongs to: the day, the Monday before it, ``2026-03`` or ``2026``.

    Raises LogbookError for a period there is not.
    """
    match period:
        case "day":
            return day
        case "week":
            whole = date.fromisoformat(day)
            return (whole - timedelta(days=whole.weekday())).isoformat()
        case "month":
            return day[:7]
        case "year":
            return day[:4]
    raise LogbookError(f"“{str(period)[:20]}” is no period; say {', '.join(PERIODS)}")


def _day_by_day(scope: Scope, practised: Sequence[str]) -> Scope:
    """The scope narrowed to what is told day by day; the same where all of it is."""
    within = [day for day in practised if scope.until is None or day <= scope.until]
    if not within:
        return scope
    since = (date.fromisoformat(within[-1]) - DAY_BY_DAY).isoformat()
    return scope if max(within[0], scope.since or "") >= since else replace(scope, since=since)


def _span(period: Period) -> str:
    """By what to count, for what a period is made of: the fewer rows come, the sooner it is done."""
    return "month" if period == "year" else period


def _tallies(book: Logbook, scope: Scope, *by: str, **more: str) -> list[Tally]:
    return book.tallies(
        *by, solver=scope.solver, event=scope.event, demo=scope.demo, since=scope.since, until=scope.until, **more
    )


def _ended(book: Logbook, scope: Scope, most: int | None) -> list[Ended]:
    """The newest attempts that ended, or all, the oldest of them first."""
    found = book.ended(
        solver=scope.solver, event=scope.event, since=scope.since, until=scope.until, demo=scope.demo, most=most
    )
    return found[::-1]


def _rate(of: str, tallies: Iterable[Tally]) -> Rate:
    attempts = solved = ended = timed = total = memo_timed = memo = executed = execution = 0
    for tally in tallies:
        attempts += tally.attempts
        solved += tally.solved + tally.plus2
        ended += tally.solved + tally.plus2 + tally.dnf
        timed, total = timed + tally.timed, total + tally.total_ms
        memo_timed, memo = memo_timed + tally.memo_timed, memo + tally.memo_ms
        executed, execution = executed + tally.executed, execution + tally.execution_ms
    return Rate(
        of,
        attempts,
        Share(solved, ended),
        memo / memo_timed if memo_timed else None,
        execution / executed if executed else None,
        total / timed if timed else None,
    )
