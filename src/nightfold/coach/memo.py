"""Reading what a learner wrote: letters, forgivingly, but never guessing."""

from __future__ import annotations

import unicodedata

from nightfold.blind.lettering import Lettering
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import Orbit

#: Signs besides punctuation and spaces that may stand between letters without meaning anything.
_BETWEEN = frozenset("|+=<>→\t\r\n\v\f")
#: No memo of one orbit is anywhere near so long.
MAX_LETTERS = 60


class MemoError(NightfoldError):
    """A memo with a symbol that is not in the lettering, or one of absurd length."""


def read_memo(text: str, orbit: Orbit, lettering: Lettering) -> tuple[int, ...]:
    """The stickers that a written memo names, in order.

    Spaces, punctuation between letters, pairs or single letters and small or capital letters make no difference.
    Symbols of several characters are read longest first; where that is not what is meant, spaces decide.  Raises
    MemoError for anything that is no symbol of the orbit's lettering, naming it and its column, and for more than
    ``MAX_LETTERS`` letters.
    """
    text = unicodedata.normalize("NFC", text)
    exact = {symbol: sticker for sticker, symbol in lettering.of(orbit).items()}
    loose: dict[str, int | None] = {}
    for symbol, sticker in exact.items():
        folded = symbol.casefold()
        # Where capital and small letters mean different stickers, only the exact symbol counts.
        loose[folded] = None if folded in loose else sticker
    longest = max(len(known) for known in (*exact, *loose))
    stickers: list[int] = []
    at = 0
    while at < len(text):
        for length in range(min(longest, len(text) - at), 0, -1):
            part = text[at : at + length]
            found = exact.get(part, loose.get(part.casefold()))
            if found is not None:
                stickers.append(found)
                at += length
                break
        else:
            if not _is_between(text[at]):
                raise MemoError(_unknown(text, at, orbit, lettering, longest))
            at += 1
        if len(stickers) > MAX_LETTERS:
            raise MemoError(f"the {orbit.name} memo has more than {MAX_LETTERS} letters, which no cube needs")
    return tuple(stickers)


def _is_between(char: str) -> bool:
    """Spaces, punctuation and what cannot be seen may stand between letters."""
    category = unicodedata.category(char)
    return char in _BETWEEN or category[0] in "ZP" or category == "Cf"


def _unknown(text: str, at: int, orbit: Orbit, lettering: Lettering, longest: int) -> str:
    """What is wrong with a memo that goes on with no symbol of the lettering."""
    end = at + 1
    while end < min(len(text), at + longest) and not _is_between(text[end]):
        end += 1
    known = " ".join(sorted(lettering.of(orbit).values()))
    hint = "; spaces tell where one letter ends and the next begins" if longest > 1 else ""
    return (
        f"“{text[at:end]}” at column {at + 1} of the {orbit.name} memo is no letter of the {orbit.name} in "
        f"“{lettering.name}”; they are {known}{hint}"
    )
