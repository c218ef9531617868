"""The consonant sounds that English words begin with, by plain rules of spelling, and syllables made of letters.

The rules are few and know no word by heart but those in ``sounds.toml``: C, K, Q and CK sound alike, F and PH too,
soft C is S and soft G is J, X is KS but Z at the head of a word; CH, SH and TH are sounds of their own, which no single
letter makes.  Vowels inside a word do not count; at its head they count as they are written.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.memory.errors import WordsError

VOWELS = "aeiou"


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("sounds.toml").read_text("utf-8"))


@cache
def _spellings() -> Mapping[str, tuple[re.Pattern[str], tuple[tuple[str, ...], ...]]]:
    """For each letter all its spellings as one pattern, and the sounds of each."""
    return {
        letter: (
            re.compile("|".join(f"({spelt})" for spelt, _ in rules)),
            tuple(tuple(made.split()) for _, made in rules),
        )
        for letter, rules in _data()["spelling"].items()
    }


@cache
def _hard() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The words with a hard G, and those long enough to be known inside a compound."""
    words = tuple(_data()["hard-g"])
    return words, tuple(word for word in words if len(word) > 3)


def _has_hard_g(word: str) -> bool:
    words, long = _hard()
    return "g" in word and (word.startswith(words) or any(part in word for part in long))


def sounds_of(word: str, most: int = 99) -> tuple[str, ...]:
    """The sounds of a word in small letters: the vowel it may begin with, then its consonants; ``most`` will do."""
    if _has_hard_g(word):
        word = word.replace("ge", "ga").replace("gi", "ga").replace("gy", "ga")
    spellings = _spellings()
    found: list[str] = [word[0]] if word[:1] in tuple(VOWELS) else []
    at = 0
    while at < len(word) and len(found) < most:
        match = None
        if word[at] in spellings:
            pattern, sounds = spellings[word[at]]
            match = pattern.match(word, at)
            if match:
                found += sounds[(match.lastindex or 1) - 1]
        at = match.end() if match else at + 1
    return tuple(found[:most])


def sound_of(letter: str, first: bool = False) -> str:
    """The sound a Latin letter stands for in a pair; ``first`` at the head of a word.  Empty for anything else."""
    letter = letter.casefold()
    heads: Mapping[str, str] = _data()["heads"]
    letters: Mapping[str, str] = _data()["letters"]
    return (heads.get(letter) if first else None) or letters.get(letter, "")


def syllable(letters: Collection[str], unwanted: Collection[str] = frozenset()) -> str:
    """A pair as a syllable to be spoken: consonant, vowel, consonant; vowels of the pair stand as they are.

    Between two consonants the first of the vowels a, e, i, o, u is taken that makes no ``unwanted`` word.  A single
    consonant gets a y behind it.  Raises WordsError for letters that are not those of the Latin alphabet.
    """
    heads, ends = _data()["syllable-heads"], _data()["syllable-ends"]
    small = [letter.casefold() for letter in letters]
    for letter in small:
        if not (len(letter) == 1 and letter.isascii() and letter.isalpha()):
            raise WordsError(f"syllables are made of the letters A to Z, and “{letter[:16]}” is none of them")
    first, second = small[0], small[1] if len(small) > 1 else ""
    head = first if first in VOWELS else heads.get(first, first)
    end = second if not second or second in VOWELS else ends.get(second, second)
    if first in VOWELS and second in VOWELS:
        return f"{head}-{end}" if second else head
    if not second:
        return head + "y"
    if first in VOWELS or second in VOWELS:
        return head + end
    return next((made for vowel in VOWELS if (made := head + vowel + end) not in unwanted), f"{head}y{end}")
