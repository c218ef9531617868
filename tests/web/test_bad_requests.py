"""Whatever a request holds that cannot be used gets one sentence, and never a traceback."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import httpx
import pytest

from nightfold.blind.files import SHIPPED
from nightfold.web.errors import BusyError
from nightfold.web.work import Bench, Task
from tests.cli.running import cases
from tests.web.serving import MINE, SCRAMBLE

NET = "W" * 54
METHOD = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")

BAD: dict[str, tuple[str, str, Any, int, str]] = {
    "no cube": ("POST", "plan", {}, 422, "give either a scramble or a net"),
    "two cubes": ("POST", "plan", {"scramble": "R", "net": NET}, 422, "give either a scramble or a net"),
    "scramble": ("POST", "plan", {"scramble": "R Q"}, 422, "“Q”"),
    "scramble kind": ("POST", "plan", {"scramble": 3}, 422, "scramble: input should be a valid string"),
    "key": ("POST", "plan", {"scrambel": "R"}, 422, "scrambel: this is not known here"),
    "net": ("POST", "plan", {"net": "W"}, 422, "1 sticker"),
    "impossible net": ("POST", "plan", {"net": NET[:53] + "R"}, 422, "only 2 colours"),
    "method": ("POST", "plan", {"scramble": "R", "method": "none"}, 404, "there is no method “none”; there are two-"),
    "lettering": ("POST", "plan", {"scramble": "R", "lettering": "none"}, 404, "there is no lettering “none”"),
    "hold": ("POST", "plan", {"scramble": "R", "hold": "white,yellow"}, 422, "opposite faces"),
    "breaks": ("POST", "plan", {"scramble": "R", "breaks": "highest"}, 422, "is no way to choose breaks"),
    "long": ("POST", "plan", {"scramble": "R " * 150_000}, 422, "at most 200,000"),
    "many": ("POST", "plan", {"scramble": "((R U)1000)1000"}, 422, "at most 20,000"),
    "deep": ("POST", "plan", {"scramble": "(" * 60}, 422, "nested more than 40 deep"),
    "diagnose": ("POST", "diagnose", {"net": ""}, 422, "no stickers in this net"),
    "diagnose nothing": ("POST", "diagnose", {}, 422, "net: this is missing"),
    "look size": ("POST", "look", {"scramble": "R", "size": 8}, 422, "size: input should be less than or equal to 7"),
    "look": ("POST", "look", {"scramble": "M", "size": 4}, 422, "M"),
    "turns": ("POST", "turns", {"algorithm": "[R, U"}, 422, "["),
    "deal none": ("POST", "deal", {"count": 0}, 422, "count: input should be greater than or equal to 1"),
    "deal too many": ("POST", "deal", {"count": 501}, 422, "count: input should be less than or equal to 500"),
    "deal feature": ("POST", "deal", {"letters": "many"}, 422, "letters in all: “many” is no number or range"),
    "deal impossible": ("POST", "deal", {"letters": "7"}, 422, "7 letters in all"),
    "deal use": ("POST", "deal", {"use": "K"}, 422, "use “K” must be an orbit, =, and letters"),
    "deal size": ("POST", "deal", {"size": 4, "parity": "yes"}, 422, "features are dealt on the 3x3x3 only"),
    "deal seed": ("POST", "deal", {"seed": 1 << 64}, 422, "seed"),
    "odds": ("POST", "odds", {"parity": "perhaps"}, 422, "parity must be yes or no"),
    "odds cube": ("POST", "odds", {"cube": {}}, 422, "give either a scramble or a net"),
    "mark nothing": ("POST", "mark", {"cube": {"scramble": "R"}}, 422, "there is no memo to mark"),
    "mark": ("POST", "mark", {"cube": {"scramble": "R"}, "edges": "A1"}, 422, "“1” at column 2 of the edges memo"),
    "inquest": ("POST", "inquest", {"cube": {"scramble": "R"}}, 422, "say what came out in one way"),
    "inquest turns": (
        "POST",
        "inquest",
        {"cube": {"scramble": SCRAMBLE}, "performed": "R Q"},
        422,
        "“Q”",
    ),
    "inquest mistakes": (
        "POST",
        "inquest",
        {"cube": {"scramble": "R"}, "performed": "R", "mistakes": 4},
        422,
        "mistakes: input should be less than or equal to 3",
    ),
    "method name": ("GET", "methods/none", None, 404, "there is no method “none”"),
    "method path": ("GET", "methods/..%2F..%2Fsettings", None, 404, "there is nothing at"),
    "lettering name": ("GET", "letterings/none?size=3", None, 404, "there is no lettering “none”"),
    "lettering size": ("GET", "letterings/greek?size=9", None, 422, "size: input should be"),
    "method kept as shipped": ("PUT", "methods/two-swap", {"source": METHOD}, 409, "comes along with Nightfold"),
    "method kept as path": ("PUT", "methods/a.b", {"source": METHOD}, 422, "“a.b” cannot name a method"),
    "method kept as device": ("PUT", "methods/con", {"source": METHOD}, 422, "“con” cannot name a method"),
    "method kept in capitals": ("PUT", "methods/Mine", {"source": METHOD}, 422, "“Mine” cannot name a method"),
    "method kept broken": ("PUT", "methods/mine", {"source": "title ="}, 422, "mine is not valid TOML"),
    "method with a path": (
        "PUT",
        "methods/mine",
        {"source": METHOD.replace('"clockwise"', '"/etc/hostname"')},
        422,
        "mine, lettering: there is no lettering “/etc/hostname”; there are clockwise, greek",
    ),
    "lettering kept with gaps": ("PUT", "letterings/mine", {"source": MINE.replace("a b", "a")}, 422, "have no symbol"),
    "lettering removed": ("DELETE", "letterings/greek", {}, 409, "comes along with Nightfold"),
    "method removed": ("DELETE", "methods/none", {}, 404, "there is no method “none” of your own"),
    "settings": ("PUT", "settings", {"theme": "pink"}, 422, "theme: input should be 'auto', 'night' or 'day'"),
    "settings method": ("PUT", "settings", {"method": "none"}, 404, "there is no method “none”"),
    "settings hold": ("PUT", "settings", {"hold": "white"}, 422, "must be two colours"),
    "nowhere": ("GET", "nowhere", None, 404, "there is nothing at /api/nowhere"),
    "wrong verb": ("GET", "plan", None, 405, "/api/plan does not know GET"),
    "surrogate": ("POST", "plan", {"scramble": "\ud800"}, 422, "“scramble” holds half a character"),
}


@pytest.mark.parametrize(("method", "path", "body", "status", "sentence"), cases(BAD))
def test_bad_input_gets_its_sentence(
    client: httpx.Client, home: Path, method: str, path: str, body: Any, status: int, sentence: str
) -> None:
    content = None if body is None else json.dumps(body)
    answer = client.request(method, f"/api/{path}", content=content, headers={"content-type": "application/json"})
    assert answer.status_code == status, answer.text
    told = answer.json()
    assert set(told) == {"error"}
    assert sentence in told["error"]
    assert "Traceback" not in answer.text
    assert not home.exists(), "nothing may be written for input that is refused"


FIND: dict[str, tuple[dict[str, Any], str]] = {
    "nothing": ({}, "say what to find in one way"),
    "two things": ({"want": "UF UR DB", "like": "R"}, "say what to find in one way"),
    "impossible": ({"want": "UF UR"}, "no turns have this effect"),
    "sticker": ({"want": "UF XX"}, "“XX” is no sticker"),
    "turns": ({"want": "UF UR DB", "turns": ""}, "no turns to search with"),
    "algorithm": ({"like": "R Q"}, "“Q”"),
    "method": ({"parity": "none"}, "there is no method “none”"),
    "pieces": ({"want": "UF UR DB", "any": "U"}, "is a centre"),
}


@pytest.mark.parametrize(("body", "sentence"), cases(FIND))
def test_a_search_that_cannot_be_made_ends_in_an_error(
    client: httpx.Client, body: dict[str, Any], sentence: str
) -> None:
    answer = client.post("/api/find", json=body)
    assert answer.status_code == 200
    assert answer.text.startswith("event: error\ndata: ")
    assert sentence in answer.text


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"null", b"\xff", b'{"scramble": NaN}', b"[" * 100_000])
def test_bodies_that_are_no_object(client: httpx.Client, content: bytes) -> None:
    answer = client.post("/api/plan", content=content, headers={"content-type": "application/json"})
    assert answer.status_code in (400, 422)
    assert set(answer.json()) == {"error"}


def test_a_bench_takes_no_more_than_it_can_queue() -> None:
    bench = Bench("test", 1, 1)

    def wait(task: Task) -> None:
        while not task.stopped:
            pass

    first, one = bench.begin(wait)
    second, two = bench.begin(wait)
    with pytest.raises(BusyError, match="too much is being computed"):
        bench.begin(wait)
    first.stop()
    second.stop()
    assert one.result() is None
    assert two.exception() is None or "stopped" in str(two.exception())
    assert bench.begin(lambda _: 7)[1].result() == 7
