"""Features: read, told in words, compared, and taken from a cube that was read."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.errors import ReadingError
from nightfold.blind.features import (
    ANY,
    BUFFER_STATES,
    MOST,
    NOUNS,
    FeatureError,
    Features,
    features_of,
    parse_features,
)
from nightfold.blind.method import load_method
from nightfold.blind.odds import odds
from nightfold.blind.plan import make_plan
from nightfold.blind.states import buffer_pieces, sample
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("8", (8, 8)),
        (" 0 ", (0, 0)),
        ("6..8", (6, 8)),
        ("6 .. 8", (6, 8)),
        ("8..8", (8, 8)),
        ("6..", (6, 22)),
        ("..8", (0, 8)),
        ("30..", (30, 30)),
        ("3..30", (3, 30)),
    ],
)
def test_numbers_that_can_be_read(text: str, read: tuple[int, int]) -> None:
    assert parse_features({"edge_letters": text}) == Features(edge_letters=read)


@pytest.mark.parametrize(
    "text", ["", "..", "eight", "-3", "6-8", "6...8", "6..8..9", "²", "٣", "1e3", "9999999", "8,9"]
)
def test_numbers_that_cannot(text: str) -> None:
    with pytest.raises(FeatureError) as refused:
        parse_features({"twisted": text})
    assert str(refused.value) == (
        f"corners twisted in place: “{text}” is no number or range; write 8, 6..8, 6.. or ..8"
    )


def test_ranges_that_run_backwards() -> None:
    with pytest.raises(FeatureError, match=r"^letters in all: 8\.\.6 runs backwards; write 6\.\.8$"):
        parse_features({"letters": "8..6"})
    for bad in ((8, 6), (-1, 3)):
        with pytest.raises(FeatureError, match=r"^edge breaks: .* is no range; the lower number comes first$"):
            Features(edge_breaks=bad)


def test_parity_and_buffers() -> None:
    assert parse_features({"parity": "yes"}).parity is True
    assert parse_features({"parity": " No "}).parity is False
    assert parse_features({"edge_buffer": "home"}).edge_buffer == frozenset({"home"})
    for text in ("home,turned", "turned or home", "Home | turned", "home turned"):
        assert parse_features({"corner_buffer": text}) == Features(corner_buffer=frozenset({"home", "turned"}))
    with pytest.raises(FeatureError, match=r"^parity must be yes or no, not “perhaps”$"):
        parse_features({"parity": "perhaps"})
    for text in ("", "inside", "home,inside"):
        with pytest.raises(
            FeatureError, match=r"^the edge buffer cannot be “(|inside)”; it can be home, turned or away$"
        ):
            parse_features({"edge_buffer": text})
    with pytest.raises(FeatureError, match=r"^the edge buffer must be home, turned or away, or several of them$"):
        Features(edge_buffer=frozenset())
    with pytest.raises(FeatureError, match=r"^the corner buffer cannot be “gone”; it can be home, turned or away$"):
        Features(corner_buffer=frozenset({"gone"}))


def test_what_is_not_given_is_not_wished_for() -> None:
    assert parse_features(dict.fromkeys([*MOST, "parity", "edge_buffer", "corner_buffer"])) == ANY == Features()
    assert ANY.wishes == {}
    with pytest.raises(FeatureError, match=r"^“colour” is no feature; features are edge_letters, .*, corner_buffer$"):
        parse_features({"colour": "red"})


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ({}, "any features"),
        ({"edge_letters": "8"}, "8 edge letters"),
        ({"corner_letters": "1"}, "1 corner letter"),
        ({"letters": "0"}, "no letters in all"),
        ({"edge_breaks": "..1"}, "at most 1 edge break"),
        ({"corner_breaks": "1.."}, "at least 1 corner break"),
        ({"breaks": "2..3"}, "2 to 3 breaks in all"),
        ({"flipped": "2..11"}, "at least 2 edges flipped in place"),
        ({"twisted": "0..7"}, "at most 7 corners twisted in place"),
        ({"parity": "no", "solved_edges": "1"}, "1 solved edge and no parity"),
        (
            {"parity": "yes", "solved_corners": "2", "corner_buffer": "away,home"},
            "2 solved corners, parity and the corner buffer home or away",
        ),
    ],
)
def test_wishes_in_words(texts: dict[str, str], said: str) -> None:
    assert str(parse_features(texts)) == said


def test_the_greatest_numbers_are_what_cubes_reach() -> None:
    tables = odds().tables
    for name, most in MOST.items():
        table = {"letters": "total_letters", "breaks": "total_breaks", "flipped": "flipped_edges"}.get(name, name)
        assert max(tables["twisted_corners" if name == "twisted" else table].chances) == most
    assert set(NOUNS) == set(MOST)


def test_features_of_cubes_made_by_hand() -> None:
    solved = features_of(make_plan(""))
    assert str(solved) == (
        "no edge letters, no corner letters, no letters in all, no edge breaks, no corner breaks, no breaks in all, "
        "no edges flipped in place, no corners twisted in place, 12 solved edges, 8 solved corners, no parity, "
        "the edge buffer home and the corner buffer home"
    )
    # The T perm exchanges the buffers UR of the edges with UL, and the corners UFR and UBR; LUB stays.
    swapped = features_of(make_plan("R U R' U' R' F R2 U' R' U' R U R' F'"))
    assert swapped == Features(
        edge_letters=(1, 1),
        corner_letters=(3, 3),
        letters=(4, 4),
        edge_breaks=(0, 0),
        corner_breaks=(1, 1),
        breaks=(1, 1),
        flipped=(0, 0),
        twisted=(0, 0),
        solved_edges=(10, 10),
        solved_corners=(6, 6),
        parity=True,
        edge_buffer=frozenset({"away"}),
        corner_buffer=frozenset({"home"}),
    )
    # Flipped are the buffer UR and one other edge; twisted two corners beside the buffer LUB, one this way, one that.
    edges, corners = (geometry(3).orbit(name) for name in ("edges", "corners"))
    buffers = buffer_pieces(load_method())
    other = (buffers[0] + 4) % 12
    one, two = (buffers[1] + 1) % 8, (buffers[1] + 2) % 8
    flips = [(place, int(place in (buffers[0], other))) for place in range(len(edges.pieces))]
    twists = [(place, {one: 1, two: 2}.get(place, 0)) for place in range(len(corners.pieces))]
    turned = features_of(make_plan(Cube.from_pieces({"edges": flips, "corners": twists})))
    assert turned == Features(
        edge_letters=(2, 2),
        corner_letters=(4, 4),
        letters=(6, 6),
        edge_breaks=(1, 1),
        corner_breaks=(2, 2),
        breaks=(3, 3),
        flipped=(1, 1),
        twisted=(2, 2),
        solved_edges=(10, 10),
        solved_corners=(6, 6),
        parity=False,
        edge_buffer=frozenset({"turned"}),
        corner_buffer=frozenset({"home"}),
    )


def test_only_readings_of_both_orbits_of_a_3x3x3_have_features() -> None:
    plan = make_plan("R U F")
    assert features_of(plan) == features_of(plan.orbits) == features_of(list(reversed(plan.orbits)))
    with pytest.raises(ReadingError, match=r"^features are known of a 3x3x3 only"):
        features_of(plan.orbits[:1])


def test_wishes_allow_what_they_wish_for() -> None:
    own = features_of(make_plan("R U F"))
    assert ANY.allow(own)
    assert own.allow(own)
    assert not own.allow(ANY)
    rng = random.Random(2)
    for name, wish in own.wishes.items():
        alone = own.only([name])
        assert alone.wishes == {name: wish}
        assert alone.allow(own)
        assert alone.allow(features_of(make_plan(sample(alone, rng))))
        others = _otherwise(name, wish)
        assert not others.allow(own), name
    wide = parse_features({"edge_letters": "2..20", "edge_buffer": "away,home"})
    assert wide.allow(parse_features({"edge_letters": "3..20", "edge_buffer": "away"}))
    assert not wide.allow(parse_features({"edge_letters": "3..21", "edge_buffer": "away"}))
    assert not wide.allow(parse_features({"edge_letters": "3..20", "edge_buffer": "away,turned"}))


def _otherwise(name: str, wish: object) -> Features:
    if name in MOST:
        assert isinstance(wish, tuple)
        return parse_features({name: f"{wish[0] + 1}.."})
    if name == "parity":
        return parse_features({name: "no" if wish else "yes"})
    assert isinstance(wish, frozenset)
    return parse_features({name: ",".join(set(BUFFER_STATES) - wish)})
