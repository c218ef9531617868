"""The schedule: ratings by the rules, and dates exactly as the library ``fsrs`` gives them."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import fsrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.practice.schedule import (
    AGAIN,
    EASY,
    ENOUGH,
    GOOD,
    HARD,
    NEW_A_DAY,
    QUICK,
    RETENTION,
    SLOW,
    TOO_MANY_DUE,
    Pace,
    ScheduleError,
    card_number,
    days_since,
    due_at,
    fresh_allowance,
    new_card,
    next_subject,
    pace_of,
    rate,
    recall,
    review,
)

NOW = datetime(2026, 3, 1, 19, 30, tzinfo=UTC)
REVIEWS = st.lists(
    st.tuples(st.sampled_from([AGAIN, HARD, GOOD, EASY]), st.integers(1, 60 * 24 * 400), st.integers(200, 60_000)),
    min_size=1,
    max_size=15,
)


@given(reviews=REVIEWS)
def test_results_equal_the_librarys(reviews: list[tuple[int, int, int]]) -> None:
    """Every state, date and log along a history is what the library itself makes of the same ratings and moments."""
    library = fsrs.Scheduler(desired_retention=RETENTION, enable_fuzzing=False)
    theirs = fsrs.Card(card_id=card_number("setup", "edges/LB"), due=NOW)
    ours = new_card("setup", "edges/LB", NOW)
    assert ours == theirs.to_dict()
    when = NOW
    for rating, minutes, ms in reviews:
        when += timedelta(minutes=minutes)
        assert recall(ours, when) == library.get_card_retrievability(theirs, when)
        theirs, log = library.review_card(theirs, fsrs.Rating(rating), when, ms)
        done = review(json.loads(json.dumps(ours)), rating, when, ms)
        assert done.card == theirs.to_dict()
        assert done.due == theirs.due == due_at(done.card)
        assert done.log == log.to_dict()
        assert done.rating == rating
        ours = dict(done.card)


@given(reviews=REVIEWS)
def test_the_library_reschedules_our_logs_to_the_same_card(reviews: list[tuple[int, int, int]]) -> None:
    card, logs, when = new_card("setup", "edges/LB", NOW), [], NOW
    for rating, minutes, ms in reviews:
        when += timedelta(minutes=minutes)
        done = review(card, rating, when, ms)
        card = dict(done.card)
        logs.append(fsrs.ReviewLog.from_dict(done.log))  # type: ignore[arg-type]
    library = fsrs.Scheduler(desired_retention=RETENTION, enable_fuzzing=False)
    again = library.reschedule_card(fsrs.Card.from_dict(new_card("setup", "edges/LB", NOW)), logs)  # type: ignore[arg-type]
    assert again.to_dict() == card


def test_equal_answers_give_equal_dates() -> None:
    def history() -> dict[str, Any]:
        card = new_card("parity", "counted", NOW)
        for day in range(6):
            card = dict(review(card, GOOD, NOW + timedelta(days=30 * day)).card)
        return card

    assert history() == history()
    assert due_at(history()) > NOW + timedelta(days=200)


def test_a_card_has_its_own_number_everywhere() -> None:
    numbers = {card_number(exercise, subject) for exercise in ("a", "b", "a\nb") for subject in ("c", "d", "b\nc")}
    assert len(numbers) == 9 - 1  # "a" with "b\nc" reads as "a\nb" with "c"; no exercise has a line break in its name
    assert all(0 <= number < 2**48 for number in numbers)
    assert card_number("setup", "edges/LB") == card_number("setup", "edges/LB")


def test_a_clock_that_was_set_back_loses_no_review() -> None:
    card = review(new_card("parity", "counted", NOW), GOOD, NOW).card
    back = review(card, GOOD, NOW - timedelta(days=3))
    assert back.log["review_datetime"] == NOW.isoformat()
    assert back.card == review(card, GOOD, NOW).card


def test_times_are_kept_in_utc() -> None:
    tokyo = datetime(2026, 3, 2, 4, 30, tzinfo=UTC).astimezone()
    assert new_card("parity", "counted", tokyo)["due"] == "2026-03-02T04:30:00+00:00"
    naive = datetime(2026, 3, 2, 4, 30)
    assert new_card("parity", "counted", naive)["due"] == "2026-03-02T04:30:00+00:00"


@pytest.mark.parametrize("change", [{"state": 9}, {"due": "yesterday"}, {"stability": "much"}, {"card_id": None}])
def test_a_damaged_card_is_refused(change: dict[str, Any]) -> None:
    card = {**review(new_card("parity", "counted", NOW), GOOD, NOW).card, **change}
    with pytest.raises(ScheduleError, match="a kept card cannot be read"):
        review(card, GOOD, NOW)
    with pytest.raises(ScheduleError):
        due_at({})


# --- ratings --------------------------------------------------------------------------------------------------


def test_wrong_is_again_and_right_is_rated_by_ones_own_times() -> None:
    pace = Pace(4000)
    assert (pace.slow, pace.quick) == (SLOW * 4000, QUICK * 4000)
    for ms in (None, 10, 4000, 100_000):
        assert rate(False, ms, pace) == AGAIN
        assert rate(True, ms, None) == GOOD
    assert rate(True, None, pace) == GOOD
    assert [rate(True, ms, pace) for ms in (2399, 2400, 4000, 8000, 8001)] == [EASY, GOOD, GOOD, GOOD, HARD]


@given(times=st.lists(st.floats(1, 1e6), max_size=100), scale=st.floats(0.1, 10))
def test_pace_is_a_learners_own(times: list[float], scale: float) -> None:
    pace = pace_of(times)
    assert (pace is None) == (len(times) < ENOUGH)
    if pace is not None:
        assert min(times[-60:]) <= pace.usual <= max(times[-60:])
        # Who is slower in everything is rated alike.
        slower = pace_of([time * scale for time in times])
        assert slower is not None
        for time in times:
            if abs(time - pace.slow) > 1e-6 * time and abs(time - pace.quick) > 1e-6 * time:
                assert rate(True, time, pace) == rate(True, time * scale, slower)


def test_times_of_nothing_are_passed_over() -> None:
    assert pace_of([0.0] * 50) is None


# --- what comes next --------------------------------------------------------------------------------------------

SUBJECTS = ("a", "b", "c", "d")


def due(**minutes: int) -> dict[str, datetime]:
    return {subject: NOW + timedelta(minutes=number) for subject, number in minutes.items()}


def test_what_is_asked_next() -> None:
    # What is due longest comes first, then something new, then what is due soonest.
    assert next_subject(SUBJECTS, due(a=-5, b=-9, c=4), NOW, 5) == "b"
    assert next_subject(SUBJECTS, due(a=5, b=9), NOW, 5) == "c"
    assert next_subject(SUBJECTS, due(a=5, b=9), NOW, 0) == "a"
    assert next_subject(SUBJECTS, {}, NOW, 0) == "a"
    assert next_subject((), {}, NOW, 5) is None
    # What is wanted comes before all that, and nothing twice running unless it is alone.
    assert next_subject(SUBJECTS, due(a=-5), NOW, 5, wanted=["d", "c"]) == "d"
    assert next_subject(SUBJECTS, due(a=-5), NOW, 5, wanted=["d", "c"], last="d") == "c"
    assert next_subject(SUBJECTS, due(a=-5, b=-9), NOW, 5, last="b") == "a"
    assert next_subject(("a",), due(a=-5), NOW, 5, last="a") == "a"
    assert next_subject(SUBJECTS, due(a=-5), NOW, 0, wanted=["z"]) == "a"


def test_new_things_come_in_slowly() -> None:
    assert fresh_allowance(0, 0) == NEW_A_DAY
    assert fresh_allowance(0, NEW_A_DAY - 1) == 1
    assert fresh_allowance(0, NEW_A_DAY + 5) == 0
    assert fresh_allowance(TOO_MANY_DUE, 0) == 0
    assert fresh_allowance(TOO_MANY_DUE - 1, 0) == NEW_A_DAY


def test_how_long_ago_a_card_was_asked_for() -> None:
    card = new_card("setup", "edges/LB", NOW)
    assert days_since(None, NOW) is None and days_since(card, NOW) is None
    asked = review(card, GOOD, NOW).card
    assert days_since(asked, NOW + timedelta(hours=36)) == 1.5
    assert days_since(asked, NOW - timedelta(hours=1)) == 0  # a clock that was set back
    with pytest.raises(ScheduleError, match="cannot be read"):
        days_since({"last_review": "soon"}, NOW)
