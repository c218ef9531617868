"""What a plan's JSON claims, tested with nothing but that JSON and the tests' own cube."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any

from . import referee
from .referee import PARITY, canon


@cache
def check_hops(sticker: str, setup: str, home: str, why: str) -> None:
    """A sentence of a setup: every hop is what the turn does, and the last one ends at the home target."""
    if not setup:
        assert canon(sticker) == canon(home)
        assert why == f"{sticker} is the home target itself, so nothing is set up"
        return
    hops = [re.fullmatch(r"(\S+) (carries|lifts|lowers) (\w+) to (\w+)", part) for part in why.split(", ")]
    place, turns = sticker, []
    for hop in hops:
        assert hop, f"{why!r} is not told hop by hop"
        turn, verb, start, end = hop.groups()
        assert start == place
        assert referee.carried(start, turn) == canon(end)
        rise = referee.height(end) - referee.height(start)
        assert verb == ("lifts" if rise > 0 else "lowers" if rise < 0 else "carries"), why
        turns.append(turn)
        place = end
    assert canon(place) == canon(home)
    assert " ".join(turns) == setup


@cache
def home_target(orbit: str, buffer: str, swap: str) -> str:
    """Where the swap algorithm carries the buffer; nothing else of the orbit may move."""
    moved = {a: b for a, b in referee.carries(swap).items() if len(a) == len(referee.ORBITS[orbit][0])}
    home = moved[canon(buffer)]
    expected = dict(zip(referee.ROUND[canon(buffer)], referee.ROUND[home], strict=True))
    expected.update({b: a for a, b in expected.items()})
    assert moved == expected
    return home


@cache
def disturbed(orbit: str, swap: str) -> frozenset[frozenset[str]]:
    """The pieces outside the orbit that the swap algorithm moves."""
    return frozenset(frozenset(name) for name in referee.carries(swap) if len(name) != len(referee.ORBITS[orbit][0]))


def judge(text: str, top: str, front: str, policy: str) -> dict[str, Any]:
    """Everything that a plan's JSON claims, tested with nothing but the JSON."""
    data: dict[str, Any] = json.loads(text)
    held = referee.play(f"{data['scramble']} {data['hold']}")
    assert (held[4], held[22]) == (top, front), "the cube is not held as it was asked for"
    assert data["solved"] is True
    assert referee.solved_somehow(referee.play(data["solution"], held)), "the solution does not solve the cube"

    # Every memo is right, and what is said of it is true.
    for reading in data["orbits"]:
        orbit, buffer = reading["orbit"], canon(reading["buffer"])
        targets = [referee.STICKER[orbit][letter] for letter in reading["letters"]]
        assert targets == [canon(name) for name in reading["stickers"]]
        cycles = referee.follow(held, orbit, buffer, targets)
        assert reading["cycles"] == [[referee.LETTER[orbit][target] for target in cycle] for cycle in cycles]
        seen = referee.look(held, orbit)
        in_place = [frozenset(referee.ROUND[canon(name)]) for name in reading["in_place"]]
        assert len(set(in_place)) == len(in_place)
        assert set(in_place) == referee.turned_in_place(seen, buffer)
        assert reading["buffer_turned"] == (referee.buffer_home(seen, buffer) and seen[buffer] != buffer)
        assert reading["odd"] == (len(targets) % 2 == 1)
        assert len(reading["reasons"]) == len(targets)
        if policy == "lowest":
            check_lowest(seen, buffer, cycles, orbit)
    odd = {reading["odd"] for reading in data["orbits"]}
    assert len(odd) == 1, "edges and corners must be both even or both odd"
    assert data["parity"] == odd.pop()

    # Every step does its letter.
    steps = data["steps"]
    expected = [(r["orbit"], letter) for r in data["orbits"] for letter in r["letters"]]
    assert [(s["orbit"], s["letter"]) for s in steps if s["orbit"] != PARITY] == expected
    parities = [number for number, step in enumerate(steps) if step["orbit"] == PARITY]
    assert parities == ([len(data["orbits"][0]["letters"])] if data["parity"] else [])
    buffers = {reading["orbit"]: reading["buffer"] for reading in data["orbits"]}
    for step in steps:
        if step["orbit"] == PARITY:
            check_parity_sentence(data, step["why"])
            assert (step["letter"], step["sticker"], step["setup"], step["undo"]) == ("", "", "", "")
            continue
        assert canon(step["sticker"]) == referee.STICKER[step["orbit"]][step["letter"]]
        assert step["undo"] == referee.undone(step["setup"])
        home = home_target(step["orbit"], buffers[step["orbit"]], step["swap"])
        check_hops(step["sticker"], step["setup"], home, step["why"])
    turns = " ".join(part for step in steps for part in (step["setup"], step["swap"], step["undo"]) if part)
    assert data["solution"] == turns

    counts = data["counts"]
    assert counts["letters"] == sum(len(reading["letters"]) for reading in data["orbits"])
    assert counts["turns"] == len(turns.split())
    assert counts["turns_cancelled"] <= counts["turns"]
    return data


def check_lowest(seen: referee.Seen, buffer: str, cycles: list[list[str]], orbit: str) -> None:
    """Each break goes to the lowest letter of what is unsolved then."""
    seen = dict(seen)
    letters = referee.LETTER[orbit]
    for cycle in cycles:
        if referee.buffer_home(seen, buffer):
            assert cycle[0] == min(referee.unsolved(seen, buffer), key=letters.__getitem__)
        for target in cycle:
            referee.shoot(seen, buffer, target)


def check_parity_sentence(data: dict[str, Any], why: str) -> None:
    match = re.fullmatch(
        r"(\d+) (edge|corner) letters? and (\d+) (edge|corner) letters? are odd numbers, so (\w+) and (\w+) are left "
        r"exchanged and (\w+) and (\w+) will be; the .+ puts both right\.",
        why,
    )
    assert match, why
    first, second = data["orbits"]
    assert (match[1], match[2] + "s") == (str(len(first["letters"])), first["orbit"])
    assert (match[3], match[4] + "s") == (str(len(second["letters"])), second["orbit"])
    swap = {step["orbit"]: step["swap"] for step in data["steps"]}
    assert {frozenset(match[5]), frozenset(match[6])} == disturbed(first["orbit"], swap[first["orbit"]])
    assert {frozenset(match[7]), frozenset(match[8])} == disturbed(second["orbit"], swap[second["orbit"]])
