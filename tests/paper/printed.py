"""What stands on printed pages, read back from the PDF."""

from __future__ import annotations

import io
import re
from contextlib import closing
from importlib import import_module
from typing import Any, cast

from pypdf import PdfReader
from pypdf.generic import StreamObject

pypdfium2: Any = import_module("pypdfium2")  # which has no types

#: Width and height in points: ISO 216 (A4, 210 by 297 mm) and ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches).
SIZES = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (8.5 * 72, 11 * 72)}
#: Names and words that try to be something else: markup and code, very long, from right to left, pictures, marks that
#: turn the writing direction, and lines of their own.
HOSTILE = (
    '#panic("out") $x$ *b* _i_ `r` = h @l <l> \\ // c /* d */ [e] {f} ~ -- "q" \'p\'',
    "</text></svg><script>alert(1)</script>&amp;&lt;",
    "M" * 700,
    "שלום עולם مرحبا \u202eback \u2066in\u2069 \u200fto front",
    "🧊🙈 👩‍🏫 字 한 ไ ख ✓ ① one\ntwo\tthree\r",
)


def pages(pdf: bytes, most: int = 99) -> list[str]:
    """The text of each page, or of the first so many."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        shown = [document[number] for number in range(min(most, len(document)))]
        return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in shown]


def lines(pdf: bytes, most: int = 99) -> list[str]:
    """The same line by line as it was set, which takes many times as long."""
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages[:most]]


def count(pdf: bytes) -> int:
    """How many pages there are."""
    return len(PdfReader(io.BytesIO(pdf)).pages)


def text(pdf: bytes) -> str:
    """The text of all pages with single spaces, as if on one line."""
    return " ".join(" ".join(pages(pdf)).split())


def sizes(pdf: bytes) -> set[tuple[float, float]]:
    """The sizes of the pages in points."""
    return {(float(page.mediabox.width), float(page.mediabox.height)) for page in PdfReader(io.BytesIO(pdf)).pages}


def coloured(pdf: bytes) -> set[tuple[float, ...]]:
    """Every paint with a tint, red, green and blue not alike, that the pages and the pictures on them use."""
    found = set()
    for stream in _streams(pdf):
        for match in re.finditer(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:scn|SCN|sc|SC|rg|RG)\b", stream):
            paint = tuple(float(part) for part in match.groups())
            if max(paint) - min(paint) > 0.004:
                found.add(paint)
    return found


def fonts(pdf: bytes) -> set[str]:
    """The families of the fonts in the file, without the style."""
    return {name.decode() for name in re.findall(rb"/BaseFont ?/[A-Z]{6}\+([A-Za-z]+)", pdf)}


def _streams(pdf: bytes) -> list[bytes]:
    reader = PdfReader(io.BytesIO(pdf))
    things = [reader.get_object(number) for number in range(1, cast(int, reader.trailer["/Size"]))]
    return [
        thing.get_data()
        for thing in things
        if isinstance(thing, StreamObject)
        and "/FunctionType" not in thing
        and thing.get("/Type") in (None, "/XObject", "/Pattern")
    ]
