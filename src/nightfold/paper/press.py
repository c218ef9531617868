"""The press: a page's template and its data become a PDF.

The templates, ``pages/*.typ``, are fixed.  All that varies comes to them as one JSON value, whose texts are set as they
stand: whatever a name or a word holds, it is never read as markup.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

from nightfold.cube.errors import NightfoldError
from nightfold.paper.watched import tell

if TYPE_CHECKING:
    import typst

Paper = Literal["a4", "letter"]
#: What each paper is called where the templates are set.
_PAPERS: Mapping[Paper, str] = {"a4": "a4", "letter": "us-letter"}
#: What tells a handout from other PDFs: one of its keywords.
MARK = "Nightfold handout"
#: Words longer than the first may be broken after every few signs, so that they stay in their column; words and texts
#: longer than the others are cut short.
_BROKEN_WORD, _BROKEN_PART, _LONGEST_WORD, _LONGEST_TEXT = 28, 8, 120, 2000
_PAGES = Path(__file__).with_name("pages")
#: Marks that turn round the writing direction of all that follows, and so would spill out of the text they stand in.
_TURNING = re.compile("[\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]")
_BROKEN = re.compile(rf"\S{{{_BROKEN_WORD + 1},}}")
_PART = re.compile(rf"\S{{{_BROKEN_PART}}}(?=\S)")
_LONGER = re.compile(rf"(\S{{{_LONGEST_WORD}}})\S+")
#: What the fonts that come along can show: Latin, Greek, Cyrillic, Hebrew, Arabic, and the usual signs.
OWN_SIGNS = re.compile("[\\s!-\u06ff\u1e00-\u20cf\u2100-\u22ff]*")


class PaperError(NightfoldError):
    """What cannot be printed, in one sentence."""


@dataclass(frozen=True, slots=True)
class Look:
    """How pages are set: the paper, in grey with hatchings instead of colours, in large print."""

    paper: Paper = "a4"
    grey: bool = False
    large: bool = False

    def __post_init__(self) -> None:
        if self.paper not in _PAPERS:
            raise PaperError(f"“{self.paper[:24]}” is no paper that is known; known are {' and '.join(_PAPERS)}")


#: Colour on A4, in normal print.
PLAIN = Look()


def press(page: str, data: Mapping[str, Any], look: Look = PLAIN) -> bytes:
    """The PDF of the template ``page``, set with ``data``.

    ``data`` is made of what JSON has: texts, numbers, lists and mappings by name.  Every template takes ``title`` and
    ``notes``, the lines at the foot of each page; ``pictures`` are SVG documents by name.  The same data give the same
    bytes.  It is tagged for screen readers (PDF/UA-1, ISO 14289-1).
    """
    import typst

    tell("setting the pages")
    pictures = data.get("pictures", {})
    sheet = printable({key: value for key, value in data.items() if key != "pictures"})
    sheet["mark"], sheet["pictures"] = MARK, dict(pictures)
    sheet["look"] = {"paper": _PAPERS[look.paper], "grey": look.grey, "large": look.large}
    text = json.dumps(sheet, ensure_ascii=False)
    compiled = partial(
        typst.compile,
        str(_PAGES / f"{page}.typ"),
        root=str(_PAGES),
        font_paths=fonts(OWN_SIGNS.fullmatch(text) is None),
        ignore_system_fonts=True,
        sys_inputs={"sheet": text},
        format="pdf",
        timestamp=0,
    )
    try:
        made = compiled(pdf_standards="ua-1")
    except typst.TypstError:
        # Signs that no font has may not stand in PDF/UA; such pages are printed all the same.
        made = compiled()
    return cast(bytes, made)


@cache
def fonts(others: bool) -> typst.Fonts:
    """The fonts that come along; with ``others`` also this machine's, for scripts that ours cannot show."""
    from importlib.resources import files

    import typst

    ours = files("font_source_sans_pro") / "files"
    return typst.Fonts(include_system_fonts=others, include_embedded_fonts=True, font_paths=[str(ours)])


def printable(value: Any) -> Any:
    """``value`` with all its texts fit for paper.

    Control characters become U+FFFD, marks that turn the writing direction go, words too long for a line may be
    broken, and what is longer than anything a handout needs is cut short.
    """
    if isinstance(value, str):
        return _printable(value)
    if isinstance(value, Mapping):
        return {str(key): printable(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [printable(part) for part in value]
    return value


def _printable(text: str) -> str:
    text = brief(_LONGER.sub(r"\1…", _TURNING.sub("", text)), _LONGEST_TEXT)
    shown = "".join(
        " " if char in "\t\n\r" else "\ufffd" if unicodedata.category(char) in ("Cc", "Cs", "Cn") else char
        for char in text
    )
    return _BROKEN.sub(lambda word: _PART.sub(lambda part: part[0] + "\u200b", word[0]), shown)


def brief(text: str, most: int) -> str:
    """``text``, cut short after ``most`` characters."""
    return text if len(text) <= most else text[:most] + "…"
