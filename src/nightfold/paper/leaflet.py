"""The leaflet for a first evening: a method told to a beginner in two pages, every figure and every letter computed."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from nightfold.blind.odds import odds
from nightfold.blind.plan import Plan, make_plan, parity_sentence
from nightfold.blind.ways import SwapWay, and_list
from nightfold.cube.geometry import geometry, inverse, permutation_of
from nightfold.cube.notation import FACE_LETTERS, Turn, write
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES, Side, view_svg
from nightfold.paper.place import side_of
from nightfold.paper.press import PLAIN, Look, press
from nightfold.paper.subject import Subject

#: The share of cubes that take fewer letters than the range that is told, and the share that take more.
_SELDOM = Fraction(1, 20)
#: The pictures of the first letter: before, and after each of its strokes.
STROKES = ("before", "setup", "swap", "undo")
CAUTION = (
    "Sit down, clear the table, and let the people round you know before you cover your eyes. Give hands and eyes a "
    "rest every half hour, and stop when anything begins to hurt. At competitions the current official regulations "
    "and the delegate decide."
)


@dataclass(frozen=True, slots=True)
class Exchange:
    """What the swap of one orbit does: the stickers it exchanges, its turns, and the pieces it disturbs elsewhere.

    ``arrow`` are two stickers that it exchanges and that one side shows, if there are such; else ``sides`` are both.
    """

    orbit: str
    buffer: str
    home: str
    label: str
    swap: str
    disturbs: tuple[str, ...]
    sides: tuple[Side, ...]
    arrow: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Read:
    """One orbit of the example, read: its letters with the reason for each, and how the reading ends."""

    orbit: str
    buffer: str
    letters: tuple[str, ...]
    whys: tuple[str, ...]
    end: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """One step of the example: its letter and sticker (none for parity), and what is turned."""

    letter: str
    name: str
    setup: str
    swap: str
    undo: str


@dataclass(frozen=True, slots=True)
class Leaflet:
    """All that the leaflet tells.

    ``letters`` is the expected number of letters of a scrambled cube, ``range`` what more than nine cubes in ten keep
    to.  ``first`` is the letter to begin with, which done twice is nothing, and ``first_why`` the way its sticker
    goes.  ``turn`` scrambles the example, ``plan`` solves it.  ``setups`` counts the letters there are to learn,
    ``short`` those with at most two turns of setup.
    """

    letters: float
    range: tuple[int, int]
    exchanges: tuple[Exchange, ...]
    first: Stroke
    first_sticker: int
    first_orbit: str
    first_why: str
    turn: str
    plan: Plan
    readings: tuple[Read, ...]
    strokes: tuple[Stroke, ...]
    parity: str
    setups: int
    short: int


def leaflet_of(subject: Subject) -> Leaflet:
    """The leaflet for the subject's method, lettering and hold."""
    way = subject.method.ways[0]
    total = odds().total_letters
    plan = _example(subject)
    labels = plan.labels
    first = next((setup for setup in way.listed() if setup.turns), way.listed()[0])
    counts = [len(setup.turns) for each in subject.method.ways for setup in each.listed()]
    return Leaflet(
        letters=float(total.mean),
        range=(total.percentile(_SELDOM), total.percentile(1 - _SELDOM)),
        exchanges=tuple(_exchange(each) for each in subject.method.ways),
        first=Stroke(
            subject.letters.symbol(way.orbit, first.sticker),
            geometry(way.orbit.size).names[first.sticker],
            first.text,
            way.label,
            write(first.undo),
        ),
        first_sticker=first.sticker,
        first_orbit=way.orbit.piece_word,
        first_why=first.sentence,
        turn=plan.scramble,
        plan=plan,
        readings=tuple(
            Read(
                reading.orbit.name,
                plan.cube_names[reading.buffer],
                reading.letters,
                tuple(target.why for target in reading.targets),
                reading.cycles[-1].end if reading.cycles else "",
            )
            for reading in plan.orbits
        ),
        strokes=tuple(
            Stroke(step.letter, step.sticker, write(step.setup), labels[step.orbit], write(step.undo))
            for step in plan.steps
        ),
        parity=parity_sentence(subject.method, plan.orbits) if plan.parity else "",
        setups=len(counts),
        short=sum(count <= 2 for count in counts),
    )


def _example(subject: Subject) -> Plan:
    """The plan of the cube, one turn of one face away from solved, that is the least to read and to turn."""
    plans = [
        make_plan((Turn(face, 1, 1, amount),), subject.method, subject.letters, subject.hold, scheme=subject.scheme)
        for face in FACE_LETTERS
        for amount in (1, -1, 2)
    ]
    # Nothing to read would be no example: a turn that moves neither buffer reads as breaks alone, which come later.
    return min(
        plans, key=lambda plan: (sum(reading.breaks for reading in plan.orbits), plan.letters, len(plan.solution))
    )


def _exchange(way: SwapWay) -> Exchange:
    table = geometry(way.orbit.size)
    goes = inverse(way.effect)
    own = [way.buffer, *(sticker for sticker in table.piece_of(way.buffer) if sticker != way.buffer)]
    seen = [
        (side, (sticker, goes[sticker]))
        for sticker in own
        for side in FACES
        if table.faces[sticker] in FACES[side] and table.faces[goes[sticker]] in FACES[side]
    ]
    names = table.names
    return Exchange(
        way.orbit.name,
        names[way.buffer],
        names[way.home],
        way.label,
        write(way.core),
        way.disturbed_names,
        (seen[0][0],) if seen else tuple(FACES),
        seen[0][1] if seen else None,
    )


def press_leaflet(subject: Subject, look: Look = PLAIN) -> bytes:
    """The leaflet as PDF.  Raises NightfoldError for what cannot be printed."""
    told = leaflet_of(subject)
    buffers = [f"{each.buffer} for the {each.orbit}" for each in told.exchanges]
    legend, swatches = subject.legend(look)
    sheet = subject.sheet("leaflet", "Your first evening", look)
    sheet |= {
        "intro": (
            "You look at a scrambled cube and turn it into letters. You remember the letters, cover your eyes, and "
            f"turn them back into moves. A scrambled cube takes {told.letters:.1f} letters on average, and more than "
            f"nine in ten take {told.range[0]} to {told.range[1]}. Tonight {told.plan.letters} are enough."
        ),
        "letters": (
            f"Hold the cube with {subject.hold}, and never turn it round as a whole. Every sticker's place has a "
            f"letter. The buffers are ringed: {and_list(buffers)}. "
            "Learn them face by face."
        ),
        "swaps": [
            {
                "orbit": each.orbit,
                "label": each.label,
                "turns": each.swap,
                "sides": each.sides,
                "said": _exchange_said(each),
            }
            for each in told.exchanges
        ],
        "first": asdict(told.first),
        "first_said": (
            f"A letter is carried out in three strokes: the setup brings its sticker to the home target, the swap "
            f"exchanges it with the buffer, the undo takes the setup back. Take the {told.first_orbit} letter"
        ),
        "captions": ["before", f"setup {told.first.setup}", told.first.swap, f"undo {told.first.undo}"],
        "first_why": told.first_why,
        "twice": (
            "Do this on a solved cube, and look at what has changed. Then do the same once more: the cube is solved "
            "again, since the same two pieces have changed places twice. Practise until it comes solved every time."
        ),
        "turn": told.turn,
        "read_said": (
            "Take a solved cube, hold it as above, and make this one turn. Then read it: see which sticker lies at the "
            "buffer. The place where that sticker belongs is the first letter. Look at what lies there for the next, "
            "until the buffer's own piece turns up."
        ),
        "readings": [asdict(reading) for reading in told.readings],
        "strokes": [asdict(stroke) for stroke in told.strokes],
        "carry_said": (
            f"Now carry out the letters in order, first with open eyes, then with covered ones. At the end the cube is "
            f"solved, after {len(told.plan.solution)} turns."
        ),
        "parity": told.parity,
        "onwards": (
            f"The two swaps and {told.setups} setups are all there is to learn; {told.short} of the setups have two "
            "turns at most. A whole cube is read in the same way. Only one thing is new: when the buffer's own piece "
            "turns up while others are still unsolved, choose the letter of any of them and go on there. That letter "
            "is remembered too, and the cycle ends when its piece turns up again."
        ),
        "caution": CAUTION,
        "legend": legend,
        "pictures": swatches | _pictures(subject, told, look),
    }
    return press("leaflet", sheet, look)


def _exchange_said(exchange: Exchange) -> str:
    beside = f" It also moves {and_list(exchange.disturbs)}; the next one puts them back." if exchange.disturbs else ""
    return f"The {exchange.label} exchanges the buffer {exchange.buffer} and {exchange.home}.{beside}"


def _pictures(subject: Subject, told: Leaflet, look: Look) -> dict[str, str]:
    """The lettered cube from both sides, what each swap exchanges, and the example's cube from both sides."""
    solved, labels = Cube.solved(subject.method.size), subject.letters.labels
    buffers = [way.buffer for way in subject.method.ways]

    def view(cube: Cube, side: Side, **more: Any) -> str:
        return view_svg(cube, side, colours=subject.scheme, grey=look.grey, names=True, **more)

    pictures: dict[str, str] = {side: view(solved, side, labels=labels, lit=buffers) for side in FACES}
    pictures |= {f"example {side}": view(told.plan.cube, side, lit=buffers) for side in FACES}
    way = subject.method.ways[0]
    (done,) = way.execute([told.first_sticker])
    cube, at = solved, told.first_sticker
    for name, turns in zip(STROKES, ((), done.setup, done.core, done.undo), strict=True):
        cube = cube.apply(turns)
        at = inverse(permutation_of(turns, cube.size))[at]
        pictures[name] = view(cube, side_of(cube.size, at), lit=[at])
    for way, each in zip(subject.method.ways, told.exchanges, strict=True):
        lit, arrows = each.arrow or (way.buffer, way.home), [each.arrow] if each.arrow else []
        for side in each.sides:
            pictures[f"swap {each.orbit} {side}"] = view(solved, side, lit=lit, arrows=arrows, blank=True)
    return pictures
