"""``nightfold lettering``: the lettered net, its data, and files to edit."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from nightfold.blind.lettering import lettering_names, load_lettering
from nightfold.cube.geometry import geometry
from tests.cli.running import here, there


@pytest.mark.parametrize("size", range(2, 8))
@pytest.mark.parametrize("name", lettering_names())
def test_every_sticker_has_its_symbol_once(name: str, size: int) -> None:
    data = here("lettering", name, "--size", str(size), "--json").data
    assert list(data) == ["name", "size", "symbols"]
    assert (data["name"], data["size"]) == (name, size)
    geo = geometry(size)
    assert list(data["symbols"]) == [orbit.name for orbit in geo.orbits]
    for orbit in geo.orbits:
        symbols = data["symbols"][orbit.name]
        assert sorted(symbols) == sorted(geo.names[sticker] for sticker in orbit.stickers)
        assert len(set(symbols.values())) == len(symbols) == 24


def test_the_default_in_words() -> None:
    symbols = here("lettering", "--json").data["symbols"]
    assert [symbols["corners"][name] for name in ("UBL", "UBR", "UFR", "UFL", "LUB", "DBL")] == list("ABCDEX")
    assert [symbols["edges"][name] for name in ("UB", "UR", "UF", "UL", "LU", "DL")] == list("ABCDEX")


@pytest.mark.parametrize("size", range(2, 8))
def test_the_net_shows_every_symbol_in_its_place(size: int) -> None:
    ran = here("lettering", "--size", str(size))
    assert f"clockwise  for the {size}x{size}x{size}" in ran.out
    labels = load_lettering("clockwise", size).labels
    rows = [line.split() for line in ran.lines[2 : 2 + 3 * size]]
    if size == 7:  # no gaps between stickers on a line of 80 columns
        rows = [[face[at : at + 2] for face in row for at in range(0, 14, 2)] for row in rows]
    assert [len(row) for row in rows] == [size] * size + [4 * size] * size + [size] * size
    area = size * size
    for face, (top, left) in enumerate(
        [(0, 0), (size, 0), (size, size), (size, 2 * size), (size, 3 * size), (2 * size, 0)]
    ):
        for place in range(area):
            shown = rows[top + place // size][left + place % size]
            assert shown == labels.get(face * area + place, "·") + "wogrby"[face]


@pytest.mark.parametrize("size", range(2, 8))
def test_a_saved_lettering_loads_again(tmp_path: Path, size: int) -> None:
    path = tmp_path / "mine.toml"
    ran = here("lettering", "greek", "--size", str(size), "--save", str(path))
    assert ran == here("lettering", "greek", "--size", str(size))
    assert load_lettering(path, size) == load_lettering("greek", size)
    options = ("--size", str(size), "--json")
    assert here("lettering", str(path), *options).data == here("lettering", "greek", *options).data


def test_a_saved_lettering_can_be_edited_and_used(tmp_path: Path) -> None:
    path = tmp_path / "fennel.toml"
    assert there("lettering", "--save", str(path)).code == 0
    text = path.read_text("utf-8")
    assert tomllib.loads(text)["edges"]["U"] == "A B C D"
    path.write_text(text.replace('U = "A B C D"', 'U = "AA B ☂ D"'), "utf-8")
    edges = here("plan", "U", "--lettering", str(path), "--json").data["orbits"][0]
    assert {"AA", "☂"} <= set(edges["letters"])
    text_plan = here("plan", "U", "--lettering", str(path)).out
    assert "AA" in text_plan and "☂" in text_plan
    lettered = here("lettering", str(path)).out
    assert " AAw AAw B w" in lettered and " D w ☂ w ☂ w" in lettered


def test_the_others_are_named() -> None:
    assert "Others that come along: greek" in here("lettering").out
    assert "Others that come along: clockwise" in here("lettering", "greek").out
