"""What hypothesis draws from: sizes, turns, sequences, algorithms, and the many ways to write one down."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import strategies as st

from nightfold.cube.notation import MAX_TURNS, Algorithm, Commutator, Conjugate, Group, Node, Turn

AMOUNTS = (1, 2, -1, -2)
APOSTROPHES = "'’‘ʼ′`´"
SPACES = (" ", "  ", "\n", "\t", " \r\n ", "\u00a0")

sizes = st.integers(2, 7)


def all_turns(size: int) -> list[Turn]:
    """Every turn that can be written for a cube of ``size`` layers, in every amount."""
    stems = [(face, 1, 1) for face in "ULFRBD"]
    stems += [(face, 1, layers) for face in "ULFRBD" for layers in range(2, size)]
    if size >= 4:
        stems += [(face, layer, layer) for face in "ULFRBD" for layer in range(2, size)]
    stems += [(axis, 0, 0) for axis in "xyz"]
    if size % 2:
        stems += [(slice_, 0, 0) for slice_ in "MES"]
    return [Turn(*stem, amount) for stem in stems for amount in AMOUNTS]


_TURNS = {size: all_turns(size) for size in range(2, 8)}


def turns(size: int) -> st.SearchStrategy[Turn]:
    return st.sampled_from(_TURNS[size])


def sequences(size: int, most: int = 25) -> st.SearchStrategy[tuple[Turn, ...]]:
    return st.lists(turns(size), max_size=most).map(tuple)


def face_turns(most: int = 25) -> st.SearchStrategy[tuple[Turn, ...]]:
    """Turns of the six faces alone, which every size has."""
    faces = st.builds(Turn, st.sampled_from("ULFRBD"), st.just(1), st.just(1), st.sampled_from(AMOUNTS))
    return st.lists(faces, max_size=most).map(tuple)


def _parts(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[tuple[Node, ...]]:
    return st.lists(inner, min_size=1, max_size=3).map(tuple)


def algorithms(size: int) -> st.SearchStrategy[Algorithm]:
    """Algorithms with groups, commutators and conjugates up to three deep, each done -3 to 3 times over."""
    times = st.sampled_from((1, 1, 2, 3, -1, -2, -3))
    node: st.SearchStrategy[Node] = turns(size)
    for _ in range(3):
        part = _parts(node)
        node = st.one_of(
            turns(size),
            st.builds(Group, part, times),
            st.builds(Commutator, part, part, times),
            st.builds(Conjugate, part, part, times),
        )
    whole = st.lists(node, max_size=3).map(tuple).map(lambda nodes: Algorithm(nodes, size))
    return whole.filter(lambda algorithm: len(algorithm.expand()) <= MAX_TURNS)


@st.composite
def spellings(draw: st.DrawFn, algorithm: Algorithm) -> str:
    """The algorithm in one of the many ways a person may type it."""

    def tick() -> str:
        return draw(st.sampled_from(APOSTROPHES))

    def gap() -> str:
        return draw(st.sampled_from(("", *SPACES)))

    def turn(turn: Turn) -> str:
        stem = turn.letter
        if turn.inner > 1 and turn.outer == turn.inner:
            stem = f"{turn.inner}{stem}"
        elif turn.inner > 1:
            number = draw(st.sampled_from(("", "2"))) if turn.inner == 2 else str(turn.inner)
            stem = number + draw(st.sampled_from((f"{stem}w", stem.lower())))
        tails: dict[int, Callable[[], str]] = {
            1: lambda: draw(st.sampled_from(("", "1", "3" + tick()))),
            2: lambda: "2",
            -1: lambda: draw(st.sampled_from((tick(), "3", "1" + tick()))),
            -2: lambda: draw(st.sampled_from(("2" + tick(), tick() + "2"))),
        }
        return stem + tails[turn.amount]()

    def times(number: int) -> str:
        count = draw(st.sampled_from(("", "1"))) if abs(number) == 1 else str(abs(number))
        return count + (tick() if number < 0 else "")

    def part(nodes: tuple[Node, ...]) -> str:
        text = gap()
        for node in nodes:
            match node:
                case Turn():
                    word = turn(node)
                case Group(body, number):
                    word = f"({part(body)}){times(number)}"
                case Commutator(first, second, number):
                    word = f"[{part(first)},{part(second)}]{times(number)}"
                case Conjugate(setup, body, number):
                    word = f"[{part(setup)}:{part(body)}]{times(number)}"
            # Digits behind a turn or bracket would be its amount, so the layer number needs a space before it.
            text += (draw(st.sampled_from(SPACES)) if word[0].isdigit() and text else gap()) + word
        return text + gap()

    return part(algorithm.nodes)
