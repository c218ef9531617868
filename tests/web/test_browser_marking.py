"""The marking screen in a real browser: a memo typed by keyboard alone, its faults shown, a right one celebrated."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, expect

from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.marking import mark_memo
from tests.web.browser import REFUSED, Window
from tests.web.serving import SCRAMBLE

PLAN = make_plan(SCRAMBLE)


def letters(plan: Plan, orbit: str) -> str:
    return "".join(next(reading.letters for reading in plan.orbits if reading.orbit.name == orbit))


EDGES, CORNERS = letters(PLAN, "edges"), letters(PLAN, "corners")


def heading(window: Window) -> Locator:
    return window.page.locator(".result h2")


def test_a_right_memo_by_keyboard_alone(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE)
    expect(page.get_by_role("textbox", name="Edges")).to_be_focused()
    page.keyboard.type(EDGES.lower())
    expect(page.get_by_role("textbox", name="Edges")).to_have_value(" ".join(re.findall("..?", EDGES)))
    page.keyboard.press("Enter")
    expect(page.get_by_role("textbox", name="Corners")).to_be_focused()
    page.keyboard.type(CORNERS)
    page.keyboard.press("Enter")
    page.keyboard.press("y" if PLAN.parity else "n")
    page.keyboard.press("Enter")
    expect(heading(window)).to_have_text("Right")
    expect(heading(window)).to_be_focused()
    wanted = mark_memo(PLAN, {"edges": EDGES, "corners": CORNERS}, PLAN.parity)
    assert wanted.right
    expect(page.locator(".say")).to_contain_text(wanted.say)
    expect(page.locator("svg .star")).to_have_count(len(EDGES))
    page.get_by_role("button", name="Draw the corners").click()
    expect(page.locator("svg .star")).to_have_count(len(CORNERS))
    # The link brings it all back.
    page.reload()
    expect(heading(window)).to_have_text("Right")
    expect(page.get_by_role("textbox", name="Corners")).to_have_value(" ".join(re.findall("..?", CORNERS)))


def test_faults_on_the_letters_and_on_the_cube(window: Window) -> None:
    """One letter is replaced by that of the sticker beside it on its piece, the last corner letter is left out."""
    wrong = next(s for s in "ABCDEFGHIJKLMNOPQRSTUVWX" if s not in EDGES)
    edges = EDGES[:2] + wrong + EDGES[3:]
    page = window.go("marking", scramble=SCRAMBLE, edges=edges, corners=CORNERS[:-1])
    page.get_by_role("button", name="Mark it").click()
    expect(heading(window)).to_have_text("Not right yet")
    marking = mark_memo(PLAN, {"edges": edges, "corners": CORNERS[:-1]})
    assert not marking.right
    for marked in marking.orbits:
        region = page.get_by_role("region", name=f"{marked.orbit.name.capitalize()}, marked")
        items = region.locator("ol > li")
        expect(items).to_have_count(len(marked.faults))
        for number, fault in enumerate(marked.faults):
            expect(items.nth(number)).to_contain_text(fault.say)
            tile = region.get_by_role(
                "button", name=re.compile(rf"^{fault.letter or 'missing'}, letter {fault.at + 1}: ")
            )
            expect(tile).to_have_count(1)
            tile.focus()
            expect(items.nth(number)).to_have_class(re.compile("looked"))
            # What would have been right is lit on the net, what was written is marked as wrong.
            expect(page.locator(".cube .overlay rect.ring")).to_have_count(len(set(fault.expected)))
            expect(page.locator(".cube svg circle.mark")).to_have_count(1 if fault.letter else 0)
        right = region.locator(".letters")
        expect(right).to_have_attribute("aria-label", " ".join(marked.corrected))
    window.wait_for_address(marked="1")


def test_mending_and_marking_again(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE, edges=EDGES[:-1], marked="1")
    expect(heading(window)).to_have_text("Not right yet")
    page.get_by_role("button", name="Mend the memo").click()
    expect(page.get_by_role("textbox", name="Edges")).to_be_focused()
    page.keyboard.press("End")
    page.keyboard.type(EDGES[-1].lower())
    expect(page.get_by_text("You changed the memo since")).to_be_visible()
    assert "marked" not in window.address()
    page.keyboard.press("Control+Enter")
    expect(heading(window)).to_have_text("Right so far")


def test_a_fault_is_mended_by_keyboard_alone(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE)
    expect(page.get_by_role("textbox", name="Edges")).to_be_focused()
    page.keyboard.type(EDGES[:-1])
    page.keyboard.press("Control+Enter")
    expect(heading(window)).to_have_text("Not right yet")
    expect(heading(window)).to_be_focused()
    mend = page.get_by_role("button", name="Mend the memo")
    for _ in range(40):
        page.keyboard.press("Tab")
        if mend.evaluate("button => button === document.activeElement"):
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("textbox", name="Edges")).to_be_focused()
    page.keyboard.press("End")
    page.keyboard.type(EDGES[-1])
    page.keyboard.press("Control+Enter")
    expect(heading(window)).to_have_text("Right so far")


def test_parity_is_marked(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE, edges=EDGES, corners=CORNERS, parity="no" if PLAN.parity else "yes")
    page.get_by_role("button", name="Mark it").click()
    expect(heading(window)).to_have_text("Not right yet")
    expect(page.locator(".say")).to_contain_text("The parity answer")


def test_a_symbol_that_is_no_letter_is_named_while_typing(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE)
    field = page.get_by_role("textbox", name="Edges")
    field.press_sequentially("iu7")
    expect(
        page.get_by_text("“7” at column 4 of the edges memo is no letter of the edges in “clockwise”")
    ).to_be_visible()
    expect(page.locator(".unknown")).to_have_text("7")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("alert")).to_contain_text("is no letter")
    expect(field).to_be_focused()
    expect(heading(window)).to_have_count(0)
    page.keyboard.press("Backspace")
    expect(page.locator(".unknown")).to_have_count(0)


def test_nothing_typed_and_nothing_to_remember(window: Window) -> None:
    page = window.go("marking", scramble="R U R' U'")
    page.get_by_role("button", name="Mark it").click()
    expect(page.get_by_role("alert")).to_contain_text("There is no memo to mark yet")
    page = window.go("marking", scramble="U2 U2")
    page.get_by_role("textbox", name="Edges").fill("–")
    expect(page.get_by_text("nothing to remember", exact=True)).to_be_visible()
    page.keyboard.press("Control+Enter")
    expect(heading(window)).to_have_text("Right so far")


def test_too_long_a_memo_is_answered_with_the_server_s_sentence(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE, edges="AB" * 31)
    window.expected.append(REFUSED)
    page.get_by_role("button", name="Mark it").click()
    expect(page.locator(".trouble[role=alert]")).to_contain_text("more than 60 letters")


def test_no_cube_and_no_scramble(window: Window) -> None:
    page = window.go("marking")
    expect(page.get_by_text("Type the scramble of the cube you read")).to_be_visible()
    window.expected.append(REFUSED)
    page.get_by_label("Scramble").fill("R U Q")
    expect(page.locator(".trouble")).to_contain_text("Q")
    page.get_by_role("button", name="Deal a cube").click()
    expect(page.get_by_role("textbox", name="Edges")).to_be_focused()
    assert len(window.address()["scramble"].split()) > 10


def test_the_next_cube_takes_the_memo_away(window: Window) -> None:
    page = window.go("marking", scramble=SCRAMBLE, edges=EDGES, marked="1")
    page.get_by_role("button", name="The next cube").click()
    expect(page.get_by_role("textbox", name="Edges")).to_have_value("")
    expect(heading(window)).to_have_count(0)
    assert "edges" not in window.address()
    page.go_back()
    expect(page.get_by_role("textbox", name="Edges")).to_have_value(EDGES)
    expect(heading(window)).to_have_text("Right so far")


def test_other_letterings_and_letters_on_the_stickers(window: Window) -> None:
    plan = make_plan(SCRAMBLE, lettering="greek")
    page = window.go("marking", scramble=SCRAMBLE, lettering="greek", edges=letters(plan, "edges").lower())
    page.get_by_role("button", name="Mark it").click()
    expect(heading(window)).to_have_text("Right so far")
    page.get_by_role("button", name="Letters on the stickers").click()
    window.wait_for_address(letters="on")
    expect(page.locator(".cube svg text.letter").first).to_be_visible()


def test_without_motion_nothing_moves(window: Window) -> None:
    window.page.emulate_media(reduced_motion="reduce")
    page = window.go("marking", scramble=SCRAMBLE, edges=EDGES, corners=CORNERS, marked="1")
    expect(page.locator("svg .star").first).to_be_visible()
    assert page.evaluate("document.getAnimations().length") == 0
