"""Dealing: scrambles a second, plain, blind and with features."""

from __future__ import annotations

import itertools

from benchmarks.harness import report, seconds
from nightfold.blind.dealing import Dealer
from nightfold.blind.features import Features


def run() -> None:
    """Measure and report."""
    count = 300

    def took(dealer: Dealer) -> float:
        return seconds(lambda: list(itertools.islice(dealer, count)), rounds=5) / count

    plain = took(Dealer(seed=1))
    report("random-state scrambles a second, one core", f"{1 / plain:,.0f}", "", "1,000")
    report("in random orientations", f"{1 / took(Dealer(seed=1, blind=True)):,.0f}")
    wished = took(Dealer(seed=1, features=Features(edge_letters=(8, 8), breaks=(0, 0), parity=False)))
    report(
        "with features of chance 1 in 6,785", f"{1 / wished:,.0f}", f"{wished / plain:.2f} of plain's time", "within 2x"
    )
    report("2x2x2", f"{1 / took(Dealer(2, seed=1)):,.0f}")
    report("5x5x5, random moves", f"{1 / took(Dealer(5, seed=1)):,.0f}")
