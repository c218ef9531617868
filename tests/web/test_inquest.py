"""``POST /api/inquest`` answers what the inquest itself answers."""

from __future__ import annotations

from typing import Any

import httpx

from nightfold.blind.files import SHIPPED
from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.marking import mark_memo
from nightfold.cube.net import cube_from_net, write_net
from nightfold.cube.state import Cube
from tests.web.serving import MINE, SCRAMBLE, asked


def slipped() -> tuple[str, Cube]:
    """The turns of a plan with one setup's undo left out, and the cube that came out."""
    plan = make_plan(SCRAMBLE)
    number = next(at for at, step in enumerate(plan.steps) if step.undo)
    turns: list[str] = []
    for at, step in enumerate(plan.steps):
        turns += [str(turn) for turn in (step.setup + step.swap if at == number else step.turns)]
    return " ".join(turns), plan.cube.apply(" ".join(turns))


def told(plan: Plan, memos: dict[str, str] | None = None, **attempt: Any) -> dict[str, Any]:
    """What the answer must hold, but for what a drawing needs besides."""
    return {"repair": "", "problem": "", **examine_attempt(plan, memos, **attempt).to_dict()}


def answered(client: httpx.Client, **body: Any) -> dict[str, Any]:
    answer: dict[str, Any] = asked(client, "inquest", body)
    assert answer.pop("view") == asked(client, "plan", body["cube"])["view"]
    meant = answer.pop("meant")
    assert meant["solution"].split() == meant["turns"][len(meant["hold"].split()) :]
    return answer


def test_inquest_into_what_came_out_or_was_turned(client: httpx.Client) -> None:
    turns, final = slipped()
    plan = make_plan(SCRAMBLE)
    for came in ({"performed": turns}, {"final": write_net(final.apply("x y"))}):
        answer = answered(client, cube={"scramble": SCRAMBLE}, **came, mistakes=1, top=3)
        assert answer == told(plan, None, **came, mistakes=1, top=3)
        assert answer["explanations"][0]["mistakes"]
        assert (answer["performed"] is None) == ("final" in came)


def test_inquest_by_turns_that_are_left(client: httpx.Client) -> None:
    plan = make_plan(SCRAMBLE, hold="R,B")
    letters = {reading.orbit.name: " ".join(reading.letters) for reading in plan.orbits}
    answer = answered(client, cube={"scramble": SCRAMBLE, "hold": "R,B"}, **letters, left="R", mistakes=1)
    assert answer == told(plan, letters, left="R", mistakes=1)
    assert answer["finish"] == "R"


def test_a_memo_that_was_wrong_is_marked(client: httpx.Client) -> None:
    plan = make_plan(SCRAMBLE)
    letters = {reading.orbit.name: list(reading.letters) for reading in plan.orbits}
    letters["edges"][3], letters["edges"][4] = letters["edges"][4], letters["edges"][3]
    memos = {name: " ".join(memo) for name, memo in letters.items()}
    body = {"cube": {"scramble": SCRAMBLE}, **memos, "final": write_net(Cube.solved()), "mistakes": 1}
    answer = asked(client, "inquest", body)
    assert answer["memo_marking"] == mark_memo(plan, memos).to_dict()
    assert answer["memo_marking"]["verdict"] == "wrong"
    assert answer["meant"]["orbits"][0]["letters"] == letters["edges"]
    assert not answer["meant"]["solved"]


def test_an_impossible_cube_is_mended_first(client: httpx.Client) -> None:
    net = write_net(Cube.from_pieces({"corners": [(piece, 1 if piece == 0 else 0) for piece in range(8)]}))
    answer = answered(client, cube={"scramble": SCRAMBLE}, final=net, mistakes=1)
    assert answer == told(make_plan(SCRAMBLE), final=net, mistakes=1)
    assert "twisted" in answer["problem"]
    assert answer["repair"]


def test_inquest_of_a_net_with_a_memo_of_other_breaks(client: httpx.Client) -> None:
    """Whatever the colours are called and however the cube is held, a right memo is followed."""
    net = write_net(Cube.from_turns("R U2 F' L2 D B2 R' F D2 L U' B R2"), "abcdef")
    own = asked(client, "plan", {"net": net})
    broken = next(orbit for orbit in own["orbits"] if any(cycle["options"] for cycle in orbit["readings"]))
    cycle = next(cycle for cycle in broken["readings"] if cycle["options"])
    other = next(s for s in cycle["options"] if s != cycle["targets"][0]["sticker"])
    letter = own["view"]["letters"][broken["orbit"]][str(other)]
    breaks = f"choose:{broken['orbit']}={letter}"
    remembered = asked(client, "plan", {"net": net, "breaks": breaks})
    memos = {orbit["orbit"]: " ".join(orbit["letters"]) for orbit in remembered["orbits"]}
    body = {"cube": {"net": net}, **memos, "performed": remembered["solution"] + " R", "mistakes": 1}
    answer = asked(client, "inquest", body)
    assert not answer["solved"]
    assert answer["memo_marking"] is None
    assert answer["finish"] == "R'"
    assert answer["view"] == own["view"]
    cube = cube_from_net(net)[0]
    for one in answer["explanations"]:
        assert cube.apply(one["turns"]).same_up_to_rotation(cube.apply(remembered["solution"] + " R"))
    assert answer["explanations"]


def test_inquest_with_a_method_and_a_lettering_of_ones_own(client: httpx.Client) -> None:
    asked(client, "letterings/fennel-point", {"source": MINE}, "PUT")
    source = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    source = source.replace('lettering = "clockwise"', 'lettering = "fennel-point"')
    asked(client, "methods/evening", {"source": source}, "PUT")
    cube = {"scramble": SCRAMBLE, "method": "evening"}
    plan = asked(client, "plan", cube)
    memo = " ".join(plan["orbits"][0]["letters"])
    assert memo.islower()
    inquest = {"cube": cube, "edges": memo, "performed": plan["solution"], "mistakes": 1}
    assert asked(client, "inquest", inquest)["solved"]
