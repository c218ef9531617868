"""Tables of results as people keep them are understood, or refused with what would be right."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from nightfold.practice.errors import ImportingError, LogbookError
from nightfold.practice.logbook import Logbook
from nightfold.practice.records import Attempt
from nightfold.practice.results import Outcome, result_of
from nightfold.practice.sheets import Asked, decode
from nightfold.practice.transfer import Imported, import_rows, open_source


@pytest.fixture
def own(home: Path) -> Any:
    """An empty logbook in a file."""
    with Logbook.open(home / "logbook.db", backups=False) as book:
        yield book


def bring(book: Logbook, data: str | bytes, asked: Asked | None = None, name: str = "evenings.csv") -> Imported:
    path = (book.database.path or Path()).with_name(name)
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return import_rows(book.database, open_source(path, None, asked).rows)


def attempts(book: Logbook) -> list[Attempt]:
    return book.attempts(solver=None, most=None)[::-1]


def one(book: Logbook, cell: str, column: str = "Result") -> Attempt:
    """The attempt that a single cell makes."""
    bring(book, f"Date\t{column}\n2026-01-09\t{cell}\n")
    (found,) = attempts(book)
    return found


# --- cells ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "outcome", "ms"),
    [
        ("1:42.45", Outcome.SOLVED, 102_450),
        ("102.45", Outcome.SOLVED, 102_450),
        ("1:42,45", Outcome.SOLVED, 102_450),
        ("102.45 s", Outcome.SOLVED, 102_450),
        ("102.4567", Outcome.SOLVED, 102_456),
        ("12:04", Outcome.SOLVED, 724_000),
        ("1:00:00", Outcome.SOLVED, 3_600_000),
        ("1:42.45+", Outcome.PLUS2, 100_450),
        ("1:42.45 + 2", Outcome.PLUS2, 102_450),
        ("DNF", Outcome.DNF, None),
        ("dnf (1:42.45)", Outcome.DNF, 102_450),
        ("DNS", Outcome.DNS, None),
    ],
)
def test_results_are_read_as_people_write_them(own: Logbook, cell: str, outcome: Outcome, ms: int | None) -> None:
    found = one(own, cell)
    assert (found.outcome, found.total_ms) == (outcome, ms)
    if cell == "1:42.45+":  # what was written is what counts
        assert result_of(found.outcome, found.total_ms) == 10_245


@pytest.mark.parametrize(
    ("cell", "problem"),
    [
        ("abc", "must be a time, as in 47.05 or 1:42.45, DNF, DNS, or 1:42.45+, not “abc”"),
        ("1:75.00", "must be a time"),
        ("-3", "must be a time"),
        ("1.5+", "must be a time"),
        ("0", "a time of 0 is none; leave it out"),
        ("102450", "must be less than ten hours; if it is in milliseconds, say --column total_ms=“Result”"),
        ("3/4", "must be solved cubes, all cubes and the time, as in 3/4 32:10, not “3/4”"),
        ("5/4 10:00", "must be solved cubes of 2 to 500"),
        ("1/1 10:00", "must be solved cubes of 2 to 500"),
    ],
)
def test_a_result_that_is_none_is_named_with_line_and_column(own: Logbook, cell: str, problem: str) -> None:
    with pytest.raises(ImportingError) as told:
        bring(own, f"Date\tResult\n2026-01-08\t59.00\n2026-01-09\t{cell}\n")
    (said,) = told.value.problems
    assert said.startswith(f"line 3, column “Result”: {problem}")
    assert attempts(own) == []  # all or none


@pytest.mark.parametrize(
    ("cell", "moment"),
    [
        ("2026-01-09", "2026-01-09T12:00:00"),
        ("2026-01-09 19:30", "2026-01-09T19:30:00"),
        ("2026-01-09T19:30:05", "2026-01-09T19:30:05"),
        ("2026/1/9", "2026-01-09T12:00:00"),
        ("09.01.2026", "2026-01-09T12:00:00"),
        ("9.1.26 19:30", "2026-01-09T19:30:00"),
        ("13/1/2026", "2026-01-13T12:00:00"),
        ("1/13/2026 7:30 PM", "2026-01-13T19:30:00"),
        ("9 January 2026", "2026-01-09T12:00:00"),
        ("Jan 9, 2026", "2026-01-09T12:00:00"),
        ("9/9/2026", "2026-09-09T12:00:00"),
    ],
)
def test_dates_are_read_as_people_write_them(own: Logbook, cell: str, moment: str) -> None:
    bring(own, f"Date\tResult\n{cell}\t59.00\n")
    (found,) = attempts(own)
    assert found.started == datetime.fromisoformat(moment).astimezone()
    assert found.day == moment[:10]


def test_a_zone_that_is_told_counts(own: Logbook) -> None:
    bring(own, "Started,Result\n2026-01-09T19:30:00+05:00,59.00\n")
    assert attempts(own)[0].started == datetime.fromisoformat("2026-01-09T14:30:00+00:00")


def test_a_date_that_may_be_two_is_asked_for_unless_the_file_tells(own: Logbook) -> None:
    rows = "Date,Result\n9/1/2026,59.00\n"
    with pytest.raises(ImportingError, match=r"line 1: “9/1/2026” may have the day or the month first.* --dates day-"):
        bring(own, rows)
    bring(own, rows, Asked(dates="month-first"))
    assert [found.day for found in attempts(own)] == ["2026-09-01"]
    bring(own, rows + "31/1/2026,58.00\n")
    assert [found.day for found in attempts(own)] == ["2026-01-09", "2026-01-31", "2026-09-01"]


@pytest.mark.parametrize("cell", ["soon", "2026-02-30", "31.4.2026", "2026-01-09 25:00", ""])
def test_a_day_that_is_none_is_named(own: Logbook, cell: str) -> None:
    with pytest.raises(ImportingError, match="line 2, column “Date”: must be a day or a time, as in 2026-01-09 or"):
        bring(own, f"Date,Result\n{cell},59.00\n")


# --- tables --------------------------------------------------------------------------------------------------

ROWS = (
    ("Date", "Time", "Result", "Memo", "Penalty", "Scramble", "Event", "Name", "Comment"),
    ("09.01.2026", "19:30", "1:42.45", "0:41.2", "", "R U F2", "3x3 blindfolded", "Jory", "café, windy"),
    ("09.01.2026", "19:41", "DNF", "", "", "R U F2", "3BLD", "Jory", "”deux arêtes”"),
    ("10.01.2026", "20:00", "1:50.99", "", "+2", "", "4x4x4 blind", "Ansa", ""),
)


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_delimiter_and_the_encoding_do_not_matter(own: Logbook, sign: str, encoding: str, ends: str) -> None:
    text = ends.join(sign.join(f'"{cell}"' if sign in cell else cell for cell in row) for row in ROWS) + ends
    bring(own, text.encode(encoding))
    assert [
        (f.day, f.outcome, f.total_ms, f.memo_ms, f.scramble, f.event, f.solver, f.note) for f in attempts(own)
    ] == [
        ("2026-01-09", "solved", 102_450, 41_200, "R U F2", "333bf", "Jory", "café, windy"),
        ("2026-01-09", "dnf", None, None, "R U F2", "333bf", "Jory", "”deux arêtes”"),
        ("2026-01-10", "plus2", 110_990, None, "", "444bf", "Ansa", ""),
    ]
    assert attempts(own)[0].started == datetime(2026, 1, 9, 19, 30).astimezone()
    again = bring(own, text.encode(encoding), name="the same otherwise.csv")
    assert again.new == {} and again.same == {"attempt": 3}


def test_what_is_no_text_is_no_table(own: Logbook) -> None:
    assert decode(b"\xff\xd8\xff\xe0\x00\x10JFIF" * 100) is None
    for data, sentence in ((b"\x89PNG\r\n\x1a\n\x00" * 9, "is no text, so it is no table"), (b" \n", "is empty")):
        with pytest.raises(LogbookError, match=sentence):
            bring(own, data)
    with pytest.raises(LogbookError, match="may hold anything: say with --kind what its rows are"):
        bring(own, "boat,harbour\nGull,Fennel Point\n")


def test_how_a_table_was_understood_is_told(own: Logbook, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"No.;Date;Time;Result\n1;9.1.2026;19:30;59,00+\n")
    source = open_source(path)
    assert source.left == ("No.",)
    assert source.told == (
        "read as semicolons, UTF-8",
        "“Date” is when it began, the day before the month",
        "“Time” is the time of day when it began",
        "“Result” is the result",
        "the event is 333bf, since no column tells it",
        "a + behind a result: its two seconds are in it already",
        "times without a zone are those of this machine",
    )


def test_columns_of_any_names_can_be_told(own: Logbook) -> None:
    rows = "Tag,Zeit,Bemerkung\n2026-01-09,102450,Wind\n"
    asked = Asked({"started": "tag", "total_ms": "Zeit", "note": "Bemerkung"}, {"solver": "Jory"})
    bring(own, rows, asked)
    (found,) = attempts(own)
    assert (found.total_ms, found.note, found.solver, found.outcome) == (102_450, "Wind", "Jory", "solved")
    for wrong, sentence in (
        (Asked({"result": "Time"}), "“Time” is no column; the columns are “Tag”, “Zeit”"),
        (Asked({"sticker": "Zeit"}), "“sticker” is nothing that a column can tell; say one of started, clock, result"),
        (Asked({"result": "Zeit"}), "no column tells the day; say --column started=NAME, or --value started="),
        (Asked({"started": "Tag"}), "no column tells the result"),
    ):
        with pytest.raises(ImportingError) as told:
            bring(own, rows, wrong)
        assert sentence in told.value.problems[0]
    with pytest.raises(ImportingError, match="line 2, column “Zeit”: must be milliseconds, a whole number as 102450"):
        bring(own, rows.replace("102450", "1:42.45"), asked)


def test_two_columns_that_may_be_the_same_are_asked_for(own: Logbook) -> None:
    rows = "Date,Time,Result\n2026-01-09,59.00,58.00\n"
    with pytest.raises(ImportingError, match="“Time” and “Result” may each be the result; say which, as in --column"):
        bring(own, rows)
    bring(own, rows, Asked({"result": "Result"}))
    assert attempts(own)[0].total_ms == 58_000


def test_a_time_that_may_be_the_result_or_the_time_of_day_is_asked_for(own: Logbook) -> None:
    rows = "Date,Time,Penalty\n2026-01-09,19:30,DNF\n"
    with pytest.raises(ImportingError, match="“Time” may be the result or the time of day when it began; say --column"):
        bring(own, rows)
    bring(own, rows, Asked({"clock": "Time"}))
    bring(own, rows.replace("DNF", ""), Asked({"result": "Time"}))
    assert [(found.outcome, found.total_ms) for found in attempts(own)] == [("solved", 1_170_000), ("dnf", None)]
    with pytest.raises(ImportingError) as told:
        bring(own, "Result\n59.00\n58.00\n")
    assert [said[:41] for said in told.value.problems] == ["line 1: no column tells the day; say --co"]


def test_rows_of_a_day_keep_their_order_and_stay_the_same_when_the_file_grows(own: Logbook) -> None:
    """The newest may stand first or last."""
    oldest_first = ["2026-01-09,59.00", "2026-01-09,58.00", "2026-01-10,57.00"]
    bring(own, "\n".join(["Date,Result", *oldest_first]))
    assert [found.total_ms for found in attempts(own)] == [59_000, 58_000, 57_000]
    grown = bring(own, "\n".join(["Date,Result", *oldest_first, "2026-01-10,56.00"]))
    assert (grown.new, grown.same) == ({"attempt": 1}, {"attempt": 3})
    newest_first = bring(own, "\n".join(["Date,Result", "2026-01-10,56.00", *oldest_first[::-1]]))
    assert newest_first.new == {} and newest_first.same == {"attempt": 4}


def test_rows_that_are_alike_are_two(own: Logbook) -> None:
    rows = "started,outcome\n2026-01-09T19:30:00Z,dnf\n2026-01-09T19:30:00Z,dnf\n"
    assert bring(own, rows).new == {"attempt": 2}
    assert bring(own, rows).same == {"attempt": 2}


@pytest.mark.parametrize(("cell", "outcome", "solved"), [("3/4 32:10", "solved", 3), ("1/3 in 20:00", "dnf", 1)])
def test_many_cubes_have_their_score(own: Logbook, cell: str, outcome: str, solved: int) -> None:
    found = one(own, cell)
    cubes = own.cubes(found.id)
    assert (found.event, found.outcome) == ("333mbf", outcome)
    assert [cube.outcome for cube in cubes].count(Outcome.SOLVED) == solved and len(cubes) == int(cell[2])


def test_memo_and_execution_make_the_whole(own: Logbook) -> None:
    bring(own, "Date,Memo,Execution\n2026-01-09,0:41.20,1:01.25\n")
    assert (attempts(own)[0].memo_ms, attempts(own)[0].total_ms) == (41_200, 102_450)


# --- sense ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("2026-01-09,1:42.45,2:00,,", "column “Memo”: the memo, 2:00.00, is longer than the whole, 1:42.45"),
        ("2026-01-09,1:42.45,,hello world,", "column “Scramble”: “h” at column 1: no turn has this name"),
        ("2026-01-09,DNF,,,abc", "column “Final”: this net has 3 stickers"),
        ("0001-01-09,59.00,,,", "column “Date”: the year 1"),
        ("2026-01-09,,,,", "column “Result”: must be a time, DNF or DNS, and is empty"),
    ],
)
def test_what_cannot_be_is_refused(own: Logbook, row: str, problem: str) -> None:
    with pytest.raises(ImportingError) as told:
        bring(own, f"Date,Result,Memo,Scramble,Final\n{row}\n")
    assert told.value.problems[0].startswith(f"line 2, {problem}")


@pytest.mark.parametrize(
    ("told", "problem"),
    [
        ('"outcome": "solved"', "attempt: total_ms: a solved attempt needs its time"),
        ('"outcome": "solved", "total_ms": 0', "attempt: total_ms: a time of 0 is none"),
        ('"outcome": "dnf", "scramble": "hello"', "attempt: scramble: “h” at column 1"),
        ('"outcome": "solved", "total_ms": 5, "memo_ms": 6', "attempt: memo_ms: the memo"),
    ],
)
def test_what_cannot_be_is_refused_in_lines_too(own: Logbook, told: str, problem: str) -> None:
    head = '{"nightfold": "logbook", "format": 1}\n'
    with pytest.raises(ImportingError, match="line 2: ") as refused:
        bring(own, head + f'{{"record": "attempt", "started": "2026-01-09T19:30:00Z", {told}}}\n', name="a.jsonl")
    assert problem in refused.value.problems[0]


def test_what_is_unusual_is_told_and_taken(own: Logbook) -> None:
    done = bring(own, "Date,Result,Event,Method\n2026-01-09,59.00,chess,foo\n2026-01-10,58.00,chess,two-swap\n")
    assert done.new == {"attempt": 2}
    chess, foo = done.unusual
    assert chess.startswith("line 2: event “chess” is none of the blind events") and chess.endswith("(and in 1 more)")
    assert foo.startswith("line 2: method “foo” is none that Nightfold knows") and "more" not in foo
