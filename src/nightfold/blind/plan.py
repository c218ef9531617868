"""The plan: a reading turned into setup, swap and undo, replayed on the cube before anyone sees it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from nightfold.blind.errors import ReadingError
from nightfold.blind.hold import Hold, as_held, hold_as_typed, parse_hold, rotation_to
from nightfold.blind.lettering import Lettering, letters_by_orbit, load_lettering
from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.method import POLICIES, Method, load_method
from nightfold.blind.reading import Chooser, Chosen, OrbitReading, fewest_turns, lowest_letter, trace_orbit
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, Net, cube_from_net
from nightfold.cube.notation import Turn, write
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube

#: The name under which the parity step stands among the steps.
PARITY = "parity"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a plan: set up, swap, undo.  The parity step has no letter, sticker, setup or undo."""

    orbit: str
    letter: str
    sticker: str
    setup: tuple[Turn, ...]
    swap: tuple[Turn, ...]
    undo: tuple[Turn, ...]
    why: str

    @property
    def turns(self) -> tuple[Turn, ...]:
        """All turns of the step in order."""
        return self.setup + self.swap + self.undo


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole blind solve of one cube.

    ``scramble`` is the text it came from (empty for a cube given as such), ``hold`` the rotation to make first,
    ``cube`` the cube after that, as it was read.  ``solved`` was measured by making every turn on the cube.
    """

    scramble: str
    hold: str
    method: Method
    lettering: Lettering
    scheme: tuple[str, ...]
    cube: Cube
    orbits: tuple[OrbitReading, ...]
    parity: bool
    steps: tuple[Step, ...]
    solution: tuple[Turn, ...]
    cancelled: tuple[Turn, ...]
    solved: bool

    @property
    def letters(self) -> int:
        """How many letters there are to remember."""
        return sum(len(reading.targets) for reading in self.orbits)

    @property
    def cube_names(self) -> tuple[str, ...]:
        """The name of every sticker of the cube, by number."""
        return geometry(self.method.size).names

    @property
    def held(self) -> Hold:
        """How the cube is held while it is read."""
        return Hold(self.scheme[0], self.scheme[2])

    @property
    def labels(self) -> dict[str, str]:
        """What the swap algorithm of each orbit, by its name, and that of the parity step are called."""
        return {way.orbit.name: way.label for way in self.method.ways} | {PARITY: self.method.parity.label}

    @property
    def memos(self) -> int:
        """How many different right memos the cube has."""
        product = 1
        for reading in self.orbits:
            product *= reading.memos
        return product

    def to_dict(self) -> dict[str, Any]:
        """The plan as plain data, in the stable form that docs/plan-json.md describes."""
        names = self.cube_names
        return {
            "scramble": self.scramble,
            "hold": self.hold,
            "method": self.method.name,
            "lettering": self.lettering.name,
            "orbits": [
                {
                    "orbit": reading.orbit.name,
                    "buffer": names[reading.buffer],
                    "letters": list(reading.letters),
                    "stickers": [names[target.sticker] for target in reading.targets],
                    "cycles": [list(cycle.letters) for cycle in reading.cycles],
                    "in_place": [names[sticker] for sticker in reading.in_place],
                    "buffer_turned": reading.buffer_turned,
                    "odd": reading.odd,
                    "reasons": [target.why for target in reading.targets],
                }
                for reading in self.orbits
            ],
            "parity": self.parity,
            "steps": [
                {
                    "orbit": step.orbit,
                    "letter": step.letter,
                    "sticker": step.sticker,
                    "setup": write(step.setup),
                    "swap": write(step.swap),
                    "undo": write(step.undo),
                    "why": step.why,
                }
                for step in self.steps
            ],
            "solution": write(self.solution),
            "counts": {
                "letters": self.letters,
                "turns": len(self.solution),
                "turns_cancelled": len(self.cancelled),
                "memos": self.memos,
            },
            "solved": self.solved,
        }

    def _repr_svg_(self) -> str:
        from nightfold.cube.picture import net_svg

        return net_svg(self.cube, colours=self.scheme, labels=self.lettering.labels)


def make_plan(
    cube: Cube | str | Sequence[Turn],
    method: Method | str = DEFAULT_METHOD,
    lettering: Lettering | str | None = None,
    hold: Hold | str | None = None,
    breaks: str | Mapping[str, Chooser] | None = None,
    scheme: Sequence[str] = STANDARD_COLOURS,
) -> Plan:
    """The whole blind solve of a cube.

    ``cube`` is a scramble (text or turns from a solved cube, white up, green in front) or a Cube.  ``method``,
    ``lettering`` and ``hold`` may be names, files' contents as objects, or None for the method's own choice.
    ``breaks`` is ``lowest``, ``shortest``, ``choose:`` with letters per orbit (``choose:edges=K Q;corners=B``), or a
    chooser for each orbit's name.  ``scheme`` are the colours of the faces U, L, F, R, B, D that the cube's stickers
    are numbered by.

    Raises NightfoldError with one sentence when anything given cannot be used.
    """
    method = load_method(method) if isinstance(method, str) else method
    scramble = ""
    if isinstance(cube, str):
        scramble = " ".join(cube.split())
        cube = Cube.from_turns(cube, method.size)
    elif not isinstance(cube, Cube):
        scramble = write(tuple(cube))
        cube = Cube.from_turns(cube, method.size)
    if cube.size != method.size:
        raise ReadingError(f"the method {method.name} is for a cube of {method.size} layers, this one has {cube.size}")
    if lettering is None:
        lettering = method.lettering
    if isinstance(lettering, str):
        lettering = load_lettering(lettering, method.size)
    wanted = parse_hold(hold) if isinstance(hold, str) else hold or method.hold
    rotation = rotation_to(wanted, cube, scheme)
    turned = cube.apply(rotation)
    held = as_held(turned)
    area = held.size * held.size
    shown = tuple(scheme[turned.stickers[at] // area] for at in geometry(held.size).fixed_centres.values())

    choosers = _choosers(method.breaks if breaks is None else breaks, method, lettering)
    readings = tuple(
        trace_orbit(held, way.orbit, way.buffer, lettering, choosers[way.orbit.name], shown) for way in method.ways
    )
    for reading in readings:
        chooser = choosers[reading.orbit.name]
        if isinstance(chooser, Chosen) and chooser.left:
            unused = " ".join(lettering.symbol(reading.orbit, sticker) for sticker in chooser.left)
            there = f"there {'is 1 break' if reading.breaks == 1 else f'are {reading.breaks} breaks'}"
            raise ReadingError(f"{reading.orbit.name}: {there} on this cube, so none is left for {unused}")
    steps = _steps(method, readings)
    solution = tuple(turn for step in steps for turn in step.turns)
    return Plan(
        scramble=scramble,
        hold=rotation,
        method=method,
        lettering=lettering,
        scheme=shown,
        cube=held,
        orbits=readings,
        parity=readings[0].odd,
        steps=steps,
        solution=solution,
        cancelled=cancel(solution),
        solved=turned.apply(solution).is_solved,
    )


def plan_of_net(
    net: Net | str,
    method: Method | str = DEFAULT_METHOD,
    lettering: Lettering | str | None = None,
    hold: Hold | str | None = None,
    breaks: str | Mapping[str, Chooser] | None = None,
) -> Plan:
    """The whole blind solve of an unfolded cube, given as ``cube_from_net`` takes it.

    Where no hold is given it is the method's if the net's colours know it, else the net as it was typed.  The rest is
    as for ``make_plan``; raises NightfoldError also for a net that is none and for a cube that no turns lead to.
    """
    cube, scheme = cube_from_net(net)
    method = load_method(method) if isinstance(method, str) else method
    return make_plan(cube, method, lettering, hold or hold_as_typed(method.hold, scheme), breaks, scheme)


def _steps(method: Method, readings: tuple[OrbitReading, ...]) -> tuple[Step, ...]:
    names = geometry(method.size).names
    steps: list[Step] = []
    for number, (way, reading) in enumerate(zip(method.ways, readings, strict=True)):
        if number and readings[0].odd and method.parity.turns:
            why = parity_sentence(method, readings)
            steps.append(Step(PARITY, "", "", (), method.parity.turns, (), why))
        targets = [target.sticker for target in reading.targets]
        symbols = dict(zip(targets, reading.letters, strict=True))
        for done in way.execute(targets):
            letter = "".join(symbols[target] for target in done.targets)
            sticker = " ".join(names[target] for target in done.targets)
            steps.append(Step(way.orbit.name, letter, sticker, done.setup, done.core, done.undo, done.why))
    return tuple(steps)


def parity_sentence(method: Method, readings: tuple[OrbitReading, ...]) -> str:
    """Why the parity step is due and what it does."""
    counts = " and ".join(f"{len(reading.targets)} {reading.orbit.piece_word} letters" for reading in readings)
    first, second = method.ways
    return (
        f"{counts} are odd numbers, so {' and '.join(first.disturbed_names)} are left exchanged and "
        f"{' and '.join(second.disturbed_names)} will be; the {method.parity.label} puts both right."
    )


def _choosers(breaks: str | Mapping[str, Chooser], method: Method, lettering: Lettering) -> dict[str, Chooser]:
    """A chooser for every orbit of the method."""
    lowest = lowest_letter(lettering)
    names = [way.orbit.name for way in method.ways]
    if not isinstance(breaks, str):
        return {name: breaks.get(name, lowest) for name in names}
    if breaks == "lowest":
        return dict.fromkeys(names, lowest)
    if breaks == "shortest":
        return {way.orbit.name: fewest_turns(lettering, way.cost) for way in method.ways}
    if not breaks.startswith("choose:"):
        raise ReadingError(
            f"“{breaks[:40]}” is no way to choose breaks; write {', '.join(POLICIES)}, or your own choice as in "
            "choose:edges=K Q;corners=B"
        )
    picked: dict[str, Chooser] = dict.fromkeys(names, lowest)
    wanted: dict[str, list[int]] = {}
    for name, letter in letters_by_orbit(breaks.removeprefix("choose:"), names):
        wanted.setdefault(name, []).append(lettering.sticker(name, letter))
    return picked | {name: Chosen(stickers, lowest) for name, stickers in wanted.items()}
