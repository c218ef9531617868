"""Holds: every way to hold the cube is found, and what is seen then is what was asked for."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.errors import ReadingError
from nightfold.blind.hold import Hold, as_held, colour_name, hold_as_typed, parse_hold, rotation_to
from nightfold.cube.geometry import geometry
from nightfold.cube.net import COLOUR_NAMES
from nightfold.cube.state import Cube

from . import referee

TURNS = [letter + suffix for letter in "ULFRBDulfrbdMESxyz" for suffix in ("", "2", "'")]
FACE_OF = dict(zip("WOGRBY", "ULFRBD", strict=True))
OPPOSITE = {"W": "Y", "Y": "W", "O": "R", "R": "O", "G": "B", "B": "G"}
HOLDS = [(top, front) for top in COLOUR_NAMES for front in COLOUR_NAMES if front not in (top, OPPOSITE[top])]


@pytest.mark.parametrize(
    ("text", "hold"),
    [
        ("white,green", Hold("W", "G")),
        ("W,G", Hold("W", "G")),
        ("w g", Hold("W", "G")),
        (" White ,  GREEN ", Hold("W", "G")),
        ("yellow/red", Hold("Y", "R")),
        ("o,Blue", Hold("O", "B")),
        ("K,P", Hold("K", "P")),
    ],
)
def test_reading_a_hold(text: str, hold: Hold) -> None:
    assert parse_hold(text) == hold


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ("two colours", "white,green")),
        ("white", ("“white”", "two colours")),
        ("white,green,red", ("two colours",)),
        ("white,,", ("two colours",)),
        ("white,purple", ("“purple” is no colour", "white, orange, green, red, blue, yellow")),
        ("white,w", ("names one colour twice",)),
        ("green,green", ("twice",)),
        ("ß,w", ("“ß” is no colour",)),
    ],
)
def test_no_hold(text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(ReadingError) as caught:
        parse_hold(text)
    for word in words:
        assert word in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_hold_as_words() -> None:
    assert str(Hold("W", "G")) == "white up, green in front"
    assert str(Hold("K", "P")) == "K up, P in front"
    assert colour_name("B") == "blue"


@pytest.mark.parametrize(("top", "front"), HOLDS)
def test_rotating_to_every_hold(top: str, front: str) -> None:
    """From any scramble, however it is held; no rotation is made where none is needed, and never more than two."""
    rng = random.Random(f"{top}{front}")
    for _ in range(40):
        scramble = " ".join(rng.choices(TURNS, k=15))
        cube = Cube.from_turns(scramble)
        rotation = rotation_to(Hold(top, front), cube)
        held = referee.play(f"{scramble} {rotation}")
        assert (held[4], held[22]) == (FACE_OF[top], FACE_OF[front])
        assert set(rotation) <= set("xyz2' ")
        assert len(rotation.split()) <= 2
        before = referee.play(scramble)
        if (before[4], before[22]) == (held[4], held[22]):
            assert rotation == ""
        else:
            singles = [axis + suffix for axis in "xyz" for suffix in ("", "2", "'")]
            single = [s for s in singles if referee.play(s, before)[4::18] == held[4::18]]
            single = [s for s in single if referee.play(s, before) == held]
            assert (len(rotation.split()) == 1) == bool(single)


def test_as_held_numbers_stickers_by_the_present_hold() -> None:
    """Centres come home and nothing else about the cube changes: it needs the same turns to be solved."""
    rng = random.Random(4)
    for _ in range(50):
        scramble = " ".join(rng.choices(TURNS, k=20))
        cube = Cube.from_turns(scramble)
        held = as_held(cube)
        for centre in geometry(3).fixed_centres.values():
            assert held.stickers[centre] == centre
        for orbit in ("edges", "corners"):
            seen = referee.look(referee.play(scramble), orbit)
            for place, sticker in seen.items():
                number = geometry(3).sticker(place)
                assert held.stickers[number] == geometry(3).sticker(sticker)
    assert as_held(Cube.from_turns("x y'", 5)) == Cube.solved(5)


def test_holds_a_cube_cannot_have() -> None:
    solved = Cube.solved()
    with pytest.raises(ReadingError, match="white and yellow are opposite faces"):
        rotation_to(Hold("W", "Y"), solved)
    with pytest.raises(ReadingError, match="no centre is K; the centres are W, O, G, R, B, Y"):
        rotation_to(Hold("K", "G"), solved)
    with pytest.raises(ReadingError, match="4x4x4 has no fixed centres"):
        rotation_to(Hold("W", "G"), Cube.solved(4))


def test_another_scheme() -> None:
    scheme = ("1", "2", "3", "4", "5", "6")
    rotation = rotation_to(Hold("4", "6"), Cube.solved(), scheme)
    held = referee.play(rotation)
    assert (held[4], held[22]) == ("R", "D")
    with pytest.raises(ReadingError, match="4 and 2 are opposite"):
        rotation_to(Hold("4", "2"), Cube.solved(), scheme)


@pytest.mark.parametrize(
    ("wanted", "scheme", "hold"),
    [
        (Hold("W", "G"), "WOGRBY", Hold("W", "G")),
        (Hold("Y", "R"), "WOGRBY", Hold("Y", "R")),
        (Hold("W", "G"), "GWOYRB", Hold("W", "G")),
        (Hold("W", "G"), "abcdef", Hold("a", "c")),
        (Hold("W", "G"), "WOXRBY", Hold("W", "X")),
        (Hold("W", "G"), "WORBYG", Hold("W", "R")),
    ],
)
def test_a_net_is_held_as_wanted_where_it_can_be_and_else_as_typed(wanted: Hold, scheme: str, hold: Hold) -> None:
    assert hold_as_typed(wanted, tuple(scheme)) == hold
    rotation_to(hold, Cube.solved(), tuple(scheme))  # can be reached
