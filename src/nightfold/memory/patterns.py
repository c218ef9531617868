"""The ways in which one word, or two, may stand for a letter pair; what is said of them is in ``patterns.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise, product
from pathlib import Path

from nightfold.memory.errors import WordsError, cut
from nightfold.memory.rules import Rule
from nightfold.memory.sounds import sound_of, sounds_of
from nightfold.memory.symbols import Pair, Symbols

#: The pairs that a folded word stands for, of those that can be made of the symbols.
Reader = Callable[[str, Symbols], Iterable[Pair]]
#: The pattern of two words, which no single word has.
TWO_WORDS = "two-words"
#: The pattern that a rule of one's own makes.
RULE = "rule"

_VOWELS = frozenset("aeiouyαειουηωаеёиоуыэюяієї")


@dataclass(frozen=True, slots=True)
class Pattern:
    """A way for words to stand for pairs.

    ``read`` gives the pairs of one word (none for ``two-words``), ``weight`` says how easily a word leads back to its
    letters, ``languages`` are those the pattern is for, empty for all.
    """

    name: str
    about: str
    weight: float
    read: Reader
    languages: tuple[str, ...] = ()

    def suits(self, language: str) -> bool:
        """Whether the pattern can be used in a language."""
        return not self.languages or language in self.languages


def opening(word: str, symbols: Symbols) -> Iterator[Pair]:
    """Both letters at the head of the word, or the one letter."""
    for first, place in symbols.at(word, 0):
        yield (first,)
        for second, _ in symbols.at(word, place):
            yield first, second


def ends(word: str, symbols: Symbols) -> Iterator[Pair]:
    """The first letter at the head of the word, the second at its end."""
    for first, place in symbols.at(word, 0):
        for second, begins in symbols.ending(word):
            if begins >= place:
                yield first, second


def skeleton(word: str) -> str:
    """A word's first letter and its consonants, doubled ones once."""
    behind = pairwise(word)
    return word[:1] + "".join(char for before, char in behind if char not in _VOWELS and char != before)


def consonants(word: str, symbols: Symbols) -> Iterator[Pair]:
    """Both letters at the head of the word's skeleton."""
    bones = skeleton(word)
    for first, place in symbols.at(bones, 0):
        for second, _ in symbols.at(bones, place):
            yield first, second


def sounds(word: str, symbols: Symbols) -> Iterator[Pair]:
    """The letters whose sounds the word begins with."""
    heard = sounds_of(word, 2)
    if len(heard) > 1:
        firsts, seconds = _by_sound(symbols.all)
        yield from product(firsts.get(heard[0], ()), seconds.get(heard[1], ()))


@lru_cache(maxsize=64)
def _by_sound(symbols: tuple[str, ...]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """The symbols that stand for each sound, at the head of a word and behind it."""
    firsts: dict[str, list[str]] = {}
    seconds: dict[str, list[str]] = {}
    for symbol in symbols:
        firsts.setdefault(sound_of(symbol, first=True), []).append(symbol)
        seconds.setdefault(sound_of(symbol), []).append(symbol)
    return firsts, seconds


def no_single_word(word: str, symbols: Symbols) -> Iterable[Pair]:
    """What two words together stand for no single word does."""
    return ()


_READERS: Mapping[str, Reader] = {
    "opening": opening,
    "consonants": consonants,
    "ends": ends,
    "sounds": sounds,
    TWO_WORDS: no_single_word,
}


@cache
def patterns() -> Mapping[str, Pattern]:
    """Every pattern by its name, those of one's own left out."""
    data = tomllib.loads(Path(__file__).with_name("patterns.toml").read_text("utf-8"))
    return {
        name: Pattern(name, data[name]["about"], data[name]["weight"], read, tuple(data[name].get("languages", ())))
        for name, read in _READERS.items()
    }


def rule_pattern(text: str) -> Pattern:
    """A rule of one's own as a pattern.  Raises RuleError when it cannot be read."""
    data = tomllib.loads(Path(__file__).with_name("patterns.toml").read_text("utf-8"))[RULE]
    rule = Rule.parse(text)
    return Pattern(RULE, f"{data['about']}: {rule}", data["weight"], rule.read)


def chosen_patterns(names: str | None, language: str, rule: str | None = None) -> tuple[Pattern, ...]:
    """The patterns of a list such as ``opening, ends``; all that suit the language if there is none.

    A ``rule`` of one's own comes before them, and alone if no names are given.  Raises WordsError for a name that is
    none or a pattern that the language does not have, RuleError for a rule that cannot be read.
    """
    own = (rule_pattern(rule),) if rule is not None else ()
    if names is None:
        return own or tuple(pattern for pattern in patterns().values() if pattern.suits(language))
    picked = dict.fromkeys(name.strip().casefold() for name in names.split(",") if name.strip())
    if not picked:
        raise WordsError(f"no pattern is named; patterns are {', '.join(patterns())}")
    for name in picked:
        if name not in patterns():
            raise WordsError(f"“{cut(name)}” is no pattern; patterns are {', '.join(patterns())}")
        if not patterns()[name].suits(language):
            known = ", ".join(patterns()[name].languages)
            raise WordsError(f"the pattern {name} is for the language {known} only, not for {language}")
    return own + tuple(patterns()[name] for name in picked)
