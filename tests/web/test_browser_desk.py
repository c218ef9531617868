"""The desk in a real browser: a cube comes, is read, played, painted and recalled; links, keys, pointer."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import load_method
from nightfold.blind.plan import make_plan
from nightfold.cube.diagnosis import diagnose
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import Net
from nightfold.cube.notation import parse_turns
from nightfold.memory.breaks import words_breaks
from tests.web.browser import GROUNDS, REFUSED, Window, launched, opened
from tests.web.desk import (
    SCRAMBLE,
    SOLVED,
    colours_after,
    letters,
    letters_of,
    net,
    place_of,
    put,
    wait_for_letters,
    wait_for_net,
)

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Playwright


def test_a_typed_scramble_is_read_as_the_plan_has_it(window: Window) -> None:
    page = window.go()
    page.get_by_label("Scramble").fill(SCRAMBLE)
    plan = make_plan(SCRAMBLE)
    edges, corners = letters_of(plan)
    wait_for_letters(window, "edges", edges)
    wait_for_letters(window, "corners", corners)
    expect(page.locator(".flag")).to_have_text("yes" if plan.parity else "no")
    page.get_by_role("button", name="both").click()
    expect(page.locator(".star > .star-letter")).to_have_text(list(edges + corners))
    expect(page.locator(".sky .line.dashed")).to_have_count(sum(reading.breaks for reading in plan.orbits))
    steps = page.locator("section.steps")
    for step in plan.steps:
        expect(steps).to_contain_text(step.why)
    expect(steps).to_contain_text("Replayed on the cube: solved")


def test_pointing_at_a_letter_says_why_it_follows(window: Window) -> None:
    plan = put(window)
    page, targets = window.page, plan.orbits[0].targets
    said = page.locator(".letters .why")
    page.locator('.row[aria-label^="edges"] [data-order="3"]').hover()
    expect(said).to_have_text(targets[3].why)
    expect(page.locator(".star.lit .star-letter")).to_have_text(targets[3].symbol)
    expect(page.locator("section.net rect.ring")).to_have_count(1)
    page.locator("h2").first.hover()
    expect(page.locator(".star.lit")).to_have_count(0)
    # By keyboard, and from the star to the letter.
    page.locator('.row[aria-label^="edges"] [data-order="0"]').focus()
    page.keyboard.press("ArrowRight")
    expect(said).to_have_text(targets[1].why)
    page.locator(".star").nth(4).hover()
    expect(page.locator(".letter.looked")).to_have_text(targets[4].symbol)


def test_a_bad_scramble_is_told_in_one_sentence_and_mended(window: Window) -> None:
    window.expected.append(REFUSED)
    plan = put(window, "R U F")
    page = window.page
    page.get_by_label("Scramble").fill("R U Q F")
    with pytest.raises(NightfoldError) as wrong:
        parse_turns("R U Q F")
    expect(page.locator("#entry-trouble")).to_have_text(f"⚠ {wrong.value}")
    assert letters(window, "edges") == letters_of(plan)[0]  # the last good cube stays in sight
    page.get_by_label("Scramble").fill("R U F2")
    wait_for_letters(window, "edges", letters_of(make_plan("R U F2"))[0])
    expect(page.locator("#entry-trouble")).to_have_text("")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"scramble": "R U F", "method": "nobodys"}, "there is no method “nobodys”"),
        ({"scramble": "R U F", "lettering": "nobodys"}, "there is no lettering “nobodys”"),
        ({"scramble": "R U F", "hold": "W,Y"}, "white and yellow are opposite faces"),
        ({"scramble": "R U F", "breaks": "sideways"}, "sideways"),
        ({"net": "WWW"}, "A net has 54 colour initials"),
        ({"paint": "WWW"}, "A net has 54 colour initials"),
        ({"net": "W" * 54}, "only 1 colour is in this net"),
    ],
)
def test_a_link_that_asks_for_what_there_is_not_is_answered_in_a_sentence(
    window: Window, told: dict[str, str], said: str
) -> None:
    window.expected.append(REFUSED)
    page = window.go("desk", **told)
    expect(page.locator("#entry-trouble, .verdict").first).to_contain_text(said)
    expect(page.locator(".letter")).to_have_count(0)


def test_keys_play_the_solve(window: Window) -> None:
    plan = put(window)
    page = window.page
    held = f"{SCRAMBLE} {plan.hold}"
    start = len(parse_turns(held))
    wait_for_net(window, colours_after(held))
    done = list(plan.solution)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    wait_for_net(window, colours_after(f"{held} {done[0]} {done[1]}"))
    window.wait_for_address(at=str(start + 2))
    page.keyboard.press("ArrowLeft")
    wait_for_net(window, colours_after(f"{held} {done[0]}"))
    page.keyboard.press("Home")
    wait_for_net(window, colours_after(held))
    page.wait_for_function("() => !location.hash.includes('at=')")
    page.keyboard.press("Shift+ArrowRight")
    wait_for_net(window, colours_after(f"{held} {' '.join(map(str, plan.steps[0].turns))}"))
    for _ in range(2 + (plan.hold != "")):
        page.keyboard.press("Shift+ArrowLeft")
    wait_for_net(window, SOLVED)  # before the scramble
    window.wait_for_address(at="0")
    page.keyboard.press("End")
    wait_for_net(window, SOLVED)
    window.wait_for_address(at=str(start + len(done)))
    page.keyboard.press("l")
    window.wait_for_address(letters="off")
    page.keyboard.press("g")
    window.wait_for_address(ghost="off")


def test_playing_moves_the_cube_and_rests(another: Callable[..., AbstractContextManager[Window]]) -> None:
    with another(still=False) as window:
        plan = put(window)
        page = window.page
        page.get_by_label("Speed").select_option("8")
        page.keyboard.press("Space")
        page.wait_for_function("() => Number(document.querySelector('input[type=range]').value) > 24")
        page.keyboard.press("Space")
        page.wait_for_function("() => location.hash.includes('at=')")
        at = int(window.address()["at"])
        turns = (*parse_turns(f"{SCRAMBLE} {plan.hold}"), *plan.solution)[:at]
        wait_for_net(window, colours_after(" ".join(map(str, turns))))


def test_a_step_in_the_list_brings_the_cube_there(window: Window) -> None:
    plan = put(window)
    window.page.locator(".steps li button").nth(4).click()
    before = " ".join(str(turn) for step in plan.steps[:4] for turn in step.turns)
    wait_for_net(window, colours_after(f"{SCRAMBLE} {plan.hold} {before}"))
    expect(window.page.locator(".bar .title")).to_have_text(f"{plan.steps[4].letter} · {plan.steps[4].sticker}")


def test_a_link_opens_the_same_desk(window: Window, another: Callable[..., AbstractContextManager[Window]]) -> None:
    put(window)
    page = window.page
    page.get_by_label("Method").select_option("corners-first")
    page.get_by_label("Colour up").select_option("Y")
    page.get_by_label("Breaks").select_option("shortest")
    page.get_by_label("Lettering").select_option("greek")
    hold = window.address()["hold"]
    assert hold.startswith("Y,")
    plan = make_plan(SCRAMBLE, "corners-first", "greek", hold, "shortest")
    corners, edges = letters_of(plan)
    wait_for_letters(window, "edges", edges)
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_function("() => location.hash.includes('at=')")
    shown = net(window)
    with another() as other:
        other.open(page.url)
        wait_for_letters(other, "edges", edges)
        wait_for_letters(other, "corners", corners)
        wait_for_net(other, shown)
        expect(other.page.get_by_label("Colour up")).to_have_value("Y")
        expect(other.page.get_by_label("Method")).to_have_value("corners-first")
    page.go_back()
    before = make_plan(SCRAMBLE, "corners-first", None, hold, "shortest")
    wait_for_letters(window, "edges", letters_of(before)[1])


def test_breaks_can_make_the_strongest_pairs(window: Window) -> None:
    put(window)
    page = window.page
    page.get_by_label("Breaks").select_option("words")
    window.wait_for_address(breaks="words")
    method, lettering = load_method("two-swap"), load_lettering("clockwise")
    edges, corners = letters_of(make_plan(SCRAMBLE, method, lettering, None, words_breaks(method, lettering)))
    assert (edges, corners) != letters_of(make_plan(SCRAMBLE))
    wait_for_letters(window, "edges", edges)
    wait_for_letters(window, "corners", corners)
    page.reload()
    expect(page.get_by_label("Breaks")).to_have_value("words")
    wait_for_letters(window, "edges", edges)


def test_another_break_can_be_chosen_and_the_rest_follows(window: Window) -> None:
    plan = put(window)
    page, edges = window.page, plan.orbits[0]
    second = next(cycle for cycle in edges.cycles if cycle.kind == "break")
    order = sum(len(cycle.targets) for cycle in edges.cycles[: edges.cycles.index(second)])
    page.locator(f'.row[aria-label^="edges"] [data-order="{order}"]').click()
    symbols = plan.lettering.of(edges.orbit)
    options = page.locator(".letters .why .option")
    expect(options).to_have_text([symbols[sticker] for sticker in second.options])
    wanted = symbols[second.options[-1]]
    options.filter(has_text=re.compile(f"^{wanted}$")).click()
    page.wait_for_function("() => location.hash.includes('breaks=')")
    again = make_plan(SCRAMBLE, breaks=window.address()["breaks"])
    assert again.orbits[0].letters[order] == wanted
    assert again.orbits[0].letters[:order] == edges.letters[:order]
    assert again.orbits[1].letters == plan.orbits[1].letters
    wait_for_letters(window, "edges", letters_of(again)[0])


def test_a_break_can_be_chosen_on_the_net(window: Window) -> None:
    plan = put(window)
    page, edges = window.page, plan.orbits[0]
    cycle = next(cycle for cycle in edges.cycles if cycle.kind == "break")
    page.locator(".star.chosen").first.click()
    expect(page.locator(".letters .why .option").first).to_be_visible()
    sticker = cycle.options[-1]
    at = page.locator(f'section.net [data-place="{sticker}"] rect').first.bounding_box()
    assert at
    page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    page.wait_for_function("() => location.hash.includes('breaks=')")
    assert plan.lettering.of(edges.orbit)[sticker] in window.address()["breaks"]


def test_an_impossible_painting_is_explained_and_repaired(window: Window) -> None:
    page = window.go()
    page.get_by_role("button", name="The one in my hand").click()
    colours = list(SOLVED)
    colours[place_of("UF")], colours[place_of("FU")] = "G", "W"
    for name, colour in (("UF", "green"), ("FU", "white")):
        page.get_by_role("radio", name=colour).check(force=True)
        page.locator(f'section.net [data-place="{place_of(name)}"]').click()
    found = diagnose(Net(3, tuple(colours)))
    expect(page.locator(".verdict")).to_contain_text(found.problems[0].sentence)
    assert "net" not in window.address() and "paint" in window.address()
    expect(page.locator(".letter")).to_have_count(0)
    repair = found.repairs[0]
    page.get_by_role("button", name=repair.sentence, exact=True).click()
    expect(page.locator(".verdict .good")).to_be_visible()
    wait_for_net(window, "".join(repair.net.symbols))
    assert "paint" not in window.address()
    page.get_by_role("button", name="Read it").click()
    expect(page.locator(".play" if "".join(repair.net.symbols) != SOLVED else ".flag")).to_be_visible()


def test_a_net_is_painted_by_keyboard(window: Window) -> None:
    page = window.go()
    page.get_by_role("button", name="Paint", exact=True).click()
    page.get_by_role("button", name="Bare").click()
    expect(page.locator(".verdict")).to_contain_text("48 stickers")
    shown = colours_after("F R U' L2 D B'")
    page.locator('section.net [data-place="0"]').focus()
    for colour in shown:
        page.keyboard.press(colour.lower())
    wait_for_net(window, shown)
    wait_for_letters(window, "edges", letters_of(make_plan("F R U' L2 D B'"))[0])
    page.keyboard.press("ArrowRight")
    expect(page.locator('section.net [data-place="1"]')).to_be_focused()


def test_eyes_covered_hides_every_letter_and_compares_what_is_recalled(window: Window) -> None:
    plan = put(window, "R U F")
    page = window.page
    page.get_by_role("button", name="eyes covered").click()
    box, big = page.locator(".covered form input"), page.locator(".covered .big")
    expect(box).to_be_visible()
    expect(page.locator(".letter, section.net, section.steps")).to_have_count(0)
    window.wait_for_address(eyes="covered")
    for number, step in enumerate(plan.steps):
        box.fill("" if number == 1 else (step.letter.lower() or "parity"))
        box.press("Enter")
        expect(big).to_contain_text(step.letter or "Parity")
        expect(big).to_contain_text("not recalled" if number == 1 else re.compile("(?<!not )recalled"))
        page.keyboard.press("Enter")
    count = len(plan.steps)
    expect(big).to_have_text(f"{count - 1} of {count} recalled")
    expect(page.locator(".missed")).to_contain_text(plan.steps[1].letter)
    page.get_by_role("button", name="Uncover").click()
    wait_for_letters(window, "edges", letters_of(plan)[0])


def test_without_webgl_the_net_stands_in(playwright: Playwright, port: int) -> None:
    flat = launched(playwright, "--disable-3d-apis")
    try:
        with opened(flat, port) as window:
            put(window)
            expect(window.page.locator(".flat svg")).to_be_visible()
            expect(window.page.locator("canvas")).to_have_count(0)
    finally:
        flat.close()


def _drawn(canvas: Locator, settled: Callable[[bytes], bool]) -> bytes:
    """A picture of the canvas as soon as it is ``settled``; every picture waits for the browser to draw a frame."""
    picture = b""
    for _ in range(200):
        before, picture = picture, canvas.screenshot()
        if picture == before and settled(picture):
            return picture
    raise AssertionError("the cube is not drawn as it should be")


def test_the_cube_is_looked_round_by_key_and_by_drag(window: Window) -> None:
    put(window)
    page, canvas = window.page, window.page.locator("canvas")
    canvas.focus()
    # three.js is fetched after the letters are there: the empty canvas is told from the cube by many more bytes.
    front = _drawn(canvas, lambda picture: len(picture) > 10_000)
    page.keyboard.press("ArrowLeft")
    turned = _drawn(canvas, lambda picture: picture != front)
    assert "at" not in window.address()  # the key was the cube's, not the player's
    page.keyboard.press("Home")
    _drawn(canvas, lambda picture: picture == front)
    box = canvas.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 90, y)
    page.mouse.up()
    page.mouse.move(0, 0)  # off the canvas: what is under the pointer is lit
    _drawn(canvas, lambda picture: picture not in (front, turned))


def test_the_theme_can_be_chosen_and_lasts(window: Window) -> None:
    page = window.go()
    button = page.get_by_role("button", name=re.compile("^Light: "))
    grounds = []
    for label in ("night", "day", "as the system"):
        button.click()
        expect(button).to_have_accessible_name(f"Light: {label}; change")
        grounds.append(window.ground())
    assert grounds == [GROUNDS["night"], GROUNDS["day"], GROUNDS["night"]]
    button.click()
    button.click()
    expect(button).to_have_accessible_name("Light: day; change")
    page.reload()
    page.wait_for_selector("main > *")
    assert window.ground() == GROUNDS["day"]


def test_an_unknown_screen_says_so(window: Window) -> None:
    page = window.go("lighthouse")
    expect(page.locator("main")).to_contain_text("There is no screen called “lighthouse”")
    page.get_by_role("link", name="To the desk").click()
    expect(page.locator(".panels")).to_be_visible()
