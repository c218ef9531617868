"""``nightfold handout example``: one example in every form, and what happens to files that are there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from nightfold.paper.example import Example, chosen_example
from nightfold.paper.subject import Subject
from tests.cli.running import complaint, here

#: One edge flipped in its place, and the buffer: two letters.
FEW = "L Dw' L F R U' R' U R U R2 F' R U R U' R' L' Dw L' F R U' R' U R U R2 F' R U R U' R'"


_TOLD: dict[str, Example] = {}


def told_once(told: Subject, wanted: dict[str, Any]) -> Example:
    """``chosen_example``, which takes its time to look for words, once for each cube."""
    if str(wanted) not in _TOLD:
        _TOLD[str(wanted)] = chosen_example(told, wanted)
    return _TOLD[str(wanted)]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("nightfold.paper.example.chosen_example", told_once)
    monkeypatch.setattr("nightfold.paper.example_text.chosen_example", told_once)
    return tmp_path


def test_a_dealt_cube_can_be_had_again(folder: Path) -> None:
    assert here("handout", "example", "-o", "one.pdf").code == 0
    shown = " ".join(PdfReader("one.pdf").pages[0].extract_text().split())
    seed = shown.split("--seed ")[1].split()[0]
    assert here("handout", "example", "--seed", seed, "-o", "two.pdf").code == 0
    assert (folder / "one.pdf").read_bytes() == (folder / "two.pdf").read_bytes()


def test_markdown_has_its_pictures_beside_it_and_is_replaced_while_nobody_changed_it(folder: Path) -> None:
    asked = ("handout", "example", "--scramble", FEW, "-o", "my lesson.MD")
    ran = here(*asked)
    assert (ran.code, ran.out) == (0, "my lesson.MD\n")
    assert sorted(path.name for path in folder.iterdir()) == ["my lesson-pictures", "my lesson.MD"]
    first = (folder / "my lesson.MD").read_bytes()
    assert here(*asked).code == 0
    assert (folder / "my lesson.MD").read_bytes() == first
    assert here(*asked[:3], "R U", *asked[4:]).code == 0
    changed = (folder / "my lesson.MD").read_bytes().replace(b"A worked example", b"Ruth's example")
    (folder / "my lesson.MD").write_bytes(changed)
    complaint(here(*asked), "“my lesson.MD” is there already and is no handout")
    assert (folder / "my lesson.MD").read_bytes() == changed


def test_a_picture_that_somebody_changed_stays_and_so_does_all_else(folder: Path) -> None:
    asked = ("handout", "example", "--scramble", FEW, "-o", "a.md")
    assert here(*asked).code == 0
    picture = folder / "a-pictures" / "end.svg"
    picture.write_text(picture.read_text("utf-8").replace("<title>", "<title>mine "), "utf-8")
    before = {path: path.read_bytes() for path in folder.rglob("*.*") if path.is_file()}
    complaint(here(*asked[:3], "R U", *asked[4:]), "a-pictures/end.svg” is there already and is no handout")
    assert {path: path.read_bytes() for path in folder.rglob("*.*") if path.is_file()} == before
    (folder / "b-pictures").write_text("mine")
    complaint(here(*asked[:5], "b.md"), "“b-pictures” is no folder, so the pictures cannot lie there")
    complaint(here(*asked[:5], "nowhere/b.md"), "there is no folder “nowhere”")


def test_html_is_one_file(folder: Path) -> None:
    ran = here("handout", "example", "--scramble", FEW, "-o", "page.html", "--json")
    assert ran.data == {"kind": "example", "file": "page.html"}
    assert [path.name for path in folder.iterdir()] == ["page.html"]
    assert here("handout", "example", "--scramble", "R U", "-o", "page.html").code == 0


@pytest.mark.parametrize("ending", [".gif", ".apng"])
def test_what_moves_says_how_large_it_is(ending: str, folder: Path) -> None:
    asked = ("handout", "example", "--scramble", FEW, "--limit", "1", "-o", f"solve{ending}")
    if ending == ".gif":
        said = str(here(*asked, "--json").data["said"])
    else:
        path, *more = here(*asked).lines
        assert path == "solve.apng"
        said = " ".join(more)
    with Image.open(folder / f"solve{ending}") as file:
        frames, size = file.n_frames, file.size  # type: ignore[attr-defined]
    assert said.startswith(f"{frames} pictures of {size[0]} by {size[1]} pixels, ")
    assert (folder / f"solve{ending}").stat().st_size <= 1_000_000


def test_what_cannot_be_written_is_told(folder: Path) -> None:
    complaint(here("handout", "leaflet", "-o", "page.html"), "leaflet can be written as .pdf, not as .html")
    complaint(here("handout", "example", "--limit", "0", "-o", "a.gif"), "--limit is 0; it must be from 1 to 100")
    complaint(here("handout", "example", "--scramble", "R", "--seed", "1"), "leave one of them out")
    complaint(here("handout", "example", "--seed", "x"), "the seed “x” is no whole number")
    complaint(here("handout", "example", "--scramble", "R", "--own", "none.csv"), "“none.csv” cannot be read")
    complaint(here("handout", "example", "--scramble", "R", "--breaks", "any"), "“any” is no way to choose breaks")
    (folder / "own.gif").write_bytes(b"GIF89a my own")
    complaint(here("handout", "example", "--scramble", FEW, "-o", "own.gif"), "own.gif” is there already and is no")
    assert sorted(path.name for path in folder.iterdir()) == ["own.gif"]
