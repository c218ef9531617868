"""The browser app is written against the types of the interface as it is."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from nightfold.web.app import create_app

ROOT = Path(__file__).parents[2]
FRONTEND = ROOT / "frontend"


def test_the_description_is_printed() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "nightfold.web.openapi"], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert json.loads(done.stdout) == json.loads(json.dumps(create_app().openapi()))


@pytest.mark.skipif(
    shutil.which("node") is None or not (FRONTEND / "node_modules" / "openapi-typescript").is_dir(),
    reason="needs Node and the packages of the folder frontend (npm ci)",
)
def test_the_types_of_the_browser_app_are_up_to_date() -> None:
    done = subprocess.run(
        ["node", "scripts/types.mjs", "--check"],
        cwd=FRONTEND,
        env={**os.environ, "PYTHON": sys.executable},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
