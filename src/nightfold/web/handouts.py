"""``/api/handouts``: pages to print, looked at first."""

from __future__ import annotations

import hashlib
import io
import threading
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from pydantic import Field, StrictBool, StrictInt, StrictStr

from nightfold.web import library
from nightfold.web.errors import WebError
from nightfold.web.models import Answer, Asked, LetteringName, MethodName
from nightfold.web.work import Task, quick, search

if TYPE_CHECKING:
    from nightfold.paper.handouts import Choice, Kind
    from nightfold.paper.subject import Subject

router = APIRouter(tags=["handouts"])

#: So many handouts stay ready to be looked at and fetched.
_READY = 12
#: What browsers are told of a form.
_MEDIA = {
    ".pdf": "application/pdf",
    ".md": "text/markdown",
    ".html": "text/html",
    ".gif": "image/gif",
    ".apng": "image/apng",
}
_SEVERAL = "application/zip"
ChoiceValue = StrictBool | StrictInt | StrictStr | None


class NoHandoutError(WebError):
    """A kind of handout that there is not, or a handout that was not made or so long ago that others took its place."""

    status = 404


class ChoiceOut(Answer):
    """A choice that a kind of handout leaves."""

    name: str
    about: str
    kind: Literal["switch", "number", "text"]
    usual: ChoiceValue = Field(description="What is taken where nothing is chosen.")
    hint: str = Field(description="What stands for its value; empty for a switch.", examples=["A..B"])


class KindOut(Answer):
    """A kind of handout."""

    name: str
    about: str
    choices: list[ChoiceOut]
    forms: list[str] = Field(description="The endings of the files that it can be besides a PDF.", examples=[[".html"]])


class HandoutIn(Asked):
    """How a handout is to be."""

    method: MethodName = "two-swap"
    lettering: LetteringName = None
    hold: str | None = Field(None, max_length=40, description="The colours up and in front; the method's if null.")
    paper: Literal["a4", "letter"] = "a4"
    grey: bool = Field(False, description="Hatchings and letters instead of colours.")
    large: bool = Field(False, description="Large print.")
    form: str = Field(".pdf", max_length=10, description="The ending of the file: .pdf, or another form of the kind.")
    choices: dict[str, ChoiceValue] = Field(
        default_factory=dict, max_length=40, description="The kind's own choices by name."
    )


class HandoutOut(Answer):
    """A handout that lies ready."""

    made: str = Field(description="What it is fetched by.")
    pages: int = Field(description="How many pages it has; 0 for what is no PDF.")
    file: str = Field(description="A name for its file.")
    command: str = Field(description="The command that prints it again.")
    said: str = Field(description="What there is to tell of it, such as how it was made to fit; empty if nothing.")


@dataclass(frozen=True, slots=True)
class _Ready:
    data: bytes
    file: str
    media: str


_ready: dict[str, _Ready] = {}
_keeping = threading.Lock()


@router.get("/handouts")
async def handout_kinds() -> list[KindOut]:
    """Every kind of handout, with the choices it leaves."""
    return await quick(_kinds)


@router.post("/handouts/{kind}")
async def make_handout(kind: str, asked: HandoutIn, request: Request) -> HandoutOut:
    """Make a handout, which lies ready for a while."""

    def work(task: Task) -> HandoutOut:
        from nightfold.paper.watched import watched

        with watched(task.check):
            return _make(kind, asked)

    return await search(request, work)


_FILE = {"schema": {"type": "string", "format": "binary"}}


@router.get(
    "/handouts/made/{made}",
    response_class=Response,
    responses={200: {"content": dict.fromkeys((*_MEDIA.values(), _SEVERAL), _FILE)}},
)
async def fetch_handout(made: str) -> Response:
    """A handout that was made, as a file; more than one file come as a ZIP archive."""
    one = _made(made)
    plain = one.file if one.file.isascii() else f"nightfold{one.file[one.file.rindex('.') :]}"
    named = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(one.file, safe='')}"
    return Response(one.data, media_type=one.media, headers={"Content-Disposition": named})


@router.get(
    "/handouts/made/{made}/pages/{number}",
    response_class=Response,
    responses={200: {"content": {"image/png": {"schema": {"type": "string", "format": "binary"}}}}},
)
async def look_at_handout(
    made: str,
    number: int = Path(ge=1, le=10_000, description="The page, counted from 1."),
    width: int = Query(800, ge=50, le=2400, description="How many pixels wide it is drawn."),
) -> Response:
    """A page of a handout that was made, as a picture."""
    from nightfold.paper.preview import page_png

    one = _made(made)
    if one.media != _MEDIA[".pdf"]:
        raise NoHandoutError("this handout is no PDF, so it has no pages")
    drawn = await quick(lambda: page_png(one.data, number, width))
    # What a handout is fetched by stands for what is in it, so a page never changes.
    return Response(drawn, media_type="image/png", headers={"Cache-Control": "private, max-age=3600, immutable"})


def _kinds() -> list[KindOut]:
    from nightfold.paper.handouts import KINDS

    return [
        KindOut(
            name=kind.name,
            about=kind.about,
            choices=[
                ChoiceOut(
                    name=choice.name, about=choice.about, kind=_sort(choice), usual=choice.default, hint=choice.metavar
                )
                for choice in kind.choices
                if not choice.file
            ],
            forms=list(kind.forms),
        )
        for kind in KINDS.values()
    ]


def _sort(choice: Choice) -> Literal["switch", "number", "text"]:
    if choice.default is False:
        return "switch"
    return "text" if choice.default is None else "number"


def _make(name: str, asked: HandoutIn) -> HandoutOut:
    from nightfold.paper.handouts import KINDS, file_name, written
    from nightfold.paper.press import Look
    from nightfold.paper.preview import page_count

    if name not in KINDS:
        raise NoHandoutError(f"“{name[:40]}” is no kind of handout; kinds are {', '.join(KINDS)}")
    kind = KINDS[name]
    about, look = _subject(asked), Look(asked.paper, asked.grey, asked.large)
    chosen = _chosen(kind, asked.choices)
    if asked.form not in (".pdf", *kind.forms):
        raise WebError(f"form: “{asked.form}” cannot be had of {name}; give {' or '.join(('.pdf', *kind.forms))}")
    file = FilePath(file_name(name, about, look, **chosen)).with_suffix(asked.form)
    whole = written(name, about, file, look, **chosen)
    files = whole.files
    if len(files) > 1:
        data, named, media = _zipped(files), f"{file.stem}.zip", _SEVERAL
    else:
        data, named, media = next(iter(files.values())), file.name, _MEDIA[asked.form]
    made = hashlib.sha256(data).hexdigest()[:24]
    with _keeping:
        _ready.pop(made, None)
        _ready[made] = _Ready(data, named, media)
        while len(_ready) > _READY:
            del _ready[next(iter(_ready))]
    words = [word for choice in kind.choices for word in choice.words(chosen.get(choice.name, choice.default))]
    pages = page_count(data) if asked.form == ".pdf" else 0
    return HandoutOut(made=made, pages=pages, file=named, command=about.command(name, look, *words), said=whole.said)


def _zipped(files: Mapping[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _subject(asked: HandoutIn) -> Subject:
    """The subject by names alone: no path of a request leads to a file."""
    from nightfold.blind.hold import parse_hold
    from nightfold.paper.subject import Subject

    method = library.method(asked.method)
    letters = library.letters_for(method, asked.lettering)
    hold = method.hold if asked.hold is None else parse_hold(asked.hold)
    sources = (
        library.source_of(library.METHODS, asked.method),
        library.source_of(library.LETTERINGS, method.lettering if asked.lettering is None else asked.lettering),
    )
    made = Subject(method, letters, hold, sources)
    _ = made.scheme  # so that an impossible hold is told here
    return made


def _chosen(kind: Kind, choices: dict[str, Any]) -> dict[str, Any]:
    """The choices, each of its sort.  Raises WebError for others; names that there are not are told of later."""
    sorts: dict[str, tuple[type, ...]] = {"switch": (bool,), "number": (int,), "text": (str, type(None))}
    words = {"switch": "true or false", "number": "a whole number", "text": "a text or null"}
    for choice in kind.choices:
        if choice.name not in choices:
            continue
        if choice.file:
            raise WebError(f"choices, {choice.name}: files are named in the terminal alone")
        value, sort = choices[choice.name], _sort(choice)
        if not isinstance(value, sorts[sort]) or (sort == "number" and isinstance(value, bool)):
            raise WebError(f"choices, {choice.name}: {str(value)[:40]!r} cannot be used; give {words[sort]}")
    return choices


def _made(made: str) -> _Ready:
    with _keeping:
        found = _ready.get(made)
    if found is None:
        raise NoHandoutError("this handout is no longer ready; make it again")
    return found
