"""Setup pages and the pocket card: what is printed works on the cube."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import cycle
from typing import NamedTuple

import pytest

from nightfold.blind.lettering import lettering_names
from nightfold.blind.method import method_names
from nightfold.blind.ways import SwapWay
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, parse_turns, write
from nightfold.paper.press import Look
from nightfold.paper.setups import press_setups, setups_of
from nightfold.paper.subject import Subject, subject
from tests.paper.printed import lines
from tests.solid import turn_source

#: Every method, and both letterings that come along.
SUBJECTS = [
    subject(method, lettering) for method, lettering in zip(method_names(), cycle(lettering_names()), strict=False)
]
each_subject = pytest.mark.parametrize("about", SUBJECTS, ids=lambda about: f"{about.method.name}-{about.letters.name}")
TURNS = r"(?:–|(?:[A-Z]w?[2']? ?)+?)"


LOOKS = (Look(), Look("letter", grey=True))


@cache
def read(method: str, lettering: str, look: Look) -> str:
    return "\n".join(lines(press_setups(subject(method, lettering), look)))


def printed(about: Subject, look: Look) -> str:
    """The text of the setup pages, which takes a while to be read back."""
    return read(about.method.name, about.letters.name, look)


class Printed(NamedTuple):
    """A row as it was read from the paper."""

    letter: str
    name: str
    setup: str
    undo: str
    why: str


def turned(stickers: tuple[int, ...], turns: tuple[Turn, ...]) -> tuple[int, ...]:
    """The stickers after ``turns``, by the matrices of the second model."""
    for turn in turns:
        source = source_of(turn)
        stickers = tuple(stickers[place] for place in source)
    return stickers


@cache
def source_of(turn: Turn) -> tuple[int, ...]:
    return turn_source(3, turn)


def rows(text: str, label: str) -> Iterator[Printed]:
    """The rows of setup pages with this swap."""
    for found in re.finditer(
        rf"^(\S+) ([UDFBLR]{{2,3}}) ({TURNS}) {label} ({TURNS}) (\S+ (?:carries|lifts|lowers|is) .*?)$",
        text,
        re.MULTILINE,
    ):
        yield Printed(*found.groups())


def check(way: SwapWay, about: Subject, row: Printed, swap: str) -> int:
    """Assert that the turns on paper exchange the letter's sticker with the buffer; the sticker."""
    setup, undo = (parse_turns(part.replace("–", "")) for part in (row.setup, row.undo))
    target = about.letters.sticker(way.orbit, row.letter)
    names = geometry(3).names
    assert names[target] == row.name
    after = turned(tuple(range(54)), setup + parse_turns(swap) + undo)
    assert (after[way.buffer], after[target]) == (target, way.buffer)
    touched = {*geometry(3).piece_of(target), *geometry(3).piece_of(way.buffer)}
    assert all(after[place] == place for place in way.orbit.stickers if place not in touched)
    # What else was moved is what every swap moves, so that the next one puts it back.
    alone = turned(tuple(range(54)), parse_turns(swap))
    elsewhere = [place for place in range(54) if place not in way.orbit.stickers]
    assert [after[place] for place in elsewhere] == [alone[place] for place in elsewhere]
    return target


@each_subject
def test_every_setup_on_paper_works(about: Subject) -> None:
    for look in LOOKS:
        text = printed(about, look)
        for way in about.method.ways:
            swap = re.search(rf"The {re.escape(way.label)} exchanges the\s+two:\s+((?:[A-Z]w?[2']?\s)+)", text)
            assert swap
            assert write(parse_turns(swap[1])) == write(way.core)
            met = [check(way, about, row, swap[1]) for row in rows(text, re.escape(way.label))]
            assert sorted(met) == sorted(way.targets)


@each_subject
def test_the_pages_say_what_the_engine_says(about: Subject) -> None:
    text = " ".join(printed(about, LOOKS[0]).split())
    for way, orbit in zip(about.method.ways, setups_of(about), strict=True):
        for verdict in way.verdicts:
            assert verdict.reason in text
        free = [turn for group in orbit.free for turn in group.turns.split(", ")]
        assert {str(turn._replace(amount=1)) for turn in way.free} == set(free)
        for kind in orbit.classes:
            assert kind.title in text
            for row in kind.rows:
                assert row.why in text
        listed = [setup.sticker for setup in way.listed()]
        assert [row.sticker for kind in orbit.classes for row in kind.rows] == listed


@pytest.mark.parametrize("look", [Look(), Look("letter", grey=True, large=True)], ids=["a4", "letter-grey-large"])
@each_subject
def test_every_setup_on_the_pocket_card_works(about: Subject, look: Look) -> None:
    (text,) = lines(press_setups(about, look, pocket=True))
    assert write(about.method.parity.turns) in " ".join(text.split())
    found = []
    for letter, name, made in re.findall(rf"^(\S+) ([UDFBLR]{{2,3}}) ({TURNS}|– –)$", text, re.MULTILINE):
        # The undo has as many turns as the setup, so the middle parts the two columns.
        turns = made.split()
        half = len(turns) // 2
        found.append(Printed(letter, name, " ".join(turns[:half]), " ".join(turns[half:]), ""))
    for way in about.method.ways:
        mine = [row for row in found if geometry(3).sticker(row.name) in way.orbit.stickers]
        met = [check(way, about, row, write(way.core)) for row in mine]
        copies = 1 if look.large else 2
        assert sorted(met) == sorted(way.targets * copies)
        assert write(way.core) in " ".join(text.split())


def test_class_titles_keep_their_capitals() -> None:
    titles = [kind.title for orbit in setups_of(subject()) for kind in orbit.classes]
    assert titles[:3] == ["No setup", "One turn: L", "Two turns: D, then L"]


def test_colours_follow_the_hold() -> None:
    assert subject(hold="yellow,red").scheme == tuple("YBRGOW")
    assert subject().scheme == tuple("WOGRBY")
