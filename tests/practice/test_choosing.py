"""Attempts by what a person calls them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nightfold.practice.attempts import begun, begun_many
from nightfold.practice.choosing import choose_attempt, choose_cube, name_of
from nightfold.practice.errors import LogbookError
from nightfold.practice.logbook import Logbook

THEN = datetime(2026, 3, 5, 12, tzinfo=UTC)


def test_an_attempt_is_found_by_its_day_its_number_and_its_id(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        with pytest.raises(LogbookError, match="there is no attempt in the logbook yet"):
            choose_attempt(book, "last")
        mine = [begun(None, "R", started=THEN + timedelta(minutes=at)) for at in range(3)]
        newest = begun(None, "R", started=THEN + timedelta(days=1))
        hers = begun(None, "U", started=THEN, solver="Ansa")
        invented = begun(None, "F", started=THEN + timedelta(days=2), demo=True)
        book.add(*mine, newest, hers, invented)
        day = mine[0].day
        found = {
            "last": newest,
            day: mine[2],
            f"{day}/1": mine[0],
            f"{day}/2": mine[1],
            newest.day: newest,
            hers.id: hers,
        }
        for called, attempt in found.items():
            assert choose_attempt(book, called) == attempt
        assert choose_attempt(book, "last", "Ansa") == hers
        assert (name_of(book, newest), name_of(book, mine[0]), name_of(book, hers)) == ("last", mine[0].id, "last")
        for called, said in (
            ("lamp", "there is no attempt “lamp”"),
            ("2020-01-01", "there is no attempt on 2020-01-01"),
            (f"{day}/4", "numbered 1 to 3; there is no 4"),
            (f"{day}/0", "numbered 1 to 3"),
            (f"{day}/", "numbered 1 to 3"),
            ("0001-01-01", "“0001-01-01”"),
        ):
            with pytest.raises(LogbookError, match=said):
                choose_attempt(book, called)
        with pytest.raises(LogbookError, match="no attempt of Jory’s"):
            choose_attempt(book, "last", "Jory")


def test_one_of_many_cubes_is_chosen(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.db", backups=False) as book:
        one = begun(None, "R", started=THEN)
        many, cubes = begun_many(["R", "U"], started=THEN)
        book.add(one, many, *cubes)
        assert choose_cube(book, many, 2) == cubes[1]
        assert choose_cube(book, one, None) is None
        for attempt, number, said in ((one, 1, "at one cube"), (many, None, "1 to 2"), (many, 3, "1 to 2")):
            with pytest.raises(LogbookError, match=said):
                choose_cube(book, attempt, number)
