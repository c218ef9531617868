"""One's own words for pairs, and the CSV file they are exchanged in.

The columns are ``pair``, ``word``, ``kind``, ``note`` and ``strength``; the first two are needed, the others may be
missing or empty.  A pair may have several words, a line each.  What a spreadsheet writes with semicolons and decimal
commas, as in Germany, is read too.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from nightfold.memory.errors import OwnWordsError, WordsError, cut
from nightfold.memory.lexicon import KINDS
from nightfold.memory.symbols import DOT, pair_text

COLUMNS = ("pair", "word", "kind", "note", "strength")
#: How well one knows a word of which nothing is said.
USUAL_STRENGTH = 0.5
#: No file, word or note that a person wrote is anywhere near so large.
MAX_ROWS, MAX_WORD, MAX_NOTE, MAX_PAIR = 20_000, 60, 500, 40
#: So many faults of a file are told.
_MOST_FAULTS = 20


@dataclass(frozen=True, slots=True)
class OwnWord:
    """A person's own word for a pair: its kind of picture (may be empty), a note, and how well it is known (0 to 1)."""

    pair: str
    word: str
    kind: str = ""
    note: str = ""
    strength: float = USUAL_STRENGTH


def changed(
    before: OwnWord | None,
    pair: str,
    word: str,
    kind: str | None = None,
    note: str | None = None,
    strength: float | None = None,
) -> OwnWord:
    """A word as it is to be kept: what is not said stays as it was ``before``, or is as usual if there was none."""
    old = before or OwnWord(pair, word)
    return OwnWord(
        pair,
        word,
        old.kind if kind is None else kind,
        old.note if note is None else note,
        old.strength if strength is None else strength,
    )


class OwnWords(Mapping[str, tuple[OwnWord, ...]]):
    """A person's own words by pair, the strongest of each first.

    Anything that keeps words, a file or a logbook, hands them over as this.  Pairs are texts as ``pair_text`` writes
    them; capitals count only where both ways of writing a pair have words.
    """

    def __init__(self, words: Iterable[OwnWord] = ()) -> None:
        self._words: dict[str, list[OwnWord]] = {}
        for word in words:
            self._words.setdefault(word.pair, []).append(word)
        for some in self._words.values():
            some.sort(key=lambda word: -word.strength)
        self._loose: dict[str, list[str]] = {}
        for pair in self._words:
            self._loose.setdefault(pair.casefold(), []).append(pair)

    def of(self, letters: Sequence[str]) -> tuple[OwnWord, ...]:
        """The words of a pair, given as its letters; none if it has none."""
        text = pair_text(letters)
        if text in self._words:
            return tuple(self._words[text])
        loose = self._loose.get(text.casefold(), [])
        return tuple(self._words[loose[0]]) if len(loose) == 1 else ()

    def __getitem__(self, pair: str) -> tuple[OwnWord, ...]:
        return tuple(self._words[pair])

    def __iter__(self) -> Iterator[str]:
        return iter(self._words)

    def __len__(self) -> int:
        return len(self._words)

    @property
    def all(self) -> tuple[OwnWord, ...]:
        """Every word, pair by pair."""
        return tuple(word for some in self._words.values() for word in some)


def write_own(words: Iterable[OwnWord]) -> str:
    """Own words as CSV, in the form that ``read_own`` reads."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(COLUMNS)
    for one in words:
        rows.writerow((one.pair, one.word, one.kind, one.note, f"{one.strength:g}"))
    return out.getvalue()


def read_own(text: str, name: str = "the file", check: Callable[[OwnWord], object] | None = None) -> OwnWords:
    """Own words from the text of a CSV file called ``name``; ``check`` may refuse a word with a WordsError.

    All or nothing: OwnWordsError tells every row that cannot be used, by row and column, and takes none of the others.
    Rows are counted as a spreadsheet does, the head being row 1.
    """
    text = text.removeprefix("\ufeff")
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True))
    except csv.Error as trouble:
        raise OwnWordsError(f"{name} is no CSV file: {trouble}") from None
    filled = [(number, row) for number, row in enumerate(rows, 1) if any(cell.strip() for cell in row)]
    if not filled:
        raise OwnWordsError(f"{name} is empty; its first row must name the columns {', '.join(COLUMNS)}")
    head, *body = filled
    columns = _columns(head[1], name)
    if len(body) > MAX_ROWS:
        raise OwnWordsError(f"{name} has more than {MAX_ROWS:,} rows, which no lettering has pairs for")
    words: list[OwnWord] = []
    faults: list[str] = []
    first: dict[tuple[str, str], int] = {}
    for number, row in body:
        try:
            word = _word(row, columns, f"{name}, row {number}")
            twice = first.setdefault((word.pair, word.word.casefold()), number)
            if twice != number:
                raise OwnWordsError(f"{name}, row {number}: {word.word} stands for {word.pair} in row {twice} already")
            if check is not None:
                try:
                    check(word)
                except WordsError as trouble:
                    raise OwnWordsError(f"{name}, row {number}: {trouble}") from None
            words.append(word)
        except OwnWordsError as trouble:
            faults.append(str(trouble))
    if faults:
        raise OwnWordsError(*faults[:_MOST_FAULTS])
    return OwnWords(words)


def _delimiter(text: str) -> str:
    """What stands between the cells, as the first row tells it: a comma, else a semicolon or a tab.

    Spreadsheets write semicolons where the comma stands before decimals.
    """
    head = next((line for line in text.splitlines() if line.strip()), "")
    return next((char for char in ",;\t" if char in head), ",")


def _columns(head: list[str], name: str) -> dict[str, int]:
    """Where each column stands."""
    columns: dict[str, int] = {}
    for at, cell in enumerate(head):
        title = cell.strip().casefold()
        if title not in COLUMNS:
            shown = f"“{cut(cell.strip())}”" if cell.strip() else f"the head of column {at + 1}, which is empty,"
            raise OwnWordsError(f"{name}, row 1: {shown} is no column; columns are {', '.join(COLUMNS)}")
        if title in columns:
            raise OwnWordsError(f"{name}, row 1: the column {title} is there twice")
        columns[title] = at
    for needed in COLUMNS[:2]:
        if needed not in columns:
            raise OwnWordsError(f"{name}, row 1: the column {needed} is missing; columns are {', '.join(COLUMNS)}")
    return columns


def _word(row: list[str], columns: Mapping[str, int], where: str) -> OwnWord:
    if any(cell.strip() for cell in row[len(columns) :]):
        raise OwnWordsError(f"{where} has {len(row)} cells for {len(columns)} columns; put text with a comma in quotes")
    cells = {name: " ".join(row[at].split()) if at < len(row) else "" for name, at in columns.items()}
    for name, most in (("pair", MAX_PAIR), ("word", MAX_WORD), ("kind", MAX_WORD), ("note", MAX_NOTE)):
        cell = cells.get(name, "")
        if len(cell) > most:
            raise OwnWordsError(f"{where}, column {name}: the text is longer than {most} characters")
        if not cell.isprintable():
            raise OwnWordsError(f"{where}, column {name}: the text holds a character that cannot be shown")
        if name in COLUMNS[:2] and not cell:
            raise OwnWordsError(f"{where}, column {name}: there is nothing in it")
    pair = unicodedata.normalize("NFC", cells["pair"])
    parts = pair.replace(DOT, " ").split()
    if len(parts) > 2:
        raise OwnWordsError(f"{where}, column pair: “{pair}” is more than two letters")
    kind = cells.get("kind", "").casefold()
    if kind and kind not in KINDS:
        raise OwnWordsError(f"{where}, column kind: “{cut(kind)}” is no kind of picture; kinds are {', '.join(KINDS)}")
    # Letters set apart by a space are a pair like those set apart by a dot.
    return OwnWord(
        pair_text(parts), cells["word"], kind, cells.get("note", ""), _strength(cells.get("strength", ""), where)
    )


def _strength(cell: str, where: str) -> float:
    if not cell:
        return USUAL_STRENGTH
    try:
        strength = float(cell.replace(",", "."))
    except ValueError:
        strength = -1.0
    if not 0 <= strength <= 1:  # which holds for no NaN either
        raise OwnWordsError(f"{where}, column strength: “{cut(cell)}” must be a number from 0 to 1, such as 0.8")
    return strength
