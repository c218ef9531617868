"""``nightfold handout`` for a class and a club evening: exercises with their key, attempt cards, pair pages."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.running import complaint, here


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def shown(path: str) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_sheets_and_their_key_are_of_the_same_cubes(folder: Path) -> None:
    wishes = ("--learners", "Ines, Tomas", "--cubes", "2", "--seed", "7", "--letters", "6..10", "--lettering", "greek")
    ran = here("handout", "exercises", *wishes)
    assert (ran.code, ran.err) == (0, "")
    sheets = ran.out.strip()
    assert sheets == "nightfold-exercises-learners-Ines-Tomas-cubes-2-seed-7-letters-6..10-two-swap-greek-a4.pdf"
    assert here("handout", "exercises", *wishes, "--key", "-o", "key.pdf").out == "key.pdf\n"
    dealt = re.findall(r"\b[12] ((?:[UDFBLR][2']? )+)edges", shown(sheets))
    assert len(dealt) == 4
    key = shown("key.pdf")
    assert re.findall(r"\b[12] ((?:[UDFBLR][2']? )+)edges", key) == dealt
    assert "Sheet 1: Ines" in key and "Sheet 2: Tomas" in key
    # What is said to be right as well is right for the command that marks memos.
    answers = re.split(r"(?=\b[12] (?:[UDFBLR][2']? )+edges)", key)
    answer = next(one for one in answers if "Also right" in one)
    scramble = re.match(r"\d ((?:[UDFBLR][2']? )+)", answer)
    also = re.search(r"Also right: edges (.*?); corners (.*?)\.", answer)
    assert also and scramble
    edges, corners = (re.sub(r"[|–]", "", memo) for memo in also.groups())
    memo = ("--edges", edges, "--corners", corners, "--lettering", "greek")
    assert here("mark", scramble[1], *memo, "--json").data["verdict"] == "right"


def test_the_command_at_the_foot_prints_the_same_again(folder: Path) -> None:
    for kind in (("exercises", "--cubes", "1", "--parity", "yes"), ("attempts", "--rounds", "2"), ("pairs",)):
        assert here("handout", *kind, "-o", "one.pdf").code == 0
        page = " ".join(PdfReader("one.pdf").pages[0].extract_text().split())
        command = re.sub(r" \d / \d$", "", page[page.index("nightfold handout") :])
        assert here(*shlex.split(command)[1:], "-o", "two.pdf").code == 0
        assert (folder / "one.pdf").read_bytes() == (folder / "two.pdf").read_bytes()


def test_hostile_names_come_to_paper_and_to_no_harm(folder: Path) -> None:
    name = '../../etc #panic("x") $y$'
    ran = here("handout", "attempts", "--competitors", f"{name},Bo", "--seed", "1")
    assert ran.code == 0
    assert [path.name for path in folder.iterdir()] == [ran.out.strip()]
    assert name in shown(ran.out.strip())


def test_pair_pages_have_the_words_of_the_logbook(folder: Path) -> None:
    complaint(
        here("handout", "pairs", "--cards", "--solver", "Signe"), "there are no words for the pairs of this lettering"
    )
    assert not list(folder.iterdir())
    assert here("words", "LS", "--add", "lighthouse", "--solver", "Signe").code == 0
    assert here("handout", "pairs", "--solver", "Signe", "-o", "pairs.pdf").code == 0
    assert "With a word of your own: 1 of 540 pairs." in shown("pairs.pdf")
    assert here("handout", "pairs", "--cards", "--solver", "Signe", "-o", "cards.pdf").code == 0
    assert "lighthouse LS" in shown("cards.pdf")
    assert len(PdfReader("cards.pdf").pages) == 2


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("exercises", "--key"), "give their seed, which is at the top of each"),
        (("exercises", "--learners", ""), "“” is nobody to print for"),
        (("exercises", "--learners", "500"), "at most 100 people"),
        (("exercises", "--cubes", "99"), "99 cubes a sheet cannot be printed; 1 to 24 can"),
        (("exercises", "--cubes", "many"), "--cubes"),
        (("exercises", "--seed", "1e9"), "the seed “1e9” is no whole number"),
        (("exercises", "--letters", "7"), "no cube has 7 letters in all"),
        (("exercises", "--edge-letters", "x"), "edge letters: “x” is no number or range"),
        (("exercises", "--use", "K"), "K"),
        (("attempts", "--size", "9"), "a cube of 9 layers is not known here"),
        (("attempts", "--rounds", "0"), "0 rounds cannot be printed; 1 to 8 can"),
        (("pairs", "--suggest", "--language", "xx"), "xx"),
    ],
)
def test_what_cannot_be_printed_is_told(arguments: tuple[str, ...], said: str, folder: Path) -> None:
    complaint(here("handout", *arguments), said)
    assert not list(folder.iterdir())
