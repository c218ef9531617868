"""Every exercise in a real browser by keyboard alone: found, begun, answered rightly and wrongly, left at its end."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, Response, expect

from nightfold.cube.errors import NightfoldError
from nightfold.practice.drills import EXERCISES, Question, Table
from nightfold.practice.logbook import Logbook
from nightfold.web.drills import _Ticket
from tests.practice.drilling import WORDS
from tests.web.browser import Window
from tests.web.serving import asked, ended_run

#: What may be answered; some of it can be read in each exercise, and is wrong.
ANSWERS = ("A", "B", "UF", "UR", "UFR", "UFL", "A B", "A B C", "R", "U2", "yes", "no", "LS", "AB", "heron")


def tab_to(page: Page, there: Callable[[Page], Any]) -> None:
    """Go from one thing to the next by the tabulator until the wanted one is reached."""
    for _ in range(100):
        page.keyboard.press("Tab")
        if there(page):
            return
    raise AssertionError("the tabulator does not lead there")


def wrong_lines(table: Table, question: Question) -> list[str]:
    """A wrong answer that can be read, line by line."""
    for answer in ANSWERS:
        lines = [answer] * max(len(question.parts), 1)
        try:
            if not EXERCISES[question.exercise].mark(table, question, "\n".join(lines)).right:
                return lines
        except NightfoldError:
            continue
    raise AssertionError(f"none of {ANSWERS} is a wrong answer to “{question.prompt}”")


@pytest.mark.parametrize("name", EXERCISES)
def test_every_exercise_by_keyboard_alone(window: Window, client: httpx.Client, name: str) -> None:
    for pair, words in WORDS.items():
        asked(client, "words/own", {"pair": pair, "word": words[0]}, "PUT")
    table = Table.laid(words={pair: words[:1] for pair, words in WORDS.items()})
    exercise = EXERCISES[name]
    page = window.go("drills", count="2", level="1")
    title = page.locator("button.exercise").filter(has=page.get_by_text(exercise.title, exact=True))
    expect(title).to_be_visible()

    def asks(response: Response) -> bool:
        return response.url.endswith(f"/drills/{name}/next")

    with page.expect_response(asks) as response:
        tab_to(page, lambda _: title.evaluate("button => button === document.activeElement"))
        page.keyboard.press("Enter")
    for number, right in enumerate((True, False)):
        question = _Ticket.read(response.value.json()["ticket"]).question(table)
        expect(page.get_by_text(f"{number + 1} of 2")).to_be_visible()
        expect(page.get_by_text(question.prompt, exact=True)).to_be_visible()
        if question.show:
            expect(page.get_by_role("button", name="I have it")).to_be_focused()
            page.keyboard.press("Enter")
        lines = exercise.expected(table, question)[0].split("\n") if right else wrong_lines(table, question)
        for place, line in enumerate(lines):
            expect(page.get_by_role("textbox").nth(place)).to_be_focused()
            page.keyboard.type(line)
            page.keyboard.press("Enter")
        said = page.get_by_role("status").filter(has_text=re.compile("✓ Right" if right else "✗ Not"))
        expect(said).to_be_visible()
        expect(page.get_by_role("button", name="Go on")).to_be_focused()
        if right:
            with page.expect_response(asks) as response:
                page.keyboard.press("Enter")
        else:
            page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="How it went")).to_be_focused()
    expect(page.get_by_text("1 of 2 right")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("heading", name="Drills", exact=True)).to_be_visible()
    with Logbook.open() as book:
        assert [one.right for one in book.reviews(exercise=name)] == [False, True]
        assert ended_run(book, name).result == {"asked": 2, "right": 1}
