"""The score of a word as a picture for a pair: five marks and their weights, which are in ``weights.toml``."""

from __future__ import annotations

from dataclasses import dataclass

from nightfold.memory.lexicon import Entry, weights


@dataclass(frozen=True, slots=True)
class Marks:
    """Five marks from 0 to 1; None where nothing is known.

    ``pattern`` says how easily the word leads back to its letters.
    """

    picturable: float | None
    common: float
    short: float
    kind: float | None
    pattern: float

    @property
    def score(self) -> float:
        """The mean of the marks there are, weighted, from 0 to 1."""
        given: dict[str, float | None] = {name: getattr(self, name) for name in weights()["score"]}
        known = [(mark, weights()["score"][name]) for name, mark in given.items() if mark is not None]
        return round(sum(mark * weight for mark, weight in known) / sum(weight for _, weight in known), 4)


def _slope(value: float, nothing: float, full: float) -> float:
    """How far a value lies on the way from where there is nothing to the full mark."""
    return min(1.0, max(0.0, (value - nothing) / (full - nothing)))


def marks(entry: Entry, pattern: float) -> Marks:
    """The marks of a word that stands for a pair by a pattern of this weight."""
    scale = weights()
    common, short = scale["common"], scale["short"]
    frequent = _slope(entry.zipf, common["none"], common["full"])
    if entry.concreteness is None:
        frequent = min(frequent, _slope(entry.zipf, common["far-too-common"], common["too-common"]))
    return Marks(
        picturable=picturable(entry),
        common=frequent,
        short=_slope(len(entry.word), short["none"], short["full"]),
        kind=scale["kind"][entry.kind] if entry.kind else None,
        pattern=pattern,
    )


def marks_of_two(one: Marks, two: Marks) -> Marks:
    """The marks of two words together: the mean of both, but for the kind, which is that of the second."""
    known = one.picturable is not None and two.picturable is not None
    return Marks(
        picturable=((one.picturable or 0.0) + (two.picturable or 0.0)) / 2 if known else None,
        common=(one.common + two.common) / 2,
        short=(one.short + two.short) / 2,
        kind=two.kind,
        pattern=two.pattern,
    )


class Scorer:
    """The scores of one word by the weight of the pattern, worked out but once each: those of its marks."""

    __slots__ = ("_known", "_sum", "_total")

    def __init__(self, entry: Entry) -> None:
        weight = weights()["score"]
        found = marks(entry, 0.0)
        self._sum = self._total = 0.0
        for mark, each in (
            (found.picturable, weight["picturable"]),
            (found.common, weight["common"]),
            (found.short, weight["short"]),
            (found.kind, weight["kind"]),
            (found.pattern, weight["pattern"]),
        ):
            if mark is not None:
                self._sum += each * mark
                self._total += each
        self._known: dict[float, float] = {}

    def __call__(self, pattern: float) -> float:
        """The score with a pattern of this weight."""
        known = self._known.get(pattern)
        if known is None:
            known = self._known[pattern] = round((self._sum + weights()["score"]["pattern"] * pattern) / self._total, 4)
        return known


def picturable(entry: Entry) -> float | None:
    """How easily the word is seen before the inner eye: concreteness, mixed with visual strength where it is known."""
    if entry.concreteness is None:
        return None
    mix = weights()["picturable"]
    concrete = (entry.concreteness - 1) / 4
    if entry.visual is None:
        return concrete
    share = mix["visual"] / (mix["concreteness"] + mix["visual"])
    return (1 - share) * concrete + share * min(1.0, entry.visual / 5)
