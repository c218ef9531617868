"""The inquest against attempts that really went wrong, turn by turn."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator

import pytest

from nightfold.blind.method import method_names
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import BreakPoint
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.inquest import Explanation, InquestError, InquestStoppedError, Verdict, came_out, hold_inquest
from nightfold.coach.marking import mark_memo
from nightfold.coach.meant import meant_plan, other_memos
from nightfold.coach.mistakes import Slip as Named
from nightfold.coach.mistakes import alternatives, catalogue, strays, turn_table, turned_with
from nightfold.coach.slips import EDIT, SPLIT, STRAY, TURN, Slips
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import geometry
from nightfold.cube.net import net_of, write_net
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from tests.coach.attempts import (
    CHANCES,
    Attempt,
    Judge,
    Rates,
    State,
    Story,
    play,
    scrambles,
    story,
    turned_home,
)

#: How many scrambles, attempts at each, and the seed, by the number of mistakes; and what the first guess must reach.
CASES = {1: (4, 125, 1859), 2: (3, 50, 1860), 3: (2, 15, 1861)}
AIMS = {1: 0.97, 2: 0.85, 3: 0.60}
SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2"
PLAN = make_plan(SCRAMBLE)
MEMOS = {reading.orbit.name: reading.letters for reading in PLAN.orbits}


def told(one: Explanation) -> Story:
    return frozenset(letter for mistake in one.mistakes for letter in mistake.concerns)


def kinds(one: Explanation) -> list[str]:
    return sorted(mistake.kind for mistake in one.mistakes)


def replayed(attempt: Attempt, one: Explanation) -> State:
    """Where the turns of an explanation lead on the tests' own cube."""
    return turned_home(play(write(one.turns).split(), attempt.begun))


# --- rates ---------------------------------------------------------------------------------------------------


def measured(mistakes: int) -> Rates:
    plans, attempts, seed = CASES[mistakes]
    dice = random.Random(seed)
    rates = Rates(mistakes)
    for scramble in scrambles(dice, plans):
        plan = make_plan(scramble)
        attempt = Attempt(plan)
        judge = Judge(attempt)
        for _ in range(attempts):
            slips = attempt.draw(dice, mistakes)
            final = attempt.ends(slips)
            verdict = hold_inquest(plan, Cube(3, final), mistakes=mistakes)
            for one in verdict.explanations:
                assert replayed(attempt, one) == turned_home(final)
                assert 1 <= len(one.mistakes) <= mistakes
            stories = [told(one) for one in verdict.explanations]
            place = stories.index(story(slips)) if story(slips) in stories else None
            same_kinds = kinds(verdict.explanations[0]) == sorted(slip.kind for slip in slips)
            rates.count(place, judge.identifiable(slips), same_kinds)
    return rates


@pytest.mark.parametrize("mistakes", CASES)
def test_first_guess_is_right_as_often_as_the_cube_can_tell(mistakes: int) -> None:
    """At least the rates aimed at; the documentation lists some that were measured."""
    rates = measured(mistakes)
    assert rates.identifiable_first >= AIMS[mistakes] * rates.identifiable
    assert rates.identifiable >= rates.cases / 2


# --- the catalogue -------------------------------------------------------------------------------------------


def every_slip(plan: Plan) -> Iterator[Named]:
    slips = Slips(plan)
    numbers = turn_table()[1]
    for number in range(len(slips.edits)):
        yield slips.slip(EDIT, 0, number)
    for number in range(len(slips.splits)):
        yield slips.slip(SPLIT, 0, number)
    for place, turn in enumerate(slips.meant):
        for number in range(len(alternatives()[numbers[turn]])):
            yield slips.slip(TURN, place, number)
    for place in range(len(slips.meant) + 1):
        for number in range(len(strays())):
            yield slips.slip(STRAY, place, number)


@pytest.mark.parametrize("method", method_names())
@pytest.mark.parametrize("scramble", ["R U R' U'", "R"])
def test_every_slip_is_what_the_judge_turns_and_nothing_is_missing(method: str, scramble: str) -> None:
    """Kind, letters, odds and outcome of every single slip, as the judge finds them by rules of its own."""
    plan = make_plan(scramble, method)
    assert plan.hold == ""
    attempt = Attempt(plan)
    mine: Counter[tuple[str, Story, float, State]] = Counter()
    for slip in every_slip(plan):
        turns = turned_with(plan.solution, slip.parts)
        final = turned_home(plan.cube.apply(turns).stickers)
        if final != attempt.solved:
            odds = round(2.718281828459045**slip.weight, 9)
            mine[slip.kind, frozenset(slip.letters), odds, final] += 1
    judged = Counter((slip.kind, slip.story, round(slip.odds, 9), attempt.outcome((slip,))) for slip in attempt.slips)
    assert mine == judged
    assert attempt.solved == turned_home(play(write(plan.solution).split(), attempt.begun))


def test_sentences_are_filled_and_every_kind_occurs() -> None:
    seen: dict[str, list[Named]] = {}
    for scramble in (SCRAMBLE, "R U R' U'", "F R2 D'", "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U"):
        for slip in every_slip(make_plan(scramble)):
            seen.setdefault(slip.kind, []).append(slip)
    # Cubes with flipped and twisted pieces.
    seen["turned-forgotten"] = [
        slip for slip in every_slip(make_plan("[R' E' R2 E2 R', U]")) if slip.kind == "turned-forgotten"
    ]
    assert set(seen) == set(catalogue()) - {"other-turns"}
    for kind, slips in seen.items():
        for slip in slips[:200]:
            for sentence in (catalogue()[kind].say, catalogue()[kind].felt, catalogue()[kind].hint):
                words = slip.told(sentence)
                assert words
                assert "{" not in words
                assert "  " not in words
                assert " ," not in words
                assert not words.endswith((" ", ".", ":"))


# --- what came out -------------------------------------------------------------------------------------------


def slipped(kind: str, plan: Plan = PLAN, number: int = 0) -> tuple[Named, Cube]:
    """A slip of a kind, and the cube that comes out when it is made."""
    slips = [slip for slip in every_slip(plan) if slip.kind == kind]
    slip = slips[number]
    return slip, plan.cube.apply(turned_with(plan.solution, slip.parts))


def test_a_solved_cube_needs_no_mistake() -> None:
    for final in (Cube.solved(), Cube.from_turns("x y'")):
        verdict = hold_inquest(PLAN, final, finish=True)
        assert verdict.solved
        (only,) = verdict.explanations
        assert (only.mistakes, only.probability, only.turns) == ((), 1.0, PLAN.solution)
        assert verdict.searched == (0, 0, 0)
        assert verdict.finish == ()
        assert verdict.say == "The cube is solved: there is no mistake to find."


def test_what_came_out_may_be_told_in_three_ways_and_held_in_any() -> None:
    slip, final = slipped("undo-left-out", number=3)
    turns = write(turned_with(PLAN.solution, slip.parts))
    first = examine_attempt(PLAN, MEMOS, final=write_net(final), mistakes=1)
    assert first.explanations[0].mistakes[0].kind == "undo-left-out"
    for rotation in ("y", "x z2", "z'"):
        assert examine_attempt(PLAN, MEMOS, final=write_net(final.apply(rotation)), mistakes=1) == first
    for shown in ("⬜🟧🟩🟥🟦🟨", "ULFRBD"):
        assert examine_attempt(PLAN, MEMOS, final=write_net(final, shown), mistakes=1) == first
    assert first.finish is not None
    left = write(first.finish)
    assert final.apply(left).is_solved
    assert examine_attempt(PLAN, MEMOS, left=left, mistakes=1) == first
    performed = examine_attempt(PLAN, MEMOS, performed=turns)
    assert kinds(performed.explanations[0]) == ["undo-left-out"]
    assert performed.finish == first.finish


def test_another_hold_has_other_letters_and_the_same_net() -> None:
    plan = make_plan(SCRAMBLE, hold="Y,R")
    slip, final = slipped("undo-left-out", plan, 3)
    # Numbered by that hold, yellow is up; a net of these colours is typed as it lies on the table.
    verdict = examine_attempt(plan, final=write_net(final.apply("y"), plan.scheme), mistakes=1)
    assert told(verdict.explanations[0]) == frozenset(slip.letters)
    assert verdict.finish is not None
    assert Cube(3, turned_home(final.stickers)).apply(verdict.finish).is_solved


@pytest.mark.parametrize("mistakes", [0, 4, -1])
def test_numbers_that_cannot_be_asked_for(mistakes: int) -> None:
    with pytest.raises(InquestError, match="1 to 3"):
        hold_inquest(PLAN, Cube.from_turns("R"), mistakes=mistakes)
    with pytest.raises(InquestError, match="ask for 1 or more"):
        hold_inquest(PLAN, Cube.from_turns("R"), top=mistakes - 4)


def test_what_came_out_is_told_in_one_way_only() -> None:
    for given in ({}, {"left": "R", "performed": "R"}):
        with pytest.raises(InquestError, match="in one way"):
            examine_attempt(PLAN, **given)  # type: ignore[arg-type]


def test_nothing_fits_and_that_is_said() -> None:
    final = Cube.from_turns("R U2 F D' L B2 U R' D2 F' L2 U' B")
    for most, words in ((1, "No single mistake"), (2, "No one or two"), (3, "No one, two or three")):
        verdict = hold_inquest(PLAN, final, mistakes=most, finish=True)
        assert not verdict.explanations
        assert verdict.nearest is not None
        assert len(verdict.nearest.mistakes) <= 2
        assert verdict.say.startswith(words)
        assert f"{verdict.nearest.pieces_wrong} piece" in verdict.say
        assert verdict.to_dict()["nearest"]["pieces_left_wrong"] == verdict.nearest.pieces_wrong
        assert verdict.finish is not None
        assert final.apply(verdict.finish).is_solved


def test_a_plan_of_nothing() -> None:
    plan = make_plan("")
    verdict = hold_inquest(plan, Cube.from_turns("R"))
    assert kinds(verdict.explanations[0]) == ["stray-turn"]
    assert hold_inquest(plan, Cube.solved()).solved


def test_explanations_of_one_story_share_their_probability() -> None:
    slip, final = slipped("turn-left-out", number=5)
    verdict = hold_inquest(PLAN, final)
    assert sum(one.probability for one in verdict.explanations) <= 1 + 1e-9
    stories = [told(one) for one in verdict.explanations]
    assert len(set(stories)) == len(stories)
    probabilities = [one.probability for one in verdict.explanations]
    assert probabilities == sorted(probabilities, reverse=True)
    first = verdict.explanations[0]
    assert told(first) == frozenset(slip.letters)
    assert any("a stray" in words for words in first.also)


def test_priors_of_a_logbook_decide_between_equal_cubes() -> None:
    """“Left out” and “done twice” end alike; whoever does things twice is told so."""
    _, final = slipped("letter-left-out", number=2)
    plain = hold_inquest(PLAN, final, mistakes=1)
    assert kinds(plain.explanations[0]) == ["letter-left-out"]
    used_to = hold_inquest(PLAN, final, mistakes=1, priors={"letter-doubled": 50.0, "swap-twice": 0})
    assert kinds(used_to.explanations[0]) == ["letter-doubled"]
    with pytest.raises(InquestError, match="no kind of mistake"):
        hold_inquest(PLAN, final, priors={"bad luck": 2})
    for factor in (-1.0, float("nan"), float("inf")):
        with pytest.raises(InquestError, match="a number from 0 on"):
            hold_inquest(PLAN, final, priors={"stray-turn": factor})


def test_a_correction_goes_back_and_puts_it_right() -> None:
    found = 0
    for number in (-1, -40, -300):
        _, final = slipped("turn-left-out", number=number)
        for one in hold_inquest(PLAN, final, mistakes=1).explanations:
            if one.correction:
                found += 1
                assert final.apply(one.correction).is_solved
                assert len(one.correction) <= 25
    assert found


def test_verdicts_do_not_depend_on_threads() -> None:
    final = slipped("pair-lost", number=1)[1].apply("R' D")
    assert hold_inquest(PLAN, final, threads=1) == hold_inquest(PLAN, final, threads=2)


def test_an_inquest_can_be_watched_and_stopped() -> None:
    final = slipped("undo-left-out", number=3)[1]
    told: list[tuple[int, int]] = []

    def watch(depth: int, done: int) -> bool:
        told.append((depth, done))
        return True

    assert hold_inquest(PLAN, final, progress=watch) == hold_inquest(PLAN, final)
    assert told
    assert told[-1][0] == 3
    with pytest.raises(InquestStoppedError):
        hold_inquest(PLAN, final, progress=lambda *_: False)
    with pytest.raises(InquestStoppedError):
        examine_attempt(PLAN, performed="R U R'", progress=lambda *_: False)

    def trip(depth: int, done: int) -> bool:
        raise RuntimeError("the lamp went out")

    with pytest.raises(RuntimeError, match="lamp"):
        hold_inquest(PLAN, final, progress=trip)


# --- memos ---------------------------------------------------------------------------------------------------


def with_letters(orbit: str, *letters: str) -> dict[str, tuple[str, ...]]:
    return {**MEMOS, orbit: letters}


def test_a_wrong_memo_followed_faithfully_explains_the_cube() -> None:
    edges = list(MEMOS["edges"])
    edges[3], edges[4] = edges[4], edges[3]
    memos = with_letters("edges", *edges)
    wrong = meant_plan(PLAN, memos)
    assert not wrong.solved
    final = PLAN.cube.apply(wrong.solution)
    verdict = examine_attempt(PLAN, memos, final=write_net(final))
    assert verdict.explanations[0].mistakes == ()
    assert len(verdict.explanations) == 1
    assert verdict.marking == mark_memo(PLAN, memos)
    assert verdict.say.startswith("The memo was wrong.")
    assert "Executed faithfully it leads exactly to this cube" in verdict.say


def test_a_wrong_memo_and_a_slip_besides() -> None:
    memos = with_letters("corners", *MEMOS["corners"][:-1])
    wrong = meant_plan(PLAN, memos)
    slip, final = slipped("undo-left-out", wrong, 6)
    verdict = examine_attempt(PLAN, memos, final=write_net(final), mistakes=2)
    assert told(verdict.explanations[0]) == frozenset(slip.letters)
    assert verdict.marking is not None
    assert not verdict.marking.right


def test_a_wrong_memo_that_was_not_what_was_turned() -> None:
    memos = with_letters("edges", *MEMOS["edges"][::-1])
    solved = examine_attempt(PLAN, memos, final=write_net(Cube.solved()))
    assert solved.solved
    assert solved.explanations[0].mistakes == ()
    assert solved.explanations[0].memo == {"edges": MEMOS["edges"]}
    slip, final = slipped("swap-twice", number=1)
    verdict = examine_attempt(PLAN, memos, final=write_net(final))
    assert "edges" in verdict.explanations[0].memo
    assert told(verdict.explanations[0]) == frozenset(slip.letters)
    assert "not that memo, but a right one" in verdict.say


def test_a_letter_on_the_buffer_piece_turns_nothing() -> None:
    buffer = PLAN.lettering.symbol("edges", PLAN.orbits[0].buffer)
    memos = with_letters("edges", *MEMOS["edges"][:2], buffer, *MEMOS["edges"][2:])
    meant = meant_plan(PLAN, memos)
    assert not meant.steps[2].turns
    assert len(meant.orbits[0].targets) == len(MEMOS["edges"]) + 1
    assert meant.parity != PLAN.parity  # decided by that count
    assert examine_attempt(PLAN, memos, final=write_net(PLAN.cube.apply(meant.solution))).explanations[0].mistakes == ()


def test_memos_are_followed_as_written_whatever_their_breaks() -> None:
    dice = random.Random(5)
    for scramble in scrambles(dice, 12):
        plan = make_plan(scramble)
        breaks = {reading.orbit.name: lambda point: dice.choice(sorted(point.options)) for reading in plan.orbits}
        other = make_plan(scramble, breaks=breaks)
        memos = {reading.orbit.name: " ".join(reading.letters).lower() for reading in other.orbits}
        meant = meant_plan(plan, memos)
        assert meant.solved
        assert meant.solution == other.solution
        assert [reading.cycles[1:] for reading in meant.orbits] == [reading.cycles[1:] for reading in other.orbits]


def test_right_memos_with_other_breaks_are_right_and_all_different() -> None:
    for scramble in scrambles(random.Random(6), 4):
        plan = make_plan(scramble)
        others = other_memos(plan, ("edges", "corners"))
        for name in ("edges", "corners"):
            mine = [other for other in others if other.orbit == name]
            letters = {tuple(r.letters for r in other.plan.orbits) for other in mine}
            assert tuple(r.letters for r in plan.orbits) not in letters or len(mine) == 0
            assert sum(other.chance for other in mine) <= len(plan.orbits[0].cycles + plan.orbits[1].cycles)
        for other in others:
            assert other.plan.solved
            assert mark_memo(plan, {r.orbit.name: r.letters for r in other.plan.orbits}).right
            reading = next(r for r in other.plan.orbits if r.orbit.name == other.orbit)
            assert 0 < other.end - other.start <= len(reading.letters)


def symbols(letters: Story, memos: dict[str, tuple[str, ...]]) -> set[tuple[str, str]]:
    """The letters of a story by what they are called, since another memo has them at other places."""
    return {(orbit, memos[orbit][at] if at is not None else "") for orbit, at in letters}


def test_without_a_memo_any_breaks_are_thought_of() -> None:
    """Attempts at random right memos, one slip each, and no memo told: the letter is named all the same."""
    dice = random.Random(8)
    found = cases = 0
    for scramble in scrambles(dice, 5):
        plan = make_plan(scramble)

        def anywhere(point: BreakPoint) -> int:
            return dice.choice(sorted(point.options))

        meant = make_plan(scramble, breaks={"edges": anywhere, "corners": anywhere})
        own, meant_letters = ({r.orbit.name: r.letters for r in one.orbits} for one in (plan, meant))
        attempt = Attempt(meant)
        for _ in range(6):
            (slip,) = attempt.draw(dice, 1)
            verdict = examine_attempt(plan, final=write_net(Cube(3, attempt.ends((slip,)))), mistakes=2)
            named = []
            for one in verdict.explanations:
                assert replayed(attempt, one) == attempt.outcome((slip,))
                assert all(mark_memo(plan, {orbit: letters}).right for orbit, letters in one.memo.items())
                named.append(symbols(told(one), {**own, **one.memo}))
            cases += 1
            found += symbols(slip.story, meant_letters) in named
    assert cases == 30
    assert found >= 27


# --- impossible cubes ----------------------------------------------------------------------------------------


def mistreated(cube: Cube, *changes: tuple[str, int, int]) -> str:
    """The net of a cube with pieces turned where they are: the orbit, the place, and by how many steps."""
    net = net_of(cube)
    for orbit, place, steps in changes:
        stickers = geometry(3).orbit(orbit).pieces[place]
        count = len(stickers)
        net = net.with_symbols({stickers[(i + steps) % count]: net.symbols[stickers[i]] for i in range(count)})
    return str(net)


def test_a_corner_twisted_in_the_hand() -> None:
    verdict = examine_attempt(PLAN, MEMOS, final=mistreated(Cube.solved(), ("corners", 2, 1)))
    first = verdict.explanations[0]
    assert first.mistakes == ()
    assert first.repair.startswith("twist the ")
    assert verdict.problem.startswith("no turns lead to this cube: one corner is twisted")
    assert not verdict.solved
    data = verdict.to_dict()
    assert data["repair"] == first.repair
    assert "problem" in data


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ([("corners", 3, 2)], "twist the"),
        ([("edges", 7, 1)], "flip the"),
        ([("edges", 7, 1), ("corners", 0, 1)], "flip the edge at"),
    ],
)
def test_a_slip_and_a_piece_put_in_wrongly(change: list[tuple[str, int, int]], words: str) -> None:
    slip, final = slipped("letter-left-out", number=4)
    verdict = examine_attempt(PLAN, MEMOS, final=mistreated(final, *change))
    assert any(
        told(one) == frozenset(slip.letters) and one.repair.startswith(words) for one in verdict.explanations[:2]
    )


def test_two_pieces_exchanged() -> None:
    slip, final = slipped("undo-left-out", number=4)
    net = net_of(final)
    a, b = (geometry(3).orbit("edges").pieces[place] for place in (1, 6))
    exchanged = {a[i]: net.symbols[b[i]] for i in (0, 1)} | {b[i]: net.symbols[a[i]] for i in (0, 1)}
    verdict = examine_attempt(PLAN, MEMOS, final=str(net.with_symbols(exchanged)))
    assert verdict.problem
    assert any(told(one) == frozenset(slip.letters) for one in verdict.explanations)
    assert all(one.repair.startswith("exchange the ") for one in verdict.explanations)


def test_a_net_that_was_typed_wrongly_is_no_cube() -> None:
    with pytest.raises(NightfoldError, match="no turns lead to this cube"):
        came_out(PLAN, write_net(Cube.solved()).replace("W", "Y", 1))


@pytest.mark.parametrize(
    ("net", "words"),
    [
        (write_net(Cube.solved(), "ABCDEF"), "has the colours A B C D E F"),
        (write_net(Cube.solved(), "WRGOBY"), "lie otherwise"),
        (write_net(Cube.solved(2)), "has 2 layers, the scrambled one 3"),
        ("W", "1 sticker"),
    ],
)
def test_another_cube_than_the_scrambled_one(net: str, words: str) -> None:
    with pytest.raises(NightfoldError, match=words):
        came_out(PLAN, net)


# --- data ----------------------------------------------------------------------------------------------------


def test_chances_are_those_of_the_file() -> None:
    assert {name: kind.chance for name, kind in catalogue().items()} == CHANCES


def test_verdict_as_data() -> None:
    _, final = slipped("other-hold", number=2)
    verdict: Verdict = hold_inquest(PLAN, final, top=2, finish=True)
    data = verdict.to_dict()
    assert len(data["explanations"]) <= 2
    for one, shown in zip(data["explanations"], verdict.explanations, strict=True):
        assert one["replays"] is True
        assert PLAN.cube.apply(one["turns"]).same_up_to_rotation(final)
        assert one["probability"] == pytest.approx(shown.probability, abs=1e-6)
        for mistake in one["mistakes"]:
            assert set(mistake) == {"kind", "orbit", "at", "letter", "say", "felt", "hint"}
    assert data["searched"]["singles"] > 10_000
    assert data["nearest"] is None
