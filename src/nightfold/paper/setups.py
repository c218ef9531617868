"""Setup pages: how every target of a method is set up, swapped and undone, and which turns are free for that.

Also as a pocket card: every letter with its setup, on a slip of paper that folds in two.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from itertools import groupby

from nightfold.blind.setups import families
from nightfold.blind.ways import SwapWay
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES, view_svg
from nightfold.paper.place import place_svg
from nightfold.paper.press import PLAIN, Look, press
from nightfold.paper.subject import Subject


@dataclass(frozen=True, slots=True)
class SetupRow:
    """One target: its letter, its sticker's number and name, what is turned, and the way its sticker goes."""

    letter: str
    sticker: int
    name: str
    setup: str
    swap: str
    undo: str
    why: str


@dataclass(frozen=True, slots=True)
class SetupClass:
    """The targets whose setups are of one class."""

    title: str
    rows: tuple[SetupRow, ...]


@dataclass(frozen=True, slots=True)
class TurnsAndWhy:
    """Turns, and one reason why all of them are free for setups, or are not."""

    turns: str
    why: str


@dataclass(frozen=True, slots=True)
class OrbitSetups:
    """The setups of one orbit, class by class, and which turns they may use.

    ``label`` is what the swap algorithm is called, ``swap`` its turns; ``setups`` counts the targets, ``longest`` the
    turns of the longest setup.
    """

    orbit: str
    buffer: str
    home: str
    label: str
    swap: str
    free: tuple[TurnsAndWhy, ...]
    refused: tuple[TurnsAndWhy, ...]
    classes: tuple[SetupClass, ...]
    setups: int
    longest: int


def setups_of(subject: Subject) -> tuple[OrbitSetups, ...]:
    """The setups of the subject's method in its lettering, orbit by orbit in the order of execution."""
    return tuple(_orbit(way, subject) for way in subject.method.ways)


def _orbit(way: SwapWay, subject: Subject) -> OrbitSetups:
    names = geometry(way.orbit.size).names
    listed = way.listed()
    classes = []
    for kind, group in groupby(listed, key=lambda setup: setup.kind):
        rows = tuple(
            SetupRow(
                subject.letters.symbol(way.orbit, setup.sticker),
                setup.sticker,
                names[setup.sticker],
                setup.text,
                way.label,
                write(setup.undo),
                setup.sentence,
            )
            for setup in group
        )
        classes.append(SetupClass(kind[:1].upper() + kind[1:], rows))
    reasons = {verdict.turn: verdict.reason for verdict in way.verdicts if verdict.free}
    return OrbitSetups(
        orbit=way.orbit.name,
        buffer=names[way.buffer],
        home=names[way.home],
        label=way.label,
        swap=write(way.core),
        free=tuple(
            TurnsAndWhy(families([turn for turn in way.free if reasons[turn] == reason]), reason)
            for reason in dict.fromkeys(reasons.values())
        ),
        refused=tuple(TurnsAndWhy(", ".join(stems), reason) for reason, stems in way.refused.items()),
        classes=tuple(classes),
        setups=len(listed),
        longest=max((len(setup.turns) for setup in listed), default=0),
    )


def press_setups(subject: Subject, look: Look = PLAIN, *, pocket: bool = False) -> bytes:
    """The setup pages as PDF, or with ``pocket`` the pocket card.  Raises NightfoldError for what cannot be printed."""
    orbits = setups_of(subject)
    if pocket:
        return _pocket(subject, look, orbits)
    sheet = subject.sheet("setups", "Setups", look)
    sheet["said"] = "To carry out a letter, make its setup, do the swap, and undo the setup."
    sheet["orbits"] = [asdict(orbit) for orbit in orbits]
    sheet["pictures"] = views_of_faces(subject, look) | {
        f"place {row.sticker}": place_svg(subject.method.size, row.sticker, colours=subject.scheme, grey=look.grey)
        for orbit in orbits
        for kind in orbit.classes
        for row in kind.rows
    }
    return press("setups", sheet, look)


def views_of_faces(subject: Subject, look: Look) -> dict[str, str]:
    """The cube from the front and from behind with the names of its faces, to tell what small pictures show."""
    solved = Cube.solved(subject.method.size)
    faces = {sticker: face for face, sticker in geometry(solved.size).fixed_centres.items()}
    return {side: view_svg(solved, side, colours=subject.scheme, labels=faces, grey=look.grey) for side in FACES}


def _pocket(subject: Subject, look: Look, orbits: tuple[OrbitSetups, ...]) -> bytes:
    sheet = subject.sheet("setups", "Setups on a pocket card", look, "--pocket")
    sheet["said"] = "Cut along the line and fold at the dots."
    parity = subject.method.parity
    feet = [
        f"Method {subject.method.name}, lettering {subject.letters.name}, {subject.hold}.",
        f"Both odd: in between the {parity.label}, {write(parity.turns)}",
    ]
    sheet["orbits"] = []
    for orbit, foot in zip(orbits, feet, strict=True):
        rows = sorted((row for kind in orbit.classes for row in kind.rows), key=lambda row: row.letter)
        sheet["orbits"].append(asdict(orbit) | {"rows": [asdict(row) for row in rows], "foot": foot})
    return press("pocket", sheet, look)
