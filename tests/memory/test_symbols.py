"""Letter pairs as text, and symbols looked for in words."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.errors import WordsError
from nightfold.memory.symbols import Symbols, bare, pair_text

SYMBOLS = st.lists(st.text("ABCdeñÉαΒ☂1", min_size=1, max_size=3), min_size=2, max_size=8, unique_by=str.casefold)


@given(SYMBOLS, st.data())
def test_a_pair_is_read_back_from_its_text(symbols: list[str], data: st.DataObject) -> None:
    known = Symbols(symbols)
    pair = tuple(data.draw(st.lists(st.sampled_from(symbols), min_size=1, max_size=2)))
    text = pair_text(pair)
    try:
        assert known.pair(text) == pair
    except WordsError as trouble:
        # Only a text that is a symbol and a pair at once, and has no dot, can be read in two ways.
        assert "can be read as" in str(trouble)
        assert "·" not in text


def test_small_letters_and_spaces_do_not_matter() -> None:
    known = Symbols(["A", "B", "Ch"])
    assert known.pair("ab") == known.pair(" A b ") == known.pair("A·B") == ("A", "B")
    assert known.pair("bch") == known.pair("B ch") == ("B", "Ch")
    assert known.pair("a") == ("A",)
    assert pair_text(("B", "Ch")) == "B·Ch"


def test_capitals_matter_where_they_are_two_symbols() -> None:
    known = Symbols(["A", "a", "B"])
    assert known.pair("aB") == ("a", "B")
    assert known.pair("Ab") == ("A", "B")


@pytest.mark.parametrize("text", ["", "Z", "ABC", "A B C", "A9", "☂", "x" * 99])
def test_what_is_no_pair_is_told(text: str) -> None:
    with pytest.raises(WordsError, match=r"is no pair of letters.* of this lettering: A B C$"):
        Symbols("ABC").pair(text)


def test_a_text_that_is_two_pairs_at_once() -> None:
    with pytest.raises(WordsError, match=re.escape("“abc” can be read as A·BC or AB·C; write it with a dot")):
        Symbols(["A", "AB", "BC", "C"]).pair("abc")


def test_accents_count_only_where_a_symbol_has_them() -> None:
    assert Symbols("EN").fold("Été") == "ete"
    assert Symbols("EÉN").fold("Été") == "été"
    assert Symbols("ΑΒΓ").fold("Άγνωμη") == "αγνωμη"
    assert Symbols("ИЙ").fold("Йод") == "йод"
    assert Symbols("И").fold("Йод") == "иод"
    assert bare("ñ") == "n" and bare("x") == "x" and bare("\u0301") == "\u0301"


@given(SYMBOLS, st.text("abcdeñéαβ☂1", max_size=8))
def test_symbols_are_found_where_they_stand(symbols: list[str], word: str) -> None:
    known = Symbols(symbols)
    folded = known.fold(word)
    for place in range(len(folded) + 1):
        found = dict(known.at(folded, place))
        assert set(found) == {symbol for symbol in known.all if folded.startswith(symbol.casefold(), place)}
        assert all(folded[place:end] == symbol.casefold() for symbol, end in found.items())
    ends = dict(known.ending(folded))
    assert set(ends) == {symbol for symbol in known.all if folded.endswith(symbol.casefold())}
