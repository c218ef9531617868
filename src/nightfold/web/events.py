"""Answers that come as a stream of events: news while long work goes on, and its result; closing it ends the work."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel
from starlette.responses import Response

from nightfold.cube.errors import NightfoldError
from nightfold.web.guard import UNEXPECTED, log
from nightfold.web.work import SEARCHES, Task, gone

if TYPE_CHECKING:
    from starlette.types import Receive, Scope, Send

#: Seconds without news after which a line is sent that says nothing, to notice clients that have gone.
QUIET = 5.0
KIND = "text/event-stream"

#: Sends news while the work goes on.
Tell = Callable[[BaseModel], None]


def described(progress: type[BaseModel], done: type[BaseModel]) -> dict[str, Any]:
    """How OpenAPI is to describe such an answer; the models of the data stand in the description's ``schemas``."""
    return {
        "description": (
            f"Events: `progress` ({progress.__name__}) as the search goes on, then `done` ({done.__name__}) or `error` "
            "(ErrorOut). Closing the connection stops the search."
        ),
        "content": {
            KIND: {
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


class Stream(Response):
    """Does ``work`` in a thread, sends what it tells and what it returns, and stops it when nobody listens any more.

    ``limit`` are the seconds it may take at most, and ``too_long`` is the sentence when it took longer.
    """

    media_type = KIND

    def __init__(self, work: Callable[[Task, Tell], BaseModel], limit: float, too_long: str) -> None:
        super().__init__()
        self.work = work
        self.limit = limit
        self.too_long = too_long

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        loop = asyncio.get_running_loop()
        news: asyncio.Queue[tuple[str, str]] = asyncio.Queue()

        def put(event: str, data: str) -> None:
            with suppress(RuntimeError):  # the loop has ended, and with it everyone who listens
                loop.call_soon_threadsafe(news.put_nowait, (event, data))

        def work(task: Task) -> None:
            try:
                done = self.work(task, lambda told: put("progress", told.model_dump_json()))
                put("done", done.model_dump_json(by_alias=True))
            except NightfoldError as trouble:
                put("error", _said(str(trouble)))
            except Exception as trouble:
                log.error("%s failed: %s: %.300s", scope["path"], type(trouble).__name__, trouble)
                put("error", _said(UNEXPECTED))

        task, _ = SEARCHES.begin(work)
        left = asyncio.ensure_future(gone(receive))
        until = loop.time() + self.limit
        try:
            head = [(b"content-type", f"{KIND}; charset=utf-8".encode()), (b"x-accel-buffering", b"no")]
            await send({"type": "http.response.start", "status": 200, "headers": head})
            event = ""
            while event not in ("done", "error"):
                waiting = asyncio.ensure_future(news.get())
                both: set[asyncio.Future[Any]] = {waiting, left}
                await asyncio.wait(both, timeout=QUIET, return_when=asyncio.FIRST_COMPLETED)
                if left.done():
                    waiting.cancel()
                    return
                if waiting.done():
                    event, data = waiting.result()
                    text = f"event: {event}\ndata: {data}\n\n"
                else:
                    waiting.cancel()
                    text = ": still searching\n\n"
                if event not in ("done", "error") and (task.stopped or loop.time() > until):
                    event = "error"
                    text = f"event: error\ndata: {_said(self.too_long)}\n\n"
                await send({"type": "http.response.body", "body": text.encode(), "more_body": True})
            await send({"type": "http.response.body", "body": b""})
        except OSError:  # the connection broke while something was sent
            pass
        finally:
            task.stop()
            left.cancel()


def _said(sentence: str) -> str:
    """The data of an ``error``; half a character, which no text can hold, is written out."""
    return json.dumps({"error": sentence.encode("utf-8", "backslashreplace").decode()}, ensure_ascii=False)
