"""The exercises: each knows its subjects, asks questions about them, and marks the answers."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from nightfold.practice.drills.base import Exercise, Marked, Noticed
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.holding import HoldMemo
from nightfold.practice.drills.pairs import PairWord, WordPair
from nightfold.practice.drills.parity import Parity
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.setup import SetupDrill
from nightfold.practice.drills.stickers import LetterSticker, StickerLetter
from nightfold.practice.drills.table import Table
from nightfold.practice.drills.tracing import CycleEnd, NextLetter
from nightfold.practice.drills.turned import Turned
from nightfold.practice.drills.whole import TraceCube

#: Every exercise by its name, in the order in which a newcomer meets them.
EXERCISES: Mapping[str, Exercise] = MappingProxyType(
    {
        exercise.name: exercise
        for exercise in (
            StickerLetter(),
            LetterSticker(),
            SetupDrill(),
            NextLetter(),
            CycleEnd(),
            Turned(),
            Parity(),
            PairWord(),
            WordPair(),
            HoldMemo(),
            TraceCube(),
        )
    }
)


def exercise(name: str) -> Exercise:
    """The exercise called ``name``.  Raises DrillError, listing those there are."""
    found = EXERCISES.get(name.strip().lower())
    if found is None:
        raise DrillError(f"“{name[:40]}” is no exercise; exercises are {', '.join(EXERCISES)}")
    return found


__all__ = ["EXERCISES", "DrillError", "Exercise", "Marked", "Noticed", "Question", "Table", "exercise"]
