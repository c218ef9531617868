"""Dealing: scrambles that lead to random states, plain or with asked-for features.

- 3x3x3 and 2x2x2: every state is equally likely (WCA 4b3, 4b3b), and so is every state that has the wanted features;
  the scramble is the inverse of a solution found by the two-phase solver or the full table.
- 4x4x4 to 7x7x7: random moves (WCA 4b3e asks no more of 5x5x5 and larger; a 4x4x4 dealt so is close to a random state,
  but not one by construction, and every deal says so).
- blind: the cube ends in a uniformly random orientation (WCA 4b3a), reached by wide turns at the end.
"""

from __future__ import annotations

import math
import random
import secrets
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any

from nightfold.blind.features import ANY, Features
from nightfold.blind.lettering import Lettering, letters_by_orbit
from nightfold.blind.method import DEFAULT, Method, load_method
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.states import chance, possible, sample
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import geometry, rotation_permutations
from nightfold.cube.notation import FACE_LETTERS, Turn, check_size, parse_turns, write
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube

#: Random moves for each size.  For 5x5x5 and larger, the numbers competitions have used for long (common practice, no
#: source); for 4x4x4 enough that neither letters nor blocks tell its cubes from random states (see docs/dealing.md).
RANDOM_MOVES = {4: 80, 5: 60, 6: 80, 7: 100}
#: So many cubes at least are looked at before it is said how rare a wish is.
SURVEYED = 500
#: Seeds are smaller than this, either side of 0.
SEED_LIMIT = 1 << 64
#: So many fitting cubes are looked at for one deal before the wish is called too rare.
_MOST_TRIES = 20_000

#: Told how many cubes were looked at and how many fitted; returns False to stop.
Progress = Callable[[int, int], bool]


class DealError(NightfoldError):
    """A wish that cannot be dealt."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a dealt cube shall have besides countable features: these are found by trying.

    ``use`` and ``avoid`` are letters that must or must not be among those of an orbit, as ``(orbit, letter)``;
    ``most_turns`` is the greatest number of turns the plan may take.
    """

    use: tuple[tuple[str, str], ...] = ()
    avoid: tuple[tuple[str, str], ...] = ()
    most_turns: int | None = None

    def __bool__(self) -> bool:
        return bool(self.use or self.avoid or self.most_turns is not None)


def parse_wish(method: Method, use: str | None = None, avoid: str | None = None, most_turns: int | None = None) -> Wish:
    """A wish from text such as ``edges=K Q;corners=B`` for the letters; None wishes for nothing.

    Raises LetteringError for text that names no orbit of the method, DealError for text without letters.
    """
    orbits = tuple(way.orbit.name for way in method.ways)
    read: dict[str, tuple[tuple[str, str], ...]] = {}
    for what, text in (("use", use), ("avoid", avoid)):
        read[what] = tuple(letters_by_orbit(text or "", orbits, what))
        if text is not None and not read[what]:
            raise DealError(f"{what} “{text[:40]}” names no letters; write an orbit, =, and letters, as in edges=K Q")
    return Wish(read["use"], read["avoid"], most_turns)


@dataclass(frozen=True, slots=True)
class Deal:
    """One dealt scramble.

    ``turns`` lead from a solved cube, white up and green in front, to ``cube``; the last ``orienting`` of them turn it
    into its random orientation.  ``random_state`` tells that every state was equally likely; otherwise the turns were
    random.
    """

    turns: tuple[Turn, ...]
    cube: Cube
    orienting: int
    random_state: bool

    def __str__(self) -> str:
        return write(self.turns)


@dataclass(slots=True)
class Dealer:
    """Deals scrambles one after the other; the same seed gives the same scrambles.

    ``chance`` is how likely a random state has the wanted countable features (exact).  Where a further ``wish`` is
    found by trying, ``tried`` and ``fitted`` count the cubes looked at so far, and ``estimate`` tells what that says of
    the chance of meeting such a cube.  ``effort`` is how far a shorter scramble is looked for, as for ``solve``; 0
    takes the first one, which is sooner there and a turn or so longer.
    """

    size: int = 3
    features: Features = ANY
    wish: Wish = Wish()
    blind: bool = False
    method: Method | None = None
    lettering: Lettering | str | None = None
    seed: int | None = None
    progress: Progress | None = None
    effort: int | None = None
    tried: int = 0
    fitted: int = 0
    rng: random.Random = field(init=False)

    def __post_init__(self) -> None:
        check_size(self.size)
        if self.seed is not None and abs(self.seed) >= SEED_LIMIT:
            raise DealError("the seed is too large; any whole number below 2 to the power 64 will do")
        self.rng = random.Random(self.seed) if self.seed is not None else secrets.SystemRandom()
        if self.size != 3 and (self.features != ANY or self.wish):
            raise DealError(f"features are dealt on the 3x3x3 only, not on the {self.size}x{self.size}x{self.size}")
        self.method = self.method or load_method(DEFAULT)
        possible(self.features)
        self._check_wish()

    @property
    def chance(self) -> Fraction:
        """The exact chance that a random state has the countable features."""
        return chance(self.features)

    def estimate(self) -> tuple[float, float, float]:
        """The chance of a cube with everything wanted, and its 95% interval (Wilson), after what was tried.

        Raises DealError when nothing was tried yet.
        """
        if not self.tried:
            raise DealError("nothing was dealt yet, so there is nothing to estimate from")
        base, n, z = float(self.chance), self.tried, 1.959964
        share = self.fitted / n
        middle = (share + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
        return base * share, base * max(0.0, middle - half), base * min(1.0, middle + half)

    def survey(self, least: int = SURVEYED) -> None:
        """Look at further cubes until ``least`` were looked at, so that the estimate says something after few deals.

        Does nothing where nothing is found by trying.
        """
        while self.wish and self.tried < least:
            self._look(sample(self.features, self.rng, self.method))

    def chance_to_dict(self) -> dict[str, Any]:
        """What is known of the chance of such a cube, as plain data.

        ``chance`` is the exact one of the countable features, as a fraction; ``estimate`` is there once cubes were
        looked at for the rest.  Empty for 4 layers and more, whose states nobody counts here.
        """
        if self.size > 3:
            return {}
        data: dict[str, Any] = {"chance": str(self.chance)}
        if self.tried:
            value, low, high = self.estimate()
            counts = {"tried": self.tried, "fitted": self.fitted}
            data["estimate"] = {"chance": value, "low": low, "high": high, **counts}
        return data

    @property
    def said(self) -> str:
        """What kind of scrambles these are and, where something was wished for, how likely such a cube is."""
        if self.size > 3:
            kind = f"{RANDOM_MOVES[self.size]} random moves"
            if self.size == 4:
                kind += " (close to a random state, but not one by construction)"
        else:
            kind = "random states"
        if self.blind:
            kind += " in random orientations"
        if self.size != 3 or (self.tried == 0 and self.features == ANY):
            return kind
        said = f"{kind} among the cubes that fit; such a cube is met"
        if not self.tried:
            return f"{said} {_one_in(self.chance)}"
        value, low, high = self.estimate()
        if low <= 0:
            return f"{said} less than once in {1 / high:,.0f}"
        said += f" about once in {1 / value:,.0f}"
        return f"{said} (between {1 / high:,.0f} and {1 / low:,.0f}, from {self.tried:,} looked at)"

    def __iter__(self) -> Iterator[Deal]:
        while True:
            yield self.deal()

    def deal(self) -> Deal:
        """The next scramble.  Raises DealError when what is wanted turns out too rare."""
        if self.size > 3:
            return self._random_moves()
        if self.size == 2:
            return self._pocket()
        cube = self._fitting()
        ending = self.rng.choice(endings(3)) if self.blind else ()
        # The cube stands turned by the ending; turned back it must be the one that was drawn.
        turned = Cube.from_turns(ending)
        behind = turned.then(_rotation_back(turned))
        from nightfold.search.solver import EFFORT, scramble_for

        effort = EFFORT if self.effort is None else self.effort
        opening = cancel(scramble_for(cube.then(behind.inverse()), effort=effort))
        return self._made(opening, ending, random_state=True)

    # --- what fits ---

    def _fitting(self) -> Cube:
        tries = 0
        while True:
            cube = sample(self.features, self.rng, self.method)
            if self.features == ANY and _within_one_turn(cube):
                continue  # WCA 4b3: at least two turns from solved
            if not self.wish:
                return cube
            tries += 1
            if self._look(cube):
                return cube
            if tries >= _MOST_TRIES:
                raise DealError(
                    f"what is wanted is too rare: of {self.tried:,} cubes with the countable features "
                    f"{self.fitted or 'none'} had the rest; ask for less"
                )

    def _look(self, cube: Cube) -> bool:
        """Whether the cube grants the wish; counts it, and tells of it now and then."""
        grants = self._grants(cube)
        self.tried += 1
        self.fitted += grants
        if self.progress is not None and self.tried % 200 == 0 and not self.progress(self.tried, self.fitted):
            raise KeyboardInterrupt
        return grants

    def _grants(self, cube: Cube) -> bool:
        assert self.method is not None
        plan = make_plan(cube, self.method, self.lettering)
        letters = {(reading.orbit.name, letter) for reading in plan.orbits for letter in reading.letters}
        wish = self.wish
        if wish.most_turns is not None and len(plan.solution) > wish.most_turns:
            return False
        return letters.issuperset(wish.use) and letters.isdisjoint(wish.avoid)

    def _check_wish(self) -> None:
        """Refuse at once what no cube can have."""
        if not self.wish:
            return
        assert self.method is not None
        plan: Plan = make_plan("", self.method, self.lettering)
        geo = geometry(3)
        for orbit, letter in (*self.wish.use, *self.wish.avoid):
            sticker = plan.lettering.sticker(orbit, letter)
            buffer = self.method.way(orbit).buffer
            if (orbit, letter) in self.wish.use and sticker in geo.piece_of(buffer):
                raise DealError(
                    f"{letter} ({geo.names[sticker]}) is on the buffer piece of the {orbit}, so no memo has it"
                )
            if (orbit, letter) in self.wish.use and (orbit, letter) in self.wish.avoid:
                raise DealError(f"{letter} of the {orbit} is both wanted and not wanted")
        if self.wish.most_turns is not None and self.wish.most_turns < 0:
            raise DealError(f"a plan cannot have at most {self.wish.most_turns} turns; 0 is the least")

    # --- other sizes ---

    def _pocket(self) -> Deal:
        from nightfold.search.pocket import scramble_for

        corners = geometry(2).orbit("corners").pieces
        held = next(n for n, piece in enumerate(corners) if geometry(2).piece_name(piece[0]) == "DBL")
        others = [number for number in range(len(corners)) if number != held]
        while True:
            # Every place of the corners but one that stays, and every way they can be twisted there.
            placed = dict(zip(others, self.rng.sample(others, len(others)), strict=True))
            twists = [self.rng.randrange(3) for _ in others[1:]]
            turned = dict(zip(others, [*twists, -sum(twists) % 3], strict=True))
            pieces = [(placed.get(place, held), turned.get(place, 0)) for place in range(len(corners))]
            opening = scramble_for(Cube.from_pieces({"corners": pieces}, 2))
            if len(opening) >= 4:  # WCA 4b3b
                break
        ending = parse_turns(self.rng.choice(list(rotation_permutations(2))), 2) if self.blind else ()
        return self._made(opening, ending, random_state=True)

    def _random_moves(self) -> Deal:
        turns: list[Turn] = []
        widest = self.size // 2
        axes = ("UD", "LR", "FB")
        run: set[tuple[str, int]] = set()
        while len(turns) < RANDOM_MOVES[self.size]:
            face = self.rng.choice(FACE_LETTERS)
            inner = self.rng.randint(1, widest)
            axis = next(pair for pair in axes if face in pair)
            if turns and turns[-1].letter not in axis:
                run = set()
            # On an even cube the middle wide turns of opposite faces move the same layers against each other.
            layer = (axis if 2 * inner == self.size else face, inner)
            if layer in run:
                continue
            run.add(layer)
            turns.append(Turn(face, 1, inner, self.rng.choice((1, 2, -1))))
        ending = self.rng.choice(endings(self.size)) if self.blind else ()
        return self._made(tuple(turns), ending, random_state=False)

    def _made(self, opening: Sequence[Turn], ending: Sequence[Turn], *, random_state: bool) -> Deal:
        turns = (*opening, *ending)
        return Deal(turns, Cube.from_turns(turns, self.size), len(ending), random_state)


def _one_in(chance: Fraction) -> str:
    """``once in 16.1 (chance 123/1980)``; long fractions in decimal."""
    number = 1 / chance
    shown = f"{float(number):,.1f}" if number < 1000 else f"{int(number):,}"
    exact = str(chance) if len(str(chance)) <= 40 else f"{float(chance):.6g}"
    return f"once in {shown} (chance {exact})"


@cache
def endings(size: int) -> tuple[tuple[Turn, ...], ...]:
    """Wide turns that bring a cube of 3 layers or more into each of its 24 orientations, none first."""
    wide = "" if size == 3 else str(size - 1)
    first = ("", *(f"{wide}{stem}" for stem in ("Rw", "Rw2", "Rw'", "Fw", "Fw'")))
    second = ("", *(f"{wide}{stem}" for stem in ("Uw", "Uw2", "Uw'")))
    return tuple(parse_turns(f"{a} {b}", size) for a in first for b in second)


def _rotation_back(cube: Cube) -> Cube:
    """The rotation that brings the centres of ``cube`` home."""
    centres = geometry(3).fixed_centres.values()
    for rotation in rotation_permutations(3).values():
        turned = cube.then(Cube(3, rotation))
        if all(turned.stickers[centre] == centre for centre in centres):
            return Cube(3, rotation)
    raise AssertionError("24 rotations cover every orientation")


def _within_one_turn(cube: Cube) -> bool:
    """True for the solved cube and the 18 cubes one face turn away from it."""
    solved = Cube.solved()
    faces = (Turn(face, 1, 1, amount) for face in FACE_LETTERS for amount in (1, 2, -1))
    return cube == solved or any(cube == solved.apply((turn,)) for turn in faces)
