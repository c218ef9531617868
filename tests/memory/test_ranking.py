"""The marks and the score."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.lexicon import KINDS, Entry, lexicon, weights, zipf
from nightfold.memory.ranking import Scorer, marks, picturable

ENTRIES = st.builds(
    Entry,
    word=st.text("abcd", min_size=1, max_size=14),
    zipf=st.floats(0, 8),
    concreteness=st.none() | st.floats(1, 5),
    visual=st.none() | st.floats(0, 5),
    kind=st.sampled_from(["", *KINDS]),
)


@given(ENTRIES, st.floats(0, 1))
def test_scores_are_those_of_the_marks(entry: Entry, pattern: float) -> None:
    found = marks(entry, pattern)
    assert Scorer(entry)(pattern) == pytest.approx(found.score, abs=1e-4)
    assert 0 <= found.score <= 1
    for mark in (found.picturable, found.common, found.short, found.kind, found.pattern):
        assert mark is None or 0 <= mark <= 1


@given(ENTRIES, st.floats(0.1, 1))
def test_better_marks_make_better_scores(entry: Entry, more: float) -> None:
    score = Scorer(entry)(0.5)
    assert Scorer(entry)(0.5 + more / 2) > score
    assert Scorer(replace(entry, word=entry.word + "x" * 4))(0.5) <= score
    if entry.concreteness is not None:
        assert Scorer(replace(entry, concreteness=min(5.0, entry.concreteness + more)))(0.5) >= score
        assert Scorer(replace(entry, zipf=entry.zipf + more))(0.5) >= score


def test_by_hand() -> None:
    """The weighted mean of docs/words.md, for one word."""
    entry = Entry("bread", 4.0, 5.0, 4.0, "food")
    found = marks(entry, 0.8)
    assert picturable(entry) == pytest.approx(0.7 * 1 + 0.3 * 0.8)
    assert (found.common, found.short, found.kind) == (1.0, 1.0, 1.0)
    assert found.score == pytest.approx((4 * 0.94 + 2 * 1 + 1 * 1 + 1.5 * 1 + 1.5 * 0.8) / 10, abs=1e-4)


def test_what_nobody_knows_is_left_out_with_its_weight() -> None:
    found = marks(Entry("brot", 4.5), 1.0)
    assert found.picturable is found.kind is None
    assert found.score == 1.0
    scale = weights()["common"]
    assert marks(Entry("und", scale["far-too-common"]), 1.0).common == 0
    assert marks(Entry("rain", 7.0, 5.0), 1.0).common == 1.0


def test_every_kind_has_its_mark() -> None:
    assert set(weights()["kind"]) == set(KINDS)
    assert {entry.kind for entry in lexicon("en").entries.values()} <= {"", *KINDS}


def test_the_zipf_scale() -> None:
    assert zipf(1e-6) == 3.0 and zipf(1e-3) == 6.0 and zipf(0.0) == 0.0
    assert zipf(5.13e-5) == round(math.log10(51_300), 2)


def test_two_words_have_marks_whose_mean_is_their_score() -> None:
    from tests.memory.finders import PAIRS, finder

    two = [one for pair in PAIRS[::40] for one in finder().of(pair, 30) if one.pattern == "two-words"]
    assert len(two) > 30
    assert all(one.marks and one.marks.score == one.score for one in two)
