"""What the algorithms of the trade do, sticker by sticker, on our cube and on the second model."""

from __future__ import annotations

import pytest

from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, parse_turns
from nightfold.cube.state import Cube
from tests import solid

T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
Y_PERM_WITHOUT_F = "R U' R' U' R U R' F' R U R' U' R' F R"
R_PERM = "R U R' F' R U2 R' U2 R' F R U R U2 R' U'"


def effect(turns: tuple[Turn, ...]) -> set[tuple[str, ...]]:
    """The cycles of stickers by name, each from its first sticker in sticker order; what is not in them stays."""
    names = geometry(3).names
    return {tuple(names[place] for place in cycle) for cycle in Cube.from_turns(turns).cycles()}


def cycles(text: str) -> set[tuple[str, ...]]:
    """Cycles written as ``UR>UL  RU>LU``, each brought round to its first sticker in sticker order."""
    geo = geometry(3)
    found = set()
    for cycle in text.split():
        numbers = [geo.sticker(name) for name in cycle.split(">")]
        first = numbers.index(min(numbers))
        found.add(tuple(geo.names[number] for number in numbers[first:] + numbers[:first]))
    return found


def same_on_the_second_model(turns: tuple[Turn, ...]) -> bool:
    state = tuple(range(54))
    for turn in turns:
        state = tuple(state[source] for source in solid.turn_source(3, turn))
    return state == Cube.from_turns(turns).stickers


def pieces_moved(text: str) -> set[str]:
    geo = geometry(3)
    return {geo.piece_name(place) for cycle in Cube.from_turns(text).cycles() for place in cycle}


def test_t_perm() -> None:
    """Source: common practice, no source: exchanges edges UR and UL and corners UFR and UBR; which sticker meets
    which is re-derived with the second model.
    """
    turns = parse_turns(T_PERM)
    assert pieces_moved(T_PERM) == {"UR", "UL", "UFR", "UBR"}
    assert effect(turns) == cycles("UR>UL RU>LU UFR>UBR RUF>BUR FUR>RUB")
    assert same_on_the_second_model(turns)


def test_y_perm_without_its_outer_f_turns() -> None:
    """Source: common practice, no source: exchanges corners ULB (L sticker) and DFR (D sticker), and edges UB and
    UL; which other stickers meet is re-derived with the second model.
    """
    turns = parse_turns(Y_PERM_WITHOUT_F)
    assert pieces_moved(Y_PERM_WITHOUT_F) == {"UBL", "DFR", "UB", "UL"}
    assert effect(turns) == cycles("LUB>DFR BUL>FDR UBL>RDF UB>UL BU>LU")
    assert same_on_the_second_model(turns)


def test_r_perm() -> None:
    """Source: common practice, no source: exchanges corners UFR and UBR and edges UB and UL, which is what remains
    when both orbits have odd length in the two-swap method.
    """
    turns = parse_turns(R_PERM)
    assert pieces_moved(R_PERM) == {"UFR", "UBR", "UB", "UL"}
    assert effect(turns) == cycles("UFR>UBR RUF>BUR FUR>RUB UB>UL BU>LU")
    assert same_on_the_second_model(turns)


def test_y_perm_whole() -> None:
    """Source: common practice, no source, from memory: with its outer turns of F the Y perm keeps to the upper layer
    and exchanges corners UBL and UFR and edges UB and UL, every U sticker staying on U.
    """
    assert effect(parse_turns(f"F {Y_PERM_WITHOUT_F} F'")) == effect(parse_turns(f"[F: {Y_PERM_WITHOUT_F}]"))
    assert effect(parse_turns(f"F {Y_PERM_WITHOUT_F} F'")) == cycles("UBL>UFR LUB>RUF BUL>FUR UB>UL BU>LU")


@pytest.mark.parametrize("text", [T_PERM, Y_PERM_WITHOUT_F, R_PERM])
def test_swap_algorithms_undo_themselves(text: str) -> None:
    """Source: common practice, no source: each of them exchanges two edges and two corners, so twice is nothing."""
    assert Cube.from_turns(f"({text})2") == Cube.solved()
    assert Cube.from_turns(text).order == 2


@pytest.mark.parametrize(
    ("text", "moved"),
    [
        ("M2 U M2 U2 M2 U M2", "UB>UF BU>FU UL>UR LU>RU"),
        ("R U' R U R U R U' R' U' R2", "UL>UF>UR LU>FU>RU"),
        ("x R' U R' D2 R U' R' D2 R2 x'", "UBL>UBR>UFR LUB>BUR>RUF BUL>RUB>FUR"),
        ("R U R' F' R U R' U' R' F R2 U' R' U'", "UFR>UBR RUF>BUR FUR>RUB UR>UF RU>FU"),
        ("U R U' L' U R' U' L", "UBL>FUL>RUB LUB>LUF>UBR BUL>UFL>BUR"),
        ("[R U R', D]", "UFR>RDF>FDL RUF>DFR>DFL FUR>FDR>LDF"),
        ("M2", "UB>DF BU>FD UF>DB FU>BD U>D F>B"),
        ("U' M2 U M2", "UB>DF>UR BU>FD>RU UF>DB>UL FU>BD>LU"),
        ("[M', U2]", "UB>UF>DF BU>FU>FD"),
    ],
    ids=["H perm", "U perm", "A perm", "J perm", "Niklas", "corner commutator", "M2", "M2 shot", "edge commutator"],
)
def test_other_algorithms_of_the_trade(text: str, moved: str) -> None:
    """Source: common practice, no source, from memory; re-derived with the second model."""
    turns = parse_turns(text)
    assert same_on_the_second_model(turns)
    assert effect(turns) == cycles(moved)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("R U R' U'", "[R, U]"),
        ("F R U R' U' F'", "[F: [R, U]]"),
        ("R' F R F'", "[R', F]"),
        ("U R U' L' U R' U' L", "[U R U', L']"),
    ],
)
def test_well_known_sequences_as_commutators_and_conjugates(text: str, same: str) -> None:
    """Source: common practice, no source: a commutator is A B A' B', a conjugate A B A'."""
    assert parse_turns(text) == parse_turns(same)


def test_six_times_the_four_turns() -> None:
    """Source: Joyner, Adventures in Group Theory: R U R' U' has order 6; from memory: three times it exchanges two
    pairs of corners and no edge.
    """
    assert Cube.from_turns("(R U R' U')6") == Cube.solved()
    thrice = Cube.from_turns("(R U R' U')3")
    assert thrice.pieces("edges") == Cube.solved().pieces("edges")
    assert pieces_moved("(R U R' U')3") == {"UFR", "DFR", "UBR", "UBL"}
