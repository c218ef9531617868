"""What an algorithm is and does, told together: each part is what the cube itself shows."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.cube.account import account_of
from nightfold.cube.errors import NotationError
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, parse_turns, write
from nightfold.cube.sequences import count, mirror
from nightfold.cube.state import Cube
from tests.strategies import sequences, sizes


@given(sizes.flatmap(lambda size: st.tuples(st.just(size), sequences(size, 20))))
def test_an_account_is_true_of_the_cube(case: tuple[int, tuple[Turn, ...]]) -> None:
    size, turns = case
    account = account_of(write(turns), size)
    cube = Cube.from_turns(turns, size)
    assert account.cube == cube
    assert cube.apply(account.inverse) == Cube.solved(size)
    assert Cube.from_turns(account.shortened, size) == cube
    assert account.mirrored == mirror(account.turns)
    assert account.counts == count(account.turns)
    names = geometry(size).names
    goes = {names[source]: names[place] for place, source in enumerate(cube.stickers) if place != source}
    for cycles in account.cycles.values():
        for cycle in cycles:
            for name, after in zip(cycle, [*cycle[1:], cycle[0]], strict=True):
                assert goes.pop(name) == after
    # What is left are the second stickers of wings, which go as the first ones do.
    assert all(geometry(size).orbit_of(names.index(name)) is None and len(name) > 1 for name in goes)


def test_the_account_by_hand() -> None:
    data = account_of("[R: U2]").to_dict()
    assert json.loads(json.dumps(data)) == data
    assert data["expanded"] == "R U2 R'"
    assert data["inverse"] == "R U2 R'"
    assert data["mirrored"] == "L' U2' L"
    assert data["counts"] == {"obtm": 3, "etm": 3, "stm": 3, "qtm": 4}
    assert data["order"] == 2
    assert account_of("R R'").to_dict()["cancelled"] == ""
    assert account_of("y", 3).cycles["centres"] == [["L", "B", "R", "F"]]


def test_what_is_no_algorithm_is_refused() -> None:
    with pytest.raises(NotationError):
        account_of("R Q")
    assert account_of("").turns == parse_turns("")
