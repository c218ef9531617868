"""How the command behaves in the places it is run in: narrow, plain, coloured, piped, closed, completed."""

from __future__ import annotations

import json
import os
import re
import struct
import subprocess
import sys

import pytest
from rich.cells import cell_len

from nightfold import __version__
from nightfold.blind.method import method_names
from nightfold.cli import app
from tests.cli.running import PLAIN, PROGRAM, cases, here, shell, there

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")

#: Every command, with what makes its output long or wide.
COMMANDS: dict[str, tuple[tuple[str, ...]]] = {
    "help": (("--help",),),
    "plan": (("plan", SCRAMBLE),),
    "plan of an odd scramble, brief": (("plan", SCRAMBLE + " F", "--brief", "--method", "left-hand"),),
    "setups": (("setups", "--all", "--method", "j-and-y"),),
    "methods": (("methods",),),
    "method": (("method", "corners-first"),),
    "lettering": (("lettering", "greek"),),
    "lettering of a 7x7x7": (("lettering", "--size", "7"),),
    "turns": (("turns", "[R U, 3Lw2] 2D Fw' (x S R)7", "--size", "7"),),
    "look": (("look", SCRAMBLE),),
    "look at a 6x6x6": (("look", "R 3Uw", "--size", "6"),),
}
NAMES = [command.name or "" for command in app.registered_commands]


def fits(text: str, columns: int = 80) -> None:
    """Assert that no line is wider than the terminal."""
    for line in text.splitlines():
        assert cell_len(line) <= columns, f"{cell_len(line)} cells: {line}"


@pytest.mark.parametrize("arguments", cases(COMMANDS))
def test_piped_output_is_plain_and_fits(arguments: tuple[str, ...]) -> None:
    ran = there(*arguments)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.strip()
    assert "\x1b" not in ran.out
    assert "…" not in ran.out  # nothing is cut short
    fits(ran.out)
    assert here(*arguments) == ran


@pytest.mark.parametrize("arguments", cases(COMMANDS))
@pytest.mark.parametrize("columns", [64, 100, 140])
def test_other_widths_are_kept(arguments: tuple[str, ...], columns: int) -> None:
    ran = here(*arguments, columns=columns)
    assert ran.code == 0
    fits(ran.out, columns)


@pytest.mark.parametrize("environment", [{"TERM": "dumb"}, {"NO_COLOR": "1"}, {"NO_COLOR": "1", "TERM": "dumb"}])
@pytest.mark.parametrize("command", ["plan", "look", "help"])
def test_no_colour_where_none_is_wanted(command: str, environment: dict[str, str]) -> None:
    arguments = COMMANDS[command][0]
    ran = there(*arguments, environment=environment)
    assert ran == here(*arguments)
    assert "\x1b" not in ran.out


@pytest.mark.parametrize("command", ["plan", "setups", "methods", "method", "lettering", "turns", "look"])
def test_colour_where_it_is_asked_for(command: str) -> None:
    arguments = COMMANDS[command][0]
    coloured = there(*arguments, environment={"FORCE_COLOR": "1", "COLORTERM": "truecolor"})
    assert ESCAPE.search(coloured.out)
    assert ESCAPE.sub("", coloured.out) == here(*arguments).out
    assert "\x1b" not in there(*arguments, "--json", environment={"FORCE_COLOR": "1"}).out


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are a Unix thing")
@pytest.mark.parametrize(("rows", "columns"), [(24, 80), (24, 132)])
def test_a_real_terminal_tells_its_width(rows: int, columns: int) -> None:
    import fcntl
    import termios

    leader, follower = os.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    environment = {key: value for key, value in PLAIN.items() if key != "COLUMNS"}
    # The text is short enough for the terminal to hold it until it is read.
    with subprocess.Popen([PROGRAM, "plan", "R U"], stdin=follower, stdout=follower, env=environment) as program:
        os.close(follower)
        seen = b""
        while True:
            try:
                part = os.read(leader, 65536)
            except OSError:  # so Linux says that the other side is closed
                break
            if not part:
                break
            seen += part
    os.close(leader)
    assert program.returncode == 0
    text = seen.decode().replace("\r\n", "\n")
    assert ESCAPE.search(text)
    assert ESCAPE.sub("", text) == here("plan", "R U", columns=columns).out


@pytest.mark.parametrize(
    "arguments",
    [("plan", SCRAMBLE, "--lettering", "greek"), ("lettering", "greek"), ("method",), ("--help",), ("plan", "--help")],
)
def test_a_terminal_without_unicode_gets_marks_not_a_crash(arguments: tuple[str, ...]) -> None:
    ran = there(*arguments, environment={"PYTHONIOENCODING": "ascii", "LANG": "C"}, encoding="ascii")
    assert (ran.code, ran.err) == (0, "")
    fits(ran.out)


def test_errors_on_a_terminal_without_unicode() -> None:
    ran = there("plan", "R ☂", environment={"PYTHONIOENCODING": "ascii", "LANG": "C"}, encoding="ascii")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("nightfold: ??? at column 3: no turn has this name")


def test_data_is_whole_on_a_terminal_without_unicode() -> None:
    ran = there("lettering", "greek", "--json", environment={"PYTHONIOENCODING": "ascii"}, encoding="ascii")
    assert json.loads(ran.out) == here("lettering", "greek", "--json").data
    assert "Ω" in json.loads(ran.out)["symbols"]["corners"].values()


@pytest.mark.parametrize(
    "line",
    [
        "nightfold setups --all | head -n 1",
        "nightfold setups --all --json | head -c 10",
        "yes 'R U' | head -n 400 | nightfold plan - --json | head -n 1",
        "nightfold --help | head -n 1",
        "nightfold setups | :",
    ],
)
def test_a_reader_that_leaves_early_hears_nothing(line: str) -> None:
    ran = shell(line)
    assert (ran.code, ran.err) == (0, "")


def test_version() -> None:
    ran = there("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"nightfold {__version__}\n", "")


def test_alone_it_shows_the_help() -> None:
    ran = there()
    assert (ran.code, ran.err) == (0, "")
    assert ran == here("--help")
    assert len(NAMES) >= 7
    for name in NAMES:
        assert re.search(rf"^\W*{name} ", ran.out, re.MULTILINE), name


@pytest.mark.parametrize("name", NAMES)
def test_every_command_has_help(name: str) -> None:
    ran = here(name, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert f"Usage: nightfold {name}" in ran.out
    assert "--help" in ran.out
    # The app answers nothing itself: it starts a server.
    assert ("--json" in ran.out) == (name != "app")
    fits(ran.out)


@pytest.mark.parametrize(("typed", "offered"), [("nightfold pl", ["plan"]), ("nightfold met", ["method", "methods"])])
def test_the_shell_completes_commands(typed: str, offered: list[str]) -> None:
    environment = {"_NIGHTFOLD_COMPLETE": "complete_bash", "COMP_WORDS": typed, "COMP_CWORD": "1"}
    ran = there(environment=environment)
    assert (ran.code, sorted(ran.out.split()), ran.err) == (0, offered, "")


@pytest.mark.parametrize("shell_name", ["bash", "zsh", "fish"])
def test_the_shell_is_told_how_to_complete(shell_name: str) -> None:
    ran = there(environment={"_NIGHTFOLD_COMPLETE": f"source_{shell_name}"})
    assert (ran.code, ran.err) == (0, "")
    assert "nightfold" in ran.out and "_NIGHTFOLD_COMPLETE" in ran.out


@pytest.mark.parametrize("name", method_names())
def test_every_plan_fits(name: str) -> None:
    for scramble in (SCRAMBLE, "M' U2 M U2 R U'", ""):
        ran = here("plan", scramble, "--method", name)
        assert ran.code == 0
        assert "…" not in ran.out
        fits(ran.out)
