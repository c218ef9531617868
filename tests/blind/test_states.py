"""States counted and drawn, against listing them all where there are few, and against a walk where there are many."""

from __future__ import annotations

import math
import random
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import fields, replace
from fractions import Fraction
from itertools import combinations, permutations, product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.features import ANY, MOST, FeatureError, Features, features_of, parse_features
from nightfold.blind.hold import Hold
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.blind.plan import make_plan
from nightfold.blind.reading import trace_orbit
from nightfold.blind.states import (
    CORNERS,
    EDGES,
    Kind,
    Shape,
    all_turned,
    arrangements,
    buffer_pieces,
    chance,
    possible,
    sample,
    sample_orbit,
    sample_pieces,
    shapes,
    states_with,
    why_impossible,
)
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from tests.chance import p_value, tail

#: With the seeds fixed nothing here depends on luck; a sound sampler falls below this once in ten thousand seeds.
UNLIKELY = 1e-4
#: All states of the 3x3x3.
ALL = 43_252_003_274_489_856_000
SMALL: list[Kind] = [
    (1, 2),
    (1, 3),
    (2, 2),
    (2, 3),
    (3, 1),
    (3, 2),
    (3, 3),
    (4, 2),
    (4, 3),
    (4, 4),
    (5, 1),
    (5, 2),
    (5, 3),
]


def placings(kind: Kind) -> Iterator[tuple[tuple[int, int], ...]]:
    """Every state of a small orbit: the piece at each place and how it is turned, the turns adding up to nothing."""
    n, o = kind
    for pieces in permutations(range(n)):
        for turned in product(range(o), repeat=n):
            if sum(turned) % o == 0:
                yield tuple(zip(pieces, turned, strict=True))


def looked_at(placed: tuple[tuple[int, int], ...], buffer: int) -> tuple[int, bool, int, int, int, int]:
    """The shape of a state by following its cycles: length, buffer turned, solved, turned, moved, cycles."""
    cycles: list[set[int]] = []
    for start in range(len(placed)):
        if not any(start in cycle for cycle in cycles):
            cycle, at = {start}, placed[start][0]
            while at != start:
                cycle.add(at)
                at = placed[at][0]
            cycles.append(cycle)
    own = next(cycle for cycle in cycles if buffer in cycle)
    others = [cycle for cycle in cycles if cycle != own]
    lone = [placed[next(iter(cycle))][1] for cycle in others if len(cycle) == 1]
    long = [len(cycle) for cycle in others if len(cycle) > 1]
    turned = sum(step > 0 for step in lone)
    return len(own), len(own) == 1 and placed[buffer][1] > 0, len(lone) - turned, turned, sum(long), len(long)


def key(shape: Shape) -> tuple[int, bool, int, int, int, int]:
    return shape.length, shape.buffer_turned, shape.solved, shape.turned, shape.moved, shape.cycles


# --- counting ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", SMALL)
def test_shapes_of_small_orbits_against_every_state(kind: Kind) -> None:
    for buffer in {0, kind[0] - 1}:
        listed = Counter(looked_at(placed, buffer) for placed in placings(kind))
        assert {key(shape): shape.states for shape in shapes(kind)} == listed


@pytest.mark.parametrize("kind", [*SMALL, (6, 5), (7, 3), CORNERS, EDGES, (24, 1)])
def test_shapes_hold_every_state_once(kind: Kind) -> None:
    n, o = kind
    assert sum(shape.states for shape in shapes(kind)) == math.factorial(n) * o ** (n - 1)
    assert len({key(shape) for shape in shapes(kind)}) == len(shapes(kind))
    assert all(shape.length + shape.solved + shape.turned + shape.moved == n for shape in shapes(kind))


def test_arrangements_against_every_permutation() -> None:
    for moved in range(8):
        listed: Counter[int] = Counter()
        for pieces in permutations(range(moved)):
            if all(piece != place for place, piece in enumerate(pieces)):
                # A stand-in buffer that stays at home lets the same eyes count the cycles.
                listed[looked_at((*((piece, 0) for piece in pieces), (moved, 0)), moved)[5]] += 1
        assert {c: arrangements(moved, c) for c in range(moved + 2) if arrangements(moved, c)} == listed


def test_all_turned_against_every_list() -> None:
    for ways in range(1, 6):
        for pieces in range(6):
            listed = sum(sum(turns) % ways == 0 for turns in product(range(1, ways), repeat=pieces))
            assert all_turned(pieces, ways) == listed


Walk = dict[tuple[int, int], Fraction]


def walked(kind: Kind) -> Walk:
    """The chances of letters and breaks, cycle by cycle, without a count of anything.

    With j pieces not yet met, the next piece is any of them or the one that closes the cycle, so a cycle closes with
    chance 1 in j.  A cycle of one piece is turned with chance (o - 1)/o; the buffer's is no matter.
    """
    n, o = kind
    # (pieces not yet met, length of the open cycle, whether it is the buffer's) -> chances of letters and breaks.
    ahead: dict[tuple[int, int, bool], Walk] = defaultdict(lambda: defaultdict(Fraction))
    ahead[n, 1, True][0, 0] = Fraction(1)
    done: Walk = defaultdict(Fraction)
    for left in range(n, 0, -1):
        for length in range(1, n + 1):
            for own in (True, False):
                for (letters, breaks), share in ahead.pop((left, length, own), {}).items():
                    ends: list[tuple[int, int, Fraction]]
                    if own:
                        ends = [(length - 1, 0, Fraction(1))]
                    elif length > 1:
                        ends = [(length + 1, 1, Fraction(1))]
                    else:
                        ends = [(2, 1, Fraction(o - 1, o)), (0, 0, Fraction(1, o))]
                    for more_letters, more_breaks, part in ends:
                        after = (letters + more_letters, breaks + more_breaks)
                        to = ahead[left - 1, 1, False] if left > 1 else done
                        to[after] += share * part / left
                    if left > 1:
                        ahead[left - 1, length + 1, own][letters, breaks] += share * Fraction(left - 1, left)
    return {outcome: share for outcome, share in done.items() if share}


@pytest.mark.parametrize("kind", [CORNERS, EDGES, (5, 3)])
def test_letters_and_breaks_against_a_walk_round_the_cycles(kind: Kind) -> None:
    counted: dict[tuple[int, int], int] = defaultdict(int)
    for shape in shapes(kind):
        counted[shape.letters, shape.breaks] += shape.states
    total = sum(counted.values())
    assert {outcome: Fraction(states, total) for outcome, states in counted.items()} == walked(kind)


def test_edges_and_corners_together_against_the_walk() -> None:
    together: dict[tuple[int, int], Fraction] = defaultdict(Fraction)
    for (a, i), one in walked(EDGES).items():
        for (b, j), other in walked(CORNERS).items():
            if a % 2 == b % 2:
                together[a + b, i + j] += 2 * one * other
    assert states_with().count == ALL
    assert {outcome: Fraction(states, ALL) for outcome, states in states_with().together.items()} == together


# --- chances -----------------------------------------------------------------------------------------------


def wish(**wishes: object) -> Features:
    return parse_features({name: None if text is None else str(text) for name, text in wishes.items()})


def number_wish(name: str, low: int, high: int | None = None) -> Features:
    return wish(**{name: f"{low}..{low if high is None else high}"})


@pytest.mark.parametrize(
    ("wanted", "states"),
    [
        (wish(solved_edges=12, solved_corners=8), 1),
        (wish(letters=0, edge_buffer="home", corner_buffer="home"), 1),
        # Two of twelve edges flipped, or those that look so to the eye of a buffer: it and one other.
        (wish(solved_edges=10, solved_corners=8), 66),
        (wish(solved_edges=10, solved_corners=8, edge_buffer="turned"), 11),
        (wish(solved_edges=10, solved_corners=8, flipped=2), 55),
        # All twelve edges flipped, corners solved.
        (wish(flipped=11, edge_buffer="turned", solved_corners=8), 1),
        # Three corners twisted alike, two ways, or three in a cycle, 2 · 3 · 3 ways; edges solved.
        (wish(solved_edges=12, solved_corners=5), 56 * (2 + 18)),
        # The buffer's edge and one other exchanged (2 ways to lie), and so two corners (3 ways).
        (wish(edge_letters=1, corner_letters=1), 11 * 2 * 7 * 3),
        # Nothing said of the corners: each of their arrangements of one parity with every twist.
        (wish(solved_edges=12), math.factorial(8) // 2 * 3**7),
        (wish(solved_corners=8, parity="no"), math.factorial(12) // 2 * 2**11),
        (wish(parity="yes"), ALL // 2),
        # The edge buffer's piece is in its own place.
        (wish(edge_buffer="home,turned"), ALL // 12),
        (wish(edge_buffer="turned"), ALL // 24),
        (wish(corner_buffer="turned"), ALL * 2 // 24),
        (wish(corner_buffer="away"), ALL * 7 // 8),
        (wish(edge_buffer="home", corner_buffer="turned"), ALL * 2 // 24 // 24),
        # Every piece home: flips and twists alone, without those of the buffers.
        (wish(edge_breaks="..11", flipped=0, solved_edges=12, corner_letters="0..14", twisted=1, solved_corners=6), 14),
        (ANY, ALL),
    ],
    ids=str,
)
def test_chances_that_can_be_counted_by_hand(wanted: Features, states: int) -> None:
    assert chance(wanted) * ALL == states
    assert why_impossible(wanted) is None
    assert possible(wanted).count == states


@pytest.mark.parametrize("name", sorted(MOST))
def test_each_number_alone_shares_out_all_states(name: str) -> None:
    parts = [chance(number_wish(name, number)) for number in range(MOST[name] + 3)]
    assert sum(parts) == 1
    assert parts[MOST[name]] > 0
    assert parts[MOST[name] + 1 :] == [0, 0]
    middle = MOST[name] // 2
    assert chance(number_wish(name, 0, middle)) + chance(number_wish(name, middle + 1, MOST[name])) == 1


def test_chances_of_two_wishes_share_out_the_chance_of_one() -> None:
    for first, second in combinations(sorted(MOST), 2):
        one = wish(**{first: "2..4"})
        parts = [chance(wish(**{first: "2..4", second: number})) for number in range(MOST[second] + 1)]
        assert sum(parts) == chance(one), (first, second)


# --- wishes that cannot be fulfilled -----------------------------------------------------------------------

REFUSED = [
    (
        wish(edge_letters=7, corner_letters=8),
        "no cube has 7 edge letters and 8 corner letters: edge letters and corner letters are both even or both odd; "
        "with 7 edge letters there can only be an odd number (1 to 13) of corner letters",
    ),
    (
        wish(edge_letters=8, parity="yes", corner_letters="3..9"),
        "no cube has 8 edge letters and parity: parity means that both orbits have an odd number of letters; "
        "with 8 edge letters there is never parity",
    ),
    (
        wish(corner_letters=7, parity="no"),
        "no cube has 7 corner letters and no parity: without parity both orbits have an even number of letters; "
        "with 7 corner letters there is always parity",
    ),
    (
        wish(letters=21),
        "no cube has 21 letters in all: edge letters and corner letters are both even or both odd; "
        "there can only be an even number (0 to 36) of letters in all",
    ),
    (
        wish(twisted=1, solved_corners=7, solved_edges=12),
        "no cube has 7 solved corners: twists add up to a multiple of three, so no corner is ever twisted alone; "
        "there can only be 0 to 6 or 8 solved corners",
    ),
    (
        wish(solved_edges=11),
        "no cube has 11 solved edges: flips add up to an even number, so no edge is ever flipped alone; "
        "there can only be 0 to 10 or 12 solved edges",
    ),
    (wish(edge_letters="23.."), "no cube has 23 edge letters: there can only be 0 to 22 edge letters"),
    (
        wish(breaks=0, flipped="1.."),
        "no cube has no breaks in all and at least 1 edge flipped in place: "
        "with no breaks in all there can only be 0 edges flipped in place",
    ),
    (
        wish(letters="..8", flipped=3, twisted=2),
        "no cube has at most 8 letters in all, 3 edges flipped in place and 2 corners twisted in place: "
        "with at most 8 letters in all and 3 edges flipped in place there can only be 0 or 1 corner twisted in place",
    ),
    (
        wish(solved_edges=12, edge_buffer="away"),
        "no cube has 12 solved edges and the edge buffer away: with 12 solved edges the edge buffer can only be home",
    ),
    (
        wish(solved_edges=12, parity="yes"),
        "no cube has 12 solved edges and parity: with 12 solved edges there is never parity",
    ),
    (
        wish(corner_letters=2, corner_buffer="home", edge_letters="4.."),
        "no cube has 2 corner letters and the corner buffer home: twists add up to a multiple of three, so no corner "
        "is ever twisted alone; with 2 corner letters the corner buffer can only be away or turned",
    ),
    (
        wish(letters=10, edge_letters="12.."),
        "no cube has at least 12 edge letters and 10 letters in all: "
        "with at least 12 edge letters there can only be an even number (12 to 36) of letters in all",
    ),
]


@pytest.mark.parametrize(("wanted", "sentence"), REFUSED, ids=lambda value: str(value)[:50])
def test_impossible_wishes_are_refused_with_the_reason(wanted: Features, sentence: str) -> None:
    assert chance(wanted) == 0
    assert why_impossible(wanted) == sentence
    with pytest.raises(FeatureError) as refused:
        sample(wanted, random.Random(0))
    assert str(refused.value) == sentence
    with pytest.raises(FeatureError):
        possible(wanted)


ranges = st.tuples(st.integers(0, 24), st.integers(0, 8)).map(lambda pair: (pair[0], sum(pair)))
states_of_buffer = st.frozensets(st.sampled_from(["home", "turned", "away"]), min_size=1)


def now_and_then(wishes: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.none(), st.none(), st.none(), wishes)


some_features = st.builds(
    Features,
    **{name: now_and_then(ranges) for name in MOST},
    parity=now_and_then(st.booleans()),
    edge_buffer=now_and_then(states_of_buffer),
    corner_buffer=now_and_then(states_of_buffer),
)


@given(some_features, st.randoms(use_true_random=False))
def test_any_wishes_are_met_or_refused_with_the_fewest_that_clash(wanted: Features, rng: random.Random) -> None:
    reason = why_impossible(wanted)
    assert (reason is None) == (chance(wanted) > 0)
    if reason is None:
        assert wanted.allow(features_of(make_plan(sample(wanted, rng))))
        return
    named = [name for name in wanted.wishes if wanted.words(name) in reason.split(":")[0]]
    clash = wanted.only(named)
    assert reason.startswith(f"no cube has {clash}: ")
    assert chance(clash) == 0
    for name in named:
        assert chance(clash.only([other for other in named if other != name])) > 0


# --- drawing -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "buffer"), [((3, 3), 1), ((4, 2), 0), ((4, 3), 3), ((5, 2), 2)])
def test_every_state_of_a_small_orbit_is_drawn_alike_often(kind: Kind, buffer: int) -> None:
    rng = random.Random(20)
    every = list(placings(kind))
    found, weights = shapes(kind), [shape.states for shape in shapes(kind)]
    count = 40 * len(every)
    drawn = Counter(sample_orbit(shape, kind, buffer, rng) for shape in rng.choices(found, weights, k=count))
    assert p_value(drawn, dict.fromkeys(every, Fraction(1, len(every)))) > UNLIKELY


@pytest.mark.parametrize("kind", [CORNERS, EDGES])
def test_states_of_every_shape_are_of_that_shape(kind: Kind) -> None:
    rng = random.Random(3)
    for shape in shapes(kind):
        buffer = rng.randrange(kind[0])
        placed = sample_orbit(shape, kind, buffer, rng)
        assert looked_at(placed, buffer) == key(shape)
        assert sorted(piece for piece, _ in placed) == list(range(kind[0]))
        assert all(0 <= step < kind[1] for _, step in placed)
        assert sum(step for _, step in placed) % kind[1] == 0


def test_shapes_within_a_cycle_type_are_drawn_alike_often() -> None:
    """Six corners in two cycles: of 2 and 4 or of 3 and 3, as often as there are such permutations."""
    shape = next(s for s in shapes(CORNERS) if (s.length, s.moved, s.cycles) == (1, 7, 2) and not s.buffer_turned)
    rng = random.Random(5)
    drawn: Counter[int] = Counter()
    for _ in range(6000):
        placed = sample_orbit(shape, CORNERS, 0, rng)
        at, length = placed[1][0], 1
        while at != 1:
            at, length = placed[at][0], length + 1
        drawn[length] += 1
    # The cycle of piece 1, of k of the 7 pieces, has 6!/(7-k)! orders, and the rest (6-k)! in one cycle.
    ways = {k: math.factorial(6) // math.factorial(7 - k) * math.factorial(6 - k) for k in (2, 3, 4, 5)}
    total = sum(ways.values())
    assert total == arrangements(7, 2)
    assert p_value(drawn, {k: Fraction(way, total) for k, way in ways.items()}) > UNLIKELY


def every_pair_of_flips() -> list[tuple[tuple[int, int], ...]]:
    return [tuple((place, int(place in flipped)) for place in range(12)) for flipped in combinations(range(12), 2)]


def test_all_cubes_with_two_flipped_edges_and_nothing_else_are_drawn_alike_often() -> None:
    rng = random.Random(66)
    buffers = buffer_pieces(load_method())
    drawn: Counter[tuple[tuple[int, int], ...]] = Counter()
    for _ in range(66 * 200):
        placed = sample_pieces(wish(solved_edges=10, solved_corners=8), rng, buffers)
        assert placed["corners"] == tuple((corner, 0) for corner in range(8))
        drawn[placed["edges"]] += 1
    assert p_value(drawn, dict.fromkeys(every_pair_of_flips(), Fraction(1, 66))) > UNLIKELY


def test_all_cubes_with_three_corners_wrong_and_nothing_else_are_drawn_alike_often() -> None:
    solved = [(corner, 0) for corner in range(8)]
    every = []
    for a, b, c in combinations(range(8), 3):
        for order in permutations((a, b, c)):
            for turned in product(range(3), repeat=3):
                placed = list(solved)
                for place, piece, step in zip((a, b, c), order, turned, strict=True):
                    placed[place] = (piece, step)
                wrong = sum(one != two for one, two in zip(placed, solved, strict=True))
                even = order in ((a, b, c), (b, c, a), (c, a, b))
                if sum(turned) % 3 == 0 and wrong == 3 and even:
                    every.append(tuple(placed))
    assert len(every) == 1120
    rng = random.Random(1120)
    wanted = wish(solved_edges=12, solved_corners=5)
    drawn = Counter(sample_pieces(wanted, rng, (3, 6))["corners"] for _ in range(1120 * 20))
    assert p_value(drawn, dict.fromkeys(every, Fraction(1, 1120))) > UNLIKELY


WANTED = [
    wish(edge_letters=8, corner_letters="..6"),
    wish(letters="24..", parity="yes"),
    wish(breaks=0),
    wish(flipped=2, twisted=2, edge_buffer="away"),
    wish(edge_buffer="turned", corner_buffer="turned"),
    wish(solved_edges="4..", solved_corners="2..3", corner_buffer="home"),
    wish(edge_breaks=3, corner_breaks="1..2", parity="no"),
    wish(letters=2),
    wish(flipped=11),
    wish(twisted=7, corner_buffer="home"),
]


@pytest.mark.parametrize("wanted", WANTED, ids=str)
@pytest.mark.parametrize("name", method_names())
def test_cubes_have_the_features_asked_for(wanted: Features, name: str) -> None:
    rng = random.Random(f"{wanted} by {name}")
    method, letters = load_method(name), load_lettering()
    for _ in range(12):
        cube = sample(wanted, rng, method)
        readings = [trace_orbit(cube, way.orbit, way.buffer, letters) for way in method.ways]
        assert wanted.allow(features_of(readings)), cube


@pytest.mark.parametrize("hold", [Hold("Y", "R"), Hold("O", "W"), Hold("W", "B")], ids=str)
def test_cubes_have_the_features_in_the_hold_of_the_method(hold: Hold) -> None:
    rng = random.Random(7)
    method = replace(load_method(), hold=hold)
    wanted = wish(edge_buffer="turned", corner_letters="..5", flipped="1..")
    missed = 0
    for _ in range(25):
        cube = sample(wanted, rng, method)
        assert all(cube.stickers[centre] == centre for centre in geometry(3).fixed_centres.values())
        plan = make_plan(cube, method)
        assert plan.solved
        assert wanted.allow(features_of(plan))
        missed += not wanted.allow(features_of(make_plan(cube, load_method())))
    assert missed > 10  # in another hold other pieces are at the buffers


def test_the_same_dice_give_the_same_cubes() -> None:
    wanted = wish(edge_letters="10..12")
    one, two = random.Random(11), random.Random(11)
    cubes = [sample(wanted, one) for _ in range(5)]
    assert cubes == [sample(wanted, two) for _ in range(5)]
    assert len(set(cubes)) == 5
    assert sample(wanted, random.Random(12)) != cubes[0]
    assert isinstance(sample(ANY, random.SystemRandom()), Cube)


def test_plain_cubes_have_every_piece_everywhere_alike_often() -> None:
    """Each sticker of each piece shows at each place of its orbit alike often, and half of all cubes are odd."""
    rng = random.Random(43)
    count = 4000
    shown: dict[str, Counter[tuple[int, int, int]]] = defaultdict(Counter)
    odd = 0
    for _ in range(count):
        placed = sample_pieces(ANY, rng, (0, 0))
        for orbit, pieces in placed.items():
            shown[orbit].update((place, piece, step) for place, (piece, step) in enumerate(pieces))
        odd += looked_at(placed["edges"], 0)[0] + sum(looked_at(placed["edges"], 0)[4:]) - 1 & 1
    for orbit, (n, o) in (("edges", EDGES), ("corners", CORNERS)):
        every = list(product(range(n), range(n), range(o)))
        assert p_value(shown[orbit], dict.fromkeys(every, Fraction(1, len(every)))) > UNLIKELY
    assert p_value({True: odd, False: count - odd}, {True: Fraction(1, 2), False: Fraction(1, 2)}) > UNLIKELY


def test_buffer_pieces_are_those_of_the_method() -> None:
    geo = geometry(3)
    for name in method_names():
        method = load_method(name)
        edge, corner = buffer_pieces(method)
        assert method.way("edges").buffer in geo.orbit("edges").pieces[edge]
        assert method.way("corners").buffer in geo.orbit("corners").pieces[corner]


# --- the judge ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("freedom", "critical"), [(1, 3.841), (2, 5.991), (5, 11.070), (10, 18.307), (30, 43.773)])
def test_the_tail_of_chi_square(freedom: int, critical: float) -> None:
    """What a twentieth of all samples exceeds, as any table of chi-square has it (from memory)."""
    assert tail(critical, freedom) == pytest.approx(0.05, abs=2e-5)


def test_the_judge_finds_a_loaded_die() -> None:
    fair = dict.fromkeys(range(6), Fraction(1, 6))
    rng = random.Random(6)
    assert p_value(Counter(rng.choices(range(6), k=6000)), fair) > UNLIKELY
    assert p_value(Counter(rng.choices(range(6), [9, 10, 10, 10, 10, 12], k=6000)), fair) < UNLIKELY
    assert p_value({0: 10, 6: 1}, fair) == 0


def test_wishes_cover_every_feature() -> None:
    named = {name for wanted in (*WANTED, *(wanted for wanted, _ in REFUSED)) for name in wanted.wishes}
    assert named == {field.name for field in fields(Features)}
