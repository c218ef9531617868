"""What a logbook keeps: one frozen dataclass for each kind of record.

Every record has an id, a UUID that whoever makes the record gives it; so writing one twice is writing it once.  Where a
record is the only one of its kind, as the card of one subject is, the id follows from that.  All fields are checked
when a record is made, and times are kept in universal time.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, field, fields
from datetime import UTC, datetime
from enum import StrEnum
from functools import partial
from types import UnionType
from typing import Annotated, Any, ClassVar, Self, Union, get_args, get_origin, get_type_hints

from nightfold.practice.errors import RecordError
from nightfold.practice.fields import (
    Calendar,
    Choice,
    Counted,
    Few,
    Field,
    Id,
    Listed,
    Name,
    Number,
    Pair,
    Part,
    Plain,
    Switch,
    Text,
    Time,
    Whole,
    Written,
    to_json,
)
from nightfold.practice.results import Outcome

#: What ids that follow from their records' content are made in.
_SPACE = uuid.uuid5(uuid.NAMESPACE_URL, "nightfold:logbook")

#: The id of a record whose id follows from its other fields, until it is made.
_NO_ID: str = ""
#: Fields that may be left empty, since they follow from others.
_FOLLOWING = ("id", "day")


def new_id() -> str:
    """An id that no other record has."""
    return str(uuid.uuid4())


def id_of(noun: str, *parts: str) -> str:
    """The id of the one record that is told by these parts."""
    return str(uuid.uuid5(_SPACE, to_json([noun, *parts])))


@dataclass(frozen=True, slots=True)
class Spec:
    """A field of a record: what it may hold, whether it may be None, whether it must be given, what it is if not."""

    name: str
    holds: Field
    optional: bool
    required: bool
    usual: Callable[[], Any]


class Record:
    """What all records share."""

    __slots__ = ()

    id: str

    #: What one record of the kind is called, in files and sentences.
    noun: ClassVar[str] = ""
    #: The fields that tell a record from all others of its kind, where its id follows from them.
    told_by: ClassVar[tuple[str, ...]] = ()
    #: The field whose day ``day`` is, where there is one.
    dated_by: ClassVar[str] = ""
    #: The fields that name another record, and its kind.
    refers: ClassVar[Mapping[str, str]] = {}

    def __post_init__(self) -> None:
        cls = type(self)
        for spec in specs(cls):
            value = getattr(self, spec.name)
            if (value is None and spec.optional) or (value == "" and spec.name in _FOLLOWING):
                continue
            try:
                checked = spec.holds.check(value)
            except ValueError as wrong:
                raise RecordError(_wrong(cls, spec.name, value, str(wrong))) from None
            if checked is not value:
                object.__setattr__(self, spec.name, checked)
        self._follow()

    def _follow(self) -> None:
        """Fill in what follows from the rest: the day, and the id of a record that is told by other fields."""
        cls, own = type(self), self.__getattribute__
        if cls.dated_by and own("day") == "":
            object.__setattr__(self, "day", day_of(own(cls.dated_by)))
        if cls.told_by:
            due = id_of(cls.noun, *(str(own(name)) for name in cls.told_by))
            if own("id") not in ("", due):
                raise RecordError(f"{cls.noun}: the id is not that of its {' and '.join(cls.told_by)}; leave it out")
            object.__setattr__(self, "id", due)
        elif own("id") == "":
            object.__setattr__(self, "id", new_id())

    def to_dict(self) -> dict[str, Any]:
        """The record as plain data, by the names of its fields."""
        found = {}
        for spec in specs(type(self)):
            value = getattr(self, spec.name)
            found[spec.name] = None if value is None else spec.holds.write(value)
        return found

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> Self:
        """The record that plain data tells; what is not told is as usual.  Raises RecordError."""
        return cls._from(data, cells=False)

    def to_cells(self) -> list[str]:
        """The record as the cells of a row, in the order of its fields; None is an empty cell."""
        cells = []
        for spec in specs(type(self)):
            value = getattr(self, spec.name)
            cell = "" if value is None else spec.holds.cell(value)
            cells.append("\\" if value == "" and spec.optional else cell)
        return cells

    @classmethod
    def from_cells(cls, cells: Mapping[str, str]) -> Self:
        """The record of a row, from its cells by the names of fields.  Raises RecordError."""
        texts = {spec.name for spec in specs(cls) if not spec.optional and isinstance(spec.holds, Text)}
        return cls._from({name: cell for name, cell in cells.items() if cell or name in texts}, cells=True)

    @classmethod
    def _from(cls, data: Mapping[str, Any], cells: bool) -> Self:
        made = object.__new__(cls)
        missing = []
        for spec in specs(cls):
            value = data.get(spec.name)
            if value is None or (value == "" and spec.name in _FOLLOWING):
                if spec.required or (value is None and spec.name in data and not spec.optional):
                    missing.append(spec.name)
                    continue
                value = spec.usual()
            else:
                try:
                    value = spec.holds.from_cell(value) if cells else spec.holds.read(value)
                except ValueError as wrong:
                    raise RecordError(_wrong(cls, spec.name, value, str(wrong))) from None
            object.__setattr__(made, spec.name, value)
        known = [spec.name for spec in specs(cls)]
        if unknown := [name for name in data if name not in known]:
            raise RecordError(f"{cls.noun}: there is no “{str(unknown[0])[:40]}”; there are {', '.join(known)}")
        if missing:
            raise RecordError(f"{cls.noun}: {' and '.join(missing)} must be told")
        made._follow()
        return made


def day_of(moment: datetime) -> str:
    """The day of the calendar where this machine is; in universal time where the system cannot tell."""
    try:
        return moment.astimezone().date().isoformat()
    except (OverflowError, OSError, ValueError):
        return moment.date().isoformat()


def _wrong(cls: type[Record], name: str, value: object, must: str) -> str:
    return f"{cls.noun}: {name} must be {must}, not “{str(value)[:40]}”"


_specs: dict[type[Record], tuple[Spec, ...]] = {}


def specs(cls: type[Record]) -> tuple[Spec, ...]:
    """The fields of a kind of records."""
    if (known := _specs.get(cls)) is not None:
        return known
    hints = get_type_hints(cls, include_extras=True)
    found = []
    for one in fields(cls):  # type: ignore[arg-type]  # every kind is a dataclass
        hint, optional = hints[one.name], False
        if get_origin(hint) in (Union, UnionType):
            hint, optional = next(part for part in get_args(hint) if part is not type(None)), True
        holds = next(part for part in get_args(hint) if isinstance(part, Field))
        required = one.default is MISSING and one.default_factory is MISSING
        usual = one.default_factory if one.default_factory is not MISSING else partial(_same, one.default)
        found.append(Spec(one.name, holds, optional, required, usual))
    return _specs.setdefault(cls, tuple(found))


def _same(value: Any) -> Any:
    return value


class SeriesKind(StrEnum):
    """What attempts belong together as."""

    SINGLE = "single"
    BEST_OF_3 = "best-of-3"
    MEAN_OF_3 = "mean-of-3"
    EVENING = "evening"


class Source(StrEnum):
    """Where a mistake was found."""

    INQUEST = "inquest"
    MARKING = "marking"
    DRILL = "drill"


@dataclass(frozen=True, slots=True, kw_only=True)
class Solver(Record):
    """Someone whose practice the logbook keeps; oneself, who needs no record, has the empty name."""

    noun: ClassVar[str] = "solver"
    told_by: ClassVar[tuple[str, ...]] = ("name",)

    id: Id = _NO_ID
    name: Name
    created: Time = field(default_factory=lambda: datetime.now(UTC))
    note: Written = ""
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Series(Record):
    """Attempts that belong together, as a round or an evening."""

    noun: ClassVar[str] = "series"

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    kind: Annotated[SeriesKind, Choice(SeriesKind)]
    name: Name = ""
    event: Name = ""
    started: Time
    note: Written = ""
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt(Record):
    """One attempt at a cube, or at the cubes of a multi-blind.

    ``event`` is a WCA event id such as ``333bf``, or that of the puzzle where it was no blind event.  ``started`` is a
    moment, ``day`` the calendar's where the solver was.  Times are as measured, in milliseconds: ``memo_ms`` until the
    eyes were covered, ``total_ms`` until the end; rounding is for the rules.  ``final`` is the net text of the cube
    that came out, ``memo`` what was written or remembered, by orbit.  ``breaks_policy`` says how breaks were chosen;
    the fields from ``edge_letters`` on tell of the plan, as far as they are known.
    """

    noun: ClassVar[str] = "attempt"
    dated_by: ClassVar[str] = "started"
    refers: ClassVar[Mapping[str, str]] = {"series": "series"}

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    series: Id | None = None
    number: Annotated[int, Whole(1, 10**6)] | None = None
    event: Name = "333bf"
    started: Time
    day: Calendar = ""
    scramble: Written = ""
    hold: Name = ""
    method: Name = ""
    lettering: Name = ""
    breaks_policy: Name = ""
    outcome: Annotated[Outcome, Choice(Outcome)] = Outcome.UNFINISHED
    memo_ms: Counted | None = None
    total_ms: Counted | None = None
    final: Written | None = None
    memo: Plain = field(default_factory=dict, hash=False)
    edge_letters: Few | None = None
    corner_letters: Few | None = None
    breaks: Few | None = None
    flipped: Few | None = None
    twisted: Few | None = None
    parity: Switch | None = None
    cycles: Few | None = None
    turns: Few | None = None
    note: Written = ""
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptCube(Record):
    """One cube of a multi-blind attempt, numbered from 1."""

    noun: ClassVar[str] = "cube"
    told_by: ClassVar[tuple[str, ...]] = ("attempt", "number")
    refers: ClassVar[Mapping[str, str]] = {"attempt": "attempt"}

    id: Id = _NO_ID
    attempt: Id
    number: Annotated[int, Whole(1, 10**6)]
    scramble: Written = ""
    outcome: Annotated[Outcome, Choice(Outcome)] = Outcome.UNFINISHED
    final: Written | None = None
    memo: Plain = field(default_factory=dict, hash=False)
    note: Written = ""
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(Record):
    """One run of an exercise, from its first question to its last."""

    noun: ClassVar[str] = "run"

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    exercise: Name
    started: Time
    ended: Time | None = None
    settings: Plain = field(default_factory=dict, hash=False)
    score: Annotated[float, Number()] | None = None
    result: Plain = field(default_factory=dict, hash=False)
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake(Record):
    """A mistake that an inquest, a marking or a drill found.

    ``attempt`` or ``run`` is where it was made, if it is known.  ``explanation`` numbers the explanations of one
    attempt from 0, the likeliest first, and ``probability`` is that of its explanation.  ``alone`` marks one mistake of
    each explanation that knows a single kind: but for that kind the attempt had been solved, so ``alone`` tells what
    the kind costs.  ``at`` is the index of its letter from 0.  ``said`` is what was told of it.
    """

    noun: ClassVar[str] = "mistake"
    dated_by: ClassVar[str] = "found"
    refers: ClassVar[Mapping[str, str]] = {"attempt": "attempt", "run": "run"}

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    attempt: Id | None = None
    run: Id | None = None
    found: Time
    day: Calendar = ""
    source: Annotated[Source, Choice(Source)]
    explanation: Counted = 0
    probability: Part = 1.0
    alone: Switch = False
    kind: Name
    orbit: Name = ""
    at: Counted | None = None
    letter: Name = ""
    said: Plain = field(default_factory=dict, hash=False)
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Route(Record):
    """A way through a place that one knows, and what one passes on it, in order."""

    noun: ClassVar[str] = "route"

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    name: Name
    loci: Listed = ()
    note: Written = ""
    created: Time = field(default_factory=lambda: datetime.now(UTC))
    changed: Time = field(default_factory=lambda: datetime.now(UTC))
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Word(Record):
    """A word for a pair of letters.

    ``pair`` are the two symbols with a space between them, since a symbol may have several characters; ``kind`` is what
    the word pictures, such as ``person``, ``action`` or ``food``; ``strength`` how well it is known.
    """

    noun: ClassVar[str] = "word"
    told_by: ClassVar[tuple[str, ...]] = ("solver", "language", "pair", "word")

    id: Id = _NO_ID
    solver: Name = ""
    language: Name = "en"
    pair: Annotated[str, Pair()]
    word: Name
    kind: Name = ""
    note: Written = ""
    strength: Part = 0.5
    created: Time = field(default_factory=lambda: datetime.now(UTC))
    changed: Time = field(default_factory=lambda: datetime.now(UTC))
    demo: Switch = False

    @property
    def symbols(self) -> tuple[str, str]:
        """The two symbols."""
        first, second = self.pair.split()
        return first, second


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(Record):
    """What a solver knows of one subject of an exercise, and when to ask next.

    ``state`` is the review scheduler's own account of it; ``due``, ``stability`` (in days) and ``difficulty`` are out
    of that.
    """

    noun: ClassVar[str] = "card"
    told_by: ClassVar[tuple[str, ...]] = ("solver", "exercise", "subject")

    id: Id = _NO_ID
    solver: Name = ""
    exercise: Name
    subject: Name
    state: Plain = field(default_factory=dict, hash=False)
    due: Time
    stability: Annotated[float, Number()] | None = None
    difficulty: Annotated[float, Number()] | None = None
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Review(Record):
    """One question that was answered.

    ``rating`` is what the scheduler was told, 1 (again) to 4 (easy); ``share`` how much of the answer was right,
    ``right`` whether it all was; ``days_since`` how many days before its card was last asked for, None where it never
    was or that is not known.
    """

    noun: ClassVar[str] = "review"
    dated_by: ClassVar[str] = "answered"
    refers: ClassVar[Mapping[str, str]] = {"card": "card", "run": "run"}

    id: Id = field(default_factory=new_id)
    solver: Name = ""
    card: Id
    run: Id | None = None
    exercise: Name
    answered: Time
    day: Calendar = ""
    rating: Annotated[int, Whole(1, 4)]
    right: Switch
    share: Part = 1.0
    answer_ms: Counted | None = None
    days_since: Annotated[float, Number(low=0)] | None = None
    asked: Plain = field(default_factory=dict, hash=False)
    given: Written = ""
    demo: Switch = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Record):
    """Something about the logbook itself, such as when the demo was loaded."""

    noun: ClassVar[str] = "fact"
    told_by: ClassVar[tuple[str, ...]] = ("name",)

    id: Id = _NO_ID
    name: Name
    value: Written = ""
    demo: Switch = False


#: All kinds, each after those that it refers to.
KINDS: tuple[type[Record], ...] = (
    Solver,
    Series,
    Attempt,
    AttemptCube,
    Run,
    Mistake,
    Route,
    Word,
    Card,
    Review,
    Fact,
)
BY_NOUN: Mapping[str, type[Record]] = {kind.noun: kind for kind in KINDS}


def counted(counts: Mapping[str, int]) -> str:
    """How many records there are in words, ``12 attempts, 1 word``; what a logbook knows of itself is left out."""
    told = [
        f"{number:,} {noun if number == 1 or noun.endswith('s') else noun + 's'}"
        for noun, number in counts.items()
        if number and noun != Fact.noun
    ]
    return ", ".join(told) or "nothing"


def records_by_kind(records: Iterable[Record]) -> dict[type[Record], list[Record]]:
    """Records by their kind, in the order of KINDS."""
    found: dict[type[Record], list[Record]] = {kind: [] for kind in KINDS}
    for record in records:
        found[type(record)].append(record)
    return {kind: those for kind, those in found.items() if those}
