"""What the fields of records may hold, and how each is written in JSON and in a cell of a table.

Whatever passes ``check`` can be kept in every database and comes back the same from it, from JSON and from CSV.
"""

from __future__ import annotations

import json
import math
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Annotated, Any

#: Longer texts are none that a person or this program wrote.
MOST_TEXT = 200_000
#: The greatest whole number that every database keeps.
_MOST_WHOLE = 2**63 - 1
_IDENT = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_UNKEPT = re.compile("[\x00\ud800-\udfff]")
_UNLINED = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
#: A cell that begins so is set behind a backslash: some of these make a spreadsheet compute what was only text.
_ESCAPED = ("\\", "=", "+", "-", "@", "\t", "\r")


def harmless(text: str) -> str:
    """A text as a cell of a table, behind a backslash where it would be taken for something else."""
    return f"\\{text}" if text.startswith(_ESCAPED) else text


class Field:
    """What a field may hold; the kinds below say which."""

    __slots__ = ()

    def check(self, value: Any) -> Any:
        """The value in the form it is kept in.  Raises ValueError with what it must be."""
        raise NotImplementedError

    def write(self, value: Any) -> Any:
        """The value as JSON has it."""
        return value

    def read(self, value: Any) -> Any:
        """The value from what JSON had, the other way round.  Raises ValueError with what it must be."""
        return self.check(value)

    def cell(self, value: Any) -> str:
        """The value as a cell of a table; never empty, but for an empty text."""
        return str(self.write(value))

    def from_cell(self, text: str) -> Any:
        """The value from a cell.  Raises ValueError with what it must be."""
        return self.read(text)


@dataclass(frozen=True, slots=True)
class Ident(Field):
    """The id of a record: a UUID, in small letters with hyphens."""

    def check(self, value: Any) -> str:
        """The id as it is always written."""
        if isinstance(value, str) and _IDENT.fullmatch(value):
            return value
        try:
            return str(uuid.UUID(value))
        except (ValueError, AttributeError, TypeError):
            raise ValueError("a UUID, as in 0f0e7e1c-5d0a-4c39-9d3e-1f6f4f1c9a55") from None


@dataclass(frozen=True, slots=True)
class Text(Field):
    """A text of at most ``most`` characters, on one ``line`` if so."""

    most: int = MOST_TEXT
    line: bool = False

    def check(self, value: Any) -> str:
        """The text itself."""
        if not isinstance(value, str):
            raise ValueError("a text")
        if len(value) > self.most:
            raise ValueError(f"a text of at most {self.most:,} characters")
        if _UNKEPT.search(value):
            raise ValueError("a text without null characters and halves of characters")
        if self.line and _UNLINED.search(value):
            raise ValueError("a text on one line, without control characters")
        return str(value)

    def cell(self, value: str) -> str:
        """The text, behind a backslash where it would be taken for something else."""
        return harmless(value)

    def from_cell(self, text: str) -> str:
        """The text without that backslash."""
        return self.check(text.removeprefix("\\"))


@dataclass(frozen=True, slots=True)
class Pair(Field):
    """Two symbols of a lettering, a space between them."""

    def check(self, value: Any) -> str:
        """The pair as it is always written."""
        value = Text(80, line=True).check(value)
        if len(parts := value.split()) != 2:
            raise ValueError("two symbols with a space between them, as in L S")
        return " ".join(parts)

    def cell(self, value: str) -> str:
        """The pair, behind a backslash where it would be taken for something else."""
        return Text().cell(value)

    def from_cell(self, text: str) -> str:
        """The pair without the backslash that it may be set behind."""
        return self.check(text.removeprefix("\\"))


@dataclass(frozen=True, slots=True)
class Whole(Field):
    """A whole number from ``low`` to ``high``."""

    low: int = 0
    high: int = _MOST_WHOLE

    def check(self, value: Any) -> int:
        """The number itself."""
        if isinstance(value, bool) or not isinstance(value, int) or not self.low <= value <= self.high:
            top = f" to {self.high}" if self.high < _MOST_WHOLE else " up"
            raise ValueError(f"a whole number from {self.low}{top}")
        return int(value)

    def from_cell(self, text: str) -> int:
        """The number of decimal digits."""
        return self.check(int(text) if re.fullmatch(r"[+-]?[0-9]{1,19}", text.strip()) else None)


@dataclass(frozen=True, slots=True)
class Number(Field):
    """Any number, from ``low`` to ``high``."""

    low: float = -math.inf
    high: float = math.inf

    def check(self, value: Any) -> float:
        """The number as a float."""
        try:
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise ValueError
            number = float(value)
            if not math.isfinite(number) or not self.low <= number <= self.high:
                raise ValueError
        except (ValueError, OverflowError):
            limits = f" from {self.low:g} to {self.high:g}" if self.high < math.inf else ""
            raise ValueError(f"a number{limits}") from None
        return number + 0.0  # no database need keep the sign of nothing

    def cell(self, value: float) -> str:
        """The number, exactly."""
        return repr(value)

    def from_cell(self, text: str) -> float:
        """The number that is written."""
        try:
            return self.check(float(text))
        except ValueError:
            return self.check(None)


@dataclass(frozen=True, slots=True)
class Flag(Field):
    """True or false; in a cell ``yes`` or ``no``."""

    def check(self, value: Any) -> bool:
        """The flag itself."""
        if not isinstance(value, bool):
            raise ValueError("true or false")
        return value

    def cell(self, value: bool) -> str:
        """``yes`` or ``no``."""
        return "yes" if value else "no"

    def from_cell(self, text: str) -> bool:
        """True for ``yes``, false for ``no``."""
        if text.strip() not in ("yes", "no"):
            raise ValueError("yes or no")
        return text.strip() == "yes"


@dataclass(frozen=True, slots=True)
class Moment(Field):
    """A moment, to the microsecond; kept in universal time."""

    def check(self, value: Any) -> datetime:
        """The moment in universal time."""
        try:
            if not isinstance(value, datetime) or value.utcoffset() is None:
                raise ValueError
            return value.astimezone(UTC).replace(fold=0)
        except (ValueError, OverflowError):
            raise ValueError("a time with its zone, as in 2025-01-31T19:30:00Z") from None

    def write(self, value: datetime) -> str:
        """``2025-01-31T19:30:00.000000Z``."""
        return value.isoformat(timespec="microseconds").replace("+00:00", "Z")

    def read(self, value: Any) -> datetime:
        """The moment that is written."""
        try:
            return self.check(datetime.fromisoformat(value))
        except (ValueError, TypeError):
            return self.check(None)


@dataclass(frozen=True, slots=True)
class Day(Field):
    """A day of the calendar: ``2025-01-31``."""

    def check(self, value: Any) -> str:
        """The day as it is always written."""
        try:
            return date.fromisoformat(value).isoformat()
        except (ValueError, TypeError):
            raise ValueError("a day, as in 2025-01-31") from None


@dataclass(frozen=True, slots=True)
class Data(Field):
    """Plain data by name: whatever JSON can hold."""

    def check(self, value: Any) -> dict[str, Any]:
        """A copy of the data, with lists for tuples."""
        try:
            if not isinstance(value, Mapping):
                raise ValueError
            text = to_json(dict(value))
            if len(text) > 5 * MOST_TEXT or not _only_text_keys(value):
                raise ValueError
            text.encode("utf-8")
            copy: dict[str, Any] = json.loads(text)
            return copy
        except (ValueError, TypeError, RecursionError):
            raise ValueError("data by name, as in {} or {“edges”: “FU P”}") from None

    def cell(self, value: Mapping[str, Any]) -> str:
        """The data as JSON."""
        return to_json(value)

    def from_cell(self, text: str) -> dict[str, Any]:
        """The data that the JSON holds."""
        return self.check(_json_or_none(text))


@dataclass(frozen=True, slots=True)
class Texts(Field):
    """Several texts in order."""

    def check(self, value: Any) -> tuple[str, ...]:
        """The texts as a tuple."""
        try:
            if not isinstance(value, list | tuple):
                raise ValueError
            return tuple(Text(1000).check(one) for one in value)
        except ValueError:
            raise ValueError("a list of texts, as in [“door”, “stove”]") from None

    def write(self, value: tuple[str, ...]) -> list[str]:
        """The texts as a list."""
        return list(value)

    def cell(self, value: tuple[str, ...]) -> str:
        """The list as JSON."""
        return to_json(list(value))

    def from_cell(self, text: str) -> tuple[str, ...]:
        """The texts of a list in JSON."""
        return self.check(_json_or_none(text))


@dataclass(frozen=True, slots=True)
class Choice(Field):
    """One of several words."""

    words: type[StrEnum]

    def check(self, value: Any) -> StrEnum:
        """The word as a member of its enumeration."""
        try:
            return self.words(value)
        except ValueError:
            raise ValueError(f"one of {', '.join(self.words)}") from None

    def write(self, value: StrEnum) -> str:
        """The word as a text."""
        return value.value


def to_json(value: Any) -> str:
    """JSON without waste, the same for the same data.  Raises ValueError for what JSON cannot hold."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def _only_text_keys(value: Any) -> bool:
    """Whether all keys are texts: JSON would turn others into texts."""
    if isinstance(value, Mapping):
        return all(isinstance(key, str) and _only_text_keys(inner) for key, inner in value.items())
    return not isinstance(value, list | tuple) or all(map(_only_text_keys, value))


def _json_or_none(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


# The kinds that most fields are of, as the annotations of records name them.
Id = Annotated[str, Ident()]
Name = Annotated[str, Text(200, line=True)]
Written = Annotated[str, Text()]
#: A time in milliseconds, or a count; so limited that a great many of them can be summed in every database.
Counted = Annotated[int, Whole(0, 10**10)]
#: How many of something a plan has.
Few = Annotated[int, Whole(0, 10**6)]
Switch = Annotated[bool, Flag()]
Time = Annotated[datetime, Moment()]
Calendar = Annotated[str, Day()]
Plain = Annotated[Mapping[str, Any], Data()]
Listed = Annotated[tuple[str, ...], Texts()]
Part = Annotated[float, Number(0.0, 1.0)]
