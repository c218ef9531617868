"""Reading what a learner wrote: letters, forgivingly, but never guessing."""

from __future__ import annotations

import unicodedata

from nightfold.blind.lettering import Lettering
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import Orbit

#: What may stand between letters without meaning anything.
_BETWEEN = set(" \t\r\n,;.|/-–_·()[]")
#: No memo of one orbit is anywhere near so long.
MAX_LETTERS = 60


class MemoError(NightfoldError):
    """A memo with a symbol that is not in the lettering, or one of absurd length."""


def read_memo(text: str, orbit: Orbit, lettering: Lettering) -> tuple[int, ...]:
    """The stickers that a written memo names, in order.

    Spaces, punctuation between letters, pairs or single letters and small or capital letters make no difference.
    Symbols of several characters are read longest first.  Raises MemoError for anything that is no symbol of the
    orbit's lettering, naming it and its column.
    """
    text = unicodedata.normalize("NFC", text)
    symbols = lettering.of(orbit)
    exact = {symbol: sticker for sticker, symbol in symbols.items()}
    loose: dict[str, int] = {}
    for symbol, sticker in exact.items():
        folded = symbol.casefold()
        # Where capital and small letters mean different stickers, only the exact symbol counts.
        loose[folded] = -1 if folded in loose else sticker
    longest = max(map(len, exact))
    stickers: list[int] = []
    at = 0
    while at < len(text):
        for length in range(min(longest, len(text) - at), 0, -1):
            part = text[at : at + length]
            found = exact.get(part, loose.get(part.casefold(), -1))
            if found >= 0:
                stickers.append(found)
                at += length
                break
        else:
            if text[at] not in _BETWEEN:
                listed = " ".join(sorted(exact))
                raise MemoError(
                    f"“{text[at]}” at column {at + 1} of the {orbit.name} memo is no letter of them in "
                    f"“{lettering.name}”; they are {listed}"
                )
            at += 1
        if len(stickers) > MAX_LETTERS:
            raise MemoError(f"the {orbit.name} memo has more than {MAX_LETTERS} letters, which no cube needs")
    return tuple(stickers)
