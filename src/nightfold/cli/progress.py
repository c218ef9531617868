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
from nightfold.practice.progress import TABLES
from nightfold.practice.results import clock

if TYPE_CHECKING:
    from rich.console import Console

    from nightfold.practice.logbook import Logbook
    from nightfold.practice.progress import Bests, MistakeFigure, Period, Point, Rate, Scope

#: The blocks of a plot, from an eighth to a whole.
_BLOCKS = "▁▂▃▄▅▆▇█"
#: So many mistakes are listed.
_MOST_MISTAKES = 8
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
    last: Annotated[int, typer.Option("--last", metavar="N", help="How many of the newest attempts are drawn.")] = 60,
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
    if not 1 <= last <= 2000:
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
            print_json(overview(book, scope, datetime.now().astimezone().date(), split, by, last))
        else:
            _print(book, scope, split, by, last, streaks)


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
    if not whole:
        print_hanging(out, f"no attempts at {scope.event} are kept yet", "", "")
    else:
        _print_rate(out, whole[0])
        _print_bests(out, figures.bests(book, scope))
        _print_newest(out, figures.newest(book, scope, min(last, max(10, out.width - 14))))
        _print_rates(out, f"BY {by.upper()}", figures.timeline(book, scope, by))
    if split and whole:
        _print_rates(out, f"BY {split.upper().replace('_', ' ')}", figures.rates(book, scope, split))
    if mistakes := figures.mistakes(book, scope)[:_MOST_MISTAKES]:
        told = f"  how many solves each cost, how often it was found; {by} by {by}"
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
        out.print(Text("DRILLS", style="bold"))
        for drill in known:
            took = "" if drill.answer_ms is None else f"  {drill.answer_ms / 1000:.1f} s"
            out.print(f"  {_percent(drill.right.value)} of {drill.right.all:,} right{took}  {drill.exercise}")
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


def _print_rate(out: Console, rate: Rate) -> None:
    from rich.text import Text

    low, high = rate.solved.interval
    out.print(
        Text.assemble(
            ("SOLVED  ", "bold"),
            (_percent(rate.solved.value).strip(), LAMP),
            (f"  of {rate.solved.all:,} attempts; the true rate is likely {low:.0%} to {high:.0%}", QUIET),
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

    words = [f"single {_result(found.single)}" + (f" ({found.single_day})" if found.single_day else "")]
    words += [f"mean of 3 {_result(found.mean_of_3)}", f"memo {_result(found.memo)}"]
    out.print(Text.assemble(("BESTS   ", "bold"), ", ".join(words)))


def _print_newest(out: Console, points: list[Point]) -> None:
    """The newest results as columns, the fastest the lowest; a dot where an attempt failed."""
    from rich.text import Text

    results = [point.result for point in points if point.result is not None]
    if not results:
        return
    low, high = min(results), max(results)
    drawn = "".join(
        "·" if point.result is None else _BLOCKS[(len(_BLOCKS) - 1) * (point.result - low) // max(1, high - low)]
        for point in points
    )
    out.print()
    out.print(
        Text.assemble(("NEWEST  ", "bold"), (f"{clock(low)} to {clock(high)}; low is fast, a dot is a DNF", QUIET))
    )
    out.print(Text("  " + drawn, style=LAMP))
    last = points[-1].rolling
    out.print(Text(f"  last three: best {_result(last.best)}, mean {_result(last.mean)}", style=QUIET))


def _print_rates(out: Console, title: str, rates: list[Rate]) -> None:
    from rich.table import Table
    from rich.text import Text

    more = f"  the last {_MOST_PERIODS} of {len(rates)}; --csv has all" if len(rates) > _MOST_PERIODS else ""
    out.print()
    out.print(Text.assemble((title, "bold"), (more, QUIET)))
    grid = Table.grid(padding=(0, 2))
    for _ in range(3):
        grid.add_column()
    for _ in range(3):
        grid.add_column(justify="right")
    grid.add_row("", "", Text("solved", style=QUIET), *(Text(word, style=QUIET) for word in ("of", "memo", "all")))
    for rate in rates[-_MOST_PERIODS:]:
        share = rate.solved.value or 0.0
        bar = Text("█" * round(16 * share) + "░" * (16 - round(16 * share)), style=LAMP)
        percent = _percent(rate.solved.value)
        grid.add_row(f"  {rate.of}", bar, percent, str(rate.attempts), _ms(rate.memo_ms), _ms(rate.total_ms))
    out.print(grid)


def _percent(share: float | None) -> str:
    return "  -" if share is None else f"{share:>4.0%}"


def _ms(value: float | None) -> str:
    return "-" if value is None else clock(round(value / 10))


def _result(value: int | None) -> str:
    return "-" if value is None else clock(value)
