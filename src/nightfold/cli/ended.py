"""An attempt that ended, as the terminal tells it: its outcome, its times, what it counts with, and what went wrong."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from nightfold.cli.common import LAMP, QUIET, console, print_hanging, print_json, read_text, visible
from nightfold.cube.errors import NightfoldError
from nightfold.practice.results import Outcome, check_time, read_clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nightfold.blind.plan import Plan
    from nightfold.coach.inquest import Verdict
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.records import Attempt, AttemptCube, Series


@dataclass(slots=True)
class Asked:
    """What the command was asked, as far as all of it needs that."""

    method: str
    lettering: str | None
    hold: str | None
    solver: str
    note: str | None
    memo: dict[str, str] | None
    as_json: bool
    final: str | None = None
    left: str | None = None
    #: The series that it shall count in, if none of its kind goes on.
    wanted: Series | None = None

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

    @property
    def came_out(self) -> bool:
        """Whether it was told what came out."""
        return self.final is not None or self.left is not None

    def check_what_came_out(self, count: int, words: Sequence[Outcome] | None) -> None:
        """Refuse what would be kept nowhere: what came out of a solved cube, or of which of many."""
        if count > 1 and (self.came_out or self.memo is not None):
            raise NightfoldError(
                "of many cubes say afterwards which one it is about: nightfold inquest --attempt last --cube 2 --left R"
            )
        if self.came_out and words is not None and words[0] is not Outcome.DNF:
            raise NightfoldError(
                "--left and --final tell what came out of a failed attempt; leave them out, or say --outcome dnf"
            )

    def plan(self, scramble: str) -> Plan:
        """The plan for a scramble."""
        from nightfold.blind.plan import make_plan

        return make_plan(scramble, self.method, self.lettering, self.hold)

    def alone(self) -> Asked:
        """The same for another attempt, of which nothing was told."""
        return replace(self, note=None, memo=None, final=None, left=None)


@dataclass(slots=True)
class Ended:
    """An attempt as it came out, with its cubes if they are many, and what inquests found, by the cube's number."""

    attempt: Attempt
    cubes: list[AttemptCube]
    verdicts: dict[int, Verdict] = field(default_factory=dict)


def read_outcomes(told: str, count: int) -> list[Outcome]:
    """How an attempt came out: one outcome for the whole of it, or one for each of many cubes."""
    known = [str(one) for one in Outcome if one is not Outcome.UNFINISHED]
    words = [word.strip() for word in told.split(",")]
    if wrong := [word for word in words if word not in known]:
        raise NightfoldError(f"“{wrong[0][:24]}” is no outcome; say {', '.join(known)}")
    whole = words in (["dnf"], ["dns"])
    if len(words) != count and not whole:
        many = (
            f"{count} cubes need {count} words, as in --outcome {','.join(['solved', 'dnf', *['solved'] * 9][:count])}"
        )
        raise NightfoldError(
            f"{many}; here {'is' if len(words) == 1 else 'are'} {len(words)}"
            if count > 1
            else f"one cube has one outcome; here are {len(words)}"
        )
    if len(words) > 1 and "dns" in words:
        raise NightfoldError("dns is said of a whole attempt, not of one of its cubes; say dnf of a cube left alone")
    return [Outcome(word) for word in words]


def read_times(time: str | None, memo_time: str | None, count: int) -> dict[str, int]:
    """Times as they were taken elsewhere, by the names of their fields."""
    found = {}
    if time is not None:
        found["total_ms"] = read_clock(time)
        check_time(found["total_ms"], count)
    if memo_time is not None:
        found["memo_ms"] = read_clock(memo_time)
    if "memo_ms" in found and found["memo_ms"] > found.get("total_ms", found["memo_ms"]):
        raise NightfoldError(f"memorising took {memo_time}, longer than all of it, {time}")
    return found


def clock_at(moment: datetime) -> str:
    """The time of day, with the day where that is not today."""
    here = moment.astimezone()
    return f"{here:%H:%M}" if here.date() == datetime.now().astimezone().date() else f"{here:%Y-%m-%d %H:%M}"


def examine_cube(
    book: Logbook,
    attempt: Attempt,
    cube: AttemptCube | None,
    memo: dict[str, str] | None,
    final: str | None,
    left: str | None,
) -> Verdict:
    """The inquest into an attempt, or into one of its many cubes; what was told and found is kept."""
    from nightfold.practice.attempts import plan_of
    from nightfold.practice.examining import examine

    return examine(book, attempt, plan_of(attempt, cube), cube=cube, memo=memo, final=final, left=left)


def close(book: Logbook, asked: Asked, ended: Ended) -> None:
    """Hold the inquest where one is to be held, and say what there is to say."""
    if ended.attempt.outcome is Outcome.DNF and not ended.cubes and asked.came_out:
        memo = None if asked.memo is None else dict(ended.attempt.memo) | asked.memo
        ended.verdicts[0] = examine_cube(book, ended.attempt, None, memo, asked.final, asked.left)
    if asked.as_json:
        print_json(_data(book, ended))
    else:
        _print(book, asked, ended)


def _series_of(book: Logbook, ended: Ended) -> Series | None:
    from nightfold.practice.records import Series

    return None if ended.attempt.series is None else book.get(Series, ended.attempt.series)


def _standing(book: Logbook, series: Series) -> Any:
    from nightfold.practice.attempts import standing

    return standing(book.attempts(solver=None, series=series.id, most=None)[::-1], series.kind)


def _called(series: Series) -> str:
    return f"{series.kind}, {visible(series.name)}" if series.name else str(series.kind)


def _data(book: Logbook, ended: Ended) -> dict[str, Any]:
    from nightfold.practice.attempts import multi_result, result_words

    series = _series_of(book, ended)
    multi = multi_result(ended.attempt, ended.cubes) if ended.cubes else None
    return {
        "attempt": ended.attempt.to_dict(),
        "result": str(multi) if multi is not None else result_words(ended.attempt),
        "cubes": [cube.to_dict() for cube in ended.cubes],
        "series": None if series is None else _standing(book, series).to_dict(),
        "inquest": None if 0 not in ended.verdicts else ended.verdicts[0].to_dict(),
    }


def _print(book: Logbook, asked: Asked, ended: Ended) -> None:
    from rich.text import Text

    from nightfold.practice.attempts import multi_result, result_words

    out = console()
    multi = multi_result(ended.attempt, ended.cubes) if ended.cubes else None
    words = result_words(ended.attempt) if multi is None else str(multi)
    points = f"   {multi.points} point{'s' * (multi.points != 1)}" if multi is not None and multi.counts else ""
    out.print(Text.assemble(("result  ", QUIET), (words, LAMP), (points, QUIET)))
    if (series := _series_of(book, ended)) is not None:
        print_hanging(out, f"{_called(series)}: {_standing(book, series).say}", "", "")
    if ended.verdicts:
        from nightfold.cli.inquest import print_verdict

        for number, verdict in ended.verdicts.items():
            out.print()
            if number:
                out.print(Text(f"CUBE {number}", style="bold"))
            print_verdict(out, verdict, asked.memo or {})
    outcomes = [cube.outcome for cube in ended.cubes] or [ended.attempt.outcome]
    if Outcome.DNF in outcomes and not ended.verdicts:
        said = "finds out what went wrong, once you say what came out."
        print_hanging(out, f"{inquest_later(book, ended)} {said}", "", "")


def inquest_later(book: Logbook, ended: Ended) -> str:
    """The command that holds the inquest into an attempt whenever the solver likes to."""
    from shlex import quote

    from nightfold.practice.choosing import LAST, name_of

    which, solver = name_of(book, ended.attempt), ended.attempt.solver
    whose = f" --solver {quote(visible(solver))}" if solver and which == LAST else ""
    return f"nightfold inquest --attempt {which}{whose}{' --cube N' if ended.cubes else ''}"
