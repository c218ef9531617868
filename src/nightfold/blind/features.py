"""Features that a 3x3x3 may be wished to have: how many letters, breaks, pieces flipped or twisted in place."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from nightfold.blind.errors import ReadingError
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import listed

if TYPE_CHECKING:
    from nightfold.blind.plan import Plan
    from nightfold.blind.reading import OrbitReading

#: An inclusive range of whole numbers.
Range = tuple[int, int]
#: How a buffer's own piece may lie: in its place and right, in its place but flipped or twisted, or elsewhere.
BUFFER_STATES = ("home", "turned", "away")
#: The greatest number of each thing that a cube can have.
MOST = {
    "edge_letters": 22,
    "corner_letters": 14,
    "letters": 36,
    "edge_breaks": 11,
    "corner_breaks": 7,
    "breaks": 18,
    "flipped": 11,
    "twisted": 7,
    "solved_edges": 12,
    "solved_corners": 8,
}
#: What each of them is called: one of them, several of them.
NOUNS = {
    "edge_letters": ("edge letter", "edge letters"),
    "corner_letters": ("corner letter", "corner letters"),
    "letters": ("letter in all", "letters in all"),
    "edge_breaks": ("edge break", "edge breaks"),
    "corner_breaks": ("corner break", "corner breaks"),
    "breaks": ("break in all", "breaks in all"),
    "flipped": ("edge flipped in place", "edges flipped in place"),
    "twisted": ("corner twisted in place", "corners twisted in place"),
    "solved_edges": ("solved edge", "solved edges"),
    "solved_corners": ("solved corner", "solved corners"),
}
#: What each feature is, in a sentence.
MEANINGS = {
    "edge_letters": "Letters of the edges.",
    "corner_letters": "Letters of the corners.",
    "letters": "Letters of edges and corners together, always an even number.",
    "edge_breaks": "How often tracing the edges breaks into a new piece.",
    "corner_breaks": "The same for the corners.",
    "breaks": "The same for both together.",
    "flipped": "Edges flipped in their places, the buffer's not counted.",
    "twisted": "Corners twisted in their places, the buffer's not counted.",
    "solved_edges": "Edges already solved, the buffer's counted.",
    "solved_corners": "Corners already solved, the buffer's counted.",
    "parity": "Whether the numbers of letters are odd: yes or no.",
    "edge_buffer": "The edge buffer's piece: home, turned (flipped in place) or away; or several (home,away).",
    "corner_buffer": "The same for the corner buffer's piece.",
}
_ANY_STATE = listed(BUFFER_STATES, "or")
_RANGE = re.compile(r"(\d{1,6})|(\d{0,6})\s*\.\.\s*(\d{0,6})", re.ASCII)


class FeatureError(NightfoldError):
    """A wish for features that cannot be read, or that no cube can fulfil."""


@dataclass(frozen=True, slots=True)
class Features:
    """What a cube shall have; None where anything will do.

    The numbers are inclusive ranges ``(low, high)``.  ``letters`` and ``breaks`` are those of edges and corners
    together.  ``flipped`` and ``twisted`` count, as ``OrbitReading.in_place`` does, the pieces turned in their places
    that tracing breaks into: never the buffer's, which ``edge_buffer`` and ``corner_buffer`` tell of.
    ``solved_edges`` and ``solved_corners`` count all pieces in their places and right, the buffer's included.
    ``parity`` is True where the numbers of letters shall be odd.

    Raises FeatureError for a range that runs backwards or below 0, and for an unknown state of a buffer.
    """

    edge_letters: Range | None = None
    corner_letters: Range | None = None
    letters: Range | None = None
    edge_breaks: Range | None = None
    corner_breaks: Range | None = None
    breaks: Range | None = None
    flipped: Range | None = None
    twisted: Range | None = None
    solved_edges: Range | None = None
    solved_corners: Range | None = None
    parity: bool | None = None
    edge_buffer: frozenset[str] | None = None
    corner_buffer: frozenset[str] | None = None

    def __post_init__(self) -> None:
        for name, wish in self.wishes.items():
            if name in MOST:
                low, high = wish
                if not 0 <= low <= high:
                    raise FeatureError(f"{NOUNS[name][1]}: {low}..{high} is no range; the lower number comes first")
            elif name != "parity":
                object.__setattr__(self, name, frozenset(wish))
                for word in wish:
                    if word not in BUFFER_STATES:
                        raise FeatureError(_no_buffer_state(name, word))
                if not wish:
                    raise FeatureError(f"the {_words(name)} must be {_ANY_STATE}, or several of them")

    @property
    def wishes(self) -> dict[str, Any]:
        """The features that are wished for, by name, in the order above."""
        found = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: wish for name, wish in found.items() if wish is not None}

    def only(self, names: Sequence[str]) -> Features:
        """The same wishes, all but those of ``names`` given up."""
        return Features(**{name: wish for name, wish in self.wishes.items() if name in names})

    def allow(self, other: Features) -> bool:
        """Whether every cube with the features ``other``, as ``features_of`` gives them, is as wished here."""
        theirs = other.wishes
        for name, wish in self.wishes.items():
            if name not in theirs:
                return False
            if name in MOST:
                fits = wish[0] <= theirs[name][0] and theirs[name][1] <= wish[1]
            else:
                fits = theirs[name] == wish if name == "parity" else theirs[name] <= wish
            if not fits:
                return False
        return True

    def words(self, name: str) -> str:
        """One of the wishes as a sentence carries it: ``6 to 8 edge letters``, ``no parity``."""
        wish = self.wishes[name]
        if name == "parity":
            return "parity" if wish else "no parity"
        if name not in MOST:
            states = listed([state for state in BUFFER_STATES if state in wish], "or")
            return f"the {_words(name)} {states}"
        low, high = wish
        if low == high:
            number, counted = str(low or "no"), low
        elif low == 0:
            number, counted = f"at most {high}", high
        elif high >= MOST[name]:
            number, counted = f"at least {low}", low
        else:
            number, counted = f"{low} to {high}", high
        return f"{number} {NOUNS[name][counted != 1]}"

    def __str__(self) -> str:
        return listed([self.words(name) for name in self.wishes]) or "any features"


#: No wish at all.
ANY = Features()


def features_of(read: Plan | Sequence[OrbitReading]) -> Features:
    """All the features of a cube that was read: a plan, or the readings of both orbits of a 3x3x3.

    Raises ReadingError for other readings.
    """
    readings = {reading.orbit.name: reading for reading in (read if isinstance(read, Sequence) else read.orbits)}
    if set(readings) != {"edges", "corners"} or any(reading.orbit.size != 3 for reading in readings.values()):
        raise ReadingError("features are known of a 3x3x3 only, its edges and corners read together")
    edges, corners = readings["edges"], readings["corners"]
    found = {
        "edge_letters": len(edges.targets),
        "corner_letters": len(corners.targets),
        "letters": len(edges.targets) + len(corners.targets),
        "edge_breaks": edges.breaks,
        "corner_breaks": corners.breaks,
        "breaks": edges.breaks + corners.breaks,
        "flipped": len(edges.in_place),
        "twisted": len(corners.in_place),
        "solved_edges": _solved(edges),
        "solved_corners": _solved(corners),
    }
    return Features(
        **{name: (number, number) for name, number in found.items()},
        parity=edges.odd,
        edge_buffer=frozenset({_buffer(edges)}),
        corner_buffer=frozenset({_buffer(corners)}),
    )


def _buffer(reading: OrbitReading) -> str:
    away = bool(reading.cycles) and reading.cycles[0].kind == "buffer"
    return "away" if away else "turned" if reading.buffer_turned else "home"


def _solved(reading: OrbitReading) -> int:
    """How many pieces were right when the orbit was read, the buffer's included.

    A piece that is not right is met once by its letter, but the one broken into is met again where the cycle closes.
    """
    unsolved = len(reading.targets) - reading.breaks + (_buffer(reading) != "home")
    return len(reading.orbit.pieces) - unsolved


def parse_features(texts: Mapping[str, str | None]) -> Features:
    """Features from texts by name; a text that is None wishes for nothing.

    Numbers are written ``8``, ``6..8``, ``6..`` or ``..8``, parity ``yes`` or ``no``, and a buffer's state ``home``,
    ``turned`` or ``away``, or several of these with commas.  Raises FeatureError for anything else.
    """
    known = [field.name for field in fields(Features)]
    read: dict[str, Any] = {}
    for name, text in texts.items():
        if name not in known:
            raise FeatureError(f"“{name[:40]}” is no feature; features are {', '.join(known)}")
        if text is None:
            continue
        if name in MOST:
            read[name] = parse_range(text, name)
        elif name == "parity":
            if text.strip().lower() not in ("yes", "no"):
                raise FeatureError(f"parity must be yes or no, not “{text[:24]}”")
            read[name] = text.strip().lower() == "yes"
        else:
            words = [word for word in re.split(r"[\s,|/]+|\bor\b", text.lower()) if word]
            for word in words or [text]:
                if word not in BUFFER_STATES:
                    raise FeatureError(_no_buffer_state(name, word))
            read[name] = frozenset(words)
    return Features(**read)


def parse_range(text: str, name: str) -> Range:
    """The range that ``text`` writes for the feature ``name`` (a key of ``MOST``): ``8``, ``6..8``, ``6..``, ``..8``.

    Raises FeatureError for other text and for a range that runs backwards.
    """
    noun = NOUNS[name][1]
    match = _RANGE.fullmatch(text.strip())
    if match is None or text.strip() == "..":
        raise FeatureError(f"{noun}: “{text[:24]}” is no number or range; write 8, 6..8, 6.. or ..8")
    alone, low, high = match.groups()
    if alone is not None:
        return int(alone), int(alone)
    least = int(low or 0)
    most = int(high) if high else max(least, MOST[name])
    if least > most:
        raise FeatureError(f"{noun}: {text.strip()} runs backwards; write {most}..{least}")
    return least, most


def _words(name: str) -> str:
    return name.replace("_", " ")


def _no_buffer_state(name: str, word: object) -> str:
    return f"the {_words(name)} cannot be “{str(word)[:24]}”; it can be {_ANY_STATE}"
