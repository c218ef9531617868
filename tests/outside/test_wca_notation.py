"""The written turns against the WCA Regulations, version of 1 January 2024, Article 12a."""

from __future__ import annotations

import pytest

from nightfold.cube.errors import NotationError
from nightfold.cube.geometry import OPPOSITE, geometry, permutation_of
from nightfold.cube.notation import Turn, parse_turns
from nightfold.cube.sequences import count
from nightfold.cube.state import Cube
from tests.solid import outward, points

FACES = "ULFRBD"
every_size = pytest.mark.parametrize("size", range(2, 8))


def cube(text: str, size: int = 3) -> Cube:
    return Cube.from_turns(text, size)


@every_size
@pytest.mark.parametrize("face", FACES)
def test_face_turns(size: int, face: str) -> None:
    """Source: WCA Regulations 12a1: a letter is a quarter turn of that face clockwise, with an apostrophe the other
    way, with a 2 a half turn.
    """
    area = size * size
    at = FACES.index(face) * area
    turned = cube(face, size).stickers[at : at + area]
    # Clockwise: the left column, from the bottom, becomes the top row, and so on inwards.
    rows = [tuple(range(at + row * size, at + (row + 1) * size)) for row in range(size)]
    assert turned == tuple(sticker for column in zip(*reversed(rows), strict=True) for sticker in column)
    assert cube(f"{face}'", size) == cube(face, size).inverse()
    assert cube(f"{face}2", size) == cube(face, size).power(2)
    # Nothing of the opposite face moves.
    other = FACES.index(OPPOSITE[face]) * area
    assert cube(face, size).stickers[other : other + area] == tuple(range(other, other + area))


@every_size
@pytest.mark.parametrize("face", FACES)
def test_outer_block_turns(size: int, face: str) -> None:
    """Source: WCA Regulations 12a2: nXw turns the n outer layers on that side, where n is more than 1 and less than
    the size, and means 2 where it is left out; other numbers are no turn.
    """
    geo = geometry(size)
    direction = outward(face)
    for layers in range(size + 2):
        text = f"{layers}{face}w"
        if not 1 < layers < size:
            with pytest.raises(NotationError) as caught:
                parse_turns(text, size)
            assert (caught.value.token, caught.value.column) == (text, 1)
            continue
        assert parse_turns(text, size) == (Turn(face, 1, layers, 1),)
        stickers = cube(text, size).stickers
        for place, cubie in enumerate(points(size)[:, :3]):
            depth = (size - 1 - int(cubie @ direction)) // 2
            centre = size % 2 == 1 and [abs(c) for c in cubie].count(0) == 2
            if depth >= layers or (centre and geo.names[place][0] in (face, OPPOSITE[face])):
                assert stickers[place] == place
            else:
                assert stickers[place] != place
    if size > 2:
        assert parse_turns(f"{face}w", size) == parse_turns(f"2{face}w", size)
    else:
        with pytest.raises(NotationError):
            parse_turns(f"{face}w", size)


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("Rw", {3, 4, 5, 6, 7}),
        ("2Rw", {3, 4, 5, 6, 7}),
        ("3Rw", {4, 5, 6, 7}),
        ("4Rw", {5, 6, 7}),
        ("5Rw", {6, 7}),
        ("6Rw", {7}),
        ("7Rw", set()),
        ("1Rw", set()),
        ("0Rw", set()),
    ],
)
def test_where_an_outer_block_turn_exists(text: str, sizes: set[int]) -> None:
    """Source: WCA Regulations 12a2 and Guideline 12a2+: Rw and 2Rw are the same turn on a 3x3x3; 1Rw is never
    valid; 3Rw is invalid on the 2x2x2 and the 3x3x3.
    """
    allowed = set()
    for size in range(2, 8):
        try:
            parse_turns(text, size)
        except NotationError:
            continue
        allowed.add(size)
    assert allowed == sizes


def test_rw_and_2rw_are_one_turn() -> None:
    """Source: WCA Regulations, Guideline 12a2+."""
    for suffix in ("", "2", "'"):
        assert parse_turns("Rw" + suffix) == parse_turns("2Rw" + suffix)
        assert cube("Rw" + suffix) == cube("2Rw" + suffix) == cube(f"x{suffix} L{suffix}")


@every_size
@pytest.mark.parametrize(("rotation", "face"), [("x", "R"), ("y", "U"), ("z", "F")])
def test_rotations(size: int, rotation: str, face: str) -> None:
    """Source: WCA Regulations 12a4: x turns the whole cube in the direction of R, y of U, z of F."""
    opposite = OPPOSITE[face]
    for suffix, back in (("", "'"), ("'", ""), ("2", "2")):
        rotated = cube(rotation + suffix, size)
        assert rotated.is_solved
        if size == 2:
            assert rotated == cube(f"{face}{suffix} {opposite}{back}", 2)
        else:
            block = f"{size - 1}{face}w{suffix}"
            assert rotated == cube(f"{block} {opposite}{back}", size)
    turned, held = cube(face, size).stickers, cube(rotation, size).stickers
    names = geometry(size).names
    beside = [place for place in range(len(held)) if face in names[place]]
    assert all(held[place] == turned[place] for place in beside)


@pytest.mark.parametrize(
    ("text", "size", "obtm", "etm"),
    [
        ("R", 3, 1, 1),
        ("R2", 3, 1, 1),
        ("R'", 3, 1, 1),
        ("Rw", 3, 1, 1),
        ("3Rw2", 5, 1, 1),
        ("x", 3, 0, 1),
        ("y2", 3, 0, 1),
        ("z'", 3, 0, 1),
        ("R x U y' Fw2 z2", 3, 3, 6),
        ("R2 U F' Rw x2 U'", 3, 5, 6),
        ("x y z", 5, 0, 3),
        ("R L R'", 3, 3, 3),
        ("", 3, 0, 0),
    ],
)
def test_counting_turns(text: str, size: int, obtm: int, etm: int) -> None:
    """Source: WCA Regulations 12a5 and 12a6: in the outer-block metric a face turn or an outer-block turn counts 1 and
    a rotation 0; in the execution metric each of the three counts 1.
    """
    counts = count(parse_turns(text, size))
    assert (counts.obtm, counts.etm) == (obtm, etm)


@pytest.mark.parametrize("size", [3, 5, 7])
def test_a_middle_slice_is_two_outer_block_turns(size: int) -> None:
    """Source: WCA Regulations 12a5; that a slice is made of two outer blocks and a rotation is checked on the cube."""
    middle = (size + 1) // 2
    outer = f"{middle}Lw" if middle > 1 else "L"
    inner = f"{middle - 1}Lw'" if middle > 2 else "L'"
    assert cube("M", size) == cube(f"{outer} {inner}", size)
    assert count(parse_turns("M", size)).obtm == count(parse_turns(f"{outer} {inner}", size)).obtm == 2


@pytest.mark.parametrize("text", ["Rw2'", "R2'", "U2' Rw2'"])
def test_a_half_turn_has_no_direction_for_the_cube(text: str) -> None:
    """Source: common practice, no source: R2' is R2 made the other way round."""
    turns = parse_turns(text)
    assert permutation_of(turns, 3) == permutation_of(tuple(turn.plain for turn in turns), 3)
    assert any(turn != turn.plain for turn in turns)


def test_solved_in_any_orientation() -> None:
    """Source: WCA Regulations 10c: a cube is solved however it is held."""
    for text in ("", "x", "y2", "z' x", "Rw L'", "R U U' R'", "M L x R'"):
        assert cube(text).is_solved
    for text in ("R", "x U2", "M2", "Rw R'", "M L x R", "R L"):
        assert not cube(text).is_solved
