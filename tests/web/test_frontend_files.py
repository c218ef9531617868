"""The folder frontend: what it takes from the Python side is up to date, its pure parts and its types are right."""

from __future__ import annotations

import json
import os
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from nightfold.web.app import create_app
from tests.needs import missing
from tests.web.browser import FRONTEND, node


def _run(program: str, *arguments: str) -> None:
    """Run one of Node's programs in the folder frontend; what it says is the reason if it fails."""
    done = subprocess.run(
        [node(program), *arguments],
        cwd=FRONTEND,
        env={**os.environ, "PYTHON": sys.executable, "NO_COLOR": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("script", ["fixtures.py", "coach_fixtures.py", "sticker_fixtures.py"])
def test_the_fixtures_are_up_to_date(script: str) -> None:
    made = runpy.run_path(str(FRONTEND / "scripts" / script))
    kept = Path(made["FIXTURES"]).read_text(encoding="utf-8")
    assert kept == made["text"](), f"run python frontend/scripts/{script}"


def test_the_description_of_the_server_is_printed() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "nightfold.web.openapi"], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert json.loads(done.stdout) == json.loads(json.dumps(create_app().openapi()))


def test_the_types_of_what_the_server_answers_are_up_to_date() -> None:
    _run("node", "scripts/types.mjs", "--check")


def test_the_pure_parts_do_what_they_should() -> None:
    _run("npm", "test", "--silent")


def test_the_types_are_right_also_inside_the_components() -> None:
    _run("npm", "run", "--silent", "check")


@pytest.mark.parametrize("ci", ["true", "1"])
def test_what_is_missing_fails_where_ci_is_set(monkeypatch: pytest.MonkeyPatch, ci: str) -> None:
    monkeypatch.setenv("CI", ci)
    with pytest.raises(pytest.fail.Exception, match="no lamp is lit; where CI is set"):
        missing("no lamp is lit")


@pytest.mark.parametrize("ci", ["", "false"])
def test_what_is_missing_skips_elsewhere(monkeypatch: pytest.MonkeyPatch, ci: str) -> None:
    monkeypatch.setenv("CI", ci)
    with pytest.raises(pytest.skip.Exception, match=r"^no lamp is lit$"):
        missing("no lamp is lit")
