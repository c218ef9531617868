"""A reading drawn over the unfolded cube, and the cube from both sides in one picture."""

from __future__ import annotations

import re
from math import dist
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.blind.method import method_names
from nightfold.blind.plan import make_plan
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn
from nightfold.cube.picture import sticker_centre
from nightfold.cube.state import Cube
from nightfold.paper.constellation import bend, constellation_svg, star_points, stars_of
from nightfold.paper.ink import ACCENT
from nightfold.paper.sides import BEHIND, sides_svg
from tests.strategies import face_turns

SVG = "{http://www.w3.org/2000/svg}"


@given(face_turns(), st.sampled_from(method_names()))
@settings(max_examples=40, deadline=None)
def test_stars_stand_in_the_order_of_the_memo_where_its_stickers_are(turns: tuple[Turn, ...], method: str) -> None:
    for reading in make_plan(turns, method).orbits:
        stars = stars_of(reading)
        assert tuple(star.letter for star in stars) == reading.letters
        assert [star.order for star in stars] == list(range(len(stars)))
        assert [len([star for star in stars if star.cycle == at]) for at in range(len(reading.cycles))] == [
            len(cycle.targets) for cycle in reading.cycles
        ]
        assert sum(star.chosen for star in stars) == reading.breaks
        for star in stars:
            where = sticker_centre(3, star.sticker)
            earlier = [other.sticker for other in stars[: star.order]]
            assert star.again == (star.sticker in earlier)
            assert (star.at == where) == (not star.again)
        # No star hides another.
        assert len({star.at for star in stars}) == len(stars)


def test_a_figure_has_a_line_to_every_star_dotted_where_a_break_was_chosen() -> None:
    reading = make_plan("D R F2 R' B' D L2 B L' F' U2 L2 U B2 R2 D R2 D2 L2").orbits[1]
    assert [cycle.kind for cycle in reading.cycles] == ["break", "in place"]
    drawn = constellation_svg(Cube.solved(), reading, title='a "b" <c>')
    lines = re.findall(r'<path d="M[^"]+" stroke="(#[^"]+)" stroke-width="[\d.]+"( stroke-dasharray[^/]*)?/>', drawn)
    inked = [dashed for paint, dashed in lines if paint == ACCENT]
    assert len(inked) == len(reading.letters)
    assert [bool(dashed) for dashed in inked] == [star.chosen for star in stars_of(reading)]
    root = ElementTree.fromstring(drawn)
    assert root.attrib["aria-label"] == 'a "b" <c>'
    shown = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    stars = shown[shown.index("start") + 1 :]
    assert [text for text in stars if not text.isdigit()] == list(reading.letters)
    assert [text for text in stars if text.isdigit()] == [str(at) for at in range(1, len(reading.letters) + 1)]
    assert shown.count("start") == 1
    assert len(list(root.iter(f"{SVG}polygon"))) == len(reading.letters)


def test_letters_of_the_orbit_stand_where_no_star_is() -> None:
    plan = make_plan("R U F", lettering="greek")
    for reading in plan.orbits:
        root = ElementTree.fromstring(constellation_svg(plan.cube, reading, labels=plan.lettering.labels))
        shown = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
        letters = set(plan.lettering.of(reading.orbit).values())
        own = plan.lettering.symbol(reading.orbit, reading.buffer)
        assert {text for text in shown if text in letters} == letters - {own}


def test_in_grey_nothing_has_a_tint() -> None:
    plan = make_plan("R U F")
    drawn = constellation_svg(plan.cube, plan.orbits[0], labels=plan.lettering.labels, grey=True, prefix="x")
    paints = re.findall(r'(?:fill|stroke)="#([0-9a-f]+)"', drawn)
    assert paints
    assert all(len(set(re.findall("..", paint) if len(paint) == 6 else paint)) == 1 for paint in paints)
    for name in re.findall(r"url\(#(.+?)\)", drawn):
        assert f'id="{name}"' in drawn


def test_lines_leave_and_meet_stars_at_their_rims() -> None:
    start, end = (100.0, 100.0), (200.0, 40.0)
    numbers = [float(part) for part in re.findall(r"[\d.]+", bend(start, end, 12, 7))]
    leaves, meets = numbers[:2], numbers[-2:]
    assert dist(leaves, start) == pytest.approx(12, abs=0.1)
    assert dist(meets, end) == pytest.approx(7, abs=0.1)
    assert bend(start, (110.0, 100.0), 12, 7) == ""
    corners = [tuple(map(float, point.split(","))) for point in star_points((0, 0), 4, 10, 4).split()]
    assert [round(dist(corner, (0, 0))) for corner in corners] == [10, 4] * 4


@given(face_turns())
@settings(max_examples=20, deadline=None)
def test_both_sides_show_every_sticker_and_every_arrow(turns: tuple[Turn, ...]) -> None:
    up, left = geometry(3).sticker("UF"), geometry(3).sticker("LB")
    drawn = sides_svg(Cube.from_turns(turns), lit=[up, left], arrows=[(up, left)])
    root = ElementTree.fromstring(drawn)
    fills = [polygon.attrib["fill"] for polygon in root.iter(f"{SVG}polygon")]
    assert len([fill for fill in fills if fill != "none"]) == 54
    assert fills.count("none") == 4  # two rings, each a dark line on a white one
    line = re.search(r'<path d="M([\d.]+) [\d.]+L([\d.]+) [\d.]+" stroke="#fff"', drawn)
    assert line
    assert float(line[1]) < BEHIND < float(line[2])
