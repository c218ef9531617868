"""What is printed for a whole class: for whom, how much of it, and the number that it can be dealt again by."""

from __future__ import annotations

import secrets

from nightfold.blind.dealing import SEED_LIMIT
from nightfold.paper.press import PaperError

#: The most people that pages are printed for at once.
MOST_PEOPLE = 100
#: Numbers that are drawn for want of one have six digits: short enough to be typed again from paper.
_DRAWN = range(100_000, 1_000_000)


def read_people(text: str | None) -> tuple[str, ...]:
    """The names of those who get a page: ``Ada, Bo``, or as many without names as ``20`` says; one for None.

    Raises PaperError for no name, and for more people than can be printed for.
    """
    text = "1" if text is None else text.strip()
    if text.isascii() and text.isdigit():
        people = ("",) * min(int(text[:9]), MOST_PEOPLE + 1)
    else:
        people = tuple(name for part in text.split(",") if (name := " ".join(part.split())))
    if not people:
        raise PaperError(f"“{text[:40]}” is nobody to print for; give a number such as 20, or names with commas")
    if len(people) > MOST_PEOPLE:
        raise PaperError(f"there are pages for at most {MOST_PEOPLE} people at once; print the others apart")
    return people


def read_seed(text: str | None) -> int:
    """The number behind ``--seed``; for None one is drawn.  Raises PaperError for what is no whole number."""
    if text is None:
        return _DRAWN.start + secrets.randbelow(len(_DRAWN))
    digits = text.strip().removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= len(str(SEED_LIMIT))):
        raise PaperError(f"the seed “{text[:24]}” is no whole number; write it with digits alone, such as 7")
    return int(text)


def among(number: int, least: int, most: int, what: str) -> int:
    """``number``, if it is from ``least`` to ``most``.  Raises PaperError, which names ``what`` it counts, if not."""
    if not least <= number <= most:
        raise PaperError(f"{number} {what} cannot be printed; {least} to {most} can")
    return number
