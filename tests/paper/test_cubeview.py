"""The cube from the front and from behind, and strips of it."""

from __future__ import annotations

from itertools import combinations
from math import dist
from typing import get_args
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, net_of
from nightfold.cube.notation import Turn, parse_turns
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES, HEIGHT, WIDTH, Side, sticker_corners, sticker_middle, view_svg
from nightfold.paper.ink import PAPER_PAINT
from nightfold.paper.strip import strip_svg
from tests.strategies import sequences

SVG = "{http://www.w3.org/2000/svg}"
SIDES: tuple[Side, ...] = get_args(Side)
SIZES = range(2, 8)


def shown(size: int, side: Side) -> list[int]:
    table = geometry(size)
    return [sticker for sticker in range(6 * size**2) if table.faces[sticker] in FACES[side]]


def fills(svg: str) -> list[str]:
    return [polygon.attrib["fill"] for polygon in ElementTree.fromstring(svg).iter(f"{SVG}polygon")]


def texts(svg: str) -> list[str]:
    return ["".join(text.itertext()) for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("size", SIZES)
def test_stickers_lie_apart_within_the_picture(size: int, side: Side) -> None:
    middles = [sticker_middle(size, sticker, side) for sticker in shown(size, side)]
    assert len(middles) == 3 * size**2
    corners = [corner for sticker in shown(size, side) for corner in sticker_corners(size, sticker, side)]
    assert all(0 < x < WIDTH and 0 < y < HEIGHT for x, y in corners)
    pitch = dist(*sticker_corners(size, shown(size, side)[0], side)[:2])
    assert all(dist(one, other) > 0.5 * pitch for one, other in combinations(middles, 2))


@pytest.mark.parametrize("side", SIDES)
def test_stickers_of_a_piece_meet_at_its_edge(side: Side) -> None:
    """Two stickers of one piece that both show have exactly two corners in common."""
    table = geometry(3)
    for one, other in combinations(shown(3, side), 2):
        if other in table.cubie_of(one):
            pairs = [
                (a, b)
                for a in sticker_corners(3, one, side)
                for b in sticker_corners(3, other, side)
                if dist(a, b) < 1e-6
            ]
            assert len(pairs) == 2


def test_the_two_sides_show_every_sticker_once() -> None:
    assert sorted(shown(3, "front") + shown(3, "behind")) == list(range(54))


def test_right_is_right_and_up_is_up() -> None:
    """On the front R lies right of F and U above both; from behind L lies right of B and D below both."""
    table = geometry(3)
    centre = {face: sticker_middle(3, table.fixed_centres[face], side) for side in SIDES for face in FACES[side]}
    assert centre["F"][0] < centre["U"][0] < centre["R"][0]
    assert centre["U"][1] < min(centre["F"][1], centre["R"][1])
    assert centre["B"][0] < centre["D"][0] < centre["L"][0]
    assert centre["D"][1] > max(centre["B"][1], centre["L"][1])


@given(sequences(3), st.sampled_from(SIDES))
def test_every_sticker_has_the_paint_of_its_colour(turns: tuple[Turn, ...], side: Side) -> None:
    cube = Cube.from_turns(turns)
    symbols = net_of(cube, STANDARD_COLOURS).symbols
    paint = dict(zip(STANDARD_COLOURS, PAPER_PAINT, strict=True))
    assert fills(view_svg(cube, side)) == [paint[symbols[sticker]] for sticker in shown(3, side)]


def test_grey_has_a_hatching_for_every_colour_and_no_paint() -> None:
    for side in SIDES:
        drawn = view_svg(Cube.solved(), side, grey=True, prefix="a")
        assert len(set(fills(drawn))) == 3
        assert not any(paint in drawn for paint in PAPER_PAINT[1:])
        for fill in fills(drawn):
            assert fill == "#ffffff" or f'id="{fill[5:-1]}"' in drawn


def test_labels_rings_and_arrows() -> None:
    table = geometry(3)
    up, right, behind = table.sticker("UF"), table.sticker("RU"), table.sticker("BL")
    labels = {up: "<&\x00", right: "字", behind: "Z"}
    drawn = view_svg(Cube.solved(), labels=labels, lit=[up], arrows=[(up, right), (up, behind)], title='a "b" <c>')
    assert sorted(texts(drawn)) == sorted(["<&\ufffd", "字"])
    assert fills(drawn).count("none") == 2  # a ring, and the white under it
    assert drawn.count('stroke-width="3" fill="none"') == 1
    assert ElementTree.fromstring(drawn).attrib["aria-label"] == 'a "b" <c>'


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(GeometryError, match="does not show sticker 9"):
        sticker_corners(3, 9, "front")
    with pytest.raises(GeometryError, match="stickers 0 to 53, not 54"):
        view_svg(Cube.solved(), labels={54: "A"})


@given(sequences(3))
def test_a_strip_shows_every_cube_on_the_way(turns: tuple[Turn, ...]) -> None:
    drawn = strip_svg(Cube.solved(), turns)
    assert texts(drawn) == ["before", *(str(turn) for turn in turns)]
    cube, expected = Cube.solved(), fills(view_svg(Cube.solved()))
    for turn in turns:
        cube = cube.apply((turn,))
        expected += fills(view_svg(cube))
    assert fills(drawn) == expected


def test_a_strip_rings_stickers_picture_by_picture() -> None:
    turns = parse_turns("R U")
    drawn = strip_svg(
        Cube.solved(), turns, lit=[frozenset(), frozenset({8}), frozenset({8, 26})], grey=True, prefix="x"
    )
    assert fills(drawn).count("none") == 2 * (2 + (geometry(3).faces[26] in "UFR"))
    assert drawn.count("<defs>") == 1
