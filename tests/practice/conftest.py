"""Logbooks to test with, in SQLite and in PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from nightfold.practice.logbook import Logbook
from tests.needs import missing
from tests.practice import postgres


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for everything, so that no test touches a person's own."""
    folder = tmp_path / "home"
    monkeypatch.setenv("NIGHTFOLD_HOME", str(folder))
    monkeypatch.delenv("NIGHTFOLD_LOGBOOK", raising=False)
    return folder


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The URL of a PostgreSQL server, but for the database's name."""
    if postgres.programs() is None:
        missing("PostgreSQL is not installed here (make needed fetches it)")
    with postgres.server() as url:
        yield url


@pytest.fixture
def postgresql_place(postgresql: str) -> Iterator[str]:
    """The URL of an empty database in PostgreSQL."""
    name = f"club_{uuid.uuid4().hex}"
    yield postgres.make_database(postgresql, name)
    postgres.drop_database(postgresql, name)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, home: Path) -> str:
    """Where a logbook may be made."""
    return str(home / "logbook.db") if request.param == "sqlite" else request.getfixturevalue("postgresql_place")


@pytest.fixture
def book(place: str) -> Iterator[Logbook]:
    """An empty logbook."""
    with Logbook.open(place) as opened:
        yield opened
