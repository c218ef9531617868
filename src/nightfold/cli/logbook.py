"""``nightfold logbook``: what keeps the logbook safe, and how its records get in and out."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from nightfold.cli.common import JsonOption, complain, print_json, searching, visible
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.sheets import Dates

logbook_app = typer.Typer(
    name="logbook",
    help="Keep the logbook safe, and bring records in and out of it.",
    no_args_is_help=False,
)


def register(app: typer.Typer) -> None:
    """Add the commands to the application."""
    app.add_typer(logbook_app)


@logbook_app.callback(invoke_without_command=True)
def logbook(context: typer.Context) -> None:
    """Keep the logbook safe, and bring records in and out of it."""
    if context.invoked_subcommand is None:
        print(context.get_help())


@logbook_app.command("backup")
def backup(as_json: JsonOption = False) -> None:
    """Make a backup now, and read it back.  It stays until you remove it; daily ones are made by themselves."""
    from nightfold.practice.backup import ASKED, make_backup
    from nightfold.practice.errors import UnsoundError
    from nightfold.practice.opening import set_damaged_aside
    from nightfold.practice.records import counted

    with _open() as book:
        try:
            made = make_backup(book.database, ASKED)
        except UnsoundError as trouble:
            raise set_damaged_aside(book.database, trouble) from None
        counts = book.counts()
    if as_json:
        print_json(made.to_dict() | {"records": counts})
    else:
        print(f"{visible(str(made.path))}: {counted(counts)}, read back")


@logbook_app.command("restore")
def restore(
    file: Annotated[
        str | None,
        typer.Argument(metavar="[FILE]", help="A backup or an export; the newest good backup if not given."),
    ] = None,
    empty: Annotated[
        bool, typer.Option("--empty", metavar="", help="Begin an empty logbook where one is lost or damaged.")
    ] = False,
    undo: Annotated[
        bool, typer.Option("--undo", metavar="", help="Bring back what was there before the last restoring.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Put a backup or an export in the place of the logbook.  What is there now is backed up or set aside first."""
    from nightfold.practice.backup import replaced
    from nightfold.practice.database import Database
    from nightfold.practice.opening import begin_empty, restore
    from nightfold.practice.places import logbook_place
    from nightfold.practice.records import counted

    place = logbook_place()[0]
    if undo:
        if file is not None or empty:
            raise NightfoldError("--undo goes alone: it knows itself what to bring back")
        before = replaced(Database(place))
        if before is None:
            raise NightfoldError("no logbook was replaced by a backup here, so there is nothing to undo")
        file = str(before.path)
    if empty:
        if file is not None:
            raise NightfoldError("give a file to restore or --empty, not both")
        shown = begin_empty(place)
        if as_json:
            print_json({"restored": None, "records": {}, "replaced": None})
        else:
            print(f"{visible(shown)}: an empty logbook")
        return
    with _telling(as_json) as progress:
        begun = datetime.now(UTC)
        source, counts = restore(place, None if file is None else Path(file), progress, undo=undo)
    before = replaced(Database(place))
    kept = None if before is None or before.made < begun else str(before.path)
    if as_json:
        print_json({"restored": str(source), "records": counts, "replaced": kept})
        return
    what = counted(counts) if counts else "as a newer Nightfold left it, with which it can be used"
    print(f"{visible(str(source))} is the logbook now: {what}")
    if kept is not None:
        print(f"what was there is kept as {visible(kept)}; nightfold logbook restore --undo brings it back")


@logbook_app.command("export")
def export(
    to: Annotated[str, typer.Argument(metavar="FILE|-", help="The new file, or - for standard output.")],
    as_csv: Annotated[
        bool, typer.Option("--csv", metavar="", help="Make a folder of that name with one CSV file for each kind.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Write everything to a file of JSON Lines or a folder of CSV; docs/logbook.md describes both."""
    from nightfold.practice.records import counted
    from nightfold.practice.transfer import write_file, write_lines, write_tables

    if to == "-" and (as_csv or as_json):
        raise NightfoldError("- writes JSON Lines and nothing else; leave out --csv and --json")
    with _look() as book, book.database.reading() as connection:
        if to == "-":
            write_lines(connection, sys.stdout.buffer)
            return
        with _telling(as_json) as progress:
            write = write_tables if as_csv else write_file
            counts = write(connection, Path(to), progress)
    if as_json:
        print_json({"path": to, "records": counts})
    else:
        print(f"{visible(to)}: {counted(counts)}")


@logbook_app.command("import")
def bring_in(
    file: Annotated[
        str,
        typer.Argument(metavar="FILE|FOLDER|-", help="JSON Lines, a table of results, a folder of CSV; - for a pipe."),
    ],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", metavar="", help="Tell what would come of it, and keep nothing.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", metavar="", help="Take the file's word for records that are there otherwise.")
    ] = False,
    kind: Annotated[
        str | None, typer.Option("--kind", metavar="KIND", help="What the rows of a table are, as attempt or word.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="WHAT=NAME", help="Which column tells what, as in result=Zeit; repeatable."),
    ] = None,
    value: Annotated[
        list[str] | None,
        typer.Option("--value", metavar="WHAT=TEXT", help="What all rows have in common, as in solver=Jory."),
    ] = None,
    dates: Annotated[
        str, typer.Option("--dates", metavar="ORDER", help="How dates such as 9/1/2026 are: day-first or month-first.")
    ] = "",
    as_json: JsonOption = False,
) -> int:
    """Read records in, all or none; those that are there already are left alone."""
    from nightfold.practice.errors import ImportingError
    from nightfold.practice.records import BY_NOUN, counted
    from nightfold.practice.sheets import Asked
    from nightfold.practice.transfer import import_rows, open_source

    if kind is not None and kind not in BY_NOUN:
        raise NightfoldError(f"--kind “{kind[:40]}” is none; kinds are {', '.join(BY_NOUN)}")
    if dates not in ("", "day-first", "month-first"):
        raise NightfoldError(f"--dates “{dates[:40]}” is none; say day-first or month-first")
    asked = Asked(_equations("--column", column), _equations("--value", value), cast("Dates", dates))
    if asked and kind not in (None, "attempt"):
        raise NightfoldError(f"--column, --value and --dates are for tables of attempts, not for --kind {kind}")
    with _given(file) as (path, shown):
        source = open_source(path, kind, asked, shown)
        rows = source.rows
        first = next(rows, None)  # before a logbook is made for what is no export
        with _open(make=True) as book, _telling(as_json) as progress:
            try:
                done = import_rows(
                    book.database,
                    rows if first is None else (row for some in ((first,), rows) for row in some),
                    replace=replace,
                    dry=dry_run,
                    progress=progress,
                )
            except ImportingError as trouble:
                code = 2
                for problem in trouble.problems:
                    code = complain(problem)
                complain("nothing was imported")
                return code
    if as_json:
        print_json({**done.to_dict(), "understood": list(source.told), "left": list(source.left)})
        return 0
    if dry_run:
        for line in source.told:
            print(visible(line))
    if source.left:
        print(f"not taken: {', '.join(f'“{visible(name)}”' for name in source.left)}")
    for line in done.unusual:
        print(f"unusual: {visible(line)}")
    parts = [f"new: {counted(done.new)}", f"there already: {counted(done.same)}"]
    parts += [f"replaced: {counted(done.replaced)}"] if replace else []
    print("; ".join(parts) + ("; nothing was kept (--dry-run)" if dry_run else ""))
    return 0


@logbook_app.command("verify")
def verify(
    file: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="A backup or an export; the logbook if not given.")
    ] = None,
    as_json: JsonOption = False,
) -> int:
    """Look the logbook, a backup or an export all through.  The exit code is 1 if something is wrong."""
    from nightfold.practice.backup import backups, check_backup
    from nightfold.practice.checking import check
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.records import counted

    if file is not None:
        counts = check_backup(Path(file))
        if as_json:
            print_json({"sound": True, "there": True, "records": counts, "problems": []})
        else:
            print(f"{visible(file)} is sound: {counted(counts)}")
        return 0
    book = Logbook.look()
    if book is None:
        if as_json:
            print_json({"sound": True, "there": False, "records": {}, "problems": []})
        else:
            print("there is no logbook yet; it is made when something is first kept")
        return 0
    with book, _telling(as_json) as progress:
        found = check(book.database, progress)
        shown, there = book.database.shown, bool(backups(book.database))
    if as_json:
        print_json({"there": True, **found.to_dict()})
    elif found.sound:
        print(f"{visible(shown)} is sound: {counted(found.counts)}")
    else:
        what = "nightfold logbook restore brings back the newest good backup" if there else "there is no backup of it"
        print(f"{visible(shown)} is not sound; {what}:")
        for problem in found.problems:
            print(f"  {visible(problem)}")
    return 0 if found.sound else 1


@logbook_app.command("demo")
def demo(
    remove: Annotated[bool, typer.Option("--remove", metavar="", help="Remove it without a trace.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Load a demo to look round in: sixteen Thursdays of the club at Fennel Point, invented, each record marked."""
    from nightfold.practice.demo import demo_solvers, load_demo
    from nightfold.practice.logbook import Logbook

    with Logbook.open() as book:
        number = book.remove_demo() if remove else load_demo(book)
        solvers = demo_solvers(book)
    if as_json:
        print_json({"records": number, "solvers": solvers})
    elif remove:
        print(f"{number:,} records of the demo removed" if number else "no demo was loaded")
    else:
        print(f"{number:,} invented records loaded, of {', '.join(solvers)}")
        print(f"look round with nightfold progress --demo --solver {solvers[0]}; remove it with --remove")


@contextmanager
def _open(make: bool = False) -> Iterator[Logbook]:
    """The logbook for writing, its warnings told; one that is not there is made only if that is wanted."""
    from nightfold.practice.logbook import Logbook

    with Logbook.open(make=make) as book:
        told = len(book.warnings)
        for warning in book.warnings[:told]:
            complain(warning)
        yield book
    for warning in book.warnings[told:]:  # of what was done meanwhile
        complain(warning)


@contextmanager
def _look() -> Iterator[Logbook]:
    """The logbook for reading."""
    from nightfold.practice.logbook import Logbook

    book = Logbook.look()
    if book is None:
        raise NightfoldError("there is no logbook yet; it is made when something is first kept")
    with book:
        yield book


@contextmanager
def _given(file: str) -> Iterator[tuple[Path, str]]:
    """The file itself, or one with what standard input gives, and what to call it; it is read before all is locked."""
    if file != "-":
        yield Path(file), file
        return
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder) / "given"
        with path.open("wb") as spool:
            if sys.stdin is not None:
                shutil.copyfileobj(sys.stdin.buffer, spool)
        yield path, "standard input"


def _equations(option: str, given: list[str] | None) -> dict[str, str]:
    """What an option that is given several times says, ``WHAT=TEXT`` each."""
    found = {}
    for one in given or ():
        what, sign, text = one.partition("=")
        if not sign or not what.strip() or not text.strip() or what.strip() in found:
            raise NightfoldError(f"{option} “{one[:40]}” must be like result=Time, and name each thing once")
        found[what.strip()] = text.strip()
    return found


@contextmanager
def _telling(quiet: bool) -> Iterator[Callable[[int], Any] | None]:
    """Shows how many records were dealt with, on a terminal."""
    with searching(quiet) as tell:
        yield None if tell is None else lambda done: tell(f"{done:,} records")
