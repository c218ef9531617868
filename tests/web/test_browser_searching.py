"""Searching in a real browser: what is under way is shown, and stopped by key or by a changed question."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from nightfold.coach import attempt
from nightfold.coach.attempt import examine_attempt
from nightfold.web.work import SEARCHES
from tests.web.browser import Window
from tests.web.desk import SCRAMBLE
from tests.web.serving import until


@pytest.fixture
def endless(monkeypatch: pytest.MonkeyPatch) -> None:
    """Inquests that try up to two mistakes until they are told to stop."""

    def examine(*_: object, progress: Callable[[int, int], object], **__: object) -> None:
        while progress(2, 0) is not False:
            time.sleep(0.001)

    monkeypatch.setattr(attempt, "examine_attempt", examine)


def searching() -> bool:
    return any(not task.stopped for task in tuple(SEARCHES.tasks))


def held(window: Window) -> Page:
    """An inquest under way, begun by keyboard."""
    page = window.go("inquest", scramble=SCRAMBLE, left="R U F")
    page.get_by_role("button", name="Hold the inquest").press("Enter")
    expect(page.get_by_role("status")).to_have_text("Trying up to two mistakes at once…")
    assert until(searching)
    return page


@pytest.mark.usefixtures("endless")
def test_escape_ends_an_inquest_and_the_focus_stays(window: Window) -> None:
    page = held(window)
    expect(page.get_by_role("button", name="Searching…")).to_be_focused()
    expect(page.locator("li.now")).to_have_text("two")
    assert window.faults() == []
    page.keyboard.press("Escape")
    expect(page.get_by_role("status")).to_have_text("Stopped while two mistakes were tried.")
    expect(page.get_by_role("button", name="Stop")).to_have_count(0)
    expect(page.get_by_role("button", name="Hold the inquest")).to_be_focused()
    assert until(lambda: not searching())
    assert "asked" not in window.address()


@pytest.mark.usefixtures("endless")
def test_the_stop_button_is_the_next_one_by_tab(window: Window) -> None:
    page = held(window)
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Stop")).to_be_focused()
    page.keyboard.press("Enter")
    assert until(lambda: not searching())
    expect(page.get_by_role("status")).to_contain_text("Stopped")


@pytest.mark.usefixtures("endless")
def test_another_question_ends_the_search_for_the_one_before(window: Window) -> None:
    page = held(window)
    page.get_by_role("textbox", name="Turns that would still solve it").fill("R U F2")
    assert until(lambda: not searching())
    expect(page.get_by_role("button", name="Hold the inquest")).to_be_enabled()


def test_after_a_stop_the_same_question_is_answered(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    slow = True

    def examine(*given: object, **wanted: object) -> object:
        while slow and wanted["progress"](1, 0):  # type: ignore[operator]
            time.sleep(0.001)
        return examine_attempt(*given, **wanted)  # type: ignore[arg-type]

    monkeypatch.setattr(attempt, "examine_attempt", examine)
    page = window.go("inquest", scramble=SCRAMBLE, left="R", mistakes="1")
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.get_by_role("status")).to_have_text("Trying one mistake…")
    page.keyboard.press("Escape")
    assert until(lambda: not searching())
    slow = False
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.locator(".verdict h2")).to_be_focused()
    expect(page.get_by_role("button", name="Stop")).to_have_count(0)
    assert window.address()["asked"] == "1"


def test_escape_ends_a_search_for_algorithms(window: Window) -> None:
    page = window.go("finding", want="UF UR DB", longest="20", extra="6")
    page.get_by_role("button", name="Find", exact=True).press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Searching sequences of")
    expect(page.get_by_role("button", name="Searching…")).to_be_focused()
    page.keyboard.press("Escape")
    assert until(lambda: not searching())
    expect(page.get_by_role("status")).to_contain_text("Stopped while sequences of")
    expect(page.get_by_role("button", name="Find again")).to_be_focused()
