"""What a person keeps survives a kill at any moment, and what is damaged is set aside, never written over."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
import time
import tomllib
from pathlib import Path

import httpx
import pytest

from nightfold.blind.files import SHIPPED
from nightfold.practice import files, places
from nightfold.practice.errors import StoringError
from nightfold.web import library
from nightfold.web.errors import NameTakenError, UnknownNameError, WebError
from nightfold.web.library import LETTERINGS, METHODS
from nightfold.web.settings import SettingsIn, keep_settings, read_settings
from tests.web.serving import MINE, asked

METHOD = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")

#: Begets a writer for every number it reads; a writer writes until it is killed.
WRITERS = """
import os, sys
from nightfold.web import library
from nightfold.web.settings import SettingsIn, keep_settings

def tell(what):
    os.write(1, f"{what}\\n".encode())  # in one piece, or not at all

def write_for_ever(number, method):
    tell(os.getpid())
    while True:
        number += 1
        theme = ("auto", "night", "day")[number % 3]
        breaks = ("lowest", "shortest", None)[number % 3]
        keep_settings(SettingsIn(theme=theme, breaks=breaks))
        text = method + f"# {number}\\n" * (1 + number % 400) + f"# end {number}\\n"
        library.save(library.METHODS, "evening", text)
        tell(number)

method = library.source(library.METHODS, "two-swap")
for line in iter(sys.stdin.readline, ""):
    child = os.fork()
    if child == 0:
        write_for_ever(int(line), method)
    os.waitpid(child, 0)
    tell("gone")
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and kill -9")
def test_killing_it_while_it_writes_loses_and_corrupts_nothing(home: Path) -> None:
    """Thirty writers are killed at random moments; whatever was told to be kept is there, or what came after it."""
    rng = random.Random(30)
    last = 0
    path = home / "methods" / "evening.toml"
    with subprocess.Popen(
        [sys.executable, "-c", WRITERS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as writers:
        assert writers.stdin is not None and writers.stdout is not None
        for _ in range(30):
            print(last, file=writers.stdin, flush=True)
            pid = int(writers.stdout.readline())
            told = [int(writers.stdout.readline())]
            time.sleep(rng.random() * 0.05)
            os.kill(pid, signal.SIGKILL)
            while (line := writers.stdout.readline()) != "gone\n":
                told.append(int(line))

            text = path.read_text("utf-8")
            number = int(text.rpartition("# end ")[2])
            assert text == METHOD + f"# {number}\n" * (1 + number % 400) + f"# end {number}\n"
            assert number in (told[-1], told[-1] + 1)
            settings = read_settings()
            assert settings.breaks == {"auto": "lowest", "night": "shortest", "day": None}[settings.theme]
            assert settings.theme in {("auto", "night", "day")[one % 3] for one in (told[-1], told[-1] + 1)}
            last = number
    assert last >= 30
    visible = {found.name for found in home.rglob("*") if found.is_file() and not found.name.startswith(".")}
    assert visible == {"settings.toml", "evening.toml"}, "nothing was set aside, so nothing was damaged"


def test_what_a_killed_writer_left_is_swept_up_when_it_is_old(home: Path) -> None:
    home.mkdir()
    old, young = home / ".settings.toml.1-1.part", home / ".settings.toml.1-2.part"
    for left in (old, young):
        left.write_text("x", "utf-8")
    os.utime(old, (0, 0))
    keep_settings(SettingsIn(theme="day"))
    assert not old.exists()
    assert young.exists()


@pytest.mark.parametrize("damage", [b"", b"theme = 7\n", b"theme = \x00", b"\xff\xfe", b"theme =", b'colour = "red"\n'])
def test_damaged_settings_are_set_aside(client: httpx.Client, home: Path, damage: bytes) -> None:
    home.mkdir()
    (home / "settings.toml").write_bytes(damage)
    usual = SettingsIn().model_dump()
    assert asked(client, "settings") == usual
    mine = {**usual, "theme": "night"}
    assert asked(client, "settings", mine, "PUT") == mine
    assert asked(client, "settings") == mine
    if damage:  # an empty file is a whole one that chooses nothing
        assert (home / "settings.toml.damaged-1").read_bytes() == damage


def test_damaged_settings_are_set_aside_before_others_are_kept(client: httpx.Client, home: Path) -> None:
    home.mkdir()
    (home / "settings.toml").write_bytes(b"damaged")
    asked(client, "settings", {"theme": "day"}, "PUT")
    assert (home / "settings.toml.damaged-1").read_bytes() == b"damaged"
    assert asked(client, "settings")["theme"] == "day"


def test_where_the_logbook_is_stays_when_settings_are_kept(client: httpx.Client, home: Path) -> None:
    home.mkdir()
    (home / "settings.toml").write_text('logbook = "club.db"\n', "utf-8")
    assert asked(client, "settings") == SettingsIn().model_dump()
    asked(client, "settings", {"theme": "day"}, "PUT")
    assert asked(client, "settings")["theme"] == "day"
    assert tomllib.loads((home / "settings.toml").read_text("utf-8"))["logbook"] == "club.db"
    assert not list(home.glob("*damaged*"))


@pytest.mark.parametrize("damage", [b"\xff\xfe", b"title = ", b"x" * 1_000_001])
def test_a_damaged_method_is_told_of_and_set_aside_not_written_over(
    client: httpx.Client, home: Path, damage: bytes
) -> None:
    path = home / "methods" / "evening.toml"
    path.parent.mkdir(parents=True)
    path.write_bytes(damage)
    (told,) = [one for one in asked(client, "about")["methods"] if one["own"]]
    assert told["about"].startswith("cannot be used: evening ")
    assert client.get("/api/methods/evening").status_code == 422
    asked(client, "methods/evening", {"source": METHOD}, "PUT")
    assert path.with_name("evening.toml.damaged-1").read_bytes() == damage
    assert asked(client, "methods/evening")["source"] == METHOD


def test_names_never_leave_the_folder(home: Path) -> None:
    outside = home / "outside.toml"
    outside.parent.mkdir(parents=True)
    outside.write_text(MINE, "utf-8")
    (home / "letterings").mkdir()
    for name in ("../outside", "..", ".", "", "a/b", "a\\b", "/etc/passwd", "a\0", "A", "é", "-a", "a" * 41, "com1"):
        with pytest.raises(UnknownNameError):
            library.lettering(name)
        with pytest.raises(WebError):
            library.save(LETTERINGS, name, MINE)
        with pytest.raises(UnknownNameError):
            library.remove(LETTERINGS, name)
        assert not library.is_own(LETTERINGS, name)
    assert {found.name for found in home.rglob("*")} == {"outside.toml", "letterings"}


def test_files_of_other_names_in_the_folder_are_not_listed(home: Path) -> None:
    folder = home / "methods"
    folder.mkdir(parents=True)
    for name in ("evening.toml", "two-swap.toml", "Not Mine.toml", "evening.toml.removed-1", ".evening.toml.1-1.part"):
        (folder / name).write_text(METHOD, "utf-8")
    assert library.own_names(METHODS) == ("evening",)


def test_what_comes_along_can_be_neither_replaced_nor_removed() -> None:
    with pytest.raises(NameTakenError):
        library.save(METHODS, "two-swap", METHOD)
    with pytest.raises(NameTakenError):
        library.remove(METHODS, "two-swap")


def test_a_lettering_that_was_changed_is_read_anew(home: Path) -> None:
    library.save(LETTERINGS, "mine", MINE)
    library.save(METHODS, "evening", METHOD.replace('"clockwise"', '"mine"'))
    assert library.letters_for(library.method("evening"), None).symbol("edges", 1) == "a"
    library.save(LETTERINGS, "mine", MINE.replace("a b c d", "z b c d"))
    assert library.letters_for(library.method("evening"), None).symbol("edges", 1) == "z"


def test_a_disk_that_refuses_is_told_of(client: httpx.Client, home: Path) -> None:
    home.write_text("a file where the folder should be", "utf-8")
    answer = client.put("/api/settings", json={"theme": "day"})
    assert answer.status_code == 507
    assert "cannot be written" in answer.json()["error"]
    assert home.read_text("utf-8") == "a file where the folder should be"


def test_writing_from_many_threads_keeps_one_of_them_whole(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "file"
    texts = [f"{number}\n" * 5000 for number in range(8)]
    threads = [threading.Thread(target=files.write, args=(path, text)) for text in texts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert path.read_text("utf-8") in texts
    assert [found.name for found in path.parent.iterdir()] == ["file"]


def test_setting_aside_what_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(StoringError, match="cannot be set aside"):
        files.set_aside(tmp_path / "nothing", "removed")
    assert list(tmp_path.iterdir()) == []


def test_without_a_folder_of_its_own_the_users_folders_are_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("NIGHTFOLD_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    if sys.platform == "linux":
        assert places.data_folder("methods") == tmp_path / "data" / "nightfold" / "methods"
        assert places.settings_file() == tmp_path / "config" / "nightfold" / "settings.toml"
    assert places.data_folder("methods").name == "methods"
