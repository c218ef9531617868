"""The clock of an attempt: it starts with memorising, notes when the eyes are covered, and stops at the end.

Memorising is part of the time (WCA B1a).  Times are milliseconds on whatever clock the caller reads; only their
differences count.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum

#: A key must be held so long before letting go of it starts the clock.
HOLD_MS = 500
#: So long without a repetition, a held key has been let go of.
RELEASE_MS = 150
#: Where no key repeats, one that must be meant is pressed twice within this time.
TWICE_MS = 2_000
#: Within this time a key that is held is repeated for the first time.
_FIRST_REPEAT_MS = 900


class Phase(StrEnum):
    """Where an attempt stands."""

    READY = "ready"
    MEMORISING = "memorising"
    EXECUTING = "executing"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Timing:
    """When an attempt started, when the eyes were covered, and when it stopped; None what is still to come."""

    started: int | None = None
    covered: int | None = None
    stopped: int | None = None

    @property
    def phase(self) -> Phase:
        """Where the attempt stands."""
        if self.started is None:
            return Phase.READY
        if self.stopped is not None:
            return Phase.STOPPED
        return Phase.MEMORISING if self.covered is None else Phase.EXECUTING

    def press(self, now: int) -> Timing:
        """The next moment: start, then eyes covered, then stop; a stopped clock stays as it is.

        A moment before the last one is taken to be that.
        """
        match self.phase:
            case Phase.READY:
                return replace(self, started=now)
            case Phase.MEMORISING:
                return replace(self, covered=max(now, self.started or 0))
            case Phase.EXECUTING:
                return replace(self, stopped=max(now, self.covered or 0))
        return self

    def uncover(self) -> Timing:
        """The blindfold comes off again, as it may until the first turn (WCA B4): memorising goes on."""
        return replace(self, covered=None) if self.phase is Phase.EXECUTING else self

    def give_up(self, now: int) -> Timing:
        """Stop at once, in whatever phase; a clock that does not run stays as it is."""
        if self.phase in (Phase.MEMORISING, Phase.EXECUTING):
            return replace(self, stopped=max(now, self.covered or self.started or 0))
        return self

    def memo_ms(self, now: int) -> int | None:
        """How long memorising took, or has taken until ``now``; None before the start."""
        if self.started is None:
            return None
        end = next(moment for moment in (self.covered, self.stopped, now) if moment is not None)
        return max(0, end - self.started)

    def total_ms(self, now: int) -> int | None:
        """How long all of it took, or has taken until ``now``; None before the start."""
        if self.started is None:
            return None
        return max(0, (now if self.stopped is None else self.stopped) - self.started)


@dataclass(slots=True)
class HeldKey:
    """Tells from the repetitions of a key whether it is held, long enough, and let go of.

    A terminal says when a key is pressed and repeats it while it is held, but not when it is let go of.  So a key
    counts as let go of when no repetition has come for RELEASE_MS; the clock then started at the last one, a few
    hundredths of a second before the finger rose, never after.  A single touch starts nothing.
    """

    _first: int | None = field(default=None)
    _last: int = 0
    _repeated: bool = False

    def touch(self, now: int) -> None:
        """The key was pressed, or repeated."""
        if self._first is None or now - self._last > self._patience():
            self._first, self._repeated = now, False
        elif now > self._last:
            self._repeated = True
        self._last = now

    def armed(self, now: int) -> bool:
        """Whether letting go now would start the clock."""
        return self._first is not None and self._repeated and now - self._first >= HOLD_MS

    def started(self, now: int) -> int | None:
        """When the clock started, once the key has been let go of; else None."""
        if self._first is None or now - self._last <= self._patience():
            return None
        started = self._last if self._repeated and self._last - self._first >= HOLD_MS else None
        self._first = None
        return started

    def let_go(self, now: int) -> bool:
        """Whether the key was pressed and has been let go of by now."""
        return self._first is not None and now - self._last > self._patience()

    def _patience(self) -> int:
        return RELEASE_MS if self._repeated else _FIRST_REPEAT_MS


@dataclass(slots=True)
class MeantKey:
    """A key that takes something back or ends it: a hand that cannot see must not do so by a touch.

    It has to be held, like the one that starts the clock; where keys do not repeat, ``twice``, to be pressed twice.
    """

    twice: bool = False
    #: When it was touched, while it is open whether that was meant.
    since: int | None = None
    _held: HeldKey = field(default_factory=HeldKey)

    def touch(self, now: int) -> bool:
        """The key was pressed, or repeated; whether it is meant now."""
        if self.slip(now) is not None:
            self.forget()
        again, self.since = self.since is not None, now if self.since is None else self.since
        self._held.touch(now)
        return again if self.twice else self._held.armed(now)

    def slip(self, now: int) -> int | None:
        """When the key was touched, once it is sure that it was not meant; else None."""
        over = self.since is not None and (now - self.since > TWICE_MS if self.twice else self._held.let_go(now))
        return self.since if over else None

    def forget(self) -> None:
        """As if it had not been touched."""
        self.since, self._held = None, HeldKey()
