"""What can go wrong with what is kept, each in one sentence that a person can act on."""

from __future__ import annotations

from nightfold.cube.errors import NightfoldError


class StoringError(NightfoldError):
    """Something could not be kept on disk; what was kept before is still there."""


class RecordError(NightfoldError):
    """A record holds something that cannot be kept."""


class LogbookError(NightfoldError):
    """A logbook that cannot be used as asked."""


class UnsoundError(LogbookError):
    """A logbook, or a backup of one, that is damaged."""


class NewerError(LogbookError):
    """A logbook that was written by a newer version of the program."""


class BusyError(LogbookError):
    """A logbook that another process did not let go of for long."""


class ClashError(LogbookError):
    """A record whose id belongs to another record, or to one with other content."""


class ImportingError(LogbookError):
    """A file that was not imported; ``problems`` holds one sentence for each fault, and how many more there are."""

    def __init__(self, problems: tuple[str, ...], more: int = 0) -> None:
        told = [*problems, f"and {more:,} more like these"] if more else list(problems)
        super().__init__("; ".join(told))
        self.problems = tuple(told)
