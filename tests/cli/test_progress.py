"""``nightfold progress``: tables, plots and CSV of a logbook."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len

from nightfold.practice.logbook import Logbook
from nightfold.practice.progress import TABLES
from nightfold.practice.records import Attempt, Mistake, Source
from nightfold.practice.results import Outcome
from tests.cli.running import complaint, here, there

START = datetime(2026, 3, 5, 19, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("progress")
    with Logbook.open(folder / "logbook.db", backups=False) as book:
        for number in range(12):
            failed = number % 3 == 1
            attempt = Attempt(
                started=START + timedelta(days=number),
                day=(START + timedelta(days=number)).date().isoformat(),
                outcome=Outcome.DNF if failed else Outcome.SOLVED,
                memo_ms=40_000,
                total_ms=100_000 - 1_000 * number,
                edge_letters=12,
                corner_letters=8,
                parity=number % 2 == 0,
                method="two-swap",
            )
            mistake = Mistake(
                attempt=attempt.id, found=attempt.started, source=Source.INQUEST, alone=True, kind="undo-left-out"
            )
            book.add_attempt(attempt, mistakes=[mistake] if failed else [])
    return {"NIGHTFOLD_HOME": str(folder)}


def test_what_it_shows(home: dict[str, str]) -> None:
    ran = there("progress", "--split", "parity", "--streaks", environment=home)
    assert (ran.code, ran.err) == (0, "")
    assert all(cell_len(line) <= 80 for line in ran.lines)
    assert ran.lines[0] == "SOLVED  67%  8 of 12 that ended; the true rate is likely 39% to 86%"
    assert "memo 40.00, execution 54.50, all 1:34.50" in ran.lines[1]
    assert "single 1:29.00 (2026-03-16)" in ran.lines[2]
    assert "4.0     4.0 times  undo-left-out  █" in ran.out
    assert "at most 12" in ran.out
    for heading in ("NEWEST", "BY MONTH", "BY PARITY", "MISTAKES"):
        assert heading in ran.out


def test_data_and_tables_agree(home: dict[str, str]) -> None:
    data = there("progress", "--json", "--by", "week", environment=home).data
    assert data["bests"] == {
        "single": 8_900,
        "single_day": "2026-03-16",
        "memo": 4_000,
        "mean_of_3": None,
    } | dict.fromkeys(("many", "many_day"))
    assert sum(week["attempts"] for week in data["timeline"]) == 12
    printed = there("progress", "--csv", "timeline", "--by", "week", environment=home).out
    rows = list(csv.DictReader(io.StringIO(printed)))
    assert [row["of"] for row in rows] == [week["of"] for week in data["timeline"]]
    assert [int(row["solved_good"]) for row in rows] == [week["solved"]["good"] for week in data["timeline"]]
    for table in TABLES:
        assert there("progress", "--csv", table, environment=home).code == 0


def test_an_empty_logbook_says_what_fills_it(tmp_path: Path) -> None:
    ran = there("progress", environment={"NIGHTFOLD_HOME": str(tmp_path)})
    assert ran.code == 0
    assert "the logbook is empty yet" in ran.out
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--by", "moon"], "“moon” is no period; say day"),
        (["--csv", "all"], "“all” is no table; say attempts"),
        (["--last", "0"], "0 attempts cannot be drawn"),
        (["--since", "spring"], "“spring” is no day"),
    ],
)
def test_bad_input(arguments: list[str], words: str) -> None:
    complaint(here("progress", *arguments), words)


def test_a_split_there_is_not(home: dict[str, str]) -> None:
    complaint(there("progress", "--split", "colour", environment=home), "cannot be split by “colour”")


def test_chances_begin_afresh_and_every_mistake_stays(home: dict[str, str]) -> None:
    before = there("progress", "--json", environment=home).data
    assert before["learns_from"] is None
    ran = there("progress", "--learn-from", "now", environment=home)
    assert (ran.code, ran.err) == (0, "")
    assert "LEARNS FROM" in ran.out
    assert all(cell_len(line) <= 80 for line in ran.lines)
    after = there("progress", "--json", environment=home).data
    moment = datetime.fromisoformat(after["learns_from"])
    assert abs(datetime.now(UTC) - moment) < timedelta(minutes=10)
    assert after["mistakes"] == before["mistakes"]
    assert there("progress", "--learn-from", "all", "--json", environment=home).data == before
    assert there("progress", "--json", "--solver", "Jory", environment=home).data["learns_from"] is None
    complaint(there("progress", "--learn-from", "soon", environment=home), "“soon” is no time to learn from; say now")
    complaint(there("progress", "--learn-from", "now", "--demo", environment=home), "not those of the demo")


def test_the_demo_comes_and_goes(tmp_path: Path) -> None:
    home = {"NIGHTFOLD_HOME": str(tmp_path)}
    loaded = there("logbook", "demo", environment=home)
    assert loaded.code == 0, loaded.err
    assert "invented records loaded, of Maren, Jory, Ansa" in loaded.out
    shown = there("progress", "--demo", "--solver", "Jory", environment=home)
    assert shown.lines[0].startswith("SOLVED")
    assert "of 64 that ended" in shown.lines[0]
    removed = there("logbook", "demo", "--remove", "--json", environment=home).data
    assert removed["records"] > 1000
    assert removed["solvers"] == []
    assert there("logbook", "demo", "--remove", environment=home).out == "no demo was loaded\n"
