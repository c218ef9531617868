"""Setups are judged by what setup, swap and undo do to the cube, whatever the turns: compared with the tests' cube."""

from __future__ import annotations

import random
import re
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.cube.errors import NotationError
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import write
from nightfold.practice.drills import EXERCISES, DrillError, Marked
from tests.blind import referee
from tests.blind.referee import SOLVED, canon, look, play, shoot, undone
from tests.practice.drilling import METHODS, buffer_of, table_of

SETUP = EXERCISES["setup"]
FACES = [f"{face}{wide}{amount}" for face in "ULFRBD" for wide in ("", "w") for amount in ("", "2", "'")]
OTHERS = [f"{letter}{amount}" for letter in "MESxyz" for amount in ("", "2", "'")]


@cache
def wanted(method: str, orbit: str, name: str) -> tuple[object, ...]:
    """What the cube must look like after one letter: buffer and target exchanged, the rest as the swap leaves it."""
    table = table_of(method)
    seen = look(SOLVED, orbit)
    shoot(seen, buffer_of(table, orbit), canon(name))
    other = "corners" if orbit == "edges" else "edges"
    return centres(SOLVED), seen, look(play(write(table.way(orbit).core)), other)


def centres(state: referee.State) -> list[str]:
    return [state[9 * face + 4] for face in range(6)]


def really_right(method: str, orbit: str, name: str, setup: str) -> bool:
    state = play(f"{setup} {write(table_of(method).way(orbit).core)} {undone(setup)}")
    other = "corners" if orbit == "edges" else "edges"
    return (centres(state), look(state, orbit), look(state, other)) == wanted(method, orbit, name)


def judged(method: str, subject: str, setup: str) -> Marked:
    table = table_of(method)
    return SETUP.mark(table, SETUP.ask(table, subject, random.Random(1)), setup)


@pytest.mark.parametrize("method", METHODS)
def test_every_shortest_setup_of_every_letter_is_right(method: str) -> None:
    table = table_of(method)
    for subject in SETUP.subjects(table):
        orbit, name = subject.split("/")
        question = SETUP.ask(table, subject, random.Random(1))
        for setup in SETUP.expected(table, question):
            assert really_right(method, orbit, name, "" if setup == "-" else setup)
            assert SETUP.mark(table, question, setup).right
        # Without turns only the home target is right, and that in several words.
        home = canon(name) == canon(table.name(table.way(orbit).home))
        for nothing in ("-", "None", "no setup"):
            assert SETUP.mark(table, question, nothing).right == home == (SETUP.expected(table, question) == ("-",))


@pytest.mark.parametrize("method", METHODS)
def test_all_sequences_of_two_turns_are_judged_as_the_cube_judges_them(method: str) -> None:
    table, dice = table_of(method), random.Random(method)
    for orbit in table.orbits:
        asked = [SETUP.ask(table, subject, dice) for subject in SETUP.subjects(table) if subject.startswith(orbit)]
        question = dice.choice([one for one in asked if len(SETUP.expected(table, one)[0].split()) == 2])
        last = {setup.split()[1] for setup in SETUP.expected(table, question)}
        found = set()
        for first in FACES:
            for second in {*dice.sample(FACES, 10), *last}:
                setup = f"{first} {second}"
                right = really_right(method, orbit, question.topic[1], setup)
                assert SETUP.mark(table, question, setup).right == right, (question.subject, setup)
                if right:
                    found.add(setup)
        assert found >= set(SETUP.expected(table, question))


TURNS = st.lists(st.sampled_from([*FACES, *OTHERS]), max_size=3).map(" ".join)


@given(method=st.sampled_from(METHODS), at=st.integers(0, 400), one=TURNS, more=TURNS, which=st.integers(0, 3))
@settings(max_examples=300)
def test_any_turns_are_right_exactly_if_they_do_what_the_letter_should(
    method: str, at: int, one: str, more: str, which: int
) -> None:
    """Turns drawn freely; a right setup with detours that come back; and one with a stray turn at its beginning."""
    table = table_of(method)
    subjects = SETUP.subjects(table)
    subject = subjects[at % len(subjects)]
    orbit, name = subject.split("/")
    best = SETUP.expected(table, SETUP.ask(table, subject, random.Random(1)))[0].replace("-", "")
    setup = " ".join(
        [one, f"{one} {undone(one)} {best}", f"{best} {more} {undone(more)}", f"{one} {best}"][which].split()
    )
    marked = judged(method, subject, setup or "-")
    assert marked.right == really_right(method, orbit, name, setup), (subject, setup, marked)
    if marked.right:
        return
    # The sentence is true: where the sticker went, or which turn is forbidden.
    assert marked.share == 0
    way = table.way(orbit)
    arrives = referee.carried(name, setup)
    if arrives != canon(table.name(way.home)):
        assert re.match(rf".*brings {name} to (\w+), not to|Without turns {name} stays", marked.say)
        if told := re.match(rf".*brings {name} to (\w+), not to", marked.say):
            assert canon(told[1]) == arrives
    else:
        told = re.match(
            rf"{name} gets to \w+, but (\S+) spoils it: it (carries the buffer|moves .*which the)", marked.say
        )
        assert told and told[1] in setup.split(), marked.say
        forbidden = {str(v.turn) for v in way.verdicts if not v.free and not v.spare}
        assert told[1] in forbidden or told[1][0] in "MESxyz"


def test_what_is_said() -> None:
    turned = judged("two-swap", "edges/LB", "L")
    assert turned.say == (
        "L brings LB to LU, not to UL: the right place, but the wrong way round. Right is Dw L': Dw carries LB to FL, "
        "L' lifts FL to UL."
    )
    astray = judged("two-swap", "edges/LB", "D")
    assert astray.say.startswith("D brings LB to LB, not to UL. Right is Dw L': ")
    longer = judged("two-swap", "corners/LDF", "F F2")
    assert longer.right
    assert longer.say == "F F2 does it, in 2 turns; F' alone does (some of these turns meet and cancel)."
    home = judged("two-swap", "edges/UL", "-")
    assert home.say == "D is the home target itself, so nothing is set up."
    around = judged("two-swap", "edges/UL", "D D'")
    assert around.right and "no turns at all do" in around.say
    other = judged("two-swap", "edges/UB", "Lw2 Dw' L2")
    assert other.right and "is easier for the hands" in other.say


def test_a_forbidden_turn_is_named_with_its_reason() -> None:
    marked = judged("two-swap", "edges/UB", "U'")
    assert marked.say.startswith("UB gets to UL, but U' spoils it: it carries the buffer UR away; UB, UBR, UR")
    assert "would end up wrong." in marked.say
    marked = judged("two-swap", "edges/FU", "F' L'")
    assert not marked.right
    assert "F' spoils it: it moves UFR, which the T perm disturbs" in marked.say


def test_turns_that_cannot_be_read_are_asked_again() -> None:
    with pytest.raises(NotationError, match="column 3"):
        judged("two-swap", "edges/LB", "L Q")
    with pytest.raises(DrillError, match="has 41 turns; at most 40 are looked at"):
        judged("two-swap", "edges/LB", "L " * 41)


@pytest.mark.parametrize("method", METHODS)
def test_levels_show_less_and_less(method: str) -> None:
    table = table_of(method)
    asked = [SETUP.ask(table, "edges/DF", random.Random(1), level) for level in range(1, 5)]
    assert ["free turns" in question.prompt for question in asked] == [True, False, False, False]
    assert [bool(question.net) for question in asked] == [True, True, True, False]
    assert [bool(question.scramble) for question in asked] == [False, False, True, False]
    home = table.name(table.way("edges").home)
    assert asked[0].lit == ("DF", home) and asked[3].lit == ()
    assert geometry(3).sticker("DF") != table.way("edges").home
