"""Attempts as records: begun, judged, with the mistakes found in them; and what they make together.

Everything here takes records and gives records; ``Logbook`` keeps them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from nightfold.practice.errors import RecordError
from nightfold.practice.records import Attempt, AttemptCube, Mistake, Series, SeriesKind, Source
from nightfold.practice.results import MultiResult, Outcome, best, check_time, clock, mean, result_of

if TYPE_CHECKING:
    from nightfold.blind.plan import Plan
    from nightfold.coach.inquest import Verdict
    from nightfold.coach.marking import Marking

#: The WCA's names of the blind events, by what Nightfold is asked for.
BLIND_EVENT, MULTI_EVENT = "333bf", "333mbf"
#: A series goes on while its last attempt ended less than so long ago, whatever midnight says.
SERIES_GAP = timedelta(hours=6)
#: For so long a solver still knows how an attempt came out.
_STILL_KNOWN = timedelta(days=1)


def told_of(plan: Plan) -> dict[str, Any]:
    """What an attempt's record tells of the plan, by the names of its fields."""
    from nightfold.blind.features import features_of
    from nightfold.blind.hold import colour_name

    found = {name: wish[0] for name, wish in features_of(plan).wishes.items() if isinstance(wish, tuple)}
    return {
        "hold": f"{colour_name(plan.held.top)},{colour_name(plan.held.front)}",
        "method": plan.method.name,
        "lettering": plan.lettering.name,
        **{name: found[name] for name in ("edge_letters", "corner_letters", "breaks", "flipped", "twisted")},
        "parity": plan.parity,
        "cycles": sum(len(reading.cycles) for reading in plan.orbits),
        "turns": len(plan.solution),
    }


def breaks_of(plan: Plan) -> str:
    """The breaks of a plan as a choice of one's own, which makes the same plan again whatever else changes."""
    chosen = {
        reading.orbit.name: " ".join(cycle.letters[0] for cycle in reading.cycles if cycle.kind != "buffer")
        for reading in plan.orbits
    }
    return "choose:" + ";".join(f"{orbit}={letters}" for orbit, letters in chosen.items() if letters)


def begun(plan: Plan | None, scramble: str, *, started: datetime | None = None, **more: Any) -> Attempt:
    """The record of an attempt whose clock starts now, or at ``started``.

    ``plan`` is what Nightfold would do with the cube, None where it knows no plan (many cubes, other puzzles).
    ``more`` are further fields, such as the file of a method that no name leads to.  Raises RecordError.
    """
    fields = {} if plan is None else told_of(plan)
    return Attempt(**{"scramble": scramble, "started": started or datetime.now(UTC), **fields, **more})


def begun_many(scrambles: Sequence[str], plan: Plan | None = None, **more: Any) -> tuple[Attempt, list[AttemptCube]]:
    """The records of an attempt at many cubes whose clock starts now, and of its cubes; ``more`` as for ``begun``.

    ``plan`` is that of any of the cubes: all of them are read in the same hold, by the same method and letters.
    """
    fields: dict[str, Any] = {"event": MULTI_EVENT}
    if plan is not None:
        told = told_of(plan)
        fields |= {name: told[name] for name in ("hold", "method", "lettering")}
    attempt = begun(None, "", **{**fields, **more})
    return attempt, [
        AttemptCube(attempt=attempt.id, number=number, scramble=scramble)
        for number, scramble in enumerate(scrambles, start=1)
    ]


def running(attempt: Attempt) -> bool:
    """Whether the clock of an attempt runs, or ran when everything was cut off."""
    return attempt.outcome is Outcome.UNFINISHED and attempt.total_ms is None


def awaits_judgement(attempt: Attempt, now: datetime) -> bool:
    """Whether an attempt's clock was stopped a day ago at most, and nobody has said how it came out."""
    stopped = attempt.outcome is Outcome.UNFINISHED and attempt.total_ms is not None
    return stopped and now - attempt.started < _STILL_KNOWN


def running_ms(attempt: Attempt, now: datetime) -> int:
    """How long the clock of a running attempt has run: nobody has stopped it, so all the while counts."""
    return max(0, (now - attempt.started) // timedelta(milliseconds=1))


def judged(
    attempt: Attempt,
    outcome: Outcome | str,
    *,
    memo: Mapping[str, str | Sequence[str]] | None = None,
    final: str | None = None,
    **more: Any,
) -> Attempt:
    """The attempt with its outcome, the memo as it was written, and the net of the cube that came out.

    Raises RecordError for an outcome that the attempt cannot have, ResultError for a time that cannot be.
    """
    try:
        outcome = Outcome(outcome)
    except ValueError:
        raise RecordError(f"“{str(outcome)[:40]}” is no outcome; an attempt is {', '.join(Outcome)}") from None
    changed = replace(attempt, outcome=outcome, **more)
    if outcome in (Outcome.SOLVED, Outcome.PLUS2):
        if changed.total_ms is None:
            raise RecordError("a solved attempt needs its time; enter it, or mark the attempt DNF")
        check_time(changed.total_ms)
    if memo is not None:
        written = {orbit: letters if isinstance(letters, str) else " ".join(letters) for orbit, letters in memo.items()}
        changed = replace(changed, memo=written)
    return changed if final is None else replace(changed, final=final)


def plan_of(attempt: Attempt, cube: AttemptCube | None = None) -> Plan:
    """The plan of an attempt's cube, or of one of its many, made anew from what its record tells.

    Raises NightfoldError where its method or lettering is there no more, or it is no attempt at one 3x3x3.
    """
    from nightfold.blind.plan import make_plan

    if not attempt.method:
        raise RecordError("this attempt tells no method, so there is no plan to hold it against")
    return make_plan(
        attempt.scramble if cube is None else cube.scramble,
        attempt.method,
        attempt.lettering or None,
        attempt.hold or None,
        attempt.breaks_policy or None,
    )


def mistakes_of(
    attempt: Attempt, verdict: Verdict, found: datetime | None = None, cube: int | None = None
) -> list[Mistake]:
    """The mistakes that an inquest into an attempt found, each with the probability of its explanation.

    ``cube`` is the number of the cube they were made at, where there were many; what is told of them names it.
    """
    found = found or datetime.now(UTC)
    records = []
    where = {} if cube is None else {"cube": cube}
    for number, explanation in enumerate(verdict.explanations):
        # One of many cubes is no attempt that would have been solved but for it.
        single = cube is None and len({mistake.kind for mistake in explanation.mistakes}) == 1
        for at, mistake in enumerate(explanation.mistakes):
            records.append(
                Mistake(
                    solver=attempt.solver,
                    attempt=attempt.id,
                    found=found,
                    source=Source.INQUEST,
                    explanation=number,
                    probability=min(1.0, max(0.0, explanation.probability)),
                    alone=single and at == 0,
                    kind=mistake.kind,
                    orbit=mistake.orbit,
                    at=mistake.at,
                    letter=mistake.letter,
                    said={"say": mistake.say, "felt": mistake.felt, "hint": mistake.hint, **where},
                    demo=attempt.demo,
                )
            )
    return records


def faults_of(
    marking: Marking,
    *,
    solver: str = "",
    attempt: str | None = None,
    run: str | None = None,
    found: datetime | None = None,
) -> list[Mistake]:
    """The faults that a marking found, as records."""
    found = found or datetime.now(UTC)
    return [
        Mistake(
            solver=solver,
            attempt=attempt,
            run=run,
            found=found,
            source=Source.MARKING,
            kind=fault.kind,
            orbit=marked.orbit.name,
            at=fault.at,
            letter=fault.letter,
            said={"say": fault.say, "expected": list(fault.expected)},
        )
        for marked in marking.orbits
        for fault in marked.faults
    ]


@dataclass(frozen=True, slots=True)
class Standing:
    """What the attempts of a series make together.

    ``results`` are hundredths of a second, None where an attempt is none; ``best`` and ``mean`` None where there is
    none (yet).  ``complete`` tells whether all attempts of the series are done, ``many`` how many there were at many
    cubes, which have points and are left out.
    """

    kind: SeriesKind
    results: tuple[int | None, ...]
    best: int | None
    mean: int | None
    complete: bool
    many: int = 0

    @property
    def say(self) -> str:
        """The standing in a sentence or two."""
        at_many = f"{self.many} attempt{'s' * (self.many != 1)} at many cubes." if self.many else ""
        if not self.results:
            return at_many or "No attempt yet."
        best = "DNF" if self.best is None else clock(self.best)
        if self.complete:
            return f"Best: {best}. Mean of 3: {'DNF' if self.mean is None else clock(self.mean)}."
        parts = ["None solved yet." if self.best is None else f"Best: {best}."]
        if self.kind in _OF_THREE:
            parts.insert(0, f"{len(self.results)} of 3.")
            if self.kind is SeriesKind.MEAN_OF_3 and None in self.results:
                parts.append("The mean is a DNF.")
        return " ".join([*parts, *filter(None, [at_many])])

    def to_dict(self) -> dict[str, Any]:
        """The standing as plain data."""
        return {
            "results": list(self.results),
            "best": self.best,
            "mean": self.mean,
            "complete": self.complete,
            "say": self.say,
        }


_OF_THREE = (SeriesKind.BEST_OF_3, SeriesKind.MEAN_OF_3)


def standing(attempts: Sequence[Attempt], kind: SeriesKind = SeriesKind.BEST_OF_3) -> Standing:
    """What attempts make together, in their order; unfinished ones, and those at many cubes, are not counted.

    A best or a mean of 3 is complete with three attempts; other series never are.
    """
    ended = [attempt for attempt in attempts if attempt.outcome is not Outcome.UNFINISHED]
    done = [attempt for attempt in ended if attempt.event != MULTI_EVENT]
    results = tuple(result_of(attempt.outcome, attempt.total_ms) for attempt in done)
    return Standing(
        kind,
        results,
        best(results),
        mean(results) if len(results) == 3 else None,
        kind in _OF_THREE and len(results) >= 3,
        len(ended) - len(done),
    )


def goes_on(series: Series, attempts: Sequence[Attempt], now: datetime) -> bool:
    """Whether the next attempt still counts with these: they are not complete, and the last is not long ago."""
    ends = [attempt.started + timedelta(milliseconds=attempt.total_ms or 0) for attempt in attempts]
    return now - max([series.started, *ends]) < SERIES_GAP and not standing(attempts, series.kind).complete


def multi_result(attempt: Attempt, cubes: Sequence[AttemptCube]) -> MultiResult | None:
    """The score of a multi-blind attempt; None while a cube is not judged or the clock has not stopped.

    An attempt that was called off (DNF, DNS) is none either.  Raises ResultError for fewer than two cubes.
    """
    unjudged = any(cube.outcome is Outcome.UNFINISHED for cube in cubes)
    if attempt.total_ms is None or unjudged or attempt.outcome in (Outcome.DNF, Outcome.DNS):
        return None
    solved = [cube for cube in cubes if cube.outcome in (Outcome.SOLVED, Outcome.PLUS2)]
    penalties = sum(cube.outcome is Outcome.PLUS2 for cube in solved)
    return MultiResult(len(cubes), len(solved), attempt.total_ms, penalties)


def multi_outcome(attempt: Attempt, cubes: Sequence[AttemptCube]) -> Outcome:
    """How an attempt at many cubes ended: solved as far as it counts, else DNF; unfinished while it has no score.

    Raises ResultError for fewer than two cubes.
    """
    found = multi_result(replace(attempt, outcome=Outcome.UNFINISHED), cubes)
    if found is None:
        return Outcome.UNFINISHED
    return Outcome.SOLVED if found.counts else Outcome.DNF


def result_words(attempt: Attempt) -> str:
    """The result of an attempt as it is written: ``1:23.45``, ``1:25.45 (with +2)``, ``DNF (1:23.45)``."""
    ms = attempt.total_ms
    match attempt.outcome:
        case Outcome.UNFINISHED:
            return "unfinished"
        case Outcome.DNS:
            return "DNS"
        case Outcome.DNF:
            return "DNF" if ms is None else f"DNF ({clock(result_of(Outcome.SOLVED, ms) or 0)})"
    result = result_of(attempt.outcome, ms) or 0
    return clock(result) + (" (with +2)" if attempt.outcome is Outcome.PLUS2 else "")
