"""Work in threads: the event loop stays free, at most a few searches run at once, and nobody's work goes on for nobody.

The native core releases the interpreter while it computes.  Long work is told to stop through its ``Task`` when the
client has gone, when it takes too long, or when the server ends.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING, Any, TypeVar

from starlette.requests import Request

from nightfold.web.errors import BusyError, StoppedError, TooSlowError

if TYPE_CHECKING:
    from starlette.types import Receive

_Result = TypeVar("_Result")


#: Seconds that an answer is waited for: one that is quick as a rule, and one that is searched for.
QUICK_LIMIT, SEARCH_LIMIT = 10.0, 60.0


class Task:
    """A piece of long work; whoever does it asks now and then whether to go on."""

    def __init__(self) -> None:
        self._stop = threading.Event()

    def stop(self) -> None:
        """Ask the work to end."""
        self._stop.set()

    @property
    def stopped(self) -> bool:
        """Whether the work was asked to end."""
        return self._stop.is_set()

    def go_on(self, *_: object) -> bool:
        """A progress callback for the functions that stop when it returns False."""
        return not self._stop.is_set()

    def check(self, *_: object) -> bool:
        """A progress callback for the functions that are stopped by an exception.  Raises StoppedError."""
        if self._stop.is_set():
            raise StoppedError("the work was stopped, since nobody waits for it any more")
        return True


class Bench:
    """Some threads for one sort of work: ``places`` pieces of it are done at once, ``waiting`` more may queue."""

    def __init__(self, name: str, places: int, waiting: int) -> None:
        self.name = name
        self.places = places
        self.waiting = waiting
        self.tasks: set[Task] = set()
        self._pool: ThreadPoolExecutor | None = None

    @property
    def pool(self) -> ThreadPoolExecutor:
        """The threads, which are there from the first use on."""
        if self._pool is None:
            self._pool = ThreadPoolExecutor(self.places, thread_name_prefix=f"nightfold-{self.name}")
        return self._pool

    def begin(self, function: Callable[[Task], _Result]) -> tuple[Task, Future[_Result]]:
        """Begin a piece of work.  Raises BusyError when too much is waiting already."""
        if len(self.tasks) >= self.places + self.waiting:
            raise BusyError("too much is being computed already; wait until something is done, then ask again")
        task = Task()
        self.tasks.add(task)

        def run() -> _Result:
            task.check()
            return function(task)

        future = self.pool.submit(run)
        future.add_done_callback(lambda _: self.tasks.discard(task))
        return task, future


#: What is answered in milliseconds; what takes part of a second as a rule; what may take minutes.
QUICK, ANSWERS, SEARCHES = Bench("quick", 4, 60), Bench("answer", 2, 20), Bench("search", 2, 6)


def stop_all() -> None:
    """Ask all work that takes long to end, because the server does; what is quick is still answered."""
    for bench in (ANSWERS, SEARCHES):
        for task in tuple(bench.tasks):
            task.stop()


async def quick(function: Callable[[], _Result]) -> _Result:
    """What ``function`` returns, called in a thread.

    Raises BusyError, TooSlowError after some seconds, and whatever ``function`` raises.
    """
    _, begun = QUICK.begin(lambda _: function())
    future = asyncio.wrap_future(begun)
    await asyncio.wait({future}, timeout=QUICK_LIMIT)
    if not future.done():
        future.add_done_callback(_forget)
        raise TooSlowError(f"this takes longer than {QUICK_LIMIT:.0f} seconds; ask for something smaller")
    return await future


async def search(
    request: Request, function: Callable[[Task], _Result], limit: float = SEARCH_LIMIT, bench: Bench = ANSWERS
) -> _Result:
    """What ``function`` returns, called in a thread, while the client waits for it.

    The work is stopped when the client goes away or ``limit`` seconds have passed.  Raises BusyError,
    TooSlowError, StoppedError, and whatever ``function`` raises.
    """
    task, begun = bench.begin(function)
    future = asyncio.wrap_future(begun)
    left = asyncio.ensure_future(gone(request.receive))
    both: set[asyncio.Future[Any]] = {future, left}
    try:
        await asyncio.wait(both, timeout=limit, return_when=asyncio.FIRST_COMPLETED)
        if future.done():
            return await future
        if left.done():
            raise StoppedError("the client has gone, so the work was stopped")
        raise TooSlowError(f"this takes longer than {limit:.0f} seconds; ask for something smaller")
    finally:
        left.cancel()
        if not future.done():
            task.stop()
            future.add_done_callback(_forget)


async def gone(receive: Receive) -> None:
    """Return when the client of a request whose body was read has closed its connection."""
    while (await receive())["type"] != "http.disconnect":
        pass


def _forget(future: asyncio.Future[_Result]) -> None:
    """Take note of how abandoned work ended, so that nothing is said about it."""
    if not future.cancelled():
        future.exception()
