"""``nightfold progress``: what the logbook shows of one's practice, as tables and plots of the terminal."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.cli.common import (
    LAMP,
    QUIET,
    JsonOption,
    SolverOption,
    complain,
    console,
    print_hanging,
    print_json,
)
from nightfold.cube.errors import NightfoldError
from nightfold.practice.attempts import MULTI_EVENT
from nightfold.practice.progress import TABLES
from nightfold.practice.results import as_result, clock

if TYPE_CHECKING:
    from rich.console import Console

    from nightfold.practice.logbook import Logbook
    from nightfold.practice.progress import Bests, ManyPoint, MistakeFigure, Period, Point, Rate, Retention, Scope

#: The blocks of a plot, from an eighth to a whole.
_BLOCKS = "▁▂▃▄▅▆▇█"
#: So many of the newest attempts are drawn, unless others are asked for; and so many listed of those at many cubes.
_DRAWN, _LISTED = 60, 8
#: So many mistakes are listed.
_MOST_MISTAKES = 8
#: How much room is left beside a plot for what the last of it is.
_ASIDE = 18
#: How wide a bar is drawn.
_BAR = 10
#: So wide must the terminal be for bars beside the numbers.
_WIDE = 76
#: So many of the last periods are listed, and fit on a line.
_MOST_PERIODS = 24


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("progress")(progress)


def progress(
    event: Annotated[
        str, typer.Option("--event", metavar="ID", help="Which event: 333bf, 333mbf, 444bf, 555bf.")
    ] = "333bf",
    solver: SolverOption = "",
    since: Annotated[str | None, typer.Option("--since", metavar="DAY", help="Not before, as in 2026-03-05.")] = None,
    until: Annotated[str | None, typer.Option("--until", metavar="DAY", help="Not after.")] = None,
    split: Annotated[
        str | None,
        typer.Option("--split", metavar="BY", help="By letters, edge_letters, breaks, parity, method and more."),
    ] = None,
    by: Annotated[str, typer.Option("--by", metavar="PERIOD", help="By day, week, month or year.")] = "month",
    last: Annotated[
        int | None,
        typer.Option("--last", metavar="N", help="How many of the newest attempts; 60, in tables all, if not given."),
    ] = None,
    streaks: Annotated[
        bool, typer.Option("--streaks", metavar="", help="Also tell on how many days in a row you practised.")
    ] = False,
    learn_from: Annotated[
        str | None,
        typer.Option(
            "--learn-from",
            metavar="now|DAY|all",
            help="From when on your mistakes shift the chances of your inquests; none of them is removed.",
        ),
    ] = None,
    demo: Annotated[bool, typer.Option("--demo", metavar="", help="Look at the demo's records.")] = False,
    table: Annotated[
        str | None, typer.Option("--csv", metavar="TABLE", help=f"Print a table as CSV: {', '.join(TABLES)}.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """What the logbook shows: success, times, bests, what mistakes cost, and how much the drills left behind."""
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.progress import PERIODS, Scope, nothing_yet, overview, rates, table_csv

    if by not in PERIODS:
        raise NightfoldError(f"“{by[:24]}” is no period; say {', '.join(PERIODS)}")
    if table is not None and table not in TABLES:
        raise NightfoldError(f"“{table[:24]}” is no table; say {', '.join(TABLES)}")
    if last is not None and not 1 <= last <= 2000:
        raise NightfoldError(f"{last} attempts cannot be drawn; 1 to 2000 can")
    scope = Scope(solver, event, since, until, demo)
    if learn_from is not None:
        _learn_from(learn_from, solver, demo)
    book = Logbook.look()
    if book is None:
        if as_json:
            print_json(nothing_yet(event))
            return
        print_hanging(console(), "the logbook is empty yet: nightfold attempt and nightfold drill write to it", "", "")
        return
    with book:
        if split is not None:
            rates(book, scope, split)  # what cannot be split by is said before anything is printed
        if table is not None:
            print(table_csv(book, scope, table, split, by, last), end="")
        elif as_json:
            print_json(overview(book, scope, datetime.now().astimezone().date(), split, by, last or _DRAWN))
        else:
            _print(book, scope, split, by, last or _DRAWN, streaks)


def _learn_from(text: str, solver: str, demo: bool) -> None:
    """Keep from when on mistakes count for inquests."""
    from nightfold.practice.learning import learn_from, moment_of
    from nightfold.practice.logbook import Logbook

    if demo:
        raise NightfoldError("--learn-from is about your own mistakes, not those of the demo")
    moment = moment_of(text)
    with Logbook.open() as book:
        for warning in book.warnings:
            complain(warning)
        learn_from(book, moment, solver)


def _print(book: Logbook, scope: Scope, split: str | None, by: Period, last: int, streaks: bool) -> None:
    from rich.text import Text

    from nightfold.practice import progress as figures

    out = console()
    whole = figures.rates(book, scope)
    many = scope.event == MULTI_EVENT
    if not whole:
        print_hanging(out, f"no attempts at {scope.event} are kept yet{_whose(book, scope)}", "", "")
    else:
        _print_rate(out, whole[0], many)
        _print_bests(out, figures.bests(book, scope))
        if many:
            _print_many(out, figures.newest_many(book, scope, min(last, _LISTED)))
        else:
            _print_newest(out, figures.newest(book, scope, min(last, max(10, out.width - _ASIDE))))
        _print_rates(out, f"BY {by.upper()}", figures.timeline(book, scope, by))
    if split and whole:
        _print_rates(out, f"BY {split.upper().replace('_', ' ')}", figures.rates(book, scope, split))
    if not many and (mistakes := figures.mistakes(book, scope)[:_MOST_MISTAKES]):
        told = f"  found by inquests: solves each cost, times; {by} by {by}"
        out.print()
        print_hanging(out, Text.assemble(("MISTAKES", "bold"), (told, QUIET)), "")
        over_time = _over_time(figures.mistakes(book, scope, by))
        width = max(len(one.kind) for one in mistakes)
        for one in mistakes:
            out.print(
                Text.assemble(
                    f"  {one.cost:>6.1f}  {one.times:>6.1f} times  {one.kind:<{width}}  ", (over_time[one.kind], LAMP)
                )
            )
    if (moment := figures.learns_from(book, scope)) is not None:
        out.print()
        words = f"{moment.astimezone():%Y-%m-%d %H:%M}: mistakes from then on shift the chances of the inquest"
        print_hanging(out, Text.assemble(("LEARNS FROM  ", "bold"), words), "")
    if known := figures.retention(book, scope):
        out.print()
        heading = f"  kept in mind: known a day or more after it was last asked; {by} by {by}"
        print_hanging(out, Text.assemble(("DRILLS", "bold"), (heading, QUIET)), "")
        courses = _courses(figures.retention(book, scope, by))
        for drill in known:
            took = "" if drill.answer_ms is None else f"  {drill.answer_ms / 1000:.1f} s"
            kept = f"  {_percent(drill.kept.value)} of {drill.kept.all:,} kept in mind" if drill.kept.all else ""
            course = "".join(
                "·" if share is None else _BLOCKS[min(len(_BLOCKS) - 1, int(len(_BLOCKS) * share))]
                for share in courses[drill.exercise]
            )
            line = f"  {_percent(drill.right.value)} of {drill.right.all:,} right{took}{kept}  {drill.exercise}  "
            out.print(Text.assemble(line, (course, LAMP)))
    if streaks:
        days = figures.streak(book, scope, datetime.now().astimezone().date())
        out.print()
        out.print(f"practised on {days.now} day{'s' * (days.now != 1)} in a row, at most {days.longest}")


def _over_time(mistakes: list[MistakeFigure]) -> dict[str, str]:
    """How often each kind was found in the last periods, as blocks, a dot where it was not; all on one scale."""
    times = {(one.of, one.kind): one.times for one in mistakes}
    periods = sorted({of for of, _ in times})[-_MOST_PERIODS:]
    most = max((number for (of, _), number in times.items() if of in periods), default=1.0)

    def drawn(number: float) -> str:
        return "·" if number == 0 else _BLOCKS[min(len(_BLOCKS) - 1, int(len(_BLOCKS) * number / most))]

    return {kind: "".join(drawn(times.get((of, kind), 0.0)) for of in periods) for _, kind in times}


def _whose(book: Logbook, scope: Scope) -> str:
    """Whose practice there is to be looked at, where this is nobody's."""
    from nightfold.practice.demo import demo_solvers

    demo = demo_solvers(book)
    known = demo if scope.demo else [name for name in book.solvers() if name and name not in demo]
    if scope.demo and not demo:
        return "; the demo is not loaded: nightfold logbook demo loads it"
    if scope.solver in known or not known:
        return ""
    names = f"--solver {', '.join(known[:-1])}{' or ' * (len(known) > 1)}{known[-1]}"
    return f"; say {names}" if scope.solver or scope.demo else f"; those of others are shown with {names}"


def _courses(known: list[Retention]) -> dict[str, list[float | None]]:
    """How much was known of each exercise in the last periods; None where nothing was asked."""
    shares = {(one.of, one.exercise): one.right.value for one in known}
    periods = sorted({of for of, _ in shares})[-_MOST_PERIODS // 2 :]
    return {exercise: [shares.get((of, exercise)) for of in periods] for _, exercise in shares}


def _print_rate(out: Console, rate: Rate, many: bool) -> None:
    from rich.text import Text

    good, ended = rate.solved.good, rate.solved.all
    low, high = rate.solved.interval
    told = f"  {good:,} of {ended:,} that ended"
    if rate.attempts > ended:
        told += f" ({rate.attempts:,} in all)"
    out.print(
        Text.assemble(
            ("COUNTED " if many else "SOLVED  ", "bold"),
            (_percent(rate.solved.value).strip(), LAMP),
            (f"{told}; the true rate is likely {low:.0%} to {high:.0%}" if ended else told, QUIET),
        )
    )
    out.print(
        Text.assemble(
            ("TIMES   ", "bold"),
            f"memo {_ms(rate.memo_ms)}, execution {_ms(rate.execution_ms)}, all {_ms(rate.total_ms)}",
            ("  on average, where solved", QUIET),
        )
    )


def _print_bests(out: Console, found: Bests) -> None:
    from rich.text import Text

    if found.many is not None:
        words = [f"{found.many} ({found.many_day})"]
    else:
        words = [f"single {_result(found.single)}" + (f" ({found.single_day})" if found.single_day else "")]
        words += [f"mean of 3 {_result(found.mean_of_3)}", f"memo {_result(found.memo)}"]
    out.print(Text.assemble(("BESTS   ", "bold"), ", ".join(words)))


def _print_many(out: Console, points: list[ManyPoint]) -> None:
    """The newest attempts at many cubes, each with its score."""
    from rich.text import Text

    out.print()
    out.print(Text("NEWEST", style="bold"))
    for point in points:
        told = point.to_dict()
        score = "" if told["points"] is None else f"{told['points']} point{'s' * (told['points'] != 1)}"
        out.print(Text.assemble(f"  {point.day}  ", (f"{told['result']:<18}", LAMP), score))


def _print_newest(out: Console, points: list[Point]) -> None:
    """The newest results as columns, the fastest the lowest; a dot where an attempt failed."""
    from rich.text import Text

    results = [point.result for point in points if point.result is not None]
    if not results:
        return
    low, high = min(results), max(results)
    drawn = "".join("·" if point.result is None else _block(point.result, low, high) for point in points)
    out.print()
    said = f"{clock(low)} to {clock(high)}; low is fast, a dot is a DNF"
    rolled = [("best", [point.rolling.best for point in points]), ("mean", [point.rolling.mean for point in points])]
    if len(points) < 3:
        rolled = []
    print_hanging(
        out,
        Text.assemble(("NEWEST  ", "bold"), (said + "; then best and mean of the last 3" * bool(rolled), QUIET)),
        "",
    )
    out.print(Text("  " + drawn, style=LAMP))
    for name, values in rolled:
        # On the scale of the results.
        drawn = "".join("·" if value is None else _block(value, low, high) for value in values)
        newest = "DNF" if values[-1] is None else clock(values[-1])
        out.print(Text.assemble(("  " + drawn, LAMP), (f"  {name} {newest}", QUIET)))


def _block(value: int, low: int, high: int) -> str:
    return _BLOCKS[(len(_BLOCKS) - 1) * (min(value, high) - low) // max(1, high - low)]


def _print_rates(out: Console, title: str, rates: list[Rate]) -> None:
    from rich.table import Table
    from rich.text import Text

    more = f"  the last {_MOST_PERIODS} of {len(rates)}; --csv has all" if len(rates) > _MOST_PERIODS else ""
    out.print()
    out.print(Text.assemble((title, "bold"), (more, QUIET)))
    grid = Table.grid(padding=(0, 2))
    bars = out.width >= _WIDE
    for _ in range(1 + bars):
        grid.add_column()
    for _ in range(6):
        grid.add_column(justify="right")
    heads = ("solved", "of", "likely", "memo", "execution", "all")
    grid.add_row("", *[""] * bars, *(Text(word, style=QUIET) for word in heads))
    for rate in rates[-_MOST_PERIODS:]:
        share = rate.solved.value or 0.0
        bar = Text("█" * round(_BAR * share) + "░" * (_BAR - round(_BAR * share)), style=LAMP)
        low, high = rate.solved.interval
        likely = f"{100 * low:.0f}-{high:.0%}" if rate.solved.all else "-"
        times = (_ms(rate.memo_ms), _ms(rate.execution_ms), _ms(rate.total_ms))
        grid.add_row(f"  {rate.of}", *[bar] * bars, _percent(rate.solved.value), f"{rate.solved.all:,}", likely, *times)
    out.print(grid)


def _percent(share: float | None) -> str:
    return "  -" if share is None else f"{share:>4.0%}"


def _ms(value: float | None) -> str:
    return "-" if value is None else clock(as_result(int(value)))


def _result(value: int | None) -> str:
    return "-" if value is None else clock(value)
