"""Exports come back without loss, and imports are kept whole, once, or not at all."""

from __future__ import annotations

import csv
import json
import random
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightfold.practice import schema, transfer
from nightfold.practice.checking import check
from nightfold.practice.errors import ImportingError, LogbookError, NewerError, StoringError
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import (
    BY_NOUN,
    KINDS,
    Attempt,
    AttemptCube,
    Fact,
    Mistake,
    Record,
    Series,
    SeriesKind,
    Source,
    Word,
    new_id,
    specs,
)
from nightfold.practice.results import Outcome
from nightfold.practice.transfer import Imported, import_rows, put_back, read_rows, write_file, write_tables
from tests.practice import invented
from tests.practice.strategies import logbooks
from tests.practice.test_logbook import all_records

NOW = datetime(2026, 1, 9, 19, 30, tzinfo=UTC)
HEAD = '{"nightfold": "logbook", "format": 1}\n'
FORMS: dict[str, Callable[..., dict[str, int]]] = {"lines.jsonl": write_file, "tables": write_tables}


def export(book: Logbook, name: str, folder: Path) -> Path:
    path = folder / name
    with book.database.reading() as connection:
        counts = FORMS[name](connection, path)
    assert counts == book.counts()
    return path


def bring(book: Logbook, path: Path, **options: Any) -> Imported:
    return import_rows(book.database, read_rows(path), **options)


def lines(path: Path, *records: dict[str, Any] | str, head: str = HEAD) -> Path:
    told = [record if isinstance(record, str) else json.dumps(record) for record in records]
    path.write_text(head + "".join(line + "\n" for line in told), "utf-8")
    return path


def table(path: Path, *rows: str) -> Path:
    path.write_text("".join(row + "\r\n" for row in rows), "utf-8", newline="")
    return path


# --- round trips ---------------------------------------------------------------------------------------------


@settings(max_examples=20)
@given(written=logbooks(), form=st.sampled_from(list(FORMS)))
def test_any_logbook_comes_back_from_an_export(
    tmp_path_factory: pytest.TempPathFactory, written: list[Record], form: str
) -> None:
    folder = tmp_path_factory.mktemp("round")
    with Logbook.open(folder / "one.db") as one, Logbook.open(folder / "other.db") as other:
        one.add(*written)
        path = export(one, form, folder)
        done = bring(other, path)
        assert all_records(other) == all_records(one) == {record for record in written if record.noun != "fact"}
        assert sum(done.new.values()) == len(written)
        again = bring(other, path)
        assert again.new == {} and sum(again.same.values()) == len(written) + 1  # and the fact who made it
        assert check(other.database).problems == ()


@pytest.mark.parametrize("form", FORMS)
def test_a_logbook_moves_from_one_database_to_another(
    book: Logbook, tmp_path: Path, form: str, postgresql_place: str
) -> None:
    written = list(invented.practice(60, days=30))
    book.add(*written)
    path = export(book, form, tmp_path)
    with Logbook.open(postgresql_place) as other:
        bring(other, path)
        assert all_records(other) == set(written)
        assert check(other.database).sound
        back = export(other, form, (tmp_path / "back"))
    with Logbook.open(tmp_path / "back.db") as third:
        bring(third, back)
        assert all_records(third) == set(written)


def test_an_export_is_as_documented(book: Logbook, tmp_path: Path) -> None:
    attempt = Attempt(started=NOW, scramble="R U F2", note="wind\nand rain", memo={"edges": "FU"}, final=None)
    book.add(attempt, Word(pair="L S", word="lamp", created=NOW, changed=NOW))
    told = export(book, "lines.jsonl", tmp_path).read_text("utf-8").splitlines()
    head = json.loads(told[0])
    assert (head["nightfold"], head["format"], head["tables"]) == ("logbook", 1, schema.HEAD)
    assert head["records"] == {"attempt": 1, "word": 1, "fact": 1}
    assert json.loads(told[1]) == {"record": "attempt", **attempt.to_dict()}
    assert len(told) == 4
    folder = export(book, "tables", tmp_path)
    assert {path.name for path in folder.iterdir()} == {f"{noun}.csv" for noun in BY_NOUN}
    with (folder / "attempt.csv").open(encoding="utf-8", newline="") as file:
        head_row, row = csv.reader(file)
    assert head_row == [spec.name for spec in specs(Attempt)]
    cells = dict(zip(head_row, row, strict=True))
    assert cells["note"] == "wind\nand rain" and cells["memo"] == '{"edges":"FU"}' and cells["demo"] == "no"
    assert cells["final"] == cells["memo_ms"] == "" and cells["started"] == "2026-01-09T19:30:00.000000Z"


def test_an_export_takes_the_place_of_nothing(book: Logbook, tmp_path: Path) -> None:
    (tmp_path / "lines.jsonl").write_text("the work of an evening")
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "mine.txt").write_text("mine")
    for form in FORMS:
        with pytest.raises(StoringError, match="is there already; choose another name"):
            export(book, form, tmp_path)
    assert (tmp_path / "lines.jsonl").read_text() == "the work of an evening"
    assert [path.name for path in (tmp_path / "tables").iterdir()] == ["mine.txt"]
    (tmp_path / "tables" / "mine.txt").unlink()
    assert export(book, "tables", tmp_path).is_dir()  # an empty folder may be taken
    with pytest.raises(StoringError, match="cannot be written"):
        export(book, "lines.jsonl", tmp_path / "tables" / "fact.csv")


def test_an_export_that_breaks_off_leaves_nothing(
    book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.add(*(Attempt(started=NOW) for _ in range(3)))

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    folder = tmp_path / "full"
    for form in FORMS:
        with pytest.raises(StoringError, match="cannot be written: No space left on device"):
            export(book, form, folder)
    assert not any(folder.iterdir())


# --- importing -----------------------------------------------------------------------------------------------


def test_a_dry_run_keeps_nothing(book: Logbook, tmp_path: Path) -> None:
    path = lines(tmp_path / "a.jsonl", {"record": "attempt", "started": "2026-01-09T19:30:00Z"})
    tried = bring(book, path, dry=True)
    assert (tried.new, tried.same, tried.dry) == ({"attempt": 1}, {}, True)
    assert book.attempts() == [] and book.tallies() == []
    assert bring(book, path).new == {"attempt": 1}
    assert bring(book, path, dry=True).same == {"attempt": 1}


def test_rows_without_ids_are_the_same_rows_again(book: Logbook, tmp_path: Path) -> None:
    path = table(
        tmp_path / "attempt.csv",
        "started,outcome,total_ms,note",
        '2026-01-09T19:30:00Z,solved,61230,"windy, cold"',
        "2026-01-09T19:40:00+01:00,dnf,,",
    )
    assert bring(book, path).new == {"attempt": 2}
    assert bring(book, path).same == {"attempt": 2}
    assert [(one.outcome, one.total_ms, one.note) for one in book.attempts()] == [
        ("solved", 61_230, "windy, cold"),
        ("dnf", None, ""),
    ]
    words = table(tmp_path / "mine.csv", "pair,word,kind", "L S,lamp,object", "A B,abbey,place")
    assert import_rows(book.database, read_rows(words, "word")).new == {"word": 2}
    assert [word.word for word in book.words()] == ["abbey", "lamp"]
    with pytest.raises(LogbookError, match=r"may hold anything: say with --kind what its rows are.* pair, word, kind$"):
        bring(book, words)


def test_records_that_are_there_otherwise_are_faults_or_replaced(book: Logbook, tmp_path: Path) -> None:
    mine = Attempt(started=NOW, note="mine")
    book.add(mine)
    path = lines(tmp_path / "a.jsonl", {"record": "attempt", **replace(mine, note="theirs").to_dict()})
    with pytest.raises(
        ImportingError, match=r"line 2: the attempt of 2026-01-09 .* is there already, with other content"
    ):
        bring(book, path)
    assert book.attempts() == [mine]
    assert bring(book, path, replace=True).replaced == {"attempt": 1}
    assert book.attempts() == [replace(mine, note="theirs")]
    assert check(book.database).sound


def test_what_a_logbook_knows_of_itself_stays(book: Logbook, tmp_path: Path) -> None:
    book.set_fact("demo-loaded", "2026-01-09")
    path = lines(tmp_path / "a.jsonl", {"record": "fact", **Fact(name="demo-loaded", value="1999-01-09").to_dict()})
    assert bring(book, path).same == {"fact": 1}
    assert book.fact("demo-loaded") == "2026-01-09"


def test_records_may_refer_to_what_comes_later_or_is_there(book: Logbook, tmp_path: Path) -> None:
    there, coming = Series(kind=SeriesKind.SINGLE, started=NOW), Series(kind=SeriesKind.EVENING, started=NOW)
    attempts = [Attempt(started=NOW, series=series.id) for series in (coming, there)]
    cube = AttemptCube(attempt=attempts[0].id, number=1)
    book.add(there)
    told = [{"record": record.noun, **record.to_dict()} for record in (cube, *attempts, coming)]
    assert bring(book, lines(tmp_path / "a.jsonl", *told)).new == {"series": 1, "attempt": 2, "cube": 1}
    assert book.cubes(attempts[0].id) == [cube]


GOOD = json.dumps({"record": "attempt", "started": "2026-01-09T19:30:00Z"})


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("{", "no JSON"),
        ("[" * 100_000, "no JSON"),
        ("[]", "“record” must be one of solver, series, attempt"),
        ('{"record": "sticker"}', "“record” must be one of"),
        ('{"record": ["attempt"]}', "“record” must be one of"),
        ('{"record": "attempt"}', "attempt: started must be told"),
        ('{"record": "attempt", "started": 5}', "attempt: started must be a time with its zone"),
        ('{"record": "attempt", "started": "2026-01-09T19:30:00"}', "attempt: started must be a time with its zone"),
        (
            '{"record": "attempt", "started": "2026-01-09T19:30:00Z", "memo_ms": 1e400}',
            "memo_ms must be milliseconds, a whole number",
        ),
        ('{"record": "attempt", "started": "2026-01-09T19:30:00Z", "note": "\\ud800"}', "halves of characters"),
        ('{"record": "attempt", "started": "2026-01-09T19:30:00Z", "colour": 1}', "there is no “colour”"),
        (
            '{"record": "attempt", "started": "2026-01-09T19:30Z", "series": "0f0e7e1c-5d0a-4c39-9d3e-1f6f4f1c9a55"}',
            "it refers to the series 0f0e7e1c-5d0a-4c39-9d3e-1f6f4f1c9a55, which is neither there nor in the file",
        ),
        (
            '{"record": "cube", "attempt": "0f0e7e1c-5d0a-4c39-9d3e-1f6f4f1c9a55", "number": 1}',
            "it refers to the attempt 0f0e7e1c-5d0a-4c39-9d3e-1f6f4f1c9a55",
        ),
    ],
)
def test_a_bad_line_is_named_and_nothing_is_imported(book: Logbook, tmp_path: Path, line: str, problem: str) -> None:
    path = lines(tmp_path / "a.jsonl", GOOD, "", line, GOOD)
    with pytest.raises(ImportingError) as refused:
        bring(book, path)
    (told,) = refused.value.problems
    assert told.startswith("line 4: ") and problem in told
    assert book.attempts() == [] and book.tallies() == []


def test_a_line_that_is_no_json_is_named_though_the_first_line_counts(book: Logbook, tmp_path: Path) -> None:
    head = HEAD.replace("1}", '1, "records": {"attempt": 3}}')
    for broken, places in (
        ([GOOD, "{", GOOD], ["line 3: no JSON"]),
        ([GOOD, "{"], ["line 3: no JSON", "line 1: it te"]),
    ):
        with pytest.raises(ImportingError) as refused:
            bring(book, lines(tmp_path / "a.jsonl", *broken, head=head))
        assert [problem[:13] for problem in refused.value.problems] == [place[:13] for place in places]
    with pytest.raises(ImportingError, match="line 1: it tells of 3 records “attempt”, and the file holds 2"):
        bring(book, lines(tmp_path / "a.jsonl", GOOD, GOOD, head=head))


def test_other_ends_of_lines_are_no_other_content(book: Logbook, tmp_path: Path) -> None:
    """As spreadsheets and editors make them of a cell with several lines."""
    book.add(Attempt(started=NOW, note="wind\nand rain"))
    folder = export(book, "tables", tmp_path)
    path = folder / "attempt.csv"
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))
    assert bring(book, folder).same["attempt"] == 1
    path.write_bytes(path.read_bytes().replace(b"wind", b"calm"))
    with pytest.raises(ImportingError, match="is there already, with other content"):
        bring(book, folder)


def test_a_logbook_that_holds_what_cannot_be_comes_back_and_tells_of_it(book: Logbook, tmp_path: Path) -> None:
    book.add(Attempt(started=NOW, outcome=Outcome.SOLVED, scramble="hello", memo_ms=2, total_ms=1))
    path = export(book, "lines.jsonl", tmp_path)
    with Logbook.open(tmp_path / "other.db") as other:
        done = bring(other, path)
        assert done.new["attempt"] == 1 and "line 2: memo_ms: the memo" in done.unusual[0]


def test_an_empty_table_is_refused(book: Logbook, tmp_path: Path) -> None:
    (tmp_path / "attempt.csv").touch()
    for path in (tmp_path / "attempt.csv", tmp_path):
        with pytest.raises(LogbookError, match=r"attempt\.csv” is empty; a table begins with a line"):
            bring(book, path)
    with pytest.raises(LogbookError, match="cannot be read: No such file"):
        bring(book, tmp_path / "gone.csv")


def test_tables_of_other_records_have_any_delimiter_and_encoding(book: Logbook, tmp_path: Path) -> None:
    (tmp_path / "word.csv").write_bytes("pair;word;note\nL S;phare;à l’île\n".encode("cp1252"))
    assert bring(book, tmp_path / "word.csv").new == {"word": 1}
    assert [(word.word, word.note) for word in book.words()] == [("phare", "à l’île")]


def test_faults_are_told_together_and_not_without_end(book: Logbook, tmp_path: Path) -> None:
    path = lines(tmp_path / "a.jsonl", GOOD, *["{"] * 50)
    with pytest.raises(ImportingError) as refused:
        bring(book, path)
    assert len(refused.value.problems) == transfer.MOST_PROBLEMS + 1
    assert refused.value.problems[1].startswith("line 4: ")
    assert refused.value.problems[-1] == "and 30 more like these"
    assert book.attempts() == []


def test_the_same_id_twice_with_different_content_is_a_fault(book: Logbook, tmp_path: Path) -> None:
    ident = new_id()
    told = [{"record": "attempt", "id": ident, "started": "2026-01-09T19:30:00Z", "note": note} for note in ("a", "b")]
    assert bring(book, lines(tmp_path / "a.jsonl", told[0], told[0])).new == {"attempt": 1}
    with pytest.raises(ImportingError, match="line 3"):
        bring(book, lines(tmp_path / "b.jsonl", told[0], told[1]))


@pytest.mark.parametrize(
    ("rows", "problem"),
    [
        (
            ("started,colour",),
            "line 1: no column tells the result; say which with --column result=NAME: “started”, “colour”",
        ),
        (("started,started,outcome",), "line 1: attempt: “started” stands twice"),
        (("started,outcome", "2026-01-09T19:30:00Z"), "line 2: 1 cells; the first line names 2"),
        (("started,outcome", "2026-01-09T19:30:00Z,dnf,b"), "line 2: 3 cells; the first line names 2"),
        (
            ("note,started,outcome", '"two', 'lines",soon,dnf'),
            "line 2: attempt: started must be a day or a time, as in 2026",
        ),
        (("started,outcome,note", "2026-01-09T19:30:00Z,dnf,a", '2026-01-09,dnf,"b'), "line 3: no CSV"),
        (("started,outcome,parity", "2026-01-09,dnf,true"), "line 2: attempt: parity must be yes or no, not “true”"),
        (("started,outcome,memo_ms", "2026-01-09,dnf,1.5"), "line 2: attempt: memo_ms must be milliseconds, a whole"),
        (("started,outcome,memo_ms", f"2026-01-09,dnf,{'9' * 5000}"), "line 2: attempt: memo_ms must be milliseconds"),
        (
            ("started,total_ms", "2026-01-09T19:30:00Z,1:42.45"),
            "line 2: attempt: total_ms must be milliseconds, a whole number as 102450 for 1:42.45; "
            "for times as 1:42.45 call it result, not “1:42.45”",
        ),
        (("started,outcome,memo", "2026-01-09T19:30:00Z,dnf,FU"), "line 2, column “memo”: must be a time, as in 47.05"),
        (("started,outcome", ""), None),
    ],
)
def test_a_bad_row_of_a_table_is_named(
    book: Logbook, tmp_path: Path, rows: tuple[str, ...], problem: str | None
) -> None:
    path = table(tmp_path / "attempt.csv", *rows)
    if problem is None:
        assert bring(book, path).new == {}
        return
    with pytest.raises(ImportingError) as refused:
        bring(book, path)
    assert refused.value.problems[0].startswith(problem)
    assert book.attempts() == []


def test_a_bad_row_in_a_folder_is_named_with_its_file(book: Logbook, tmp_path: Path) -> None:
    book.add(*invented.attempts(3))
    folder = export(book, "tables", tmp_path)
    table(folder / "word.csv", "pair,word", "LS,lamp")
    with pytest.raises(ImportingError, match=r"^word\.csv, line 2: word: pair must be two symbols"):
        bring(book, folder)
    (folder / "stickers.csv").write_text("")
    with pytest.raises(LogbookError, match=r"holds stickers\.csv; known are solver\.csv"):
        bring(book, folder)
    shutil.rmtree(folder)
    folder.mkdir()
    with pytest.raises(LogbookError, match="holds no CSV"):
        bring(book, folder)


@pytest.mark.parametrize("keep", [0.3, 0.9, 0.999])
def test_a_file_that_is_cut_off_is_refused(book: Logbook, tmp_path: Path, keep: float) -> None:
    """Wherever it is cut: in a line, or neatly between two."""
    written = list(invented.attempts(40))
    book.add(*written)
    path = export(book, "lines.jsonl", tmp_path)
    whole = path.read_bytes()
    with Logbook.open(tmp_path / "other.db") as other:
        for end in (int(len(whole) * keep), whole.rindex(b"\n", 0, int(len(whole) * keep)) + 1):
            path.write_bytes(whole[:end])
            with pytest.raises(ImportingError, match="cut off"):
                bring(other, path)
            assert other.attempts() == []


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty"),
        (b"\n", "is no export of a logbook"),
        (b"{}\n", "is no export of a logbook"),
        (b'{"nightfold": "logbook"}\n', "is no export of a logbook"),
        (b'{"nightfold": "logbook", "format": "x"}\n', "is no export of a logbook"),
        (b'{"nightfold": "logbook", "format": 1, "records": 3}\n', "is no export of a logbook"),
        (b"a diary\n", "is no export of a logbook"),
        (HEAD.encode() + b"\xff\xfe\n", "is not text in UTF-8"),
        (b"\x00" * 64, "is no export of a logbook"),
        (b"\xff\xd8\xff\xe0" * 1000, "is not text in UTF-8"),
    ],
)
def test_what_is_no_export_is_refused(book: Logbook, tmp_path: Path, content: bytes, sentence: str) -> None:
    path = tmp_path / "a.jsonl"
    path.write_bytes(content)
    with pytest.raises(LogbookError) as refused:
        bring(book, path)
    assert sentence in str(refused.value)


def test_a_file_of_a_newer_program_is_refused(book: Logbook, tmp_path: Path) -> None:
    for head in ({"format": 2}, {"format": 1, "tables": "0999"}):
        path = lines(tmp_path / "a.jsonl", GOOD, head=json.dumps({"nightfold": "logbook", **head}) + "\n")
        with pytest.raises(NewerError, match="written by a newer Nightfold; nothing was changed"):
            bring(book, path)
    with pytest.raises(LogbookError, match="cannot be read: No such file"):
        bring(book, tmp_path / "nothing.jsonl")


def test_putting_back_takes_the_place_of_everything_or_changes_nothing(book: Logbook, tmp_path: Path) -> None:
    old = list(invented.practice(20, seed=3, days=9))
    book.add(*old)
    path = export(book, "lines.jsonl", tmp_path)
    new = [Attempt(started=NOW), Mistake(found=NOW, source=Source.DRILL, kind="beside")]
    book.add(*new)
    bad = lines(tmp_path / "bad.jsonl", GOOD, "{")
    with pytest.raises(ImportingError, match="line 3"):
        put_back(book.database, read_rows(bad))
    assert all_records(book) == {*old, *new}
    counts = put_back(book.database, read_rows(path))
    assert counts == book.counts() and all_records(book) == set(old)
    assert check(book.database).sound


def test_an_export_is_of_one_moment(book: Logbook) -> None:
    """What others write meanwhile is not in it, so that nothing in it refers to what is not."""
    book.add(*invented.attempts(3))
    out = BytesIO()
    with book.database.reading() as connection:
        first = next(transfer.read_rows.__globals__["find_all"](connection, KINDS[2]))
        assert isinstance(first, Attempt)
        book.add(Attempt(started=NOW))
        counts = transfer.write_lines(connection, out)
    assert counts["attempt"] == 3 and out.getvalue().count(b'"record":"attempt"') == 3


def test_progress_is_told(book: Logbook, tmp_path: Path) -> None:
    book.add(*invented.attempts(4100))
    told: list[int] = []
    with book.database.reading() as connection:
        write_file(connection, tmp_path / "a.jsonl", told.append)
    assert told == [2000, 4000]
    told.clear()
    with Logbook.open(tmp_path / "other.db") as other:
        import_rows(other.database, read_rows(tmp_path / "a.jsonl"), progress=told.append)
    assert told and told == sorted(told) and told[-1] >= 4000


def test_rows_in_any_order_make_the_same_logbook(book: Logbook, tmp_path: Path) -> None:
    written = list(invented.practice(15, seed=5, days=3, per_exercise=2))
    told = [{"record": record.noun, **record.to_dict()} for record in written]
    random.Random(9).shuffle(told)
    bring(book, lines(tmp_path / "a.jsonl", *told))
    assert all_records(book) == set(written)
    assert check(book.database).sound
