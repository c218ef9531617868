"""``nightfold handout``: files that are whole, told by name, and never written over what is no handout."""

from __future__ import annotations

import io
import json
import os
import shlex
from pathlib import Path

import pytest
from pypdf import PdfReader

from nightfold.paper.handouts import KINDS
from tests.cli.running import complaint, here, shell, there


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_alone_it_lists_the_kinds() -> None:
    ran = here("handout")
    assert ran.code == 0
    for kind in KINDS.values():
        assert f"\n{kind.name}\n" in f"\n{ran.out}"
        assert kind.about.split(".")[0][:60] in " ".join(ran.out.split())
        for choice in kind.choices:
            assert choice.option in ran.out
    assert max(map(len, ran.lines)) <= 80


@pytest.mark.parametrize("kind", ["setups", "lettering", "leaflet"])
def test_it_writes_a_file_under_a_telling_name(kind: str, folder: Path) -> None:
    ran = here("handout", kind, "--method", "left-hand", "--lettering", "greek", "--paper", "letter", "--grey")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == f"nightfold-{kind}-left-hand-greek-letter-grey.pdf\n"
    assert [path.name for path in folder.iterdir()] == [ran.out.strip()]
    assert PdfReader(ran.out.strip()).pages


def test_choices_of_a_kind_are_in_the_name_and_at_the_foot(folder: Path) -> None:
    assert here("handout", "setups", "--pocket").out == "nightfold-setups-pocket-two-swap-clockwise-a4.pdf\n"
    ran = here("handout", "lettering", "--cards", "--blank", "--large", "--json")
    named = "nightfold-lettering-blank-cards-two-swap-clockwise-a4-large.pdf"
    assert ran.data == {"kind": "lettering", "file": named}
    assert (folder / named).is_file()


def test_the_command_at_the_foot_prints_the_same_again(folder: Path) -> None:
    ran = here("handout", "leaflet", "--method", "j-and-y", "--hold", "yellow,red", "--large", "-o", "one.pdf")
    assert ran.code == 0
    shown = " ".join(PdfReader("one.pdf").pages[0].extract_text().split())
    command = shown[shown.index("nightfold handout") : shown.index(" 1 / ")]
    assert here(*shlex.split(command)[1:], "-o", "two.pdf").code == 0
    assert (folder / "one.pdf").read_bytes() == (folder / "two.pdf").read_bytes()


def test_a_handout_takes_the_place_of_a_handout_only(folder: Path) -> None:
    (folder / "own.pdf").write_bytes(b"%PDF-1.7 my own")
    complaint(here("handout", "setups", "-o", "own.pdf"), "own.pdf", "is there already and is no handout")
    assert (folder / "own.pdf").read_bytes() == b"%PDF-1.7 my own"
    assert here("handout", "setups", "-o", "page.pdf").code == 0
    first = (folder / "page.pdf").read_bytes()
    assert here("handout", "leaflet", "-o", "page.pdf").code == 0
    assert (folder / "page.pdf").read_bytes() != first
    assert sorted(path.name for path in folder.iterdir()) == ["own.pdf", "page.pdf"]


def test_it_goes_to_standard_output() -> None:
    ran = shell("nightfold handout setups -o - | head -c 5")
    assert (ran.code, ran.out, ran.err) == (0, "%PDF-", "")


def test_paths_that_cannot_be_written(folder: Path) -> None:
    (folder / "folder").mkdir()
    complaint(here("handout", "setups", "-o", "folder"), "“folder” is a folder")
    complaint(here("handout", "setups", "-o", "nowhere/a.pdf"), "there is no folder “nowhere”")
    complaint(here("handout", "setups", "-o", "a\0b"), "cannot be written: not a usable path")
    complaint(here("handout", "setups", "-o", "a" * 300), "cannot be written")
    complaint(here("handout", "setups", "-o", ""), "folder")
    assert [path.name for path in folder.iterdir()] == ["folder"]


def test_a_full_disk_leaves_the_old_one_whole(folder: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    complaint(here("handout", "setups", "-o", "/dev/full"), "/dev/full")


def test_a_write_that_fails_half_way_leaves_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert here("handout", "setups", "-o", "page.pdf").code == 0
    before = (folder / "page.pdf").read_bytes()

    def refuse(handle: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("os.fsync", refuse)
    complaint(here("handout", "leaflet", "-o", "page.pdf"), "cannot be written: No space left on device")
    assert (folder / "page.pdf").read_bytes() == before
    assert [path.name for path in folder.iterdir()] == ["page.pdf"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("poster",), "no such command 'poster'; commands are setups"),
        (("setups", "--paper", "a5"), "“a5” is no paper that is known; known are a4 and letter"),
        (("setups", "--method", "nope"), "there is no method “nope”"),
        (("setups", "--lettering", "nope"), "there is no lettering “nope”"),
        (("setups", "--hold", "white,yellow"), "opposite faces"),
        (
            (
                "setups",
                "--blank",
            ),
            "no such option",
        ),
    ],
)
def test_what_is_not_there_is_told(arguments: tuple[str, ...], said: str, folder: Path) -> None:
    complaint(here("handout", *arguments), said)
    assert not list(folder.iterdir())


def test_files_with_hostile_names_are_printed(folder: Path) -> None:
    lettering = json.loads(here("lettering", "--json").out)["symbols"]
    lines = ["name = '#panic(1) ../../x'"]
    for orbit, table in lettering.items():
        lines += [f"[{orbit}.stickers]", *(f"{name} = '#{sign}'" for name, sign in table.items())]
    (folder / "own $x.toml").write_text("\n".join(lines), "utf-8")
    ran = here("handout", "setups", "--lettering", str(folder / "own $x.toml"))
    assert ran.out == "nightfold-setups-two-swap-panic-1-..-..-x-a4.pdf\n"
    page = PdfReader(io.BytesIO((folder / ran.out.strip()).read_bytes())).pages[0].extract_text()
    assert "#R BL L T perm L'" in page
    # Where the file lies is not told to everybody.
    assert "--lettering 'own $x.toml'" in " ".join(page.split())


def test_the_installed_program_prints(folder: Path) -> None:
    assert there("handout", "leaflet", "-o", str(folder / "a.pdf")).code == 0
    assert (folder / "a.pdf").read_bytes().startswith(b"%PDF")
