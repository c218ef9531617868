"""Records in words, for sentences that tell which one is meant."""

from __future__ import annotations

from datetime import datetime

from nightfold.practice.records import (
    Attempt,
    AttemptCube,
    Card,
    Fact,
    Mistake,
    Record,
    Review,
    Route,
    Run,
    Series,
    Solver,
    Word,
)


def named(record: Record) -> str:
    """A record as a person would name it, such as ``the word “lighthouse” for L S, of Maren``."""
    whose = getattr(record, "solver", "")
    return _what(record) + (f", of {whose}" if whose else "")


def _what(record: Record) -> str:
    match record:
        case Solver():
            return f"the solver “{record.name}”"
        case Series():
            return f"the series {f'“{record.name}” ' if record.name else ''}of {_when(record.started)}"
        case Attempt():
            return f"the attempt of {_when(record.started)}"
        case AttemptCube():
            return f"cube {record.number} of an attempt"
        case Run():
            return f"the run of {record.exercise} of {_when(record.started)}"
        case Mistake():
            return f"the mistake {record.kind} found on {_when(record.found)}"
        case Route():
            return f"the route “{record.name}”"
        case Word():
            return f"the word “{record.word}” for {record.pair}"
        case Card():
            return f"the card {record.subject} of {record.exercise}"
        case Review():
            return f"the answer of {_when(record.answered)} in {record.exercise}"
        case Fact():
            return f"the fact “{record.name}”"
    return f"the {record.noun} {record.id}"


def _when(moment: datetime) -> str:
    try:
        return moment.astimezone().strftime("%Y-%m-%d %H:%M")
    except (OverflowError, OSError, ValueError):
        return moment.strftime("%Y-%m-%d %H:%M")
