"""Draws the gallery of handouts in docs/pictures: ``python docs/draw_gallery.py``."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from PIL import Image

from nightfold.paper.handouts import handout
from nightfold.paper.press import Look
from nightfold.paper.preview import page_count, page_png
from nightfold.paper.subject import subject

PICTURES = Path(__file__).parent / "pictures"
WIDTH, GAP, COLUMNS = 520, 24, 4
GROUND = "#8b8f99"
SCRAMBLE = "R U2 F' L2 D B2"

#: A picture, what it is for, and the handouts on it with how many of their pages.
GALLERY: dict[str, tuple[str, str, list[tuple[str, dict[str, Any], int]]]] = {
    "handouts-colour": (
        "two-swap",
        "clockwise",
        [
            ("setups", {}, 1),
            ("setups", {"pocket": True}, 1),
            ("lettering", {}, 1),
            ("leaflet", {}, 1),
            ("example", {"scramble": SCRAMBLE}, 3),
            ("pairs", {"suggest": True, "solver": "nobody"}, 1),
        ],
    ),
    "handouts-grey": (
        "j-and-y",
        "greek",
        [
            ("setups", {}, 1),
            ("lettering", {"cards": True}, 2),
            ("lettering", {"blank": True}, 1),
            ("exercises", {"learners": "Signe, Bo, Tomas", "seed": "48"}, 1),
            ("exercises", {"learners": "Signe, Bo, Tomas", "seed": "48", "key": True}, 1),
            ("attempts", {"competitors": "Signe, Bo", "seed": "5"}, 1),
            ("leaflet", {}, 1),
        ],
    ),
}


def main() -> None:
    """Draw them all."""
    for name, (method, lettering, wanted) in GALLERY.items():
        about, look = subject(method, lettering), Look(grey=name.endswith("grey"))
        pages = []
        for kind, choices, count in wanted:
            pdf = handout(kind, about, look, **choices)
            pages += [page_png(pdf, number, WIDTH) for number in range(1, min(count, page_count(pdf)) + 1)]
        drawn = [Image.open(io.BytesIO(page)).convert("RGB") for page in pages]
        high = max(page.height for page in drawn)
        rows = -(-len(drawn) // COLUMNS)
        sheet = Image.new("RGB", (COLUMNS * (WIDTH + GAP) + GAP, rows * (high + GAP) + GAP), GROUND)
        for number, page in enumerate(drawn):
            row, column = divmod(number, COLUMNS)
            sheet.paste(page, (GAP + column * (WIDTH + GAP), GAP + row * (high + GAP)))
        sheet.quantize(128).save(PICTURES / f"{name}.png", optimize=True)
        print(name)


if __name__ == "__main__":
    main()
