"""What is wrong with an impossible cube, in words, and what would put it right.

A net that can be read may still show a cube that no turns lead to: a sticker typed wrongly, or a cube put together
wrongly.  ``diagnose`` names every fault it can pin down and lists the possible cubes that are one repair away.
The laws it goes by are stated at the head of ``nightfold.cube.net``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Literal

from nightfold.cube.geometry import OPPOSITE, Orbit, geometry, turn_permutation
from nightfold.cube.net import (
    COLOUR_NAMES,
    STANDARD_COLOURS,
    Family,
    Located,
    Net,
    face_colours,
    families,
    fixed_centres,
    is_odd,
    is_possible,
    listed,
    parse_net,
)
from nightfold.cube.notation import FACE_LETTERS, Turn

#: What can be wrong: a colour's number; two fixed centres of one colour; the whole net seen in a mirror; a piece that
#: does not exist; a piece that is there twice; a flipped edge; a twisted corner; two pieces exchanged.
ProblemKind = Literal["count", "centres", "mirror", "piece", "repeat", "flip", "twist", "exchange"]
#: What can be done: read one sticker otherwise; turn one face of the net as it was typed; exchange two stickers;
#: flip an edge, twist a corner or exchange two pieces of the cube itself.
RepairKind = Literal["sticker", "face", "stickers", "flip", "twist", "exchange"]

#: Slips of the eye or the hand before faults of the cube itself, and a small fault of the cube before a large one.
_LIKELY = {"sticker": 0, "face": 1, "stickers": 2, "flip": 3, "twist": 3, "exchange": 4}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: its kind, a sentence, and the stickers where it shows (none: it may be anywhere)."""

    kind: ProblemKind
    sentence: str
    stickers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Repair:
    """One change that makes the cube possible: its kind, a sentence that says what to do, and the net it gives."""

    kind: RepairKind
    sentence: str
    net: Net


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What ``diagnose`` found.  ``repairs`` come most plausible first; ``repairs_found`` counts them all."""

    net: Net
    problems: tuple[Problem, ...]
    repairs: tuple[Repair, ...]
    repairs_found: int

    @property
    def possible(self) -> bool:
        """True when turns lead to this cube."""
        return not self.problems

    @property
    def sentence(self) -> str:
        """The whole in one sentence."""
        return describe(self.problems)

    @property
    def advice(self) -> str:
        """How one repair would mend it, to be put behind the sentence; empty where none would."""
        if not self.repairs:
            return ""
        if self.repairs_found == 1:
            return f"; one repair mends it: {self.repairs[0].sentence}"
        return f"; one repair mends it, in {self.repairs_found} ways, such as: {self.repairs[0].sentence}"


def diagnose(net: Net | str, most: int = 240) -> Diagnosis:
    """Say whether ``net`` is a possible cube and, if not, what is wrong and what one repair would mend it.

    Repairs are ordered by kind (slips in reading the colours before faults of the cube), then by how few stickers
    change, then by how many stickers end at home; the first ``most`` are kept.  Several faults at once may leave no
    repair.  Raises NetError only for text that is no net.
    """
    if isinstance(net, str):
        net = parse_net(net)
    problems = find_problems(net)
    repairs = find_repairs(net, problems)
    return Diagnosis(net, problems, repairs[:most], len(repairs))


def describe(problems: Sequence[Problem]) -> str:
    """The first faults in one sentence, and how many more there are."""
    if not problems:
        return "turns lead to this cube; nothing is wrong with it"
    sentence = "no turns lead to this cube: " + "; also, ".join(problem.sentence for problem in problems[:2])
    more = len(problems) - 2
    return sentence + (f"; and {more} more fault{'s' * (more > 1)}" if more > 0 else "")


# --- words -------------------------------------------------------------------------------------------------


def colour_word(net: Net, symbol: str) -> str:
    """What to call a colour: its name where all six are the standard ones, else the symbol in quotation marks."""
    return COLOUR_NAMES[symbol] if set(net.symbols) == set(STANDARD_COLOURS) else f"“{symbol}”"


def _word(orbit: Orbit) -> str:
    return orbit.name.split()[0].removesuffix("s")


def _shown_at(net: Net, place: Sequence[int]) -> list[str]:
    return [colour_word(net, net.symbols[sticker]) for sticker in place]


# --- what is wrong -----------------------------------------------------------------------------------------


def find_problems(net: Net) -> tuple[Problem, ...]:
    """Everything that is wrong with ``net``, colours first, then pieces, then how they are turned and exchanged.

    Where fixed centres or corners contradict one another, the rest is judged by the colours that make most sense
    of them (``face_colours``).
    """
    colours = face_colours(net)
    faces = [colours.index(symbol) for symbol in net.symbols]
    problems = [*_count_problems(net), *_centre_problems(net)]
    odd: dict[str, bool] = {}
    sums: list[Problem] = []
    for family in families(net.size):
        located = family.locate(faces)
        numbers = [found[0] for found in located if found is not None]
        if len(set(numbers)) < len(located):
            problems += _piece_problems(net, colours, family, located)
            continue
        turned = sum(found[1] for found in located if found is not None)
        if family.orbit.turns_of_piece == 3 and turned % 3:
            which, remedy = ("clockwise", "anticlockwise")[:: 1 if turned % 3 == 1 else -1]
            sums.append(
                Problem(
                    "twist",
                    f"one corner is twisted {which}: turns never twist one corner alone, "
                    f"so one must be twisted {remedy} to put that right",
                )
            )
        if family.orbit.turns_of_piece == 2 and turned % 2:
            word = _word(family.orbit)
            sums.append(
                Problem(
                    "flip",
                    f"one {word} is flipped: turns never flip one {word} alone, "
                    "so one must be flipped to put that right",
                )
            )
        if family.orbit.turns_of_piece > 1:
            odd[_word(family.orbit)] = is_odd(numbers)
    if len(set(odd.values())) > 1:
        (one, is_one_odd), (other, _) = odd.items()
        first, second = ("an odd", "an even") if is_one_odd else ("an even", "an odd")
        sums.append(
            Problem(
                "exchange",
                f"two pieces are exchanged: turns exchange {one}s and {other}s in step, and here the {one}s need "
                f"{first} number of exchanges and the {other}s {second} one",
            )
        )
    return (*problems, *sums)


def _uneven(net: Net, members: Sequence[int], each: int) -> tuple[list[str], tuple[int, ...]]:
    """``10 stickers are white``, ``8 yellow`` … for the colours not there ``each`` times; the stickers too many."""
    count = Counter(net.symbols[sticker] for sticker in members)
    wrong = sorted((s for s in set(net.symbols) if count[s] != each), key=lambda s: (-count[s], s))
    many = tuple(sticker for sticker in members if count[net.symbols[sticker]] > each)
    words = [f"{count[symbol]} {colour_word(net, symbol)}" for symbol in wrong]
    return [words[0].replace(" ", " stickers are ", 1), *words[1:]] if words else [], many


def _count_problems(net: Net) -> Iterator[Problem]:
    area = net.size * net.size
    wrong, many = _uneven(net, range(6 * area), area)
    if wrong:
        yield Problem("count", f"{listed(wrong)}; there must be {area} of each", many)
    for orbit in geometry(net.size).orbits:
        if orbit.alike:
            wrong, many = _uneven(net, orbit.stickers, 4)
            if wrong:
                yield Problem("count", f"among the {orbit.name}, {listed(wrong)}; there must be 4 of each", many)


def _centre_problems(net: Net) -> Iterator[Problem]:
    by_colour: dict[str, list[int]] = {}
    for sticker in fixed_centres(net.size):
        by_colour.setdefault(net.symbols[sticker], []).append(sticker)
    missing = [colour_word(net, symbol) for symbol in sorted(set(net.symbols) - set(by_colour))]
    for symbol, stickers in by_colour.items():
        if len(stickers) > 1:
            at = listed([geometry(net.size).faces[sticker] for sticker in stickers])
            yield Problem(
                "centres",
                f"the centres of {at} are {'both' if len(stickers) == 2 else 'all'} {colour_word(net, symbol)}, "
                f"and no centre is {listed(missing, 'or')}",
                tuple(stickers),
            )


def _piece_problems(
    net: Net, colours: tuple[str, ...], family: Family, located: Sequence[Located]
) -> Iterator[Problem]:
    """The pieces of one family that do not exist or are there more than once, and those missing."""
    names = geometry(net.size).names
    word = _word(family.orbit)
    places_of: dict[int, list[tuple[int, ...]]] = {}
    strangers = []
    for place, found in zip(family.places, located, strict=True):
        if found is None:
            strangers.append(place)
        else:
            places_of.setdefault(found[0], []).append(place)
    missing = [
        _piece_words(net, colours, family, piece) for piece in range(len(family.places)) if piece not in places_of
    ]
    reasons = [_why_not(net, colours, place) for place in strangers]
    if len(strangers) == len(family.places) and all(kind == "mirror" for kind, _ in reasons):
        yield Problem(
            "mirror",
            "every corner's colours run the wrong way round, as in a mirror: "
            "two opposite faces or their centres have changed places",
            fixed_centres(net.size),
        )
        return
    for place, (kind, reason) in zip(strangers, reasons, strict=True):
        sentence = f"the {word} at {names[place[0]]} shows {reason}"
        if len(missing) == 1:
            sentence += f"; it must be {missing[0]}, the only {word} missing"
        elif kind == "mirror":
            first, *others = _shown_at(net, place)
            sentence += f"; the real one runs {', '.join([first, *reversed(others)])}"
        yield Problem("piece", sentence, place)
    told = False
    for piece, places in places_of.items():
        if len(places) > 1:
            at = listed([names[place[0]] for place in places])
            times = "twice" if len(places) == 2 else f"{len(places)} times"
            sentence = f"{_piece_words(net, colours, family, piece)} is there {times}, at {at}"
            if not told:
                shown = listed(missing) if len(missing) <= 3 else f"{missing[0]} and {len(missing) - 1} more"
                sentence += f"; missing {'is' if len(missing) == 1 else 'are'} {shown}"
                told = True
            yield Problem("repeat", sentence, tuple(sticker for place in places for sticker in place))


def _piece_words(net: Net, colours: tuple[str, ...], family: Family, piece: int) -> str:
    """``the white and green edge``; of wings there are two of each pair of colours."""
    area = net.size * net.size
    shown = listed([colour_word(net, colours[sticker // area]) for sticker in family.places[piece]])
    word = _word(family.orbit)
    return f"one of the two {shown} {family.orbit.name}" if word == "wing" else f"the {shown} {word}"


def _why_not(net: Net, colours: tuple[str, ...], place: tuple[int, ...]) -> tuple[str, str]:
    """Why no piece shows the colours at ``place``: ``twice``, ``opposite`` or ``mirror``, and the words for it."""
    shown = _shown_at(net, place)
    count = Counter(shown)
    word, times = count.most_common(1)[0]
    if times > 1:
        rest = [other for other in count if other != word]
        return "twice", " and ".join([f"{word} {'twice' if times == 2 else 'three times'}", *rest])
    letters = [FACE_LETTERS[colours.index(net.symbols[sticker])] for sticker in place]
    for (a, one), (b, other) in combinations(zip(letters, shown, strict=True), 2):
        if OPPOSITE[a] == b:
            return "opposite", f"{listed(shown)}, but {one} and {other} are opposite colours"
    return "mirror", f"{', '.join(shown)} going clockwise, which is the wrong way round"


# --- what would put it right -------------------------------------------------------------------------------


def find_repairs(net: Net, problems: Sequence[Problem]) -> tuple[Repair, ...]:
    """The possible cubes one repair away from ``net``, whose faults are ``problems``, most plausible first.

    Tried are: one sticker showing another colour; two stickers exchanged; one face of the net turned; and, where
    every piece is there once, one edge or midge flipped, one corner twisted, two corners or two edges or midges
    exchanged in every orientation.  Of several ways to the same cube the most plausible is kept.
    """
    if not problems:
        return ()
    kinds = {problem.kind for problem in problems}
    found: list[Repair] = []
    if kinds <= {"flip", "twist", "exchange"}:
        found += [*_turned_pieces(net), *_exchanged_pieces(net)]
    else:
        found += [*_one_sticker(net), *_two_stickers(net, problems)]
    found += _turned_faces(net)
    home = face_colours(net)
    area = net.size * net.size

    def plausible(repair: Repair) -> tuple[int, int, int]:
        pairs = zip(repair.net.symbols, net.symbols, strict=True)
        at_home = sum(symbol == home[i // area] for i, symbol in enumerate(repair.net.symbols))
        return _LIKELY[repair.kind], sum(a != b for a, b in pairs), -at_home

    distinct: dict[tuple[str, ...], Repair] = {}
    for repair in sorted(found, key=plausible):
        distinct.setdefault(repair.net.symbols, repair)
    return tuple(distinct.values())


def _try(kind: RepairKind, sentence: str, net: Net, changes: dict[int, str]) -> Iterator[Repair]:
    repaired = net.with_symbols(changes)
    if is_possible(repaired):
        yield Repair(kind, sentence, repaired)


def _sticker_word(net: Net, sticker: int) -> str:
    name = geometry(net.size).names[sticker]
    return f"the centre of {name}" if sticker in fixed_centres(net.size) else f"the sticker {name}"


def _one_sticker(net: Net) -> Iterator[Repair]:
    """One sticker read as another colour: possible only where one colour is there once too often, one too rarely."""
    area = net.size * net.size
    count = Counter(net.symbols)
    off = {symbol: number - area for symbol, number in count.items() if number != area}
    if sorted(off.values()) != [-1, 1]:
        return
    few, many = sorted(off, key=lambda symbol: off[symbol])
    for sticker, symbol in enumerate(net.symbols):
        if symbol == many:
            new, old = colour_word(net, few), colour_word(net, many)
            sentence = f"make {_sticker_word(net, sticker)} {new} instead of {old}"
            yield from _try("sticker", sentence, net, {sticker: few})


def _two_stickers(net: Net, problems: Sequence[Problem]) -> Iterator[Repair]:
    """Two stickers exchanged.  One of them is where a fault shows, or both are fixed centres."""
    area = net.size * net.size
    if any(number != area for number in Counter(net.symbols).values()):
        return
    centres = fixed_centres(net.size)
    pairs = set(combinations(centres, 2))
    suspects = sorted({sticker for problem in problems for sticker in problem.stickers})
    # One exchange changes at most two pieces: to bring back two that are missing it must change two that are at
    # fault, and it cannot bring back more.  One alone may be brought back by way of a sound piece.
    match _missing(net):
        case 0 | 1:
            pairs |= {(min(a, b), max(a, b)) for a, b in product(suspects, range(6 * area)) if a != b}
        case 2:
            pairs |= set(combinations(suspects, 2))
    for a, b in sorted(pairs):
        one, other = net.symbols[a], net.symbols[b]
        if one != other:
            sentence = (
                f"exchange {_sticker_word(net, a)} ({colour_word(net, one)}) "
                f"with {_sticker_word(net, b)} ({colour_word(net, other)})"
            )
            yield from _try("stickers", sentence, net, {a: other, b: one})


def _missing(net: Net) -> int:
    """How many pieces are not there, centres included."""
    colours = face_colours(net)
    faces = [colours.index(symbol) for symbol in net.symbols]
    centres = fixed_centres(net.size)
    missing = len(centres) - len({net.symbols[sticker] for sticker in centres})
    for family in families(net.size):
        located = family.locate(faces)
        missing += len(located) - len({found[0] for found in located if found is not None})
    for orbit in geometry(net.size).orbits:
        if orbit.alike:
            count = Counter(net.symbols[sticker] for sticker in orbit.stickers)
            missing += sum(max(0, 4 - count[symbol]) for symbol in colours)
    return missing


def _turned_faces(net: Net) -> Iterator[Repair]:
    """One face of the net turned in itself, the stickers round it left where they are."""
    area = net.size * net.size
    amounts = ((1, "a quarter turn clockwise"), (-1, "a quarter turn anticlockwise"), (2, "a half turn"))
    for face, letter in enumerate(FACE_LETTERS):
        for amount, words in amounts:
            source = turn_permutation(net.size, Turn(letter, 1, 1, amount))
            changes = {place: net.symbols[source[place]] for place in range(face * area, (face + 1) * area)}
            yield from _try("face", f"turn what is typed for the face {letter} by {words}", net, changes)


def _placed(net: Net, place: Sequence[int], source: Sequence[int], turned: int) -> dict[int, str]:
    """The changes that put what shows at ``source`` into ``place``, turned by that many steps clockwise."""
    return {place[(step + turned) % len(place)]: net.symbols[at] for step, at in enumerate(source)}


def _turning_families(net: Net) -> list[Family]:
    return [family for family in families(net.size) if family.orbit.turns_of_piece > 1]


def _turned_pieces(net: Net) -> Iterator[Repair]:
    names = geometry(net.size).names
    for family in _turning_families(net):
        for place in family.places:
            piece = f"the {listed(_shown_at(net, place))} {_word(family.orbit)} at {names[place[0]]}"
            if len(place) == 2:
                yield from _try("flip", f"flip {piece}", net, _placed(net, place, place, 1))
            else:
                yield from _try("twist", f"twist {piece} clockwise", net, _placed(net, place, place, 1))
                yield from _try("twist", f"twist {piece} anticlockwise", net, _placed(net, place, place, 2))


def _exchanged_pieces(net: Net) -> Iterator[Repair]:
    names = geometry(net.size).names
    for family in _turning_families(net):
        for one, other in combinations(family.places, 2):
            for there, back in product(range(len(one)), repeat=2):
                sentence = (
                    f"exchange the {_word(family.orbit)}s at {names[one[0]]} and {names[other[0]]}, with the sticker "
                    f"at {names[one[0]]} going to {names[other[there]]} and that at {names[other[0]]} "
                    f"to {names[one[back]]}"
                )
                changes = _placed(net, other, one, there) | _placed(net, one, other, back)
                yield from _try("exchange", sentence, net, changes)
