"""``POST /api/find``: search for algorithms, with progress as it goes; closing the connection stops the search."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import BaseModel, Field
from starlette.responses import Response

from nightfold.web import library
from nightfold.web.events import Stream, Tell, described
from nightfold.web.models import Answer, Asked
from nightfold.web.work import Task

router = APIRouter(tags=["search"])

#: Seconds that a search may take at most.
LIMIT = 600.0


class FindIn(Asked):
    """What to find; exactly one of ``want``, ``like`` and ``parity``."""

    want: str | None = Field(
        None, description="Cycles of stickers: UF UR DB sends UF to UR, UR to DB, DB to UF.", examples=["UF UR DB"]
    )
    like: str | None = Field(None, description="The same effect as this algorithm's.")
    parity: str | None = Field(None, description="What two odd orbits leave behind in the method of this name.")
    turns: str = Field("U D L R F B", description="Which turns to use.", examples=["R U M"])
    longest: int | None = Field(None, ge=0, le=20, description="Search no further; null: as far as some seconds allow.")
    extra: int = Field(0, ge=0, le=6, description="Also those up to so many turns longer than the shortest.")
    any: str = Field("", description="Pieces or orbits that may go anywhere.", examples=["corners", "UFL UBL"])
    count: int = Field(10, ge=1, le=500, description="How many are given, the easiest first.")


class FindProgress(Answer):
    """The data of an event ``progress``."""

    length: int = Field(description="The length that is being searched.")
    walked: int = Field(description="How many sequences were walked so far.")


class FoundOut(Answer):
    """One algorithm."""

    algorithm: str
    form: str | None = Field(description="Written as commutators and conjugates; null where it is none.")
    cost: float = Field(description="What it costs the hands; less is easier.")
    obtm: int
    stm: int


class FindDone(Answer):
    """The data of the event ``done``, the last one."""

    turns: str
    shortest: int | None = Field(description="No shorter one exists; null if none was found.")
    proven: int = Field(description="Every sequence of up to so many turns was tried.")
    found: int = Field(description="How many were found.")
    memory_bound: bool
    cut: bool = Field(description="Whether there are more than could be kept.")
    algorithms: list[FoundOut]


#: Bodies of events, which OpenAPI has no other place for.
EVENTS: tuple[type[BaseModel], ...] = (FindProgress, FindDone)


@router.post("/find", response_class=Response, responses={200: described(FindProgress, FindDone)})
async def find(asked: FindIn) -> Response:
    """All shortest sequences with a wanted effect, the easiest for the hands first, as a stream of events."""
    too_long = "the search was stopped; ask for fewer turns or a shorter longest length"
    return Stream(lambda task, tell: _find(asked, task, tell), LIMIT, too_long)


def _find(asked: FindIn, task: Task, tell: Tell) -> FindDone:
    from nightfold.blind.wanted import wanted_effect
    from nightfold.search.finding import find as search

    def progress(length: int, walked: int) -> bool:
        tell(FindProgress(length=length, walked=walked))
        return task.go_on()

    found = search(
        wanted_effect(asked.want, asked.like, None if asked.parity is None else library.method(asked.parity)),
        asked.turns,
        longest=asked.longest,
        extra=asked.extra,
        any_pieces=asked.any.split(),
        progress=progress,
    )
    shown = []
    for one in found.best(asked.count):
        task.check()
        shown.append(one)
    return FindDone.model_validate(found.to_dict(shown))
