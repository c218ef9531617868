"""The pages of a PDF as pictures, to look at before printing."""

from __future__ import annotations

import io
import threading
from contextlib import closing
from importlib import import_module
from typing import Any

from nightfold.paper.press import PaperError

#: The library that draws pages may be used by one thread at a time.
_DRAWING = threading.Lock()


def page_count(pdf: bytes) -> int:
    """How many pages a PDF has."""
    with _DRAWING, closing(_opened(pdf)) as document:
        return len(document)


def page_png(pdf: bytes, number: int, width: int) -> bytes:
    """Page ``number`` of a PDF, counted from 1, as a PNG that is ``width`` pixels wide.

    Raises PaperError for a page that there is not.
    """
    with _DRAWING, closing(_opened(pdf)) as document:
        if not 1 <= number <= len(document):
            raise PaperError(f"there is no page {number}; it has {len(document)}")
        with closing(document[number - 1]) as page, io.BytesIO() as file:
            page.render(scale=width / page.get_width()).to_pil().save(file, "PNG")
            return file.getvalue()


def _opened(pdf: bytes) -> Any:
    """The document of a library that has no types."""
    return import_module("pypdfium2").PdfDocument(pdf)
