"""Shares, rolling results, costs, medians."""

from __future__ import annotations

import statistics
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.practice.figures import Share, costs, median, rolling
from nightfold.practice.results import mean


@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_the_interval_holds_the_share_and_mirrors(good: int, bad: int) -> None:
    share, mirrored = Share(good, good + bad), Share(bad, good + bad)
    low, high = share.interval
    assert 0 <= low < high <= 1
    if share.value is not None:
        assert low <= share.value <= high
    assert low == pytest.approx(1 - mirrored.interval[1], abs=1e-12)


def test_a_share_of_more_than_all_is_none() -> None:
    with pytest.raises(ValueError, match="no share"):
        Share(2, 1)


@given(st.lists(st.none() | st.integers(0, 50_000), max_size=12))
def test_rolling_results_look_at_three_attempts(results: list[int | None]) -> None:
    found = rolling(results)
    assert len(found) == len(results)
    assert all(one.best is None and one.mean is None for one in found[:2])
    for at, one in enumerate(found[2:], start=2):
        three = [results[at - 2], results[at - 1], results[at]]
        good = [result for result in three if result is not None]
        assert one.best == (min(good) if good else None)
        assert one.mean == mean(three)


def test_costs_count_attempts_that_one_kind_alone_spoilt() -> None:
    found = costs(
        [
            [(0.75, ["letter-left-out"]), (0.25, ["undo-left-out"])],
            [(1.0, ["undo-left-out", "undo-left-out"])],
            [(0.5, ["undo-left-out", "letter-left-out"]), (0.5, ["parity-forgotten"])],
            [(1.0, [])],
        ]
    )
    assert found == {"undo-left-out": 1.25, "letter-left-out": 0.75, "parity-forgotten": 0.5}
    assert list(found) == ["undo-left-out", "letter-left-out", "parity-forgotten"]


@given(st.lists(st.integers(-50, 50), max_size=30))
def test_the_median_of_counts_is_that_of_the_numbers(numbers: list[int]) -> None:
    assert median(Counter(numbers)) == (statistics.median(numbers) if numbers else None)
