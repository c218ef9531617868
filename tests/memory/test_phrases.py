"""Phrases: every pair in order by one of its candidates, and nothing else but the words in between."""

from __future__ import annotations

import re
import tomllib
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import nightfold.memory
from nightfold.memory.candidates import Finder
from nightfold.memory.errors import WordsError
from nightfold.memory.inflect import doing, third_person
from nightfold.memory.own import OwnWord, OwnWords
from nightfold.memory.phrases import STYLES, Phrase, Writer, read_route, styles_of
from nightfold.memory.rude import rude_filter
from nightfold.memory.sounds import syllable
from nightfold.memory.symbols import Pair
from tests.memory.finders import GREEK, LETTERS, PAIRS, covered, finder

GLUE: dict[str, Any] = tomllib.loads(
    (Path(nightfold.memory.__file__).parent / "phrases.toml").read_text(encoding="utf-8")
)
ROUTE = tuple(f"place {number}" for number in range(1, 25))
MEMOS = st.fixed_dictionaries(
    {
        orbit: st.tuples(
            st.lists(st.sampled_from(PAIRS), max_size=6),
            st.lists(st.sampled_from(LETTERS).map(lambda one: (one,)), max_size=1),
        ).map(lambda parts: (*parts[0], *parts[1]))
        for orbit in ("edges", "corners")
    }
)


def sentences(style: str) -> list[str]:
    """Every sentence of a style, as patterns with groups for the words of pairs."""
    tables = ("one", "two", "three", *(["deed"] if style == "person-action-object" else []))
    forms = [form for table in tables for row in GLUE[table].values() for form in row]
    if style == "route":
        forms = ["place \\d+: {0}.", *(f"place \\d+: {form}" for form in forms)]
    # What is on a beach is not in it.
    either = [re.sub(r"\bin(to)? (?=\{)", r"[io]n\1 ", form, flags=re.IGNORECASE) for form in forms]
    return [re.sub(r"\{\d\}", ".+?", form.replace(".", r"\.")) for form in either]


def check(phrase: Phrase, pairs: tuple[Pair, ...], by: Finder) -> None:
    assert phrase.pairs == tuple(pairs)
    unwanted = rude_filter("en").words
    for part in phrase.parts:
        if not part.pair:
            continue
        if phrase.style == "sounds":
            assert part.text == syllable(part.pair, unwanted)
            continue
        assert part.candidate is not None
        word = part.candidate.word
        known = [one.word for one in by.own_words(part.pair)] + [one.word for one in by.suggestions(part.pair)]
        assert word in known
        said = {word, f"the {word}", f"something {word}", third_person(word), doing(word)}
        assert part.text in said | {one[:1].upper() + one[1:] for one in said}
    if phrase.style != "sounds" and pairs:
        text = str(phrase)
        opening = GLUE["first"][phrase.orbit] + " "
        assert text.startswith(opening)
        assert re.fullmatch(
            "(?:(?:" + "|".join(sentences(phrase.style)) + r")(?: |$))+", text[len(opening) :], re.IGNORECASE
        )
    assert bool(str(phrase)) == bool(pairs)


@pytest.mark.parametrize("style", STYLES)
@given(memo=MEMOS)
def test_every_pair_is_told_in_order_by_a_candidate(style: str, memo: dict[str, tuple[Pair, ...]]) -> None:
    writer = Writer(finder(), covered().words)
    found = writer.write(memo, dict.fromkeys(memo, style), ROUTE)
    assert [phrase.orbit for phrase in found] == list(memo)
    for phrase in found:
        check(phrase, memo[phrase.orbit], finder())
    assert Writer(finder(), covered().words).write(memo, dict.fromkeys(memo, style), ROUTE) == found


def test_edges_and_corners_differ_even_in_one_style() -> None:
    pairs = (("B", "R"), ("L", "S"), ("P", "G"))
    for style in ("person-action-object", "story", "route"):
        edges, corners = Writer(finder()).write(
            {"edges": pairs, "corners": pairs}, styles_of(style, ("edges", "corners")), ROUTE
        )
        assert str(edges) != str(corners)


def test_story_and_route_use_the_words_that_pairs_were_given() -> None:
    words = covered().words
    pairs = (("H", "T"), ("L", "S"), ("P", "G"))
    for style in ("story", "route"):
        (phrase,) = Writer(finder(), words).write({"edges": pairs}, {"edges": style}, ROUTE)
        assert [part.candidate for part in phrase.parts if part.pair] == [words[pair] for pair in pairs]


def test_person_action_object() -> None:
    own = OwnWords(
        [
            OwnWord("BR", "Maren", "person"),
            OwnWord("LS", "carry", "action"),
            OwnWord("PG", "lantern", "object"),
            OwnWord("AB", "the old keeper", "person"),
            OwnWord("CD", "muddy", "quality"),
        ]
    )
    writer = Writer(Finder(LETTERS, own=own))

    def told(*texts: str) -> str:
        pairs = tuple(tuple(text) for text in texts)
        return str(writer.write({"edges": pairs}, {"edges": "person-action-object"})[0]).removeprefix("By day: ")

    assert told("BR", "LS", "PG") == "Maren carries the lantern."

    def one_of(table: str, roles: str, *words: str) -> set[str]:
        return {form.format(*words) for form in GLUE[table][roles]}

    assert told("BR", "PG", "AB") in one_of("three", "actor-thing-actor", "Maren", "the lantern", "the old keeper")
    assert told("BR", "LS") == "Maren carries."
    assert told("BR", "PG") in one_of("two", "actor-thing", "Maren", "the lantern")
    assert told("LS", "LS", "CD") == "Carrying carries something muddy."
    assert told("CD").lower() in {form.lower() for form in one_of("one", "thing", "something muddy")}
    deed, _, end = told("AB", "LS", "PG", "BR").partition(". ")
    assert deed == "The old keeper carries the lantern"
    assert end in one_of("one", "actor", "Maren")


def test_people_and_deeds_are_looked_for() -> None:
    found = 0
    for start in range(0, len(PAIRS) - 3, 29):
        pairs = PAIRS[start], PAIRS[start + 1], PAIRS[start + 2]
        (phrase,) = Writer(finder(), covered().words).write({"edges": pairs}, {"edges": "person-action-object"})
        actor, *_ = (part for part in phrase.parts if part.pair)
        if any(one.kind in ("person", "animal") for one in finder().suggestions(pairs[0])):
            assert actor.candidate and actor.candidate.kind in ("person", "animal")
            found += 1
    assert found > 10


def test_the_words_between_are_told_for_everything_that_pairs_can_be() -> None:
    roles = ("actor", "thing", "place")
    for number, table in enumerate(("one", "two", "three"), 1):
        assert set(GLUE[table]) == {"-".join(some) for some in product(roles, repeat=number)}
        for row in GLUE[table].values():
            assert len(row) > 1
            # Pairs are told in their order, or their letters would be.
            assert all(re.findall(r"\{(\d)\}", form) == [str(at) for at in range(number)] for form in row)


def test_sentences_vary_within_a_memo_and_from_memo_to_memo() -> None:
    writer = Writer(finder(), covered().words)

    def frames(start: int, style: str) -> list[str]:
        pairs = PAIRS[start : start + 8]
        (phrase,) = writer.write({"edges": pairs}, {"edges": style}, ROUTE)
        text = "".join("#" if part.pair else part.text for part in phrase.parts)
        return [frame.partition(": ")[2] or frame for frame in text.removeprefix("By day: ").split(". ")]

    for style in ("story", "route"):
        opening_frames = {frames(start, style)[0] for start in range(0, 500, 25)}
        assert len(opening_frames) > 5
        assert all(len(set(frames(start, style))) > 1 for start in range(0, 500, 25))


#: From memory: what nobody can draw, what is no deed with the hands, and what invites a snigger.
NO_DEEDS = "auction contract duplex register flow blow ride mount bang lick rub stroke strip suck screw touch tie beat"


def test_one_is_on_a_beach_and_in_a_kitchen() -> None:
    own = OwnWords(
        [OwnWord("BR", "Maren", "person"), OwnWord("LS", "beach", "place"), OwnWord("KT", "kitchen", "place")]
    )
    writer = Writer(Finder(LETTERS, own=own))
    told = {
        pair: " ".join(
            str(writer.write({"edges": (*(("B", "R"),) * at, *((tuple(pair), ("B", "R")) * 6))}, {"edges": "story"})[0])
            for at in (0, 2)
        )
        for pair in ("LS", "KT")
    }
    assert re.search(r"\b[Oo]n the beach", told["LS"]) and not re.search(r"\b[Ii]n(to)? the beach", told["LS"])
    assert re.search(r"\b[Ii]n the kitchen", told["KT"]) and not re.search(r"\b[Oo]n(to)? the kitchen", told["KT"])


def test_deeds_can_be_seen_and_somebody_does_them() -> None:
    verbs = {role: set(words.split()) for role, words in GLUE["verbs"].items()}
    for some in verbs.values():
        assert not some & set(NO_DEEDS.split())
    assert {"kick", "carry", "paint"} <= verbs["actor"] & verbs["thing"]
    assert not {"eat", "chop", "fry", "tear"} & verbs["actor"]
    every = set().union(*verbs.values())
    # A verb that a word can never be would only look as if it were there.
    assert len(every & set(finder().lexicon.entries)) > 150
    deeds = 0
    for start in range(0, len(PAIRS) - 3, 3):
        (phrase,) = Writer(finder(), covered().words).write(
            {"edges": PAIRS[start : start + 3]}, {"edges": "person-action-object"}
        )
        actor, deed, _ = (part for part in phrase.parts if part.pair)
        if deed.candidate and not deed.text.startswith("the "):
            deeds += 1
            assert deed.candidate.word in every
            assert actor.candidate and actor.candidate.kind in ("person", "animal")
    assert deeds > 50


# --- routes and styles -------------------------------------------------------------------------------------


def test_routes() -> None:
    assert read_route(" door,stove ,, the   lamp") == ("door", "stove", "the lamp")
    pairs = tuple(PAIRS[:7])
    writer = Writer(finder())
    memo, styles = {"edges": pairs[:4], "corners": pairs[4:]}, dict.fromkeys(("edges", "corners"), "route")
    edges, corners = writer.write(memo, styles, ("door", "stove", "lamp", "bed", "sink"))
    assert re.findall(r"(\w+): ", str(edges).removeprefix("By day: ")) == ["Door", "Stove"] or "door" in str(edges)
    assert "Lamp: " in str(corners) or "lamp: " in str(corners)
    # With few places three pairs lie at one.
    short = writer.write(memo, styles, ("door", "stove", "lamp"))
    assert [str(one).count(": ") - 1 for one in short] == [2, 1]
    with pytest.raises(WordsError, match="the route has 2 places; this memo needs at least 3, for 3 pairs at a place"):
        writer.write(memo, styles, ("door", "stove"))
    with pytest.raises(WordsError, match="the route is missing; this memo needs at least 3"):
        writer.write(memo, styles)
    braces = writer.write({"edges": pairs[:1]}, {"edges": "route"}, ("{0} {place}",))
    assert "{0} {place}: " in str(braces[0])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the route names no places"),
        (" , ", "the route names no places"),
        (",".join("abcdefgh" * 8), "the route has more than 60 places"),
        ("d" * 41, "is no place of a route"),
        ("door\x1b", "is no place of a route"),
    ],
)
def test_bad_routes(text: str, said: str) -> None:
    with pytest.raises(WordsError, match=said):
        read_route(text)


def test_styles() -> None:
    both = ("edges", "corners")
    assert styles_of(None, both) == {"edges": "person-action-object", "corners": "story"}
    assert styles_of("Story", both) == dict.fromkeys(both, "story")
    assert styles_of("edges=sounds; corners=route", both) == {"edges": "sounds", "corners": "route"}
    assert styles_of("corners=sounds", both) == {"edges": "person-action-object", "corners": "sounds"}
    with pytest.raises(
        WordsError, match="“poem” is no style of phrases; styles are person-action-object, story, route, sounds"
    ):
        styles_of("poem", both)
    with pytest.raises(WordsError, match="“wings=story” must be an orbit, =, and a style, as in edges=story"):
        styles_of("wings=story", both)
    with pytest.raises(WordsError, match="“story” must be an orbit"):
        styles_of("story;edges=story", both)


def test_other_languages_have_syllables_alone() -> None:
    german = Writer(finder(language="de"))
    memo = {"edges": (("B", "R"), ("L",))}
    assert str(german.write(memo, {"edges": "sounds"})[0]) == "bar ly"
    with pytest.raises(WordsError, match="phrases are written in English only"):
        german.write(memo, {"edges": "story"})
    with pytest.raises(WordsError, match="“β” is none of them"):
        Writer(finder(letters=GREEK)).write({"edges": (("Β", "Α"),)}, {"edges": "sounds"})


def test_a_pair_without_a_word() -> None:
    with pytest.raises(WordsError, match="there is no word for 1☂; give one of your own with --own"):
        Writer(Finder(["1", "☂", "AB"], "en")).write({"edges": (("1", "☂"),)}, {"edges": "story"})


FORMS = {
    "paint": ("paints", "painting"),
    "carry": ("carries", "carrying"),
    "push": ("pushes", "pushing"),
    "bake": ("bakes", "baking"),
    "hop": ("hops", "hopping"),
    "visit": ("visits", "visiting"),
    "lie": ("lies", "lying"),
    "see": ("sees", "seeing"),
    "go": ("goes", "going"),
    "box": ("boxes", "boxing"),
    "play": ("plays", "playing"),
    "dye": ("dyes", "dyeing"),
}


@pytest.mark.parametrize("verb", FORMS)
def test_forms_of_verbs(verb: str) -> None:
    assert (third_person(verb), doing(verb)) == FORMS[verb]
