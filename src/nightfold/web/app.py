"""The application: every route under ``/api``, the browser app under everything else."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic.json_schema import models_json_schema
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.routing import Match

from nightfold import __version__
from nightfold.cube.errors import NightfoldError
from nightfold.practice.errors import StoringError
from nightfold.web import (
    about,
    attempts,
    deal,
    diagnose,
    drills,
    find,
    handouts,
    inquest,
    letterings,
    logbook,
    look,
    mark,
    methods,
    odds,
    plan,
    settings,
    words,
)
from nightfold.web import turns as turns_route
from nightfold.web.guard import UNEXPECTED
from nightfold.web.models import ErrorOut
from nightfold.web.pages import page

ROUTERS = (
    about.router,
    plan.router,
    diagnose.router,
    look.router,
    turns_route.router,
    deal.router,
    odds.router,
    mark.router,
    inquest.router,
    find.router,
    methods.router,
    letterings.router,
    settings.router,
    attempts.router,
    logbook.router,
    drills.router,
    words.router,
    handouts.router,
)
#: What every route may answer besides, each with one sentence.
_ERRORS: dict[int | str, dict[str, Any]] = {
    400: {"model": ErrorOut, "description": "The body is not JSON."},
    401: {"model": ErrorOut, "description": "The passphrase was not entered yet."},
    403: {"model": ErrorOut, "description": "Asked by a page of another origin, or under another name."},
    404: {"model": ErrorOut, "description": "There is no method, lettering or record of this name."},
    408: {"model": ErrorOut, "description": "The body did not arrive in time."},
    409: {"model": ErrorOut, "description": "The name belongs to a method or lettering that comes along."},
    413: {"model": ErrorOut, "description": "The body is too large."},
    415: {"model": ErrorOut, "description": "The body is not sent as JSON."},
    422: {"model": ErrorOut, "description": "What was given cannot be used."},
    503: {"model": ErrorOut, "description": "Too slow, or too much at once."},
    507: {"model": ErrorOut, "description": "What was to be kept cannot be written."},
}


class _App(FastAPI):
    """Describes the data of the searches' events too, which OpenAPI has no place for."""

    def openapi(self) -> dict[str, Any]:
        """The OpenAPI description."""
        if self.openapi_schema is None:
            found = super().openapi()
            _, events = models_json_schema(
                [(model, "serialization") for model in (*find.EVENTS, *inquest.EVENTS)],
                ref_template="#/components/schemas/{model}",
            )
            for name, schema in events["$defs"].items():
                found["components"]["schemas"].setdefault(name, schema)
        return self.openapi_schema or found


def create_app() -> FastAPI:
    """The application without its guard."""
    app = _App(
        title="Nightfold",
        version=__version__,
        summary="From a scrambled cube to a verified, explained plan for solving it blindfolded.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        generate_unique_id_function=lambda route: route.name,
    )
    for router in ROUTERS:
        app.include_router(router, prefix="/api", responses=_ERRORS)
    app.add_route("/api/{address:path}", _no_such_route, include_in_schema=False)
    app.add_route("/{address:path}", page, methods=["GET"], include_in_schema=False)
    app.add_exception_handler(NightfoldError, _refuse)
    app.add_exception_handler(RequestValidationError, _misread)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _unexpected)
    return app


async def _no_such_route(request: Request) -> JSONResponse:
    if any(route.matches(request.scope)[0] == Match.PARTIAL for route in request.app.routes):
        return _told(405, f"{request.url.path[:80]} does not know {request.method}; see /api/openapi.json")
    return _told(404, f"there is nothing at {request.url.path[:80]}; see /api/openapi.json")


def _told(status: int, sentence: str) -> JSONResponse:
    """An answer of one sentence."""
    return JSONResponse({"error": sentence.encode("utf-8", "backslashreplace").decode()}, status)


async def _refuse(_: Request, trouble: Exception) -> JSONResponse:
    usual = 507 if isinstance(trouble, StoringError) else 422
    return _told(getattr(trouble, "status", usual), str(trouble))


async def _misread(_: Request, trouble: Exception) -> JSONResponse:
    """One sentence for the first thing that is wrong with the form of a request."""
    assert isinstance(trouble, RequestValidationError)
    first = trouble.errors()[0]
    where = ".".join(str(part) for part in first["loc"] if part not in ("body", "path", "query"))
    said = str(first["msg"])
    if first["type"] == "json_invalid":
        return _told(400, f"the body is not JSON: {first.get('ctx', {}).get('error', said)}")
    if first["type"] == "extra_forbidden":
        said = "this is not known here; /api/openapi.json tells what is"
    elif first["type"] == "missing":
        said = "this is missing"
    elif first["type"] == "value_error":
        said = said.removeprefix("Value error, ")
    said = said[:1].lower() + said[1:]
    more = len(trouble.errors()) - 1
    note = f"; {more} more thing{'s are' if more > 1 else ' is'} wrong besides" if more else ""
    return _told(422, f"{where[:80] or 'the body'}: {said}{note}")


async def _http(_: Request, trouble: Exception) -> JSONResponse:
    assert isinstance(trouble, HTTPException)
    said = {405: "this address does not know this method", 400: "the body cannot be read as JSON"}
    return _told(trouble.status_code, said.get(trouble.status_code, str(trouble.detail)))


async def _unexpected(_: Request, __: Exception) -> JSONResponse:
    return _told(500, UNEXPECTED)
