"""The logbook: writing, exporting and importing."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from tests.practice import invented

from benchmarks.harness import report, seconds
from nightfold.practice.backup import ASKED, make_backup
from nightfold.practice.logbook import Logbook
from nightfold.practice.transfer import import_rows, read_rows, write_file, write_tables

MANY = 100_000


def run() -> None:
    """Write attempts one by one, export many, import them from both forms, and back them up."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with Logbook.open(folder / "one.db") as book:
            more = invented.attempts(MANY)
            report("one attempt kept for good", f"{seconds(lambda: book.add_attempt(next(more)), 101) * 1e3:.2f} ms")
        invented_attempts = list(invented.attempts(MANY))
        with Logbook.open(folder / "many.db") as book:
            book.add(*invented_attempts)
            for form, write, path in (("lines", write_file, "many.jsonl"), ("tables", write_tables, "many")):
                begun = time.perf_counter()
                with book.database.reading() as connection:
                    write(connection, folder / path)
                report(f"exporting {MANY:,} attempts as {form}", f"{time.perf_counter() - begun:.1f} s")
            begun = time.perf_counter()
            make_backup(book.database, ASKED)
            report(f"backing {MANY:,} attempts up, and reading back", f"{time.perf_counter() - begun:.1f} s")
            report("opening it", f"{seconds(lambda: Logbook.open(folder / 'many.db').close()) * 1e3:.1f} ms")
        for form, path in (("lines", "many.jsonl"), ("tables", "many")):
            with Logbook.open(folder / f"{form}.db") as other:
                begun = time.perf_counter()
                done = import_rows(other.database, read_rows(folder / path))
                taken = time.perf_counter() - begun
                assert done.new["attempt"] == MANY
                report(f"importing {MANY:,} attempts from {form}", f"{taken:.1f} s", aim="30 s")
                begun = time.perf_counter()
                import_rows(other.database, read_rows(folder / path))
                report("  the same once more, which changes nothing", f"{time.perf_counter() - begun:.1f} s")
