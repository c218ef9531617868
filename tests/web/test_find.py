"""A search, and whatever else is long, ends when nobody waits for it any more."""

from __future__ import annotations

import json
from typing import Any

import httpx
import pytest

from nightfold.blind.plan import Plan
from nightfold.coach import attempt
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.inquest import Verdict
from nightfold.web import events, find, work
from nightfold.web.errors import StoppedError
from nightfold.web.work import ANSWERS, QUICK, SEARCHES, Bench
from tests.web.serving import asked, send, until
from tests.web.serving import events as told

#: Far more than anyone would wait for.
ENDLESS: dict[str, tuple[Bench, str, dict[str, Any]]] = {
    "find": (SEARCHES, "/api/find", {"want": "UF UR DB", "longest": 20, "extra": 6}),
    "deal": (ANSWERS, "/api/deal", {"count": 500, "most_turns": 60}),
}


def idle() -> bool:
    return not any(bench.tasks for bench in (QUICK, ANSWERS, SEARCHES))


@pytest.mark.parametrize("name", ENDLESS)
def test_closing_the_connection_stops_the_work(port: int, name: str) -> None:
    bench, path, body = ENDLESS[name]
    assert until(idle)
    connection = send(port, "POST", path, json.dumps(body).encode())
    assert until(lambda: bool(bench.tasks))
    if name == "find":
        connection.settimeout(60)
        received = b""
        while b"event: progress" not in received:
            received += connection.recv(4096)
        assert received.startswith(b"HTTP/1.1 200 ")
    (task,) = bench.tasks
    assert not task.stopped
    connection.close()
    assert until(lambda: task.stopped)
    assert until(idle), "the worker must end"


@pytest.mark.parametrize("kind", ["application/json", "text/event-stream"])
def test_an_inquest_ends_when_nobody_waits_for_it(port: int, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Held again and again, it can only end because it heeds that the client has gone."""
    runs: list[BaseException | None] = []

    def endless(plan: Plan, *given: Any, **wanted: Any) -> Verdict:
        while True:
            try:
                examine_attempt(plan, *given, **wanted)
                runs.append(None)
            except BaseException as trouble:
                runs.append(trouble)
                raise

    monkeypatch.setattr(attempt, "examine_attempt", endless)
    assert until(idle)
    body = {"cube": {"scramble": "D F L2 B U R F' L' B2"}, "left": "R U F2 L D2 B' R2", "mistakes": 2}
    connection = send(port, "POST", "/api/inquest", json.dumps(body).encode(), Accept=kind)
    assert until(lambda: None in runs), "it runs"
    (task,) = SEARCHES.tasks
    assert not task.stopped
    connection.close()
    assert until(idle), "the worker must end"
    assert isinstance(runs[-1], StoppedError)


def test_an_inquest_tells_how_far_it_is_and_then_the_same(client: httpx.Client) -> None:
    body = {"cube": {"scramble": "D F L2 B U R F' L' B2"}, "left": "R U", "mistakes": 2}
    verdict = asked(client, "inquest", body)
    answer = client.post("/api/inquest", json=body, headers={"accept": "text/event-stream"})
    assert answer.headers["content-type"] == "text/event-stream; charset=utf-8"
    *news, last = told(answer.text)
    assert last == ("done", verdict)
    assert {event for event, _ in news} == {"progress"}
    assert {data["mistakes"] for _, data in news} <= {1, 2}
    refused = client.post("/api/inquest", json=body | {"left": "R Q"}, headers={"accept": "text/event-stream"})
    ((event, data),) = told(refused.text)
    assert event == "error"
    assert "Q" in data["error"]


def test_two_searches_run_while_plans_are_still_answered(client: httpx.Client, port: int) -> None:
    _, path, body = ENDLESS["find"]
    connections = [send(port, "POST", path, json.dumps(body).encode()) for _ in range(3)]
    try:
        assert until(lambda: len(SEARCHES.tasks) == 3)
        assert asked(client, "plan", {"scramble": "R U"})["solved"]
        assert len(asked(client, "deal", {"count": 1})["scrambles"]) == 1
    finally:
        for connection in connections:
            connection.close()
    assert until(idle)


def test_too_many_searches_are_refused(client: httpx.Client, port: int) -> None:
    _, path, body = ENDLESS["find"]
    most = SEARCHES.places + SEARCHES.waiting
    connections = [send(port, "POST", path, json.dumps(body).encode()) for _ in range(most)]
    try:
        assert until(lambda: len(SEARCHES.tasks) == most)
        answer = client.post(path, json={"want": "UF UR DB"})
        assert answer.status_code == 503
        assert "too much is being computed" in answer.json()["error"]
    finally:
        for connection in connections:
            connection.close()
    assert until(idle)


def test_a_search_that_takes_too_long_is_ended(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "LIMIT", 0.3)
    monkeypatch.setattr(events, "QUIET", 0.1)
    _, path, body = ENDLESS["find"]
    answer = client.post(path, json=body)
    assert "event: error\ndata: " in answer.text
    assert "the search was stopped" in answer.text
    assert until(idle)


def test_a_quick_answer_that_is_not_is_not_waited_for(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "QUICK_LIMIT", 0.0)
    answer = client.post("/api/plan", json={"scramble": "R U " * 2000})
    assert answer.status_code == 503
    assert "takes longer than" in answer.json()["error"]
    assert until(idle)


def test_stopping_all_ends_every_search(port: int) -> None:
    _, path, body = ENDLESS["find"]
    connection = send(port, "POST", path, json.dumps(body).encode())
    assert until(lambda: bool(SEARCHES.tasks))
    work.stop_all()
    received = b""
    while part := connection.recv(4096):
        received += part
        if b"0\r\n\r\n" in received:
            break
    connection.close()
    assert b"event: error" in received or b"event: done" in received
    assert until(idle)
