"""Today: every kind of mistake leads somewhere, the time is kept, and the reasons are true."""

from __future__ import annotations

import ast
import inspect
from collections import Counter
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.coach import marking
from nightfold.coach.mistakes import catalogue
from nightfold.practice.drills import EXERCISES, DrillError, Table
from nightfold.practice.today import HALF_LIFE, Lapse, Today, plan_today, remedies, weak_points
from tests.practice.drilling import METHODS, table_of

NOW = datetime(2026, 3, 1, 19, 30, tzinfo=UTC)
#: Kinds of faults that marking makes besides those of its search.
WHOLE = {"held-differently", "other-orbit", "unlike", "missed-flipped", "missed-twisted"}


def ago(**time: float) -> datetime:
    return NOW - timedelta(**time)


def misread(letter: str = "H", orbit: str = "edges", **time: float) -> Lapse:
    return Lapse("wrong-letter", orbit, letter, ago(**time))


# --- remedies --------------------------------------------------------------------------------------------------


def test_there_is_a_remedy_for_every_kind_of_mistake_and_for_nothing_else() -> None:
    kinds = {*catalogue(), *(set(marking.WEIGHTS) - {"right"}), *WHOLE}
    assert set(remedies()) == kinds


def test_no_kind_of_marking_is_forgotten() -> None:
    """The names that marking gives to faults of a whole memo stand in its source, so that none is left out here."""
    texts = {
        node.value
        for node in ast.walk(ast.parse(inspect.getsource(marking)))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert {kind for kind in WHOLE if not kind.startswith("missed-")} <= texts
    assert {"flipped", "twisted", "turned"} <= texts


@pytest.mark.parametrize("method", METHODS)
def test_every_remedy_names_subjects_that_there_are(method: str) -> None:
    table = table_of(method)
    for kind, remedy in remedies().items():
        exercise = EXERCISES[remedy.exercise]
        for orbit in table.orbits:
            letter = table.symbol(orbit, table.targets(orbit)[3])
            (weak,) = weak_points(table, [Lapse(kind, orbit, letter, NOW)], NOW)
            assert weak.exercise == remedy.exercise
            assert weak.subject in exercise.subjects(table), kind
            assert "{" not in weak.say and "  " not in weak.say
            # Where letter or orbit are not known, the exercise still is.
            for vague in (Lapse(kind, orbit, "", NOW), Lapse(kind, "", "", NOW), Lapse(kind, "parity", "", NOW)):
                (told,) = weak_points(table, [vague], NOW)
                assert told.exercise == remedy.exercise and "{" not in told.say


# --- what is weak ----------------------------------------------------------------------------------------------


def test_what_is_said_of_a_weak_letter() -> None:
    table = table_of()
    lapses = [misread(days=1), misread(days=3), misread(days=20), misread("Q", "corners", days=25)]
    found = weak_points(table, lapses, NOW)
    assert [weak.say for weak in found] == [
        "letter H of the edges was misread twice in the last week",
        "letter Q of the corners was misread once in the last month",
    ]
    assert [weak.subject for weak in found] == ["edges/LB", "corners/BUR"]
    old = weak_points(table, [misread(days=35), misread(days=36), misread(days=40)], NOW)
    assert old[0].say == "letter H of the edges was misread 3 times some time ago"


def test_recent_mistakes_weigh_more() -> None:
    table = table_of()
    found = weak_points(table, [misread("H", days=40), misread("G", days=1)], NOW)
    assert [weak.subject for weak in found] == ["edges/LD", "edges/LB"]
    assert found[0].weight == pytest.approx(0.5 ** (1 / 14))
    (half,) = weak_points(table, [Lapse("wrong-letter", "edges", "H", NOW - HALF_LIFE)], NOW)
    assert half.weight == pytest.approx(0.5)
    assert weak_points(table, [misread(days=200)], NOW) == ()
    # A clock that was ahead makes nothing heavier than now.
    (ahead,) = weak_points(table, [misread(days=-3)], NOW)
    assert ahead.weight == 1


def test_explanations_count_for_what_they_are_worth() -> None:
    table = table_of()
    one = [Lapse("pair-lost", "edges", "", NOW, 0.2), Lapse("pair-lost", "edges", "", NOW, 0.15)]
    (weak,) = weak_points(table, one, NOW)
    assert weak.say == "perhaps a pair of the edges was lost once in the last week"
    assert weak.weight == pytest.approx(0.35)
    two = [Lapse("pair-lost", "edges", "", NOW, 0.9), Lapse("pair-lost", "edges", "", NOW, 0.8)]
    assert weak_points(table, two, NOW)[0].say == "a pair of the edges was lost twice in the last week"
    assert weak_points(table, [Lapse("pair-lost", "edges", "", NOW, 0.0)], NOW) == ()


def test_like_mistakes_of_inquest_and_marking_go_together() -> None:
    table = table_of()
    lapses = [Lapse("beside", "edges", "H", NOW), Lapse("neighbour", "edges", "H", NOW)]
    (weak,) = weak_points(table, lapses, NOW)
    assert weak.weight == 2 and "twice" in weak.say


def test_what_is_not_known_is_passed_over() -> None:
    table = table_of()
    assert weak_points(table, [Lapse("some-new-kind", "edges", "H", NOW)], NOW) == ()
    (strange,) = weak_points(table, [misread("Ω")], NOW)
    assert strange.subject is None
    (buffer,) = weak_points(table, [misread("B")], NOW)
    assert buffer.subject is None, "the buffer's own letters are never asked"


# --- the plan of the day ---------------------------------------------------------------------------------------


def share(plan: Today, exercise: str) -> float:
    return sum(item.seconds for item in plan.items if item.exercise == exercise)


def test_the_weakest_comes_first_with_its_reason() -> None:
    table = table_of()
    due = {"setup": EXERCISES["setup"].subjects(table)[:12], "parity": ["counted"]}
    lapses = [misread(days=1), misread(days=3), Lapse("not-closed", "corners", "", ago(days=2))]
    plan = plan_today(table, 10, NOW, due, lapses)
    first = plan.items[0]
    assert (first.exercise, first.subjects) == ("sticker-letter", ("edges/LB", "edges/LB"))
    assert first.why == "letter H of the edges was misread twice in the last week"
    assert plan.items[1].exercise == "cycle-end" and plan.items[1].subjects[0] == "corners/to-close"
    assert plan.items[1].why == "a cycle of the corners was broken into and not closed once in the last week"
    assert plan.items[2].exercise == "setup" and plan.items[2].why == "12 due"
    assert plan.items[3].why == "1 due"
    assert len({item.exercise for item in plan.items}) >= 5


def test_long_things_are_cut_up_and_mixed() -> None:
    table = table_of()
    due = {name: EXERCISES[name].subjects(table)[:30] for name in ("sticker-letter", "letter-sticker", "setup")}
    plan = plan_today(table, 12, NOW, due, seconds=dict.fromkeys(due, 10.0))
    names = [item.exercise for item in plan.items]
    assert all(a != b for a, b in pairwise(names))
    assert Counter(names)["setup"] >= 2
    asked = [subject for item in plan.items if item.exercise == "setup" for subject in item.subjects]
    assert asked == list(due["setup"])[: len(asked)]


def test_many_reasons_are_told_in_short() -> None:
    table = table_of()
    lapses = [misread(letter, days=1) for letter in "CDEFGH"]
    plan = plan_today(table, 30, NOW, {}, lapses)
    assert plan.items[0].why == (
        "letter C of the edges was misread once in the last week; letter D of the edges was misread once in the last "
        "week; 4 other things went wrong too"
    )
    assert plan.items[0].count == 12


def test_a_newcomer_begins_with_the_letters() -> None:
    table = Table.laid()
    fresh = {name: one.subjects(table)[:10] for name, one in EXERCISES.items()}
    plan = plan_today(table, 15, NOW, fresh=fresh)
    assert [item.exercise for item in plan.items[:3]] == ["sticker-letter", "letter-sticker", "setup"]
    assert plan.items[0].why == "10 new"
    begun = {item.exercise for item in plan.items if "new" in item.why}
    assert begun == {"sticker-letter", "letter-sticker", "setup"}


def test_with_nothing_to_do_there_is_still_practice() -> None:
    plan = plan_today(Table.laid(), 10, NOW)
    assert plan.items and plan.seconds > 0.7 * 600
    assert all(item.why and not item.subjects for item in plan.items)


def test_minutes_that_cannot_be_planned() -> None:
    for minutes in (0.0, 0.5, 241.0, float("nan")):
        with pytest.raises(DrillError, match="minutes cannot be planned; 1 to 240 can"):
            plan_today(table_of(), minutes, NOW)


NAMES = st.sampled_from(list(EXERCISES))
LAPSES = st.builds(
    Lapse,
    st.sampled_from([*remedies()]),
    st.sampled_from(["edges", "corners", ""]),
    st.sampled_from([*"ABHQX", ""]),
    st.integers(-2, 80).map(lambda days: ago(days=days)),
    st.floats(0, 1),
)


@given(
    minutes=st.one_of(st.integers(1, 240).map(float), st.floats(1, 240)),
    due=st.dictionaries(NAMES, st.integers(0, 60)),
    fresh=st.dictionaries(NAMES, st.integers(0, 12)),
    seconds=st.dictionaries(NAMES, st.floats(0, 200)),
    lapses=st.lists(LAPSES, max_size=25),
)
@settings(max_examples=120)
def test_whatever_there_is_the_time_is_kept_and_nothing_takes_all_of_it(
    minutes: float, due: dict[str, int], fresh: dict[str, int], seconds: dict[str, float], lapses: list[Lapse]
) -> None:
    table = table_of()
    owed = {name: EXERCISES[name].subjects(table)[:number] for name, number in due.items()}
    last = {name: EXERCISES[name].subjects(table)[::-1][:number] for name, number in fresh.items()}
    new = {name: [one for one in subjects if one not in owed.get(name, ())] for name, subjects in last.items()}
    plan = plan_today(table, minutes, NOW, owed, lapses, new, seconds)
    assert plan.seconds <= 60 * minutes + 1e-6
    for name in EXERCISES:
        assert share(plan, name) <= 30 * minutes + 1e-6
    for item in plan.items:
        assert item.count >= 1 and item.count >= len(item.subjects) and item.why
        assert set(item.subjects) <= set(EXERCISES[item.exercise].subjects(table))
        each = max(1.0, seconds.get(item.exercise, EXERCISES[item.exercise].seconds))
        assert item.seconds == pytest.approx(item.count * each)
    assert all(a.exercise != b.exercise for a, b in pairwise(plan.items))
    assert plan == plan_today(table, minutes, NOW, owed, lapses, new, seconds)
    data = plan.to_dict()
    assert [item["exercise"] for item in data["items"]] == [item.exercise for item in plan.items]
