"""Results against the WCA Regulations, version of 1 January 2024, clause by clause."""

from __future__ import annotations

import pytest

from nightfold.practice.results import MultiResult, Outcome, as_result, best, clock, mean, result_of, time_limit


@pytest.mark.parametrize(
    ("ms", "written"),
    [
        (0, "0.00"),
        (9, "0.00"),
        (47_059, "47.05"),
        (59_999, "59.99"),
        (60_000, "1:00.00"),
        (599_999, "9:59.99"),
    ],
)
def test_under_ten_minutes_times_are_cut_to_hundredths(ms: int, written: str) -> None:
    """Source: 9f1."""
    assert clock(as_result(ms)) == written


@pytest.mark.parametrize(
    ("ms", "written"),
    [
        (600_000, "10:00"),
        (600_499, "10:00"),
        (600_500, "10:01"),
        (754_320, "12:34"),
        (754_500, "12:35"),
        (3_599_500, "1:00:00"),
        (3_725_000, "1:02:05"),
    ],
)
def test_over_ten_minutes_times_are_rounded_to_the_second(ms: int, written: str) -> None:
    """Source: 9f2."""
    assert clock(as_result(ms)) == written


@pytest.mark.parametrize(
    ("outcome", "ms", "result"),
    [
        (Outcome.SOLVED, 83_456, 8_345),
        (Outcome.PLUS2, 83_456, 8_545),
        (Outcome.PLUS2, 598_700, 60_100),
        (Outcome.DNF, 83_456, None),
        (Outcome.DNS, None, None),
    ],
)
def test_one_turn_away_costs_two_seconds_and_more_is_dnf(outcome: Outcome, ms: int | None, result: int | None) -> None:
    """Source: 10e."""
    assert result_of(outcome, ms) == result


@pytest.mark.parametrize(
    ("results", "expected"),
    [((9_000, None, 8_000), 8_000), ((None, None, 12_345), 12_345), ((None, None, None), None), ((5, 4, 3), 3)],
)
def test_blindfolded_rounds_are_ranked_by_the_best_of_three(
    results: tuple[int | None, ...], expected: int | None
) -> None:
    """Source: 9b3."""
    assert best(results) == expected


@pytest.mark.parametrize(
    ("results", "expected"),
    [
        ((1_000, 1_000, 1_001), 1_000),  # 10.00333
        ((1_000, 1_001, 1_001), 1_001),  # 10.00667
        ((1_000, 1_002, 1_004), 1_002),
        ((60_000, 60_100, 60_100), 60_100),  # 10:00.67, to the second
        ((59_999, 59_999, 60_000), 59_999),
        ((59_999, 60_000, 60_000), 60_000),
    ],
)
def test_means_are_rounded(results: tuple[int, int, int], expected: int) -> None:
    """Source: 9f1 (hundredths), 9f2 (whole seconds from ten minutes on)."""
    assert mean(results) == expected


@pytest.mark.parametrize("results", [(None, 1, 2), (1, None, 2), (None, None, None)])
def test_one_dnf_makes_the_mean_dnf(results: tuple[int | None, int | None, int | None]) -> None:
    """Source: 9f11."""
    assert mean(results) is None


@pytest.mark.parametrize(
    ("cubes", "solved", "counts", "points"),
    [
        (2, 2, True, 2),
        (2, 1, False, 0),  # only one is solved
        (3, 2, True, 1),
        (3, 1, False, -1),
        (4, 2, True, 0),
        (5, 2, False, -1),
        (10, 5, True, 0),
        (10, 4, False, -2),
        (20, 19, True, 18),
    ],
)
def test_a_multi_blind_attempt_scores_solved_less_unsolved(cubes: int, solved: int, counts: bool, points: int) -> None:
    """Source: 9f12c."""
    result = MultiResult(cubes, solved, 1_000_000)
    assert (result.counts, result.points) == (counts, points)
    assert str(result) == (f"{solved}/{cubes} in 16:40" if counts else "DNF")


def test_multi_blind_ties_are_broken_by_time_then_by_fewer_unsolved() -> None:
    """Source: 9f12c."""
    ranked = [
        MultiResult(5, 5, 2_000_000),
        MultiResult(4, 4, 600_000),
        MultiResult(4, 4, 601_000),
        MultiResult(6, 5, 601_000),
        MultiResult(2, 2, 100_000),
        MultiResult(4, 2, 50_000),
        MultiResult(2, 1, 10_000),
    ]
    assert sorted(ranked, key=lambda result: result.rank) == ranked
    assert len({result.rank for result in ranked}) == len(ranked)


@pytest.mark.parametrize(
    ("ms", "penalties", "seconds"),
    [(599_499, 0, 599), (59_500, 0, 60), (1_000_000, 1, 1_002), (1_000_499, 3, 1_006), (1_000_500, 3, 1_007)],
)
def test_multi_blind_times_are_whole_seconds_and_penalties_add_up(ms: int, penalties: int, seconds: int) -> None:
    """Source: 9f2, H1d."""
    assert MultiResult(6, 5, ms, penalties).seconds == seconds


@pytest.mark.parametrize(("cubes", "minutes"), [(2, 20), (3, 30), (5, 50), (6, 60), (7, 60), (60, 60)])
def test_the_time_limit_of_multi_blind(cubes: int, minutes: int) -> None:
    """Source: H1b."""
    assert time_limit(cubes) == 60 * minutes
