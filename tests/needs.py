"""What some tests need besides Python, and what becomes of them without it."""

from __future__ import annotations

import os
from typing import NoReturn

import pytest


def missing(what: str) -> NoReturn:
    """Skip for want of something, or fail where nothing may be wanting."""
    if os.environ.get("CI", "").lower() in ("1", "true"):
        pytest.fail(f"{what}; where CI is set this is an error")
    pytest.skip(what)
