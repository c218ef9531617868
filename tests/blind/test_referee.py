"""The judge is judged first: by facts known of the cube and, colour for colour, against the cube model."""

import random

import pytest

from nightfold.cube.state import Cube

from . import referee

FACE_TURNS = [face + suffix for face in "ULFRBD" for suffix in ("", "2", "'", "2'")]
ALL_TURNS = [
    *FACE_TURNS,
    *(face + "w" + suffix for face in "ULFRBD" for suffix in ("", "2", "'", "2'")),
    *(letter + suffix for letter in "ulfrbdMESxyz" for suffix in ("", "2", "'", "2'")),
]


@pytest.mark.parametrize(
    ("text", "order"), [("R U R' U'", 6), ("R U", 105), ("R U2 D' B D'", 1260), ("M", 4), ("x", 4)]
)
def test_known_orders(text: str, order: int) -> None:
    """Orders of R U R' U', R U and R U2 D' B D': Joyner, Adventures in Group Theory."""
    state = referee.play(text)
    for times in range(1, order):
        assert state != referee.SOLVED, f"back after {times}"
        state = referee.play(text, state)
    assert state == referee.SOLVED


@pytest.mark.parametrize(
    ("text", "does"),
    [
        ("R", {"UR": "BR", "FR": "UR", "DR": "FR", "BR": "DR", "UFR": "BRU"}),
        ("F", {"UF": "RF", "UFL": "RFU"}),
        ("M", {"UF": "FD", "UB": "FU", "U": "F"}),
        ("x", {"F": "U", "U": "B", "FR": "UR"}),
        ("y", {"F": "L", "UF": "UL", "UFR": "UFL"}),
        ("z'", {"U": "L", "UR": "LU"}),
        ("u", {"FR": "LF", "UF": "UL", "DF": "DF"}),
    ],
)
def test_where_turns_carry_things(text: str, does: dict[str, str]) -> None:
    for name, to in does.items():
        assert referee.carried(name, text) == referee.canon(to)


@pytest.mark.parametrize("turn", ALL_TURNS)
def test_every_turn_against_the_cube_model(turn: str) -> None:
    tangle = "R U2 F' L D2 B"
    after = Cube.from_turns(f"{tangle} {turn}")
    assert referee.play(turn, referee.play(tangle)) == tuple("ULFRBD"[colour] for colour in after.colours)


def test_undoing() -> None:
    rng = random.Random(20)
    text = " ".join(rng.choice(ALL_TURNS) for _ in range(60))
    assert referee.play(f"{text} {referee.undone(text)}") == referee.SOLVED
