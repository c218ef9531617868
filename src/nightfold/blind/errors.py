"""What can be wrong with what a person chose: a method, a lettering, a hold, a break."""

from nightfold.cube.errors import NightfoldError


class LetteringError(NightfoldError):
    """A lettering that is missing, unreadable, has gaps or uses a symbol twice."""


class MethodError(NightfoldError):
    """A method that is missing, unreadable, or cannot work.

    ``problems`` are all the sentences found, the first of which is the error's text.
    """

    def __init__(self, *problems: str) -> None:
        more = len(problems) - 1
        note = f" (and {more} more; `nightfold method FILE` lists them)" if more > 0 else ""
        super().__init__(problems[0] + note)
        self.problems = problems


class ReadingError(NightfoldError):
    """A hold that no cube has, or a break chosen where none is possible."""
