"""The finder against brute force, known algorithms, and the whole libraries of 3-cycles."""

from __future__ import annotations

import itertools
import os
import random
import signal
import subprocess
import sys
import time

import pytest

from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import Permutation, compose, geometry, permutation_of, turn_permutation
from nightfold.cube.notation import Turn, parse_turns, write
from nightfold.cube.sequences import normal_form
from nightfold.cube.state import Cube
from nightfold.search.effects import EffectError, illegal_reason, moved_pieces, parse_effect
from nightfold.search.finding import FACES, MOST_EXTRA, FindingError, Findings, find, parse_turn_set, with_form
from nightfold.search.shape import as_brackets

AXIS = {"L": 0, "R": 0, "M": 0, "x": 0, "U": 1, "D": 1, "E": 1, "y": 1, "F": 2, "B": 2, "S": 2, "z": 2}


def every_sequence(turns: tuple[Turn, ...], longest: int) -> dict[Permutation, list[tuple[Turn, ...]]]:
    """All different sequences up to a length, by effect: no waste, and parallel turns in one order."""
    stems = list(dict.fromkeys(turn._replace(amount=1) for turn in turns))
    level: list[tuple[tuple[Turn, ...], Permutation]] = [((), tuple(range(54)))]
    found: dict[Permutation, list[tuple[Turn, ...]]] = {level[0][1]: [()]}
    for _ in range(longest):
        deeper = []
        for sequence, effect in level:
            for turn in turns:
                if sequence and AXIS[sequence[-1].letter] == AXIS[turn.letter]:
                    before = stems.index(sequence[-1]._replace(amount=1))
                    if before >= stems.index(turn._replace(amount=1)):
                        continue
                longer = (*sequence, turn), compose(effect, turn_permutation(3, turn))
                deeper.append(longer)
                found.setdefault(longer[1], []).append(longer[0])
        level = deeper
    return found


@pytest.mark.parametrize(
    ("turns", "longest"), [("U D L R F B", 4), ("R U F", 5), ("R U M", 5), ("R' U2 D2 Rw", 5), ("M E S x", 4)]
)
def test_complete_against_brute_force(turns: str, longest: int) -> None:
    """For every effect of a short sequence the finder returns just the sequences that brute force met."""
    everything = every_sequence(parse_turn_set(turns), longest)
    draw = random.Random(5)
    asked = draw.sample(sorted(everything), 150)
    # Effects reached in several ways are the interesting ones.
    asked += sorted(everything, key=lambda effect: -len(everything[effect]))[:50]
    for effect in asked:
        cube = Cube(3, effect)
        if any(cube.stickers[centre] != centre for centre in geometry(3).fixed_centres.values()):
            continue
        found = find(cube, turns, longest=longest, extra=longest)
        assert found.proven == longest
        assert sorted(one.turns for one in found.algorithms) == sorted(everything[effect])
        assert found.shortest == min(map(len, everything[effect]))


@pytest.mark.parametrize("memory", [5_000, 60_000, 1_000_000])
def test_memory_bound_changes_the_speed_and_not_the_answer(memory: int) -> None:
    wanted = Cube.from_turns("R U2 F' D L2 U")
    full = find(wanted, longest=6)
    less = find(wanted, longest=6, memory=memory)
    assert [one.turns for one in less.algorithms] == [one.turns for one in full.algorithms]
    assert less.memory_bound or memory == 1_000_000
    assert not full.memory_bound


def test_more_threads_give_the_same_answer_in_the_same_order() -> None:
    wanted = parse_effect("UF UR DB")
    one, two = find(wanted, longest=9, threads=1), find(wanted, longest=9, threads=3)
    assert one.algorithms == two.algorithms
    assert one.shortest == 9


def test_pieces_left_open_are_free_and_all_others_are_not() -> None:
    """Against brute force: with the corners open, every sequence counts whose edges do as wanted."""
    wanted = parse_effect("UF UR DB")
    found = find(wanted, "U D L R F B", longest=5, extra=2, any_pieces=["corners"])
    edges = [s for piece in geometry(3).orbit("edges").pieces for s in piece]
    everything = every_sequence(parse_turn_set("U D L R F B"), 3)
    for effect, sequences in everything.items():
        if all(effect[s] == wanted.stickers[s] for s in edges):
            assert set(sequences) <= {one.turns for one in found.algorithms}
    assert found.algorithms
    for one in found.algorithms:
        made = Cube.from_turns(one.turns)
        assert [made.stickers[s] for s in edges] == [wanted.stickers[s] for s in edges]
    exact = find(wanted, "R U", longest=8, any_pieces=["UFL", "DB", "corners"])
    for one in exact.algorithms:
        made = Cube.from_turns(one.turns)
        goal = geometry(3).sticker("UR")
        assert made.stickers[goal] == geometry(3).sticker("UF")


@pytest.mark.parametrize(
    ("name", "text", "turns"),
    [
        ("T perm", "R U R' U' R' F R2 U' R' U' R U R' F'", "R U F"),
        ("Y perm, short", "R U' R' U' R U R' F' R U R' U' R' F R", "R U F"),
        ("R perm", "R U R' F' R U2 R' U2 R' F R U R U2 R' U'", "R U F"),
        ("J perm", "R U R' F' R U R' U' R' F R2 U' R' U'", "R U F"),
    ],
)
def test_known_algorithms_are_found_at_their_length_or_shorter(name: str, text: str, turns: str) -> None:
    """The swap algorithms of the two-swap method; common practice, no source."""
    sequence = parse_turns(text)
    found = find(Cube.from_turns(sequence), turns, longest=len(sequence))
    assert found.shortest is not None
    assert found.shortest <= len(sequence), name
    if found.shortest == len(sequence):
        assert normal_form(sequence) in {normal_form(one.turns) for one in found.algorithms}


def three_cycles(orbit_name: str, buffer_name: str) -> list[Cube]:
    """Every 3-cycle of the buffer sticker and two stickers of two other pieces."""
    geo = geometry(3)
    orbit, buffer = geo.orbit(orbit_name), geo.sticker(buffer_name)
    others = [s for s in orbit.stickers if s not in geo.piece_of(buffer)]
    return [
        parse_effect(f"{buffer_name} {geo.names[first]} {geo.names[second]}")
        for first, second in itertools.permutations(others, 2)
        if second not in geo.piece_of(first)
    ]


@pytest.mark.parametrize(("orbit", "buffer", "count"), [("edges", "UF", 440), ("corners", "UFR", 378)])
def test_every_three_cycle_of_a_buffer_has_an_algorithm(orbit: str, buffer: str, count: int) -> None:
    """440 edge pairs and 378 corner pairs (the counts are 22 x 20 and 21 x 18), each replayed."""
    cases = three_cycles(orbit, buffer)
    assert len(cases) == count
    lengths = []
    for wanted in cases:
        found = find(wanted, longest=12)
        assert found.algorithms, moved_pieces(wanted)
        assert Cube.from_turns(found.algorithms[0].turns) == wanted
        lengths.append(found.shortest or 0)
    assert max(lengths) <= 12


def test_ranking_puts_the_easiest_first_and_weights_are_the_users(tmp_path: os.PathLike[str]) -> None:
    from pathlib import Path

    from nightfold.search.hands import WeightsError, default_hands, load_hands

    wanted = Cube.from_turns("R U R' U'")
    found = find(wanted, longest=6, extra=2)
    costs = [one.cost for one in found.algorithms]
    assert costs == sorted(costs)
    assert default_hands().cost(parse_turns("R U R' U'")) < default_hands().cost(parse_turns("B U B' U'"))
    path = Path(tmp_path) / "mine.toml"
    path.write_text("[turn]\nU = 50\n", "utf-8")
    mine = find(wanted, longest=6, extra=2, hands=load_hands(path))
    assert mine.algorithms[0].cost > found.algorithms[0].cost
    for text, said in (
        ("[turn]\nQ = 1\n", "“Q” is not known"),
        ("[turn]\nU = 'x'\n", "must be a number"),
        ("x", "cannot"),
    ):
        path.write_text(text, "utf-8")
        with pytest.raises(WeightsError, match=said):
            load_hands(path)


# --- shapes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("R U R' U'", "[R, U]"),
        ("F R U R' U' F'", "[F: [R, U]]"),
        ("R U R' D R U' R' D'", "[R U R', D]"),
        ("R U R' D2 R U' R'", "[R U R': D2]"),
        ("R U R2 U' R'", "[R U: R2]"),
        ("R U2 F", None),
    ],
)
def test_shapes_are_recognised(text: str, form: str | None) -> None:
    found = as_brackets(parse_turns(text))
    assert (str(found) if found else None) == form


def test_a_shape_multiplies_out_to_the_sequence_again() -> None:
    draw = random.Random(9)
    names = [face + amount for face in "ULFRBD" for amount in ("", "2", "'")]
    recognised = 0
    for _ in range(300):
        a, b, c = (parse_turns(" ".join(draw.choices(names, k=draw.randint(1, 3)))) for _ in range(3))
        whole = f"[{write(a)}: [{write(b)}, {write(c)}]]"
        sequence = normal_form(parse_turns(whole))
        form = as_brackets(sequence)
        if form is None:
            continue
        recognised += 1
        assert normal_form(form.expand()) == sequence
        assert permutation_of(form.expand(), 3) == permutation_of(sequence, 3)
    assert recognised > 200


# --- wishes --------------------------------------------------------------------------------------------------


def test_effects_move_what_they_say() -> None:
    geo = geometry(3)
    cube = parse_effect("UF UR DB; UFR RUF FUR; UFL LUF FUL")
    assert cube.stickers[geo.sticker("UR")] == geo.sticker("UF")
    assert cube.stickers[geo.sticker("DB")] == geo.sticker("UR")
    assert cube.stickers[geo.sticker("UF")] == geo.sticker("DB")
    assert cube.stickers[geo.sticker("BD")] == geo.sticker("RU")
    assert cube.stickers[geo.sticker("RUF")] == geo.sticker("UFR")
    assert illegal_reason(cube) == ""
    assert set(moved_pieces(cube)) == {"UF", "UR", "DB", "UFR", "UFL"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no effect is given"),
        (" ; ", "no effect is given"),
        ("UF", "at least two"),
        ("UF UFR", "mixes corners with edges"),
        ("U R", "centres"),
        ("UF XX", "no sticker"),
        ("UF UR; UF UL", "sends UF to both"),
        ("UFR RUF", "to both"),
    ],
)
def test_wishes_that_cannot_be_read_are_explained(text: str, said: str) -> None:
    with pytest.raises(NightfoldError, match=said):
        parse_effect(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [("UF UR", "odd number of pieces"), ("UF FU", "odd number of edges"), ("UFR RUF FUR", "do not add up")],
)
def test_wishes_that_cannot_happen_are_refused_at_once(text: str, said: str) -> None:
    with pytest.raises(EffectError, match=said):
        find(parse_effect(text))


def test_turn_sets_are_read_and_checked() -> None:
    assert write(parse_turn_set("R U2 D'")) == "R R2 R' U2 D D'"
    with pytest.raises(FindingError, match="no turns"):
        parse_turn_set(" ")
    with pytest.raises(FindingError, match="0 to 20"):
        find(Cube.solved(), longest=21)


def test_nothing_to_do_is_an_answer() -> None:
    found = find(Cube.solved(), longest=3)
    assert found.shortest == 0
    assert found.algorithms[0].turns == ()


def test_what_is_not_there_is_proven_not_to_be() -> None:
    found = find(parse_effect("UF UR DB"), "R L", longest=8)
    assert found == Findings((), 8, None, found.walked, False, False, False, "R L")


def test_progress_can_stop_a_search_and_keeps_what_was_found() -> None:
    calls: list[tuple[int, int]] = []

    def progress(length: int, walked: int) -> bool:
        calls.append((length, walked))
        return len(calls) < 3

    found = find(parse_effect("UR UL; UFR UBL"), FACES, longest=20, threads=2, progress=progress)
    assert found.stopped
    assert len(calls) >= 3
    assert 0 < found.proven < 20


def test_forms_are_looked_for_on_request() -> None:
    found = find(Cube.from_turns("R U R' U'"), "R U", longest=4)
    assert found.algorithms[0].form is None
    assert str(with_form(found.algorithms[0]).form) == "[R, U]"


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
def test_control_c_ends_a_long_search_at_once() -> None:
    program = (
        "from nightfold.search.finding import find; from nightfold.search.effects import parse_effect\n"
        "print('go', flush=True)\n"
        "find(parse_effect('UR UL; UFR UBL'), longest=20)\n"
    )
    child = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "go\n"
    time.sleep(1.0)
    child.send_signal(signal.SIGINT)
    _, errors = child.communicate(timeout=20)
    assert child.returncode != 0
    assert "KeyboardInterrupt" in errors


def test_what_was_found_as_data() -> None:
    found = find(parse_effect("UF UR DB"), "R U D M", longest=9, extra=1)
    shown = list(found.best(2))
    assert [one.turns for one in shown] == [one.turns for one in found.algorithms[:2]]
    assert shown[0] == with_form(found.algorithms[0])
    data = found.to_dict(shown)
    assert (data["turns"], data["shortest"], data["proven"]) == ("R U D M", found.shortest, found.proven)
    assert data["found"] == len(found.algorithms) > 2 == len(data["algorithms"])
    first = data["algorithms"][0]
    assert Cube.from_turns(first["algorithm"]) == Cube.from_turns(first["form"]) == parse_effect("UF UR DB")
    assert find(Cube.solved(), "R", longest=1).turns == "R"


@pytest.mark.parametrize("extra", [-1, MOST_EXTRA + 1])
def test_so_many_turns_more_cannot_be_searched(extra: int) -> None:
    with pytest.raises(FindingError, match=f"{extra} turns more than the shortest"):
        find(Cube.solved(), "R", extra=extra)
