"""Exact odds, and random cubes with features, beside drawing plain cubes until one has them."""

from __future__ import annotations

import random

from benchmarks.harness import report, seconds
from nightfold.blind.features import ANY, Features, features_of, parse_features
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method
from nightfold.blind.odds import odds
from nightfold.blind.reading import trace_orbit
from nightfold.blind.states import States, arrangements, chance, sample, shapes, states_with
from nightfold.cube.state import Cube

#: About one cube in a thousand.
RARE = parse_features({"flipped": "4"})


def tables_from_nothing(features: Features) -> None:
    """The exact odds with every stored result thrown away first."""
    for stored in (shapes, arrangements, states_with, odds):
        stored.cache_clear()
    odds(features)


def plain_cube(dice: random.Random) -> Cube:
    """A uniformly random cube in the plain way: shuffle, turn, and start again where the parities differ."""
    while True:
        odd = False
        placed = {}
        for name, n, o in (("edges", 12, 2), ("corners", 8, 3)):
            pieces = dice.sample(range(n), n)
            turned = [dice.randrange(o) for _ in range(n - 1)]
            placed[name] = list(zip(pieces, [*turned, -sum(turned) % o], strict=True))
            odd ^= sum(pieces[i] > pieces[j] for j in range(n) for i in range(j)) % 2 == 1
        if not odd:
            return Cube.from_pieces(placed)


def run() -> None:
    """Measure and report."""
    exact = seconds(lambda: tables_from_nothing(ANY))
    report("exact joint odds of all cubes, from nothing", f"{exact * 1e3:.1f} ms")
    under = seconds(lambda: States(RARE))
    share = chance(RARE)
    report("counting the states with features", f"{under * 1e3:.1f} ms", f"one cube in {round(1 / share):,}")

    dice = random.Random(9)
    count = 2000
    free = seconds(lambda: [sample(ANY, dice) for _ in range(count)], 5) / count
    bound = seconds(lambda: [sample(RARE, dice) for _ in range(count)], 5) / count
    plain = seconds(lambda: [plain_cube(dice) for _ in range(count)], 5) / count
    report("a random cube", f"{free * 1e6:.0f} µs", f"shuffling {plain * 1e6:.0f} µs", "100 µs")

    # Drawing plain cubes until one fits takes 1/share tries on average, so the cost of a try tells.
    method, letters = load_method(), load_lettering()

    def tries(number: int = 300) -> None:
        for _ in range(number):
            cube = plain_cube(dice)
            RARE.allow(features_of([trace_orbit(cube, way.orbit, way.buffer, letters) for way in method.ways]))

    blind = seconds(tries, 3) / 300 / float(share)
    report("a random cube with features", f"{bound * 1e6:.0f} µs", f"blindly {blind * 1e3:,.0f} ms", "100 µs")
    report("ratio", f"{blind / bound:,.0f} x")
