"""What can go wrong between a request and its answer, besides input that cannot be used."""

from __future__ import annotations

from nightfold.cube.errors import NightfoldError


class WebError(NightfoldError):
    """A request that is answered with a sentence; ``status`` is the HTTP status."""

    status = 422


class UnknownNameError(WebError):
    """A method or lettering that is not there."""

    status = 404


class NameTakenError(WebError):
    """A name that belongs to something that comes along and cannot be replaced or removed."""

    status = 409


class BusyError(WebError):
    """More is being computed than the machine can do at once."""

    status = 503


class TooSlowError(WebError):
    """An answer that would take longer than is waited for."""

    status = 503


class StoppedError(WebError):
    """Work that was stopped because nobody waits for it any more."""

    status = 503
