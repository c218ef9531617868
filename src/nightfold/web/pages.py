"""The built browser app: its files, and its one page for every address that is not a file."""

from __future__ import annotations

import hashlib
import mimetypes
from functools import lru_cache
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response

#: The folder of files whose names change with their content.
HASHED = "assets/"
MISSING = (
    "The browser app has not been built yet: install Node 20.19 or newer, run `pip install .` in the checkout again, "
    "then start `nightfold app` again."
)
_KINDS = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".woff2": "font/woff2"}


def built_folder() -> Path | None:
    """Where the built app is, None if it was not built: beside the compiled core, or beside this file."""
    from nightfold.search import _native

    compiled = Path(_native.__file__).resolve().parent.parent / "web" / "static"
    return next((at for at in (compiled, Path(__file__).parent / "static") if (at / "index.html").is_file()), None)


@lru_cache(maxsize=4)
def _files(folder: Path, _stamp: int) -> dict[str, Path]:
    """Every file of the built app by its address; only these are ever read."""
    return {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}


async def page(request: Request) -> Response:
    """A file of the app; ``index.html`` for every other address, which the app itself makes sense of."""
    folder = built_folder()
    if folder is None:
        return PlainTextResponse(MISSING + "\n", 503)
    index = folder / "index.html"
    address = request.path_params["address"]
    files = _files(folder, index.stat().st_mtime_ns)
    path = files.get(address)
    if path is None:
        if "." in address.rpartition("/")[2]:
            return PlainTextResponse(f"there is no file /{address[:80]}\n", 404)
        path = index
    kind = _KINDS.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    if address.startswith(HASHED) and path is not index:
        return FileResponse(path, media_type=kind, headers={"cache-control": "public, max-age=31536000, immutable"})
    data = path.read_bytes()
    tag = f'"{hashlib.sha256(data).hexdigest()[:32]}"'
    headers = {"cache-control": "no-cache", "etag": tag}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return Response(data, media_type=kind, headers=headers)
