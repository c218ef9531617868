"""Pair pages: the learner's words for letter pairs as a grid, and as cards to cut out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from itertools import product

from nightfold.memory.lexicon import language_of
from nightfold.memory.occurring import letters_in_use, pairs_of
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.symbols import Pair, pair_text
from nightfold.paper.press import PLAIN, Look, PaperError, brief, press
from nightfold.paper.subject import Subject


@dataclass(frozen=True, slots=True)
class PairWords:
    """A pair and its words, the strongest first, and what was noted about that.

    ``occurs`` tells that some memo has it, ``suggested`` that the word is a suggestion, not one's own.
    """

    pair: str
    words: tuple[str, ...]
    note: str = ""
    occurs: bool = True
    suggested: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """All pairs of some orbits: ``letters`` in order, and by pair those that a memo can have or that have a word."""

    orbits: tuple[str, ...]
    letters: tuple[str, ...]
    cells: Mapping[Pair, PairWords]


def grids_of(
    subject: Subject, words: OwnWords | None = None, suggestions: Mapping[Pair, str] | None = None
) -> tuple[Grid, ...]:
    """The grids of the subject's lettering: one for all orbits that share their letters.

    ``words`` are one's own; ``suggestions`` fill in where there are none.
    """
    words, suggestions = words or OwnWords(), suggestions or {}
    sharing: dict[frozenset[str], list[str]] = {}
    for way in subject.method.ways:
        sharing.setdefault(frozenset(subject.letters.of(way.orbit).values()), []).append(way.orbit.name)
    occurring = pairs_of(subject.method, subject.letters)
    grids = []
    for names in sharing.values():
        ways = [subject.method.way(name) for name in names]
        letters = {letter for way in ways for letter in letters_in_use(way.orbit, way.buffer, subject.letters)}
        occur = {pair for name in names for pair in occurring[name]}
        cells = {
            pair: _cell(pair, words.of(pair), suggestions.get(pair), pair in occur)
            for pair in product(sorted(letters), repeat=2)
            if pair in occur or words.of(pair)
        }
        grids.append(Grid(tuple(names), tuple(sorted(letters)), cells))
    return tuple(grids)


def _cell(pair: Pair, own: tuple[OwnWord, ...], suggestion: str | None, occurs: bool) -> PairWords:
    if own:
        return PairWords(pair_text(pair), tuple(word.word for word in own), own[0].note, occurs)
    if suggestion is not None:
        return PairWords(pair_text(pair), (suggestion,), occurs=occurs, suggested=True)
    return PairWords(pair_text(pair), (), occurs=occurs)


def press_pairs(
    subject: Subject,
    look: Look = PLAIN,
    *,
    words: OwnWords | None = None,
    suggestions: Mapping[Pair, str] | None = None,
    cards: bool = False,
    own: tuple[str, ...] = (),
) -> bytes:
    """The grid of all pairs with their words as PDF, or with ``cards`` a card for every pair that has a word.

    ``words`` and ``suggestions`` are as for ``grids_of``; ``own`` are the options with which the command prints the
    same again.  Raises PaperError where there is no word to make cards of.
    """
    grids = grids_of(subject, words, suggestions)
    named = brief(subject.letters.name, 60)
    title = f"Cards for pairs of the lettering {named}" if cards else f"Pairs of the lettering {named}"
    sheet = subject.sheet("pairs", title, look, *own)
    if not cards:
        sheet["said"] = _said(grids)
        sheet["grids"] = [
            {
                "title": " and ".join(grid.orbits),
                "letters": list(grid.letters),
                "rows": [
                    [_shown(grid.cells.get((first, second))) for second in grid.letters] for first in grid.letters
                ],
            }
            for grid in grids
        ]
        return press("pairs", sheet, look)
    known = {cell.pair: cell for grid in grids for cell in grid.cells.values() if cell.words and cell.occurs}
    if not known:
        raise PaperError(
            "there are no words for the pairs of this lettering to make cards of; keep some, as in nightfold words LS "
            "--add lighthouse, or have words suggested"
        )
    sheet["cards"] = [asdict(cell) for cell in known.values()]
    return press("pair-cards", sheet, look)


def _shown(cell: PairWords | None) -> dict[str, object]:
    """A place in the grid as the template takes it; ``there`` is False for pairs that no memo has."""
    if cell is None:
        return {"there": False, "word": "", "suggested": False}
    return {"there": True, "word": cell.words[0] if cell.words else "", "suggested": cell.suggested}


def _said(grids: tuple[Grid, ...]) -> str:
    cells = [cell for grid in grids for cell in grid.cells.values() if cell.occurs]
    own = sum(bool(cell.words) and not cell.suggested for cell in cells)
    suggested = sum(cell.suggested for cell in cells)
    said = f"The row is the first letter, the column the second. With a word of your own: {own} of {len(cells)} pairs"
    if suggested:
        said += f"; with a suggestion, behind a ring: {suggested}"
    return said + ". Empty places are for words to come; those with a stroke no memo has."


def press_kept_pairs(
    subject: Subject,
    look: Look = PLAIN,
    *,
    cards: bool = False,
    suggest: bool = False,
    solver: str | None = None,
    language: str | None = None,
) -> bytes:
    """``press_pairs`` with the words that a solver keeps in the logbook, and suggestions for the other pairs if wanted.

    Raises NightfoldError for a logbook or a language that cannot be used.
    """
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import kept_words

    symbols = [symbol for orbit in subject.letters.symbols.values() for symbol in orbit.values()]
    words, book = OwnWords(), Logbook.look()
    if book is not None:
        with book:
            words = kept_words(book, solver or "", language or language_of(symbols))
    own = ["--cards"] * cards + ["--suggest"] * suggest
    for option, value in (("--solver", solver), ("--language", language)):
        own += [option, value] if value else []
    suggestions = _suggestions(subject, symbols, language, words) if suggest else {}
    return press_pairs(subject, look, words=words, suggestions=suggestions, cards=cards, own=tuple(own))


def _suggestions(subject: Subject, symbols: list[str], language: str | None, own: OwnWords) -> dict[Pair, str]:
    """A word for every pair that has none of one's own, each unlike the others."""
    from nightfold.memory.candidates import Finder
    from nightfold.memory.coverage import cover

    found = cover(Finder(symbols, language, own=own), subject.method, subject.letters).words
    return {pair: candidate.word for pair, candidate in found.items() if not candidate.own}
