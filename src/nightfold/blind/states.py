"""How many states of a 3x3x3 have given features, exactly, and uniformly random ones among them.

States are counted by how their cycles lie.  An orbit of n pieces that sit o ways, traced from a buffer, has a *shape*:
the length L of the buffer's cycle and, where L = 1, whether the buffer's piece is turned; and of the other n - L pieces
how many are solved (s), turned in their places (t), and out of their places (m), the last in c cycles.  Tracing gives

    letters = (L - 1) + m + c + 2t,    breaks = c + t,

and the number of letters is even exactly where the permutation is.  The states of a shape are counted as

    (n-1)!/(n-L)!        orders of the L - 1 pieces that share the buffer's cycle, which starts at the buffer,
    (n-L)!/(s! t! m!)    choices of who of the others is solved, turned, out of place,
    d(m, c)              permutations of m pieces into c cycles of two or more (associated Stirling numbers),
    ways to turn         as follows.

A piece in a cycle of two or more may lie any of o ways.  A piece turned in its place (the buffer's too, where it is)
lies one of o - 1.  All turns together must add up to 0 modulo o.  Where f >= 1 pieces lie freely, the sum settles how
the last of them lies, so with k turned in place there are (o-1)^k o^(f-1) ways.  Where none does, the k turns must add
up to 0 by themselves, for which the roots of unity give z(k) = ((o-1)^k + (o-1)(-1)^k)/o ways.

Edges (n = 12, o = 2) and corners (n = 8, o = 3) go together where both permutations are even or both odd.  Derived
here; docs/odds.md tells more.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import accumulate, product
from math import factorial

from nightfold.blind.features import ANY, NOUNS, FeatureError, Features, Range
from nightfold.blind.hold import Hold, rotation_to
from nightfold.blind.method import Method, load_method
from nightfold.cube.geometry import Permutation, compose, geometry, inverse, rotation_permutations
from nightfold.cube.net import listed
from nightfold.cube.state import Cube

#: Pieces of an orbit, and in how many ways each of them sits.
Kind = tuple[int, int]
EDGES: Kind = (12, 2)
CORNERS: Kind = (8, 3)
#: What is at each place of an orbit: the piece and how far it is turned, as ``Cube.pieces`` gives it.
Placed = tuple[tuple[int, int], ...]


# --- one orbit ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shape:
    """How the cycles of an orbit lie, seen from its buffer, and how many states lie so.

    ``length`` is that of the buffer's cycle and ``buffer_turned`` tells that its piece is turned in its place.  Of the
    other pieces ``solved`` are right, ``turned`` are turned in place and ``moved`` lie in ``cycles`` cycles of two or
    more.
    """

    length: int
    buffer_turned: bool
    solved: int
    turned: int
    moved: int
    cycles: int
    states: int

    @property
    def letters(self) -> int:
        """How many letters tracing gives."""
        return self.length - 1 + self.moved + self.cycles + 2 * self.turned

    @property
    def breaks(self) -> int:
        """How many times tracing breaks into a new piece."""
        return self.cycles + self.turned

    @property
    def buffer(self) -> str:
        """Where the buffer's piece is: ``home``, ``turned`` (at home) or ``away``."""
        return "away" if self.length > 1 else "turned" if self.buffer_turned else "home"

    @property
    def right(self) -> int:
        """How many pieces are solved, the buffer's included."""
        return self.solved + (self.buffer == "home")


@cache
def arrangements(moved: int, cycles: int) -> int:
    """Permutations of ``moved`` things in exactly ``cycles`` cycles, none of which is shorter than two.

    The associated Stirling numbers of the first kind.  The last thing stands behind one of the others, either in a
    cycle that has two or more without it, or alone with that other.
    """
    if moved == 0 or cycles <= 0:
        return int(moved == 0 and cycles == 0)
    if moved == 1:
        return 0
    return (moved - 1) * (arrangements(moved - 1, cycles) + arrangements(moved - 2, cycles - 1))


def all_turned(pieces: int, ways: int) -> int:
    """In how many ways ``pieces`` pieces are all turned, each by 1 to ``ways`` - 1, so that it adds up to nothing."""
    sign = -1 if pieces % 2 else 1
    return (int((ways - 1) ** pieces) + sign * (ways - 1)) // ways


@cache
def shapes(kind: Kind, lawful: bool = True) -> tuple[Shape, ...]:
    """Every shape of an orbit that has states; with ``lawful`` False also those that only the sum of turns forbids."""
    n, o = kind
    found = []
    for length in range(1, n + 1):
        orders = factorial(n - 1) // factorial(n - length)
        others = n - length
        for moved in range(others + 1):
            for turned in range(others - moved + 1):
                solved = others - moved - turned
                chosen = factorial(others) // (factorial(solved) * factorial(turned) * factorial(moved))
                for cycles in range(moved // 2 + 1):
                    for buffer_turned in (False, True)[: 1 + (length == 1)]:
                        free = moved + (length if length > 1 else 0)
                        still = turned + buffer_turned
                        ways = (o - 1) ** still * o ** (free - 1) if free else all_turned(still, o)
                        states = orders * chosen * arrangements(moved, cycles) * ways
                        if states or (not lawful and arrangements(moved, cycles)):
                            found.append(Shape(length, buffer_turned, solved, turned, moved, cycles, states))
    return tuple(found)


# --- edges and corners together ----------------------------------------------------------------------------

#: What the wishes for both orbits together ask of one: its letters and breaks.
Class = tuple[int, int]


def _within(number: int, wish: Range | None) -> bool:
    return wish is None or wish[0] <= number <= wish[1]


def _fitting(
    every: Iterable[Shape],
    letters: Range | None,
    breaks: Range | None,
    turned: Range | None,
    right: Range | None,
    parity: bool | None,
    buffer: frozenset[str] | None,
) -> list[Shape]:
    return [
        shape
        for shape in every
        if _within(shape.letters, letters)
        and _within(shape.breaks, breaks)
        and _within(shape.turned, turned)
        and _within(shape.right, right)
        and (parity is None or shape.letters % 2 == parity)
        and (buffer is None or shape.buffer in buffer)
    ]


def _fitting_edges(f: Features, lawful: bool = True) -> list[Shape]:
    every = shapes(EDGES, lawful)
    return _fitting(every, f.edge_letters, f.edge_breaks, f.flipped, f.solved_edges, f.parity, f.edge_buffer)


def _fitting_corners(f: Features, lawful: bool = True) -> list[Shape]:
    every = shapes(CORNERS, lawful)
    return _fitting(every, f.corner_letters, f.corner_breaks, f.twisted, f.solved_corners, f.parity, f.corner_buffer)


def _class(shape: Shape) -> Class:
    return shape.letters, shape.breaks


def _classes(found: Iterable[Shape]) -> dict[Class, int]:
    counted: dict[Class, int] = defaultdict(int)
    for shape in found:
        counted[_class(shape)] += shape.states
    return counted


def _go_together(f: Features, edges: Class, corners: Class) -> bool:
    letters, breaks = edges[0] + corners[0], edges[1] + corners[1]
    return letters % 2 == 0 and _within(letters, f.letters) and _within(breaks, f.breaks)


class States:
    """All states that have certain features, counted; get them from ``states_with``.

    ``edges`` and ``corners`` are the shapes of each orbit, each with the number of states in which it occurs;
    ``together`` counts the states by letters and breaks of both orbits; ``count`` counts them all.
    """

    def __init__(self, features: Features) -> None:
        self.features = features
        edges, corners = _fitting_edges(features), _fitting_corners(features)
        edge_classes, corner_classes = _classes(edges), _classes(corners)
        beside_edges: dict[Class, int] = defaultdict(int)
        beside_corners: dict[Class, int] = defaultdict(int)
        together: dict[Class, int] = defaultdict(int)
        for a, many in edge_classes.items():
            for b, others in corner_classes.items():
                if _go_together(features, a, b):
                    beside_edges[a] += others
                    beside_corners[b] += many
                    together[a[0] + b[0], a[1] + b[1]] += many * others
        self.edges = tuple((s, s.states * beside_edges[_class(s)]) for s in edges if _class(s) in beside_edges)
        self.corners = tuple((s, s.states * beside_corners[_class(s)]) for s in corners if _class(s) in beside_corners)
        self.together = dict(sorted(together.items()))
        self.count = sum(together.values())
        self._up_to = list(accumulate(weight for _, weight in self.edges))
        self._beside: dict[Class, tuple[list[Shape], list[int]]] = {}

    def draw(self, rng: random.Random) -> tuple[Shape, Shape]:
        """A shape of edges and one of corners, as likely as they have states together."""
        edges = self.edges[bisect_right(self._up_to, rng.randrange(self.count))][0]
        key = _class(edges)
        if key not in self._beside:
            beside = [shape for shape, _ in self.corners if _go_together(self.features, key, _class(shape))]
            self._beside[key] = beside, list(accumulate(shape.states for shape in beside))
        corners, up_to = self._beside[key]
        return edges, corners[bisect_right(up_to, rng.randrange(up_to[-1]))]


@lru_cache(maxsize=256)
def states_with(features: Features = ANY) -> States:
    """The states that have ``features``, none where that is impossible."""
    return States(features)


def chance(features: Features) -> Fraction:
    """The share of all states that have ``features``, exactly; 0 where no state has."""
    return Fraction(states_with(features).count, states_with(ANY).count)


# --- why not -----------------------------------------------------------------------------------------------


def why_impossible(features: Features) -> str | None:
    """Why no cube has ``features``, in one sentence; None where some have.

    The sentence names as few wishes as contradict each other, the law that forbids them where one does, and what the
    last of them could be beside the others.
    """
    if states_with(features).count:
        return None
    clash = features
    for name in features.wishes:
        if not states_with(less := clash.only([other for other in clash.wishes if other != name])).count:
            clash = less
    *others, last = clash.wishes
    rest = clash.only(others)
    parts = [law] if (law := _law(clash)) else []
    parts.append((f"with {rest} " if others else "") + _choice(last, states_with(rest)))
    return f"no cube has {clash}: " + "; ".join(parts)


def possible(features: Features) -> States:
    """The states that have ``features``.  Raises FeatureError, with the reason, where there are none."""
    found = states_with(features)
    if not found.count:
        raise FeatureError(why_impossible(features) or "")
    return found


def _law(clash: Features) -> str:
    """The law without which there would be such cubes."""
    edges, corners = _fitting_edges(clash), _fitting_corners(clash)
    if clash.parity is not None and (clash.edge_letters or clash.corner_letters or clash.letters):
        meant = "parity means that both orbits have an odd number of letters"
        return meant if clash.parity else "without parity both orbits have an even number of letters"
    if any(
        _within(a.letters + b.letters, clash.letters) and _within(a.breaks + b.breaks, clash.breaks)
        for a in edges
        for b in corners
    ):
        return "edge letters and corner letters are both even or both odd"
    if _any_together(clash, _fitting_edges(clash, lawful=False), corners):
        return "flips add up to an even number, so no edge is ever flipped alone"
    if _any_together(clash, edges, _fitting_corners(clash, lawful=False)):
        return "twists add up to a multiple of three, so no corner is ever twisted alone"
    return ""


def _any_together(f: Features, edges: list[Shape], corners: list[Shape]) -> bool:
    return any(_go_together(f, a, b) for a in _classes(edges) for b in _classes(corners))


def _choice(name: str, found: States) -> str:
    """What the feature ``name`` can be in the states ``found``: ``there can be 0 to 6 solved corners``."""
    if name == "parity":
        return f"there is {'always' if next(iter(found.edges))[0].letters % 2 else 'never'} parity"
    edges, corners = (tuple(shape for shape, _ in side) for side in (found.edges, found.corners))
    side = edges if name.startswith("edge") or name in ("flipped", "solved_edges") else corners
    if name.endswith("buffer"):
        return f"the {name.replace('_', ' ')} can only be {listed(sorted({shape.buffer for shape in side}), 'or')}"
    if name in ("letters", "breaks"):
        numbers = {key[name == "breaks"] for key in found.together}
    elif name.endswith("letters"):
        numbers = {shape.letters for shape in side}
    elif name.endswith("breaks"):
        numbers = {shape.breaks for shape in side}
    elif name in ("flipped", "twisted"):
        numbers = {shape.turned for shape in side}
    else:
        numbers = {shape.right for shape in side}
    return f"there can only be {_spoken(sorted(numbers))} {NOUNS[name][max(numbers) != 1]}"


def _spoken(numbers: list[int]) -> str:
    """``3``, ``0 or 1``, ``0 to 10 or 12``, ``an even number (0 to 14) of``."""
    low, high = numbers[0], numbers[-1]
    if len(numbers) > 3 and numbers == list(range(low, high + 1, 2)):
        return f"an {'odd' if low % 2 else 'even'} number ({low} to {high}) of"
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [[f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run] for run in runs]
    return listed([word for run in words for word in run], "or")


# --- random states -----------------------------------------------------------------------------------------


def sample(features: Features, rng: random.Random, method: Method | None = None) -> Cube:
    """A random cube, white up and green in front, each that has ``features`` equally likely.

    The features hold when the cube is read by ``method`` (the default one if None), with its buffers and in its hold.
    ``rng`` may be any ``random.Random``; the cube depends on nothing else.  Raises FeatureError where no cube has them.
    """
    method = method or _default_method()
    cube = Cube.from_pieces(sample_pieces(features, rng, buffer_pieces(method)))
    turned, back = _turned_to(method.hold)
    if not turned:
        return cube
    return Cube(3, compose(compose(turned, cube.stickers), back))


def sample_pieces(features: Features, rng: random.Random, buffers: tuple[int, int]) -> dict[str, Placed]:
    """The pieces of a random cube, as ``Cube.from_pieces`` takes them, each that has ``features`` equally likely.

    ``buffers`` are the numbers of the buffer pieces of edges and corners in ``Orbit.pieces``.  Raises FeatureError
    where no cube has the features.
    """
    edges, corners = possible(features).draw(rng)
    return {
        "edges": sample_orbit(edges, EDGES, buffers[0], rng),
        "corners": sample_orbit(corners, CORNERS, buffers[1], rng),
    }


def buffer_pieces(method: Method) -> tuple[int, int]:
    """The numbers in ``Orbit.pieces`` of the pieces on which a method's buffers are, edges and corners."""
    geo = geometry(3)
    edge, corner = (
        geo.orbit(name).pieces.index(geo.piece_of(method.way(name).buffer)) for name in ("edges", "corners")
    )
    return edge, corner


@cache
def _default_method() -> Method:
    return load_method()


@cache
def _turned_to(hold: Hold) -> tuple[Permutation, Permutation]:
    """The rotation from scrambling position to ``hold``, and back; empty where they are the same."""
    rotation = rotation_permutations(3)[rotation_to(hold, Cube.solved(3))]
    return (rotation, inverse(rotation)) if rotation != tuple(range(54)) else ((), ())


def sample_orbit(shape: Shape, kind: Kind, buffer: int, rng: random.Random) -> Placed:
    """What is at each place of an orbit of the given shape, all its states equally likely."""
    n, o = kind
    others = [piece for piece in range(n) if piece != buffer]
    rng.shuffle(others)
    at = shape.length - 1
    cycle = [buffer, *others[:at]]
    at += shape.solved
    still = others[at : at + shape.turned]
    moved = others[at + shape.turned :]
    pieces, turned = list(range(n)), [0] * n

    def close(run: list[int]) -> None:
        for place, piece in zip(run, (*run[1:], run[0]), strict=True):
            pieces[place] = piece

    close(cycle)
    left = moved
    for cycles in range(shape.cycles, 0, -1):
        # The order is random already, so the first piece's cycle may take those that follow it.
        lengths = _first_cycle(len(left), cycles)
        length = 2 + bisect_right(lengths, rng.randrange(lengths[-1]))
        close(left[:length])
        left = left[length:]

    if shape.buffer_turned:
        still.append(buffer)
    free = moved if shape.length == 1 else [*moved, *cycle]
    if free:
        drawn = rng.randrange((o - 1) ** len(still) * o ** (len(free) - 1))
        for place in still:
            drawn, step = divmod(drawn, o - 1)
            turned[place] = step + 1
        for place in free[1:]:
            drawn, turned[place] = divmod(drawn, o)
        turned[free[0]] = -sum(turned) % o
    else:
        for place, step in zip(still, rng.choice(_all_turned(len(still), o)), strict=True):
            turned[place] = step
    return tuple(zip(pieces, turned, strict=True))


@cache
def _first_cycle(moved: int, cycles: int) -> list[int]:
    """Of ``moved`` pieces in ``cycles`` cycles: states in which a given piece's cycle is of length 2, up to 3, …

    Its cycle of length k is an order of k - 1 of the other pieces, and the rest lie in one cycle less.
    """
    return list(
        accumulate(
            factorial(moved - 1) // factorial(moved - length) * arrangements(moved - length, cycles - 1)
            for length in range(2, moved + 1)
        )
    )


@cache
def _all_turned(pieces: int, ways: int) -> list[tuple[int, ...]]:
    """What ``all_turned`` counts, written out: for corners at most 86 lists."""
    return [turns for turns in product(range(1, ways), repeat=pieces) if sum(turns) % ways == 0]
