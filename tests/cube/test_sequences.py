"""What one does with a sequence of turns without a cube, held against what the turns do on one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.errors import NotationError
from nightfold.cube.geometry import permutation_of, rotation_permutations
from nightfold.cube.notation import Turn, invert, parse_turns, write
from nightfold.cube.sequences import (
    Counts,
    cancel,
    count,
    mirror,
    mirror_turn,
    rotate,
    rotate_turn,
)
from nightfold.cube.state import Cube
from tests.solid import reflection
from tests.strategies import all_turns, sequences, sizes

Sequence = tuple[Turn, ...]
planes = st.sampled_from("MES")
holds = st.sampled_from(sorted(rotation_permutations(3)))
rotations = st.lists(st.sampled_from([t for t in all_turns(3) if t.is_rotation]), max_size=4).map(tuple)


def sized_sequences(most: int = 25) -> st.SearchStrategy[tuple[int, Sequence]]:
    return sizes.flatmap(lambda size: st.tuples(st.just(size), sequences(size, most)))


# --- mirrors ----------------------------------------------------------------------------------------------------


@given(sized_sequences(), planes)
def test_mirror_twice_is_nothing(case: tuple[int, Sequence], plane: str) -> None:
    _, turns = case
    assert mirror(mirror(turns, plane), plane) == turns


@given(sized_sequences(12), sized_sequences(12), planes)
def test_mirror_goes_turn_by_turn_and_with_the_inverse(
    first: tuple[int, Sequence], second: tuple[int, Sequence], plane: str
) -> None:
    a, b = first[1], second[1]
    assert mirror(a + b, plane) == mirror(a, plane) + mirror(b, plane)
    assert mirror(invert(a), plane) == invert(mirror(a, plane))


@given(sized_sequences(), planes)
def test_a_mirrored_sequence_does_the_mirrored_thing(case: tuple[int, Sequence], plane: str) -> None:
    size, turns = case
    seen_as = reflection(size, plane)
    act = permutation_of(turns, size)
    mirrored = tuple(seen_as[act[seen_as[place]]] for place in range(len(act)))
    assert permutation_of(mirror(turns, plane), size) == mirrored


@given(sized_sequences())
def test_two_mirrors_make_a_half_turn_of_the_whole_cube(case: tuple[int, Sequence]) -> None:
    size, turns = case
    both = mirror(mirror(turns, "M"), "S")
    assert permutation_of(both, size) == permutation_of(rotate(turns, "y2"), size)


@pytest.mark.parametrize(
    ("plane", "text", "mirrored"),
    [
        ("M", "R U R' U' F2 B D2'", "L' U' L U F2' B' D2"),
        ("E", "R U R' U' F2 B D2'", "R' D' R D F2' B' U2"),
        ("S", "R U R' U' F2 B D2'", "R' U' R U B2' F' D2"),
        ("M", "M E S x y z", "M E' S' x y' z'"),
        ("E", "M E S x y z", "M' E S' x' y z'"),
        ("S", "M E S x y z", "M' E' S x' y' z"),
        ("M", "Rw Uw'", "Lw' Uw"),
    ],
)
def test_mirrored_by_hand(plane: str, text: str, mirrored: str) -> None:
    assert write(mirror(parse_turns(text), plane)) == mirrored


def test_mirrored_inner_layers_keep_their_depth() -> None:
    assert write(mirror(parse_turns("2R 3Lw' 3F", 5), "M")) == "2L' 3Rw 3F'"


@pytest.mark.parametrize("plane", ["", "R", "m", "ME"])
def test_another_mirror_is_refused(plane: str) -> None:
    with pytest.raises(NotationError, match="is no mirror; M exchanges left and right, E up and down, S front"):
        mirror_turn(Turn("R", 1, 1, 1), plane)


# --- turning the whole cube first -------------------------------------------------------------------------------


@given(sized_sequences(), holds)
def test_a_rotated_sequence_moves_the_same_layers(case: tuple[int, Sequence], hold: str) -> None:
    size, turns = case
    assert Cube.from_turns(hold, size).apply(rotate(turns, hold)) == Cube.from_turns(turns, size).apply(hold)


@given(sized_sequences(), rotations, rotations)
def test_rotating_in_two_steps_is_rotating_by_both(
    case: tuple[int, Sequence], first: Sequence, second: Sequence
) -> None:
    turns = case[1]
    assert rotate(rotate(turns, write(first)), write(second)) == rotate(turns, write(first + second))


@given(sized_sequences(), rotations)
def test_rotating_back_gives_the_same_text(case: tuple[int, Sequence], rotation: Sequence) -> None:
    turns = case[1]
    assert rotate(rotate(turns, write(rotation)), write(invert(rotation))) == turns


@pytest.mark.parametrize(
    ("rotation", "text", "rotated"),
    [
        ("", "R U F", "R U F"),
        ("y", "R U F D' L2 B", "F U L D' B2 R"),
        ("x", "R U F D' L2 B", "R B U F' L2 D"),
        ("z'", "R U F D' L2 B", "U L F R' D2 B"),
        ("x y", "U F", "R U"),
        ("y", "M S E x z y", "S' M E z x' y"),
        ("y2", "Rw M", "Lw M'"),
        ("x", "E S", "S E'"),
    ],
)
def test_rotated_by_hand(rotation: str, text: str, rotated: str) -> None:
    assert write(rotate(parse_turns(text), rotation)) == rotated


def test_only_rotations_rotate() -> None:
    with pytest.raises(NotationError, match="“U2” is no rotation of the whole cube; x, y and z are") as caught:
        rotate(parse_turns("R"), "x U2")
    assert caught.value.token == "U2"
    with pytest.raises(NotationError):
        rotate_turn(Turn("R", 1, 1, 1), parse_turns("M"))
    with pytest.raises(NotationError):
        rotate(parse_turns("R"), "x q")


# --- shortening ---------------------------------------------------------------------------------------------------


@given(sized_sequences())
def test_cancelling_keeps_the_effect_and_is_done_at_once(case: tuple[int, Sequence]) -> None:
    size, turns = case
    short = cancel(turns)
    assert permutation_of(short, size) == permutation_of(turns, size)
    assert cancel(short) == short
    assert len(short) <= len(turns)
    before, after = count(turns), count(short)
    assert (after.obtm, after.etm, after.stm) <= (before.obtm, before.etm, before.stm)
    assert after.qtm <= before.qtm


@given(sized_sequences())
def test_a_sequence_and_its_inverse_cancel_to_nothing(case: tuple[int, Sequence]) -> None:
    turns = case[1]
    assert cancel(turns + invert(turns)) == ()


@given(st.lists(st.sampled_from([t for t in all_turns(5) if t.letter in "RLMx"]), max_size=30).map(tuple))
def test_parallel_turns_end_with_each_layer_at_most_once(turns: Sequence) -> None:
    short = cancel(turns)
    layers = [turn[:3] for turn in short]
    assert len(layers) == len(set(layers))
    assert all(turn.amount in (1, 2, -1) for turn in short)


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("L L2", "L'"),
        ("R L R'", "L"),
        ("R L R", "R2 L"),
        ("R R R", "R'"),
        ("R R R R", ""),
        ("R2 R2'", ""),
        ("R2'", "R2"),
        ("U R R' U", "U2"),
        ("U R L R' L' U'", ""),
        ("F R U U' R' F'", ""),
        ("R M x R' M' x'", ""),
        ("R Rw R", "R2 Rw"),
        ("R U R'", "R U R'"),
        ("x y x'", "x y x'"),
        ("", ""),
    ],
)
def test_cancelled_by_hand(text: str, short: str) -> None:
    assert write(cancel(parse_turns(text))) == short


# --- counting -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "size", "counts"),
    [
        ("", 3, Counts(0, 0, 0, 0)),
        ("R U R' U'", 3, Counts(4, 4, 4, 4)),
        ("R2 U2' F", 3, Counts(3, 3, 3, 5)),
        ("x R y2 U z'", 3, Counts(2, 5, 2, 2)),
        ("Rw 3Rw2 u'", 5, Counts(3, 3, 3, 4)),
        ("M2 U M2 U2 M2 U M2", 3, Counts(11, 7, 7, 20)),
        ("M' E2 S", 3, Counts(6, 3, 3, 8)),
        ("2R U 3L2", 5, Counts(5, 3, 3, 7)),
        ("[R, U]2", 3, Counts(8, 8, 8, 8)),
    ],
)
def test_counted_by_hand(text: str, size: int, counts: Counts) -> None:
    assert count(parse_turns(text, size)) == counts


@given(sized_sequences(), sized_sequences())
def test_counts_add_up(first: tuple[int, Sequence], second: tuple[int, Sequence]) -> None:
    a, b, both = count(first[1]), count(second[1]), count(first[1] + second[1])
    assert both == Counts(a.obtm + b.obtm, a.etm + b.etm, a.stm + b.stm, a.qtm + b.qtm)


@given(sized_sequences(), planes, holds)
def test_counts_do_not_depend_on_how_one_looks(case: tuple[int, Sequence], plane: str, hold: str) -> None:
    turns = case[1]
    wanted = count(turns)
    assert count(mirror(turns, plane)) == count(rotate(turns, hold)) == count(invert(turns)) == wanted
    assert wanted.stm <= wanted.obtm <= wanted.qtm
    assert wanted.stm <= wanted.etm


@given(sequences(3))
def test_the_quarter_turns_tell_the_parity_of_the_corners(turns: Sequence) -> None:
    # A rotation or a slice of the 3x3x3 moves no corner, or moves them all evenly; only face turns are odd, and
    # the block count gives a slice an even number.
    places = [piece for piece, _ in Cube.from_turns(turns).pieces("corners")]
    swaps = sum(places[i] > places[j] for j in range(8) for i in range(j))
    assert swaps % 2 == count(turns).qtm % 2
