"""``nightfold inquest``: its text, its data, what came out told in three ways, and bad input."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nightfold.blind.plan import make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.meant import meant_plan
from nightfold.cube.net import net_of, write_net
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from tests.blind import referee
from tests.cli.running import cases, complaint, here, there

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2"
PLAN = make_plan(SCRAMBLE)
EDGES, CORNERS = (" ".join(reading.letters) for reading in PLAN.orbits)
MEMOS = ("--edges", EDGES, "--corners", CORNERS)
#: The sixth edge letter left out.
TURNS = tuple(turn for number, step in enumerate(PLAN.steps) if number != 5 for turn in step.turns)
FINAL = PLAN.cube.apply(TURNS)
NET = write_net(FINAL)
#: Nothing in the catalogue leads to the cube that these turns would solve.
FAR = "R U2 F D' L B2 U R' D2 F' L2 U' B"


def twisted() -> str:
    """The net of a solved cube with the corner at URF twisted."""
    net = net_of(Cube.solved())
    return str(net.with_symbols({8: net.symbols[20], 20: net.symbols[27], 27: net.symbols[8]}))


def data(*arguments: str, stdin: str = "") -> Any:
    return here("inquest", *arguments, "--json", stdin=stdin).data


def test_text_fits_the_terminal_and_says_all_there_is() -> None:
    ran = here("inquest", SCRAMBLE, *MEMOS, "--final", "-", stdin=NET)
    assert ran.code == 0
    assert max(map(len, ran.lines)) <= 80
    assert ran.lines[0].startswith("EDGES     ")
    assert ran.lines[0].endswith("as given")
    for words in ("WHAT HAPPENED", "edge letter 6, ", " was left out", "felt", "practise", "FINISH", "SEARCHED", "%"):
        assert words in ran.out
    assert "…" not in ran.out
    narrow = here("inquest", SCRAMBLE, *MEMOS, "--final", "-", stdin=NET, columns=50)
    assert max(map(len, narrow.lines)) <= 50


def test_data_is_what_the_inquest_gives() -> None:
    told = data(SCRAMBLE, *MEMOS, "--final", "-", "--top", "2", stdin=NET)
    memos = {reading.orbit.name: reading.letters for reading in PLAN.orbits}
    assert told == json.loads(json.dumps(examine_attempt(PLAN, memos, final=NET, top=2).to_dict()))
    assert told["explanations"][0]["mistakes"][0]["kind"] == "letter-left-out"
    assert told["explanations"][0]["mistakes"][0]["at"] == 5
    # Its turns, made on the tests' own cube, lead there, and its last turns solve it.
    colours = referee.play(f"{SCRAMBLE} {told['explanations'][0]['turns']}")
    assert colours == tuple("ULFRBD"[face] for face in FINAL.colours)
    assert referee.solved_somehow(referee.play(told["finish"], colours))


def test_what_came_out_in_three_ways() -> None:
    told = data(SCRAMBLE, *MEMOS, "--final", "-", "--mistakes", "1", stdin=NET)
    assert data(SCRAMBLE, *MEMOS, "--left", told["finish"], "--mistakes", "1") == told
    performed = data(SCRAMBLE, *MEMOS, "--performed", write(TURNS))
    assert performed["performed"]["first_departure"]["step"] == 5
    assert performed["explanations"][0]["mistakes"] == told["explanations"][0]["mistakes"]
    assert performed["finish"] == told["finish"]


def test_a_net_may_come_from_a_file(tmp_path: Path) -> None:
    (tmp_path / "final.net").write_text(NET, "utf-8")
    ran = there("inquest", SCRAMBLE, *MEMOS, "--final", str(tmp_path / "final.net"), "--mistakes", "1", "--json")
    assert ran.data == data(SCRAMBLE, *MEMOS, "--final", "-", "--mistakes", "1", stdin=NET)


def test_text_of_turns_that_were_made() -> None:
    ran = here("inquest", SCRAMBLE, "--performed", write(TURNS))
    assert ran.code == 0
    assert max(map(len, ran.lines)) <= 80
    assert "as the turns follow it" in ran.out
    assert "The first 5 steps were done as planned; the next departs" in ran.out
    assert "turned    nothing" in ran.out
    assert "SEARCHED" not in ran.out
    solved = here("inquest", SCRAMBLE, "--performed", write(PLAN.cancelled))
    assert "The cube is solved: there is no mistake to find." in solved.out
    assert "WHAT HAPPENED" not in solved.out


def test_solved() -> None:
    ran = here("inquest", SCRAMBLE, "--left", "")
    assert ran.lines[-1] == "The cube is solved: there is no mistake to find."


def test_a_wrong_memo_is_marked_before_anything_else() -> None:
    edges = EDGES.split()
    edges[1], edges[2] = edges[2], edges[1]
    wrong = meant_plan(PLAN, {"edges": edges, "corners": CORNERS})
    net = write_net(PLAN.cube.apply(wrong.solution))
    memos = ("--edges", "".join(edges), "--corners", CORNERS)
    ran = here("inquest", SCRAMBLE, *memos, "--final", "-", stdin=net)
    assert ran.code == 0
    said = " ".join(ran.out.split())
    assert "The memo was wrong. The edges have one fault." in said
    assert "Executed faithfully it leads exactly to this cube" in said
    assert "WHAT HAPPENED" not in ran.out
    told = data(SCRAMBLE, *memos, "--final", "-", stdin=net)
    assert told["memo_marking"]["verdict"] == "wrong"
    assert told["explanations"][0]["mistakes"] == []


def test_without_a_memo_it_says_whose_it_takes() -> None:
    ran = here("inquest", SCRAMBLE, "--final", "-", stdin=NET)
    assert "as Nightfold reads the cube" in ran.out
    assert "right memos" in ran.out


def test_an_impossible_cube() -> None:
    ran = here("inquest", SCRAMBLE, *MEMOS, "--final", "-", stdin=twisted())
    said = " ".join(ran.out.split())
    assert ran.code == 0
    assert "No turns lead to this cube: one corner is twisted" in said
    assert "everything was turned as meant" in said
    told = data(SCRAMBLE, *MEMOS, "--final", "-", stdin=twisted())
    assert told["repair"].startswith("twist the ")
    assert told["problem"]
    assert set(told) - set(data(SCRAMBLE, *MEMOS, "--left", "")) == {"repair", "problem"}


def test_nothing_fits() -> None:
    ran = here("inquest", SCRAMBLE, *MEMOS, "--left", FAR, "--mistakes", "1")
    assert ran.code == 0
    said = " ".join(ran.out.split())
    assert "No single mistake of the catalogue" in said
    assert "Nearest comes: " in said
    nearest = data(SCRAMBLE, *MEMOS, "--left", FAR, "--mistakes", "1")["nearest"]
    assert set(nearest) == {"mistakes", "pieces_left_wrong"}


BAD: dict[str, tuple[list[str], str, list[str]]] = {
    "nothing came out": ([SCRAMBLE], "", ["say what came out in one way", "--final", "--left", "--performed"]),
    "two ways": ([SCRAMBLE, "--left", "R", "--performed", "R"], "", ["say what came out in one way"]),
    "bad scramble": (["R Q", "--left", "R"], "", ["“Q” at column 3"]),
    "bad left": ([SCRAMBLE, "--left", "R Q"], "", ["“Q” at column 3"]),
    "bad performed": ([SCRAMBLE, "--performed", "R2x4"], "", ["column"]),
    "bad memo": ([SCRAMBLE, "--edges", "A 7", "--left", "R"], "", ["“7” at column 3 of the edges memo"]),
    "no net": ([SCRAMBLE, "--final", "-"], "", ["no stickers in this net"]),
    "short net": ([SCRAMBLE, "--final", "-"], "W" * 53, ["53 stickers"]),
    "other colours": ([SCRAMBLE, "--final", "-"], write_net(Cube.solved(), "ABCDEF"), ["the colours A B C D E F"]),
    "mistyped net": ([SCRAMBLE, "--final", "-"], NET.replace("W", "Y", 1), ["10 stickers are yellow"]),
    "no file": ([SCRAMBLE, "--final", "nowhere.net"], "", ["nowhere.net", "cannot be read"]),
    "four mistakes": ([SCRAMBLE, "--left", "R", "--mistakes", "4"], "", ["4 mistakes cannot be asked for; 1 to 3 can"]),
    "minus one": ([SCRAMBLE, "--left", "R", "--mistakes", "-1"], "", ["-1 mistakes cannot be asked for"]),
    "no mistakes": ([SCRAMBLE, "--left", "R", "--mistakes", "none"], "", ["“none” is no whole number"]),
    "top none": ([SCRAMBLE, "--left", "R", "--top", "0"], "", ["ask for 1 or more"]),
    "bad hold": ([SCRAMBLE, "--left", "R", "--hold", "white"], "", ["must be two colours"]),
    "bad method": ([SCRAMBLE, "--left", "R", "--method", "nowhere"], "", ["nowhere"]),
}


@pytest.mark.parametrize(("arguments", "stdin", "words"), cases(BAD))
def test_bad_input(arguments: list[str], stdin: str, words: list[str]) -> None:
    complaint(here("inquest", *arguments, stdin=stdin), *words)
