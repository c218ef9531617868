"""A method is data; everything else about it is derived and checked when it is loaded.

A method file is TOML; docs/writing-a-method.md explains every key::

    title = "Two swaps, edges first"
    order = ["edges", "corners"]
    hold = "white, green"
    [edges]
    buffer = "UR"
    home = "UL"
    swap = "R U R' U' R' F R2 U' R' U' R U R' F'"
    label = "T perm"
    [corners]
    …
    [parity]
    algorithm = "…"        # left out: a short one is searched
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from nightfold.blind.errors import LetteringError, MethodError, ReadingError
from nightfold.blind.files import SHIPPED, only_known, parse_toml, read_named, shipped_names, shown, table_of, text_of
from nightfold.blind.hold import Hold, parse_hold, rotation_to
from nightfold.blind.lettering import DEFAULT as DEFAULT_LETTERING
from nightfold.blind.lettering import Lettering, lettering_names, load_lettering
from nightfold.blind.parity import best_parity
from nightfold.blind.setups import Ease
from nightfold.blind.ways import WAYS, SwapWay, and_list
from nightfold.cube.errors import GeometryError, NotationError
from nightfold.cube.geometry import Permutation, compose, geometry, identity, inverse, permutation_of
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.notation import FACE_LETTERS, SLICE_LETTERS, Algorithm, Turn, parse, write
from nightfold.cube.state import Cube

DEFAULT = "two-swap"
POLICIES = ("lowest", "shortest")


@dataclass(frozen=True, slots=True)
class ParityStep:
    """What is done between the two orbits when both have an odd number of letters.

    ``searched`` tells that the method gave no algorithm and a short one was found.
    """

    algorithm: Algorithm
    label: str
    searched: bool

    @property
    def turns(self) -> tuple[Turn, ...]:
        """The single turns."""
        return tuple(turn.plain for turn in self.algorithm.expand())


@dataclass(frozen=True, slots=True)
class Method:
    """A checked method: what the solver chose, and what follows from it.

    ``ways`` are the orbits in order of execution.  ``checks`` are the sentences of all that was verified at loading.
    """

    name: str
    title: str
    about: str
    size: int
    ways: tuple[SwapWay, ...]
    parity: ParityStep
    hold: Hold
    breaks: str
    lettering: str
    checks: tuple[str, ...]

    def way(self, orbit: str) -> SwapWay:
        """The way of the orbit called ``orbit``.  Raises MethodError for one the method does not have."""
        for way in self.ways:
            if way.orbit.name == orbit:
                return way
        known = " and ".join(way.orbit.name for way in self.ways)
        raise MethodError(f"“{orbit[:40]}” is no orbit of the method {self.name}; it has {known}")

    @property
    def parity_effect(self) -> Cube:
        """What the parity step has to do: undo what two odd orbits leave behind."""
        return Cube(self.size, _undoing(self.ways))

    def to_dict(self) -> dict[str, Any]:
        """The method with what follows from it and what was checked, as plain data."""
        return {
            "name": self.name,
            "title": self.title,
            "about": self.about.strip(),
            "order": [way.orbit.name for way in self.ways],
            "hold": [self.hold.top, self.hold.front],
            "breaks": self.breaks,
            "lettering": self.lettering,
            "orbits": [way.to_dict() for way in self.ways],
            "parity": {
                "algorithm": write(self.parity.turns),
                "label": self.parity.label,
                "searched": self.parity.searched,
            },
            "checks": list(self.checks),
        }

    def setups_to_dict(self, letters: Lettering, orbit: str | None = None, every: bool = False) -> dict[str, Any]:
        """The setups of all orbits, or of one, as plain data: the easiest of each target, or every shortest one.

        Raises MethodError for an orbit the method does not have.
        """
        ways = self.ways if orbit is None else (self.way(orbit),)
        return {"method": self.name, "orbits": [way.setups_to_dict(letters, every) for way in ways]}


def method_names() -> tuple[str, ...]:
    """The methods that come with Nightfold, the default first."""
    names = shipped_names("methods")
    return (DEFAULT, *(name for name in names if name != DEFAULT))


@lru_cache(maxsize=64)
def _shipped(name: str) -> Method:
    return method_from(read_named(name, "methods", MethodError)[1], name)


def load_method(source: str | Path = DEFAULT) -> Method:
    """A method by its shipped name or from a file, derived and checked.

    Raises MethodError (its ``problems`` list every failed check) when it is missing, unreadable or cannot work.
    """
    if isinstance(source, str) and source in method_names():
        return _shipped(source)
    name, data = read_named(source, "methods", MethodError)
    return method_from(data, name, Path(source).parent)


@cache
def default_ease() -> Ease:
    """The weights of ``ease.toml``."""
    name = "ease.toml"
    return _ease(parse_toml((SHIPPED / name).read_bytes(), name, MethodError), None, name)


def _ease(table: Mapping[str, Any], base: Ease | None, where: str) -> Ease:
    only_known(dict(table), ("quarter", "half", "wide", "slice", "awkward"), where, MethodError)
    awkward = dict(base.awkward) if base else {}
    own = table_of(dict(table), "awkward", where, MethodError)
    layers = (*FACE_LETTERS, *(f"{face}w" for face in FACE_LETTERS), *SLICE_LETTERS)
    only_known(own, layers, f"{where}, awkward", MethodError)
    awkward.update(own)
    weights = {key: table.get(key, getattr(base, key, None)) for key in ("quarter", "half", "wide", "slice")}
    for key, value in [*weights.items(), *awkward.items()]:
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1000:
            raise MethodError(f"{where}: the weight “{key}” must be a number from 0 to 1000, not {shown(value)}")
    return Ease(**{key: float(value or 0) for key, value in weights.items()}, awkward=awkward)


def method_from(data: dict[str, Any], name: str, folder: Path | None = None) -> Method:
    """A method from the content of its file; errors as for ``load_method``.

    A lettering file that it names is looked for in ``folder`` first, where the method's own file lies.
    """
    size = data.get("size", 3)
    if not isinstance(size, int) or size != 3:
        raise MethodError(f"{name}: “size” is {shown(size)}; methods are for the 3x3x3 (size = 3)")
    geo = geometry(size)
    names = tuple(orbit.name for orbit in geo.orbits)
    scalars = ("name", "title", "about", "size", "order", "hold", "breaks", "lettering")
    only_known(data, (*scalars, *names, "parity", "ease"), name, MethodError)
    own_name = text_of(data, "name", name, MethodError, name)
    order = data.get("order", list(reversed(names)))
    if not isinstance(order, list) or sorted(map(shown, order)) != sorted(map(shown, names)):
        raise MethodError(f'{name}: “order” must name {and_list(names)} once each, as in ["edges", "corners"]')
    try:
        hold = parse_hold(text_of(data, "hold", name, MethodError, "white, green"))
        if {hold.top, hold.front} <= set(STANDARD_COLOURS):
            rotation_to(hold, Cube.solved(size))
    except ReadingError as trouble:
        raise MethodError(f"{name}, hold: {trouble}") from None
    breaks = text_of(data, "breaks", name, MethodError, POLICIES[0])
    if breaks not in POLICIES:
        raise MethodError(f"{name}: “breaks” is “{breaks[:24]}”; it can be {' or '.join(POLICIES)}")
    lettering = text_of(data, "lettering", name, MethodError, DEFAULT_LETTERING)
    if folder is not None and lettering not in lettering_names() and "\0" not in lettering:
        beside = folder / lettering
        lettering = str(beside) if beside.is_file() else lettering
    try:
        load_lettering(lettering, size)
    except LetteringError as trouble:
        raise MethodError(f"{name}, lettering: {trouble}") from None
    ease = _ease(table_of(data, "ease", name, MethodError), default_ease(), f"{name}, [ease]")

    ways: list[SwapWay] = []
    problems: list[str] = []
    checks: list[str] = []
    for orbit_name in order:
        way, wrong = _read_way(table_of(data, orbit_name, name, MethodError), orbit_name, size, ease, name)
        ways.append(way)
        problems.extend(wrong)
        if not wrong:
            checks.extend(_orbit_checks(way))
    if problems:
        raise MethodError(*(f"{name}: {problem}" for problem in problems))
    parity, said = _read_parity(table_of(data, "parity", name, MethodError), ways, size, name)
    return Method(
        name=own_name,
        title=text_of(data, "title", name, MethodError, own_name),
        about=text_of(data, "about", name, MethodError, ""),
        size=size,
        ways=tuple(ways),
        parity=parity,
        hold=hold,
        breaks=breaks,
        lettering=lettering,
        checks=(*checks, said),
    )


def _read_way(
    table: dict[str, Any], orbit_name: str, size: int, ease: Ease, name: str
) -> tuple[SwapWay, tuple[str, ...]]:
    where = f"{name}, [{orbit_name}]"
    if not table:
        raise MethodError(f"{name}: the table [{orbit_name}] is missing; it gives buffer, home and swap")
    only_known(table, ("way", "buffer", "home", "swap", "label"), where, MethodError)
    kind = text_of(table, "way", where, MethodError, SwapWay.kind)
    if kind not in WAYS:
        raise MethodError(f"{where}: the way “{kind[:24]}” is not known; known is {', '.join(WAYS)}")
    orbit = geometry(size).orbit(orbit_name)
    places = []
    for key in ("buffer", "home"):
        text = text_of(table, key, where, MethodError)
        try:
            sticker = geometry(size).sticker(text)
        except GeometryError as trouble:
            raise MethodError(f"{where}, {key}: {trouble}") from None
        if sticker not in orbit.stickers:
            raise MethodError(f"{where}: {key} “{text}” is no sticker of the {orbit_name}")
        places.append(sticker)
    algorithm = _algorithm(table, "swap", where, size)
    label = text_of(table, "label", where, MethodError, "swap algorithm")
    return WAYS[kind].checked(orbit, places[0], places[1], algorithm, label, ease)


def _algorithm(table: dict[str, Any], key: str, where: str, size: int) -> Algorithm:
    text = text_of(table, key, where, MethodError)
    try:
        algorithm = parse(text, size)
    except NotationError as trouble:
        raise MethodError(f"{where}, {key}: {trouble}") from None
    if not algorithm.nodes:
        raise MethodError(f"{where}: “{key}” has no turns in it")
    if len(algorithm.expand()) > 500:
        raise MethodError(f"{where}: “{key}” has more than 500 turns")
    return algorithm


def _orbit_checks(way: SwapWay) -> list[str]:
    geo = geometry(way.orbit.size)
    buffer, home = geo.names[way.buffer], geo.names[way.home]
    rest = f"disturbs only {and_list(way.disturbed_names)}" if way.disturbed else "disturbs nothing else"
    longest = max(len(setups[0].turns) for setups in way.setups.values())
    return [
        f"The {way.label} exchanges the {way.orbit.name} {buffer} and {home}, sticker to sticker, and {rest}.",
        f"All {len(way.targets)} targets of the {way.orbit.name} can be set up with at most {longest} turns.",
    ]


def _read_parity(table: dict[str, Any], ways: list[SwapWay], size: int, name: str) -> tuple[ParityStep, str]:
    """The parity step, checked against what two odd orbits leave behind, or searched."""
    where = f"{name}, [parity]"
    only_known(table, ("algorithm", "label"), where, MethodError)
    first, second = ways
    wanted = _undoing(ways)
    left = and_list(_pieces_moved(wanted, size))
    if "algorithm" not in table:
        turns = best_parity(wanted)
        if turns is None:
            raise MethodError(
                f"{name}: no short parity algorithm is known for what two odd orbits leave behind ({left}); give one "
                "as [parity] algorithm"
            )
        label = text_of(table, "label", where, MethodError, "parity algorithm")
        return ParityStep(Algorithm(turns, size), label, True), f"A parity algorithm was found; it restores {left}."
    algorithm = _algorithm(table, "algorithm", where, size)
    label = text_of(table, "label", where, MethodError, "parity algorithm")
    does = permutation_of(algorithm.expand(), size)
    if does != wanted:
        after = compose(compose(first.leftover, does), second.leftover)
        if does == identity(size):
            wrong = "it does nothing"
        else:
            wrong = f"after it {and_list(_pieces_moved(after, size)[:8])} are still not right"
        raise MethodError(
            f"{where}: the {label} must undo what two odd orbits leave behind ({left} exchanged), but {wrong}; "
            "correct it, or leave it out to have one searched"
        )
    return (
        ParityStep(algorithm, label, False),
        f"The {label} undoes exactly what two odd orbits leave behind: {left}.",
    )


def _undoing(ways: Sequence[SwapWay]) -> Permutation:
    """What undoes that two orbits with an odd number of letters each leave something behind."""
    first, second = ways
    return inverse(compose(first.leftover, second.leftover))


def _pieces_moved(permutation: Permutation, size: int) -> tuple[str, ...]:
    geo = geometry(size)
    moved = (s for cycle in Cube(size, permutation).cycles() for s in cycle)
    return tuple(dict.fromkeys(geo.piece_name(s) if geo.orbit_of(s) else geo.names[s] for s in moved))
