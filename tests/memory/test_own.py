"""Own words, and the file they are exchanged in."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.candidates import Finder
from nightfold.memory.errors import OwnWordsError
from nightfold.memory.lexicon import KINDS
from nightfold.memory.own import MAX_ROWS, OwnWord, OwnWords, changed, read_own, write_own
from tests.memory.finders import LETTERS, finder

TEXT = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=12)
WORDS = st.lists(
    st.builds(
        OwnWord,
        pair=st.sampled_from(["BJ", "bj", "A", "Ch·1", "☂", "ΑΒ"]),
        word=st.lists(TEXT, min_size=1, max_size=3).map(" ".join),
        kind=st.sampled_from(["", *KINDS]),
        note=st.lists(TEXT, max_size=4).map(" ".join),
        strength=st.integers(0, 100).map(lambda part: part / 100),
    ),
    min_size=1,
    max_size=8,
    unique_by=lambda one: (one.pair, one.word.casefold()),
)


@given(WORDS)
def test_a_file_that_was_written_is_read_back(words: list[OwnWord]) -> None:
    read = read_own(write_own(words))
    assert sorted(read.all, key=repr) == sorted(words, key=repr)
    assert read_own(write_own(read.all)).all == read.all


def test_the_columns() -> None:
    text = "word;,Pair\n"
    with pytest.raises(
        OwnWordsError, match="row 1: “word;” is no column; columns are pair, word, kind, note, strength"
    ):
        read_own(text)
    read = read_own("\ufeffStrength, word ,PAIR\r\n0.8,robot ,rb\r\n\r\n,lamp,L P\r\n")
    assert read["rb"] == (OwnWord("rb", "robot", strength=0.8),)
    assert read["LP"] == (OwnWord("LP", "lamp"),)
    assert write_own(read.all).splitlines() == ["pair,word,kind,note,strength", "rb,robot,,,0.8", "LP,lamp,,,0.5"]


BAD = {
    "": "mine.csv is empty; its first row must name the columns pair, word, kind, note, strength",
    "\n , \n": "mine.csv is empty",
    "pair,word,colour\n": "mine.csv, row 1: “colour” is no column",
    "pair,\nBJ,x\n": "mine.csv, row 1: the head of column 2, which is empty, is no column",
    "pair,pair\n": "mine.csv, row 1: the column pair is there twice",
    "word,note\nx,y\n": "mine.csv, row 1: the column pair is missing",
    "pair,note\nBJ,y\n": "mine.csv, row 1: the column word is missing",
    "pair,word\nBJ,\n": "mine.csv, row 2, column word: there is nothing in it",
    "pair,word\n,lamp\n": "mine.csv, row 2, column pair: there is nothing in it",
    "pair,word\nB J K,lamp\n": "mine.csv, row 2, column pair: “B J K” is more than two letters",
    "pair,word\nBJ,big, red jar\n": "mine.csv, row 2 has 3 cells for 2 columns; put text with a comma in quotes",
    "pair,word,kind\nBJ,jar,thing\n": "mine.csv, row 2, column kind: “thing” is no kind of picture; kinds are person",
    "pair,word,strength\n\nBJ,jar,high\n": "mine.csv, row 3, column strength: “high” must be a number from 0 to 1",
    "pair,word,strength\nBJ,jar,1.5\n": "column strength: “1.5” must be",
    "pair,word,strength\nBJ,jar,nan\n": "column strength: “nan” must be",
    "pair,word,strength\nBJ,jar,-0.1\n": "column strength: “-0.1” must be",
    "pair,word\nBJ,a\u200b\u202ejar\n": "column word: the text holds a character that cannot be shown",
    f"pair,word\nBJ,{'j' * 61}\n": "column word: the text is longer than 60 characters",
    f"pair,word,note\nBJ,j,{'j' * 501}\n": "column note: the text is longer than 500 characters",
    f"pair,word\n{'j' * 41},j\n": "column pair: the text is longer than 40 characters",
    "pair,word\nBJ,jar\nBK,book\nBJ,JAR\n": "mine.csv, row 4: JAR stands for BJ in row 2 already",
    'pair,word\nBJ,"jar\n': "mine.csv is no CSV file: ",
    "pair,word\n" + "BJ,jar\n" * (MAX_ROWS + 1): "mine.csv has more than 20,000 rows",
}


@pytest.mark.parametrize("text", BAD, ids=lambda text: repr(text[:30]))
def test_bad_files_are_told_by_row_and_column(text: str) -> None:
    with pytest.raises(OwnWordsError, match=re.escape(BAD[text])):
        read_own(text, "mine.csv")


def test_all_faults_are_told_and_nothing_is_taken() -> None:
    with pytest.raises(OwnWordsError) as trouble:
        read_own("pair,word,strength\nBJ,jar,0.5\nBK,,1\nBL,ball,2\n", "mine.csv")
    assert trouble.value.problems == (
        "mine.csv, row 3, column word: there is nothing in it",
        "mine.csv, row 4, column strength: “2” must be a number from 0 to 1, such as 0.8",
    )
    assert str(trouble.value).endswith("nothing in it (and 1 more)")


@given(st.text(max_size=80) | st.text('pair,word\n"; BJ\r', max_size=60))
def test_any_text_is_own_words_or_an_error(text: str) -> None:
    try:
        assert isinstance(read_own(text), OwnWords)
    except OwnWordsError as trouble:
        assert str(trouble)


def test_looking_words_up() -> None:
    words = OwnWords([OwnWord("BJ", "jar", strength=0.1), OwnWord("BJ", "bijou", strength=0.9), OwnWord("ch·x", "box")])
    assert [one.word for one in words.of(("B", "J"))] == ["bijou", "jar"]
    assert words.of(("b", "j")) == words["BJ"]
    assert words.of(("Ch", "X")) == words["ch·x"]
    assert words.of(("J", "B")) == ()
    assert (len(words), list(words)) == (2, ["BJ", "ch·x"])
    both = OwnWords([OwnWord("aB", "ab"), OwnWord("Ab", "arab")])
    assert both.of(("a", "B"))[0].word == "ab"
    assert both.of(("A", "B")) == ()  # either could be meant
    assert dict(OwnWords()) == {}


def test_what_is_not_said_of_a_word_stays_as_it_was() -> None:
    before = OwnWord("LS", "Loki's", "person", "the café on the quay", 0.9)
    assert changed(before, "LS", "Loki's") == before
    assert changed(before, "LS", "Loki's", note="", strength=0.0) == OwnWord("LS", "Loki's", "person", "", 0.0)
    assert changed(None, "LS", "lens", "object") == OwnWord("LS", "lens", "object", "", 0.5)


@pytest.mark.parametrize("between", [";", "\t"])
def test_what_a_spreadsheet_writes_elsewhere_is_read(between: str) -> None:
    """A German spreadsheet sets cells apart with semicolons and writes 0,8 (common practice)."""
    rows = [("pair", "word", "note", "strength"), ("LS", "lens", '"a, b"', "0,8"), ("BR", "bread", "", "")]
    text = "\ufeff" + "".join(between.join(row) + "\r\n" for row in rows)
    assert read_own(text).all == (OwnWord("LS", "lens", "", "a, b", 0.8), OwnWord("BR", "bread"))
    with pytest.raises(OwnWordsError, match="row 2, column strength: “0,8,1” must be a number"):
        read_own(f"pair{between}word{between}strength\nLS{between}lens{between}0,8,1\n")


def test_a_word_that_would_be_suggested_keeps_its_score_when_it_is_ones_own() -> None:
    suggested = next(one for one in finder().of(("L", "S")) if " " not in one.word)
    own = Finder(LETTERS, own=OwnWords([OwnWord("LS", suggested.word, strength=0.2), OwnWord("LS", "Loki's")]))
    found = {one.word: one for one in own.of(("L", "S"), 4)}
    assert (found[suggested.word].score, found[suggested.word].strength) == (suggested.score, 0.2)
    assert found[suggested.word].marks == suggested.marks
    assert (found["Loki's"].score, found["Loki's"].marks) == (None, None)
