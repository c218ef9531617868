"""The immutable cube: a group, its pieces, and what it looks like."""

from __future__ import annotations

import dataclasses
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError, NotationError
from nightfold.cube.geometry import geometry, permutation_of, rotation_permutations
from nightfold.cube.notation import Turn, parse
from nightfold.cube.state import Cube, as_turns
from tests.strategies import all_turns, sequences, sizes

every_size = pytest.mark.parametrize("size", range(2, 8))
HOLDS = sorted(rotation_permutations(3))


def cubes(size: int) -> st.SearchStrategy[Cube]:
    return sequences(size).map(lambda turns: Cube.from_turns(turns, size))


def same_sized(number: int) -> st.SearchStrategy[tuple[Cube, ...]]:
    return sizes.flatmap(lambda size: st.tuples(*[cubes(size)] * number))


def centred(size: int) -> list[Turn]:
    """Turns that leave the fixed centres, where there are any, at home."""
    homes = [geometry(size).sticker(face) for face in "ULFRBD"] if size % 2 else []
    return [t for t in all_turns(size) if all(permutation_of((t,), size)[home] == home for home in homes)]


CENTRED = {size: centred(size) for size in range(2, 8)}
centred_cubes = sizes.flatmap(
    lambda size: st.lists(st.sampled_from(CENTRED[size]), max_size=25).map(lambda turns: Cube.from_turns(turns, size))
)


# --- making ---------------------------------------------------------------------------------------------------


@every_size
def test_a_solved_cube(size: int) -> None:
    cube = Cube.solved(size)
    assert cube.stickers == tuple(range(6 * size * size))
    assert cube.is_solved
    assert cube.order == 1
    assert cube.cycles() == ()
    assert Counter(cube.colours) == dict.fromkeys(range(6), size * size)
    assert list(cube.colours) == sorted(cube.colours)


@pytest.mark.parametrize("size", [0, 1, 8])
def test_sizes_that_are_not_known(size: int) -> None:
    for make in (Cube.solved, lambda n: Cube.from_turns("", n), lambda n: Cube.from_pieces({}, n)):
        with pytest.raises(GeometryError, match="sizes 2 to 7"):
            make(size)


def test_turns_are_taken_in_every_form() -> None:
    text = "R [U, F2]' x"
    algorithm = parse(text)
    turns = algorithm.expand()
    for form in (text, algorithm, turns, list(turns)):
        assert as_turns(form, 3) == turns
        assert Cube.solved().apply(form) == Cube.from_turns(form) == Cube(3, permutation_of(turns, 3))


def test_text_is_read_for_the_cube_s_own_size() -> None:
    assert Cube.solved(5).apply("3Rw 2U").size == 5
    with pytest.raises(NotationError, match="3Rw"):
        Cube.solved(3).apply("3Rw")
    with pytest.raises(NotationError, match="no middle layer"):
        Cube.from_turns("M", 4)


def test_turns_made_for_another_size_are_refused() -> None:
    with pytest.raises(GeometryError, match="a 2x2x2 has no turn M"):
        Cube.solved(2).apply(parse("R M"))
    with pytest.raises(GeometryError, match="a 4x4x4 has no turn 4Rw'"):
        Cube.solved(4).apply(parse("4Rw'", 6))


def test_a_cube_cannot_be_changed() -> None:
    cube = Cube.from_turns("R U")
    with pytest.raises(dataclasses.FrozenInstanceError):
        cube.size = 4  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        cube.stickers = ()  # type: ignore[misc]
    # A slotted frozen class refuses a new name too, but which error it raises has changed between Pythons.
    with pytest.raises((AttributeError, TypeError)):
        cube.name = "mine"  # type: ignore[attr-defined]


@given(same_sized(2))
def test_working_with_a_cube_leaves_it_as_it_was(pair: tuple[Cube, ...]) -> None:
    a, b = pair
    before = a.stickers
    for result in (a.apply("R U2"), a.then(b), a.inverse(), a.power(3)):
        assert isinstance(result.stickers, tuple)
    assert a.stickers is before
    assert a.cycles() == Cube(a.size, before).cycles()


@given(same_sized(2))
def test_equal_cubes_are_equal_keys(pair: tuple[Cube, ...]) -> None:
    a, b = pair
    again = Cube(a.size, (*a.stickers,))
    assert again == a
    assert hash(again) == hash(a)
    assert len({a, again, b}) == (1 if a == b else 2)
    assert a != a.apply("R")


# --- a group -------------------------------------------------------------------------------------------------


@given(same_sized(3))
def test_laws_of_a_group(three: tuple[Cube, ...]) -> None:
    a, b, c = three
    one = Cube.solved(a.size)
    assert a.then(b).then(c) == a.then(b.then(c))
    assert a.then(one) == one.then(a) == a
    assert a.then(a.inverse()) == a.inverse().then(a) == one
    assert a.then(b).inverse() == b.inverse().then(a.inverse())
    assert a * b == a.then(b)


@given(sizes.flatmap(lambda size: st.tuples(st.just(size), sequences(size), sequences(size))))
def test_turns_after_turns_are_cubes_multiplied(case: tuple[int, tuple[Turn, ...], tuple[Turn, ...]]) -> None:
    size, a, b = case
    assert Cube.from_turns(a + b, size) == Cube.from_turns(a, size).then(Cube.from_turns(b, size))
    assert Cube.from_turns(a, size).apply(b) == Cube.from_turns(a + b, size)


def test_cubes_of_different_sizes_are_not_multiplied() -> None:
    with pytest.raises(GeometryError, match="cubes of 3 and 4 layers cannot be multiplied"):
        Cube.solved(3).then(Cube.solved(4))


@given(sizes.flatmap(cubes), st.integers(-12, 12), st.integers(-12, 12))
def test_powers(cube: Cube, m: int, n: int) -> None:
    by_hand = Cube.solved(cube.size)
    for _ in range(abs(m)):
        by_hand = by_hand.then(cube if m > 0 else cube.inverse())
    assert cube.power(m) == by_hand
    assert cube.power(m).then(cube.power(n)) == cube.power(m + n)
    assert cube.power(m).power(n) == cube.power(m * n)


@given(sizes.flatmap(cubes))
def test_the_order_is_the_first_power_that_solves(cube: Cube) -> None:
    order = cube.order
    one = Cube.solved(cube.size)
    assert cube.power(order) == one
    primes = [p for p in range(2, 100) if order % p == 0 and all(p % q for q in range(2, p))]
    assert all(cube.power(order // p) != one for p in primes)
    assert cube.inverse().order == order
    assert cube.power(order + 1) == cube


@given(same_sized(2))
def test_conjugates_have_cycles_of_the_same_lengths(pair: tuple[Cube, ...]) -> None:
    a, b = pair
    turned = b.inverse().then(a).then(b)
    assert sorted(map(len, turned.cycles())) == sorted(map(len, a.cycles()))
    assert turned.order == a.order


@given(sizes.flatmap(cubes))
def test_cycles_tell_the_whole_cube(cube: Cube) -> None:
    rebuilt = list(range(len(cube.stickers)))
    seen: set[int] = set()
    for cycle in cube.cycles():
        assert len(cycle) > 1
        assert cycle[0] == min(cycle)
        assert not seen & set(cycle)
        seen |= set(cycle)
        for here, there in zip(cycle, cycle[1:] + cycle[:1], strict=True):
            rebuilt[there] = here  # the sticker at home here is seen there
    assert tuple(rebuilt) == cube.stickers


def test_cycles_follow_a_turn() -> None:
    geo = geometry(3)
    cycles = {" ".join(geo.names[place] for place in cycle) for cycle in Cube.from_turns("U").cycles()}
    assert cycles == {
        "UBL UBR UFR UFL",
        "UB UR UF UL",
        "LUB BUR RUF FUL",
        "LU BU RU FU",
        "LUF BUL RUB FUR",
    }


# --- pieces -------------------------------------------------------------------------------------------------


@given(centred_cubes)
def test_pieces_make_the_cube_again(cube: Cube) -> None:
    pieces = {orbit.name: cube.pieces(orbit) for orbit in geometry(cube.size).orbits}
    assert Cube.from_pieces(pieces, cube.size) == cube


@given(sizes.flatmap(cubes))
def test_pieces_are_told_where_their_first_sticker_is(cube: Cube) -> None:
    for orbit in geometry(cube.size).orbits:
        placed = cube.pieces(orbit.name)
        assert placed == cube.pieces(orbit)
        assert sorted(piece for piece, _ in placed) == list(range(len(orbit.pieces)))
        for place, (piece, turned) in zip(orbit.pieces, placed, strict=True):
            assert 0 <= turned < orbit.turns_of_piece
            for step, sticker in enumerate(orbit.pieces[piece]):
                assert cube.stickers[place[(turned + step) % orbit.turns_of_piece]] == sticker


@given(st.data(), sizes)
def test_any_pieces_can_be_put_in(data: st.DataObject, size: int) -> None:
    """Also where no turns lead: the pieces come out as they were put in."""
    pieces = {}
    for orbit in geometry(size).orbits:
        count, kinds = len(orbit.pieces), orbit.turns_of_piece
        order = data.draw(st.permutations(range(count)))
        turned = data.draw(st.lists(st.integers(0, kinds - 1), min_size=count, max_size=count))
        pieces[orbit.name] = tuple(zip(order, turned, strict=True))
    cube = Cube.from_pieces(pieces, size)
    assert sorted(cube.stickers) == list(range(6 * size * size))
    assert {name: cube.pieces(name) for name in pieces} == pieces


def test_a_wing_moves_with_both_its_stickers() -> None:
    geo = geometry(4)
    for cubie in geo.cubies:
        if len(cubie) != 2:
            continue
        for turn in all_turns(4):
            cube = Cube.from_turns((turn,), 4)
            again = Cube.from_pieces({"wings": cube.pieces("wings")}, 4)
            assert [again.stickers[s] for s in cubie] == [cube.stickers[s] for s in cubie]


def test_orbits_that_are_not_named_stay_solved() -> None:
    cube = Cube.from_turns("R U F")
    corners = Cube.from_pieces({"corners": cube.pieces("corners")})
    assert corners.pieces("edges") == Cube.solved().pieces("edges")
    assert corners.pieces("corners") == cube.pieces("corners")
    assert Cube.from_pieces({}) == Cube.solved()


def test_twists_and_flips_by_hand() -> None:
    geo = geometry(3)
    edges = [geo.names[piece[0]] for piece in geo.orbit("edges").pieces]
    corners = [geo.names[piece[0]] for piece in geo.orbit("corners").pieces]
    # F turns the edge at UF over into FR: its naming sticker, U, comes to R, the second sticker of the place FR.
    after = Cube.from_turns("F")
    assert after.pieces("edges")[edges.index("FR")] == (edges.index("UF"), 1)
    # R leaves the edges of R unturned: UR comes to BR with U on B.
    assert Cube.from_turns("R").pieces("edges")[edges.index("BR")] == (edges.index("UR"), 0)
    # This twists the corner at UFR clockwise where it sits (U to R) and no other corner of the upper layer.
    twisted = Cube.from_turns("(R' D' R D)4").pieces("corners")
    assert twisted[corners.index("UFR")] == (corners.index("UFR"), 1)
    assert Cube.from_turns("(R' D' R D)4").stickers[geo.sticker("RUF")] == geo.sticker("UFR")
    for other in ("UBR", "UBL", "UFL"):
        assert twisted[corners.index(other)] == (corners.index(other), 0)


def test_pieces_of_an_orbit_that_is_not_there() -> None:
    with pytest.raises(GeometryError, match="has no orbit “edges”"):
        Cube.solved(4).pieces("edges")
    with pytest.raises(GeometryError, match="has no orbit “wings”"):
        Cube.from_pieces({"wings": []})


@pytest.mark.parametrize(
    "placed",
    [
        [],
        [(piece, 0) for piece in range(7)],
        [(piece, 0) for piece in (0, 0, 1, 2, 3, 4, 5, 6)],
        [(piece, 0) for piece in range(1, 9)],
        [(piece, 0) for piece in range(9)],
        [(piece, 0) for piece in (0, 1, 2, 3, 4, 5, 6, 7, 7)],
    ],
)
def test_pieces_must_each_be_there_once(placed: list[tuple[int, int]]) -> None:
    with pytest.raises(GeometryError, match="the corners must list each of 0 to 7 once"):
        Cube.from_pieces({"corners": placed})


# --- looking --------------------------------------------------------------------------------------------------


@every_size
def test_solved_however_it_is_held(size: int) -> None:
    for hold in HOLDS:
        held = Cube.from_turns(hold, size)
        assert held.is_solved
        assert held.same_up_to_rotation(Cube.solved(size))
        assert held.looks_like(Cube.solved(size)) == (hold == "")
        for text in ("R", "U2", "F'"):
            assert not held.apply(text).is_solved


@every_size
def test_one_layer_turned_is_not_solved(size: int) -> None:
    for turn in all_turns(size):
        assert Cube.from_turns((turn,), size).is_solved == turn.is_rotation


@given(sizes.flatmap(cubes), st.sampled_from(HOLDS), st.sampled_from(HOLDS))
def test_holding_differently_is_seen_through(cube: Cube, hold: str, other: str) -> None:
    assert cube.apply(hold).same_up_to_rotation(cube.apply(other))
    assert cube.same_up_to_rotation(cube)
    assert cube.apply(hold).is_solved == cube.is_solved


@given(same_sized(2))
def test_alike_goes_both_ways(pair: tuple[Cube, ...]) -> None:
    a, b = pair
    assert a.same_up_to_rotation(b) == b.same_up_to_rotation(a)
    assert a.looks_like(b) == b.looks_like(a) == (a.colours == b.colours)
    assert a.looks_like(a)
    if a.looks_like(b):
        assert a.same_up_to_rotation(b)


@given(sizes.flatmap(cubes))
def test_colours_go_with_their_stickers(cube: Cube) -> None:
    faces = geometry(cube.size).faces
    assert ["ULFRBD"[colour] for colour in cube.colours] == [faces[sticker] for sticker in cube.stickers]


@given(sizes.flatmap(lambda size: sequences(size, 3).map(lambda turns: Cube.from_turns(turns, size))))
def test_solved_is_the_solved_cube_held_somehow(cube: Cube) -> None:
    assert cube.is_solved == cube.same_up_to_rotation(Cube.solved(cube.size))


def test_a_turn_more_is_not_the_same() -> None:
    cube = Cube.from_turns("R U F2 D' L")
    assert not cube.same_up_to_rotation(cube.apply("R"))
    assert not cube.looks_like(cube.apply("y"))
    # R and L' of the 2x2x2 differ only in how the cube is held.
    assert Cube.from_turns("R", 2).same_up_to_rotation(Cube.from_turns("L", 2))
    assert Cube.from_turns("R", 2) != Cube.from_turns("L", 2)


def test_cubes_of_different_sizes_are_never_alike() -> None:
    assert not Cube.solved(2).looks_like(Cube.solved(3))
    assert not Cube.solved(2).same_up_to_rotation(Cube.solved(3))
    assert not Cube.solved(3).same_up_to_rotation(Cube.solved(2))
    assert Cube.solved(2) != Cube.solved(3)


def test_centres_of_one_colour_look_alike_but_are_not_the_same() -> None:
    geo = geometry(4)
    centres = list(Cube.solved(4).pieces("x-centres"))
    first, second, *_ = [i for i, (at,) in enumerate(geo.orbit("x-centres").pieces) if geo.faces[at] == "U"]
    centres[first], centres[second] = centres[second], centres[first]
    cube = Cube.from_pieces({"x-centres": centres}, 4)
    assert cube != Cube.solved(4)
    assert cube.looks_like(Cube.solved(4))
    assert cube.is_solved


def test_how_a_cube_is_shown_in_a_shell() -> None:
    assert repr(Cube.solved(4)) == "Cube.solved(4)"
    assert eval(repr(Cube.solved(4)), {"Cube": Cube}) == Cube.solved(4)
    assert repr(Cube.from_turns("R", 2)) == "<Cube 2x2x2 UFUF LLLL FDFD RRRR UBUB DBDB>"
