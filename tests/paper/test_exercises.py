"""Exercise sheets and their key: what is on paper is replayed on the cube, and no two learners get the same."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from itertools import permutations, product
from typing import Any, NamedTuple

import pytest

from nightfold.blind.dealing import Wish
from nightfold.blind.features import FeatureError, Features, features_of
from nightfold.blind.hold import rotation_to
from nightfold.blind.odds import odds
from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.marking import mark_memo
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import STANDARD_COLOURS, net_of
from nightfold.cube.state import Cube
from nightfold.paper.class_list import MOST_PEOPLE, read_people, read_seed
from nightfold.paper.exercises import MOST_CUBES, exercises_of, press_exercises, steps_of
from nightfold.paper.ink import inks
from nightfold.paper.other_memos import another
from nightfold.paper.press import Look, PaperError
from nightfold.paper.scrambled import scrambled_svg
from nightfold.paper.subject import Subject, subject
from tests.paper.printed import HOSTILE, SIZES, coloured, count, fonts, lines, pages, sizes

SUBJECTS = [subject(), subject("left-hand", "greek"), subject("j-and-y", "greek", "yellow,red")]
each_subject = pytest.mark.parametrize("about", SUBJECTS, ids=lambda about: f"{about.method.name}-{about.hold}")
LOOKS = [Look(), Look("letter", grey=True), Look(large=True), Look("letter", grey=True, large=True)]
TURN = r"[UDFBLR][2']?"


class Answer(NamedTuple):
    """An answer as it was read from the key."""

    number: int
    scramble: str
    memo: dict[str, list[str]]
    parity: bool
    counts: list[int]
    breaks: int
    memos: int
    also: dict[str, list[str]] | None
    others: str


@cache
def read(pdf: bytes) -> list[str]:
    """The text of each page; reading pages with pictures takes a while."""
    return pages(pdf)


def text(pdf: bytes) -> str:
    """The text of all pages with single spaces."""
    return " ".join(" ".join(read(pdf)).split())


def letters(printed: str) -> list[str]:
    """The letters of a memo as printed, bars and the spaces between pairs left out."""
    return [sign for sign in printed if sign not in " |–"]


def answers(pdf: bytes) -> list[list[Answer]]:
    """The key's answers, sheet by sheet."""
    # The line at the foot of one page would run into the next page.
    body = " ".join("\n".join(page.split("\nMethod ")[0] for page in read(pdf)).split())
    found = []
    for sheet in re.split(r"Sheet \d+(?:: \w+)? (?=1 [UDFBLR])", body)[1:]:
        one = [
            Answer(
                int(row["number"]),
                row["scramble"].strip(),
                {name: letters(row[name]) for name in ("edges", "corners")},
                row["parity"] == "parity",
                [int(part) for part in re.findall(r"\d+", row["counts"])],
                0 if row["breaks"] == "no" else int(row["breaks"]),
                int(row["memos"].replace(",", "")),
                {name: letters(row["also_" + name]) for name in ("edges", "corners")} if row["also_edges"] else None,
                row["others"] or "",
            )
            for row in re.finditer(
                rf"(?P<number>\d+) (?P<scramble>(?:{TURN} )+)edges (?P<edges>.*?) corners (?P<corners>.*?) "
                r"(?P<parity>(?:no )?parity); (?P<counts>\d+ \+ \d+ = \d+) letters, (?P<breaks>\d+|no) breaks?; "
                r"(?:hardly any cube is (?:easier|harder)|harder than [\d.]+% of all cubes); "
                r"(?P<memos>[\d,]+) right memos?(?: (?P<others>(?:No|Edges|Corners).*?) Also right: "
                r"edges (?P<also_edges>.*?); corners (?P<also_corners>.*?)\.(?= \d|\s*$))?",
                sheet,
            )
        ]
        found.append(one)
    return found


def cubes_on(pdf: bytes, read: Callable[[bytes], list[str]] = read) -> list[tuple[str, str]]:
    """The scrambles on the sheets in their order, and of each picture the colours that stand on it in grey."""
    return [
        (" ".join(found[2].split()), "".join(found[1].split()))
        for page in read(pdf)
        for found in re.findall(rf"^(\d+)(?: |\n((?:\w \w \w\n){{18}}))((?:{TURN}\s+)+)edges$", page, re.MULTILINE)
    ]


def scrambles(pdf: bytes, read: Callable[[bytes], list[str]] = read) -> list[str]:
    """The scrambles on the sheets, in their order."""
    return [scramble for scramble, _ in cubes_on(pdf, read)]


def solves(about: Subject, scramble: str, memo: dict[str, list[str]], parity: bool) -> bool:
    """Whether the memo, carried out turn by turn, solves the scrambled cube."""
    cube = Cube.from_turns(scramble)
    cube = cube.apply(rotation_to(about.hold, cube))
    for at, way in enumerate(about.method.ways):
        if at and parity:
            cube = cube.apply(about.method.parity.turns)
        targets = [about.letters.sticker(way.orbit, letter) for letter in memo[way.orbit.name]]
        for done in way.execute(targets):
            for turns in (done.setup, done.core, done.undo):
                cube = cube.apply(turns)
    return cube.is_solved


@pytest.mark.parametrize(
    ("about", "look"),
    list(zip(SUBJECTS, (Look(), Look("letter", grey=True), Look("letter")), strict=True)),
    ids=lambda one: one.method.name if isinstance(one, Subject) else str(one.grey),
)
def test_every_scramble_on_the_sheets_gives_the_memo_on_the_key(about: Subject, look: Look) -> None:
    sheets = press_exercises(about, look, learners="2", cubes=6, seed="11")
    told = answers(press_exercises(about, look, learners="2", cubes=6, seed="11", key=True))
    assert [[one.number for one in sheet] for sheet in told] == [[1, 2, 3, 4, 5, 6]] * 2
    flat = [one for sheet in told for one in sheet]
    # In grey, the letters of the pictures stand beside.
    assert scrambles(sheets, lines) == [one.scramble for one in flat]
    for scramble, picture in cubes_on(sheets, lines):
        assert not look.grey or picture == "".join(net_of(Cube.from_turns(scramble)).symbols)
    for one in flat:
        assert solves(about, one.scramble, one.memo, one.parity)
        assert one.counts == [len(one.memo["edges"]), len(one.memo["corners"]), sum(map(len, one.memo.values()))]
        assert one.parity == (one.counts[0] % 2 == 1)
        plan = make_plan(one.scramble, about.method, about.letters, about.hold)
        own = features_of(plan)
        assert own.breaks == (one.breaks, one.breaks)
        assert one.memos == plan.memos
        assert (one.also is None) == (plan.memos == 1)
        if one.also is not None:
            assert one.also != one.memo
            assert solves(about, one.scramble, one.also, one.parity)
            assert mark_memo(plan, one.also, one.parity).right


@each_subject
def test_what_the_key_says_of_other_memos_names_all_of_them(about: Subject) -> None:
    """Every memo that the sentences allow, cycle by cycle and entry by entry, is right; and there are as many."""
    met = 0
    for sheet in exercises_of(about, ("", ""), 8, 5).sheets:
        for exercise in sheet.exercises:
            for told, way in zip(exercise.others, about.method.ways, strict=True):
                memos: set[tuple[str, ...]] = set()
                for order in permutations(told.entries):
                    for chosen in product(*order):
                        if len(memos) < 60:
                            memos.add(_traced(exercise.plan, told.orbit, chosen))
                expected = 1
                for at, entries in enumerate(told.entries, 1):
                    expected *= at * len(entries)
                assert told.memos == expected
                assert len(memos) == min(told.memos, 60)
                for memo in memos:
                    assert memo[: len(told.fixed)] == told.fixed
                    assert mark_memo(exercise.plan, {way.orbit.name: memo}).right
                    met += 1
                assert ("No other memo" in told.said or "No letter" in told.said) == (told.memos == 1)
                assert told.memos == 1 or f"({told.memos:,} memos)" in told.said
    assert met > 300


def _traced(plan: Plan, orbit: str, entries: tuple[str, ...]) -> tuple[str, ...]:
    breaks = f"choose:{orbit}={' '.join(entries)}" if entries else None
    other = make_plan(plan.cube, plan.method, plan.lettering, plan.held, breaks, plan.scheme)
    return next(reading.letters for reading in other.orbits if reading.orbit.name == orbit)


def test_another_memo_is_another() -> None:
    for breaks in ("lowest", "shortest"):
        plan = make_plan("F U2 L' B D R2 U' F2 L D' B2 R U", breaks=breaks)
        other = another(plan)
        assert other is not None and plan.memos > 1
        assert [reading.letters for reading in other.orbits] != [reading.letters for reading in plan.orbits]
    assert another(make_plan("")) is None


def test_twenty_learners_get_twenty_different_sheets_that_get_harder() -> None:
    about = subject()
    pdf = press_exercises(about, learners="20", seed="48")
    dealt = scrambles(pdf)
    assert (len(dealt), count(pdf)) == (80, 20)
    assert len({Cube.from_turns(scramble) for scramble in dealt}) == 80
    plans = [make_plan(scramble) for scramble in dealt]
    steps = re.search(r"they have 8, 12, 18 and 22 letters in all", text(pdf))
    assert steps
    for at in range(0, 80, 4):
        ranks = [(plan.letters, sum(reading.breaks for reading in plan.orbits)) for plan in plans[at : at + 4]]
        assert [letters for letters, _ in ranks] == [8, 12, 18, 22]
    assert [f"Sheet {at} of 20, seed 48" in page for at, page in enumerate(read(pdf), 1)] == [True] * 20


def test_cubes_of_equal_letters_are_ordered_by_breaks() -> None:
    made = exercises_of(subject(), ("", "", ""), 12, 3, Features(letters=(16, 20)))
    assert set(made.steps) == {16, 18, 20}
    for sheet in made.sheets:
        ranks = [(one.letters, one.breaks) for one in sheet.exercises]
        assert ranks == sorted(ranks)
        shares = [one.harder_than for one in sheet.exercises]
        assert shares == sorted(shares)


def test_the_same_seed_prints_the_same_and_another_others() -> None:
    about = subject()
    first = press_exercises(about, learners="2", cubes=2, seed="9")
    assert press_exercises(about, learners="2", cubes=2, seed="9") == first
    assert set(scrambles(press_exercises(about, learners="2", cubes=2, seed="10"))).isdisjoint(scrambles(first))
    # A sheet does not depend on how many follow it, nor on whose it is.
    assert scrambles(press_exercises(about, learners="Ines, Bo, Tomas", cubes=2, seed="9"))[:4] == scrambles(first)
    drawn = press_exercises(about, cubes=1)
    seed = re.search(r"seed (\d{6})\b", text(drawn))
    assert seed
    assert press_exercises(about, cubes=1, seed=seed[1]) == drawn


def test_wishes_are_fulfilled() -> None:
    about = subject()
    wished: dict[str, Any] = {"learners": "2", "cubes": 4, "seed": "1", "use": "edges=K"}
    wished |= {"corner_letters": "0", "parity": "no", "flipped": "1..2", "letters": "4..12"}
    for scramble in scrambles(press_exercises(about, **wished)):
        own = features_of(make_plan(scramble))
        assert own.corner_letters == (0, 0) and own.parity is False
        assert own.flipped in ((1, 1), (2, 2))
        assert "K" in make_plan(scramble).orbits[0].letters
    key = text(press_exercises(about, key=True, **wished))
    assert "All have no corner letters, 1 to 2 edges flipped in place and no parity." in key
    assert "Asked for: letters to use edges=K." in key
    # On the sheets that would be telling.
    shown = text(press_exercises(about, **wished))
    assert "flipped in place" not in shown.split("Method two-swap")[0]


def test_steps_rise_evenly_among_what_can_be() -> None:
    assert steps_of(Features(), 4) == (8, 12, 18, 22)
    assert steps_of(Features(), 8) == (8, 10, 12, 14, 16, 18, 20, 22)
    assert steps_of(Features(), 1) == (14,)
    assert steps_of(Features(letters=(6, 6)), 3) == (6, 6, 6)
    assert steps_of(Features(letters=(30, 34)), 3) == (30, 32, 34)
    # Eleven breaks of the edges take 22 letters; all others are beyond the usual.
    assert steps_of(Features(edge_breaks=(11, 11)), 2)[0] >= 22
    for cubes in range(1, MOST_CUBES + 1):
        steps = steps_of(Features(), cubes)
        assert list(steps) == sorted(steps) and len(steps) == cubes
        assert set(steps) <= odds().total_letters.chances.keys()


def test_the_pictures_show_the_scrambled_cube() -> None:
    for scramble in ("R U F2 D' L B", "F2 L B2 R' U Rw' Uw"):
        cube = Cube.from_turns(scramble)
        expected = list(net_of(cube, STANDARD_COLOURS).symbols)
        fills = re.findall(r'<rect [^>]*fill="([^"]+)"/>', scrambled_svg(cube, grey=False))
        colour = {ink.fill: symbol for symbol, ink in inks(STANDARD_COLOURS, grey=False).items()}
        assert [colour[fill] for fill in fills] == expected
        grey = scrambled_svg(cube, grey=True)
        assert re.findall(r"<text [^>]*>(\w)</text>", grey) == expected


@pytest.mark.parametrize("look", LOOKS, ids=str)
@pytest.mark.parametrize("key", [False, True])
def test_paper_and_grey_are_what_was_asked_for(look: Look, key: bool) -> None:
    pdf = press_exercises(subject("left-hand", "greek"), look, cubes=2, seed="7", key=key)
    ((width, height),) = sizes(pdf)
    assert (width, height) == pytest.approx(SIZES[look.paper], abs=0.5)
    assert bool(coloured(pdf)) == (not look.grey)
    assert fonts(pdf) <= {"SourceSansPro"}
    assert b"pdfuaid" in pdf  # accessible, as PDF/UA
    if not key:
        assert count(pdf) == (2 if look.large else 1)
    assert ("those of the colours" in text(pdf)) == (look.grey and not key)


@pytest.mark.parametrize("name", HOSTILE, ids=lambda name: ascii(name[:12]))
def test_hostile_names_stay_what_they_are(name: str) -> None:
    alone = name.replace(",", " ")
    for key in (False, True):
        pdf = press_exercises(subject(), learners=f"{alone}, Bo", cubes=1, seed="1", key=key)
        assert count(pdf) == (1 if key else 2)
        shown = "".join(text(pdf).replace("\u200b", "").split())
        if name.isascii():
            assert "".join(alone[:60].split()) in shown
        assert "Bo" in shown and "Printedby" in shown
        # Nobody's sheet lists the others.
        assert "--learners2" in shown


def test_names_and_numbers() -> None:
    assert read_people(None) == ("",)
    assert read_people(" 3 ") == ("", "", "")
    assert read_people(" Ines ,, Tomas  of the  pier,Bo,") == ("Ines", "Tomas of the pier", "Bo")
    assert read_seed("-12") == -12
    assert read_seed(" 7") == 7
    assert 100_000 <= read_seed(None) < 1_000_000


@pytest.mark.parametrize(
    ("choices", "said"),
    [
        ({"key": True}, "the key is printed for sheets that are there; give their seed"),
        ({"learners": " , "}, "is nobody to print for; give a number such as 20, or names with commas"),
        ({"learners": "0"}, "“0” is nobody to print for"),
        ({"learners": str(MOST_PEOPLE + 1)}, f"at most {MOST_PEOPLE} people"),
        ({"learners": "9" * 4000}, f"at most {MOST_PEOPLE} people"),
        ({"cubes": 0}, f"0 cubes a sheet cannot be printed; 1 to {MOST_CUBES} can"),
        ({"cubes": 25}, "25 cubes a sheet cannot be printed"),
        ({"seed": "seven"}, "the seed “seven” is no whole number"),
        ({"seed": "9" * 30}, "is no whole number"),
        ({"seed": "٣"}, "is no whole number"),
        ({"most_turns": "few"}, "“few” turns is no number"),
        ({"letters": "7"}, "no cube has 7 letters in all"),
        ({"letters": "0", "learners": "2"}, "there is only 1 fitting cube of 0 letters, and 8 different ones"),
        ({"use": "edges="}, "names no letters"),
        ({"use": "edges=B"}, "buffer piece"),
        ({"parity": "maybe"}, "parity must be yes or no"),
    ],
)
def test_what_cannot_be_printed_is_told(choices: dict[str, object], said: str) -> None:
    with pytest.raises(NightfoldError) as told:
        press_exercises(subject(), **choices)  # type: ignore[arg-type]
    assert said in str(told.value)
    assert "\n" not in str(told.value)


def test_few_cubes_are_dealt_to_the_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """With no corner letters and four of the edges there are few kinds; each is dealt once at most."""
    fitting = Features(edge_letters=(2, 2), corner_letters=(0, 0), edge_breaks=(0, 0))
    made = exercises_of(subject(), ("",) * 10, 4, 1, fitting)
    assert len({one.plan.cube for sheet in made.sheets for one in sheet.exercises}) == 40
    with pytest.raises(PaperError, match="different ones are needed; print fewer sheets"):
        exercises_of(subject(), ("",) * 100, 12, 1, fitting)
    with pytest.raises(FeatureError):
        exercises_of(subject(), features=Features(edge_letters=(40, 40)))
    monkeypatch.setattr("nightfold.paper.exercises._MOST_TWICE", 20)
    # Of the letters allowed only a few are left, so that cubes come again.
    avoided = tuple(("edges", letter) for letter in "ACDEFGHIJKLMNOPQRSTU")
    with pytest.raises(NightfoldError, match=r"hardly any other cubes fit|too rare"):
        exercises_of(subject(), ("",) * 20, 1, 1, fitting, Wish(avoid=avoided))
