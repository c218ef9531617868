"""Every exercise alike: its questions come again with the same dice, survive being kept, and give nothing away."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.cube.errors import NightfoldError
from nightfold.practice.drills import EXERCISES, DrillError, Question, Table, exercise
from nightfold.practice.drills.base import Marked
from nightfold.practice.drills.question import FORMS
from tests.practice.drilling import METHODS, WORDS, questions, table_of

each_exercise = pytest.mark.parametrize("name", EXERCISES)
each_method = pytest.mark.parametrize("method", METHODS)


def test_what_exercises_say_of_themselves() -> None:
    for name, one in EXERCISES.items():
        assert one.name == name == name.lower() and " " not in name
        assert one.about.endswith(".") and one.about.count(".") == 1
        assert one.title and one.seconds >= 1 and one.most_level >= 1
        assert exercise(f" {name.upper()} ") is one
    assert len({one.title for one in EXERCISES.values()}) == len(EXERCISES)
    with pytest.raises(DrillError, match="is no exercise; exercises are sticker-letter"):
        exercise("juggling")


@each_exercise
@each_method
def test_questions_are_kept_and_marked_by_another_process(name: str, method: str) -> None:
    table, one = table_of(method), EXERCISES[name]
    for question in questions(table, name):
        kept = Question.from_dict(json.loads(json.dumps(question.to_dict())))
        assert kept == question and hash(kept) == hash(question)
        assert question.form in FORMS and question.exercise == name
        assert question.prompt[-1] in ".?"
        # Another table, laid anew, marks what was kept just as this one marks what was asked.
        anew = Table.laid(method, words=WORDS)
        expected = one.expected(table, question)
        assert expected
        for answer in expected[:4]:
            marked = one.mark(anew, kept, answer)
            assert marked.right and marked.share == 1.0, (question, answer, marked)
            assert marked == one.mark(table, question, answer)
        unknown = one.mark(anew, kept, " ? ")
        assert not unknown.right and unknown.share == 0.0
        assert unknown.expected == expected
        for judged in (marked, unknown):
            assert judged.say.strip() == judged.say and judged.say[-1] in ".:" and "  " not in judged.say
            json.dumps(judged.to_dict())


@each_exercise
def test_the_same_dice_ask_the_same(name: str) -> None:
    table = table_of()
    assert [*questions(table, name, seed=3)] == [*questions(table, name, seed=3)]
    subject = EXERCISES[name].subjects(table)[0]
    level = EXERCISES[name].most_level
    asked = {EXERCISES[name].ask(table, subject, random.Random(seed), level) for seed in range(12)}
    by_chance = name not in ("letter-sticker", "setup", "pair-word")
    assert (len(asked) > 1) == by_chance


def test_a_question_is_the_same_in_another_process() -> None:
    code = (
        "import random\nfrom nightfold.practice.drills import EXERCISES, Table\nt = Table.laid()\n"
        "for e in EXERCISES.values():\n for s in e.subjects(t)[:2]: print(e.ask(t, s, random.Random(5)).to_dict())"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    table = Table.laid()
    here = [
        str(one.ask(table, subject, random.Random(5)).to_dict())
        for one in EXERCISES.values()
        for subject in one.subjects(table)[:2]
    ]
    assert done.stdout.splitlines() == here


# --- giving nothing away ----------------------------------------------------------------------------------------


@each_exercise
def test_what_is_sent_keeps_the_answer_back(name: str) -> None:
    table = table_of()
    for question in questions(table, name):
        public = question.public()
        assert not {"subject", "table", "key", "size"} & set(public)
        assert set(public) < set(question.to_dict())
        for other in ("expected", "answer", "why"):
            assert other not in public


def test_a_sticker_looks_the_same_whatever_its_letter() -> None:
    one = EXERCISES["sticker-letter"]
    latin, greek = table_of(), table_of(lettering="greek")
    for subject in one.subjects(latin):
        for level in range(1, one.most_level + 1):
            asked = [one.ask(table, subject, random.Random(4), level) for table in (latin, greek)]
            assert asked[0].public() == asked[1].public()
            assert one.expected(latin, asked[0]) != one.expected(greek, asked[1])


def test_a_pair_looks_the_same_whatever_its_word() -> None:
    one = EXERCISES["pair-word"]
    others = Table.laid(words={pair: tuple(f"{word}s" for word in words) for pair, words in WORDS.items()})
    for subject in one.subjects(table_of()):
        asked = [one.ask(table, subject, random.Random(4)) for table in (table_of(), others)]
        assert asked[0].public() == asked[1].public()
        assert asked[0].key != asked[1].key


@pytest.mark.parametrize("name", ["next-letter", "cycle-end", "parity", "turned", "trace"])
def test_only_the_cube_and_the_letters_differ_between_answers(name: str) -> None:
    """What is sent, apart from the cube and the letters so far, is the same for questions with different answers."""
    table, one = table_of(), EXERCISES[name]
    about: dict[str, set[tuple[str, ...]]] = {}
    for seed in range(3):
        for question in questions(table, name, seed):
            told = {**question.public(), "scramble": "", "net": "", "letters": []}
            about.setdefault(json.dumps(told), set()).add(one.expected(table, question))
    assert max(map(len, about.values())) > 1
    # No more texts than there are orbits (or counting) and levels: skills and answers do not show.
    assert len(about) <= (len(table.orbits) + 1) * one.most_level


# --- what cannot be -----------------------------------------------------------------------------------------------


@each_exercise
def test_subjects_and_levels_there_are_not(name: str) -> None:
    table, one = table_of(), EXERCISES[name]
    subjects = one.subjects(table)
    assert len(set(subjects)) == len(subjects)
    assert len({one.card(table, subject) for subject in subjects}) == len(subjects)
    with pytest.raises(DrillError, match=f"is no subject of {name}"):
        one.ask(table, "edges/nowhere", random.Random(1))
    for level in (0, one.most_level + 1):
        with pytest.raises(DrillError, match=f"the levels 1 to {one.most_level}, not {level}"):
            one.ask(table, subjects[0], random.Random(1), level)


@each_exercise
def test_a_question_is_not_marked_with_anything_else_than_it_was_asked_with(name: str) -> None:
    table, one = table_of(), EXERCISES[name]
    question = one.ask(table, one.subjects(table)[0], random.Random(1))
    others = [table_of("left-hand"), table_of(lettering="greek"), table_of(hold="yellow,blue")]
    for other in others:
        with pytest.raises(DrillError, match="has changed since this question was asked"):
            one.mark(other, question, "A")
    with pytest.raises(DrillError, match="this is a question of"):
        one.mark(table, replace(question, exercise="something-else"), "A")
    with pytest.raises(DrillError, match="5,000 characters"):
        one.mark(table, question, "A" * 5000)


def test_cards_change_with_what_they_are_about() -> None:
    tables = [table_of(), table_of("left-hand"), table_of(lettering="greek")]
    cards = {name: [one.card(table, "edges/LB") for table in tables] for name, one in EXERCISES.items()}
    assert cards["sticker-letter"] == ["clockwise/edges/LB", "clockwise/edges/LB", "greek/edges/LB"]
    assert cards["setup"] == ["two-swap/edges/LB", "left-hand/edges/LB", "two-swap/edges/LB"]
    assert cards["next-letter"] == ["edges/LB"] * 3


def test_without_words_there_is_nothing_to_ask() -> None:
    bare = Table.laid()
    for name in ("pair-word", "word-pair"):
        assert EXERCISES[name].subjects(bare) == ()
        with pytest.raises(DrillError, match="there are none yet"):
            EXERCISES[name].ask(bare, "pair/LS", random.Random(1))


ANSWERS = st.one_of(
    st.text(max_size=40),
    st.lists(st.sampled_from([*"ABCDLSQX?-,;\n ", "on", "all", "yes", "no", "UF", "DFR", "R'", "Lw2", "(", "2"])).map(
        " ".join
    ),
)


@given(
    name=st.sampled_from(list(EXERCISES)),
    method=st.sampled_from(METHODS),
    seed=st.integers(0, 40),
    answer=ANSWERS,
)
@settings(max_examples=150)
def test_whatever_is_answered_is_judged_or_refused_with_a_sentence(
    name: str, method: str, seed: int, answer: str
) -> None:
    table, one, dice = table_of(method), EXERCISES[name], random.Random(seed)
    question = one.ask(table, dice.choice(one.subjects(table)), dice, dice.randint(1, one.most_level))
    try:
        marked = one.mark(table, question, answer)
    except NightfoldError as trouble:
        assert str(trouble).strip()
        return
    assert isinstance(marked, Marked)
    assert 0 <= marked.share <= 1 and marked.right == (marked.share == 1)
    assert marked.expected and marked.say


GOOD = EXERCISES["hold-memo"].ask(table_of(), "edges/timed", random.Random(1)).to_dict()
ODD = st.one_of(st.none(), st.integers(), st.text(max_size=5), st.lists(st.integers(), max_size=2), st.booleans())


@given(changes=st.dictionaries(st.sampled_from([*GOOD, "more", ""]), ODD, min_size=1, max_size=3), gone=st.data())
@settings(max_examples=200)
def test_a_damaged_question_is_refused_or_still_one(changes: dict[str, Any], gone: st.DataObject) -> None:
    data = {**GOOD, **changes}
    data.pop(gone.draw(st.sampled_from([*GOOD, "nothing"])), None)
    try:
        read = Question.from_dict(data)
    except DrillError as trouble:
        assert str(trouble).startswith("a kept question cannot be read: ")
    else:
        assert Question.from_dict(read.to_dict()) == read
