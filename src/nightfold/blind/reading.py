"""Reading a cube: tracing every orbit into the letters a solver remembers.

Tracing follows the cube as a solver does.  The buffer shows a sticker; where that belongs is the first target; the
piece met there shows the next, and so on until the buffer's own piece turns up, which closes the cycle.  If anything
is unsolved then, the solver breaks into it at a sticker of their choice, and the new cycle runs until a sticker of
the piece it was entered at turns up: that closing target is shot to as well.  A piece that sits in its place but
flipped or twisted is simply a cycle of that one piece.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from nightfold.blind.errors import ReadingError
from nightfold.blind.hold import colour_name
from nightfold.blind.lettering import Lettering
from nightfold.cube.geometry import Orbit, geometry
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.state import Cube


@dataclass(frozen=True, slots=True)
class BreakPoint:
    """A moment in tracing where the buffer's own piece is home and something is still unsolved.

    ``options`` are all stickers one may break into, each with the targets that its cycle would add; ``before`` are the
    targets so far.
    """

    orbit: Orbit
    options: dict[int, tuple[int, ...]]
    before: tuple[int, ...] = ()


#: Chooses one of the options of a break point.
Chooser = Callable[[BreakPoint], int]


@dataclass(frozen=True, slots=True)
class Target:
    """One letter of a memo: the sticker shot to, its symbol, and why it follows.

    ``role`` is ``first`` (shown by the buffer), ``next``, ``break`` (chosen) or ``close`` (back at the piece broken
    into).
    """

    sticker: int
    symbol: str
    role: str
    why: str


@dataclass(frozen=True, slots=True)
class Cycle:
    """One figure of a reading.

    ``kind`` is ``buffer`` (it starts at the buffer), ``break`` (entered by choice) or ``in place`` (one piece flipped
    or twisted where it belongs).  ``options`` are the stickers the break could have been made into, empty for the
    buffer's cycle; ``end`` says how the cycle ends, empty where its last letter has said so.
    """

    kind: str
    targets: tuple[Target, ...]
    options: tuple[int, ...]
    end: str

    @property
    def letters(self) -> tuple[str, ...]:
        """The cycle's letters in order."""
        return tuple(target.symbol for target in self.targets)


@dataclass(frozen=True, slots=True)
class OrbitReading:
    """What tracing one orbit yields.

    ``in_place`` are the stickers at which pieces flipped or twisted in place were entered (the buffer piece is never
    among them; ``buffer_turned`` tells that it sits at home flipped or twisted).  ``memos`` counts the different
    right memos: break choices of any sticker of any unsolved piece, in any order; 0 where pieces look alike, since
    their number is not counted.
    """

    orbit: Orbit
    buffer: int
    cycles: tuple[Cycle, ...]
    in_place: tuple[int, ...]
    buffer_turned: bool
    memos: int

    @property
    def targets(self) -> tuple[Target, ...]:
        """All targets in order."""
        return tuple(target for cycle in self.cycles for target in cycle.targets)

    @property
    def letters(self) -> tuple[str, ...]:
        """All letters in order."""
        return tuple(target.symbol for target in self.targets)

    @property
    def odd(self) -> bool:
        """True when the number of letters is odd."""
        return len(self.targets) % 2 == 1

    @property
    def breaks(self) -> int:
        """How many times tracing broke into a new piece."""
        return sum(cycle.kind != "buffer" for cycle in self.cycles)


# --- choosing breaks ---------------------------------------------------------------------------------------


def lowest_letter(lettering: Lettering) -> Chooser:
    """Break into the unsolved sticker whose symbol sorts first."""

    def choose(point: BreakPoint) -> int:
        symbols = lettering.of(point.orbit)
        return min(point.options, key=lambda sticker: symbols[sticker])

    return choose


def fewest_turns(lettering: Lettering, cost: Callable[[int], int]) -> Chooser:
    """Break where the plan takes the fewest turns; ``cost(target)`` are the turns of one target.

    Every cycle's targets depend on its own break alone, so the cheapest entry of each is the cheapest of all.
    Equal costs fall to the cheapest cycle first and then to the lowest letter.
    """

    def choose(point: BreakPoint) -> int:
        symbols = lettering.of(point.orbit)
        return min(
            point.options,
            key=lambda sticker: (sum(map(cost, point.options[sticker])), symbols[sticker]),
        )

    return choose


class Chosen:
    """Breaks into ``stickers`` one after the other, and by ``otherwise`` once they are used up.

    Tracing raises ReadingError for a sticker that is not unsolved at its break.  ``left`` are the stickers that no
    break has asked for yet; they are used up, so each plan needs a new one.
    """

    def __init__(self, stickers: Sequence[int], otherwise: Chooser) -> None:
        self.left = list(stickers)
        self.otherwise = otherwise

    def __call__(self, point: BreakPoint) -> int:
        """The next of the stickers, without asking whether it may be chosen: tracing does."""
        return self.left.pop(0) if self.left else self.otherwise(point)


# --- tracing -----------------------------------------------------------------------------------------------


class _Tracer:
    """The abstract swaps of one orbit: what is seen at the buffer, and what a shot does."""

    def __init__(self, cube: Cube, orbit: Orbit, buffer: int) -> None:
        geo = geometry(cube.size)
        self.orbit = orbit
        self.buffer = buffer
        self.area = cube.size * cube.size
        self.seen = {place: cube.stickers[place] for place in orbit.stickers}
        self.piece_of = {sticker: geo.piece_of(sticker) for sticker in orbit.stickers}

    def belongs(self, sticker: int, place: int) -> bool:
        """Whether ``sticker`` may stay at ``place``: its own home, or any of its face's where pieces look alike."""
        return sticker == place or (self.orbit.alike and sticker // self.area == place // self.area)

    def home_of(self, sticker: int, prefer: Callable[[int], Any]) -> int:
        """The place a sticker is shot to."""
        if not self.orbit.alike:
            return sticker
        same = [p for p in self.orbit.stickers if self.belongs(sticker, p) and not self.is_right(p)]
        return min((p for p in same if p != self.buffer), key=prefer, default=self.buffer)

    def is_right(self, place: int) -> bool:
        return self.belongs(self.seen[place], place)

    def buffer_is_home(self) -> bool:
        """The buffer's own piece is in the buffer's place, whichever way round."""
        seen = self.seen[self.buffer]
        return seen in self.piece_of[self.buffer] or self.belongs(seen, self.buffer)

    def shoot(self, target: int) -> None:
        """Exchange the buffer and the target, sticker to sticker."""
        here, there = self.piece_of[self.buffer], self.piece_of[target]
        at, to = here.index(self.buffer), there.index(target)
        kinds = len(here)
        for step in range(kinds):
            a, b = here[(at + step) % kinds], there[(to + step) % kinds]
            self.seen[a], self.seen[b] = self.seen[b], self.seen[a]

    def unsolved(self) -> list[int]:
        """Every sticker of every piece but the buffer's that is not right."""
        own = self.piece_of[self.buffer]
        return [place for place in self.orbit.stickers if place not in own and not self.is_right(place)]

    def breakable(self) -> list[int]:
        """Every unsolved sticker that a break may go to.

        Where pieces look alike, exchanging the buffer's with one of its own colour would change nothing, for ever.
        """
        if not self.orbit.alike:
            return self.unsolved()
        return [place for place in self.unsolved() if not self.belongs(self.seen[place], self.buffer)]

    def run_from(self, entry: int, prefer: Callable[[int], Any]) -> tuple[int, ...]:
        """The targets of the cycle entered at ``entry``, the closing one included, without making any shot."""
        if self.orbit.alike:
            return self._run_alike(entry, prefer)
        run = [entry]
        while (target := self.seen[run[-1]]) not in self.piece_of[entry]:
            run.append(target)
        return (*run, target)

    def _run_alike(self, entry: int, prefer: Callable[[int], Any]) -> tuple[int, ...]:
        trial = object.__new__(_Tracer)
        trial.__dict__.update(self.__dict__, seen=dict(self.seen))
        run = [entry]
        trial.shoot(entry)
        while not trial.buffer_is_home():
            run.append(trial.home_of(trial.seen[trial.buffer], prefer))
            trial.shoot(run[-1])
        return tuple(run)


def trace_orbit(
    cube: Cube,
    orbit: Orbit,
    buffer: int,
    lettering: Lettering,
    choose: Chooser | None = None,
    scheme: Sequence[str] = STANDARD_COLOURS,
) -> OrbitReading:
    """Trace one orbit of a cube whose stickers are numbered by the present hold.

    ``choose`` picks the breaks (the lowest letter if None); ``scheme`` are the colours of the faces U, L, F, R, B, D,
    used in the sentences.  Raises ReadingError when ``choose`` picks a sticker that may not be broken into.
    """
    symbols = lettering.of(orbit)
    tell = _Teller(cube, orbit, symbols, scheme)
    choose = choose or lowest_letter(lettering)
    tracer = _Tracer(cube, orbit, buffer)
    buffer_turned = tracer.seen[buffer] != buffer and tracer.buffer_is_home() and not orbit.alike
    memos = _count_memos(tracer)
    cycles: list[Cycle] = []

    # The buffer's own cycle.
    targets: list[Target] = []
    place = buffer
    while not tracer.buffer_is_home():
        shown = tracer.seen[buffer]
        target = tracer.home_of(shown, symbols.__getitem__)
        why = tell.shown(place, shown, target)
        targets.append(Target(target, symbols[target], "next" if targets else "first", why))
        tracer.shoot(target)
        place = target
    if targets:
        cycles.append(Cycle("buffer", tuple(targets), (), tell.buffer_found(place, tracer.seen[buffer])))

    # Break until nothing is unsolved.
    in_place: list[int] = []
    while breakable := tracer.breakable():
        options = {sticker: tracer.run_from(sticker, symbols.__getitem__) for sticker in breakable}
        before = tuple(target.sticker for cycle in cycles for target in cycle.targets)
        entry = choose(BreakPoint(orbit, options, before))
        if entry not in options:
            raise ReadingError(tell.no_break(entry, tuple(options), buffer))
        run = options[entry]
        alone = len(run) == 2 and run[1] in tracer.piece_of[entry] and not orbit.alike
        if alone:
            in_place.append(entry)
        targets = [Target(entry, symbols[entry], "break", tell.broken_into(entry, alone))]
        tracer.shoot(entry)
        place = entry
        for target in run[1:]:
            shown = tracer.seen[buffer]
            closing = target in tracer.piece_of[entry] and not orbit.alike
            why = tell.closing(place, shown, target, alone) if closing else tell.shown(place, shown, target)
            targets.append(Target(target, symbols[target], "close" if closing else "next", why))
            tracer.shoot(target)
            place = target
        kind = "in place" if alone else "break"
        cycles.append(Cycle(kind, tuple(targets), tuple(options), "" if alone else tell.closed(entry, run[-1])))
    return OrbitReading(orbit, buffer, tuple(cycles), tuple(in_place), buffer_turned, memos)


def trace_targets(cube: Cube, orbit: Orbit, buffer: int, lettering: Lettering) -> tuple[int, ...]:
    """The targets that ``trace_orbit`` finds with its usual breaks, and nothing else of the reading, much faster."""
    if orbit.alike:
        return tuple(target.sticker for target in trace_orbit(cube, orbit, buffer, lettering).targets)
    geo, symbols = geometry(cube.size), lettering.of(orbit)
    seen = cube.stickers
    solved = set(geo.piece_of(buffer))
    targets: list[int] = []
    # What a shot brings to the buffer is what its target showed.
    target = seen[buffer]
    while target not in solved:
        targets.append(target)
        target = seen[target]
    for one in targets[:]:
        solved.update(geo.piece_of(one))
    for entry in sorted(orbit.stickers, key=symbols.__getitem__):
        if entry in solved or seen[entry] == entry:
            continue
        piece = geo.piece_of(entry)
        target = entry
        while True:
            targets.append(target)
            solved.update(geo.piece_of(target))
            target = seen[target]
            if target in piece:
                break
        targets.append(target)
    return tuple(targets)


def _count_memos(tracer: _Tracer) -> int:
    """How many different right memos the orbit has.

    With m unsolved cycles apart from the buffer's, of k1 … km pieces that can each sit o ways, the cycles can be
    taken in m! orders and each entered at any of its o·k stickers: m! · Π o·ki.
    """
    if tracer.orbit.alike:
        return 0
    own = tracer.piece_of[tracer.buffer]
    # The buffer's own cycle is entered at the buffer alone, so its pieces offer no choice.
    place = tracer.seen[tracer.buffer]
    passed = set(own)
    while place not in own:
        passed.update(tracer.piece_of[place])
        place = tracer.seen[place]
    entries = []
    for start in tracer.unsolved():
        if start in passed:
            continue
        run = tracer.run_from(start, lambda sticker: sticker)[:-1]
        stickers = {s for target in run for s in tracer.piece_of[target]}
        passed |= stickers
        entries.append(len(stickers))
    return math.factorial(len(entries)) * math.prod(entries)


class _Teller:
    """The sentences of a reading; each names places, colours and letters."""

    def __init__(self, cube: Cube, orbit: Orbit, symbols: Mapping[int, str], scheme: Sequence[str]) -> None:
        self.geo = geometry(cube.size)
        self.orbit = orbit
        self.symbols = symbols
        self.scheme = scheme
        self.area = cube.size * cube.size
        self.turned = "flipped" if orbit.turns_of_piece == 2 else "twisted"

    def colour(self, sticker: int) -> str:
        return colour_name(self.scheme[sticker // self.area])

    def look(self, sticker: int) -> str:
        """What the eye sees of a sticker: its colour and the colours beside it."""
        beside = [self.colour(other) for other in self.geo.cubie_of(sticker) if other != sticker]
        return self.colour(sticker) + (f" (beside {' and '.join(beside)})" if beside else "")

    def shown(self, place: int, shown: int, target: int) -> str:
        name = self.geo.names
        return f"{name[place]} shows {self.look(shown)}, which belongs at {name[target]}: {self.symbols[target]}."

    def buffer_found(self, place: int, seen: int) -> str:
        name = self.geo.names
        if self.orbit.alike:
            return f"{name[place]} shows {self.look(seen)}, the buffer's own colour: this cycle is closed."
        return f"{name[place]} shows the buffer's own piece, {self.look(seen)}: this cycle is closed."

    def broken_into(self, entry: int, alone: bool) -> str:
        piece = self.geo.piece_name(entry)
        state = f"is in its place but {self.turned}" if alone else "is unsolved"
        into = f"{self.geo.names[entry]}, {self.symbols[entry]}"
        if self.orbit.alike:
            return f"The buffer has its own colour and {piece} {state}: break into {into}."
        return f"The buffer's own piece is home and {piece} {state}: break into {into}."

    def closing(self, place: int, shown: int, target: int, alone: bool) -> str:
        name = self.geo.names
        if alone:
            return f"{name[place]} shows {self.look(shown)} of the same piece: {self.symbols[target]} turns it right."
        return (
            f"{name[place]} shows {self.look(shown)}, which belongs at {name[target]} on the piece broken into: "
            f"{self.symbols[target]} closes the cycle."
        )

    def closed(self, entry: int, last: int) -> str:
        if self.orbit.alike:
            return "The cycle is closed, since the buffer has its own colour again."
        same = "the sticker" if entry == last else "another sticker of the piece"
        return f"The cycle is closed at {same} it was entered at."

    def no_break(self, entry: int, options: tuple[int, ...], buffer: int) -> str:
        listed = " ".join(self.symbols[sticker] for sticker in options[:24])
        name = self.geo.names[entry] if 0 <= entry < len(self.geo.names) else str(entry)
        symbol = self.symbols.get(entry)
        said = f"{name} ({symbol})" if symbol else name
        if entry in self.geo.piece_of(buffer):
            reason = "is on the buffer piece"
        elif symbol and self.orbit.alike:
            reason = "is already solved at that moment or shows the buffer's own colour"
        elif symbol:
            reason = "is already solved at that moment"
        else:
            reason = f"is no sticker of the {self.orbit.name}"
        return f"{self.orbit.name}: a break cannot go to {said}, which {reason}; it can go to {listed}"
