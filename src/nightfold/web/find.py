"""``POST /api/find``: search for algorithms, with progress as it goes; closing the connection stops the search."""

from __future__ import annotations

import asyncio
import json
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field
from starlette.responses import Response

from nightfold.blind.method import Method
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import compose, inverse
from nightfold.cube.state import Cube
from nightfold.web import library
from nightfold.web.errors import WebError
from nightfold.web.guard import UNEXPECTED, log
from nightfold.web.models import Answer, Asked
from nightfold.web.work import SEARCHES, Task

if TYPE_CHECKING:
    from starlette.types import Receive, Scope, Send

router = APIRouter(tags=["search"])

#: Seconds that a search may take at most.
LIMIT = 600.0
#: Seconds without news after which a line is sent that says nothing, to notice clients that have gone.
QUIET = 5.0


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

_STREAM = {
    200: {
        "description": (
            "Events: `progress` (FindProgress) as the search goes on, then `done` (FindDone) or `error` (ErrorOut). "
            "Closing the connection stops the search."
        ),
        "content": {
            "text/event-stream": {
                "schema": {
                    "type": "object",
                    "required": ["event", "data"],
                    "properties": {
                        "event": {"enum": ["progress", "done", "error"]},
                        "data": {"type": "string", "contentMediaType": "application/json"},
                    },
                }
            }
        },
    }
}


@router.post("/find", response_class=Response, responses=_STREAM)  # type: ignore[arg-type]
async def find(asked: FindIn) -> Response:
    """All shortest sequences with a wanted effect, the easiest for the hands first, as a stream of events."""
    return _Stream(asked)


def _wanted(asked: FindIn) -> Cube:
    """The effect asked for, by whichever of the three ways."""
    if sum(given is not None for given in (asked.want, asked.like, asked.parity)) != 1:
        raise WebError("say what to find in one way: want (stickers), like (an algorithm) or parity (a method)")
    if asked.like is not None:
        return Cube.from_turns(asked.like)
    if asked.parity is not None:
        method: Method = library.method(asked.parity)
        first, second = method.ways
        return Cube(3, inverse(compose(first.leftover, second.leftover)))
    from nightfold.search.effects import parse_effect

    return parse_effect(asked.want or "")


class _Stream(Response):
    """Searches in a thread, sends what is told on the way, and stops the search when nobody listens any more."""

    media_type = "text/event-stream"

    def __init__(self, asked: FindIn) -> None:
        super().__init__()
        self.asked = asked

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        loop = asyncio.get_running_loop()
        news: asyncio.Queue[tuple[str, dict[str, Any]]] = asyncio.Queue()

        def tell(event: str, data: dict[str, Any]) -> None:
            with suppress(RuntimeError):  # the loop has ended, and with it everyone who listens
                loop.call_soon_threadsafe(news.put_nowait, (event, data))

        def work(task: Task) -> None:
            try:
                tell("done", _find(self.asked, task, tell))
            except NightfoldError as trouble:
                tell("error", {"error": str(trouble)})
            except Exception as trouble:
                log.error("finding failed: %s: %.300s", type(trouble).__name__, trouble)
                tell("error", {"error": UNEXPECTED})

        task, _ = SEARCHES.begin(work)
        gone = asyncio.ensure_future(_gone(receive))
        until = loop.time() + LIMIT
        try:
            head = [(b"content-type", b"text/event-stream; charset=utf-8"), (b"x-accel-buffering", b"no")]
            await send({"type": "http.response.start", "status": 200, "headers": head})
            event = ""
            while event not in ("done", "error"):
                waiting = asyncio.ensure_future(news.get())
                both: set[asyncio.Future[Any]] = {waiting, gone}
                await asyncio.wait(both, timeout=QUIET, return_when=asyncio.FIRST_COMPLETED)
                if gone.done():
                    waiting.cancel()
                    return
                if waiting.done():
                    event, data = waiting.result()
                    text = f"event: {event}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n"
                else:
                    waiting.cancel()
                    text = ": still searching\n\n"
                if event not in ("done", "error") and (task.stopped or loop.time() > until):
                    event = "error"
                    said = "the search was stopped; ask for fewer turns or a shorter longest length"
                    text = f"event: error\ndata: {json.dumps({'error': said})}\n\n"
                await send({"type": "http.response.body", "body": text.encode(), "more_body": True})
            await send({"type": "http.response.body", "body": b""})
        except OSError:  # the connection broke while something was sent
            pass
        finally:
            task.stop()
            gone.cancel()


async def _gone(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass


def _find(asked: FindIn, task: Task, tell: Any) -> dict[str, Any]:
    from nightfold.search.finding import find as search
    from nightfold.search.finding import with_form

    def progress(length: int, walked: int) -> bool:
        tell("progress", FindProgress(length=length, walked=walked).model_dump())
        return task.go_on()

    found = search(
        _wanted(asked),
        asked.turns,
        longest=asked.longest,
        extra=asked.extra,
        any_pieces=asked.any.split(),
        progress=progress,
    )
    task.check()
    shown = []
    for one in found.algorithms[: asked.count]:
        task.check()
        made = with_form(one)
        form = str(made.form) if made.form else None
        shown.append(FoundOut(algorithm=str(made), form=form, cost=made.cost, obtm=made.obtm, stm=made.stm))
    return FindDone(
        turns=asked.turns,
        shortest=found.shortest,
        proven=found.proven,
        found=len(found.algorithms),
        memory_bound=found.memory_bound,
        cut=found.cut,
        algorithms=shown,
    ).model_dump()
