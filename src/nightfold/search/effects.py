"""What an algorithm is wanted to do: cycles of stickers, written down and made into a cube."""

from __future__ import annotations

from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import geometry, identity, inverse
from nightfold.cube.net import is_odd
from nightfold.cube.state import Cube


class EffectError(NightfoldError):
    """A wanted effect that cannot be read, or that no turns can have."""


def parse_effect(text: str) -> Cube:
    """The cube that a wanted effect makes of a solved one.

    ``UF UR DB`` sends the sticker at UF to UR, that at UR to DB, that at DB to UF, each taking its whole piece along;
    ``;`` sets cycles apart.  Two stickers are an exchange (``UR UL``), two of one edge a flip (``UF FU``), three of one
    corner a twist (``UFR RUF FUR``, clockwise).  Raises EffectError.
    """
    geo = geometry(3)
    goes: dict[int, int] = {}
    for number, part in enumerate(text.split(";"), 1):
        names = part.replace(",", " ").replace(">", " ").split()
        if not names:
            if text.strip(" ;"):
                continue
            raise EffectError("no effect is given; name stickers in the order they are to move, as in UF UR DB")
        stickers = [geo.sticker(name) for name in names]
        orbits = {orbit.name if (orbit := geo.orbit_of(sticker)) else "centres" for sticker in stickers}
        if len(orbits) > 1 or "centres" in orbits:
            kinds = "corners with edges" if "centres" not in orbits else "centres, which stay where they are"
            raise EffectError(f"cycle {number} ({part.strip()[:60]}) mixes {kinds}; a cycle is of edges or of corners")
        if len(names) == 1:
            raise EffectError(f"cycle {number} names only {names[0]}; a cycle needs at least two stickers")
        for before, after in zip(stickers, stickers[1:] + stickers[:1], strict=True):
            here, there = geo.piece_of(before), geo.piece_of(after)
            at, to = here.index(before), there.index(after)
            for step in range(len(here)):
                place, target = here[(at + step) % len(here)], there[(to + step) % len(there)]
                if goes.setdefault(place, target) != target:
                    raise EffectError(
                        f"cycle {number} ({part.strip()[:60]}) sends {geo.names[place]} to both "
                        f"{geo.names[goes[place]]} and {geo.names[target]}; each sticker can go to one place"
                    )
    if len(set(goes.values())) != len(goes) or set(goes) != set(goes.values()):
        doubled = [geo.names[s] for s in goes.values() if list(goes.values()).count(s) > 1 or s not in goes]
        raise EffectError(f"two stickers would end at {doubled[0]}; each place can take one")
    moved = list(identity(3))
    for place, target in goes.items():
        moved[target] = place
    return Cube(3, tuple(moved))


def illegal_reason(cube: Cube) -> str:
    """Why turns cannot reach this 3x3x3, in words; empty if they can.  Centres must be home."""
    reasons = []
    edges, corners = cube.pieces("edges"), cube.pieces("corners")
    if is_odd([piece for piece, _ in edges]) != is_odd([piece for piece, _ in corners]):
        reasons.append("it exchanges an odd number of pieces in all; another exchange of two pieces is needed")
    if sum(turned for _, turned in edges) % 2:
        reasons.append("it flips an odd number of edges; edges flip in pairs")
    if sum(turned for _, turned in corners) % 3:
        reasons.append("its corner twists do not add up to whole turns; a clockwise twist needs an anticlockwise one")
    return "; ".join(reasons)


def moved_pieces(cube: Cube) -> tuple[str, ...]:
    """The pieces that are not where and how they were."""
    geo = geometry(3)
    back = inverse(cube.stickers)
    moved = [s for s in range(len(back)) if back[s] != s and geo.orbit_of(s)]
    return tuple(dict.fromkeys(geo.piece_name(sticker) for sticker in moved))
