"""Turns that were really made, held against the plan: equal ways pass, the first step that departs is named."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest

from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.inquest import Verdict
from nightfold.coach.performed import ANOTHER_WAY, AS_PLANNED, DEPARTS, judge_turns
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import Turn, parse_turns, write
from nightfold.cube.sequences import rotate
from nightfold.cube.state import Cube
from tests.coach.attempts import Attempt, Slip, play, scrambles

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2 R"
PLAN = make_plan(SCRAMBLE)
STEPS = [step.turns for step in PLAN.steps]
PARITY = next(number for number, step in enumerate(PLAN.steps) if step.orbit == "parity")


def judged(*parts: Sequence[Turn] | str, plan: Plan = PLAN) -> Verdict:
    turns = [turn for part in parts for turn in (parse_turns(part) if isinstance(part, str) else part)]
    return judge_turns(plan, turns)


def ways(verdict: Verdict) -> list[str]:
    assert verdict.performed is not None
    return [step.how for step in verdict.performed.steps]


def first(verdict: Verdict) -> tuple[int, str]:
    """The first step that departs, and the kind of what went wrong there."""
    assert verdict.performed is not None
    assert verdict.performed.first is not None
    return verdict.performed.first.step, verdict.performed.departures[0].kind


def flat(steps: Sequence[Sequence[Turn]]) -> list[Turn]:
    return [turn for step in steps for turn in step]


# --- equal ways ----------------------------------------------------------------------------------------------


def test_the_plan_itself_and_the_plan_run_together() -> None:
    for turns in (PLAN.solution, PLAN.cancelled):
        verdict = judged(turns)
        assert verdict.solved
        assert ways(verdict) == [AS_PLANNED] * len(STEPS)
        assert verdict.explanations[0].mistakes == ()
        assert verdict.say == "The cube is solved: there is no mistake to find."


def test_plans_run_together_are_followed_for_every_scramble() -> None:
    for scramble in scrambles(random.Random(4), 10):
        plan = make_plan(scramble)
        assert set(ways(judged(plan.cancelled, plan=plan))) <= {AS_PLANNED}


def test_other_setups_to_the_same_effect() -> None:
    dice = random.Random(2)
    others = 0
    for scramble in scrambles(dice, 4):
        plan = make_plan(scramble)
        turns: list[Turn] = []
        expected = []
        for reading in plan.orbits:
            way = plan.method.way(reading.orbit.name)
            if turns and plan.parity:
                turns += plan.method.parity.turns
                expected.append(AS_PLANNED)
            for target in reading.targets:
                setup = dice.choice(way.setups[target.sticker])
                turns += (*setup.turns, *way.core, *setup.undo)
                expected.append(AS_PLANNED if setup == way.setups[target.sticker][0] else ANOTHER_WAY)
        verdict = judged(turns, plan=plan)
        assert verdict.solved
        assert ways(verdict) == expected
        others += expected.count(ANOTHER_WAY)
    assert others > 10


def test_wide_turns_for_slices_and_the_cube_turned_meanwhile() -> None:
    step = STEPS[5]
    held = [*parse_turns("x y"), *rotate(step, "x y"), *parse_turns("y' x'")]
    assert ways(judged(*STEPS[:5], held, *STEPS[6:])) == [AS_PLANNED] * len(STEPS)
    # From some moment on the whole rest in another hold.
    rest = rotate(tuple(flat(STEPS[5:])), "z")
    assert judged(*STEPS[:5], "z", rest).solved
    # A wide turn is the opposite face and a turn of the whole cube.
    wide = {"Lw": "R x'", "Lw'": "R' x", "Lw2": "R2 x2", "Dw": "U y'", "Dw'": "U' y", "Dw2": "U2 y2"}
    number = next(n for n, step in enumerate(STEPS) if str(step[0]) in wide)
    assert wide[str(STEPS[number][0])]
    verdict = judged(*STEPS[:number], wide[str(STEPS[number][0])], STEPS[number][1:], *STEPS[number + 1 :])
    assert verdict.solved
    assert set(ways(verdict)) <= {AS_PLANNED, ANOTHER_WAY}


def test_turns_made_and_taken_back_are_no_departure() -> None:
    verdict = judged(*STEPS[:3], "U U'", *STEPS[3:7], "R2 R2", *STEPS[7:])
    assert verdict.solved
    assert DEPARTS not in ways(verdict)


def test_the_rotation_to_the_hold_may_be_typed_too() -> None:
    plan = make_plan(SCRAMBLE, hold="Y,R")
    assert plan.hold
    for lead in ("", plan.hold):
        verdict = judged(lead, plan.solution, plan=plan)
        assert verdict.solved
        assert ways(verdict) == [AS_PLANNED] * len(plan.steps)


# --- what departs --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("turns", "step", "kind"),
    [
        (flat([*STEPS[:3], *STEPS[4:]]), 3, "letter-left-out"),
        (flat([*STEPS[:4], STEPS[3], *STEPS[4:]]), 3, "letter-doubled"),
        (flat([*STEPS[:6], STEPS[7], STEPS[6], *STEPS[8:]]), 6, "letters-exchanged"),
        (flat([*STEPS[:PARITY], *STEPS[PARITY + 1 :]]), PARITY, "parity-forgotten"),
        (flat([*STEPS[:2], PLAN.steps[2].setup, PLAN.steps[2].swap, *STEPS[3:]]), 2, "undo-left-out"),
        (flat([*STEPS[:5], parse_turns("x"), *STEPS[5:]]), 5, "cube-turned"),
    ],
)
def test_the_first_step_that_departs_is_named(turns: list[Turn], step: int, kind: str) -> None:
    verdict = judged(turns)
    assert first(verdict) == (step, kind)
    assert not verdict.solved
    assert verdict.explanations[0].probability == 1
    assert verdict.explanations[0].turns == tuple(turns)
    assert ways(verdict)[:step] == [AS_PLANNED] * step


def test_a_stray_turn_at_the_end() -> None:
    verdict = judged(PLAN.solution, "U'")
    assert verdict.performed is not None
    assert [mistake.kind for mistake in verdict.performed.departures] == ["stray-turn"]
    assert first(verdict)[0] == len(STEPS) - 1
    assert verdict.performed.say.endswith("a stray U' was made after its last turn.")


def test_stopping_early_is_letters_left_out() -> None:
    verdict = judged(*STEPS[:-2])
    assert verdict.performed is not None
    left_out = {letter for mistake in verdict.performed.departures for letter in mistake.concerns}
    assert left_out == {("corners", 7), ("corners", 8)}


def test_turns_that_are_no_slip_are_told_as_they_are() -> None:
    verdict = judged(*STEPS[:2], "R U F D L2 B", *STEPS[3:])
    assert first(verdict) == (2, "other-turns")
    assert "R U F D L2 B was turned instead of" in verdict.explanations[0].mistakes[0].say
    for turns in ("R U R' U' F2 D L2 B", "", "M x E' Rw"):
        nothing = judged(turns)
        assert nothing.performed is not None
        assert nothing.performed.first is not None
        assert nothing.performed.first.step == 0


def test_a_slip_is_told_as_it_was_turned_though_others_do_the_same() -> None:
    """A letter done twice ends like a letter left out; here one sees which."""
    assert first(judged(*STEPS[:1], STEPS[1], STEPS[1], *STEPS[2:])) == (1, "letter-doubled")
    assert first(judged(*STEPS[:1], PLAN.steps[1].setup, PLAN.steps[1].undo, *STEPS[2:])) == (1, "swap-left-out")


@pytest.mark.parametrize("count", [1, 2])
def test_attempts_gone_wrong_are_told_step_by_step(count: int) -> None:
    """Attempts as the judge turns them: the letters that depart are those of the slips."""
    dice = random.Random(count)
    right = cases = 0
    for scramble in scrambles(dice, 3):
        plan = make_plan(scramble)
        attempt = Attempt(plan)
        for _ in range(12):
            slips = attempt.draw(dice, count)
            verdict = judge_turns(plan, " ".join(made(attempt, slips)))
            assert verdict.performed is not None
            assert verdict.solved is False
            assert Cube(3, attempt.ends(slips)).same_up_to_rotation(plan.cube.apply(verdict.explanations[0].turns))
            told = {letter for mistake in verdict.performed.departures for letter in mistake.concerns}
            meant = {letter for slip in slips for letter in slip.story}
            cases += 1
            right += told == meant
            touched = [number for number, letter in enumerate(attempt.letters) if letter in told | meant]
            assert verdict.performed.first is None or verdict.performed.first.step in range(
                max(0, touched[0] - 1), touched[-1] + 2
            )
    assert right >= 0.95 * cases


def made(attempt: Attempt, slips: Sequence[Slip]) -> tuple[str, ...]:
    """All turns of an attempt as they were made."""
    turns: tuple[str, ...] = ()
    at = 0
    parts = sorted((part for slip in slips for part in slip.stretches), key=lambda part: (part.start, part.end))
    for part in parts:
        turns += (*attempt.tokens[at : part.start], *part.made)
        at = part.end
    turns += attempt.tokens[at:]
    assert play(turns, attempt.begun) == attempt.ends(slips)
    return turns


# --- memos ---------------------------------------------------------------------------------------------------


def test_without_a_memo_the_breaks_that_were_made_are_followed() -> None:
    dice = random.Random(3)
    for scramble in scrambles(dice, 4):
        plan = make_plan(scramble)
        breaks = {reading.orbit.name: lambda point: dice.choice(sorted(point.options)) for reading in plan.orbits}
        meant = make_plan(scramble, breaks=breaks)
        verdict = examine_attempt(plan, performed=write(meant.solution))
        assert verdict.solved
        assert [reading.letters for reading in verdict.plan.orbits] == [reading.letters for reading in meant.orbits]
        late = len(meant.steps) - 2
        turns = [turn for number, step in enumerate(meant.steps) if number != late for turn in step.turns]
        verdict = examine_attempt(plan, performed=write(turns))
        # Of a cycle of one piece the letter that is left may have been the first.
        assert first(verdict)[0] in (late, late + 1)


def test_a_wrong_memo_executed_faithfully() -> None:
    letters = {reading.orbit.name: list(reading.letters) for reading in PLAN.orbits}
    letters["edges"][2], letters["edges"][3] = letters["edges"][3], letters["edges"][2]
    turns = flat([*STEPS[:2], STEPS[3], STEPS[2], *STEPS[4:]])
    verdict = examine_attempt(PLAN, letters, performed=write(turns))
    assert not verdict.solved
    assert verdict.explanations[0].mistakes == ()
    assert verdict.marking is not None
    assert "Executed faithfully" in verdict.say
    data = verdict.to_dict()
    assert data["performed"]["first_departure"] is None
    assert [step["how"] for step in data["performed"]["steps"]] == [AS_PLANNED] * len(STEPS)


def test_turns_that_cannot_be_read() -> None:
    with pytest.raises(NightfoldError, match="“Q” at column 3"):
        judge_turns(PLAN, "R Q")
