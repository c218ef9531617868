"""Recognising conjugates and commutators: writing a plain sequence as ``[A: [B, C]]`` where it is one."""

from __future__ import annotations

from collections.abc import Iterator

from nightfold.cube.notation import Algorithm, Commutator, Conjugate, Node, Turn, invert
from nightfold.cube.sequences import normal_form


def as_brackets(turns: tuple[Turn, ...]) -> Algorithm | None:
    """The shortest of the forms ``[B, C]``, ``[A: [B, C]]`` and ``[A: B]`` that does exactly these turns.

    Turns that cancel where the parts meet are allowed for.  Commutators are preferred to plain conjugates, and fewer
    written turns to more.  None when the sequence is neither.  Multiplied out and cleared of waste, the form gives the
    sequence again, up to the order of parallel turns.
    """
    whole = normal_form(turns)
    best: tuple[tuple[int, int], tuple[Node, ...]] | None = None
    for setup in _setups(whole):
        core = normal_form(invert(setup) + whole + setup)
        if not core:
            continue
        pair = _commutator(core)
        if pair is not None:
            node: Node = Commutator(*pair)
            if setup:
                node = Conjugate(setup, (node,))
            written = len(setup) + len(pair[0]) + len(pair[1])
            key = (0, written)
        elif setup and len(core) + len(setup) < len(whole):
            node, key = Conjugate(setup, core), (1, len(core) + len(setup))
        else:
            continue
        if best is None or key < best[0]:
            best = key, (node,)
    return Algorithm(best[1]) if best else None


def _setups(whole: tuple[Turn, ...]) -> Iterator[tuple[Turn, ...]]:
    """Beginnings of the sequence, also with their last turn made by another amount (the rest having cancelled)."""
    yield ()
    for length in range(1, len(whole) // 2 + 1):
        yield whole[:length]
        for amount in (1, 2, -1):
            if amount != whole[length - 1].plain.amount:
                yield (*whole[: length - 1], whole[length - 1]._replace(amount=amount))


def _commutator(core: tuple[Turn, ...]) -> tuple[tuple[Turn, ...], tuple[Turn, ...]] | None:
    """Parts B and C with ``[B, C]`` equal to ``core``, the shortest; None if there are none."""
    length = len(core)
    for total in range(2, length):
        if 2 * total < length:
            continue
        for split in range(1, total):
            first, second = core[:split], core[split:total]
            if normal_form(first + second + invert(first) + invert(second)) == core:
                return first, second
    return None
