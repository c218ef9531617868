"""Results by the competition rules, and times as they are written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.practice.results import (
    MultiResult,
    Outcome,
    ResultError,
    as_result,
    best,
    check_time,
    clock,
    mean,
    read_clock,
    result_of,
    time_limit,
)

TIMES = st.integers(0, 5 * 3600 * 1000)


@given(TIMES)
def test_a_result_is_written_and_read_back(ms: int) -> None:
    result = as_result(ms)
    assert as_result(read_clock(clock(result))) == result


@given(TIMES, TIMES)
def test_a_longer_time_is_never_a_better_result(one: int, other: int) -> None:
    assert (as_result(one) <= as_result(other)) or one > other


@given(st.lists(st.none() | st.integers(0, 59_999), min_size=3, max_size=3))
def test_the_mean_lies_within_the_results_and_needs_all_three(results: list[int | None]) -> None:
    good = [result for result in results if result is not None]
    found = mean(results)
    if len(good) < 3:
        assert found is None
    else:
        assert found is not None
        assert min(good) <= found <= max(good)
        assert abs(3 * found - sum(good)) <= 1
    assert best(results) == (min(good) if good else None)


@given(st.integers(2, 60), st.data())
def test_one_more_solved_cube_is_never_worse(cubes: int, data: st.DataObject) -> None:
    solved = data.draw(st.integers(0, cubes - 1))
    ms = data.draw(st.integers(0, 3_600_000))
    assert MultiResult(cubes, solved + 1, ms).rank <= MultiResult(cubes, solved, ms).rank


@pytest.mark.parametrize(
    ("text", "ms"),
    [("47.05", 47_050), ("83.4", 83_400), (" 1:23.456 ", 83_456), ("12:04", 724_000), ("1:00:00", 3_600_000), ("0", 0)],
)
def test_times_as_people_write_them(text: str, ms: int) -> None:
    assert read_clock(text) == ms


@pytest.mark.parametrize(
    "text", ["", "1:2", "1:60", "x", "-3", "1.2345", "1:23,4", "1:2:3:4", "٣", "1:", ":12", "1e3", "9" * 5000]
)
def test_what_is_no_time_is_said_to_be_none(text: str) -> None:
    with pytest.raises(ResultError, match=r"is no time; write it as 47\.05"):
        read_clock(text)


@pytest.mark.parametrize("outcome", [Outcome.DNF, Outcome.DNS, Outcome.UNFINISHED])
def test_what_failed_has_no_result_whatever_the_clock_says(outcome: Outcome) -> None:
    assert result_of(outcome, 60_000) is None
    assert result_of(outcome, None) is None


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ResultError, match="needs its time"):
        result_of(Outcome.SOLVED, None)
    with pytest.raises(ResultError, match="less than nothing"):
        as_result(-1)
    with pytest.raises(ResultError, match="here are 2"):
        mean([1, 2])
    with pytest.raises(ResultError, match="at least 2 cubes"):
        MultiResult(1, 1, 0)
    with pytest.raises(ResultError, match="say 0 to 3"):
        MultiResult(3, 4, 0)
    with pytest.raises(ResultError, match="say 0 to 2"):
        MultiResult(3, 2, 0, penalties=3)
    with pytest.raises(ResultError, match="less than nothing"):
        MultiResult(3, 2, -1)
    with pytest.raises(ResultError, match="at least 2 cubes"):
        time_limit(1)


def test_a_time_that_no_attempt_has_taken() -> None:
    for ms, cubes in ((10, 1), (86_400_000, 1), (1_200_000, 2), (3_600_000, 6), (3_600_000, 50)):
        check_time(ms, cubes)
    with pytest.raises(ResultError, match=r"0\.00 cannot be"):
        check_time(9)
    with pytest.raises(ResultError, match="100:00:00 is longer than a day"):
        check_time(360_000_000)
    with pytest.raises(ResultError, match=r"^2 cubes have 20:00 at most \(H1b.*so 20:01 cannot be"):
        check_time(1_200_500, 2)
    with pytest.raises(ResultError, match="6 cubes have 1:00:00 at most"):
        check_time(3_600_001, 6)
