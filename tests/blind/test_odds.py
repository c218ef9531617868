"""The exact odds, against derivations that share nothing with them and against a million random cubes."""

from __future__ import annotations

import json
import math
import random
from collections import Counter, defaultdict
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from sympy import QQ, ring  # type: ignore[import-untyped]
from sympy.polys.ring_series import rs_exp  # type: ignore[import-untyped]

from nightfold.blind.errors import ReadingError
from nightfold.blind.features import ANY, FeatureError, Features, parse_features
from nightfold.blind.method import load_method
from nightfold.blind.odds import TABLES, Place, Table, odds, place_of
from nightfold.blind.plan import make_plan
from nightfold.blind.states import buffer_pieces, chance, sample, sample_pieces
from nightfold.cube.state import Cube
from nightfold.search.native import BYTES, core
from tests.chance import p_value

#: With the seeds fixed nothing here depends on luck; right odds fall below this once in ten thousand seeds.
UNLIKELY = 1e-4
ALL = 43_252_003_274_489_856_000
Shares = Mapping[int, Fraction]
Bytes = npt.NDArray[np.uint8]


def wish(**texts: str) -> Features:
    return parse_features(texts)


CONDITIONS = [
    ANY,
    wish(parity="yes"),
    wish(letters="..18"),
    wish(edge_breaks="0", corner_breaks="0"),
    wish(flipped="2..", edge_buffer="away"),
    wish(corner_buffer="turned", edge_letters="12..14"),
    wish(twisted="1", solved_edges="1..", parity="no"),
    wish(breaks="5..", solved_corners="1"),
]
conditions = pytest.mark.parametrize("features", CONDITIONS, ids=str)


# --- what must hold of any odds ----------------------------------------------------------------------------


@conditions
def test_every_table_shares_out_one(features: Features) -> None:
    found = odds(features)
    assert tuple(found.tables) == TABLES
    for name, table in found.tables.items():
        assert sum(table.chances.values()) == 1, name
        assert all(share > 0 for share in table.chances.values())
        assert list(table.chances) == sorted(table.chances)
    assert sum(found.difficulty.values()) == 1
    assert list(found.difficulty) == sorted(found.difficulty)
    assert found.features == features
    assert found.chance == chance(features)


@conditions
def test_totals_are_the_sums_of_their_parts(features: Features) -> None:
    found = odds(features)
    assert found.total_letters.mean == found.edge_letters.mean + found.corner_letters.mean
    assert found.total_breaks.mean == found.edge_breaks.mean + found.corner_breaks.mean
    for at, table in ((0, found.total_letters), (1, found.total_breaks)):
        summed: dict[int, Fraction] = defaultdict(Fraction)
        for key, share in found.difficulty.items():
            summed[key[at]] += share
        assert summed == table.chances
    for table in (found.edge_letters, found.corner_letters):
        assert sum(share for letters, share in table.chances.items() if letters % 2) == found.parity


@pytest.mark.parametrize("features", [wanted for wanted in CONDITIONS if wanted.edge_breaks is None], ids=str)
def test_odds_of_parts_make_up_the_odds_of_the_whole(features: Features) -> None:
    whole = odds(features)
    parts = {
        breaks: odds(Features(**{**features.wishes, "edge_breaks": (breaks, breaks)}))
        for breaks in whole.edge_breaks.chances
    }
    assert sum(part.chance for part in parts.values()) == whole.chance
    for name in TABLES:
        mixed: dict[int, Fraction] = defaultdict(Fraction)
        for breaks, share in whole.edge_breaks.chances.items():
            for value, within in parts[breaks].tables[name].chances.items():
                mixed[value] += share * within
        assert mixed == whole.tables[name].chances, name


# --- derived another way -----------------------------------------------------------------------------------


def generated(n: int, o: int) -> dict[tuple[int, int, int], Fraction]:
    """Chances of (letters, breaks, turned in place) of an orbit, by an exponential generating function.

    Where the buffer's state is not asked for, the sum of turns is no matter: turning the buffer's piece makes up for
    any.  So all pieces may lie anyhow, and of n! o^n states the cycles of the pieces outside the buffer's cycle,
    marked by u for each letter, v for each break and w for each piece turned in place, are counted by

        exp(x (1 + (o - 1) u^2 v w) + u v sum over k >= 2 of (o u x)^k / k).
    """
    polynomials, x, u, v, w = ring("x, u, v, w", QQ)
    inside = x * (1 + (o - 1) * u**2 * v * w)
    for k in range(2, n):
        inside += u * v * (o * u * x) ** k * QQ(1, k)
    others = rs_exp(inside, x, n)
    whole = polynomials(0)
    for length in range(1, n + 1):
        # (n-1)!/(n-L)! buffer cycles, each piece any of o ways; (n-L)! times the coefficient for the rest.
        rest = sum(
            (polynomials({(0, *power[1:]): c}) for power, c in others.terms() if power[0] == n - length), whole * 0
        )
        whole += math.factorial(n - 1) * o**length * u ** (length - 1) * rest
    states = math.factorial(n) * o**n
    return {power[1:]: Fraction(int(c.numerator), int(c.denominator)) / states for power, c in whole.terms()}


@cache
def generated_orbit(name: str) -> dict[tuple[int, int, int], Fraction]:
    return generated(12, 2) if name == "edges" else generated(8, 3)


def marginal(shares: Mapping[tuple[int, int, int], Fraction], at: int) -> Shares:
    summed: dict[int, Fraction] = defaultdict(Fraction)
    for key, share in shares.items():
        summed[key[at]] += share
    return summed


def test_tables_against_generating_functions() -> None:
    found = odds()
    edges, corners = generated_orbit("edges"), generated_orbit("corners")
    assert found.edge_letters.chances == marginal(edges, 0)
    assert found.edge_breaks.chances == marginal(edges, 1)
    assert found.flipped_edges.chances == marginal(edges, 2)
    assert found.corner_letters.chances == marginal(corners, 0)
    assert found.corner_breaks.chances == marginal(corners, 1)
    assert found.twisted_corners.chances == marginal(corners, 2)


def test_odds_under_conditions_against_generating_functions() -> None:
    wanted = wish(letters="18..20", flipped="1..2", corner_breaks="..1", parity="no")
    weights: dict[str, dict[int, Fraction]] = {
        name: defaultdict(Fraction) for name in ("edge", "corner", "flip", "twist")
    }
    total = Fraction(0)
    for (a, _, flipped), one in generated_orbit("edges").items():
        for (b, breaks, twisted), other in generated_orbit("corners").items():
            if a % 2 == b % 2 == 0 and 18 <= a + b <= 20 and 1 <= flipped <= 2 and breaks <= 1:
                share = 2 * one * other
                total += share
                for name, value in (("edge", a), ("corner", b), ("flip", flipped), ("twist", twisted)):
                    weights[name][value] += share
    found = odds(wanted)
    assert found.chance == total
    for name, table in (
        ("edge", found.edge_letters),
        ("corner", found.corner_letters),
        ("flip", found.flipped_edges),
        ("twist", found.twisted_corners),
    ):
        assert table.chances == {value: share / total for value, share in weights[name].items()}


@pytest.mark.parametrize(("name", "n", "o"), [("solved_edges", 12, 2), ("solved_corners", 8, 3)])
def test_solved_pieces_against_inclusion_and_exclusion(name: str, n: int, o: int) -> None:
    """Any m given pieces are solved in (n-m)! o^(n-m-1) states of their orbit, all n in one."""
    held = [math.factorial(n - m) * o ** (n - m - 1) for m in range(n)] + [1]
    states = held[0]
    exactly = {
        k: Fraction(
            math.comb(n, k) * sum((-1) ** j * math.comb(n - k, j) * held[k + j] for j in range(n - k + 1)), states
        )
        for k in range(n + 1)
    }
    assert exactly[n - 1] == 0
    table = odds().tables[name]
    assert table.chances == {k: share for k, share in exactly.items() if share}
    assert table.mean == Fraction(1, o)


def test_means_against_their_formula() -> None:
    """The derivation is in docs/how-it-works.md, by the linearity of expectation alone."""

    def letters(n: int, o: int) -> Fraction:
        harmonic = sum(Fraction(1, k) for k in range(1, n + 1))
        home = Fraction(n - 1, n)
        return (n - 1) * home + harmonic - 1 - home + 2 * home * Fraction(o - 1, o)

    found = odds()
    assert found.edge_letters.mean == letters(12, 2) == Fraction(337811, 27720)
    assert found.corner_letters.mean == letters(8, 3) == Fraction(6833, 840)
    assert found.total_letters.mean == Fraction(28165, 1386)
    assert found.flipped_edges.mean == Fraction(11, 24)
    assert found.twisted_corners.mean == Fraction(7, 12)
    assert found.parity == Fraction(1, 2)


def test_odd_cubes_are_half_of_each_kind() -> None:
    """Given parity, the odd numbers of letters are twice as likely as else, and the even ones are gone."""
    plain, odd = odds(), odds(wish(parity="yes"))
    assert odd.parity == 1
    for one, all_of in ((odd.edge_letters, plain.edge_letters), (odd.corner_letters, plain.corner_letters)):
        assert one.chances == {value: 2 * share for value, share in all_of.chances.items() if value % 2}


# --- a million cubes ---------------------------------------------------------------------------------------


def random_states(count: int, seed: int) -> Bytes:
    """Uniformly random cubes, packed: pieces shuffled, turned anyhow but for the last, exchanged where need be."""
    dice = np.random.default_rng(seed)
    states = np.tile(np.array([*range(16), *range(16)], dtype=np.uint8), (count, 1))
    odd = np.zeros(count, dtype=bool)
    for start, n, o in ((0, 12, 2), (16, 8, 3)):
        pieces = dice.permuted(np.tile(np.arange(n, dtype=np.uint8), (count, 1)), axis=1)
        for i in range(n):
            for j in range(i):
                odd ^= pieces[:, j] > pieces[:, i]
        turned = dice.integers(0, o, (count, n), dtype=np.uint8)
        turned[:, -1] = (-turned[:, :-1].sum(axis=1, dtype=np.int64)) % o
        states[:, start : start + n] = pieces
        states[:, start : start + n] |= turned << 4
    # Where one is even and the other odd, exchange two corners: as many cubes lead here as stay here.
    states[odd, 16], states[odd, 17] = states[odd, 17], states[odd, 16].copy()
    return states


#: For each table the columns of the native count to add up; see native/reading.hpp.
COLUMNS = {
    "edge_letters": (0,),
    "corner_letters": (5,),
    "total_letters": (0, 5),
    "edge_breaks": (1,),
    "corner_breaks": (6,),
    "total_breaks": (1, 6),
    "flipped_edges": (2,),
    "twisted_corners": (7,),
}


def counted(states: Bytes, buffers: tuple[int, int]) -> dict[str, Bytes]:
    """The numbers of each table for packed cubes, and the buffers' states, by the native core."""
    packed = np.ascontiguousarray(states).reshape(-1)
    out = np.zeros(len(packed) // BYTES * 10, dtype=np.uint8)
    core.count(packed.data, *buffers, out.data)
    found = out.reshape(-1, 10)
    numbers: dict[str, Bytes] = {
        name: found[:, list(columns)].sum(axis=1, dtype=np.uint8) for name, columns in COLUMNS.items()
    }
    for name, at in (("solved_edges", 3), ("solved_corners", 8)):
        # The core leaves the buffer's piece out, and tells by 2 that it is right.
        numbers[name] = found[:, at] + (found[:, at + 1] == 2).astype(np.uint8)
    numbers["edge_buffer"], numbers["corner_buffer"] = found[:, 4], found[:, 9]
    return numbers


def tally(values: Bytes) -> dict[int, int]:
    return {value: int(many) for value, many in enumerate(np.bincount(values)) if many}


@cache
def a_million() -> dict[str, Bytes]:
    return counted(random_states(1_000_000, 1859), (5, 2))


@pytest.mark.parametrize("name", TABLES)
def test_a_million_random_cubes(name: str) -> None:
    assert p_value(tally(a_million()[name]), odds().tables[name].chances) > UNLIKELY


def test_a_million_random_cubes_in_letters_and_breaks_together() -> None:
    numbers = a_million()
    both = Counter(zip(numbers["total_letters"].tolist(), numbers["total_breaks"].tolist(), strict=True))
    assert p_value(both, odds().difficulty) > UNLIKELY
    odd = int((numbers["edge_letters"] % 2).sum())
    assert (numbers["edge_letters"] % 2 == numbers["corner_letters"] % 2).all()
    assert p_value({True: odd, False: 1_000_000 - odd}, {True: Fraction(1, 2), False: Fraction(1, 2)}) > UNLIKELY


def test_a_million_random_cubes_under_conditions() -> None:
    numbers = a_million()
    away, turned, home = 0, 1, 2
    cases = [
        (wish(flipped="2..", edge_buffer="away"), (numbers["flipped_edges"] >= 2) & (numbers["edge_buffer"] == away)),
        (
            wish(corner_buffer="turned", edge_letters="12..14"),
            (numbers["corner_buffer"] == turned) & (numbers["edge_letters"] >= 12) & (numbers["edge_letters"] <= 14),
        ),
        (
            wish(corner_buffer="home,away", breaks="..2"),
            (numbers["corner_buffer"] != turned) & (numbers["total_breaks"] <= 2),
        ),
        (
            wish(edge_buffer="home", twisted="1..", solved_corners="1.."),
            (numbers["edge_buffer"] == home) & (numbers["twisted_corners"] >= 1) & (numbers["solved_corners"] >= 1),
        ),
        (wish(letters="..18"), numbers["total_letters"] <= 18),
    ]
    for features, those in cases:
        found = odds(features)
        many = int(those.sum())
        has = {True: many, False: len(those) - many}
        assert p_value(has, {True: found.chance, False: 1 - found.chance}) > UNLIKELY, features
        for name, table in found.tables.items():
            if len(table.chances) > 1:
                assert p_value(tally(numbers[name][those]), table.chances) > UNLIKELY, (str(features), name)


def packed(placed: Mapping[str, Any]) -> bytes:
    edges, corners = (bytes(piece | turned << 4 for piece, turned in placed[name]) for name in ("edges", "corners"))
    return edges + bytes(range(12, 16)) + corners + bytes(range(8, 16))


@conditions
def test_sampled_cubes_have_the_odds_of_their_features(features: Features) -> None:
    dice = random.Random(f"odds of {features}")
    buffers = buffer_pieces(load_method())
    states = np.frombuffer(
        b"".join(packed(sample_pieces(features, dice, buffers)) for _ in range(4000)), dtype=np.uint8
    )
    numbers = counted(states, buffers)
    found = odds(features)
    for name, table in found.tables.items():
        if sorted(table.chances.values())[-1] < Fraction(3990, 4000):
            assert p_value(tally(numbers[name]), table.chances) > UNLIKELY, name
        else:  # almost always the same
            assert set(tally(numbers[name])) <= set(table.chances)
    both = Counter(zip(numbers["total_letters"].tolist(), numbers["total_breaks"].tolist(), strict=True))
    assert p_value(both, found.difficulty) > UNLIKELY


# --- tables ------------------------------------------------------------------------------------------------


def test_a_table_is_asked() -> None:
    die = Table({value: Fraction(1, 6) for value in range(1, 7)})
    assert die.mean == Fraction(7, 2)
    assert die.variance == Fraction(35, 12)
    assert [die.fewer(3), die.equal(3), die.more(3)] == [Fraction(1, 3), Fraction(1, 6), Fraction(1, 2)]
    assert [die.fewer(0), die.equal(0), die.more(0)] == [0, 0, 1]
    assert [die.fewer(9), die.equal(9), die.more(9)] == [1, 0, 0]
    assert [die.percentile(share) for share in (0, 0.1, Fraction(1, 6), 0.17, 0.5, 0.51, 1)] == [1, 1, 1, 2, 3, 4, 6]
    for share in (-0.1, 1.1, math.nan):
        with pytest.raises(ValueError, match=r"^a share lies between 0 and 1"):
            die.percentile(share)


def test_what_is_impossible_has_no_odds() -> None:
    with pytest.raises(FeatureError, match=r"^no cube has 7 solved corners: twists"):
        odds(wish(solved_corners="7"))


def test_odds_as_plain_data() -> None:
    data = json.loads(json.dumps(odds(wish(solved_edges="12", solved_corners="8")).to_dict()))
    assert set(data) == {*TABLES, "parity", "chance"}
    assert data["edge_letters"] == {"mean": "0", "table": {"0": "1"}}
    assert data["solved_edges"] == {"mean": "12", "table": {"12": "1"}}
    assert data["parity"] == {"mean": "0", "table": {"yes": "0", "no": "1"}}
    assert data["chance"] == f"1/{ALL}"
    plain = odds().to_dict()
    assert set(plain) == {*TABLES, "parity"}
    assert plain["parity"] == {"mean": "1/2", "table": {"yes": "1/2", "no": "1/2"}}
    assert plain["edge_letters"]["mean"] == "337811/27720"
    for name in TABLES:
        assert sum(Fraction(share) for share in plain[name]["table"].values()) == 1


# --- where one cube lies -----------------------------------------------------------------------------------


def test_the_solved_cube_is_the_easiest() -> None:
    place = place_of(make_plan(""))
    assert place.easier == 0
    assert place.alike == Fraction(1, ALL)
    assert place.harder == 1 - place.alike
    assert place.standings["solved_edges"].more == 0


def test_the_hardest_cubes() -> None:
    """All pieces but the buffers' turned in place: 36 letters and 18 breaks."""
    place = place_of(make_plan(sample(wish(letters="36"), random.Random(0))))
    assert place.harder == 0
    assert place.standings["total_breaks"].value == 18
    assert place.standings["total_letters"].equal == place.alike == chance(wish(letters="36"))


def shares_of(place: Place) -> None:
    assert place.easier + place.alike + place.harder == 1
    for standing in place.standings.values():
        assert standing.fewer + standing.equal + standing.more == 1


def test_a_place_tells_what_the_odds_tell() -> None:
    dice = random.Random(36)
    all_cubes = odds()
    for _ in range(40):
        plan = make_plan(sample(ANY, dice))
        place = place_of(plan)
        shares_of(place)
        assert place_of(plan.orbits) == place
        letters = {reading.orbit.name: len(reading.letters) for reading in plan.orbits}
        breaks = sum(reading.breaks for reading in plan.orbits)
        standings = place.standings
        assert {name: standing.value for name, standing in standings.items() if name.endswith("letters")} == {
            "edge_letters": letters["edges"],
            "corner_letters": letters["corners"],
            "total_letters": plan.letters,
        }
        assert standings["total_breaks"].value == breaks
        assert place.own.parity == plan.parity
        # Fewer letters are easier, whatever the breaks; at equal letters fewer breaks are.
        easier = all_cubes.total_letters.fewer(plan.letters) + sum(
            chance(wish(letters=str(plan.letters), breaks=str(fewer))) for fewer in range(breaks)
        )
        assert place.easier == easier
        assert place.alike == chance(wish(letters=str(plan.letters), breaks=str(breaks)))
        for name, standing in standings.items():
            assert standing.fewer == all_cubes.tables[name].fewer(standing.value)
            assert standing.equal == all_cubes.tables[name].equal(standing.value) > 0


def test_places_rank_random_cubes() -> None:
    """Of random cubes just the share ``harder`` is harder than a given one."""
    place = place_of(make_plan("R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2"))
    numbers = a_million()
    keys = numbers["total_letters"].astype(int) * 100 + numbers["total_breaks"]
    own = place.standings["total_letters"].value * 100 + place.standings["total_breaks"].value
    seen = {1: int((keys > own).sum()), 0: int((keys == own).sum()), -1: int((keys < own).sum())}
    assert p_value(seen, {1: place.harder, 0: place.alike, -1: place.easier}) > UNLIKELY


def test_a_place_among_cubes_with_features() -> None:
    among = wish(parity="no", edge_breaks="1..")
    inside, outside = make_plan(sample(among, random.Random(4))), make_plan("R")
    place = place_of(inside, among)
    shares_of(place)
    assert place.has_features
    assert place.among == among
    assert place.alike == odds(among).difficulty[inside.letters, sum(r.breaks for r in inside.orbits)]
    other = place_of(outside, among)
    shares_of(other)
    assert not other.has_features
    assert other.standings["edge_breaks"].equal == 0
    with pytest.raises(FeatureError):
        place_of(inside, wish(letters="7"))


def test_a_place_as_plain_data() -> None:
    data = place_of(make_plan("")).to_dict()
    assert json.loads(json.dumps(data)) == data
    assert data["easier"] == "0"
    assert data["alike"] == f"1/{ALL}"
    assert data["parity"] is False
    assert data["has_features"] is True
    assert data["chance"] == f"1/{ALL}"
    assert data["standings"]["flipped_edges"] == {
        "value": 0,
        "fewer": "0",
        "equal": str(odds().flipped_edges.equal(0)),
        "more": str(1 - odds().flipped_edges.equal(0)),
    }


def test_one_orbit_has_no_place() -> None:
    with pytest.raises(ReadingError):
        place_of(make_plan("R").orbits[1:])


def test_the_buffers_of_the_method_decide_where_a_cube_lies() -> None:
    cube = Cube.from_turns("F R U' L2 B D")
    places = {name: place_of(make_plan(cube, name)) for name in ("two-swap", "corners-first", "left-hand")}
    assert places["two-swap"] == places["corners-first"]  # the same buffers in another order
    assert places["two-swap"] != places["left-hand"]
