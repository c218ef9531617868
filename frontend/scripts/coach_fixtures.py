"""Memos, readings and slips, made by the Python package for the tests of the marking and inquest screens.

``python frontend/scripts/coach_fixtures.py`` writes ``frontend/tests/coach.json`` anew; the Python tests see to it that
the file is up to date.
"""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

from nightfold.blind.lettering import load_lettering
from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.memo import MemoError, read_memo
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import write
from nightfold.web.cubes import view_of

FIXTURES = Path(__file__).parent.parent / "tests" / "coach.json"
_HOLDS = (None, "yellow,red", "green,white", "orange,blue")
_MEMOS = {
    "clockwise": (
        "IU HT FE",
        "iuhtfe",
        " I-U, H/T ; (F) E",
        "IU 7T",
        "",
        "–",
        "I\u00a0U\u200bH",
        "IUé",
        "|I|U|",
        "I → U",
    ),
    "greek": ("ΑΒ ΓΔ", "αβγδ", "Ας σΣ", "Α Ω 7", "ΑBΓ", "ά"),
}


def _memos() -> list[dict[str, Any]]:
    orbit = geometry(3).orbit("edges")
    found = []
    for name, texts in _MEMOS.items():
        lettering = load_lettering(name)
        symbols = {str(sticker): symbol for sticker, symbol in lettering.of(orbit).items()}
        for text in texts:
            case: dict[str, Any] = {"lettering": name, "text": text, "symbols": symbols, "stickers": None, "error": ""}
            try:
                case["stickers"] = list(read_memo(text, orbit, lettering))
            except MemoError as wrong:
                case["error"] = str(wrong)
            found.append(case)
    return found


def _reading(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "orbit": reading.orbit.name,
            "buffer": geometry(3).names[reading.buffer],
            "cycles": [
                {"kind": cycle.kind, "stickers": [target.sticker for target in cycle.targets]}
                for cycle in reading.cycles
            ],
        }
        for reading in plan.orbits
    ]


def fixtures() -> dict[str, Any]:
    """What the file holds."""
    rng = random.Random(7)
    cubes = []
    for number in range(12):
        scramble = " ".join(rng.choice("ULFRBD") + rng.choice(["", "2", "'"]) for _ in range(24))
        plan = make_plan(scramble, hold=_HOLDS[number % len(_HOLDS)])
        steps = [
            {
                "orbit": s.orbit,
                "letter": s.letter,
                "setup": write(s.setup),
                "swap": write(s.swap),
                "undo": write(s.undo),
            }
            for s in plan.steps
        ]
        slip = rng.choice([at for at, step in enumerate(plan.steps) if step.undo])
        happened = " ".join(
            write(step.setup + step.swap if at == slip else step.turns) for at, step in enumerate(plan.steps)
        )
        final = view_of(plan) | {"colours": [plan.scheme[face] for face in plan.cube.apply(happened).colours]}
        cubes.append(
            {
                "view": view_of(plan),
                "readings": _reading(plan),
                "steps": steps,
                "slip": slip,
                "happened": happened,
                "final": final["colours"],
            }
        )
    return {"memos": _memos(), "cubes": cubes}


def text() -> str:
    """The file's text: one cube a line."""
    data = fixtures()
    rows = {
        name: ",\n".join(json.dumps(one, ensure_ascii=False, separators=(",", ":")) for one in data[name])
        for name in data
    }
    return "{\n" + ",\n".join(f'"{name}":[\n{text}\n]' for name, text in rows.items()) + "\n}\n"


if __name__ == "__main__":
    FIXTURES.write_text(text(), encoding="utf-8")
