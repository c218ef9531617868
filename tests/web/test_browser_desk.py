"""The desk in a real browser: a cube comes, is read, played and recalled; links, keys, both themes, wide and narrow."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.diagnosis import diagnose
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import STANDARD_COLOURS, Net, net_of
from nightfold.cube.notation import parse_turns
from nightfold.cube.state import Cube
from tests.web.browser import (
    FLAGS,
    NARROW,
    REFUSED,
    WIDE,
    Light,
    Window,
    a_browser,  # noqa: F401
    a_desk,  # noqa: F401
    chromium,
    window,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser

#: Seven breaks, no parity.
SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
SOLVED = "".join(colour * 9 for colour in STANDARD_COLOURS)


def _letters(plan: Plan) -> tuple[str, str]:
    edges, corners = ("".join(reading.letters) for reading in plan.orbits)
    return edges, corners


def _place(name: str) -> int:
    from nightfold.cube.geometry import geometry

    return geometry(3).sticker(name)


def _shown(turns: str) -> str:
    """The colours that a cube shows after these turns."""
    return "".join(net_of(Cube.from_turns(turns)).symbols)


def _read(desk: Window, scramble: str = SCRAMBLE, more: str = "") -> Plan:
    """Put a scramble on the desk and wait until it is read."""
    plan = make_plan(scramble)
    desk.go(f"#/desk?scramble={scramble}{more}")
    if "eyes" not in more:
        desk.wait_for_letters("edges", _letters(plan)[0])
    return plan


def test_a_newcomer_comes_to_a_first_reading(desk: Window) -> None:
    desk.go()
    assert desk.page.locator(".panels section").count() == 3
    desk.page.get_by_role("button", name="Deal me an easy cube").click()
    desk.page.wait_for_selector(".letter")
    scramble = desk.params()["scramble"]
    plan = make_plan(scramble)
    assert (desk.letters("edges"), desk.letters("corners")) == _letters(plan)
    assert all(reading.breaks <= 1 for reading in plan.orbits)
    assert "met" in desk.page.locator(".said").inner_text()
    desk.page.get_by_role("button", name="Play", exact=True).click()
    desk.page.wait_for_function("() => Number(document.querySelector('input[type=range]').value) > 0")
    desk.page.keyboard.press("End")
    desk.wait_for_net(SOLVED)


def test_a_typed_scramble_is_read_as_the_plan_has_it(desk: Window) -> None:
    desk.go()
    desk.page.get_by_label("Scramble").fill(SCRAMBLE)
    plan = make_plan(SCRAMBLE)
    desk.wait_for_letters("edges", _letters(plan)[0])
    assert desk.letters("corners") == _letters(plan)[1]
    assert desk.page.locator(".flag").inner_text() == ("yes" if plan.parity else "no")
    desk.page.get_by_role("button", name="both").click()
    stars = desk.page.locator(".star > .star-letter").all_text_contents()
    assert "".join(stars) == "".join(_letters(plan))
    assert desk.page.locator(".sky .line.dashed").count() == sum(reading.breaks for reading in plan.orbits)
    said = desk.page.locator(".steps").inner_text()
    assert all(step.why in said for step in plan.steps)
    assert "solved" in said


def test_pointing_at_a_letter_says_why_it_follows(desk: Window) -> None:
    plan = _read(desk)
    target = plan.orbits[0].targets[3]
    desk.page.locator('.row[aria-label^="edges"] [data-order="3"]').hover()
    assert desk.page.locator(".letters .why").inner_text().strip() == target.why
    assert desk.page.locator(".star.lit .star-letter").first.text_content() == target.symbol
    assert desk.page.locator("section.net rect.ring").count() == 1
    desk.page.locator("h2").first.hover()
    assert desk.page.locator(".star.lit").count() == 0
    # By keyboard, and from the star to the letter.
    desk.page.locator('.row[aria-label^="edges"] [data-order="0"]').focus()
    desk.page.keyboard.press("ArrowRight")
    assert desk.page.locator(".letters .why").inner_text().strip() == plan.orbits[0].targets[1].why
    desk.page.locator(".star").nth(4).hover()
    assert desk.page.locator(".letter.looked").inner_text() == plan.orbits[0].targets[4].symbol


def test_a_bad_scramble_is_told_in_one_sentence_and_mended(desk: Window) -> None:
    desk.expected.append(REFUSED)
    plan = _read(desk, "R U F")
    desk.page.get_by_label("Scramble").fill("R U Q F")
    with pytest.raises(NightfoldError) as wrong:
        parse_turns("R U Q F")
    desk.page.wait_for_function(
        "s => document.querySelector('#entry-trouble').innerText.includes(s)", arg=str(wrong.value)
    )
    assert desk.letters("edges") == _letters(plan)[0]  # the last good cube stays in sight
    desk.page.get_by_label("Scramble").fill("R U F2")
    desk.wait_for_letters("edges", _letters(make_plan("R U F2"))[0])
    assert desk.page.locator("#entry-trouble").inner_text().strip() == ""


@pytest.mark.parametrize("feature", ["banana", "40..50"])
def test_impossible_wishes_are_refused_in_words(desk: Window, feature: str) -> None:
    desk.expected.append(REFUSED)
    desk.go()
    desk.page.get_by_role("button", name="Deal", exact=True).click()
    desk.page.get_by_text("Only cubes with").click()
    desk.page.get_by_label("Edge letters").fill(feature)
    desk.page.get_by_role("button", name="Deal a cube").click()
    desk.page.wait_for_selector("#entry-trouble .bad")
    assert "scramble" not in desk.params()


def test_keys_play_the_solve(desk: Window) -> None:
    plan = _read(desk)
    held = f"{SCRAMBLE} {plan.hold}"
    start = len(parse_turns(held))
    desk.wait_for_net(_shown(held))
    done = list(plan.solution)
    desk.page.keyboard.press("ArrowRight")
    desk.page.keyboard.press("ArrowRight")
    desk.wait_for_net(_shown(f"{held} {done[0]} {done[1]}"))
    assert desk.params()["at"] == str(start + 2)
    desk.page.keyboard.press("ArrowLeft")
    desk.wait_for_net(_shown(f"{held} {done[0]}"))
    desk.page.keyboard.press("Home")
    desk.wait_for_net(_shown(held))
    assert "at" not in desk.params()
    desk.page.keyboard.press("Shift+ArrowRight")
    first = " ".join(map(str, plan.steps[0].turns))
    desk.wait_for_net(_shown(f"{held} {first}"))
    for _ in range(2 + (plan.hold != "")):
        desk.page.keyboard.press("Shift+ArrowLeft")
    desk.wait_for_net(SOLVED)  # before the scramble
    assert desk.params()["at"] == "0"
    desk.page.keyboard.press("End")
    desk.wait_for_net(SOLVED)
    assert desk.params()["at"] == str(start + len(done))
    desk.page.keyboard.press("l")
    assert desk.params()["letters"] == "off"
    desk.page.keyboard.press("g")
    assert desk.params()["ghost"] == "off"


def test_playing_moves_the_cube_and_rests(browser: Browser, port: int) -> None:
    with window(browser, port, still=False) as desk:
        _read(desk)
        desk.page.get_by_label("Speed").select_option("8")
        desk.page.keyboard.press("Space")
        desk.page.wait_for_function("() => Number(document.querySelector('input[type=range]').value) > 24")
        desk.page.keyboard.press("Space")
        desk.page.wait_for_function("() => location.hash.includes('at=')")
        at = int(desk.params()["at"])
        plan = make_plan(SCRAMBLE)
        turns = " ".join(map(str, (*parse_turns(f"{SCRAMBLE} {plan.hold}"), *plan.solution)[:at]))
        desk.wait_for_net(_shown(turns))


def test_a_step_in_the_list_brings_the_cube_there(desk: Window) -> None:
    plan = _read(desk)
    desk.page.locator(".steps li button").nth(4).click()
    before = " ".join(str(turn) for step in plan.steps[:4] for turn in step.turns)
    desk.wait_for_net(_shown(f"{SCRAMBLE} {plan.hold} {before}"))
    assert desk.page.locator(".bar .title").inner_text() == f"{plan.steps[4].letter} · {plan.steps[4].sticker}"


def test_a_link_opens_the_same_desk(desk: Window, browser: Browser, port: int) -> None:
    _read(desk)
    desk.page.get_by_label("Method").select_option("corners-first")
    desk.page.get_by_label("Colour up").select_option("Y")
    desk.page.get_by_label("Breaks").select_option("shortest")
    desk.page.get_by_label("Lettering").select_option("greek")
    plan = make_plan(SCRAMBLE, "corners-first", "greek", f"Y,{desk.params()['hold'][-1]}", "shortest")
    corners, edges = _letters(plan)
    desk.wait_for_letters("edges", edges)
    desk.page.keyboard.press("Shift+ArrowRight")
    desk.page.wait_for_function("() => location.hash.includes('at=')")
    link, net = desk.page.url, desk.net()
    with window(browser, port) as other:
        other.go(link.partition("/")[2].partition("/")[2].partition("/")[2])
        other.wait_for_letters("edges", edges)
        other.wait_for_net(net)
        assert other.letters("corners") == corners
        assert other.page.get_by_label("Colour up").input_value() == "Y"
        assert other.page.get_by_label("Method").input_value() == "corners-first"
    desk.page.go_back()
    before = make_plan(SCRAMBLE, "corners-first", None, desk.params()["hold"], "shortest")
    desk.wait_for_letters("edges", _letters(before)[1])


def test_another_break_can_be_chosen_and_the_rest_follows(desk: Window) -> None:
    plan = _read(desk)
    edges = plan.orbits[0]
    second = next(cycle for cycle in edges.cycles if cycle.kind == "break")
    order = sum(len(cycle.targets) for cycle in edges.cycles[: edges.cycles.index(second)])
    desk.page.locator(f'.row[aria-label^="edges"] [data-order="{order}"]').click()
    symbols = plan.lettering.of(edges.orbit)
    offered = desk.page.locator(".option").all_inner_texts()
    assert [text for text in offered if text] == [symbols[sticker] for sticker in second.options]
    wanted = symbols[second.options[-1]]
    desk.page.locator(".letters .why .option", has_text=re.compile(f"^{wanted}$")).click()
    desk.page.wait_for_function("() => location.hash.includes('breaks=')")
    again = make_plan(SCRAMBLE, breaks=desk.params()["breaks"])
    assert again.orbits[0].letters[order] == wanted
    assert again.orbits[0].letters[:order] == edges.letters[:order]
    assert again.orbits[1].letters == plan.orbits[1].letters
    desk.wait_for_letters("edges", _letters(again)[0])


def test_a_break_can_be_chosen_on_the_net(desk: Window) -> None:
    plan = _read(desk)
    edges = plan.orbits[0]
    cycle = next(cycle for cycle in edges.cycles if cycle.kind == "break")
    desk.page.locator(".star.chosen").first.click()
    sticker = cycle.options[-1]
    at = desk.page.locator(f'section.net [data-place="{sticker}"] rect').first.bounding_box()
    assert at
    desk.page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    desk.page.wait_for_function("() => location.hash.includes('breaks=')")
    assert plan.lettering.of(edges.orbit)[sticker] in desk.params()["breaks"]


def test_an_impossible_painting_is_explained_and_repaired(desk: Window) -> None:
    desk.go()
    desk.page.get_by_role("button", name="The one in my hand").click()
    colours = list(SOLVED)
    colours[_place("UF")], colours[_place("FU")] = "G", "W"
    for name, colour in (("UF", "green"), ("FU", "white")):
        desk.page.get_by_role("radio", name=colour).check(force=True)
        desk.page.locator(f'section.net [data-place="{_place(name)}"]').click()
    found = diagnose(Net(3, tuple(colours)))
    sentence = found.problems[0].sentence
    desk.page.wait_for_function("s => document.querySelector('.verdict').innerText.includes(s)", arg=sentence)
    assert "net" not in desk.params() and "paint" in desk.params()
    assert desk.page.locator(".letter").count() == 0
    repair = found.repairs[0]
    desk.page.get_by_role("button", name=repair.sentence, exact=True).click()
    desk.page.wait_for_selector(".verdict .good")
    desk.wait_for_net("".join(repair.net.symbols))
    assert "paint" not in desk.params()
    desk.page.get_by_role("button", name="Read it").click()
    desk.page.wait_for_selector(".play" if "".join(repair.net.symbols) != SOLVED else ".flag")


def test_a_net_is_painted_by_keyboard(desk: Window) -> None:
    desk.go()
    desk.page.get_by_role("button", name="Paint", exact=True).click()
    desk.page.get_by_role("button", name="Bare").click()
    assert "48 stickers" in desk.page.locator(".verdict").inner_text()
    shown = _shown("F R U' L2 D B'")
    desk.page.locator('section.net [data-place="0"]').focus()
    for colour in shown:
        desk.page.keyboard.press(colour.lower())
    desk.wait_for_net(shown)
    desk.wait_for_letters("edges", _letters(make_plan("F R U' L2 D B'"))[0])
    desk.page.keyboard.press("ArrowRight")
    assert desk.page.evaluate("document.activeElement.dataset.place") == "1"


def test_eyes_covered_hides_every_letter_and_compares_what_is_recalled(desk: Window) -> None:
    plan = _read(desk, "R U F")
    desk.page.get_by_role("button", name="eyes covered").click()
    desk.page.wait_for_selector(".covered form")
    assert desk.page.locator(".letter, section.net, section.steps").count() == 0
    assert desk.params()["eyes"] == "covered"
    for number, step in enumerate(plan.steps):
        box = desk.page.locator(".covered form input")
        box.fill("" if number == 1 else (step.letter.lower() or "parity"))
        box.press("Enter")
        said = desk.page.locator(".covered .big").inner_text()
        assert (step.letter or "Parity") in said
        assert ("recalled" in said) and (("not recalled" in said) == (number == 1))
        desk.page.keyboard.press("Enter")
    count = len(plan.steps)
    assert desk.page.locator(".covered .big").inner_text() == f"{count - 1} of {count} recalled"
    assert plan.steps[1].letter in desk.page.locator(".missed").inner_text()
    desk.page.get_by_role("button", name="Uncover").click()
    desk.wait_for_letters("edges", _letters(plan)[0])


def test_a_server_that_goes_away_is_told_and_awaited(desk: Window) -> None:
    desk.expected.append("net::ERR_FAILED")
    _read(desk)
    desk.page.route("**/api/**", lambda route: route.abort())
    desk.page.get_by_label("Scramble").fill("F2 U")
    desk.page.wait_for_selector(".banner")
    assert desk.page.get_by_label("Scramble").input_value() == "F2 U"
    desk.page.unroute("**/api/**")
    desk.wait_for_letters("edges", _letters(make_plan("F2 U"))[0])
    assert desk.page.locator(".banner").count() == 0


def test_without_webgl_the_net_stands_in(browser: Browser, port: int) -> None:
    flat = browser.browser_type.launch(executable_path=chromium(), args=[*FLAGS, "--disable-3d-apis"])
    try:
        with window(flat, port) as desk:
            _read(desk)
            desk.page.wait_for_selector(".flat svg")
            assert desk.page.locator("canvas").count() == 0
    finally:
        flat.close()


def test_the_cube_is_looked_round_by_key_and_by_drag(desk: Window) -> None:
    _read(desk)
    canvas = desk.page.locator("canvas")
    canvas.wait_for()
    desk.page.wait_for_timeout(500)
    before = canvas.screenshot()
    canvas.focus()
    desk.page.keyboard.press("ArrowLeft")
    desk.page.wait_for_timeout(100)
    turned = canvas.screenshot()
    assert turned != before
    assert "at" not in desk.params()  # the key was the cube's, not the player's
    desk.page.keyboard.press("Home")
    desk.page.wait_for_timeout(100)
    box = canvas.bounding_box()
    assert box
    desk.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    desk.page.mouse.down()
    desk.page.mouse.move(box["x"] + box["width"] / 2 + 90, box["y"] + box["height"] / 2)
    desk.page.mouse.up()
    desk.page.wait_for_timeout(100)
    assert canvas.screenshot() not in (before, turned)


STATES = {
    "start": "",
    "reading": f"#/desk?scramble={SCRAMBLE}",
    "underway": f"#/desk?scramble={SCRAMBLE}&at=30",
    "painting": f"#/desk?paint={SOLVED[:7]}G{SOLVED[8:]}",
    "covered": f"#/desk?scramble={SCRAMBLE}&eyes=covered",
}
READY = {
    "start": ".panels",
    "reading": ".star",
    "underway": ".steps",
    "painting": ".verdict .bad",
    "covered": ".covered form",
}


@pytest.mark.parametrize("light", ["dark", "light"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("state", STATES)
def test_every_state_is_for_everybody(
    browser: Browser, port: int, state: str, size: tuple[int, int], light: Light
) -> None:
    with window(browser, port, size, light) as desk:
        desk.go(STATES[state])
        desk.page.wait_for_selector(READY[state])
        assert desk.faults() == []
        assert desk.overflow() <= 0
        ground = desk.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert ground == ("rgb(11, 16, 32)" if light == "dark" else "rgb(246, 242, 233)")
        if size == NARROW:
            small = desk.page.evaluate(
                "[...document.querySelectorAll('main button, main select, main textarea')].filter(e => {"
                "const r = e.getBoundingClientRect(); return r.width && (r.height < 24 || r.width < 24)})"
                ".map(e => e.outerHTML.slice(0, 120))"
            )
            assert small == []


def test_the_theme_can_be_chosen_and_lasts(desk: Window) -> None:
    desk.go()
    button = desk.page.get_by_role("button", name=re.compile("^Light: "))
    grounds = set()
    for _ in range(3):
        button.click()
        grounds.add(desk.page.evaluate("getComputedStyle(document.body).backgroundColor"))
    assert len(grounds) == 2
    while "day" not in (button.get_attribute("aria-label") or ""):
        button.click()
    desk.page.reload()
    desk.page.wait_for_selector("main > *")
    assert desk.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(246, 242, 233)"


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_text_twice_as_large_still_fits(browser: Browser, port: int, size: tuple[int, int]) -> None:
    with window(browser, port, size) as desk:
        _read(desk)
        desk.page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert desk.overflow() <= 0


def test_an_unknown_screen_says_so(desk: Window) -> None:
    desk.go("#/lighthouse")
    assert "lighthouse" in desk.page.locator("main").inner_text()
    desk.page.get_by_role("link", name="To the desk").click()
    desk.page.wait_for_selector(".panels")
