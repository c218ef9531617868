"""A question of a drill: all that a terminal or a browser needs to show it, and all that marking it needs later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from nightfold.practice.drills.errors import DrillError

#: How an answer is given: one letter; a sticker's name; any number of letters; turns; yes or no; pieces; a word.
FORMS = ("letter", "sticker", "letters", "turns", "yes-no", "pieces", "word")
#: What is kept from the learner until the answer is there.
_PRIVATE = ("subject", "table", "key", "size")
#: For how long one looks at each letter where one may as long as one likes, in seconds; common practice, no source.
_OWN_PACE = 4.0


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    - ``exercise`` and ``subject`` say what is practised, ``level`` how hard;
    - ``prompt`` is the sentence to be answered, ``form`` one of FORMS; where ``choices`` are given, they may be the
      answer too;
    - ``parts`` names the lines of an answer that has several; an answer with one line has none;
    - ``scramble`` and then ``hold`` bring a solved cube (white up, green in front) to what is shown, ``net`` are the
      54 colours seen then, faces U, L, F, R, B, D row by row; all are empty where no cube is shown;
    - ``lit`` are the stickers to be lit, by name, ``letters`` the letters so far;
    - ``show`` is what has to be remembered, one text a part; ``seconds`` is how long it, or the cube, is shown (None:
      as long as wanted), ``delay`` how many seconds pass before the answer is asked for;
    - ``size`` is how many letters have to be given, so that answer times can be compared;
    - ``table`` tells what it was asked with (see ``Table.digest``), ``key`` what marking needs besides.
    """

    exercise: str
    subject: str
    level: int
    prompt: str
    form: str
    table: str
    parts: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    scramble: str = ""
    hold: str = ""
    net: str = ""
    lit: tuple[str, ...] = ()
    letters: tuple[str, ...] = ()
    show: tuple[str, ...] = ()
    seconds: float | None = None
    delay: float = 0.0
    size: int = 1
    key: tuple[str, ...] = ()

    @property
    def topic(self) -> tuple[str, ...]:
        """The subject's parts: ``("edges", "LB")`` for ``edges/LB``."""
        return tuple(self.subject.split("/"))

    @property
    def before(self) -> float:
        """About how many seconds pass before the answer is asked for, where something is to be remembered first."""
        if not self.show:
            return 0.0
        return self.delay + (self.size * _OWN_PACE if self.seconds is None else self.seconds)

    def to_dict(self) -> dict[str, Any]:
        """The question as plain data; ``Question.from_dict`` makes an equal one of it."""
        return {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(self).items()}

    def public(self) -> dict[str, Any]:
        """What may be sent to where it is shown: no answer can be read from it, only found by answering."""
        return {name: value for name, value in self.to_dict().items() if name not in _PRIVATE}

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> Question:
        """The question that ``to_dict`` gave.  Raises DrillError for data that is none."""
        known = {one.name: str(one.type) for one in fields(cls)}
        needed = {"exercise", "subject", "level", "prompt", "form", "table"}
        for name in [*data, *needed]:
            if name not in known or name not in data:
                raise DrillError(f"a kept question cannot be read: “{str(name)[:24]}” is {_odd(name in known)}")
        values = {name: _value(name, known[name], value) for name, value in data.items()}
        if values["form"] not in FORMS:
            raise DrillError(f"a kept question cannot be read: its form must be one of {', '.join(FORMS)}")
        return cls(**values)


def _odd(known: bool) -> str:
    return "missing" if known else "not known"


def _value(name: str, kind: str, value: Any) -> Any:
    """A field's value, checked."""
    if kind.startswith("tuple"):
        if isinstance(value, list | tuple) and all(isinstance(part, str) for part in value):
            return tuple(value)
    elif kind == "str":
        if isinstance(value, str):
            return value
    elif isinstance(value, int | float) and not isinstance(value, bool):
        if kind != "int" or isinstance(value, int):
            return value
    elif value is None and "None" in kind:
        return None
    raise DrillError(f"a kept question cannot be read: “{name}” is {str(value)[:24]!r}, which it cannot be")
