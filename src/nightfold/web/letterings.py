"""``/api/letterings``: which letter stands for which sticker; check, keep and remove letterings of your own."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from nightfold.blind.errors import LetteringError
from nightfold.blind.lettering import Lettering
from nightfold.web import library
from nightfold.web.methods import ProblemsOut, RemovedOut, SourceIn
from nightfold.web.models import Answer
from nightfold.web.work import quick

router = APIRouter(prefix="/letterings", tags=["letterings"])

SizeQuery = Annotated[int, Query(ge=2, le=7, description="How many layers the cube has.")]


class LetteringOut(Answer):
    """A lettering for one size."""

    name: str
    own: bool = Field(description="Whether it is one of your own.")
    size: int
    symbols: dict[str, dict[str, str]] = Field(description="For each orbit the symbol of each sticker by its name.")
    source: str = Field(description="The file's text, in TOML.")


@router.post("/check")
async def check_lettering(asked: SourceIn, size: SizeQuery = 3) -> LetteringOut | ProblemsOut:
    """What a lettering would be, or why it cannot be used.  Nothing is kept."""
    return await quick(lambda: _checked(asked.source, size))


@router.get("/{name}")
async def get_lettering(name: str, size: SizeQuery = 3) -> LetteringOut:
    """Which letter stands for which sticker."""

    def work() -> LetteringOut:
        return _out(library.lettering(name, size), library.source(library.LETTERINGS, name), name)

    return await quick(work)


@router.put("/{name}")
async def put_lettering(name: str, asked: SourceIn) -> LetteringOut:
    """Keep a lettering of your own, if it can be used; one of the same name is replaced."""
    return await quick(lambda: _put(name, asked.source))


@router.delete("/{name}")
async def delete_lettering(name: str) -> RemovedOut:
    """Set one of your own letterings aside."""

    def work() -> RemovedOut:
        library.remove(library.LETTERINGS, name)
        return RemovedOut(removed=name)

    return await quick(work)


def _checked(source: str, size: int) -> LetteringOut | ProblemsOut:
    try:
        return _out(library.lettering_of(source, "lettering", size), source, "lettering", own=False)
    except LetteringError as trouble:
        return ProblemsOut(problems=[str(trouble)])


def _put(name: str, source: str) -> LetteringOut:
    library.check_name(library.LETTERINGS, name)
    made = _out(library.lettering_of(source, name), source, name, own=True)
    library.save(library.LETTERINGS, name, source)
    return made


def _out(chosen: Lettering, source: str, name: str, own: bool | None = None) -> LetteringOut:
    own = library.is_own(library.LETTERINGS, name) if own is None else own
    return LetteringOut.model_validate(chosen.to_dict() | {"own": own, "source": source})
