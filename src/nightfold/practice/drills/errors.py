"""What can be wrong with a drill: an exercise that is not there, a question that cannot be marked."""

from __future__ import annotations

from nightfold.cube.errors import NightfoldError


class DrillError(NightfoldError):
    """An exercise, a subject, a level, a kept question or an answer that cannot be used."""
