"""``/api/attempts`` and ``/api/series``: every step is kept before it is answered, and asking twice is asking once."""

from __future__ import annotations

import signal
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from nightfold.blind.plan import make_plan
from nightfold.cube.net import write_net
from nightfold.cube.notation import invert, write
from nightfold.cube.state import Cube
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt, Series
from nightfold.practice.removed import MOST
from nightfold.practice.results import Outcome
from nightfold.web.book import close_books
from tests.web.serving import MINE, SCRAMBLE, App, asked, client_of, serving

MANY = ["R U F", "L2 D B'", "F R2 U'"]


def new_id() -> str:
    return str(uuid.uuid4())


def ago(**time: float) -> str:
    return (datetime.now(UTC) - timedelta(**time)).isoformat()


def begin(client: httpx.Client, **more: Any) -> str:
    """Begin an attempt at SCRAMBLE unless told otherwise; its id."""
    body = {"id": new_id(), "started": ago(seconds=1), **more}
    if "scrambles" not in body:
        body.setdefault("cube", {"scramble": SCRAMBLE})
    return str(asked(client, "attempts", body)["id"])


def change(client: httpx.Client, ident: str, **told: Any) -> Any:
    return asked(client, f"attempts/{ident}", told, "PATCH")


def refused(client: httpx.Client, method: str, path: str, body: Any = None) -> tuple[int, str]:
    answer = client.request(method, f"/api/{path}", json=body)
    assert set(answer.json()) == {"error"}
    return answer.status_code, answer.json()["error"]


def solved(client: httpx.Client, ms: int, **more: Any) -> str:
    ident = begin(client, **more)
    change(client, ident, memo_ms=ms // 2, total_ms=ms, outcome="solved")
    return ident


# --- one cube ---


def test_an_attempt_from_its_start_to_its_outcome(client: httpx.Client) -> None:
    ident = begin(client, solver="Maren", note="by lamplight")
    plan = make_plan(SCRAMBLE)
    found = asked(client, f"attempts/{ident}")
    assert (found["outcome"], found["result"], found["solver"], found["note"]) == (
        "unfinished",
        "unfinished",
        "Maren",
        "by lamplight",
    )
    assert found["scramble"] == SCRAMBLE
    assert (found["method"], found["lettering"]) == (plan.method.name, plan.lettering.name)
    for reading in plan.orbits:
        assert found[f"{reading.orbit.name.removesuffix('s')}_letters"] == len(reading.letters)
    assert found["parity"] == plan.parity
    assert found["running_ms"] >= 1000
    assert change(client, ident, memo_ms=40_120)["memo_ms"] == 40_120
    assert change(client, ident, uncovered=True)["memo_ms"] is None
    change(client, ident, memo_ms=47_059)
    stopped = change(client, ident, total_ms=83_459)
    assert (stopped["outcome"], stopped["running_ms"]) == ("unfinished", None)
    assert change(client, ident, outcome="solved")["result"] == "1:23.45"
    assert change(client, ident, outcome="plus2")["result"] == "1:25.45 (with +2)"
    assert change(client, ident, outcome="dnf")["result"] == "DNF (1:23.45)"


def test_asking_twice_is_asking_once(client: httpx.Client) -> None:
    body = {"id": new_id(), "started": ago(seconds=3), "cube": {"scramble": SCRAMBLE}}
    first = asked(client, "attempts", body)
    for told in ({"memo_ms": 900}, {"total_ms": 2_000}, {"outcome": "solved"}):
        once, twice = (change(client, str(body["id"]), **told) for _ in range(2))
        assert {**once, "running_ms": 0} == {**twice, "running_ms": 0}
    # The first step arrives once more, as from a browser that never heard the answer: nothing is set back.
    again = asked(client, "attempts", body)
    assert (again["outcome"], again["total_ms"], again["started"]) == ("solved", 2_000, first["started"])
    assert len(asked(client, "attempts")["attempts"]) == 1


@pytest.mark.parametrize(
    "other",
    [{"cube": {"scramble": "R U"}}, {"solver": "Jory"}, {"cube": None, "scrambles": MANY}, {"started": ago(days=1)}],
)
def test_an_id_has_one_attempt(client: httpx.Client, other: dict[str, Any]) -> None:
    body = {"id": new_id(), "started": ago(seconds=3), "cube": {"scramble": SCRAMBLE}}
    asked(client, "attempts", body)
    status, said = refused(client, "POST", "attempts", {**body, **other})
    assert status == 409
    assert "is in the logbook already, with another scramble, solver or start" in said
    assert asked(client, f"attempts/{body['id']}")["scramble"] == SCRAMBLE


def test_an_id_has_one_series(client: httpx.Client) -> None:
    body = {"id": new_id(), "kind": "evening", "started": ago(seconds=3)}
    asked(client, "series", body)
    status, said = refused(client, "POST", "series", {**body, "kind": "mean-of-3"})
    assert (status, "is there already" in said) == (409, True)


def test_what_was_answered_is_on_the_disk(client: httpx.Client, home: Path) -> None:
    ident = begin(client)
    change(client, ident, memo_ms=500)
    with Logbook.open() as book:
        kept = book.get(Attempt, ident)
    assert kept is not None
    assert (kept.scramble, kept.memo_ms, kept.outcome) == (SCRAMBLE, 500, Outcome.UNFINISHED)
    assert any(path.is_file() for path in home.rglob("*")), "the tests must not touch the logbook of a person"


def test_one_that_was_not_begun(client: httpx.Client) -> None:
    ident = begin(client)
    assert change(client, ident, outcome="dns")["result"] == "DNS"
    assert asked(client, "attempts/running")["attempts"] == []


def test_running_ones_are_found_until_they_are_ended(client: httpx.Client) -> None:
    mine, marens, gone = begin(client), begin(client, solver="Maren"), begin(client)
    change(client, gone, total_ms=5_000)
    assert {one["id"] for one in asked(client, "attempts/running")["attempts"]} == {mine, marens}
    assert [one["id"] for one in asked(client, "attempts/running?solver=Maren")["attempts"]] == [marens]
    change(client, marens, outcome="dnf")
    assert [one["id"] for one in asked(client, "attempts/running")["attempts"]] == [mine]


def test_the_last_one_that_nobody_judged_is_asked_for(client: httpx.Client) -> None:
    old = begin(client, started=ago(hours=2))
    change(client, old, memo_ms=1_000, total_ms=5_000)
    path = "attempts/running?unjudged=true&solver="
    assert [one["id"] for one in asked(client, path)["attempts"]] == [old]
    assert asked(client, "attempts/running?solver=")["attempts"] == []
    # With another one begun it is left as it is, and so is one of the day before yesterday.
    begin(client, started=ago(hours=1))
    assert old not in [one["id"] for one in asked(client, path)["attempts"]]
    change(client, begin(client, solver="Ansa", started=ago(days=2)), memo_ms=1_000, total_ms=5_000)
    assert asked(client, f"{path}Ansa")["attempts"] == []


def test_pages_the_newest_first(client: httpx.Client) -> None:
    idents = [begin(client, started=ago(minutes=10 - at)) for at in range(5)][::-1]
    begin(client, solver="Jory")
    page = asked(client, "attempts?most=2")
    assert [one["id"] for one in page["attempts"]] == idents[:2]
    assert page["more"]
    rest = asked(client, f"attempts?most=3&before={idents[1]}")
    assert [one["id"] for one in rest["attempts"]] == idents[2:]
    assert not rest["more"]


def test_a_removed_one_can_be_brought_back_whole(client: httpx.Client) -> None:
    ident = begin(client, note="keep me")
    plan = make_plan(SCRAMBLE)
    change(client, ident, memo_ms=1, total_ms=2, outcome="dnf")
    asked(client, f"attempts/{ident}/inquest", {"left": write(plan.solution[-1:]), "mistakes": 1})
    before = asked(client, f"attempts/{ident}")
    assert before["mistakes"]
    assert asked(client, f"attempts/{ident}", method="DELETE") == before
    assert refused(client, "GET", f"attempts/{ident}")[0] == 404
    assert asked(client, f"attempts/{ident}/restore", {}) == before
    assert asked(client, f"attempts/{ident}/restore", {}) == before
    assert asked(client, "attempts")["attempts"][0]["id"] == ident


def test_one_at_many_cubes_is_brought_back_with_its_cubes(client: httpx.Client) -> None:
    ident = begin(client, scrambles=MANY)
    asked(client, f"attempts/{ident}/cubes/2", {"outcome": "dnf"}, "PUT")
    before = asked(client, f"attempts/{ident}", method="DELETE")
    back = asked(client, f"attempts/{ident}/restore", {})
    assert back["cubes"] == before["cubes"]
    assert [cube["outcome"] for cube in back["cubes"]] == ["unfinished", "dnf", "unfinished"]


# --- the inquest ---


def test_the_inquest_is_stored_with_what_came_out(client: httpx.Client) -> None:
    plan = make_plan(SCRAMBLE)
    left = write(plan.solution[-1:])
    memo = {reading.orbit.name: " ".join(reading.letters) for reading in plan.orbits}
    ident = begin(client)
    change(client, ident, memo_ms=1, total_ms=2, outcome="dnf")
    verdict = asked(client, f"attempts/{ident}/inquest", {"left": left, "memo": memo, "mistakes": 1, "top": 3})
    assert verdict["explanations"]
    kept = asked(client, f"attempts/{ident}")
    assert kept["memo"] == memo
    assert kept["final"] == write_net(Cube.solved().apply(invert(plan.solution[-1:])))
    told = [mistake["say"] for one in verdict["explanations"] for mistake in one["mistakes"]]
    assert sorted(mistake["said"]["say"] for mistake in kept["mistakes"]) == sorted(told)
    assert {mistake["explanation"] for mistake in kept["mistakes"]} == set(range(len(verdict["explanations"])))
    # Later, without telling anything: what was kept is looked into again, and nothing is counted twice.
    again = asked(client, f"attempts/{ident}/inquest", {"mistakes": 1, "top": 3})
    assert again["explanations"][0]["mistakes"] == verdict["explanations"][0]["mistakes"]
    assert len(asked(client, f"attempts/{ident}")["mistakes"]) == len(kept["mistakes"])


def test_the_inquest_knows_methods_of_one_s_own(client: httpx.Client) -> None:
    text = asked(client, "methods/two-swap")["source"]
    asked(client, "letterings/harbour", {"source": MINE}, "PUT")
    asked(client, "methods/harbour", {"source": text}, "PUT")
    ident = begin(client, cube={"scramble": SCRAMBLE, "method": "harbour", "lettering": "harbour", "hold": "red,green"})
    change(client, ident, memo_ms=1, total_ms=2, outcome="dnf")
    verdict = asked(client, f"attempts/{ident}/inquest", {"left": "R", "mistakes": 1})
    assert verdict["meant"]["method"] == "harbour"
    asked(client, "methods/harbour", method="DELETE")
    status, said = refused(client, "POST", f"attempts/{ident}/inquest", {"left": "R", "mistakes": 1})
    assert status == 422
    assert "harbour" in said


# --- series ---


def series_of(client: httpx.Client, kind: str, **more: Any) -> str:
    body = {"id": new_id(), "kind": kind, "started": ago(minutes=1), **more}
    assert asked(client, "series", body) == asked(client, "series", body)
    return str(body["id"])


def test_an_evening_is_named_and_renamed(client: httpx.Client) -> None:
    ident = series_of(client, "evening", name="  Lamp   night ")
    assert asked(client, f"series/{ident}")["name"] == "Lamp night"
    assert asked(client, f"series/{ident}", {"name": "Storm"}, "PATCH")["name"] == "Storm"
    assert asked(client, "series")[0]["name"] == "Storm"
    assert refused(client, "PATCH", f"series/{new_id()}", {"name": "Storm"})[0] == 404
    assert refused(client, "PATCH", f"series/{ident}", {"name": "x" * 201})[0] == 422


def test_many_cubes_keep_how_they_are_read(client: httpx.Client) -> None:
    read = {"method": "corners-first", "lettering": "greek", "hold": "yellow,green"}
    evening = series_of(client, "evening")
    found = asked(client, f"attempts/{begin(client, scrambles=MANY, series=evening, **read)}")
    assert {name: found[name] for name in read} == read
    change(client, found["id"], memo_ms=60_000, total_ms=100_000)
    for number in range(1, len(MANY) + 1):
        asked(client, f"attempts/{found['id']}/cubes/{number}", {"outcome": "solved"}, "PUT")
    solved(client, 50_000, series=evening)
    stand = asked(client, f"series/{evening}")
    assert [one["event"] for one in stand["attempts"]] == ["333mbf", "333bf"]
    assert stand["standing"]["results"] == [5000]  # points have no part in it
    usual = asked(client, f"attempts/{begin(client, scrambles=MANY, method='two-swap')}")
    assert (usual["method"], usual["lettering"], usual["hold"]) == ("two-swap", "clockwise", "white,green")
    status, sentence = refused(
        client,
        "POST",
        "attempts",
        {"id": new_id(), "started": ago(seconds=1), "cube": {"scramble": "R"}, "method": "two-swap"},
    )
    assert status == 422
    assert "stand within “cube”" in sentence
    assert (
        refused(
            client,
            "POST",
            "attempts",
            {"id": new_id(), "started": ago(seconds=1), "scrambles": MANY, "method": "nobodys"},
        )[0]
        == 404
    )


def test_removed_ones_outlive_the_server() -> None:
    with serving() as port, client_of(port) as client:
        evening = series_of(client, "evening")
        gone = begin(client, series=evening)
        change(client, gone, total_ms=5_000, outcome="dnf")
        asked(client, f"attempts/{gone}/inquest", {"left": "R", "mistakes": 1})
        before = asked(client, f"attempts/{gone}")
        others = [begin(client, started=ago(minutes=at)) for at in range(1, MOST + 2)]
        asked(client, f"attempts/{gone}", method="DELETE")
    close_books()
    with serving() as port, client_of(port) as client:
        assert [one["id"] for one in asked(client, "attempts/removed")["attempts"]] == [gone]
        assert asked(client, "attempts/removed?solver=Jory")["attempts"] == []
        assert asked(client, f"attempts/{gone}/restore", {}) == before
        assert asked(client, "attempts/removed")["attempts"] == []
        # Only so many are kept, and one whose series is gone comes back by itself.
        asked(client, f"attempts/{gone}", method="DELETE")
        with Logbook.open() as book:
            book.remove(Series, evening)
        back = asked(client, f"attempts/{gone}/restore", {})
        assert (back["series"], back["mistakes"]) == (None, before["mistakes"])
        for ident in others:
            asked(client, f"attempts/{ident}", method="DELETE")
        assert [one["id"] for one in asked(client, "attempts/removed")["attempts"]] == others[:0:-1]
        assert refused(client, "POST", f"attempts/{others[0]}/restore", {})[0] == 404
        assert refused(client, "POST", "attempts/..%5Csettings/restore", {})[0] == 404


def test_a_mean_of_3_stands_as_its_attempts_say(client: httpx.Client) -> None:
    ident = series_of(client, "mean-of-3")
    stand = asked(client, f"series/{ident}")["standing"]
    assert (stand["results"], stand["complete"], stand["say"]) == ([], False, "No attempt yet.")
    for number, (ms, mean) in enumerate(((60_019, None), (62_990, None), (61_009, 6133)), start=1):
        one = solved(client, ms, series=ident, started=ago(seconds=60 - number))
        assert asked(client, f"attempts/{one}")["number"] == number
        stand = asked(client, f"series/{ident}")["standing"]
        assert stand["mean"] == mean
    # (60.01 + 62.99 + 61.00) / 3 = 61.3333…, rounded to the hundredth (WCA 9f1).
    assert stand["results"] == [6001, 6299, 6100]
    assert (stand["best"], stand["complete"]) == (6001, True)
    assert stand["say"] == "Best: 1:00.01. Mean of 3: 1:01.33."


def test_one_dnf_makes_the_mean_a_dnf(client: httpx.Client) -> None:
    ident = series_of(client, "best-of-3", solver="Ansa")
    for at in range(2):
        solved(client, 60_000 + at, series=ident, solver="Ansa", started=ago(seconds=50 - at))
    failed = begin(client, series=ident, solver="Ansa")
    assert not asked(client, f"series/{ident}")["standing"]["complete"]
    change(client, failed, total_ms=9_000, outcome="dnf")
    stand = asked(client, f"series/{ident}")["standing"]
    assert (stand["results"], stand["mean"], stand["best"]) == ([6000, 6000, None], None, 6000)
    assert stand["complete"]
    assert [one["id"] for one in asked(client, "series?solver=Ansa")] == [ident]
    assert asked(client, "series") == []


def test_an_evening_is_never_complete(client: httpx.Client) -> None:
    ident = series_of(client, "evening", name="Thursday")
    for at in range(4):
        solved(client, 50_000 + 1000 * at, series=ident, started=ago(seconds=40 - at))
    found = asked(client, f"series/{ident}")
    assert len(found["attempts"]) == 4
    assert (found["standing"]["best"], found["standing"]["complete"]) == (5000, False)


# --- many cubes ---


@pytest.mark.parametrize(
    ("outcomes", "outcome", "result", "points"),
    [
        (("solved", "plus2", "solved"), "solved", "3/3 in 10:02", 3),
        (("solved", "dnf", "solved"), "solved", "2/3 in 10:00", 1),
        # Only one solved is no result, whatever its points (WCA 9f12c).
        (("dnf", "dnf", "solved"), "dnf", "DNF (10:00)", None),
    ],
)
def test_the_score_of_many_cubes_follows_from_each(
    client: httpx.Client, outcomes: tuple[str, ...], outcome: str, result: str, points: int | None
) -> None:
    ident = begin(client, scrambles=MANY)
    found = change(client, ident, memo_ms=400_000, total_ms=600_000)
    assert (found["event"], found["limit_s"]) == ("333mbf", 1800)
    assert [cube["scramble"] for cube in found["cubes"]] == MANY
    for number, one in enumerate(outcomes, start=1):
        assert found["outcome"] == "unfinished"
        found = asked(client, f"attempts/{ident}/cubes/{number}", {"outcome": one}, "PUT")
    assert (found["outcome"], found["result"], found["points"]) == (outcome, result, points)


def test_a_cube_that_was_misjudged_is_judged_anew(client: httpx.Client) -> None:
    ident = begin(client, scrambles=MANY[:2])
    for number in (1, 2):
        asked(client, f"attempts/{ident}/cubes/{number}", {"outcome": "solved"}, "PUT")
    # The time arrives last, as from a browser that could not send it before.
    assert change(client, ident, total_ms=61_000)["result"] == "2/2 in 1:01"
    assert asked(client, f"attempts/{ident}/cubes/1", {"outcome": "dnf"}, "PUT")["outcome"] == "dnf"
    assert asked(client, f"attempts/{ident}/cubes/1", {"outcome": "solved"}, "PUT")["result"] == "2/2 in 1:01"


def test_what_came_out_of_one_of_many_cubes_and_why_is_kept(client: httpx.Client) -> None:
    ident = begin(client, scrambles=[SCRAMBLE, *MANY], method="two-swap")
    change(client, ident, memo_ms=400_000, total_ms=600_000)
    for number, outcome in enumerate(("dnf", "solved", "dnf", "solved"), start=1):
        asked(client, f"attempts/{ident}/cubes/{number}", {"outcome": outcome}, "PUT")
    memo = {reading.orbit.name: " ".join(reading.letters) for reading in make_plan(SCRAMBLE).orbits}
    left = write(make_plan(SCRAMBLE).solution[-1:])
    asked(client, f"attempts/{ident}/inquest", {"cube": 1, "left": left, "memo": memo, "mistakes": 1, "top": 2})
    asked(client, f"attempts/{ident}/inquest", {"cube": 3, "left": "R", "mistakes": 1, "top": 2})
    found = asked(client, f"attempts/{ident}")
    assert (found["cubes"][0]["memo"], found["final"], found["memo"]) == (memo, None, {})
    assert found["cubes"][0]["final"] == write_net(Cube.solved().apply(invert(make_plan(SCRAMBLE).solution[-1:])))
    assert {one["said"]["cube"] for one in found["mistakes"]} == {1, 3}
    # Held again without a word, it goes by what was kept, and replaces only what was found at that cube.
    asked(client, f"attempts/{ident}/inquest", {"cube": 1, "mistakes": 1, "top": 1})
    again = asked(client, f"attempts/{ident}")["mistakes"]
    assert {one["explanation"] for one in again if one["said"]["cube"] == 1} == {0}
    assert [one for one in again if one["said"]["cube"] == 3] == [
        one for one in found["mistakes"] if one["said"]["cube"] == 3
    ]
    # It was solved after all.
    asked(client, f"attempts/{ident}/cubes/1", {"outcome": "solved"}, "PUT")
    found = asked(client, f"attempts/{ident}")
    assert {one["said"]["cube"] for one in found["mistakes"]} == {3}
    assert found["cubes"][0]["final"] is None
    assert refused(client, "POST", f"attempts/{ident}/inquest", {"cube": 9, "left": "R"})[0] == 422


def test_an_evening_goes_on_past_midnight(client: httpx.Client) -> None:
    ident = series_of(client, "evening", started=ago(hours=9))
    assert not asked(client, f"series/{ident}")["open"]
    solved(client, 3_600_000, series=ident, started=ago(hours=6, minutes=30))  # it ended five and a half hours ago
    assert asked(client, f"series/{ident}")["open"]
    mean = series_of(client, "mean-of-3")
    for at in range(3):
        assert asked(client, f"series/{mean}")["open"]
        solved(client, 50_000, series=mean, started=ago(seconds=40 - at))
    assert not asked(client, f"series/{mean}")["open"]


# --- what cannot be ---


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "attempts/{}"),
        ("PATCH", "attempts/{}"),
        ("DELETE", "attempts/{}"),
        ("POST", "attempts/{}/restore"),
        ("POST", "attempts/{}/inquest"),
        ("GET", "attempts?before={}"),
        ("GET", "series/{}"),
        ("PUT", "attempts/{}/cubes/1"),
    ],
)
@pytest.mark.parametrize("ident", ["5", "00000000-0000-4000-8000-000000000000"])
def test_what_is_not_in_the_logbook_is_not_found(client: httpx.Client, method: str, path: str, ident: str) -> None:
    body = None if method in ("GET", "DELETE") else {"outcome": "solved"} if method == "PUT" else {}
    status, said = refused(client, method, path.format(ident), body)
    assert status == 404
    assert ident in said


def test_a_cube_or_a_series_that_is_not_there(client: httpx.Client) -> None:
    ident = begin(client, scrambles=MANY)
    assert refused(client, "PUT", f"attempts/{ident}/cubes/4", {"outcome": "solved"}) == (
        404,
        f"the attempt {ident} has no cube 4",
    )
    body = {"id": new_id(), "started": ago(seconds=1), "cube": {"scramble": "R"}, "series": new_id()}
    assert refused(client, "POST", "attempts", body) == (404, f"there is no series {body['series']} in the logbook")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({}, "give either a cube or several scrambles"),
        ({"cube": {"scramble": "R"}, "scrambles": MANY}, "give either a cube or several scrambles"),
        ({"scrambles": ["R U"]}, "two or more"),
        ({"scrambles": ["R U", "R Q"]}, "cube 2: "),
        (
            {"cube": None, "scramble": "R", "lamp": 1},
            "scramble: this is not known here; /api/openapi.json tells what is; 1 more thing is wrong besides",
        ),
        ({"cube": {"scramble": "R Q"}}, "Q"),
        ({"cube": {"net": "".join(colour * 9 for colour in "WOGRBY")}}, "a net is not enough"),
        ({"cube": {"scramble": "R", "method": "nobodys"}}, "nobodys"),
        ({"cube": {"scramble": "R"}, "id": "lamp"}, "id must be"),
        ({"cube": {"scramble": "R"}, "started": "2026-03-05T19:30:00"}, "started"),
        ({"cube": {"scramble": "R"}, "lamp": 1}, "lamp"),
    ],
)
def test_an_attempt_that_cannot_begin(client: httpx.Client, body: dict[str, Any], said: str) -> None:
    status, sentence = refused(client, "POST", "attempts", {"id": new_id(), "started": ago(seconds=1), **body})
    assert status in (404, 422)
    assert said in sentence
    assert "\n" not in sentence
    assert asked(client, "attempts")["attempts"] == []


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"outcome": "solved"}, "a solved attempt needs its time"),
        ({"outcome": "perfect"}, "outcome"),
        ({"memo_ms": -1}, "memo_ms"),
        ({"memo_ms": 2_000, "total_ms": 1_000}, "longer than all of it"),
        ({"total_ms": 0, "outcome": "solved"}, "a time of 0.00 cannot be"),
        ({"total_ms": 360_000_000, "outcome": "solved"}, "longer than a day"),
        ({"final": "WWW"}, "3 stickers"),
        ({"lamp": 1}, "lamp"),
    ],
)
def test_a_change_that_cannot_be_changes_nothing(client: httpx.Client, told: dict[str, Any], said: str) -> None:
    ident = begin(client)
    status, sentence = refused(client, "PATCH", f"attempts/{ident}", told)
    assert status == 422
    assert said in sentence
    assert "\n" not in sentence
    found = asked(client, f"attempts/{ident}")
    assert (found["outcome"], found["memo_ms"], found["total_ms"], found["final"]) == ("unfinished", None, None, None)


def test_many_cubes_have_a_limit(client: httpx.Client) -> None:
    ident = begin(client, scrambles=MANY[:2])
    status, said = refused(client, "PATCH", f"attempts/{ident}", {"total_ms": 1_500_000})
    assert (status, "2 cubes have 20:00 at most (H1b" in said) == (422, True)
    assert change(client, ident, total_ms=1_200_000)["total_ms"] == 1_200_000


def test_an_inquest_that_knows_nothing(client: httpx.Client) -> None:
    ident = begin(client)
    status, _ = refused(client, "POST", f"attempts/{ident}/inquest", {})
    assert status == 422
    many = begin(client, scrambles=MANY)
    status, said = refused(client, "POST", f"attempts/{many}/inquest", {"left": "R"})
    assert status == 422
    assert said == "that attempt was at many cubes; say which, 1 to 3"
    status, said = refused(client, "POST", f"attempts/{many}/inquest", {"left": "R", "cube": 2})
    assert status == 422
    assert "no method" in said


# --- the server dies ---


def test_a_server_that_is_killed_keeps_what_it_answered() -> None:
    with App() as app, client_of(app.port) as client:
        assert app.port, app.end()
        ident = begin(client)
        change(client, ident, memo_ms=700)
        many = begin(client, scrambles=MANY)
        asked(client, f"attempts/{many}/cubes/2", {"outcome": "solved"}, "PUT")
        app.end(signal.SIGKILL)
    with App() as app, client_of(app.port) as client:
        running = asked(client, "attempts/running")["attempts"]
        assert [one["id"] for one in running] == [many, ident]
        assert running[1]["memo_ms"] == 700
        assert running[1]["running_ms"] > 1000
        assert [cube["outcome"] for cube in running[0]["cubes"]] == ["unfinished", "solved", "unfinished"]
        # Its clock ran on; the attempt goes on to its end.
        change(client, ident, total_ms=running[1]["running_ms"])
        assert change(client, ident, outcome="solved")["outcome"] == "solved"
        assert app.end() == (0, "")
