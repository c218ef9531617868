"""Drills through the interface: asked, answered, kept in a real logbook, and planned for today."""

from __future__ import annotations

import uuid
from typing import Any

import httpx
import pytest

from nightfold.practice.drills import EXERCISES, Table
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Run
from nightfold.web.book import close_books
from nightfold.web.drills import _Ticket
from tests.web.serving import asked, client_of, serving


def _right(question: dict[str, Any], table: Table | None = None) -> str:
    """A right answer, as only the server can know it."""
    table = table or Table.laid()
    made = _Ticket.read(question["ticket"]).question(table)
    return EXERCISES[made.exercise].expected(table, made)[0]


def _next(client: httpx.Client, exercise: str, **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = asked(client, f"drills/{exercise}/next", more)
    return found


def _given(client: httpx.Client, question: dict[str, Any], given: str, **more: Any) -> dict[str, Any]:
    body = {"id": str(uuid.uuid4()), "ticket": question["ticket"], "given": given, "ms": 1200, **more}
    found: dict[str, Any] = asked(client, "drills/answer", body)
    return found


def test_all_exercises_are_listed_and_nothing_is_due_at_first(client: httpx.Client) -> None:
    listed = asked(client, "drills")
    assert [one["name"] for one in listed] == list(EXERCISES)
    assert {one["due"] for one in listed} == {0}
    # What anybody is taken to need, and two seconds for reading.
    assert {one["name"]: one["seconds"] for one in listed} == {
        name: round(one.seconds + 2) for name, one in EXERCISES.items()
    }


@pytest.mark.parametrize("exercise", [name for name in EXERCISES if name not in ("pair-word", "word-pair")])
def test_a_question_tells_no_answer_and_is_judged_and_kept(client: httpx.Client, exercise: str) -> None:
    question = _next(client, exercise, level=1)
    assert {"subject", "key", "table", "size", "expected", "why"} & set(question) == set()
    assert question["exercise"] == exercise
    assert question["title"] == EXERCISES[exercise].title
    judged = _given(client, question, _right(question))
    assert judged["right"] is True
    assert judged["share"] == 1
    wrong = _given(client, _next(client, exercise, level=1), "?")
    assert wrong["right"] is False
    assert wrong["expected"]
    assert wrong["say"]
    with Logbook.open() as book:
        kept = book.reviews(exercise=exercise)
    assert [one.right for one in kept] == [False, True]
    assert kept[1].answer_ms == 1200


def test_words_are_asked_for_once_they_are_kept(client: httpx.Client) -> None:
    refused = client.post("/api/drills/pair-word/next", json={})
    assert refused.status_code == 422
    assert "there are none yet" in refused.json()["error"]
    asked(client, "words/own", {"pair": "LS", "word": "lighthouse"}, "PUT")
    question = _next(client, "pair-word")
    assert "lighthouse" not in str(question)
    assert _given(client, question, "the lighthouse")["right"] is True


def test_the_same_answer_twice_is_kept_once_and_judged_as_before(client: httpx.Client) -> None:
    question, ident = _next(client, "sticker-letter"), str(uuid.uuid4())
    first = _given(client, question, "?", id=ident)
    again = _given(client, question, _right(question), id=ident)
    assert (again["right"], again["say"]) == (first["right"], first["say"])
    with Logbook.open() as book:
        assert len(book.reviews(exercise="sticker-letter")) == 1


BAD: dict[str, tuple[str, dict[str, Any], int, str]] = {
    "ticket": ("drills/answer", {"id": str(uuid.uuid4()), "ticket": "lamp", "given": "A"}, 422, "no ticket"),
    "cut ticket": ("drills/answer", {"id": str(uuid.uuid4()), "ticket": "W10=", "given": "A"}, 422, "no ticket"),
    "exercise": ("drills/juggling/next", {}, 422, "juggling"),
    "level": ("drills/trace/next", {"level": 19}, 422, "levels 1 to"),
    "orbit": ("drills/sticker-letter/next", {"orbit": "wings"}, 422, "no orbit"),
    "method": ("drills/trace/next", {"method": "nobodys"}, 404, "nobodys"),
    "after": ("drills/trace/next", {"after": "not one"}, 422, "no ticket"),
    "minutes": ("today?minutes=0", {}, 422, "minutes"),
    "key": ("drills/trace/next", {"levle": 1}, 422, "levle: this is not known here"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_asked_gets_one_sentence(client: httpx.Client, name: str) -> None:
    path, body, status, said = BAD[name]
    answer = client.post(f"/api/{path}", json=body)
    assert answer.status_code == status, answer.text
    assert set(answer.json()) == {"error"}
    assert said in answer.json()["error"]


def test_an_answer_that_cannot_be_read_is_refused_and_may_be_given_again(client: httpx.Client) -> None:
    question = _next(client, "sticker-letter")
    body = {"id": str(uuid.uuid4()), "ticket": question["ticket"], "given": "seagull", "ms": 5}
    refused = client.post("/api/drills/answer", json=body)
    assert refused.status_code == 422
    with Logbook.open() as book:
        assert book.reviews(exercise="sticker-letter") == []
    assert asked(client, "drills/answer", {**body, "given": _right(question)})["right"] is True


def test_a_question_of_another_lettering_is_not_marked(client: httpx.Client) -> None:
    question = _next(client, "sticker-letter")
    body = {"id": str(uuid.uuid4()), "ticket": question["ticket"], "given": "A", "lettering": "nobodys"}
    assert client.post("/api/drills/answer", json=body).status_code == 404


def test_a_server_that_was_started_anew_marks_what_another_asked() -> None:
    with serving() as port, client_of(port) as client:
        question = _next(client, "setup", level=3)
    close_books()
    with serving() as port, client_of(port) as client:
        assert _given(client, question, _right(question))["right"] is True


def test_a_run_is_kept_with_its_answers_and_an_empty_one_is_not(client: httpx.Client) -> None:
    run = asked(client, "drills/sticker-letter/runs", {})["id"]
    _given(client, _next(client, "sticker-letter"), "?", run=run)
    asked(client, f"drills/runs/{run}", {"asked": 1, "right": 0}, "PATCH")
    empty = asked(client, "drills/sticker-letter/runs", {})["id"]
    asked(client, f"drills/runs/{empty}", {"asked": 0, "right": 0}, "PATCH")
    # A page that was closed too early sends the same again, which is no mistake; of an answer there it would be one.
    asked(client, f"drills/runs/{empty}", {"asked": 0, "right": 0}, "PATCH")
    assert client.patch(f"/api/drills/runs/{empty}", json={"asked": 1, "right": 0}).status_code == 404
    with Logbook.open() as book:
        (kept,) = book.runs(exercise="sticker-letter")
        assert kept == book.get(Run, run)
        assert kept.score == 0
        (review,) = book.reviews(exercise="sticker-letter")
    assert review.run == run


@pytest.mark.parametrize("exercise", ["sticker-letter", "setup", "trace", "turned"])
def test_nothing_is_no_answer(client: httpx.Client, exercise: str) -> None:
    question = _next(client, exercise, level=1)
    body = {"id": str(uuid.uuid4()), "ticket": question["ticket"], "given": " ", "ms": 5}
    refused = client.post("/api/drills/answer", json=body)
    assert refused.status_code == 422
    none = "“-” for none, or " if question["may_be_none"] else ""
    assert refused.json()["error"].endswith(f"; write {none}“?” if you do not know")
    with Logbook.open() as book:
        assert book.reviews(exercise=exercise) == [] and book.cards(exercise=exercise) == []


def test_times_so_far_are_told_where_the_clock_runs_and_the_size_with_the_judgement(client: httpx.Client) -> None:
    first = _next(client, "trace", wanted=["edges"], level=1)
    assert (first["clock"], first["usual"], first["best"]) == (True, None, None)
    judged = _given(client, first, _right(first), ms=60_000)
    second = _next(client, "trace", wanted=["edges"], level=1)
    assert second["usual"] == second["best"] == pytest.approx(60 / judged["size"])
    other = _next(client, "trace", wanted=["corners"], level=1)
    assert other["usual"] is None
    setup = _next(client, "setup")
    assert (setup["clock"], setup["usual"]) == (False, None)


def test_a_memo_is_filed_by_how_it_was_shown(client: httpx.Client) -> None:
    question = _next(client, "hold-memo", shown=1, delay=0)
    _given(client, question, "?")
    with Logbook.open() as book:
        (kept,) = book.reviews(exercise="hold-memo")
        assert kept.asked["question"]["subject"] == "edges/timed"
        assert [card.subject for card in book.cards(exercise="hold-memo")] == ["edges/timed"]


def test_today_fills_the_minutes_with_reasons(client: httpx.Client) -> None:
    today = asked(client, "today?minutes=10", {})
    assert today["items"]
    assert today["seconds"] <= 10 * 60 * 1.5
    for item in today["items"]:
        assert item["exercise"] in EXERCISES
        assert item["why"]
        assert item["count"] >= 1


def test_practice_is_each_solvers_own(client: httpx.Client) -> None:
    _given(client, _next(client, "sticker-letter", solver="Ines"), "?", solver="Ines")
    with Logbook.open() as book:
        assert len(book.reviews(solver="Ines", exercise="sticker-letter")) == 1
        assert book.reviews(exercise="sticker-letter") == []


def test_subjects_asked_for_come_first_and_none_comes_twice_in_a_row(client: httpx.Client) -> None:
    first = _next(client, "sticker-letter", orbit="corners", wanted=["corners/DBL"])
    assert first["lit"] == ["DBL"]
    second = _next(client, "sticker-letter", orbit="corners", wanted=["corners/DBL"], after=first["ticket"])
    assert second["lit"] != ["DBL"]


def test_a_memo_is_shown_and_asked_for_as_long_as_one_wants(client: httpx.Client) -> None:
    question = _next(client, "hold-memo", shown=12.5, delay=40)
    assert (question["seconds"], question["delay"]) == (12.5, 40)
    assert "shown for 12.5 seconds; after 40 seconds you are asked for them" in question["prompt"]
    free = _next(client, "hold-memo", wanted=["edges/timed"], shown=0, delay=0, level=3)
    assert (free["seconds"], free["delay"]) == (None, 0)
    assert "shown as long as you like: give them again" in free["prompt"]
    assert _given(client, question, _right(question))["right"] is True
    with Logbook.open() as book:
        (kept,) = book.reviews(exercise="hold-memo")
    assert (kept.asked["question"]["seconds"], kept.asked["question"]["delay"]) == (12.5, 40)


@pytest.mark.parametrize(
    ("exercise", "more", "said"),
    [
        ("hold-memo", {"shown": -1}, "a memo cannot be shown for -1 seconds; 0 to 900 can be"),
        ("hold-memo", {"delay": 1000}, "a memo cannot be asked for after 1000 seconds"),
        ("setup", {"delay": 10}, "is chosen for hold-memo alone"),
    ],
)
def test_times_that_make_no_sense_are_refused(
    client: httpx.Client, exercise: str, more: dict[str, float], said: str
) -> None:
    answer = client.post(f"/api/drills/{exercise}/next", json=more)
    assert answer.status_code == 422
    assert said in answer.json()["error"]
