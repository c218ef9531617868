"""Methods: the shipped ones, ones made at random, and everything a method can get wrong."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.blind.errors import MethodError
from nightfold.blind.files import SHIPPED
from nightfold.blind.lettering import load_lettering, save_lettering
from nightfold.blind.method import DEFAULT, Method, load_method, method_from, method_names
from nightfold.blind.plan import make_plan
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import write

from . import referee
from .judge import disturbed, home_target, judge
from .referee import canon

GEO = geometry(3)
T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
SHORT_Y = "R U' R' U' R U R' F' R U R' U' R' F R"
R_PERM = "R U R' F' R U2 R' U2 R' F R U R U2 R' U'"
FLIP_TWO = "M' U M' U M' U2 M U M U M U2"  # flips UF and UB
FLIP_ALL = "U R2 F B R B2 R U2 L B2 R U' D' R2 F R' L B2 U2 F2"  # flips all twelve edges, so it commutes with any turn
SWAPS = {"edges": T_PERM, "corners": SHORT_Y}
FACE_TURNS = [face + suffix for face in "ULFRBD" for suffix in ("", "2", "'")]
WIDE_TURNS = [face + "w" + suffix for face in "ULFRBD" for suffix in ("", "2", "'")]
ROTATIONS = ["", "x", "x'", "y", "y'", "z2", "x y", "x' y2", "z y'", "x2 y", "z'", "y2"]


def data(**more: Any) -> dict[str, Any]:
    """The classic method without its parity algorithm, some of it replaced; None takes a key away."""
    base: dict[str, Any] = {
        "edges": {"buffer": "UR", "home": "UL", "swap": T_PERM, "label": "T perm"},
        "corners": {"buffer": "LUB", "home": "DFR", "swap": SHORT_Y, "label": "short Y perm"},
    }
    for key, value in more.items():
        orbit, _, inner = key.partition("__")
        if inner:
            base[orbit] = {**base[orbit], inner: value}
            if value is None:
                del base[orbit][inner]
        elif value is None:
            del base[key]
        else:
            base[key] = value
    return base


# --- the shipped methods -----------------------------------------------------------------------------------------


def test_names() -> None:
    assert method_names()[0] == DEFAULT == "two-swap"
    assert sorted(method_names()) == sorted(set(method_names()))
    assert load_method() is load_method(DEFAULT)


@pytest.mark.parametrize("name", method_names())
def test_shipped_methods_hold_what_they_say(name: str) -> None:
    """The checks are five sentences; what they name is tested on the referee's cube."""
    method = load_method(name)
    assert method.name == name
    assert method.title
    assert method.about
    assert len(method.checks) == 5
    assert sorted(way.orbit.name for way in method.ways) == ["corners", "edges"]
    for number, way in enumerate(method.ways):
        orbit = way.orbit.name
        assert method.way(orbit) is way
        swap, buffer, home = write(way.core), GEO.names[way.buffer], GEO.names[way.home]
        assert home_target(orbit, buffer, swap) == canon(home)
        pieces = disturbed(orbit, swap)
        exchanges, reach = method.checks[2 * number], method.checks[2 * number + 1]
        assert f"The {way.label} exchanges the {orbit} {buffer} and {home}, sticker to sticker" in exchanges
        said = exchanges.partition("disturbs only ")[2].rstrip(".").split(" and ")
        assert {frozenset(piece) for piece in said} == pieces
        longest = max(len(setups[0].turns) for setups in way.setups.values())
        assert reach == f"All {len(way.targets)} targets of the {orbit} can be set up with at most {longest} turns."
        assert not way.unreachable
        assert len(way.targets) == {"edges": 22, "corners": 21}[orbit]
        twice = referee.carries(f"{swap} {swap}")
        assert not twice, "a swap done twice must restore everything"
    first, second = (write(way.core) for way in method.ways)
    assert referee.carries(f"{first} {write(method.parity.turns)} {second}").keys() <= {
        sticker
        for way in method.ways
        for part in (way.buffer, way.home)
        for sticker in referee.ROUND[canon(GEO.names[part])]
    }, "after an odd number of each and the parity step only buffers and home targets may be away"
    assert not method.parity.searched
    assert method.parity.label in method.checks[4]


def test_asking_for_an_orbit_it_has_not() -> None:
    with pytest.raises(MethodError, match="“wings” is no orbit of the method two-swap; it has edges and corners"):
        load_method().way("wings")


@pytest.mark.parametrize("name", method_names())
def test_a_found_parity_algorithm_serves_as_well(name: str) -> None:
    """Each shipped method without its parity algorithm gets one that does exactly the same."""
    method = load_method(name)
    content: dict[str, Any] = {
        way.orbit.name: {"buffer": GEO.names[way.buffer], "home": GEO.names[way.home], "swap": write(way.core)}
        for way in method.ways
    }
    searched = method_from({**content, "order": [way.orbit.name for way in method.ways]}, "searched")
    assert searched.parity.searched
    assert searched.parity.label == "parity algorithm"
    assert "A parity algorithm was found" in searched.checks[4]
    assert referee.carries(write(searched.parity.turns)) == referee.carries(write(method.parity.turns))
    assert len(searched.parity.turns) <= len(method.parity.turns)


# --- methods made at random --------------------------------------------------------------------------------------


def conjugated(orbit: str, rotation: str, prefix: str, flip: bool, pick: int) -> tuple[dict[str, Any], str]:
    """A table for the classic swap held and set up otherwise, and the swap as single turns."""
    before = f"{rotation} {prefix}".strip()
    swap = f"{before} {SWAPS[orbit]} {referee.undone(before)}".strip()
    if flip:
        swap = referee.undone(swap)
    length = len(referee.ORBITS[orbit][0])
    moved = {a: b for a, b in referee.carries(swap).items() if len(a) == length}
    buffer = sorted(moved)[pick % len(moved)]
    text = f"[{before}: {SWAPS[orbit]}]" if before and not flip else swap
    return {"buffer": buffer, "home": moved[buffer], "swap": text}, swap


def reachable(orbit: str, table: dict[str, Any], swap: str) -> bool:
    """Whether turns that leave the buffer and all else outside the orbit alone bring every target home."""
    length = len(referee.ORBITS[orbit][0])

    def outside(text: str) -> dict[str, str]:
        return {a: b for a, b in referee.carries(text).items() if len(a) != length}

    buffer = canon(table["buffer"])
    left = outside(swap)
    free = [
        turn
        for turn in FACE_TURNS + WIDE_TURNS
        if referee.carried(buffer, turn) == buffer and outside(f"{turn} {swap} {referee.undone(turn)}") == left
    ]
    reached, new = {canon(table["home"])}, [canon(table["home"])]
    while new:
        place = new.pop()
        for turn in free:
            after = referee.carried(place, turn)
            if after not in reached:
                reached.add(after)
                new.append(after)
    return len(reached) == len(referee.ORBITS[orbit]) * length - length


def check_method(method: Method, rng: random.Random, plans: int) -> set[bool]:
    """The method solves random cubes by the judge's word; returns the parities met."""
    parities = set()
    for number in range(plans):
        scramble = " ".join(rng.choices(FACE_TURNS, k=22 + number % 2))
        plan = make_plan(scramble, method, breaks=("lowest", "shortest")[number % 2])
        parities.add(judge(json.dumps(plan.to_dict()), "U", "F", ("lowest", "shortest")[number % 2])["parity"])
    return parities


@pytest.mark.parametrize("seed", range(6))
def test_many_buffers_and_homes_with_a_parity_algorithm_found(seed: int) -> None:
    """Classic swaps conjugated by random turns: loaded or refused just as the referee finds all targets reachable."""
    rng = random.Random(seed)
    made: set[tuple[str, str, str]] = set()
    refused = 0
    while len(made) < 20 or refused < 5:
        tables, swaps = {}, {}
        for orbit in ("edges", "corners"):
            prefix = " ".join(rng.choices(FACE_TURNS, k=rng.choice((0, 0, 1, 1, 2))))
            tables[orbit], swaps[orbit] = conjugated(
                orbit, rng.choice(ROTATIONS), prefix, rng.random() < 0.5, rng.randrange(6)
            )
        possible = all(reachable(orbit, tables[orbit], swaps[orbit]) for orbit in tables)
        try:
            method = method_from({**tables, "order": rng.sample(sorted(tables), 2)}, "own")
        except MethodError as trouble:
            assert not possible
            assert all("cannot be set up with the free turns" in problem for problem in trouble.problems)
            refused += 1
            continue
        assert possible
        assert method.parity.searched
        assert check_method(method, rng, 8) == {False, True} or check_method(method, rng, 30) == {False, True}
        made.add((tables["edges"]["buffer"], tables["edges"]["home"], tables["corners"]["buffer"]))


@settings(max_examples=30, deadline=None)
@given(
    orbit=st.sampled_from(["edges", "corners"]),
    rotation=st.sampled_from(ROTATIONS),
    prefix=st.lists(st.sampled_from(FACE_TURNS + WIDE_TURNS + ["M", "E'", "S2"]), max_size=2).map(" ".join),
    flip=st.booleans(),
    pick=st.integers(0, 5),
    seed=st.integers(0, 2**32),
)
def test_one_orbit_conjugated(orbit: str, rotation: str, prefix: str, flip: bool, pick: int, seed: int) -> None:
    """As above for one orbit at a time, the other as usual, with wide turns and slices in the conjugation."""
    table, swap = conjugated(orbit, rotation, prefix, flip, pick)
    possible = reachable(orbit, table, swap)
    try:
        method = method_from(data(**{orbit: table}), "own")
    except MethodError as trouble:
        assert not possible
        assert trouble.problems[0].startswith(f"own: {orbit}: ")
        assert "cannot be set up with the free turns" in str(trouble)
        return
    assert possible
    check_method(method, random.Random(seed), 4)


# --- files -------------------------------------------------------------------------------------------------------


def write_file(path: Path, content: dict[str, Any]) -> Path:
    path.write_text(tomli_w.dumps(content), encoding="utf-8")
    return path


def test_an_own_file(tmp_path: Path) -> None:
    content = data(
        title="As the keeper does it",
        about="For the Tuesday evening in Fennel Point.",
        order=["corners", "edges"],
        hold="red, yellow",
        breaks="shortest",
        lettering="greek",
        parity={"algorithm": R_PERM, "label": "R perm"},
        size=3,
    )
    method = load_method(write_file(tmp_path / "keeper.toml", content))
    assert (method.name, method.title, method.breaks) == ("keeper", "As the keeper does it", "shortest")
    assert [way.orbit.name for way in method.ways] == ["corners", "edges"]
    assert str(method.hold) == "red up, yellow in front"
    plan = make_plan("R U2 F' L D2 B", method)
    held = referee.play(f"R U2 F' L D2 B {plan.hold}")
    assert (held[4], held[22]) == ("R", "D")
    assert plan.solved
    assert plan.lettering.name == "greek"
    assert plan == make_plan("R U2 F' L D2 B", method, breaks="shortest", lettering="greek", hold="R,Y")
    assert make_plan("R U2 F' L D2 B", str(tmp_path / "keeper.toml")).method.name == "keeper"


def test_what_may_be_left_out() -> None:
    method = method_from(data(edges__label=None), "plain")
    assert method.title == "plain"
    assert [way.orbit.name for way in method.ways] == ["edges", "corners"]
    assert (method.breaks, method.lettering, str(method.hold)) == ("lowest", "clockwise", "white up, green in front")
    assert method.way("edges").label == "swap algorithm"


def test_brackets_and_small_stickers_are_read() -> None:
    method = method_from(data(edges__buffer=" ur "), "plain")
    assert method.way("edges").buffer == GEO.sticker("UR")
    bracketed = method_from(data(edges__swap="(R U R' U') R' F R2 (U' R' U' R U) R' F'"), "plain")
    assert write(bracketed.way("edges").core) == T_PERM
    assert str(bracketed.way("edges").algorithm).startswith("(R U R' U')")


# --- what is refused ---------------------------------------------------------------------------------------------

REFUSED: list[tuple[dict[str, Any], tuple[str, ...]]] = [
    # What the swap algorithm does.
    ({"edges__home": "UF"}, ("edges: ", "must exchange UR and UF", "exchanges UR and UL", "would be UL")),
    ({"edges__home": "LU"}, ("must exchange UR and LU", "exchanges UR and UL", "home target would be UL")),
    ({"corners__home": "FDR"}, ("corners: ", "must exchange LUB and FDR", "would be DFR")),
    ({"corners__buffer": "UBL"}, ("must exchange UBL and DFR", "exchanges UBL and RDF")),
    ({"edges__swap": "R"}, ("carries UR to BR and that on to DR", "no exchange")),
    ({"edges__swap": "L"}, ("leaves UR where it is and moves", "UL")),
    ({"edges__swap": "(R U R' U')6"}, ("moves none of the edges",)),
    ({"corners__swap": "M2 U M2 U2 M2 U M2"}, ("moves none of the corners",)),
    ({"edges__swap": f"{T_PERM} M2 D M D2 M' D M2"}, ("exchanges UR and UL but also moves", "DR", "no other piece")),
    ({"edges__swap": f"{T_PERM} [x2: {FLIP_TWO}]"}, ("but also moves", "DF and DB")),
    ({"edges__swap": f"{T_PERM} x"}, ("T perm leaves the cube turned", "centre", "takes this back")),
    ({"edges__swap": f"{T_PERM} M"}, ("leaves the cube turned or a middle layer moved", "the U centre")),
    ({"edges__swap": f"{T_PERM} [R' D R, U2]"}, ("doing the T perm twice does not restore", "UFR")),
    ({"edges__home": "RU"}, ("home target RU is on the buffer piece UR", "another piece")),
    ({"corners__home": "ULB"}, ("home target UBL is on the buffer piece",)),
    ({"edges__home": "UR"}, ("home target UR is on the buffer piece",)),
    # Both orbits wrong at once.
    ({"edges__home": "UF", "corners__home": "DFL"}, ("must exchange UR and UF", "(and 1 more")),
    # The parity algorithm.
    ({"parity": {"algorithm": T_PERM, "label": "T perm"}}, ("[parity]", "T perm must undo", "not right", "searched")),
    ({"parity": {"algorithm": "R R'"}}, ("[parity]", "it does nothing")),
    ({"parity": {"algorithm": R_PERM + " D"}}, ("[parity]", "are still not right")),
    ({"parity": {"algorithm": ""}}, ("[parity]", "no turns in it")),
    ({"parity": {"algorithm": "R V"}}, ("[parity], algorithm", "“V” at column 3")),
    ({"parity": {"algorithm": 5}}, ("“algorithm” must be text",)),
    ({"parity": {"algorthm": R_PERM}}, ("“algorthm” is not known here", "algorithm, label")),
    ({"parity": R_PERM}, ("“parity” must be a table",)),
    # An effect no parity algorithm is known for.
    ({"corners__swap": f"{SHORT_Y} {FLIP_ALL}"}, ("no short parity algorithm is known", "FL", "give one")),
    # The file.
    ({"edges": None}, ("the table [edges] is missing",)),
    ({"corners": {}}, ("the table [corners] is missing",)),
    ({"edges": "T perm"}, ("“edges” must be a table",)),
    ({"edges__buffer": None}, ("[edges]", "“buffer” is missing")),
    ({"edges__home": None}, ("[edges]", "“home” is missing")),
    ({"edges__swap": None}, ("[edges]", "“swap” is missing")),
    ({"edges__swap": ""}, ("[edges]", "“swap” has no turns in it")),
    ({"edges__swap": "R Q"}, ("[edges], swap", "“Q” at column 3")),
    ({"edges__swap": "R (U"}, ("[edges], swap", "never closed")),
    ({"edges__swap": "(R U)300"}, ("“swap” has more than 500 turns",)),
    ({"edges__swap": ["R"]}, ("“swap” must be text",)),
    ({"edges__buffer": "UX"}, ("[edges], buffer", "“UX” is no sticker")),
    ({"edges__buffer": "UFR"}, ("[edges]", "buffer “UFR” is no sticker of the edges")),
    ({"edges__home": "U"}, ("[edges]", "home “U” is no sticker of the edges")),
    ({"edges__buffer": 5}, ("“buffer” must be text",)),
    ({"edges__label": 5}, ("“label” must be text",)),
    ({"edges__way": "magic"}, ("the way “magic” is not known",)),
    ({"edges__buffr": "UR"}, ("[edges]", "“buffr” is not known here", "buffer")),
    ({"wings": {"buffer": "UFr"}}, ("“wings” is not known here",)),
    ({"order": ["edges"]}, ("“order” must name", "once each")),
    ({"order": ["edges", "edges"]}, ("“order” must name",)),
    ({"order": ["edges", "corners", "wings"]}, ("“order” must name",)),
    ({"order": "edges"}, ("“order” must name",)),
    ({"order": [1, 2]}, ("“order” must name",)),
    ({"size": 4}, ("“size” is 4", "3x3x3")),
    ({"size": 3.0}, ("“size” is 3.0",)),
    ({"size": "3"}, ("“size” is '3'",)),
    ({"size": True}, ("“size” is True",)),
    ({"hold": "white"}, ("hold: ", "two colours")),
    ({"hold": "white, white"}, ("hold: ", "twice")),
    ({"hold": "white, purple"}, ("hold: ", "“purple” is no colour")),
    ({"hold": "white, yellow"}, ("hold: ", "opposite faces")),
    ({"hold": 7}, ("“hold” must be text",)),
    ({"breaks": "quickest"}, ("“breaks” is “quickest”", "lowest or shortest")),
    ({"breaks": "choose:edges=A"}, ("“breaks” is",)),
    ({"breaks": 1}, ("“breaks” must be text",)),
    ({"title": 1}, ("“title” must be text",)),
    ({"about": []}, ("“about” must be text",)),
    ({"lettering": "no-such"}, ("lettering", "no-such", "clockwise")),
    ({"lettering": 1}, ("“lettering” must be text",)),
    ({"name": 1}, ("“name” must be text",)),
    ({"ease": 1}, ("“ease” must be a table",)),
    ({"eaze": {}}, ("“eaze” is not known here",)),
]


@pytest.mark.parametrize(("changes", "words"), REFUSED)
def test_refused_with_one_sentence(changes: dict[str, Any], words: tuple[str, ...]) -> None:
    with pytest.raises(MethodError) as caught:
        method_from(data(**changes), "lamp")
    said = str(caught.value)
    assert said.startswith("lamp")
    assert "\n" not in said
    assert len(said) < 500
    for word in words:
        assert word in said


def test_every_problem_is_listed() -> None:
    with pytest.raises(MethodError) as caught:
        method_from(data(edges__home="UF", corners__home="LBU"), "lamp")
    problems = caught.value.problems
    assert len(problems) == 2
    assert problems[0].startswith("lamp: edges: ")
    assert problems[1].startswith("lamp: corners: ")
    assert str(caught.value).startswith(problems[0])


def test_targets_out_of_reach_are_named() -> None:
    """With the corners of the edge swap spread over the cube hardly a turn is free."""
    table, _ = conjugated("edges", "", "D F2", False, 0)
    with pytest.raises(MethodError) as caught:
        method_from(data(edges=table), "lamp")
    said = str(caught.value)
    assert "of 22 targets cannot be set up with the free turns (" in said
    assert "choose another buffer, home target or swap algorithm" in said


def test_a_swap_that_flips_every_edge_works_with_its_own_parity_algorithm() -> None:
    """Flipping all edges commutes with every turn, so the free turns stay the same and only parity is affected."""
    swap, parity = f"{SHORT_Y} {FLIP_ALL}", {"algorithm": f"{R_PERM} {FLIP_ALL}", "label": "R perm and flips"}
    method = method_from(data(corners__swap=swap, parity=parity), "lamp")
    assert method.way("corners").free == load_method().way("corners").free
    rng = random.Random(2)
    for _ in range(30):
        plan = make_plan(" ".join(rng.choices(FACE_TURNS, k=24)), method)
        held = referee.play(plan.scramble)
        assert referee.solved_somehow(referee.play(write(plan.solution), held))
        assert plan.solved


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"title = ", ("method.toml is not valid TOML",)),
        (b"title = 'a\xff'", ("method.toml is not a text file", "byte 11")),
        (b"a = " + b"[" * 5000 + b"]" * 5000, ("method.toml",)),
        (b"# " + b"x" * 1_000_001, ("method.toml is larger than",)),
        (b"size = " + b"9" * 5000, ("method.toml",)),
        (b"", ("the table [edges] is missing",)),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, content: bytes, words: tuple[str, ...]) -> None:
    path = tmp_path / "method.toml"
    path.write_bytes(content)
    with pytest.raises(MethodError) as caught:
        load_method(path)
    said = str(caught.value)
    assert "\n" not in said
    for word in words:
        assert word in said


@pytest.mark.parametrize("source", ["no-such-method", "", "no/such/file.toml", "a\0b", "x" * 5000])
def test_files_that_are_not_there(source: str) -> None:
    with pytest.raises(MethodError) as caught:
        load_method(source)
    assert "\n" not in str(caught.value)


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(MethodError, match="is not a file"):
        load_method(tmp_path)


def test_a_lettering_file_is_found_beside_the_method(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wherever one stands, a method finds the lettering that lies with it."""
    folder = tmp_path / "club"
    folder.mkdir()
    save_lettering(load_lettering("greek"), folder / "mine.toml")
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    (folder / "ours.toml").write_text(source.replace('lettering = "clockwise"', 'lettering = "mine.toml"'), "utf-8")
    monkeypatch.chdir(tmp_path)
    method = load_method(folder / "ours.toml")
    assert load_lettering(method.lettering).symbols == load_lettering("greek").symbols
