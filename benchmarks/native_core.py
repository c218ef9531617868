"""The native core: products and readings of many cubes, beside NumPy, plain Python and a bare shuffle loop."""

from __future__ import annotations

import random

import numpy as np
import numpy.typing as npt

from benchmarks.harness import report, seconds
from nightfold.cube.geometry import compose
from nightfold.cube.state import Cube
from nightfold.search.native import core, pack

Bytes = npt.NDArray[np.uint8]
#: Few enough to stay in the second-level cache, so that the arithmetic is measured and not the memory.
COUNT, ROUNDS = 8_000, 50


def cubes(count: int) -> list[Cube]:
    """Cubes along a random walk."""
    draw = random.Random(1)
    turns = [face + amount for face in "ULFRBD" for amount in ("", "2", "'")]
    cube, walk = Cube.solved(), []
    for _ in range(count):
        cube = cube.apply(draw.choice(turns))
        walk.append(cube)
    return walk


def numpy_product(a: Bytes, b: Bytes) -> Bytes:
    """The same product by fancy indexing: pieces taken, turning added and wrapped."""
    order = (b & 15).astype(np.intp)
    order[:, 16:] += 16
    total = np.take_along_axis(a, order, axis=1) + (b & 0xF0)
    wrap = np.where(np.arange(32) < 16, 0x20, 0x30).astype(np.uint8)
    return np.minimum(total, total - wrap)


def python_count(cube: Cube, orbit: str, buffer: int) -> tuple[int, int]:
    """Letters and breaks in plain Python, from the cycles of pieces."""
    pieces = cube.pieces(orbit)
    left = [True] * len(pieces)
    letters = breaks = 0
    for start in (buffer, *range(len(pieces))):
        if not left[start]:
            continue
        length, place = 0, start
        while left[place]:
            left[place] = False
            place = pieces[place][0]
            length += 1
        if start == buffer:
            letters += length - 1
        elif length > 1 or pieces[start][1]:
            letters += length + 1
            breaks += 1
    return letters, breaks


def run() -> None:
    """Measure and report."""
    some = cubes(400)
    packed = np.frombuffer(b"".join(map(pack, some)), np.uint8).reshape(-1, 32)
    a: Bytes = np.ascontiguousarray(np.tile(packed, (COUNT // 400, 1)))
    b: Bytes = np.ascontiguousarray(a[::-1])
    out = np.empty_like(a)
    flat_a, flat_b, flat_out = a.reshape(-1), b.reshape(-1), out.reshape(-1)
    one = bytes(packed[7])

    def many(work: object, *arguments: object) -> float:
        assert callable(work)
        return seconds(lambda: [work(*arguments) for _ in range(ROUNDS)]) / (ROUNDS * COUNT)

    bare = many(core.shuffle_only, flat_a, one, flat_out)
    for path in core.paths():
        took = many(core.multiply, flat_a, one, flat_out, path)
        reference = f"bare loop {1e-6 / bare:,.0f} M/s, {took / bare:.2f} of its time"
        report(
            f"products a second, {path}", f"{1e-6 / took:,.0f} M/s", reference, "within 2x" if path == "avx2" else ""
        )
    both = many(core.multiply, flat_a, flat_b, flat_out)
    by_numpy = seconds(lambda: numpy_product(a, b)) / COUNT
    assert (numpy_product(a, b) == out).all()
    plain = seconds(lambda: [compose(x.stickers, some[0].stickers) for x in some]) / len(some)
    report(
        "products of pairs a second",
        f"{1e-6 / both:,.0f} M/s",
        f"NumPy {1e-6 / by_numpy:,.1f} M/s: {by_numpy / both:,.0f} x",
    )
    report("ratio to a plain-Python product", f"{plain / both:,.0f} x")

    counts = np.empty(COUNT * 10, np.uint8)
    reading = many(core.count, flat_a, 3, 2, counts)
    python = seconds(lambda: [(python_count(c, "edges", 3), python_count(c, "corners", 2)) for c in some]) / len(some)
    letters = [python_count(c, "edges", 3)[0] for c in some]
    assert list(counts[:4000:10]) == letters
    report(
        "readings a second",
        f"{1e-6 / reading:,.1f} M/s",
        f"plain Python {python / reading:,.0f} x slower",
        "5 M/s, 300 x",
    )
