"""Each route answers what the Python function, or the command with ``--json``, answers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import httpx
import pytest

from nightfold import __version__
from nightfold.blind.features import parse_features
from nightfold.blind.files import SHIPPED
from nightfold.blind.method import method_names
from nightfold.blind.odds import odds, place_of
from nightfold.blind.plan import make_plan
from nightfold.coach.marking import mark_memo
from nightfold.cube.diagnosis import diagnose
from nightfold.cube.geometry import geometry
from nightfold.cube.net import parse_net, write_net
from nightfold.cube.state import Cube
from tests.cli.running import here
from tests.web.serving import MINE, SCRAMBLE, asked, events

TWISTED = (
    "      W W W\n      W W W\n      W W G\nO O O G G R W R R B B B\nO O O G G G R R R B B B\n"
    "O O O G G G R R R B B B\n      Y Y Y\n      Y Y Y\n      Y Y Y\n"
)


def test_about(client: httpx.Client) -> None:
    about = asked(client, "about")
    assert about["version"] == __version__
    listed = here("methods", "--json").data
    assert about["methods"] == [{**one, "own": False} for one in listed]
    assert [one["name"] for one in about["letterings"]] == ["clockwise", "greek"]
    assert about["defaults"] == {"method": "two-swap", "hold": "W,G", "breaks": "lowest"}


CUBES: dict[str, tuple[dict[str, Any], tuple[str, ...]]] = {
    "plain": ({}, ()),
    "method": ({"method": "left-hand"}, ("--method", "left-hand")),
    "lettering": ({"lettering": "greek"}, ("--lettering", "greek")),
    "hold": ({"hold": "yellow,blue"}, ("--hold", "yellow,blue")),
    "shortest": ({"breaks": "shortest"}, ("--breaks", "shortest")),
}


@pytest.mark.parametrize("name", CUBES)
def test_plan_is_what_the_command_prints(client: httpx.Client, name: str) -> None:
    choice, options = CUBES[name]
    answer = asked(client, "plan", {"scramble": SCRAMBLE, **choice})
    printed = here("plan", SCRAMBLE, *options, "--json").data
    for told in (answer, *answer["orbits"], *answer["steps"]):
        for more in ("view", "turns", "labels", "readings", "place"):
            told.pop(more, None)
    assert answer == printed


@pytest.mark.parametrize("choice", [{}, {"hold": "R,B"}, {"breaks": "choose:edges=H"}])
def test_plan_tells_what_a_drawing_and_a_player_need(client: httpx.Client, choice: dict[str, str]) -> None:
    scramble = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
    answer = asked(client, "plan", {"scramble": scramble, **choice})
    plan = make_plan(scramble, **choice)
    view = answer["view"]
    assert view["size"] == 3
    assert view["names"] == list(geometry(3).names)
    turned = Cube.from_turns(scramble).apply(answer["hold"])
    assert view["colours"] == ["WOGRBY"[face] for face in turned.colours]
    assert view["scheme"] == [view["colours"][9 * face + 4] for face in range(6)]
    assert view["hold_words"] == ("red up, blue in front" if "hold" in choice else "white up, green in front")
    assert view["letters"]["edges"][str(geometry(3).sticker("UB"))] == "A"
    assert turned.apply("").apply(" ".join(answer["turns"][len(answer["hold"].split()) :])).is_solved
    assert " ".join(answer["turns"]) == f"{answer['hold']} {answer['solution']}".strip()
    for step in answer["steps"]:
        turns = [turn for part in ("setup", "swap", "undo") for turn in step[part].split()]
        assert answer["turns"][step["place"] : step["place"] + len(turns)] == turns
        assert answer["labels"][step["orbit"]]
    for told, orbit in zip(answer["orbits"], plan.orbits, strict=True):
        targets = [target for cycle in told["readings"] for target in cycle["targets"]]
        assert [target["letter"] for target in targets] == told["letters"]
        assert [geometry(3).names[target["sticker"]] for target in targets] == told["stickers"]
        assert [cycle["kind"] for cycle in told["readings"]] == [cycle.kind for cycle in orbit.cycles]
        assert all(cycle["targets"][0]["sticker"] in cycle["options"] for cycle in told["readings"] if cycle["options"])


def test_plan_of_a_net(client: httpx.Client, tmp_path: Path) -> None:
    net = write_net(Cube.from_turns(SCRAMBLE + " x y"), "abcdef")
    path = tmp_path / "net.txt"
    path.write_text(net, "utf-8")
    answer = asked(client, "plan", {"net": net})
    printed = here("plan", "--net", str(path), "--json").data
    assert answer["solution"] == printed["solution"]
    assert answer["solved"]
    assert answer["view"]["colours"] == list(parse_net(net).symbols)


@pytest.mark.parametrize("net", [write_net(Cube.from_turns(SCRAMBLE)), TWISTED, write_net(Cube.solved(2))])
def test_diagnose(client: httpx.Client, net: str) -> None:
    answer = asked(client, "diagnose", {"net": net})
    found = diagnose(net)
    assert answer["possible"] == found.possible
    assert answer["sentence"] == found.sentence
    assert answer["repairs_found"] == found.repairs_found
    assert [problem["sentence"] for problem in answer["problems"]] == [p.sentence for p in found.problems]
    assert [repair["net"] for repair in answer["repairs"]] == [str(repair.net) for repair in found.repairs[:40]]


def test_a_repair_can_be_planned(client: httpx.Client) -> None:
    repair = asked(client, "diagnose", {"net": TWISTED})["repairs"][0]
    assert asked(client, "plan", {"net": repair["net"]})["solved"]


@pytest.mark.parametrize("size", [2, 3, 5])
def test_look(client: httpx.Client, size: int) -> None:
    answer = asked(client, "look", {"scramble": "R U F2", "size": size, "lettering": "greek"})
    assert answer["net"] == here("look", "R U F2", "--size", str(size), "--json").data["net"]
    assert answer["names"] == list(geometry(size).names)
    assert answer["colours"] == list(parse_net(answer["net"]).symbols)
    symbols = here("lettering", "greek", "--size", str(size), "--json").data["symbols"]
    labels = {answer["names"][int(place)]: label for place, label in answer["labels"].items()}
    assert labels == {name: symbol for orbit in symbols.values() for name, symbol in orbit.items()}


DEALS: dict[str, tuple[dict[str, Any], tuple[str, ...]]] = {
    "plain": ({}, ()),
    "blind": ({"blind": True}, ("--blind",)),
    "features": ({"parity": "yes", "edge_letters": "..10"}, ("--parity", "yes", "--edge-letters", "..10")),
    "letters": ({"use": "edges=K", "avoid": "corners=B"}, ("--use", "edges=K", "--avoid", "corners=B")),
    "2": ({"size": 2}, ("--size", "2")),
    "5": ({"size": 5, "blind": True}, ("--size", "5", "--blind")),
}


@pytest.mark.parametrize("name", DEALS)
def test_deal_is_what_the_command_deals(client: httpx.Client, name: str) -> None:
    wish, options = DEALS[name]
    answer = asked(client, "deal", {"count": 2, "seed": 7, **wish})
    printed = here("deal", "2", "--seed", "7", *options)
    assert [one["scramble"] for one in answer["scrambles"]] == printed.lines
    assert printed.err.strip() == answer["said"]
    told = here("deal", "--seed", "7", *options, "--json").data
    assert answer["scrambles"][0]["orienting"] == told["orienting"]
    assert answer["random_state"] == told["random_state"]
    assert answer["chance"] == told.get("chance")


def test_odds(client: httpx.Client) -> None:
    answer = asked(client, "odds", {})
    assert answer.pop("chance") is None
    assert answer.pop("place") is None
    assert answer == odds().to_dict()


def test_odds_of_a_cube_among_some(client: httpx.Client) -> None:
    answer = asked(client, "odds", {"parity": "no", "cube": {"scramble": SCRAMBLE}})
    features = parse_features({"parity": "no"})
    assert answer.pop("place") == place_of(make_plan(SCRAMBLE), features).to_dict()
    assert answer == odds(features).to_dict()


@pytest.mark.parametrize("edges", [None, "", "right", "ABCD"])
def test_mark(client: httpx.Client, edges: str | None) -> None:
    plan = make_plan(SCRAMBLE)
    letters = {reading.orbit.name: " ".join(reading.letters) for reading in plan.orbits}
    memo = letters["edges"] if edges == "right" else edges
    body = {"cube": {"scramble": SCRAMBLE}, "edges": memo, "corners": letters["corners"].lower(), "parity": True}
    answer = asked(client, "mark", body)
    assert answer.pop("view")["size"] == 3
    written = {"corners": letters["corners"]} | ({} if memo is None else {"edges": memo})
    assert answer == mark_memo(plan, written, True).to_dict()


@pytest.mark.parametrize("body", [{"want": "UF UR DB", "turns": "R U M"}, {"parity": "two-swap", "turns": "U R F"}])
def test_find_is_what_the_command_finds(client: httpx.Client, body: dict[str, Any]) -> None:
    limits = {"longest": 9, "extra": 1, "count": 3}
    answer = client.post("/api/find", json={**body, **limits})
    assert answer.headers["content-type"].startswith("text/event-stream")
    *progress, (last, data) = events(answer.text)
    assert last == "done"
    assert all(event == "progress" and set(told) == {"length", "walked"} for event, told in progress)
    wish = [body["want"]] if "want" in body else ["--parity", body["parity"]]
    options = ("--turns", body["turns"], "--longest", "9", "--extra", "1", "--count", "3", "--json")
    assert data == here("find", *wish, *options).data


def test_find_with_pieces_that_may_go_anywhere(client: httpx.Client) -> None:
    body = {"like": "R U R' U R U2 R'", "any": "corners", "turns": "R U", "longest": 7}
    ((_, data),) = [told for told in events(client.post("/api/find", json=body).text) if told[0] == "done"]
    command = ("find", "--like", "R U R' U R U2 R'", "--any", "corners", "--turns", "R U", "--longest", "7", "--json")
    assert data == here(*command).data


@pytest.mark.parametrize(("algorithm", "size"), [("[R: U2]", 3), ("R U R' U'", 2), ("Rw (U M)2 x", 3), ("2R U", 5)])
def test_turns(client: httpx.Client, algorithm: str, size: int) -> None:
    answer = asked(client, "turns", {"algorithm": algorithm, "size": size})
    assert answer.pop("permutation") == list(Cube.from_turns(algorithm, size).stickers)
    assert answer == here("turns", algorithm, "--size", str(size), "--json").data


@pytest.mark.parametrize("name", method_names())
def test_method(client: httpx.Client, name: str) -> None:
    answer = asked(client, f"methods/{name}")
    assert answer.pop("setups") == here("setups", "--method", name, "--json").data
    source = answer.pop("source")
    assert source == (SHIPPED / "methods" / f"{name}.toml").read_text("utf-8")
    assert answer.pop("own") is False
    assert answer == here("method", name, "--json").data
    checked = asked(client, "methods/check", {"source": source})
    assert checked["checks"] == answer["checks"]
    assert checked["name"] == "method"


def test_a_method_that_cannot_work_is_told_why_at_length(client: httpx.Client) -> None:
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    wrong = source.replace('home = "UL"', 'home = "DF"').replace('buffer = "UBL"', 'buffer = "ULB"')
    assert wrong != source
    answer = asked(client, "methods/check", {"source": wrong})
    assert set(answer) == {"problems"}
    assert all(problem.startswith("method: ") for problem in answer["problems"])


@pytest.mark.parametrize("size", [2, 3, 4])
def test_lettering(client: httpx.Client, size: int) -> None:
    answer = asked(client, f"letterings/greek?size={size}")
    source = answer.pop("source")
    assert source == (SHIPPED / "letterings" / "greek.toml").read_text("utf-8")
    assert answer.pop("own") is False
    assert answer == here("lettering", "greek", "--size", str(size), "--json").data
    assert asked(client, f"letterings/check?size={size}", {"source": source})["symbols"] == answer["symbols"]
    assert set(asked(client, "letterings/check", {"source": "[edges]"})) == {"problems"}


def test_own_lettering_and_own_method_are_kept_listed_used_and_removed(client: httpx.Client, home: Path) -> None:
    kept = asked(client, "letterings/fennel-point", {"source": MINE}, "PUT")
    assert kept["own"]
    assert kept["name"] == "fennel-point"
    assert asked(client, "letterings/fennel-point") == kept
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    mine = source.replace('lettering = "clockwise"', 'lettering = "fennel-point"')
    made = asked(client, "methods/evening", {"source": mine}, "PUT")
    assert (made["name"], made["lettering"], made["own"], made["source"]) == ("evening", "fennel-point", True, mine)
    assert made["setups"]["orbits"][0]["setups"][0]["letter"].islower()
    about = asked(client, "about")
    assert {"name": "evening", "title": made["title"], "about": made["about"], "own": True} in about["methods"]
    letters = {"name": "fennel-point", "about": "Letters of the club at Fennel Point.", "own": True}
    assert letters in about["letterings"]
    plan = asked(client, "plan", {"scramble": SCRAMBLE, "method": "evening"})
    usual = asked(client, "plan", {"scramble": SCRAMBLE})
    assert (plan["method"], plan["lettering"]) == ("evening", "fennel-point")
    assert plan["orbits"][0]["letters"] == [letter.lower() for letter in usual["orbits"][0]["letters"]]

    assert asked(client, "letterings/fennel-point", method="DELETE", body={}) == {"removed": "fennel-point"}
    assert client.get("/api/letterings/fennel-point").status_code == 404
    assert (home / "letterings" / "fennel-point.toml.removed-1").read_text("utf-8") == MINE
    left = next(one for one in asked(client, "about")["methods"] if one["name"] == "evening")
    assert left["about"].startswith("cannot be used: evening, lettering: there is no lettering “fennel-point”")
    refused = client.post("/api/plan", json={"scramble": "R", "method": "evening"})
    assert refused.status_code == 422
    assert asked(client, "methods/evening", method="DELETE", body={}) == {"removed": "evening"}
    assert [one["own"] for one in asked(client, "about")["methods"]] == [False] * len(method_names())


def test_a_removed_name_can_be_used_again_and_removed_again(client: httpx.Client, home: Path) -> None:
    for number in (1, 2, 3):
        asked(client, "letterings/mine", {"source": MINE + f"# {number}\n"}, "PUT")
        asked(client, "letterings/mine", method="DELETE", body={})
    texts = [(home / "letterings" / f"mine.toml.removed-{number}").read_text("utf-8")[-2] for number in (1, 2, 3)]
    assert texts == ["1", "2", "3"]


def test_settings_are_usual_until_they_are_kept(client: httpx.Client, home: Path) -> None:
    usual = {"theme": "auto", "method": "two-swap", "lettering": None, "hold": None, "breaks": None}
    assert asked(client, "settings") == usual
    assert not home.exists()
    mine = {"theme": "night", "method": "left-hand", "lettering": "greek", "hold": "Y,B", "breaks": "shortest"}
    assert asked(client, "settings", mine, "PUT") == mine
    assert asked(client, "settings") == mine
    assert asked(client, "settings", {"theme": "day"}, "PUT") == {**usual, "theme": "day"}


def test_settings_that_name_a_method_that_is_gone_give_way_to_the_usual(client: httpx.Client) -> None:
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    asked(client, "methods/evening", {"source": source}, "PUT")
    asked(client, "settings", {"theme": "day", "method": "evening"}, "PUT")
    asked(client, "methods/evening", method="DELETE", body={})
    assert asked(client, "settings")["method"] == "two-swap"
    assert asked(client, "settings")["theme"] == "day"


def test_the_description_has_every_route_and_the_events(client: httpx.Client) -> None:
    description = asked(client, "openapi.json")
    routes = {path.removeprefix("/api/") for path in description["paths"]}
    assert {"about", "plan", "find", "methods/{name}", "letterings/check", "settings"} <= routes
    assert {"FindProgress", "FindDone", "PlanOut"} <= set(description["components"]["schemas"])
    for path, methods in description["paths"].items():
        for method, told in methods.items():
            assert told["description"], f"{method} {path}"
            for status, answer in told["responses"].items():
                assert status == "200" or "ErrorOut" in str(answer), f"{method} {path} {status}"


def test_the_page_about_the_app_lists_every_route(client: httpx.Client) -> None:
    page = (Path(__file__).parents[2] / "docs" / "app.md").read_text("utf-8")
    told = set(re.findall(r"^\| `([A-Z]+ /api/\S+)` \|", page, re.MULTILINE))
    paths = asked(client, "openapi.json")["paths"]
    assert told == {f"{method.upper()} {path}" for path, methods in paths.items() for method in methods}


def test_every_operation_has_a_name_of_its_own(client: httpx.Client) -> None:
    paths = asked(client, "openapi.json")["paths"]
    names = [told["operationId"] for methods in paths.values() for told in methods.values()]
    assert len(set(names)) == len(names)
    assert {"plan", "get_method", "put_settings"} <= set(names)
