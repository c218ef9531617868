"""Reading a written memo: forgiving in form, strict in content."""

from __future__ import annotations

import unicodedata
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.lettering import Lettering, lettering_from, load_lettering
from nightfold.coach.memo import MAX_LETTERS, MemoError, read_memo
from nightfold.cube.geometry import Orbit, geometry

GEO = geometry(3)
ORBITS = {"edges": GEO.orbit("edges"), "corners": GEO.orbit("corners")}
#: One symbol begins another, ends another, holds a sign that may stand between letters, or differs in case alone.
KNOTTY = {
    "U": "A AB ABA B",
    "L": "1 11 1.1 .1",
    "F": "x X xX Xx",
    "R": "ß ss' é É",
    "B": "(q) q- -q 🌙",
    "D": "ΑΒ Σ Ω ω2",
}


@cache
def letterings() -> tuple[Lettering, ...]:
    knotty = lettering_from({"name": "knotty", "every-orbit": KNOTTY}, 3, "knotty")
    return load_lettering(), load_lettering("greek"), knotty


def read(text: str, orbit: str = "edges", lettering: Lettering | None = None) -> str:
    """The letters read, in the common lettering."""
    lettering = lettering or load_lettering()
    return " ".join(lettering.symbol(orbit, sticker) for sticker in read_memo(text, ORBITS[orbit], lettering))


@pytest.mark.parametrize(
    "text",
    [
        "LXAEHRKSVU",
        "LX AE HR KS VU",
        "lx ae hr ks vu",
        "L X A E H R K S V U",
        "LX, AE, HR; KS. VU!",
        "L-X-A-E-H-R-K-S-V-U",
        "LX AE | HR | K|S VU",
        "LX·AE·HR·K·S·V·U",
        "(LX) [AE] {HR} “KS” VU",
        "  LX\tAE\r\nHR\n\nKS \u00a0 V\u200bU\ufeff",
        "LX → AE > HR = KS + VU",
        "Lx/Ae/Hr/Ks/Vu…",
        "LX — AE – HR: KS? VU",
    ],
)
def test_the_form_does_not_matter(text: str) -> None:
    assert read(text) == "L X A E H R K S V U"
    assert read(text, "corners") == "L X A E H R K S V U"


def test_nothing_is_a_memo_too() -> None:
    for text in ("", "   ", "- | .", "\u200b"):
        assert read(text) == ""


@pytest.mark.parametrize("text", ["Αβ γΔ", "α Β γ δ", "ΑΒΓΔ", "α-β-γ-δ"])
def test_greek(text: str) -> None:
    assert read(text, lettering=load_lettering("greek")) == "Α Β Γ Δ"


def test_final_sigma_is_a_sigma() -> None:
    assert read("ς Σ σ", lettering=load_lettering("greek")) == "Σ Σ Σ"


@pytest.mark.parametrize(
    ("text", "symbols"),
    [
        ("ABA", "ABA"),
        ("A BA", "A B A"),
        ("AB A", "AB A"),
        ("ABAB", "ABA B"),
        ("abab", "ABA B"),
        ("A,B,A", "A B A"),
        ("111", "11 1"),
        ("1 11", "1 11"),
        ("1.1", "1.1"),
        ("1 .1", "1 .1"),
        ("1. 1", "1 1"),
        ("xX", "xX"),
        ("Xx", "Xx"),
        ("x X", "x X"),
        ("(q)", "(q)"),
        ("(Q)", "(q)"),
        ("-q q-", "-q q-"),
        ("ẞ SS'", "ß ss'"),
        ("ss", "ß"),
        ("e\u0301 E\u0301", "é É"),
        ("αβσωΩ2", "ΑΒ Σ Ω ω2"),
        ("🌙🌙A", "🌙 🌙 A"),
    ],
)
def test_symbols_of_several_characters_longest_first_but_spaces_decide(text: str, symbols: str) -> None:
    assert read(text, lettering=letterings()[2]) == symbols


def test_case_decides_only_where_the_lettering_tells_it_apart() -> None:
    knotty = letterings()[2]
    assert read("x X", lettering=knotty) != read("X x", lettering=knotty)
    assert read("aB", lettering=knotty) == "AB"
    with pytest.raises(MemoError, match="“XX” at column 3"):  # neither xX nor Xx, and no X that could begin it …
        read_memo("A XX", ORBITS["edges"], without_single_x())


def without_single_x() -> Lettering:
    return lettering_from({"name": "no x", "every-orbit": {**KNOTTY, "F": "xX Xx y z"}}, 3, "no x")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("LX A8", "“8” at column 5 of the edges memo is no letter of the edges in “clockwise”; they are A B C"),
        ("Z", "“Z” at column 1 of the edges memo"),
        ("AB\n  ä", "“ä” at column 6 of the edges memo"),
        ("A\0", "“\0” at column 2 of the edges memo"),
        ("A 🌙", "“🌙” at column 3 of the edges memo"),
        ("A $ B", "“$” at column 3 of the edges memo"),
        ("Α", "“Α” at column 1 of the edges memo"),  # an Alpha, which only looks like an A
    ],
)
def test_what_is_no_letter_is_named_with_its_column(text: str, told: str) -> None:
    with pytest.raises(MemoError) as trouble:
        read_memo(text, ORBITS["edges"], load_lettering())
    assert str(trouble.value).startswith(told)
    assert str(trouble.value).endswith("they are A B C D E F G H I J K L M N O P Q R S T U V W X")


def test_what_is_no_symbol_of_several_characters_is_named_as_far_as_it_could_be_one() -> None:
    with pytest.raises(MemoError) as trouble:
        read_memo("A zebra B", ORBITS["corners"], letterings()[2])
    assert str(trouble.value).startswith(
        "“zeb” at column 3 of the corners memo is no letter of the corners in “knotty”"
    )
    assert str(trouble.value).endswith("; spaces tell where one letter ends and the next begins")


def test_absurd_lengths() -> None:
    longest = read_memo("A" * MAX_LETTERS, ORBITS["edges"], load_lettering())
    assert len(longest) == MAX_LETTERS
    for text in ("A" * (MAX_LETTERS + 1), "A " * 100_000, "\n" * 100_000 + "AB" * 40):
        with pytest.raises(MemoError, match="the edges memo has more than 60 letters, which no cube needs"):
            read_memo(text, ORBITS["edges"], load_lettering())
    assert read_memo(" " * 200_000 + "A", ORBITS["edges"], load_lettering()) == longest[:1]


BETWEEN = st.text(st.sampled_from(" \t\n,;|-–—.…·/→\u00a0\u200b"), min_size=1, max_size=3)


@st.composite
def memos(draw: st.DrawFn) -> tuple[Lettering, Orbit, list[int]]:
    orbit = draw(st.sampled_from(sorted(ORBITS.values(), key=lambda orbit: orbit.name)))
    letters = draw(st.lists(st.sampled_from(orbit.stickers), max_size=30))
    return draw(st.sampled_from(letterings())), orbit, letters


@given(memos(), st.data())
def test_what_is_written_with_spaces_is_read_again(
    memo: tuple[Lettering, Orbit, list[int]], data: st.DataObject
) -> None:
    """Any lettering, letters set apart by spaces; and where no symbol is part of another, anything or nothing."""
    lettering, orbit, stickers = memo
    symbols = [lettering.symbol(orbit, sticker) for sticker in stickers]
    gaps = [data.draw(st.text(st.sampled_from(" \n\t\u00a0"), min_size=1, max_size=3)) for _ in symbols]
    text = "".join(symbol + gap for symbol, gap in zip(symbols, gaps, strict=True))
    assert read_memo(text, orbit, lettering) == tuple(stickers)
    assert read_memo(unicodedata.normalize("NFD", text), orbit, lettering) == tuple(stickers)
    if lettering is not letterings()[2]:
        loose = [data.draw(st.one_of(st.just(""), BETWEEN)) for _ in symbols]
        text = "".join(symbol + gap for symbol, gap in zip(symbols, loose, strict=True))
        assert read_memo(text, orbit, lettering) == tuple(stickers)
        assert read_memo(text.lower(), orbit, lettering) == tuple(stickers)


@given(st.text(max_size=40), st.sampled_from(range(3)))
def test_any_text_is_a_memo_or_refused_with_a_sentence(text: str, which: int) -> None:
    lettering = letterings()[which]
    try:
        stickers = read_memo(text, ORBITS["edges"], lettering)
    except MemoError as trouble:
        assert "of the edges memo is no letter of the edges in" in str(trouble)
    else:
        again = " ".join(lettering.symbol("edges", sticker) for sticker in stickers)
        assert read_memo(again, ORBITS["edges"], lettering) == stickers
