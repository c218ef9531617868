"""Words through the interface: candidates, the grid, memos in words, own words and routes in a real logbook."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import httpx
import pytest

from nightfold.memory.own import read_own
from nightfold.practice.logbook import Logbook
from tests.cli.running import here
from tests.web.serving import SCRAMBLE, asked
from tests.web.test_attempts import begin


def _keep(client: httpx.Client, pair: str, word: str, **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = asked(client, "words/own", {"pair": pair, "word": word, **more}, "PUT")
    return found


def _pair(client: httpx.Client, pair: str, **more: Any) -> dict[str, Any]:
    answer = client.get("/api/words", params={"pair": pair, **more})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_candidates_are_what_the_command_prints(client: httpx.Client) -> None:
    answer = _pair(client, "ls", number=5)
    printed = here("words", "LS", "--number", "5", "--json").data
    assert answer["candidates"] == printed["candidates"]
    assert (answer["pair"], answer["letters"], answer["own"]) == ("LS", ["L", "S"], [])
    assert len(_pair(client, "L")["letters"]) == 1
    # A language of which no pictures are known has words without these marks.
    assert _pair(client, "LS", language="de")["candidates"][0]["marks"]["picturable"] is None


def test_own_words_go_round_and_come_first(client: httpx.Client) -> None:
    kept = _keep(client, "ls", " the  lighthouse ", kind="place", note="where we meet", strength=0.9)
    assert (kept["pair"], kept["word"], kept["kind"], kept["strength"]) == ("LS", "the lighthouse", "place", 0.9)
    answer = _pair(client, "LS")
    assert answer["own"] == [kept]
    assert (answer["candidates"][0]["word"], answer["candidates"][0]["own"]) == ("the lighthouse", True)
    again = _keep(client, "LS", "the lighthouse", strength=0.4)
    assert again["id"] == kept["id"]
    changed = _keep(client, "LS", "lens", instead=kept["id"])
    assert changed["id"] != kept["id"]
    assert [one["word"] for one in asked(client, "words/own")] == ["lens"]
    with Logbook.open() as book:
        (word,) = book.words()
        assert (word.pair, word.word) == ("L S", "lens")
    asked(client, f"words/own/{changed['id']}", method="DELETE")
    assert asked(client, "words/own") == []
    assert client.delete(f"/api/words/own/{changed['id']}").status_code == 404


def test_words_are_each_solvers_own(client: httpx.Client) -> None:
    kept = _keep(client, "LS", "lamp", solver="Ines")
    assert _pair(client, "LS")["own"] == []
    assert _pair(client, "LS", solver="Ines")["own"] == [kept]
    assert client.delete(f"/api/words/own/{kept['id']}").status_code == 404
    assert client.put("/api/words/own", json={"pair": "LS", "word": "x", "instead": kept["id"]}).status_code == 404


BAD: dict[str, tuple[str, str, dict[str, Any], int, str]] = {
    "long pair": ("GET", f"words?pair={'L' * 60}", {}, 422, f"“{'L' * 24}…” is no pair of letters"),
    "long pair kept": (
        "PUT",
        "words/own",
        {"pair": "L" * 60, "word": "x"},
        422,
        f"“{'L' * 24}…” is no pair of letters",
    ),
    "pattern": ("GET", "words?pair=LS&pattern=begin", {}, 422, "“begin” is no pattern; patterns are opening"),
    "rule": ("GET", "words/grid?rule=begins", {}, 422, "“begins” at column 1 is no part of a rule"),
    "no pair": ("GET", "words?pair=LSX", {}, 422, "“LSX” is no pair of letters"),
    "language": ("GET", "words?pair=LS&language=xx", {}, 422, "no words for the language “xx”"),
    "number": ("GET", "words?pair=LS&number=0", {}, 422, "number"),
    "key": ("GET", "words?pair=LS&rood=1", {}, 422, "rood: this is not known here"),
    "lettering": ("GET", "words/grid?lettering=nobodys", {}, 404, "nobodys"),
    "kind": ("PUT", "words/own", {"pair": "LS", "word": "x", "kind": "noise"}, 422, "kind: “noise” is no kind"),
    "empty": ("PUT", "words/own", {"pair": "LS", "word": "  "}, 422, "word: there is nothing in it"),
    "line": ("PUT", "words/own", {"pair": "LS", "word": "a\x07b"}, 422, "word: the text holds a character"),
    "one letter": ("PUT", "words/own", {"pair": "L", "word": "lamp"}, 422, "“L” is one letter"),
    "strength": ("PUT", "words/own", {"pair": "LS", "word": "x", "strength": 2}, 422, "strength"),
    "changed": ("PUT", "words/own", {"pair": "LS", "word": "x", "instead": "no"}, 404, "not in the logbook any more"),
    "no cube": ("POST", "words/for", {}, 422, "either a scramble or a net"),
    "style": ("POST", "words/for", {"scramble": "R", "styles": "opera"}, 422, "“opera” is no style"),
    "route": ("POST", "words/for", {"scramble": SCRAMBLE, "route": "door"}, 422, "the route has 1 place"),
    "places": ("PUT", "words/routes", {"name": "home", "places": " , "}, 422, "the route names no places"),
    "no route": ("DELETE", "words/routes/none", {}, 404, "there is no route none"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_used_gets_one_sentence(client: httpx.Client, name: str) -> None:
    method, path, body, status, said = BAD[name]
    answer = client.request(method, f"/api/{path}", json=body if method in ("POST", "PUT") else None)
    assert answer.status_code == status, answer.text
    assert set(answer.json()) == {"error"}
    assert said in answer.json()["error"]
    assert asked(client, "words/own") == []


def test_the_grid_has_every_pair_with_its_state(client: httpx.Client) -> None:
    before = asked(client, "words/grid")
    for orbit in before["orbits"]:
        letters = orbit["letters"]
        assert len(orbit["pairs"]) == len(letters) * (len(letters) - 1)
        assert sum(orbit["counts"].values()) == len(orbit["pairs"])
        assert all(set(cell["letters"]) <= set(letters) for cell in orbit["pairs"])
    _keep(client, "CD", "candle", strength=0.9)
    _keep(client, "BU", "bus")  # the buffer's own letter, which no memo of the edges has
    after = asked(client, "words/grid")
    (cell,) = (cell for cell in after["orbits"][0]["pairs"] if cell["pair"] == "CD")
    assert (cell["state"], cell["word"]) == ("own", "candle")
    assert after["orbits"][0]["counts"]["own"] == before["orbits"][0]["counts"]["own"] + 1
    assert "CD" not in after["unused"]


def test_a_memo_in_words_is_what_the_command_prints(client: httpx.Client) -> None:
    styles = "edges=sounds;corners=story"
    answer = asked(client, "words/for", {"scramble": SCRAMBLE, "styles": styles, "breaks": "words"})
    printed = here("words", "--for", SCRAMBLE, "--phrases", styles, "--breaks", "words", "--json").data
    assert answer == {**printed, "why_not": ""}
    walk = ", ".join(f"step {number}" for number in range(1, 13))
    walked = asked(client, "words/for", {"scramble": SCRAMBLE, "route": walk})
    assert "Step 1: " in walked["orbits"][0]["phrase"]["text"]
    german = asked(client, "words/for", {"scramble": "R", "language": "de"})
    assert "English only" in german["why_not"]


def test_breaks_that_make_the_strongest_pairs_are_those_of_the_command(client: httpx.Client) -> None:
    cube = {"scramble": SCRAMBLE, "breaks": "words"}
    printed = here("plan", SCRAMBLE, "--breaks", "words", "--json").data
    found = asked(client, "plan", cube)
    letters = [one["letters"] for one in found["orbits"]]
    assert (found["solution"], letters) == (printed["solution"], [one["letters"] for one in printed["orbits"]])
    # Words of one's own decide: with one known by heart for every pair of another memo, that memo is chosen.
    other = asked(client, "plan", {"scramble": SCRAMBLE, "breaks": "shortest"})
    wanted = [one["letters"] for one in other["orbits"]]
    assert wanted != letters
    for memo in wanted:
        for first, second in zip(memo[::2], memo[1::2], strict=False):
            _keep(client, first + second, f"lamp {first}{second}", strength=1.0, kind="object")
    assert [one["letters"] for one in asked(client, "plan", cube)["orbits"]] == wanted
    marked = asked(client, "mark", {"cube": cube, "edges": "".join(wanted[0]), "corners": "".join(wanted[1])})
    assert [one["faults"] for one in marked["orbits"]] == [[], []]


def test_an_attempt_keeps_the_breaks_that_its_words_led_to(client: httpx.Client) -> None:
    cube = {"scramble": SCRAMBLE, "breaks": "words"}
    planned = asked(client, "plan", cube)
    ident = begin(client, cube=cube)
    kept = asked(client, f"attempts/{ident}")
    assert kept["breaks_policy"].startswith("choose:")
    again = asked(client, "plan", {"scramble": SCRAMBLE, "breaks": kept["breaks_policy"]})
    assert [one["letters"] for one in again["orbits"]] == [one["letters"] for one in planned["orbits"]]
    asked(client, "settings", {"breaks": "words"}, "PUT")
    assert asked(client, "settings")["breaks"] == "words"


def test_a_file_is_looked_at_first_and_taken_whole_or_not_at_all(client: httpx.Client) -> None:
    bad = "pair,word,kind\nLS,lamp,object\nAB,abbey,noise\nABC,abc,\n"
    for dry in (True, False):
        told = asked(client, "words/import", {"text": bad, "name": "club.csv", "dry": dry})
        assert not told["kept"]
        assert [problem.split(":")[0] for problem in told["problems"]] == [
            "club.csv, row 3, column kind",
            "club.csv, row 4",
        ]
        assert asked(client, "words/own") == []
    good = "pair,word,kind,note,strength\nLS,lamp,object,,0.8\nAB,abbey,place,by the sea,\n"
    looked = asked(client, "words/import", {"text": good})
    assert (looked["new"], looked["changed"], looked["kept"]) == (2, 0, False)
    assert asked(client, "words/own") == []
    assert asked(client, "words/import", {"text": good, "dry": False})["kept"]
    again = asked(client, "words/import", {"text": good})
    assert (again["new"], again["changed"]) == (0, 2)


def test_what_is_taken_out_can_be_brought_in_again(client: httpx.Client) -> None:
    _keep(client, "LS", 'a "lamp", lit', note="=1+1", strength=0.25)
    _keep(client, "AB", "abbey", kind="place")
    csv = client.get("/api/words/own.csv")
    assert csv.headers["content-type"].startswith("text/csv")
    assert {word.word for word in read_own(csv.text).all} == {'a "lamp", lit', "abbey"}
    before = asked(client, "words/own")
    for word in before:
        asked(client, f"words/own/{word['id']}", method="DELETE")
    asked(client, "words/import", {"text": csv.text, "dry": False})
    assert asked(client, "words/own") == before


def test_routes_are_kept_by_name(client: httpx.Client) -> None:
    first = asked(client, "words/routes", {"name": "home", "places": "harbour, stairs"}, "PUT")
    again = asked(client, "words/routes", {"name": " home ", "places": "harbour, stairs, lamp room"}, "PUT")
    assert again["id"] == first["id"]
    assert asked(client, "words/routes") == [{**first, "places": ["harbour", "stairs", "lamp room"]}]
    asked(client, f"words/routes/{first['id']}", method="DELETE")
    assert asked(client, "words/routes") == []


def test_the_command_keeps_and_forgets_words_too() -> None:
    kept = here("words", "LS", "--add", "lighthouse", "--kind", "place", "--strength", "0.9", "--json").data
    assert (kept["candidates"][0]["word"], kept["candidates"][0]["own"]) == ("lighthouse", True)
    assert here("words", "LS", "--json").data["candidates"][0]["word"] == "lighthouse"
    forgot = here("words", "LS", "--forget", "lighthouse", "--json").data
    assert not any(one["own"] for one in forgot["candidates"])
    refused = here("words", "LS", "--forget", "lighthouse")
    assert refused.code == 2
    assert "has no word “lighthouse” for LS" in refused.err
    assert "--kind goes with --add only" in here("words", "LS", "--kind", "place").err


def test_the_command_takes_a_file_whole_or_not_at_all(tmp_path: Path) -> None:
    good = 'pair,word,kind,note,strength\nLS,lighthouse,place,,0.9\nFP,ferry pilot,person,"=not a sum",\n'
    file, bad = tmp_path / "mine.csv", tmp_path / "bad.csv"
    file.write_text(good, "utf-8")
    bad.write_text(good + "Q7W,quay wall,,,\nBJ,,,,\n", "utf-8")
    looked = here("words", "--import", str(file), "--dry-run")
    assert looked.out == "new: 2 words; there already: 0; nothing was kept (--dry-run)\n"
    assert Logbook.look() is None
    refused = here("words", "--import", str(bad))
    assert refused.code == 2
    assert "row 4" in refused.err
    assert "row 5" in refused.err
    assert Logbook.look() is None
    assert here("words", "--import", str(file)).out == "new: 2 words; there already: 0\n"
    assert here("words", "--import", str(file), "--json").data == {"new": 0, "there": 2, "dry": False}
    written = here("words", "--export", "-", "--kept").out
    assert {(word.pair, word.word, word.note) for word in read_own(written).all} == {
        ("LS", "lighthouse", ""),
        ("FP", "ferry pilot", "=not a sum"),
    }
    assert here("words", "--import", "-", stdin=written).out == "new: 0 words; there already: 2\n"
    assert "--kept goes with --export only" in here("words", "LS", "--kept").err
    assert "--dry-run goes with --import only" in here("words", "LS", "--dry-run").err


def test_what_is_not_said_of_a_word_stays_as_it_was(client: httpx.Client) -> None:
    kept = _keep(client, "LS", "Loki's", kind="place", note="on the quay", strength=0.9)
    assert _keep(client, "LS", " Loki's ") == kept
    assert _keep(client, "LS", "Loki's", note="") == {**kept, "note": ""}
    other = _keep(client, "LS", "lens", instead=kept["id"])
    assert (other["kind"], other["note"], other["strength"]) == ("place", "", 0.9)


def test_the_command_leaves_what_is_not_said_as_it_was() -> None:
    mine = ("--solver", "Maren", "--json")
    here("words", "LS", "--add", "Loki's", "--kind", "place", "--note", "on the quay", "--strength", "0.9", *mine)
    own = here("words", "LS", "--add", "Loki's", *mine).data["candidates"][0]
    assert (own["kind"], own["note"], own["strength"]) == ("place", "on the quay", 0.9)
    own = here("words", "LS", "--add", "Loki's", "--strength", "0.2", *mine).data["candidates"][0]
    assert (own["kind"], own["note"], own["strength"]) == ("place", "on the quay", 0.2)


def test_patterns_and_rules_are_those_of_the_command(client: httpx.Client) -> None:
    rule = "starts {a}, ends {b}e"
    for asked_for, options in (
        ({"pattern": "ends,opening"}, ["--pattern", "ends,opening"]),
        ({"rule": rule}, ["--rule", rule]),
        ({"rule": rule, "pattern": "ends"}, ["--rule", rule, "--pattern", "ends"]),
    ):
        printed = here("words", "LS", *options, "--solver", "Ada", "--json").data["candidates"]
        assert _pair(client, "LS", **asked_for)["candidates"] == printed
    grid = client.get("/api/words/grid", params={"pattern": "opening"}).json()
    printed = here("words", "--grid", "--pattern", "opening", "--solver", "Ada", "--json").data
    for cells, same in zip(grid["orbits"], printed["orbits"], strict=True):
        assert cells["counts"] == same["counts"]
        assert [(one["pair"], one["word"]) for one in cells["pairs"]] == [
            (one["pair"], one["word"]) for one in same["pairs"]
        ]
    cube = {"scramble": SCRAMBLE, "pattern": "two-words"}
    words = [pair["word"] for orbit in asked(client, "words/for", cube)["orbits"] for pair in orbit["pairs"]]
    assert sum(" " in word for word in words) > len(words) - 3


def test_choices_tell_what_is_known_of_a_language(client: httpx.Client) -> None:
    choices = asked(client, "words/choices")
    assert choices["rated"] == ["en"] and set(choices["rated"]) < set(choices["languages"])
    assert choices["only"] == {"sounds": ["en"]}


def test_a_word_that_is_kept_has_its_score_and_how_well_it_is_known(client: httpx.Client) -> None:
    before = _pair(client, "LS")["candidates"][0]
    _keep(client, "LS", before["word"])
    after = _pair(client, "LS")["candidates"][0]
    assert (after["score"], after["marks"], after["strength"]) == (before["score"], before["marks"], 0.5)
    ran = here("words", "LS", "--solver", "Pugh", "--add", before["word"], columns=120)
    head, row = ran.lines[1:3]
    assert head.split() == ["word", "kind", "score", "known", "how"]
    assert row.split()[-4:] == [f"{round(100 * before['score'])}", "50", "your", "own"]
