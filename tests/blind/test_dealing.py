"""Dealt scrambles: every state alike, every wish granted, and the odds of it told truly."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

import pytest

from nightfold.blind.dealing import RANDOM_MOVES, Deal, Dealer, DealError, Wish, endings, parse_wish
from nightfold.blind.errors import LetteringError
from nightfold.blind.features import ANY, Features, features_of
from nightfold.blind.hold import as_held
from nightfold.blind.method import load_method, method_names
from nightfold.blind.odds import odds
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import OrbitReading
from nightfold.cube.geometry import geometry, rotation_permutations
from nightfold.cube.notation import parse_turns, write
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube
from tests.chance import p_value

#: With fixed seeds nothing here depends on luck; a sound dealer falls below this once in ten thousand seeds.
UNLIKELY = 1e-4


def dealt(count: int, dealer: Dealer) -> Iterator[Deal]:
    return itertools.islice(dealer, count)


def held_by(cube: Cube) -> int:
    """Which of the 24 orientations a cube stands in."""
    centres = tuple(geometry(cube.size).fixed_centres.values())
    seen = tuple(cube.stickers[at] for at in centres)
    held = [tuple(p[at] for at in centres) for p in rotation_permutations(cube.size).values()]
    return held.index(seen)


@pytest.mark.parametrize("seed", range(3))
def test_random_states_have_the_exact_odds(seed: int) -> None:
    """WCA 4b3 and 4b3a: letters, breaks, pieces turned in place, parity and orientation, 1,500 scrambles a seed."""
    plans = []
    orientations: Counter[int] = Counter()
    for deal in dealt(1500, Dealer(blind=True, seed=100 + seed)):
        assert len(deal.turns) <= 21 + 2
        assert deal.random_state
        assert cancel(deal.turns[: len(deal.turns) - deal.orienting]) == deal.turns[: len(deal.turns) - deal.orienting]
        orientations[held_by(deal.cube)] += 1
        plans.append(make_plan(str(deal)))
        assert plans[-1].solved
    expected = odds(ANY)
    seen = {
        "edge_letters": Counter(len(_reading(plan, "edges").targets) for plan in plans),
        "corner_letters": Counter(len(_reading(plan, "corners").targets) for plan in plans),
        "total_letters": Counter(plan.letters for plan in plans),
        "edge_breaks": Counter(_reading(plan, "edges").breaks for plan in plans),
        "corner_breaks": Counter(_reading(plan, "corners").breaks for plan in plans),
        "flipped_edges": Counter(len(_reading(plan, "edges").in_place) for plan in plans),
        "twisted_corners": Counter(len(_reading(plan, "corners").in_place) for plan in plans),
    }
    tables = expected.tables
    for name, counted in seen.items():
        shares = {value: tables[name].equal(value) for value in range(40) if tables[name].equal(value)}
        assert p_value(counted, shares) > UNLIKELY, name
    parity = Counter(plan.parity for plan in plans)
    assert p_value(parity, {True: Fraction(1, 2), False: Fraction(1, 2)}) > UNLIKELY
    assert p_value(orientations, {number: Fraction(1, 24) for number in range(24)}) > UNLIKELY


def _reading(plan: Plan, name: str) -> OrbitReading:
    return next(reading for reading in plan.orbits if reading.orbit.name == name)


@pytest.mark.parametrize("blind", [False, True])
def test_features_hold_and_have_the_conditional_odds(blind: bool) -> None:
    features = Features(edge_letters=(10, 12), corner_breaks=(0, 1), parity=False)
    plans = [make_plan(str(deal)) for deal in dealt(700, Dealer(features=features, blind=blind, seed=5))]
    assert all(features.allow(features_of(plan)) for plan in plans)
    tables = odds(features).tables
    for name, counted in (
        ("edge_letters", Counter(len(_reading(plan, "edges").targets) for plan in plans)),
        ("corner_letters", Counter(len(_reading(plan, "corners").targets) for plan in plans)),
    ):
        shares = {value: tables[name].equal(value) for value in range(40) if tables[name].equal(value)}
        assert p_value(counted, shares) > UNLIKELY, name


@pytest.mark.parametrize("name", method_names())
def test_features_hold_for_every_method_and_orientation(name: str) -> None:
    method = load_method(name)
    features = Features(flipped=(1, 1), twisted=(0, 0), edge_buffer=frozenset({"home"}))
    for deal in dealt(25, Dealer(features=features, method=method, blind=True, seed=9)):
        plan = make_plan(str(deal), method)
        assert features.allow(features_of(plan))


def test_the_lessons_of_the_club() -> None:
    """No parity, no breaks, eight edge letters; exactly one flipped edge; three breaks with the buffer solved."""
    for features in (
        Features(edge_letters=(8, 8), breaks=(0, 0), parity=False),
        Features(flipped=(1, 1)),
        Features(edge_breaks=(3, 3), edge_buffer=frozenset({"home"})),
    ):
        dealer = Dealer(features=features, seed=3)
        for deal in dealt(5, dealer):
            assert features.allow(features_of(make_plan(str(deal))))
        assert 0 < dealer.chance < 1


def test_wishes_found_by_trying_are_granted_and_estimated() -> None:
    wish = Wish(use=(("edges", "K"),), avoid=(("corners", "B"),), most_turns=380)
    dealer = Dealer(wish=wish, seed=4)
    for deal in dealt(20, dealer):
        plan = make_plan(str(deal))
        assert "K" in _reading(plan, "edges").letters
        assert "B" not in _reading(plan, "corners").letters
        assert len(plan.solution) <= 380
    assert dealer.fitted == 20 <= dealer.tried
    value, low, high = dealer.estimate()
    assert 0 < low < value < high < 1


def test_a_wish_that_is_too_rare_ends_in_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("nightfold.blind.dealing._MOST_TRIES", 40)
    with pytest.raises(DealError, match="too rare: of 40 cubes"):
        Dealer(wish=Wish(most_turns=20), seed=1).deal()


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (Wish(use=(("edges", "B"),)), "on the buffer piece"),
        (Wish(use=(("edges", "K"),), avoid=(("edges", "K"),)), "both wanted and not wanted"),
        (Wish(most_turns=-1), "0 is the least"),
    ],
)
def test_impossible_wishes_are_refused_at_once(wish: Wish, said: str) -> None:
    with pytest.raises(DealError, match=said):
        Dealer(wish=wish)


def test_features_are_for_the_3x3x3() -> None:
    with pytest.raises(DealError, match="3x3x3 only, not on the 5x5x5"):
        Dealer(5, Features(parity=True))


def test_a_seed_deals_the_same_again_and_none_does_not() -> None:
    def some(seed: int | None) -> list[str]:
        return [str(deal) for deal in dealt(4, Dealer(blind=True, seed=seed))]

    assert some(12) == some(12)
    assert some(12) != some(13)
    assert some(None) != some(None)


def test_endings_reach_every_orientation_once() -> None:
    for size in (3, 5, 7):
        assert {held_by(Cube.from_turns(ending, size)) for ending in endings(size)} == set(range(24))
    for size in range(3, 8):
        assert len(endings(size)) == len({Cube.from_turns(ending, size) for ending in endings(size)}) == 24
        # All layers but one turn.
        assert all(turn.letter in "RFU" and turn.inner == size - 1 for ending in endings(size) for turn in ending)


def test_pocket_cubes_are_random_states_at_least_four_turns_away() -> None:
    """WCA 4b3b; every place and twist of the first corner equally likely."""
    seen: Counter[tuple[int, int]] = Counter()
    for deal in dealt(1500, Dealer(2, seed=8)):
        assert 4 <= len(deal.turns) <= 11
        assert Cube.from_turns(str(deal), 2) == deal.cube
        seen[deal.cube.pieces("corners")[0]] += 1
    assert len(seen) == 7 * 3
    # Leaving out the few states under four turns moves these shares by less than one in ten thousand.
    assert p_value(seen, {place: Fraction(1, 21) for place in seen}) > UNLIKELY


@pytest.mark.parametrize("size", [4, 5, 6, 7])
def test_big_cubes_get_random_moves_without_waste(size: int) -> None:
    """WCA 4b3e: sufficiently many random moves."""
    for deal in dealt(10, Dealer(size, blind=True, seed=2)):
        opening = deal.turns[: len(deal.turns) - deal.orienting]
        assert len(opening) == RANDOM_MOVES[size]
        assert cancel(opening) == opening
        assert not deal.random_state
        assert parse_turns(write(deal.turns), size) == deal.turns
        for one, two in itertools.pairwise(opening):
            # The middle wide turns of opposite faces on an even cube move the same layers: never side by side.
            assert not (one.inner == two.inner == size / 2 and {one.letter, two.letter} in ({*"UD"}, {*"LR"}, {*"FB"}))


def test_no_plain_deal_is_within_one_turn_of_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    """WCA 4b3: at least two turns from solved."""
    draws = iter([Cube.solved(), Cube.from_turns("R"), Cube.from_turns("U2"), Cube.from_turns("R U")])
    monkeypatch.setattr("nightfold.blind.dealing.sample", lambda *_: next(draws))
    assert as_held(Dealer(seed=1).deal().cube) == Cube.from_turns("R U")


# --- wishes as text, and what is said of them -------------------------------------------------------------------


def test_wishes_from_text() -> None:
    method = load_method()
    wish = parse_wish(method, "edges=K Q;corners=P", "corners=M", 380)
    assert wish == Wish((("edges", "K"), ("edges", "Q"), ("corners", "P")), (("corners", "M"),), 380)
    assert not parse_wish(method)
    with pytest.raises(LetteringError, match=r"^avoid “wings=K” must be an orbit"):
        parse_wish(method, avoid="wings=K")
    for empty in ("", " ", "edges="):
        with pytest.raises(DealError, match=f"^use “{empty}” names no letters"):
            parse_wish(method, empty)


def test_what_is_said_and_told_of_the_chance() -> None:
    assert Dealer(seed=1).said == "random states"
    assert Dealer(2, blind=True, seed=1).said == "random states in random orientations"
    assert Dealer(5, seed=1).said == f"{RANDOM_MOVES[5]} random moves"
    assert Dealer(5, seed=1).chance_to_dict() == {}
    dealer = Dealer(features=Features(parity=True), seed=1)
    assert dealer.said == "random states among the cubes that fit; such a cube is met once in 2.0 (chance 1/2)"
    assert dealer.chance_to_dict() == {"chance": "1/2"}


def test_a_survey_makes_an_estimate_of_few_deals_worth_something() -> None:
    features = Features(parity=False)
    few = Dealer(features=features, wish=Wish(most_turns=360), seed=5)
    few.deal()
    many = Dealer(features=features, wish=Wish(most_turns=360), seed=5)
    many.deal()
    many.survey(400)
    assert few.tried < many.tried == 400
    few_wide, many_wide = (high - low for _, low, high in (few.estimate(), many.estimate()))
    assert many_wide < few_wide
    told = many.chance_to_dict()
    value, low, high = many.estimate()
    assert told == {
        "chance": "1/2",
        "estimate": {"chance": value, "low": low, "high": high, "tried": 400, "fitted": many.fitted},
    }
    assert (
        f"about once in {1 / value:,.0f} (between {1 / high:,.0f} and {1 / low:,.0f}, from 400 looked at)" in many.said
    )
    # A wide trial of its own says the same.
    other = Dealer(features=features, wish=Wish(most_turns=360), seed=6)
    other.survey(1500)
    assert other.estimate()[1] < high and low < other.estimate()[2]
    plain = Dealer(features=features, seed=5)
    plain.survey(400)
    assert plain.tried == 0


def test_a_survey_is_stopped_by_its_progress() -> None:
    told: list[int] = []

    def progress(tried: int, _: int) -> bool:
        told.append(tried)
        return len(told) < 3

    with pytest.raises(KeyboardInterrupt):
        Dealer(wish=Wish(most_turns=300), seed=1, progress=progress).survey(100_000)
    assert told == [200, 400, 600]


def test_a_seed_has_its_limits() -> None:
    for seed in (1 << 64, -(1 << 64)):
        with pytest.raises(DealError, match="the seed is too large"):
            Dealer(seed=seed)
    Dealer(seed=(1 << 64) - 1)
