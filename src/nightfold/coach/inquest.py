"""The inquest: from what was meant and what came out to the slips that explain it, the likeliest first.

Every slip of the catalogue, at every place, is one group element; the native join (native/inquest.hpp) covers all
combinations of one, two and three of them.  What it finds is replayed on the plain cube before it is shown, and the
odds of all explanations together make their probabilities.  Explanations that concern the same letters are one story:
the cube cannot tell them apart, so their probabilities are added up and the likeliest speaks for all.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from nightfold.blind.hold import as_held
from nightfold.blind.plan import Plan
from nightfold.coach.marking import Marking
from nightfold.coach.meant import MOST_MEMOS, OtherMemo, meant_plan, other_memos
from nightfold.coach.mistakes import (
    InquestError,
    Letter,
    Scaling,
    Slip,
    Stretch,
    alternatives,
    catalogue,
    coded,
    packed_rotations,
    scaling,
    strays,
    turn_table,
    turned_with,
)
from nightfold.coach.slips import SPLIT_END, Slips
from nightfold.cube.diagnosis import diagnose
from nightfold.cube.errors import ImpossibleCubeError
from nightfold.cube.geometry import compose, geometry, rotation_permutations
from nightfold.cube.net import Net, cube_from_net, parse_net
from nightfold.cube.notation import Turn, invert, parse_turns, write
from nightfold.cube.sequences import cancel
from nightfold.cube.state import Cube
from nightfold.search.native import core, pack

if TYPE_CHECKING:
    from nightfold.coach.performed import Alignment

__all__ = [
    "Explanation",
    "InquestError",
    "InquestStoppedError",
    "Mistake",
    "Nearest",
    "Outcome",
    "Verdict",
    "came_out",
    "finish_of",
    "hold_inquest",
    "left_over",
    "meant_plan",
    "turned_home",
]

#: Told how many slips are being combined and how much of that is done, about ten times a second and after each search;
#: returning False stops the inquest, and so does an exception.
Progress = Callable[[int, int], object]

#: Triples are made of so many likeliest slips.
TRIPLE_SINGLES = 20_000
#: So many explanations of one cube are weighed; the rest are less likely than any of these.
_MOST_FOUND = 400
#: So many alternatives of one story are told.
_MOST_TOLD = 6
#: After so many repairs, the smallest, two slips are tried; after the others one.
_MOST_REPAIRED = 60
#: Alternatives of one story are told down to this much less likely ones, as a logarithm.
_MUCH_LESS = math.log(1000)
#: A correction that goes back to the mistake is told if it takes no more turns.
_MOST_BACK = 25
#: How likely the memo of a solver who did not give it is the tool's own where there are others.
_OWN_MEMO = 0.5


class InquestStoppedError(InquestError):
    """The inquest was stopped by its progress callback."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One slip of an explanation, in words.

    ``at`` is the index of its letter from 0, None where it has none.  ``concerns`` are all letters it is about, each as
    orbit and index.
    """

    kind: str
    orbit: str
    at: int | None
    letter: str
    say: str
    felt: str
    hint: str
    concerns: tuple[Letter, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The mistake as plain data."""
        return {
            "kind": self.kind,
            "orbit": self.orbit,
            "at": self.at,
            "letter": self.letter,
            "say": self.say,
            "felt": self.felt,
            "hint": self.hint,
        }


@dataclass(frozen=True, slots=True)
class Explanation:
    """Slips that together lead to the cube that came out; none at all where what was meant does.

    ``also`` tells what else may have happened at the same letters, the likeliest first (of several mistakes only those
    that are others); ``many_more`` that there is more than it tells.  ``turns`` are what was turned then,
    from the scrambled cube as held; replaying them gives just that cube.  ``memo`` are the letters it takes to have
    been meant, by orbit, where they are not those of the verdict's plan.  ``repair`` is what was put right in an
    impossible cube first.  ``correction`` are turns that go back to the mistake and put it right, where they are few.
    """

    probability: float
    mistakes: tuple[Mistake, ...]
    also: tuple[str, ...]
    turns: tuple[Turn, ...]
    memo: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    repair: str = ""
    correction: tuple[Turn, ...] = ()
    many_more: bool = False

    def to_dict(self) -> dict[str, Any]:
        """The explanation as plain data."""
        return {
            "probability": round(self.probability, 6),
            "mistakes": [mistake.to_dict() for mistake in self.mistakes],
            "also": list(self.also),
            "turns": write(self.turns),
            "correction": write(self.correction),
            "memo": {orbit: list(letters) for orbit, letters in self.memo.items()},
            "repair": self.repair,
            "replays": True,
        }


@dataclass(frozen=True, slots=True)
class Nearest:
    """What comes nearest to a cube that nothing explains; ``pieces_wrong`` pieces differ then."""

    mistakes: tuple[Mistake, ...]
    pieces_wrong: int

    def to_dict(self) -> dict[str, Any]:
        """What comes nearest as plain data."""
        return {"mistakes": [mistake.to_dict() for mistake in self.mistakes], "pieces_left_wrong": self.pieces_wrong}


@dataclass(frozen=True, slots=True)
class Verdict:
    """What an inquest found.

    ``searched`` counts the single slips, pairs and triples that were covered.  ``nearest`` is told when nothing
    explains the cube.  ``memos_tried`` counts the right memos that were looked at; ``finish`` are the turns that would
    have solved the cube as it came out, held as the plan holds it.  ``marking`` judges a memo that was wrong, and
    ``performed`` holds the turns that were really made against the plan, where they are known.
    """

    plan: Plan
    explanations: tuple[Explanation, ...]
    searched: tuple[int, int, int]
    nearest: Nearest | None
    solved: bool
    problem: str = ""
    memos_tried: int = 1
    finish: tuple[Turn, ...] | None = None
    marking: Marking | None = None
    performed: Alignment | None = None

    @property
    def repair(self) -> str:
        """What the likeliest explanation puts right in an impossible cube; empty where that was not needed."""
        return self.explanations[0].repair if self.explanations else ""

    @property
    def say(self) -> str:
        """The outcome in a sentence or two."""
        return _say(self)

    def to_dict(self) -> dict[str, Any]:
        """The verdict as plain data, in the stable form that docs/inquest.md describes."""
        data: dict[str, Any] = {
            "solved": self.solved,
            "say": self.say,
            "explanations": [one.to_dict() for one in self.explanations],
            "searched": dict(zip(("singles", "pairs", "triples"), self.searched, strict=True)),
            "memos_tried": self.memos_tried,
            "nearest": None if self.nearest is None else self.nearest.to_dict(),
            "finish": None if self.finish is None else write(self.finish),
            "memo_marking": None if self.marking is None else self.marking.to_dict(),
            "performed": None if self.performed is None else self.performed.to_dict(),
        }
        return data | ({"repair": self.repair, "problem": self.problem} if self.problem else {})


# --- the cube that came out ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Outcome:
    """A cube that may have come out, numbered like the plan's, and what was put right in it first, if anything."""

    cube: Cube
    repair: str = ""


#: Other usual symbols for the six faces, in the order U, L, F, R, B, D, and the initials they stand for.
_SYMBOLS = ("ULFRBD", "⬜🟧🟩🟥🟦🟨")


def came_out(plan: Plan, text: str) -> tuple[str, tuple[Outcome, ...]]:
    """The cube of a net text, held in any way, and what is wrong with it (empty if turns lead to it).

    An impossible cube, with a corner twisted in the hand or a piece put in wrongly, gives one outcome for each
    smallest repair.  Raises NetError for text that is no net, ImpossibleCubeError where no such repair mends it, and
    InquestError when its colours are not those of the plan's cube or lie otherwise on it.
    """
    net = _in_initials(parse_net(text), plan)
    if net.size != plan.cube.size:
        raise InquestError(f"the cube that came out has {net.size} layers, the scrambled one {plan.cube.size}")
    found = diagnose(net)
    if found.possible:
        cube, scheme = cube_from_net(str(net))
        return "", (Outcome(as_seen(plan, cube, scheme)),)
    nets = [(repair.net, repair.sentence) for repair in found.repairs if repair.kind in ("twist", "flip", "exchange")]
    if not nets and {problem.kind for problem in found.problems} == {"twist", "flip"}:
        # A piece of each kind was put in wrongly: mend one, then the other.
        flipped = [_flipped(net, place) for place in geometry(net.size).orbit("edges").pieces]
        nets = [
            (repair.net, f"flip {name} and {repair.sentence}")
            for one, name in flipped
            for repair in diagnose(one).repairs
            if repair.kind == "twist"
        ]
    if not nets:
        raise ImpossibleCubeError(f"{found.sentence}{found.advice}")
    outcomes = []
    for repaired, sentence in nets:
        cube, scheme = cube_from_net(str(repaired))
        outcomes.append(Outcome(as_seen(plan, cube, scheme), sentence))
    return found.sentence, tuple(outcomes)


def _flipped(net: Net, place: tuple[int, ...]) -> tuple[Net, str]:
    one, other = place
    name = geometry(net.size).names[one]
    return net.with_symbols({one: net.symbols[other], other: net.symbols[one]}), f"the edge at {name}"


def _in_initials(net: Net, plan: Plan) -> Net:
    """The net with the plan's colours, where it was typed with other usual symbols."""
    for symbols in _SYMBOLS:
        if set(net.symbols) == set(symbols) and set(plan.scheme) != set(symbols):
            initials = dict(zip(symbols, _STANDARD, strict=True))
            return Net(net.size, tuple(initials[symbol] for symbol in net.symbols))
    return net


_STANDARD = "WOGRBY"


def as_seen(plan: Plan, cube: Cube, scheme: Sequence[str]) -> Cube:
    """A cube given by its colours, numbered like the plan's cube and held like it.

    Raises InquestError when its colours are not those of the plan's cube, or lie otherwise on it.
    """
    if set(scheme) != set(plan.scheme):
        raise InquestError(
            f"the cube that came out has the colours {' '.join(sorted(scheme))}, the scrambled one "
            f"{' '.join(sorted(plan.scheme))}; they must be the same"
        )
    area = cube.size**2
    centres = geometry(cube.size).fixed_centres
    for permutation in rotation_permutations(cube.size).values():
        turned = Cube(cube.size, compose(cube.stickers, permutation))
        shown = tuple(scheme[turned.stickers[at] // area] for at in centres.values())
        if shown == tuple(plan.scheme):
            return as_held(turned)
    raise InquestError("the centres of the cube that came out lie otherwise than on the scrambled cube")


def left_over(plan: Plan, turns: str | Sequence[Turn]) -> Outcome:
    """The cube that ``turns``, made in the plan's hold, would still have solved.  Raises NotationError."""
    turns = parse_turns(turns, plan.cube.size) if isinstance(turns, str) else tuple(turns)
    return Outcome(turned_home(Cube.from_turns(invert(turns), plan.cube.size)))


def turned_home(cube: Cube) -> Cube:
    """The cube turned as a whole until its centres are home."""
    centres = geometry(cube.size).fixed_centres.values()
    return next(
        Cube(cube.size, turned)
        for turned in (compose(cube.stickers, held) for held in rotation_permutations(cube.size).values())
        if all(turned[centre] == centre for centre in centres)
    )


# --- the search ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Found:
    """An explanation as the join found it, not yet in words."""

    weight: float
    slips: tuple[Slip, ...]
    parts: tuple[Stretch, ...]


class Desk:
    """All slips of one plan, laid out for the native join.

    One that is not ``thorough`` leaves out other holds and stray turns of middle layers.
    """

    def __init__(self, plan: Plan, scaled: Scaling = (), *, thorough: bool = True) -> None:
        self.plan = plan
        self.slips = Slips(plan, scaled, holds=thorough)
        self.end = plan.cube.apply(self.slips.meant)
        self._core = core.InquestDesk(
            turn_table()[2],
            coded(self.slips.meant),
            self.slips.edits,
            self.slips.splits,
            [[(number, weight) for number, weight, _ in choices] for choices in alternatives(scaled)],
            [(number, weight) for number, weight, kind in strays(scaled) if thorough or kind == "stray-turn"],
            packed_rotations(),
        )

    def search(
        self,
        final: Cube,
        most_slips: int,
        threads: int,
        triple_singles: int = TRIPLE_SINGLES,
        nearest: bool = True,
        progress: Progress | None = None,
    ) -> tuple[list[Found], tuple[int, int, int], tuple[Found, int]]:
        """Every explanation by at most so many slips, what was covered, and what comes nearest if there is none.

        Raises InquestStoppedError when ``progress`` returned False.
        """
        target = turned_home(self.end.inverse().then(turned_home(final)))
        answer = self._core.search(pack(target), most_slips, _MOST_FOUND, triple_singles, threads, nearest, progress)
        if answer is None or (progress is not None and progress(most_slips, self._core.singles) is False):
            raise InquestStoppedError("the inquest was stopped before it was done")
        told, searched, near, wrong = answer
        return [self._found(*one) for one in told], searched, (self._found(*near), wrong)

    def _found(self, weight: float, made: list[tuple[int, int, int]]) -> Found:
        slips = [(self.slips.slip(*one), one[0] == SPLIT_END) for one in made]
        # A split slip stands twice: its first part where it begins, its second where it ends.
        parts = tuple(slip.parts[-1] if ends else slip.parts[0] for slip, ends in slips)
        return Found(weight, tuple(slip for slip, ends in slips if not ends), parts)

    def turns(self, found: Found) -> tuple[Turn, ...]:
        """What was turned when it happened so."""
        return turned_with(self.slips.meant, found.parts)


@dataclass(frozen=True, slots=True)
class _Told:
    """An explanation with what it takes for granted: whose memo, which repair."""

    found: Found
    weight: float
    desk: Desk
    outcome: Outcome
    memo: tuple[str, ...] = ()  # the orbits whose memo is another than the verdict's plan has

    @property
    def story(self) -> tuple[str, frozenset[tuple[str, str, int]]]:
        """What makes explanations one: the repair, and which letters are concerned (each with its occurrence)."""
        concerned = set()
        for slip in self.found.slips:
            for orbit, at in slip.letters:
                letters = _letters_of(self.desk.plan, orbit)
                symbol = letters[at] if at is not None else ""
                concerned.add((orbit, symbol, letters[:at].count(symbol) if at is not None else 0))
        return self.outcome.repair, frozenset(concerned)


def _letters_of(plan: Plan, orbit: str) -> tuple[str, ...]:
    return next((reading.letters for reading in plan.orbits if reading.orbit.name == orbit), ())


def hold_inquest(
    plan: Plan,
    final: Cube | Outcome | Sequence[Outcome],
    *,
    mistakes: int = 3,
    top: int = 5,
    other_breaks: Iterable[str] = (),
    priors: Mapping[str, float] | None = None,
    finish: bool = False,
    problem: str = "",
    marking: Marking | None = None,
    right: Plan | None = None,
    progress: Progress | None = None,
    threads: int | None = None,
    triple_singles: int = TRIPLE_SINGLES,
    most_memos: int = MOST_MEMOS,
    thorough: bool = True,
) -> Verdict:
    """Which slips explain that ``final`` came out when ``plan`` was meant.

    ``final`` is numbered like ``plan.cube`` (see ``came_out`` and ``left_over``), held in any way; several outcomes
    are what an impossible cube may have been, and ``problem`` is what was wrong with it.  At most ``mistakes`` slips
    (1 to 3) are combined; ``top`` explanations are given.  ``other_breaks`` are orbits whose memo is not known, so
    that right memos with other breaks are looked at too.  ``priors`` multiplies the chances of kinds of mistakes, as a
    logbook may teach.  ``finish`` asks for the turns that would have solved the cube.  Where the memo is wrong
    ``marking`` says so, and ``right`` is a plan with a right memo, to be tried where the wrong one explains nothing.

    ``progress`` may stop it.  One that is not ``thorough`` leaves out other holds and stray turns of middle layers.

    Raises InquestError for other numbers, and for a method whose steps are not one letter each; InquestStoppedError
    when ``progress`` returned False.
    """
    if not 1 <= mistakes <= 3:
        raise InquestError(f"{mistakes} mistakes cannot be asked for; 1 to 3 can")
    if top < 1:
        raise InquestError(f"the best {top} explanations are none; ask for 1 or more")
    scaled = scaling(priors)
    threads = threads or os.cpu_count() or 1
    if isinstance(final, Cube):
        final = Outcome(final)
    outcomes = [final] if isinstance(final, Outcome) else list(final)
    solved = outcomes[0].cube.is_solved and not problem
    verdict = Verdict(plan, (), (0, 0, 0), None, solved, problem, 1, None, marking)
    done = plan if plan.solved else right
    if solved and done is not None:
        memo = {name: _letters_of(done, name) for name in _others(plan, done)}
        nothing = Explanation(1.0, (), (), done.solution, memo)
        return replace(verdict, explanations=(nothing,), finish=() if finish else None)

    desk = Desk(plan, scaled, thorough=thorough)
    tried = 1
    if problem:
        told, searched, near = _after_repairs(desk, outcomes, mistakes, threads, progress)
    else:
        others = other_memos(plan, other_breaks, most_memos)
        told, searched, near = _with_memos(desk, outcomes[0], others, mistakes, threads, triple_singles, progress)
        tried += len(others)
        if not told and right is not None:
            others = other_memos(right, _others(plan, right), most_memos)
            again = Desk(right, scaled, thorough=thorough)
            told, more, _ = _with_memos(again, outcomes[0], others, mistakes, threads, triple_singles, progress)
            told = [replace(one, memo=tuple(_others(plan, one.desk.plan))) for one in told]
            searched = searched[0] + more[0], searched[1] + more[1], searched[2] + more[2]
            tried += 1 + len(others)
    explanations = _explanations(told, top)
    nearest = None
    if not told:
        nearest = Nearest(tuple(map(mistake_of, near[0].slips)), near[1])
    found_outcome = explanations[0].repair if explanations else outcomes[0].repair
    turns = None
    if finish:
        turns = finish_of(next(outcome.cube for outcome in outcomes if outcome.repair == found_outcome))
    return replace(
        verdict, explanations=explanations, searched=searched, nearest=nearest, memos_tried=tried, finish=turns
    )


def _others(plan: Plan, other: Plan) -> list[str]:
    """The orbits in which two plans have different letters."""
    names = [reading.orbit.name for reading in plan.orbits]
    return [name for name in names if _letters_of(plan, name) != _letters_of(other, name)]


_Searched = tuple[list[_Told], tuple[int, int, int], tuple[Found, int]]


def _with_memos(
    desk: Desk,
    outcome: Outcome,
    others: Sequence[OtherMemo],
    mistakes: int,
    threads: int,
    triple_singles: int,
    progress: Progress | None,
) -> _Searched:
    """The plan's own memo with all slips, then the other memos: first with single slips, then with pairs."""
    found, searched, near = desk.search(outcome.cube, mistakes, threads, triple_singles, progress=progress)
    own = math.log(_OWN_MEMO) if others else 0.0
    told = [_Told(one, one.weight + own, desk, outcome) for one in found]
    covered = list(searched)
    fewest = min((len(one.slips) for one in found), default=4)
    for most in range(1, min(mistakes, 2) + 1):
        if most > 1 and fewest <= 1:
            break
        covered[:2] = searched[:2]
        for other in others:
            chance = math.log((1 - _OWN_MEMO) * other.chance)
            there = Desk(other.plan, desk.slips.scaled, thorough=False)
            found, counted, _ = there.search(outcome.cube, most, threads, nearest=False, progress=progress)
            covered = [a + b for a, b in zip(covered, counted, strict=True)]
            for one in found:
                if _about(one, other):
                    told.append(_Told(one, one.weight + chance, there, outcome, (other.orbit,)))
                    fewest = min(fewest, len(one.slips))
    return told, (covered[0], covered[1], covered[2]), near


def _about(found: Found, other: OtherMemo) -> bool:
    """Whether the slips in the varied orbit keep to the cycle that the memo was varied for."""
    mine = [at for slip in found.slips for orbit, at in slip.letters if orbit == other.orbit]
    return bool(mine) and all(at is not None and other.start <= at < other.end for at in mine)


def _after_repairs(
    desk: Desk, outcomes: Sequence[Outcome], mistakes: int, threads: int, progress: Progress | None
) -> _Searched:
    """The cube that came out after each repair: with no slip or one first, with two where that explains nothing."""
    told: list[_Told] = []
    searched = (0, 0, 0)
    near: tuple[Found, int] | None = None
    for most in range(1, min(mistakes, 2) + 1):
        counts = [0, 0, 0]
        for number, outcome in enumerate(outcomes):
            found, counted, nearest = desk.search(
                outcome.cube,
                most if number < _MOST_REPAIRED else 1,
                threads,
                nearest=most == 1,
                progress=progress,
            )
            counts = [a + b for a, b in zip(counts, counted, strict=True)]
            told += [_Told(one, one.weight, desk, outcome) for one in found]
            if most == 1 and (near is None or nearest[1] < near[1]):
                near = nearest
        searched = counts[0], counts[1], counts[2]
        if told:
            break
    assert near is not None
    return told, searched, near


def finish_of(cube: Cube) -> tuple[Turn, ...]:
    """The turns that would have solved the cube as it came out, in the hold that brings its centres home."""
    from nightfold.search.solver import solve

    return solve(turned_home(cube))


# --- in words ------------------------------------------------------------------------------------------------


def _explanations(told: Sequence[_Told], top: int) -> tuple[Explanation, ...]:
    """One explanation a story, the likeliest first."""
    stories: dict[tuple[str, frozenset[tuple[str, str, int]]], list[_Told]] = {}
    for one in sorted(told, key=lambda one: -one.weight):
        stories.setdefault(one.story, []).append(one)
    greatest = max((one.weight for one in told), default=0.0)
    shares = {story: sum(math.exp(one.weight - greatest) for one in members) for story, members in stories.items()}
    total = sum(shares.values())
    best = sorted(stories, key=lambda story: -shares[story])[:top]
    return tuple(_explanation(shares[story] / total, stories[story]) for story in best)


def _explanation(probability: float, members: Sequence[_Told]) -> Explanation:
    first = members[0]
    turns = _replayed(first)
    mistakes = tuple(map(mistake_of, first.found.slips))
    said = {_unnumbered(mistakes)}
    also: list[str] = []
    for member in members[1:]:
        if member.weight < first.weight - _MUCH_LESS:
            break
        others = tuple(map(mistake_of, member.found.slips))
        if _unnumbered(others) in said:
            continue  # the same under another memo
        said.add(_unnumbered(others))
        if len(also) < _MOST_TOLD and member.desk is first.desk:
            _replayed(member)
            also.append(_difference(others, mistakes))
    memo = {orbit: _letters_of(first.desk.plan, orbit) for orbit in first.memo}
    correction = _correction(first)
    more = len(said) > 1 + len(also)
    return Explanation(probability, mistakes, tuple(also), turns, memo, first.outcome.repair, correction, more)


def _unnumbered(mistakes: Sequence[Mistake]) -> str:
    """Mistakes in words, but for the numbers of letters: the same letter has another in another memo."""
    return "; ".join(sorted(re.sub(r" letter \d+,", "", mistake.say) for mistake in mistakes))


def _difference(others: Sequence[Mistake], mistakes: Sequence[Mistake]) -> str:
    """Other mistakes in words, without those that are among the first ones anyway."""
    same = {mistake.say for mistake in mistakes} if len(others) == len(mistakes) else set()
    return "; ".join(other.say for other in others if other.say not in same)


def _replayed(told: _Told) -> tuple[Turn, ...]:
    """The turns of an explanation, made on the plain cube: they must lead to the cube that came out."""
    turns = told.desk.turns(told.found)
    if not told.desk.plan.cube.apply(turns).same_up_to_rotation(told.outcome.cube):
        raise AssertionError("an explanation does not lead to the cube that came out")
    return turns


def _correction(told: _Told) -> tuple[Turn, ...]:
    """For one slip: back to it, what was meant there, and on again; nothing where that takes too many turns."""
    if len(told.found.parts) != 1:
        return ()
    part, meant = told.found.parts[0], told.desk.slips.meant
    if any(turn.is_rotation for turn in part.turns):
        return ()
    rest = tuple(meant[part.end :])
    turns = cancel((*invert(rest), *invert(part.turns), *meant[part.start : part.end], *rest))
    if len(turns) > _MOST_BACK:
        return ()
    if not told.desk.plan.cube.apply(told.desk.turns(told.found)).apply(turns).same_up_to_rotation(told.desk.end):
        raise AssertionError("a correction does not lead to the cube that was meant")
    return turns


def mistake_of(slip: Slip) -> Mistake:
    """A slip in words."""
    kind = catalogue()[slip.kind]
    say, felt, hint = (slip.told(sentence) for sentence in (kind.say, kind.felt, kind.hint))
    return Mistake(kind.name, slip.orbit, slip.at, slip.letter, say, felt, hint, slip.letters)


def _say(verdict: Verdict) -> str:
    parts = []
    best = verdict.explanations[0] if verdict.explanations else None
    if verdict.problem:
        parts.append(f"{_sentence(verdict.problem)} The ordinary explanations were tried after the smallest repairs.")
    wrong = verdict.marking is not None and not verdict.marking.right
    if verdict.solved:
        parts.append("The cube is solved." if wrong else "The cube is solved: there is no mistake to find.")
    if wrong and verdict.marking is not None:
        parts.append(f"The memo was wrong. {verdict.marking.say}")
    if best is not None and not best.mistakes and verdict.repair:
        parts.append(f"Everything was turned as meant; only this is to be put right: {verdict.repair}.")
    elif best is not None and wrong:
        if best.memo:
            parts.append("What was turned was not that memo, but a right one" + ("." if verdict.solved else ":"))
        elif not best.mistakes:
            parts.append("Executed faithfully it leads exactly to this cube: no mistake in turning is needed.")
    if best is None:
        parts.append(_unexplained(verdict))
    if verdict.performed is not None and (best is None or best.mistakes):
        parts.append(verdict.performed.say)
    return " ".join(parts)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def _unexplained(verdict: Verdict) -> str:
    nearest = verdict.nearest
    assert nearest is not None
    most = 1 + (verdict.searched[1] > 0) + (verdict.searched[2] > 0)
    number = {1: "No single mistake", 2: "No one or two mistakes", 3: "No one, two or three mistakes"}[most]
    said = f"{number} of the catalogue, on any letter, {'leads' if most == 1 else 'lead'} to this cube."
    wrong = f"{nearest.pieces_wrong} piece{'s' if nearest.pieces_wrong != 1 else ''}"
    if not nearest.mistakes:
        return f"{said} None comes nearer than what was meant, from which {wrong} differ."
    words = "; ".join(mistake.say for mistake in nearest.mistakes)
    return f"{said} Nearest comes: {words}. That leaves {wrong} unexplained."
