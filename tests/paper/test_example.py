"""The worked example: whatever it is written as, what it tells solves the cube."""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import pytest
from markdown_it import MarkdownIt

from nightfold.blind.files import SHIPPED, parse_toml
from nightfold.blind.lettering import Lettering
from nightfold.blind.method import method_from
from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from nightfold.memory.own import OwnWord, write_own
from nightfold.memory.symbols import pair_text
from nightfold.paper.example import Example, asked, chosen_example, example_of, pictures_of, press_example
from nightfold.paper.example_text import html_example, markdown_example, md
from nightfold.paper.press import Look, PaperError, printable
from nightfold.paper.subject import Subject, subject
from nightfold.practice.logbook import Logbook
from nightfold.practice.own_words import as_record
from tests.paper.printed import HOSTILE, SIZES, coloured, lines, pages, sizes

#: Method, lettering, hold, look and the cube, each with what others have not: breaks, pieces turned in place, parity.
CASES: list[tuple[str, str, str | None, Look, dict[str, Any]]] = [
    ("two-swap", "clockwise", None, Look(), {"seed": "3"}),
    ("left-hand", "greek", "yellow,red", Look("letter", grey=True), {"seed": "5"}),
    ("j-and-y", "clockwise", None, Look(large=True), {"scramble": "R U2 F' L2 D B2 R'", "breaks": "shortest"}),
]
each_case = pytest.mark.parametrize("case", range(len(CASES)), ids=[f"{case[0]}-{case[1]}" for case in CASES])
#: Elements of HTML that have no end (HTML Living Standard, 13.1.2).
VOID = {"meta", "link", "br", "hr", "img", "input", "base", "col", "area", "embed", "source", "track", "wbr"}
TURNS = r"(?:[A-Z]w?[2']? ?)+"


class Read(NamedTuple):
    """What was read from a page: the turns that scramble and hold the cube, the algorithms, and the steps."""

    scramble: str
    hold: str
    algorithms: dict[str, str]
    letters: list[str]
    stickers: list[str]
    strokes: list[tuple[str, str, str]]
    all_turns: str


class Page(HTMLParser):
    """An HTML page, read strictly: everything that begins ends, in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        assert len(dict(attrs)) == len(attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        if tag in ("p", "li", "h1", "h2", "h3", "dt", "dd", "tr", "article", "figure", "blockquote", "td", "th"):
            self.text += "\n"

    def handle_data(self, data: str) -> None:
        if "style" not in self.open and "svg" not in self.open:
            self.text += data


@cache
def about(case: int) -> Subject:
    method, lettering, hold, _, _ = CASES[case]
    return subject(method, lettering, hold)


_TOLD: dict[str, Example] = {}


def told_once(told: Subject, wanted: dict[str, Any]) -> Example:
    """``chosen_example``, which takes its time to look for words, once for each cube."""
    key = f"{told.sources} {told.hold} {wanted}"
    if key not in _TOLD:
        _TOLD[key] = chosen_example(told, wanted)
    return _TOLD[key]


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NIGHTFOLD_HOME", str(tmp_path / "home"))
    monkeypatch.setattr("nightfold.paper.example.chosen_example", told_once)
    monkeypatch.setattr("nightfold.paper.example_text.chosen_example", told_once)


@cache
def example(case: int) -> Example:
    return told_once(about(case), asked(**CASES[case][4]))


@cache
def as_pdf(case: int) -> bytes:
    return press_example(about(case), CASES[case][3], **CASES[case][4])


@cache
def as_pages(case: int) -> list[str]:
    return lines(as_pdf(case))


@cache
def as_markdown(case: int) -> dict[str, bytes]:
    return dict(markdown_example(about(case), CASES[case][3], "a lesson", **CASES[case][4]).files)


@cache
def as_html(case: int) -> str:
    (page,) = html_example(about(case), CASES[case][3], "lesson", **CASES[case][4]).files.values()
    return page.decode()


def rendered(markdown: str) -> Page:
    """Markdown as the reference rules of CommonMark show it, with tables."""
    return Page(MarkdownIt("commonmark").enable("table").render(markdown))


def read_pages(found: list[str]) -> Read:
    whole = "\n".join(found)
    flat = " ".join(whole.split())
    strokes, letters, stickers = [], [], []
    # Each page alone: no step goes on overleaf.
    for page in found:
        for step in re.finditer(
            rf"^(?:(?P<letter>\S+) \d+ · (?P<sticker>\w+)\nsetup (?P<setup>–|{TURNS})\nswap (?P<swap>.+)\n"
            rf"undo (?P<undo>–|{TURNS})|Parity \d+\nswap (?P<parity>.+))$",
            page,
            re.MULTILINE,
        ):
            setup, undo = ((step[name] or "").replace("–", "").strip() for name in ("setup", "undo"))
            strokes.append((setup, (step["swap"] or step["parity"]).strip(), undo))
            letters.append(step["letter"] or "")
            stickers.append(step["sticker"] or "")
    return Read(*starting(flat), algorithms(flat, strokes), letters, stickers, strokes, last(flat))


def algorithms(flat: str, strokes: list[tuple[str, str, str]]) -> dict[str, str]:
    """The turns that stand on the page behind each name that a step has for its swap."""
    found = {}
    for name in {swap for _, swap, _ in strokes}:
        turns = re.search(rf"(?i:{re.escape(name)}):? ({TURNS})(?:– )?(?:it )?exchanges", flat)
        assert turns, name
        found[name] = turns[1]
    return found


def starting(flat: str) -> tuple[str, str]:
    scramble = re.search(rf"make these turns: ({TURNS})(?=Keep|Then)", flat)
    hold = re.search(r"Then turn the whole cube, ([xyz2' ]+), so that", flat)
    assert scramble
    return scramble[1].strip(), hold[1] if hold else ""


def last(flat: str) -> str:
    turns = re.search(rf"All turns: ({TURNS})(?=Sit down|Method)", flat)
    assert turns
    return turns[1].strip()


def read_text(text: str, heading: str) -> Read:
    """What was read from running text; ``heading`` finds a step's letter and sticker."""
    flat = " ".join(text.split())
    strokes = [
        (setup, swap or alone or parity, undo)
        for setup, swap, undo, alone, parity in re.findall(
            r"Set up with (.+?), do the (.+?), and undo with (.+?)\.|Nothing is set up: do the (.+?)\.|Do the (.+?)\.",
            flat[flat.index("Step by step") :],
        )
    ]
    steps = re.findall(heading, text[text.index("Step by step") :], re.MULTILINE)
    letters, stickers = ([step[at] for step in steps] for at in (0, 1))
    return Read(*starting(flat), algorithms(flat, strokes), letters, stickers, strokes, last(flat))


def check(read: Read, plan: Plan) -> None:
    """Assert that the turns that were read solve the cube that was read, step by step, and are those of the plan."""
    cube = Cube.from_turns(f"{read.scramble} {read.hold}")
    assert read.scramble == plan.scramble
    assert read.letters == [step.letter for step in plan.steps]
    assert read.stickers == [step.sticker for step in plan.steps]
    letters = [letter for reading in plan.orbits for letter in reading.letters]
    assert [letter for letter in read.letters if letter] == letters
    assert not cube.is_solved
    again = cube
    for setup, swap, undo in read.strokes:
        for part in (setup, read.algorithms[swap], undo):
            cube = cube.apply(part)
    assert cube.is_solved
    assert again.apply(read.all_turns).is_solved
    assert read.all_turns == write(plan.solution)


@each_case
def test_what_is_printed_solves_the_cube(case: int) -> None:
    check(read_pages(as_pages(case)), example(case).plan)


@each_case
def test_what_stands_in_markdown_solves_the_cube(case: int) -> None:
    text = rendered(as_markdown(case)["a lesson.md"].decode()).text
    check(read_text(text, r"^\d+\. (?:(\S+) at (\w+)|Parity)$"), example(case).plan)


@each_case
def test_what_stands_in_html_solves_the_cube(case: int) -> None:
    check(read_text(Page(as_html(case)).text, r"^(?:(\S+) step \d+, (\w+)|Parity step \d+)$"), example(case).plan)


@each_case
def test_all_three_say_what_the_plan_says(case: int) -> None:
    told = example(case)
    plan = told.plan
    texts = [
        " ".join(" ".join(as_pages(case)).split()),
        " ".join(rendered(as_markdown(case)["a lesson.md"].decode()).text.split()),
        " ".join(Page(as_html(case)).text.split()),
    ]
    sentences = [target.why for reading in plan.orbits for target in reading.targets]
    sentences += [cycle.end for reading in plan.orbits for cycle in reading.cycles if cycle.end]
    sentences += [one.word for orbit in told.orbits for one in orbit.pairs if one.word]
    sentences += [orbit.phrase for orbit in told.orbits if orbit.phrase]
    sentences += [*told.parity, told.intro, told.hold, told.end, told.caution]
    for text in texts:
        for sentence in sentences:
            # On paper a line may end in a page's foot, so long sentences are looked for by their beginnings.
            assert sentence[:40] in text
    if plan.parity:
        assert plan.method.parity.label in told.parity[1]
    for orbit, reading in zip(told.orbits, plan.orbits, strict=True):
        assert [pair.pair for pair in orbit.pairs] == [
            pair_text(reading.letters[at : at + 2]) for at in range(0, len(reading.letters), 2)
        ]


def test_the_cases_have_breaks_turned_pieces_parity_and_none() -> None:
    plans = [example(case).plan for case in range(len(CASES))]
    kinds = {cycle.kind for plan in plans for reading in plan.orbits for cycle in reading.cycles}
    assert kinds == {"buffer", "break", "in place"}
    assert {plan.parity for plan in plans} == {True, False}
    assert any(plan.hold for plan in plans)


@each_case
def test_what_a_step_leaves_is_what_the_cube_shows(case: int) -> None:
    plan = example(case).plan
    cube, names = plan.cube, plan.cube_names
    for step, told in zip(plan.steps, example(case).steps, strict=True):
        cube = cube.apply(step.turns)
        if told.then.endswith("is right now."):
            at = names.index(told.then.split()[0])
            assert cube.stickers[at] == at
        elif told.then == "The cube is solved.":
            assert cube.is_solved and step is plan.steps[-1]
        elif step.letter:
            assert "waits at" in told.then
            assert cube.stickers[names.index(step.sticker)] != names.index(step.sticker)


@each_case
def test_paper_and_colour(case: int) -> None:
    look = CASES[case][3]
    ((width, height),) = sizes(as_pdf(case))
    assert (width, height) == pytest.approx(SIZES[look.paper], abs=0.5)
    assert bool(coloured(as_pdf(case))) == (not look.grey)


@each_case
def test_html_needs_nothing_else_and_runs_nothing(case: int) -> None:
    text = as_html(case)
    page = Page(text)
    assert "://" not in text
    assert "@import" not in text
    assert all(found.startswith("#") for found in re.findall(r"url\(['\"]?(.)", text))
    names = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(names) == len(set(names))
    for tag, attributes in page.tags:
        assert tag not in ("script", "link", "iframe", "object", "embed", "img", "base", "form", "foreignobject")
        for name in attributes:
            assert not name.startswith("on")
            assert name not in ("src", "href", "xlink:href", "srcset", "action", "data")
    for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL):
        ElementTree.fromstring(svg)
    assert "prefers-color-scheme: dark" in text
    assert "@media print" in text


@each_case
def test_markdown_shows_pictures_that_are_there(case: int) -> None:
    files = as_markdown(case)
    page = rendered(files["a lesson.md"].decode())
    shown = [attributes["src"] or "" for tag, attributes in page.tags if tag == "img"]
    assert {name.replace("%20", " ") for name in shown} == set(files) - {"a lesson.md"}
    assert all(attributes["alt"] for tag, attributes in page.tags if tag == "img")
    for name, data in files.items():
        if name.endswith(".svg"):
            ElementTree.fromstring(data)


@each_case
def test_pictures_show_the_cube_before_and_after_each_step(case: int) -> None:
    told = example(case)
    pictures = pictures_of(told, CASES[case][3])
    fill = r'<polygon points="[^"]+" fill="((?:url\(#[a-z0-9-]*?h(?=\d\)))?[^"]+)"'

    def paints(name: str) -> list[str]:
        found = [re.sub(r"#[a-z]\d*-?h", "#h", paint) for paint in re.findall(fill, pictures[name].svg)]
        return [paint for paint in found if paint != "none"]

    steps = len(told.plan.steps)
    assert paints("look") == paints("before 1")
    assert paints("end") == paints(f"after {steps}")
    assert len(paints("look")) == 54
    for number in range(1, steps):
        assert paints(f"after {number}") == paints(f"before {number + 1}")
        assert paints(f"after {number}") != paints(f"before {number}")
    assert len(set(paints("end"))) == 6


# --- hostile words -----------------------------------------------------------------------------------------


def kept(text: str) -> str:
    """A text as every page may show it: without what cannot be shown."""
    return " ".join(str(printable(text)).replace("\u200b", "").split())


@pytest.mark.parametrize("word", [*HOSTILE[:2], "| www.b.example https://b.example a@b.example | `x` ![y](z)"])
def test_hostile_words_are_words_only(word: str, tmp_path: Path) -> None:
    clean = " ".join("".join(char for char in word if char.isprintable()).split())[:60].strip()
    signs = "".join(clean.split())[:12] or "?"
    plain = subject()
    data = parse_toml((SHIPPED / "methods" / "two-swap.toml").read_bytes(), "any", NightfoldError)
    for key in ("edges", "corners", "parity"):
        data[key]["label"] = clean
    method = method_from(data | {"name": clean, "title": clean}, "any")
    symbols = {
        orbit: {at: signs + sign for at, sign in known.items()} for orbit, known in plain.letters.symbols.items()
    }
    letters = Lettering(clean, 3, symbols)
    told = Subject(method, letters, method.hold, (clean, clean))
    plan = make_plan("R U", method, letters)
    pairs = {pair_text(r.letters[at : at + 2]) for r in plan.orbits for at in range(0, len(r.letters), 2)}
    own = tmp_path / "own.csv"
    own.write_text(write_own(OwnWord(pair, clean, "object") for pair in pairs if len(pair) <= 40), "utf-8")
    choices: dict[str, Any] = {"scramble": "R U", "own": str(own)}
    page = Page(next(iter(html_example(told, Look(), "x", **choices).files.values())).decode())
    marked = rendered(next(iter(markdown_example(told, Look(), "x", **choices).files.values())).decode())
    for shown in (page, marked):
        flat = " ".join(shown.text.split())
        assert kept(f"do the {clean}, and undo with") in flat
        assert kept(plan.orbits[0].letters[0]) in flat
        assert flat.count(kept(clean)) > 10
    tags = {tag for tag, _ in Page(as_html(0)).tags} | {"blockquote", "table", "tr", "th", "td"}
    assert {tag for tag, _ in page.tags} <= tags
    assert not {tag for tag, _ in marked.tags} - {
        *("h1", "h2", "h3", "p", "strong", "em", "img", "ul", "li", "blockquote", "hr"),
        *("table", "thead", "tbody", "tr", "th", "td"),
    }
    assert pages(press_example(told, **choices))


def test_escaped_text_is_shown_as_it_stands() -> None:
    for text in (
        *map(kept, HOSTILE),
        "1. one",
        "- two",
        "+ three",
        "# four",
        "a*b*c",
        "&amp; &lt;",
        "<b>",
        "\\*",
        "[x](y)",
    ):
        assert kept(rendered(md(text)).text) == kept(text)


def test_words_of_the_logbook_come_first() -> None:
    (reading, _) = make_plan("R U").orbits
    pair = reading.letters[:2]
    with Logbook.open() as book:
        book.put(as_record(OwnWord(pair_text(pair), "lighthouse", "object"), (pair[0], pair[1]), "en"))
    told = chosen_example(subject(), asked(scramble="R U")).orbits[0].pairs[0]
    assert (told.word, told.mark) == ("lighthouse", "your own")
    other = chosen_example(subject(), asked(scramble="R U", solver="Ida")).orbits[0].pairs[0]
    assert other.mark != "your own"


# --- choosing ----------------------------------------------------------------------------------------------


def test_the_same_seed_deals_the_same_and_none_deals_another() -> None:
    assert asked(seed="7")["seed"] == 7
    assert asked()["seed"] != asked()["seed"]
    assert asked(scramble="R")["seed"] is None
    assert press_example(about(0), **CASES[0][4]) == as_pdf(0)


def test_no_turn_of_a_very_long_scramble_is_left_out() -> None:
    scramble = "R U " * 104 + "R2 U2 F2 " * 300 + "D"
    plain = " ".join(scramble.split())
    told = subject()
    flat = " ".join(" ".join(pages(press_example(told, scramble=scramble))).split())
    told_turns = flat[flat.index("make these turns:") : flat.index("Reading the edges")]
    assert told_turns.count("F2") >= 300
    assert "…" not in re.sub(r"Method .*? \d+ / \d+", "", told_turns)
    page = Page(next(iter(html_example(told, Look(), "x", scramble=scramble).files.values())).decode())
    assert plain in " ".join(page.text.split())


def test_a_solved_cube_is_told_too() -> None:
    text = " ".join(" ".join(pages(press_example(subject(), scramble=""))).split())
    assert "This cube is solved as it is: there is nothing to read, to remember or to turn." in text


def test_what_cannot_be_used_is_told(tmp_path: Path) -> None:
    with pytest.raises(PaperError, match="leave one of them out"):
        asked(scramble="R", seed="1")
    with pytest.raises(PaperError, match="cannot be read: No such file"):
        chosen_example(subject(), asked(scramble="R", own=str(tmp_path / "none.csv")))
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe")
    with pytest.raises(PaperError, match="byte 1 is not UTF-8"):
        chosen_example(subject(), asked(scramble="R", own=str(tmp_path / "bytes.csv")))
    with pytest.raises(NightfoldError, match="no turn has this name"):
        example_of(subject(), scramble="K")
