"""The native core against the plain-Python cube, on every SIMD path this machine has."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.lettering import load_lettering
from nightfold.blind.reading import trace_orbit
from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry, rotation_permutations
from nightfold.cube.state import Cube
from nightfold.search.native import BYTES, core, pack, pack_turns, unpack

STEMS = ["U", "D", "L", "R", "F", "B", "Uw", "Rw", "Fw", "M", "E", "S", "x", "y", "z"]
TURNS = [stem + amount for stem in STEMS for amount in ("", "2", "'")]


def random_cubes(count: int, seed: int) -> list[Cube]:
    """Cubes along a random walk through slices, wide turns and rotations as well as faces."""
    draw = random.Random(seed)
    cube = Cube.from_turns(" ".join(draw.choices(TURNS, k=30)))
    cubes = []
    for _ in range(count):
        cube = cube.apply(draw.choice(TURNS))
        cubes.append(cube)
    return cubes


def test_packing_and_unpacking_give_the_same_cube() -> None:
    for cube in random_cubes(2000, 1):
        assert unpack(pack(cube)) == cube


def test_only_the_3x3x3_can_be_packed() -> None:
    with pytest.raises(GeometryError, match="3x3x3 only"):
        pack(Cube.solved(4))


@pytest.mark.parametrize("seed", range(4))
def test_products_equal_those_of_the_plain_cube(seed: int) -> None:
    """25,000 products a seed, 100,000 in all, by every path."""
    cubes = random_cubes(25_000, 100 + seed)
    others = random.Random(seed).sample(cubes, len(cubes))
    a, b = b"".join(map(pack, cubes)), b"".join(map(pack, others))
    wanted = b"".join(pack(cube.then(other)) for cube, other in zip(cubes, others, strict=True))
    for path in core.paths():
        out = bytearray(len(a))
        core.multiply(a, b, out, path)
        assert bytes(out) == wanted, path


def test_one_cube_can_stand_for_every_factor() -> None:
    cubes = random_cubes(50, 7)
    turn = pack(Cube.from_turns("F"))
    many = b"".join(map(pack, cubes))
    for path in core.paths():
        after, before = bytearray(len(many)), bytearray(len(many))
        core.multiply(many, turn, after, path)
        core.multiply(turn, many, before, path)
        assert bytes(after) == b"".join(pack(cube.apply("F")) for cube in cubes)
        assert bytes(before) == b"".join(pack(Cube.from_turns("F").then(cube)) for cube in cubes)


def test_buffers_that_do_not_fit_are_refused() -> None:
    one, two = bytes(range(16)) * 2, bytes(range(16)) * 4
    with pytest.raises(ValueError, match="32 bytes"):
        core.multiply(one[:-1], one, bytearray(32))
    with pytest.raises(ValueError, match="differ in length"):
        core.multiply(two, one, bytearray(32))
    with pytest.raises(ValueError, match="no path no-such-path"):
        core.multiply(one, one, bytearray(32), "no-such-path")
    with pytest.raises(ValueError, match="10 bytes"):
        core.count(one, 0, 0, bytearray(9))
    with pytest.raises(ValueError, match="buffer piece"):
        core.count(one, 12, 0, bytearray(10))
    with pytest.raises(TypeError):
        core.multiply(one, one, one)


def plain_count(cube: Cube, orbit: str, buffer: int) -> tuple[int, int, int, int, int]:
    """Letters, breaks, turned in place, solved, buffer state, counted from the cycles of pieces."""
    pieces = cube.pieces(orbit)
    left = set(range(len(pieces)))
    letters = breaks = in_place = solved = 0
    home = 0
    while left:
        start = buffer if buffer in left else min(left)
        cycle = [start]
        while pieces[cycle[-1]][0] != start:
            cycle.append(pieces[cycle[-1]][0])
        left -= set(cycle)
        turned = pieces[start][1] != 0
        if start == buffer:
            letters += len(cycle) - 1
            home = 0 if len(cycle) > 1 else 1 if turned else 2
        elif len(cycle) > 1 or turned:
            letters += len(cycle) + 1
            breaks += 1
            in_place += len(cycle) == 1
        else:
            solved += 1
    return letters, breaks, in_place, solved, home


def test_counts_equal_plain_counting() -> None:
    """100,000 cubes, with every buffer in turn."""
    draw = random.Random(3)
    cubes = random_cubes(10_000, 11)
    packed = b"".join(map(pack, cubes))
    for _ in range(10):
        edge, corner = draw.randrange(12), draw.randrange(8)
        out = bytearray(10 * len(cubes))
        core.count(packed, edge, corner, out)
        for at, cube in enumerate(cubes):
            expected = plain_count(cube, "edges", edge) + plain_count(cube, "corners", corner)
            assert tuple(out[10 * at : 10 * at + 10]) == expected


def test_counts_equal_what_tracing_yields() -> None:
    geo = geometry(3)
    lettering = load_lettering()
    cubes = [cube for cube in random_cubes(4000, 21) if all(cube.stickers[c] == c for c in geo.fixed_centres.values())]
    assert len(cubes) > 50
    edge, corner = geo.sticker("UR"), geo.sticker("LUB")
    buffers = [
        geo.orbit(name).pieces.index(geo.piece_of(sticker)) for name, sticker in (("edges", edge), ("corners", corner))
    ]
    out = bytearray(10 * len(cubes))
    core.count(b"".join(map(pack, cubes)), buffers[0], buffers[1], out)
    for at, cube in enumerate(cubes):
        for half, (name, buffer) in enumerate((("edges", edge), ("corners", corner))):
            reading = trace_orbit(cube, geo.orbit(name), buffer, lettering)
            letters, breaks, in_place, _, home = out[10 * at + 5 * half : 10 * at + 5 * half + 5]
            assert (letters, breaks, in_place) == (len(reading.targets), reading.breaks, len(reading.in_place))
            assert (home == 1) == reading.buffer_turned


def test_packed_turns_stand_one_behind_the_other() -> None:
    turns = Cube.from_turns("R"), Cube.from_turns("x")
    from nightfold.cube.notation import parse_turns

    assert pack_turns(parse_turns("R x")) == b"".join(map(pack, turns))
    assert len(pack_turns(parse_turns("R x"))) == 2 * BYTES


def test_rotations_move_the_packed_centres() -> None:
    packed = {pack(Cube(3, permutation)) for permutation in rotation_permutations(3).values()}
    assert len({one[24:30] for one in packed}) == 24
