"""A pair of letters to its word, and back: one's own words only."""

from __future__ import annotations

import random
import unicodedata

from nightfold.coach.memo import MemoError, read_memo
from nightfold.memory.lexicon import language_of, lexicon
from nightfold.memory.ratings import ratings
from nightfold.memory.symbols import pair_text
from nightfold.practice.drills.base import Exercise, Marked
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table

#: Articles and the like in front of a word make no difference.
_ARTICLES = frozenset(("a", "an", "the"))
#: From this length on, one slip of the pen is forgiven, if it makes no other word.
_LONG = 4
#: Endings by which several differ from one: in English, and in languages whose words are not known so well.
_SEVERAL, _SEVERAL_ELSEWHERE = ("s", "es"), ("s", "es", "e", "n", "en")


class _Pairs(Exercise):
    """What the two exercises share."""

    most_level = 1
    own_levels = False
    mixed = True

    def subjects(self, table: Table) -> tuple[str, ...]:
        """``pair/LS`` for every pair one has a word for."""
        return tuple(f"pair/{key}" for key in sorted(table.words) if table.words[key])


class PairWord(_Pairs):
    """A pair is given; what is its word?  Any of one's own words for it is right."""

    name = "pair-word"
    title = "Pair to word"
    about = "A pair of letters is given; say your word for it."
    seconds = 5.0

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        pair = subject.removeprefix("pair/")
        words = table.words[pair]
        return self._question(table, subject, level, f"What is your word for {pair}?", "word", key=tuple(words))

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """One's words for the pair, as they were when it was asked."""
        return question.key

    def why(self, table: Table, question: Question) -> str:
        """``LS is lighthouse.``"""
        return f"{_pair(question)} is {' or '.join(question.key)}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        told = _plain(given)
        for word in question.key:
            if told == _plain(word):
                return Marked(True, 1.0, question.key, f"{_pair(question)} is {word}.")
        # A word that is another pair's own is no slip of the pen.
        others = {_plain(word): pair for pair, words in table.words.items() for word in words}
        if told in others:
            said = f"{given.strip()} is your word for {others[told]}; {self.why(table, question)}"
            return Marked(False, 0.0, question.key, said)
        symbols = [symbol for orbit in table.orbits for symbol in table.lettering.of(orbit).values()]
        language = language_of(symbols)
        for word in question.key:
            plain = _plain(word)
            plural = _other_number(told, plain, language)
            if len(word) < _LONG or not (plural or _one_slip(told, plain)):
                continue
            if not plural and _is_word(told, language):
                said = f"{given.strip()} is another word; {self.why(table, question)}"
                return Marked(False, 0.0, question.key, said)
            slip = "one or several of it are the same here" if plural else "one slip of the pen is forgiven"
            return Marked(True, 1.0, question.key, f"{_pair(question)} is {word}; {slip}.")
        return Marked(False, 0.0, question.key, self.why(table, question))


class WordPair(_Pairs):
    """A word is given; which pair does it stand for?"""

    name = "word-pair"
    title = "Word to pair"
    about = "One of your words is given; say the pair of letters it stands for."
    seconds = 5.0

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        pair = subject.removeprefix("pair/")
        word = dice.choice(table.words[pair])
        # A word kept for several pairs may stand for any of them.
        pairs = tuple(sorted(key for key, words in table.words.items() if _plain(word) in map(_plain, words)))
        prompt = f"Which pair is “{word}”?"
        return self._question(table, subject, level, prompt, "letters", key=(word, *pairs))

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """The pair, or every pair that one has this word for."""
        return question.key[1:]

    def why(self, table: Table, question: Question) -> str:
        """``“lighthouse” is LS.``"""
        return f"“{question.key[0]}” is {' or '.join(question.key[1:])}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        letters = read_pair(table, given)
        told, turned = pair_text(letters), pair_text(letters[::-1])
        expected, why = question.key[1:], self.why(table, question)
        keys = {_fold(key): key for key in expected}
        if _fold(told) in keys:
            return Marked(True, 1.0, expected, f"“{question.key[0]}” is {keys[_fold(told)]}.")
        if _fold(turned) in keys:
            return Marked(False, 0.5, expected, f"These are its letters, but the other way round: {why}")
        if own := table.words.get(told):
            return Marked(False, 0.0, expected, f"{told} is {' or '.join(own)}; {why}")
        return Marked(False, 0.0, expected, why)


def read_pair(table: Table, text: str) -> tuple[str, str]:
    """The two letters of a pair that a text writes.

    Raises DrillError where it does not write two letters of one orbit.
    """
    for orbit in table.orbits:
        try:
            stickers = read_memo(text, table.orbit(orbit), table.lettering)
        except MemoError:
            continue
        if len(stickers) == 2:
            first, second = (table.symbol(orbit, sticker) for sticker in stickers)
            return first, second
    raise DrillError(f"“{text.strip()[:24]}” is no pair; write two letters of “{table.lettering.name}”")


def _pair(question: Question) -> str:
    return question.subject.removeprefix("pair/")


def _fold(text: str) -> str:
    return unicodedata.normalize("NFC", text).casefold()


def _plain(word: str) -> str:
    """A word without what makes no difference: case, accents, hyphens, spaces at its ends, an article before it."""
    bare = "".join(char for char in unicodedata.normalize("NFKD", word) if not unicodedata.combining(char))
    words = bare.casefold().replace("-", " ").replace("’", "'").split()
    return " ".join(words[1:] if len(words) > 1 and words[0] in _ARTICLES else words)


def _other_number(given: str, word: str, language: str) -> bool:
    """Whether one is the plural of the other, by its ending."""
    short, long = sorted((given, word), key=len)
    endings = _SEVERAL if language == "en" else _SEVERAL_ELSEWHERE
    # Several princes are no princess.
    return not short.endswith("s") and any(long == short + ending for ending in endings)


def _is_word(text: str, language: str) -> bool:
    """Whether a text without capitals and accents is a word of the language, picturable or not.

    Lists of how often words come have the usual slips of the pen too, so in English rated words count, not those.
    """
    if language == "en":
        return any(text.removesuffix(ending) in ratings() for ending in ("", *_SEVERAL))
    words = lexicon(language).entries
    return text in words or any(_plain(word) == text for word in words if not word.isascii())


def _one_slip(given: str, word: str) -> bool:
    """Whether one letter put in, left out or replaced, or two neighbours exchanged, makes one of the other."""
    if given == word:
        return True
    at = next((i for i, (a, b) in enumerate(zip(given, word, strict=False)) if a != b), min(len(given), len(word)))
    left, right = given[at:], word[at:]
    return (
        left[1:] == right
        or left == right[1:]
        or left[1:] == right[1:]
        or (len(left) > 1 and left[:2] == right[1::-1] and left[2:] == right[2:])
    )
