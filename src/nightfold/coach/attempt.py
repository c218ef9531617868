"""An attempt as a solver tells it: the cube, the memo, and what came out in one of three forms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nightfold.blind.plan import Plan
from nightfold.coach.inquest import Progress, Verdict, came_out, finish_of, hold_inquest, left_over
from nightfold.coach.marking import mark_memo
from nightfold.coach.meant import meant_plan
from nightfold.coach.mistakes import InquestError


def examine_attempt(
    plan: Plan,
    memos: Mapping[str, str | Sequence[str]] | None = None,
    *,
    final: str | None = None,
    left: str | None = None,
    performed: str | None = None,
    mistakes: int = 3,
    top: int = 5,
    priors: Mapping[str, float] | None = None,
    finish: bool = True,
    progress: Progress | None = None,
    threads: int | None = None,
) -> Verdict:
    """Find out which mistakes explain an attempt at the cube that ``plan`` was made for.

    ``memos`` are the memos that were meant, by orbit; for an orbit without one the plan's own reading and other right
    memos are tried.  What came out is exactly one of ``final`` (the net text of the cube, held in any way), ``left``
    (turns that would still solve it, in the hold of the plan) and ``performed`` (the turns that were made, from the
    scrambled cube in that hold).  The rest is as for ``hold_inquest``.

    Raises NightfoldError with one sentence when anything given cannot be used.
    """
    if sum(given is not None for given in (final, left, performed)) != 1:
        raise InquestError(
            "say what came out in one way: its net, turns that would still solve it, or the turns that were made"
        )
    memos = memos or {}
    meant = meant_plan(plan, memos)
    marking = None if meant.solved else mark_memo(plan, memos)
    unknown = [way.orbit.name for way in plan.method.ways if way.orbit.name not in memos]
    if performed is not None:
        from nightfold.coach.performed import judge_turns

        told = judge_turns(
            meant,
            performed,
            other_breaks=unknown,
            mistakes=mistakes,
            priors=priors,
            progress=progress,
            threads=threads,
        )
        turns = finish_of(plan.cube.apply(told.explanations[0].turns)) if finish else None
        return replace(told, marking=marking, finish=turns)
    problem, outcomes = came_out(meant, final) if final is not None else ("", (left_over(meant, left or ""),))
    return hold_inquest(
        meant,
        outcomes,
        mistakes=mistakes,
        top=top,
        other_breaks=unknown,
        priors=priors,
        finish=finish,
        problem=problem,
        marking=marking,
        right=None if meant.solved else plan,
        progress=progress,
        threads=threads,
    )
