"""An inquest into an attempt of the logbook: held by the solver's own chances, and kept with the attempt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from nightfold.practice.attempts import mistakes_of
from nightfold.practice.errors import RecordError
from nightfold.practice.learning import own_priors
from nightfold.practice.records import Attempt, Source

if TYPE_CHECKING:
    from nightfold.blind.plan import Plan
    from nightfold.coach.inquest import Verdict
    from nightfold.practice.logbook import Logbook


def examine(
    book: Logbook,
    attempt: Attempt,
    plan: Plan,
    *,
    memo: Mapping[str, str | Sequence[str]] | None = None,
    final: str | None = None,
    left: str | None = None,
    performed: str | None = None,
    **asked: Any,
) -> Verdict:
    """What went wrong in a kept attempt at the cube that ``plan`` was made for; its mistakes are kept.

    The memo is the one that the attempt keeps, unless another is told.  What came out is told in one way, as for
    ``examine_attempt``, which ``asked`` is handed on to; if it is not told, the attempt must know it.  The cube that
    came out and another memo are kept with the attempt.  Raises NightfoldError.
    """
    from nightfold.coach.attempt import examine_attempt
    from nightfold.cube.net import write_net
    from nightfold.cube.notation import invert
    from nightfold.cube.state import Cube

    changes: dict[str, Any] = {}
    if memo is not None:
        changes["memo"] = {
            orbit: letters if isinstance(letters, str) else " ".join(letters) for orbit, letters in memo.items()
        }
    if (final, left, performed) == (None, None, None):
        if (final := attempt.final) is None:
            raise RecordError("nothing is known of the cube that came out; paint it, type its net, or say what is left")
    elif final is not None:
        changes["final"] = final
    priors = own_priors(book, attempt.solver, attempt.demo)
    verdict = examine_attempt(
        plan,
        dict(attempt.memo) if memo is None else memo,
        final=final,
        left=left,
        performed=performed,
        priors=priors,
        **asked,
    )
    if final is None and verdict.finish is not None:
        changes["final"] = write_net(Cube.solved(plan.cube.size).apply(invert(verdict.finish)))
    book.change_attempt(attempt.id, **changes)
    book.set_mistakes(attempt.id, Source.INQUEST, mistakes_of(attempt, verdict))
    return verdict
