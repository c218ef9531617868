"""The passphrase in a real browser: asked for first, wrong ones told, the right one lets in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.web.browser import NARROW, Theme, opened
from tests.web.serving import serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SECRET = "the lamp is lit at dusk"


@pytest.fixture
def guarded() -> Iterator[int]:
    with serving("0.0.0.0", SECRET) as port:
        yield port


@pytest.mark.parametrize("theme", ["night", "day"])
def test_only_the_passphrase_lets_in(browser: Browser, guarded: int, theme: Theme) -> None:
    with opened(browser, guarded, NARROW, theme, expected=["status of 401"]) as window:
        page = window.go("desk", scramble="R U F")
        box = page.get_by_label("Passphrase")
        expect(box).to_be_focused()
        assert window.faults() == []
        box.fill("the lamp is out")
        box.press("Enter")
        expect(page.get_by_role("alert")).to_have_text("This is not the passphrase.")
        assert window.faults() == []
        page.get_by_label("Passphrase").fill(SECRET)
        page.get_by_role("button", name="Enter").click()
        expect(page.locator(".panels")).to_be_visible()
        # And it is not asked for again.
        window.go("desk", scramble="R U F")
        expect(page.locator(".letter").first).to_be_visible()


def test_a_stranger_sees_nothing_of_the_app(browser: Browser, guarded: int) -> None:
    with opened(browser, guarded, expected=["status of 401"]) as window:
        window.go("help")
        assert {url.removeprefix(window.origin).partition("#")[0] for url in window.asked} <= {
            "/",
            "/enter.css",
            "/favicon.ico",
            "about:blank",
        }


def test_guessing_is_slowed_down(browser: Browser, guarded: int) -> None:
    with opened(browser, guarded, expected=["status of 401", "status of 429"]) as window:
        page = window.go()
        for number in range(6):
            page.get_by_label("Passphrase").fill(f"guess {number}")
            with page.expect_response(lambda answer: answer.url.endswith("/enter")):
                page.get_by_role("button", name="Enter").click()
        expect(page.get_by_role("alert")).to_have_text("Too many wrong passphrases; wait a minute, then try again.")
