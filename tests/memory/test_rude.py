"""The filter: rude words and their forms stay out, and everything else stays in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.candidates import Finder
from nightfold.memory.rude import forms_of, has_list, rude_filter
from tests.memory.finders import LETTERS, PAIRS, finder

RUDE = ["shit", "bullshit", "penis", "whore", "slut", "tit", "piss", "fart", "nazi", "gypsy"]
FORMS = ["tits", "pissing", "pissed", "farts", "farted", "raped", "raping", "bitches", "bitchy", "pansies", "nazis"]
FINE = [
    "bread",
    "cockpit",
    "cocktail",
    "title",
    "peacock",
    "bass",
    "grape",
    "scatter",
    "butter",
    "hello",
    "spicy",
    "pass",
]


@pytest.mark.parametrize("word", RUDE + FORMS)
def test_rude_words_and_their_forms(word: str) -> None:
    assert rude_filter("en").is_rude(word)


@pytest.mark.parametrize("word", FINE)
def test_words_that_only_look_like_rude_ones(word: str) -> None:
    assert not rude_filter("en").is_rude(word)


def test_every_listed_word_is_rude_in_every_form() -> None:
    found = rude_filter("en")
    plain = [word for word in found.words if word.isalpha() and word not in found.fine]
    assert len(plain) > 1000
    assert all(found.is_rude(word) for word in plain)


@given(st.sampled_from(RUDE), st.sampled_from(["s", "ed", "ing", "es"]))
def test_forms(word: str, ending: str) -> None:
    assert word + ending in set(forms_of(word))
    assert set(forms_of("hop")) >= {"hop", "hops", "hopping", "hopped"}
    assert set(forms_of("bake")) >= {"bakes", "baked", "baking"}
    assert set(forms_of("pity")) >= {"pities", "pitied", "pitying"}


def test_no_candidate_of_any_pair_is_rude() -> None:
    rude = rude_filter("en")
    found = [one for pair in PAIRS for one in finder().of(pair, 30)]
    assert len(found) > 10_000
    for one in found:
        words = one.word.split()
        assert not any(rude.is_rude(word) for word in words), one.word
        assert len(words) == 1 or not rude.is_rude_before(words[0]), one.word


def test_the_filter_can_be_turned_off() -> None:
    rude = rude_filter("en")
    through = finder(rude=True)
    found = {one.word for pair in PAIRS for one in through.of(pair, 60) if any(map(rude.is_rude, one.word.split()))}
    assert len(found) > 50
    assert len(through.lexicon.entries) == len(finder().lexicon.entries)


def test_own_words_are_ones_own_business() -> None:
    from nightfold.memory.own import OwnWord, OwnWords

    with_own = Finder(LETTERS, own=OwnWords([OwnWord("PS", "piss")]))
    assert with_own.of(("P", "S"))[0].word == "piss"


def test_qualities_that_make_a_thing_rude() -> None:
    rude = rude_filter("en")
    assert rude.is_rude_before("naked") and rude.is_rude_before("stiff")
    assert not rude.is_rude("stiff") and not rude.is_rude_before("golden")


def test_other_languages() -> None:
    assert has_list("de") and has_list("fr") and not has_list("el")
    german = rude_filter("de")
    assert german.is_rude("arsch") and german.is_rude("arschloch") and not german.is_rude("garten")
    # Beginnings stand for endings where no rules for them are known.
    assert german.is_rude("arschige")
    assert not rude_filter("el").is_rude("μήλο")
    found = finder(language="de")
    assert not any(german.is_rude(one.word) for pair in PAIRS[::5] for one in found.of(pair, 20) if " " not in one.word)
