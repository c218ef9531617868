"""The clock of an attempt in the terminal: hold a key to start, press it to cover the eyes, press it to stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nightfold.cli.keys import ENTER, ESCAPE, SPACE, Keys, now_ms
from nightfold.practice.results import clock
from nightfold.practice.timing import HeldKey, MeantKey, Phase, Timing

if TYPE_CHECKING:
    from rich.console import Console

#: What ends a line, and what begins it anew.
_CLEAR_LINE = "\r\x1b[2K"
_TOLD = {
    Phase.MEMORISING: "memorise  {}   space: eyes covered   {} q: give up",
    Phase.EXECUTING: "solve  {}   any key: stop   {} b: blindfold off again",
}


@dataclass(slots=True)
class ClockFace:
    """The clock as one line of the terminal that is written again and again.

    ``blank`` shows no running time and leaves the screen empty while eyes are covered; ``bell`` rings at every change.
    ``limit_ms`` stops the clock by itself.  What gives up or takes the blindfold off again must be held; a short touch
    of it while the eyes are covered stops the clock, like any other key.  ``changed`` is called at every change, and
    has returned before anything else happens: what it keeps is kept.
    """

    keys: Keys
    out: Console
    changed: Callable[[Timing], None]
    blank: bool = False
    bell: bool = False
    limit_ms: int | None = None
    watch: Callable[[], int] = now_ms
    _uncover: MeantKey = field(default_factory=MeantKey)
    _give_up: MeantKey = field(default_factory=MeantKey)

    def run(self, by_enter: bool = False, timing: Timing | None = None) -> Timing | None:
        """Run the clock from its start, or from where ``timing`` stands, to its end; None where it was not started.

        Without ``by_enter`` space must be held and let go of; with it keys are pressed twice that otherwise are held.
        """
        timing = timing or Timing()
        self._uncover, self._give_up = MeantKey(by_enter), MeantKey(by_enter)
        try:
            if timing.phase is Phase.READY:
                started = self._by_enter() if by_enter else self._by_holding()
                if started is None:
                    return None
                timing = self._change(timing.press(started))
            while timing.phase is not Phase.STOPPED:
                timing = self._next(timing)
        finally:
            self._line("")
        return timing

    def _by_enter(self) -> int | None:
        self._line("Enter starts the clock, q leaves it")
        while True:
            key = self.keys.read(0.5)
            if key == ENTER:
                return self.watch()
            if key in ("q", ESCAPE):
                return None

    def _by_holding(self) -> int | None:
        held = HeldKey()
        told = ""
        while True:
            key = self.keys.read(0.02)
            now = self.watch()
            if key == SPACE:
                held.touch(now)
            elif key in ("q", ESCAPE):
                return None
            if (started := held.started(now)) is not None:
                return started
            line = "let go to start" if held.armed(now) else "hold the space bar until it says so; q leaves it"
            if line != told:
                self._line(line)
                told = line

    def _next(self, timing: Timing) -> Timing:
        """Wait for a key or for a tenth of a second, and say what came of it."""
        key = self.keys.read(0.1)
        now = self.watch()
        started = timing.started or 0
        if self.limit_ms is not None and now - started >= self.limit_ms:
            return self._change(timing.give_up(started + self.limit_ms))
        if timing.phase is Phase.MEMORISING:
            if key in (SPACE, ENTER):
                return self._change(timing.press(now))
            if key in ("q", ESCAPE) and self._give_up.touch(now):
                return self._change(timing.give_up(now))
        elif (slip := self._uncover.slip(now)) is not None:
            return self._change(timing.press(slip))
        elif key == "b":
            if self._uncover.touch(now):
                return self._change(timing.uncover())
        elif key is not None:
            return self._change(timing.press(now if self._uncover.since is None else self._uncover.since))
        self._show(timing, now)
        return timing

    def _change(self, timing: Timing) -> Timing:
        self.changed(timing)
        self._uncover.forget()
        if self.bell:
            self.out.bell()
        if self.blank and timing.phase is Phase.EXECUTING:
            self.out.clear()
        return timing

    def _show(self, timing: Timing, now: int) -> None:
        how = "twice" if self._uncover.twice else "hold"
        if self.blank:
            self._line("" if timing.phase is Phase.EXECUTING else _TOLD[timing.phase].format("", how))
            return
        total = timing.total_ms(now) or 0
        shown = clock(total // 100 * 10)[:-1] if total < 600_000 else clock(total // 10)
        self._line(_TOLD[timing.phase].format(shown, how))

    def _line(self, text: str) -> None:
        self.out.file.write(_CLEAR_LINE + text[: max(0, self.out.width - 1)])
        self.out.file.flush()
