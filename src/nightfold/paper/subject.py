"""What a handout is for: a method, a lettering and a hold, and how to print it again."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from nightfold import __version__
from nightfold.blind.hold import Hold, colour_name, parse_hold, rotation_to
from nightfold.blind.lettering import Lettering, load_lettering
from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.method import Method, load_method
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.notation import FACE_LETTERS
from nightfold.cube.state import Cube
from nightfold.paper.ink import inks, swatch_svg
from nightfold.paper.press import Look, brief


@dataclass(frozen=True)
class Subject:
    """A method, a lettering and a hold.

    ``sources`` are the names that the first two came by; files go without their folders, which are nobody's business.
    """

    method: Method
    letters: Lettering
    hold: Hold
    sources: tuple[str, str]

    @cached_property
    def scheme(self) -> tuple[str, ...]:
        """The colours of the faces U, L, F, R, B, D of a solved cube that is held so."""
        solved = Cube.solved(self.method.size)
        turned = solved.apply(rotation_to(self.hold, solved))
        area = solved.size * solved.size
        centres = geometry(solved.size).fixed_centres.values()
        return tuple(STANDARD_COLOURS[turned.stickers[at] // area] for at in centres)

    def legend(self, look: Look) -> tuple[list[dict[str, str]], dict[str, str]]:
        """What tells the colours of the faces U, L, F, R, B, D: their names, and pictures of how they are laid on."""
        laid = inks(self.scheme, grey=look.grey)
        told = [
            {"face": face, "colour": colour_name(symbol), "picture": f"swatch {symbol}"}
            for face, symbol in zip(FACE_LETTERS, self.scheme, strict=True)
        ]
        return told, {f"swatch {symbol}": swatch_svg(laid[symbol], grey=look.grey) for symbol in self.scheme}

    def command(self, kind: str, look: Look, *more: str) -> str:
        """The command that prints the handout ``kind`` again; ``more`` are options of its own."""
        method, lettering = self.sources
        words = ["nightfold", "handout", kind, "--method", method, "--lettering", lettering]
        words += ["--hold", f"{self.hold.top},{self.hold.front}", *more, "--paper", look.paper]
        words += ["--grey"] * look.grey + ["--large"] * look.large
        return shlex.join(words)

    def notes(self, kind: str, look: Look, *more: str) -> list[str]:
        """The lines at the foot of every page: what it is for, and how it is printed again."""
        method, letters = self.method, self.letters
        named = brief(method.name, 60) + (f" ({brief(method.title, 100)})" if method.title != method.name else "")
        again = brief(self.command(kind, look, *more), 400)
        return [
            f"Method {named}; lettering {brief(letters.name, 60)}; {self.hold}.",
            f"Printed by Nightfold {__version__}. To print it again: {again}",
        ]

    def sheet(self, kind: str, title: str, look: Look, *more: str) -> dict[str, Any]:
        """What every template needs: the title and the lines at the foot."""
        return {"title": title, "notes": self.notes(kind, look, *more), "pictures": {}}


def subject(
    method: str | Path = DEFAULT_METHOD, lettering: str | Path | None = None, hold: str | None = None
) -> Subject:
    """What a handout is for, from names or files; without lettering or hold the method's own.

    Raises NightfoldError when one of them cannot be used, or when the hold is none for a cube of standard colours.
    """
    chosen = load_method(method)
    letters = load_lettering(chosen.lettering if lettering is None else lettering, chosen.size)
    held = chosen.hold if hold is None else parse_hold(hold)
    sources = (Path(method).name, Path(chosen.lettering if lettering is None else lettering).name)
    made = Subject(chosen, letters, held, sources)
    _ = made.scheme  # so that an impossible hold is told here
    return made
