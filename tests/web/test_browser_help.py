"""Help in a real browser: every answer of the common questions is computed here again, for every method there is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

import pytest
from playwright.sync_api import Locator, Page, expect

from nightfold.blind.features import parse_features
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method, method_names
from nightfold.blind.odds import Table, odds
from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import Turn, write
from nightfold.cube.state import Cube
from tests.web.browser import REFUSED, Window
from tests.web.desk import letters_of, wait_for_letters

QUESTIONS = {
    "free": "Which turns are free for setups, and why?",
    "letter": "How does one letter become turns?",
    "buffer": "What if the buffer is already right?",
    "unsaid": "Which letters will I never say?",
    "parity": "Why does parity happen, and what do I do?",
    "turned": "What if a piece is flipped or twisted in its place?",
    "letters": "How many letters should I expect?",
}
each_method = pytest.mark.parametrize("name", method_names())


def percent(share: Fraction) -> str:
    """A share as Help tells it; the ones asked for here are neither nothing nor all."""
    assert Fraction(1, 1000) < share < Fraction(999, 1000)
    return f"{float(100 * share):.1f}%"


def chance(**features: str) -> Fraction:
    """The chance of a cube to have these features."""
    return odds(parse_features(features)).chance


def and_list(words: Iterable[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def as_layers(turns: Iterable[Turn]) -> list[str]:
    """Turns as Help says them: a layer by its name where all its three turns are among them."""
    found: dict[str, list[str]] = {}
    for turn in turns:
        found.setdefault(str(turn).rstrip("2'"), []).append(str(turn))
    return [said for layer, all_ in found.items() for said in ([layer] if len(all_) == 3 else all_)]


def questions(window: Window, method: str) -> Page:
    """All questions open, answered for a method; the slowest answer is there."""
    page = window.go("help", part="questions", method=method, q=",".join(QUESTIONS))
    expect(page.locator("details .example")).to_have_count(3)
    return page


def answer(page: Page, question: str) -> Locator:
    heading = page.get_by_role("heading", name=QUESTIONS[question], exact=True)
    return page.locator("details", has=heading).locator(".answer")


@each_method
def test_free_turns_and_letters_are_those_of_the_method(window: Window, name: str) -> None:
    page, method = questions(window, name), load_method(name)
    lettering = load_lettering(method.lettering)
    for number, way in enumerate(method.ways):
        orbit, names = way.orbit.name, geometry(3).names
        told = answer(page, "free").locator("> div").nth(number)
        expect(told.locator("p")).to_contain_text(f"For the {orbit} these are free:")
        expect(told.locator(".turn")).to_have_text(as_layers(way.free))
        for verdict in way.verdicts:
            expect(told.locator("li", has_text=verdict.reason).first).to_contain_text(str(verdict.turn).rstrip("2'"))

        # The letter that is shown really does what is said: its sticker goes to the buffer's place.
        shown = answer(page, "letter").locator("p").nth(1 + number)
        said = re.search(r"Among the (\w+), (\S+) stands for (\w+)\.", shown.inner_text())
        assert said and said[1] == orbit
        sticker = geometry(3).sticker(said[3])
        assert lettering.of(way.orbit)[sticker] == said[2]
        setup, swap, undo = shown.locator(".turns").all_inner_texts()
        assert (setup, undo) == (way.setup(sticker).text, write(way.setup(sticker).undo))
        after = Cube.from_turns(f"{setup} {swap} {undo}").stickers
        assert (after[sticker], after[way.buffer]) == (way.buffer, sticker)

        own = [lettering.of(way.orbit)[one] for one in geometry(3).piece_of(way.buffer)]
        sentence = answer(page, "unsaid").locator(
            "p", has_text=f"For the {orbit} the buffer is {names[way.buffer]}, so"
        )
        letters = re.findall(r"\w+", sentence.inner_text().partition(", so ")[2].partition(" do")[0].replace("and", ""))
        assert sorted(letters) == sorted(own)


@each_method
def test_chances_are_the_exact_ones(window: Window, name: str) -> None:
    page, method, all_ = questions(window, name), load_method(name), odds()
    for way in method.ways:
        kind = way.orbit.name.removesuffix("s")
        buffer = geometry(3).names[way.buffer]
        expect(answer(page, "buffer")).to_contain_text(
            f"The {kind} buffer {buffer} holds its own piece, the right way round, in "
            f"{percent(chance(**{f'{kind}_buffer': 'home'}))} of all cubes at the start, and its own piece turned in "
            f"{percent(chance(**{f'{kind}_buffer': 'turned'}))} (then you break just the same)"
        )
    mean = f"{float(all_.total_breaks.mean):.1f}"
    expect(answer(page, "buffer")).to_contain_text(f"A cube asks for {mean} breaks on average")
    expect(answer(page, "parity")).to_contain_text(f"That is so for {percent(all_.parity)} of all cubes.")
    flipped, twisted = all_.flipped_edges, all_.twisted_corners
    expect(answer(page, "turned")).to_contain_text(
        f"{percent(flipped.more(0))} of all cubes have a flipped edge, {percent(twisted.more(0))} a twisted corner; "
        f"the averages are {float(flipped.mean):.2f} and {float(twisted.mean):.2f}."
    )
    total, edges, corners = (table.mean for table in (all_.total_letters, all_.edge_letters, all_.corner_letters))
    said = answer(page, "letters")
    expect(said).to_contain_text(
        f"{float(total):.1f} on average, {float(edges):.1f} for the edges and {float(corners):.1f} for the corners"
    )
    found = re.search(r"(\d+\.\d)% of all cubes have (\d+) to (\d+) altogether", said.inner_text())
    assert found
    low, high = int(found[2]), int(found[3])
    within = all_.total_letters.fewer(high + 1) - all_.total_letters.fewer(low)
    assert percent(within) == f"{found[1]}%"
    # Neither end could be drawn in: at most one cube in ten lies outside on either side, and one more would be more.
    assert all_.total_letters.fewer(low) <= Fraction(1, 10) < all_.total_letters.fewer(low + 1)
    assert all_.total_letters.more(high) <= Fraction(1, 10) < all_.total_letters.more(high - 1)


def test_the_bars_are_the_exact_shares(window: Window) -> None:
    page, all_ = questions(window, "two-swap"), odds()
    tables = {"edges": all_.edge_letters, "corners": all_.corner_letters, "altogether": all_.total_letters}
    for title, table in tables.items():
        figure = answer(page, "letters").locator("figure", has_text=re.compile(f"^Letters (of the )?{title}"))
        rows = figure.locator("tbody tr")
        assert rows.count() > 5
        covered: list[int] = []
        for row in rows.all():
            label, share = row.locator("th").inner_text(), row.locator(".share").inner_text()
            numbers = _between(*label.split("–"))
            covered += numbers
            assert share in _told(table, numbers), (title, label)
        assert covered == sorted(set(covered))
        assert sum(table.equal(number) for number in covered) == 1


def _between(low: str, high: str | None = None) -> list[int]:
    return list(range(int(low), int(high or low) + 1))


def _told(table: Table, numbers: list[int]) -> tuple[str, ...]:
    share = sum((table.equal(number) for number in numbers), Fraction(0))
    return ("<0.1%",) if share < Fraction(1, 1000) else (f"{float(100 * share):.1f}%",)


def _example(link: Locator, name: str) -> Plan:
    """The plan of the cube that a link shows as its scramble."""
    return make_plan(link.inner_text(), name)


@each_method
def test_the_examples_show_what_they_are_for(window: Window, name: str) -> None:
    page, method = questions(window, name), load_method(name)
    plan = _example(answer(page, "parity").get_by_role("link"), name)
    assert plan.parity
    counts = [f"{len(reading.letters)} letters of {reading.orbit.name}" for reading in plan.orbits]
    expect(answer(page, "parity")).to_contain_text(f"has {and_list(counts)}.")
    if method.parity.turns:
        expect(answer(page, "parity")).to_contain_text(f"you then turn the {method.parity.label} once: ")

    first, *turned = page.locator("details .example").all()
    plan = _example(first.get_by_role("link"), name)
    edges = next(reading for reading in plan.orbits if reading.orbit.name == "edges")
    assert edges.cycles[0].kind == "break"
    expect(first.locator(".letter")).to_have_text([target.symbol for target in edges.cycles[0].targets])
    for example, orbit in zip(turned, ("edges", "corners"), strict=True):
        plan = _example(example.get_by_role("link"), name)
        reading = next(reading for reading in plan.orbits if reading.orbit.name == orbit)
        cycle = next(cycle for cycle in reading.cycles if cycle.kind == "in place")
        expect(example.locator(".letter")).to_have_text([target.symbol for target in cycle.targets])
        for target in cycle.targets:
            expect(example).to_contain_text(target.why)


def test_an_example_is_opened_on_the_desk(window: Window) -> None:
    page = questions(window, "left-hand")
    link = answer(page, "parity").get_by_role("link")
    plan = _example(link, "left-hand")
    link.click()
    for reading, wanted in zip(plan.orbits, letters_of(plan), strict=True):
        wait_for_letters(window, reading.orbit.name, wanted)
    expect(page.get_by_label("Method")).to_have_value("left-hand")


def test_another_method_is_chosen(window: Window) -> None:
    page = questions(window, "two-swap")
    expect(answer(page, "unsaid")).to_contain_text("For the edges the buffer is UR, so B and M do not occur.")
    page.get_by_label("Answers for the method").select_option("left-hand")
    expect(answer(page, "unsaid")).to_contain_text("For the edges the buffer is UL, so D and E do not occur.")
    window.wait_for_address(method="left-hand")
    page.go_back()
    expect(page.get_by_label("Answers for the method")).to_have_value("two-swap")
    expect(answer(page, "unsaid")).to_contain_text("the buffer is UR")


def test_questions_are_opened_by_keyboard_and_the_address_remembers_them(window: Window) -> None:
    page = window.go("help")
    page.get_by_role("button", name="Common questions").press("Enter")
    expect(page.locator("details")).to_have_count(len(QUESTIONS))
    expect(page.locator("details[open]")).to_have_count(0)
    page.locator("summary").first.focus()
    page.keyboard.press("Enter")
    expect(answer(page, "free")).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.locator("summary").nth(1)).to_be_focused()
    page.keyboard.press("Space")
    expect(answer(page, "letter")).to_be_visible()
    window.wait_for_address(q="free,letter")
    page.reload()
    expect(page.locator("details[open]")).to_have_count(2)
    page.get_by_text(QUESTIONS["free"]).click()
    window.wait_for_address(q="letter")
    expect(answer(page, "free")).to_be_hidden()


def test_help_explains_every_screen_there_is(window: Window) -> None:
    page = window.go("help")
    links = page.get_by_role("navigation").get_by_role("link")
    screens = [name for name in links.all_inner_texts() if name != "Help"]
    assert len(screens) >= 5
    for name in screens:
        section = page.locator("section", has=page.get_by_role("heading", level=2, name=name))
        assert section.locator("li").count() > 1
        expect(section.get_by_role("link", name=name)).to_have_attribute("href", f"#/{name.lower()}")
    page.get_by_role("heading", level=2).get_by_role("link", name="Finding").click()
    expect(page.get_by_role("heading", level=1, name="Find an algorithm")).to_be_visible()


def test_a_method_that_is_not_there_is_told_and_another_can_be_chosen(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go("help", part="questions", method="nobodys", q="free")
    expect(page.get_by_role("alert")).to_contain_text("there is no method “nobodys”")
    expect(page.locator("details")).to_have_count(0)
    page.get_by_label("Answers for the method").select_option("two-swap")
    expect(answer(page, "free")).to_contain_text("For the edges these are free")
    expect(page.get_by_role("alert")).to_have_count(0)


def test_a_part_and_a_question_that_are_not_there_show_what_there_is(window: Window) -> None:
    page = window.go("help", part="lighthouse")
    expect(page.get_by_role("heading", level=1)).to_have_text("What each screen is for")
    page = window.go("help", part="questions", q="lighthouse,free")
    expect(page.locator("details[open]")).to_have_count(1)
    expect(answer(page, "free")).to_be_visible()
