"""``nightfold plan``: its data, its text, one scramble a line, and nets."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings

from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, parse_turns, write
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube
from tests.cli.running import complaint, here, there
from tests.strategies import sequences

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
ODD = "R U F2 L' D"
SCRAMBLES = (SCRAMBLE, ODD, "M2 E2 S2", "U", "x y'", "R U R' F2 M'")

#: Every key of the plan's data with the kind of its value; lists hold values of the kind in them.
SHAPE: dict[str, Any] = {
    "scramble": str,
    "hold": str,
    "method": str,
    "lettering": str,
    "orbits": [
        {
            "orbit": str,
            "buffer": str,
            "letters": [str],
            "stickers": [str],
            "cycles": [[str]],
            "in_place": [str],
            "buffer_turned": bool,
            "odd": bool,
            "reasons": [str],
        }
    ],
    "parity": bool,
    "steps": [{"orbit": str, "letter": str, "sticker": str, "setup": str, "swap": str, "undo": str, "why": str}],
    "solution": str,
    "counts": {"letters": int, "turns": int, "turns_cancelled": int, "memos": int},
    "solved": bool,
}


def shaped(value: Any, shape: Any, where: str = "plan") -> None:
    """Assert that a value has exactly the keys and the kinds of its shape."""
    if isinstance(shape, dict):
        assert isinstance(value, dict) and list(value) == list(shape), where
        for key, inner in shape.items():
            shaped(value[key], inner, f"{where}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), where
        for number, inner in enumerate(value):
            shaped(inner, shape[0], f"{where}[{number}]")
    else:
        assert type(value) is shape, where


def check(data: Any, scramble: str) -> None:
    """Assert that what a plan's data says is true of the cube, and that its parts agree with one another."""
    shaped(data, SHAPE)
    held = Cube.from_turns(scramble).apply(data["hold"])
    assert held.stickers[geometry(3).fixed_centres["U"]] == geometry(3).fixed_centres["U"]
    assert held.apply(data["solution"]).is_solved and data["solved"]
    steps = [" ".join(filter(None, (step["setup"], step["swap"], step["undo"]))) for step in data["steps"]]
    assert " ".join(steps) == data["solution"]
    solution = parse_turns(data["solution"])
    assert data["counts"]["turns"] == len(solution)
    assert data["counts"]["turns_cancelled"] == len(cancel(solution))
    assert data["counts"]["letters"] == sum(len(orbit["letters"]) for orbit in data["orbits"])
    assert data["counts"]["memos"] >= 1
    names = geometry(3).names
    lettering = load_lettering(data["lettering"])
    for orbit in data["orbits"]:
        assert orbit["letters"] == [letter for cycle in orbit["cycles"] for letter in cycle]
        assert [names[lettering.sticker(orbit["orbit"], letter)] for letter in orbit["letters"]] == orbit["stickers"]
        assert len(orbit["reasons"]) == len(orbit["letters"])
        for letter, reason in zip(orbit["letters"], orbit["reasons"], strict=True):
            assert re.search(rf"[:,] {letter}(\.| turns it right| closes the cycle)", reason), reason
        assert orbit["odd"] == bool(len(orbit["letters"]) % 2)
        done = [(step["letter"], step["sticker"]) for step in data["steps"] if step["orbit"] == orbit["orbit"]]
        assert done == list(zip(orbit["letters"], orbit["stickers"], strict=True))
    assert {data["parity"]} == {orbit["odd"] for orbit in data["orbits"]}
    assert [step["orbit"] for step in data["steps"]].count("parity") == data["parity"]


@pytest.mark.parametrize("scramble", SCRAMBLES)
@pytest.mark.parametrize("method", method_names())
def test_the_data_is_whole_and_true(scramble: str, method: str) -> None:
    data = here("plan", scramble, "--method", method, "--json").data
    check(data, scramble)
    assert data["scramble"] == scramble and data["method"] == method


@given(sequences(3))
@settings(max_examples=30)
def test_any_scramble(turns: tuple[Turn, ...]) -> None:
    scramble = write(turns)
    check(here("plan", scramble, "--json").data, scramble)


def test_the_program_prints_the_same_data() -> None:
    assert there("plan", SCRAMBLE, "--json") == here("plan", SCRAMBLE, "--json")


def test_a_lettering_changes_the_letters_alone() -> None:
    plain, greek = (here("plan", ODD, "--lettering", name, "--json").data for name in ("clockwise", "greek"))
    assert greek["lettering"] == "greek"
    for one, other in zip(plain["orbits"], greek["orbits"], strict=True):
        assert one["stickers"] == other["stickers"]
        assert one["letters"] != other["letters"]
    assert plain["solution"] == greek["solution"]


# --- text --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scramble", [SCRAMBLE, ODD])
def test_the_text_tells_what_the_data_holds(scramble: str) -> None:
    data = here("plan", scramble, "--json").data
    text = here("plan", scramble).out
    flowing = " ".join(text.split())
    assert f"scramble {scramble}" in flowing
    assert f"{data['hold'] or 'as it is'}" in flowing
    for orbit in data["orbits"]:
        count = len(orbit["letters"])
        assert f"{orbit['orbit'].upper()} buffer {orbit['buffer']}, {count} letters" in flowing
        for reason in orbit["reasons"]:
            assert reason in flowing
    for number, step in enumerate(data["steps"], 1):
        if step["orbit"] != "parity":
            assert f"{number} {step['letter']} {step['sticker']} {step['setup'] or '-'} " in flowing
        assert step["swap"] in flowing
    assert ("PARITY yes" if data["parity"] else "PARITY no") in flowing
    assert "replayed on the cube: solved" in flowing
    assert f"{data['counts']['letters']} letters, {data['counts']['turns']} turns" in flowing
    assert f"{data['counts']['memos']:,} right memo" in flowing


def test_the_memo_is_in_pairs_with_bars_where_cycles_end() -> None:
    ran = here("plan", SCRAMBLE)
    data = here("plan", SCRAMBLE, "--json").data
    for orbit in data["orbits"]:
        at = next(i for i, line in enumerate(ran.lines) if line.startswith(orbit["orbit"].upper()))
        memo = ran.lines[at + 1]
        assert memo.replace(" ", "").replace("|", "") == "".join(orbit["letters"])
        assert memo.replace(" ", "").split("|") == ["".join(cycle) for cycle in orbit["cycles"]]
        pairs = memo.replace(" |", "").replace("|", "").split()
        assert [len(pair) for pair in pairs[:-1]] == [2] * (len(pairs) - 1)


@pytest.mark.parametrize("scramble", [SCRAMBLE, ODD])
def test_brief_keeps_the_steps_and_leaves_the_sentences_out(scramble: str) -> None:
    full, brief = here("plan", scramble), here("plan", scramble, "--brief")
    assert brief.code == 0
    assert len(brief.out) < len(full.out) / 1.5
    kept = set(full.lines) & set(brief.lines)
    assert all(
        any(line.startswith(word) for line in kept) for word in ("scramble", "hold", "EDGES", "CORNERS", "STEPS")
    )
    for word in ("belongs", "carries", "lifts", "closes", "why it works", "odd numbers"):
        assert word in full.out or word == "odd numbers"
        assert word not in brief.out
    data = here("plan", scramble, "--json").data
    flowing = " ".join(brief.out.split())
    for number, step in enumerate(data["steps"], 1):
        if step["orbit"] != "parity":
            assert f"{number} {step['letter']} {step['sticker']} {step['setup'] or '-'} " in flowing


def test_a_solved_cube_has_nothing_to_remember() -> None:
    ran = here("plan", "R R'")
    assert ran.out.count("nothing to remember: all solved") == 2
    assert "STEPS" not in ran.out


# --- holds and breaks --------------------------------------------------------------------------------------


def test_breaks_are_made_where_they_are_chosen() -> None:
    default = here("plan", SCRAMBLE, "--json").data
    wanted = [cycle[-2] for cycle in reversed(default["orbits"][0]["cycles"][1:])]
    chosen = here("plan", SCRAMBLE, "--breaks", f"choose:edges={' '.join(wanted)}", "--json").data
    check(chosen, SCRAMBLE)
    assert [cycle[0] for cycle in chosen["orbits"][0]["cycles"][1:]] == wanted
    assert chosen["orbits"][1] == default["orbits"][1]


def test_shortest_breaks_never_take_more_turns() -> None:
    shorter = 0
    for scramble in SCRAMBLES:
        lowest, shortest = (
            here("plan", scramble, "--breaks", policy, "--json").data["counts"] for policy in ("lowest", "shortest")
        )
        assert shortest["turns"] <= lowest["turns"]
        assert shortest["memos"] == lowest["memos"]
        shorter += shortest["turns"] < lowest["turns"]
    assert shorter


@pytest.mark.parametrize("hold", ["red,green", "W,R", "yellow/blue", "B Y", "orange, white"])
def test_a_hold_turns_the_cube_first(hold: str) -> None:
    data = here("plan", SCRAMBLE, "--hold", hold, "--json").data
    shaped(data, SHAPE)
    held = Cube.from_turns(SCRAMBLE).apply(data["hold"])
    up, front = (word[0].upper() for word in hold.replace("/", " ").replace(",", " ").split())
    centres = geometry(3).fixed_centres
    assert ["WOGRBY"[held.colours[centres[face]]] for face in "UF"] == [up, front]
    assert held.apply(data["solution"]).is_solved and data["solved"]


# --- nets --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hold", [None, "white,green", "red,blue", "yellow,orange", "green,white"])
@pytest.mark.parametrize("scramble", [SCRAMBLE, ODD, "R U R' F2 M'"])
def test_a_net_gives_the_plan_of_its_scramble(scramble: str, hold: str | None) -> None:
    options = ("--hold", hold) if hold else ()
    of_scramble = here("plan", scramble, *options, "--json").data
    # However the cube lies on the table while its colours are typed, the letters are the same.
    for turned in ("", " x", " z2 y'"):
        net = here("look", scramble + turned, "--text").out
        of_net = here("plan", "--net", "-", *options, "--json", stdin=net).data
        shaped(of_net, SHAPE)
        assert of_net["scramble"] == ""
        for key in ("method", "lettering", "orbits", "parity", "steps", "solution", "counts", "solved"):
            assert of_net[key] == of_scramble[key], key
        if not turned:
            assert of_net["hold"] == of_scramble["hold"]


def test_a_net_of_colours_of_ones_own() -> None:
    net = here("look", ODD, "--text").out
    own = net.translate(str.maketrans("WOGRBY", "1🟧345⬜"))
    letters = [orbit["letters"] for orbit in here("plan", ODD, "--json").data["orbits"]]
    as_typed = here("plan", "--net", "-", "--json", stdin=own).data
    assert [orbit["letters"] for orbit in as_typed["orbits"]] == letters
    held = here("plan", "--net", "-", "--hold", "⬜,3", stdin=own)
    assert held.code == 0
    assert "then ⬜ up, 3 in front" in held.out
    complaint(here("plan", "--net", "-", "--hold", "W,G", stdin=own), "no centre is white; the centres are 1, 🟧, 3")


def test_a_net_from_a_file_and_by_the_program(tmp_path: Any) -> None:
    path = tmp_path / "net.txt"
    path.write_text(here("look", SCRAMBLE, "--text").out, encoding="utf-8")
    assert there("plan", "--net", str(path), "--json") == here("plan", "--net", str(path), "--json")
    assert here("plan", "--net", str(path)).code == 0


@pytest.mark.parametrize("size", [2, 4])
def test_a_net_of_another_size_is_no_cube_for_the_method(size: int) -> None:
    net = here("look", "R U", "--size", str(size), "--text").out
    complaint(here("plan", "--net", "-", stdin=net), f"for a cube of 3 layers, this one has {size}")


# --- one scramble a line -----------------------------------------------------------------------------------


def test_scrambles_from_standard_input_become_json_lines() -> None:
    ran = there("plan", "-", "--json", stdin="\n".join(SCRAMBLES) + "\n")
    assert (ran.code, ran.err) == (0, "")
    assert [json.loads(line) for line in ran.lines] == [here("plan", s, "--json").data for s in SCRAMBLES]


def test_a_bad_line_is_told_by_its_number_and_the_others_get_their_plans() -> None:
    ran = there("plan", "-", "--json", stdin=f"{ODD}\n\nR K\n{SCRAMBLE}\n(U\n")
    assert ran.code == 2
    told = ran.err.splitlines()
    assert len(told) == 2
    assert told[0].startswith("nightfold: line 3: “K” at column 3: ")
    assert told[1].startswith("nightfold: line 5: “(” at column 1: ")
    first, bad, last, worse = (json.loads(line) for line in ran.lines)
    check(first, ODD)
    check(last, SCRAMBLE)
    assert bad == {"line": 3, "error": told[0].removeprefix("nightfold: line 3: ")}
    assert worse == {"line": 5, "error": told[1].removeprefix("nightfold: line 5: ")}


def test_scrambles_from_standard_input_as_text() -> None:
    ran = here("plan", "-", "--brief", stdin=f"{ODD}\r\nR K\n  {SCRAMBLE}  ")
    assert ran.code == 2
    assert ran.err.startswith("nightfold: line 2: ")
    assert ran.out == "\n".join((here("plan", ODD, "--brief").out, here("plan", SCRAMBLE, "--brief").out)) + "\n"


def test_a_method_of_ones_own_with_long_words_keeps_to_the_width(tmp_path: Any) -> None:
    from nightfold.blind.files import SHIPPED

    text = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    path = tmp_path / "lighthouse.toml"
    path.write_text(text.replace('label = "T perm"', 'label = "the T perm as it is taught at the lighthouse"'), "utf-8")
    assert load_method(path).ways[0].label.endswith("lighthouse")
    for arguments in (("plan", ODD, "--method", str(path)), ("method", str(path)), ("setups", "--method", str(path))):
        ran = here(*arguments)
        assert ran.code == 0
        assert all(len(line) <= 80 for line in ran.lines)
