"""The program ``nightfold app``: its address, its port, its end, and what it refuses."""

from __future__ import annotations

import asyncio
import gc
import json
import signal
import socket
import sys
from pathlib import Path
from types import ModuleType

import httpx
import pytest

from nightfold.web.server import PORT, ServingError, Settled, listen
from tests.cli.running import complaint, there
from tests.web.serving import App, asked, client_of, send


@pytest.fixture
def taken() -> int:
    """A port that is free now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def test_it_tells_its_address_and_ends_cleanly(taken: int) -> None:
    with App("--port", str(taken)) as app:
        assert app.line == f"Nightfold is at http://127.0.0.1:{taken} (Ctrl-C ends it)\n"
        with client_of(taken) as client:
            assert asked(client, "plan", {"scramble": "R U"})["solved"]
        code, said = app.end()
    assert code == 0
    assert said == ""


def test_what_modules_brought_along_is_spared_the_garbage_collector(monkeypatch: pytest.MonkeyPatch) -> None:
    frozen: list[int] = []
    monkeypatch.setattr(gc, "freeze", lambda: frozen.append(len(sys.modules)))
    settled = Settled()
    asyncio.run(settled())
    asyncio.run(settled())
    assert frozen == [len(sys.modules)]
    monkeypatch.setitem(sys.modules, "lighthouse", ModuleType("lighthouse"))
    asyncio.run(settled())
    assert frozen == [len(sys.modules) - 1, len(sys.modules)]


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_in_the_middle_of_a_search(taken: int, sign: signal.Signals) -> None:
    with App("--port", str(taken)) as app:
        body = json.dumps({"want": "UF UR DB", "longest": 20, "extra": 6}).encode()
        with send(app.port, "POST", "/api/find", body) as connection:
            received = b""
            while b"event: progress" not in received:
                received += connection.recv(4096)
            code, said = app.end(sign)
    assert code in (0, 128 + sign, -sign)
    assert "Traceback" not in said


def test_the_usual_port_or_a_free_one_is_taken() -> None:
    with App() as first, App() as second:
        assert first.port != second.port
        assert PORT in (first.port, second.port) or first.port > 0
        for app in (first, second):
            with client_of(app.port) as client:
                assert asked(client, "about")["version"]


def test_a_port_that_was_asked_for_and_is_taken_is_told_of(taken: int) -> None:
    with listen("127.0.0.1", taken):
        complaint(there("app", "--no-browser", "--port", str(taken)), f"port {taken} is taken; leave out --port")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--port", "0"), "--port 0 is no port; give a number from 1 to 65535"),
        (("--port", "70000"), "--port 70000 is no port"),
        (("--port", "x"), "invalid value for '--port'"),
        (("--host", "0.0.0.0"), "others could reach 0.0.0.0, so a passphrase is needed: give --passphrase-file"),
        (("--host", "::"), "others could reach ::, so a passphrase is needed"),
        (("--host", "no.such.host.invalid", "--passphrase-file", "long"), "there is no address “no.such.host.invalid”"),
        (("--host", "0.0.0.0", "--passphrase-file", "short"), "the passphrase has fewer than 8 characters"),
        (("--host", "0.0.0.0", "--passphrase-file", "empty"), "the passphrase file is empty"),
        (("--host", "0.0.0.0", "--passphrase-file", "nowhere"), "the passphrase file “nowhere” cannot be read"),
    ],
)
def test_what_it_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], sentence: str
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, text in (("long", "the lamp is lit at dusk\n"), ("short", "lamp\n"), ("empty", "\n")):
        (tmp_path / name).write_text(text, "utf-8")
    complaint(there("app", "--no-browser", *arguments), sentence)


def test_with_a_passphrase_others_may_come_in(tmp_path: Path, taken: int) -> None:
    path = tmp_path / "passphrase"
    path.write_text("the lamp is lit at dusk\n", "utf-8")
    with (
        App("--host", "0.0.0.0", "--port", str(taken), "--passphrase-file", str(path)) as app,
        client_of(app.port) as client,
    ):
        assert app.host != "0.0.0.0", "nobody can be sent there"
        assert client.get("/api/about").status_code == 401
        assert client.post("/enter", data={"passphrase": "the lamp is lit at dusk"}).status_code == 303
        assert asked(client, "about")["version"]


def test_addresses_of_either_kind_can_be_listened_on() -> None:
    try:
        listening = listen("::1", None)
    except ServingError:
        pytest.skip("this machine has no IPv6")
    with listening:
        assert listening.family == socket.AF_INET6


def test_many_requests_at_once_are_all_answered(client: httpx.Client) -> None:
    import threading

    answers: list[bool] = []

    def ask() -> None:
        answers.extend(asked(client, "plan", {"scramble": "R U F"})["solved"] for _ in range(20))

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [True] * 160
