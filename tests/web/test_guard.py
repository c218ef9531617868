"""Only this server's own pages, under its own name, may use it; beyond this machine only with the passphrase."""

from __future__ import annotations

import json
import logging
import re
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from nightfold.blind.files import SHIPPED
from nightfold.web import guard
from nightfold.web.app import create_app
from tests.web.serving import client_of, send, serving

JSON = {"content-type": "application/json"}
PLAN = {"scramble": "R U"}


@pytest.mark.parametrize(
    "host",
    [
        "nightfold.example",
        "nightfold.example:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1:{port}.nightfold.example",
        "localhost.:{port}",
        "192.168.1.4:{port}",
        "[::2]:{port}",
        "",
        ":{port}",
        "localhost:{port}:{port}",
    ],
)
def test_another_name_is_refused(client: httpx.Client, port: int, host: str) -> None:
    answer = client.get("/api/about", headers={"host": host.format(port=port)})
    assert answer.status_code == 403
    assert "Host header" in answer.json()["error"]


@pytest.mark.parametrize("host", ["127.0.0.1:{port}", "localhost:{port}", "LOCALHOST:{port}", "[::1]:{port}"])
def test_own_names_are_answered(client: httpx.Client, port: int, host: str) -> None:
    assert client.get("/api/about", headers={"host": host.format(port=port)}).status_code == 200


def test_two_hosts_or_none_are_refused(port: int) -> None:
    for head in (f"Host: 127.0.0.1:{port}\r\nHost: evil.example\r\n", ""):
        with socket.create_connection(("127.0.0.1", port), timeout=30) as connection:
            connection.sendall(f"GET /api/about HTTP/1.1\r\n{head}Connection: close\r\n\r\n".encode())
            answer = connection.makefile("rb").read()
        assert answer.startswith((b"HTTP/1.1 403 ", b"HTTP/1.1 400 ")), answer
        assert b"two-swap" not in answer


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://127.0.0.1:{port}", "http://127.0.0.1:1", "http://localhost:{port}"],
)
@pytest.mark.parametrize(("method", "path"), [("GET", "/api/about"), ("POST", "/api/plan"), ("GET", "/")])
def test_another_origin_is_refused(client: httpx.Client, port: int, origin: str, method: str, path: str) -> None:
    body = PLAN if method == "POST" else None
    answer = client.request(method, path, json=body, headers={"origin": origin.format(port=port)})
    assert answer.status_code == 403
    assert "another origin" in answer.json()["error"]


def test_own_origin_is_answered(client: httpx.Client, port: int) -> None:
    own = {"origin": f"http://127.0.0.1:{port}", "sec-fetch-site": "same-origin"}
    assert client.post("/api/plan", json=PLAN, headers=own).status_code == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_the_interface_is_not_to_be_embedded(client: httpx.Client, site: str) -> None:
    assert client.get("/api/about", headers={"sec-fetch-site": site}).status_code == 403
    assert client.get("/", headers={"sec-fetch-site": site}).status_code in (200, 503)  # a link may lead here


@pytest.mark.parametrize(
    "kind", [None, "", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"]
)
def test_a_form_of_another_page_cannot_write(client: httpx.Client, home: Path, kind: str | None) -> None:
    headers = {} if kind is None else {"content-type": kind}
    for method, path in (("POST", "/api/plan"), ("PUT", "/api/settings"), ("DELETE", "/api/methods/mine")):
        answer = client.request(method, path, content=b'{"theme": "day"}', headers=headers)
        assert answer.status_code == 415
        assert "application/json" in answer.json()["error"]
    assert not home.exists()


@pytest.mark.parametrize("kind", [None, "", "application/json", "text/plain"])
def test_a_removal_needs_no_body_and_so_no_kind_of_one(client: httpx.Client, home: Path, kind: str | None) -> None:
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    assert client.put("/api/methods/mine", json={"source": source}).status_code == 200
    headers = {} if kind is None else {"content-type": kind}
    assert client.delete("/api/methods/mine", headers=headers).json() == {"removed": "mine"}
    assert [path.name for path in (home / "methods").iterdir()] == ["mine.toml.removed-1"]


def test_another_page_may_not_even_ask_whether_it_may_remove(client: httpx.Client) -> None:
    """A browser asks so before it sends a DELETE for a page of another origin."""
    asking = {"origin": "http://evil.example", "access-control-request-method": "DELETE"}
    answer = client.options("/api/methods/mine", headers=asking)
    assert answer.status_code == 403
    assert not [name for name in answer.headers if name.startswith("access-control-")]


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/api/about", 200),
        ("GET", "/api/openapi.json", 200),
        ("GET", "/api/nowhere", 404),
        ("GET", "/api/methods/none", 404),
        ("DELETE", "/api/plan", 405),
        ("OPTIONS", "/api/plan", 405),
        ("GET", "/no-such-file.js", None),
        ("GET", "/", None),
        ("HEAD", "/", None),
        ("BREW", "/", 405),
    ],
)
def test_every_answer_lets_the_browser_load_nothing_from_elsewhere(
    client: httpx.Client, method: str, path: str, status: int | None
) -> None:
    answer = client.request(method, path)
    assert status is None or answer.status_code == status
    policy = dict(part.split(" ", 1) for part in answer.headers["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"
    for what in ("script-src", "style-src", "img-src", "connect-src", "font-src", "form-action"):
        assert policy[what] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "same-origin"
    assert answer.headers["cache-control"]
    assert not any(name.startswith("access-control-") for name in answer.headers)
    assert "server" not in answer.headers


def test_refusals_carry_the_same_headers(client: httpx.Client) -> None:
    for headers in ({"host": "evil.example"}, {"origin": "null"}):
        answer = client.get("/api/about", headers=headers)
        assert answer.status_code == 403
        assert "default-src 'none'" in answer.headers["content-security-policy"]


# --- bodies ----------------------------------------------------------------------------------------------------


def test_a_body_that_is_too_large_is_refused_whether_announced_or_not(client: httpx.Client) -> None:
    large = json.dumps({"scramble": "R" * guard.BODY_LIMIT}).encode()

    def in_parts() -> Iterator[bytes]:
        for at in range(0, len(large), 10_000):
            yield large[at : at + 10_000]

    for content in (large, in_parts()):
        answer = client.post("/api/plan", content=content, headers=JSON)
        assert answer.status_code == 413
        assert "larger than 1,000,000 bytes" in answer.json()["error"]


def test_a_body_in_parts_is_put_together(client: httpx.Client) -> None:
    answer = client.post("/api/plan", content=iter([b'{"scram', b'ble": "R', b' U"}']), headers=JSON)
    assert answer.status_code == 200
    assert answer.json()["scramble"] == "R U"


def test_a_body_that_does_not_arrive_is_not_waited_for(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "BODY_SECONDS", 0.2)
    with send(port, "POST", "/api/plan", b"", Content_Length="100") as connection:
        connection.sendall(b'{"scramble"')
        answer = connection.makefile("rb").read()
    assert answer.startswith(b"HTTP/1.1 408 ")
    assert b"did not arrive" in answer


def test_only_so_many_requests_are_answered_at_once(
    client: httpx.Client, port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "MOST_REQUESTS", 1)
    with send(port, "POST", "/api/plan", b"", Content_Length="9"):
        end = time.monotonic() + 20
        while (answer := client.get("/api/about")).status_code == 200 and time.monotonic() < end:
            pass  # the other request may not have been met yet
        assert answer.status_code == 503
        assert "too many requests" in answer.json()["error"]
    while client.get("/api/about").status_code == 503:
        assert time.monotonic() < end


# --- what should not happen ---------------------------------------------------------------------------------------


def test_the_unexpected_is_told_in_one_sentence_and_noted_in_one_line(caplog: pytest.LogCaptureFixture) -> None:
    app: FastAPI = create_app()

    def broken() -> Any:
        raise ZeroDivisionError("a secret of the house")

    app.add_api_route("/api/broken", broken)
    app.router.routes.insert(0, app.router.routes.pop())
    with serving(app=app) as port, client_of(port) as client, caplog.at_level(logging.ERROR):
        answer = client.get("/api/broken")
    assert answer.status_code == 500
    assert answer.json() == {"error": guard.UNEXPECTED}
    assert "secret" not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    (line,) = [record.getMessage() for record in caplog.records if record.name == "nightfold.web"]
    assert re.fullmatch(r"GET /api/broken failed at test_guard\.py:\d+: ZeroDivisionError: a secret of the house", line)


# --- the passphrase ----------------------------------------------------------------------------------------------

SECRET = "the lamp is lit at dusk"


@pytest.fixture
def outside() -> Iterator[httpx.Client]:
    """A client of a server that others can reach."""
    with serving("0.0.0.0", SECRET) as port, client_of(port) as made:
        yield made


def enter(client: httpx.Client, passphrase: str, **headers: str) -> httpx.Response:
    return client.post("/enter", data={"passphrase": passphrase}, headers=headers)


def test_nothing_is_told_before_the_passphrase(outside: httpx.Client, home: Path) -> None:
    for path in ("/api/about", "/api/openapi.json", "/api/nowhere", "/api/settings"):
        answer = outside.get(path)
        assert answer.status_code == 401
        assert "passphrase" in answer.json()["error"]
    assert outside.put("/api/settings", json={}).status_code == 401
    page = outside.get("/desk")
    assert page.status_code == 401
    assert '<input id="passphrase"' in page.text
    assert "default-src 'none'" in page.headers["content-security-policy"]
    assert not re.search(r"<style|<script|style=", page.text), "the policy allows nothing inline"
    assert outside.get("/enter.css").headers["content-type"].startswith("text/css")
    assert not home.exists()


def test_the_passphrase_opens_a_session(outside: httpx.Client) -> None:
    assert enter(outside, "the lamp is lit at dawn").status_code == 401
    assert outside.get("/api/about").status_code == 401
    answer = enter(outside, SECRET)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(answer.headers["set-cookie"].split("; "))
    assert outside.get("/api/about").status_code == 200
    assert outside.post("/api/plan", json=PLAN).status_code == 200
    (name, value), *_ = outside.cookies.items()
    outside.cookies.clear()
    assert outside.get("/api/about").status_code == 401
    for forged in (value[:-1], value + "x", "", "x"):
        assert outside.get("/api/about", headers={"cookie": f"{name}={forged}"}).status_code == 401
    assert outside.get("/api/about", headers={"cookie": f"a=b; {name}={value}"}).status_code == 200


def test_guessing_is_slowed_down(outside: httpx.Client) -> None:
    for _ in range(guard.WRONG_BY_ONE):
        assert enter(outside, "a guess").status_code == 401
    refused = enter(outside, SECRET)
    assert refused.status_code == 429
    assert "wait a minute" in refused.text
    assert "set-cookie" not in refused.headers


@pytest.mark.parametrize("content", [b"", b"\xff", b"passphrase=", b"&" * 50, b"passphrase=%00%ff", b"{}"])
def test_forms_that_are_none(outside: httpx.Client, content: bytes) -> None:
    assert outside.post("/enter", content=content).status_code == 401


def test_another_page_cannot_enter_or_rename_the_server(outside: httpx.Client) -> None:
    assert enter(outside, SECRET, origin="http://evil.example").status_code == 403
    assert outside.get("/", headers={"host": "evil.example:80"}).status_code == 403


def test_beyond_this_machine_it_is_reached_by_address_or_name(outside: httpx.Client) -> None:
    port = outside.base_url.port
    for host in (f"192.168.1.4:{port}", f"[fe80::1]:{port}", f"{socket.gethostname()}:{port}", f"localhost:{port}"):
        assert outside.get("/", headers={"host": host}).status_code == 401
    assert outside.get("/", headers={"host": f"nightfold.example:{port}"}).status_code == 403


@pytest.mark.parametrize(
    ("host", "mine"),
    [
        ("127.0.0.1", True),
        ("localhost", True),
        ("::1", True),
        ("[::1]", True),
        ("127.9.9.9", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.168.1.4", False),
        ("lighthouse", False),
        ("", False),
    ],
)
def test_what_counts_as_this_machine_alone(host: str, mine: bool) -> None:
    assert guard.is_loopback(host) is mine
