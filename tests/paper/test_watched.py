"""Who waits for pages is told how far they have come, and can stop their making."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from nightfold.paper.handouts import KINDS, written
from nightfold.paper.subject import subject
from nightfold.paper.watched import tell, watched

LONG: tuple[tuple[str, str, Mapping[str, Any], str], ...] = (
    ("exercises", ".pdf", {"learners": "2", "cubes": 2, "seed": "7"}, "sheet 2 of 2"),
    ("exercises", ".pdf", {"cubes": 1, "seed": "7", "use": "edges=K Q A D;corners=B G J W"}, "200 cubes looked at"),
    ("attempts", ".pdf", {"rounds": 2, "seed": "7"}, "round 2 of 2"),
    ("example", ".gif", {"seed": "7", "limit": 1}, "drawing picture 1 of"),
)


class EnoughError(Exception):
    """What a watcher raises who has seen enough."""


@pytest.mark.parametrize(("name", "ending", "choices", "line"), LONG)
def test_it_tells_how_far_it_is_and_can_be_stopped_there(
    name: str, ending: str, choices: Mapping[str, Any], line: str
) -> None:
    told: list[str] = []

    def stop(words: str) -> None:
        told.append(words)
        if words.startswith(line):
            raise EnoughError

    with watched(stop), pytest.raises(EnoughError):
        written(name, subject("two-swap"), Path(f"x{ending}"), **choices)
    assert told[-1].startswith(line)


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_tells_something(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NIGHTFOLD_HOME", str(tmp_path))
    told: list[str] = []
    with watched(told.append):
        written(name, subject("two-swap"), Path("x.pdf"))
    assert told[-1] == "setting the pages"


def test_nobody_needs_to_watch() -> None:
    tell("nobody hears this")
    with watched(lambda words: pytest.fail("the inner one watches")), watched(lambda words: None):
        tell("something")
