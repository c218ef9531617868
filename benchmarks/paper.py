"""Handouts: setup pages as a whole, and pages a second."""

from __future__ import annotations

import re
from functools import partial

from benchmarks.harness import report, seconds
from nightfold.paper.handouts import KINDS, handout
from nightfold.paper.press import PLAIN
from nightfold.paper.subject import subject


def run() -> None:
    """Measure and report."""
    about = subject()
    whole = seconds(lambda: handout("setups", about))
    report("setup pages, one PDF", f"{whole * 1e3:.0f} ms", "", "1 s")
    learners = {"learners": "20", "seed": "1"}
    sheets = seconds(lambda: [handout("exercises", about, PLAIN, key=key, **learners) for key in (False, True)])
    report("exercise sheets for 20 learners, and their key", f"{sheets:.2f} s", "", "10 s")
    pages, count = 0, 0.0
    for name in KINDS:
        made = handout(name, about, PLAIN)
        pages += len(re.findall(rb"/Type ?/Page\b", made))
        count += seconds(partial(handout, name, about, PLAIN))
    report("all kinds, a page", f"{count / pages * 1e3:.1f} ms", f"{pages / count:.0f} pages a second", "")
