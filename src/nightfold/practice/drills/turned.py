"""Flipped or twisted: which pieces sit in their places the wrong way round?"""

from __future__ import annotations

import random
import re

from nightfold.blind.features import MOST, Features
from nightfold.blind.hold import colour_name
from nightfold.blind.states import why_impossible
from nightfold.blind.ways import and_list
from nightfold.cube.errors import GeometryError
from nightfold.cube.geometry import geometry
from nightfold.practice.drills.base import NONE, Exercise, Marked, Noticed
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal, show
from nightfold.practice.level import TURNED

#: Words that say "no piece at all".
_NOTHING = frozenset((NONE, "none", "nothing"))
#: What orbits' features are called.
_WORDS = {"edges": ("flipped", "solved_edges"), "corners": ("twisted", "solved_corners")}


class Turned(Exercise):
    """A cube; which edges are flipped, or corners twisted, in their places?

    The buffer's own piece is not asked for, since nothing can be shot to it.  Levels: one or two among many solved
    pieces; none to three among fewer solved ones; none to four on any cube.
    """

    name = "turned"
    title = "Flipped or twisted"
    about = "A cube; find the edges that are flipped, or the corners twisted, in their places."
    most_level = len(TURNED)
    seconds = 12.0
    may_be_none = True

    def subjects(self, table: Table) -> tuple[str, ...]:
        """Each orbit."""
        return table.orbits

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        word, solved = _WORDS[subject]
        (low, high), right = TURNED[level - 1]
        number = dice.randint(low, high)
        wish = Features(**{word: (number, number), solved: (right, MOST[solved])})  # type: ignore[arg-type]
        cube = deal(table, dice, wish if why_impossible(wish) is None else wish.only([word]))
        buffer = geometry(table.method.size).piece_name(table.way(subject).buffer)
        prompt = f"Which {subject} are in their places but {word}? Leave out the buffer's own piece, {buffer}."
        return self._question(table, subject, level, prompt, "pieces", cube)

    def _pieces(self, table: Table, question: Question) -> tuple[str, ...]:
        geo, orbit = geometry(table.method.size), question.topic[0]
        reading = next(one for one in show(table, question.scramble).plan.orbits if one.orbit.name == orbit)
        return tuple(sorted(geo.piece_name(sticker) for sticker in reading.in_place))

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """All the pieces' names, in one answer; ``-`` for none."""
        return (" ".join(self._pieces(table, question)) or NONE,)

    def why(self, table: Table, question: Question) -> str:
        """Which pieces they are, and what they show."""
        orbit, pieces = table.orbit(question.topic[0]), self._pieces(table, question)
        word = _WORDS[orbit.name][0]
        if not pieces:
            return f"No {orbit.piece_word} is {word} in its place."
        seen = and_list(tuple(f"{one} shows {self._colour(table, question, one)} on {one[0]}" for one in pieces))
        return f"{word.capitalize()} in place: {seen}."

    @staticmethod
    def _colour(table: Table, question: Question, place: str) -> str:
        """The colour seen at a place."""
        plan, sticker = show(table, question.scramble).plan, geometry(table.method.size).sticker(place)
        return colour_name(plan.scheme[plan.cube.colours[sticker]])

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        named = read_pieces(table, question.topic[0], given)
        right = set(self._pieces(table, question))
        expected, why = self.expected(table, question), self.why(table, question)
        if named == right:
            return Marked(True, 1.0, expected, why)
        missed, wrong = sorted(right - named), sorted(named - right)
        orbit, (word, _) = question.topic[0], _WORDS[question.topic[0]]
        parts = []
        if missed:
            parts.append(f"{and_list(tuple(missed))} {'is' if len(missed) == 1 else 'are'} missed.")
        if wrong:
            parts += [self._not_turned(table, question, piece) for piece in wrong]
        share = len(named & right) / len(named | right)
        mistakes = tuple(Noticed(f"missed-{word}", orbit) for _ in missed)
        return Marked(False, share, expected, " ".join([*parts, why]), mistakes)

    def _not_turned(self, table: Table, question: Question, piece: str) -> str:
        """Why a piece that was named is none of them."""
        geo = geometry(table.method.size)
        cube = show(table, question.scramble).plan.cube
        sticker = geo.sticker(piece)
        word, buffer = _WORDS[question.topic[0]][0], table.way(question.topic[0]).buffer
        if sticker in geo.piece_of(buffer):
            return f"{piece} is the buffer's own place, which is not asked for."
        seen = cube.stickers[sticker]
        if seen == sticker:
            return f"{piece} is right as it is."
        return f"{piece} is not {word} but holds another piece, the one of {geo.piece_name(seen)}."


def read_pieces(table: Table, orbit: str, text: str) -> set[str]:
    """The pieces that a text names, by any of their stickers' names or letters, apart by spaces or commas.

    Raises DrillError for anything that is neither.
    """
    geo, symbols = geometry(table.method.size), table.lettering.of(orbit)
    by_symbol = {symbol.casefold(): sticker for sticker, symbol in symbols.items()}
    found: set[str] = set()
    words = [word for word in re.split(r"[\s,;]+", text) if word]
    if [word.lower() for word in words] in ([word] for word in _NOTHING):
        return found
    for word in words:
        sticker = next((one for one, symbol in symbols.items() if symbol == word), by_symbol.get(word.casefold()))
        if sticker is None:
            try:
                sticker = geo.sticker(word)
            except GeometryError:
                sticker = -1
        if sticker not in table.orbit(orbit).stickers:
            raise DrillError(
                f"“{word[:24]}” is neither a piece nor a letter of the {orbit}; write pieces such as "
                f"{geo.piece_name(table.targets(orbit)[0])}, with spaces between, or “{NONE}” for none"
            )
        found.add(geo.piece_name(sticker))
    return found
