"""The catalogue as data, and how chances are shared among the ways in which one slip can happen."""

from __future__ import annotations

import math
from collections import defaultdict

import pytest

from nightfold.blind.plan import make_plan
from nightfold.coach.mistakes import (
    InquestError,
    Stretch,
    alternatives,
    catalogue,
    scaling,
    strays,
    turn_table,
    turned_with,
    weights,
)
from nightfold.coach.slips import EDIT, Slips
from nightfold.cube.notation import parse_turns, write
from tests.test_docs import DOCS, rows, section

EACH = {"letter", "pair", "cycle", "step", "turn", "place", "orbit", "solve"}


def test_every_kind_says_all_there_is_to_say() -> None:
    for kind in catalogue().values():
        assert 0 <= kind.chance < 0.1
        assert (kind.chance == 0) == (kind.name == "other-turns")
        assert kind.each in EACH
        assert kind.where in ("memory", "turning")
        assert all((kind.about, kind.say, kind.felt, kind.hint))
        assert not kind.say.endswith(".")


def test_the_documentation_lists_the_catalogue() -> None:
    listed = rows(section(DOCS / "inquest.md", "The catalogue"))
    assert [(name.strip("`"), chance, each, where, about) for name, chance, each, where, about in listed] == [
        (kind.name, f"{kind.chance:g}", kind.each, kind.where, kind.about) for kind in catalogue().values()
    ]


def odds(kind: str) -> float:
    return catalogue()[kind].chance / (1 - catalogue()[kind].chance)


def test_ways_of_one_slip_at_one_turn_share_its_chance() -> None:
    turns = turn_table()[0]
    for turn, choices in zip(turns, alternatives(), strict=True):
        total: dict[str, float] = defaultdict(float)
        made = [number for number, _, _ in choices]
        assert len(set(made)) == len(made)
        for number, weight, kind in choices:
            assert number < 0 or turns[number] != turn
            total[kind] += math.exp(weight)
        assert total["turn-left-out"] == pytest.approx(odds("turn-left-out"))
        for kind, share in total.items():
            assert share == pytest.approx(odds(kind))
    stray: dict[str, float] = defaultdict(float)
    for _, weight, kind in strays():
        stray[kind] += math.exp(weight)
    assert stray == {kind: pytest.approx(odds(kind)) for kind in ("stray-turn", "stray-slice")}


def test_ways_of_one_slip_at_one_letter_share_its_chance() -> None:
    plan = make_plan("R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2")
    slips = Slips(plan)
    total: dict[tuple[str, object], float] = defaultdict(float)
    for number in range(len(slips.edits)):
        slip = slips.slip(EDIT, 0, number)
        total[slip.kind, slip.letters] += math.exp(slip.weight)
    for (kind, _), share in total.items():
        assert share == pytest.approx(odds(kind)), kind
    assert len(total) > 200


def test_scaling() -> None:
    plain, scaled = weights(), weights(scaling({"stray-turn": 10.0, "pair-lost": 0.0, "parity-forgotten": 1000}))
    assert math.exp(scaled["stray-turn"] - plain["stray-turn"]) == pytest.approx(10, rel=0.01)
    assert scaled["pair-lost"] < math.log(1e-8)
    assert scaled["parity-forgotten"] == pytest.approx(0)
    assert scaled["turn-left-out"] == plain["turn-left-out"]
    assert scaling(None) == scaling({}) == ()
    with pytest.raises(InquestError, match="kinds are other-sticker, "):
        scaling({"luck": 1})


def test_stretches_are_replaced_in_order() -> None:
    meant = parse_turns("R U R' U'")
    extra = parse_turns("F")
    assert write(turned_with(meant, [])) == "R U R' U'"
    assert write(turned_with(meant, [Stretch(0, 0, extra), Stretch(0, 1, ()), Stretch(4, 4, extra)])) == "F U R' U' F"
    with pytest.raises(ValueError, match="overlap"):
        turned_with(meant, [Stretch(0, 2, extra), Stretch(1, 3, extra)])
