"""The unfolded cube as SVG."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError, NetError
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, net_of, net_rows
from nightfold.cube.picture import (
    HEIGHT,
    STICKER_PAINT,
    WIDTH,
    ink_on,
    luminance,
    net_svg,
    sticker_centre,
    sticker_pitch,
)
from nightfold.cube.state import Cube

SVG = "{http://www.w3.org/2000/svg}"
SIZES = range(2, 8)


def squares(svg: str) -> list[tuple[float, float, str]]:
    """The middle and the paint of every sticker drawn, in the order drawn (the first square is the ground)."""
    found = []
    for rect in list(ElementTree.fromstring(svg).iter(f"{SVG}rect"))[1:]:
        x, y, width, height = (float(rect.attrib[key]) for key in ("x", "y", "width", "height"))
        found.append((x + width / 2, y + height / 2, rect.attrib["fill"]))
    return found


def texts(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("size", SIZES)
def test_every_sticker_is_drawn_at_its_centre_in_its_paint(size: int) -> None:
    cube = Cube.from_turns("R U F' L2 B D", size)
    drawn = squares(net_svg(cube))
    assert len(drawn) == 6 * size * size
    for sticker, (x, y, paint) in enumerate(drawn):
        assert (x, y) == pytest.approx(sticker_centre(size, sticker), abs=0.02)
        assert paint == STICKER_PAINT[cube.colours[sticker]]


@pytest.mark.parametrize("size", SIZES)
def test_the_picture_lies_as_the_net_text_does(size: int) -> None:
    """Reading order is top to bottom, then left to right; neighbours on a face are one pitch apart."""
    rows = net_rows(size)
    centres = [[sticker_centre(size, sticker) for sticker in row] for row in rows]
    for row in centres:
        assert len({round(y, 6) for _, y in row}) == 1
        assert [x for x, _ in row] == sorted(x for x, _ in row)
    assert [row[0][1] for row in centres] == sorted(row[0][1] for row in centres)
    up, front = geometry(size).sticker("UFL"), geometry(size).sticker("FUL")
    assert sticker_centre(size, up)[0] == sticker_centre(size, front)[0]
    (x, y), (right, _) = sticker_centre(size, 0), sticker_centre(size, 1)
    assert right - x == pytest.approx(sticker_pitch(size))
    half = sticker_pitch(size) / 2
    for sticker in range(6 * size * size):
        x, y = sticker_centre(size, sticker)
        assert half < x < WIDTH - half
        assert half < y < HEIGHT - half


@pytest.mark.parametrize("sticker", [-1, 54, 999])
def test_a_sticker_the_cube_has_not(sticker: int) -> None:
    with pytest.raises(GeometryError, match="stickers 0 to 53"):
        sticker_centre(3, sticker)
    with pytest.raises(GeometryError):
        net_svg(Cube.solved(3), labels={sticker: "A"})


def test_stickers_without_a_label_carry_their_colour() -> None:
    faces, shown = texts(net_svg(Cube.solved(3)))[:6], texts(net_svg(Cube.solved(3)))[6:]
    assert faces == list("ULFRBD")
    assert shown == [colour for colour in STANDARD_COLOURS for _ in range(9)]
    labelled = texts(net_svg(Cube.solved(3), labels={4: "Q", 13: ""}))[6:]
    assert labelled == ["Q" if i == 4 else colour for i, colour in enumerate(shown)]


def test_labels_are_larger_than_initials_and_long_ones_fit() -> None:
    svg = ElementTree.fromstring(net_svg(Cube.solved(3), labels={0: "A", 1: "MMM"}))
    heights = [float(text.attrib["font-size"]) for text in svg.iter(f"{SVG}text")][6:]
    assert heights[0] > 2 * heights[2]
    assert 3 * heights[1] < sticker_pitch(3)


@given(st.text(max_size=20), st.text(max_size=20), st.sampled_from(list(SIZES)))
def test_any_label_and_title_make_valid_xml(label: str, title: str, size: int) -> None:
    root = ElementTree.fromstring(net_svg(Cube.solved(size), labels={3: label}, title=title))
    assert root.tag == f"{SVG}svg"
    assert root.attrib["role"] == "img"
    assert root[0].tag == f"{SVG}title"
    assert root.attrib["aria-label"]


def test_markup_in_words_stays_words() -> None:
    root = ElementTree.fromstring(
        net_svg(Cube.solved(2), labels={0: "<b>"}, title='Fennel Point & "the <lamp>"\0\ud800'.replace("\0", "\x01"))
    )
    assert root[0].text == root.attrib["aria-label"] == 'Fennel Point & "the <lamp>"\ufffd\ufffd'
    assert "<b>" in [text.text for text in root.iter(f"{SVG}text")]


def test_the_title_says_what_it_is_unless_told() -> None:
    assert ElementTree.fromstring(net_svg(Cube.solved(5)))[0].text == "The unfolded 5x5x5 cube"


def test_an_overlay_is_drawn_last() -> None:
    x, y = sticker_centre(3, 7)
    root = ElementTree.fromstring(net_svg(Cube.solved(3), overlay=f'<circle cx="{x}" cy="{y}" r="4"/>'))
    assert root[-1][0].tag == f"{SVG}circle"
    assert float(root[-1][0].attrib["cx"]) == x


def test_a_net_and_other_colours_are_painted_too() -> None:
    cube = Cube.from_turns("R U", 3)
    assert net_svg(net_of(cube)) == net_svg(cube)
    # Standard letters keep their paint wherever they are; others are painted by face.
    yellow_up = squares(net_svg(Cube.solved(3), colours="YOBRGW"))
    assert yellow_up[0][2] == STICKER_PAINT[5]
    for picture in (net_svg(cube, colours="123456"), net_svg(net_of(cube, "123456"))):
        assert [paint for *_, paint in squares(picture)] == [STICKER_PAINT[face] for face in cube.colours]
    with pytest.raises(NetError):
        net_svg(cube, colours="12345")


def test_a_notebook_shows_the_picture() -> None:
    cube = Cube.from_turns("R U", 4)
    assert cube._repr_svg_() == net_svg(cube)


def test_ink_can_be_read_on_every_paint() -> None:
    """At least 4.5:1, which the Web Content Accessibility Guidelines (WCAG) 2.1, criterion 1.4.3, ask of small text."""
    for paint in STICKER_PAINT:
        light, dark = sorted((luminance(paint), luminance(ink_on(paint))), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5, paint
    assert ink_on("#ffffff") != ink_on("#000000")


def test_luminance_is_that_of_the_guidelines() -> None:
    """Black is 0 and white 1, so their contrast is 21:1; the weights are those of sRGB (WCAG 2.1)."""
    assert luminance("#000000") == 0
    assert luminance("#ffffff") == pytest.approx(1)
    assert luminance("#ff0000") == pytest.approx(0.2126)
    assert luminance("#00ff00") == pytest.approx(0.7152)
    assert luminance("#0000ff") == pytest.approx(0.0722)


def test_paints_differ() -> None:
    def channels(paint: str) -> list[int]:
        return [int(paint[at : at + 2], 16) for at in (1, 3, 5)]

    for one, other in combinations(STICKER_PAINT, 2):
        assert sum(abs(a - b) for a, b in zip(channels(one), channels(other), strict=True)) > 90, (one, other)
