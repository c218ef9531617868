"""``nightfold mark`` as it is typed: what it prints, the data it gives, and what it refuses."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from nightfold.blind.method import method_names
from nightfold.blind.plan import make_plan
from nightfold.coach.marking import mark_memo
from tests.cli.running import cases, complaint, here, shell, there
from tests.coach import slips
from tests.coach.slips import SLIPS, spelt
from tests.test_docs import DOCS, KINDS, leaves, rows, section

SCRAMBLE = "D F L2 B U R F' L' B2"
EDGES, CORNERS = "IU HT FE AX QO V", "QW MH PG L"
PAGE = DOCS / "marking.md"


# --- text --------------------------------------------------------------------------------------------------


def test_a_right_memo() -> None:
    ran = here("mark", SCRAMBLE, "--edges", EDGES, "--corners", CORNERS, "--parity", "yes", columns=200)
    assert ran.code == 0
    assert ran.lines == [
        "EDGES  right",
        f"  {EDGES}",
        "",
        "CORNERS  right",
        f"  {CORNERS}",
        "",
        "The edges are right. The corners are right. The parity answer is right. Other breaks would have saved 2 "
        "turns: edges I U H T F E O V A X Q; corners Q W M H P U G.",
    ]


def test_a_wrong_memo() -> None:
    ran = here("mark", SCRAMBLE, "--edges", "IU HT FE AX Q", "--corners", "QW HM PG L", "--parity", "no", columns=200)
    assert ran.code == 0
    assert [line.rstrip() for line in ran.lines] == [
        "EDGES  wrong",
        "  IU HT FE AX Q",
        "  10  -  DR is in its place but flipped, and is missed: O V turn it right",
        "  right would be  IU HT FE AX QO V",
        "",
        "CORNERS  wrong",
        "  QW HM PG L",
        "  3  H  letter 3 and the next are exchanged; it is M H",
        "  right would be  QW MH PG L",
        "",
        "The edges have one fault. The corners have one fault. The parity answer “no” is wrong: the letter counts are "
        "odd, so there is parity.",
    ]


def test_nothing_written() -> None:
    ran = here("mark", SCRAMBLE, "--corners", " ", columns=120)
    assert [line.rstrip() for line in ran.lines[:4]] == [
        "CORNERS  wrong",
        "  nothing written",
        "  1  -  nothing is written: Q W M H P G L are missing",
        "  right would be  QW MH PG L",
    ]
    solved = here("mark", "", "--edges", "", "--corners", "", "--parity", "no")
    assert solved.lines[:2] == ["EDGES  right", "  nothing written"]
    assert solved.lines[-1] == "The edges are right. The corners are right. The parity answer is right."


@pytest.mark.parametrize("columns", [40, 80, 200])
def test_no_line_is_wider_than_the_terminal(columns: int) -> None:
    ran = here("mark", SCRAMBLE, "--edges", "EA SJ FT IO CG X", "--corners", "AB", columns=columns)
    assert ran.code == 0
    assert all(len(line) <= columns for line in ran.lines)


@pytest.mark.parametrize("name", SLIPS)
def test_text_shows_every_fault(name: str) -> None:
    for case, memo, _ in slips.slipped(name, 3, seed=9):
        scramble = "R2 U F' L D2 B"
        plan = make_plan(scramble)
        marking = mark_memo(plan, {case.orbit: spelt(memo)})
        ran = here("mark", scramble, f"--{case.orbit}", spelt(memo), columns=300)
        for fault in marking.orbits[0].faults:
            line = f"  {fault.at + 1}  {fault.letter or '-'}  {fault.say}"
            assert re.sub(" +", " ", line).strip() in [re.sub(" +", " ", shown).strip() for shown in ran.lines]
        assert ran.lines[-1] == marking.say


@pytest.mark.parametrize("method", method_names())
def test_options_reach_the_marking(method: str) -> None:
    """The plan's own letters are right with the same options, and with another hold wrong."""
    options = ["--method", method, "--lettering", "greek", "--hold", "red,yellow"]
    plan = here("plan", SCRAMBLE, *options, "--json").data
    written = [part for orbit in plan["orbits"] for part in (f"--{orbit['orbit']}", "".join(orbit["letters"]))]
    answer = ["--parity", "yes" if plan["parity"] else "no"]
    data = here("mark", SCRAMBLE, *written, *answer, *options, "--json").data
    assert data["verdict"] == "right"
    assert [orbit["orbit"] for orbit in data["orbits"]] == [orbit["orbit"] for orbit in plan["orbits"]]
    other = here("mark", SCRAMBLE, *written, *options[:-1], "white,green", "--json").data
    assert {fault["kind"] for orbit in other["orbits"] for fault in orbit["faults"]} == {"held-differently"}
    assert "held with red up and yellow in front" in other["orbits"][0]["faults"][0]["say"]


def test_the_program_itself() -> None:
    ran = there("mark", SCRAMBLE, "--edges", EDGES.lower())
    assert (ran.code, ran.err) == (0, "")
    assert ran.lines[0] == "EDGES  right"
    assert "\x1b" not in ran.out
    ascii_only = there("mark", SCRAMBLE, "--edges", EDGES, "--parity", "no", environment={"PYTHONIOENCODING": "ascii"})
    assert ascii_only.code == 0
    assert shell('nightfold mark "$1" --edges "$2" | head -1', SCRAMBLE, EDGES).out == "EDGES  right\n"


# --- data --------------------------------------------------------------------------------------------------


def examples() -> list[list[str]]:
    """One command for every kind of slip, with the words it is given."""
    commands = []
    for name in SLIPS:
        dice = random.Random(name)
        _, memo, _ = next(slips.slipped(name, 1, seed=10))
        answer: list[str] = dice.choice([[], ["--parity", "yes"], ["--parity", "no"]])
        commands.append([SCRAMBLE, "--edges", EDGES, "--corners", spelt(memo), *answer])
    return commands


@pytest.mark.parametrize("words", examples(), ids=list(SLIPS))
def test_data_is_what_scripts_get_and_in_the_form_documented(words: Sequence[str]) -> None:
    data = here("mark", *words, "--json").data
    answer = {"yes": True, "no": False}.get(words[-1])
    memos = {"edges": words[2], "corners": words[4]}
    assert data == json.loads(json.dumps(mark_memo(make_plan(words[0]), memos, answer).to_dict()))
    documented = {row[0].strip("`"): row[1] for row in rows(section(PAGE, "JSON"))}
    kinds: dict[str, Callable[[Any], bool]] = {
        **KINDS,
        "true, false or null": lambda value: value in (None, True, False),
    }
    met = set()
    for path, value in leaves(data):
        assert kinds[documented[path]](value), f"{path} is no {documented[path]}: {value!r}"
        met.add(path)
    faults = {path for path in documented if ".faults[]" in path}
    assert met == set(documented) - (set() if any(orbit["faults"] for orbit in data["orbits"]) else faults)


def test_keys_in_order() -> None:
    data = here("mark", SCRAMBLE, "--corners", "QW HM PG L", "--json").data
    assert list(data) == ["verdict", "orbits", "parity_ok", "say"]
    assert list(data["orbits"][0]) == ["orbit", "ok", "letters", "faults", "corrected"]
    assert list(data["orbits"][0]["faults"][0]) == ["at", "letter", "kind", "expected", "say"]


def test_example_of_json_on_the_page_is_what_the_command_prints() -> None:
    text = PAGE.read_text("utf-8")
    found = re.search(r"`nightfold ([^`]*--json)`[^`]*```json\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    assert found
    words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', found[1])]
    assert json.loads(found[2]) == here(*words).data


# --- what is refused ---------------------------------------------------------------------------------------

REFUSED = cases(
    {
        "nothing": ([], "there is no memo to mark; give the edges', the corners', or both"),
        "parity alone": (["--parity", "yes"], "there is no memo to mark"),
        "unknown symbol": (["--edges", "IU 8T"], "“8” at column 4 of the edges memo is no letter of the edges"),
        "unknown symbol of the corners": (["--edges", "IU", "--corners", "Qé"], "“é” at column 2 of the corners memo"),
        "other alphabet": (["--edges", "ΙΥ"], "“Ι” at column 1 of the edges memo"),
        "control character": (["--edges", "A\x1b[31m"], "\\x1b"),
        "absurd length": (["--edges", "A" * 61], "the edges memo has more than 60 letters, which no cube needs"),
        "more absurd": (["--corners", "AB " * 50_000], "the corners memo has more than 60 letters"),
        "answer": (["--edges", "", "--parity", "maybe"], "--parity is “maybe”; answer yes or no"),
        "no answer": (["--edges", "", "--parity", ""], "--parity is “”; answer yes or no"),
        "long answer": (["--edges", "", "--parity", "y" * 999], f"--parity is “{'y' * 24}”; answer yes or no"),
        "method": (["--edges", "A", "--method", "nosuch"], "nosuch"),
        "lettering": (["--edges", "A", "--lettering", "nosuch"], "nosuch"),
        "hold": (["--edges", "A", "--hold", "white"], "the hold “white” must be two colours"),
        "opposite hold": (["--edges", "A", "--hold", "white,yellow"], "opposite"),
        "option": (["--edgs", "A"], "--edgs"),
    }
)


@pytest.mark.parametrize(("words", "told"), REFUSED)
@pytest.mark.parametrize("data", [(), ("--json",)], ids=["text", "json"])
def test_bad_input_gets_a_sentence(words: list[str], told: str, data: tuple[str, ...]) -> None:
    complaint(here("mark", SCRAMBLE, *words, *data), told)


def test_a_bad_scramble() -> None:
    complaint(here("mark", "R U Q", "--edges", "A"), "“Q” at column 5: no turn has this name")
    complaint(here("mark", "--edges", "A"), "SCRAMBLE")


@pytest.mark.parametrize("answer", ["yes", "YES", " Yes ", "no", "No"])
def test_answers_about_parity(answer: str) -> None:
    data = here("mark", SCRAMBLE, "--edges", EDGES, "--parity", answer, "--json").data
    assert data["parity_ok"] == (answer.strip().lower() == "yes")
    assert data["verdict"] == ("right" if data["parity_ok"] else "wrong")
