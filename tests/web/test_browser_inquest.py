"""The inquest screen in a real browser: what came out is told, explained, and replayed beside what was meant."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager

import pytest
from playwright.sync_api import Locator, Page, expect

from nightfold.blind.plan import Step, make_plan
from nightfold.coach.attempt import examine_attempt
from nightfold.coach.inquest import hold_inquest
from nightfold.cube.geometry import compose, geometry, rotation_permutations
from nightfold.cube.net import Net, parse_net, write_net
from nightfold.cube.notation import invert, write
from nightfold.cube.state import Cube
from tests.web.browser import NARROW, REFUSED, Window
from tests.web.serving import SCRAMBLE

PLAN = make_plan(SCRAMBLE)
#: The step whose undo is left out, and the edge letter it shoots to.
SLIPPED = 4
LETTER = PLAN.steps[SLIPPED].letter


def turned(steps: Sequence[Step], without_undo: int = SLIPPED) -> str:
    """The turns of steps, one of them without its undo."""
    return " ".join(
        write(step.setup + step.swap if at == without_undo else step.turns) for at, step in enumerate(steps)
    )


MADE = turned(PLAN.steps)
FINAL = PLAN.cube.apply(MADE)


def typed(net: Net | str) -> str:
    """A net text without spaces and lines."""
    return "".join(str(net).split())


#: The cube that came out, as the address tells it.
TOLD = {"final": typed(write_net(FINAL))}


def inquire(page: Page) -> None:
    page.get_by_role("button", name="Hold the inquest").click()


def title(page: Page) -> Locator:
    return page.locator(".verdict h2")


def explanations(page: Page) -> Locator:
    return page.locator(".explanations > li")


def test_what_came_out_is_explained_and_replayed(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE, **TOLD)
    inquire(page)
    expect(title(page)).to_be_focused()
    first = explanations(page).first
    wanted = hold_inquest(PLAN, FINAL, other_breaks=("edges", "corners")).explanations[0]
    assert wanted.mistakes[0].kind == "undo-left-out"
    expect(first).to_contain_text(wanted.mistakes[0].say[1:])
    expect(first).to_contain_text(wanted.mistakes[0].felt)
    expect(first).to_contain_text(wanted.mistakes[0].hint)
    expect(first).to_contain_text("%")
    expect(page.get_by_text("These turns would have saved the cube")).to_be_visible()
    expect(page.get_by_text(re.compile("^Looked through "))).to_be_visible()
    # Two cubes, the step of the slip marked, turn beside turn.
    beside = page.get_by_role("region", name="What you meant and what happened")
    expect(beside.locator("figure")).to_have_count(2)
    expect(beside.locator(".step.slip")).to_have_count(1)
    expect(beside.get_by_role("button", name=f"edges {LETTER}, here it went wrong")).to_be_visible()
    undo = PLAN.steps[SLIPPED].undo
    expect(beside.locator("tr").first.locator("td.apart")).to_have_text([str(turn) for turn in undo])
    expect(beside.locator("tr").nth(1).locator("td.apart")).to_have_text(["–"] * len(undo))
    expect(beside.get_by_text("no difference")).to_be_visible()
    beside.get_by_role("slider").focus()
    page.keyboard.press("End")
    expect(beside.get_by_text(f"{differing()} stickers differ")).to_be_visible()
    page.reload()
    expect(explanations(page).first).to_contain_text(wanted.mistakes[0].say[1:])


def differing() -> int:
    """How many stickers of the cube that came out differ from the solved one, however it is held."""
    centres = geometry(3).fixed_centres.values()
    turned = (compose(FINAL.stickers, held) for held in rotation_permutations(3).values())
    home = next(stickers for stickers in turned if all(stickers[centre] == centre for centre in centres))
    return sum(sticker // 9 != place // 9 for place, sticker in enumerate(home))


def test_the_turns_that_were_made(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE)
    page.get_by_text("Turns made", exact=True).click()
    page.get_by_role("textbox", name=re.compile("^The turns that were made")).fill(MADE)
    inquire(page)
    expect(title(page)).to_be_focused()
    wanted = examine_attempt(PLAN, performed=MADE)
    for mistake in wanted.explanations[0].mistakes:
        expect(explanations(page).first).to_contain_text(mistake.say[1:])
        expect(page.locator(".step.slip", has_text=mistake.letter).first).to_be_visible()
    assert wanted.performed
    expect(page.get_by_text(wanted.performed.say)).to_have_count(1)


def test_another_explanation_can_be_watched(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE, **TOLD, asked="1")
    page.get_by_role("button", name=re.compile(r"^Show \d more")).click()
    explanations(page).nth(1).get_by_role("button").first.click()
    window.wait_for_address(show="2")
    expect(explanations(page).nth(1)).to_have_class(re.compile("open"))
    expect(page.locator(".step.slip").first).to_be_visible()
    page.go_back()
    expect(explanations(page).first).to_have_class(re.compile("open"))


def test_missing_turns(window: Window) -> None:
    """The centres of this cube have moved; the turns are those of the hold in which it was read."""
    finish = hold_inquest(PLAN, FINAL, mistakes=1, finish=True).finish
    assert finish
    left = write(finish)
    page = window.go("inquest", scramble=SCRAMBLE, left=left)
    inquire(page)
    expect(explanations(page).first).to_contain_text(f"edge letter {SLIPPED + 1}, {LETTER}"[1:])


def test_painting_by_keyboard_and_repairing(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE)
    net = page.get_by_role("group", name="The cube that came out: paint it")
    net.get_by_role("button").first.focus()
    page.keyboard.press("r")
    expect(page.locator(".came .bad, fieldset .bad").first).to_be_visible()
    expect(net.locator("circle.mark").first).to_be_visible()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("w")
    expect(page.get_by_text("✓ Turns lead to this cube.")).to_be_visible()
    page.get_by_role("radio", name="orange", exact=True).check(force=True)
    net.get_by_role("button").nth(1).click()
    expect(page.locator("fieldset .bad").first).to_be_visible()
    page.get_by_role("button", name="Solved again").click()
    inquire(page)
    expect(title(page)).to_have_text("The cube is solved")


def test_a_net_typed_as_text_in_any_hold(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE)
    page.get_by_text("Type it as net text").click()
    field = page.get_by_role("textbox", name="54 initials, row by row")
    field.fill("WWW")
    expect(page.get_by_text("A net has 54 colour initials")).to_be_visible()
    field.fill(str(write_net(FINAL.apply("x y'"))))
    expect(page.get_by_text("✓ Turns lead to this cube.")).to_be_visible()
    inquire(page)
    expect(explanations(page).first).to_contain_text("the undo")
    expect(explanations(page).first).to_contain_text(f"letter {SLIPPED + 1}, {LETTER}")


def test_an_impossible_cube_is_explained_after_the_smallest_repair(window: Window) -> None:
    net = parse_net(write_net(FINAL))
    one, two, three = geometry(3).orbit("corners").pieces[3]
    seen = net.symbols
    twisted = net.with_symbols({one: seen[two], two: seen[three], three: seen[one]})
    page = window.go("inquest", scramble=SCRAMBLE, final=typed(twisted))
    expect(page.get_by_role("group", name="Repairs").get_by_role("button").first).to_contain_text("twist")
    inquire(page)
    expect(page.locator(".verdict .say")).to_contain_text("No turns lead to this cube")
    expect(explanations(page).first).to_contain_text("the undo")
    expect(explanations(page).first).to_contain_text("If the cube is repaired first: twist")
    page.get_by_role("group", name="Repairs").get_by_role("button").first.click()
    expect(page.get_by_text("✓ Turns lead to this cube.")).to_be_visible()
    expect(page.get_by_text("You changed the question since")).to_be_visible()


def test_nothing_fits_and_the_nearest_is_told(window: Window) -> None:
    page = window.go("inquest", scramble=SCRAMBLE, left="R U F L D2 B R2 U' F2 L", mistakes="1")
    inquire(page)
    expect(title(page)).to_have_text("Nothing explains it in full")
    expect(page.locator(".verdict .say")).to_contain_text("No single mistake of the catalogue")
    expect(explanations(page)).to_have_count(0)


def test_a_memo_with_other_breaks_is_what_was_meant(window: Window) -> None:
    other = make_plan(SCRAMBLE, breaks="shortest")
    edges, corners = (" ".join(reading.letters) for reading in other.orbits)
    assert edges != " ".join(PLAN.orbits[0].letters)
    last = max(at for at, step in enumerate(other.steps) if step.orbit == "edges" and step.undo)
    final = typed(write_net(other.cube.apply(turned(other.steps, last))))
    page = window.go("inquest", scramble=SCRAMBLE, edges=edges, corners=corners, final=final)
    inquire(page)
    expect(explanations(page).first).to_contain_text("the undo")
    steps = page.locator(".steps .step")
    expect(steps).to_have_count(len(other.steps))
    shown = [text.strip("! ") for text in steps.all_inner_texts()]
    assert [one or "parity" for one in (step.letter for step in other.steps)] == [re.sub(r"\s", "", t) for t in shown]
    expect(steps.nth(last)).to_have_class(re.compile("slip"))


def test_a_wrong_memo_is_followed_and_marked(window: Window) -> None:
    """The memo lacks its last letter; it is turned as remembered, so no mistake in turning is needed."""
    edges = PLAN.orbits[0].letters[:-1]
    steps = [s for s in PLAN.steps if s.orbit == "edges"][:-1] + [s for s in PLAN.steps if s.orbit == "corners"]
    corners = " ".join(PLAN.orbits[1].letters)
    final = typed(write_net(PLAN.cube.apply(turned(steps, -1))))
    page = window.go("inquest", scramble=SCRAMBLE, edges=" ".join(edges), corners=corners, final=final)
    inquire(page)
    expect(page.locator(".verdict .say")).to_contain_text("The memo was wrong.")
    expect(page.locator(".verdict .say")).to_contain_text("no mistake in turning is needed")
    page.get_by_role("link", name="See the memo marked").click()
    expect(page.locator(".result h2")).to_have_text("Not right yet")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"came": "performed"}, "Type the turns that were made"),
        ({"came": "left"}, "Type the turns that would still have solved"),
        ({"left": "R Q"}, "“Q”"),
        ({"left": "R", "edges": "I7"}, "is no letter"),
        ({"final": "W" * 54}, "W"),
    ],
)
def test_bad_input_is_told_in_a_sentence(window: Window, told: dict[str, str], said: str) -> None:
    window.expected.append(REFUSED)
    page = window.go("inquest", scramble=SCRAMBLE, **told)
    inquire(page)
    expect(page.locator("form .trouble[role=alert]")).to_contain_text(said)
    expect(title(page)).to_have_count(0)


def test_without_a_cube_it_asks_for_one(window: Window) -> None:
    page = window.go("inquest")
    expect(page.get_by_text("Type the scramble of the attempt that failed.")).to_be_visible()
    page.get_by_label("Scramble").fill(SCRAMBLE)
    expect(page.get_by_role("button", name="Hold the inquest")).to_be_visible()


def test_on_a_narrow_screen_one_cube_at_a_time(another: Callable[..., AbstractContextManager[Window]]) -> None:
    with another(NARROW) as window:
        page = window.go("inquest", scramble=SCRAMBLE, **TOLD, asked="1")
        beside = page.get_by_role("region", name="What you meant and what happened")
        expect(beside.locator("figure")).to_have_count(1)
        expect(beside.locator("figcaption")).to_contain_text("What happened")
        beside.get_by_role("radio", name="What you meant").check(force=True)
        expect(beside.locator("figcaption")).to_have_text("What you meant")


def test_the_slip_of_these_tests_is_one() -> None:
    assert not FINAL.is_solved
    assert PLAN.steps[SLIPPED].undo
    assert Cube.from_turns(invert(PLAN.solution)).apply(PLAN.solution).is_solved
