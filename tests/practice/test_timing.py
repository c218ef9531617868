"""The clock of an attempt, and keys that are held."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.practice.timing import HOLD_MS, RELEASE_MS, TWICE_MS, HeldKey, MeantKey, Phase, Timing

MOMENTS = st.lists(st.integers(0, 10_000_000), min_size=4, max_size=4).map(sorted)


@given(MOMENTS)
def test_three_presses_make_an_attempt(moments: list[int]) -> None:
    start, cover, stop, later = moments
    timing, phases = Timing(), []
    for moment in (start, cover, stop, later):
        timing = timing.press(moment)
        phases.append(timing.phase)
    assert phases == [Phase.MEMORISING, Phase.EXECUTING, Phase.STOPPED, Phase.STOPPED]
    assert timing.memo_ms(later) == cover - start
    assert timing.total_ms(later) == stop - start


@given(MOMENTS)
def test_a_running_clock_tells_the_time_so_far(moments: list[int]) -> None:
    start, cover, now, later = moments
    timing = Timing().press(start)
    assert timing.memo_ms(now) == timing.total_ms(now) == now - start
    timing = timing.press(cover)
    assert timing.memo_ms(now) == cover - start
    assert timing.total_ms(later) == later - start
    assert timing.uncover().memo_ms(later) == later - start
    assert timing.uncover().phase is Phase.MEMORISING


@given(MOMENTS)
def test_giving_up_stops_in_any_phase(moments: list[int]) -> None:
    start, cover, now, _ = moments
    assert Timing().give_up(now) == Timing()
    memorising = Timing().press(start)
    assert memorising.give_up(now).total_ms(0) == now - start
    assert memorising.give_up(now).memo_ms(0) == now - start
    executing = memorising.press(cover)
    assert executing.give_up(now).memo_ms(0) == cover - start
    assert executing.give_up(now).give_up(now + 5).total_ms(0) == now - start


@given(st.permutations([5, 20, 900]))
def test_a_clock_that_jumps_back_makes_no_negative_time(moments: list[int]) -> None:
    timing = Timing()
    for moment in moments:
        timing = timing.press(moment)
    memo, total = timing.memo_ms(0), timing.total_ms(0)
    assert memo is not None
    assert total is not None
    assert 0 <= memo <= total


def test_before_the_start_there_is_no_time() -> None:
    assert Timing().memo_ms(5) is None
    assert Timing().total_ms(5) is None
    assert Timing().uncover() == Timing()


def hold(length: int, delay: int = 400, every: int = 33) -> tuple[HeldKey, int]:
    """A key held for so long by a keyboard that repeats after ``delay``, and when it was last repeated."""
    key, last = HeldKey(), 1000
    key.touch(last)
    for moment in range(1000 + delay, 1000 + length + 1, every):
        key.touch(moment)
        last = moment
    return key, last


@pytest.mark.parametrize(("delay", "every"), [(250, 30), (400, 33), (660, 40), (500, 91)])
def test_a_key_that_was_held_starts_the_clock_when_it_is_let_go(delay: int, every: int) -> None:
    key, last = hold(1500, delay, every)
    assert key.armed(last)
    assert key.started(last + RELEASE_MS) is None
    assert key.started(last + RELEASE_MS + 1) == last
    assert key.started(last + RELEASE_MS + 2) is None  # only once


def test_a_touch_or_a_short_hold_starts_nothing() -> None:
    key = HeldKey()
    key.touch(0)
    assert not key.armed(10)
    assert key.started(10_000) is None
    key, last = hold(HOLD_MS - 60, delay=300)
    assert not key.armed(last)
    assert key.started(last + 10_000) is None


@given(st.lists(st.integers(1000, 5000), min_size=1, max_size=20))
def test_single_touches_far_apart_never_start_the_clock(gaps: list[int]) -> None:
    key, now = HeldKey(), 0
    for gap in gaps:
        key.touch(now)
        assert not key.armed(now)
        assert key.started(now + gap - 1) is None
        now += gap


def test_a_key_that_is_meant_is_held() -> None:
    key = MeantKey()
    touches = [0, 300, *range(333, HOLD_MS + 40, 33)]  # as a keyboard repeats it
    assert [at for at in touches if key.touch(at)] == [at for at in touches if at >= HOLD_MS]
    key.forget()
    assert (key.since, key.slip(10_000)) == (None, None)


def test_a_key_that_was_touched_is_a_slip_at_the_moment_it_came_down() -> None:
    key = MeantKey()
    assert not key.touch(1_000)
    assert (key.since, key.slip(1_500)) == (1_000, None)  # it may be repeated yet
    assert key.slip(3_000) == 1_000
    assert not key.touch(5_000)  # a touch of its own, however long after
    assert key.since == 5_000
    assert not key.touch(5_300)
    assert key.slip(5_300 + RELEASE_MS + 1) == 5_000


def test_where_keys_do_not_repeat_it_is_pressed_twice() -> None:
    key = MeantKey(twice=True)
    assert not key.touch(0)
    assert key.touch(TWICE_MS)
    key.forget()
    assert not key.touch(10_000)
    assert key.slip(10_000 + TWICE_MS) is None
    assert key.slip(10_001 + TWICE_MS) == 10_000
    assert not key.touch(20_000)
