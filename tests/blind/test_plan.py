"""Plans at large, judged from their JSON text alone by a cube of the tests' own, and the choices a plan is made by."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest

from nightfold.blind.errors import LetteringError, MethodError, ReadingError
from nightfold.blind.hold import Hold
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.blind.plan import PARITY, Plan, make_plan, plan_of_net
from nightfold.blind.reading import lowest_letter
from nightfold.cube.errors import ImpossibleCubeError, NightfoldError
from nightfold.cube.net import write_net
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube

from . import referee
from .judge import judge
from .referee import canon

COLOUR = dict(zip("ULFRBD", ("white", "orange", "green", "red", "blue", "yellow"), strict=True))
OPPOSITE = {"U": "D", "D": "U", "L": "R", "R": "L", "F": "B", "B": "F"}
TURNS = [
    letter + suffix
    for letter in (*"ULFRBD", *(face + "w" for face in "ULFRBD"), *"ulfrbdMESxyz")
    for suffix in ("", "2", "'", "2'")
]
HOLDS = [(top, front) for top in "ULFRBD" for front in "ULFRBD" if front not in (top, OPPOSITE[top])]
POLICIES = ("lowest", "shortest")


# --- two thousand scrambles for every method ---------------------------------------------------------------------

CHUNKS, CHUNK = 8, 250


def test_there_are_methods_to_test() -> None:
    assert len(method_names()) >= 4
    assert CHUNKS * CHUNK >= 2000


@pytest.mark.parametrize("chunk", range(CHUNKS))
@pytest.mark.parametrize("method", method_names())
def test_plans_of_random_scrambles(method: str, chunk: int) -> None:
    """Wide turns, slices and rotations, all 24 holds, both break policies; parities of both kinds must occur."""
    rng = random.Random(f"{method} {chunk}")
    parities = []
    for number in range(CHUNK):
        scramble = " ".join(rng.choices(TURNS, k=rng.randint(18, 32)))
        top, front = HOLDS[(number + chunk) % 24] if number % 2 else rng.choice(HOLDS)
        policy = POLICIES[(number // 2) % 2]
        plan = make_plan(scramble, method, hold=f"{COLOUR[top]},{COLOUR[front]}", breaks=policy)
        assert plan.solved
        data = judge(json.dumps(plan.to_dict()), top, front, policy)
        assert data["method"] == method
        parities.append(data["parity"])
        shorter = " ".join(map(str, plan.cancelled))
        held = referee.play(f"{data['scramble']} {data['hold']}")
        assert referee.solved_somehow(referee.play(shorter, held))
        assert len(plan.cancelled) == data["counts"]["turns_cancelled"]
    assert CHUNK / 4 < sum(parities) < 3 * CHUNK / 4


def test_the_judge_condemns() -> None:
    """A judge that lets everything pass would prove nothing."""
    plan = make_plan("R U2 F' L D2 B u x", hold="red,blue")
    data = json.loads(json.dumps(plan.to_dict()))
    judge(json.dumps(data), "R", "B", "lowest")
    edges = data["orbits"][0]

    def spoilt(**changes: object) -> str:
        return json.dumps({**data, **changes})

    def with_edges(**changes: object) -> str:
        return spoilt(orbits=[{**edges, **changes}, data["orbits"][1]])

    letters = edges["letters"]
    spoils = [
        spoilt(solved=False),
        spoilt(parity=not data["parity"]),
        spoilt(solution=data["solution"] + " R"),
        spoilt(hold=""),
        spoilt(counts={**data["counts"], "turns": 3}),
        spoilt(steps=[{**data["steps"][0], "undo": "R2"}, *data["steps"][1:]]),
        spoilt(steps=[{**data["steps"][0], "why": "L lifts BL to UL"}, *data["steps"][1:]]),
        with_edges(letters=[letters[1], letters[0], *letters[2:]]),
        with_edges(cycles=[letters]) if len(edges["cycles"]) > 1 else with_edges(cycles=[letters[:1], letters[1:]]),
        with_edges(in_place=["UF"]),
        with_edges(buffer_turned=not edges["buffer_turned"]),
    ]
    for spoil in spoils:
        with pytest.raises(AssertionError):
            judge(spoil, "R", "B", "lowest")


# --- what a plan may be made of ----------------------------------------------------------------------------------


def test_json_is_plain_and_stable() -> None:
    plan = make_plan("R U2  F'\n L D2", "j-and-y")
    data = plan.to_dict()
    assert json.loads(json.dumps(data)) == data
    assert list(data) == [
        "scramble",
        "hold",
        "method",
        "lettering",
        "orbits",
        "parity",
        "steps",
        "solution",
        "counts",
        "solved",
    ]
    assert data["scramble"] == "R U2 F' L D2"
    assert data["counts"]["memos"] == plan.memos


def test_a_solved_cube_needs_nothing() -> None:
    for hold, rotation in (("white,green", ""), ("yellow,green", "z2")):
        plan = make_plan("", hold=hold)
        assert (plan.solved, plan.letters, plan.solution, plan.steps, plan.memos) == (True, 0, (), (), 1)
        assert plan.hold == rotation


def test_scramble_as_text_turns_or_cube() -> None:
    text = "R U2 Fw' L D2 B' M y U"
    by_text = make_plan(text)
    by_turns = make_plan(parse_turns(text))
    by_cube = make_plan(Cube.from_turns(text))
    assert by_turns == by_text
    assert by_cube.scramble == ""
    assert (by_cube.steps, by_cube.hold, by_cube.solved) == (by_text.steps, by_text.hold, True)


def test_brackets_in_a_scramble_are_kept() -> None:
    plan = make_plan("[R U: (F D')2] [M, U]")
    assert plan.scramble == "[R U: (F D')2] [M, U]"
    assert plan.cube == Cube.from_turns("R U F D' F D' U' R' M U M' U'")
    assert plan.solved


def test_hold_and_method_as_objects() -> None:
    method = load_method("left-hand")
    plan = make_plan("R U F2 D' L", method, load_lettering("greek"), Hold("R", "B"))
    assert plan == make_plan("R U F2 D' L", "left-hand", "greek", "R B")
    assert plan.lettering.name == "greek"
    assert set(plan.orbits[0].letters) <= set("ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩ")


def test_letters_change_the_words_not_the_plan() -> None:
    scramble = "F' U2 R B D2 L' F U R2 D B2 L"
    latin, greek = make_plan(scramble), make_plan(scramble, lettering="greek")
    assert [target.sticker for target in latin.orbits[0].targets] == [t.sticker for t in greek.orbits[0].targets]
    assert latin.solution == greek.solution


def test_another_colour_scheme() -> None:
    """A cube with other colours is held and told by those; its plan is the same."""
    scheme = ("K", "O", "G", "R", "B", "P")
    plan = make_plan("R U2 F' L D2 B", hold="K,G", scheme=scheme)
    assert plan.solved
    assert plan.solution == make_plan("R U2 F' L D2 B", hold="white,green").solution
    turned = make_plan("R U2 F' L D2 B", hold="red,P", scheme=scheme)
    assert turned.solved
    assert turned.scheme[0] == "R"
    assert turned.scheme[2] == "P"
    with pytest.raises(ReadingError, match="no centre is white"):
        make_plan("R U2", scheme=scheme)


def test_reasons_name_the_colours_as_held() -> None:
    """Held otherwise, a place shows other colours; the first reason of each orbit must show those."""
    rng = random.Random(5)
    for _ in range(60):
        scramble = " ".join(rng.choices(TURNS, k=20))
        top, front = rng.choice(HOLDS)
        plan = make_plan(scramble, hold=f"{COLOUR[top]},{COLOUR[front]}")
        held = referee.play(f"{scramble} {plan.hold}")
        for reading in plan.to_dict()["orbits"]:
            if reading["letters"] and reading["reasons"][0].startswith(reading["buffer"]):
                shown = COLOUR[held[referee.WHERE[canon(reading["buffer"])]]]
                assert f"{reading['buffer']} shows {shown} (beside" in reading["reasons"][0]


# --- choosing breaks ---------------------------------------------------------------------------------------------

#: Moves four edges of the slices: the cube has one cycle apart from the buffer's.
ONE_BREAK = "M2 U M2 U2 M2 U M2"


def letters_of(plan: Plan, orbit: str) -> tuple[str, ...]:
    return next(reading.letters for reading in plan.orbits if reading.orbit.name == orbit)


@pytest.mark.parametrize(("scramble", "orbit"), [("F R U R' U' F'", "edges"), ("R' D' R D", "corners")])
def test_every_choice_of_breaks_is_honoured(scramble: str, orbit: str) -> None:
    buffer = canon({"edges": "UR", "corners": "LUB"}[orbit])
    tried = 0
    for scramble_more in ("", " U", " D2 L"):
        held = referee.play(scramble + scramble_more)
        for targets, breaks in referee.memos(held, orbit, buffer):
            choice = " ".join(referee.LETTER[orbit][entry] for entry in breaks)
            plan = make_plan(scramble + scramble_more, breaks=f"choose:{orbit}={choice}")
            assert letters_of(plan, orbit) == tuple(referee.LETTER[orbit][target] for target in targets)
            assert plan.solved
            tried += 1
    assert tried > 20


def test_a_choice_by_function_and_the_default() -> None:
    lettering = load_lettering()
    highest = {"edges": lambda point: max(point.options, key=lettering.of(point.orbit).__getitem__)}
    plan = make_plan(ONE_BREAK, breaks=highest)
    low = make_plan(ONE_BREAK, breaks={"edges": lowest_letter(lettering)})
    assert plan.solved
    assert low == make_plan(ONE_BREAK)
    assert plan.orbits[0].letters != low.orbits[0].letters


def test_fewer_choices_than_breaks_go_on_with_the_lowest() -> None:
    superflip = "U R2 F B R B2 R U2 L B2 R U' D' R2 F R' L B2 U2 F2"  # flips all twelve edges
    plan = make_plan(superflip, breaks="choose:edges=X L")
    assert plan.orbits[0].letters[0] == "X"
    assert plan.orbits[0].letters[2] == "L"
    assert plan.orbits[0].letters[4] == "A"
    assert plan.solved


@pytest.mark.parametrize(
    ("breaks", "words"),
    [
        ("choose:edges=L", ("edges", "FL", "L", "already solved", "it can go to")),
        ("choose:edges=B", ("UR", "B", "buffer piece")),
        ("choose:edges=M", ("RU", "buffer piece")),
        ("choose:edges=A A", ("edges", "1", "A")),
        ("choose:edges=7", ("“7”", "no letter of the edges")),
        ("choose:edges", ("“edges”", "an orbit, =, and letters")),
        ("choose:wings=A", ("“wings=A”", "an orbit, =, and letters")),
        ("longest", ("“longest”", "lowest", "shortest", "choose:")),
        ("", ("“”", "no way to choose breaks")),
    ],
)
def test_wrong_choices_are_refused(breaks: str, words: tuple[str, ...]) -> None:
    with pytest.raises(NightfoldError) as caught:
        make_plan(ONE_BREAK, breaks=breaks)
    said = str(caught.value)
    assert "\n" not in said
    for word in words:
        assert word in said


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"cube": "R Q"}, NightfoldError, ("“Q”", "column 3")),
        ({"cube": Cube.solved(4)}, ReadingError, ("3 layers", "has 4")),
        ({"cube": "R", "method": "no-such"}, MethodError, ("no-such", "two-swap")),
        ({"cube": "R", "lettering": "no-such"}, LetteringError, ("no-such", "clockwise")),
        ({"cube": "R", "hold": "white"}, ReadingError, ("“white”", "two colours")),
        ({"cube": "R", "hold": "white,yellow"}, ReadingError, ("white and yellow are opposite",)),
        ({"cube": "R", "hold": "white,white"}, ReadingError, ("twice",)),
        ({"cube": "R", "hold": "white,purple"}, ReadingError, ("“purple”", "no colour", "white", "yellow")),
        ({"cube": "R", "hold": "white,P"}, ReadingError, ("no centre is P",)),
    ],
)
def test_wrong_arguments_are_refused(
    arguments: dict[str, Any], error: type[NightfoldError], words: tuple[str, ...]
) -> None:
    with pytest.raises(error) as caught:
        make_plan(**arguments)
    said = str(caught.value)
    assert "\n" not in said
    for word in words:
        assert word in said


def test_a_cube_no_turns_lead_to_is_not_called_solved() -> None:
    """One flipped edge alone: every memo leaves the buffer flipped, and the plan must own up to it."""
    flipped = tuple((piece, int(piece == 0)) for piece in range(12))
    plan = make_plan(Cube.from_pieces({"edges": flipped}))
    assert not plan.solved
    assert plan.to_dict()["solved"] is False


# --- a cube as a net ----------------------------------------------------------------------------------------------


def test_a_net_is_planned_as_its_scramble_is() -> None:
    scramble = "D F L2 B U R F' L' B2"
    for method in method_names():
        for hold in (None, "yellow,red"):
            by_turns = make_plan(scramble, method, hold=hold).to_dict()
            # However the cube lies when it is typed, it is turned into the hold first.
            for turned in ("", "x y2"):
                net = write_net(Cube.from_turns(f"{scramble} {turned}"))
                made = plan_of_net(net, method, hold=hold)
                assert made.solved
                by_net = made.to_dict()
                assert {key: by_net[key] for key in ("orbits", "steps", "solution")} == {
                    key: by_turns[key] for key in ("orbits", "steps", "solution")
                }


def test_a_net_of_other_symbols_is_read_as_it_was_typed() -> None:
    plan = plan_of_net(write_net(Cube.from_turns("R U F"), "123456"))
    assert plan.held == Hold("1", "3")
    assert plan.hold == ""
    assert plan.solved


def test_a_net_that_no_turns_lead_to_has_no_plan() -> None:
    net = write_net(Cube.from_pieces({"corners": [(piece, int(piece == 0)) for piece in range(8)]}))
    with pytest.raises(ImpossibleCubeError):
        plan_of_net(net)


@pytest.mark.parametrize("name", method_names())
def test_labels_and_hold_of_a_plan(name: str) -> None:
    plan = make_plan("R U F", name, hold="red,blue")
    assert plan.held == Hold("R", "B")
    assert plan.labels.keys() == {"edges", "corners", PARITY}
    assert all(plan.labels[way.orbit.name] == way.label for way in plan.method.ways)
