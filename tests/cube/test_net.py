"""Net text in and out, and the cube behind the colours."""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError, ImpossibleCubeError, NetError, NightfoldError
from nightfold.cube.geometry import Orbit, geometry, rotation_permutations, turn_permutation
from nightfold.cube.net import (
    MAX_TEXT,
    STANDARD_COLOURS,
    Net,
    cube_from_net,
    face_colours,
    fixed_centres,
    is_odd,
    is_possible,
    net_of,
    net_rows,
    parse_net,
    write_net,
)
from nightfold.cube.notation import FACE_LETTERS, Turn
from nightfold.cube.state import Cube
from tests.strategies import face_turns, sequences

SIZES = range(2, 8)
HOLDS = sorted(rotation_permutations(3))


@st.composite
def cubes(draw: st.DrawFn, sizes: range = SIZES) -> Cube:
    """A cube of some size, layers and rotations of the whole turned anyhow."""
    size = draw(st.sampled_from(sizes))
    return Cube.from_turns(draw(sequences(size)), size)


colours = st.one_of(
    st.just(STANDARD_COLOURS),
    st.permutations("WOGRBY"),
    st.permutations("ULFRBD"),
    st.permutations("🟥🟧🟨🟩🟦⬜"),
    st.lists(st.sampled_from("ABCXYZ0159ÉЖ東♠🌕🌊"), min_size=6, max_size=6, unique=True),
).map(tuple)


# --- writing -----------------------------------------------------------------------------------------------


def test_a_solved_cube_is_written_as_it_unfolds() -> None:
    assert write_net(Cube.solved(3)).splitlines() == [
        "      W W W",
        "      W W W",
        "      W W W",
        "O O O G G G R R R B B B",
        "O O O G G G R R R B B B",
        "O O O G G G R R R B B B",
        "      Y Y Y",
        "      Y Y Y",
        "      Y Y Y",
    ]


def test_one_turn_is_written_as_one_sees_it() -> None:
    """R by hand: front's right column comes up, up's goes to the back, back's to the bottom, bottom's to the front."""
    assert write_net(Cube.from_turns("R", 2)).splitlines() == [
        "    W G",
        "    W G",
        "O O G Y R R W B",
        "O O G Y R R W B",
        "    Y B",
        "    Y B",
    ]


def test_wide_symbols_take_two_cells_of_indent_each() -> None:
    first, _, band, *_ = write_net(Cube.solved(2), "⬜🟧🟩🟥🟦🟨").splitlines()
    assert first == "      ⬜ ⬜"
    assert band == "🟧 🟧 🟩 🟩 🟥 🟥 🟦 🟦"


@pytest.mark.parametrize("bad", ["WOGRB", "WOGRBB", "WOGRBYX", ["W", "O", "G", "R", "B", "YY"], "WOGRB ", "WOGRB|"])
def test_colours_that_could_not_be_read_back_are_refused(bad: list[str] | str) -> None:
    with pytest.raises(NetError):
        write_net(Cube.solved(3), bad)


def test_rows_name_every_sticker_once() -> None:
    for size in SIZES:
        rows = net_rows(size)
        assert [len(row) for row in rows] == [size] * size + [4 * size] * size + [size] * size
        assert sorted(itertools.chain(*rows)) == list(range(6 * size * size))


# --- reading -----------------------------------------------------------------------------------------------


@given(cubes(), colours)
def test_what_is_written_reads_back(cube: Cube, colours: tuple[str, ...]) -> None:
    net = net_of(cube, colours)
    assert parse_net(write_net(cube, colours)) == net
    assert parse_net(str(net)) == net


@given(cubes(), st.randoms())
def test_layout_and_case_are_free(cube: Cube, dice: random.Random) -> None:
    text = write_net(cube)
    symbols = [c.lower() if dice.random() < 0.5 else c for c in text if not c.isspace()]
    loose = "".join(dice.choice(["", " ", "\n", "\t", " | ", ",", "\u3000", "─┼"]) + c for c in symbols)
    assert parse_net(loose) == parse_net(text)
    assert parse_net("".join(symbols)) == parse_net(text)


def test_marks_that_only_choose_the_look_of_an_emoji_are_passed_over() -> None:
    text = write_net(Cube.solved(2), "⬜🟧🟩🟥🟦🟨")
    assert parse_net("\ufeff" + text.replace("⬜", "⬜\ufe0f")) == parse_net(text)
    assert set(parse_net(write_net(Cube.solved(2), "123456").replace("1", "1\ufe0f\u20e3")).symbols) == set("123456")


SOLVED = write_net(Cube.solved(3))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "there are no stickers in this net; type 54 for a 3x3x3"),
        (" \n\t ", "there are no stickers"),
        ("W", "this net has 1 sticker, where a 2x2x2 has 24"),
        (SOLVED.replace("O O O G", "O O G", 1), "has 53 stickers, where a 3x3x3 has 54: row 4 has 11 instead of 12"),
        (
            "\n" + SOLVED.replace("Y Y Y", "Y Y Y Y", 1),
            "has 55 stickers, where a 3x3x3 has 54: row 8 has 4 instead of 3",
        ),
        (SOLVED.rsplit("\n", 1)[0], "has 51 stickers, where a 3x3x3 has 54: there are 8 rows instead of 9"),
        ("WOGRBY" * 17, "has 102 stickers, where a 4x4x4 has 96"),
        (SOLVED.replace("G", "?", 1), "“?” at row 4, column 7 is no colour; a sticker is one letter, digit or emoji"),
        (SOLVED.replace("G", "\0", 1), "character U+0000 at row 4, column 7 is no colour"),
        (SOLVED.replace("G", "\ud800", 1), "character U+D800 at row 4, column 7 is no colour"),
        (SOLVED.replace("G", "x", 1), "“X” at row 4, column 7 is one colour too many beside W, O, G, R, B and Y"),
        (SOLVED.replace("G", "B"), "only 5 colours are in this net (W, O, B, R and Y); a cube has six"),
        ("W" * 24, "only 1 colour is in this net (W); a cube has six"),
        ("W" * (MAX_TEXT + 1), "has 100001 characters; a net is no longer than 100000"),
    ],
)
def test_what_is_no_net_is_said_in_one_sentence_with_its_place(text: str, says: str) -> None:
    with pytest.raises(NetError) as caught:
        parse_net(text)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


@given(
    st.one_of(
        st.text(), st.text("WOGRBYwogrby \n", min_size=20, max_size=60), st.text("WOGRBY", min_size=54, max_size=54)
    )
)
def test_any_text_gives_a_net_or_a_sentence(text: str) -> None:
    try:
        net = parse_net(text)
    except NetError as error:
        assert str(error)
        return
    assert parse_net(str(net)) == net
    try:
        cube, scheme = cube_from_net(net)
    except ImpossibleCubeError as error:
        assert not is_possible(net)
        assert str(error).startswith("no turns lead to this cube")
    else:
        assert net_of(cube, scheme) == net


@pytest.mark.parametrize(
    ("size", "symbols"),
    [(3, "WOGRBY" * 4), (2, "WOGRB" * 4 + "WOGR"), (2, "WOGR?Y" * 4), (2, ("W", "O", "G", "R", "BB", "Y") * 4)],
)
def test_a_net_made_by_hand_is_checked_too(size: int, symbols: str | tuple[str, ...]) -> None:
    with pytest.raises(NetError):
        Net(size, tuple(symbols))


def test_a_net_of_a_size_there_is_not() -> None:
    with pytest.raises(GeometryError):
        Net(8, tuple("WOGRBY" * 64))


# --- the cube behind it ------------------------------------------------------------------------------------


@given(cubes(), colours)
def test_the_cube_shows_the_colours_it_was_read_from(cube: Cube, colours: tuple[str, ...]) -> None:
    net = net_of(cube, colours)
    found, scheme = cube_from_net(net)
    assert net_of(found, scheme) == net
    assert scheme == face_colours(net)
    assert set(scheme) == set(colours)
    assert is_possible(net)
    assert cube_from_net(str(net)) == (found, scheme)


@given(st.sampled_from([2, 3]), face_turns())
def test_small_cubes_held_normally_are_found_sticker_by_sticker(size: int, turns: tuple[Turn, ...]) -> None:
    cube = Cube.from_turns(turns, size)
    assert cube_from_net(write_net(cube)) == (cube, STANDARD_COLOURS)


@given(face_turns(), st.sampled_from(HOLDS), colours)
def test_a_cube_held_anyhow_is_numbered_by_its_own_centres(
    turns: tuple[Turn, ...], hold: str, colours: tuple[str, ...]
) -> None:
    """The holder sees the same turns done on a cube they think of as held normally: a conjugate by the rotation."""
    cube = Cube.from_turns(turns)
    rotation = Cube.from_turns(hold)
    found, scheme = cube_from_net(net_of(cube.then(rotation), colours))
    assert found == rotation.inverse().then(cube).then(rotation)
    assert scheme == tuple(colours[rotation.stickers[centre] // 9] for centre in fixed_centres(3))


@given(cubes(range(3, 8, 2)), colours)
def test_on_odd_sizes_the_centres_are_at_home(cube: Cube, colours: tuple[str, ...]) -> None:
    net = net_of(cube, colours)
    found, scheme = cube_from_net(net)
    for face, centre in enumerate(fixed_centres(cube.size)):
        assert found.stickers[centre] == centre
        assert scheme[face] == net.symbols[centre]


@given(cubes(range(2, 8, 2)), st.sampled_from(["WOGRBY", "ULFRBD", "⬜🟧🟩🟥🟦🟨"]))
def test_on_even_sizes_the_standard_colours_go_to_their_standard_faces(cube: Cube, colours: str) -> None:
    assert cube_from_net(write_net(cube, colours))[1] == tuple(colours)


@given(cubes(range(2, 8, 2)), st.permutations("123456"))
def test_on_even_sizes_other_colours_leave_the_corner_at_dbl_at_home(cube: Cube, colours: list[str]) -> None:
    found, _ = cube_from_net(write_net(cube, colours))
    geo = geometry(cube.size)
    place = geo.piece_of(geo.sticker("DBL"))
    assert [found.stickers[sticker] for sticker in place] == list(place)


def test_standard_letters_in_mirror_order_do_not_count_as_standard() -> None:
    """Blue and green exchanged: no hold has white up, green in front and red on the right."""
    cube, scheme = cube_from_net(write_net(Cube.from_turns("R U F", 2), "WOBRGY"))
    assert scheme != STANDARD_COLOURS
    assert net_of(cube, scheme) == net_of(Cube.from_turns("R U F", 2), "WOBRGY")


def _signs(cube: Cube) -> tuple[bool, ...]:
    """For each orbit of pieces whether the cube permutes it oddly."""
    return tuple(_is_odd_on(orbit, cube) for orbit in geometry(cube.size).orbits)


def _is_odd_on(orbit: Orbit, cube: Cube) -> bool:
    return is_odd([piece for piece, _ in cube.pieces(orbit)])


def _span(rows: set[tuple[bool, ...]]) -> set[tuple[bool, ...]]:
    found = {tuple([False] * len(next(iter(rows))))}
    for row in rows:
        found |= {tuple(a != b for a, b in zip(row, other, strict=True)) for other in found}
    return found


@pytest.mark.parametrize("size", SIZES)
@given(st.data())
def test_the_numbering_found_is_one_that_turns_can_reach(size: int, data: st.DataObject) -> None:
    """The signs on all orbits together are among those that layer turns generate, worked out from the turns."""
    layers = [
        Cube(size, turn_permutation(size, Turn(face, layer, layer, 1)))
        for face in FACE_LETTERS
        for layer in range(1, size // 2 + 1)
    ]
    reachable = _span({_signs(layer) for layer in layers})
    assert len(reachable) < 2 ** len(geometry(size).orbits) or size == 2
    cube = data.draw(cubes(range(size, size + 1)))
    found, _ = cube_from_net(write_net(cube))
    assert _signs(found) in reachable


@pytest.mark.parametrize("size", SIZES)
def test_the_signs_of_layer_turns_are_as_the_module_states(size: int) -> None:
    geo = geometry(size)
    for layer in range(1, size // 2 + 1):
        turned = Cube(size, turn_permutation(size, Turn("F", layer, layer, 1)))
        for orbit in geo.orbits:
            kind, *layers = orbit.name.replace("-", " ").split()
            depths = {int(number) for number in layers if number.isdigit()} or {2}
            outer = layer == 1
            expected = {
                "corners": outer,
                "edges": outer,
                "midges": outer,
                "wings": layer in depths,
                "x": outer,
                "t": outer or layer in depths,
                "oblique": outer or layer in depths,
            }[kind]
            assert _is_odd_on(orbit, turned) == expected, (size, layer, orbit.name)


def test_centres_stay_at_home_where_their_colour_allows() -> None:
    for size in range(4, 8):
        assert cube_from_net(write_net(Cube.solved(size))) == (Cube.solved(size), STANDARD_COLOURS)


@given(st.lists(st.integers(0, 9), min_size=1, max_size=8, unique=True), st.randoms())
def test_is_odd_counts_exchanges(numbers: list[int], dice: random.Random) -> None:
    permutation = list(range(len(numbers)))
    exchanges = dice.randrange(12) if len(numbers) > 1 else 0
    for _ in range(exchanges):
        a, b = dice.sample(range(len(numbers)), 2)
        permutation[a], permutation[b] = permutation[b], permutation[a]
    assert is_odd(permutation) == (exchanges % 2 == 1)


@given(cubes())
def test_exchanged_corners_exist_on_even_sizes_only(cube: Cube) -> None:
    straight = Cube.from_pieces({"corners": [(1, 0), (0, 0), *((i, 0) for i in range(2, 8))]}, cube.size)
    net = net_of(straight.then(cube))
    assert is_possible(net) == (cube.size % 2 == 0)


def test_an_impossible_cube_is_refused_with_what_is_wrong() -> None:
    geo = geometry(3)
    a, b = geo.sticker("UF"), geo.sticker("FU")
    net = net_of(Cube.solved(3)).with_symbols({a: "G", b: "W"})
    with pytest.raises(ImpossibleCubeError, match="no turns lead to this cube: one edge is flipped"):
        cube_from_net(net)
    assert issubclass(ImpossibleCubeError, NightfoldError)


@given(cubes(range(4, 8)), st.data())
def test_centres_of_different_colours_may_be_exchanged_freely(cube: Cube, data: st.DataObject) -> None:
    """Whatever two centres of one orbit change places, turns can do it: alike centres absorb the sign."""
    orbit = data.draw(st.sampled_from([orbit for orbit in geometry(cube.size).orbits if orbit.alike]))
    net = net_of(cube)
    a, b = data.draw(st.lists(st.sampled_from(orbit.stickers), min_size=2, max_size=2, unique=True))
    assume(net.symbols[a] != net.symbols[b])
    changed = net.with_symbols({a: net.symbols[b], b: net.symbols[a]})
    found, scheme = cube_from_net(changed)
    assert net_of(found, scheme) == changed
