"""``nightfold attempt``: a timed attempt from the first look to the verdict, kept in the logbook."""

from __future__ import annotations

from dataclasses import dataclass
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
    print_json,
    read_text,
    visible,
)
from nightfold.cube.errors import NightfoldError
from nightfold.practice.results import Outcome, clock, read_clock, time_limit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from nightfold.blind.plan import Plan
    from nightfold.cli.keys import Keys
    from nightfold.coach.inquest import Verdict
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.records import Attempt, AttemptCube, Series
    from nightfold.practice.timing import Timing

#: What is said once before the clock, and nothing more of it.
CAUTION = "Sit down, clear the table, and let the people round you know before you cover your eyes."
#: How an attempt came out, by the key that says so.
_OUTCOMES = {"s": Outcome.SOLVED, "2": Outcome.PLUS2, "d": Outcome.DNF}
_OUTCOME_WORDS = "s solved   2 one turn away (+2)   d not solved"
_SERIES = ("best-of-3", "mean-of-3", "evening")
#: A clock that was cut off may go on for so long; after that the attempt can only be judged.
_STILL_RUNNING = timedelta(hours=2)


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("attempt")(attempt)


def attempt(
    scramble: Annotated[
        str | None, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes; one is dealt if none is given.")
    ] = None,
    cubes: Annotated[
        int, typer.Option("--cubes", metavar="N", help="So many cubes in one attempt (multi-blind from 2 on).")
    ] = 1,
    series: Annotated[
        str | None,
        typer.Option("--series", metavar="|".join(_SERIES), help="Count the attempt with others of today's."),
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
        str | None, typer.Option("--outcome", metavar="solved|plus2|dnf|dns", help="How it came out, with --time.")
    ] = None,
    edges: MeantEdgesOption = None,
    corners: MeantCornersOption = None,
    final: FinalOption = None,
    left: LeftOption = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="A note to keep with it.")] = "",
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

    The clock starts with memorising. Hold the space bar and let go to start, press it to cover your eyes, and press
    any key to stop. With --time an attempt that was timed otherwise is kept.
    """
    from nightfold.practice.logbook import Logbook

    if not 1 <= cubes <= 200:
        raise NightfoldError(f"{cubes} cubes are no attempt; say 1 to 200")
    if cubes > 1 and scramble is not None:
        raise NightfoldError("many cubes are dealt, not given; leave the scramble out")
    if series is not None and series not in _SERIES:
        raise NightfoldError(f"“{series[:24]}” is no series; say {', '.join(_SERIES)}")
    if name.strip() and series is None:
        raise NightfoldError("--name is that of a series; say which with --series, as in --series evening")
    if cubes > 1 and series not in (None, "evening"):
        raise NightfoldError(f"an attempt at many cubes has points, so it is in no {series}; it may be in an evening")
    asked = _Asked(method, lettering, hold, solver, note, _memo(edges, corners), as_json)
    asked.check(scramble or "")
    asked.check_final(final, left)
    wanted = _outcome(outcome, time)
    with Logbook.open() as book:
        for warning in book.warnings:
            print_hanging(console(), warning, "", "")
        asked.series = _series(book, series, " ".join(name.split()), solver)
        ended = (
            _timed(book, asked, scramble, cubes, seed, enter, blank, bell)
            if wanted is None
            else _kept(book, asked, scramble, cubes, seed, wanted, time, memo_time)
        )
        if ended is not None:
            _close(book, asked, ended)


@dataclass(slots=True)
class _Asked:
    """What the command was asked, as far as all of it needs that."""

    method: str
    lettering: str | None
    hold: str | None
    solver: str
    note: str
    memo: dict[str, str] | None
    as_json: bool
    final: str | None = None
    left: str | None = None
    series: Series | None = None

    def check(self, scramble: str) -> None:
        """Refuse what cannot be read before anything is kept: scramble, method, letters, hold and memo."""
        from nightfold.coach.memo import read_memo

        plan = self.plan(scramble)
        for orbit, memo in (self.memo or {}).items():
            read_memo(memo, plan.method.way(orbit).orbit, plan.lettering)

    def check_final(self, final: str | None, left: str | None) -> None:
        """What came out, told in one way at most."""
        from nightfold.cube.net import parse_net
        from nightfold.cube.notation import parse_turns, write

        if final is not None and left is not None:
            raise NightfoldError("say what came out in one way: --final with its net, or --left with turns")
        self.final = None if final is None else str(parse_net(read_text(final, "net")))
        self.left = None if left is None else write(parse_turns(left))

    def plan(self, scramble: str) -> Plan:
        """The plan for a scramble."""
        from nightfold.blind.plan import make_plan

        return make_plan(scramble, self.method, self.lettering, self.hold)

    def fields(self, number: int | None) -> dict[str, Any]:
        """What the record of the attempt holds besides its cube and its times."""
        more: dict[str, Any] = {"solver": self.solver, "note": self.note, "method": self.method}
        if self.series is not None:
            more |= {"series": self.series.id, "number": number}
        return more


@dataclass(slots=True)
class _Ended:
    """An attempt as it came out, with its cubes if they are many."""

    attempt: Attempt
    cubes: list[AttemptCube]
    verdict: Verdict | None = None


# --- beginning ---------------------------------------------------------------------------------------------------


def _scrambles(asked: _Asked, scramble: str | None, count: int, seed: int | None) -> list[str]:
    from nightfold.blind.dealing import Dealer
    from nightfold.blind.method import load_method

    if scramble is not None:
        return [scramble]
    dealer = Dealer(blind=True, method=load_method(asked.method), lettering=asked.lettering, seed=seed)
    return [str(dealer.deal()) for _ in range(count)]


def _begin(
    book: Logbook, asked: _Asked, scrambles: Sequence[str], started: datetime, **more: Any
) -> tuple[Attempt, list[AttemptCube]]:
    """The records of an attempt that begins."""
    from nightfold.practice.attempts import BLIND_EVENT, begun, begun_many

    number = None
    if asked.series is not None:
        number = 1 + len(book.attempts(solver=asked.solver, series=asked.series.id, most=None))
    fields = asked.fields(number) | more
    if len(scrambles) == 1:
        record = begun(asked.plan(scrambles[0]), scrambles[0], started=started, event=BLIND_EVENT, **fields)
        return record, []
    return begun_many(scrambles, asked.plan(scrambles[0]), started=started, **fields)


def _series(book: Logbook, kind: str | None, name: str, solver: str) -> Series | None:
    """The series that the attempt belongs to: the one of its kind that is open today, else a new one.

    If a name is told, it is the one of that name, or one without a name, which then takes it.
    """
    from dataclasses import replace

    from nightfold.practice.attempts import standing
    from nightfold.practice.records import Series, SeriesKind

    if kind is None:
        return None
    wanted, today = SeriesKind(kind), datetime.now().astimezone().date()
    found = [
        one
        for one in book.series(solver=solver, most=20)
        if one.kind is wanted and one.started.astimezone().date() == today and (not name or one.name in (name, ""))
    ]
    for known in sorted(found, key=lambda one: bool(name) and one.name != name):
        attempts = book.attempts(solver=solver, series=known.id, most=None)
        if not standing(attempts[::-1], wanted).complete:
            if name and not known.name:
                known = replace(known, name=name)
                book.put(known)
            return known
    made = Series(solver=solver, kind=wanted, name=name, started=datetime.now(UTC))
    book.add_series(made)
    return made


# --- an attempt that was timed elsewhere ---------------------------------------------------------------------------


def _outcome(outcome: str | None, time: str | None) -> Outcome | None:
    """The outcome of an attempt that was timed elsewhere; None where it is to be timed here."""
    if outcome is None:
        if time is not None:
            raise NightfoldError("--time needs --outcome: solved, plus2 (one turn away) or dnf")
        return None
    words = [str(one) for one in Outcome if one is not Outcome.UNFINISHED]
    if outcome not in words:
        raise NightfoldError(f"“{outcome[:24]}” is no outcome; say {', '.join(words)}")
    return Outcome(outcome)


def _kept(
    book: Logbook,
    asked: _Asked,
    scramble: str | None,
    cubes: int,
    seed: int | None,
    outcome: Outcome,
    time: str | None,
    memo_time: str | None,
) -> _Ended:
    from nightfold.practice.attempts import judged

    if cubes > 1:
        raise NightfoldError("many cubes are judged one by one; time them here, without --outcome")
    if scramble is None and seed is None:
        raise NightfoldError("an attempt that was timed elsewhere needs its scramble")
    total = None if time is None else read_clock(time)
    memo = None if memo_time is None else read_clock(memo_time)
    if total is not None and memo is not None and memo > total:
        raise NightfoldError(f"memorising took {memo_time}, longer than all of it, {time}")
    (given,) = _scrambles(asked, scramble, 1, seed)
    started = datetime.now(UTC) - timedelta(milliseconds=total or 0)
    record, _ = _begin(book, asked, [given], started, total_ms=total, memo_ms=memo)
    record = judged(record, outcome, memo=asked.memo)
    book.add_attempt(record)
    return _Ended(record, [])


# --- an attempt that is timed here -----------------------------------------------------------------------------------


def _timed(
    book: Logbook,
    asked: _Asked,
    scramble: str | None,
    count: int,
    seed: int | None,
    enter: bool,
    blank: bool,
    bell: bool,
) -> _Ended | None:
    from rich.text import Text

    from nightfold.cli.clockface import ClockFace
    from nightfold.cli.keys import keys, now_ms
    from nightfold.practice.timing import Timing

    if asked.as_json:
        raise NightfoldError("--json answers programs, which cannot hold a key; give --time and --outcome with it")
    out = console()
    with keys() as pressed:
        found = _cut_off(book, asked, out, pressed)
        scrambles = [] if found else _scrambles(asked, scramble, count, seed)
        offset = datetime.now(UTC) - timedelta(milliseconds=now_ms())
        state: dict[str, Any] = {"attempt": found.attempt, "cubes": found.cubes} if found else {}
        timing = Timing()
        if found is not None:
            started = (found.attempt.started - offset) // timedelta(milliseconds=1)
            memo = found.attempt.memo_ms
            timing = Timing(started, None if memo is None else started + memo)
        else:
            print_hanging(out, CAUTION, "", "")
            out.print()
            for number, one in enumerate(scrambles, start=1):
                lead = f"{number}  " if count > 1 else "scramble  "
                print_hanging(out, Text.assemble((lead, QUIET), (one, LAMP)), "", " " * len(lead))
            out.print()

        def changed(at: Timing) -> None:
            if "attempt" not in state:
                started = offset + timedelta(milliseconds=at.started or 0)
                state["attempt"], state["cubes"] = _begin(book, asked, scrambles, started)
                book.add_attempt(state["attempt"], state["cubes"])
                return
            times = {"memo_ms": None if at.covered is None else at.memo_ms(0)}
            if at.stopped is not None:
                times |= {"total_ms": at.total_ms(0)}
            state["attempt"] = book.change_attempt(state["attempt"].id, **times)

        limit = 1000 * time_limit(count) if count > 1 else None
        face = ClockFace(pressed, out, changed, blank, bell, limit)
        ended = face.run(enter, timing)
        if ended is None:
            out.print("not started; nothing was kept")
            return None
        record: Attempt = state["attempt"]
        out.print(Text.assemble(("time  ", QUIET), (clock((record.total_ms or 0) // 10), LAMP), _memo_words(record)))
        out.print()
        pressed.drain()
        result = _Ended(record, state["cubes"])
        _judge(book, asked, out, pressed, result)
    _ask_what_came_out(asked, out, result)
    return result


def _memo_words(record: Attempt) -> tuple[str, str]:
    return (f"   memo {clock(record.memo_ms // 10)}" if record.memo_ms is not None else "", QUIET)


def _cut_off(book: Logbook, asked: _Asked, out: Console, pressed: Keys) -> _Ended | None:
    """An attempt whose clock was cut off, if the solver wants to go on with it; else it is kept as unfinished."""
    from nightfold.practice.attempts import running, running_ms

    now = datetime.now(UTC)
    unfinished = book.attempts(solver=asked.solver, outcomes=[Outcome.UNFINISHED], most=5)
    found = next((one for one in unfinished if running(one) and now - one.started < _STILL_RUNNING), None)
    if found is None:
        return None
    took = clock(running_ms(found, now) // 10)
    print_hanging(out, f"An attempt was cut off; its clock has run for {took} since.", "", "")
    out.print("g go on with it   d it is a DNF   k keep it as unfinished")
    while True:
        key = pressed.read(60)
        if key == "g":
            return _Ended(found, book.cubes(found.id))
        if key == "d":
            book.change_attempt(found.id, outcome=Outcome.DNF, total_ms=running_ms(found, datetime.now(UTC)))
            return None
        if key == "k":
            book.change_attempt(found.id, total_ms=running_ms(found, datetime.now(UTC)))
            return None


def _judge(book: Logbook, asked: _Asked, out: Console, pressed: Keys, ended: _Ended) -> None:
    """Ask how each cube came out, and keep the answers as they come."""
    from dataclasses import replace

    from nightfold.practice.attempts import multi_outcome

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
        out.print(f"{cube.number:>3}  ", end="")
        outcome = _key_outcome(pressed)
        out.print(str(outcome))
        ended.cubes[at] = replace(cube, outcome=outcome)
        book.put(ended.cubes[at])
    ended.attempt = book.change_attempt(ended.attempt.id, outcome=multi_outcome(ended.attempt, ended.cubes))


def _key_outcome(pressed: Keys) -> Outcome:
    while True:
        if (found := _OUTCOMES.get(pressed.read(60) or "")) is not None:
            return found


def _ask_what_came_out(asked: _Asked, out: Console, ended: _Ended) -> None:
    """Have a failed solver say what lies on the table, if they like to; whatever cannot be read is asked for again."""
    if ended.cubes or ended.attempt.outcome is not Outcome.DNF or ended.attempt.memo_ms is None:
        return
    if asked.final is not None or asked.left is not None:
        return
    print_hanging(
        out,
        "What would still solve the cube in your hand? Type turns; or the 54 colours row by row (U, then L F R B, "
        "then D); or just Enter, and say it later with nightfold inquest.",
        "",
        "",
    )
    while True:
        out.print("left or net: ", end="")
        try:
            text = input().strip()
        except EOFError:
            return
        if not text:
            return
        try:
            _understood(asked, text)
        except NightfoldError as trouble:
            print_hanging(out, f"{visible(str(trouble))}; try again, or just Enter", "", "")
            continue
        return


def _understood(asked: _Asked, text: str) -> None:
    from nightfold.cube.net import parse_net
    from nightfold.cube.notation import parse_turns

    try:
        parse_turns(text)
    except NightfoldError:
        if len(text.replace(" ", "")) < 30:
            raise
        asked.final = str(parse_net(text))
    else:
        asked.left = text


# --- the end -------------------------------------------------------------------------------------------------------


def _memo(edges: str | None, corners: str | None) -> dict[str, str] | None:
    found = {name: memo for name, memo in (("edges", edges), ("corners", corners)) if memo is not None}
    return found or None


def _close(book: Logbook, asked: _Asked, ended: _Ended) -> None:
    """Hold the inquest where one is to be held, and say what there is to say."""
    from nightfold.practice.attempts import plan_of
    from nightfold.practice.examining import examine

    if ended.attempt.outcome is Outcome.DNF and not ended.cubes and (asked.final or asked.left):
        plan = plan_of(ended.attempt)
        ended.verdict = examine(book, ended.attempt, plan, memo=asked.memo, final=asked.final, left=asked.left)
    if asked.as_json:
        print_json(_data(book, asked, ended))
    else:
        _print(book, asked, ended)


def _standing(book: Logbook, asked: _Asked) -> Any:
    from nightfold.practice.attempts import standing

    if asked.series is None:
        return None
    return standing(book.attempts(solver=asked.solver, series=asked.series.id, most=None)[::-1], asked.series.kind)


def _called(series: Series | None) -> str:
    if series is None:
        return ""
    return f"{series.kind}, {visible(series.name)}" if series.name else str(series.kind)


def _data(book: Logbook, asked: _Asked, ended: _Ended) -> dict[str, Any]:
    from nightfold.practice.attempts import multi_result, result_words

    standing = _standing(book, asked)
    multi = multi_result(ended.attempt, ended.cubes) if ended.cubes else None
    return {
        "attempt": ended.attempt.to_dict(),
        "result": str(multi) if multi is not None else result_words(ended.attempt),
        "cubes": [cube.to_dict() for cube in ended.cubes],
        "series": None if standing is None else standing.to_dict(),
        "inquest": None if ended.verdict is None else ended.verdict.to_dict(),
    }


def _print(book: Logbook, asked: _Asked, ended: _Ended) -> None:
    from rich.text import Text

    from nightfold.practice.attempts import multi_result, result_words

    out = console()
    if ended.cubes:
        multi = multi_result(ended.attempt, ended.cubes)
        words = "DNF" if multi is None else str(multi)
        points = f"   {multi.points} point{'s' * (multi.points != 1)}" if multi is not None and multi.counts else ""
    else:
        words, points = result_words(ended.attempt), ""
    out.print(Text.assemble(("result  ", QUIET), (words, LAMP), (points, QUIET)))
    if (standing := _standing(book, asked)) is not None:
        print_hanging(out, f"{_called(asked.series)}: {standing.say}", "", "")
    if ended.verdict is not None:
        from nightfold.cli.inquest import print_verdict

        out.print()
        print_verdict(out, ended.verdict, asked.memo or {})
    elif ended.attempt.outcome is Outcome.DNF and not ended.cubes:
        print_hanging(out, "nightfold inquest finds out what went wrong, once you say what came out.", "", "")
