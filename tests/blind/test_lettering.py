"""Letterings: what the shipped ones say, what a file may say, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.errors import LetteringError
from nightfold.blind.lettering import (
    Lettering,
    lettering_data,
    lettering_from,
    lettering_names,
    letters_by_orbit,
    load_lettering,
    save_lettering,
)
from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWX"
GREEK = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩ"
EVERY = {face: " ".join(ALPHABET[4 * at : 4 * at + 4]) for at, face in enumerate("ULFRBD")}

EDGES = """
    UB UR UF UL   LU LF LD LB   FU FR FD FL   RU RB RD RF   BU BL BD BR   DF DR DB DL
"""
CORNERS = """
    ULB URB URF ULF   LUB LUF LDF LDB   FUL FUR FDR FDL   RUF RUB RDB RDF   BUR BUL BDL BDR   DFL DFR DBR DBL
"""


# --- the shipped letterings --------------------------------------------------------------------------------------


def test_names() -> None:
    assert {"clockwise", "greek"} <= set(lettering_names())
    assert load_lettering() == load_lettering("clockwise")


@pytest.mark.parametrize(("name", "letters"), [("clockwise", ALPHABET), ("greek", GREEK)])
@pytest.mark.parametrize(("orbit", "stickers"), [("edges", EDGES), ("corners", CORNERS)])
def test_clockwise_from_the_top_left(name: str, letters: str, orbit: str, stickers: str) -> None:
    """A to X on U, L, F, R, B, D, clockwise from the top-left corner or the top edge: common practice, no source."""
    lettering = load_lettering(name)
    geo = geometry(3)
    for letter, sticker in zip(letters, stickers.split(), strict=True):
        assert lettering.symbol(orbit, geo.sticker(sticker)) == letter
        assert lettering.sticker(orbit, letter) == geo.sticker(sticker)
        assert lettering.sticker(geo.orbit(orbit), f" {letter.lower()} ") == geo.sticker(sticker)
    assert len(lettering.of(orbit)) == 24


@pytest.mark.parametrize("name", lettering_names())
@pytest.mark.parametrize("size", range(2, 8))
def test_every_size(name: str, size: int) -> None:
    """Each face's four letters lie in the order in which a clockwise turn of that face carries them on."""
    lettering = load_lettering(name, size)
    geo = geometry(size)
    half = (size - 1) / 2
    assert set(lettering.symbols) == {orbit.name for orbit in geo.orbits}
    for orbit in geo.orbits:
        symbols = lettering.of(orbit)
        assert sorted(symbols) == list(orbit.stickers)
        assert len(set(symbols.values())) == 24
        ordered = sorted(symbols, key=symbols.__getitem__)
        for number, face in enumerate("ULFRBD"):
            four = ordered[4 * number : 4 * number + 4]
            turned = Cube.from_turns(face, size).stickers
            for here, after in zip(four, (*four[1:], four[0]), strict=True):
                assert turned[after] == here
            row, column = divmod(four[0] - number * size * size, size)
            # The first lies at the top-left corner, or from there on clockwise but short of the top-right one.
            assert row < half
            assert row - half <= column - half < half - row


def test_labels_cover_the_whole_cube() -> None:
    labels = load_lettering().labels
    assert len(labels) == 48
    assert set(range(54)) - set(labels) == set(geometry(3).fixed_centres.values())


def test_an_unknown_size() -> None:
    with pytest.raises(GeometryError, match="2 to 7"):
        load_lettering(size=8)


# --- files -------------------------------------------------------------------------------------------------------


def write(path: Path, data: dict[str, Any]) -> Path:
    path.write_text(tomli_w.dumps(data), encoding="utf-8")
    return path


def test_an_own_file(tmp_path: Path) -> None:
    """An orbit and single stickers may differ; symbols may be words or any script."""
    path = write(
        tmp_path / "lamp.toml",
        {
            "name": "Fennel Point",
            "about": "for the Tuesday evening",
            "every-orbit": EVERY,
            "edges": {"U": "aa bb cc dd", "stickers": {"UF": "☂", "FU": "Sch", "RB": ["fog", "horn"][0]}},
        },
    )
    lettering = load_lettering(path)
    sticker = geometry(3).sticker
    assert lettering.name == "Fennel Point"
    assert lettering.symbol("edges", sticker("UB")) == "aa"
    assert lettering.symbol("edges", sticker("UF")) == "☂"
    assert lettering.symbol("edges", sticker("FU")) == "Sch"
    assert lettering.symbol("edges", sticker("RB")) == "fog"
    assert lettering.symbol("edges", sticker("DF")) == "U"
    assert lettering.symbol("corners", sticker("ULB")) == "A"
    assert lettering.sticker("edges", "sch") == sticker("FU")


def test_a_file_without_a_name_is_called_by_its_own(tmp_path: Path) -> None:
    assert load_lettering(write(tmp_path / "keeper.toml", {"every-orbit": EVERY})).name == "keeper"
    assert load_lettering(str(write(tmp_path / "keeper.toml", {"every-orbit": EVERY}))).name == "keeper"


def test_one_file_for_several_sizes(tmp_path: Path) -> None:
    path = write(tmp_path / "all.toml", {"every-orbit": EVERY, "wings": {"U": "a b c d"}})
    assert load_lettering(path, 4).symbols["wings"] != load_lettering(path, 4).symbols["corners"]
    assert load_lettering(path, 3).symbols.keys() == {"corners", "edges"}


def test_small_and_capital_letters_may_both_be_used() -> None:
    data = {"corners": EVERY, "edges": {**EVERY, "L": "a b c d"}}
    lettering = lettering_from(data, 3, "mixed")
    sticker = geometry(3).sticker
    assert lettering.sticker("edges", "A") == sticker("UB")
    assert lettering.sticker("edges", "a") == sticker("LU")
    assert lettering.sticker("edges", "i") == sticker("FU")
    clash = lettering_from({"corners": EVERY, "edges": {**EVERY, "L": "ch Ch sch Sch"}}, 3, "clash")
    assert clash.sticker("edges", "Ch") == sticker("LF")
    with pytest.raises(LetteringError, match="“CH” is no letter of the edges"):
        clash.sticker("edges", "CH")


def test_accents_count_alike_however_they_are_typed() -> None:
    composed, decomposed = "\u00e9", "e\u0301"
    lettering = lettering_from({"corners": EVERY, "edges": {**EVERY, "L": f"{decomposed} F G H"}}, 3, "accents")
    assert lettering.symbol("edges", geometry(3).sticker("LU")) == composed
    assert lettering.sticker("edges", composed) == lettering.sticker("edges", decomposed)


symbols = st.text(
    st.characters(categories=("Lu", "Ll", "Lo", "Nd", "So"), max_codepoint=0x2FFF), min_size=1, max_size=4
)


@given(st.lists(symbols, min_size=48, max_size=48, unique_by=lambda s: s.casefold()), st.integers(2, 7))
def test_saving_and_loading(tmp_path_factory: pytest.TempPathFactory, words: list[str], size: int) -> None:
    geo = geometry(size)
    by_orbit: dict[str, Any] = {}
    for orbit in geo.orbits:
        stickers = {geo.names[sticker]: word for sticker, word in zip(orbit.stickers, words, strict=False)}
        by_orbit[orbit.name] = {"stickers": stickers}
    try:
        lettering = lettering_from(by_orbit, size, "any")
    except LetteringError as refused:
        # Two words may become one when their accents are composed; nothing else can be wrong with these.
        assert "each symbol may be used once" in str(refused)
        return
    path = tmp_path_factory.mktemp("letters") / "any.toml"
    save_lettering(lettering, path)
    again = load_lettering(path, size)
    assert again == lettering
    assert lettering_from(lettering_data(lettering), size, "other").symbols == lettering.symbols


@pytest.mark.parametrize("size", range(2, 8))
@pytest.mark.parametrize("name", lettering_names())
def test_the_shipped_ones_survive_saving(tmp_path: Path, name: str, size: int) -> None:
    lettering = load_lettering(name, size)
    save_lettering(lettering, tmp_path / "copy.toml")
    assert load_lettering(tmp_path / "copy.toml", size) == lettering


def test_saving_where_that_cannot_be(tmp_path: Path) -> None:
    with pytest.raises(LetteringError, match="cannot be written"):
        save_lettering(load_lettering(), tmp_path)
    with pytest.raises(LetteringError, match="cannot be written"):
        save_lettering(load_lettering(), tmp_path / "no" / "such" / "folder.toml")


# --- what is refused ---------------------------------------------------------------------------------------------

REFUSED: list[tuple[dict[str, Any], tuple[str, ...]]] = [
    ({}, ("no letters", "[every-orbit]")),
    ({"edges": EVERY}, ("the corners have no letters", "[corners]")),
    ({"corners": EVERY}, ("the edges have no letters", "[edges]")),
    ({"every-orbit": {**EVERY, "U": "A B C"}}, ("[corners]", "1 of 24", "no symbol", "UFL")),
    ({"every-orbit": {face: EVERY[face] for face in "ULFRB"}}, ("4 of 24", "no symbol")),
    ({"every-orbit": {"U": "A B C D"}}, ("20 of 24", "…")),
    ({"every-orbit": {**EVERY, "U": "A B C D E"}}, ("face U has 4 stickers but 5 symbols",)),
    ({"every-orbit": {**EVERY, "L": "A F G H"}}, ("“A” stands for both UBL and LUB", "once")),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UF": "A"}}}, ("[edges]", "“A” stands for both UB and UF")),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UX": "a"}}}, ("[edges]", "“UX” is no sticker")),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UFR": "a"}}}, ("UFR is no sticker of the edges",)),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UF": "a b"}}}, ("symbol of UF", "without spaces")),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UF": ""}}}, ("symbol of UF", "text")),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UF": 7}}}, ("symbol of UF", "text")),
    ({"every-orbit": EVERY, "edges": {"stickers": "UF"}}, ("“stickers” must be a table",)),
    ({"every-orbit": {**EVERY, "U": 4}}, ("“U” must be text in quotes",)),
    ({"every-orbit": {**EVERY, "u": "A B C D"}}, ("“u” is not known here",)),
    ({"every-orbit": {**EVERY, "stickers": {"UF": "a"}}}, ("[every-orbit]", "“stickers” is not known here")),
    ({"every-orbit": "A to X"}, ("“every-orbit” must be a table",)),
    ({"every-orbit": EVERY, "edge": {"U": "a b c d"}}, ("“edge” is not known here", "edges")),
    ({"every-orbit": EVERY, "name": 3}, ("“name” must be text in quotes",)),
    ({"every-orbit": {**EVERY, "U": "A B C " + "D" * 17}}, ("longer than 16 characters",)),
    ({"every-orbit": EVERY, "edges": {"stickers": {"UF": "a\u0007"}}}, ("cannot be shown",)),
]


@pytest.mark.parametrize(("data", "words"), REFUSED)
def test_refused_with_one_sentence(data: dict[str, Any], words: tuple[str, ...]) -> None:
    with pytest.raises(LetteringError) as caught:
        lettering_from(data, 3, "harbour")
    said = str(caught.value)
    assert said.startswith("harbour")
    assert "\n" not in said
    for word in words:
        assert word in said


@pytest.mark.parametrize("symbol", ["\u200b", "\u2060\u200d", "\u0301", "\ufeff"])
def test_a_symbol_must_be_something_one_sees(symbol: str) -> None:
    with pytest.raises(LetteringError, match=r"nothing one could read|must be text"):
        lettering_from({"every-orbit": EVERY, "edges": {"stickers": {"UF": symbol}}}, 3, "fog")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"name = ", ("letters.toml is not valid TOML",)),
        (b"\xff\xfe\x00", ("letters.toml is not a text file", "UTF-8")),
        (b"a = " + b"[" * 5000 + b"]" * 5000, ("letters.toml",)),
        (b"# " + b"x" * 1_000_001, ("letters.toml is larger than 1,000,000 bytes",)),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, content: bytes, words: tuple[str, ...]) -> None:
    path = tmp_path / "letters.toml"
    path.write_bytes(content)
    with pytest.raises(LetteringError) as caught:
        load_lettering(path)
    said = str(caught.value)
    assert "\n" not in said
    for word in words:
        assert word in said


@pytest.mark.parametrize("source", ["no-such-lettering", "", "no/such/file.toml", "a\0b", "x" * 5000])
def test_files_that_are_not_there(source: str) -> None:
    with pytest.raises(LetteringError) as caught:
        load_lettering(source)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(LetteringError, match="is not a file"):
        load_lettering(tmp_path)


def test_asking_for_what_is_not_lettered() -> None:
    lettering = load_lettering()
    with pytest.raises(LetteringError, match="no letters for wings"):
        lettering.of("wings")
    with pytest.raises(LetteringError, match="“Z” is no letter of the edges in “clockwise”; they are A B C"):
        lettering.sticker("edges", "Z")
    with pytest.raises(LetteringError, match="no letters for midges"):
        Lettering("bare", 5, {}).symbol("midges", 0)


# --- letters by orbit, and as data --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("edges=K Q;corners=B", [("edges", "K"), ("edges", "Q"), ("corners", "B")]),
        (" corners = b ;; edges= ", [("corners", "b")]),
        ("edges=K;edges=Q", [("edges", "K"), ("edges", "Q")]),
        ("", []),
    ],
)
def test_letters_by_orbit(text: str, letters: list[tuple[str, str]]) -> None:
    assert letters_by_orbit(text, ("edges", "corners")) == letters


@pytest.mark.parametrize("text", ["K Q", "wings=K", "edges=K;corners", "=K"])
def test_letters_of_no_orbit(text: str) -> None:
    wrong = text.rpartition(";")[2]
    with pytest.raises(LetteringError, match=f"^use “{wrong}” must be an orbit, =, and letters, as in edges=K Q$"):
        letters_by_orbit(text, ("edges", "corners"), "use")


@pytest.mark.parametrize("size", [2, 3, 5])
def test_a_lettering_as_data_names_every_sticker(size: int) -> None:
    lettering = load_lettering("greek", size)
    data = lettering.to_dict()
    assert (data["name"], data["size"]) == ("greek", size)
    named = {
        geometry(size).sticker(name): symbol for table in data["symbols"].values() for name, symbol in table.items()
    }
    assert named == lettering.labels
