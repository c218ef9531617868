"""Slips of a learner, one at a time, and a judge of memos: written from the craft, not from the marking code.

A learner's memo is made as a person makes it: look at a place, see which sticker is there, write its letter, look
there next.  A slip happens at one moment; afterwards the learner is faithful again, to what is right or to where the
slip led.  Letters are numbered 0 to 23 in the common lettering, so four by four they lie round one face; the cube is
the referee's.

``python -m tests.coach.slips`` prints the table of docs/marking.md.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from nightfold.blind.plan import Plan, make_plan
from nightfold.coach.marking import WEIGHTS, MarkedOrbit, mark_memo
from nightfold.cube.net import is_odd
from nightfold.cube.state import Cube
from tests.blind import referee

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWX"
BUFFERS = {"edges": "UR", "corners": "LUB"}
#: The ways to hold a cube other than as it is.
OTHER_HOLDS = [
    f"{tilt} {spin}".strip()
    for tilt in ("", "x", "x2", "x'", "z", "z'")
    for spin in ("", "y", "y2", "y'")
    if tilt or spin
]
Letters = tuple[int, ...]
#: What a learner has in mind: the place looked at (-1 at a break), where the cycle was entered, the pieces passed.
Mind = tuple[int, int, int]


def spelt(letters: Sequence[int]) -> str:
    return "".join(LETTERS[letter] for letter in letters)


def numbers(letters: Sequence[str]) -> Letters:
    return tuple(LETTERS.index(letter) for letter in letters)


def random_cube(dice: random.Random) -> Cube:
    """A uniformly random possible cube."""

    def orbit(pieces: int, ways: int) -> list[tuple[int, int]]:
        turned = [dice.randrange(ways) for _ in range(pieces - 1)]
        return list(zip(dice.sample(range(pieces), pieces), [*turned, -sum(turned) % ways], strict=True))

    while True:
        corners, edges = orbit(8, 3), orbit(12, 2)
        if is_odd([piece for piece, _ in corners]) == is_odd([piece for piece, _ in edges]):
            return Cube.from_pieces({"corners": corners, "edges": edges})


def state_of(cube: Cube) -> referee.State:
    """The colours of a cube as the referee knows them."""
    return tuple("ULFRBD"[colour] for colour in cube.colours)


class Board:
    """One orbit of a cube as the eye sees it."""

    def __init__(self, state: referee.State, orbit: str, buffer: str) -> None:
        number = {name: LETTERS.index(letter) for name, letter in referee.LETTER[orbit].items()}
        self.orbit = orbit
        self.seen = [0] * 24
        for place, sticker in referee.look(state, orbit).items():
            self.seen[number[place]] = number[sticker]
        self.round = [()] * 24  # type: list[Letters]
        for name, piece in referee.ROUND.items():
            if name in number:
                self.round[number[name]] = tuple(number[other] for other in piece)
        self.piece = [min(stickers) for stickers in self.round]
        self.buffer = number[referee.canon(buffer)]
        self.own = self.piece[self.buffer]
        self.unsolved = [s for s in range(24) if self.seen[s] != s and self.piece[s] != self.own]

    # --- the judge ---

    def solves(self, memo: Sequence[int]) -> bool:
        """Whether shooting to the letters one after the other brings every piece home."""
        seen = list(self.seen)
        for target in memo:
            if self.piece[target] == self.own:
                return False  # nothing can be shot to the buffer's own place
            for a, b in zip(self.round[self.buffer], self.round[target], strict=True):
                seen[a], seen[b] = seen[b], seen[a]
        return all(place == sticker for place, sticker in enumerate(seen))

    def traces(self, memo: Sequence[int]) -> bool:
        """Whether the letters are those of a tracing, from beginning to end."""
        return self.completes(self.begin(), memo)

    # --- the learner ---

    def looks(self, eye: int, entry: int, passed: int) -> Mind:
        """The mind after looking at a place: its sticker asks for a letter, or the cycle is through."""
        piece = self.piece[self.seen[eye]]
        through = piece == self.own or (passed >> piece & 1 and piece != self.piece[entry])
        return (-1, -1, passed) if through else (eye, entry, passed)

    def begin(self) -> Mind:
        return self.looks(self.buffer, self.buffer, 0)

    def closing(self, mind: Mind) -> bool:
        """Whether the letter asked for is back on the piece broken into."""
        eye, entry, _ = mind
        return eye >= 0 and self.piece[self.seen[eye]] == self.piece[entry]

    def asked(self, mind: Mind) -> list[int]:
        """The letters that may come next; none when all is done."""
        eye, _, passed = mind
        if eye >= 0:
            return [self.seen[eye]]
        return [sticker for sticker in self.unsolved if not passed >> self.piece[sticker] & 1]

    def after(self, mind: Mind, letter: int) -> Mind:
        """The mind after one of those letters."""
        eye, entry, passed = mind
        if eye < 0:
            entry = letter
        elif self.closing(mind):
            return -1, -1, passed
        return self.looks(letter, entry, passed | 1 << self.piece[letter])

    def strays(self, mind: Mind, letter: int) -> Mind:
        """The mind of one who wrote another letter than the one asked for and looks there next."""
        _, entry, passed = mind
        on = 0 if self.piece[letter] == self.own else 1 << self.piece[letter]
        return self.looks(letter, entry, passed | on)

    def rest(self, mind: Mind) -> tuple[list[int], Mind]:
        """The letters up to the end of the cycle."""
        letters = []
        while mind[0] >= 0:
            letters += self.asked(mind)
            mind = self.after(mind, letters[-1])
        return letters, mind

    def goes_on(self, mind: Mind, dice: random.Random) -> list[int]:
        """All letters from here to the end, every break made somewhere at random."""
        letters = []
        while asked := self.asked(mind):
            letters.append(dice.choice(asked))
            mind = self.after(mind, letters[-1])
        return letters

    def completes(self, mind: Mind, letters: Sequence[int]) -> bool:
        """Whether the letters lead from here to the end, neither too few nor too many."""
        for letter in letters:
            eye = mind[0]
            if eye >= 0:
                if letter != self.seen[eye]:
                    return False
            elif letter not in self.asked(mind):
                return False
            mind = self.after(mind, letter)
        return not self.asked(mind)

    def walked_again(self, letter: int) -> list[int]:
        """The letters of one who breaks into a piece that is done with, and goes round its cycle once more."""
        letters = [letter]
        while self.piece[seen := self.seen[letters[-1]]] != self.own:
            letters.append(seen)
            if self.piece[seen] == self.piece[letter]:
                break
        return letters


@dataclass
class Memo:
    """A right memo with random breaks, and the mind before each letter and at the end."""

    letters: list[int] = field(default_factory=list)
    minds: list[Mind] = field(default_factory=list)
    #: For every letter the index at which its cycle begins, and that after its end.
    cycles: list[tuple[int, int]] = field(default_factory=list)


def right_memo(board: Board, dice: random.Random) -> Memo:
    memo = Memo(minds=[board.begin()])
    starts = [0]
    while asked := board.asked(memo.minds[-1]):
        if memo.minds[-1][0] < 0:
            starts.append(len(memo.letters))
        memo.letters.append(dice.choice(asked))
        memo.minds.append(board.after(memo.minds[-1], memo.letters[-1]))
    for begin, end in pairwise([*dict.fromkeys(starts), len(memo.letters)]):
        memo.cycles += [(begin, end)] * (end - begin)
    return memo


def beside(letter: int) -> list[int]:
    """The two letters beside one on its face."""
    face, corner = divmod(letter, 4)
    return [4 * face + (corner + 1) % 4, 4 * face + (corner - 1) % 4]


def relation(board: Board, right: int, written: int) -> str:
    """What a wrong letter is to the right one."""
    if board.piece[right] == board.piece[written]:
        return "other-sticker"
    return "neighbour" if written in beside(right) else "wrong-letter"


# --- one slip ----------------------------------------------------------------------------------------------------

#: What was written and where the slip is; None where the memo gives no occasion for it.
Written = tuple[list[int], int] | None
Slip = Callable[["Case", Memo, random.Random], Written]


@dataclass
class Case:
    """A cube, and one orbit of it."""

    cube: Cube
    plan: Plan
    orbit: str
    board: Board
    other: Board
    holds: list[Board]


def cases(dice: random.Random, per_cube: int = 10) -> Iterator[Case]:
    """Random cubes without end, ``per_cube`` cases of each, edges and corners in turn."""
    while True:
        cube = random_cube(dice)
        plan = make_plan(cube)
        state = state_of(cube)
        boards = {orbit: Board(state, orbit, buffer) for orbit, buffer in BUFFERS.items()}
        held = [referee.play(hold, state) for hold in OTHER_HOLDS]
        holds = {orbit: [Board(other, orbit, buffer) for other in held] for orbit, buffer in BUFFERS.items()}
        for number in range(per_cube):
            orbit, other = ("edges", "corners") if number % 2 else ("corners", "edges")
            yield Case(cube, plan, orbit, boards[orbit], boards[other], holds[orbit])


def misnamed(related: str, followed: bool) -> Slip:
    """A letter misnamed by one of a relation to it, and then read on rightly, or from there."""

    def slip(case: Case, memo: Memo, dice: random.Random) -> Written:
        board = case.board
        # At a break, and where a cycle closes, there is nothing to read on from.
        places = [
            at for at, mind in enumerate(memo.minds[:-1]) if not followed or (mind[0] >= 0 and not board.closing(mind))
        ]
        if not places:
            return None
        at = dice.choice(places)
        right = memo.letters[at]
        wrong = dice.choice([s for s in range(24) if s != right and relation(board, right, s) == related])
        after = board.goes_on(board.strays(memo.minds[at], wrong), dice) if followed else memo.letters[at + 1 :]
        return [*memo.letters[:at], wrong, *after], at

    return slip


def broke_into_solved(case: Case, memo: Memo, dice: random.Random) -> Written:
    board = case.board
    breaks = [at for at in range(len(memo.letters)) if memo.minds[at][0] < 0]
    if not breaks:
        return None
    at = dice.choice(breaks)
    asked = board.asked(memo.minds[at])
    letter = dice.choice([s for s in range(24) if s not in asked])
    again = board.piece[letter] != board.own and dice.random() < 0.5
    added = board.walked_again(letter) if again else [letter]
    return [*memo.letters[:at], *added, *memo.letters[at:]], at


def not_closed(case: Case, memo: Memo, dice: random.Random) -> Written:
    closing = [at for at in range(len(memo.letters)) if case.board.closing(memo.minds[at])]
    if not closing:
        return None
    at = dice.choice(closing)
    return [*memo.letters[:at], *memo.letters[at + 1 :]], at


def closed_early(case: Case, memo: Memo, dice: random.Random) -> Written:
    """The closing letter before its time, or the buffer's cycle left; what lay between is lost or comes later."""
    board, letters = case.board, memo.letters
    places = [
        at
        for at, (begin, end) in enumerate(memo.cycles)
        if begin < at and (at < end - 1 if memo.minds[begin][0] < 0 else at < len(letters))
    ]
    if not places:
        return None
    at = dice.choice(places)
    begin, end = memo.cycles[at]
    closing = [dice.choice([letters[begin], letters[end - 1]])] if memo.minds[begin][0] < 0 else []
    if dice.random() < 0.5:
        after = letters[end:]
        if end - at - len(closing) == 1 and closing in ([], [letters[end - 1]]):
            return None  # that is a letter left out
        if not closing and not after:
            return None  # that is stopping early
    else:
        after = board.goes_on((-1, -1, memo.minds[at][2]), dice)
        if not closing and board.piece[after[0]] in [board.piece[letter] for letter in letters[at:end]]:
            return None  # that is a letter misread
    return [*letters[:at], *closing, *after], at


def missed(orbit: str, in_place: bool) -> Slip:
    """A piece turned in place, or a whole cycle, not seen at all."""

    def slip(case: Case, memo: Memo, dice: random.Random) -> Written:
        if orbit and case.orbit != orbit:
            return None
        cycles = [
            (begin, end)
            for begin, end in dict.fromkeys(memo.cycles)
            if end - begin > 1 and (memo.minds[begin][0] < 0 and end - begin == 2) == in_place
        ]
        if not cycles:
            return None
        begin, end = dice.choice(cycles)
        return [*memo.letters[:begin], *memo.letters[end:]], begin

    return slip


def left_out(case: Case, memo: Memo, dice: random.Random) -> Written:
    """A letter in a cycle.  Without the one it begins or ends with a cycle is not closed, whichever it was."""
    places = [
        at for at in range(len(memo.letters) - 1) if memo.minds[at][0] >= 0 and not case.board.closing(memo.minds[at])
    ]
    if not places:
        return None
    at = dice.choice(places)
    return [*memo.letters[:at], *memo.letters[at + 1 :]], at


def doubled(case: Case, memo: Memo, dice: random.Random) -> Written:
    if not memo.letters:
        return None
    at = dice.randrange(len(memo.letters))
    return [*memo.letters[: at + 1], *memo.letters[at:]], at + 1


def extra_letter(case: Case, memo: Memo, dice: random.Random) -> Written:
    if not memo.letters:
        return None
    at = dice.randrange(len(memo.letters))
    letter = dice.choice([s for s in range(24) if s not in memo.letters[max(0, at - 1) : at + 1]])
    return [*memo.letters[:at], letter, *memo.letters[at:]], at


def exchanged(case: Case, memo: Memo, dice: random.Random) -> Written:
    places = [at for at, (a, b) in enumerate(pairwise(memo.letters)) if a != b]
    if not places:
        return None
    at = dice.choice(places)
    a, b = memo.letters[at : at + 2]
    return [*memo.letters[:at], b, a, *memo.letters[at + 2 :]], at


def pairs_exchanged(case: Case, memo: Memo, dice: random.Random) -> Written:
    letters = memo.letters
    places = [at for at in range(0, len(letters) - 3, 2) if letters[at : at + 2] != letters[at + 2 : at + 4]]
    if not places:
        return None
    at = dice.choice(places)
    return [*letters[:at], *letters[at + 2 : at + 4], *letters[at : at + 2], *letters[at + 4 :]], at


def stopped_early(case: Case, memo: Memo, dice: random.Random) -> Written:
    """Everything missing from somewhere on, unless that is just a cycle's end, or one cycle."""
    if not memo.letters:
        return None
    at = dice.randrange(len(memo.letters))
    begin, end = memo.cycles[at]
    if end == len(memo.letters) and (case.board.closing(memo.minds[at]) or (begin == at and end - begin > 1)):
        return None
    return memo.letters[:at], at


def too_long(case: Case, memo: Memo, dice: random.Random) -> Written:
    if dice.random() < 0.5 or not memo.letters:
        added = [dice.randrange(24) for _ in range(dice.randint(1, 4))]
    else:
        added = case.board.walked_again(dice.choice(memo.letters))
    return [*memo.letters, *added], len(memo.letters)


def other_orbit(case: Case, memo: Memo, dice: random.Random) -> Written:
    letters = right_memo(case.other, dice).letters
    return (letters, 0) if letters else None


def held_differently(case: Case, memo: Memo, dice: random.Random) -> Written:
    letters = right_memo(dice.choice(case.holds), dice).letters
    return (letters, 0) if letters else None


#: Every slip by its name in the table, with its kind.
SLIPS: dict[str, tuple[str, Slip]] = {
    "other sticker, then right again": ("other-sticker", misnamed("other-sticker", False)),
    "other sticker, read on from there": ("other-sticker", misnamed("other-sticker", True)),
    "neighbour, then right again": ("neighbour", misnamed("neighbour", False)),
    "neighbour, read on from there": ("neighbour", misnamed("neighbour", True)),
    "any other letter, then right again": ("wrong-letter", misnamed("wrong-letter", False)),
    "any other letter, read on from there": ("wrong-letter", misnamed("wrong-letter", True)),
    "broke into a solved piece": ("broke-into-solved", broke_into_solved),
    "cycle not closed": ("not-closed", not_closed),
    "cycle closed too early": ("closed-early", closed_early),
    "flipped edge missed": ("missed-flipped", missed("edges", True)),
    "twisted corner missed": ("missed-twisted", missed("corners", True)),
    "cycle missed": ("missed-cycle", missed("", False)),
    "letter left out": ("left-out", left_out),
    "letter written twice": ("doubled", doubled),
    "letter too many": ("extra-letter", extra_letter),
    "letters exchanged": ("exchanged", exchanged),
    "pairs exchanged": ("pairs-exchanged", pairs_exchanged),
    "stopped too early": ("stopped-early", stopped_early),
    "went on too long": ("too-long", too_long),
    "the other orbit's letters": ("other-orbit", other_orbit),
    "cube held differently": ("held-differently", held_differently),
}


def slipped(name: str, count: int, seed: int = 1872) -> Iterator[tuple[Case, Letters, int]]:
    """``count`` memos with the slip called ``name``, and where it is, on random cubes."""
    dice = random.Random(f"{seed} {name}")
    slip = SLIPS[name][1]
    found = 0
    for case in cases(dice):
        written = slip(case, right_memo(case.board, dice), dice)
        if written is not None:
            found += 1
            yield case, tuple(written[0]), written[1]
        if found == count:
            return


# --- every slip that explains a memo -------------------------------------------------------------------------------


def explanations(case: Case, memo: Letters) -> set[tuple[str, int]]:
    """Every single slip, as kind and place, that makes this memo of some right one."""
    board = case.board
    found: set[tuple[str, int]] = set()
    mind = board.begin()
    for at in range(len(memo) + 1):
        found.update((kind, at) for kind in slips_here(board, memo, at, mind))
        if at == len(memo) or memo[at] not in board.asked(mind):
            break
        mind = board.after(mind, memo[at])
    if memo and any(hold.traces(memo) for hold in case.holds):
        found.add(("held-differently", 0))
    if memo and case.other.traces(memo):
        found.add(("other-orbit", 0))
    return found


def slips_here(board: Board, memo: Letters, at: int, mind: Mind) -> Iterator[str]:
    """The kinds of slip that explain the memo when all before ``at`` is right."""
    done = board.completes
    eye, entry, passed = mind
    asked = board.asked(mind)
    here, after = memo[at:], memo[at + 1 :]
    if not here:
        closed = board.closing(mind) and not board.asked(board.after(mind, asked[0]))
        alone = (eye < 0 or eye == board.buffer) and any(done(board.rest(board.after(mind, r))[1], ()) for r in asked)
        one = alone and asked == [board.seen[board.buffer]] and done(board.after(mind, asked[0]), ())
        if asked and not closed and (not alone or one):
            yield "stopped-early"
    else:
        x = here[0]
        if at and x == memo[at - 1]:
            if done(mind, after):
                yield "doubled"
        elif asked and after[:1] != (x,) and done(mind, after):
            yield "extra-letter"
        if after and x != after[0] and done(mind, (after[0], x, *after[1:])):
            yield "exchanged"
        if at % 2 == 0 and len(here) > 3 and done(mind, (*here[2:4], *here[:2], *here[4:])):
            yield "pairs-exchanged"
        if not asked:
            yield "too-long"
        for right in asked:
            if right != x and done(board.after(mind, right), after):
                yield relation(board, right, x)
        if x not in asked:
            if eye < 0 and asked:
                again = board.walked_again(x) if board.piece[x] != board.own else [x]
                if done(mind, after) or (here[: len(again)] == tuple(again) and done(mind, here[len(again) :])):
                    yield "broke-into-solved"
            elif eye >= 0 and not board.closing(mind):
                if done(board.strays(mind, x), after):
                    yield relation(board, asked[0], x)
                between, over = board.rest(mind)
                if board.piece[x] == board.piece[entry] and (
                    (done(over, after) and between[1:] != [x]) or done((-1, -1, passed), after)
                ):
                    yield "closed-early"
    if eye >= 0:
        closing = board.closing(mind)
        if (here or closing) and done(board.after(mind, asked[0]), here):
            yield "not-closed" if closing else "left-out"
        between, over = board.rest(mind)
        lost = len(between) > 1 and done(over, here)
        if eye == board.buffer and lost:
            yield "missed-cycle"
        elif here and not closing and here[0] != asked[0] and (lost or done((-1, -1, passed), here)):
            yield "closed-early"
        return
    for right in asked:
        over = board.rest(board.after(mind, right))[1]
        if done(over, here):
            alone = (over[2] & ~passed).bit_count() == 1
            turned = "missed-flipped" if board.orbit == "edges" else "missed-twisted"
            yield turned if alone else "missed-cycle"


# --- how the marking does ------------------------------------------------------------------------------------------

#: What the two explanations of a whole memo weigh beside those of one slip.
WHOLE = {"held-differently": 130, "other-orbit": 130}


def weight(kind: str) -> int:
    return WHOLE.get(kind) or WEIGHTS[kind.replace("flipped", "turned").replace("twisted", "turned")]


@dataclass
class Row:
    """How the memos with one slip were judged.

    ``lucky`` solve the cube all the same.  Of the others, ``only`` can have come about by one kind of slip alone, and
    ``told`` of these were told by it.  ``plausible`` were told by a kind that explains them, ``same`` by the true kind
    whatever else would explain them.  ``instead`` counts the other kinds told.
    """

    count: int = 0
    lucky: int = 0
    only: int = 0
    told: int = 0
    plausible: int = 0
    same: int = 0
    instead: Counter[str] = field(default_factory=Counter)

    @property
    def wrong(self) -> int:
        return self.count - self.lucky

    def cells(self) -> list[str]:
        """The row as it stands in docs/marking.md."""
        others = ", ".join(f"{kind} {count}" for kind, count in self.instead.most_common(3))
        share = f"{self.told / self.only:.1%}" if self.only else "-"
        return [
            *map(str, (self.count, self.lucky, self.only, self.told)),
            share,
            f"{self.same / self.wrong:.1%}",
            others,
        ]


def mark(case: Case, memo: Letters) -> MarkedOrbit:
    """The memo marked, as the learner would have it marked."""
    return mark_memo(case.plan, {case.orbit: spelt(memo)}).orbits[0]


def judged(name: str, count: int = 1000) -> Row:
    """``count`` memos with one slip, marked; every one must be judged wrong unless it solves the cube all the same."""
    kind = SLIPS[name][0]
    row = Row()
    for case, memo, _ in slipped(name, count):
        row.count += 1
        marked = mark(case, memo)
        assert marked.ok == case.board.solves(memo), (case.cube, case.orbit, spelt(memo))
        if marked.ok:
            row.lucky += 1
            continue
        possible = explanations(case, memo)
        kinds = {one for one, _ in possible}
        assert kind in kinds, (kind, case.cube, case.orbit, spelt(memo))
        told = marked.faults[0]
        # One slip happened, so one fault is to be told, and no dearer one than what happened.
        assert len(marked.faults) == 1, (case.cube, case.orbit, spelt(memo), marked.faults)
        assert weight(told.kind) <= weight(kind) + 2, (case.cube, case.orbit, spelt(memo), told, possible)
        # The fault told explains the memo: by that kind, at that place, it comes of a right one.
        assert (told.kind, told.at) in possible, (case.cube, case.orbit, spelt(memo), told, possible)
        row.plausible += 1
        row.same += told.kind == kind
        if told.kind != kind:
            row.instead[told.kind] += 1
        if kinds == {kind}:
            row.only += 1
            row.told += told.kind == kind
    return row


def main() -> None:
    """Print the table of docs/marking.md."""
    total = Row()
    for name in SLIPS:
        row = judged(name)
        print(f"| {name} | `{SLIPS[name][0]}` | {' | '.join(row.cells())} |")
        for part in ("count", "lucky", "only", "told", "plausible", "same"):
            setattr(total, part, getattr(total, part) + getattr(row, part))
    print(f"| all | | {' | '.join(total.cells())} |")


if __name__ == "__main__":
    main()
