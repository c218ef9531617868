"""``nightfold turns``: what is said of an algorithm, against the cube itself."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Algorithm, parse, parse_turns, write
from nightfold.cube.state import Cube
from tests.cli.running import here, there
from tests.strategies import algorithms, sizes

KEYS = ["algorithm", "size", "expanded", "cancelled", "inverse", "mirrored", "counts", "order", "cycles"]


def mirrored(cube: Cube) -> tuple[int, ...]:
    """The stickers of the cube as a mirror between left and right shows them, found by where they are in space."""
    where = geometry(cube.size).coordinates
    at = {place: number for number, place in enumerate(where)}
    reflect = [at[(-x, y, z), (-u, v, w)] for (x, y, z), (u, v, w) in where]
    shown = [0] * len(where)
    for place, sticker in enumerate(cube.stickers):
        shown[reflect[place]] = reflect[sticker]
    return tuple(shown)


def counted(text: str) -> dict[str, int]:
    """The four counts, from the turns as they are written."""
    tally = dict.fromkeys(("obtm", "etm", "stm", "qtm"), 0)
    for token in text.split():
        tally["etm"] += 1
        if token[0] in "xyz":
            continue
        blocks = 2 if token[0] in "MES" or re.fullmatch(r"\d[ULFRBD]2?'?", token) else 1
        tally["stm"] += 1
        tally["obtm"] += blocks
        tally["qtm"] += blocks * (2 if "2" in token.lstrip("234567")[1:] else 1)
    return tally


def check(data: Any, algorithm: Algorithm) -> None:
    size = algorithm.size
    cube = Cube.from_turns(algorithm, size)
    assert list(data) == KEYS
    assert data["size"] == size
    assert parse(data["algorithm"], size) == algorithm
    assert data["expanded"] == write(algorithm.expand())
    assert Cube.from_turns(data["cancelled"], size) == cube
    assert len(data["cancelled"].split()) <= len(data["expanded"].split())
    assert cube.apply(data["inverse"]) == Cube.solved(size)
    assert Cube.from_turns(data["mirrored"], size).stickers == mirrored(cube)
    assert data["counts"] == counted(data["expanded"])
    order = data["order"]
    assert cube.power(order) == Cube.solved(size)
    for prime in (2, 3, 5, 7, 11, 13, 17, 19, 23):
        assert order % prime or cube.power(order // prime) != Cube.solved(size)
    cycles(data["cycles"], cube)


def cycles(told: dict[str, list[list[str]]], cube: Cube) -> None:
    """Assert that the cycles tell where every moving sticker of every orbit goes."""
    geo = geometry(cube.size)
    goes = {sticker: place for place, sticker in enumerate(cube.stickers)}
    seen: set[int] = set()
    for kind, listed in told.items():
        for names in listed:
            places = [geo.sticker(name) for name in names]
            assert len(places) > 1
            for here_, there_ in zip(places, places[1:] + places[:1], strict=True):
                assert goes[here_] == there_
                orbit = geo.orbit_of(here_)
                assert orbit.name == kind if orbit else kind == "centres"
            assert not seen & set(places)
            seen |= set(places)
    moving = {sticker for sticker, place in goes.items() if sticker != place}
    fixed_centres = set(geo.fixed_centres.values())
    assert seen == {s for s in moving if geo.orbit_of(s) is not None or s in fixed_centres}


@given(sizes.flatmap(algorithms))
@settings(max_examples=80)
def test_the_data_is_true_of_the_cube(algorithm: Algorithm) -> None:
    check(here("turns", str(algorithm), "--size", str(algorithm.size), "--json").data, algorithm)


@pytest.mark.parametrize("size", range(2, 8))
def test_a_turn_of_each_size(size: int) -> None:
    wide = f"{size - 1}Rw" if size > 2 else "R"
    text = f"[{wide}, U2 F'] x y2"
    check(here("turns", text, "--size", str(size), "--json").data, parse(text, size))


@given(st.sampled_from(["", "R R'", "(R U)105", "R4", "[R: U]0"]))
def test_what_moves_nothing(text: str) -> None:
    ran = here("turns", text)
    if text in ("R4", "[R: U]0"):
        assert ran.code == 2
    else:
        assert ran.code == 0
        assert "moves nothing" in ran.out
        data = here("turns", text, "--json").data
        assert (data["order"], data["cycles"]) == (1, {})


def test_known_algorithms() -> None:
    """The T perm exchanges two edges and two corners (common practice, no source)."""
    data = here("turns", "R U R' U' R' F R2 U' R' U' R U R' F'", "--json").data
    assert data["order"] == 2
    assert data["counts"] == {"obtm": 14, "etm": 14, "stm": 14, "qtm": 15}
    edges, corners = (set(map(frozenset, data["cycles"][orbit])) for orbit in ("edges", "corners"))
    assert edges == {frozenset(pair) for pair in (("UL", "UR"), ("LU", "RU"))}
    assert corners == {frozenset(pair) for pair in (("UBR", "UFR"), ("RUB", "FUR"), ("BUR", "RUF"))}


def test_the_text_tells_what_the_data_holds() -> None:
    text = "[R U, 3Lw2] 2D L L2 S"
    options = ("--size", "5")
    data = here("turns", text, *options, "--json").data
    ran = here("turns", text, *options)
    flowing = " ".join(ran.out.split())
    assert f"algorithm {text} expanded {data['expanded']} without waste {data['cancelled']} inverse " in flowing
    assert f"mirrored {data['mirrored']} order {data['order']}: done that often" in flowing
    assert "{obtm} OBTM, {etm} ETM, {stm} STM, {qtm} QTM".format(**data["counts"]) in flowing
    for kind, listed in data["cycles"].items():
        assert kind.upper() in ran.lines
        for names in listed:
            assert " > ".join(names) + (f" > {names[0]}" if len(names) > 2 else "") in flowing
    assert there("turns", text, *options) == ran
    assert parse_turns(data["expanded"], 5) == parse(text, 5).expand()
