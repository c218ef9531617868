"""When two words are near-identical pictures."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.images import Picture, alike, picture_of, stem
from nightfold.memory.lexicon import lexicon
from tests.memory.finders import covered, finder

SAME = [
    ("lamp", "lamps"),
    ("bake", "baker"),
    ("baker", "bakery"),
    ("paint", "painter"),
    ("snow", "snowman"),
    ("snowman", "snowball"),
    ("football", "ball"),
    ("sofa", "couch"),
    ("castle", "palace"),
    ("woman", "women"),
    ("child", "children"),
    ("mouse", "mice"),
    ("fireman", "firemen"),
    ("cab", "taxi"),
    ("lorry", "truck"),
    ("bunny", "rabbit"),
    ("rabbit", "hare"),
    ("cow", "cattle"),
    ("priest", "vicar"),
    ("engine", "motor"),
    ("phone", "iphone"),
    ("vet", "veteran"),
    ("camera", "webcam"),
]
OTHER = [("lamp", "lamb"), ("bear", "bread"), ("sofa", "table"), ("king", "queen"), ("snow", "rain")]


def picture(word: str) -> Picture:
    return lexicon("en").picture(word)


@pytest.mark.parametrize(("one", "other"), SAME)
def test_near_identical_words(one: str, other: str) -> None:
    assert alike([picture(one)], [picture(other)])


@pytest.mark.parametrize(("one", "other"), OTHER)
def test_different_words(one: str, other: str) -> None:
    assert not alike([picture(one)], [picture(other)])


def test_two_words_hold_a_picture_that_one_word_is() -> None:
    bear, brown_bear = [picture("bear")], [picture("brown"), picture("bear")]
    assert alike(bear, brown_bear) and alike(brown_bear, bear)
    assert not alike(brown_bear, [picture("lazy"), picture("bear")])
    assert alike(brown_bear, [picture("bears"), picture("brown")])


PICTURES = st.lists(st.frozensets(st.sampled_from("abcd"), min_size=1, max_size=2), min_size=1, max_size=2)


@given(PICTURES, PICTURES)
def test_alikeness_is_mutual(one: list[Picture], other: list[Picture]) -> None:
    assert alike(one, other) == alike(other, one)
    assert alike(one, one)


def test_stems_of_other_languages() -> None:
    assert stem("katzen", "de") == stem("katze", "de")
    assert stem("chats", "fr") == stem("chat", "fr")
    assert stem("ねこ", "ja") == "ねこ"
    assert "haus" not in picture_of("hausboot", "de")


def test_threads_that_stem_at_once_find_what_one_alone_finds() -> None:
    words = list(lexicon("en").entries)[:600]
    alone = [stem(word, "en") for word in words]
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(4) as threads:
            for found in threads.map(lambda _: [stem.__wrapped__(word, "en") for word in words], range(4)):
                assert found == alone
    finally:
        sys.setswitchinterval(before)


def test_the_candidates_of_a_pair_are_different_pictures() -> None:
    for text in ("BR", "SN", "BK", "CA", "XL", "QU"):
        found = finder().of((text[0], text[1]), 40)
        assert len(found) > 5
        for at, one in enumerate(found):
            assert not any(one.alike(other) for other in found[:at]), f"{one.word} for {text}"


def test_forms_of_one_word_are_one_picture_in_other_languages() -> None:
    """The snowball stemmer joins most forms; frequent short verbs need more to be taken off."""
    german = lexicon("de").picture
    for other in ("lass", "lasst", "last"):
        assert alike([german("las")], [german(other)])
    assert not alike([german("hund")], [german("haus")])
    found = [one for one in finder(language="de").of(("L", "A"), 40) if " " not in one.word]
    assert len({one.word for one in found} & {"las", "lass", "lasst", "last"}) <= 1


def test_no_two_pairs_have_images_of_one_thing() -> None:
    """WordNet's synonyms, by another reading of its file: words that share a number, or a row of alike.toml."""
    words = {pair: one.word for pair, one in covered().words.items() if " " not in one.word}
    by_key: dict[str, list[str]] = {}
    for word in words.values():
        for key in lexicon("en").picture(word):
            by_key.setdefault(key, []).append(word)
    assert not {key: some for key, some in by_key.items() if len(some) > 1}
