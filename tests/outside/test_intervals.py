"""Intervals of a share against published worked examples."""

from __future__ import annotations

import pytest

from nightfold.practice.figures import Share


@pytest.mark.parametrize(
    ("good", "tries", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0000, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_score_intervals(good: int, tries: int, low: float, high: float) -> None:
    """Source: Newcombe, Two-sided confidence intervals for the single proportion: comparison of seven methods,
    Statistics in Medicine 17 (1998), the table of examples, score method without continuity correction; from memory.
    """
    assert Share(good, tries).interval == pytest.approx((low, high), abs=0.00005)
