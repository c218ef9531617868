"""Pieces, lettering orders and wanted effects, made by the Python package for the tests of the browser's own.

``python frontend/scripts/sticker_fixtures.py`` writes ``frontend/tests/stickers.json`` anew; the Python tests see to it
that the file is up to date.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import FACE_LETTERS
from nightfold.search.effects import parse_effect

FIXTURES = Path(__file__).parent.parent / "tests" / "stickers.json"
_EFFECTS = (
    "UF UR DB",
    "UR UL; UFR UBR",
    "UF FU; UB BU",
    "UFR RUF FUR; UBL LUB BUL",
    "LUB RDF FUR",
    "fu ru db; LBU FDR",
    "UF, UR > DB;",
)


def _from_itself(piece: tuple[int, ...], sticker: int) -> list[int]:
    at = piece.index(sticker)
    return [*piece[at:], *piece[:at]]


def fixtures() -> dict[str, Any]:
    """What the file holds."""
    geo = geometry(3)
    letters = load_lettering("clockwise")
    method = load_method("two-swap")
    return {
        "names": list(geo.names),
        "pieces": {
            str(sticker): _from_itself(geo.piece_of(sticker), sticker)
            for orbit in geo.orbits
            for sticker in orbit.stickers
        },
        "clockwise": {
            orbit.name: {face: list(geo.clockwise(orbit, face)) for face in FACE_LETTERS} for orbit in geo.orbits
        },
        "effects": [{"want": want, "sources": list(parse_effect(want).stickers)} for want in _EFFECTS],
        "symbols": {
            orbit: {geo.names[sticker]: symbol for sticker, symbol in table.items()}
            for orbit, table in letters.symbols.items()
        },
        "verdicts": [
            {"turn": str(v.turn), "free": v.free, "spare": v.spare, "why": v.reason} for v in method.ways[0].verdicts
        ],
    }


def text() -> str:
    """The file's text."""
    return json.dumps(fixtures(), ensure_ascii=False, separators=(",", ":")) + "\n"


if __name__ == "__main__":
    FIXTURES.write_text(text(), encoding="utf-8")
