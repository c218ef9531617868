"""Words for pairs, and holding a memo."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nightfold.coach.memo import MemoError
from nightfold.coach.mistakes import catalogue
from nightfold.practice.drills import EXERCISES, DrillError, Table
from nightfold.practice.drills.holding import compare, in_pairs, timed
from nightfold.practice.level import HELD
from tests.blind.referee import LETTER
from tests.practice.drilling import METHODS, WORDS, buffer_of, questions, table_of

PAIR, WORD, HOLD = (EXERCISES[name] for name in ("pair-word", "word-pair", "hold-memo"))


# --- words ----------------------------------------------------------------------------------------------------


def test_any_of_ones_own_words_is_right() -> None:
    table = table_of()
    for pair, words in WORDS.items():
        question = PAIR.ask(table, f"pair/{pair}", random.Random(1))
        assert PAIR.expected(table, question) == words
        for word in words:
            for given_word in (word, word.upper(), f"  The {word} "):
                assert PAIR.mark(table, question, given_word).right
        for other, theirs in WORDS.items():
            if other != pair:
                marked = PAIR.mark(table, question, theirs[0])
                assert not marked.right
                assert marked.say.startswith(f"{theirs[0]} is your word for {other}; {pair} is ")


@pytest.mark.parametrize(
    ("written", "right"),
    [
        ("lighthuose", True),  # neighbours exchanged
        ("lighthous", True),  # one letter left out
        ("lightthouse", True),  # one too many
        ("lighthoude", True),  # one replaced
        ("lithouse", False),
        ("lighthouses nearby", False),
        ("lamp", False),
    ],
)
def test_one_slip_of_the_pen_is_forgiven_in_a_long_word(written: str, right: bool) -> None:
    table = table_of()
    marked = PAIR.mark(table, PAIR.ask(table, "pair/LS", random.Random(1)), written)
    assert marked.right == right
    assert ("one slip of the pen is forgiven" in marked.say) == right


def test_short_words_and_other_pairs_words_forgive_nothing() -> None:
    table = Table.laid(words={"AB": ("bee",), "CD": ("boat",), "EF": ("coat",)})
    asked = {pair: PAIR.ask(table, f"pair/{pair}", random.Random(1)) for pair in ("AB", "CD")}
    assert not PAIR.mark(table, asked["AB"], "bees").right
    several = PAIR.mark(table, asked["CD"], "boats")
    assert several.right and several.say == "CD is boat; one or several of it are the same here."
    coat = PAIR.mark(table, asked["CD"], "coat")
    assert not coat.right and coat.say == "coat is your word for EF; CD is boat."


@pytest.mark.parametrize(
    ("word", "written", "right"),
    [
        ("bear", "beer", False),
        ("bear", "ear", False),
        ("bear", "beard", False),
        ("bear", "beers", False),
        ("pears", "bears", False),  # several of another word are another word
        ("princes", "princess", False),
        ("there’s", "three", False),
        ("bear", "bears", True),
        ("bears", "bear", True),
        ("bush", "bushes", True),
        ("bear", "baer", True),
        ("Bär", "bar", True),  # capitals and accents alone
        ("castle", "casle", True),
    ],
)
def test_a_slip_that_makes_another_word_is_not_forgiven(word: str, written: str, right: bool) -> None:
    table = Table.laid(words={"BR": (word,)})
    marked = PAIR.mark(table, PAIR.ask(table, "pair/BR", random.Random(1)), written)
    assert marked.right == right, marked.say


def test_the_sentence_says_that_it_is_another_word() -> None:
    table = Table.laid(words={"BR": ("bear",)})
    marked = PAIR.mark(table, PAIR.ask(table, "pair/BR", random.Random(1)), "Beer")
    assert (marked.right, marked.say) == (False, "Beer is another word; BR is bear.")


def test_other_languages_have_other_words() -> None:
    table = Table.laid(lettering="greek", words={"ΓΤ": ("γάτα",), "ΜΛ": ("μήλο",)})
    cat = PAIR.ask(table, "pair/ΓΤ", random.Random(1))
    assert PAIR.mark(table, cat, "γττα").right, "which is no word"
    apple = PAIR.ask(table, "pair/ΜΛ", random.Random(1))
    assert not PAIR.mark(table, apple, "φίλο").right
    assert not PAIR.mark(table, apple, "μέλος").right


def test_accents_and_hyphens_make_no_difference() -> None:
    table = Table.laid(words={"CR": ("crème-brûlée",)})
    question = PAIR.ask(table, "pair/CR", random.Random(1))
    assert PAIR.mark(table, question, "Creme brulee").right


def test_words_are_marked_as_they_were_when_asked() -> None:
    table = table_of()
    question = PAIR.ask(table, "pair/LS", random.Random(1))
    changed = Table.laid(words={"LS": ("lasso",)})
    assert PAIR.mark(changed, question, "lighthouse").right


def test_a_word_is_led_back_to_its_pair() -> None:
    table = table_of()
    for pair in WORDS:
        question = WORD.ask(table, f"pair/{pair}", random.Random(1))
        for answer in (pair, pair.lower(), f"{pair[0]} {pair[1]}"):
            assert WORD.mark(table, question, answer).right
        turned = WORD.mark(table, question, pair[::-1])
        assert (turned.right, turned.share) == (False, 0.5) and "the other way round" in turned.say
        other = next(one for one in WORDS if one not in (pair, pair[::-1]))
        wrong = WORD.mark(table, question, other)
        assert not wrong.right and wrong.say.startswith(f"{other} is {' or '.join(WORDS[other])}; ")
        for bad in ("A", "ABC", "A7"):
            with pytest.raises(DrillError, match="is no pair; write two letters"):
                WORD.mark(table, question, bad)


def test_a_word_of_two_pairs_stands_for_both() -> None:
    table = Table.laid(words={"AB": ("bell",), "CD": ("Bell", "cod")})
    question = WORD.ask(table, "pair/AB", random.Random(1))
    assert WORD.expected(table, question) == ("AB", "CD")
    assert WORD.mark(table, question, "CD").right


def test_pairs_in_other_scripts() -> None:
    table = Table.laid(lettering="greek", words={"ΑΒ": ("άβακας",)})
    question = WORD.ask(table, "pair/ΑΒ", random.Random(1))
    assert WORD.mark(table, question, "αβ").right
    assert PAIR.mark(table, PAIR.ask(table, "pair/ΑΒ", random.Random(1)), "αβακας").right


# --- holding a memo -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", METHODS)
def test_letters_are_graded_place_by_place(method: str) -> None:
    table, dice = table_of(method), random.Random(3)
    for question in questions(table, "hold-memo"):
        lines = question.show
        letters = [[char for char in line if char != " "] for line in lines]
        what, how = question.topic
        assert question.size == sum(map(len, letters)) == HELD[what][min(question.level, len(HELD[what])) - 1]
        assert (question.seconds is not None) == (how == "timed") and (question.delay > 0) == (how == "delayed")
        assert HOLD.mark(table, question, "\n".join(lines).lower()).right
        spoilt = [list(part) for part in letters]
        wrong = 0
        for part in spoilt:
            for at in dice.sample(range(len(part)), min(2, len(part))):
                part[at] = dice.choice([other for other in "ABCDEFGHIJKLMNOPQRSTUVWX" if other != part[at]])
                wrong += 1
        marked = HOLD.mark(table, question, "\n".join("".join(part) for part in spoilt))
        assert not marked.right
        assert marked.share == (question.size - wrong) / question.size
        assert marked.say.startswith(f"{question.size - wrong} of {question.size} letters are in their places. ")
        assert marked.say.endswith(f"It was {'; '.join(lines)}.")
        assert {slip.orbit for slip in marked.mistakes} == set(question.parts)


def test_the_memo_is_one_that_a_dealt_cube_has() -> None:
    """Consecutive letters never stand for one piece but in a cycle of it, and never for the buffer's piece."""
    table = table_of()
    for seed in range(2):
        for question in questions(table, "hold-memo", seed):
            for orbit, line in zip(question.parts, question.show, strict=True):
                letters = line.replace(" ", "")
                assert set(letters) <= set(LETTER[orbit].values())
                assert all(a != b for a, b in pairwise(letters))
                assert not any(
                    LETTER[orbit][name] in letters
                    for name in LETTER[orbit]
                    if set(name) == set(buffer_of(table, orbit))
                )


def test_nothing_given_is_nothing_right() -> None:
    table = table_of()
    question = HOLD.ask(table, "cube/own-pace", random.Random(1))
    assert HOLD.mark(table, question, "?").share == 0
    edges_only = HOLD.mark(table, question, f"{question.show[0]}\n?")
    assert 0 < edges_only.share < 1
    for unfinished in (question.show[0], f"{question.show[0]}\n ", f"{question.show[0]}\n\n"):
        with pytest.raises(DrillError, match=r"nothing was written for the corners; write “\?” if you do not know"):
            HOLD.mark(table, question, unfinished)
    with pytest.raises(MemoError):
        HOLD.mark(table, question, "AB7\n?")


def test_time_and_delay_can_be_chosen() -> None:
    question = HOLD.ask(table_of(), "edges/own-pace", random.Random(1))
    changed = timed(question, 12, 300)
    assert (changed.seconds, changed.delay) == (12, 300)
    assert changed.prompt == "4 letters, shown for 12 seconds; after 300 seconds you are asked for them: give them " + (
        "again in order."
    )
    assert timed(question, None, None) == question
    assert timed(changed, 0, 0).seconds is None
    # It is filed under what it was.
    assert [timed(question, *times).subject for times in ((12, 300), (1, None), (1, 0), (0, 5), (None, None))] == [
        "edges/delayed",
        "edges/timed",
        "edges/timed",
        "edges/delayed",
        "edges/own-pace",
    ]
    with pytest.raises(DrillError, match="cannot be shown for -1 seconds; 0 to 900 can be"):
        timed(question, -1, None)
    with pytest.raises(DrillError, match="cannot be asked for after 1000 seconds"):
        timed(question, None, 1000)


MEMOS = st.lists(st.sampled_from("ABCDEFGHIJKL"), min_size=6, max_size=16, unique=True)


@given(letters=MEMOS, data=st.data())
@settings(max_examples=200)
def test_one_slip_is_named(letters: list[str], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(letters) - 2))
    pair = at - at % 2
    assume(pair + 4 <= len(letters))
    new = data.draw(st.sampled_from("MNOP"))
    slips = {
        "letter-left-out": letters[:at] + letters[at + 1 :],
        "letter-doubled": [*letters[: at + 1], letters[at], *letters[at + 1 :]],
        "letters-exchanged": [*letters[:at], letters[at + 1], letters[at], *letters[at + 2 :]],
        "pairs-exchanged": [
            *letters[:pair],
            *letters[pair + 2 : pair + 4],
            *letters[pair : pair + 2],
            *letters[pair + 4 :],
        ],
        "pair-lost": letters[:pair] + letters[pair + 2 :],
        "another-letter": [*letters[:at], new, *letters[at + 1 :]],
    }
    for kind, told in slips.items():
        slip, said = compare(letters, told, "edges")
        assert slip is not None and (slip.kind, slip.orbit) == (kind, "edges"), (kind, told, slip)
        assert slip.letter in letters
        assert kind in catalogue()
        assert said.endswith(".")
    assert compare(letters, letters) == (None, "")


@given(letters=MEMOS, told=st.lists(st.sampled_from("ABCDEFGHIJKL"), max_size=16))
def test_whatever_is_recalled_is_told(letters: list[str], told: list[str]) -> None:
    slip, said = compare(letters, told)
    assert (slip is None) == (letters == told) == (said == "")


def test_pairs_of_letters() -> None:
    assert in_pairs("ABCDE") == "AB CD E"
    assert in_pairs(["A", "B1", "C"]) == "A·B1 C"
    assert in_pairs([]) == ""
