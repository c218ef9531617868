"""Reading orbits of bigger cubes: wings, midges, and centres, of which four look alike."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.errors import ReadingError
from nightfold.blind.lettering import load_lettering
from nightfold.blind.reading import BreakPoint, Chooser, OrbitReading, lowest_letter, trace_orbit
from nightfold.cube.geometry import Orbit, geometry
from nightfold.cube.state import Cube

ORBITS = [(size, orbit.name) for size in (2, 4, 5, 6, 7) for orbit in geometry(size).orbits]


def scramble(size: int, rng: random.Random) -> Cube:
    """Outer blocks of every depth, as many as mix all orbits well."""
    turns = []
    for _ in range(20 * size):
        depth = rng.randint(1, max(1, size // 2))
        wide = {1: "", 2: "w"}.get(depth, "w")
        turns.append((str(depth) if depth > 2 else "") + rng.choice("ULFRBD") + wide + rng.choice(("", "2", "'")))
    return Cube.from_turns(" ".join(turns), size)


def rings(size: int, orbit: Orbit) -> dict[int, tuple[int, ...]]:
    """The stickers of each sticker's piece, going round it from that sticker."""
    return {piece[step]: piece[step:] + piece[:step] for piece in orbit.pieces for step in range(len(piece))}


def follow(cube: Cube, orbit: Orbit, reading: OrbitReading, lettering_size: int) -> None:
    """Decode the letters and shoot them; at the end every place shows what belongs there.

    Pieces that cannot be told apart are right when their colour is.
    """
    lettering = load_lettering(size=lettering_size)
    area = cube.size * cube.size
    ring = rings(cube.size, orbit)
    seen = {place: cube.stickers[place] for place in orbit.stickers}
    buffer = reading.buffer

    def right(place: int) -> bool:
        return seen[place] == place or (orbit.alike and seen[place] // area == place // area)

    for cycle in reading.cycles:
        for number, letter in enumerate(cycle.letters):
            target = lettering.sticker(orbit, letter)
            at_home = right(buffer) if orbit.alike else seen[buffer] in ring[buffer]
            is_break = number == 0 and cycle.kind != "buffer"
            assert is_break == at_home, "a break is made exactly when the buffer has its own piece or colour"
            assert not right(target), f"{letter} is shot though it is right already"
            for a, b in zip(ring[buffer], ring[target], strict=True):
                seen[a], seen[b] = seen[b], seen[a]
            if not is_break and (orbit.alike or cycle.targets[number].role != "close"):
                assert right(target), "a shot that is no break must put its piece right"
    assert all(right(place) for place in orbit.stickers), "something is left unsolved"


def bounded(chooser: Chooser) -> Chooser:
    """The same choices, but a reading that never ends fails: no orbit needs more breaks than it has stickers."""
    asked = 0

    def choose(point: BreakPoint) -> int:
        nonlocal asked
        asked += 1
        assert asked <= len(point.orbit.stickers), "the reading goes on for ever"
        return chooser(point)

    return choose


@pytest.mark.parametrize(("size", "name"), ORBITS)
def test_random_cubes(size: int, name: str) -> None:
    rng = random.Random(f"{size} {name}")
    orbit = geometry(size).orbit(name)
    lettering = load_lettering(size=size)

    def at_random(point: BreakPoint) -> int:
        return rng.choice(list(point.options))

    choosers: tuple[Chooser, ...] = (lowest_letter(lettering), at_random)
    for number in range(40):
        cube = scramble(size, rng)
        buffer = rng.choice(orbit.stickers)
        reading = trace_orbit(cube, orbit, buffer, lettering, bounded(choosers[number % 2]))
        assert reading.buffer == buffer
        follow(cube, orbit, reading, size)
        if orbit.alike:
            assert reading.memos == 0
            assert not reading.in_place
            wrong = sum(cube.colours[place] != place // size**2 for place in orbit.stickers)
            assert len(reading.targets) <= wrong + reading.breaks
        else:
            assert reading.memos > 0
        assert all(target.why.endswith(".") for target in reading.targets)


@pytest.mark.parametrize(("size", "name"), ORBITS)
def test_solved_and_one_turn_away(size: int, name: str) -> None:
    """Every outer turn moves the orbit in four-cycles; read from a buffer that stays and from one that moves."""
    orbit = geometry(size).orbit(name)
    lettering = load_lettering(size=size)
    for buffer in orbit.stickers:
        assert trace_orbit(Cube.solved(size), orbit, buffer, lettering).letters == ()
        for turn in "ULFRBD":
            cube = Cube.from_turns(turn, size)
            reading = trace_orbit(cube, orbit, buffer, lettering, bounded(lowest_letter(lettering)))
            follow(cube, orbit, reading, size)
            if name in ("corners", "edges", "midges"):
                moves = cube.stickers[buffer] != buffer
                assert len(reading.letters) == (3 if moves else 5)


def test_centres_on_an_outer_turn_stay_right() -> None:
    """A face's own centres go round on it and look the same, so nothing is to be read."""
    for size in (4, 5):
        lettering = load_lettering(size=size)
        for orbit in geometry(size).orbits:
            if orbit.alike:
                for turn in "ULFRBD":
                    cube = Cube.from_turns(turn, size)
                    assert trace_orbit(cube, orbit, orbit.stickers[0], lettering).letters == ()


def test_two_exchanged_centres() -> None:
    """Centres of different faces exchanged: one letter from a buffer among them, two where the buffer belongs to one
    of the two faces (the break itself puts a piece right), and else three.
    """
    for size, name in ((4, "x-centres"), (5, "x-centres"), (5, "t-centres")):
        orbit = geometry(size).orbit(name)
        lettering = load_lettering(size=size)
        placed = [(piece, 0) for piece in range(24)]
        one, two = 0, next(p for p in range(24) if orbit.pieces[p][0] // size**2 != orbit.pieces[0][0] // size**2)
        placed[one], placed[two] = placed[two], placed[one]
        cube = Cube.from_pieces({name: placed}, size)
        places = (orbit.pieces[one][0], orbit.pieces[two][0])
        for buffer in orbit.stickers:
            reading = trace_orbit(cube, orbit, buffer, lettering, bounded(lowest_letter(lettering)))
            follow(cube, orbit, reading, size)
            beside = buffer // size**2 in {place // size**2 for place in places}
            assert len(reading.letters) == (1 if buffer in places else 2 if beside else 3)


def test_the_buffer_face_may_come_late_in_the_alphabet() -> None:
    """A buffer on D showing its own colour while the lowest unsolved letter shows that colour too.

    Exchanging these two would change nothing however often it is done, so such a place is no choice for a break.
    """
    size = 4
    orbit = geometry(size).orbit("x-centres")
    lettering = load_lettering(size=size)
    cube = Cube.from_turns("Rw2", size)
    for letter in "UVWX":
        buffer = lettering.sticker(orbit, letter)
        reading = trace_orbit(cube, orbit, buffer, lettering, bounded(lowest_letter(lettering)))
        follow(cube, orbit, reading, size)
        assert 4 <= len(reading.letters) <= 8 + 4
        for cycle in reading.cycles:
            assert all(cube.colours[option] != 5 for option in cycle.options)
    still = next(s for s in (lettering.sticker(orbit, x) for x in "UVWX") if cube.colours[s] == 5)
    with pytest.raises(ReadingError, match="own colour"):
        trace_orbit(
            cube, orbit, still, lettering, lambda point: next(s for s in orbit.stickers if cube.colours[s] == 5)
        )


def test_wings_are_all_different() -> None:
    """The number of memos of wings follows from their cycles: 24 pieces, one sticker each."""
    orbit = geometry(4).orbit("wings")
    lettering = load_lettering(size=4)
    placed = [(piece, 0) for piece in range(24)]
    for cycle in ((1, 2, 3), (4, 5), (7, 8, 9, 10)):
        for here, there in zip(cycle, (*cycle[1:], cycle[0]), strict=True):
            placed[there] = (here, 0)
    cube = Cube.from_pieces({"wings": placed}, 4)
    reading = trace_orbit(cube, orbit, orbit.pieces[0][0], lettering)
    follow(cube, orbit, reading, 4)
    assert reading.memos == 6 * 3 * 2 * 4
    assert len(reading.letters) == 3 + 2 + 4 + 3
    inside = trace_orbit(cube, orbit, orbit.pieces[4][0], lettering)
    assert inside.memos == 2 * 3 * 4
    assert len(inside.letters) == 1 + 4 + 5
