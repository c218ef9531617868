"""Text to turns and back: WCA Article 12a, and what the trade writes besides.

Read here: face turns ``R U' F2``; outer-block turns ``Rw 3Rw'`` and lower-case ``r`` (the same as ``Rw``);
rotations ``x y' z2``; middle slices ``M E S`` on cubes that have a middle layer; a single inner layer ``2R``
on cubes of four layers or more; groups ``(R U)3``; commutators ``[A, B]``; conjugates ``[A: B]``; all nested
as one likes.  ``R3`` is ``R'``; ``R2'`` is kept as written since it tells the hand which way to turn.

Sources: WCA Regulations, 1 January 2024, Article 12a and Guideline 12a2+ for face turns, outer-block turns and
rotations and for the range of the layer number; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from nightfold.cube.errors import GeometryError, NotationError

FACE_LETTERS = "ULFRBD"
ROTATION_LETTERS = "xyz"
SLICE_LETTERS = "MES"
MIN_SIZE, MAX_SIZE = 2, 7

#: The longest sequence of single turns that a text may expand to.
MAX_TURNS = 20_000
#: The longest text that is read at all, in characters.
MAX_TEXT = 200_000
#: How deep groups and brackets may be nested.
MAX_DEPTH = 40

_SUFFIX = {1: "", 2: "2", -1: "'", -2: "2'"}
_APOSTROPHES = "'’‘ʼ′`´＇"


class Turn(NamedTuple):
    """One turn: of a face, a block of layers, one inner layer, a middle slice, or the whole cube.

    ``letter`` is a face (``U L F R B D``), a rotation (``x y z``) or a slice (``M E S``).  For a face letter the
    layers ``outer`` to ``inner``, counted from that face and from 1, turn; both are 0 otherwise.  ``amount`` is
    the number of clockwise quarter turns: 1, 2, -1 or -2 (a half turn made the other way round).
    A named tuple, since replaying a plan looks up some hundreds of these.
    """

    letter: str
    outer: int
    inner: int
    amount: int

    def __str__(self) -> str:
        if self.inner <= 1:
            stem = self.letter
        elif self.outer == self.inner:
            stem = f"{self.inner}{self.letter}"
        elif self.inner == 2:
            stem = f"{self.letter}w"
        else:
            stem = f"{self.inner}{self.letter}w"
        return stem + _SUFFIX[self.amount]

    @property
    def is_rotation(self) -> bool:
        """True for x, y and z: nothing turns against anything else."""
        return self.letter in ROTATION_LETTERS

    @property
    def is_inner(self) -> bool:
        """True where only inner layers turn (``M``, ``2R``), which takes two outer-block turns to do."""
        return self.letter in SLICE_LETTERS or self.outer > 1

    @property
    def inverse(self) -> Turn:
        """The turn that takes this one back."""
        return self._replace(amount=-self.amount)

    @property
    def plain(self) -> Turn:
        """The same turn with a half turn written without a direction (``R2'`` becomes ``R2``)."""
        return self._replace(amount=2) if self.amount == -2 else self


@dataclass(frozen=True, slots=True)
class Group:
    """``(body)times``: a part done ``times`` times over; a negative number means its inverse."""

    body: tuple[Node, ...]
    times: int


@dataclass(frozen=True, slots=True)
class Commutator:
    """``[first, second]``: first, second, first undone, second undone."""

    first: tuple[Node, ...]
    second: tuple[Node, ...]
    times: int = 1


@dataclass(frozen=True, slots=True)
class Conjugate:
    """``[setup: body]``: setup, body, setup undone."""

    setup: tuple[Node, ...]
    body: tuple[Node, ...]
    times: int = 1


Node = Turn | Group | Commutator | Conjugate


@dataclass(frozen=True, slots=True)
class Algorithm:
    """A sequence as written, structure kept, for a cube of ``size`` layers.

    ``str(algorithm)`` writes it again; reading that gives an equal algorithm.
    """

    nodes: tuple[Node, ...]
    size: int = 3

    def __str__(self) -> str:
        return _write(self.nodes)

    def expand(self) -> tuple[Turn, ...]:
        """The single turns in order, groups and brackets multiplied out."""
        return tuple(_expand(self.nodes))

    def inverse(self) -> Algorithm:
        """The algorithm that takes this one back, brackets kept as brackets."""
        return Algorithm(_invert(self.nodes), self.size)

    def map_turns(self, change: Callable[[Turn], Turn]) -> Algorithm:
        """The same structure with every turn replaced by ``change(turn)``."""
        return Algorithm(_map(self.nodes, change), self.size)


# --- writing -----------------------------------------------------------------------------------------------


def write(turns: tuple[Turn, ...] | list[Turn]) -> str:
    """Turns as text, one space between them; the empty sequence gives the empty text."""
    return " ".join(map(str, turns))


def _times(times: int) -> str:
    if times == 1:
        return ""
    return ("" if times == -1 else str(abs(times))) + ("'" if times < 0 else "")


def _write(nodes: tuple[Node, ...]) -> str:
    words = []
    for node in nodes:
        if isinstance(node, Turn):
            words.append(str(node))
        elif isinstance(node, Group):
            words.append(f"({_write(node.body)}){_times(node.times)}")
        elif isinstance(node, Commutator):
            words.append(f"[{_write(node.first)}, {_write(node.second)}]{_times(node.times)}")
        else:
            words.append(f"[{_write(node.setup)}: {_write(node.body)}]{_times(node.times)}")
    return " ".join(words)


# --- multiplying out and turning round ---------------------------------------------------------------------


def invert(turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """The turns that take ``turns`` back: the last first, each the other way."""
    return tuple(turn.inverse for turn in reversed(turns))


def _invert(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    return tuple(_invert_node(node) for node in reversed(nodes))


def _invert_node(node: Node) -> Node:
    if isinstance(node, Turn):
        return node.inverse
    if isinstance(node, Group):
        return Group(node.body, -node.times)
    if isinstance(node, Commutator):
        return Commutator(node.second, node.first, node.times)
    return Conjugate(node.setup, _invert(node.body), node.times)


def _map(nodes: tuple[Node, ...], change: Callable[[Turn], Turn]) -> tuple[Node, ...]:
    def one(node: Node) -> Node:
        if isinstance(node, Turn):
            return change(node)
        if isinstance(node, Group):
            return Group(_map(node.body, change), node.times)
        if isinstance(node, Commutator):
            return Commutator(_map(node.first, change), _map(node.second, change), node.times)
        return Conjugate(_map(node.setup, change), _map(node.body, change), node.times)

    return tuple(map(one, nodes))


def _length(nodes: tuple[Node, ...]) -> int:
    """How many single turns ``nodes`` expand to, without expanding them."""
    total = 0
    for node in nodes:
        if isinstance(node, Turn):
            total += 1
        elif isinstance(node, Group):
            total += abs(node.times) * _length(node.body)
        elif isinstance(node, Commutator):
            total += abs(node.times) * 2 * (_length(node.first) + _length(node.second))
        else:
            total += abs(node.times) * (2 * _length(node.setup) + _length(node.body))
    return total


def _expand(nodes: tuple[Node, ...]) -> Iterator[Turn]:
    for node in nodes:
        if isinstance(node, Turn):
            yield node
            continue
        if isinstance(node, Group):
            once = tuple(_expand(node.body))
        elif isinstance(node, Commutator):
            first, second = tuple(_expand(node.first)), tuple(_expand(node.second))
            once = first + second + invert(first) + invert(second)
        else:
            setup = tuple(_expand(node.setup))
            once = setup + tuple(_expand(node.body)) + invert(setup)
        if node.times < 0:
            once = invert(once)
        for _ in range(abs(node.times)):
            yield from once


# --- reading -----------------------------------------------------------------------------------------------


def check_size(size: int) -> int:
    """``size`` itself if a cube of so many layers is known here.

    Raises GeometryError otherwise.
    """
    if not MIN_SIZE <= size <= MAX_SIZE:
        raise GeometryError(f"a cube of {size} layers is not known here; sizes {MIN_SIZE} to {MAX_SIZE} are")
    return size


def parse(text: str, size: int = 3) -> Algorithm:
    """Read a sequence of turns for a cube of ``size`` layers (2 to 7), structure kept.

    Raises NotationError, which names the token, its column and what would be right, and GeometryError for a
    size that is not known.
    """
    check_size(size)
    if len(text) > MAX_TEXT:
        raise NotationError(f"the sequence is {len(text):,} characters long; at most {MAX_TEXT:,} are read")
    reader = _Reader(text, size)
    nodes = reader.sequence(0, "")
    if (total := _length(nodes)) > MAX_TURNS:
        raise NotationError(f"the sequence multiplies out to {total:,} turns; at most {MAX_TURNS:,} are done")
    return Algorithm(nodes, size)


@lru_cache(maxsize=4096)
def parse_turns(text: str, size: int = 3) -> tuple[Turn, ...]:
    """Read a sequence of turns and multiply it out; errors as for ``parse``."""
    return parse(text, size).expand()


class _Reader:
    """A reader over one text by recursive descent; ``at`` is the next character to look at."""

    def __init__(self, text: str, size: int) -> None:
        self.text = text
        self.size = size
        self.at = 0

    def fail(self, token: str, start: int, problem: str) -> NotationError:
        shown = token if len(token) <= 24 else token[:24] + "…"
        return NotationError(f"“{shown}” at column {start + 1}: {problem}", token, start + 1)

    def peek(self) -> str:
        return self.text[self.at] if self.at < len(self.text) else ""

    def skip_space(self) -> None:
        while self.peek().isspace():
            self.at += 1

    def sequence(self, depth: int, stops: str) -> tuple[Node, ...]:
        """Nodes up to one of the characters ``stops`` (not taken) or the end of the text."""
        nodes: list[Node] = []
        while True:
            self.skip_space()
            char = self.peek()
            if not char or char in stops:
                return tuple(nodes)
            if char in "([":
                nodes.append(self.bracket(depth + 1))
            elif char in ")],:":
                raise self.fail(char, self.at, self.stray(char, stops))
            else:
                nodes.append(self.turn())

    @staticmethod
    def stray(char: str, stops: str) -> str:
        if stops and char in ")]":
            return f"this closes nothing here; expected {' or '.join(stops)} first"
        if stops == "]":
            return "square brackets have two parts; bracket what belongs together, as in [[R, U]: F]"
        if char in ")]":
            return f"nothing is open that “{char}” could close; remove it or write the opening bracket"
        return "a comma or colon belongs inside square brackets, as in [R, U] or [R: U]"

    def bracket(self, depth: int) -> Node:
        start = self.at
        opening = self.text[start]
        if depth > MAX_DEPTH:
            raise self.fail(opening, start, f"brackets are nested more than {MAX_DEPTH} deep")
        self.at += 1
        if opening == "(":
            body = self.filled(depth, ")", start)
            self.at += 1
            times = self.repeat()
            return Group(body, times)
        first = self.filled(depth, ",:]", start)
        separator = self.text[self.at]
        if separator == "]":
            problem = "square brackets need a comma or a colon inside: [R, U] or [R: U]; a plain group is (R U)"
            raise self.fail(self.text[start : self.at + 1], start, problem)
        self.at += 1
        second = self.filled(depth, "]", start)
        self.at += 1
        times = self.repeat()
        return Commutator(first, second, times) if separator == "," else Conjugate(first, second, times)

    def filled(self, depth: int, stops: str, start: int) -> tuple[Node, ...]:
        """A part of a bracket, which must have turns in it and must be closed."""
        nodes = self.sequence(depth, stops)
        if not self.peek():
            closing = ")" if self.text[start] == "(" else "]"
            raise self.fail(self.text[start], start, f"this bracket is never closed; add “{closing}”")
        if not nodes:
            raise self.fail(self.text[start : self.at + 1], start, "there is no turn in this part of the bracket")
        return nodes

    def digits(self) -> str:
        start = self.at
        while self.peek() in "0123456789" and self.peek():
            self.at += 1
        return self.text[start : self.at]

    def apostrophe(self) -> bool:
        if self.peek() and self.peek() in _APOSTROPHES:
            self.at += 1
            return True
        return False

    def repeat(self) -> int:
        """What follows a closing bracket: nothing, a number, an apostrophe, or both."""
        start = self.at
        number = self.digits()
        back = self.apostrophe()
        if number and (len(number) > 5 or int(number) == 0):
            raise self.fail(number, start, f"a part can be done 1 to {MAX_TURNS:,} times")
        times = int(number or 1)
        return -times if back else times

    def turn(self) -> Turn:
        start = self.at
        number = self.digits()
        letter = self.peek()
        if not letter or letter.isspace() or letter in "()[],:" or letter in _APOSTROPHES:
            token = number or letter
            problem = "a number must stand before a turn (3Rw) or directly behind one (R2)"
            if letter and letter in _APOSTROPHES:
                problem = "an apostrophe must stand directly behind a turn, as in R'"
                token = number + letter
            raise self.fail(token, start, problem)
        self.at += 1
        wide = False
        if letter.upper() in FACE_LETTERS and self.peek() in ("w", "W") and self.peek():
            if letter.islower() or self.peek() == "W":
                token = self.text[start : self.at + 1]
                raise self.fail(token, start, f"write {number}{letter.upper()}w for the wide turn")
            wide = True
            self.at += 1
        amount = self.amount(start)
        token = self.text[start : self.at]
        if letter in ROTATION_LETTERS or letter in SLICE_LETTERS:
            if number:
                raise self.fail(token, start, f"{letter} takes no layer number; write {token[len(number) :]}")
            if letter in SLICE_LETTERS and self.size % 2 == 0:
                problem = f"a {self.size}x{self.size}x{self.size} has no middle layer for {letter} to turn"
                raise self.fail(token, start, problem)
            return Turn(letter, 0, 0, amount)
        if letter.upper() not in FACE_LETTERS or len(letter) != 1:
            raise self.fail(token, start, self.unknown(letter))
        if letter.islower():
            wide, letter = True, letter.upper()
        return self.layered(token, start, number, letter, wide, amount)

    def amount(self, start: int) -> int:
        back = self.apostrophe()
        at = self.at
        number = self.digits()
        # In R22Rw the second digit opens the next turn; the nearest reading, the amount, takes the first.
        if len(number) > 1 and self.peek().isalpha():
            self.at = at + 1
            number = number[0]
        back_after = self.apostrophe()
        token = self.text[start : self.at]
        if back and back_after:
            raise self.fail(token, start, "two apostrophes on one turn; write one, or 2 for a half turn")
        if number not in ("", "1", "2", "3"):
            raise self.fail(token, start, "a turn is made 1, 2 or 3 times; write 2 for a half turn")
        if self.peek() and self.peek() in _APOSTROPHES:
            token = self.text[start : self.at + 1]
            raise self.fail(token, start, "two apostrophes on one turn; write one, or 2 for a half turn")
        value = {"": 1, "1": 1, "2": 2, "3": -1}[number]
        return -value if back or back_after else value

    def layered(self, token: str, start: int, number: str, letter: str, wide: bool, amount: int) -> Turn:
        """A face, outer-block or single-layer turn, with its layer number checked against the size."""
        size = self.size
        puzzle = f"a {size}x{size}x{size}"
        layers = int(number) if 0 < len(number) <= 3 else (999 if number else 0)
        if not wide:
            if not number:
                return Turn(letter, 1, 1, amount)
            if size <= 3:
                advice = f"write {letter} for one layer"
                if size == 3:
                    advice += f", {letter}w for the outer two, or M, E or S for the middle one"
                raise self.fail(token, start, f"a single layer is not numbered on {puzzle}; {advice}")
            if not 2 <= layers < size:
                raise self.fail(token, start, f"a single inner layer of {puzzle} is 2 to {size - 1}")
            return Turn(letter, layers, layers, amount)
        layers = layers if number else 2
        if not 1 < layers < size:
            if size == 2:
                right = "a 2x2x2 has no wide turns; write the opposite face instead"
            elif layers < 2:
                right = f"a wide turn moves at least 2 layers; write {letter} for one"
            else:
                most = f"{size - 1}{letter}w" if size > 3 else f"{letter}w"
                right = f"the widest turn on {puzzle} is {most}; the whole cube is turned by x, y or z"
            raise self.fail(token, start, right)
        return Turn(letter, 1, layers, amount)

    @staticmethod
    def unknown(letter: str) -> str:
        if letter in "XYZ":
            return f"rotations are written small: {letter.lower()}"
        if letter in "mes":
            return f"middle slices are written large: {letter.upper()}"
        return "no turn has this name; turns are U L F R B D, wide Rw or r, slices M E S, rotations x y z"
