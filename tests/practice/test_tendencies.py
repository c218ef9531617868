"""Own mistakes and the chances of the catalogue."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.plan import make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.mistakes import catalogue
from nightfold.practice.tendencies import Exposure, expected, factors

EVENING = Exposure(solves=20, letters=400, cycles=60, parities=10, turns=8_000)


def test_a_solver_like_the_catalogue_keeps_its_chances() -> None:
    assert factors(expected(EVENING), EVENING) == pytest.approx(dict.fromkeys(factors({}, EVENING), 1.0))
    assert factors({}, Exposure()) == pytest.approx(dict.fromkeys(factors({}, EVENING), 1.0))


@given(st.sampled_from(sorted(name for name, kind in catalogue().items() if kind.chance > 0)), st.floats(0, 500))
def test_what_happens_more_often_becomes_likelier_and_nothing_becomes_impossible(kind: str, more: float) -> None:
    seen = expected(EVENING)
    changed = factors({**seen, kind: seen[kind] + more}, EVENING)
    assert changed[kind] >= 1 or more == 0
    assert all(factor == pytest.approx(1) for name, factor in changed.items() if name != kind)
    assert all(factor > 0 for factor in factors({}, EVENING).values())


def test_few_attempts_change_little_and_many_decide() -> None:
    once = factors({"undo-left-out": 1}, Exposure(solves=1, letters=20, cycles=3, turns=400))["undo-left-out"]
    often = factors({"undo-left-out": 100}, Exposure(solves=100, letters=2_000, cycles=300, turns=40_000))
    assert 1 < once < 1.6
    assert 5 < often["undo-left-out"] < 10


def test_every_kind_can_be_counted() -> None:
    assert all(EVENING.times(kind.each) > 0 for kind in catalogue().values())
    assert EVENING + Exposure() == EVENING
    assert (EVENING + EVENING).letters == 800


def test_the_inquest_takes_the_factors() -> None:
    plan = make_plan("R U F")
    own = factors({"undo-left-out": 30}, EVENING)
    verdict = examine_attempt(plan, {}, left="R", mistakes=1, priors=own)
    assert verdict.explanations
