"""An inquest into an attempt of the logbook: held by the solver's own chances, and kept with the attempt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from nightfold.practice.attempts import mistakes_of
from nightfold.practice.errors import RecordError
from nightfold.practice.learning import own_priors
from nightfold.practice.records import Attempt, AttemptCube

if TYPE_CHECKING:
    from nightfold.blind.plan import Plan
    from nightfold.coach.inquest import Verdict
    from nightfold.practice.logbook import Logbook


def examine(
    book: Logbook,
    attempt: Attempt,
    plan: Plan,
    *,
    cube: AttemptCube | None = None,
    memo: Mapping[str, str | Sequence[str]] | None = None,
    final: str | None = None,
    left: str | None = None,
    performed: str | None = None,
    **asked: Any,
) -> Verdict:
    """What went wrong in a kept attempt at the cube that ``plan`` was made for; its mistakes are kept.

    ``cube`` is the one of many that it was.  The memo is the one that is kept, unless another is told.  What came out
    is told in one way, as for ``examine_attempt``, which ``asked`` is handed on to; if it is not told, the record must
    know it.  The cube that came out, another memo and the mistakes are kept in one step.  Raises NightfoldError.
    """
    from nightfold.coach.attempt import examine_attempt
    from nightfold.cube.net import write_net
    from nightfold.cube.notation import invert
    from nightfold.cube.state import Cube

    known = attempt if cube is None else cube
    written: dict[str, str] | None = None
    if memo is not None:
        written = {orbit: letters if isinstance(letters, str) else " ".join(letters) for orbit, letters in memo.items()}
    if (final, left, performed) == (None, None, None) and (final := known.final) is None:
        raise RecordError("nothing is known of the cube that came out; paint it, type its net, or say what is left")
    verdict = examine_attempt(
        plan,
        dict(known.memo) if memo is None else memo,
        final=final,
        left=left,
        performed=performed,
        priors=own_priors(book, attempt.solver, attempt.demo, but=attempt),
        **asked,
    )
    number = None if cube is None else cube.number
    out = final
    if final is None and verdict.finish is not None:
        out = write_net(Cube.solved(plan.cube.size).apply(invert(verdict.finish)))
    mistakes = mistakes_of(attempt, verdict, cube=number)
    book.keep_inquest(attempt.id, mistakes, cube=number, final=out, memo=written)
    return verdict
