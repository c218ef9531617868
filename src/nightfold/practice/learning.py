"""What the inquest learns from a solver's own mistakes, and from when on: the solver may have it begin afresh."""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, date, datetime, timedelta

from nightfold.practice.attempts import MULTI_EVENT
from nightfold.practice.errors import LogbookError
from nightfold.practice.fields import Moment
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Solver, Source, day_of, id_of
from nightfold.practice.tallies import planned
from nightfold.practice.tendencies import Exposure, factors

#: Words for ``--learn-from`` and the like: from this moment on, and from the first attempt on.
NOW, ALL = "now", "all"
_MOMENT = Moment()


def learns_from(book: Logbook, solver: str = "") -> datetime | None:
    """The moment from which a solver's mistakes shift the chances of their inquests; None if all of them do."""
    kept = book.fact(_fact(solver))
    return None if kept is None else _MOMENT.read(kept)


def learn_from(book: Logbook, moment: datetime | None, solver: str = "") -> None:
    """Have the mistakes found from a moment on shift a solver's chances, or all if None; none of them is removed."""
    book.set_fact(_fact(solver), None if moment is None else _MOMENT.write(_MOMENT.check(moment)))


def moment_of(text: str, now: datetime | None = None) -> datetime | None:
    """The moment that ``now``, a day as in 2026-03-05 (its midnight here) or ``all`` (None) tells.

    Raises LogbookError for any other text, and for a day to come.
    """
    if text == ALL:
        return None
    if text == NOW:
        return now or datetime.now(UTC)
    try:
        moment = datetime.combine(date.fromisoformat(text), datetime.min.time()).astimezone()
    except (ValueError, OverflowError):
        raise LogbookError(
            f"“{text[:20]}” is no time to learn from; say {NOW}, {ALL} or a day as in 2026-03-05"
        ) from None
    if moment > (now or datetime.now(UTC)):
        raise LogbookError(f"{text} is still to come, so nothing would be learnt; say {NOW}, {ALL} or a day that was")
    return moment


def own_priors(book: Logbook, solver: str = "", demo: bool = False, but: Attempt | None = None) -> dict[str, float]:
    """By what a solver's own mistakes multiply the chances of the inquest's catalogue; see ``tendencies.factors``.

    Mistakes found and attempts begun before ``learns_from`` are left out, and so is the attempt ``but``, into which an
    inquest is held again: what was found in it is no evidence for itself.  Attempts at many cubes are left out too,
    since nobody knows how often mistakes could have happened in them.
    """
    moment = None if demo else learns_from(book, solver)
    since: str | None = None
    seen: defaultdict[str, float] = defaultdict(float)
    exposure = Exposure()
    if moment is not None:
        # The kept summaries know days; of the day on which it began afresh the records themselves are counted.
        day, end = day_of(moment), moment + timedelta(days=2)
        since = (date.fromisoformat(day) + timedelta(days=1)).isoformat()
        for attempt in book.attempts(solver=solver, since=moment, until=end, demo=demo, most=None):
            if attempt.day <= day:
                exposure += Exposure(*planned(attempt))
        found = book.mistakes(solver=solver, source=Source.INQUEST, since=moment, until=end, demo=demo, most=None)
        for mistake in found:
            if mistake.day <= day:
                seen[mistake.kind] += mistake.probability
    for tally in book.mistake_tallies("kind", solver=solver, source=Source.INQUEST, demo=demo, since=since):
        seen[tally.key[0]] += tally.weight
    exposure += book.exposure(solver=solver, since=since, demo=demo)
    for kind, weight in book.weights_at_many(solver=solver, since=moment, demo=demo).items():
        seen[kind] = max(0.0, seen[kind] - weight)
    if but is not None and but.event != MULTI_EVENT:
        if moment is None or but.started >= moment:
            exposure -= Exposure(*planned(but))
        for mistake in book.mistakes(attempts=[but.id], solver=solver, source=Source.INQUEST, since=moment, most=None):
            seen[mistake.kind] = max(0.0, seen[mistake.kind] - mistake.probability)
    return factors(seen, exposure)


def _fact(solver: str) -> str:
    """What the moment is kept under; by the solver's id, since a name may be as long as that of a fact."""
    return f"learns from, {id_of(Solver.noun, solver)}"
