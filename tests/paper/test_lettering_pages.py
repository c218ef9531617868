"""Lettering pages and flash cards: every sticker with its letter, and none with another's."""

from __future__ import annotations

import re
from math import dist
from xml.etree import ElementTree

import pytest

from nightfold.blind.lettering import lettering_names, load_lettering
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.picture import sticker_centre
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import FACES
from nightfold.paper.ink import PAPER_PAINT
from nightfold.paper.lettering_pages import cards_of, press_lettering
from nightfold.paper.place import place_svg, side_of
from nightfold.paper.press import Look
from nightfold.paper.subject import subject
from nightfold.paper.unfolded import unfolded_svg
from tests.paper.printed import pages, text

#: What stands among the letters and is none: what the colours are, and from where one looks.
CAPTIONS = re.compile(
    r"[ULFRBD] (?:white|orange|green|red|blue|yellow)|from the front: U, F, R|from behind: D, B, L|\s"
)
SVG = "{http://www.w3.org/2000/svg}"
each_lettering = pytest.mark.parametrize("lettering", lettering_names())


@each_lettering
@pytest.mark.parametrize("look", [Look(), Look("letter", grey=True)], ids=["a4", "letter-grey"])
def test_the_page_has_every_letter_on_the_net_and_on_the_two_views(lettering: str, look: Look) -> None:
    (page,) = pages(press_lettering(subject("left-hand", lettering), look))
    title, said = page.split("\n", 1)
    for face, colour in zip("ULFRBD", ("white", "orange", "green", "red", "blue", "yellow"), strict=True):
        assert f"{face} {colour}" in said
    assert title == f"The lettering {lettering}"
    assert "the buffers, UL of the edges and RUB of the corners" in " ".join(said.split())
    drawn = page[page.index("own pieces.") + 11 : page.index("Method")]
    counted = CAPTIONS.sub("", drawn)
    for sign in "".join(load_lettering(lettering).labels.values()):
        # Once for an edge and once for a corner, each on the net and on one of the views; faces have names besides.
        assert counted.count(sign) == 4 + 2 * (sign in "ULFRBD"), sign


@each_lettering
def test_the_net_has_every_letter_in_its_place(lettering: str) -> None:
    letters = load_lettering(lettering)
    root = ElementTree.fromstring(unfolded_svg(Cube.solved(), labels=letters.labels, names=True))
    expected = {**letters.labels, **{at: face for face, at in geometry(3).fixed_centres.items()}}
    placed = {}
    for sign in root.iter(f"{SVG}text"):
        at = (float(sign.attrib["x"]), float(sign.attrib["y"]))
        nearest = min(range(54), key=lambda sticker: dist(sticker_centre(3, sticker), at))
        placed[nearest] = "".join(sign.itertext())
    assert placed == expected


def test_the_net_is_painted_as_the_cube_is() -> None:
    root = ElementTree.fromstring(unfolded_svg(Cube.solved(), lit=[0]))
    squares = [square.attrib.get("fill") for square in root.iter(f"{SVG}rect")]
    assert squares[:54] == [paint for paint in PAPER_PAINT for _ in range(9)]
    assert squares[54:] == [None, None]  # a ring, and the white under it
    blank = ElementTree.fromstring(unfolded_svg(Cube.solved(), blank=True))
    white = [square.attrib["fill"] for square in blank.iter(f"{SVG}rect")]
    assert white.count("#ffffff") == 49
    grey = unfolded_svg(Cube.solved(), grey=True)
    assert not any(paint in grey for paint in PAPER_PAINT[1:])


def test_a_blank_page_has_the_faces_and_no_letters() -> None:
    (page,) = pages(press_lettering(subject(lettering="greek"), blank=True))
    assert not set(page) & set("ΓΔΘΛΞΠΣΦΨΩ")
    drawn = page[page.index("corner may.") + 11 : page.index("Method")]
    assert sorted(CAPTIONS.sub("", drawn)) == sorted("ULFRBD" * 2)


@each_lettering
@pytest.mark.parametrize("large", [False, True])
def test_behind_every_card_stands_its_letter(lettering: str, large: bool) -> None:
    """Turned over at its long edge, the sheet's left column lies behind the right one."""
    about = subject(lettering=lettering)
    sheets = pages(press_lettering(about, Look(large=large), cards=True))
    across = 3 if large else 4
    met = []
    for front, back in zip(sheets[::2], sheets[1::2], strict=True):
        named = re.findall(r"(edge|corner) sticker ([UDFBLR]{2,3})", front)
        behind = re.findall(r"^(\S+)\n(edge|corner) sticker ([UDFBLR]{2,3})", back, re.MULTILINE)
        assert len(named) == len(behind)
        for row in range(0, len(named), across):
            turned = behind[row : row + across][::-1]
            assert named[row : row + across] == [(piece, name) for _, piece, name in turned]
            for letter, piece, name in turned:
                sticker = geometry(3).sticker(name)
                assert about.letters.symbol(f"{piece}s", sticker) == letter
                met.append(sticker)
    assert sorted(met) == sorted(about.letters.labels)


def test_blank_cards_have_no_letters() -> None:
    shown = text(press_lettering(subject(lettering="greek"), blank=True, cards=True))
    assert not set(shown) & set("ΓΔΘΛΞΠΣΦΨΩ")
    assert shown.count("edge sticker") == shown.count("corner sticker") == 48


def test_cards_come_in_the_order_of_their_letters() -> None:
    for cards in cards_of(subject(lettering="greek")):
        assert [card.letter for card in cards] == sorted(card.letter for card in cards)
        assert len(cards) == 24


@pytest.mark.parametrize("grey", [False, True])
def test_a_place_is_the_one_sticker_with_full_colour_and_a_heavy_line(grey: bool) -> None:
    for sticker in range(54):
        root = ElementTree.fromstring(place_svg(3, sticker, grey=grey, names=True))
        faint, heavy = (group for group in root.iter(f"{SVG}g") if "stroke-width" in group.attrib)
        assert float(heavy.attrib["stroke-width"]) > 4 * float(faint.attrib["stroke-width"])
        (one,) = heavy.iter(f"{SVG}polygon")
        assert one.attrib["fill"] == ("#222222" if grey else PAPER_PAINT[sticker // 9])
        others = [polygon.attrib["fill"] for polygon in faint.iter(f"{SVG}polygon")]
        assert len(others) == 26
        assert not set(others) & set(PAPER_PAINT[1:])
        assert geometry(3).faces[sticker] in FACES[side_of(3, sticker)]


def test_pictures_take_the_colours_of_the_hold() -> None:
    scheme = subject(hold="yellow,red").scheme
    root = ElementTree.fromstring(unfolded_svg(Cube.solved(), colours=scheme))
    paint = dict(zip(STANDARD_COLOURS, PAPER_PAINT, strict=True))
    squares = [square.attrib["fill"] for square in root.iter(f"{SVG}rect")]
    assert squares == [paint[colour] for colour in scheme for _ in range(9)]
