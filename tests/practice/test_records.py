"""Records come back from JSON and from CSV as they were, and hold nothing that could not be kept."""

from __future__ import annotations

import csv
import io
import json
import math
import uuid
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given

from nightfold.practice.errors import RecordError
from nightfold.practice.records import (
    BY_NOUN,
    KINDS,
    Attempt,
    AttemptCube,
    Card,
    Mistake,
    Record,
    Review,
    Route,
    Series,
    SeriesKind,
    Solver,
    Source,
    Word,
    counted,
    new_id,
    specs,
)
from nightfold.practice.results import Outcome
from tests.practice.strategies import any_record

NOW = datetime(2026, 1, 9, 19, 30, tzinfo=UTC)


@given(any_record)
def test_records_come_back_from_json(record: Record) -> None:
    text = json.dumps(record.to_dict())
    assert type(record).from_dict(json.loads(text)) == record


@given(any_record)
def test_records_come_back_from_csv(record: Record) -> None:
    file = io.StringIO(newline="")
    names = [spec.name for spec in specs(type(record))]
    csv.writer(file).writerows([names, record.to_cells()])
    file.seek(0)
    head, cells = csv.reader(file, strict=True)
    assert type(record).from_cells(dict(zip(head, cells, strict=True))) == record


@given(any_record)
def test_no_cell_can_be_taken_for_a_formula(record: Record) -> None:
    for spec, cell in zip(specs(type(record)), record.to_cells(), strict=True):
        if isinstance(getattr(record, spec.name), str):
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(any_record)
def test_records_can_be_compared_and_put_into_sets(record: Record) -> None:
    again = type(record).from_dict(record.to_dict())
    assert again is not record and len({record, again}) == 1


@pytest.mark.parametrize(
    ("kind", "fields", "sentence"),
    [
        (Attempt, {"started": datetime(2026, 1, 9)}, "started must be a time with its zone"),
        (Attempt, {"started": "soon"}, "started must be a time with its zone"),
        (Attempt, {"memo_ms": -1}, "memo_ms must be a whole number from 0 to 10000000000, not “-1”"),
        (Attempt, {"memo_ms": 1.5}, "memo_ms must be a whole number"),
        (Attempt, {"memo_ms": True}, "memo_ms must be a whole number"),
        (Attempt, {"memo_ms": 2**63}, "memo_ms must be a whole number"),
        (Attempt, {"outcome": "won"}, "outcome must be one of solved, plus2, dnf, dns, unfinished, not “won”"),
        (Attempt, {"outcome": None}, "outcome must be one of"),
        (Attempt, {"note": "a\x00b"}, "note must be a text without null characters"),
        (Attempt, {"note": "\ud800"}, "note must be a text without null characters and halves of characters"),
        (Attempt, {"note": "x" * 200_001}, "note must be a text of at most 200,000 characters"),
        (Attempt, {"event": "333bf\n"}, "event must be a text on one line"),
        (Attempt, {"event": 333}, "event must be a text"),
        (Attempt, {"id": "first"}, "id must be a UUID"),
        (Attempt, {"series": "first"}, "series must be a UUID"),
        (Attempt, {"day": "yesterday"}, "day must be a day, as in 2025-01-31"),
        (Attempt, {"memo": ["edges"]}, "memo must be data by name"),
        (Attempt, {"memo": {1: "FU"}}, "memo must be data by name"),
        (Attempt, {"memo": {"edges": {2: 3}}}, "memo must be data by name"),
        (Attempt, {"memo": {"edges": math.inf}}, "memo must be data by name"),
        (Attempt, {"memo": {"edges": "\udfff"}}, "memo must be data by name"),
        (Attempt, {"parity": 1}, "parity must be true or false"),
        (Attempt, {"edge_letters": 10**7}, "edge_letters must be a whole number from 0 to 1000000"),
        (Attempt, {"number": 0}, "number must be a whole number from 1 to 1000000"),
        (Review, {"rating": 5}, "rating must be a whole number from 1 to 4"),
        (Review, {"share": 1.01}, "share must be a number from 0 to 1"),
        (Review, {"share": math.nan}, "share must be a number from 0 to 1"),
        (Card, {"stability": math.inf}, "stability must be a number"),
        (Card, {"id": str(uuid.uuid4())}, "the id is not that of its solver and exercise and subject; leave it out"),
        (Word, {"pair": "LS"}, "pair must be two symbols with a space between them, as in L S"),
        (Word, {"pair": "L S X"}, "pair must be two symbols"),
        (Route, {"loci": "door"}, "loci must be a list of texts"),
        (Route, {"loci": ["door", 7]}, "loci must be a list of texts"),
    ],
)
def test_what_cannot_be_kept_is_refused(kind: type[Record], fields: dict[str, Any], sentence: str) -> None:
    usual: dict[type[Record], dict[str, Any]] = {
        Attempt: {"started": NOW},
        Review: {"card": new_id(), "exercise": "setup", "answered": NOW, "rating": 3, "right": True},
        Card: {"exercise": "setup", "subject": "edges/LB", "due": NOW},
        Word: {"pair": "L S", "word": "lighthouse"},
        Route: {"name": "home"},
    }
    made = kind(**usual[kind])
    with pytest.raises(RecordError) as refused:
        kind(**{**usual[kind], **fields})
    assert sentence in str(refused.value)
    assert str(refused.value).startswith(f"{kind.noun}: ")
    written = {name: value for name, value in fields.items() if name != "started"}
    if written and all(isinstance(value, str | int | float | list | dict) for value in written.values()):
        with pytest.raises(RecordError) as refused:
            kind.from_dict({**made.to_dict(), **written})
        assert sentence in str(refused.value)


def test_what_is_not_told_or_not_known_is_named() -> None:
    with pytest.raises(RecordError, match=r"attempt: started must be told"):
        Attempt.from_dict({})
    with pytest.raises(RecordError, match=r"review: card and exercise and answered and rating and right must be told"):
        Review.from_dict({"solver": "Jory"})
    with pytest.raises(RecordError, match=r"attempt: there is no “colour”; there are id, solver, series"):
        Attempt.from_dict({"started": "2026-01-09T19:30:00Z", "colour": "red"})


def test_times_are_kept_in_universal_time_and_days_where_the_solver_is() -> None:
    late = datetime(2026, 1, 10, 0, 30, tzinfo=timezone(timedelta(hours=5)))
    made = Attempt(started=late)
    assert made.started == late and made.started.tzinfo is UTC
    assert made.to_dict()["started"] == "2026-01-09T19:30:00.000000Z"
    assert made.day == late.astimezone().date().isoformat()
    assert Attempt(started=late, day="2026-01-10").day == "2026-01-10"
    assert Attempt.from_dict({"started": "2026-01-10T00:30:00+05:00"}).started == late


def test_ids_of_records_that_are_the_only_ones_follow_from_what_they_are_of() -> None:
    assert (
        Card(exercise="setup", subject="edges/LB", due=NOW).id == Card(exercise="setup", subject="edges/LB", due=NOW).id
    )
    others = [
        Card(exercise="setup", subject="edges/LB", due=NOW, solver="Jory"),
        Card(exercise="setup", subject="edges/BL", due=NOW),
        Word(pair="L S", word="lighthouse"),
        Word(pair="L S", word="lobster"),
        Word(pair="S L", word="lobster"),
        Word(pair="S L", word="lobster", language="fr"),
        Solver(name="setup"),
        AttemptCube(attempt=new_id(), number=1),
        AttemptCube(attempt=new_id(), number=1),
    ]
    assert len({record.id for record in others}) == len(others)
    assert Word(pair="L S", word="lighthouse", strength=1.0).id == others[2].id
    assert Word(pair=" L   S ", word="lighthouse").id == others[2].id
    assert Word(pair="L S", word="lighthouse").symbols == ("L", "S")


def test_ids_are_written_in_one_way() -> None:
    ident = uuid.uuid4()
    for text in (str(ident), str(ident).upper(), ident.hex, f"{{{ident}}}"):
        assert Attempt(id=text, started=NOW).id == str(ident)


def test_a_record_does_not_change_with_what_it_was_made_of() -> None:
    memo: dict[str, Any] = {"edges": ["F", "U"]}
    made = Attempt(started=NOW, memo=memo)
    memo["edges"].append("P")
    assert made.memo == {"edges": ["F", "U"]}


def test_every_kind_comes_after_those_it_refers_to() -> None:
    for at, kind in enumerate(KINDS):
        for name, noun in kind.refers.items():
            assert BY_NOUN[noun] in KINDS[:at]
            assert name in {spec.name for spec in specs(kind)}


def test_numbers_of_records_in_words() -> None:
    assert counted({}) == counted({"attempt": 0, "fact": 3}) == "nothing"
    assert counted({"series": 1, "attempt": 12_000, "word": 1, "mistake": 0}) == "1 series, 12,000 attempts, 1 word"
    assert counted({"series": 2, "card": 3}) == "2 series, 3 cards"


def test_words_of_enumerations_are_taken_as_texts() -> None:
    made = Series(kind="mean-of-3", started=NOW)  # type: ignore[arg-type]
    assert made.kind is SeriesKind.MEAN_OF_3
    assert Attempt(started=NOW, outcome="dnf").outcome is Outcome.DNF  # type: ignore[arg-type]
    assert Mistake(found=NOW, source="drill", kind="beside").source is Source.DRILL  # type: ignore[arg-type]
