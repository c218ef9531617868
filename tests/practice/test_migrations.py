"""A logbook of every earlier version becomes one of this, with all that is in it, or stays what it was.

Each revision of the tables has a frozen sample here, ``samples/REVISION.sql``: a logbook as that version made it, with
records of all kinds.  ``python -m tests.practice.test_migrations`` makes the sample of the newest revision, once; what
is there is never made anew.
"""

from __future__ import annotations

import json
import sqlite3
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect

from nightfold.practice import logbook as logbook_module
from nightfold.practice import migration, schema
from nightfold.practice.backup import BEFORE_UPGRADE, backups, check_backup
from nightfold.practice.checking import check
from nightfold.practice.database import Database
from nightfold.practice.errors import LogbookError, NewerError, StoringError
from nightfold.practice.logbook import Logbook
from nightfold.practice.opening import restore
from nightfold.practice.records import (
    KINDS,
    Attempt,
    AttemptCube,
    Card,
    Fact,
    Mistake,
    Record,
    Review,
    Route,
    Run,
    Series,
    SeriesKind,
    Solver,
    Source,
    Word,
)
from nightfold.practice.results import Outcome
from nightfold.practice.schema import HEAD, VERSION_TABLE
from tests.practice.test_logbook import all_records

SAMPLES = Path(__file__).parent / "samples"
REVISIONS = sorted(
    path.stem.removeprefix("revision_") for path in (migration.FOLDER / "versions").glob("revision_*.py")
)
NOW = datetime(2026, 1, 9, 19, 30, 0, 123_456, tzinfo=UTC)


def from_sample(revision: str, path: Path) -> None:
    """Make a SQLite file of a sample."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((SAMPLES / f"{revision}.sql").read_text("utf-8"))


#: What later versions added to records, as it is for those that came before it.
ADDED: dict[str, dict[str, object]] = {"review": {"days_since": None}}


def told(revision: str) -> list[dict[str, object]]:
    """What is in a sample, as this version must tell it."""
    lines = (SAMPLES / f"{revision}.jsonl").read_text("utf-8").splitlines()
    return [ADDED.get(record["record"], {}) | record for record in map(json.loads, lines)]


def contents(book: Logbook) -> list[dict[str, object]]:
    found = sorted(all_records(book), key=lambda record: (record.noun, record.id))
    return [{"record": record.noun, **record.to_dict()} for record in found]


# --- the tables that are made --------------------------------------------------------------------------------


def test_the_migrations_make_the_tables_that_the_program_uses(book: Logbook) -> None:
    with book.database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": VERSION_TABLE, "compare_type": True})
        assert compare_metadata(context, schema.metadata) == []
        found = inspect(connection)
        for table in schema.metadata.tables.values():
            assert {index["name"] for index in found.get_indexes(table.name)} >= {index.name for index in table.indexes}
            for key in found.get_foreign_keys(table.name):
                assert key["options"].get("deferrable") and key["options"].get("initially") == "DEFERRED"


def test_the_newest_revision_is_the_programs() -> None:
    assert migration.scripts().get_heads() == [HEAD] == REVISIONS[-1:]
    assert migration.steps_from(None) == REVISIONS and migration.steps_from(HEAD) == []


# --- samples -------------------------------------------------------------------------------------------------


def test_every_revision_has_its_sample() -> None:
    assert {path.stem for path in SAMPLES.glob("*.sql")} == {path.stem for path in SAMPLES.glob("*.jsonl")}
    assert {path.stem for path in SAMPLES.glob("*.sql")} == set(REVISIONS)


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_logbook_of_an_earlier_version_is_opened_with_all_that_is_in_it(revision: str, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    from_sample(revision, path)
    with Logbook.open(path) as book:
        assert contents(book) == told(revision)
        assert {record["record"] for record in told(revision)} >= {kind.noun for kind in KINDS} - {"fact"}
        assert check(book.database).problems == ()
        made = {one.why: check_backup(one.path) for one in backups(book.database)}
        assert (BEFORE_UPGRADE in made) == (revision != HEAD)


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_backup_of_an_earlier_version_is_restored(revision: str, place: str, tmp_path: Path) -> None:
    from_sample(revision, tmp_path / "old.db")
    restore(place, tmp_path / "old.db")
    with Logbook.open(place) as book:
        assert contents(book) == told(revision)


# --- going on ------------------------------------------------------------------------------------------------

#: A revision that is not there yet: it adds a column, and fails half-way where it is told to.
NEXT = """
import os
import sqlalchemy as sa
from alembic import op

revision = "0999"
down_revision = "{before}"

def upgrade():
    op.create_table("boat", sa.Column("name", sa.Text, primary_key=True))
    op.add_column("route", sa.Column("tide", sa.Text, nullable=False, server_default="low"))
    op.execute("UPDATE attempt SET note = 'upgraded'")
    if os.environ.get("FENNEL_POINT_STORM"):
        raise RuntimeError("struck by lightning")
"""


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that knows one more revision."""
    folder = tmp_path / "next"
    folder.mkdir()
    (folder / "revision_0999.py").write_text(NEXT.format(before=HEAD))
    monkeypatch.setattr(migration, "HEAD", "0999")
    monkeypatch.setattr(migration, "version_folders", lambda: [migration.FOLDER / "versions", folder])


def revision_and_notes(place: str) -> tuple[str | None, list[str]]:
    database = Database(place)
    try:
        with database.reading() as connection:
            notes = connection.exec_driver_sql("SELECT DISTINCT note FROM attempt").scalars().all()
            return migration.revision_of(connection), list(notes)
    finally:
        database.close()


def make(place: str) -> None:
    with Logbook.open(place, backups=False) as book:
        book.add(Attempt(started=NOW, note="as it was"))


def test_an_upgrade_goes_on_from_what_is_there_and_is_backed_up(place: str, request: pytest.FixtureRequest) -> None:
    make(place)
    request.getfixturevalue("next_version")
    with Logbook.open(place) as book:
        assert book.attempts()[0].note == "upgraded"
        assert book.fact("upgraded-by") is not None
        (made,) = [one for one in backups(book.database) if one.why == BEFORE_UPGRADE]
        with book.database.reading() as connection:
            assert "boat" in inspect(connection).get_table_names()
    assert revision_and_notes(place) == ("0999", ["upgraded"])
    restore(place, made.path)
    assert revision_and_notes(place)[0] == "0999"
    with Logbook.open(place) as book:
        assert len([one for one in backups(book.database) if one.why == BEFORE_UPGRADE]) <= 2


def test_an_upgrade_that_fails_leaves_everything_as_it_was(
    place: str, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    make(place)
    with monkeypatch.context() as patched:
        request.getfixturevalue("next_version")
        patched.setenv("FENNEL_POINT_STORM", "1")
        with pytest.raises(RuntimeError, match="struck by lightning"):
            Logbook.open(place)
    assert revision_and_notes(place) == (HEAD, ["as it was"])
    database = Database(place)
    with database.reading() as connection:
        found = inspect(connection)
        assert "boat" not in found.get_table_names()
        assert "tide" not in {column["name"] for column in found.get_columns("route")}
    database.close()


def test_a_logbook_of_a_newer_version_is_refused_and_left_alone(place: str, tmp_path: Path) -> None:
    make(place)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(migration, "HEAD", "0999")
        folder = tmp_path / "newer"
        folder.mkdir()
        (folder / "revision_0999.py").write_text(NEXT.format(before=HEAD))
        patched.setattr(migration, "version_folders", lambda: [migration.FOLDER / "versions", folder])
        Logbook.open(place).close()
    before = Path(place).read_bytes() if "://" not in place else b""
    for opening in (Logbook.open, Logbook.look):
        with pytest.raises(
            NewerError, match=rf"written by a newer Nightfold \(its tables are 0999, version .* up to {HEAD}\)"
        ):
            opening(place)
    assert revision_and_notes(place) == ("0999", ["upgraded"])
    if before:
        assert Path(place).read_bytes() == before


def test_looking_at_a_logbook_of_an_earlier_version_upgrades_it_after_a_backup(
    place: str, request: pytest.FixtureRequest
) -> None:
    make(place)
    request.getfixturevalue("next_version")
    seen = Logbook.look(place)
    assert seen is not None
    with seen:
        assert [one.why for one in backups(seen.database)][:1] == [BEFORE_UPGRADE]
    assert revision_and_notes(place) == ("0999", ["upgraded"])


def test_a_logbook_of_an_earlier_version_that_cannot_be_upgraded_says_so(
    home: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    make(str(home / "logbook.db"))
    request.getfixturevalue("next_version")

    def refuse(*_: object, **__: object) -> None:
        raise StoringError("the file is read-only")

    monkeypatch.setattr(logbook_module, "prepare", refuse)
    with pytest.raises(LogbookError, match=r"is from an older version and must be upgraded .*: the file is read-only"):
        Logbook.look(home / "logbook.db")
    assert revision_and_notes(str(home / "logbook.db")) == (HEAD, ["as it was"])


# --- making samples ------------------------------------------------------------------------------------------


def sample() -> list[Record]:
    """Records of all kinds, with everything in them."""
    series = Series(kind=SeriesKind.BEST_OF_3, started=NOW, name="Friday", event="333bf", note="windy")
    ended = Attempt(
        series=series.id,
        number=1,
        started=NOW,
        day="2026-01-09",
        scramble="R U F2 L' D",
        hold="white up, green in front",
        method="two-swap",
        lettering="clockwise",
        breaks_policy="lowest",
        outcome=Outcome.DNF,
        memo_ms=41_230,
        total_ms=102_450,
        final="",
        memo={"edges": "FU P", "corners": ""},
        edge_letters=3,
        corner_letters=0,
        breaks=0,
        flipped=1,
        twisted=0,
        parity=True,
        cycles=1,
        turns=61,
        note="“late”\nand cold",
    )
    multi = Attempt(
        started=NOW + timedelta(days=1), day="2026-01-10", event="333mbf", solver="Jory", outcome=Outcome.SOLVED
    )
    run = Run(exercise="setup", started=NOW, ended=NOW, settings={"count": 10}, score=0.9, result={"right": 9})
    card = Card(
        exercise="setup",
        subject="edges/LB",
        due=NOW + timedelta(days=4),
        state={"card_id": 1, "state": 2, "step": None, "stability": 3.17, "difficulty": 5.28},
        stability=3.17,
        difficulty=5.28,
    )
    return [
        Solver(name="Jory", created=NOW, note="Fridays"),
        series,
        ended,
        multi,
        AttemptCube(attempt=multi.id, number=1, scramble="R U", outcome=Outcome.SOLVED, memo={"edges": "AB"}),
        AttemptCube(attempt=multi.id, number=2, scramble="F D", outcome=Outcome.PLUS2, final=""),
        run,
        Mistake(
            attempt=ended.id,
            found=NOW,
            day="2026-01-09",
            source=Source.INQUEST,
            probability=0.625,
            alone=True,
            kind="letter-left-out",
            orbit="edges",
            at=1,
            letter="U",
            said={"say": "edge letter 2, U: U was left out"},
        ),
        Mistake(run=run.id, found=NOW, day="2026-01-09", source=Source.DRILL, kind="beside"),
        Route(name="harbour", loci=("steps", "lamp", "quay"), created=NOW, changed=NOW),
        Word(pair="L S", word="lighthouse", kind="place", note="ours", strength=0.75, created=NOW, changed=NOW),
        Word(pair="Ш А", word="шар", language="ru", solver="Jory", created=NOW, changed=NOW),
        card,
        Review(
            card=card.id,
            run=run.id,
            exercise="setup",
            answered=NOW,
            day="2026-01-09",
            rating=3,
            right=True,
            share=1.0,
            answer_ms=1834,
            asked={"letter": "E"},
            given="L' U",
        ),
        Fact(name="demo-loaded", value="2026-01-09"),
        Attempt(started=NOW, day="2026-01-09", demo=True),
    ]


def make_sample() -> None:
    """Write the sample of the newest revision."""
    if (SAMPLES / f"{HEAD}.sql").exists():
        sys.exit(f"the sample of {HEAD} is there already; it stays as it is")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.db"
        with Logbook.open(path, backups=False) as book:
            book.add(*sample())
            lines = [json.dumps(one, ensure_ascii=False) for one in contents(book)]
        with closing(sqlite3.connect(path)) as connection:
            owner = connection.execute("PRAGMA application_id").fetchone()[0]
            dump = [*connection.iterdump(), f"PRAGMA application_id={owner};"]
    (SAMPLES / f"{HEAD}.sql").write_text("\n".join(dump) + "\n", "utf-8")
    (SAMPLES / f"{HEAD}.jsonl").write_text("\n".join(lines) + "\n", "utf-8")


if __name__ == "__main__":
    make_sample()
