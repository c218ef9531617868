"""Every pattern does what its sentence says, and candidates obey the pattern they name."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.candidates import Candidate
from nightfold.memory.errors import RuleError, WordsError
from nightfold.memory.patterns import chosen_patterns, consonants, ends, opening, patterns, skeleton, sounds
from nightfold.memory.sounds import sounds_of
from nightfold.memory.symbols import Pair, Symbols
from tests.memory.finders import LETTERS, PAIRS, finder

#: What a letter may sound like at the head of a word and behind it, said once more.
ALIKE = {"c": "k", "q": "k", "x": "ks"}


def obeys_opening(words: list[str], a: str, b: str) -> bool:
    return words[0].startswith(a + b)


def obeys_ends(words: list[str], a: str, b: str) -> bool:
    return len(words[0]) > 1 and words[0][0] == a and words[0][-1] == b


def obeys_consonants(words: list[str], a: str, b: str) -> bool:
    behind = [char for at, char in enumerate(words[0][1:]) if char not in "aeiouy" and char != words[0][at]]
    return words[0][0] == a and behind[:1] == [b]


def obeys_sounds(words: list[str], a: str, b: str) -> bool:
    return list(sounds_of(words[0])[:2]) == ["z" if a == "x" else ALIKE.get(a, a), ALIKE.get(b, b)]


def obeys_two_words(words: list[str], a: str, b: str) -> bool:
    return len(words) == 2 and words[0].startswith(a) and words[1].startswith(b)


OBEYS: dict[str, Callable[[list[str], str, str], bool]] = {
    "opening": obeys_opening,
    "ends": obeys_ends,
    "consonants": obeys_consonants,
    "sounds": obeys_sounds,
    "two-words": obeys_two_words,
}


def obeys(one: Candidate, pair: Pair) -> bool:
    return OBEYS[one.pattern](one.word.split(), pair[0].casefold(), pair[1].casefold())


def test_every_pattern_is_tested() -> None:
    assert set(OBEYS) == set(patterns())


@given(st.sampled_from(PAIRS))
def test_candidates_obey_the_pattern_they_name(pair: Pair) -> None:
    for one in finder().of(pair, 60):
        assert obeys(one, pair), f"{one.word} does not stand for {pair} by {one.pattern}"
        assert one.score is not None and 0 <= one.score <= 1
        *firsts, last = one.word.split()
        assert last in finder().lexicon.entries
        assert set(firsts) <= {first.entry.word for first in finder().lexicon.firsts}


@pytest.mark.parametrize("name", OBEYS)
def test_each_pattern_alone(name: str) -> None:
    found = [(one, pair) for pair in PAIRS[::7] for one in finder(name).of(pair, 20)]
    assert found
    assert all(one.pattern == name and obeys(one, pair) for one, pair in found)


@pytest.mark.parametrize("name", ["opening", "ends", "consonants"])
@given(word=st.text("abcdexéß", min_size=1, max_size=7))
def test_all_pairs_of_a_word_are_found_and_no_others(name: str, word: str) -> None:
    symbols = Symbols(LETTERS)
    folded = symbols.fold(word)
    found = {pair for pair in patterns()[name].read(folded, symbols) if len(pair) == 2}
    one = [folded]
    assert found == {(a, b) for a in LETTERS for b in LETTERS if OBEYS[name](one, a.casefold(), b.casefold())}


def test_symbols_of_several_characters() -> None:
    symbols = Symbols(["Ch", "C", "Ai", "R"])
    assert set(opening("chair", symbols)) == {("Ch",), ("C",), ("Ch", "Ai")}
    assert set(ends("chair", symbols)) == {("Ch", "R"), ("C", "R")}
    assert set(ends("c", symbols)) == set()


def test_skeletons() -> None:
    assert [skeleton(word) for word in ("bread", "area", "apple", "", "lamm", "μπάλα")] == [
        *("brd", "ar", "apl", "", "lm", "μπάλ"),
    ]
    assert set(consonants("apple", Symbols("AP"))) == {("A", "P")}


def test_sounds_give_every_letter_that_sounds_so() -> None:
    assert set(sounds("coffee", Symbols("CFKQP"))) == {("C", "F"), ("K", "F"), ("Q", "F")}
    assert set(sounds("zebra", Symbols("XBZ"))) == {("X", "B"), ("Z", "B")}
    assert set(sounds("box", Symbols("XB"))) == {("B", "X")}
    assert set(sounds("eye", Symbols("EY"))) == set()


def test_choosing_patterns() -> None:
    assert [one.name for one in chosen_patterns(None, "en")] == list(patterns())
    assert [one.name for one in chosen_patterns(None, "de")] == [name for name in patterns() if name != "sounds"]
    assert [one.name for one in chosen_patterns("ends, Opening,ends", "en")] == ["ends", "opening"]
    rule = "starts {a}, then {b}"
    assert [one.name for one in chosen_patterns(None, "en", rule)] == ["rule"]
    assert [one.name for one in chosen_patterns("ends", "en", rule)] == ["rule", "ends"]
    assert chosen_patterns(None, "en", rule)[0].about == "a rule of your own: starts {a}, then {b}"


def test_patterns_that_there_are_not() -> None:
    with pytest.raises(
        WordsError, match="“begin” is no pattern; patterns are opening, consonants, ends, sounds, two-words"
    ):
        chosen_patterns("begin", "en")
    with pytest.raises(WordsError, match="no pattern is named"):
        chosen_patterns(" , ", "en")
    with pytest.raises(WordsError, match="the pattern sounds is for the language en only, not for de"):
        chosen_patterns("sounds", "de")
    with pytest.raises(RuleError):
        chosen_patterns(None, "en", "nothing")
