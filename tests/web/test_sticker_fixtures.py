"""The browser's stickers, lettering orders and effects are tested against what is made here, kept up to date."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

SCRIPT = Path(__file__).parents[2] / "frontend" / "scripts" / "sticker_fixtures.py"


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("sticker_fixtures", SCRIPT)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_browsers_fixtures_are_up_to_date() -> None:
    script = _script()
    assert script.FIXTURES.read_text(encoding="utf-8") == script.text(), (
        "run python frontend/scripts/sticker_fixtures.py"
    )
