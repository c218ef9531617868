"""Deal a scramble to everyone at the club and see who got the hardest cube.

Hardest is the cube with the most letters; among equals, the one whose plan takes the most turns.
"""

from __future__ import annotations

from nightfold import Dealer, Plan, make_plan

CLUB = ("Maren", "Jory", "Ines", "Tobias", "Wren", "Old Petroc")
#: The same number deals the same scrambles again.
SEED = 1859


def hardness(plan: Plan) -> tuple[int, int]:
    """Letters to remember, then turns to make."""
    return plan.letters, len(plan.solution)


def main() -> None:
    """Deal, plan, rank and print."""
    dealer = Dealer(seed=SEED)
    plans = {name: make_plan(str(dealer.deal())) for name in CLUB}
    ranked = sorted(plans.items(), key=lambda dealt: hardness(dealt[1]), reverse=True)
    for place, (name, plan) in enumerate(ranked, 1):
        breaks = sum(reading.breaks for reading in plan.orbits)
        print(
            f"{place}. {name:<10}  {plan.letters} letters, {breaks} breaks, {len(plan.solution)} turns, "
            f"{'parity' if plan.parity else 'no parity'}"
        )
    name, plan = ranked[0]
    print(f"\nHardest, {name}'s: {plan.scramble}")
    for reading in plan.orbits:
        print(f"{reading.orbit.name}: {' '.join(reading.letters)}")


if __name__ == "__main__":
    main()
