"""Difficulty follows the learner: the staircase finds where about 85 % come right, and every level can be dealt."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.states import why_impossible
from nightfold.practice.level import (
    AIM,
    DELAYS,
    DOWN,
    GLANCES,
    HELD,
    SECONDS_A_LETTER,
    TRACED,
    TURNED,
    UP,
    WINDOW,
    Standing,
    at,
    standing_of,
    traced,
)


def test_one_who_is_right_as_often_as_aimed_at_stays_put() -> None:
    assert math.isclose(AIM * UP, (1 - AIM) * DOWN)
    assert UP < DOWN


@given(answers=st.lists(st.booleans(), max_size=200), most=st.integers(1, 12))
def test_levels_stay_between_the_first_and_the_last(answers: list[bool], most: int) -> None:
    standing = Standing()
    for right in answers:
        after = standing.after(right, most)
        assert 1 <= after.level <= most
        assert (after.value > standing.value) == (right and standing.value < most + 0.99)
        assert (after.value < standing.value) == (not right and standing.value > 1)
        standing = after
    assert standing.found == (not all(answers))


def test_one_who_is_always_right_rises_fast_and_one_who_never_is_stays() -> None:
    standing = Standing()
    for _ in range(10):
        standing = standing.after(True, 12)
    assert standing.level == 6
    assert standing.after(False, 12).value == standing.value - DOWN
    assert Standing().after(False, 12).level == 1


@pytest.mark.parametrize("skill", [2.0, 5.0, 8.5])
def test_it_finds_the_level_at_which_the_aim_is_met(skill: float) -> None:
    """A learner whose chance falls from level to level, steadily, ends up being right as often as aimed at."""
    dice = random.Random(f"{skill}")

    def chance(level: int) -> float:
        return 1 / (1 + math.exp(level - skill - math.log(AIM / (1 - AIM))))

    standing, rights, levels = Standing(), [], []
    for number in range(4000):
        right = dice.random() < chance(standing.level)
        if number >= 200:
            rights.append(right)
            levels.append(standing.level)
        standing = standing.after(right, 12)
    # 3800 answers: three standard deviations of the share are 0.017, before the staircase pulls it to the aim.
    assert sum(rights) / len(rights) == pytest.approx(AIM, abs=0.02)
    assert sum(levels) / len(levels) == pytest.approx(skill, abs=0.7)


@given(answers=st.lists(st.booleans(), max_size=WINDOW))
def test_a_standing_is_found_again_from_kept_answers(answers: list[bool]) -> None:
    standing, kept = Standing(), []
    for right in answers:
        kept.append((standing.level, right))
        standing = standing.after(right, 9)
    assert standing_of(kept, 9) == standing


def test_of_many_answers_the_last_count() -> None:
    standing, kept = Standing(), []
    dice = random.Random(5)
    for _ in range(600):
        right = dice.random() < 1 / (1 + math.exp(standing.level - 6 - math.log(AIM / (1 - AIM))))
        kept.append((standing.level, right))
        standing = standing.after(right, 12)
    assert standing_of(kept, 12).value == pytest.approx(standing.value, abs=0.51)
    assert standing_of([], 12) == Standing()


def test_ladders_get_harder() -> None:
    for held in HELD.values():
        assert list(held) == sorted(set(held))
    for falling in (GLANCES, SECONDS_A_LETTER):
        assert list(falling) == sorted(set(falling), reverse=True)
    assert list(DELAYS) == sorted(set(DELAYS))
    assert at(DELAYS, 1) == DELAYS[0] and at(DELAYS, 99) == DELAYS[-1]
    assert all(count % 2 == 0 for count in HELD["cube"]), "a cube has an even number of letters"


def test_every_level_can_be_dealt() -> None:
    assert len(TRACED["edges"]) == len(TRACED["corners"])
    for level in range(1, len(TRACED["edges"]) + 2):
        for orbit in ("edges", "corners", "cube"):
            assert why_impossible(traced(orbit, level)) is None
        for orbit in ("edges", "corners"):
            for breaks, turned in (((1, 7), None), ((2, 7), None), (None, (1, 3))):
                assert why_impossible(traced(orbit, level, breaks, turned)) is None, (orbit, level)
    assert all(low <= high for (low, high), _ in TURNED)
