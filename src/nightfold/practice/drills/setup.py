"""The setup for a letter, turned on the cube: any turns count that make the letter's execution do what it should."""

from __future__ import annotations

import random
from collections.abc import Iterable

from nightfold.blind.setups import families
from nightfold.blind.ways import SwapWay, and_list
from nightfold.cube.geometry import Permutation, compose, geometry, inverse, permutation_of, turn_permutation
from nightfold.cube.notation import Turn, invert, parse_turns, write
from nightfold.cube.sequences import cancel
from nightfold.practice.drills.base import Exercise, Marked, count_of, sticker_of, sticker_subjects
from nightfold.practice.drills.errors import DrillError
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal, show

#: Words that say "no turns at all".
_NOTHING = frozenset(("-", "none", "no setup", "nothing"))
#: No setup is anywhere near so long.
_MOST_TURNS = 40


class SetupDrill(Exercise):
    """A letter is given; set its sticker up to the home target.

    Levels: on a solved cube with the free turns told; on a solved cube; on a scrambled one; with no cube to look at.
    """

    name = "setup"
    title = "Setup for a letter"
    about = "A letter is given; turn its sticker to the home target without spoiling anything."
    most_level = 4
    seconds = 8.0
    may_be_none = True
    own_levels = False
    depends = "method"

    def subjects(self, table: Table) -> tuple[str, ...]:
        """Every sticker a memo can name."""
        return sticker_subjects(table)

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        orbit, name = subject.split("/")
        way = table.way(orbit)
        letter = table.symbol(orbit, geometry(table.method.size).sticker(name))
        prompt = f"Set up {letter} ({name}) of the {orbit} to the home target {table.name(way.home)}."
        if level == 1:
            prompt += f" The free turns are {families(way.free)}."
        cube = show(table) if level <= 2 else deal(table, dice) if level == 3 else None
        lit = (name, table.name(way.home)) if cube else ()
        return self._question(table, subject, level, prompt, "turns", cube, lit=lit)

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """All shortest setups, the easiest first; ``-`` where nothing is to be turned."""
        orbit, sticker = sticker_of(table, question)
        return tuple(setup.text or "-" for setup in table.way(orbit).setups[sticker])

    def why(self, table: Table, question: Question) -> str:
        """The easiest setup and the way of the sticker."""
        orbit, sticker = sticker_of(table, question)
        setup = table.way(orbit).setup(sticker)
        return f"Right is {setup.text or 'no turn at all'}: {setup.sentence}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        orbit, sticker = sticker_of(table, question)
        text = "" if given.strip().lower() in _NOTHING else given
        turns = tuple(turn.plain for turn in parse_turns(text, table.method.size))
        if len(turns) > _MOST_TURNS:
            raise DrillError(f"this setup has {len(turns)} turns; at most {_MOST_TURNS} are looked at")
        tell = _Teller(table, table.way(orbit), sticker, turns)
        if tell.left_wrong:
            return Marked(False, 0.0, self.expected(table, question), f"{tell.fault()} {self.why(table, question)}")
        return Marked(True, 1.0, self.expected(table, question), tell.praise())


class _Teller:
    """One setup of one sticker: what comes of it, in words."""

    def __init__(self, table: Table, way: SwapWay, sticker: int, turns: tuple[Turn, ...]) -> None:
        self.table = table
        self.way = way
        self.sticker = sticker
        self.turns = turns
        self.best = way.setup(sticker)
        size = way.orbit.size
        made = permutation_of((*turns, *way.core, *invert(turns)), size)
        meant = permutation_of(way.execute([sticker])[0].turns, size)
        #: The places that would show something else than they should after setup, swap and undo.
        self.left_wrong = tuple(place for place, (a, b) in enumerate(zip(made, meant, strict=True)) if a != b)

    @property
    def letter(self) -> str:
        return self.table.symbol(self.way.orbit.name, self.sticker)

    def praise(self) -> str:
        """What is said of a setup that is right."""
        if not self.turns:
            return f"{self.letter} is the home target itself, so nothing is set up."
        least = len(self.best.turns)
        text = write(self.turns)
        if len(self.turns) > least:
            shorter = f"{self.best.text} alone does" if least else "no turns at all do"
            how = f"{text} does it, in {count_of(len(self.turns), 'turn')}; {shorter}"
            return f"{how}." if write(cancel(self.turns)) == text else f"{how} (some of these turns meet and cancel)."
        if all(setup.turns != self.turns for setup in self.way.setups[self.sticker]):
            return f"{text} does it, though with turns that are not among the free ones; the usual is {self.best.text}."
        if self.best.turns != self.turns and self.best.cost < self.way.ease.cost(self.turns):
            return f"{text} is right; {self.best.text} is easier for the hands."
        return f"{text} is right: {next(s for s in self.way.setups[self.sticker] if s.turns == self.turns).sentence}."

    def fault(self) -> str:
        """What is said of a setup that is not right: where the sticker ends up, or which turn spoils what."""
        name = self.table.name
        arrives = _carried(self.sticker, self.turns, self.way.orbit.size)
        if arrives != self.way.home:
            if not self.turns:
                return f"Without turns {name(self.sticker)} stays where it is, and the home target is {self._home}."
            turned = arrives in geometry(self.way.orbit.size).piece_of(self.way.home)
            how = ": the right place, but the wrong way round" if turned else ""
            return f"{write(self.turns)} brings {name(self.sticker)} to {name(arrives)}, not to {self._home}{how}."
        turn, reason = next(found for found in self._hindrances() if found[1])
        wrong = and_list(self._pieces(self.left_wrong)[:8])
        return f"{name(self.sticker)} gets to {self._home}, but {turn} spoils it: {reason}; {wrong} would end up wrong."

    @property
    def _home(self) -> str:
        return self.table.name(self.way.home)

    def _hindrances(self) -> list[tuple[Turn, str]]:
        """Every turn with why it must not be used, empty where it may be.

        If all might be used, their product would leave the buffer and the disturbance alone, and nothing would be
        left wrong; so where something is, at least one turn has a reason.
        """
        told = {verdict.turn: "" if verdict.free or verdict.spare else verdict.reason for verdict in self.way.verdicts}
        return [(turn, told[turn.plain] if turn.plain in told else self._hindrance(turn)) for turn in self.turns]

    def _hindrance(self, turn: Turn) -> str:
        """Why a slice turn or a turn of the whole cube must not be used."""
        source = turn_permutation(self.way.orbit.size, turn)
        if source[self.way.buffer] != self.way.buffer:
            return f"it carries the buffer {self.table.name(self.way.buffer)} away"
        left = self.way.leftover
        if compose(source, left) != compose(left, source):
            moved = self._pieces(s for cycle in self.way.disturbed for s in cycle if source[s] != s)
            return f"it moves {and_list(moved)}, which the {self.way.label} disturbs"
        return ""

    def _pieces(self, stickers: Iterable[int]) -> tuple[str, ...]:
        geo = geometry(self.way.orbit.size)
        return tuple(dict.fromkeys(geo.piece_name(s) if geo.orbit_of(s) else geo.names[s] for s in stickers))


def _carried(sticker: int, turns: tuple[Turn, ...], size: int) -> int:
    """Where the turns carry what is at a place."""
    goes: Permutation = inverse(permutation_of(turns, size))
    return goes[sticker]
