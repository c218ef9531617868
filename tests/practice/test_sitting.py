"""A sitting: what is asked, how hard, and what is kept; with a learner and a clock that are both made up."""

from __future__ import annotations

import json
import random
from collections import Counter
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from nightfold.cube.errors import NightfoldError
from nightfold.practice.agenda import todays_practice, usual_seconds
from nightfold.practice.drills import EXERCISES, DrillError, Question, Table
from nightfold.practice.keeper import Answered, Forgetful
from nightfold.practice.schedule import AGAIN, EASY, GOOD, HARD, NEW_A_DAY
from nightfold.practice.sitting import Sitting, utc_now
from tests.practice.drilling import table_of

START = datetime(2026, 3, 1, 19, 30, tzinfo=UTC)


class Clock:
    """A clock that goes on only when it is told to."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def wait(self, **time: float) -> None:
        self.now += timedelta(**time)


def sit(name: str, keeper: Forgetful, clock: Clock, seed: int = 1, **options: object) -> Sitting:
    return Sitting(table_of(), EXERCISES[name], keeper, random.Random(seed), clock, **options)  # type: ignore[arg-type]


def answer(sitting: Sitting, right: bool = True, ms: int | None = 3000) -> Answered:
    question = sitting.next()
    given = sitting.exercise.expected(sitting.table, question)[0] if right else "?"
    return sitting.answer(question, given, ms)


@pytest.mark.parametrize("name", ["sticker-letter", "setup"])
def test_new_things_are_begun_in_order_and_only_so_many_a_day(name: str) -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit(name, keeper, clock)
    begun = []
    for _ in range(40):
        begun.append(answer(sitting).question.subject)
        clock.wait(seconds=5)
    subjects = sitting.exercise.subjects(sitting.table)
    assert set(begun) == set(subjects[:NEW_A_DAY])
    # Which ones is in order; but where the order would give letters away, they come in another.
    assert (list(dict.fromkeys(begun)) == list(subjects[:NEW_A_DAY])) == (name == "setup")
    clock.wait(days=1)
    later = sit(name, keeper, clock)
    for _ in range(60):
        answer(later)
        clock.wait(seconds=5)
    assert len(keeper.cards(name)) == 2 * NEW_A_DAY


def test_the_next_letter_cannot_be_told_from_the_one_before() -> None:
    """Of one who begins: of the ten letters of the first round no more are followed by the next one than by chance."""
    table, follow = table_of(), 0
    order = {subject: at for at, subject in enumerate(EXERCISES["sticker-letter"].subjects(table))}
    for seed in range(200):
        keeper, clock = Forgetful(), Clock()
        begun = [order[answer(sit("sticker-letter", keeper, clock, seed + at)).question.subject] for at in range(10)]
        assert sorted(begun) == list(range(10))
        follow += sum(b == a + 1 for a, b in pairwise(begun))
    # Each of the 9 followers stands behind its letter with probability 1/10: 0.9 a round, deviation about 0.95.
    assert 0.9 - 0.3 < follow / 200 < 0.9 + 0.3


def test_ones_words_come_in_no_order() -> None:
    words = {f"{a}{b}": (f"word{a}{b}",) for a in "ABC" for b in "DEF"}
    found = set()
    for seed in range(5):
        sitting = Sitting(Table.laid(words=words), EXERCISES["word-pair"], Forgetful(), random.Random(seed), Clock())
        found.add(tuple(answer(sitting).question.subject for _ in range(9)))
    assert len(found) == 5


def test_what_is_due_comes_first_and_what_was_wrong_comes_soon() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock)
    first = answer(sitting, right=False)
    assert first.review.due == START + timedelta(minutes=1)
    for _ in range(3):
        answer(sitting)
    clock.wait(minutes=2)
    assert sitting.next().subject == first.question.subject
    # In another sitting too, from what was kept.
    assert sit("sticker-letter", keeper, clock).next().subject == first.question.subject


def test_a_lapse_comes_back_until_it_is_known() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("next-letter", keeper, clock)
    asked = Counter[str]()
    for _ in range(60):
        question = sitting.next()
        weak = question.subject == "edges/close"
        known = not weak or asked[question.subject] >= 3
        asked[question.subject] += 1
        sitting.answer(question, sitting.exercise.expected(sitting.table, question)[0] if known else "?", 5000)
        clock.wait(seconds=40)
    assert asked.most_common(1)[0][0] == "edges/close"


def test_nothing_is_asked_twice_running() -> None:
    keeper, clock = Forgetful(), Clock()
    for name in ("parity", "sticker-letter", "turned"):
        sitting = sit(name, keeper, clock)
        last = None
        for _ in range(15):
            subject = answer(sitting, right=False).question.subject
            assert subject != last
            last = subject
            clock.wait(seconds=70)


def test_levels_follow_the_answers_and_are_found_again() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock)
    levels = [answer(sitting).question.level for _ in range(10)]
    assert levels[:4] == [1, 1, 2, 2] and levels[-1] == 5
    answer(sitting, right=False)
    assert sitting.next().level == 5
    answer(sitting, right=False)
    answer(sitting, right=False)
    level = sitting.next().level
    assert level < 5
    assert sit("sticker-letter", keeper, clock).next().level == level


def test_each_skill_has_its_own_level() -> None:
    keeper, clock = Forgetful(), Clock()
    for _ in range(6):
        sitting = sit("hold-memo", keeper, clock, wanted=["edges/timed", "corners/timed"])
        for good in (True, False):
            question = sitting.next()
            sitting.answer(question, "\n".join(question.show) if good else "?", 9000)
    again = sit("hold-memo", keeper, clock, wanted=["edges/timed", "corners/timed"])
    assert [again.next().level, again.next().level] == [4, 1]


def test_ratings_follow_ones_own_times() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock)
    assert {answer(sitting, ms=ms).review.rating for ms in (90_000, 100, 4000, 4000, 4000, 4000, 4000, 4000)} == {GOOD}
    assert answer(sitting, ms=4100).review.rating == GOOD
    assert answer(sitting, ms=9000).review.rating == HARD
    assert answer(sitting, ms=1000).review.rating == EASY
    assert answer(sitting, right=False, ms=1000).review.rating == AGAIN
    # Where nobody measured, right is right.
    assert answer(sitting, ms=None).review.rating == GOOD


def test_times_are_compared_letter_by_letter() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("hold-memo", keeper, clock, orbit="edges")
    for _ in range(9):
        question = sitting.next()
        done = sitting.answer(question, "\n".join(question.show), 4000 * question.size)
        assert done.ms_a_letter == 4000
        assert done.review.rating == GOOD


def test_what_is_wanted_comes_first() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock, wanted=["edges/DB", "nowhere", "corners/RUF"])
    first, second, third = (answer(sitting).question.subject for _ in range(3))
    assert (first, second) == ("edges/DB", "corners/RUF")
    assert third in sitting.exercise.subjects(sitting.table)[:NEW_A_DAY]


def test_an_answer_that_cannot_be_read_changes_nothing() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock)
    question = sitting.next()
    with pytest.raises(NightfoldError):
        sitting.answer(question, "seven", 1000)
    assert not keeper.answers and not sitting.answers
    assert sitting.answer(question, sitting.exercise.expected(sitting.table, question)[0]).marked.right


@pytest.mark.parametrize("name", EXERCISES)
def test_an_empty_answer_lowers_nothing(name: str) -> None:
    """Enter is pressed once too often by anybody: only a question mark gives up, in every exercise."""
    keeper, clock = Forgetful(), Clock()
    sitting = sit(name, keeper, clock)
    for subject in sitting.subjects[:12]:
        question = sitting.exercise.ask(sitting.table, subject, random.Random(2))
        for nothing in ("", " ", "\n", "\n" * len(question.parts)):
            with pytest.raises(DrillError, match="nothing was written"):
                sitting.answer(question, nothing, 700)
    assert not keeper.answers and not keeper.cards(name)
    assert sitting.answer(question, "?").review.rating == AGAIN


def test_every_answer_is_kept_before_the_next_is_asked() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("parity", keeper, clock)
    for number in range(1, 6):
        done = answer(sitting)
        assert keeper.answers["parity"][-1] is done and len(keeper.answers["parity"]) == number
        kept = json.loads(json.dumps(done.question.to_dict()))
        assert Question.from_dict(kept) == done.question
        json.dumps(done.to_dict())
        assert keeper.cards("parity")[done.card] == done.review.card


def test_the_same_dice_and_clock_ask_the_same() -> None:
    def questions(seed: int) -> list[Question]:
        sitting = sit("trace", Forgetful(), Clock(), seed)
        return [answer(sitting).question for _ in range(6)]

    assert questions(4) == questions(4) != questions(5)


def test_one_orbit_and_one_level() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("turned", keeper, clock, orbit="corners", level=3)
    assert {(q.subject, q.level) for q in (answer(sitting).question for _ in range(5))} == {("corners", 3)}


def test_what_cannot_be_sat_through() -> None:
    keeper, clock = Forgetful(), Clock()
    with pytest.raises(DrillError, match="has nothing that is about the edges alone"):
        sit("pair-word", keeper, clock, orbit="edges")
    with pytest.raises(DrillError, match="“wings” is no orbit of two-swap; it has edges and corners"):
        sit("turned", keeper, clock, orbit="wings")
    with pytest.raises(DrillError, match="the levels 1 to 4, not 5"):
        sit("turned", keeper, clock, level=5)
    with pytest.raises(DrillError, match="asks for your own words, and there are none yet"):
        Sitting(Table.laid(), EXERCISES["word-pair"], keeper, random.Random(1))


def test_now_is_in_utc() -> None:
    assert utc_now().tzinfo is UTC


# --- today out of what was kept --------------------------------------------------------------------------------


def test_today_looks_at_what_was_kept() -> None:
    keeper, clock = Forgetful(), Clock()
    table = table_of()
    sitting = sit("sticker-letter", keeper, clock)
    for _ in range(10):
        answer(sitting, right=False, ms=10_000)
    clock.wait(hours=1)
    plan = todays_practice(table, keeper, 10, clock.now)
    stickers = [item for item in plan.items if item.exercise == "sticker-letter"]
    assert [item.why for item in stickers] == ["10 due"]
    asked = [subject for item in stickers for subject in item.subjects]
    assert sorted(asked) == sorted(one.question.subject for one in sitting.answers)
    # Wrong answers tell no time: four seconds, as anybody is taken to need, and two for reading what is said.
    assert sum(item.seconds for item in stickers) == pytest.approx(6 * 10)
    # Nothing more is begun there on that day, and things are begun elsewhere.
    assert any("10 new" in item.why and item.exercise == "letter-sticker" for item in plan.items)


def test_mistakes_of_drills_lead_to_exercises() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("turned", keeper, clock, orbit="edges", level=1)
    question = sitting.next()
    missed = sitting.answer(question, "none", 5000).marked.mistakes
    assert missed
    plan = todays_practice(table_of(), keeper, 10, clock.now)
    assert plan.items[0].exercise == "turned"
    assert plan.items[0].why.startswith("a flipped edge was missed ")


def test_answers_given_up_do_not_make_a_day_of_hundreds_of_questions() -> None:
    """One question mark at once is no time for tracing a cube."""
    keeper, clock = Forgetful(), Clock()
    before = todays_practice(table_of(), keeper, 20, clock.now)
    sitting = sit("trace", keeper, clock)
    answer(sitting, right=False, ms=300)
    for _ in range(5):
        answer(sitting, right=False, ms=200)
    clock.wait(hours=1)
    after = todays_practice(table_of(), keeper, 20, clock.now)
    for plan in (before, after):
        traced = [item for item in plan.items if item.exercise == "trace"]
        assert 1 <= sum(item.count for item in traced) <= 6
        assert all(item.seconds >= 80 * item.count for item in traced)
        assert sum(item.count for item in plan.items) < 100
        assert len({item.exercise for item in plan.items}) >= 5


@pytest.mark.parametrize("number", range(12))
def test_times_of_ones_own_count_for_more_the_more_there_are(number: int) -> None:
    """Worked out by hand: n right answers of 10 s among 8 count n parts in 8, the usual 90 s the rest; 2 s to read."""
    keeper, clock = Forgetful(), Clock()
    sitting = sit("trace", keeper, clock)
    for _ in range(number):
        answer(sitting, ms=10_000)
        answer(sitting, right=False, ms=500_000)
    own = min(number, 8) / 8
    assert usual_seconds(sitting.exercise, keeper) == pytest.approx(2 + own * 10 + (1 - own) * 90)


def test_one_odd_time_among_many_changes_little() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("sticker-letter", keeper, clock)
    for ms in (3000, 3100, 2900, 3000, 900_000, 3000, 3200, 10, 2800):
        answer(sitting, ms=ms)
    assert usual_seconds(sitting.exercise, keeper) == pytest.approx(2 + 3)


def test_holding_a_memo_takes_the_time_it_is_shown_too() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("hold-memo", keeper, clock, level=1, wanted=["edges/delayed"] * 8)
    for _ in range(8):
        question = sitting.exercise.ask(sitting.table, "edges/delayed", sitting.dice, 1)
        sitting.answer(question, "\n".join(question.show), 6000)
    # Four letters looked at for four seconds each, twenty seconds of waiting, six of writing, two of reading.
    assert usual_seconds(sitting.exercise, keeper) == pytest.approx(4 * 4 + 20 + 6 + 2)


def test_new_letters_of_today_are_mixed_the_same_all_day() -> None:
    table = table_of()

    def letters(now: datetime) -> tuple[str, ...]:
        return todays_practice(table, Forgetful(), 20, now).items[0].subjects

    subjects = EXERCISES["sticker-letter"].subjects(table)[:NEW_A_DAY]
    assert set(letters(START)) == set(subjects) and letters(START) != subjects
    assert letters(START) == letters(START + timedelta(hours=2)) != letters(START + timedelta(days=1))


# --- one's times -----------------------------------------------------------------------------------------------


def test_times_against_the_clock_are_those_of_right_answers_to_the_same() -> None:
    keeper, clock = Forgetful(), Clock()
    sitting = sit("trace", keeper, clock, orbit="edges")
    assert sitting.times_at("edges") is None
    for pace in (9000, 5000, 7000):
        question = sitting.next()
        sitting.answer(question, sitting.exercise.expected(sitting.table, question)[0], pace * question.size)
    answer(sitting, right=False, ms=10)
    for one in (sitting, sit("trace", keeper, clock)):
        times = one.times_at("edges")
        assert times is not None and (times.usual, times.best) == (7.0, 5.0)
        assert one.times_at("corners") is None
    stickers = sit("sticker-letter", keeper, clock)
    answer(stickers)
    assert stickers.times_at(stickers.answers[0].question.subject) is None, "no clock is shown there"


def test_chosen_times_ask_only_what_they_leave_as_it_is() -> None:
    from nightfold.practice.drills.holding import fits_times

    keeper, clock = Forgetful(), Clock()
    for times, kinds in (
        ((1, None), {"timed", "delayed"}),
        ((0, None), {"own-pace", "delayed"}),
        ((None, 60), {"delayed"}),
        ((None, 0), {"own-pace", "timed"}),
        ((9, 60), {"delayed"}),
        ((1, 0), {"timed"}),
        ((None, None), {"own-pace", "timed", "delayed"}),
    ):
        sitting = sit("hold-memo", keeper, clock, fits=lambda subject, at=times: fits_times(subject, *at))
        assert {subject.split("/")[1] for subject in sitting.subjects} == kinds
    with pytest.raises(DrillError, match="has nothing to ask in that way"):
        sit("hold-memo", keeper, clock, fits=lambda _: False)
