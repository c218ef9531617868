"""A club evening: deal the cubes a lesson is about, and mark what a learner wrote down.

Maren teaches flipped edges at Fennel Point.  Everyone gets a cube with just one edge flipped in its place, and nothing
else that is new: no twisted corner, no parity.  Jory reads the first cube, but writes only one of the two letters of
the flipped edge.
"""

from __future__ import annotations

from nightfold import Dealer, Features, Plan, make_plan, mark_memo
from nightfold.coach.marking import Marking

PUPILS = ("Jory", "Ines", "Wren")
#: The same number deals the same lesson again.
SEED = 1859
LESSON = Features(edge_breaks=(1, 1), flipped=(1, 1), twisted=(0, 0), parity=False)


def deal_lesson() -> list[Plan]:
    """A planned cube for every pupil, each fitting cube as likely as the next."""
    dealer = Dealer(features=LESSON, seed=SEED)
    print(f"The lesson: {LESSON}; one cube in {float(1 / dealer.chance):.0f} is like that.")
    plans = [make_plan(str(dealer.deal())) for _ in PUPILS]
    for name, plan in zip(PUPILS, plans, strict=True):
        edges, corners = plan.orbits
        print(f"{name:<5}  {plan.scramble}")
        print(f"       {len(edges.letters)} edge letters, {len(corners.letters)} corner letters")
    return plans


def written_by_jory(plan: Plan) -> dict[str, str]:
    """The right letters but the last of the edges, the second one of the flipped piece."""
    edges, corners = plan.orbits
    return {"edges": " ".join(edges.letters[:-1]), "corners": " ".join(corners.letters)}


def tell(marking: Marking) -> None:
    """Print the marking: each orbit with its faults, then the whole."""
    for marked in marking.orbits:
        print(f"{marked.orbit.name}: {' '.join(marked.letters)}  {'right' if marked.ok else 'wrong'}")
        for fault in marked.faults:
            print(f"  letter {fault.at + 1}: {fault.say}")
        if not marked.ok:
            print(f"  right would be {' '.join(marked.corrected)}")
    print(marking.say)


def main() -> None:
    """Deal the lesson and mark Jory's memo, then the one he hands in after looking again."""
    first, *_ = deal_lesson()
    print("\nJory's memo:")
    tell(mark_memo(first, written_by_jory(first), parity=False))
    print("\nAfter looking again:")
    tell(mark_memo(first, {reading.orbit.name: reading.letters for reading in first.orbits}, parity=False))


if __name__ == "__main__":
    main()
