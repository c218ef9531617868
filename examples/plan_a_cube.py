"""Plan one scrambled cube and print what to remember and what to turn.

python examples/plan_a_cube.py "U F U'"
"""

from __future__ import annotations

import sys

from nightfold import NightfoldError, Plan, make_plan
from nightfold.cube.notation import write

#: What the club at Fennel Point scrambled its first cube of the evening with.
FIRST_OF_THE_EVENING = "D F L2 B U R F' L' B2"


def in_pairs(letters: tuple[str, ...]) -> str:
    """``IU HT F``: two letters at a time, the way they are remembered."""
    return " ".join("".join(letters[at : at + 2]) for at in range(0, len(letters), 2)) or "nothing"


def show(plan: Plan) -> None:
    """Print the letters, then every step with the reason for its setup."""
    for reading in plan.orbits:
        print(f"{reading.orbit.name}: {in_pairs(reading.letters)}")
    print(f"parity: {'yes' if plan.parity else 'no'}")
    for number, step in enumerate(plan.steps, 1):
        turns = " | ".join(write(part) or "-" for part in (step.setup, step.swap, step.undo))
        print(f"{number:2}. {step.letter or step.orbit}: {turns}")
        print(f"    {step.why}")
    print(f"{len(plan.solution)} turns; on the model of the cube they {'solve it' if plan.solved else 'FAIL'}")


def main() -> int:
    """Plan the scramble on the command line, or the first one of the evening."""
    scramble = sys.argv[1] if len(sys.argv) > 1 else FIRST_OF_THE_EVENING
    try:
        show(make_plan(scramble))
    except NightfoldError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
