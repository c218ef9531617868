"""The one family of errors a person can act on: each carries a single clear sentence."""


class NightfoldError(ValueError):
    """Something the user gave cannot be used; ``str(error)`` says what, where, and what would be right."""


class NotationError(NightfoldError):
    """A sequence of turns cannot be read.

    ``token`` is the offending piece of text and ``column`` its place, counted from 1.
    """

    def __init__(self, message: str, token: str = "", column: int = 1) -> None:
        super().__init__(message)
        self.token = token
        self.column = column


class NetError(NightfoldError):
    """A net text cannot be read as a picture of a cube at all (its shape or its symbols are wrong)."""


class ImpossibleCubeError(NightfoldError):
    """The colours are readable but no sequence of turns leads to such a cube."""


class GeometryError(NightfoldError):
    """A sticker, piece, orbit or size that the cube does not have."""
