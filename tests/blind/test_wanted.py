"""What is to be found, said in one of three ways."""

from __future__ import annotations

import pytest

from nightfold.blind.method import load_method, method_names
from nightfold.blind.wanted import PARITY_TURNS, wanted_effect
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from nightfold.search.effects import EffectError, illegal_reason, parse_effect
from nightfold.search.finding import parse_turn_set


def test_stickers_and_algorithms() -> None:
    assert wanted_effect("UF UR DB") == parse_effect("UF UR DB")
    assert wanted_effect(like="[R: U2]") == Cube.from_turns("R U2 R'")
    assert wanted_effect(like="") == Cube.solved()


@pytest.mark.parametrize("name", method_names())
def test_parity_is_what_the_method_s_own_algorithm_does(name: str) -> None:
    method = load_method(name)
    wanted = wanted_effect(parity=method)
    assert wanted == method.parity_effect == Cube.from_turns(write(method.parity.turns))
    assert illegal_reason(wanted) == ""
    # One swap of each orbit with it between them leaves only the two exchanges.
    first, second = method.ways
    cube = Cube.from_turns((*first.core, *method.parity.turns, *second.core))
    moved = {place for place, source in enumerate(cube.stickers) if place != source}
    assert moved <= {*first.orbit.stickers, *second.orbit.stickers}
    assert len(cube.cycles()) == 2 + 3, "two stickers of the edges and three of the corners change places"


def test_just_one_way_is_taken() -> None:
    method = load_method()
    for given in ((), ("UF UR", "R"), ("UF UR", None, method), (None, "R", method)):
        with pytest.raises(EffectError, match="say what to find in one way"):
            wanted_effect(*given)


def test_turns_for_parity_can_be_searched_with() -> None:
    assert len(parse_turn_set(PARITY_TURNS)) == 9
