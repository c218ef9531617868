"""Sequences of turns and what they do, made by the Python package for the tests of the browser's cube.

``python frontend/scripts/fixtures.py`` writes ``frontend/tests/fixtures.json`` anew; the Python tests see to it that
the file is up to date.
"""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

from nightfold.blind.plan import make_plan
from nightfold.cube.geometry import geometry, permutation_of
from nightfold.cube.net import net_of, net_rows
from nightfold.cube.notation import parse_turns, write
from nightfold.cube.state import Cube

FIXTURES = Path(__file__).parent.parent / "tests" / "fixtures.json"
_WRITTEN = (
    "(R U R' U')6",
    "[R, U]",
    "[M' U: [R', D]]3'",
    "[[R: U], [F' D, M2]]2",
    "(x y')2 (Rw u' 2Fw)'",
    "R3 U2' F’ r2d3",
    "((R U)2 F)'",
)


def _token(rng: random.Random, size: int) -> str:
    letters = ["U", "L", "F", "R", "B", "D", "x", "y", "z"] + ["M", "E", "S"] * (size % 2)
    letter = rng.choice(letters)
    amount = rng.choice(["", "2", "'", "2'"])
    if letter not in "ULFRBD" or size == 2 or rng.random() < 0.5:
        return letter + amount
    inner = rng.randrange(2, size)
    wide = f"{inner if inner > 2 or rng.random() < 0.5 else ''}{letter}w"
    if inner == 2 and rng.random() < 0.3:
        wide = letter.lower()
    if size > 3 and rng.random() < 0.4:
        wide = f"{inner}{letter}"
    return wide + amount


def sequences(count: int = 200, seed: int = 3) -> list[tuple[int, str]]:
    """Sizes and texts: written ones with brackets, then random ones of 1 to 30 turns, half of them for 3 layers."""
    rng = random.Random(seed)
    found = [(3, text) for text in _WRITTEN]
    while len(found) < count:
        size = rng.choice([3, 3, 3, 3, 3, 2, 4, 5, 6, 7])
        found.append((size, " ".join(_token(rng, size) for _ in range(rng.randint(1, 30)))))
    return found


def fixtures() -> dict[str, Any]:
    """What the file holds."""
    cases = []
    for size, text in sequences():
        turns = parse_turns(text, size)
        cases.append({"size": size, "text": text, "turns": write(turns), "stickers": list(permutation_of(turns, size))})
    scramble = "D2 F' R2 B U' L2 F2 D B2 R' U2 F L' D R2"
    cube = Cube.from_turns(scramble)
    plan = make_plan(scramble)
    return {
        "cases": cases,
        "net": {
            "scramble": scramble,
            "colours": list(net_of(cube).symbols),
            "text": "".join(net_of(cube).symbols[sticker] for row in net_rows(3) for sticker in row),
        },
        "plan": {"scramble": scramble, "solution": write(plan.solution)},
        "names": {str(size): list(geometry(size).names) for size in (3,)},
    }


def text() -> str:
    """The file's text: one case a line."""
    data = fixtures()
    cases = ",\n".join(json.dumps(case, ensure_ascii=False, separators=(",", ":")) for case in data.pop("cases"))
    rest = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return f'{{"cases":[\n{cases}\n],\n{rest[1:]}\n'


if __name__ == "__main__":
    FIXTURES.write_text(text(), encoding="utf-8")
