"""The logbook that the server keeps open, where it cannot be written to."""

from __future__ import annotations

from pathlib import Path

import pytest

from nightfold.practice.errors import StoringError
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Word
from nightfold.web.book import book, close_books


def test_a_logbook_that_cannot_be_written_to_is_read_until_it_can(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    close_books()
    monkeypatch.setenv("NIGHTFOLD_HOME", str(tmp_path))
    monkeypatch.delenv("NIGHTFOLD_LOGBOOK", raising=False)
    with Logbook.open(tmp_path / "logbook.db") as made:
        made.put_word(Word(pair="L S", word="lamp"))

    def refuse(*_: object, **__: object) -> Logbook:
        raise StoringError("the disk is full; make room")

    try:
        with monkeypatch.context() as full:
            full.setattr(Logbook, "open", refuse)
            assert [word.word for word in book().words()] == ["lamp"]
            with pytest.raises(StoringError, match="the disk is full; make room"):
                book().put_word(Word(pair="F P", word="ferry"))
        book().put_word(Word(pair="F P", word="ferry"))
        assert [word.word for word in book().words()] == ["ferry", "lamp"]
    finally:
        close_books()
