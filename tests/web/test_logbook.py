"""``/api/progress``, its CSV, ``/api/solvers`` and ``/api/demo``: what the logbook shows is what it holds."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from typing import Any

import httpx
import pytest

from nightfold.practice import demo
from nightfold.practice.figures import Share
from nightfold.practice.logbook import Logbook
from nightfold.practice.progress import SPLITS, TABLES, Scope, overview
from tests.web.serving import asked
from tests.web.test_attempts import begin, change, refused, series_of, solved

TIMES = (60_000, 55_000, 50_000)


@pytest.fixture
def practised(client: httpx.Client) -> httpx.Client:
    """Three solved attempts and a failed one, the last of them."""
    for at, ms in enumerate(TIMES):
        solved(client, ms, started=f"2026-03-05T19:3{at}:00Z")
    failed = begin(client, started="2026-04-02T19:30:00Z")
    change(client, failed, memo_ms=30_000, total_ms=70_000, outcome="dnf")
    return client


@pytest.fixture
def small_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo with a single evening: dealing and examining all of it takes long."""
    monkeypatch.setattr(demo, "_EVENINGS", 1)


def rows(client: httpx.Client, query: str) -> list[dict[str, str]]:
    answer = client.get(f"/api/progress.csv?{query}")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert "attachment" in answer.headers["content-disposition"]
    return list(csv.DictReader(io.StringIO(answer.text)))


def test_an_empty_logbook_is_no_fault(client: httpx.Client) -> None:
    found = asked(client, "progress")
    assert found["rates"] == found["timeline"] == found["attempts"] == found["mistakes"] == found["retention"] == []
    assert set(found["bests"].values()) == {None}
    assert asked(client, "attempts") == {"attempts": [], "more": False}
    assert asked(client, "solvers") == {"solvers": [], "demo": []}
    assert rows(client, "table=attempts") == []


def test_rates_bests_and_rolling_results(practised: httpx.Client) -> None:
    found = asked(practised, "progress?by=month")
    (rate,) = found["rates"]
    assert (rate["solved"]["good"], rate["solved"]["all"], rate["solved"]["value"]) == (3, 4, 0.75)
    assert rate["solved"] == Share(3, 4).to_dict()
    assert rate["total_ms"] == pytest.approx(sum(TIMES) / 3)
    assert rate["memo_ms"] == pytest.approx(sum(TIMES) / 6)
    assert [(one["of"], one["attempts"]) for one in found["timeline"]] == [("2026-03", 3), ("2026-04", 1)]
    assert [one["result"] for one in found["attempts"]] == [6000, 5500, 5000, None]
    assert [one["best_of_3"] for one in found["attempts"]] == [None, None, 5000, 5000]
    assert [one["mean_of_3"] for one in found["attempts"]] == [None, None, 5500, None]
    at_one = {"single": 5000, "single_day": "2026-03-05", "memo": 2500, "mean_of_3": 5500}
    assert found["bests"] == at_one | {"many": None, "many_day": None}


def test_it_is_what_the_logbook_itself_tells(practised: httpx.Client) -> None:
    with Logbook.open() as book:
        today = datetime.now().astimezone().date()
        told = overview(book, Scope("", "333bf"), today, "parity", "week", 100)
    assert asked(practised, "progress?split=parity&by=week") == told


@pytest.mark.parametrize("split", SPLITS)
def test_every_split_counts_every_attempt(practised: httpx.Client, split: str) -> None:
    found = asked(practised, f"progress?split={split}")["split"]
    assert sum(one["attempts"] for one in found) == 4


def test_days_narrow_it(practised: httpx.Client) -> None:
    assert asked(practised, "progress?since=2026-04-01")["rates"][0]["attempts"] == 1
    assert asked(practised, "progress?until=2026-03-31")["rates"][0]["attempts"] == 3
    assert asked(practised, "progress?solver=Maren")["rates"] == []


@pytest.mark.parametrize("table", TABLES)
def test_every_table_as_csv(practised: httpx.Client, table: str) -> None:
    found = rows(practised, f"table={table}")
    assert len(found) == {"attempts": 4, "rates": 1, "timeline": 2, "bests": 1, "streak": 1}.get(table, 0)
    if table == "attempts":
        assert [one["result"] for one in found] == ["6000", "5500", "5000", ""]
    if table == "rates":
        assert (found[0]["solved_good"], found[0]["solved_all"]) == ("3", "4")


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("progress?split=weather", "split"),
        ("progress?by=moon", "by"),
        ("progress?last=0", "last"),
        ("progress?since=yesterday", "“yesterday” is no day; write it as 2026-03-05"),
        ("progress.csv", "table: this is missing"),
        ("progress.csv?table=weather", "table"),
        ("attempts?most=0", "most"),
    ],
)
def test_what_cannot_be_shown(client: httpx.Client, query: str, said: str) -> None:
    status, sentence = refused(client, "GET", query)
    assert status == 422
    assert said in sentence
    assert "\n" not in sentence


def test_chances_begin_afresh_and_every_mistake_stays(practised: httpx.Client) -> None:
    failed = asked(practised, "attempts")["attempts"][0]["id"]
    asked(practised, f"attempts/{failed}/inquest", {"left": "R", "mistakes": 1})
    before = asked(practised, "progress")
    assert before["mistakes"]
    assert before["learns_from"] is None
    moment = "2026-04-03T10:00:00Z"
    kept = asked(practised, "chances", {"learns_from": moment}, "PUT")
    assert datetime.fromisoformat(kept["learns_from"]) == datetime.fromisoformat(moment)
    after = asked(practised, "progress")
    assert after == before | kept
    assert asked(practised, "progress?solver=Maren")["learns_from"] is None
    assert asked(practised, "chances", {"learns_from": None}, "PUT") == {"learns_from": None}
    assert asked(practised, "progress") == before
    status, sentence = refused(practised, "PUT", "chances", {"learns_from": "soon"})
    assert status == 422
    assert "learns_from" in sentence


def test_whose_practice_there_is(client: httpx.Client) -> None:
    begin(client)
    begin(client, solver="Maren")
    series_of(client, "evening", solver="Jory")
    assert asked(client, "solvers") == {"solvers": ["", "Jory", "Maren"], "demo": []}


@pytest.mark.usefixtures("small_demo")
def test_the_demo_comes_marked_and_goes_without_a_trace(client: httpx.Client) -> None:
    mine = solved(client, 60_000)
    before: Any = asked(client, "progress")
    names = asked(client, "demo", {})["demo"]
    assert names == ["Maren", "Jory", "Ansa"]
    assert asked(client, "solvers") == {"solvers": [""], "demo": names}
    attempts = asked(client, f"attempts?solver={names[0]}&demo=true")["attempts"]
    assert attempts
    assert all(one["demo"] for one in attempts)
    assert asked(client, f"progress?solver={names[0]}&demo=true")["rates"][0]["attempts"] == len(attempts)
    # One's own side knows nothing of it.
    assert asked(client, f"attempts?solver={names[0]}")["attempts"] == []
    assert asked(client, f"progress?solver={names[0]}")["rates"] == []
    assert asked(client, "demo", {})["demo"] == names
    assert len(asked(client, f"attempts?solver={names[0]}&demo=true")["attempts"]) == len(attempts)
    assert asked(client, "demo", method="DELETE") == {"solvers": [""], "demo": []}
    assert asked(client, f"attempts?solver={names[0]}&demo=true")["attempts"] == []
    assert [one["id"] for one in asked(client, "attempts")["attempts"]] == [mine]
    assert asked(client, "progress") == before
