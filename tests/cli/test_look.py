"""``nightfold look``: the unfolded cube as letters, as a picture and as net text."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from nightfold.blind.lettering import load_lettering
from nightfold.cube.net import cube_from_net
from nightfold.cube.notation import Turn, write
from nightfold.cube.state import Cube
from tests.cli.running import here, shell, there
from tests.strategies import sequences, sizes

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U'"


@given(sizes.flatmap(lambda size: st.tuples(st.just(size), sequences(size))))
@settings(max_examples=40)
def test_net_text_is_read_back(drawn: tuple[int, tuple[Turn, ...]]) -> None:
    size, turns = drawn
    options = ("--size", str(size))
    text = here("look", write(turns), *options, "--text").out
    assert here("look", "--net", "-", "--text", stdin=text).out == text
    data = here("look", write(turns), *options, "--json").data
    assert data == {"size": size, "net": text.removesuffix("\n"), "solved": Cube.from_turns(turns, size).is_solved}
    again = here("look", "--net", "-", "--json", stdin=text).data
    assert again == data
    cube, scheme = cube_from_net(text)
    area = size * size
    shown = ["WOGRBY"[colour] for colour in Cube.from_turns(turns, size).colours]
    assert [scheme[colour] for colour in cube.colours] == shown
    rows = [row.replace(" ", "") for row in text.splitlines()]
    assert "".join(rows[:size]) == "".join(shown[:area])
    assert rows[size][:size] == "".join(shown[area : area + size])
    assert "".join(rows[2 * size :]) == "".join(shown[5 * area :])


@pytest.mark.parametrize("size", range(2, 8))
def test_the_terminal_net_shows_the_colours(size: int) -> None:
    ran = here("look", "R U", "--size", str(size))
    assert ran.code == 0
    text = here("look", "R U", "--size", str(size), "--text").out
    rows = [row.replace(" ", "") for row in text.splitlines()]
    shown = ["".join(char for char in line if char in "wogrby") for line in ran.lines[: 3 * size]]
    assert shown == [row.lower() for row in rows]
    assert "capital: the letter of the place; small: the sticker's colour" in ran.out
    # U and D stand over and under F.
    band = cell_len(ran.lines[size])
    for line in (*ran.lines[:size], *ran.lines[2 * size : 3 * size]):
        assert cell_len(line) <= band // 2 + 2
        assert len(line) - len(line.lstrip()) > band // 5


def test_a_net_with_symbols_two_cells_wide_keeps_in_line() -> None:
    own = here("look", SCRAMBLE, "--text").out.translate(str.maketrans("WOGRBY", "⬜🟧🟩🟥🟦🟨"))
    ran = here("look", "--net", "-", stdin=own)
    assert ran.code == 0
    assert len({cell_len(line) for line in ran.lines[3:6]}) == 1
    assert len({cell_len(line) for line in ran.lines[:3] + ran.lines[6:9]}) == 1
    assert here("look", "--net", "-", "--text", stdin=own).out.split() == own.split()


def test_long_letters_are_cut_to_the_width(tmp_path: Path) -> None:
    names = [f"{face}{number}-lighthouse" for face in "ULFRBD" for number in range(4)]
    path = tmp_path / "long.toml"
    faces = (f'{face} = "{" ".join(names[at * 4 : at * 4 + 4])}"' for at, face in enumerate("ULFRBD"))
    path.write_text("[every-orbit]\n" + "\n".join(faces), "utf-8")
    for size in ("3", "7"):
        ran = here("look", "R U", "--size", size, "--lettering", str(path))
        assert ran.code == 0
        assert max(map(len, ran.lines)) <= 80
        assert "".join(char for char in ran.lines[0] if char in "ow")


@pytest.mark.parametrize("size", range(2, 8))
def test_the_picture_is_valid_xml(size: int, tmp_path: Path) -> None:
    path = tmp_path / "cube.svg"
    ran = here("look", "R U2", "--size", str(size), "--out", str(path), "--json")
    assert ran.data["size"] == size
    root = ElementTree.fromstring(path.read_text("utf-8"))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    fills = [element.get("fill") for element in root.iter("{http://www.w3.org/2000/svg}rect")]
    assert len(fills) >= 6 * size * size
    # Every colour is there as often as it has stickers (the ground may share no colour with them).
    times = sorted(fills.count(fill) for fill in set(fills))
    assert times[-6:] == [size * size] * 6
    texts = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
    for symbol in load_lettering("clockwise", size).labels.values():
        assert symbol in texts


def test_the_picture_of_a_lettering_with_awkward_symbols(tmp_path: Path) -> None:
    lettering = tmp_path / "awkward.toml"
    lettering.write_text(
        '[every-orbit]\nU = "< & > \\""\nL = "E F G H"\nF = "I J K L"\nR = "M N O P"\nB = "Q R S T"\nD = "U V W ]]>"\n',
        "utf-8",
    )
    path = tmp_path / "cube.svg"
    assert here("look", "R", "--lettering", str(lettering), "--out", str(path)).code == 0
    texts = [e.text for e in ElementTree.fromstring(path.read_text("utf-8")).iter("{http://www.w3.org/2000/svg}text")]
    assert {"<", "&", ">", '"', "]]>"} <= set(texts)


def test_pictures_are_written_anew(tmp_path: Path) -> None:
    path = tmp_path / "cube.svg"
    seen = []
    for scramble in ("R", "U"):
        assert there("look", scramble, "--out", str(path)).code == 0
        seen.append(path.read_text("utf-8"))
    assert seen[0] != seen[1]


def test_by_pipe_through_the_program() -> None:
    ran = shell('nightfold look "$1" --text | nightfold look --net - --text', SCRAMBLE)
    assert (ran.code, ran.out, ran.err) == (0, here("look", SCRAMBLE, "--text").out, "")


def test_the_picture_as_png_is_as_wide_as_asked(tmp_path: Path) -> None:
    """The size stands in the first chunk (W3C, Portable Network Graphics, third edition, 11.2.1)."""
    path = tmp_path / "cube.PNG"
    for width in (1200, 333):
        chosen = () if width == 1200 else ("--width", str(width))
        assert here("look", "R U2", "--lettering", "greek", "--out", str(path), *chosen).code == 0
        data = path.read_bytes()
        assert data.startswith(b"\x89PNG")
        assert int.from_bytes(data[16:20], "big") == width


@pytest.mark.parametrize("size", [2, 3, 5])
def test_pictures_from_a_side_and_turn_by_turn(tmp_path: Path, size: int) -> None:
    drawn = {}
    for name, options in {
        "net": (),
        "front": ("--side", "front"),
        "behind": ("--side", "behind"),
        "strip": ("--strip",),
        "grey": ("--grey",),
        "grey-front": ("--side", "front", "--grey"),
    }.items():
        path = tmp_path / f"{name}.svg"
        assert here("look", "R U F'", "--size", str(size), *options, "-o", str(path)).code == 0
        drawn[name] = path.read_text("utf-8")
        ElementTree.fromstring(drawn[name])
    assert len(set(drawn.values())) == len(drawn)
    # A strip shows the solved cube and the cube after each of its turns.
    assert drawn["strip"].count("<svg") == 1
    assert all(turn in "".join(ElementTree.fromstring(drawn["strip"]).itertext()) for turn in ("R", "U", "F'"))
    # What is grey has no tint.
    for name in ("grey", "grey-front"):
        paints = re.findall(r"#([0-9a-fA-F]{6})\b", drawn[name])
        assert all(paint[:2] == paint[2:4] == paint[4:] for paint in paints)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("R U", "--side", "above", "-o", "x.svg"), "“above” is no side to look from; say front or behind"),
        (("R U", "--grey"), "--side, --strip and --grey are for pictures; name one with -o"),
        (("--net", "-", "--strip", "-o", "x.svg"), "--strip shows turns; give them in quotes"),
    ],
)
def test_what_no_picture_can_be_made_of(options: tuple[str, ...], said: str) -> None:
    ran = here("look", *options, stdin=here("look", "R U", "--text").out)
    assert ran.code == 2
    assert said in ran.err
