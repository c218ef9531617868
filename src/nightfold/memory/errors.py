"""What can be wrong with words: a language, a pattern or rule, a file of one's own words, a phrase."""

from nightfold.cube.errors import NightfoldError


class WordsError(NightfoldError):
    """A language without words, a pair or an option that cannot be used."""


class RuleError(WordsError):
    """A rule of one's own that cannot be read; ``column`` is the place, counted from 1."""

    def __init__(self, message: str, column: int = 1) -> None:
        super().__init__(message)
        self.column = column


class OwnWordsError(WordsError):
    """A file of own words that cannot be read; nothing of it was taken.

    ``problems`` are all the sentences found, the first of which is the error's text.
    """

    def __init__(self, *problems: str) -> None:
        more = len(problems) - 1
        super().__init__(problems[0] + (f" (and {more} more)" if more > 0 else ""))
        self.problems = problems


def cut(text: str, most: int = 24) -> str:
    """A text that was given, short enough for a sentence; what is cut off is told by “…”."""
    return text if len(text) <= most else f"{text[:most]}…"
