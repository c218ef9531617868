"""What the browser app takes from the Python side is up to date: sequences to test its cube with, and its types."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from types import ModuleType

from tests.web.browser import FRONTEND, missing


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("frontend_fixtures", FRONTEND / "scripts" / "fixtures.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_browsers_fixtures_are_up_to_date() -> None:
    script = _script()
    kept = script.FIXTURES.read_text(encoding="utf-8")
    assert kept == script.text(), "run python frontend/scripts/fixtures.py"


def test_the_browsers_types_are_up_to_date() -> None:
    node = shutil.which("node")
    if node is None or not (FRONTEND / "node_modules" / "openapi-typescript").is_dir():
        missing("Node and the packages of the folder frontend are needed: npm ci")
    done = subprocess.run(
        [node, "scripts/types.mjs", "--check"],
        cwd=FRONTEND,
        env={**os.environ, "PYTHON": sys.executable},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
