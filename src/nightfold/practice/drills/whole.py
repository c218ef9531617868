"""Tracing a whole cube, or one orbit of it, against the clock; the coach marks what was written."""

from __future__ import annotations

import random
from difflib import SequenceMatcher

from nightfold.coach.marking import Marking, mark_memo
from nightfold.practice.drills.base import NONE, PARITY, Exercise, Marked, Noticed
from nightfold.practice.drills.holding import in_pairs
from nightfold.practice.drills.parity import NO, YES, read_yes_no
from nightfold.practice.drills.question import Question
from nightfold.practice.drills.table import Table, deal, show
from nightfold.practice.level import TRACED, traced

#: The kind of the one fault of letters that are wrong all through, and of how many faults is told.
_UNLIKE, _MOST_TOLD = "unlike", 4


class TraceCube(Exercise):
    """A dealt cube; write the memo of the edges, of the corners, or of both with the answer about parity.

    Any right memo is right, whatever was broken into.  Levels: cubes with ever more letters.
    """

    name = "trace"
    title = "Trace a cube"
    about = "A dealt cube; write its letters while the clock runs, and have them marked."
    most_level = len(TRACED["edges"])
    seconds = 90.0
    against_clock = True
    may_be_none = True

    def subjects(self, table: Table) -> tuple[str, ...]:
        """Each orbit, then ``cube`` for both and parity."""
        return (*table.orbits, "cube")

    def _ask(self, table: Table, subject: str, dice: random.Random, level: int) -> Question:
        cube = deal(table, dice, traced(subject, level))
        orbits = table.orbits if subject == "cube" else (subject,)
        counts = [len(one.targets) for one in cube.plan.orbits if one.orbit.name in orbits]
        buffers = " and ".join(f"the {orbit} from {table.name(table.way(orbit).buffer)}" for orbit in orbits)
        whole = subject == "cube"
        prompt = f"Trace {buffers} and write the letters" + ("; then say whether there is parity." if whole else ".")
        parts = (*orbits, PARITY) if whole else ()
        return self._question(table, subject, level, prompt, "letters", cube, parts=parts, size=max(1, sum(counts)))

    def _orbits(self, table: Table, question: Question) -> tuple[str, ...]:
        return table.orbits if question.subject == "cube" else (question.subject,)

    def expected(self, table: Table, question: Question) -> tuple[str, ...]:
        """One right answer of many: Nightfold's own reading."""
        plan = show(table, question.scramble).plan
        asked = [one for one in plan.orbits if one.orbit.name in self._orbits(table, question)]
        lines = [in_pairs(one.letters) or NONE for one in asked]
        return ("\n".join([*lines, YES if plan.parity else NO] if question.subject == "cube" else lines),)

    def why(self, table: Table, question: Question) -> str:
        """A right memo, and how many there are."""
        plan = show(table, question.scramble).plan
        asked = [one for one in plan.orbits if one.orbit.name in self._orbits(table, question)]
        memos = [f"{one.orbit.name} {in_pairs(one.letters) or 'nothing'}" for one in asked]
        number = 1
        for one in asked:
            number *= one.memos
        how_many = f", one of {number:,} right memos" if number > 1 else ""
        return f"It was {'; '.join(memos)}{how_many}."

    def _judge(self, table: Table, question: Question, given: str) -> Marked:
        lines = [line.strip() for line in given.split("\n")]
        orbits = self._orbits(table, question)
        memos = {orbit: lines[at] if at < len(lines) else "" for at, orbit in enumerate(orbits)}
        answer = lines[len(orbits)] if len(lines) > len(orbits) else ""
        parity = read_yes_no(answer) if question.subject == "cube" and answer else None
        marking = mark_memo(show(table, question.scramble).plan, memos, parity)
        missing = question.subject == "cube" and parity is None
        right = marking.right and not missing
        said = _said(marking)
        if missing:
            said.append("Whether there is parity was not answered.")
        return Marked(right, _share(marking), (_corrected(marking, question),), " ".join(said), _noticed(marking))


def _said(marking: Marking) -> list[str]:
    """What the coach says of the whole and of the first faults; of letters that are wrong all through, one sentence."""
    sentences: dict[str, list[str]] = {}
    for one in marking.orbits:
        if any(fault.kind == _UNLIKE for fault in one.faults):
            right = in_pairs(one.corrected)
            sentences[one.orbit.name] = [f"The {one.orbit.name} come near no right memo; {right} would be one."]
        else:
            sentences[one.orbit.name] = [_capital(f"{one.orbit.name}, {fault.say}.") for fault in one.faults]
    faults = [sentence for told in sentences.values() for sentence in told][:_MOST_TOLD]
    if not any(fault.kind == _UNLIKE for one in marking.orbits for fault in one.faults):
        return [marking.say, *faults]
    said = [*(f"The {one.orbit.name} are right." for one in marking.orbits if one.ok), *faults]
    if marking.parity_ok is not None:
        said.append(f"The parity answer is {'right' if marking.parity_ok else 'wrong'}.")
    return said


def _share(marking: Marking) -> float:
    """How much was right: the letters that stand in the right memo too, in its order, and parity as one more."""
    good = whole = 0
    for one in marking.orbits:
        alike = SequenceMatcher(None, one.letters, one.corrected, autojunk=False).get_matching_blocks()
        letters = max(len(one.letters), len(one.corrected), 1)
        # What is wrong in some way that leaves every letter as it was, is not all right.
        good += letters if one.ok else min(letters - 1, sum(block.size for block in alike))
        whole += letters
    asked = len(marking.orbits) > 1
    return (good + bool(asked and marking.parity_ok)) / (whole + asked)


def _corrected(marking: Marking, question: Question) -> str:
    """The right answer nearest to what was written."""
    lines = [in_pairs(one.corrected) or NONE for one in marking.orbits]
    return "\n".join([*lines, YES if marking.plan.parity else NO] if question.subject == "cube" else lines)


def _noticed(marking: Marking) -> tuple[Noticed, ...]:
    """Every fault with the letter that should have stood there."""
    return tuple(
        Noticed(fault.kind, one.orbit.name, fault.expected[0] if len(fault.expected) == 1 else "", fault.at)
        for one in marking.orbits
        for fault in one.faults
    )


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
