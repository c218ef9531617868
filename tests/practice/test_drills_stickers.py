"""Sticker to letter and back, against the lettering of common practice and against every wrong answer."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.errors import LetteringError
from nightfold.cube.errors import GeometryError
from nightfold.practice.drills import EXERCISES, DrillError
from nightfold.practice.level import GLANCES
from tests.blind import referee
from tests.blind.referee import LETTER, ORBITS, ROUND, canon
from tests.practice.drilling import METHODS, buffer_of, state_of, table_of

NAMING, FINDING = EXERCISES["sticker-letter"], EXERCISES["letter-sticker"]


@pytest.mark.parametrize("method", METHODS)
def test_every_sticker_but_the_buffers_is_asked_and_only_its_own_letter_is_right(method: str) -> None:
    table = table_of(method)
    asked: dict[str, set[str]] = {"edges": set(), "corners": set()}
    for subject in NAMING.subjects(table):
        orbit, name = subject.split("/")
        asked[orbit].add(canon(name))
        question = NAMING.ask(table, subject, random.Random(1))
        assert question.lit == (name,)
        judged = {letter: NAMING.mark(table, question, letter) for letter in LETTER[orbit].values()}
        assert [letter for letter, marked in judged.items() if marked.right] == [LETTER[orbit][canon(name)]]
        for letter, marked in judged.items():
            other = referee.STICKER[orbit][letter]
            if marked.right:
                assert marked.say == f"{name} is {letter}."
                continue
            assert marked.say.endswith(f"; {name} is {LETTER[orbit][canon(name)]}.")
            assert ("of the same piece" in marked.say) == (other in ROUND[canon(name)])
            assert ("on the same face" in marked.say) == (other[0] == name[0] and other != canon(name))
    for orbit, pieces in ORBITS.items():
        everything = {name for piece in pieces for name in piece}
        assert asked[orbit] == everything - set(ROUND[buffer_of(table, orbit)])


def test_neighbours_and_likes_are_told() -> None:
    table = table_of()
    question = NAMING.ask(table, "edges/LB", random.Random(1))
    told = {
        "F": "F is LF, opposite on the same face; LB is H.",
        "G": "G is LD, beside it on the same face; LB is H.",
        "R": "R is BL, another sticker of the same piece; LB is H.",
        "L": "L is FL, alike, but on another face; LB is H.",
        "N": "N is RB; LB is H.",
    }
    for letter, sentence in told.items():
        assert NAMING.mark(table, question, letter).say == sentence


@pytest.mark.parametrize("method", METHODS)
def test_letter_to_sticker_takes_any_spelling_of_the_sticker_and_no_other(method: str) -> None:
    table = table_of(method)
    for subject in FINDING.subjects(table):
        orbit, name = subject.split("/")
        question = FINDING.ask(table, subject, random.Random(1))
        assert question.prompt == f"Which sticker of the {orbit} is {LETTER[orbit][canon(name)]}?"
        for given in (name, name.lower(), name[0] + name[:0:-1]):
            assert FINDING.mark(table, question, given).right
        for other in ROUND[canon(name)][1:]:
            marked = FINDING.mark(table, question, other)
            assert not marked.right
            assert "another sticker of the same piece" in marked.say
        other_orbit = "corners" if orbit == "edges" else "edges"
        marked = FINDING.mark(table, question, ORBITS[other_orbit][0][0])
        assert f"is no sticker of the {orbit}" in marked.say


def test_what_is_neither_letter_nor_sticker_is_asked_again() -> None:
    table = table_of()
    with pytest.raises(LetteringError, match="is no letter of the edges"):
        NAMING.mark(table, NAMING.ask(table, "edges/LB", random.Random(1)), "7")
    with pytest.raises(GeometryError, match="is no sticker"):
        FINDING.mark(table, FINDING.ask(table, "edges/LB", random.Random(1)), "XYZ")


def test_a_question_mark_is_not_knowing_and_nothing_at_all_is_no_answer() -> None:
    table = table_of()
    question = NAMING.ask(table, "edges/LB", random.Random(1))
    marked = NAMING.mark(table, question, " ? ")
    assert (marked.right, marked.share, marked.say) == (False, 0.0, "LB is H.")
    for nothing in ("", "  ", "\n"):
        with pytest.raises(DrillError, match=r"nothing was written; write “\?” if you do not know"):
            NAMING.mark(table, question, nothing)


def test_where_one_has_a_glance_the_sentence_does_not_name_the_place() -> None:
    table = table_of()
    for level in range(1, NAMING.most_level + 1):
        for subject in ("edges/LB", "corners/DBL"):
            question = NAMING.ask(table, subject, random.Random(level), level)
            place = subject.split("/")[1]
            assert (place in question.prompt) == (level <= 2) == (question.seconds is None)
            told = {**question.public(), "lit": [], "scramble": "", "net": ""}
            assert (place in str(told)) == (level <= 2)


def test_other_letters() -> None:
    table = table_of(lettering="greek")
    question = NAMING.ask(table, "corners/UFR", random.Random(1))
    assert NAMING.expected(table, question) == ("Γ",)
    assert NAMING.mark(table, question, "γ").right
    assert not NAMING.mark(table, question, "Δ").right


def test_levels() -> None:
    table = table_of()
    solved = "".join(colour * 9 for colour in "WOGRBY")
    asked = [NAMING.ask(table, "edges/LB", random.Random(level), level) for level in range(1, NAMING.most_level + 1)]
    assert asked[0].net == solved
    assert [question.seconds for question in asked] == [None, None, *GLANCES]
    for question in asked[1:]:
        # The colours that are sent are those of the scramble, as the tests' own cube has them.
        faces = dict(zip("ULFRBD", "WOGRBY", strict=True))
        assert question.net == "".join(faces[face] for face in state_of(question)) != solved
    assert [FINDING.ask(table, "edges/LB", random.Random(1), level).net == "" for level in (1, 2, 3)] == [
        False,
        False,
        True,
    ]


def test_another_hold_shows_the_cube_turned() -> None:
    table = table_of(hold="yellow,blue")
    question = NAMING.ask(table, "edges/UB", random.Random(2))
    assert question.hold
    assert question.net[4] == "Y" and question.net[22] == "B"
    assert NAMING.mark(table, question, "A").right
