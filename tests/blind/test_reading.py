"""Reading: cubes made to order, every break choice by brute force, and whether each reason is true."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from itertools import combinations, product

import pytest

from nightfold.blind.errors import ReadingError
from nightfold.blind.features import ANY
from nightfold.blind.hold import as_held
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.blind.plan import make_plan
from nightfold.blind.reading import (
    BreakPoint,
    Cycle,
    OrbitReading,
    fewest_turns,
    lowest_letter,
    trace_orbit,
    trace_targets,
)
from nightfold.blind.states import sample
from nightfold.cube.geometry import geometry, rotation_permutations
from nightfold.cube.state import Cube

from . import referee
from .referee import canon

GEO = geometry(3)
LETTERS = load_lettering()
FACE_TURNS = [face + suffix for face in "ULFRBD" for suffix in ("", "2", "'")]
COLOURS = dict(zip("ULFRBD", ("white", "orange", "green", "red", "blue", "yellow"), strict=True))
BUFFERS = {
    "edges": ("UR", "UF", "DF", "BU", "FL"),
    "corners": ("LUB", "UFR", "DFL", "RDB"),
}

EVERY_TURN = [("edges", 0), ("edges", 1), ("corners", 0), ("corners", 1), ("corners", 2)]


def colours(cube: Cube) -> referee.State:
    return tuple("ULFRBD"[colour] for colour in cube.colours)


def read(cube: Cube, orbit: str, buffer: str) -> OrbitReading:
    """The reading, followed by the judge from its letters alone."""
    reading = trace_orbit(cube, GEO.orbit(orbit), GEO.sticker(buffer), LETTERS)
    targets = [referee.STICKER[orbit][letter] for letter in reading.letters]
    cycles = referee.follow(colours(cube), orbit, canon(buffer), targets)
    assert [list(cycle.letters) for cycle in reading.cycles] == [
        [referee.LETTER[orbit][target] for target in cycle] for cycle in cycles
    ]
    assert reading.odd == (len(targets) % 2 == 1)
    assert reading.breaks == sum(cycle.kind != "buffer" for cycle in reading.cycles)
    return reading


def piece_number(orbit: str, sticker: str) -> int:
    return GEO.orbit(orbit).pieces.index(GEO.piece_of(GEO.sticker(sticker)))


def turned_pieces(orbit: str, turned: dict[int, int]) -> Cube:
    """All pieces in their places, some of them flipped or twisted."""
    count = len(GEO.orbit(orbit).pieces)
    return Cube.from_pieces({orbit: [(piece, turned.get(piece, 0)) for piece in range(count)]})


def cycled(orbit: str, *cycles: Sequence[tuple[int, int]]) -> Cube:
    """Pieces moved in cycles: the piece of each place goes on to the next one, turned as given there."""
    placed = [(piece, 0) for piece in range(len(GEO.orbit(orbit).pieces))]
    for cycle in cycles:
        for (place, _), (after, turn) in zip(cycle, [*cycle[1:], cycle[0]], strict=True):
            placed[after] = (place, turn)
    return Cube.from_pieces({orbit: placed})


# --- cubes made to order -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_solved(orbit: str) -> None:
    for buffer in BUFFERS[orbit]:
        reading = read(Cube.solved(), orbit, buffer)
        assert (reading.letters, reading.in_place, reading.buffer_turned, reading.memos) == ((), (), False, 1)


@pytest.mark.parametrize("buffer", BUFFERS["edges"])
def test_only_flipped_edges(buffer: str) -> None:
    """Every pair, the buffer piece included, and some fours: two letters for each flipped piece but the buffer's."""
    rng = random.Random(buffer)
    own = piece_number("edges", buffer)
    for flipped in [*combinations(range(12), 2), *(tuple(rng.sample(range(12), 4)) for _ in range(40))]:
        reading = read(turned_pieces("edges", dict.fromkeys(flipped, 1)), "edges", buffer)
        others = [piece for piece in flipped if piece != own]
        assert reading.buffer_turned == (own in flipped)
        assert len(reading.letters) == 2 * len(others)
        assert {piece_number("edges", GEO.names[s]) for s in reading.in_place} == set(others)
        assert all(cycle.kind == "in place" and len(cycle.targets) == 2 for cycle in reading.cycles)
        count = 1
        for number in range(1, len(others) + 1):
            count *= 2 * number
        assert reading.memos == count


@pytest.mark.parametrize("buffer", BUFFERS["corners"])
def test_only_twisted_corners(buffer: str) -> None:
    """All pairs and threes twisted so that turns can reach them, the buffer piece included."""
    own = piece_number("corners", buffer)
    seen = set()
    for number in (2, 3):
        for corners in combinations(range(8), number):
            for twists in product((1, 2), repeat=number):
                if sum(twists) % 3:
                    continue
                reading = read(turned_pieces("corners", dict(zip(corners, twists, strict=True))), "corners", buffer)
                others = [piece for piece in corners if piece != own]
                assert reading.buffer_turned == (own in corners)
                assert len(reading.letters) == 2 * len(others)
                assert {piece_number("corners", GEO.names[s]) for s in reading.in_place} == set(others)
                assert [target.role for target in reading.targets] == ["break", "close"] * len(others)
                seen.add((own in corners, number, twists))
    assert {twists for _, _, twists in seen} == {(1, 2), (2, 1), (1, 1, 1), (2, 2, 2)}


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_all_pieces_in_place_but_turned(orbit: str) -> None:
    turned = {piece: 1 if orbit == "edges" else 1 + piece % 2 for piece in range(len(GEO.orbit(orbit).pieces))}
    for buffer in BUFFERS[orbit]:
        reading = read(turned_pieces(orbit, turned), orbit, buffer)
        assert len(reading.in_place) == len(turned) - 1
        assert len(reading.letters) == 2 * (len(turned) - 1)
        assert reading.buffer_turned
        assert reading.cycles[0].kind == "in place"


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_one_big_cycle(orbit: str) -> None:
    rng = random.Random(orbit)
    count, kinds = len(GEO.orbit(orbit).pieces), GEO.orbit(orbit).turns_of_piece
    for buffer in BUFFERS[orbit]:
        order = rng.sample(range(count), count)
        turns = [rng.randrange(kinds) for _ in range(count - 1)]
        cycle = list(zip(order, [*turns, -sum(turns) % kinds], strict=True))
        reading = read(cycled(orbit, cycle), orbit, buffer)
        assert len(reading.letters) == count - 1
        assert [cycle.kind for cycle in reading.cycles] == ["buffer"]
        assert reading.memos == 1
        assert not reading.in_place
        assert [target.role for target in reading.targets] == ["first", *["next"] * (count - 2)]


@pytest.mark.parametrize(
    ("orbit", "turn"), [("edges", 0), ("edges", 1), ("corners", 0), ("corners", 1), ("corners", 2)]
)
def test_the_buffer_piece_is_met_either_way_round(orbit: str, turn: int) -> None:
    """The buffer's cycle ends at its own piece whatever sticker it shows; what is amiss then is read by a break."""
    kinds = GEO.orbit(orbit).turns_of_piece
    for buffer in BUFFERS[orbit]:
        own = piece_number(orbit, buffer)
        one, two, three = [piece for piece in range(4) if piece != own][:3]
        # The buffer's piece sits at `two`, and the piece of `three` is turned to make the cube possible.
        cube = cycled(orbit, [(own, 0), (two, turn), (one, 0)], [(three, -turn % kinds)])
        reading = read(cube, orbit, buffer)
        assert reading.cycles[0].kind == "buffer"
        assert len(reading.cycles[0].letters) == 2
        assert "buffer's own piece" in reading.cycles[0].end
        last = reading.cycles[0].targets[-1].sticker
        assert reading.cycles[0].end.startswith(GEO.names[last] + " shows")
        assert not reading.buffer_turned, "the buffer's piece is away, so it does not sit at home turned"
        assert len(reading.cycles) == (2 if turn else 1)
        if turn:
            assert reading.cycles[1].kind == "in place"
            assert len(reading.letters) == 4


@pytest.mark.parametrize(
    ("orbit", "turn"), [("edges", 0), ("edges", 1), ("corners", 0), ("corners", 1), ("corners", 2)]
)
def test_cycles_close_on_the_same_or_on_another_sticker(orbit: str, turn: int) -> None:
    kinds = GEO.orbit(orbit).turns_of_piece
    for buffer in BUFFERS[orbit]:
        own = piece_number(orbit, buffer)
        one, two, three, four = [piece for piece in range(5) if piece != own][:4]
        cube = cycled(orbit, [(one, 0), (two, turn), (three, 0)], [(four, -turn % kinds)])
        reading = read(cube, orbit, buffer)
        cycle = next(cycle for cycle in reading.cycles if cycle.kind == "break")
        first, last = cycle.targets[0].sticker, cycle.targets[-1].sticker
        assert len(cycle.targets) == 4
        assert GEO.piece_of(first) == GEO.piece_of(last)
        assert (first == last) == (turn == 0)
        assert (cycle.targets[0].role, cycle.targets[-1].role) == ("break", "close")
        assert ("another sticker" in cycle.end) == bool(turn)
        assert not reading.buffer_turned


def test_a_sticker_of_the_buffer_piece_other_than_the_buffer() -> None:
    """What counts is the buffer's sticker: reading from LUB and from ULB gives different letters of one cube."""
    cube = Cube.from_turns("R U F D2 L' B U")
    readings = {read(cube, "corners", buffer).letters for buffer in ("ULB", "LUB", "BUL")}
    assert len(readings) == 3


# --- by brute force ----------------------------------------------------------------------------------------------


def few_breaks(orbit: str, buffer: str, seed: str, wanted: int, most: int) -> list[str]:
    """Scrambles that have between 2 and ``most`` right memos, by the judge's count."""
    rng = random.Random(seed)
    found: list[str] = []
    while len(found) < wanted:
        scramble = " ".join(rng.choices(FACE_TURNS, k=rng.randint(2, 14)))
        number = 0
        for _ in referee.memos(referee.play(scramble), orbit, canon(buffer)):
            number += 1
            if number > most:
                break
        if 2 <= number <= most:
            found.append(scramble)
    return found


@pytest.mark.parametrize(("orbit", "buffer"), [(orbit, buffer) for orbit in BUFFERS for buffer in BUFFERS[orbit]])
def test_the_number_of_memos(orbit: str, buffer: str) -> None:
    numbers = set()
    for scramble in few_breaks(orbit, buffer, f"memos {buffer}", 25, 800):
        brute = {targets for targets, _ in referee.memos(referee.play(scramble), orbit, canon(buffer))}
        reading = read(Cube.from_turns(scramble), orbit, buffer)
        assert reading.memos == len(brute)
        assert tuple(canon(GEO.names[target.sticker]) for target in reading.targets) in brute
        numbers.add(len(brute))
    assert len(numbers) > 3


def turns_needed(method: str, orbit: str) -> dict[str, int]:
    """Turns of every target, by a breadth-first search of the tests' own over the free turns."""
    way = load_method(method).way(orbit)
    home = canon(GEO.names[way.home])
    distance, level = {home: 0}, [home]
    while level:
        deeper = []
        for place in level:
            for turn in way.free:
                before = referee.carried(place, str(turn.inverse.plain))
                if before not in distance:
                    distance[before] = distance[place] + 1
                    deeper.append(before)
        level = deeper
    return {place: 2 * far + len(str(way.algorithm).split()) for place, far in distance.items()}


@pytest.mark.parametrize("orbit", ["edges", "corners"])
@pytest.mark.parametrize("method", method_names())
def test_shortest_is_really_the_fewest_turns(method: str, orbit: str) -> None:
    buffer = GEO.names[load_method(method).way(orbit).buffer]
    needed = turns_needed(method, orbit)
    better = 0
    for scramble in few_breaks(orbit, buffer, f"shortest {method}", 30, 400):
        all_costs = [
            sum(needed[target] for target in targets)
            for targets, _ in referee.memos(referee.play(scramble), orbit, canon(buffer))
        ]
        plan = make_plan(scramble, method, breaks="shortest")
        assert sum(len(step.turns) for step in plan.steps if step.orbit == orbit) == min(all_costs)
        assert len(plan.solution) <= len(make_plan(scramble, method).solution)
        better += min(all_costs) < max(all_costs)
    assert better > 10, "on most of these cubes the choice must matter"


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_the_lowest_letter_at_each_break(orbit: str) -> None:
    """By hand of the judge: the memo whose every break is the lowest letter unsolved at that moment."""
    buffer = BUFFERS[orbit][0]
    letters = referee.LETTER[orbit]
    for scramble in few_breaks(orbit, buffer, f"lowest {orbit}", 30, 400):
        state = referee.play(scramble)
        seen, memo = referee.look(state, orbit), []
        while not referee.buffer_home(seen, canon(buffer)) or referee.unsolved(seen, canon(buffer)):
            if referee.buffer_home(seen, canon(buffer)):
                target = min(referee.unsolved(seen, canon(buffer)), key=letters.__getitem__)
            else:
                target = seen[canon(buffer)]
            memo.append(letters[target])
            referee.shoot(seen, canon(buffer), target)
        assert read(Cube.from_turns(scramble), orbit, buffer).letters == tuple(memo)


def test_what_a_chooser_is_offered() -> None:
    """Every unsolved sticker with the targets its cycle adds; choosing it adds just these."""
    offered: list[BreakPoint] = []
    rng = random.Random(11)
    several = 0

    def choose(point: BreakPoint) -> int:
        offered.append(point)
        return rng.choice(list(point.options))

    for scramble in few_breaks("edges", "UR", "offers", 20, 600):
        offered.clear()
        reading = trace_orbit(Cube.from_turns(scramble), GEO.orbit("edges"), GEO.sticker("UR"), LETTERS, choose)
        broken = [cycle for cycle in reading.cycles if cycle.kind != "buffer"]
        several += len(broken) > 1
        for cycle, point in zip(broken, offered, strict=True):
            run = tuple(target.sticker for target in cycle.targets)
            assert point.orbit.name == "edges"
            assert point.options[run[0]] == run
            assert cycle.options == tuple(point.options)
    assert several


def test_a_chooser_may_not_break_where_nothing_is_unsolved() -> None:
    cube = Cube.from_turns("M2 U M2 U2 M2 U M2")
    for wrong, reason in (
        (GEO.sticker("FL"), "already solved"),
        (GEO.sticker("RU"), "on the buffer piece"),
        (GEO.sticker("UFR"), "no sticker of the edges"),
        (999, "no sticker of the edges"),
    ):
        with pytest.raises(ReadingError, match=reason):
            trace_orbit(cube, GEO.orbit("edges"), GEO.sticker("UR"), LETTERS, lambda _, wrong=wrong: wrong)  # type: ignore[misc]


def test_fewest_turns_with_any_costs() -> None:
    """With costs drawn at random the cheapest memo is found, equal costs falling to the lower letter."""
    rng = random.Random(8)
    for scramble in few_breaks("corners", "LUB", "costs", 20, 300):
        cost = {sticker: rng.randint(1, 5) for sticker in GEO.orbit("corners").stickers}
        reading = trace_orbit(
            Cube.from_turns(scramble),
            GEO.orbit("corners"),
            GEO.sticker("LUB"),
            LETTERS,
            fewest_turns(LETTERS, cost.__getitem__),
        )
        by_name = {canon(GEO.names[sticker]): value for sticker, value in cost.items()}
        costs = [
            sum(by_name[target] for target in targets)
            for targets, _ in referee.memos(referee.play(scramble), "corners", canon("LUB"))
        ]
        assert sum(cost[target.sticker] for target in reading.targets) == min(costs)
    even = trace_orbit(
        turned_pieces("corners", {0: 1, 1: 2, 2: 1, 3: 2}),
        GEO.orbit("corners"),
        GEO.sticker("DFR"),
        LETTERS,
        fewest_turns(LETTERS, lambda sticker: 1),
    )
    assert [cycle.letters[0] for cycle in even.cycles] == [
        cycle.letters[0]
        for cycle in trace_orbit(
            turned_pieces("corners", {0: 1, 1: 2, 2: 1, 3: 2}),
            GEO.orbit("corners"),
            GEO.sticker("DFR"),
            LETTERS,
            lowest_letter(LETTERS),
        ).cycles
    ]


# --- every reason is true ----------------------------------------------------------------------------------------

_LOOK = r"(\w+) shows (\w+) \(beside (\w+)(?: and (\w+))?\)"


def check_look(held: referee.State, name: str, colour: str, beside: Sequence[str | None]) -> None:
    """The place shows this colour, and the piece there these colours beside it."""
    around = referee.ROUND[canon(name)]
    assert COLOURS[held[referee.WHERE[around[0]]]] == colour
    assert sorted(filter(None, beside)) == sorted(COLOURS[held[referee.WHERE[other]]] for other in around[1:])


def check_reasons(held: referee.State, orbit: str, buffer: str, cycles: tuple[Cycle, ...]) -> set[str]:
    """Every sentence of a reading against the colours of the cube; returns the roles met."""
    letter = referee.LETTER[orbit]
    roles = set()
    for cycle in cycles:
        place = buffer
        for target in cycle.targets:
            name, why = GEO.names[target.sticker], target.why
            roles.add(f"{cycle.kind} {target.role}")
            if target.role == "break":
                match = re.fullmatch(
                    r"The buffer's own piece is home and (\w+) (is in its place but (?:flipped|twisted)|is unsolved): "
                    r"break into (\w+), (\w)\.",
                    why,
                )
                assert match, why
                assert frozenset(match[1]) == frozenset(name)
                state = {"edges": "flipped", "corners": "twisted"}[orbit]
                assert match[2] == (f"is in its place but {state}" if cycle.kind == "in place" else "is unsolved")
                assert match[3] == name
            else:
                ending = {
                    "in place close": r" of the same piece: (\w) turns it right\.",
                    "break close": rf", which belongs at {name} on the piece broken into: (\w) closes the cycle\.",
                }.get(f"{cycle.kind} {target.role}", rf", which belongs at {name}: (\w)\.")
                match = re.fullmatch(_LOOK + ending, why)
                assert match, why
                assert match[1] == place
                check_look(held, match[1], match[2], (match[3], match[4]))
                assert referee.look(held, orbit)[canon(place)] == canon(name), "the sticker seen belongs at the target"
            assert why.endswith((f"{letter[canon(name)]}.", f"{letter[canon(name)]} turns it right.", "the cycle."))
            assert target.symbol == letter[canon(name)]
            place = name
        if cycle.kind == "buffer":
            match = re.search(r"(\w+) shows the buffer's own piece\W+(\w+) \(beside (\w+)(?: and (\w+))?\)", cycle.end)
            assert match, cycle.end
            assert match[1] == place
            check_look(held, match[1], match[2], (match[3], match[4]))
            assert referee.look(held, orbit)[canon(place)] in referee.ROUND[canon(buffer)]
    return roles


@pytest.mark.parametrize("method", method_names())
def test_every_reason_is_true(method: str) -> None:
    rng = random.Random(method)
    roles: set[str] = set()
    for hold in ("white,green", "red,yellow", "blue,orange", "green,white"):
        for _ in range(40):
            scramble = " ".join(rng.choices([*FACE_TURNS, "x", "y'", "M", "Rw", "Uw2"], k=22))
            plan = make_plan(scramble, method, hold=hold)
            held = referee.play(f"{scramble} {plan.hold}")
            # The sentences name true colours, which are those of the faces in scrambling position.
            for reading in plan.orbits:
                roles |= check_reasons(held, reading.orbit.name, GEO.names[reading.buffer], reading.cycles)
    assert roles == {"buffer first", "buffer next", "break break", "break next", "break close"} | {
        "in place break",
        "in place close",
    }


@pytest.mark.parametrize("name", method_names())
def test_targets_alone_are_those_of_the_reading(name: str) -> None:
    method = load_method(name)
    lettering = load_lettering(method.lettering, method.size)
    dice = random.Random(5)
    rotations = list(rotation_permutations(3))
    for _ in range(40):
        cube = as_held(sample(ANY, dice, method).apply(dice.choice(rotations)))
        for way in method.ways:
            read = trace_orbit(cube, way.orbit, way.buffer, lettering)
            assert trace_targets(cube, way.orbit, way.buffer, lettering) == tuple(one.sticker for one in read.targets)
