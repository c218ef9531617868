"""Any record that can be, for hypothesis."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from hypothesis import strategies as st

from nightfold.practice import fields
from nightfold.practice.records import KINDS, Fact, Record, specs

#: All characters that texts may hold.
CHARACTERS = st.characters(exclude_characters="\x00", codec="utf-8")
TEXTS = st.one_of(
    st.text(CHARACTERS, max_size=20),
    st.sampled_from(
        ["", "\\", "\\\\", "=1+1", "+1", "-", "@x", "\t", "\r\n", "\n", '"', ",", "'", "\\=", "null", "K\u0301"]
    ),
)
_LINE = st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"))
LINES = st.one_of(
    st.text(_LINE, max_size=12), st.sampled_from(["", "Jory of Fennel Point", "=cmd", "\\", '"', "a,b", "Ж Σ"])
)
_SYMBOLS = st.text(st.characters(categories=("L", "N", "S", "P")), min_size=1, max_size=3)
DATA = st.dictionaries(
    st.text(CHARACTERS, max_size=5),
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | TEXTS,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(CHARACTERS, max_size=3), inner, max_size=3),
        max_leaves=6,
    ),
    max_size=3,
)
IDS = st.uuids().map(str)
TIMES = st.datetimes(datetime(1, 1, 2), datetime(9999, 12, 30), timezones=st.just(UTC))


def values(holds: fields.Field) -> st.SearchStrategy[Any]:
    """Whatever a field may hold."""
    match holds:
        case fields.Ident():
            return IDS
        case fields.Text(line=True):
            return LINES
        case fields.Text():
            return TEXTS
        case fields.Pair():
            return st.tuples(_SYMBOLS, _SYMBOLS).map(" ".join)
        case fields.Whole():
            return st.integers(holds.low, holds.high)
        case fields.Number():
            low, high = (None if abs(end) == float("inf") else end for end in (holds.low, holds.high))
            return st.floats(low, high, allow_nan=False, allow_infinity=False)
        case fields.Flag():
            return st.booleans()
        case fields.Moment():
            return TIMES
        case fields.Day():
            return st.dates().map(str)
        case fields.Texts():
            return st.lists(TEXTS, max_size=3).map(tuple)
        case fields.Choice():
            return st.sampled_from(list(holds.words))
        case _:
            return DATA


def records(kind: type[Record], **given: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Any record of a kind, with some fields drawn as told."""
    drawn = {}
    for spec in specs(kind):
        if spec.name == "id" and kind.told_by:
            continue
        if spec.name in given:
            drawn[spec.name] = given[spec.name]
        else:
            drawn[spec.name] = st.none() | values(spec.holds) if spec.optional else values(spec.holds)
    return st.builds(kind, **drawn)


any_record = st.sampled_from(KINDS).flatmap(records)


@st.composite
def logbooks(draw: st.DrawFn) -> list[Record]:
    """Records of all kinds that refer to one another rightly, no two with one id."""
    found: dict[str, list[Record]] = {}
    for kind in KINDS:
        given: dict[str, st.SearchStrategy[Any]] = {}
        possible = True
        for name, noun in kind.refers.items():
            optional = next(spec.optional for spec in specs(kind) if spec.name == name)
            those = [record.id for record in found[noun]]
            possible = possible and (optional or bool(those))
            choices = ([st.none()] if optional else []) + ([st.sampled_from(those)] if those else [])
            given[name] = st.one_of(choices)
        few = st.lists(records(kind, **given), max_size=2, unique_by=lambda record: record.id)
        found[kind.noun] = draw(few) if possible else []
    return [
        record for those in found.values() for record in those if not (isinstance(record, Fact) and "by" in record.name)
    ]
