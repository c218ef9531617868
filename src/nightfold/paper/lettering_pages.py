"""Lettering pages: which letter stands for which sticker, the same to fill in, and cards to learn it by."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from nightfold.blind.ways import and_list
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES, view_svg
from nightfold.paper.place import place_svg, side_of
from nightfold.paper.press import PLAIN, Look, brief, press
from nightfold.paper.subject import Subject
from nightfold.paper.unfolded import unfolded_svg


@dataclass(frozen=True, slots=True)
class Card:
    """One sticker's flash card: the sticker on the one side, its letter on the other.

    ``piece`` is the word for what it belongs to; ``side`` tells from where the picture shows it.
    """

    sticker: int
    name: str
    piece: str
    letter: str
    side: str


def cards_of(subject: Subject) -> tuple[tuple[Card, ...], ...]:
    """The flash cards of the subject's lettering, orbit by orbit, each in the order of its letters."""
    size = subject.method.size
    names = geometry(size).names
    return tuple(
        tuple(
            Card(sticker, names[sticker], way.orbit.piece_word, symbol, side_of(size, sticker))
            for sticker, symbol in sorted(subject.letters.of(way.orbit).items(), key=lambda item: (item[1], item[0]))
        )
        for way in subject.method.ways
    )


def press_lettering(
    subject: Subject,
    look: Look = PLAIN,
    *,
    blank: bool = False,
    cards: bool = False,
) -> bytes:
    """The lettering page as PDF, or with ``cards`` flash cards to cut out; ``blank`` leaves the letters out.

    Raises NightfoldError for what cannot be printed.
    """
    named = brief(subject.letters.name, 60)
    own = ["--blank"] * blank + ["--cards"] * cards
    if cards:
        title = "Cards for a lettering of your own" if blank else f"Cards for the lettering {named}"
        sheet = subject.sheet("lettering", title, look, *own)
        orbits = cards_of(subject)
        sheet["blank"] = blank
        sheet["cards"] = [[asdict(card) for card in orbit] for orbit in orbits]
        sheet["pictures"] = {
            f"place {card.sticker}": place_svg(
                subject.method.size, card.sticker, colours=subject.scheme, grey=look.grey, names=True
            )
            for orbit in orbits
            for card in orbit
        }
        return press("cards", sheet, look)
    title = "A lettering of your own" if blank else f"The lettering {named}"
    sheet = subject.sheet("lettering", title, look, *own)
    sheet["said"] = _said(subject, blank)
    sheet["legend"], swatches = subject.legend(look)
    sheet["pictures"] = swatches | _pictures(subject, look, blank)
    return press("lettering", sheet, look)


def _said(subject: Subject, blank: bool) -> str:
    if blank:
        return (
            "Give every sticker a letter, on the unfolded cube and on the two views alike. Within the edges, and "
            "within the corners, no two stickers may share one; an edge and a corner may."
        )
    names = geometry(subject.method.size).names
    buffers = and_list([f"{names[way.buffer]} of the {way.orbit.name}" for way in subject.method.ways])
    return (
        f"A letter stands for a sticker's place. Edges and corners are read apart, so both may use the same letters. "
        f"Ringed are the buffers, {buffers}: you never go to the letters of their own pieces."
    )


def _pictures(subject: Subject, look: Look, blank: bool) -> dict[str, str]:
    """The unfolded cube and the two views, each with the names of the faces in their middles."""
    size = subject.method.size
    solved, colours, grey = Cube.solved(size), subject.scheme, look.grey
    labels = {} if blank else subject.letters.labels
    lit = [] if blank else [way.buffer for way in subject.method.ways]
    pictures = {
        "net": unfolded_svg(solved, colours=colours, labels=labels, lit=lit, grey=grey, blank=blank, names=True)
    }
    for side in FACES:
        pictures[side] = view_svg(
            solved, side, colours=colours, labels=labels, lit=lit, grey=grey, blank=blank, names=True
        )
    return pictures
