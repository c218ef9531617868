"""What a solver's own mistakes say about the chances of the inquest's catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass

from nightfold.coach.mistakes import catalogue

#: Every kind is taken to have happened so many times more, both as expected and as seen: few attempts change little.
SMOOTHING = 2.0


@dataclass(frozen=True, slots=True)
class Exposure:
    """How often mistakes could have happened, over some attempts."""

    solves: int = 0
    letters: int = 0
    cycles: int = 0
    parities: int = 0
    turns: int = 0

    def __add__(self, other: Exposure) -> Exposure:
        return Exposure(*(mine + its for mine, its in zip(astuple(self), astuple(other), strict=True)))

    def __sub__(self, other: Exposure) -> Exposure:
        return Exposure(*(mine - its for mine, its in zip(astuple(self), astuple(other), strict=True)))

    def times(self, each: str) -> float:
        """How often what happens once for each letter, pair, cycle, step, turn, place, orbit or solve could happen."""
        return {
            "letter": self.letters,
            "pair": self.letters / 2,
            "cycle": self.cycles,
            "step": self.letters + self.parities,
            "turn": self.turns,
            "place": self.turns + self.solves,
            "orbit": 2 * self.solves,
            "solve": self.solves,
        }[each]


def expected(exposure: Exposure) -> dict[str, float]:
    """How many mistakes of each kind the catalogue's own chances lead one to expect."""
    return {name: kind.chance * exposure.times(kind.each) for name, kind in catalogue().items()}


def factors(seen: Mapping[str, float], exposure: Exposure) -> dict[str, float]:
    """By what to multiply the chance of each kind, for the ``priors`` of an inquest.

    ``seen`` counts a solver's mistakes of each kind, each with its probability.  A kind seen as often as expected keeps
    its chance; SMOOTHING keeps a handful of attempts from deciding.  This is the posterior mean of a rate under a
    gamma prior whose mean is the catalogue's and whose weight is SMOOTHING expected mistakes.  Kinds whose chance is
    nil in the catalogue are left out.
    """
    due = expected(exposure)
    return {
        name: (seen.get(name, 0.0) + SMOOTHING) / (due[name] + SMOOTHING)
        for name, kind in catalogue().items()
        if kind.chance > 0
    }
