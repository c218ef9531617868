"""One real server and one real browser for all tests; each test has a folder of its own for what is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import httpx
import pytest

from nightfold.web.book import close_books
from tests.cli.running import PLAIN
from tests.web.browser import BY_PROCESSOR, Window, driver, launched, opened
from tests.web.serving import client_of, serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    folder = tmp_path / "home"
    monkeypatch.setenv("NIGHTFOLD_HOME", str(folder))
    # The command finds there what the server keeps.
    monkeypatch.setitem(PLAIN, "NIGHTFOLD_HOME", str(folder))
    yield folder
    close_books()


@pytest.fixture(scope="session")
def port() -> Iterator[int]:
    with serving() as made:
        yield made


@pytest.fixture
def client(port: int) -> Iterator[httpx.Client]:
    with client_of(port) as made:
        yield made


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with driver() as made:
        yield made


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """One Chromium for all tests of the process."""
    made = launched(playwright, BY_PROCESSOR)
    yield made
    made.close()


@pytest.fixture
def another(browser: Browser, port: int) -> Callable[..., AbstractContextManager[Window]]:
    """Opens one more window; its size, theme and motion can be said."""
    return partial(opened, browser, port)


@pytest.fixture
def window(browser: Browser, port: int) -> Iterator[Window]:
    """A wide window by night, without motion, in a profile of its own."""
    with opened(browser, port) as made:
        yield made
