"""Stickers, pieces, orbits and turns, held against a second model made of points and matrices."""

from __future__ import annotations

from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError, NightfoldError
from nightfold.cube.geometry import (
    OPPOSITE,
    Orbit,
    compose,
    geometry,
    identity,
    inverse,
    permutation_of,
    rotation_permutations,
    turn_getter,
    turn_permutation,
)
from nightfold.cube.notation import Turn, parse_turns
from tests import solid
from tests.strategies import all_turns, sequences, sizes

every_size = pytest.mark.parametrize("size", range(2, 8))

#: The orbits of each size: name, number of pieces, stickers a piece, whether pieces of a colour are alike.
ORBITS: dict[int, list[tuple[str, int, int, bool]]] = {
    2: [("corners", 8, 3, False)],
    3: [("corners", 8, 3, False), ("edges", 12, 2, False)],
    4: [("corners", 8, 3, False), ("wings", 24, 1, False), ("x-centres", 24, 1, True)],
    5: [
        ("corners", 8, 3, False),
        ("midges", 12, 2, False),
        ("wings", 24, 1, False),
        ("x-centres", 24, 1, True),
        ("t-centres", 24, 1, True),
    ],
    6: [
        ("corners", 8, 3, False),
        ("wings 2", 24, 1, False),
        ("wings 3", 24, 1, False),
        ("x-centres 2", 24, 1, True),
        ("x-centres 3", 24, 1, True),
        ("oblique-centres 2-3 left", 24, 1, True),
        ("oblique-centres 2-3 right", 24, 1, True),
    ],
    7: [
        ("corners", 8, 3, False),
        ("midges", 12, 2, False),
        ("wings 2", 24, 1, False),
        ("wings 3", 24, 1, False),
        ("x-centres 2", 24, 1, True),
        ("x-centres 3", 24, 1, True),
        ("t-centres 2", 24, 1, True),
        ("t-centres 3", 24, 1, True),
        ("oblique-centres 2-3 left", 24, 1, True),
        ("oblique-centres 2-3 right", 24, 1, True),
    ],
}
every_orbit = pytest.mark.parametrize(
    ("size", "name"), [(size, name) for size, orbits in ORBITS.items() for name, *_ in orbits]
)


def act(text: str, size: int = 3) -> tuple[int, ...]:
    return permutation_of(parse_turns(text, size), size)


# --- stickers and their names -----------------------------------------------------------------------------------


@every_size
def test_stickers_lie_where_the_second_model_puts_them(size: int) -> None:
    geo = geometry(size)
    assert geo.size == size
    rows = [(*cubie, *normal) for cubie, normal in geo.coordinates]
    assert (np.array(rows) == solid.points(size)).all()
    assert "".join(geo.faces) == "".join(face * size * size for face in "ULFRBD")


@every_size
def test_a_name_alone_tells_the_place(size: int) -> None:
    """Own face, then outer layers as capitals and inner ones as small letters, numbered from the third layer on."""
    for number, name in enumerate(geometry(size).names):
        cubie = (size - 1) * solid.outward(name[0])
        depth = ""
        for char in name[1:]:
            if char.isdigit():
                depth += char
                continue
            layer = 1 if char.isupper() else int(depth or 2)
            cubie = cubie + (size + 1 - 2 * layer) * solid.outward(char.upper())
            depth = ""
        assert depth == ""
        assert tuple(cubie) + tuple(solid.outward(name[0])) == tuple(solid.points(size)[number])


@every_size
def test_names_are_unique_and_found_in_any_order_of_letters(size: int) -> None:
    geo = geometry(size)
    assert len(set(geo.names)) == len(geo.names) == 6 * size * size
    for number, name in enumerate(geo.names):
        parts: list[str] = []
        digits = ""
        for char in name[1:]:
            if char.isdigit():
                digits += char
            else:
                parts.append(digits + char)
                digits = ""
        for order in permutations(parts):
            assert geo.sticker(name[0] + "".join(order)) == number
        assert geo.sticker(f"  {name}\n") == number


@pytest.mark.parametrize(
    ("size", "name", "number"),
    [
        (3, "ULB", 0),
        (3, "UF", 7),
        (3, "U", 4),
        (3, "LUB", 9),
        (3, "FUL", 18),
        (3, "RUF", 27),
        (3, "BUR", 36),
        (3, "DLF", 45),
        (3, "DBR", 53),
        (2, "UFL", 2),
        (4, "UBl", 1),
        (4, "UBr", 2),
        (4, "LUb", 17),
        (4, "Ubl", 5),
        (5, "U", 12),
        (5, "UB", 2),
        (5, "Ub", 7),
        (6, "Ub3l", 8),
        (7, "U3b3l", 16),
    ],
)
def test_stickers_by_name(size: int, name: str, number: int) -> None:
    assert geometry(size).sticker(name) == number


def test_small_letters_do_where_there_are_no_inner_layers() -> None:
    assert geometry(3).sticker("ufr") == geometry(3).sticker("UFR")
    assert geometry(2).sticker("dBl") == geometry(2).sticker("DBL")


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (3, ""), (3, " "), (3, "UD"), (3, "UU"), (3, "X"), (3, "UFRR"), (3, "UFr2"), (3, "U F"), (3, "UFLR"),
        (2, "UF"), (2, "U"), (4, "UF"), (4, "U"), (4, "ufr"), (4, "UFRr"), (5, "U3f"), (6, "U4fl"), (7, "1"),
    ],
)  # fmt: skip
def test_names_that_no_sticker_has(size: int, name: str) -> None:
    with pytest.raises(GeometryError, match=f"“{name}” is no sticker of a {size}x{size}x{size}; .*UF or LUB"):
        geometry(size).sticker(name)


@given(st.text(), sizes)
def test_any_text_is_a_sticker_or_refused(name: str, size: int) -> None:
    try:
        number = geometry(size).sticker(name)
    except NightfoldError:
        return
    assert geometry(size).names[number][0] == name.strip()[0].upper()


@pytest.mark.parametrize("size", [-3, 0, 1, 8])
def test_sizes_that_are_not_known(size: int) -> None:
    with pytest.raises(GeometryError, match="sizes 2 to 7"):
        geometry(size)


# --- pieces -------------------------------------------------------------------------------------------------------


@every_size
def test_cubies_gather_the_stickers_of_one_block(size: int) -> None:
    geo = geometry(size)
    assert sorted(sticker for cubie in geo.cubies for sticker in cubie) == list(range(6 * size * size))
    assert len(geo.cubies) == size**3 - (size - 2) ** 3
    for cubie in geo.cubies:
        assert len({geo.coordinates[sticker][0] for sticker in cubie}) == 1


@every_size
def test_stickers_of_a_corner_go_clockwise_seen_from_outside(size: int) -> None:
    geo = geometry(size)
    for piece in geo.orbit("corners").pieces:
        normals = np.array([geo.coordinates[sticker][1] for sticker in piece])
        # Standing outside on the corner's axis, a clockwise turn by 120 degrees carries each normal to the next.
        axis = normals.sum(axis=0)
        for here, there in zip(normals, np.roll(normals, -1, axis=0), strict=True):
            assert int(axis @ np.cross(here, there)) == -1
        # Seen from the opposite direction they would go the other way round.
        assert round(float(np.linalg.det(normals.astype(float)))) == -1


@pytest.mark.parametrize(
    ("sticker", "piece"),
    [
        ("UFR", "UFR RUF FUR"),
        ("LDF", "DFL LDF FDL"),
        ("BUL", "UBL LUB BUL"),
        ("RDB", "DBR RDB BDR"),
        ("LF", "FL LF"),
        ("RU", "UR RU"),
        ("BD", "DB BD"),
    ],
)
def test_pieces_start_at_their_naming_sticker(sticker: str, piece: str) -> None:
    geo = geometry(3)
    number = geo.sticker(sticker)
    assert geo.piece_of(number) == tuple(map(geo.sticker, piece.split()))
    assert geo.piece_name(number) == piece.split()[0]


@every_size
def test_turns_keep_pieces_together_and_in_order(size: int) -> None:
    geo = geometry(size)
    for turn in all_turns(size):
        source = turn_permutation(size, turn)
        for orbit in geo.orbits:
            if orbit.turns_of_piece == 1:
                continue
            for place in orbit.pieces:
                seen = [source[sticker] for sticker in place]
                piece = geo.piece_of(seen[0])
                at = piece.index(seen[0])
                assert seen == [*piece[at:], *piece[:at]]


def test_what_stands_for_no_piece_is_refused_by_name() -> None:
    for size, name in ((3, "F"), (7, "U"), (4, "UBr")):
        geo = geometry(size)
        assert geo.orbit_of(geo.sticker(name)) is None
        for ask in (geo.piece_of, geo.piece_name):
            with pytest.raises(GeometryError, match=f"{name} on a {size}x{size}x{size} stands for no piece"):
                ask(geo.sticker(name))


# --- orbits -------------------------------------------------------------------------------------------------------


@every_size
def test_orbits_of_every_size(size: int) -> None:
    found = [(o.name, len(o.pieces), o.turns_of_piece, o.alike) for o in geometry(size).orbits]
    assert found == ORBITS[size]
    assert all(orbit.size == size for orbit in geometry(size).orbits)


@every_size
def test_orbits_share_no_sticker_and_leave_out_what_is_known_otherwise(size: int) -> None:
    geo = geometry(size)
    inside = [sticker for orbit in geo.orbits for sticker in orbit.stickers]
    assert len(inside) == len(set(inside))
    outside = set(range(6 * size * size)) - set(inside)
    wings = [orbit for orbit in geo.orbits if orbit.name.startswith("wings")]
    fixed = {geo.sticker(face) for face in "ULFRBD"} if size % 2 else set()
    followers = {
        sticker
        for cubie in geo.cubies
        for sticker in cubie
        if any(set(cubie) & set(orbit.stickers) and sticker not in orbit.stickers for orbit in wings)
    }
    assert len(followers) == 24 * len(wings)
    assert outside == fixed | followers


@every_orbit
def test_orbits_are_closed_and_connected(size: int, name: str) -> None:
    orbit = geometry(size).orbit(name)
    stickers = set(orbit.stickers)
    reached, frontier = {orbit.stickers[0]}, [orbit.stickers[0]]
    sources = [turn_permutation(size, turn) for turn in all_turns(size)]
    while frontier:
        place = frontier.pop()
        for source in sources:
            if source[place] not in reached:
                reached.add(source[place])
                frontier.append(source[place])
    assert reached == stickers


@every_orbit
def test_orbits_know_their_stickers(size: int, name: str) -> None:
    geo = geometry(size)
    orbit = geo.orbit(name)
    assert orbit.name == name
    assert list(orbit.stickers) == sorted(orbit.stickers)
    for piece in orbit.pieces:
        for sticker in piece:
            assert geo.orbit_of(sticker) is orbit
            assert geo.piece_of(sticker) == piece


@pytest.mark.parametrize(
    ("size", "name", "layers"),
    [
        # The distances from the nearest face, second nearest and third nearest: 1 is outermost.
        (4, "wings", (1, 1, 2)),
        (4, "x-centres", (1, 2, 2)),
        (5, "midges", (1, 1, 3)),
        (5, "t-centres", (1, 2, 3)),
        (6, "wings 2", (1, 1, 2)),
        (6, "wings 3", (1, 1, 3)),
        (6, "x-centres 3", (1, 3, 3)),
        (6, "oblique-centres 2-3 left", (1, 2, 3)),
        (6, "oblique-centres 2-3 right", (1, 2, 3)),
        (7, "t-centres 2", (1, 2, 4)),
        (7, "t-centres 3", (1, 3, 4)),
        (7, "x-centres 2", (1, 2, 2)),
        (7, "oblique-centres 2-3 left", (1, 2, 3)),
    ],
)
def test_names_of_orbits_tell_their_layers(size: int, name: str, layers: tuple[int, ...]) -> None:
    for sticker in geometry(size).orbit(name).stickers:
        cubie = np.abs(solid.points(size)[sticker][:3])
        assert tuple(sorted((size - 1 - int(c)) // 2 + 1 for c in cubie)) == layers


def test_left_and_right_obliques_are_mirror_images() -> None:
    for size in (6, 7):
        left = set(geometry(size).orbit("oblique-centres 2-3 left").stickers)
        right = set(geometry(size).orbit("oblique-centres 2-3 right").stickers)
        for plane in "MES":
            assert {solid.reflection(size, plane)[sticker] for sticker in left} == right
        # Seen upright on U, the left one is left of the middle on the second row.
        assert size + 2 in left
        assert 2 * size - 3 in right


@pytest.mark.parametrize(
    ("size", "asked", "known"),
    [(2, "edges", "it has corners"), (4, "edges", "it has corners, wings, x-centres"), (3, "", "corners, edges")],
)
def test_orbits_that_are_not_there(size: int, asked: str, known: str) -> None:
    with pytest.raises(GeometryError, match=f"a {size}x{size}x{size} has no orbit “{asked}”; .*{known}"):
        geometry(size).orbit(asked)


# --- clockwise round a face -----------------------------------------------------------------------------------------


@every_orbit
def test_clockwise_round_each_face(size: int, name: str) -> None:
    """A quarter turn of the face carries each sticker on to the next: by as many as the face has, over four."""
    geo = geometry(size)
    orbit = geo.orbit(name)
    area = size * size
    for number, face in enumerate("ULFRBD"):
        ring = geo.clockwise(orbit, face)
        assert set(ring) == {s for s in orbit.stickers if s // area == number}
        assert len(ring) == 4
        source = turn_permutation(size, Turn(face, 1, 1, 1))
        assert all(source[after] == before for before, after in zip(ring, ring[1:] + ring[:1], strict=True))
        row, column = divmod(ring[0] % area, size)
        # The first one lies in the quarter of the face from its top-left corner to its top-right one, exclusive.
        assert row <= column
        assert row + column < size - 1


@pytest.mark.parametrize(
    ("size", "orbit", "face", "ring"),
    [
        (3, "corners", "U", "ULB UBR URF UFL"),
        (3, "edges", "U", "UB UR UF UL"),
        (3, "edges", "L", "LU LF LD LB"),
        (3, "corners", "B", "BUR BUL BDL BDR"),
        (3, "corners", "D", "DFL DFR DBR DBL"),
        (4, "wings", "U", "UBl URb UFr ULf"),
        (4, "x-centres", "F", "Ful Fur Fdr Fdl"),
        (5, "t-centres", "R", "Ru Rb Rd Rf"),
    ],
)
def test_rings_by_hand(size: int, orbit: str, face: str, ring: str) -> None:
    geo = geometry(size)
    assert geo.clockwise(geo.orbit(orbit), face) == tuple(map(geo.sticker, ring.split()))


# --- turns as permutations --------------------------------------------------------------------------------------------


@every_size
def test_turns_do_what_matrices_do(size: int) -> None:
    for turn in all_turns(size):
        assert turn_permutation(size, turn) == solid.turn_source(size, turn), str(turn)


@every_size
def test_quarter_turns_have_order_four(size: int) -> None:
    for turn in all_turns(size):
        source = turn_permutation(size, turn)
        twice = compose(source, source)
        assert compose(twice, twice) == identity(size)
        assert (twice == identity(size)) == (abs(turn.amount) == 2)
        assert compose(source, turn_permutation(size, turn.inverse)) == identity(size)
        assert turn_permutation(size, turn.inverse) == inverse(source)
        assert turn_permutation(size, turn.plain) == source


@every_size
def test_parallel_layers_commute_and_crossing_ones_do_not(size: int) -> None:
    for a, b in combinations("ULFRBD", 2):
        there = act(f"{a} {b}", size)
        assert (there == act(f"{b} {a}", size)) == (OPPOSITE[a] == b)
    quarter = [turn for turn in all_turns(size) if turn.amount == 1 and turn.letter in "LRMx"]
    for one, other in combinations(quarter, 2):
        assert permutation_of((one, other), size) == permutation_of((other, one), size)


@pytest.mark.parametrize("size", range(4, 8))
def test_a_wide_turn_is_its_layers_together(size: int) -> None:
    for face in "ULFRBD":
        for layers in range(2, size):
            single = [Turn(face, layer, layer, 1) for layer in range(1, layers + 1)]
            assert turn_permutation(size, Turn(face, 1, layers, 1)) == permutation_of(tuple(single), size)


@every_size
def test_a_rotation_is_all_layers_together(size: int) -> None:
    for rotation, face in (("x", "R"), ("y", "U"), ("z", "F")):
        widest = (Turn(face, 1, size - 1, 1), Turn(OPPOSITE[face], 1, 1, -1))
        assert act(rotation, size) == permutation_of(widest, size)


@pytest.mark.parametrize("size", range(4, 8))
def test_an_inner_layer_is_the_same_counted_from_the_other_side(size: int) -> None:
    for face in "ULFRBD":
        for layer in range(2, size):
            from_there = Turn(OPPOSITE[face], size + 1 - layer, size + 1 - layer, -1)
            assert turn_permutation(size, Turn(face, layer, layer, 1)) == turn_permutation(size, from_there)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("x", "R M' L'"),
        ("y", "U E' D'"),
        ("z", "F S B'"),
        ("r", "R M'"),
        ("l", "L M"),
        ("u", "U E'"),
        ("d", "D E"),
        ("f", "F S"),
        ("b", "B S'"),
        ("Rw", "x L"),
        ("M", "x' R L'"),
        ("E", "y' U D'"),
        ("S", "z F' B"),
        ("x y", "z x"),
        ("x2 y2", "z2"),
        ("R2'", "R2"),
    ],
)
def test_the_same_in_other_words(text: str, same: str) -> None:
    assert act(text) == act(same)


@pytest.mark.parametrize(
    ("slice_", "face", "carried"),
    [
        ("M", "L", "UF FD DB BU"),
        ("E", "D", "FR RB BL LF"),
        ("S", "F", "UR RD DL LU"),
    ],
)
def test_a_slice_follows_its_face(slice_: str, face: str, carried: str) -> None:
    geo = geometry(3)
    centres = [geo.sticker(name[0]) for name in carried.split()]
    edges = [geo.sticker(name) for name in carried.split()]
    middle, beside = act(slice_), act(face)
    for ring in (centres, edges):
        for before, after in zip(ring, ring[1:] + ring[:1], strict=True):
            assert middle[after] == before
    # The neighbouring face carries its side stickers between the same faces.
    moved = {(geo.faces[beside[p]], geo.faces[p]) for p in range(54) if geo.faces[p] not in face and beside[p] != p}
    assert moved == {(geo.faces[a], geo.faces[b]) for a, b in zip(centres, centres[1:] + centres[:1], strict=True)}


@pytest.mark.parametrize("size", [5, 7])
def test_slices_of_big_odd_cubes_turn_the_middle_layer(size: int) -> None:
    middle = (size + 1) // 2
    for slice_, face in (("M", "L"), ("E", "D"), ("S", "F")):
        assert act(slice_, size) == turn_permutation(size, Turn(face, middle, middle, 1))


@pytest.mark.parametrize(
    ("size", "turn"),
    [
        (2, Turn("M", 0, 0, 1)),
        (6, Turn("S", 0, 0, 2)),
        (2, Turn("R", 1, 2, 1)),
        (3, Turn("R", 1, 3, 1)),
        (4, Turn("U", 4, 4, -1)),
    ],
)
def test_turns_that_a_cube_does_not_have(size: int, turn: Turn) -> None:
    with pytest.raises(GeometryError, match=f"a {size}x{size}x{size} has no turn {turn}"):
        turn_permutation(size, turn)


@pytest.mark.parametrize("size", [2, 3, 5])
def test_the_getter_applies_the_turn(size: int) -> None:
    state = tuple(reversed(range(6 * size * size)))
    for turn in all_turns(size):
        assert turn_getter(size, turn)(state) == compose(state, turn_permutation(size, turn))


@given(sizes.flatmap(lambda size: st.tuples(st.just(size), sequences(size), sequences(size))))
def test_permutations_of_sequences_multiply(case: tuple[int, tuple[Turn, ...], tuple[Turn, ...]]) -> None:
    size, a, b = case
    assert permutation_of(a + b, size) == compose(permutation_of(a, size), permutation_of(b, size))
    by_hand = identity(size)
    for turn in a:
        by_hand = tuple(by_hand[source] for source in solid.turn_source(size, turn))
    assert permutation_of(a, size) == by_hand


@given(st.permutations(range(24)), st.permutations(range(24)))
def test_compose_and_inverse_are_those_of_a_group(p: list[int], q: list[int]) -> None:
    a, b = tuple(p), tuple(q)
    assert compose(a, inverse(a)) == compose(inverse(a), a) == identity(2)
    assert inverse(compose(a, b)) == compose(inverse(b), inverse(a))
    assert all(compose(a, b)[i] == a[b[i]] for i in range(24))


# --- ways to hold ---------------------------------------------------------------------------------------------------


@every_size
def test_the_24_ways_to_hold_a_cube(size: int) -> None:
    held = rotation_permutations(size)
    assert len(held) == len(set(held.values())) == 24
    assert held[""] == identity(size)
    together = set(held.values())
    for text, permutation in held.items():
        assert permutation == act(text, size)
        assert all(turn.is_rotation for turn in parse_turns(text))
        assert len(parse_turns(text)) <= 2
        # All 24 are found by matrices of determinant 1; each is closed with each other.
        assert {compose(permutation, other) for other in together} == together


def test_single_rotations_are_told_as_such() -> None:
    assert {"", "x", "x2", "x'", "y", "y2", "y'", "z", "z2", "z'"} <= set(rotation_permutations(3))


def test_orbits_are_plain_values() -> None:
    orbit = geometry(3).orbit("edges")
    assert orbit == Orbit(orbit.name, orbit.size, orbit.pieces, orbit.alike)
    assert geometry(3) is geometry(3)
    with pytest.raises(AttributeError):
        orbit.name = "corners"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("size", "name", "word"),
    [
        (3, "edges", "edge"),
        (5, "x-centres", "x-centre"),
        (6, "wings 3", "wing 3"),
        (7, "oblique-centres 2-3 left", "oblique-centre 2-3 left"),
    ],
)
def test_the_word_for_one_piece(size: int, name: str, word: str) -> None:
    assert geometry(size).orbit(name).piece_word == word
