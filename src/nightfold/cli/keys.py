"""Single keys from a terminal, without waiting for Enter."""

from __future__ import annotations

import os
import select
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from nightfold.cube.errors import NightfoldError

#: What some keys send.
SPACE, ENTER, ESCAPE = " ", "\r", "\x1b"


class Keys:
    """The keys of a terminal; made by ``keys()``."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def read(self, seconds: float) -> str | None:
        """The next key, or None when none was pressed within so many seconds.

        Keys that send several characters, such as arrows, are returned whole.  Raises KeyboardInterrupt for Ctrl-C and
        for the end of the input.
        """
        ready, _, _ = select.select([self._handle], [], [], seconds)
        if not ready:
            return None
        sent = os.read(self._handle, 1)
        if sent in (b"", b"\x03", b"\x04"):
            raise KeyboardInterrupt
        if sent == b"\x1b":
            while select.select([self._handle], [], [], 0.005)[0]:
                sent += os.read(self._handle, 1)
        while sent[0] >= 0xC0 and len(sent) < _length(sent[0]) and select.select([self._handle], [], [], 0.05)[0]:
            sent += os.read(self._handle, 1)
        key = sent.decode("utf-8", "replace")
        return ENTER if key == "\n" else key

    def drain(self) -> None:
        """Forget what was pressed already."""
        while select.select([self._handle], [], [], 0)[0] and os.read(self._handle, 1024):
            pass


def _length(first: int) -> int:
    """How many bytes a character of UTF-8 has that begins with ``first``."""
    return 2 if first < 0xE0 else 3 if first < 0xF0 else 4


@contextmanager
def keys() -> Iterator[Keys]:
    """The keys of the terminal at standard input, one by one and not shown, until the block ends.

    Raises NightfoldError where there is no such terminal.
    """
    try:
        import termios
        import tty

        handle = sys.stdin.fileno()
        before = termios.tcgetattr(handle)
    except (ImportError, OSError, ValueError, termios.error):
        raise NightfoldError(
            "there is no terminal here whose keys could start and stop a clock; time it otherwise and give --time"
        ) from None
    try:
        tty.setcbreak(handle)
        quiet = termios.tcgetattr(handle)
        quiet[3] &= ~(termios.ISIG | termios.ECHO)
        termios.tcsetattr(handle, termios.TCSADRAIN, quiet)
        yield Keys(handle)
    finally:
        termios.tcsetattr(handle, termios.TCSADRAIN, before)


def now_ms() -> int:
    """Milliseconds on a clock that never jumps."""
    return time.monotonic_ns() // 1_000_000
