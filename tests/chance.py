"""Whether counts are what chance alone would make of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from typing import TypeVar

Outcome = TypeVar("Outcome")


def tail(statistic: float, freedom: int) -> float:
    """The chance that chi-square with ``freedom`` degrees of freedom exceeds ``statistic``.

    The upper incomplete gamma function Q(k/2, x/2), from Q(1/2, x) = erfc(sqrt x) or Q(1, x) = exp(-x) upwards by
    Q(a + 1, x) = Q(a, x) + x^a exp(-x) / gamma(a + 1).
    """
    x = statistic / 2
    if x <= 0:
        return 1.0
    a, total = (0.5, math.erfc(math.sqrt(x))) if freedom % 2 else (1.0, math.exp(-x))
    while a < freedom / 2:
        total += math.exp(a * math.log(x) - x - math.lgamma(a + 1))
        a += 1
    return total


def p_value(seen: Mapping[Outcome, int], expected: Mapping[Outcome, Fraction]) -> float:
    """How likely counts stray from ``expected`` (chances that sum to 1) as far as those ``seen``, or farther.

    Outcomes expected fewer than 8 times are taken together.  An outcome of chance 0 that was seen gives 0.
    """
    assert sum(expected.values()) == 1
    if any(not expected.get(outcome) for outcome in seen):
        return 0.0
    count = sum(seen.values())
    cells: list[tuple[int, float]] = []
    rare_seen, rare_expected = 0, 0.0
    for outcome, share in expected.items():
        mean = float(share * count)
        if mean < 8:
            rare_seen, rare_expected = rare_seen + seen.get(outcome, 0), rare_expected + mean
        else:
            cells.append((seen.get(outcome, 0), mean))
    if rare_expected >= 8:
        cells.append((rare_seen, rare_expected))
    else:  # still too few for a cell of their own
        last_seen, last_mean = cells.pop()
        cells.append((last_seen + rare_seen, last_mean + rare_expected))
    assert len(cells) > 1, "one cell tells nothing"
    return tail(sum((got - mean) ** 2 / mean for got, mean in cells), len(cells) - 1)
