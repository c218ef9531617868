"""What is to be found, said in one of three ways: stickers that move, an algorithm's effect, a method's parity."""

from __future__ import annotations

from nightfold.blind.method import Method
from nightfold.cube.state import Cube
from nightfold.search.effects import EffectError, parse_effect

#: What parity asks for is far for all faces together, and near for the turns the hands like best.
PARITY_TURNS = "R U F"


def wanted_effect(want: str | None = None, like: str | None = None, parity: Method | None = None) -> Cube:
    """The cube that the wanted effect makes of a solved one.

    Just one is given: ``want``, cycles of stickers as ``parse_effect`` reads them; ``like``, an algorithm with the
    same effect; or ``parity``, a method, for what two odd orbits leave behind in it.  Raises EffectError, and
    NotationError for the algorithm.
    """
    if sum(given is not None for given in (want, like, parity)) != 1:
        raise EffectError(
            "say what to find in one way: stickers as in UF UR DB, an algorithm with the same effect (like), or a "
            "method whose parity it mends (parity)"
        )
    if like is not None:
        return Cube.from_turns(like)
    return parity.parity_effect if parity is not None else parse_effect(want or "")
