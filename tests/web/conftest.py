"""One real server for all tests of the interface; each test has a folder of its own for what is kept."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.web.serving import client_of, serving
from tests.web.visits import chromium, origin, visit  # noqa: F401 - fixtures of the browser tests


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    monkeypatch.setenv("NIGHTFOLD_HOME", str(folder))
    return folder


@pytest.fixture(scope="session")
def port() -> Iterator[int]:
    with serving() as made:
        yield made


@pytest.fixture
def client(port: int) -> Iterator[httpx.Client]:
    with client_of(port) as made:
        yield made
