"""``nightfold today``: what to practise now, in the minutes one has, and why."""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import (
    LAMP,
    QUIET,
    HoldOption,
    JsonOption,
    LetteringOption,
    MethodOption,
    SolverOption,
    print_hanging,
    print_json,
)
from nightfold.cli.drill import (
    Ending,
    Face,
    SeedOption,
    UnkeptOption,
    dice,
    in_minutes,
    keeping,
    run_through,
    table_with_words,
)
from nightfold.cli.words import OwnOption
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from rich.console import Console

    from nightfold.practice.drills import Table
    from nightfold.practice.keeper import Answered, Keeper
    from nightfold.practice.today import Today


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("today")(today)


def today(
    minutes: Annotated[float, typer.Option("--minutes", metavar="M", help="How many minutes you have.")] = 20.0,
    start: Annotated[bool, typer.Option("--start", help="Go through it at once.")] = False,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    own: OwnOption = None,
    solver: SolverOption = "",
    unkept: UnkeptOption = False,
    seed: SeedOption = None,
    as_json: JsonOption = False,
) -> None:
    """Today's practice: what is due and what went wrong lately, mixed, the weakest first, each with its reason."""
    from nightfold.practice.agenda import todays_practice
    from nightfold.practice.keeper import Forgetful
    from nightfold.practice.sitting import utc_now

    if start and as_json:
        raise NightfoldError("--start asks questions and --json prints data; take one of them")

    def planned(keeper: Keeper) -> tuple[Table, Today]:
        table = table_with_words(keeper, method, lettering, hold, own)
        return table, todays_practice(table, keeper, minutes, utc_now())

    face = Face()
    if start:
        with keeping(face, solver, unkept) as keeper:
            table, plan = planned(keeper)
            _print(face.out, plan)
            ending, answers = _go_through(face, table, plan, keeper, dice(seed))
        if ending == "late":
            from nightfold.practice.drills.base import count_of

            missed = sum(item.count for item in plan.items) - len(answers)
            left_out = f"{count_of(missed, 'question')} left out, and what is due stays due"
            print_hanging(face.out, f"{in_minutes(plan.minutes)} over; {left_out}", "", "")
        face.summary(answers)
        if ending == "stopped":
            raise typer.Exit(130)
        return
    with looking(solver, unkept) as kept:
        plan = planned(kept or Forgetful())[1]
    if as_json:
        print_json(plan.to_dict())
    else:
        _print(face.out, plan)
        face.out.print(f"\n{_minutes(plan.seconds)} in all; nightfold today --start goes through it")


@contextmanager
def looking(solver: str, unkept: bool) -> Iterator[Keeper | None]:
    """What is kept, only to be looked at; None where nothing is, or is to be looked at."""
    if unkept:
        yield None
        return
    from nightfold.practice.kept import LogbookKeeper
    from nightfold.practice.logbook import Logbook

    book = Logbook.look()
    if book is None:
        yield None
        return
    with book:
        yield LogbookKeeper(book, solver)


def _print(out: Console, plan: Today) -> None:
    """Block by block what to do, and why."""
    from rich.text import Text

    from nightfold.practice.drills import EXERCISES

    for number, item in enumerate(plan.items, 1):
        much = f"{item.count} question{'s' if item.count > 1 else ''}, {_minutes(item.seconds)}"
        title = EXERCISES[item.exercise].title
        out.print(Text.assemble((f"{number:2}  ", LAMP), (title, "bold"), (f"  {much}", QUIET)))
        print_hanging(out, f"{item.why}.", "    ", "    ")


def _go_through(
    face: Face, table: Table, plan: Today, keeper: Keeper, rolls: random.Random
) -> tuple[Ending, list[Answered]]:
    """Block after block, and how it ended, with all answers.

    Each block has its share of the time that is left, so that one that takes longer does not take the time of all
    others; what was cut off comes again at the end, if there is time.
    """
    from nightfold.practice.drills import EXERCISES
    from nightfold.practice.sitting import Sitting

    answers: list[Answered] = []
    face.out.print()
    face.caution()
    end = face.watch() + 60 * plan.minutes
    blocks = deque(plan.items)
    while blocks:
        left = end - face.watch()
        if left <= 0:
            return "late", answers
        share = left * blocks[0].seconds / sum(block.seconds for block in blocks)
        item = blocks.popleft()
        sitting = Sitting(table, EXERCISES[item.exercise], keeper, rolls, wanted=item.subjects)
        ending = run_through(sitting, face, item.count, share)
        answers += sitting.answers
        if ending in ("silent", "stopped"):
            return ending, answers
        if ending == "late":
            blocks.append(item.after(len(sitting.answers)))
            if len(blocks) > 1:
                face.out.print(f"enough of {EXERCISES[item.exercise].title} for now\n", style=QUIET)
    return "through", answers


def _minutes(seconds: float) -> str:
    """``about 3 min``, or seconds below one minute."""
    return f"about {seconds / 60:.0f} min" if seconds >= 60 else f"about {seconds:.0f} s"
