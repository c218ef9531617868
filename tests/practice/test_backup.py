"""Backups are made, read back, thinned out, and brought back; what is damaged is set aside, never written over."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.practice import backup as backup_module
from nightfold.practice import upkeep
from nightfold.practice.backup import (
    ASKED,
    BEFORE_RESTORE,
    DAILY,
    DAYS,
    MONTHS,
    WEEKS,
    Backup,
    back_up_if_due,
    backup_folder,
    backups,
    check_backup,
    make_backup,
    newest_good,
    replaced,
    thinned,
)
from nightfold.practice.checking import check
from nightfold.practice.database import Database
from nightfold.practice.errors import LogbookError, NewerError, StoringError, UnsoundError
from nightfold.practice.logbook import Logbook
from nightfold.practice.opening import begin_empty, restore
from nightfold.practice.records import Attempt
from nightfold.practice.transfer import write_file, write_lines
from tests.practice import invented
from tests.practice.test_logbook import all_records

NOW = datetime(2026, 1, 9, 19, 30, tzinfo=UTC)


@pytest.fixture
def path(home: Path) -> Path:
    """Where the logbook is in SQLite."""
    return home / "logbook.db"


def with_attempts(place: str | Path, count: int = 20, seed: int = 1) -> set[Attempt]:
    written = list(invented.attempts(count, seed))
    with Logbook.open(place, backups=False) as book:
        book.add(*written)
    return set(written)


def attempts_in(place: str | Path) -> set[Attempt]:
    with Logbook.open(place, backups=False) as book:
        assert check(book.database).sound
        return set(book.attempts(most=None))


def spoil(path: Path, share: float = 0.5, length: int = 4096) -> None:
    """Write rubbish into the middle of a file."""
    with path.open("rb+") as file:
        file.seek(int(path.stat().st_size * share))
        file.write(b"\xa5" * length)


# --- making --------------------------------------------------------------------------------------------------


def test_a_backup_holds_what_the_logbook_does(book: Logbook, tmp_path: Path) -> None:
    written = list(invented.practice(50, days=20))
    book.add(*written)
    made = make_backup(book.database, ASKED)
    assert backups(book.database) == [made] and made.size > 1000
    assert check_backup(made.path) == book.counts()
    assert made.path.parent == backup_folder(book.database)
    # It is one file, and looking at it leaves nothing beside it.
    assert [one.name for one in made.path.parent.iterdir()] == [made.path.name]
    with Logbook.open(tmp_path / "other.db") as other:
        pass
    restore(tmp_path / "other.db", made.path)
    with Logbook.open(tmp_path / "other.db") as other:
        assert all_records(other) == set(written)
        assert check(other.database).sound


def test_a_backup_is_of_one_moment_though_others_write(path: Path) -> None:
    with Logbook.open(path) as book:
        book.add(*invented.attempts(10))
        with book.database.reading():
            book.add(*invented.attempts(10, seed=2))
            made = make_backup(book.database, ASKED)
        assert check_backup(made.path)["attempt"] == 20


def test_backups_of_several_logbooks_keep_apart(home: Path) -> None:
    for name in ("logbook", "logbook-of-jory", "club"):
        with Logbook.open(home / f"{name}.db") as book:
            book.add(*invented.attempts(2))
            make_backup(book.database, ASKED)
            assert len(backups(book.database)) == 1
    assert len(list((home / "backups").iterdir())) == 3


def test_the_daily_backup_is_made_when_it_is_due(book: Logbook) -> None:
    assert back_up_if_due(book.database, NOW) is None  # there is nothing yet
    book.add(*invented.attempts(3))
    first = back_up_if_due(book.database, NOW)
    assert first is not None and first.why == DAILY
    assert back_up_if_due(book.database, NOW + timedelta(hours=23)) is None
    assert back_up_if_due(book.database, NOW + timedelta(hours=25)) is not None
    # One from the future, made under a wrong clock, keeps no other from being made.
    assert back_up_if_due(book.database, NOW - timedelta(days=400)) is not None
    assert len(backups(book.database)) == 3


def test_opening_makes_the_daily_backup(place: str) -> None:
    with_attempts(place)
    for _ in range(2):
        with Logbook.open(place) as book:
            assert [(one.why, check_backup(one.path)["attempt"]) for one in backups(book.database)] == [(DAILY, 20)]


def test_old_daily_backups_go_and_others_stay(path: Path) -> None:
    with_attempts(path, 2)
    with Logbook.open(path, backups=False) as book:
        folder = backup_folder(book.database)
        folder.mkdir()
        for days in range(400):
            for why in (DAILY, ASKED):
                stamp = (NOW - timedelta(days=days)).strftime("%Y%m%d-%H%M%S-%f")
                (folder / f"logbook-{stamp}-{why}.db").touch()
        assert len(backups(book.database)) == 800
        assert back_up_if_due(book.database, NOW + timedelta(days=1)) is not None
        left = backups(book.database)
        assert sum(one.why == ASKED for one in left) == 400
        daily = [one for one in left if one.why == DAILY]
        assert DAYS < len(daily) <= DAYS + WEEKS + MONTHS
        assert daily[-1].made < NOW - timedelta(days=120)


@given(st.lists(st.integers(0, 1000), max_size=60), st.integers(0, 23))
def test_thinning_keeps_the_newest_of_every_day_week_and_month_that_counts(ages: list[int], hour: int) -> None:
    found = [Backup(Path(str(age)), NOW - timedelta(days=age, hours=hour % (age + 1)), DAILY) for age in set(ages)]
    found.sort(key=lambda one: one.made, reverse=True)
    gone = thinned(found)
    left = [one for one in found if one not in gone]
    if found:
        assert left[0] == found[0]
    for most, span in ((DAYS, "%Y-%m-%d"), (WEEKS, "%G-%V"), (MONTHS, "%Y-%m")):
        newest: dict[str, Backup] = {}
        for one in found:
            newest.setdefault(one.made.strftime(span), one)
        assert set(list(newest.values())[:most]) <= set(left)
    assert len(left) <= DAYS + WEEKS + MONTHS
    # What was kept once is kept on when nothing has changed.
    assert thinned(left) == []


def test_a_backup_that_cannot_be_written_is_told_of_and_the_logbook_opens(
    path: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_attempts(path)
    (home / "backups").write_text("in the way")
    with Logbook.open(path) as book:
        (warning,) = book.warnings
        assert warning.startswith("there is no new backup: ") and "cannot be written" in warning
        book.add(Attempt(started=NOW))
    assert len(attempts_in(path)) == 21


def test_what_is_read_back_otherwise_is_no_backup(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    book.add(*invented.attempts(5))
    if book.database.path is None:

        def forgetful(connection: Any, out: Any) -> dict[str, int]:
            counts = write_lines(connection, out)
            return {**counts, "attempt": counts["attempt"] + 1}

        monkeypatch.setattr(backup_module, "write_lines", forgetful)
        sentence = "cannot be read back"
    else:
        counts = iter([{"attempt": 5}, {"attempt": 4}])
        monkeypatch.setattr(backup_module, "_counts", lambda connection: next(counts))
        sentence = "no backup was made of it: the copy does not hold what the logbook does"
    with pytest.raises(UnsoundError, match=sentence):
        make_backup(book.database, ASKED)
    assert backups(book.database) == []
    assert not any(backup_folder(book.database).iterdir())


# --- bringing back -------------------------------------------------------------------------------------------


def test_restoring_brings_back_and_keeps_what_was_there(place: str) -> None:
    old = with_attempts(place)
    with Logbook.open(place) as book:
        more = list(invented.attempts(5, seed=2))
        book.add(*more)
    source, counts = restore(place)
    assert counts["attempt"] == 20 and source.name.rpartition("-")[2].startswith(DAILY)
    assert attempts_in(place) == old
    with Logbook.open(place) as book:
        before = next(one for one in backups(book.database) if one.why == BEFORE_RESTORE)
    restore(place, before.path)
    assert attempts_in(place) == {*old, *more}


def test_an_open_logbook_sees_what_was_restored(place: str) -> None:
    old = with_attempts(place)
    with Logbook.open(place) as book:
        book.add(*invented.attempts(5, seed=2))
        assert len(book.attempts(most=None)) == 25
        restore(place)
        assert set(book.attempts(most=None)) == old
        book.add(Attempt(started=NOW))
        assert check(book.database).sound
    assert len(attempts_in(place)) == 21


def test_backups_of_one_database_are_restored_into_another(path: Path, postgresql_place: str, tmp_path: Path) -> None:
    old = with_attempts(path)
    with Logbook.open(path) as book:
        made = make_backup(book.database, ASKED)
        with book.database.reading() as connection:
            write_file(connection, tmp_path / "mine.jsonl")
    restore(postgresql_place, made.path)
    assert attempts_in(postgresql_place) == old
    with Logbook.open(postgresql_place) as other:
        back = make_backup(other.database, ASKED).path
    for source in (back, tmp_path / "mine.jsonl"):
        with_attempts(path, 3, seed=5)
        restore(path, source)
        assert attempts_in(path) == old
        path.unlink()
        restore(path, source)  # where there is nothing, too
        assert attempts_in(path) == old


def test_restoring_what_cannot_be_restored_changes_nothing(place: str, tmp_path: Path) -> None:
    old = with_attempts(place)
    (tmp_path / "empty.db").touch()
    (tmp_path / "diary.txt").write_text("fine weather")
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE boats (name)")
        connection.commit()
    with closing(sqlite3.connect(tmp_path / "newer.db")) as connection:
        connection.execute("CREATE TABLE nightfold_schema (version_num)")
        connection.execute("INSERT INTO nightfold_schema VALUES ('0999')")
        connection.execute("PRAGMA application_id=0x4E464C42")
        connection.commit()
    (tmp_path / "bad.jsonl").write_text('{"nightfold": "logbook", "format": 1}\n{"record": "attempt"}\n')
    with Logbook.open(tmp_path / "spoilt.db") as book:
        book.add(*invented.attempts(400))
    spoil(tmp_path / "spoilt.db")
    cases: list[tuple[str, type[LogbookError], str]] = [
        ("nothing.db", LogbookError, "cannot be read"),
        ("empty.db", LogbookError, "is empty"),
        ("diary.txt", LogbookError, "is no export of a logbook"),
        ("other.db", LogbookError, "is a database, but no logbook"),
        ("newer.db", NewerError, "was written by a newer Nightfold"),
        ("bad.jsonl", UnsoundError, "is damaged: line 2: attempt: started must be told"),
        ("spoilt.db", UnsoundError, "is damaged"),
    ]
    for name, kind, sentence in cases:
        with pytest.raises(kind, match=sentence):
            restore(place, tmp_path / name)
    with pytest.raises(LogbookError, match="there is no good backup"):
        restore(place)
    assert attempts_in(place) == old


# --- damage --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("damage", ["head", "cut", "short", "rubbish", "pages"])
def test_a_damaged_logbook_is_set_aside_and_a_backup_offered(path: Path, home: Path, damage: str) -> None:
    old = with_attempts(path, 300)
    with Logbook.open(path) as book:
        assert len(backups(book.database)) == 1
        newest = backups(book.database)[0]
        book.add(Attempt(started=NOW))
    match damage:
        case "head":
            spoil(path, 0, 100)
        case "cut":
            os.truncate(path, path.stat().st_size // 2)
        case "short":
            os.truncate(path, 50)
        case "rubbish":
            path.write_bytes(b"not a logbook any more" * 1000)
        case "pages":
            spoil(path, 0.2, 40_000)
            newest = Backup(newest.path.rename(newest.path.with_name(f"logbook-{'20250101-000000-000000'}-daily.db")),
                            datetime(2025, 1, 1, tzinfo=UTC), DAILY)  # fmt: skip
    damaged = path.read_bytes()
    for attempt in range(2):
        with pytest.raises(UnsoundError) as told:
            Logbook.open(path)
        assert "nightfold logbook restore brings back the newest good backup, of " in str(told.value)
        assert "with 300 attempts" in str(told.value)
        assert ("it was set aside as logbook.db.damaged-1" in str(told.value)) == (attempt == 0)
        assert not path.exists()
    assert (home / "logbook.db.damaged-1").read_bytes() == damaged
    restored, counts = restore(path)
    assert restored == newest.path and counts["attempt"] == 300
    assert attempts_in(path) == old
    assert (home / "logbook.db.damaged-1").read_bytes() == damaged


def test_the_newest_backup_that_is_good_is_offered(path: Path) -> None:
    with_attempts(path, 100)
    with Logbook.open(path, backups=False) as book:
        good = make_backup(book.database, ASKED, NOW)
        worse = make_backup(book.database, ASKED, NOW + timedelta(days=1))
        spoil(worse.path)
        found = newest_good(book.database)
        assert found is not None and found[0] == good and found[1]["attempt"] == 100
    path.write_bytes(b"\x00" * 5000)
    assert restore(path)[0] == good.path


def test_a_logbook_that_is_gone_is_not_quietly_begun_anew(path: Path) -> None:
    old = with_attempts(path)
    with Logbook.open(path) as book:
        assert backups(book.database)
    path.unlink()
    for begin in (Logbook.open, Logbook.look):
        with pytest.raises(UnsoundError, match=r"is not there any more; nightfold logbook restore brings back"):
            begin(path)
    path.touch()
    for begin in (Logbook.open, Logbook.look):
        with pytest.raises(UnsoundError, match=r"is empty; nightfold logbook restore brings back"):
            begin(path)
    assert path.stat().st_size == 0
    restore(path)
    assert attempts_in(path) == old


def test_an_empty_logbook_is_begun_only_where_none_is_sound(path: Path, home: Path, postgresql_place: str) -> None:
    old = with_attempts(path)
    with pytest.raises(LogbookError, match="is sound; to begin an empty one"):
        begin_empty(path)
    assert attempts_in(path) == old
    with Logbook.open(path) as book:
        assert backups(book.database)
    path.write_bytes(b"\x00" * 5000)
    with pytest.raises(UnsoundError, match="--empty begins a new one"):
        Logbook.open(path)
    begin_empty(path)
    assert attempts_in(path) == set()
    assert (home / "logbook.db.damaged-1").exists()
    path.write_bytes(b"\x00" * 7000)
    begin_empty(path)  # at once, too
    assert attempts_in(path) == set()
    assert (home / "logbook.db.damaged-2").stat().st_size == 7000
    shutil.rmtree(home / "backups")
    path.unlink()
    with pytest.raises(UnsoundError, match="there is no backup of it; nightfold logbook restore --empty begins"):
        Logbook.open(path)
    with pytest.raises(LogbookError, match="is on a server"):
        begin_empty(postgresql_place)


def test_what_lies_beside_a_damaged_logbook_goes_with_it(path: Path, home: Path) -> None:
    """A log of the old file must never be played into another."""
    old = with_attempts(path, 50)
    with Logbook.open(path) as book:
        assert backups(book.database)
    reader = sqlite3.connect(path)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM attempt").fetchone()
    try:
        with Logbook.open(path) as book:
            book.add(*invented.attempts(50, seed=2))
        log = (home / "logbook.db-wal").read_bytes()
        assert log
        spoil(path, 0, 100)
        restore(path)
        assert (home / "logbook.db.damaged-1-wal").read_bytes() == log
        assert attempts_in(path) == old
    finally:
        reader.close()
    assert attempts_in(path) == old


def test_an_exports_first_line_tells_a_backup_of_a_server_from_anything_else(postgresql_place: str) -> None:
    with_attempts(postgresql_place, 3)
    with Logbook.open(postgresql_place) as book:
        (made,) = backups(book.database)
    assert made.path.suffix == ".jsonl"
    assert json.loads(made.path.read_text("utf-8").splitlines()[0])["records"]["attempt"] == 3
    os.truncate(made.path, made.size // 2)
    with pytest.raises(UnsoundError, match="is damaged"):
        check_backup(made.path)
    with pytest.raises(StoringError), Logbook.open(postgresql_place) as book:
        made.path.unlink()
        made.path.parent.rmdir()
        made.path.parent.write_text("in the way")
        make_backup(book.database, ASKED)


# --- while it is open ----------------------------------------------------------------------------------------


def test_a_large_logbook_is_backed_up_while_it_is_open(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody waits for it but whoever closes the logbook."""
    old = with_attempts(place)
    monkeypatch.setattr(backup_module, "SMALL_BYTES", 0)
    monkeypatch.setattr(backup_module, "SMALL_COUNT", 0)
    begun, going = threading.Event(), threading.Event()
    real = backup_module.make_backup

    def slow(*arguments: Any) -> Backup:
        begun.set()
        assert going.wait(60)
        return real(*arguments)

    monkeypatch.setattr(backup_module, "make_backup", slow)
    with Logbook.open(place) as book:
        assert begun.wait(60)
        assert backups(book.database) == []
        assert set(book.attempts(most=None)) == old
        book.add(Attempt(started=NOW))  # meanwhile
        going.set()
    (made,) = backups(book.database)
    assert made.why == DAILY and check_backup(made.path)["attempt"] == 21


def test_a_logbook_that_stays_open_is_backed_up_every_day(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the server of the browser app keeps it open for weeks: one looks when something is written."""
    with_attempts(path)
    monkeypatch.setattr(upkeep, "LOOK_EVERY", 0.0)
    with Logbook.open(path) as book:
        (first,) = backups(book.database)
        book.add(Attempt(started=NOW))
    assert backups(book.database) == [first]
    with Logbook.open(path) as book:
        monkeypatch.setattr(backup_module, "A_DAY", timedelta(0))
        book.add(Attempt(started=NOW))
    newest = backups(book.database)[0]  # which takes the place of an older one of the same day
    assert newest.made > first.made and check_backup(newest.path)["attempt"] == 22


def test_a_backup_that_fails_meanwhile_is_told_of(path: Path, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with_attempts(path)
    monkeypatch.setattr(backup_module, "SMALL_BYTES", 0)
    (home / "backups").write_text("in the way")
    with Logbook.open(path) as book:
        book.add(Attempt(started=NOW))
    (warning,) = book.warnings
    assert warning.startswith("there is no new backup: ")


# --- rules ---------------------------------------------------------------------------------------------------


def spoil_table(path: Path, name: str) -> None:
    """Write rubbish over the first page of a table."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", (name,)).fetchone()
        (length,) = connection.execute("PRAGMA page_size").fetchone()
    with path.open("rb+") as file:
        file.seek((page - 1) * length)
        file.write(b"\xa5" * length)


@pytest.mark.parametrize("name", ["review", "attempt", "word"])
def test_nothing_is_written_to_a_file_that_is_damaged_anywhere(path: Path, home: Path, name: str) -> None:
    """Whatever is to be written, and though the newest backup is not a day old."""
    with_attempts(path, 30)
    with Logbook.open(path) as book:
        assert len(backups(book.database)) == 1
    spoil_table(path, name)
    damaged = path.read_bytes()
    with pytest.raises(UnsoundError, match=r"it was set aside as logbook\.db\.damaged-1; nightfold logbook restore"):
        Logbook.open(path)
    assert (home / "logbook.db.damaged-1").read_bytes() == damaged
    restore(path)
    assert len(attempts_in(path)) == 30


def test_what_can_be_done_about_damage_is_what_can_be_done(path: Path, tmp_path: Path) -> None:
    with_attempts(path, 30)
    with Logbook.open(path) as book:
        (made,) = backups(book.database)
    shutil.copy(made.path, tmp_path / "other.db")
    spoil(tmp_path / "other.db", 0.02, 60_000)
    with pytest.raises(UnsoundError) as told:
        check_backup(tmp_path / "other.db")
    assert str(told.value).startswith(f"“{tmp_path / 'other.db'}” is damaged: ") and "restore" not in str(told.value)
    spoil(path, 0.02, 60_000)
    for sentence in (
        "restore sets it aside and brings back the newest good backup",
        "there is no backup of it; nightf",
    ):
        with pytest.raises(UnsoundError, match=sentence):
            Logbook.look(path)
        shutil.rmtree(made.path.parent, ignore_errors=True)


def test_a_logbook_of_a_newer_program_that_was_replaced_comes_back(path: Path) -> None:
    with_attempts(path, 3)
    with Logbook.open(path, backups=False) as book:
        made = make_backup(book.database, ASKED)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE nightfold_schema SET version_num = '0999'")
        connection.commit()
    restore(path, made.path)
    assert len(attempts_in(path)) == 3
    database = Database(path)
    before = replaced(database)
    database.close()
    assert before is not None
    with pytest.raises(NewerError):
        restore(path, before.path)
    assert restore(path, before.path, undo=True) == (before.path, {})
    with pytest.raises(NewerError):
        Logbook.open(path)
