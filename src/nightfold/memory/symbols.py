"""The symbols of a lettering as words see them, and letter pairs as text.

Words are compared letter by letter without regard to capitals.  Accents do not count either, unless a symbol has
one: with the symbols E and N, *été* begins with E; where É is a symbol of its own, it begins with É alone.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from nightfold.memory.errors import WordsError, cut

#: Stands between the letters of a pair where one of them has more than one character.
DOT = "·"
#: A pair as letters: two symbols, or one that is left over at the end of a memo.
Pair = tuple[str, ...]


def pair_text(letters: Sequence[str]) -> str:
    """A pair as text: ``BJ``, or ``Ch·1`` where a symbol has several characters."""
    return ("" if all(len(letter) == 1 for letter in letters) else DOT).join(letters)


@lru_cache(maxsize=4096)
def bare(char: str) -> str:
    """A character without its accents."""
    kept = "".join(part for part in unicodedata.normalize("NFD", char) if not unicodedata.combining(part))
    return kept or char


class Symbols:
    """The symbols that pairs are made of, ready to be looked for in words."""

    def __init__(self, symbols: Iterable[str]) -> None:
        self.all = tuple(dict.fromkeys(unicodedata.normalize("NFC", symbol) for symbol in symbols))
        folded = [(symbol.casefold(), symbol) for symbol in self.all]
        self._chars = frozenset(char for text, _ in folded for char in text)
        self._starting: dict[str, list[tuple[str, str]]] = {}
        self._ending: dict[str, list[tuple[str, str]]] = {}
        for text, symbol in folded:
            self._starting.setdefault(text[0], []).append((text, symbol))
            self._ending.setdefault(text[-1], []).append((text, symbol))

    def fold(self, word: str) -> str:
        """A word in small letters, without the accents that no symbol has."""
        word = word.casefold()
        if word.isascii():
            return word
        return "".join(char if char in self._chars else bare(char) for char in unicodedata.normalize("NFC", word))

    def at(self, folded: str, place: int) -> Iterator[tuple[str, int]]:
        """The symbols that a folded word shows at a place, each with the place behind it."""
        for text, symbol in self._starting.get(folded[place : place + 1], ()):
            if folded.startswith(text, place):
                yield symbol, place + len(text)

    def ending(self, folded: str) -> Iterator[tuple[str, int]]:
        """The symbols that a folded word ends with, each with the place at which it begins."""
        for text, symbol in self._ending.get(folded[-1:], ()):
            if folded.endswith(text):
                yield symbol, len(folded) - len(text)

    def pair(self, text: str) -> Pair:
        """The letters of a pair, or the one letter, that a text such as ``bj`` or ``Ch·1`` stands for.

        Raises WordsError when it is not one or two symbols, or could be read in two ways.
        """
        plain = unicodedata.normalize("NFC", text.strip())
        parts = plain.replace(DOT, " ").split()
        ways = self._read(parts[0]) if len(parts) == 1 else [tuple(parts)] if len(parts) == 2 else []
        found = [way for way in (self._known(way) for way in ways) if way]
        exact = [way for way in found if "".join(way) == "".join(parts)] or found
        if len(exact) == 1:
            return exact[0]
        if len(exact) > 1:
            readings = " or ".join(DOT.join(way) for way in exact[:3])
            raise WordsError(f"“{cut(text)}” can be read as {readings}; write it with a dot between the letters")
        listed = " ".join(sorted(self.all))
        raise WordsError(f"“{cut(text)}” is no pair of letters (nor a single one) of this lettering: {listed}")

    def _read(self, text: str) -> list[Pair]:
        """Every way to cut a text into one symbol or two."""
        cuts = [(text[:at], text[at:]) for at in range(1, len(text))]
        return [(text,), *cuts]

    def _known(self, letters: Pair) -> Pair:
        """The letters as the lettering writes them; nothing if one is none of its symbols."""
        found = []
        for letter in letters:
            exact = [symbol for symbol in self.all if symbol == letter]
            loose = exact or [symbol for symbol in self.all if symbol.casefold() == letter.casefold()]
            if len(loose) != 1:
                return ()
            found.append(loose[0])
        return tuple(found)
