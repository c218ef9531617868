"""The inquest: one, two and three mistakes at once, beside trying every pair in plain Python on a small case."""

from __future__ import annotations

from benchmarks.harness import report, seconds
from nightfold.blind.plan import make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.inquest import hold_inquest, turned_home
from nightfold.coach.mistakes import Stretch, coded, packed_rotations, turn_table, turned_with
from nightfold.coach.performed import judge_turns
from nightfold.coach.slips import Slips
from nightfold.cube.net import write_net
from nightfold.search.native import core, pack

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2"


def run() -> None:
    """Measure and report."""
    plan = make_plan(SCRAMBLE)
    # Three letters left out, so that fewer mistakes explain nothing and the nearest are looked for as well.
    kept = [step for number, step in enumerate(plan.steps) if number not in (2, 9, 17)]
    turns = tuple(turn for step in kept for turn in step.turns)
    final = plan.cube.apply(turns)
    print(f"  {plan.letters} letters, {len(plan.solution)} turns")
    aims = {1: "20 ms", 2: "100 ms", 3: "1.5 s"}
    for most, aim in aims.items():
        verdict = hold_inquest(plan, final, mistakes=most)
        took = seconds(lambda most=most: hold_inquest(plan, final, mistakes=most), rounds=5)  # type: ignore[misc]
        covered = f"{verdict.searched[most - 1]:,} combinations of {most}"
        report(f"up to {most} mistake{'s' * (most > 1)}", f"{took * 1e3:.0f} ms", covered, aim)
    one = hold_inquest(plan, final, mistakes=3, threads=1)
    took = seconds(lambda: hold_inquest(plan, final, mistakes=3, threads=1), rounds=3)
    report("up to 3 mistakes, 1 core", f"{took * 1e3:.0f} ms", f"{len(one.explanations)} explanations")
    net = write_net(plan.cube.apply(tuple(turn for step in plan.steps[:3] + plan.steps[4:] for turn in step.turns)))
    tried = examine_attempt(plan, final=net, finish=False).memos_tried
    took = seconds(lambda: examine_attempt(plan, final=net, finish=False), rounds=3)
    report("one mistake, no memo told, up to 3 asked", f"{took * 1e3:.0f} ms", f"{tried} right memos")
    took = seconds(lambda: judge_turns(plan, turns), rounds=3)
    report("turns that were made, held against the plan", f"{took * 1e3:.0f} ms", "3 steps depart")
    _reference()


def _reference() -> None:
    """Every pair of slips of whole steps on a small plan: turned one by one, and joined."""
    plan = make_plan("R U R' U'")
    slips = Slips(plan)
    meant = slips.meant
    parts = [Stretch(start, end, tuple(turn_table()[0][n] for n in code)) for start, end, code, _ in slips.edits]
    # What changes nothing is no slip, and a third of the rest is enough to wait for.
    parts = [part for part in parts[::3] if not plan.cube.apply(turned_with(meant, [part])).is_solved]
    edits = [(part.start, part.end, coded(part.turns), 0.0) for part in parts]
    goal = plan.cube.apply(turned_with(meant, [parts[10], parts[-1]]))

    def plain() -> int:
        found = 0
        for one in parts:
            for other in parts:
                if one.end <= other.start and one is not other:
                    found += plan.cube.apply(turned_with(meant, (one, other))).same_up_to_rotation(goal)
        return found

    def joined() -> int:
        none: list[list[tuple[int, float]]] = [[] for _ in range(54)]
        desk = core.InquestDesk(turn_table()[2], coded(meant), edits, [], none, [], packed_rotations())
        target = turned_home(plan.cube.apply(meant).inverse().then(goal))
        answer = desk.search(pack(target), 2, 10_000, 0, 1)
        return len(answer[0]) if answer is not None else 0

    found, ours, slow = (plain(), joined()), seconds(joined, rounds=5), seconds(plain, rounds=1)
    count = sum(one.end <= other.start for one in parts for other in parts)
    note = f"plain Python {slow:.1f} s: {slow / ours:,.0f} x; it finds {found[0]}, the join {found[1]}"
    report(f"all {count:,} pairs on a small plan", f"{ours * 1e3:.1f} ms", note)
