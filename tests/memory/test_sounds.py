"""The sounds words begin with, and syllables."""

from __future__ import annotations

from itertools import permutations

import pytest

from nightfold.memory.errors import WordsError
from nightfold.memory.sounds import sound_of, sounds_of, syllable
from tests.memory.finders import LETTERS

SAID = {
    "bread": "b r d",
    "phone": "f n",
    "coffee": "k f",
    "knight": "n t",
    "queen": "k n",
    "giant": "j n t",
    "tiger": "t g r",
    "cowgirl": "k g r l",
    "xylophone": "z l f n",
    "axe": "a ks",
    "box": "b ks",
    "match": "m ch",
    "bridge": "b r j",
    "nation": "n sh n",
    "lamb": "l m",
    "wheel": "w l",
    "hour": "r",
    "hotel": "h t l",
    "cent": "s n t",
    "scent": "s n t",
    "school": "s k l",
    "accent": "a ks n t",
    "wrist": "r s t",
    "yellow": "y l",
    "rainbow": "r n b",
    "sight": "s t",
    "apple": "a p l",
    "": "",
}


@pytest.mark.parametrize("word", SAID)
def test_sounds(word: str) -> None:
    # The vowel at the head of “hour” is not its first letter, so it does not count.
    assert " ".join(sounds_of(word)) == SAID[word]
    assert sounds_of(word, 2) == sounds_of(word)[:2]


def test_letters_that_sound_alike() -> None:
    assert sound_of("C") == sound_of("k") == sound_of("Q") == "k"
    assert (sound_of("X", first=True), sound_of("X")) == ("z", "ks")
    assert sound_of("Ω") == sound_of("1") == sound_of("Ch") == ""


def test_no_two_pairs_make_one_syllable() -> None:
    made = [syllable(pair) for pair in permutations(LETTERS + "YZ", 2)] + [syllable(one) for one in LETTERS + "YZ"]
    assert len(set(made)) == len(made)


def test_syllables() -> None:
    assert [syllable(pair) for pair in ("BR", "br", "AB", "BA", "AE", "CQ", "XW", "B", "A")] == [
        *("bar", "bar", "ab", "ba", "a-e", "chaqu", "xaw", "by", "a"),
    ]


def test_an_unwanted_syllable_takes_the_next_vowel() -> None:
    assert syllable("BR", {"bar", "ber"}) == "bir"
    assert syllable("BR", {"bar", "ber", "bir", "bor", "bur"}) == "byr"


@pytest.mark.parametrize("pair", [("Α", "B"), ("B", "é"), ("Ch", "B"), ("1", "2")])
def test_syllables_are_made_of_latin_letters(pair: tuple[str, str]) -> None:
    with pytest.raises(WordsError, match=r"syllables are made of the letters A to Z, and “.*” is none of them"):
        syllable(pair)
