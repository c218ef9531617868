"""Marking: right memos are right, every slip is wrong and told by its name and place, and what is said is true."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest

from nightfold.blind.errors import MethodError
from nightfold.blind.lettering import Lettering, lettering_from, load_lettering
from nightfold.blind.method import method_names
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import BreakPoint, trace_orbit
from nightfold.coach.marking import WEIGHTS, Fault, MarkedOrbit, Marking, mark_memo
from nightfold.coach.memo import MAX_LETTERS, MemoError
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.search.native import core
from tests.blind import referee
from tests.coach import slips
from tests.coach.slips import BUFFERS, LETTERS, SLIPS, Board, Case, Letters, numbers, spelt
from tests.test_docs import DOCS, rows, section

PAGE = DOCS / "marking.md"
GEO = geometry(3)
#: Cubes with few right memos: cycles with and without the buffer, pieces flipped and twisted in place, nothing at all.
SMALL = {
    "solved": "",
    "one quarter turn": "L",
    "commutator": "R U R' U'",
    "commutator away from the buffers": "F D F' D'",
    "two flipped edges": "R U R' U' M' U R U' Rw'",
    "two twisted corners": "R' D' R D R' D' R D U R' D' R D R' D' R D R' D' R D R' D' R D U'",
    "three edges": "M2 U M U2 M' U M2",
    "five letters and five": "R U F",
}


def boards(text: str) -> dict[str, Board]:
    state = referee.play(text)
    return {orbit: Board(state, orbit, buffer) for orbit, buffer in BUFFERS.items()}


def marked(plan: Plan, orbit: str, memo: Sequence[int]) -> MarkedOrbit:
    return mark_memo(plan, {orbit: spelt(memo)}).orbits[0]


def changes(one: Sequence[object], other: Sequence[object]) -> tuple[int, int]:
    """The fewest letters put in, left out or replaced, and how few of them replaced, by trying everything."""

    @cache
    def rest(i: int, j: int) -> tuple[int, int]:
        if i == len(one) or j == len(other):
            return len(one) - i + len(other) - j, 0
        ways = [(*rest(i + 1, j), 0), (*rest(i, j + 1), 0), (*rest(i + 1, j + 1), 1)]
        if one[i] == other[j]:
            return min(rest(i + 1, j + 1), *((count + 1, replaced + how) for count, replaced, how in ways))
        return min((count + 1, replaced + how) for count, replaced, how in ways)

    return rest(0, 0)


def distance(one: Sequence[object], other: Sequence[object]) -> int:
    return changes(one, other)[0]


def every_memo(text: str, orbit: str) -> list[Letters]:
    """Every right memo by the referee."""
    found = referee.memos(referee.play(text), orbit, referee.canon(BUFFERS[orbit]))
    return sorted({tuple(LETTERS.index(referee.LETTER[orbit][t]) for t in targets) for targets, _ in found})


# --- right memos ---------------------------------------------------------------------------------------------------


def test_the_boards_judge_agrees_with_the_referee() -> None:
    for text in SMALL.values():
        for orbit, board in boards(text).items():
            for memo in every_memo(text, orbit)[:200]:
                assert board.solves(memo)
                assert board.traces(memo)
            assert board.solves(()) == board.traces(()) == (every_memo(text, orbit) == [()])
    assert not boards("R U R' U'")["edges"].solves((0,))


@pytest.mark.parametrize("seed", range(10))
def test_every_way_to_break_is_right(seed: int) -> None:
    """Random cubes, every break made at random, by our own tracing and by the tests' learner."""
    dice = random.Random(f"breaks {seed}")
    for _ in range(40):
        cube = slips.random_cube(dice)
        plan = make_plan(cube)
        state = slips.state_of(cube)
        for _ in range(3):
            traced, learnt = {}, {}
            for way in plan.method.ways:

                def anywhere(point: BreakPoint) -> int:
                    return dice.choice(list(point.options))

                reading = trace_orbit(plan.cube, way.orbit, way.buffer, plan.lettering, anywhere)
                traced[way.orbit.name] = reading.letters
                board = Board(state, way.orbit.name, BUFFERS[way.orbit.name])
                learnt[way.orbit.name] = spelt(slips.right_memo(board, dice).letters)
            for memos, answers in ((traced, (None,)), (learnt, (True, False))):
                for answer in answers:
                    marking = mark_memo(plan, memos, answer)
                    assert [one.faults for one in marking.orbits] == [(), ()]
                    assert [one.corrected for one in marking.orbits] == [one.letters for one in marking.orbits]
                    assert not any(one.remark for one in marking.orbits)
                    assert marking.parity_ok == (None if answer is None else answer == plan.parity)
                    assert marking.right == (marking.parity_ok is not False)
                    assert marking.say.startswith("The edges are right. The corners are right.")


@pytest.mark.parametrize(("name", "text"), SMALL.items())
@pytest.mark.parametrize("orbit", BUFFERS)
def test_every_right_memo_of_small_cubes_is_right_and_every_other_short_one_wrong(
    name: str, text: str, orbit: str
) -> None:
    plan = make_plan(Cube.from_turns(text))
    board = boards(text)[orbit]
    right = every_memo(text, orbit)
    for memo in right if len(right) <= 200 else random.Random(name).sample(right, 200):
        one = marked(plan, orbit, memo)
        assert (one.faults, one.remark) == ((), "")
    dice = random.Random(f"{name} {orbit}")
    short: list[Letters] = [(), *((a,) for a in range(24))]
    pairs = [(a, b) for a in range(24) for b in range(24)]
    short += pairs if "two" in name or name == "solved" else dice.sample(pairs, 100)
    short += [tuple(dice.choices(range(24), k=length)) for length in (3, 4, 5) for _ in range(60)]
    for memo in short:
        one = marked(plan, orbit, memo)
        assert one.ok == board.solves(memo), spelt(memo)
        assert one.ok == (one.letters == one.corrected)
        assert one.ok == (memo in right or bool(one.remark))


def test_pieces_turned_in_place_may_be_entered_at_any_sticker() -> None:
    flips = Cube.from_pieces({"edges": [(n, 1) if n in (1, 4, 6, 9) else (n, 0) for n in range(12)]})
    twists = Cube.from_pieces({"corners": [(n, (1, 2, 0, 2, 1, 0, 0, 0)[n]) for n in range(8)]})
    for cube, orbit in ((flips, "edges"), (twists, "corners")):
        plan = make_plan(cube)
        board = Board(slips.state_of(cube), orbit, BUFFERS[orbit])
        alone = {board.piece[s]: sorted(board.round[s]) for s in board.unsolved}
        assert len(alone) >= 3
        for stickers in alone.values():
            for first in stickers:
                others = [s for piece, there in alone.items() if piece != board.piece[first] for s in there[:1]]
                memo = [letter for entry in (first, *others) for letter in (entry, board.seen[entry])]
                assert marked(plan, orbit, memo).ok
                assert not marked(plan, orbit, memo[1:]).ok


def two_characters() -> Lettering:
    """Symbols such as ``F2`` and ``f``, where one may begin another."""
    faces = {face: f"{face.lower()} {face} {face}2 {face.lower()}{face}" for face in "ULFRBD"}
    return lettering_from({"name": "two characters", "every-orbit": faces}, 3, "two characters")


@pytest.mark.parametrize("method", method_names())
def test_all_methods_holds_and_letterings(method: str) -> None:
    dice = random.Random(method)
    letterings = [load_lettering(), load_lettering("greek"), two_characters()]
    opposite = {"W": "Y", "Y": "W", "O": "R", "R": "O", "G": "B", "B": "G"}
    holds = [(up, front) for up in opposite for front in opposite if front not in (up, opposite[up])]
    rotations = {referee.play(hold)[4] + referee.play(hold)[22]: hold for hold in ("", *slips.OTHER_HOLDS)}
    colour = dict(zip("WOGRBY", "ULFRBD", strict=True))
    assert len(holds) == 24
    for up, front in holds:
        cube = slips.random_cube(dice)
        lettering = dice.choice(letterings)
        plan = make_plan(cube, method, lettering, f"{up},{front}")
        state = referee.play(rotations[colour[up] + colour[front]], slips.state_of(cube))
        for way in plan.method.ways:
            orbit = way.orbit.name
            symbol = {
                LETTERS.index(referee.LETTER[orbit][referee.canon(GEO.names[sticker])]): symbol
                for sticker, symbol in lettering.of(way.orbit).items()
            }
            board = Board(state, orbit, GEO.names[way.buffer])
            memo = slips.right_memo(board, dice).letters
            assert mark_memo(plan, {orbit: " ".join(symbol[letter] for letter in memo)}).right
            for _ in range(5):
                wrong = list(memo)
                wrong[dice.randrange(len(wrong))] = dice.randrange(24)
                one = mark_memo(plan, {orbit: [symbol[letter] for letter in wrong]}).orbits[0]
                assert one.ok == board.solves(wrong)
                if not one.ok:
                    check_sentences(one, lettering)
                    back = {text: letter for letter, text in symbol.items()}
                    assert board.traces([back[text] for text in one.corrected])


def wanderings(board: Board, dice: random.Random) -> Iterator[Letters]:
    """Memos that solve the orbit though they now and then leave a cycle for another piece."""
    while True:
        seen, memo = list(board.seen), list[int]()
        while any(place != sticker for place, sticker in enumerate(seen)) and len(memo) < 40:
            others = [s for s in range(24) if board.piece[s] != board.own]
            wrong = [s for s in others if seen[s] != s]
            if dice.random() < 0.1 or (board.piece[seen[board.buffer]] == board.own and not wrong):
                memo.append(dice.choice(others))
            elif board.piece[seen[board.buffer]] == board.own:
                memo.append(dice.choice(wrong))
            else:
                memo.append(seen[board.buffer])
            for a, b in zip(board.round[board.buffer], board.round[memo[-1]], strict=True):
                seen[a], seen[b] = seen[b], seen[a]
        if board.solves(memo):
            yield tuple(memo)


def test_a_memo_that_solves_the_cube_by_an_unusual_path_is_right_with_a_remark() -> None:
    dice = random.Random("unusual")
    unusual = 0
    for case, _ in zip(slips.cases(dice, 2), range(80), strict=False):
        for memo, _ in zip(wanderings(case.board, dice), range(6), strict=False):
            marking = mark_memo(case.plan, {case.orbit: spelt(memo)})
            (one,) = marking.orbits
            assert marking.right
            assert one.corrected == one.letters == tuple(spelt(memo))
            assert bool(one.remark) == (not case.board.traces(memo))
            if one.remark:
                unusual += 1
                told = re.match(r"at letter (\d+), (\w) \((\w+)\), it leaves the usual path", one.remark)
                assert told
                at = int(told[1]) - 1
                assert LETTERS.index(told[2]) == memo[at]
                assert referee.STICKER[case.orbit][told[2]] == referee.canon(told[3])
                mind = case.board.begin()
                for letter in memo[:at]:
                    assert letter in case.board.asked(mind)
                    mind = case.board.after(mind, letter)
                assert memo[at] not in case.board.asked(mind)
                assert f"The {case.orbit} are right; {one.remark}." in marking.say
                more = len(memo) - len(slips.right_memo(case.board, dice).letters)
                assert re.search(rf"takes {more} letters? more", one.remark) or not more
    assert unusual > 200


# --- one slip ------------------------------------------------------------------------------------------------------


def documented() -> dict[str, list[str]]:
    """The table of how slips are told, by the slip."""
    return {row[0]: row[1:] for row in rows(section(PAGE, "How well slips are told"))}


@pytest.mark.parametrize("name", SLIPS)
def test_one_slip_is_told_by_its_name_and_place(name: str) -> None:
    """A thousand memos with one slip, each judged and explained; the page shows what came of them."""
    row = slips.judged(name)
    assert row.count == 1000
    assert row.told >= 0.95 * row.only
    assert row.plausible == row.wrong
    assert documented()[name] == [f"`{SLIPS[name][0]}`", *row.cells()]


def test_the_page_adds_the_thousands_up() -> None:
    table = documented()
    assert list(table) == [*SLIPS, "all"]
    *_, count, lucky, only, told, share, same, _ = table.pop("all")
    columns = list(zip(*table.values(), strict=True))
    assert [count, lucky, only, told] == [str(sum(map(int, columns[at]))) for at in (1, 2, 3, 4)]
    assert int(count) == 21_000
    assert share == f"{int(told) / int(only):.1%}"
    hits = sum(round(float(s.rstrip("%")) / 100 * (1000 - int(r))) for s, r in zip(columns[6], columns[2], strict=True))
    assert float(same.rstrip("%")) == pytest.approx(100 * hits / (int(count) - int(lucky)), abs=0.06)
    assert int(told) >= 0.95 * int(only)


def weight(fault: Fault) -> int:
    return slips.weight(fault.kind)


@pytest.mark.parametrize("seed", range(4))
def test_two_slips_are_explained_by_no_more_than_two(seed: int) -> None:
    """One slip on top of another, both followed by right letters, so the explanation need not weigh more than both."""
    dice = random.Random(f"two {seed}")
    local = [name for name, (kind, _) in SLIPS.items() if "read on" not in name and kind not in slips.WHOLE]
    both = 0
    for case, _ in zip(slips.cases(dice, 4), range(250), strict=False):
        memo = slips.right_memo(case.board, dice)
        first, second = dice.choices(local, k=2)
        one = SLIPS[first][1](case, memo, dice)
        if one is None or not one[1] or one[0][: one[1]] != memo.letters[: one[1]]:
            continue
        # The second slip before the first, where all is still right.
        at = dice.randrange(max(1, one[1] - 2))
        wrong = [*one[0]]
        if second in ("letter written twice", "letter too many"):
            if first == "pairs exchanged":
                continue  # they would be pairs no more
            wrong.insert(at, wrong[at - 1] if at and "twice" in second else dice.randrange(24))
            heavy = WEIGHTS["extra-letter"]
        elif at < len(memo.letters) - 1 and at < len(wrong):
            wrong[at] = dice.randrange(24)
            heavy = WEIGHTS["wrong-letter"]
        else:
            continue
        done = marked(case.plan, case.orbit, wrong)
        assert done.ok == case.board.solves(wrong)
        if done.ok or any(fault.kind == "unlike" for fault in done.faults):
            assert done.ok or len(wrong) < 8, (case.cube, case.orbit, spelt(wrong))
            continue
        assert sum(map(weight, done.faults)) <= slips.weight(SLIPS[first][0]) + heavy + 25, done.faults
        assert len(done.faults) <= 2
        both += len(done.faults) == 2
        check_sentences(done, case.plan.lettering)
        assert case.board.traces(numbers(done.corrected))
    assert both > 100


def test_hopeless_memos_are_called_so() -> None:
    dice = random.Random("hopeless")
    unlike = 0
    for case, _ in zip(slips.cases(dice, 2), range(60), strict=False):
        memo = dice.choices(range(24), k=dice.choice((12, 30, MAX_LETTERS)))
        one = marked(case.plan, case.orbit, memo)
        assert not one.ok
        assert case.board.traces(numbers(one.corrected))
        if one.faults[0].kind == "unlike":
            unlike += 1
            (own,) = [reading.letters for reading in case.plan.orbits if reading.orbit.name == case.orbit]
            assert one.corrected == own
            assert one.faults[0].expected == own[:1]
            assert one.faults[0].say.endswith(" ".join(own))
    assert unlike > 45


# --- what is said --------------------------------------------------------------------------------------------------

LETTER = r"(?:letter \d+)"
NAMED = r"(\w+) \((\w+)\)"
SHOWN = rf"{LETTER}, {NAMED},"
READ_ON = r"(?:; what follows was read on from there| \(as read on from the slip before\))?"
OWN = "the buffer's own piece, which is never shot to"
MANY = r"\S+(?: \S+)*"
PIECES = r"[UDFBLR]+(?:, [UDFBLR]+)*(?: and [UDFBLR]+)?"
SENTENCES = {
    "other-sticker": rf"{SHOWN} is the right piece but not its right sticker; it is {NAMED}",
    "neighbour": rf"{SHOWN} lies beside the right sticker; it is {NAMED}",
    "wrong-letter": rf"{SHOWN} is not where the tracing goes; it goes to {NAMED}",
    "left-out": rf"a letter is left out before {LETTER}: {NAMED}",
    "not-closed": rf"the cycle is not closed (?:before {LETTER}|at the end): {NAMED} is on the piece broken into and "
    "must be shot to as well",
    "doubled": rf"{SHOWN} is written twice; once is right",
    "extra-letter": rf"{SHOWN} (?:has no place here|is on {OWN}); leave it out",
    "exchanged": rf"{LETTER} and the next are exchanged; it is \S+ \S+",
    "pairs-exchanged": rf"the pair at {LETTER} and the next pair are exchanged; it is \S+ \S+ \S+ \S+",
    "broke-into-solved": rf"{SHOWN} breaks into (?:{PIECES}, which is solved(?: by the letters before)?|{OWN}); "
    "break into an unsolved piece",
    "closed-early": rf"(?:{SHOWN} ends the cycle too early|the cycle is left too early before {LETTER})"
    rf"(?:, to take up its rest later)?; it goes on {MANY}",
    "missed-flipped": rf"{PIECES} is in its place but flipped, and is missed: \S+ \S+ turn it right",
    "missed-twisted": rf"{PIECES} is in its place but twisted, and is missed: \S+ \S+ turn it right",
    "missed-cycle": rf"the cycle of {PIECES} is missed: {MANY}",
    "stopped-early": rf"(?:the memo stops too early|nothing is written): {MANY} (?:is|are) missing",
    "too-long": rf"(?:{SHOWN} is too much|from {LETTER} on there is too much): everything is solved before it",
    "held-differently": r"these letters are right(?: but for one slip)? for the cube held with \w+ up and \w+ in "
    r"front; it is to be held with \w+ up and \w+ in front",
    "other-orbit": r"these are (?:right letters|letters, right but for one slip,) of the (?:edges|corners), written "
    r"where the (?:edges|corners) belong",
    "unlike": rf"so much differs that no single slip can be named; start again, for example with {MANY}",
}


def check_sentences(one: MarkedOrbit, lettering: Lettering) -> None:
    """Every sentence has its form, and names letters and stickers that exist and belong together."""
    symbols = {GEO.names[sticker]: symbol for sticker, symbol in lettering.of(one.orbit).items()}
    pieces = {GEO.piece_name(sticker) for sticker in one.orbit.stickers}
    for fault in one.faults:
        assert re.fullmatch(SENTENCES[fault.kind] + READ_ON, fault.say), fault
        for symbol, name in re.findall(rf"{NAMED}", fault.say):
            assert symbols[name] == symbol, fault
        for name in re.findall(r"\b[UDFBLR]{2,3}\b", re.sub(r": .*|; .*", "", fault.say)):
            assert name in symbols or name in pieces, fault
        if fault.letter and fault.kind not in ("held-differently", "other-orbit", "unlike"):
            assert one.letters[fault.at] == fault.letter
            assert f"letter {fault.at + 1}" in fault.say
            assert "exchanged" in fault.kind or "too much" in fault.say or f", {fault.letter} (" in fault.say
        said = re.sub(READ_ON + "$", "", fault.say)
        for run in re.findall(
            r"(?:: |it goes on |it is )([^:()]+?)(?: turn it right| is missing| are missing|$)", said
        ):
            if fault.kind not in ("held-differently", "too-long"):
                assert set(run.split()) <= set(symbols.values()), fault


@pytest.mark.parametrize("name", SLIPS)
def test_what_is_said_is_true(name: str) -> None:
    """Faults one by one: the sentence, the letters expected, and the corrected memo."""
    agree = count = 0
    for case, memo, _ in slips.slipped(name, 150, seed=3):
        one = marked(case.plan, case.orbit, memo)
        if one.ok:
            continue
        check_sentences(one, case.plan.lettering)
        check_expected(case, memo, one)
        check_corrected(case, memo, one)
        count += 1
        agree += consistent(memo, one)
    # Only where the plan's own letters happen to be nearer does the corrected memo not take up what the fault says.
    assert agree >= 0.96 * count


def check_expected(case: Case, memo: Letters, one: MarkedOrbit) -> None:
    """What is expected at the first fault is right after the right letters before it, and is what a right memo has."""
    board = case.board
    first = one.faults[0]
    expected = numbers(first.expected)
    mind = board.begin()
    for letter in memo[: first.at]:
        assert letter in board.asked(mind)
        mind = board.after(mind, letter)
    asked = board.asked(mind)
    assert set(expected) <= set(asked)
    assert bool(expected) == bool(asked)
    if first.kind in ("doubled", "extra-letter", "broke-into-solved", "stopped-early", "too-long"):
        assert expected == tuple(asked)
    elif "missed" in first.kind and mind[0] < 0:
        assert first.at == len(memo) or len(one.faults) > 1
        entered = board.rest(board.after(mind, expected[0]))[1]
        assert set(expected) == set(asked) - set(board.asked(entered))
    else:
        assert len(expected) == 1
    if first.kind in ("other-sticker", "neighbour", "wrong-letter") and len(one.faults) == 1:
        replaced = (*memo[: first.at], *expected, *memo[first.at + 1 :])
        assert board.traces(replaced) != first.say.endswith("; what follows was read on from there")


def consistent(memo: Letters, one: MarkedOrbit) -> bool:
    """Whether the corrected memo goes along with the memo up to its first fault, and then with what is expected."""
    first = one.faults[0]
    return numbers(one.corrected[: first.at]) == memo[: first.at] and (
        not first.expected or one.corrected[first.at] in first.expected
    )


def check_corrected(case: Case, memo: Letters, one: MarkedOrbit) -> None:
    (own,) = [reading.letters for reading in case.plan.orbits if reading.orbit.name == case.orbit]
    assert case.board.traces(numbers(one.corrected))
    assert case.board.solves(numbers(one.corrected))
    assert distance(spelt(memo), one.corrected) <= distance(spelt(memo), own)


@pytest.mark.parametrize(
    "name", ["other sticker, read on from there", "any other letter, read on from there", "broke into a solved piece"]
)
def test_after_a_slip_that_was_followed_up_expected_letters_are_those_of_a_right_memo(name: str) -> None:
    """A second slip further on: what is expected there is what the corrected memo has in its place."""
    dice = random.Random(f"astray {name}")
    astray = 0
    for case, memo, at in slips.slipped(name, 400, seed=5):
        if at + 2 >= len(memo):
            continue
        wrong = list(memo)
        wrong[dice.randrange(at + 1, min(at + 5, len(memo)))] = dice.randrange(24)
        one = marked(case.plan, case.orbit, wrong)
        if one.ok or one.faults[0].kind == "unlike":
            continue
        check_expected(case, tuple(wrong), one)
        check_corrected(case, tuple(wrong), one)
        check_sentences(one, case.plan.lettering)
        first, *others = one.faults
        if first.kind == "broke-into-solved" and "read on" in first.say:
            # Whatever slips while a finished cycle is walked once more is told from there.
            over = first.at + len(case.board.walked_again(wrong[first.at])) - 1
            assert all("(as read on" in fault.say for fault in others if fault.at < over)
        followed = False
        for fault in one.faults:
            if fault.say.endswith("(as read on from the slip before)"):
                assert followed
                astray += 1
                assert len(fault.expected) <= 1
                assert set(fault.expected) <= set(one.corrected)
            followed |= "read on from there" in fault.say or "rest later" in fault.say
    assert astray >= 5


@pytest.mark.parametrize("text", ["R U R' U'", "F D F' D'", "R U F", "M2 U M U2 M' U M2"])
def test_the_nearest_right_memo_is_as_near_as_any(text: str) -> None:
    """Against the distances to all right memos, also among those that begin as the memo does."""
    dice = random.Random(text)
    geo = geometry(3)
    for orbit, buffer in BUFFERS.items():
        stickers = geo.orbit(orbit).stickers
        names = [referee.canon(geo.names[sticker]) for sticker in stickers]
        number = {LETTERS.index(referee.LETTER[orbit][name]): at for at, name in enumerate(names)}
        letter_of = {at: letter for letter, at in number.items()}
        cube = Cube.from_turns(text)
        seen = [stickers.index(cube.stickers[place]) for place in stickers]
        pieces = [next(at for at, piece in enumerate(geo.orbit(orbit).pieces) if s in piece) for s in stickers]
        own = stickers.index(geo.sticker(buffer))
        every = every_memo(text, orbit)
        for _ in range(25):
            memo = list(dice.choice(every))
            for _ in range(dice.randrange(4)):
                at = dice.randrange(len(memo) + 1)
                memo[at : at + dice.randrange(2)] = dice.choices(range(24), k=dice.randrange(2))
            keep = max(len([1 for a, b in zip(memo, one, strict=False) if a == b]) for one in every)
            keep = max(k for k in range(keep + 1) if any(list(one[:k]) == memo[:k] for one in every))
            for kept in {0, keep}:
                among = [one for one in every if list(one[:kept]) == memo[:kept]]
                least, replaced = min(changes(memo, one) for one in among)
                coded = [number[letter] for letter in memo]
                found = core.nearest_memo(seen, pieces, own, coded, kept, least, 1_000_000)
                assert found is not None
                right = tuple(letter_of[at] for at in found)
                assert right in among
                assert changes(memo, right) == (least, replaced)
                assert not least or core.nearest_memo(seen, pieces, own, coded, kept, least - 1, 1_000_000) is None


# --- the whole -----------------------------------------------------------------------------------------------------


def test_counts_that_cannot_both_be_right() -> None:
    dice = random.Random("counts")
    odd = 0
    for case, memo, _ in slips.slipped("letter left out", 100, seed=4):
        other = "corners" if case.orbit == "edges" else "edges"
        right = slips.right_memo(case.other, dice).letters
        marking = mark_memo(case.plan, {case.orbit: spelt(memo), other: spelt(right)})
        counts = {case.orbit: len(memo), other: len(right)}
        odd += 1
        assert not marking.right
        assert (
            f"{counts['edges']} letters of edges and {counts['corners']} of corners cannot both be right: the counts "
            "of a cube are both even or both odd."
        ) in marking.say
        assert f"The {other} are right. " in marking.say + " "
        assert f"The {case.orbit} have one fault." in marking.say
    assert odd == 100


@pytest.mark.parametrize("text", ["R", "R U R' U'"])
def test_the_parity_answer(text: str) -> None:
    plan = make_plan(text)
    memos = {reading.orbit.name: reading.letters for reading in plan.orbits}
    for answer in (True, False):
        marking = mark_memo(plan, memos, answer)
        assert marking.parity_ok == (answer == plan.parity) == marking.right
        if marking.right:
            assert "The parity answer is right." in marking.say
        else:
            truth = "odd, so there is parity" if plan.parity else "even, so there is no parity"
            said = "yes" if answer else "no"
            assert f"The parity answer “{said}” is wrong: the letter counts are {truth}." in marking.say
    assert mark_memo(plan, memos).parity_ok is None
    assert "parity answer" not in mark_memo(plan, memos).say
    # One orbit alone can be marked, and the answer with it.
    only = mark_memo(plan, {"corners": memos["corners"]}, plan.parity)
    assert [one.orbit.name for one in only.orbits] == ["corners"]
    assert only.right


def test_each_orbits_letters_written_for_the_other() -> None:
    dice = random.Random("crossed")
    for case, _ in zip(slips.cases(dice, 1), range(20), strict=False):
        memos = {reading.orbit.name: "".join(reading.letters) for reading in case.plan.orbits}
        marking = mark_memo(case.plan, {"edges": memos["corners"], "corners": memos["edges"]})
        for one, orbit, other in zip(marking.orbits, ("edges", "corners"), ("corners", "edges"), strict=True):
            (fault,) = one.faults
            assert fault.kind == "other-orbit"
            assert fault.say == f"these are right letters of the {other}, written where the {orbit} belong"


@pytest.mark.parametrize("hold", slips.OTHER_HOLDS)
def test_the_hold_that_was_read_in_is_named(hold: str) -> None:
    dice = random.Random(hold)
    cube = slips.random_cube(dice)
    state = referee.play(hold, slips.state_of(cube))
    names = dict(zip("ULFRBD", ("white", "orange", "green", "red", "blue", "yellow"), strict=True))
    for orbit, buffer in BUFFERS.items():
        memo = slips.right_memo(Board(state, orbit, buffer), dice).letters
        (fault,) = marked(make_plan(cube), orbit, memo).faults
        assert fault.kind == "held-differently"
        assert fault.say == (
            f"these letters are right for the cube held with {names[state[4]]} up and {names[state[22]]} in front; it "
            "is to be held with white up and green in front"
        )
        # With one letter wrong besides, that is still the best there is to say.
        at = dice.randrange(1, len(memo))
        wrong = [*memo[:at], (memo[at] + 5) % 24, *memo[at + 1 :]]
        (fault,) = marked(make_plan(cube), orbit, wrong).faults
        assert fault.kind == "held-differently"
        assert fault.say.startswith("these letters are right but for one slip for the cube held with")


def test_other_breaks_that_would_have_saved_turns() -> None:
    dice = random.Random("breaks")
    saved = 0
    for _ in range(40):
        cube = slips.random_cube(dice)
        plan = make_plan(cube)
        memos = {reading.orbit.name: reading.letters for reading in plan.orbits}
        say = mark_memo(plan, memos).say
        best = make_plan(cube, breaks="shortest")
        if told := re.search(r"Other breaks would have saved (\d+) turns: edges ([A-X ]+); corners ([A-X ]+)\.", say):
            saved += 1
            steps = [sum(len(step.turns) for step in one.steps if step.orbit != "parity") for one in (plan, best)]
            assert int(told[1]) == steps[0] - steps[1] > 0
            again = mark_memo(plan, {"edges": told[2], "corners": told[3]})
            assert again.right
            assert "No other choice of breaks would have saved a turn." in again.say
        else:
            assert "No other choice of breaks would have saved a turn." in say
            assert len(plan.solution) == len(best.solution)
    assert saved > 10
    solved = mark_memo(make_plan(""), {"edges": "", "corners": ""}, False)
    assert solved.right
    assert solved.say == "The edges are right. The corners are right. The parity answer is right."


def test_data_of_a_marking() -> None:
    plan = make_plan("D F L2 B U R F' L' B2")
    edges = list("IUHTFEAXQOV")
    data = mark_memo(plan, {"corners": "QW HM PG L", "edges": "IU HT FE AX QO V"}, False).to_dict()
    assert data == {
        "verdict": "wrong",
        "orbits": [
            {"orbit": "edges", "ok": True, "letters": edges, "faults": [], "corrected": edges},
            {
                "orbit": "corners",
                "ok": False,
                "letters": list("QWHMPGL"),
                "faults": [
                    {
                        "at": 2,
                        "letter": "H",
                        "kind": "exchanged",
                        "expected": ["M"],
                        "say": "letter 3 and the next are exchanged; it is M H",
                    }
                ],
                "corrected": list("QWMHPGL"),
            },
        ],
        "parity_ok": False,
        "say": "The edges are right. The corners have one fault. The parity answer “no” is wrong: the letter counts "
        "are odd, so there is parity.",
    }


def test_marking_twice_gives_the_same() -> None:
    for case, memo, _ in slips.slipped("any other letter, read on from there", 30, seed=6):
        first, second = (mark_memo(case.plan, {case.orbit: spelt(memo)}) for _ in range(2))
        assert isinstance(first, Marking)
        assert first == second


# --- bad input -----------------------------------------------------------------------------------------------------


def test_nothing_to_mark_and_an_orbit_there_is_not() -> None:
    plan = make_plan("R U F")
    with pytest.raises(MemoError, match="there is no memo to mark; give the edges', the corners', or both"):
        mark_memo(plan, {})
    with pytest.raises(MethodError, match="“wings” is no orbit of the method two-swap; it has edges and corners"):
        mark_memo(plan, {"wings": "AB"})
    with pytest.raises(MemoError, match="“7” at column 4 of the corners memo is no letter of the corners"):
        mark_memo(plan, {"edges": "AB", "corners": "AB 7"})


def test_the_native_search_refuses_what_is_no_orbit() -> None:
    seen, piece = [2, 3, 0, 1, 4, 5], [0, 0, 1, 1, 2, 2]

    def explain(
        seen: list[int] = seen,
        piece: list[int] = piece,
        beside: int = 6,
        buffer: int = 0,
        memo: tuple[int, ...] = (2,),
        weights: int = len(WEIGHTS),
    ) -> tuple[int, int, bool]:
        given = (seen, piece, [0] * beside, buffer, list(memo), [100] * weights)
        steps, _, right_letters, gave_up = core.explain_memo(*given, 900, 99)
        return len(steps), right_letters, gave_up

    assert explain() == (1, 1, False)
    assert explain(memo=()) == (1, 0, False)
    bad: list[Callable[[], object]] = [
        lambda: explain(seen=[2, 3, 0, 1, 4]),
        lambda: explain(seen=[2, 3, 0, 1, 4, 4]),
        lambda: explain(seen=[2, 3, 0, 1, 4, 6]),
        lambda: explain(seen=[2, 3, 0, 1, 4, -1]),
        lambda: explain(piece=[0, 0, 1, 1, 2, 12]),
        lambda: explain(buffer=6),
        lambda: explain(buffer=-1),
        lambda: explain(memo=(6,)),
        lambda: explain(memo=(2,) * 101),
        lambda: explain(weights=3),
        lambda: explain(beside=5),
        lambda: explain(seen=list(range(25)), piece=[0] * 25, beside=25),
        lambda: core.nearest_memo(seen, piece, 0, [9], 0, 1, 99),
    ]
    for call in bad:
        with pytest.raises(ValueError, match=r"needed|out of range|once"):
            call()
    assert core.nearest_memo(seen, piece, 0, [2], 0, 0, 99) == [2]
    assert core.nearest_memo(seen, piece, 0, [], 0, 0, 99) is None


# --- the page ------------------------------------------------------------------------------------------------------


def kinds_shown() -> list[list[str]]:
    return rows(section(PAGE, "The kinds of fault"))


def test_the_page_shows_every_kind_with_its_weight() -> None:
    turned = {kind.replace("flipped", "turned"): kind for kind in ("missed-flipped",)}
    weights = {f"`{turned.get(kind, kind)}`": str(weight) for kind, weight in WEIGHTS.items() if kind != "right"}
    weights["`missed-twisted`"] = str(WEIGHTS["missed-turned"])
    shown = {row[0]: row[1] for row in kinds_shown()}
    assert set(shown) - set(weights) == {"`held-differently`", "`other-orbit`", "`unlike`"}
    assert {kind: shown[kind] for kind in weights} == weights


@pytest.mark.parametrize("row", kinds_shown() if Path(PAGE).exists() else [], ids=lambda row: row[0].strip("`"))
def test_the_sentences_on_the_page_are_what_is_said(row: list[str]) -> None:
    kind, _, _, example, sentence = row
    found = re.fullmatch(r"(edges|corners) `([A-X ]*)`", example)
    assert found
    text = re.search(r'nightfold mark "([^"]+)"', PAGE.read_text("utf-8"))
    assert text
    (fault,) = mark_memo(make_plan(text[1]), {found[1]: found[2]}).orbits[0].faults
    assert (f"`{fault.kind}`", fault.say) == (kind, sentence)
