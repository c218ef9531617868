"""Text to turns and back."""

from __future__ import annotations

import sys

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from nightfold.cube.errors import GeometryError, NightfoldError, NotationError
from nightfold.cube.notation import (
    MAX_DEPTH,
    MAX_TEXT,
    MAX_TURNS,
    Algorithm,
    Commutator,
    Conjugate,
    Group,
    Turn,
    check_size,
    invert,
    parse,
    parse_turns,
    write,
)
from nightfold.cube.state import Cube
from tests.strategies import algorithms, all_turns, sequences, sizes, spellings

R, U, F = Turn("R", 1, 1, 1), Turn("U", 1, 1, 1), Turn("F", 1, 1, 1)
R_BACK, U_BACK = R.inverse, U.inverse


# --- reading and writing are two sides of one thing -----------------------------------------------------------


@given(sizes.flatmap(algorithms))
def test_reading_what_was_written_gives_the_same_algorithm(algorithm: Algorithm) -> None:
    assert parse(str(algorithm), algorithm.size) == algorithm


@given(sizes.flatmap(algorithms).flatmap(lambda a: st.tuples(st.just(a), spellings(a))))
def test_every_way_to_type_an_algorithm_is_read_alike(pair: tuple[Algorithm, str]) -> None:
    algorithm, text = pair
    read = parse(text, algorithm.size)
    assert read == algorithm
    assert str(read) == str(algorithm)


@pytest.mark.parametrize("size", range(2, 8))
def test_every_turn_of_every_size_is_written_and_read(size: int) -> None:
    turns = all_turns(size)
    assert len({str(turn) for turn in turns}) == len(turns)
    for turn in turns:
        assert parse_turns(str(turn), size) == (turn,)
    assert parse_turns(write(turns), size) == tuple(turns)


@pytest.mark.parametrize(
    ("text", "size", "turns"),
    [
        ("R", 3, [("R", 1, 1, 1)]),
        ("R2", 3, [("R", 1, 1, 2)]),
        ("R'", 3, [("R", 1, 1, -1)]),
        ("R2'", 3, [("R", 1, 1, -2)]),
        ("R'2", 3, [("R", 1, 1, -2)]),
        ("R3", 3, [("R", 1, 1, -1)]),
        ("R3'", 3, [("R", 1, 1, 1)]),
        ("R1", 3, [("R", 1, 1, 1)]),
        ("r", 3, [("R", 1, 2, 1)]),
        ("Rw", 3, [("R", 1, 2, 1)]),
        ("2Rw", 3, [("R", 1, 2, 1)]),
        ("3r'", 5, [("R", 1, 3, -1)]),
        ("3Rw2", 5, [("R", 1, 3, 2)]),
        ("2R", 4, [("R", 2, 2, 1)]),
        ("3R'", 4, [("R", 3, 3, -1)]),
        ("x y' z2", 3, [("x", 0, 0, 1), ("y", 0, 0, -1), ("z", 0, 0, 2)]),
        ("M'E2S", 3, [("M", 0, 0, -1), ("E", 0, 0, 2), ("S", 0, 0, 1)]),
        ("RUR'U'", 3, [("R", 1, 1, 1), ("U", 1, 1, 1), ("R", 1, 1, -1), ("U", 1, 1, -1)]),
        ("R2U2R2", 3, [("R", 1, 1, 2), ("U", 1, 1, 2), ("R", 1, 1, 2)]),
        ("R22Rw", 5, [("R", 1, 1, 2), ("R", 1, 2, 1)]),
        ("R2’ U‘ Fʼ B′ D` L´", 3, [
            ("R", 1, 1, -2), ("U", 1, 1, -1), ("F", 1, 1, -1),
            ("B", 1, 1, -1), ("D", 1, 1, -1), ("L", 1, 1, -1),
        ]),
        ("", 3, []),
        (" \t\r\n ", 3, []),
    ],
)  # fmt: skip
def test_reading(text: str, size: int, turns: list[tuple[str, int, int, int]]) -> None:
    assert parse_turns(text, size) == tuple(Turn(*turn) for turn in turns)


@pytest.mark.parametrize(
    ("text", "node"),
    [
        ("(R U)3", Group((R, U), 3)),
        ("(R U)'", Group((R, U), -1)),
        ("(R U)2'", Group((R, U), -2)),
        ("[R, U]", Commutator((R,), (U,))),
        ("[R,U]2", Commutator((R,), (U,), 2)),
        ("[R : U]", Conjugate((R,), (U,))),
        ("[R: [U, F]]'", Conjugate((R,), (Commutator((U,), (F,)),), -1)),
        ("[(R U)2, [F: R]]", Commutator((Group((R, U), 2),), (Conjugate((F,), (R,)),))),
        ("((R))", Group((Group((R,), 1),), 1)),
    ],
)
def test_structure_is_kept(text: str, node: Group | Commutator | Conjugate) -> None:
    assert parse(text).nodes == (node,)


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("(R U)3", "R U R U R U"),
        ("(R U2')'", "U2 R'"),
        ("(R U)2'", "U' R' U' R'"),
        ("[R, U]", "R U R' U'"),
        ("[R, U]'", "U R U' R'"),
        ("[R U: F]", "R U F U' R'"),
        ("[R: F]2", "R F R' R F R'"),
        ("[R: [U, F]]", "R U F U' F' R'"),
        ("[[R: U], D]", "R U R' D R U' R' D'"),
        ("[R U', (F)2]", "R U' F F U R' F' F'"),
        ("R (U) F", "R U F"),
    ],
)
def test_multiplying_out(text: str, plain: str) -> None:
    assert write(parse(text).expand()) == plain


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("R3 U3' r 2Rw", "R' U Rw Rw"),
        ("( R  U )1", "(R U)"),
        ("[R,U]1'", "[R, U]'"),
        ("[R:U]2’", "[R: U]2'"),
        ("", ""),
    ],
)
def test_writing_uses_one_form(text: str, written: str) -> None:
    assert str(parse(text)) == written


# --- turning round --------------------------------------------------------------------------------------------


@given(sizes.flatmap(algorithms))
def test_inverse_of_brackets_is_inverse_of_turns(algorithm: Algorithm) -> None:
    assert algorithm.inverse().expand() == invert(algorithm.expand())


@given(sizes.flatmap(algorithms))
def test_inverse_does_what_the_turns_backwards_do(algorithm: Algorithm) -> None:
    there = Cube.from_turns(algorithm, algorithm.size)
    assert there.apply(algorithm.inverse()) == Cube.solved(algorithm.size)
    assert algorithm.inverse().inverse().expand() == algorithm.expand()


@pytest.mark.parametrize(
    ("text", "back"),
    [
        ("R U2 F'", "F U2' R'"),
        ("[R, U]", "[U, R]"),
        ("[R: U F]", "[R: F' U']"),
        ("(R U)3", "(R U)3'"),
        ("D [R, U]2 (F)'", "(F) [U, R]2 D'"),
    ],
)
def test_inverse_keeps_brackets(text: str, back: str) -> None:
    assert str(parse(text).inverse()) == back


@given(sizes.flatmap(algorithms))
def test_map_turns_reaches_every_turn_and_keeps_the_shape(algorithm: Algorithm) -> None:
    def flip(turn: Turn) -> Turn:
        return turn._replace(letter=turn.letter.swapcase())

    changed = algorithm.map_turns(flip)
    assert changed.expand() == tuple(map(flip, algorithm.expand()))
    assert changed.map_turns(flip) == algorithm


@given(sizes.flatmap(sequences))
def test_invert_twice_is_nothing(turns: tuple[Turn, ...]) -> None:
    assert invert(invert(turns)) == turns
    assert len(invert(turns)) == len(turns)


@pytest.mark.parametrize(
    ("text", "size", "rotation", "inner"),
    [
        ("R", 3, False, False),
        ("3Rw", 5, False, False),
        ("2R", 5, False, True),
        ("M", 3, False, True),
        ("x2", 3, True, False),
    ],
)
def test_kinds_of_turns(text: str, size: int, rotation: bool, inner: bool) -> None:
    (turn,) = parse_turns(text, size)
    assert (turn.is_rotation, turn.is_inner) == (rotation, inner)


def test_plain_drops_the_direction_of_a_half_turn_only() -> None:
    assert [str(turn.plain) for turn in parse_turns("R R' R2 R2'")] == ["R", "R'", "R2", "R2"]


# --- what cannot be read --------------------------------------------------------------------------------------

BAD = [
    # (text, size, token, column, what the message says would be right)
    ("R Q U", 3, "Q", 3, "turns are U L F R B D"),
    ("R É", 3, "É", 3, "turns are U L F R B D"),
    ("R ß", 3, "ß", 3, "turns are U L F R B D"),
    ("U X'", 3, "X'", 3, "rotations are written small: x"),
    ("m2", 3, "m2", 1, "middle slices are written large: M"),
    ("R W", 3, "W", 3, "turns are U L F R B D"),
    ("rw", 3, "rw", 1, "write Rw"),
    ("U 3rw", 5, "3rw", 3, "write 3Rw"),
    ("RW2", 3, "RW", 1, "write Rw"),
    ("R 2", 3, "2", 3, "directly behind one (R2)"),
    ("(R U) 3", 3, "3", 7, "directly behind one (R2)"),
    ("2 R", 5, "2", 1, "must stand before a turn (3Rw)"),
    ("2(R)", 3, "2", 1, "must stand before a turn (3Rw)"),
    ("R '", 3, "'", 3, "directly behind a turn, as in R'"),
    ("R 2'", 3, "2'", 3, "directly behind a turn, as in R'"),
    ("’R", 3, "’", 1, "directly behind a turn, as in R'"),
    ("(R)''", 3, "'", 5, "directly behind a turn, as in R'"),
    ("U R''", 3, "R''", 3, "write one, or 2 for a half turn"),
    ("U R'2'", 3, "R'2'", 3, "write one, or 2 for a half turn"),
    ("U R2''", 3, "R2''", 3, "write one, or 2 for a half turn"),
    ("U R4", 3, "R4", 3, "write 2 for a half turn"),
    ("R0'", 3, "R0'", 1, "write 2 for a half turn"),
    ("U R12 F", 3, "R12", 3, "write 2 for a half turn"),
    ("R U (F", 3, "(", 5, "add “)”"),
    ("[R, U", 3, "[", 1, "add “]”"),
    ("[R", 3, "[", 1, "add “]”"),
    ("(", 3, "(", 1, "add “)”"),
    ("[R,", 3, "[", 1, "add “]”"),
    ("R)", 3, ")", 2, "write the opening bracket"),
    ("R U]", 3, "]", 4, "write the opening bracket"),
    ("(R]", 3, "]", 3, "expected ) first"),
    ("[R, U)", 3, ")", 6, "expected ] first"),
    ("[R)", 3, ")", 3, "expected , or : or ] first"),
    ("R, U", 3, ",", 2, "inside square brackets, as in [R, U] or [R: U]"),
    ("(R: U)", 3, ":", 3, "inside square brackets, as in [R, U] or [R: U]"),
    ("[R, U, F]", 3, ",", 6, "as in [[R, U]: F]"),
    ("[R: U: F]", 3, ":", 6, "as in [[R, U]: F]"),
    ("F [R U]", 3, "[R U]", 3, "a plain group is (R U)"),
    ("F ( )", 3, "( )", 3, "no turn in this part"),
    ("[, R]", 3, "[,", 1, "no turn in this part"),
    ("[R: ]", 3, "[R: ]", 1, "no turn in this part"),
    ("(R)0", 3, "0", 4, "1 to 20,000 times"),
    ("[R, U]000001", 3, "000001", 7, "1 to 20,000 times"),
    ("3x'", 3, "3x'", 1, "write x'"),
    ("2M2", 3, "2M2", 1, "write M2"),
    ("U M'", 2, "M'", 3, "a 2x2x2 has no middle layer"),
    ("S", 6, "S", 1, "a 6x6x6 has no middle layer"),
    ("1R", 2, "1R", 1, "write R for one layer"),
    ("2R'", 3, "2R'", 1, "Rw for the outer two, or M, E or S"),
    ("1R", 4, "1R", 1, "a single inner layer of a 4x4x4 is 2 to 3"),
    ("U 4R", 4, "4R", 3, "a single inner layer of a 4x4x4 is 2 to 3"),
    ("9999R", 7, "9999R", 1, "a single inner layer of a 7x7x7 is 2 to 6"),
    ("Rw", 2, "Rw", 1, "a 2x2x2 has no wide turns"),
    ("u2", 2, "u2", 1, "a 2x2x2 has no wide turns"),
    ("1Fw", 5, "1Fw", 1, "write F for one"),
    ("0Fw", 5, "0Fw", 1, "write F for one"),
    ("3Rw'", 3, "3Rw'", 1, "the widest turn on a 3x3x3 is Rw"),
    ("U 5Rw", 5, "5Rw", 3, "the widest turn on a 5x5x5 is 4Rw"),
    ("R\nU Q", 3, "Q", 5, "turns are U L F R B D"),
]


@pytest.mark.parametrize(("text", "size", "token", "column", "advice"), BAD)
def test_errors_name_token_and_column_and_what_is_right(
    text: str, size: int, token: str, column: int, advice: str
) -> None:
    with pytest.raises(NotationError) as caught:
        parse(text, size)
    error = caught.value
    assert (error.token, error.column) == (token, column)
    assert str(error).startswith(f"“{token}” at column {column}: ")
    assert advice in str(error)
    assert "\n" not in str(error)
    with pytest.raises(NotationError, match="at column"):
        parse_turns(text, size)


@pytest.mark.parametrize("size", [-1, 0, 1, 8, 1000])
def test_sizes_that_are_not_known(size: int) -> None:
    with pytest.raises(GeometryError, match=f"a cube of {size} layers is not known here; sizes 2 to 7 are"):
        parse("R", size)
    with pytest.raises(GeometryError):
        check_size(size)


def test_sizes_that_are_known() -> None:
    assert [check_size(size) for size in range(2, 8)] == [2, 3, 4, 5, 6, 7]


# --- bounds ---------------------------------------------------------------------------------------------------


def test_as_many_turns_as_allowed_and_one_more() -> None:
    assert len(parse_turns(f"(R){MAX_TURNS}")) == MAX_TURNS
    assert len(parse_turns("R" * MAX_TURNS)) == MAX_TURNS
    for text in ("R" * (MAX_TURNS + 1), f"(R){MAX_TURNS + 1}", f"(R){MAX_TURNS} U"):
        with pytest.raises(NotationError, match="20,001 turns; at most 20,000"):
            parse(text)


def test_every_bracket_counts_towards_the_turns() -> None:
    assert len(parse_turns("[R, U F]3333")) == 6 * 3333
    with pytest.raises(NotationError, match="20,004 turns; at most"):
        parse("[R, U F]3334")
    assert len(parse_turns("[R: U]6666")) == 3 * 6666
    with pytest.raises(NotationError, match="20,001 turns; at most"):
        parse("[R: U]6667'")


@pytest.mark.parametrize(
    "text",
    [
        "(R)99999",
        "(" * MAX_DEPTH + "R" + ")99999" * MAX_DEPTH,
        "[" * MAX_DEPTH + "R" + ", U]99999" * MAX_DEPTH,
        "(R)" + "9" * 100_000,
        "R" + "9" * 100_000,
        "9" * 100_000 + "R",
        "9" * 100_000 + "Rw",
        "9" * 100_000,
        "(" * 150_000,
        "[" * 150_000,
        "(R" * 60_000,
        "[R," * 60_000,
        ")" * 150_000,
        "R" * (MAX_TEXT + 1),
        " " * (MAX_TEXT + 1),
        "R" + "'" * 150_000,
        "R’" * 100_000,
    ],
    ids=lambda text: f"{text[:8]} and so on, {len(text)} characters",
)
def test_monstrous_texts_are_answered_by_one_short_sentence(text: str) -> None:
    before = sys.getrecursionlimit()
    with pytest.raises(NotationError) as caught:
        parse(text)
    assert len(str(caught.value)) < 400
    assert sys.getrecursionlimit() == before


def test_nesting_as_deep_as_allowed_and_one_deeper() -> None:
    for opening, closing in ("()", ("[U: ", "]")):
        deep = parse(opening * MAX_DEPTH + "R" + closing * MAX_DEPTH)
        assert R in deep.expand()
        assert parse(str(deep)) == deep
        with pytest.raises(NotationError, match=f"nested more than {MAX_DEPTH} deep") as caught:
            parse(opening * (MAX_DEPTH + 1) + "R" + closing * (MAX_DEPTH + 1))
        assert caught.value.column == len(opening) * MAX_DEPTH + 1


def test_a_long_text_of_spaces_is_read() -> None:
    assert parse_turns("R" + " " * (MAX_TEXT - 2) + "U") == (R, U)


# --- whatever a person types ----------------------------------------------------------------------------------

CHARACTERS = "ULFRBDulfrbdwMESxyzmesXYZW0123456789'’()[],: \n²é٣①"


@given(st.text() | st.text(CHARACTERS, max_size=60), sizes)
@example("R²", 3)
@example("٣R", 5)
@example("(R)٣", 3)
@example("ſ", 3)
@example("R\x00", 3)
@example("\ud800", 3)
def test_any_text_is_read_or_refused_with_its_place(text: str, size: int) -> None:
    try:
        algorithm = parse(text, size)
    except NightfoldError as error:
        assert isinstance(error, NotationError)
        assert error.token
        assert text[error.column - 1 :].startswith(error.token)
    else:
        assert parse(str(algorithm), size) == algorithm
        assert all(turn in all_turns(size) for turn in algorithm.expand())


def test_every_single_character_is_a_turn_of_ours_or_refused() -> None:
    read = set()
    for code in range(0x10000):
        char = chr(code)
        try:
            nodes = parse(char).nodes
        except NotationError:
            continue
        if nodes:
            read.add(char)
    assert read == set("ULFRBDulfrbdxyzMES")
