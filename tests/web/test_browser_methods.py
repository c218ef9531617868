"""Methods and lettering in a real browser: looked at, copied, changed, refused, saved, removed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.web.browser import REFUSED, Window


def _edit(window: Window, before: str, after: str) -> None:
    box = window.page.get_by_label(re.compile("^The method’s file"))
    text = box.input_value()
    assert before in text
    box.fill(text.replace(before, after))


def test_a_method_shows_what_follows_from_it(window: Window) -> None:
    page = window.go("methods", show="two-swap")
    edges = page.get_by_label("How the edges are solved")
    expect(edges.get_by_text("it moves UFR, which the T perm disturbs")).to_be_visible()
    edges.get_by_text("Setups of the 22 targets").click()
    expect(edges.locator("tbody tr")).to_have_count(22)
    expect(page.get_by_text("The R perm undoes exactly what two odd orbits leave behind")).to_be_visible()
    page.get_by_role("button", name=re.compile("^left-hand")).click()
    expect(page.get_by_role("heading", name="Two swaps for the left hand")).to_be_visible()
    page.go_back()
    expect(page.get_by_role("heading", name="Two swaps, edges first")).to_be_visible()


def test_a_copy_is_changed_checked_saved_used_and_removed(window: Window, home: Path) -> None:
    page = window.go("methods", show="two-swap")
    page.get_by_role("button", name="Copy and change").click()
    expect(page.get_by_text(re.compile(r"It works: \d checks passed"))).to_be_visible()
    _edit(window, 'title = "Two swaps, edges first"', 'title = "Ines at the lamp"')
    page.get_by_label("Save it as").fill("fennel-point")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("heading", name="Ines at the lamp")).to_be_visible()
    kept = home / "methods" / "fennel-point.toml"
    assert "Ines at the lamp" in kept.read_text(encoding="utf-8")
    expect(page.get_by_role("link", name="Use it on the desk")).to_have_attribute(
        "href", re.compile("method=fennel-point")
    )
    page.get_by_role("button", name="Remove").click()
    expect(page.get_by_role("button", name="Keep it")).to_be_focused()
    page.get_by_role("button", name="Remove").click()
    expect(page.get_by_role("heading", name="Two swaps, edges first")).to_be_visible()
    assert not kept.exists()
    assert list(kept.parent.glob("fennel-point.toml.removed-*"))


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ('buffer = "UR"', 'buffer = "UX"', "“UX” is no sticker"),
        ('buffer = "UR"', 'buffer = "UL"', "UL"),
        ('label = "T perm"', 'label = "T perm', "TOML"),
        ('home = "DFR"', 'home = "DBL"', "DBL"),
        ('algorithm = "R U R', 'algorithm = "R2 U R', "must undo what two odd orbits leave behind"),
        ('lettering = "clockwise"', 'lettering = "nobodys"', "there is no lettering “nobodys”"),
    ],
)
def test_what_cannot_work_is_said_and_not_saved(window: Window, home: Path, before: str, after: str, said: str) -> None:
    page = window.go("methods", show="two-swap", edit="1")
    _edit(window, before, after)
    expect(page.get_by_text("It cannot work yet")).to_be_visible()
    expect(page.locator("#method-verdict")).to_contain_text(said)
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    # What was written is there again after the page was closed.
    page.reload()
    expect(page.get_by_label(re.compile("^The method’s file"))).to_have_value(re.compile(re.escape(after)))
    assert not (home / "methods").exists()


def test_names_that_cannot_be_are_refused_in_a_sentence(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go("methods", show="two-swap", edit="1")
    for name, said in (("left-hand", "comes along with Nightfold"), ("../up", "cannot name a method")):
        page.get_by_label("Save it as").fill(name)
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("alert")).to_contain_text(said)


def test_a_method_that_is_not_there_is_named(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go("methods", show="nobodys")
    expect(page.get_by_role("alert").first).to_contain_text("there is no method “nobodys”")


def test_the_lettered_net_names_gaps_and_doubles_and_saves_a_copy(window: Window, home: Path) -> None:
    page = window.go("methods", part="lettering", show="clockwise")
    box = page.get_by_label("UF, edges, white")
    expect(box).to_have_value("C")
    box.fill("B")
    expect(page.get_by_text("“B” stands for UR and UF; each symbol may be used once")).to_be_visible()
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    box.fill("")
    expect(page.get_by_text("A sticker of the edges has no symbol: UF.")).to_be_visible()
    box.click()
    page.keyboard.type("☂")
    expect(page.get_by_text("Every sticker has its symbol")).to_be_visible()
    page.get_by_label("Save it as").fill("umbrella")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Saved as “umbrella”.")).to_be_visible()
    text = (home / "letterings" / "umbrella.toml").read_text(encoding="utf-8")
    assert 'U = "A B ☂ D"' in text
    page.reload()
    expect(page.get_by_label("UF, edges, white")).to_have_value("☂")
    expect(page.get_by_label("UFR, corners, white")).to_have_value("C")


def test_the_lettered_net_is_walked_with_the_arrow_keys(window: Window) -> None:
    page = window.go("methods", part="lettering", show="clockwise")
    page.get_by_label("UB, edges, white").focus()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_label("UBR, corners, white")).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(page.get_by_label("UR, edges, white")).to_be_focused()
    # Over the centre, which has no letter.
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_label("UL, edges, white")).to_be_focused()


def test_the_net_follows_the_lettering_file(window: Window) -> None:
    page = window.go("methods", part="lettering", show="clockwise")
    page.get_by_text("As a file").click()
    file = page.get_by_label(re.compile("^TOML"))
    file.fill(file.input_value().replace("A B C D", "ä ö ü ß"))
    expect(page.get_by_label("UF, edges, white")).to_have_value("ü")
    file.fill(file.input_value().replace("ä ö ü ß", "ä ö ü"))
    expect(page.get_by_text(re.compile("have no symbol"))).to_be_visible()
    page.get_by_role("button", name="Throw the changes away").click()
    expect(page.get_by_label("UF, edges, white")).to_have_value("C")


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("A B C D", "A B C A", "“A”"),
        ("A B C D", "A B C", "have no symbol"),
        ("A B C D", "A B C D E", "4 stickers but 5 symbols"),
        ('U = "', 'X = "', "X"),
        ('U = "', "U = ", "TOML"),
    ],
)
def test_a_lettering_file_that_cannot_work_is_told_and_not_saved(
    window: Window, home: Path, before: str, after: str, said: str
) -> None:
    page = window.go("methods", part="lettering", show="clockwise")
    page.get_by_text("As a file").click()
    file = page.get_by_label(re.compile("^TOML"))
    expect(file).to_have_value(re.compile(re.escape(before)))
    file.fill(file.input_value().replace(before, after, 1))
    expect(page.locator(".verdict .bad").first).to_contain_text(said)
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    assert not (home / "letterings").exists()


def test_a_lettering_that_is_not_there_and_names_that_cannot_be(window: Window, home: Path) -> None:
    window.expected.append(REFUSED)
    page = window.go("methods", part="lettering", show="nobodys")
    expect(page.get_by_role("alert").first).to_contain_text("there is no lettering “nobodys”")
    page = window.go("methods", part="lettering", show="clockwise")
    page.get_by_label("UF, edges, white").fill("☂")
    for name, said in (("greek", "comes along with Nightfold"), ("../up", "cannot name a lettering")):
        page.get_by_label("Save it as").fill(name)
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("alert")).to_contain_text(said)
    assert not (home / "letterings").exists()
