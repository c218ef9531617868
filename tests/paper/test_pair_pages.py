"""Pair pages: the learner's words where they belong, read back from the paper."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from nightfold.blind.lettering import Lettering
from nightfold.memory.occurring import pairs_of
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.symbols import pair_text
from nightfold.paper.pair_pages import grids_of, press_kept_pairs, press_pairs
from nightfold.paper.press import Look, PaperError
from nightfold.paper.subject import Subject, subject
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Word
from tests.paper.printed import HOSTILE, SIZES, coloured, count, fonts, pages, sizes, text

SUBJECTS = [subject(), subject("left-hand", "greek"), subject("j-and-y")]


def occurring(about: Subject) -> set[tuple[str, ...]]:
    return {pair for pairs in pairs_of(about.method, about.letters).values() for pair in pairs}


def every_word(about: Subject) -> OwnWords:
    """A word that tells its pair, for every pair that occurs."""
    return OwnWords(OwnWord(pair_text(pair), "w" + "".join(pair).casefold()) for pair in occurring(about))


def placed(pdf: bytes, most: int) -> list[dict[str, tuple[float, float]]]:
    """On each of the first pages, where each text begins: millimetres from the left and from the bottom."""
    found: list[dict[str, tuple[float, float]]] = []
    for page in PdfReader(io.BytesIO(pdf)).pages[:most]:
        found.append({})

        def visit(part: str, outer: Any, inner: Any, font: Any, points: Any) -> None:
            if part.strip():
                x, y = (outer[at] * inner[4] + outer[2 + at] * inner[5] + outer[4 + at] for at in (0, 1))
                found[-1].setdefault(part.strip(), (x / 72 * 25.4, y / 72 * 25.4))

        page.extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize(
    ("about", "look"),
    list(zip(SUBJECTS, (Look(), Look("letter", grey=True), Look("letter")), strict=True)),
    ids=lambda one: one.method.name if isinstance(one, Subject) else one.paper,
)
def test_every_pair_that_occurs_has_its_place_with_its_word(about: Subject, look: Look) -> None:
    pdf = press_pairs(about, look, words=every_word(about))
    shown = text(pdf)
    assert count(pdf) == 3
    assert f"With a word of your own: {len(occurring(about))} of {len(occurring(about))} pairs" in shown
    (grid,) = grids_of(about)
    met: set[str] = set()
    for at, page in enumerate(pages(pdf)):
        columns = list(grid.letters[8 * at : 8 * at + 8])
        lines = page.splitlines()
        head = next(number for number, line in enumerate(lines) if line.split() == columns)
        for first in grid.letters:
            # A row's letter, then its words and strokes in the order of the columns.
            row = next(line.split() for line in lines[head + 1 :] if line.split()[0] == first)
            for second, cell in zip(columns, row[1:], strict=True):
                occurs = (first, second) in occurring(about)
                assert cell == ("w" + (first + second).casefold() if occurs else "–")
                met.add(first + second)
    assert len(met) == len(grid.letters) ** 2


def test_own_words_come_first_the_strongest_in_the_grid_and_all_on_the_card() -> None:
    words = OwnWords(
        [
            OwnWord("LS", "lens", strength=0.2),
            OwnWord("LS", "lighthouse", note="the one on the point", strength=0.9),
            OwnWord("AB", "abbey"),
            OwnWord("??", "nothing"),
        ]
    )
    suggestions: dict[tuple[str, ...], str] = {("L", "S"): "lasso", ("L", "T"): "letter"}
    shown = text(press_pairs(subject(), words=words, suggestions=suggestions))
    assert "lighthouse" in shown and "lens" not in shown and "lasso" not in shown
    assert "With a word of your own: 1 of 540 pairs; with a suggestion, behind a ring: 1." in shown
    assert "◦ letter" in shown.replace("\u00a0", " ")
    # AB is no pair of any memo by this method, but a word is never left out.
    assert "abbey" in shown and "nothing" not in shown
    cards = text(press_pairs(subject(), words=words, suggestions=suggestions, cards=True))
    assert "lighthouse lens the one on the point LS" in cards
    assert "letter a suggestion LT" in cards
    assert "abbey" not in cards


def test_a_pair_and_its_word_lie_back_to_back() -> None:
    """A sheet turned over at its long edge has its columns the other way round."""
    about = subject()
    for look in (Look(), Look("letter", large=True)):
        pdf = press_pairs(about, look, words=every_word(about), cards=True)
        across, down = (2, 4) if look.large else (4, 7)
        assert count(pdf) == 2 * -(-540 // (across * down))
        width = SIZES[look.paper][0] / 72 * 25.4
        column = (width - 28) / across
        front, back = placed(pdf, 2)
        met = 0
        for pair, (x, y) in front.items():
            if len(pair) == 2 and pair.isupper():
                other_x, other_y = back["w" + pair.casefold()]
                assert int((x - 14) / column) == across - 1 - int((other_x - 14) / column)
                assert abs(y - other_y) < (45 if look.large else 25)
                met += 1
        assert met == across * down


@pytest.mark.parametrize("word", HOSTILE, ids=lambda word: ascii(word[:12]))
def test_hostile_words_stay_what_they_are(word: str) -> None:
    words = OwnWords([OwnWord("LS", word, note=word), OwnWord("LT", "next"), OwnWord("LS", "other")])
    for cards in (False, True):
        pdf = press_pairs(subject(), words=words, cards=cards)
        assert count(pdf) == (2 if cards else 3)
        shown = "".join(text(pdf).replace("\u200b", "").split())
        assert "next" in shown and "Printedby" in shown
        if word.isascii() and len(word) < 100:
            assert "".join(word.split()) in shown
        elif word in ("שלום עולם", "字 한 ไ ख ✓ ①"):
            assert sorted(set(word) - {" "}) == sorted(set(word) & set(shown))


def test_letterings_whose_orbits_differ_get_a_grid_each() -> None:
    plain = subject()
    symbols = {
        name: {at: sign.lower() if name == "edges" else sign for at, sign in known.items()}
        for name, known in plain.letters.symbols.items()
    }
    about = Subject(plain.method, Lettering("two kinds", 3, symbols), plain.hold, ("two-swap", "own"))
    grids = grids_of(about)
    assert [grid.orbits for grid in grids] == [("edges",), ("corners",)]
    assert [len(grid.letters) for grid in grids] == [22, 21]
    pdf = press_pairs(about)
    assert count(pdf) == 6
    assert "Edges" in pages(pdf)[0] and "Corners" in pages(pdf)[3]


@pytest.mark.parametrize("look", [Look(), Look("letter", grey=True), Look("letter", large=True)], ids=str)
@pytest.mark.parametrize("cards", [False, True])
def test_paper_and_grey_are_what_was_asked_for(look: Look, cards: bool) -> None:
    words = OwnWords([OwnWord("LS", "lens")])
    pdf = press_pairs(subject(), look, words=words, cards=cards)
    ((width, height),) = sizes(pdf)
    assert (width, height) == pytest.approx(SIZES[look.paper], abs=0.5)
    assert not (look.grey and coloured(pdf))
    assert fonts(pdf) <= {"SourceSansPro"}
    assert b"pdfuaid" in pdf
    assert press_pairs(subject(), look, words=words, cards=cards) == pdf


def test_words_come_from_the_logbook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NIGHTFOLD_HOME", str(tmp_path))
    # Without a logbook the grid is there to be filled in.
    assert "With a word of your own: 0 of 540 pairs." in text(press_kept_pairs(subject()))
    with pytest.raises(PaperError, match="there are no words for the pairs of this lettering"):
        press_kept_pairs(subject(), cards=True)
    assert not list(tmp_path.iterdir())
    with Logbook.open() as book:
        book.put(
            Word(pair="L S", word="lighthouse", language="en"),
            Word(pair="L S", word="Leuchtturm", language="de"),
            Word(pair="L S", word="lamp", language="en", solver="Tomas"),
        )
    for choices, word in ({}, "lighthouse"), ({"language": "de"}, "Leuchtturm"), ({"solver": "Tomas"}, "lamp"):
        chosen: dict[str, Any] = choices
        shown = text(press_kept_pairs(subject(), cards=True, **chosen))
        assert {name for name in ("lighthouse", "Leuchtturm", "lamp") if name in shown} == {word}
        assert all(f"--{name} {value}" in shown for name, value in chosen.items())
    suggested = text(press_kept_pairs(subject(), suggest=True))
    counts = re.search(r"own: 1 of 540 pairs; with a suggestion, behind a ring: (\d+)\.", suggested)
    assert counts and int(counts[1]) > 500
    assert suggested.count("◦") == int(counts[1])
