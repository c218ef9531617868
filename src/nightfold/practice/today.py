"""What to practise today, in the minutes one has: what is due, and what one's own mistakes say is weak.

Mistakes count less the longer ago they were: half after ``HALF_LIFE``.  Which exercise helps against which kind is
data, in ``remedies.toml``.  Each exercise is cut into blocks and these are taken in turn, the weakest first, so that
things come mixed and none takes more than half of the time.
"""

from __future__ import annotations

import tomllib
from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.cube.errors import NightfoldError
from nightfold.practice.drills import EXERCISES, DrillError, Table
from nightfold.practice.drills.base import count_of, subject_of

#: After this time a mistake counts half.
HALF_LIFE = timedelta(days=14)
#: No exercise takes more than this share of the time.
MOST_SHARE = 0.5
#: Practice of so many minutes can be planned.
LEAST_MINUTES, MOST_MINUTES = 1, 240
#: How many seconds a block takes at least and at most; between them it is a sixth of all.
_BLOCK = (45.0, 300.0)
#: How often each weak thing is asked.
_WEAK_TIMES = 2
#: Mistakes that weigh less than this, all together, are forgotten.
_FORGOTTEN = 0.05
#: In how many exercises new things are begun on one day.
_NEW_IN = 3
#: What fills the time when nothing else is to be done, and why.
_FILLERS = {
    "trace": "a whole cube keeps everything together",
    "hold-memo": "memory grows by being used",
    "next-letter": "tracing gets faster letter by letter",
    "cycle-end": "ends of cycles are where most letters get lost",
    "turned": "pieces that only sit the wrong way round are easily missed",
    "parity": "a wrong answer about parity spoils all the rest",
}


@dataclass(frozen=True, slots=True)
class Remedy:
    """What helps against one kind of mistake; see ``remedies.toml``."""

    exercise: str
    subject: str
    told: str


@cache
def remedies() -> Mapping[str, Remedy]:
    """What helps, by the kind of mistake."""
    data = tomllib.loads(Path(__file__).with_name("remedies.toml").read_text("utf-8"))
    return {kind: Remedy(**fields) for kind, fields in data.items()}


@dataclass(frozen=True, slots=True)
class Lapse:
    """A mistake that was made, as an inquest or a marking tells it; ``weight`` is its probability.

    ``letter`` is the one that should have been, in the lettering of the table; it and ``orbit`` are empty where the
    mistake is about none.
    """

    kind: str
    orbit: str
    letter: str
    when: datetime
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Item:
    """One block of practice: ``count`` questions of an exercise, the ``subjects`` first, and why."""

    exercise: str
    subjects: tuple[str, ...]
    count: int
    seconds: float
    why: str

    def after(self, asked: int) -> Item:
        """What is left of the block when so many of its questions were asked."""
        left = self.count - asked
        return replace(self, subjects=self.subjects[asked:], count=left, seconds=self.seconds * left / self.count)

    def to_dict(self) -> dict[str, Any]:
        """The block as plain data."""
        return {
            "exercise": self.exercise,
            "subjects": list(self.subjects),
            "count": self.count,
            "seconds": round(self.seconds),
            "why": self.why,
        }


@dataclass(frozen=True, slots=True)
class Today:
    """What to do in ``minutes``, block by block."""

    minutes: float
    items: tuple[Item, ...]

    @property
    def seconds(self) -> float:
        """How long all of it will take, by the learner's usual times."""
        return sum(item.seconds for item in self.items)

    def to_dict(self) -> dict[str, Any]:
        """The whole as plain data."""
        return {
            "minutes": self.minutes,
            "seconds": round(self.seconds),
            "items": [item.to_dict() for item in self.items],
        }


@dataclass(frozen=True, slots=True)
class Weak:
    """One thing that mistakes say is weak: how much they weigh, and in a clause what happened how often."""

    exercise: str
    subject: str | None
    weight: float
    say: str


def weak_points(table: Table, lapses: Iterable[Lapse], now: datetime) -> tuple[Weak, ...]:
    """What is weak, the weakest first; mistakes of one kind with one letter go together.

    Kinds that no remedy is known for are passed over, and so are exercises the table has no subjects for.
    """
    groups: dict[tuple[str, str | None, str], list[Lapse]] = {}
    for lapse in lapses:
        remedy = remedies().get(lapse.kind)
        if remedy is None or lapse.weight <= 0 or not EXERCISES[remedy.exercise].subjects(table):
            continue
        what = f"letter {lapse.letter} of the {lapse.orbit}" if lapse.letter else f"a letter of the {lapse.orbit}"
        told = remedy.told.format(what=what if lapse.orbit else "a letter", orbit=lapse.orbit or "cube")
        subject = _subject(table, remedy, lapse.orbit, lapse.letter)
        groups.setdefault((remedy.exercise, subject, told), []).append(lapse)
    found = []
    for (exercise, subject, told), group in groups.items():
        weight = sum(one.weight * 0.5 ** (max(timedelta(0), now - one.when) / HALF_LIFE) for one in group)
        if weight >= _FORGOTTEN:
            found.append(Weak(exercise, subject, weight, _how_often(told, group, now)))
    return tuple(sorted(found, key=lambda weak: (-weak.weight, weak.exercise, weak.say)))


def _subject(table: Table, remedy: Remedy, orbit: str, letter: str) -> str | None:
    """What of the exercise is weak; None where the mistake does not tell, or the table does not have it."""
    sticker = ""
    if "{sticker}" in remedy.subject and orbit in table.orbits:
        try:
            sticker = subject_of(table, orbit, letter).partition("/")[2]
        except NightfoldError:  # a letter of another lettering
            return None
    subject = remedy.subject.format(orbit=orbit, sticker=sticker)
    return subject if subject in EXERCISES[remedy.exercise].subjects(table) else None


def _how_often(told: str, group: Sequence[Lapse], now: datetime) -> str:
    """``letter H of the edges was misread twice in the last week``.

    Several explanations of one attempt count together as what they weigh.
    """
    spans = ((7, "in the last week"), (31, "in the last month"), (36_500, "some time ago"))
    for days, words in spans:  # noqa: B007 - the first that holds any
        recent = [one.weight for one in group if now - one.when <= timedelta(days=days)]
        if recent:
            break
    number = round(sum(recent))
    times = {0: "once", 1: "once", 2: "twice"}.get(number, f"{number} times")
    return f"{'' if number else 'perhaps '}{told} {times} {words}"


# --- putting it together ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question that should be asked, and for which reason: ``weak``, ``due``, ``new`` or ``free``."""

    subject: str | None
    reason: str
    say: str = ""


def plan_today(
    table: Table,
    minutes: float,
    now: datetime,
    due: Mapping[str, Sequence[str]] | None = None,
    lapses: Iterable[Lapse] = (),
    fresh: Mapping[str, Sequence[str]] | None = None,
    seconds: Mapping[str, float] | None = None,
) -> Today:
    """What to practise now in so many minutes.

    For each exercise by its name, ``due`` gives the subjects whose cards are due, ``fresh`` those that may be begun,
    and ``seconds`` how long a question usually takes.  Raises DrillError for minutes that cannot be planned.
    """
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise DrillError(f"{minutes:g} minutes cannot be planned; {LEAST_MINUTES} to {MOST_MINUTES} can")
    takes = {name: max(1.0, (seconds or {}).get(name, one.seconds)) for name, one in EXERCISES.items()}
    queues, order = _queues(table, due or {}, weak_points(table, lapses, now), fresh or {})
    fillers = {name: deque(_Asked(None, "free", why) for _ in range(200)) for name, why in _FILLERS.items()}
    left = minutes * 60.0
    most = left * MOST_SHARE
    block = min(max(left / 6, _BLOCK[0]), _BLOCK[1], most)
    used = dict.fromkeys(EXERCISES, 0.0)
    blocks: list[tuple[str, list[_Asked]]] = []
    for chosen in (queues, fillers):
        names = order if chosen is queues else list(fillers)
        going = True
        while going:
            going = False
            for name in names:
                queue = chosen[name]
                room = min(block, left, most - used[name])
                count = min(len(queue), int(room // takes[name]) or int(takes[name] <= min(left, most - used[name])))
                if not count:
                    continue
                going = True
                if not blocks or blocks[-1][0] != name:
                    blocks.append((name, []))
                blocks[-1][1].extend(queue.popleft() for _ in range(count))
                used[name] += count * takes[name]
                left -= count * takes[name]
    return Today(minutes, tuple(_item(name, asked, takes[name]) for name, asked in blocks))


def _queues(
    table: Table,
    due: Mapping[str, Sequence[str]],
    weak: tuple[Weak, ...],
    fresh: Mapping[str, Sequence[str]],
) -> tuple[dict[str, deque[_Asked]], list[str]]:
    """What should be asked in each exercise, in its order, and the exercises, the weakest first."""
    queues: dict[str, deque[_Asked]] = {name: deque() for name in EXERCISES}
    weight = dict.fromkeys(EXERCISES, 0.0)
    for point in weak:
        weight[point.exercise] += point.weight
    for point in weak * _WEAK_TIMES:
        queues[point.exercise].append(_Asked(point.subject, "weak", point.say))
    begun = 0
    for name, one in EXERCISES.items():
        known = set(one.subjects(table))
        asked = {entry.subject for entry in queues[name]}
        queues[name].extend(_Asked(subject, "due") for subject in due.get(name, ()) if subject in known - asked)
        new = [subject for subject in fresh.get(name, ()) if subject in known - asked]
        if new and begun < _NEW_IN:
            begun += 1
            queues[name].extend(_Asked(subject, "new") for subject in new)
    place = {name: at for at, name in enumerate(EXERCISES)}
    owed = {name: sum(entry.reason == "due" for entry in queue) for name, queue in queues.items()}
    return queues, sorted(EXERCISES, key=lambda name: (-weight[name], -owed[name], place[name]))


def _item(name: str, asked: Sequence[_Asked], each: float) -> Item:
    """A block and why it is there."""
    parts = list(dict.fromkeys(entry.say for entry in asked if entry.reason == "weak"))
    if len(parts) > 2:
        parts[2:] = [f"{count_of(len(parts) - 2, 'other thing')} went wrong too"]
    counts = {reason: sum(entry.reason == reason for entry in asked) for reason in ("due", "new")}
    parts += [f"{number} {reason}" for reason, number in counts.items() if number]
    parts += dict.fromkeys(entry.say for entry in asked if entry.reason == "free")
    subjects = tuple(entry.subject for entry in asked if entry.subject is not None)
    return Item(name, subjects, len(asked), len(asked) * each, "; ".join(parts))
