"""One's own words in the logbook, as whatever looks for words wants them; and back into the logbook."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from nightfold.memory.errors import OwnWordsError, WordsError
from nightfold.memory.own import OwnWord, OwnWords, read_own, write_own
from nightfold.memory.symbols import DOT, Symbols, pair_text
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Word


def own_word(word: Word) -> OwnWord:
    """A word of the logbook as an own word."""
    return OwnWord(pair_text(word.symbols), word.word, word.kind, word.note, word.strength)


def kept_words(book: Logbook, solver: str = "", language: str | None = None) -> OwnWords:
    """The words that a solver keeps, of one language or of all."""
    return OwnWords(own_word(word) for word in book.words(solver=solver, language=language))


def together(*some: OwnWords) -> OwnWords:
    """Own words from several places: of a word that is in two, what the first says of it."""
    found: dict[tuple[str, str], OwnWord] = {}
    for words in some:
        for word in words.all:
            found.setdefault((word.pair, word.word.casefold()), word)
    return OwnWords(found.values())


def two_letters(text: str, symbols: Symbols) -> tuple[str, str]:
    """The two letters of a pair such as ``LS`` or ``Ch·1``: of the lettering, or any two characters of another.

    Raises WordsError where they are not two.
    """
    try:
        read = symbols.pair(text)
    except WordsError as trouble:
        parts = text.replace(DOT, " ").split()
        read = tuple(parts) if len(parts) == 2 else tuple(text.strip())
        if len(read) != 2:
            raise trouble
    if len(read) != 2:
        raise WordsError(f"“{text[:24]}” is one letter; words are kept for pairs, as in LS")
    return read[0], read[1]


def as_record(word: OwnWord, letters: tuple[str, str], language: str, solver: str = "") -> Word:
    """The record that an own word is kept as."""
    return Word(
        solver=solver,
        language=language,
        pair=" ".join(letters),
        word=word.word,
        kind=word.kind,
        note=word.note,
        strength=word.strength,
    )


def read_records(text: str, name: str, symbols: Symbols, language: str, solver: str = "") -> list[Word]:
    """The records that a CSV file of own words makes.

    All or nothing: OwnWordsError tells every row that cannot be used, also those whose pair is not two letters.
    """
    letters: dict[str, tuple[str, str]] = {}

    def check(word: OwnWord) -> None:
        letters[word.pair] = two_letters(word.pair, symbols)

    words = read_own(text, name, check)
    return [as_record(word, letters[word.pair], language, solver) for word in words.all]


def checked(word: OwnWord) -> OwnWord:
    """A single word, checked as a row of a file is.  Raises OwnWordsError with a sentence that names no row."""
    try:
        (found,) = read_own(write_own([word]), "").all
    except OwnWordsError as trouble:
        raise OwnWordsError(str(trouble).removeprefix(", row 2").lstrip(",: ").removeprefix("column ")) from None
    return found


def written_over(book: Logbook, words: Iterable[Word], solver: str = "") -> tuple[list[Word], int]:
    """The records as they are to be written, older ones keeping their age, and how many of them are new.

    A word that only the demo brought is as good as none: one's own takes its place, and is new.
    """
    known = {word.id: word for word in book.words(solver=solver) if not word.demo}
    found, new = [], 0
    for word in words:
        before = known.get(word.id)
        new += before is None
        found.append(word if before is None else replace(word, created=before.created))
    return found, new
