"""Setups against brute force, and every verdict on a turn against the cube itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.errors import MethodError
from nightfold.blind.method import default_ease, load_method, method_from, method_names
from nightfold.blind.setups import Ease, Setup, families, find_setups, number_word
from nightfold.blind.ways import SwapWay
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, parse, parse_turns, write
from nightfold.cube.state import Cube

from . import referee
from .judge import check_hops
from .referee import canon

GEO = geometry(3)
T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
SHORT_Y = "R U' R' U' R U R' F' R U R' U' R' F R"
OUTER = [face + wide + suffix for face in "ULFRBD" for wide in ("", "w") for suffix in ("", "2", "'")]
WAYS = [(method, orbit) for method in method_names() for orbit in ("edges", "corners")]


def way_of(swap: str, orbit: str) -> SwapWay:
    """The way of a swap algorithm, buffer and home target read off from what it does."""
    length = len(referee.ORBITS[orbit][0])
    moved = {a: b for a, b in referee.carries(swap).items() if len(a) == length}
    buffer = sorted(moved)[0]
    return SwapWay(
        GEO.orbit(orbit), GEO.sticker(buffer), GEO.sticker(moved[buffer]), parse(swap), "swap", default_ease()
    )


def conjugated(orbit: str) -> Iterator[SwapWay]:
    """The classic swaps after every setup of one turn and some of two, in several holds."""
    swap = {"edges": T_PERM, "corners": SHORT_Y}[orbit]
    prefixes = ["", *(face + suffix for face in "ULFRBD" for suffix in ("", "2", "'"))]
    prefixes += ["D F2", "U F2", "U B2", "D' B2", "R' D", "L F'", "F2 D'", "B U2"]
    for prefix in prefixes:
        for rotation in ("", "x", "y'", "z2"):
            before = f"{rotation} {prefix}"
            yield way_of(f"{before} {swap} {referee.undone(before)}", orbit)


def outside(text: str, orbit: str) -> dict[str, str]:
    """What a sequence does outside the orbit, middles of faces included."""
    length = len(referee.ORBITS[orbit][0])
    return {a: b for a, b in referee.carries(text).items() if len(a) != length}


def check_verdicts(way: SwapWay) -> set[str]:
    """Each verdict against the swap set up by that turn; returns the kinds of reason met."""
    orbit = way.orbit.name
    swap = write(way.core)
    buffer = GEO.names[way.buffer]
    assert [str(verdict.turn) for verdict in sorted(way.verdicts, key=lambda v: OUTER.index(str(v.turn)))] == OUTER
    disturbed = {frozenset(name) for name in outside(swap, orbit)}
    acting: dict[frozenset[tuple[str, str]], str] = {}
    kinds = set()
    for verdict in way.verdicts:
        turn = str(verdict.turn)
        stays = referee.carried(buffer, turn) == canon(buffer)
        same = outside(f"{turn} {swap} {referee.undone(turn)}", orbit) == outside(swap, orbit)
        assert (verdict.free or verdict.spare) == (stays and same), f"{turn}: {verdict.reason}"
        assert not (verdict.free and verdict.spare)
        moved = {frozenset(name) for name in referee.carries(turn) if frozenset(name) in disturbed}
        reason = verdict.reason
        if not stays:
            kinds.add("buffer")
            assert reason == f"it carries the buffer {buffer} away"
        elif not same:
            kinds.add("disturbs")
            match = re.fullmatch(r"it moves (.+), which the swap disturbs", reason.replace(way.label, "swap"))
            assert match, reason
            assert {frozenset(name) for name in re.split(r", | and ", match[1])} == moved
        elif verdict.spare:
            kinds.add("spare")
            match = re.fullmatch(rf"it moves the {orbit} just as (\S+) does", reason)
            assert match, reason
            length = len(referee.ORBITS[orbit][0])
            mine, others = (
                {a: b for a, b in referee.carries(text).items() if len(a) == length} for text in (turn, match[1])
            )
            assert mine == others
            assert match[1] in {str(free) for free in way.free}
        elif moved:
            kinds.add("among themselves")
            match = re.search(r"as it is and carries (.+) only to one another's places", reason)
            assert match, reason
            assert {frozenset(name) for name in re.split(r", | and ", match[1])} == moved
            places = {frozenset(referee.carried("".join(name), turn)) for name in outside(swap, orbit)}
            assert places == disturbed
        else:
            kinds.add("free")
            assert "leaves the buffer" in reason
            assert buffer in reason
            if disturbed:
                assert {frozenset(word) for word in re.findall(r"\b[ULFRBD]{2,3}\b", reason)} == {
                    frozenset(buffer),
                    *disturbed,
                }
        if verdict.free:
            length = len(referee.ORBITS[orbit][0])
            acts = frozenset((a, b) for a, b in referee.carries(turn).items() if len(a) == length)
            assert acts not in acting, f"{turn} moves the {orbit} just as {acting[acts]} does"
            acting[acts] = turn
    assert {verdict.turn for verdict in way.verdicts if verdict.free} == set(way.free)
    return kinds


def brute_force(way: SwapWay) -> dict[str, set[str]]:
    """For every sticker all shortest words in the free turns that carry it to the home target.

    All words of each length are tried, one length after the other, until every sticker or nothing new is reached.
    """
    length = len(referee.ORBITS[way.orbit.name][0])
    names = [name for name in referee.NAMES if len(name) == length]
    free = [str(turn) for turn in way.free]
    before = {turn: {referee.carried(name, turn): name for name in names} for turn in free}
    shortest: dict[str, set[str]] = {canon(GEO.names[way.home]): {""}}
    for number in range(1, 12):
        found: dict[str, set[str]] = {}
        for word in product(free, repeat=number):
            place = canon(GEO.names[way.home])
            for turn in reversed(word):
                place = before[turn][place]
            if place not in shortest:
                found.setdefault(place, set()).add(" ".join(word))
        shortest.update(found)
        if not found or len(shortest) == len(way.targets):
            break
    return shortest


def check_setups(way: SwapWay) -> None:
    """The listed setups are all the shortest ones, sorted by ease, and what is said of each is true."""
    expected = brute_force(way)
    names = GEO.names
    assert {names[target] for target in way.unreachable} == {
        names[target] for target in way.targets if canon(names[target]) not in expected
    }
    for target, setups in way.setups.items():
        assert {setup.text for setup in setups} == expected.get(canon(names[target]), set())
        assert len({setup.text for setup in setups}) == len(setups)
        costs = [setup.cost for setup in setups]
        assert costs == sorted(costs)
        for setup in setups:
            assert setup.sticker == target
            check_hops(names[target], setup.text, names[way.home], setup.sentence)
            assert write(setup.undo) == referee.undone(setup.text)
            assert setup.path[0] == target
            assert setup.path[-1] == way.home
            assert setup.cost == pytest.approx(hand_cost(setup.turns, way.ease))
            assert setup.kind == kind(setup.text)
        if setups:
            assert way.setup(target) == setups[0]
            assert way.cost(target) == len(way.core) + 2 * len(setups[0].turns)


def hand_cost(turns: tuple[Turn, ...], ease: Ease) -> float:
    """The weights of ease.toml added up from the turns' text."""
    total = 0.0
    for text in map(str, turns):
        stem = text.rstrip("2'")
        total += ease.half if "2" in text else ease.quarter
        total += ease.wide if "w" in text else 0
        total += ease.awkward.get(stem, 0)
    return total


def kind(text: str) -> str:
    """The class of a setup: how many turns and which layers."""
    layers = [turn.rstrip("2'") for turn in text.split()]
    count = ("no", "one", "two", "three", "four", "five", "six", "seven")[len(layers)]
    if not layers:
        return "no setup"
    return f"{count} turn{'s' * (len(layers) > 1)}: {', then '.join(layers)}"


# --- the shipped methods -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("method", "orbit"), WAYS)
def test_verdicts_of_shipped_methods(method: str, orbit: str) -> None:
    kinds = check_verdicts(load_method(method).way(orbit))
    assert {"buffer", "disturbs", "free"} <= kinds


@pytest.mark.parametrize(("method", "orbit"), WAYS)
def test_setups_of_shipped_methods(method: str, orbit: str) -> None:
    way = load_method(method).way(orbit)
    assert not way.unreachable
    check_setups(way)


@pytest.mark.parametrize(("method", "orbit"), WAYS)
def test_executions(method: str, orbit: str) -> None:
    """Setup, swap, undo exchange the buffer and the target and leave the rest of the orbit alone."""
    way = load_method(method).way(orbit)
    length = len(referee.ORBITS[orbit][0])
    rest = outside(write(way.core), orbit)
    for target in way.targets:
        (done,) = way.execute([target])
        assert done.targets == (target,)
        text = write(done.turns)
        buffer = canon(GEO.names[way.buffer])
        here, there = referee.ROUND[buffer], referee.ROUND[canon(GEO.names[target])]
        swapped = dict(zip(here, there, strict=True)) | dict(zip(there, here, strict=True))
        assert {a: b for a, b in referee.carries(text).items() if len(a) == length} == swapped
        assert outside(text, orbit) == rest
    assert len(way.execute(way.targets)) == len(way.targets)


# --- swaps of every sort -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_verdicts_of_conjugated_swaps(orbit: str) -> None:
    """Whether or not a method could be made of them: every reason that can be given must occur and be true."""
    kinds: set[str] = set()
    for way in conjugated(orbit):
        kinds |= check_verdicts(way)
    spare = {"corners": {"spare"}, "edges": set[str]()}  # a wide turn moves corners just as the face alone does
    assert kinds == {"buffer", "disturbs", "free", "among themselves"} | spare[orbit]


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_setups_of_conjugated_swaps(orbit: str) -> None:
    partly = wholly = 0
    for way in conjugated(orbit):
        if len(way.free) > 12:
            continue
        check_setups(way)
        partly += bool(way.unreachable)
        wholly += not way.unreachable
    assert partly
    assert wholly


def test_no_setup_for_what_cannot_be_reached() -> None:
    way = next(way for way in conjugated("edges") if way.unreachable)
    with pytest.raises(MethodError, match=f"{GEO.names[way.unreachable[0]]} cannot be a target of the edges"):
        way.setup(way.unreachable[0])
    with pytest.raises(MethodError, match="cannot be a target"):
        way.execute(way.unreachable[:1])


# --- ease --------------------------------------------------------------------------------------------------------


def method_data(**more: Any) -> dict[str, Any]:
    return {
        "edges": {"buffer": "UR", "home": "UL", "swap": T_PERM, "label": "T perm"},
        "corners": {"buffer": "LUB", "home": "DFR", "swap": SHORT_Y},
        **more,
    }


def test_an_ease_table_changes_the_choice() -> None:
    """LF has two setups of two turns at least; making the usual one's layer awkward brings another to the front."""
    usual = method_from(method_data(), "usual").way("edges")
    changed = 0
    for target, setups in usual.setups.items():
        layers = [{str(turn).rstrip("2'") for turn in setup.turns} for setup in setups]
        if not any(layers[0] - other for other in layers[1:]):
            continue
        other = next(other for other in layers[1:] if layers[0] - other)
        heavy = sorted(layers[0] - other)[0]
        way = method_from(method_data(ease={"awkward": {heavy: 100}}), "heavy").way("edges")
        best = way.setup(target)
        assert heavy not in {str(turn).rstrip("2'") for turn in best.turns}
        assert best.text != setups[0].text
        assert {setup.text for setup in way.setups[target]} == {setup.text for setup in setups}
        changed += 1
    assert changed > 3


def test_ease_of_half_turns() -> None:
    """With half turns dearer than two quarters the setups stay the shortest, but quarters come first."""
    way = method_from(method_data(ease={"half": 50, "wide": 0}), "quarters").way("edges")
    for setups in way.setups.values():
        halves = [sum(str(turn).endswith("2") for turn in setup.turns) for setup in setups]
        assert halves == sorted(halves)
        assert len({len(setup.turns) for setup in setups}) == 1


weight = st.floats(0, 1000).map(lambda value: round(value, 3))
eases = st.fixed_dictionaries(
    {},
    optional={
        "quarter": weight,
        "half": weight,
        "wide": weight,
        "slice": weight,
        "awkward": st.dictionaries(st.sampled_from(["L", "D", "Lw", "Dw", "B", "M"]), weight),
    },
)


@given(eases)
def test_the_first_setup_is_the_easiest(ease: dict[str, Any]) -> None:
    """Whatever the weights: the cost is their sum, and the first of the shortest setups costs least."""
    way = method_from(method_data(ease=ease), "any").way("edges")
    default = default_ease()
    assert way.ease.quarter == ease.get("quarter", default.quarter)
    assert way.ease.awkward == {**default.awkward, **ease.get("awkward", {})}
    for setups in way.setups.values():
        costs = [hand_cost(setup.turns, way.ease) for setup in setups]
        assert costs[0] == pytest.approx(min(costs))
        assert [setup.cost for setup in setups] == pytest.approx(costs)


@pytest.mark.parametrize(
    ("ease", "words"),
    [
        ({"quater": 1}, ("“quater” is not known here", "quarter")),
        ({"quarter": "dear"}, ("weight “quarter” must be a number from 0 to 1000", "dear")),
        ({"half": -1}, ("weight “half”", "-1")),
        ({"half": True}, ("weight “half”", "True")),
        ({"wide": float("nan")}, ("weight “wide”", "nan")),
        ({"slice": float("inf")}, ("weight “slice”", "inf")),
        ({"awkward": {"Lw": [1]}}, ("weight “Lw”",)),
        ({"awkward": {"Q": 1}}, ("“Q” is not known here",)),
        ({"awkward": {"R2": 1}}, ("“R2” is not known here",)),
        ({"awkward": 4}, ("“awkward” must be a table",)),
    ],
)
def test_wrong_ease(ease: dict[str, Any], words: tuple[str, ...]) -> None:
    with pytest.raises(MethodError) as caught:
        method_from(method_data(ease=ease), "lamp")
    said = str(caught.value)
    assert said.startswith("lamp, [ease]")
    assert "\n" not in said
    for word in words:
        assert word in said


def test_slices_cost_more() -> None:
    ease = default_ease()
    assert ease.cost(parse_turns("M")) == ease.quarter + ease.slice
    assert ease.cost(parse_turns("2R", 5)) == ease.quarter + ease.slice
    assert ease.cost(parse_turns("Rw2")) == ease.half + ease.wide
    assert ease.cost(()) == 0


# --- small things ------------------------------------------------------------------------------------------------


def test_families() -> None:
    assert families(parse_turns("L L2 L' Lw Lw2 Lw' U2 D D'")) == "L, Lw, U2, D D'"
    assert families(load_method().way("edges").free) == "L, Lw, D, Dw"
    assert families(()) == ""


def test_number_words() -> None:
    assert [number_word(number) for number in (0, 1, 9, 10, 21)] == ["no", "one", "nine", "10", "21"]


def test_setups_on_a_bigger_cube() -> None:
    """The search knows no size: wings of a 4x4x4 under outer turns, each path walked turn by turn."""
    geo = geometry(4)
    wings = geo.orbit("wings")
    home = wings.stickers[0]
    free = parse_turns("L L2 L' D D2 D' Lw Lw2 Lw'", 4)
    table = find_setups(4, wings.stickers, home, free, default_ease())
    assert table[home][0].turns == ()
    reached: list[Setup] = [setups[0] for setups in table.values() if setups]
    assert 1 < len(reached) < 25
    for setup in reached:
        assert len(setup.path) == len(setup.turns) + 1
        for number, place in enumerate(setup.path):
            assert Cube.from_turns(setup.turns[:number], 4).stickers[place] == setup.sticker
        assert setup.path[-1] == home
