"""The reference: a planner written in the first way that comes to mind, without any table.

It turns the cube by rotating the coordinates of every sticker, finds each setup anew by trying all sequences of free
turns, shortest first, and executes as it reads.
"""

from __future__ import annotations

from itertools import product

Vector = tuple[int, int, int]
AXES: dict[str, Vector] = {
    "U": (0, 1, 0),
    "L": (-1, 0, 0),
    "F": (0, 0, 1),
    "R": (1, 0, 0),
    "B": (0, 0, -1),
    "D": (0, -1, 0),
}
#: A sticker: where its cubie is and where it faces.
Place = tuple[Vector, Vector]
State = dict[Place, Place]

EDGE_SWAP = "R U R' U' R' F R2 U' R' U' R U R' F'"
CORNER_SWAP = "R U' R' U' R U R' F' R U R' U' R' F R"
PARITY = "R U R' F' R U2 R' U2 R' F R U R U2 R' U'"


def dot(a: Vector, b: Vector) -> int:
    """The scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def clockwise(v: Vector, n: Vector) -> Vector:
    """``v`` a clockwise quarter turn about ``n`` (seen from outside): its part along ``n``, and v x n."""
    along = dot(v, n)
    cross = (v[1] * n[2] - v[2] * n[1], v[2] * n[0] - v[0] * n[2], v[0] * n[1] - v[1] * n[0])
    return (along * n[0] + cross[0], along * n[1] + cross[1], along * n[2] + cross[2])


def solved() -> State:
    """Every sticker at home."""
    state: State = {}
    for x, y, z in product((-1, 0, 1), repeat=3):
        cubie = (x, y, z)
        for normal in AXES.values():
            if dot(cubie, normal) == 1:
                state[cubie, normal] = (cubie, normal)
    return state


def turned(state: State, token: str) -> State:
    """The state after one turn such as ``R``, ``Lw2`` or ``D'``."""
    normal = AXES[token[0]]
    least = 0 if "w" in token else 1
    times = 2 if "2" in token else 3 if "'" in token else 1
    for _ in range(times):
        state = {
            ((clockwise(c, normal), clockwise(n, normal)) if dot(c, normal) >= least else (c, n)): sticker
            for (c, n), sticker in state.items()
        }
    return state


def done(state: State, text: str) -> State:
    """The state after a sequence."""
    for token in text.split():
        state = turned(state, token)
    return state


def undone(text: str) -> str:
    """The sequence that takes ``text`` back."""
    flip = {"": "'", "'": "", "2": "2"}
    tokens = []
    for token in reversed(text.split()):
        stem = token.rstrip("2'")
        tokens.append(stem + flip[token[len(stem) :]])
    return " ".join(tokens)


def place(name: str) -> Place:
    """The place called ``name``: its own face first."""
    cubie = tuple(sum(AXES[face][axis] for face in name) for axis in range(3))
    return (cubie[0], cubie[1], cubie[2]), AXES[name[0]]


def setup_for(target: Place, home: Place, free: str) -> str:
    """The first shortest sequence of free turns that brings ``target`` to ``home``."""
    tokens = [layer + amount for layer in free.split() for amount in ("", "2", "'")]
    marked: State = {target: target}
    for length in range(5):
        for sequence in product(tokens, repeat=length):
            state = marked
            for token in sequence:
                state = turned(state, token)
            if home in state:
                return " ".join(sequence)
    raise ValueError("no setup")


def plan(scramble: str) -> list[str]:
    """The whole solution by the classic two swaps, step by step, made and verified on the cube."""
    state = done(solved(), scramble)
    steps: list[str] = []
    edges = [p for p in state if p[0].count(0) == 1]
    corners = [p for p in state if p[0].count(0) == 0]
    orbits = (
        (edges, place("UR"), place("UL"), "L Lw D Dw", EDGE_SWAP),
        (corners, place("LUB"), place("DFR"), "R D F", CORNER_SWAP),
    )
    for places, buffer, home, free, swap in orbits:
        shots = 0
        # The two corners an odd number of edge swaps leaves exchanged are put right before corners are read.
        while True:
            target = state[buffer]
            if target[0] == buffer[0]:
                unsolved = [p for p in places if p[0] != buffer[0] and state[p] != p]
                if not unsolved:
                    break
                target = unsolved[0]
            setup = setup_for(target, home, free)
            step = f"{setup} {swap} {undone(setup)}"
            state = done(state, step)
            steps.append(step)
            shots += 1
        if swap == EDGE_SWAP and shots % 2:
            state = done(state, PARITY)
            steps.append(PARITY)
    assert all(state[p] == p for p in state)
    return steps
