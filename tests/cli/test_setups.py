"""``nightfold setups``: every shortest setup of every target, each checked on the cube."""

from __future__ import annotations

from typing import Any

import pytest

from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import method_names
from nightfold.cube.geometry import geometry, inverse, turn_permutation
from nightfold.cube.notation import parse_turns, write
from nightfold.cube.state import Cube
from tests.cli.running import here

GEO = geometry(3)
ORBIT_KEYS = ["orbit", "buffer", "home", "swap", "free", "setups", "unreachable"]
SETUP_KEYS = ["sticker", "letter", "setup", "undo", "class", "cost", "why"]


def by_hand(free: list[str], home: int, target: int) -> set[str]:
    """Every shortest sequence of the free turns that carries ``target`` to ``home``, by trying them all."""
    goes = {turn: inverse(turn_permutation(3, parse_turns(turn)[0])) for turn in free}
    level: list[tuple[tuple[str, ...], int]] = [((), target)]
    while not any(place == home for _, place in level):
        level = [((*turns, turn), goes[turn][place]) for turns, place in level for turn in free]
    return {" ".join(turns) for turns, place in level if place == home}


@pytest.mark.parametrize("method", method_names())
def test_all_setups_are_there_and_true(method: str) -> None:
    data = here("setups", "--method", method, "--all", "--json").data
    assert list(data) == ["method", "orbits"]
    assert data["method"] == method
    assert {orbit["orbit"] for orbit in data["orbits"]} == {"edges", "corners"}
    lettering = load_lettering()
    for orbit in data["orbits"]:
        assert list(orbit) == ORBIT_KEYS
        assert orbit["unreachable"] == []
        home, buffer = GEO.sticker(orbit["home"]), GEO.sticker(orbit["buffer"])
        swapped = Cube.from_turns(orbit["swap"])
        assert (swapped.stickers[home], swapped.stickers[buffer]) == (buffer, home)
        found: dict[str, set[str]] = {}
        for setup in orbit["setups"]:
            assert list(setup) == SETUP_KEYS
            target = GEO.sticker(setup["sticker"])
            after = Cube.from_turns(setup["setup"])
            assert after.stickers[home] == target
            assert after.stickers[buffer] == buffer
            assert after.apply(setup["undo"]) == Cube.solved()
            assert set(setup["setup"].split()) <= set(orbit["free"])
            assert setup["letter"] == lettering.symbol(orbit["orbit"], target)
            assert setup["sticker"] in setup["why"] and orbit["home"] in setup["why"]
            turns = setup["setup"].split()
            layers = ", then ".join(turn.rstrip("2'") for turn in turns)
            assert setup["class"] == (
                f"{['no', 'one', 'two', 'three', 'four'][len(turns)]} turn{'s' * (len(turns) > 1)}: {layers}"
                if turns
                else "no setup"
            )
            # Setup, swap and undo exchange the target with the buffer, sticker to sticker.
            done = after.apply(orbit["swap"]).apply(setup["undo"])
            assert (done.stickers[target], done.stickers[buffer]) == (buffer, target)
            found.setdefault(setup["sticker"], set()).add(setup["setup"])
        own = GEO.piece_of(buffer)
        targets = [GEO.names[s] for s in GEO.orbit(orbit["orbit"]).stickers if s not in own]
        assert sorted(found) == sorted(targets)
        for name, texts in found.items():
            assert texts == by_hand(orbit["free"], home, GEO.sticker(name)), name


@pytest.mark.parametrize("method", method_names())
def test_without_all_the_easiest_of_each_is_shown(method: str) -> None:
    every, best = (here("setups", "--method", method, "--json", *option).data["orbits"] for option in (("--all",), ()))
    for whole, part in zip(every, best, strict=True):
        costs: dict[str, float] = {}
        for setup in whole["setups"]:
            costs[setup["sticker"]] = min(setup["cost"], costs.get(setup["sticker"], 1e9))
        assert {setup["sticker"]: setup["cost"] for setup in part["setups"]} == costs
        assert len(part["setups"]) == len(costs) < len(whole["setups"])
        assert all(setup in whole["setups"] for setup in part["setups"])


def test_the_text_shows_every_setup_under_its_class() -> None:
    text = " ".join(here("setups", "--all").out.split())
    for orbit in here("setups", "--all", "--json").data["orbits"]:
        assert f"{orbit['orbit'].upper()} buffer {orbit['buffer']}, home target {orbit['home']}" in text
        for setup in orbit["setups"]:
            row = (setup["letter"], setup["sticker"], setup["setup"] or "-", setup["undo"] or "-")
            assert " ".join(row) in text
            assert setup["class"] in text


def test_one_orbit_alone() -> None:
    for name in ("edges", "corners"):
        data = here("setups", "--orbit", name, "--json").data
        assert [orbit["orbit"] for orbit in data["orbits"]] == [name]
        assert name.upper() in here("setups", "--orbit", name).out


def test_letters_of_another_lettering() -> None:
    def setups(*options: str) -> Any:
        return here("setups", "--orbit", "corners", "--json", *options).data["orbits"][0]["setups"]

    greek = load_lettering("greek")
    for plain, other in zip(setups(), setups("--lettering", "greek"), strict=True):
        assert other["letter"] == greek.symbol("corners", GEO.sticker(other["sticker"]))
        assert {**plain, "letter": ""} == {**other, "letter": ""}


def test_undo_is_written_the_short_way() -> None:
    for orbit in here("setups", "--all", "--json").data["orbits"]:
        for setup in orbit["setups"]:
            assert write(tuple(turn.plain for turn in parse_turns(setup["undo"]))) == setup["undo"]
