"""A short algorithm for the parity step, found when a method gives none.

What two odd orbits leave behind is nearly always an exchange of two corners and two edges.  All such exchanges are
conjugates of one another, so a search over setup turns from the wanted exchange to one that a known algorithm makes,
in any of the 48 ways to hold or mirror it, always succeeds, and looks at no more than some ten thousand exchanges.
"""

from __future__ import annotations

from functools import cache

from nightfold.cube.geometry import (
    Permutation,
    compose,
    identity,
    inverse,
    permutation_of,
    rotation_permutations,
    turn_permutation,
)
from nightfold.cube.notation import FACE_LETTERS, Turn, invert, parse_turns
from nightfold.cube.sequences import cancel, mirror, rotate
from nightfold.cube.state import Cube

#: Algorithms that exchange two corners and two edges (common practice, no source).  What they do is computed.
EXCHANGES = {
    "T perm": "R U R' U' R' F R2 U' R' U' R U R' F'",
    "Y perm": "F R U' R' U' R U R' F' R U R' U' R' F R F'",
    "R perm": "R U R' F' R U2 R' U2 R' F R U R U2 R' U'",
    "J perm": "R U R' F' R U R' U' R' F R2 U' R' U'",
}
_DEEPEST = 6


@cache
def _known() -> dict[Permutation, tuple[Turn, ...]]:
    """Effects of the known algorithms, held and mirrored every way, with the shortest turns for each."""
    best: dict[Permutation, tuple[Turn, ...]] = {}
    for text in EXCHANGES.values():
        turns = parse_turns(text)
        for shape in (turns, mirror(turns), invert(turns), mirror(invert(turns))):
            for rotation in rotation_permutations(3):
                held = tuple(turn.plain for turn in rotate(shape, rotation))
                effect = permutation_of(held, 3)
                if effect not in best or len(held) < len(best[effect]):
                    best[effect] = held
    return best


def find_parity(wanted: Permutation) -> tuple[Turn, ...] | None:
    """The shortest known algorithm, set up by as few turns as possible, whose effect on a 3x3x3 is ``wanted``.

    Returns the empty sequence when nothing is to be done, None when ``wanted`` is no exchange of two corners and
    two edges.
    """
    if wanted == identity(3):
        return ()
    # Exchanging two corners and two edges moves 6 + 4 stickers, and doing it twice restores them; nothing else does.
    if sum(place != source for place, source in enumerate(wanted)) != 10 or compose(wanted, wanted) != identity(3):
        return None
    known = _known()
    turns = [Turn(face, 1, 1, amount) for face in FACE_LETTERS for amount in (1, 2, -1)]
    steps = [(turn, turn_permutation(3, turn), inverse(turn_permutation(3, turn))) for turn in turns]
    level: dict[Permutation, tuple[Turn, ...]] = {wanted: ()}
    seen = set(level)
    for _ in range(_DEEPEST):
        found = [cancel(setup + known[effect] + invert(setup)) for effect, setup in level.items() if effect in known]
        if found:
            return min(found, key=lambda sequence: (len(sequence), sequence))
        deeper: dict[Permutation, tuple[Turn, ...]] = {}
        for effect, setup in level.items():
            for turn, source, back in steps:
                conjugate = compose(compose(back, effect), source)
                if conjugate not in seen:
                    seen.add(conjugate)
                    deeper[conjugate] = (*setup, turn)
        level = deeper
        if not level:
            break
    return None


def best_parity(wanted: Permutation) -> tuple[Turn, ...] | None:
    """The easiest parity algorithm for the hands: the known ones set up, or what the finder has for right hand turns.

    Where ``wanted`` is no exchange of two corners and two edges, all face turns are searched too.  None when there is
    nothing within reach.
    """
    known = find_parity(wanted)
    if known == ():
        return known
    # The finder is native code and some time's work, needed only by a method that gives no parity algorithm.
    from nightfold.search.finding import find
    from nightfold.search.hands import default_hands

    cube = Cube(3, wanted)
    candidates = [known] if known else []
    candidates += [found.turns for found in find(cube, "R U F", longest=14).algorithms[:1]]
    if not candidates:
        candidates += [found.turns for found in find(cube, longest=12).algorithms[:1]]
    return min(candidates, key=lambda turns: (default_hands().cost(turns), len(turns)), default=None)
