"""The groups our turns generate, against published numbers, with SymPy and GAP as referees."""

from __future__ import annotations

import math
import shutil
import subprocess
from functools import cache

import pytest
from hypothesis import given
from sympy.combinatorics import Permutation, PermutationGroup  # type: ignore[import-untyped]
from sympy.combinatorics.generators import rubik, rubik_cube_generators  # type: ignore[import-untyped]
from sympy.combinatorics.named_groups import RubikGroup  # type: ignore[import-untyped]

from nightfold.cube.geometry import geometry, inverse, turn_permutation
from nightfold.cube.notation import Turn, parse_turns
from nightfold.cube.sequences import count
from nightfold.cube.state import Cube
from tests.strategies import face_turns

STATES_2X2X2 = 3_674_160
STATES_3X3X3 = 43_252_003_274_489_856_000
STATES_4X4X4 = 7401196841564901869874093974498574336000000000


def layers(size: int) -> list[tuple[int, ...]]:
    """A quarter turn of every layer but the middle one, which would move the fixed centres."""
    return [
        turn_permutation(size, Turn(face, layer, layer, 1)) for face in "ULFRBD" for layer in range(1, size // 2 + 1)
    ]


def acting_on(stickers: tuple[int, ...], source: tuple[int, ...]) -> Permutation:
    """What a turn does among some stickers that it carries into one another, as SymPy has it: from place to place."""
    number = {sticker: n for n, sticker in enumerate(stickers)}
    goes = inverse(source)
    return Permutation([number[goes[sticker]] for sticker in stickers])


def group(size: int, stickers: tuple[int, ...] | None = None) -> PermutationGroup:
    chosen = tuple(range(6 * size * size)) if stickers is None else stickers
    return PermutationGroup([acting_on(chosen, source) for source in layers(size)])


# --- SymPy ------------------------------------------------------------------------------------------------------


def test_the_3x3x3_has_its_published_number_of_states() -> None:
    """Source: Joyner, Adventures in Group Theory; computed with SymPy's PermutationGroup.order."""
    order = group(3).order()
    assert order == STATES_3X3X3 == 2**27 * 3**14 * 5**3 * 7**2 * 11


def test_the_2x2x2_has_its_published_number_of_states() -> None:
    """Source: Joyner, Adventures in Group Theory (one corner held); computed with SymPy."""
    held = [turn_permutation(2, Turn(face, 1, 1, 1)) for face in "RUF"]
    everything = tuple(range(24))
    assert PermutationGroup([acting_on(everything, source) for source in held]).order() == STATES_2X2X2
    # With every face turning the cube also comes to lie in each of 24 ways.
    assert group(2).order() == 24 * STATES_2X2X2


def test_corners_and_edges_alone() -> None:
    """Source: Joyner, Adventures in Group Theory: the pieces of one kind can be twisted in all ways but a third
    (corners) or a half (edges), and arranged in all; computed with SymPy.
    """
    assert group(3, geometry(3).orbit("corners").stickers).order() == math.factorial(8) * 3**7
    assert group(3, geometry(3).orbit("edges").stickers).order() == math.factorial(12) * 2**11


@pytest.mark.parametrize("size", range(2, 8))
def test_every_layer_turns_as_in_sympy(size: int) -> None:
    """Source: SymPy, ``sympy.combinatorics.generators.rubik``, which lists the quarter turns of the layers counted
    from F, R and D for any size, with the faces numbered U, F, R, B, L, D row by row.
    """
    area = size * size
    ours_of = ["ULFRBD".index(face) * area + sticker for face in "UFRBLD" for sticker in range(area)]
    theirs_of = inverse(tuple(ours_of))
    turns = [Turn(face, layer, layer, 1) for face in "FRD" for layer in range(1, size)]
    for turn, generator in zip(turns, rubik(size), strict=True):
        shown = generator.array_form
        assert tuple(ours_of[shown[theirs_of[place]]] for place in range(6 * area)) == turn_permutation(size, turn)


def test_face_turns_are_those_of_the_worked_example() -> None:
    """Source: GAP, worked example 'Analyzing Rubik's Cube with GAP', as SymPy has it in ``rubik_cube_generators``:
    the 48 moving stickers of the faces top, left, front, right, rear and bottom, row by row.
    """
    moving = tuple(sticker for sticker in range(54) if sticker % 9 != 4)
    ours = [acting_on(moving, turn_permutation(3, Turn(face, 1, 1, 1))) for face in "ULFRBD"]
    assert ours == rubik_cube_generators()


@pytest.mark.parametrize(("size", "states"), [(2, STATES_2X2X2), (3, STATES_3X3X3)])
def test_the_same_group_as_sympy_s(size: int, states: int) -> None:
    """Source: SymPy, ``sympy.combinatorics.named_groups.RubikGroup``, which turns every layer but those at the corner
    ULB, middle slices too: same order, orbits of the same lengths, turns with cycles of the same lengths.
    """
    theirs = RubikGroup(size)
    everything = tuple(range(6 * size * size))
    turns = [Turn(face, layer, layer, 1) for face in "FRD" for layer in range(1, size)]
    ours = PermutationGroup([acting_on(everything, turn_permutation(size, turn)) for turn in turns])
    assert ours.order() == theirs.order() == states
    assert sorted(map(len, ours.orbits())) == sorted(map(len, theirs.orbits()))
    assert [g.cycle_structure for g in ours.generators] == [g.cycle_structure for g in theirs.generators]


@pytest.mark.parametrize("size", range(4, 8))
def test_pieces_of_one_sticker_are_arranged_in_every_way(size: int) -> None:
    """Source: Joyner, Adventures in Group Theory, for the 4x4x4 (24 factorial for wings, and for centres); computed
    with SymPy for every orbit of every size.
    """
    for orbit in geometry(size).orbits:
        if orbit.turns_of_piece == 1:
            assert group(size, orbit.stickers).is_symmetric


@pytest.mark.parametrize(
    ("size", "states"),
    [
        (2, f"{STATES_2X2X2:.6e}"),
        (3, f"{STATES_3X3X3:.6e}"),
        (4, "7.40e45"),
        (5, "2.83e74"),
        (6, "1.57e116"),
        (7, "1.95e160"),
    ],
)
def test_states_of_every_size(size: int, states: str) -> None:
    """Source: Joyner, Adventures in Group Theory, for sizes 2 and 3; from memory for sizes 4 to 7.

    All orbits' ways multiplied (SymPy), over what parity forbids: the rank of the signs of the turns.  Centres of
    one colour can be exchanged unseen, so they are counted by look and take part in no parity.  An even cube has no
    fixed centre, so each state is counted in 24 ways to hold it.
    """
    apart = [orbit for orbit in geometry(size).orbits if not orbit.alike]
    total = 1
    for orbit in geometry(size).orbits:
        if orbit.alike:
            total *= math.factorial(24) // math.factorial(4) ** 6
        elif orbit.turns_of_piece == 1:
            total *= math.factorial(24)
        else:
            total *= group(size, orbit.stickers).order()
    signs: set[int] = set()
    for source in layers(size):
        vector = 0
        for number, orbit in enumerate(apart):
            first = tuple(piece[0] for piece in orbit.pieces)
            piece_of = {sticker: n for n, piece in enumerate(orbit.pieces) for sticker in piece}
            vector |= Permutation([piece_of[source[sticker]] for sticker in first]).parity() << number
        signs |= {vector ^ other for other in signs | {0}}
    signs.add(0)
    total //= 2 ** len(apart) // len(signs)
    if size % 2 == 0:
        total //= 24
    if size == 4:
        assert total == STATES_4X4X4
    digits = states.index("e") - 2
    assert f"{total:.{digits}e}".replace("e+", "e") == states.replace("e+", "e")


@given(face_turns(40))
def test_the_laws_of_the_cube(turns: tuple[Turn, ...]) -> None:
    """Source: Joyner, Adventures in Group Theory, the fundamental theorem of the cube: corners and edges are
    permuted with the same parity, here that of the number of quarter turns; twists add up to a multiple of three
    and flips to an even number.
    """
    cube = Cube.from_turns(turns)
    corners, edges = cube.pieces("corners"), cube.pieces("edges")
    quarter_turns = count(turns).qtm
    for placed in (corners, edges):
        assert Permutation([piece for piece, _ in placed]).parity() == quarter_turns % 2
    assert sum(turned for _, turned in corners) % 3 == 0
    assert sum(turned for _, turned in edges) % 2 == 0


@pytest.mark.parametrize(
    ("text", "order"),
    [("R U2 D' B D'", 1260), ("R U", 105), ("R U R' U'", 6)],
)
def test_orders_of_elements(text: str, order: int) -> None:
    """Source: Joyner, Adventures in Group Theory; re-derived with an independent model."""
    cube = Cube.from_turns(text)
    assert cube.order == order
    assert Permutation(list(cube.stickers)).order() == order


@given(face_turns(40))
def test_no_order_is_greater_than_1260(turns: tuple[Turn, ...]) -> None:
    """Source: Joyner, Adventures in Group Theory: 1260 is the greatest order; SymPy finds the order too."""
    cube = Cube.from_turns(turns)
    assert cube.order <= 1260
    assert cube.order == Permutation(list(cube.stickers)).order()


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("R", 4),
        ("R2 U2", 6),
        ("R U2", 30),
        ("R U'", 63),
        ("R U R' U R U2 R'", 6),
        ("[R U R', D]", 3),
    ],
)
def test_orders_of_well_known_sequences(text: str, order: int) -> None:
    """Source: common practice, no source, from memory; SymPy finds the same order."""
    cube = Cube.from_turns(text)
    assert cube.order == order == Permutation(list(cube.stickers)).order()


SUPERFLIP = "U R2 F B R B2 R U2 L B2 R U' D' R2 F R' L B2 U2 F2"


def test_the_superflip() -> None:
    """Source: Rokicki, Kociemba, Davidson, Dethridge (as above): the position with every edge flipped is at the
    greatest distance, 20 half-turn-metric turns; the sequence of 20 itself is from memory.
    """
    cube = Cube.from_turns(SUPERFLIP)
    assert cube.pieces("corners") == Cube.solved().pieces("corners")
    assert cube.pieces("edges") == tuple((number, 1) for number in range(12))
    assert count(parse_turns(SUPERFLIP)).obtm == 20
    assert cube.order == 2
    for face in "ULFRBD":
        assert Cube.from_turns(face).then(cube) == cube.apply(face)


# --- GAP ----------------------------------------------------------------------------------------------------------

GAP = shutil.which("gap")
with_gap = pytest.mark.skipif(GAP is None, reason="GAP (the program gap) is not installed here")


@cache
def ask_gap(script: str) -> tuple[int, ...]:
    """The whole numbers GAP prints for ``script``, one a line."""
    assert GAP is not None
    # -A leaves optional packages out, which makes the start quick; -x keeps long numbers on one line.
    done = subprocess.run(
        [GAP, "-q", "-A", "-x", "4096"], input=script + "\nQUIT;\n", text=True, capture_output=True, check=True
    )
    return tuple(int(line) for line in done.stdout.split())


def gap_group(sources: list[tuple[int, ...]]) -> str:
    """A GAP statement that makes the group ``G`` of these turns."""
    generators = ",\n".join(f"PermList({[place + 1 for place in inverse(source)]})" for source in sources)
    return f"G := Group([{generators}]);;"


@with_gap
def test_gap_finds_the_states_of_the_3x3x3_and_its_centre() -> None:
    """Source: Joyner, Adventures in Group Theory, and GAP's worked example 'Analyzing Rubik's Cube with GAP': the
    number of states, and a centre of two elements, the other one being the position with every edge flipped.
    """
    flipped = [place + 1 for place in Cube.from_turns(SUPERFLIP).stickers]
    script = f"""{gap_group(layers(3))}
        Print(Size(G), "\\n", Size(Centre(G)), "\\n");
        if PermList({flipped}) in Centre(G) then Print("1\\n"); else Print("0\\n"); fi;"""
    assert ask_gap(script) == (STATES_3X3X3, 2, 1)


@with_gap
def test_gap_finds_the_states_of_the_2x2x2() -> None:
    """Source: Joyner, Adventures in Group Theory: 3,674,160 with one corner held; computed with GAP."""
    held = [turn_permutation(2, Turn(face, 1, 1, 1)) for face in "RUF"]
    script = f"""{gap_group(held)}
        Print(Size(G), "\\n");
        {gap_group(layers(2))}
        Print(Size(G), "\\n");"""
    assert ask_gap(script) == (STATES_2X2X2, 24 * STATES_2X2X2)


@with_gap
def test_gap_finds_the_states_of_the_4x4x4() -> None:
    """Source: Joyner, Adventures in Group Theory, from memory: 7401196841564901869874093974498574336000000000.

    GAP gives the order of the group of all layers, the number of its elements that leave every face in its colour
    (even exchanges of centres of one colour: half of 4!^6), and so the number of looks, 24 for each state.
    """
    faces = ",".join(f"[{16 * face + 1}..{16 * face + 16}]" for face in range(6))
    script = f"""{gap_group(layers(4))}
        S := Stabilizer(G, [{faces}], OnTuplesSets);;
        Print(Size(G), "\\n", Size(S), "\\n", Size(G) / Size(S) / 24, "\\n");"""
    order, unseen, states = ask_gap(script)
    assert order == math.factorial(8) * 3**7 * math.factorial(24) ** 2 // 2
    assert unseen == math.factorial(4) ** 6 // 2
    assert states == STATES_4X4X4


@with_gap
def test_gap_finds_the_same_orders_of_elements() -> None:
    """Source: Joyner, Adventures in Group Theory (1260, 105, 6), and GAP on the permutations of our cube."""
    texts = ["R U2 D' B D'", "R U", "R U R' U'", "R", SUPERFLIP]
    lists = [[place + 1 for place in Cube.from_turns(text).stickers] for text in texts]
    script = "".join(f'Print(Order(PermList({places})), "\\n");\n' for places in lists)
    assert ask_gap(script) == (1260, 105, 6, 4, 2) == tuple(Cube.from_turns(text).order for text in texts)
