"""The native join of slips against plain enumeration: every single slip, pair and triple turned one by one."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

import pytest

from nightfold.coach.mistakes import coded, packed_rotations, turn_table
from nightfold.cube.geometry import compose, geometry, rotation_permutations
from nightfold.cube.notation import Turn, parse_turns
from nightfold.cube.state import Cube
from nightfold.search.native import core, pack
from tests.search.states import random_state

CENTRES = tuple(geometry(3).fixed_centres.values())
Name = tuple[int, int, int]


def home(cube: Cube) -> Cube:
    for held in rotation_permutations(3).values():
        turned = compose(cube.stickers, held)
        if all(turned[centre] == centre for centre in CENTRES):
            return Cube(3, turned)
    raise AssertionError


@dataclass(frozen=True)
class Part:
    """A stretch of the meant turns replaced; ``name`` is what the join calls the slip, ``second`` a split's end."""

    name: Name
    start: int
    end: int
    made: tuple[Turn, ...]
    second: bool = False


@dataclass(frozen=True)
class Question:
    """A few turns with a few slips."""

    meant: tuple[Turn, ...]
    edits: list[tuple[int, int, tuple[Turn, ...], float]]
    splits: list[tuple[int, int, tuple[Turn, ...], int, int, tuple[Turn, ...], float]]
    alternatives: dict[str, list[tuple[str, float]]]
    strays: list[tuple[str, float]]

    def slips(self) -> list[tuple[float, tuple[Part, ...]]]:
        """Every single slip, as the parts it replaces."""
        found: list[tuple[float, tuple[Part, ...]]] = []
        for number, (start, end, made, weight) in enumerate(self.edits):
            found.append((weight, (Part((0, start, number), start, end, made),)))
        for place, turn in enumerate(self.meant):
            for number, (text, weight) in enumerate(self.alternatives.get(str(turn), [])):
                found.append((weight, (Part((1, place, number), place, place + 1, parse_turns(text)),)))
        for place in range(len(self.meant) + 1):
            for number, (text, weight) in enumerate(self.strays):
                found.append((weight, (Part((2, place, number), place, place, parse_turns(text)),)))
        for number, (start, end, made, start2, end2, made2, weight) in enumerate(self.splits):
            name = (3, start, number)
            found.append((weight, (Part(name, start, end, made), Part(name, start2, end2, made2, True))))
        return found

    def turned(self, parts: tuple[Part, ...]) -> Cube:
        turns: list[Turn] = []
        at = 0
        for part in parts:
            turns += [*self.meant[at : part.start], *part.made]
            at = part.end
        return Cube.from_turns((*turns, *self.meant[at:]))

    def desk(self) -> core.InquestDesk:
        turns, numbers, packed = turn_table()
        choices = [
            [
                (numbers[parse_turns(text)[0]] if text else -1, weight)
                for text, weight in self.alternatives.get(str(turn), [])
            ]
            for turn in turns
        ]
        return core.InquestDesk(
            packed,
            coded(self.meant),
            [(start, end, coded(made), weight) for start, end, made, weight in self.edits],
            [(a, b, coded(made), c, d, coded(made2), weight) for a, b, made, c, d, made2, weight in self.splits],
            choices,
            [(numbers[parse_turns(text)[0]], weight) for text, weight in self.strays],
            packed_rotations(),
        )


def orders(parts: list[Part]) -> Iterator[tuple[Part, ...]]:
    """Every order in which parts can be turned: each behind the one before, a split's end behind its beginning."""
    for order in permutations(parts):
        if any(a.end > b.start for a, b in pairwise(order)):
            continue
        begun: set[Name] = set()
        if all(part.name in begun if part.second else not begun.add(part.name) for part in order):  # type: ignore[func-returns-value]
            yield order


def parted(order: tuple[Part, ...]) -> list[Part]:
    """The ends of split slips that have others between their parts."""
    return [part for at, part in enumerate(order) if part.second and order[at - 1].name != part.name]


def enumerated(question: Question) -> dict[Cube, dict[frozenset[Name], float]]:
    """For each cube that up to three slips can lead to, the sets of slips that do, none with a slip to spare."""
    found: dict[Cube, dict[frozenset[Name], float]] = {}
    meant = home(question.turned(()))
    slips = [(weight, parts) for weight, parts in question.slips() if home(question.turned(parts)) != meant]

    def covered(order: tuple[Part, ...]) -> bool:
        """The join looks between the parts of one split slip, if both leave the centres where they are."""
        ends = parted(order)
        firsts = [part for part in order for end in ends if part.name == end.name and not part.second]
        return len(ends) <= 1 and all(
            question.turned((part,)).stickers[centre] == question.turned(()).stickers[centre]
            for part in (*ends, *firsts)
            for centre in CENTRES
        )

    for count in (1, 2, 3):
        for chosen in combinations(slips, count):
            names = frozenset(parts[0].name for _, parts in chosen)
            weight = sum(weight for weight, _ in chosen)
            for order in orders([part for _, parts in chosen for part in parts]):
                if covered(order):
                    found.setdefault(home(question.turned(order)), {})[names] = weight
    return {
        cube: {names: weight for names, weight in sets.items() if not any(other < names for other in sets)}
        for cube, sets in found.items()
        if cube != meant
    }


def asked(
    desk: core.InquestDesk, question: Question, final: Cube, most: int, threads: int
) -> dict[frozenset[Name], float]:
    target = home(question.turned(()).inverse().then(final))
    told, _, _, _ = searched(desk, pack(target), most, 100_000, 100_000, threads, False)
    found = {}
    for weight, made in told:
        names = frozenset((kind, place, number) for kind, place, number in made if kind != 4)
        found[names] = weight
    return found


Answer = tuple[list[tuple[float, list[Name]]], tuple[int, int, int], tuple[float, list[Name]], int]


def searched(
    desk: core.InquestDesk,
    target: bytes,
    slips: int,
    most: int = 400,
    triple_singles: int = 20_000,
    threads: int = 1,
    nearest: bool = True,
) -> Answer:
    """The answer of a search that nobody stops."""
    answer = desk.search(target, slips, most, triple_singles, threads, nearest)
    assert answer is not None
    return answer


def some_turns(dice: random.Random, count: int) -> tuple[Turn, ...]:
    return tuple(dice.choice(turn_table()[0]) for _ in range(count))


def drawn(seed: int) -> Question:
    """Slices, wide turns and rotations are all among what is meant and what slips in."""
    dice = random.Random(seed)
    meant = some_turns(dice, 4)
    length = len(meant)

    def weight() -> float:
        return -float(dice.randrange(1, 64)) / 4

    def stretch(least: int, most: int) -> tuple[int, int]:
        start = dice.randint(least, most)
        return start, dice.randint(start, most)

    edits = [(*stretch(0, length), some_turns(dice, dice.randint(0, 2)), weight()) for _ in range(5)]
    splits = []
    for _ in range(2):
        start, end = stretch(0, 2)
        start2, end2 = stretch(max(end, 2), length)
        splits.append((start, end, some_turns(dice, 1), start2, end2, some_turns(dice, dice.randint(0, 1)), weight()))
    alternatives = {str(turn): [("", weight()), (str(some_turns(dice, 1)[0]), weight())] for turn in meant}
    strays = [(text, weight()) for text in dice.sample(["R", "U2", "F'", "x", "M", "Dw"], 2)]
    return Question(meant, edits, splits, alternatives, strays)


@pytest.mark.parametrize("seed", range(4))
def test_every_combination_is_found_and_nothing_else(seed: int) -> None:
    question = drawn(seed)
    desk = question.desk()
    known = enumerated(question)
    dice = random.Random(seed)
    cubes = dice.sample(sorted(known, key=lambda cube: cube.stickers), 200)
    cubes += [max(known, key=lambda cube: len(known[cube]))]
    for cube in cubes:
        final = cube.then(Cube(3, dice.choice(list(rotation_permutations(3).values()))))
        for most in (1, 2, 3):
            wanted = {names: weight for names, weight in known[cube].items() if len(names) <= most}
            assert asked(desk, question, home(final), most, dice.choice((1, 2))) == pytest.approx(wanted)
    for _ in range(20):
        final = random_state(dice)
        assert bool(asked(desk, question, final, 3, 1)) == (final in known)


def test_counts_of_what_was_covered() -> None:
    question = drawn(7)
    desk = question.desk()
    meant = home(question.turned(()))
    slips = [parts for _, parts in question.slips() if home(question.turned(parts)) != meant]
    assert desk.singles == len(slips)
    spans = [(parts[0].start, parts[-1].end) for parts in slips]
    pairs = sum(a[1] <= b[0] for a in spans for b in spans)
    triples = sum(a[1] <= b[0] and b[1] <= c[0] for a in spans for b in spans for c in spans)
    target = pack(random_state(random.Random(1)))
    assert searched(desk, target, 3)[1] == (len(slips), pairs, triples)
    assert searched(desk, target, 1)[1] == (len(slips), 0, 0)


def test_answers_do_not_depend_on_threads_and_can_be_cut_short() -> None:
    question = drawn(2)
    desk = question.desk()
    known = enumerated(question)
    cube = max(known, key=lambda cube: len(known[cube]))
    target = pack(home(question.turned(()).inverse().then(cube)))
    whole = searched(desk, target, 3, 100_000, 100_000, 1)
    assert len(whole[0]) > 5
    for threads in (1, 2, 3):
        assert searched(desk, target, 3, 100_000, 100_000, threads) == whole
    assert searched(desk, target, 3, 5)[0] == whole[0][:5]


def test_nearest_leaves_the_fewest_pieces_wrong() -> None:
    question = drawn(3)
    desk = question.desk()
    dice = random.Random(3)
    meant = question.turned(())

    def wrong(one: Cube, other: Cube) -> int:
        pieces = [(cube.pieces("edges") + cube.pieces("corners")) for cube in (one, other)]
        return sum(a != b for a, b in zip(*pieces, strict=True))

    for _ in range(20):
        goal = home(meant.inverse().then(random_state(dice)))
        told, _, near, left = searched(desk, pack(goal), 1)
        assert not told
        # All are seen from the meant end, where each piece has its own number.
        ends = [meant, *(question.turned(parts) for _, parts in question.slips())]
        assert left == min(wrong(home(meant.inverse().then(end)), goal) for end in ends)
        assert len({name[2] for name in near[1]}) <= 1


@pytest.mark.parametrize(
    "change",
    [
        {"edits": [(0, 9, b"\0", -1.0)]},
        {"edits": [(2, 1, b"\0", -1.0)]},
        {"edits": [(0, 1, b"\xff", -1.0)]},
        {"edits": [(0, 1, b"", float("nan"))]},
        {"splits": [(0, 2, b"", 1, 2, b"", -1.0)]},
        {"strays": [(-1, -1.0)]},
        {"strays": [(54, -1.0)]},
        {"meant": b"\x36"},
        {"alternatives": [[]]},
        {"rotations": packed_rotations()[:-32]},
        {"turns": b"\xff" * 32 * 54},
    ],
)
def test_what_does_not_fit_is_refused(change: dict[str, object]) -> None:
    given: dict[str, object] = {
        "turns": turn_table()[2],
        "meant": b"\0\1",
        "edits": [],
        "splits": [],
        "alternatives": [[] for _ in range(54)],
        "strays": [],
        "rotations": packed_rotations(),
    }
    core.InquestDesk(**given)  # type: ignore[arg-type]
    with pytest.raises(ValueError):
        core.InquestDesk(**(given | change))  # type: ignore[arg-type]
    desk = core.InquestDesk(**given)  # type: ignore[arg-type]
    for target in (b"", bytes(32), b"\xff" * 32):
        with pytest.raises(ValueError):
            searched(desk, target, 3)
