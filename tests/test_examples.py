"""The examples run, and say what they are meant to show."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from nightfold.blind.features import features_of
from nightfold.blind.plan import make_plan
from nightfold.cube.state import Cube

EXAMPLES = Path(__file__).parents[1] / "examples"


def run(name: str, *arguments: str, code: int = 0) -> str:
    """What an example prints; errors too."""
    done = subprocess.run(
        [sys.executable, "-X", "utf8", "-W", "error", EXAMPLES / name, *arguments],
        encoding="utf-8",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    assert done.returncode == code, done.stdout
    return done.stdout


def test_every_example_is_tested() -> None:
    tested = set(re.findall(r'run\("(\w+\.py)"', Path(__file__).read_text("utf-8")))
    assert tested == {path.name for path in EXAMPLES.glob("*.py")}


def test_plan_a_cube_prints_turns_that_solve_the_scramble() -> None:
    shown = run("plan_a_cube.py")
    assert "edges: IU HT FE AX QO V\ncorners: QW MH PG L\nparity: yes\n" in shown
    turns = re.findall(r"^ ?\d+\. \w+: (.*)$", shown, re.MULTILINE)
    assert len(turns) == 19
    solution = " ".join(turns).replace("|", " ").replace("-", " ")
    assert Cube.from_turns("D F L2 B U R F' L' B2").apply(solution).is_solved
    assert "    Lw lowers FU to DF, D' carries DF to DL, L2 lifts DL to UL\n" in shown
    assert shown.endswith("351 turns; on the model of the cube they solve it\n")


def test_plan_a_cube_takes_a_scramble_and_refuses_what_is_none() -> None:
    assert run("plan_a_cube.py", "").startswith("edges: nothing\ncorners: nothing\nparity: no\n0 turns")
    assert run("plan_a_cube.py", "U F Q", code=2).startswith("“Q” at column 5: no turn has this name")


def test_hardest_of_the_evening_ranks_by_letters_and_then_turns() -> None:
    shown = run("hardest_of_the_evening.py")
    assert shown == run("hardest_of_the_evening.py")
    table = [tuple(map(int, row)) for row in re.findall(r"(\d+) letters, \d+ breaks, (\d+) turns", shown)]
    assert len(table) == 6
    assert table == sorted(table, reverse=True)
    scramble = re.search(r"^Hardest, .*'s: (.*)$", shown, re.MULTILINE)
    assert scramble
    plan = make_plan(scramble[1])
    assert (plan.letters, len(plan.solution)) == table[0]
    for reading in plan.orbits:
        assert f"{reading.orbit.name}: {' '.join(reading.letters)}\n" in shown


def test_own_method_works_and_its_variant_is_refused() -> None:
    shown = run("own_method.py")
    assert "  edges: UL and UF; free turns R, Rw, D, Dw\n" in shown
    assert "  corners: UFL and UBL; free turns R, B, D\n" in shown
    assert "  A parity algorithm was found; it restores UBL, UFL, UL and UF.\n" in shown
    assert "  solved: True\n" in shown
    assert shown.endswith(
        "Refused: wren: corners: 3 of 21 targets cannot be set up with the free turns (B, D): UFR, FUR and RUF; "
        "choose another buffer, home target or swap algorithm\n"
    )


def test_club_evening_deals_the_lesson_and_marks_the_memo() -> None:
    shown = run("club_evening.py")
    scrambles = re.findall(r"^(?:Jory|Ines|Wren) +(.*)$", shown, re.MULTILINE)
    assert len(set(scrambles)) == 3
    for scramble in scrambles:
        features = features_of(make_plan(scramble))
        assert features.edge_breaks == features.flipped == (1, 1)
        assert features.twisted == (0, 0) and features.parity is False
    first, second = shown.split("\nAfter looking again:\n")
    edges = make_plan(scrambles[0]).orbits[0]
    assert f"edges: {' '.join(edges.letters[:-1])}  wrong\n  letter {len(edges.letters)}: the cycle is not" in first
    assert f"  right would be {' '.join(edges.letters)}\ncorners: " in first
    assert f"edges: {' '.join(edges.letters)}  right\n" in second
    assert "wrong" not in second
