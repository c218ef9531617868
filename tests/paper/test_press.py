"""The press: data in, pages out, whatever the data hold."""

from __future__ import annotations

import dataclasses
import io
import time
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from nightfold.blind.files import SHIPPED, parse_toml
from nightfold.blind.lettering import Lettering
from nightfold.blind.method import method_from
from nightfold.cube.errors import NightfoldError
from nightfold.paper.handouts import KINDS, handout
from nightfold.paper.press import MARK, Look, PaperError, press, printable
from nightfold.paper.subject import Subject, subject
from tests.paper.printed import HOSTILE, SIZES, coloured, count, fonts, pages, sizes, text

#: The kinds that need nothing but a subject, without their choices and with all of them.  The others have such tests
#: of their own.
EVERY = [
    (name, dict.fromkeys((choice.name for choice in KINDS[name].choices), chosen))
    for name in ("setups", "lettering", "leaflet")
    for chosen in (False, True)
    if KINDS[name].choices or not chosen
]
each_handout = pytest.mark.parametrize(("kind", "choices"), EVERY, ids=str)
LOOKS = [Look(), Look("a4", grey=True, large=True), Look("letter", grey=True), Look("letter", large=True)]


def hostile_subject(word: str) -> Subject:
    """A method and a lettering that go by ``word`` wherever a person may name something."""
    clean = "".join(char for char in word if char >= " " or char in "\t\n\r")
    data: dict[str, Any] = parse_toml((SHIPPED / "methods" / "two-swap.toml").read_bytes(), "any", NightfoldError)
    for key in ("edges", "corners", "parity"):
        data[key]["label"] = clean
    method = method_from(data | {"name": clean, "title": clean, "about": clean}, "any")
    signs = "".join(clean.split())[:12] or "?"
    plain = subject().letters
    symbols = {orbit: {at: signs + sign for at, sign in known.items()} for orbit, known in plain.symbols.items()}
    return Subject(method, Lettering(clean, 3, symbols), method.hold, (clean, clean))


@cache
def plain_count(kind: str, **choices: Any) -> int:
    return count(handout(kind, subject(), Look(), **choices))


@each_handout
@pytest.mark.parametrize("word", HOSTILE, ids=lambda word: ascii(word[:12]))
def test_hostile_names_stay_what_they_are(kind: str, choices: dict[str, Any], word: str) -> None:
    pdf = handout(kind, hostile_subject(word), Look(), **choices)
    assert count(pdf) <= 3 * plain_count(kind, **choices)
    (first,) = pages(pdf, 1)
    shown = "".join(first.replace("\u200b", "").split())
    if word.isascii():
        assert "".join(word[:60].split()) in shown
    assert "Printedby" in shown


def test_markup_prints_as_text() -> None:
    for word in HOSTILE[:2]:
        pdf = press("leaflet", _leaflet_sheet(word))
        assert "".join(word.split()) in "".join(text(pdf).replace("\u200b", "").split())


def _leaflet_sheet(word: str) -> dict[str, Any]:
    caught: list[dict[str, Any]] = []

    def catch(page: str, sheet: dict[str, Any], look: Look) -> bytes:
        caught.append(sheet)
        return b""

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("nightfold.paper.leaflet.press", catch)
        handout("leaflet", subject())
    return caught[0] | {"intro": word, "title": word, "notes": [word]}


@given(st.text(max_size=80), st.text(max_size=200))
@settings(max_examples=25, deadline=None)
def test_any_text_is_printed(title: str, said: str) -> None:
    sheet = subject().sheet("lettering", title, Look()) | {"said": said, "legend": []}
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"></svg>'
    pdf = press("lettering", sheet | {"pictures": dict.fromkeys(("net", "front", "behind"), svg)})
    assert pdf.startswith(b"%PDF")


def test_what_is_not_fit_for_paper_is_made_fit() -> None:
    assert printable("a\0b\x1b\ud800") == "a\ufffdb\ufffd\ufffd"
    assert printable("a\u202eb\u200f\nc") == "ab c"
    assert printable({"a": ["x" * 30, 3, None]}) == {
        "a": ["\u200b".join(("x" * 8, "x" * 8, "x" * 8, "x" * 6)), 3, None]
    }
    assert len(printable("y " * 5000)) < 2100
    assert len(printable("y" * 5000)) < 140
    assert printable("x" * 28) == "x" * 28


@pytest.mark.parametrize("look", LOOKS, ids=str)
def test_paper_and_grey_are_what_was_asked_for(look: Look) -> None:
    for kind, choices in EVERY:
        pdf = handout(kind, subject("left-hand", "greek"), look, **choices)
        ((width, height),) = sizes(pdf)
        assert (width, height) == pytest.approx(SIZES[look.paper], abs=0.5)
        assert bool(coloured(pdf)) == (not look.grey)
        assert fonts(pdf) <= {"SourceSansPro"}
        for number, page in enumerate(pages(pdf, 1), 1):
            assert f"{number} / {count(pdf)}" in page
            assert "left-hand (Two swaps for the left hand); lettering greek; white up, green in front." in page
            assert f"--paper {look.paper}" in " ".join(page.split())


def test_large_print_is_large() -> None:
    """Large print is type of 16 points or more (UK Association for Accessible Formats; from memory)."""

    def heights(look: Look) -> list[float]:
        found: list[float] = []
        for page in PdfReader(io.BytesIO(handout("leaflet", subject(), look))).pages:
            page.extract_text(
                visitor_text=lambda part, _, matrix, font, points: found.extend([abs(matrix[3]) * points] * len(part))
            )
        return sorted(found)

    normal, large = heights(Look()), heights(Look(large=True))
    assert large[len(large) // 2] >= 16 > 12 > normal[len(normal) // 2]


@each_handout
def test_the_same_data_give_the_same_bytes(kind: str, choices: dict[str, Any]) -> None:
    assert handout(kind, subject(), Look(), **choices) == handout(kind, subject(), Look(), **choices)


@each_handout
def test_a_handout_knows_its_title_and_what_it_is(kind: str, choices: dict[str, Any]) -> None:
    pdf = handout(kind, subject(), Look(), **choices)
    told = PdfReader(io.BytesIO(pdf)).metadata
    assert told is not None and told.title and told.get("/Keywords") == MARK
    assert MARK.encode() in pdf  # so that it is found without reading PDF


@each_handout
def test_a_screen_reader_can_read_it(kind: str, choices: dict[str, Any]) -> None:
    """PDF/UA-1 (ISO 14289-1): the file says that it is tagged, in which language it is, and what pictures show."""
    catalogue: Any = PdfReader(io.BytesIO(handout(kind, subject(), Look(), **choices))).root_object
    assert catalogue["/MarkInfo"]["/Marked"]
    assert catalogue["/Lang"] == "en"
    met, figures = [catalogue["/StructTreeRoot"]], list[str]()
    while met:
        thing = met.pop().get_object()
        if isinstance(thing, list):
            met += thing
        elif isinstance(thing, dict) and "/K" in thing:
            met.append(thing["/K"])
            figures += [str(thing.get("/Alt", ""))] * (thing.get("/S") == "/Figure")
    assert all(figures) and bool(figures) == (choices.get("pocket") is not True)


def test_other_scripts_are_set_in_fonts_that_come_along() -> None:
    plain = subject()
    signs = "אבגדהוזחטיכלמנסעפצקרשתםן"
    swap = dict(zip("ABCDEFGHIJKLMNOPQRSTUVWX", signs, strict=True))
    symbols = {orbit: {at: swap[sign] for at, sign in known.items()} for orbit, known in plain.letters.symbols.items()}
    other = dataclasses.replace(plain, letters=Lettering("עברית", 3, symbols))
    pdf = handout("setups", other)
    assert fonts(pdf) == {"SourceSansPro", "LibertinusSerif"}
    targets = {other.letters.symbol(way.orbit, target) for way in other.method.ways for target in way.targets}
    assert targets <= set(text(pdf))


def test_what_cannot_be_printed_is_told() -> None:
    with pytest.raises(PaperError, match="“a5” is no paper that is known; known are a4 and letter"):
        Look("a5")  # type: ignore[arg-type]
    with pytest.raises(PaperError, match="“poster” is no kind of handout; kinds are setups, "):
        handout("poster", subject())
    with pytest.raises(PaperError, match="“blank” is no choice for setups; choices are pocket"):
        handout("setups", subject(), blank=True)
    with pytest.raises(NightfoldError, match="opposite faces"):
        subject(hold="white,yellow")


def test_setup_pages_take_less_than_a_second() -> None:
    handout("setups", subject())  # the fonts are read once
    begun = time.perf_counter()
    handout("setups", subject("j-and-y", "greek"), Look("letter", large=True))
    assert time.perf_counter() - begun < 1
