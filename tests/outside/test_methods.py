"""What the trade knows of its swap algorithms, setups and parity, asked of the cube."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method
from nightfold.blind.reading import lowest_letter, trace_orbit
from nightfold.blind.setups import families
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube

GEO = geometry(3)
T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
SHORT_Y = "R U' R' U' R U R' F' R U R' U' R' F R"
R_PERM = "R U R' F' R U2 R' U2 R' F R U R U2 R' U'"


def effect(text: str) -> set[frozenset[str]]:
    """The cycles of stickers of an algorithm, as sets of names."""
    return {frozenset(GEO.names[sticker] for sticker in cycle) for cycle in Cube.from_turns(text).cycles()}


def exchanged(*pairs: tuple[str, str]) -> set[frozenset[str]]:
    """Exchanges of two stickers each, named in any order of the letters behind the first."""
    return {frozenset(GEO.names[GEO.sticker(name)] for name in pair) for pair in pairs}


def pieces(text: str) -> set[frozenset[frozenset[str]]]:
    """The cycles of pieces of an algorithm, each piece as the set of its faces."""
    return {frozenset(frozenset(name) for name in cycle) for cycle in effect(text)}


def piece_exchanges(*pairs: tuple[str, str]) -> set[frozenset[frozenset[str]]]:
    return {frozenset(frozenset(name) for name in pair) for pair in pairs}


def test_t_perm() -> None:
    """Common practice, no source: the T perm exchanges edges UR and UL and corners UFR and UBR."""
    assert pieces(T_PERM) == piece_exchanges(("UR", "UL"), ("UFR", "UBR"))
    # Sticker to sticker for the edges, as the two-swap method uses them.
    assert exchanged(("UR", "UL"), ("RU", "LU")) <= effect(T_PERM)


def test_short_y_perm() -> None:
    """Common practice, no source: the Y perm without its first and last F exchanges corners ULB (at the L sticker)
    and DFR (at the D sticker), and edges UB and UL.
    """
    assert pieces(SHORT_Y) == piece_exchanges(("ULB", "DFR"), ("UB", "UL"))
    assert exchanged(("LUB", "DFR")) <= effect(SHORT_Y)
    # With the F turns it is the whole Y perm, whose corners lie opposite each other in the top layer.
    assert pieces(f"F {SHORT_Y} F'") == piece_exchanges(("ULB", "UFR"), ("UB", "UL"))


def test_r_perm() -> None:
    """Common practice, no source: the R perm exchanges corners UFR and UBR and edges UB and UL."""
    assert pieces(R_PERM) == piece_exchanges(("UFR", "UBR"), ("UB", "UL"))
    assert exchanged(("UB", "UL"), ("BU", "LU"), ("UFR", "UBR")) <= effect(R_PERM)


def test_r_perm_is_what_remains_when_both_orbits_are_odd() -> None:
    """Common practice, no source: when both orbits have odd length in the two-swap method, the R perm's exchange
    remains: T perm, R perm and short Y perm together leave only buffers and home targets exchanged.
    """
    assert pieces(f"{T_PERM} {R_PERM} {SHORT_Y}") == piece_exchanges(("UR", "UL"), ("ULB", "DFR"))
    method = load_method("two-swap")
    assert str(method.parity.algorithm) == R_PERM
    assert method.parity.label == "R perm"


def test_free_turns_of_the_edges() -> None:
    """Common practice, no source: with edge buffer UR (home target UL, T perm) only turns of L, Lw, D, Dw are free."""
    way = load_method("two-swap").way("edges")
    assert (GEO.names[way.buffer], GEO.names[way.home]) == ("UR", "UL")
    assert families(way.free) == "L, Lw, D, Dw"


def test_free_turns_of_the_corners() -> None:
    """Common practice, no source: with corner buffer ULB (L sticker; home target DFR, D sticker) only R, D, F are
    free, and two turns always suffice.
    """
    way = load_method("two-swap").way("corners")
    assert (way.buffer, way.home) == (GEO.sticker("LUB"), GEO.sticker("DFR"))
    assert sorted(families(way.free).split(", ")) == ["D", "F", "R"]
    lengths = [len(setups[0].turns) for setups in way.setups.values()]
    assert len(lengths) == 21
    assert max(lengths) == 2


@pytest.mark.parametrize("seed", range(4))
def test_both_even_or_both_odd(seed: int) -> None:
    """Common practice, no source: a correct memo has edge and corner letter counts both even or both odd.

    With any buffers, and with breaks chosen at random.
    """
    rng = random.Random(seed)
    lettering = load_lettering()
    met = set()
    for _ in range(250):
        cube = Cube.from_turns(" ".join(rng.choices([f + s for f in "ULFRBD" for s in ("", "2", "'")], k=24)))
        odd = set()
        for name in ("edges", "corners"):
            orbit = GEO.orbit(name)
            choose = rng.choice((lowest_letter(lettering), lambda point: rng.choice(list(point.options))))
            reading = trace_orbit(cube, orbit, rng.choice(orbit.stickers), lettering, choose)
            odd.add(len(reading.letters) % 2)
        assert len(odd) == 1
        met |= odd
    assert met == {0, 1}
