"""Results by the competition rules: what a clock's reading counts as, means, and scores of many cubes.

Clauses are those of the WCA Regulations, version of 1 January 2024, retold.  For a real competition the regulations
then in force and the delegate decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from nightfold.cube.errors import NightfoldError

#: Ten minutes in hundredths of a second: from here on results are whole seconds (9f2).
_TEN_MINUTES = 10 * 60 * 100
#: The penalty for a puzzle one turn from solved, in milliseconds (10e).
PENALTY_MS = 2_000
#: Fewest cubes of a multi-blind attempt (H1a).
FEWEST_CUBES = 2
#: Nobody is at one cube for longer than a day.
_LONGEST_MS = 24 * 60 * 60 * 1000


class ResultError(NightfoldError):
    """A time, an outcome or a score that cannot be."""


class Outcome(StrEnum):
    """How an attempt ended."""

    SOLVED = "solved"
    #: One turn away from solved, or misaligned by as much: two seconds are added (10e, 10f).
    PLUS2 = "plus2"
    #: Did not finish: more than one turn away, stopped, or against the rules.
    DNF = "dnf"
    #: Did not start.
    DNS = "dns"
    #: Neither ended nor given up: the clock may still be running.
    UNFINISHED = "unfinished"


def as_result(ms: int) -> int:
    """A measured time of ``ms`` milliseconds as a result in hundredths of a second.

    Under ten minutes it is cut to the hundredth (9f1), from there on rounded to the second, halves up (9f2).  Raises
    ResultError for a negative time.
    """
    if ms < 0:
        raise ResultError(f"a time of {ms} milliseconds is less than nothing; times are counted from 0")
    hundredths = ms // 10
    return hundredths if hundredths < _TEN_MINUTES else _half_up(Fraction(hundredths, 100)) * 100


def result_of(outcome: Outcome, ms: int | None) -> int | None:
    """The result of one attempt in hundredths of a second; None if it is none (DNF, DNS, unfinished).

    Raises ResultError where a solved cube has no time.
    """
    if outcome not in (Outcome.SOLVED, Outcome.PLUS2):
        return None
    if ms is None:
        raise ResultError("a solved attempt needs its time; enter it, or mark the attempt DNF")
    return as_result(ms + (PENALTY_MS if outcome is Outcome.PLUS2 else 0))


def best(results: Iterable[int | None]) -> int | None:
    """The best of several results, as blindfolded rounds are ranked by (9b3); None when all failed."""
    return min((result for result in results if result is not None), default=None)


def mean(results: Sequence[int | None]) -> int | None:
    """The mean of three results in hundredths of a second; None when one of them failed (9f11).

    It is made of the results as recorded, and rounded to the hundredth, halves up (9f1), from ten minutes on to the
    second (9f2).  Raises ResultError unless there are three.
    """
    if len(results) != 3:
        raise ResultError(f"a mean of 3 is made of 3 results; here {_are(len(results))}")
    good = [result for result in results if result is not None]
    if len(good) < 3:
        return None
    value = Fraction(sum(good), 3)
    hundredths = _half_up(value)
    return hundredths if hundredths < _TEN_MINUTES else _half_up(value / 100) * 100


@dataclass(frozen=True, slots=True)
class MultiResult:
    """A multi-blind attempt: ``solved`` of ``cubes`` in ``ms`` milliseconds, ``penalties`` of them one turn away.

    ``solved`` counts the cubes that are one turn away; each of them costs two seconds, and these add up (H1d).
    """

    cubes: int
    solved: int
    ms: int
    penalties: int = 0

    def __post_init__(self) -> None:
        if self.cubes < FEWEST_CUBES:
            raise ResultError(f"a multi-blind attempt has at least {FEWEST_CUBES} cubes (H1a); here {_are(self.cubes)}")
        if not 0 <= self.solved <= self.cubes:
            raise ResultError(f"{self.solved} of {self.cubes} cubes cannot be solved; say 0 to {self.cubes}")
        if not 0 <= self.penalties <= self.solved:
            raise ResultError(
                f"{self.penalties} of {self.solved} solved cubes cannot be one turn away; say 0 to {self.solved}"
            )
        if self.ms < 0:
            raise ResultError(f"a time of {self.ms} milliseconds is less than nothing; times are counted from 0")

    @property
    def points(self) -> int:
        """Solved cubes less unsolved ones (9f12c)."""
        return 2 * self.solved - self.cubes

    @property
    def counts(self) -> bool:
        """Whether it is a result at all: not with fewer solved than unsolved, nor with only one solved (9f12c)."""
        return self.points >= 0 and self.solved > 1

    @property
    def seconds(self) -> int:
        """The time with its penalties, rounded to the second, halves up (9f2)."""
        return _half_up(Fraction((self.ms + PENALTY_MS * self.penalties) // 10, 100))

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """What results are ordered by, the best first: points, then time, then fewer unsolved cubes (9f12c)."""
        if not self.counts:
            return 1, 0, 0, 0
        return 0, -self.points, self.seconds, self.cubes - self.solved

    def __str__(self) -> str:
        return f"{self.solved}/{self.cubes} in {whole_clock(self.seconds)}" if self.counts else "DNF"


def time_limit(cubes: int) -> int:
    """Seconds allowed for a multi-blind attempt: ten minutes a cube below six cubes, else an hour (H1b).

    Raises ResultError for fewer than two cubes.
    """
    if cubes < FEWEST_CUBES:
        raise ResultError(f"a multi-blind attempt has at least {FEWEST_CUBES} cubes (H1a); here {_are(cubes)}")
    return 60 * (10 * cubes if cubes < 6 else 60)


def check_time(ms: int, cubes: int = 1) -> None:
    """Refuse a time that no attempt at so many cubes can have taken: none at all, or beyond what is allowed.

    Many cubes have their ``time_limit``; one cube has none but a day.  Raises ResultError.
    """
    if ms < 10:
        raise ResultError("a time of 0.00 cannot be: memorising is part of it (B1a); give the time that the clock said")
    if cubes < FEWEST_CUBES:
        if ms > _LONGEST_MS:
            raise ResultError(f"{clock(as_result(ms))} is longer than a day, and so no time of an attempt at one cube")
    elif ms > 1000 * (limit := time_limit(cubes)):
        raise ResultError(
            f"{cubes} cubes have {whole_clock(limit)} at most (H1b: ten minutes a cube below six, else an hour), "
            f"so {clock(as_result(ms))} cannot be; give the time at which they were stopped"
        )


def clock(hundredths: int) -> str:
    """A result as it is written: ``47.05``, ``1:23.45``, ``12:04``, ``1:00:00``."""
    if hundredths >= _TEN_MINUTES:
        return whole_clock(hundredths // 100)
    seconds, rest = divmod(hundredths, 100)
    minutes, seconds = divmod(seconds, 60)
    return f"{minutes}:{seconds:02}.{rest:02}" if minutes else f"{seconds}.{rest:02}"


def whole_clock(seconds: int) -> str:
    """Whole seconds as they are written: ``0:47``, ``12:04``, ``1:00:00``."""
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"


def read_clock(text: str) -> int:
    """Milliseconds from a time as people write it: ``83.45``, ``1:23.45``, ``12:04``, ``1:00:00``.

    Raises ResultError.
    """
    parts = text.strip().split(":")
    whole, point, rest = parts[-1].partition(".")
    numbers = [*parts[:-1], whole]
    fine = (
        len(numbers) <= 3
        and all(part.isascii() and part.isdigit() and len(part) <= 6 for part in numbers)
        and (not point or (rest.isascii() and rest.isdigit() and len(rest) <= 3))
        and all(len(part) == 2 and int(part) < 60 for part in numbers[1:])
    )
    if not fine:
        raise ResultError(f"“{text}” is no time; write it as 47.05, 1:23.45, 12:04 or 1:00:00")
    seconds = 0
    for part in numbers:
        seconds = 60 * seconds + int(part)
    return 1000 * seconds + int((rest or "0").ljust(3, "0"))


def _half_up(value: Fraction) -> int:
    """The nearest whole number, halves up."""
    return int(value + Fraction(1, 2))


def _are(number: int) -> str:
    return "is 1" if number == 1 else f"are {number}"
