"""What stands between the network and the routes.

- Host and Origin must be this server's own, so that a page elsewhere can neither drive it nor, by giving its own name
  this machine's address, read from it; what is sent must be JSON, which such a page cannot send.
- Beyond this machine a passphrase is asked for, once a session.
- A body is read whole before anything else is done: at most so much, at most so long.
- Every answer carries headers that let a browser load nothing from elsewhere, and no error tells more than a sentence.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import ipaddress
import json
import logging
import secrets
import socket
import time
import traceback
from collections import deque
from collections.abc import Mapping
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

log = logging.getLogger("nightfold.web")

#: The most bytes of a body, and the seconds it may take to arrive.
BODY_LIMIT, BODY_SECONDS = 1_000_000, 10.0
#: Of a body that is too large so much more is taken and thrown away, so that the client hears why.
_THROWN_AWAY = 16_000_000
#: Requests that are answered at once.
MOST_REQUESTS = 64
#: Wrong passphrases in a minute: from one address, and from all of them.
WRONG_BY_ONE, WRONG_BY_ALL, MINUTE = 5, 30, 60.0

HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        b"font-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    # With no-referrer, browsers would say of the form for the passphrase that it comes from nowhere ("Origin: null").
    (b"referrer-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
_WRITES = ("POST", "PUT", "PATCH", "DELETE")


class Refused(Exception):  # noqa: N818 - it is an answer, not an error
    """A request that is answered here: a status, a sentence, and more headers."""

    def __init__(self, status: int, sentence: str, headers: tuple[tuple[bytes, bytes], ...] = ()) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence
        self.headers = headers


def is_loopback(host: str) -> bool:
    """Whether ``host`` is this machine itself, reached by nobody else."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


class Guard:
    """An ASGI application around another.  ``passphrase`` is None where none is asked for."""

    def __init__(self, app: ASGIApp, *, host: str, port: int, passphrase: str | None = None) -> None:
        self.app = app
        self.port = port
        self.open = not is_loopback(host)
        names = {"localhost", "127.0.0.1", "[::1]", f"[{host}]" if ":" in host else host.lower()}
        if self.open:
            own = socket.gethostname().lower()
            names |= {own, f"{own}.local"}
        self.names = names
        self.gate = Gate(passphrase, port) if passphrase is not None else None
        self.requests = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        answer = _Answer(send)
        self.requests += 1
        try:
            await self._answer(scope, receive, answer)
        except Refused as refusal:
            await answer.say(refusal.status, refusal.sentence, refusal.headers)
        except Exception as trouble:
            # The application has answered already where it could; here it is only noted down.
            at = traceback.extract_tb(trouble.__traceback__)[-1:]
            where = f"{Path(at[0].filename).name}:{at[0].lineno}" if at else "nowhere"
            log.error(
                "%s %s failed at %s: %s: %.300s", scope["method"], scope["path"], where, type(trouble).__name__, trouble
            )
            await answer.say(500, UNEXPECTED)
        finally:
            self.requests -= 1

    async def _answer(self, scope: Scope, receive: Receive, answer: _Answer) -> None:
        headers = dict(reversed(scope["headers"]))
        self._check_origin(scope, headers)
        if self.requests > MOST_REQUESTS:
            raise Refused(503, "too many requests are being answered at once; try again in a moment")
        body = await _read(receive, headers)
        if self.gate is not None and await self.gate.answers(scope, headers, body, answer):
            return
        _check_write(scope, headers, body)
        given = False

        async def replay() -> Message:
            nonlocal given
            if given:
                return await receive()
            given = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self.app(scope, replay, answer)

    def _check_origin(self, scope: Scope, headers: Mapping[bytes, bytes]) -> None:
        """Raise Refused unless the request was made to this server's own name, and by none but its own pages."""
        if [name for name, _ in scope["headers"]].count(b"host") != 1:
            raise Refused(403, "the request must have one Host header, with this server's name and port")
        host = headers[b"host"].decode("latin-1").lower()
        name, colon, port = host.rpartition(":") if not host.endswith("]") else (host, "", "")
        if not colon:
            name, port = host, "80"
        if not (port == str(self.port) and (name in self.names or (self.open and _is_address(name)))):
            raise Refused(403, f"the Host header must be this server's own name and port, as in localhost:{self.port}")
        origin = headers.get(b"origin")
        if origin is not None and origin.decode("latin-1").lower() != f"http://{host}":
            raise Refused(403, f"pages of another origin may not use this server; open http://{host} itself")
        if scope["path"].startswith("/api/") and headers.get(b"sec-fetch-site") in (b"cross-site", b"same-site"):
            raise Refused(403, f"pages of another origin may not use this server; open http://{host} itself")


UNEXPECTED = "something unexpected went wrong here; what it was stands in the terminal that Nightfold was started from"


class _Answer:
    """``send`` that adds the headers every answer carries and knows whether one was begun."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.begun = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.begun = True
            mine = {name for name, _ in HEADERS}
            kept = [(name, value) for name, value in message.get("headers", ()) if name.lower() not in mine]
            if not any(name.lower() == b"cache-control" for name, _ in kept):
                kept.append((b"cache-control", b"no-store"))
            message = {**message, "headers": [*kept, *HEADERS]}
        await self._send(message)

    async def say(self, status: int, sentence: str, headers: tuple[tuple[bytes, bytes], ...] = ()) -> None:
        """Answer with one sentence, unless an answer was begun."""
        if not self.begun:
            body = json.dumps({"error": sentence}, ensure_ascii=False).encode()
            await self.give(status, b"application/json", body, headers)

    async def give(self, status: int, kind: bytes, body: bytes, headers: tuple[tuple[bytes, bytes], ...] = ()) -> None:
        """Answer with a body of some kind."""
        length = str(len(body)).encode()
        head = [(b"content-type", kind), (b"content-length", length), *headers]
        await self({"type": "http.response.start", "status": status, "headers": head})
        await self({"type": "http.response.body", "body": body})


def _is_address(name: str) -> bool:
    """An address written out needs no name service, so no one can lead it elsewhere."""
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


def _check_write(scope: Scope, headers: Mapping[bytes, bytes], body: bytes) -> None:
    """Raise Refused for a body that a page elsewhere could send without the browser asking here first.

    No page elsewhere can send a DELETE so, whatever it carries; and a removal needs no body.
    """
    if scope["method"] not in _WRITES or (scope["method"] == "DELETE" and not body):
        return
    kind = headers.get(b"content-type", b"").split(b";")[0].strip().lower()
    if kind != b"application/json":
        raise Refused(415, "send JSON, with the header Content-Type: application/json")


async def _read(receive: Receive, headers: Mapping[bytes, bytes]) -> bytes:
    """The whole body.  Raises Refused when it is too large or too slow to arrive."""
    announced = headers.get(b"content-length", b"0")
    size = 0
    parts: list[bytes] = []
    large = announced.isdigit() and int(announced[:20]) > BODY_LIMIT
    try:
        async with asyncio.timeout(BODY_SECONDS):
            more = True
            while more and size <= _THROWN_AWAY:
                message = await receive()
                if message["type"] == "http.disconnect":
                    break
                part: bytes = message.get("body", b"")
                size += len(part)
                large = large or size > BODY_LIMIT
                if large:
                    parts.clear()
                else:
                    parts.append(part)
                more = message.get("more_body", False)
    except TimeoutError:
        raise Refused(
            408, f"the body did not arrive within {BODY_SECONDS:.0f} seconds", ((b"connection", b"close"),)
        ) from None
    if large:
        close = ((b"connection", b"close"),) if more else ()
        raise Refused(413, f"the body is larger than {BODY_LIMIT:,} bytes; nothing here needs so much", close)
    return b"".join(parts)


# --- the passphrase --------------------------------------------------------------------------------------------

_FORM = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Nightfold</title><link rel="stylesheet" href="/enter.css"></head>
<body><main><h1>Nightfold</h1><form method="post" action="/enter">
<label for="passphrase">Passphrase</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required autofocus>
<p role="alert">{said}</p><button>Enter</button></form></main></body></html>
"""
_STYLE = """:root { color-scheme: dark; --ground: #0b1020; --panel: #121a2f; --edge: #6d7ca3; --ink: #eef0f6;
  --lamp: #f2b45a; --bad: #ffaaa2; }
@media (prefers-color-scheme: light) {
  :root { color-scheme: light; --ground: #f6f2e9; --panel: #fffdf8; --edge: #857a63; --ink: #182034;
    --lamp: #8f5200; --bad: #a31d14; }
}
body { margin: 0; min-height: 100vh; display: grid; place-items: center; background: var(--ground); color: var(--ink);
  font: 1.1rem/1.5 system-ui, sans-serif; }
main { width: min(22rem, 90vw); }
input, button { width: 100%; box-sizing: border-box; padding: .7rem; font: inherit; border-radius: .4rem;
  border: 1px solid var(--edge); background: var(--panel); color: inherit; }
button { background: #f2b45a; color: #1a1204; border: 0; font-weight: 600; cursor: pointer; }
:focus-visible { outline: 3px solid var(--lamp); outline-offset: 3px; }
p { min-height: 1.5em; color: var(--bad); }
"""


class Gate:
    """Asks for the passphrase once a session."""

    def __init__(self, passphrase: str, port: int) -> None:
        self._salt = secrets.token_bytes(16)
        self._passphrase = self._digest(passphrase.encode())
        self._sessions: deque[bytes] = deque(maxlen=200)
        self._wrong: deque[tuple[float, str]] = deque(maxlen=1000)
        self.cookie = f"nightfold-{port}"

    def _digest(self, text: bytes) -> bytes:
        return hashlib.sha256(self._salt + text).digest()

    def _is_in(self, headers: Mapping[bytes, bytes]) -> bool:
        for part in headers.get(b"cookie", b"").split(b";"):
            name, _, value = part.strip().partition(b"=")
            if name == self.cookie.encode():
                token = self._digest(value)
                return sum(hmac.compare_digest(token, known) for known in self._sessions) > 0
        return False

    async def answers(self, scope: Scope, headers: Mapping[bytes, bytes], body: bytes, answer: _Answer) -> bool:
        """Answer the request here, if it has no session or asks for one; else False.  Raises Refused."""
        path, method = scope["path"], scope["method"]
        if path == "/enter.css":
            await answer.give(200, b"text/css; charset=utf-8", _STYLE.encode())
        elif path == "/enter" and method == "POST":
            await self._enter(scope, body, answer)
        elif self._is_in(headers):
            return False
        elif path.startswith("/api/"):
            raise Refused(401, "enter the passphrase first: open this server's start page")
        else:
            await self._ask(answer, 401, "")
        return True

    async def _ask(self, answer: _Answer, status: int, said: str) -> None:
        await answer.give(status, b"text/html; charset=utf-8", _FORM.format(said=said).encode())

    async def _enter(self, scope: Scope, body: bytes, answer: _Answer) -> None:
        client = scope["client"][0] if scope.get("client") else ""
        now = time.monotonic()
        recent = [address for when, address in self._wrong if now - when < MINUTE]
        if recent.count(client) >= WRONG_BY_ONE or len(recent) >= WRONG_BY_ALL:
            await self._ask(answer, 429, "Too many wrong passphrases; wait a minute, then try again.")
            return
        try:
            given = parse_qs(body.decode(), max_num_fields=4).get("passphrase", [""])[0]
        except ValueError:
            given = ""
        if not hmac.compare_digest(self._digest(given.encode()), self._passphrase):
            self._wrong.append((now, client))
            await self._ask(answer, 401, "This is not the passphrase.")
            return
        token = secrets.token_urlsafe(32)
        self._sessions.append(self._digest(token.encode()))
        cookie = f"{self.cookie}={token}; Path=/; HttpOnly; SameSite=Strict"
        await answer.give(
            HTTPStatus.SEE_OTHER, b"text/plain", b"", ((b"location", b"/"), (b"set-cookie", cookie.encode()))
        )
