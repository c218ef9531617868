"""``nightfold attempt``: a timed attempt from the first look to the verdict, kept in the logbook."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Annotated, Any

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import (
    LAMP,
    QUIET,
    FinalOption,
    HoldOption,
    JsonOption,
    LeftOption,
    LetteringOption,
    MeantCornersOption,
    MeantEdgesOption,
    MethodOption,
    SolverOption,
    console,
    print_hanging,
    read_text,
    visible,
)
from nightfold.cli.ended import Asked, Ended, clock_at, close, examine_cube, inquest_later, read_outcomes, read_times
from nightfold.cube.errors import NightfoldError
from nightfold.practice.results import Outcome, clock, time_limit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from nightfold.cli.keys import Keys
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.records import Attempt, Series
    from nightfold.practice.timing import Timing

#: What is said once before the clock, and nothing more of it.
CAUTION = "Sit down, clear the table, and let the people round you know before you cover your eyes."
#: How an attempt came out, by the key that says so.
_OUTCOMES = {"s": Outcome.SOLVED, "2": Outcome.PLUS2, "d": Outcome.DNF}
_OUTCOME_WORDS = "s solved   2 one turn away (+2)   d not solved"
#: Outcomes as they are told.
_TOLD = {Outcome.SOLVED: "solved", Outcome.PLUS2: "one turn away (+2)", Outcome.DNF: "not solved"}
_SERIES = ("best-of-3", "mean-of-3", "evening")
_MOST_CUBES = 200
#: A clock that was cut off may go on for so long; after that the attempt can only be judged.
_STILL_RUNNING = timedelta(hours=2)
#: A number that a list of scrambles puts before each.
_NUMBER = re.compile(r"^\d+[.):]?\s+")


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("attempt")(attempt)


def attempt(
    scramble: Annotated[
        str | None, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes; dealt if none is given.")
    ] = None,
    cubes: Annotated[
        int | None, typer.Option("--cubes", metavar="N", help="Deal so many cubes for one attempt (multi-blind).")
    ] = None,
    more: Annotated[
        list[str] | None, typer.Option("--scramble", metavar="ALG", help="Another cube’s scramble; may be repeated.")
    ] = None,
    listed: Annotated[
        str | None, typer.Option("--scrambles", metavar="FILE|-", help="Scrambles of many cubes, one a line.")
    ] = None,
    series: Annotated[
        str | None, typer.Option("--series", metavar="KIND", help=f"Count it in a series: {', '.join(_SERIES)}.")
    ] = None,
    name: Annotated[
        str, typer.Option("--name", metavar="TEXT", help="What the series is called; another name begins another.")
    ] = "",
    solver: SolverOption = "",
    time: Annotated[
        str | None, typer.Option("--time", metavar="CLOCK", help="The time, taken elsewhere, as in 1:23.45.")
    ] = None,
    memo_time: Annotated[
        str | None, typer.Option("--memo-time", metavar="CLOCK", help="When the eyes were covered, as in 47.0.")
    ] = None,
    outcome: Annotated[
        str | None,
        typer.Option(
            "--outcome",
            metavar="WORD",
            help="With --time or --judge: solved, plus2 (one turn away), dnf or dns; of many cubes a word for each, "
            "with commas.",
        ),
    ] = None,
    edges: MeantEdgesOption = None,
    corners: MeantCornersOption = None,
    final: FinalOption = None,
    left: LeftOption = None,
    note: Annotated[str | None, typer.Option("--note", metavar="TEXT", help="A note to keep with it.")] = None,
    judge: Annotated[
        str | None,
        typer.Option("--judge", metavar="WHICH", help="Judge or correct a kept one: last, a day, 2026-03-05/2, an id."),
    ] = None,
    remove: Annotated[
        str | None, typer.Option("--remove", metavar="WHICH", help="Take a kept attempt out of the logbook.")
    ] = None,
    bring_back: Annotated[
        str | None, typer.Option("--bring-back", metavar="ID", help="Bring back one that was removed.")
    ] = None,
    enter: Annotated[
        bool, typer.Option("--enter", metavar="", help="Start with Enter, where holding a key does not work.")
    ] = False,
    blank: Annotated[
        bool, typer.Option("--blank", metavar="", help="Show no running time, and nothing while the eyes are covered.")
    ] = False,
    bell: Annotated[bool, typer.Option("--bell", metavar="", help="Ring at every change of the clock.")] = False,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    seed: Annotated[
        int | None, typer.Option("--seed", metavar="S", help="The same seed deals the same scramble again.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Time an attempt, judge it, find out what went wrong if something did, and keep all of it in the logbook.

    The clock starts with memorising. Hold the space bar and let go to start,
    press it to cover your eyes, and press any key to stop. With --time an
    attempt that was timed otherwise is kept.
    """
    from nightfold.practice.logbook import Logbook

    given = _given(scramble, more, listed)
    if (judge is not None) + (remove is not None) + (bring_back is not None) > 1:
        raise NightfoldError("say one thing at a time: --judge, --remove or --bring-back")
    memo = _memo(edges, corners)
    asked = Asked(method, lettering, hold, solver, note, memo, as_json)
    asked.check_final(final, left)
    if judge is not None or remove is not None or bring_back is not None:
        if given or cubes is not None or series is not None or name:
            raise NightfoldError("that attempt is kept already; leave its scramble, its cubes and its series out")
        from nightfold.cli import kept

        with Logbook.open() as book:
            if remove is not None:
                kept.remove(book, asked, remove)
            elif bring_back is not None:
                kept.bring_back(book, asked, bring_back)
            else:
                kept.correct(book, asked, judge or "", outcome, time, memo_time)
        return
    count = _count(given, cubes, series, name)
    asked.wanted = _wanted(series, name, solver)
    for number, one in enumerate(given or [""], start=1):
        try:
            asked.check(one)
        except NightfoldError as trouble:
            raise NightfoldError(f"cube {number}: {trouble}") from None if count > 1 else trouble
    words = read_outcomes(outcome, count) if outcome is not None else None
    if words is None and (time is not None or memo_time is not None):
        raise NightfoldError(f"--{'memo-' * (time is None)}time needs --outcome: solved, plus2 (one turn away) or dnf")
    asked.check_what_came_out(count, words)
    with Logbook.open() as book:
        for warning in book.warnings:
            print_hanging(console(), warning, "", "")
        if words is None:
            ended = _timed(book, asked, given, count, seed, enter, blank, bell)
        else:
            ended = _kept(book, asked, given, count, seed, words, time, memo_time)
        if ended is not None:
            close(book, asked, ended)


# --- beginning ---------------------------------------------------------------------------------------------------


def _given(scramble: str | None, more: Sequence[str] | None, listed: str | None) -> list[str]:
    """All scrambles that were given."""
    lines = [] if listed is None else read_text(listed, "list of scrambles").splitlines()
    found = [_NUMBER.sub("", line.strip()) for line in lines if line.strip()]
    if listed is not None and not found:
        raise NightfoldError("the list of scrambles is empty; it has one scramble a line")
    return [*([] if scramble is None else [scramble]), *(more or []), *found]


def _count(given: Sequence[str], cubes: int | None, series: str | None, name: str) -> int:
    """How many cubes the attempt has, and whether it can count as it shall."""
    count = len(given) or cubes or 1
    if cubes is not None and not 1 <= cubes <= _MOST_CUBES:
        raise NightfoldError(f"{cubes} cubes are no attempt; say 1 to {_MOST_CUBES}")
    if count > _MOST_CUBES:
        raise NightfoldError(f"{count} cubes are too many for an attempt; give 1 to {_MOST_CUBES} scrambles")
    if given and cubes not in (None, count):
        raise NightfoldError(
            f"--cubes says {cubes}, but {count} scramble{'s were' if count > 1 else ' was'} given; give one for each "
            "with --scramble or --scrambles, or none to have them dealt"
        )
    if series is not None and series not in _SERIES:
        raise NightfoldError(f"“{series[:24]}” is no series; say {', '.join(_SERIES)}")
    if name.strip() and series is None:
        raise NightfoldError("--name is that of a series; say which with --series, as in --series evening")
    if count > 1 and series not in (None, "evening"):
        raise NightfoldError(f"an attempt at many cubes has points, so it is in no {series}; it may be in an evening")
    return count


def _wanted(kind: str | None, name: str, solver: str) -> Series | None:
    from nightfold.practice.records import Series, SeriesKind

    if kind is None:
        return None
    return Series(solver=solver, kind=SeriesKind(kind), name=" ".join(name.split()), started=datetime.now(UTC))


def _scrambles(asked: Asked, given: Sequence[str], count: int, seed: int | None) -> list[str]:
    from nightfold.blind.dealing import Dealer
    from nightfold.blind.method import load_method

    if given:
        return list(given)
    dealer = Dealer(blind=True, method=load_method(asked.method), lettering=asked.lettering, seed=seed)
    return [str(dealer.deal()) for _ in range(count)]


def _begun(asked: Asked, scrambles: Sequence[str], started: datetime, **times: Any) -> Ended:
    """The records of an attempt that begins."""
    from nightfold.practice.attempts import BLIND_EVENT, begun, begun_many

    fields = {"solver": asked.solver, "note": asked.note or "", "method": asked.method, **times}
    if len(scrambles) == 1:
        record = begun(asked.plan(scrambles[0]), scrambles[0], started=started, event=BLIND_EVENT, **fields)
        return Ended(record, [])
    return Ended(*begun_many(scrambles, asked.plan(scrambles[0]), started=started, **fields))


# --- an attempt that was timed elsewhere ---------------------------------------------------------------------------


def _kept(
    book: Logbook,
    asked: Asked,
    given: Sequence[str],
    count: int,
    seed: int | None,
    outcomes: Sequence[Outcome],
    time: str | None,
    memo_time: str | None,
) -> Ended:
    from nightfold.practice.attempts import judged, multi_outcome

    if not given and seed is None:
        raise NightfoldError("an attempt that was timed elsewhere needs its scramble")
    times = read_times(time, memo_time, count)
    started = datetime.now(UTC) - timedelta(milliseconds=times.get("total_ms", 0))
    ended = _begun(asked, _scrambles(asked, given, count, seed), started, **times)
    if len(outcomes) == count and count > 1:
        if "total_ms" not in times:
            raise NightfoldError("an attempt at many cubes needs its time; give --time, or say --outcome dnf of all")
        ended.cubes = [replace(cube, outcome=one) for cube, one in zip(ended.cubes, outcomes, strict=True)]
        ended.attempt = replace(ended.attempt, outcome=multi_outcome(ended.attempt, ended.cubes))
    else:
        ended.attempt = judged(ended.attempt, outcomes[0], memo=asked.memo)
    ended.attempt = book.begin_attempt(ended.attempt, ended.cubes, asked.wanted)
    return ended


# --- an attempt that is timed here -----------------------------------------------------------------------------------


def _timed(
    book: Logbook,
    asked: Asked,
    given: Sequence[str],
    count: int,
    seed: int | None,
    enter: bool,
    blank: bool,
    bell: bool,
) -> Ended | None:
    from nightfold.cli.clockface import ClockFace
    from nightfold.cli.keys import keys, now_ms
    from nightfold.practice.timing import Timing

    if asked.as_json:
        raise NightfoldError("--json answers programs, which cannot hold a key; give --time and --outcome with it")
    out = console()
    _judge_the_last(book, asked, out)
    at: list[Ended] = []
    try:
        with keys() as pressed:
            offset = datetime.now(UTC) - timedelta(milliseconds=now_ms())
            timing = Timing()
            if (found := _cut_off(book, asked, out, pressed, bool(given))) is not None:
                at.append(found)
                asked, count = asked.alone(), len(found.cubes) or 1
                started = (found.attempt.started - offset) // timedelta(milliseconds=1)
                memo = found.attempt.memo_ms
                timing = Timing(started, None if memo is None else started + memo)
                scrambles = [cube.scramble for cube in found.cubes] or [found.attempt.scramble]
            else:
                print_hanging(out, CAUTION, "", "")
                out.print()
                scrambles = _scrambles(asked, given, count, seed)
            _print_scrambles(out, scrambles)
            limit = 1000 * time_limit(count) if count > 1 else None

            def changed(to: Timing) -> None:
                if not at:
                    begun = _begun(asked, scrambles, offset + timedelta(milliseconds=to.started or 0))
                    begun.attempt = book.begin_attempt(begun.attempt, begun.cubes, asked.wanted)
                    at.append(begun)
                    return
                times = {"memo_ms": None if to.covered is None else to.memo_ms(0)}
                if to.stopped is not None:
                    times |= {"total_ms": to.total_ms(0)}
                at[0].attempt = book.change_attempt(at[0].attempt.id, **times)

            if ClockFace(pressed, out, changed, blank, bell, limit).run(enter, timing) is None:
                out.print("not started; nothing was kept")
                return None
            ended = at[0]
            _print_times(out, ended.attempt)
            pressed.drain()
            _judge(book, asked, out, pressed, ended)
        _ask_what_came_out(book, asked, out, ended)
    except KeyboardInterrupt:
        out.print()
        print_hanging(out, _how_to_go_on(book, at[0]) if at else "not started; nothing was kept", "", "")
        raise
    return ended


def _print_scrambles(out: Console, scrambles: Sequence[str]) -> None:
    from rich.text import Text

    for number, one in enumerate(scrambles, start=1):
        lead = f"{number}  " if len(scrambles) > 1 else "scramble  "
        print_hanging(out, Text.assemble((lead, QUIET), (one, LAMP)), "", " " * len(lead))
    out.print()


def _print_times(out: Console, record: Attempt) -> None:
    from rich.text import Text

    memo = f"   memo {clock(record.memo_ms // 10)}" if record.memo_ms is not None else ""
    out.print(Text.assemble(("time  ", QUIET), (clock((record.total_ms or 0) // 10), LAMP), (memo, QUIET)))
    out.print()


def _how_to_go_on(book: Logbook, ended: Ended) -> str:
    """What became of an attempt that was broken off with Ctrl-C."""
    if ended.attempt.total_ms is None:
        return "The attempt is kept, and its clock runs on; nightfold attempt asks whether to go on with it."
    if ended.attempt.outcome is Outcome.UNFINISHED:
        return (
            "The attempt is kept with its time. The next nightfold attempt asks how it came out, or say it with "
            "nightfold attempt --judge last --outcome solved."
        )
    return f"The attempt is kept as it was judged; say later what came out with {inquest_later(book, ended)}."


def _judge_the_last(book: Logbook, asked: Asked, out: Console) -> None:
    """Ask how the last attempt came out, if its clock was stopped and then nobody said; one question, no more."""
    from nightfold.cli.keys import keys
    from nightfold.practice.attempts import awaits_judgement

    newest = book.attempts(solver=asked.solver, demo=False, most=1)
    if not newest or not awaits_judgement(newest[0], datetime.now(UTC)):
        return
    ended = Ended(newest[0], book.cubes(newest[0].id))
    with keys() as pressed:
        print_hanging(out, f"Nobody has said how the attempt of {clock_at(ended.attempt.started)} came out.", "", "")
        _print_scrambles(out, [cube.scramble for cube in ended.cubes] or [ended.attempt.scramble])
        _print_times(out, ended.attempt)
        out.print("j judge it now   k keep it as unfinished")
        while (key := pressed.read(60)) not in ("j", "k"):
            pass
        if key == "k":
            out.print("kept as unfinished")
            out.print()
            return
        _judge(book, asked.alone(), out, pressed, ended)
    told = asked.alone()
    _ask_what_came_out(book, told, out, ended)
    close(book, told, ended)
    out.print()


def _cut_off(book: Logbook, asked: Asked, out: Console, pressed: Keys, given: bool) -> Ended | None:
    """An attempt whose clock was cut off, if the solver wants to go on with it; else it is kept as they say."""
    from nightfold.practice.attempts import running, running_ms

    now = datetime.now(UTC)
    unfinished = book.attempts(solver=asked.solver, outcomes=[Outcome.UNFINISHED], demo=False, most=5)
    found = next((one for one in unfinished if running(one) and now - one.started < _STILL_RUNNING), None)
    if found is None:
        return None
    cubes = book.cubes(found.id)
    stands = clock(running_ms(found, now) // 10)
    said = f"An attempt was cut off. It began at {clock_at(found.started)}; its clock ran on and stands at {stands}."
    print_hanging(out, said, "", "")
    out.print("g go on with it   d it is a DNF   k keep it as unfinished")
    while True:
        key = pressed.read(60)
        if key == "g":
            told = asked.method != DEFAULT_METHOD or asked.memo is not None or asked.wanted is not None
            if given or told:
                print_hanging(
                    out, "What you typed is for another attempt; give it again when this one is over.", "", ""
                )
            out.print()
            return Ended(found, cubes)
        if key in ("d", "k"):
            ms = running_ms(found, datetime.now(UTC))
            total = min(ms, 1000 * time_limit(len(cubes))) if len(cubes) > 1 else ms
            ended: dict[str, Any] = {"outcome": Outcome.DNF} if key == "d" else {}
            book.change_attempt(found.id, total_ms=total, **ended)
            out.print("kept as a DNF" if key == "d" else "kept as unfinished")
            out.print()
            return None


def _judge(book: Logbook, asked: Asked, out: Console, pressed: Keys, ended: Ended) -> None:
    """Ask how each cube came out, and keep the answers as they come."""
    if not ended.cubes:
        if ended.attempt.memo_ms is None:
            outcome = Outcome.DNF
            out.print("given up while memorising: DNF")
        else:
            out.print(f"How did it come out?  {_OUTCOME_WORDS}")
            outcome = _key_outcome(pressed)
        ended.attempt = book.change_attempt(
            ended.attempt.id, outcome=outcome, **({} if asked.memo is None else {"memo": asked.memo})
        )
        return
    out.print(f"How did each cube come out?  {_OUTCOME_WORDS}")
    for at, cube in enumerate(ended.cubes):
        if cube.outcome is Outcome.UNFINISHED:
            out.print(f"{cube.number:>3}  ", end="")
            outcome = _key_outcome(pressed)
            out.print(_TOLD[outcome])
            ended.attempt, ended.cubes[at] = book.judge_cube(ended.attempt.id, cube.number, outcome)


def _key_outcome(pressed: Keys) -> Outcome:
    while True:
        if (found := _OUTCOMES.get(pressed.read(60) or "")) is not None:
            return found


def _ask_what_came_out(book: Logbook, asked: Asked, out: Console, ended: Ended) -> None:
    """Have a failed solver say what lies on the table, if they like to; whatever cannot be read is asked for again."""
    failed = [cube.number for cube in ended.cubes if cube.outcome is Outcome.DNF]
    if asked.came_out and ended.attempt.outcome is not Outcome.DNF:
        out.print("what came out is kept of failed attempts only")
    if not ended.cubes:
        if ended.attempt.outcome is not Outcome.DNF or ended.attempt.memo_ms is None or asked.came_out:
            return
    elif not failed:
        return
    print_hanging(
        out,
        f"What would still solve the cube {'that failed' if failed else 'in your hand'}? Type turns; or the 54 "
        "colours row by row (U, then L F R B, then D); or just Enter, and say it later with "
        f"{inquest_later(book, ended)}.",
        "",
        "",
    )
    for number in failed or [0]:
        left, final = _told_out(out, f"cube {number}, " if number else "")
        if number == 0:
            asked.left, asked.final = left, final
        elif left is not None or final is not None:
            cube = ended.cubes[number - 1]
            ended.verdicts[number] = examine_cube(book, ended.attempt, cube, None, final, left)


def _told_out(out: Console, lead: str) -> tuple[str | None, str | None]:
    """What came out, as turns that are left or as a net; neither where nothing was told."""
    while True:
        out.print(f"{lead}left or net: ", end="")
        try:
            text = input().strip()
            return _understood(text) if text else (None, None)
        except EOFError:
            return None, None
        except NightfoldError as trouble:
            print_hanging(out, f"{visible(str(trouble))}; try again, or just Enter", "", "")


def _understood(text: str) -> tuple[str | None, str | None]:
    from nightfold.cube.net import parse_net
    from nightfold.cube.notation import parse_turns

    try:
        parse_turns(text)
    except NightfoldError:
        if len(text.replace(" ", "")) < 30:
            raise
        return None, str(parse_net(text))
    return text, None


def _memo(edges: str | None, corners: str | None) -> dict[str, str] | None:
    found = {name: memo for name, memo in (("edges", edges), ("corners", corners)) if memo is not None}
    return found or None
