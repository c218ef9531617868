"""Faults put into possible cubes are named, and the cube they were put into is among the repairs."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nightfold.cube.diagnosis import Diagnosis, Problem, diagnose
from nightfold.cube.errors import NetError
from nightfold.cube.geometry import geometry, turn_permutation
from nightfold.cube.net import STANDARD_COLOURS, Net, families, fixed_centres, is_possible, net_of, write_net
from nightfold.cube.notation import FACE_LETTERS, Turn
from nightfold.cube.state import Cube
from tests.strategies import sequences


@st.composite
def nets(draw: st.DrawFn, *sizes: int) -> Net:
    """The net of a possible cube, of colours of its own now and then, held anyhow."""
    size = draw(st.sampled_from(sizes or tuple(range(2, 8))))
    cube = Cube.from_turns(draw(sequences(size)), size)
    return net_of(cube, draw(st.sampled_from([STANDARD_COLOURS, "YRGOBW", "123456", "ULFRBD"])))


def turned(net: Net, place: tuple[int, ...], steps: int) -> Net:
    """``net`` with the piece at ``place`` turned clockwise where it sits."""
    shown = [net.symbols[sticker] for sticker in place]
    return net.with_symbols({at: shown[(i - steps) % len(place)] for i, at in enumerate(place)})


def exchanged(net: Net, a: int, b: int) -> Net:
    return net.with_symbols({a: net.symbols[b], b: net.symbols[a]})


def kinds(diagnosis: Diagnosis) -> set[str]:
    return {problem.kind for problem in diagnosis.problems}


def repairs_lead_to(diagnosis: Diagnosis, net: Net) -> bool:
    """True when ``net`` is among the repairs; whatever is there must be a possible cube, and listed once."""
    for repair in diagnosis.repairs:
        assert is_possible(repair.net), repair
        assert repair.net != diagnosis.net
    listed = [repair.net for repair in diagnosis.repairs]
    assert len(set(listed)) == len(listed) == diagnosis.repairs_found
    return net in listed


# --- nothing wrong -----------------------------------------------------------------------------------------


@given(nets())
def test_a_possible_cube_has_no_problems(net: Net) -> None:
    diagnosis = diagnose(net)
    assert diagnosis.possible
    assert not diagnosis.problems
    assert not diagnosis.repairs
    assert diagnosis.repairs_found == 0
    assert diagnosis.sentence == "turns lead to this cube; nothing is wrong with it"
    assert diagnose(str(net)) == diagnosis


def test_a_text_that_is_no_net_is_refused() -> None:
    with pytest.raises(NetError):
        diagnose("white on top")


# --- faults of the cube itself -----------------------------------------------------------------------------


@given(nets(), st.integers(0, 7), st.sampled_from([1, 2]))
def test_a_twisted_corner(net: Net, corner: int, steps: int) -> None:
    broken = turned(net, families(net.size)[0].places[corner], steps)
    diagnosis = diagnose(broken)
    assert [problem.kind for problem in diagnosis.problems] == ["twist"]
    way, back = ("clockwise", "anticlockwise")[:: 1 if steps == 1 else -1]
    assert f"one corner is twisted {way}:" in diagnosis.sentence
    assert repairs_lead_to(diagnosis, net)
    twists = [repair for repair in diagnosis.repairs if repair.kind == "twist"]
    assert len(twists) == 8
    assert twists == list(diagnosis.repairs[:8]), "a twist is likelier than an exchange"
    assert all(repair.sentence.endswith(back) for repair in twists)


@given(nets(3, 5, 7), st.integers(0, 11))
def test_a_flipped_edge(net: Net, edge: int) -> None:
    diagnosis = diagnose(turned(net, families(net.size)[1].places[edge], 1))
    word = "edge" if net.size == 3 else "midge"
    assert [problem.kind for problem in diagnosis.problems] == ["flip"]
    assert f"one {word} is flipped" in diagnosis.sentence
    assert repairs_lead_to(diagnosis, net)
    assert [repair.kind for repair in diagnosis.repairs] == ["flip"] * 12


@settings(max_examples=40)
@given(nets(3, 5, 7), st.data())
def test_two_exchanged_pieces(net: Net, data: st.DataObject) -> None:
    family = families(net.size)[data.draw(st.integers(0, 1))]
    one, other = data.draw(st.lists(st.sampled_from(family.places), min_size=2, max_size=2, unique=True))
    ways = len(one)
    broken = net.with_symbols(dict(zip(one, (net.symbols[s] for s in other), strict=True)))
    broken = broken.with_symbols(dict(zip(other, (net.symbols[s] for s in one), strict=True)))
    broken = turned(broken, one, data.draw(st.integers(0, ways - 1)))
    broken = turned(broken, other, data.draw(st.integers(0, ways - 1)))
    diagnosis = diagnose(broken)
    assert "exchange" in kinds(diagnosis)
    assert kinds(diagnosis) <= {"exchange", "twist" if ways == 3 else "flip"}
    assert repairs_lead_to(diagnosis, net)
    # Now and then a face typed turned looks just like it.
    assert {repair.kind for repair in diagnosis.repairs} - {"face"} == {"exchange"}


@given(nets(3), st.integers(0, 7), st.integers(0, 11))
def test_two_faults_of_the_cube_are_both_named(net: Net, corner: int, edge: int) -> None:
    corners, edges = families(3)
    diagnosis = diagnose(turned(turned(net, corners.places[corner], 1), edges.places[edge], 1))
    assert kinds(diagnosis) == {"flip", "twist"}
    assert diagnosis.repairs == (), "no one repair mends both"


def test_the_repair_that_leaves_a_solved_cube_comes_first() -> None:
    solved = net_of(Cube.solved(3))
    for place in families(3)[1].places:
        assert diagnose(turned(solved, place, 1)).repairs[0].net == solved
    for place in families(3)[0].places:
        assert diagnose(turned(solved, place, 2)).repairs[0].net == solved


# --- slips in reading the colours --------------------------------------------------------------------------


@given(nets(), st.data())
def test_a_sticker_of_a_wrong_colour(net: Net, data: st.DataObject) -> None:
    sticker = data.draw(st.integers(0, len(net.symbols) - 1))
    wrong = data.draw(st.sampled_from(sorted(set(net.symbols) - {net.symbols[sticker]})))
    diagnosis = diagnose(net.with_symbols({sticker: wrong}))
    assert diagnosis.problems[0].kind == "count"
    area = net.size**2
    assert f"{area + 1} stickers are " in diagnosis.sentence
    assert f"and {area - 1} " in diagnosis.sentence
    assert sticker in diagnosis.problems[0].stickers
    assert repairs_lead_to(diagnosis, net)
    assert diagnosis.repairs[0].kind == "sticker"


@given(nets(), st.data())
def test_two_stickers_exchanged(net: Net, data: st.DataObject) -> None:
    a, b = data.draw(st.lists(st.integers(0, len(net.symbols) - 1), min_size=2, max_size=2, unique=True))
    assume(net.symbols[a] != net.symbols[b])
    broken = exchanged(net, a, b)
    diagnosis = diagnose(broken)
    assert diagnosis.possible == is_possible(broken)
    assert diagnosis.possible or repairs_lead_to(diagnosis, net)


@given(nets(), st.integers(0, 7), st.sampled_from([(0, 1), (0, 2), (1, 2)]))
def test_a_corner_read_the_wrong_way_round(net: Net, corner: int, pair: tuple[int, int]) -> None:
    place = families(net.size)[0].places[corner]
    diagnosis = diagnose(exchanged(net, place[pair[0]], place[pair[1]]))
    assert kinds(diagnosis) == {"piece"}
    assert "the wrong way round" in diagnosis.sentence
    assert diagnosis.problems[0].stickers == place
    assert repairs_lead_to(diagnosis, net)


@given(nets(), st.integers(0, 5), st.sampled_from([1, 2, -1]))
def test_a_face_typed_turned(net: Net, face: int, amount: int) -> None:
    area = net.size**2
    source = turn_permutation(net.size, Turn(FACE_LETTERS[face], 1, 1, amount))
    broken = net.with_symbols({i: net.symbols[source[i]] for i in range(face * area, (face + 1) * area)})
    diagnosis = diagnose(broken)
    assert diagnosis.possible == is_possible(broken)
    assert diagnosis.possible or repairs_lead_to(diagnosis, net)


@given(nets(3, 5, 7), st.permutations(range(6)))
def test_two_centres_of_one_colour(net: Net, faces: list[int]) -> None:
    a, b = (fixed_centres(net.size)[face] for face in faces[:2])
    diagnosis = diagnose(net.with_symbols({a: net.symbols[b]}))
    assert kinds(diagnosis) == {"count", "centres"}, "the pieces are judged by the centres that make sense of them"
    assert diagnosis.problems[1].stickers == tuple(sorted((a, b)))
    assert repairs_lead_to(diagnosis, net)


@given(nets(3, 5, 7), st.sampled_from([(0, 5), (1, 3), (2, 4)]))
def test_opposite_centres_exchanged_are_a_cube_in_a_mirror(net: Net, pair: tuple[int, int]) -> None:
    a, b = (fixed_centres(net.size)[face] for face in pair)
    diagnosis = diagnose(exchanged(net, a, b))
    assert diagnosis.problems[0].kind == "mirror"
    assert "as in a mirror" in diagnosis.sentence
    assert repairs_lead_to(diagnosis, net)


@given(nets(4, 5, 6, 7), st.data())
def test_centres_of_two_orbits_exchanged(net: Net, data: st.DataObject) -> None:
    orbits = [orbit for orbit in geometry(net.size).orbits if orbit.alike]
    assume(len(orbits) > 1)
    one, other = data.draw(st.lists(st.sampled_from(orbits), min_size=2, max_size=2, unique_by=lambda o: o.name))
    a, b = data.draw(st.sampled_from(one.stickers)), data.draw(st.sampled_from(other.stickers))
    assume(net.symbols[a] != net.symbols[b])
    diagnosis = diagnose(exchanged(net, a, b))
    assert [problem.kind for problem in diagnosis.problems] == ["count", "count"]
    assert {problem.sentence.split(",")[0] for problem in diagnosis.problems} == {
        f"among the {orbit.name}" for orbit in (one, other)
    }
    assert repairs_lead_to(diagnosis, net)


@settings(max_examples=12)
@given(nets(2, 3), st.data())
def test_no_repair_of_one_or_two_stickers_is_overlooked(net: Net, data: st.DataObject) -> None:
    """Against trying every sticker in every colour and every two stickers exchanged."""
    stickers = range(len(net.symbols))
    a, b = data.draw(st.lists(st.sampled_from(stickers), min_size=2, max_size=2, unique=True))
    if data.draw(st.booleans()):
        broken = exchanged(net, a, b)
    else:
        broken = net.with_symbols({a: net.symbols[b]})
    diagnosis = diagnose(broken)
    assume(not diagnosis.possible)
    every = [broken.with_symbols({i: new}) for i in stickers for new in sorted(set(net.symbols))]
    every += [exchanged(broken, i, j) for i, j in combinations(stickers, 2)]
    possible = {other for other in every if is_possible(other)}
    assert possible <= {repair.net for repair in diagnosis.repairs}


# --- whatever comes ----------------------------------------------------------------------------------------


@given(st.sampled_from([2, 3, 4, 5, 6, 7]), st.randoms(), st.booleans())
def test_any_net_is_diagnosed(size: int, dice: random.Random, even: bool) -> None:
    area = size * size
    symbols = list("WOGRBY" * area) if even else ["W", *"WOGRBY", *dice.choices("WOGRBY", k=6 * area - 7)]
    dice.shuffle(symbols)
    net = Net(size, tuple(symbols))
    diagnosis = diagnose(net)
    assert diagnosis.possible == is_possible(net)
    assert repairs_lead_to(diagnosis, net) is False
    for problem in diagnosis.problems:
        assert "\n" not in problem.sentence
        assert all(0 <= sticker < 6 * area for sticker in problem.stickers)


@given(nets(), st.integers(2, 6), st.randoms())
def test_several_slips_at_once(net: Net, slips: int, dice: random.Random) -> None:
    symbols = list(net.symbols)
    for _ in range(slips):
        symbols[dice.randrange(len(symbols))] = dice.choice(sorted(set(net.symbols)))
    assume(len(set(symbols)) == 6)
    broken = Net(net.size, tuple(symbols))
    assert diagnose(broken).possible == is_possible(broken)


# --- the words ---------------------------------------------------------------------------------------------


def changed(**symbols: str) -> Net:
    """The solved 3x3x3 with some stickers, given by name, showing other colours."""
    geo = geometry(3)
    return net_of(Cube.solved(3)).with_symbols({geo.sticker(name): symbol for name, symbol in symbols.items()})


def sentences(problems: tuple[Problem, ...]) -> list[str]:
    return [problem.sentence for problem in problems]


def test_counts_and_a_doubled_edge() -> None:
    diagnosis = diagnose(changed(RU="G"))
    assert sentences(diagnosis.problems) == [
        "10 stickers are green and 8 red; there must be 9 of each",
        "the white and green edge is there twice, at UF and UR; missing is the white and red edge",
    ]
    # Red on FU instead would make an edge of each kind too, but leave the two of them exchanged.
    assert [repair.sentence for repair in diagnosis.repairs] == ["make the sticker RU red instead of green"]


def test_opposite_colours_on_one_piece() -> None:
    diagnosis = diagnose(changed(FU="Y"))
    assert sentences(diagnosis.problems)[1] == (
        "the edge at UF shows white and yellow, but white and yellow are opposite colours; "
        "it must be the white and green edge, the only edge missing"
    )
    assert diagnosis.repairs[0].sentence == "make the sticker FU green instead of yellow"


def test_a_colour_twice_on_one_piece() -> None:
    diagnosis = diagnose(changed(FUR="W", UFR="G", RUF="W"))
    assert sentences(diagnosis.problems) == [
        "10 stickers are white and 8 red; there must be 9 of each",
        "the corner at UFR shows white twice and green; "
        "it must be the white, red and green corner, the only corner missing",
    ]


def test_a_corner_in_a_mirror() -> None:
    diagnosis = diagnose(changed(FUR="R", RUF="G"))
    assert sentences(diagnosis.problems) == [
        "the corner at UFR shows white, green, red going clockwise, which is the wrong way round; "
        "it must be the white, red and green corner, the only corner missing"
    ]
    assert "exchange the sticker FUR (red) with the sticker RUF (green)" in [
        repair.sentence for repair in diagnosis.repairs
    ]


def test_centres_of_one_colour() -> None:
    diagnosis = diagnose(changed(U="G"))
    assert sentences(diagnosis.problems)[1] == "the centres of U and F are both green, and no centre is white"
    assert [repair.sentence for repair in diagnosis.repairs] == ["make the centre of U white instead of green"]


def test_exchanged_edges() -> None:
    diagnosis = diagnose(changed(FU="R", RU="G"))
    assert sentences(diagnosis.problems) == [
        "two pieces are exchanged: turns exchange corners and edges in step, and here the corners need an even "
        "number of exchanges and the edges an odd one"
    ]
    assert diagnosis.repairs[0].sentence == (
        "exchange the edges at UF and UR, with the sticker at UF going to UR and that at UR to UF"
    )
    assert diagnosis.repairs[0].net == net_of(Cube.solved(3))


def test_a_face_typed_turned_is_said_so() -> None:
    net = net_of(Cube.from_turns("R U F L2 D' B"))
    source = turn_permutation(3, Turn("L", 1, 1, 1))
    diagnosis = diagnose(net.with_symbols({i: net.symbols[source[i]] for i in range(9, 18)}))
    assert "turn what is typed for the face L by a quarter turn anticlockwise" in [
        repair.sentence for repair in diagnosis.repairs
    ]


def test_colours_that_have_no_name_are_quoted() -> None:
    text = write_net(Cube.solved(3), "123456").replace("1", "2", 1)
    assert sentences(diagnose(text).problems)[0] == "10 stickers are “2” and 8 “1”; there must be 9 of each"


def test_wings_are_named_as_one_of_two() -> None:
    geo = geometry(4)
    net = net_of(Cube.solved(4)).with_symbols({geo.sticker("FUr"): "R"})
    assert sentences(diagnose(net).problems)[1] == (
        "one of the two white and red wings is there twice, at UFr and URb; "
        "missing is one of the two white and green wings"
    )


def test_many_faults_are_counted() -> None:
    net = net_of(Cube.from_turns("R U F L2 D' B"))
    a, b = fixed_centres(3)[:2]
    diagnosis = diagnose(exchanged(net, a, b))
    first, second = sentences(diagnosis.problems)[:2]
    more = len(diagnosis.problems) - 2
    assert diagnosis.sentence == f"no turns lead to this cube: {first}; also, {second}; and {more} more faults"


def test_most_limits_the_list_but_not_the_count() -> None:
    broken = turned(net_of(Cube.from_turns("R U F")), families(3)[1].places[4], 1)
    diagnosis = diagnose(broken, most=3)
    assert len(diagnosis.repairs) == 3
    assert diagnosis.repairs_found == 12
    assert diagnosis.repairs == diagnose(broken).repairs[:3]
