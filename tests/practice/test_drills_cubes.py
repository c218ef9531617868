"""Whole cubes: flipped or twisted, parity or not, and tracing with the coach's marking."""

from __future__ import annotations

import random

import pytest

from nightfold.coach.memo import MemoError
from nightfold.cube.errors import NightfoldError
from nightfold.practice.drills import EXERCISES, DrillError
from nightfold.practice.drills.parity import read_yes_no
from nightfold.practice.drills.turned import read_pieces
from nightfold.practice.level import TURNED
from tests.blind import referee
from tests.blind.referee import LETTER, ORBITS, ROUND, STICKER, canon
from tests.practice.drilling import METHODS, buffer_of, memo_of, questions, solves, state_of, table_of

TURN, PARITY, TRACE = (EXERCISES[name] for name in ("turned", "parity", "trace"))
each_method = pytest.mark.parametrize("method", METHODS)


# --- flipped or twisted ---------------------------------------------------------------------------------------


@each_method
def test_the_turned_pieces_are_those_the_tests_cube_sees(method: str) -> None:
    table, dice = table_of(method), random.Random(2)
    counts = set()
    for seed in range(5):
        for question in questions(table, "turned", seed):
            orbit = question.topic[0]
            seen = referee.look(state_of(question), orbit)
            turned = referee.turned_in_place(seen, buffer_of(table, orbit))
            counts.add((question.level, len(turned)))
            names = [dice.choice(sorted(piece)) for piece in turned]
            letters = [LETTER[orbit][name] for name in names]
            for answer in (" ".join(names), ",".join(letters), " ".join(map(str.lower, names))):
                assert TURN.mark(table, question, answer or "-").right
            # Any other set of pieces is wrong, and graded by how much it has in common with the right one.
            for _ in range(12):
                pieces = [frozenset(piece) for piece in ORBITS[orbit]]
                given = set(dice.sample(pieces, dice.randint(0, 3)))
                marked = TURN.mark(table, question, " ".join(sorted(piece)[0] for piece in map(sorted, given)) or "-")
                assert marked.right == (given == turned)
                if given | turned:
                    assert marked.share == len(given & turned) / len(given | turned)
                missed = [slip for slip in marked.mistakes if slip.kind in ("missed-flipped", "missed-twisted")]
                assert len(missed) == len(turned - given)
    for level, ((low, high), _) in enumerate(TURNED, 1):
        found = {count for at, count in counts if at == level}
        assert found <= set(range(low, high + 1)) and len(found) > 1


def test_none_is_an_answer() -> None:
    table = table_of()
    empty = next(
        question
        for seed in range(50)
        for question in questions(table, "turned", seed)
        if TURN.expected(table, question) == ("-",)
    )
    for nothing in ("-", "none", " Nothing "):
        assert TURN.mark(table, empty, nothing).right
    assert TURN.why(table, empty).startswith("No ")
    wrong = TURN.mark(table, empty, "UF" if empty.subject == "edges" else "UFR")
    assert not wrong.right and wrong.share == 0


def test_why_a_piece_is_not_turned_in_place() -> None:
    table = table_of()
    kinds = set()
    for question in questions(table, "turned", 4):
        orbit = question.topic[0]
        buffer, seen = buffer_of(table, orbit), referee.look(state_of(question), orbit)
        for piece in ORBITS[orbit]:
            if frozenset(piece) in referee.turned_in_place(seen, buffer):
                continue
            name = table.name(next(s for s in table.orbit(orbit).stickers if canon(table.name(s)) == piece[0]))
            said = TURN.mark(table, question, name).say
            own, right = piece[0] in ROUND[buffer], seen[piece[0]] == piece[0]
            kind = "is the buffer's own place" if own else "is right as it is" if right else "holds another piece"
            assert kind in said
            kinds.add(kind)
    assert len(kinds) == 3


def test_pieces_are_read_by_letters_and_by_names() -> None:
    table = table_of()
    assert read_pieces(table, "edges", "uf, LB;B") == {"UF", "BL", "UR"}
    for bad in ("UFR", "Z", "UFF", "U F 7"):
        with pytest.raises(DrillError, match="is neither a piece nor a letter of the edges"):
            read_pieces(table, "edges", bad)


# --- parity ---------------------------------------------------------------------------------------------------


@each_method
def test_parity_is_that_of_the_letters(method: str) -> None:
    table = table_of(method)
    found = set()
    for seed in range(4):
        for question in questions(table, "parity", seed):
            if question.subject == "counted":
                assert not question.scramble and not question.net
                odd = len(question.letters) % 2 == 1
            else:
                state = state_of(question)
                counts = [len(memo_of(state, orbit, buffer_of(table, orbit))) for orbit in table.orbits]
                assert counts[0] % 2 == counts[1] % 2
                odd = counts[0] % 2 == 1
            found.add((question.subject, odd))
            for answer, says in (("yes", True), ("no", False), ("Y", True), ("N", False)):
                assert PARITY.mark(table, question, answer).right == (says == odd)
            assert ("is odd: there is parity" in PARITY.why(table, question)) == odd
    assert found == {(subject, odd) for subject in PARITY.subjects(table) for odd in (True, False)}


def test_anything_but_yes_and_no_is_asked_again() -> None:
    assert read_yes_no(" YES ") and not read_yes_no("n")
    table = table_of()
    question = PARITY.ask(table, "edges", random.Random(1))
    with pytest.raises(NightfoldError, match="“perhaps” is neither; answer yes or no"):
        PARITY.mark(table, question, "perhaps")


# --- a whole cube ----------------------------------------------------------------------------------------------


@each_method
def test_a_memo_is_right_exactly_if_it_solves_the_cube(method: str) -> None:
    table, dice = table_of(method), random.Random(6)
    for question in questions(table, "trace"):
        state = state_of(question)
        orbits = table.orbits if question.subject == "cube" else (question.subject,)
        assert question.parts == ((*table.orbits, "parity") if question.subject == "cube" else ())
        memos = {orbit: memo_of(state, orbit, buffer_of(table, orbit), dice) for orbit in orbits}
        odd = len(memos[orbits[0]]) % 2 == 1
        assert question.size == max(1, sum(map(len, memos.values())))

        def judged(memos: dict[str, list[str]], parity: str) -> bool:
            lines = [" ".join(memo) or "-" for memo in memos.values()]
            answer = "\n".join([*lines, parity] if question.subject == "cube" else lines)  # noqa: B023
            return TRACE.mark(table, question, answer).right  # noqa: B023

        assert judged(memos, "yes" if odd else "no")
        if question.subject == "cube":
            for parity in ("no" if odd else "yes", "?"):
                assert not judged(memos, parity)
            unknown = TRACE.mark(table, question, "?\n?\n?")
            assert (unknown.share, unknown.say) == (0.0, TRACE.why(table, question))
        for orbit in orbits:
            spoilt = list(memos[orbit])
            at = dice.randrange(len(spoilt)) if spoilt else 0
            spoilt[at : at + 1] = [dice.choice("ABCDEFGHIJKLMNOPQRSTUVWX")]
            right = solves(state, orbit, buffer_of(table, orbit), spoilt)
            assert judged({**memos, orbit: spoilt}, "yes" if odd else "no") == right


def test_what_the_coach_finds_is_handed_on() -> None:
    table = table_of()
    question = next(q for q in questions(table, "trace") if q.subject == "edges" and q.level == 4)
    memo = memo_of(state_of(question), "edges", "UR")
    letter = memo[2]
    beside = LETTER["edges"][ROUND[STICKER["edges"][letter]][1]]
    marked = TRACE.mark(table, question, " ".join([*memo[:2], beside, *memo[3:]]))
    assert not marked.right
    (slip,) = marked.mistakes
    assert (slip.kind, slip.orbit, slip.letter, slip.at) == ("other-sticker", "edges", letter, 2)
    assert marked.share == (len(memo) - 1) / len(memo)
    assert f"letter 3, {beside}" in marked.say and "The edges have one fault." in marked.say
    lost = TRACE.mark(table, question, " ".join(memo[:-1]))
    assert lost.mistakes and not lost.right


def test_a_memo_of_another_cube_is_worth_nothing() -> None:
    table = table_of()
    question = next(q for q in questions(table, "trace") if q.subject == "edges" and q.level == 4)
    marked = TRACE.mark(table, question, "A A A A A A A A A A A A A A A")
    assert not marked.right and marked.share < 0.5
    empty = TRACE.mark(table, question, "-")
    assert (empty.right, empty.share) == (False, 0.0)


def test_letters_that_are_wrong_all_through_get_one_plain_sentence() -> None:
    table = table_of()
    edges = next(q for q in questions(table, "trace") if q.subject == "edges" and q.level == 4)
    right = TRACE.expected(table, edges)[0]
    marked = TRACE.mark(table, edges, "XWVUTSRQP")
    assert marked.say == f"The edges come near no right memo; {right} would be one."
    cube = next(q for q in questions(table, "trace") if q.subject == "cube" and q.level == 4)
    one, other, parity = TRACE.expected(table, cube)[0].split("\n")
    marked = TRACE.mark(table, cube, f"XWVUTSRQP\n{other}\n{parity}")
    assert marked.say == (
        f"The corners are right. The edges come near no right memo; {one} would be one. The parity answer is right."
    )
    assert marked.mistakes[0].kind == "unlike"


def test_letters_that_are_none_are_asked_again() -> None:
    table = table_of()
    for subject, answer in (("edges", "AB 7"), ("cube", "AB\nC7D\nyes")):
        question = TRACE.ask(table, subject, random.Random(1))
        with pytest.raises(MemoError):
            TRACE.mark(table, question, answer)
    with pytest.raises(NightfoldError, match="answer yes or no"):
        TRACE.mark(table, TRACE.ask(table, "cube", random.Random(1)), "A\nB\nodd")
