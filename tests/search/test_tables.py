"""Tables in the cache folder: kept whole, never taken damaged, and done without where nothing can be written."""

from __future__ import annotations

import errno
import os
import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from nightfold.cube.state import Cube
from nightfold.search import pocket, tables
from nightfold.search.native import core
from nightfold.search.tables import cache_folder, load_tables

CONTENT = random.Random(64).randbytes(5000)
HEAD = 64


class Builder:
    """Builds the same bytes each time and counts how often."""

    def __init__(self, content: bytes = CONTENT) -> None:
        self.content = content
        self.built = 0

    def __call__(self) -> bytes:
        self.built += 1
        return self.content


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("NIGHTFOLD_CACHE", str(tmp_path / "of" / "tables"))
    monkeypatch.setattr(tables, "_told", set())
    return tmp_path / "of" / "tables"


def load(build: Callable[[], bytes], made_from: bytes = b"lamp") -> bytes:
    return bytes(memoryview(load_tables("lighthouse", made_from, build)))


def test_tables_are_built_once(folder: Path) -> None:
    build = Builder()
    assert [load(build) for _ in range(3)] == [CONTENT] * 3
    assert build.built == 1
    assert [path.name for path in folder.iterdir()] == ["lighthouse.tables"]
    assert (folder / "lighthouse.tables").stat().st_size == HEAD + len(CONTENT)


def test_the_folder_is_the_user_s_unless_another_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NIGHTFOLD_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path
    for value in (None, ""):
        if value is None:
            monkeypatch.delenv("NIGHTFOLD_CACHE")
        else:
            monkeypatch.setenv("NIGHTFOLD_CACHE", value)
        assert cache_folder().is_absolute()
        assert "nightfold" in str(cache_folder())
    if sys.platform == "linux":
        monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
        assert cache_folder() == tmp_path / "caches" / "nightfold"


@pytest.mark.parametrize("at", [*range(HEAD), HEAD, HEAD + 1, HEAD + 2500, HEAD + 4990, HEAD + 4999])
def test_a_damaged_byte_is_noticed(folder: Path, at: int) -> None:
    build = Builder()
    load(build)
    path = folder / "lighthouse.tables"
    data = bytearray(path.read_bytes())
    data[at] ^= 0x10
    path.write_bytes(data)
    assert load(build) == CONTENT
    assert build.built == 2
    assert load(build) == CONTENT
    assert build.built == 2


def test_every_single_bit_counts_in_the_checksum() -> None:
    data = random.Random(65).randbytes(133)
    sums = {core.checksum(data)}
    for at in range(len(data)):
        for bit in range(8):
            other = bytearray(data)
            other[at] ^= 1 << bit
            sums.add(core.checksum(other))
    assert len(sums) == 1 + 8 * len(data)
    assert len({core.checksum(bytes(count)) for count in range(200)}) == 200


@pytest.mark.parametrize("length", [0, 1, HEAD - 1, HEAD, HEAD + 1, HEAD + 4999, HEAD + 5001])
def test_a_file_of_another_length_is_not_taken(folder: Path, length: int) -> None:
    build = Builder()
    load(build)
    path = folder / "lighthouse.tables"
    path.write_bytes((path.read_bytes() + b"\0")[:length])
    assert load(build) == CONTENT
    assert build.built == 2
    assert path.stat().st_size == HEAD + len(CONTENT)


def test_another_format_is_not_taken(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build = Builder()
    load(build)
    monkeypatch.setattr(tables, "FORMAT", tables.FORMAT + 1)
    newer = Builder(b"laid out otherwise")
    assert load(newer) == b"laid out otherwise"
    assert load(newer) == b"laid out otherwise"
    assert newer.built == 1


def test_tables_of_another_name_or_made_from_something_else_are_not_taken(folder: Path) -> None:
    build = Builder()
    load(build)
    other = Builder(b"of another lamp")
    assert load(other, b"another lamp") == b"of another lamp"
    (folder / "beacon.tables").write_bytes((folder / "lighthouse.tables").read_bytes())
    assert bytes(memoryview(load_tables("beacon", b"another lamp", build))) == CONTENT
    assert (build.built, other.built) == (2, 1)


def warnings_in(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [record.getMessage() for record in caplog.records if record.name == "nightfold"]


def test_a_folder_that_cannot_be_made_is_done_without(folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    folder.parent.write_text("a file where a folder should be")
    build = Builder()
    assert [load(build) for _ in range(3)] == [CONTENT] * 3
    assert build.built == 3
    (said,) = warnings_in(caplog)
    assert str(folder) in said
    assert "NIGHTFOLD_CACHE" in said


@pytest.mark.parametrize("call", ["replace", "fsync"])
def test_a_full_disk_is_done_without(
    folder: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:
        patched.setattr(os, call, full)
        build = Builder()
        assert [load(build) for _ in range(2)] == [CONTENT] * 2
        assert build.built == 2
        assert list(folder.iterdir()) == []
    (said,) = warnings_in(caplog)
    assert os.strerror(errno.ENOSPC) in said
    load(build)
    load(build)
    assert build.built == 3


def test_the_warning_is_one_sentence_on_standard_error(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    script = "from nightfold.search.pocket import load_solver; load_solver(); load_solver()"
    run = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "NIGHTFOLD_CACHE": str(tmp_path / "file" / "folder")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout == ""
    assert len(run.stderr.splitlines()) == 1
    assert run.stderr.startswith("tables cannot be kept in ")


def test_a_file_that_cannot_be_read_is_built_anew(folder: Path) -> None:
    (folder / "lighthouse.tables").mkdir(parents=True)
    build = Builder()
    assert load(build) == CONTENT


def test_an_interrupted_write_leaves_the_old_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    load(Builder())
    before = (folder / "lighthouse.tables").read_bytes()

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            load(Builder(b"new"), b"new")
    assert [path.name for path in folder.iterdir()] == ["lighthouse.tables"]
    assert (folder / "lighthouse.tables").read_bytes() == before


def test_leftovers_of_killed_processes_are_swept_away(folder: Path) -> None:
    folder.mkdir(parents=True)
    old, young = folder / ".lighthouse.tables.1-1.part", folder / ".lighthouse.tables.2-2.part"
    other = folder / ".beacon.tables.1-1.part"
    for path in (old, young, other):
        path.write_bytes(b"half")
    long_ago = time.time() - 3 * 24 * 3600
    for path in (old, other):
        os.utime(path, (long_ago, long_ago))
    load(Builder())
    assert not old.exists()
    assert young.exists()
    assert other.exists()


def test_processes_that_start_together_do_not_disturb_one_another(folder: Path) -> None:
    script = (
        "from nightfold.cube.state import Cube; from nightfold.search import pocket; "
        'print(len(pocket.solve(Cube.from_turns("R U\' F2 R2 U", 2))))'
    )
    together = [subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True) for _ in range(4)]
    assert [process.communicate()[0].strip() for process in together] == ["5"] * 4
    assert [process.returncode for process in together] == [0] * 4
    assert [path.name for path in folder.iterdir()] == ["pocket.tables"]


def test_real_tables_that_are_damaged_are_built_anew(folder: Path) -> None:
    pocket.load_solver()
    path = folder / "pocket.tables"
    right = path.read_bytes()
    wrong = bytearray(right)
    wrong[2_000_000] ^= 0x01
    path.write_bytes(wrong)
    counts = pocket.load_solver().counts
    assert sum(counts) == 3_674_160
    assert path.read_bytes() == right
    assert pocket.distance(Cube.from_turns("R U R' U'", 2)) == 4
