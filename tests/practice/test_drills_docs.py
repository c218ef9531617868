"""The page about drills tells the numbers that the code has, and the JSON that a drill prints."""

from __future__ import annotations

import re

import pytest

from nightfold.blind.features import MOST
from nightfold.practice import agenda, level, schedule, today
from nightfold.practice.drills import EXERCISES
from tests.cli.running import here
from tests.test_docs import DOCS, KINDS, leaves, rows, section

PAGE = DOCS / "drills.md"


def test_every_exercise_with_its_levels() -> None:
    told = {row[0].strip("`"): int(row[1]) for row in rows(section(PAGE, "The exercises"))}
    assert told == {name: one.most_level for name, one in EXERCISES.items()}
    glances = ", ".join(f"{seconds:g}" for seconds in level.GLANCES[:-1]) + f" and {level.GLANCES[-1]:g} seconds"
    assert glances in section(PAGE, "The exercises")


def test_the_rules_of_the_schedule() -> None:
    text = " ".join(section(PAGE, "When things come again").split())
    for sentence in (
        f"more than {schedule.SLOW:g} times as long as usual | hard",
        f"in less than {schedule.QUICK:g} times the usual time | easy",
        f"your own last {schedule.LOOK_BACK} right answers",
        f"before there are {schedule.ENOUGH} of them",
        f"{schedule.NEW_A_DAY} new cards are begun on one day, and none while {schedule.TOO_MANY_DUE} or more are due",
    ):
        assert sentence in text, sentence


def test_the_levels() -> None:
    text = section(PAGE, "How hard")
    assert f"about {100 * level.AIM:.0f} % of the answers" in text
    for number, edges, corners, *held in rows(text):
        at = int(number)
        for orbit, cell in (("edges", edges), ("corners", corners)):
            low, high = level.TRACED[orbit][at - 1]
            most = MOST[f"{orbit.removesuffix('s')}_letters"]
            words = "any" if (low, high) == (0, most) else f"{low} or more" if high == most else f"{low} to {high}"
            assert cell == words
        assert [int(cell) for cell in held] == [level.HELD[what][at - 1] for what in ("edges", "corners", "cube")]


def test_how_mistakes_count() -> None:
    text = section(PAGE, "Today")
    assert f"counts half after {today.HALF_LIFE.days} days" in text
    assert today.MOST_SHARE == 0.5 and "more than half of the time" in text


def test_how_long_things_take() -> None:
    text = " ".join(section(PAGE, "Today").split())
    assert "two seconds for reading" in text and agenda._READING == 2.0
    assert f"Until there are {schedule.ENOUGH} right answers" in text
    told = " ".join(section(PAGE, "A drill").split())
    assert "will take a quarter of an hour or more" in told and agenda.LONG_SECONDS == 15 * 60
    fillers = text.split("What is left of the minutes goes to ")[1].split(".")[0]
    assert len(re.split(", | and ", fillers)) == len({*today._FILLERS} - {"cycle-end"}), (
        "next-letter and cycle-end are tracing"
    )


def documented() -> dict[str, str]:
    return {key: row[1] for row in rows(section(PAGE, "For programs")) for key in re.findall(r"`(.*?)`", row[0])}


@pytest.mark.parametrize("name", EXERCISES)
def test_the_json_of_a_drill(name: str) -> None:
    if name in ("pair-word", "word-pair"):
        return
    data = here("drill", name, "--count", "3", "--seed", "2", "--unkept", "--json", stdin="none\n?\n?\n?\n?\n?\n").data
    told = documented()
    for path, value in leaves(data):
        assert KINDS[told[path]](value), f"{path} is no {told[path]}: {value!r}"


def test_the_json_of_a_drill_has_every_key_that_is_told() -> None:
    met = {"exercise"}
    for name, answers in (
        ("turned", "none\nnone\nnone\n"),
        ("hold-memo", "AB\nCD\nEF\n"),
        ("trace", "A\nB\nyes\n" * 9),
    ):
        data = here("drill", name, "--count", "3", "--seed", "2", "--unkept", "--json", stdin=answers).data
        met |= {path for path, _ in leaves(data)}
    assert met == set(documented())
