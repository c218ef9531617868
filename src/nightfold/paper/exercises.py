"""Exercise sheets for a class, every cube another, and the answer key that accepts any right memo."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from fractions import Fraction
from typing import Any

from nightfold.blind.dealing import Dealer, Wish, parse_wish
from nightfold.blind.features import ANY, MOST, Features, parse_features
from nightfold.blind.hold import Hold
from nightfold.blind.odds import odds, place_of
from nightfold.blind.plan import Plan, make_plan
from nightfold.blind.reading import OrbitReading
from nightfold.blind.states import possible
from nightfold.blind.ways import and_list
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.paper.class_list import among, read_people, read_seed
from nightfold.paper.other_memos import OtherMemos, another, other_memos
from nightfold.paper.press import PLAIN, Look, PaperError, brief, press
from nightfold.paper.scrambled import scrambled_svg
from nightfold.paper.subject import Subject
from nightfold.paper.watched import looked_at, tell

#: The letters in all of the easiest and of the hardest cube where nothing is wished for.
USUAL_LETTERS = (8, 22)
MOST_CUBES = 24
#: How a cube is held while it is scrambled (WCA 4d1).
_SCRAMBLED = Hold("W", "G")
#: So many cubes in a row may turn out to be there already before it is said that hardly any others fit.
_MOST_TWICE = 300
#: What the key begins with.
_KEY_SAID = (
    "One right memo of each cube is shown, in pairs, with a bar where a cycle ends. Every other that differs from "
    "it only as said below it is right as well. A cycle that is entered elsewhere runs on in the same order and "
    "closes at a sticker of the piece where it was entered, so that the number of letters, the breaks and parity "
    "are the same in all right memos. nightfold mark judges any memo and names what is wrong with it."
)


@dataclass(frozen=True, slots=True)
class Exercise:
    """One cube of a sheet: its plan, how its other right memos differ, and the share of all cubes that are easier."""

    plan: Plan
    others: tuple[OtherMemos, ...]
    harder_than: Fraction

    @property
    def letters(self) -> int:
        """How many letters its memo has."""
        return self.plan.letters

    @property
    def breaks(self) -> int:
        """How many breaks every right memo has."""
        return sum(reading.breaks for reading in self.plan.orbits)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One learner's sheet: its number from 1, whose it is (empty where no name was given), its cubes, easiest first."""

    number: int
    learner: str
    exercises: tuple[Exercise, ...]


@dataclass(frozen=True, slots=True)
class ExerciseSet:
    """The sheets of a class.  ``steps`` are the letters in all that each sheet's cubes rise by, easiest first."""

    seed: int
    steps: tuple[int, ...]
    sheets: tuple[Sheet, ...]


def steps_of(features: Features, cubes: int) -> tuple[int, ...]:
    """The letters in all of a sheet's cubes, rising evenly among those that cubes with ``features`` can have.

    Where no number of letters is wished for they stay within the usual ones, if there are such cubes.  Raises
    FeatureError where no cube has the features.
    """
    can = [letters for letters, share in odds(features).total_letters.chances.items() if share]
    low, high = USUAL_LETTERS
    if features.letters is None:
        can = [letters for letters in can if low <= letters <= high] or can
    last = len(can) - 1
    if cubes == 1:
        return (can[last // 2],)
    # The nearest of the numbers, halves up.
    return tuple(can[(2 * at * last + cubes - 1) // (2 * (cubes - 1))] for at in range(cubes))


def exercises_of(
    subject: Subject,
    learners: tuple[str, ...] = ("",),
    cubes: int = 4,
    seed: int = 0,
    features: Features = ANY,
    wish: Wish | None = None,
) -> ExerciseSet:
    """A sheet of ``cubes`` cubes for each of ``learners``, no cube twice; the same seed deals the same.

    At every step each cube that fits is as likely as the next.  A sheet does not depend on how many follow it.  Raises
    PaperError where too few different cubes fit, FeatureError or DealError where none does.
    """
    steps = steps_of(features, cubes)
    for letters in set(steps):
        there, wanted = possible(replace(features, letters=(letters, letters))).count, len(learners)
        if there < wanted * steps.count(letters):
            raise PaperError(
                f"there {'is' if there == 1 else 'are'} only {there:,} fitting cube{'s' * (there != 1)} of {letters} "
                f"letters, and {wanted * steps.count(letters)} different ones are needed; print fewer sheets, or wish "
                "for less"
            )
    seeds = random.Random(seed)
    dealers = [
        Dealer(
            features=replace(features, letters=(letters, letters)),
            wish=wish or Wish(),
            method=subject.method,
            lettering=subject.letters,
            seed=seeds.getrandbits(63),
            progress=looked_at,
        )
        for letters in steps
    ]
    dealt: set[Cube] = set()
    sheets = []
    for number, learner in enumerate(learners, 1):
        tell(f"sheet {number} of {len(learners)}")
        made = [_exercise(subject, _new(dealer, dealt)) for dealer in dealers]
        made.sort(key=lambda one: (one.letters, one.breaks))
        sheets.append(Sheet(number, learner, tuple(made)))
    return ExerciseSet(seed, steps, tuple(sheets))


def _new(dealer: Dealer, dealt: set[Cube]) -> str:
    """The dealer's next scramble that leads to a cube that was not dealt yet."""
    for _ in range(_MOST_TWICE):
        deal = dealer.deal()
        if deal.cube not in dealt:
            dealt.add(deal.cube)
            return str(deal)
    raise PaperError("hardly any other cubes fit what is wished for; print fewer sheets, or wish for less")


def _exercise(subject: Subject, scramble: str) -> Exercise:
    plan = make_plan(scramble, subject.method, subject.letters, subject.hold)
    return Exercise(plan, other_memos(plan), place_of(plan).easier)


# --- on paper ----------------------------------------------------------------------------------------------


def press_exercises(
    subject: Subject,
    look: Look = PLAIN,
    *,
    learners: str | None = None,
    cubes: int = 4,
    seed: str | None = None,
    key: bool = False,
    use: str | None = None,
    avoid: str | None = None,
    most_turns: str | None = None,
    **features: str | None,
) -> bytes:
    """The exercise sheets of a class as PDF, or with ``key`` the answer key to the same sheets.

    ``learners`` is a number or names with commas; ``use``, ``avoid`` and ``most_turns`` are as for ``parse_wish``,
    ``features`` as for ``parse_features``.  The key needs the seed of the sheets.  Raises NightfoldError for what
    cannot be read, dealt or printed.
    """
    if key and seed is None:
        raise PaperError("the key is printed for sheets that are there; give their seed, which is at the top of each")
    people, number = read_people(learners), read_seed(seed)
    wanted = parse_features(features)
    turns = None if most_turns is None else _whole(most_turns)
    made = exercises_of(
        subject,
        people,
        among(cubes, 1, MOST_CUBES, "cubes a sheet"),
        number,
        wanted,
        parse_wish(subject.method, use, avoid, turns),
    )
    # Names are nothing that the cubes depend on, and nobody's sheet should list everybody's.
    own = ["--learners", str(len(people)), "--cubes", str(cubes), "--seed", str(number)]
    given = {"use": use, "avoid": avoid, "most_turns": most_turns, **features}
    for name, text in given.items():
        own += [] if text is None else ["--" + name.replace("_", "-"), text]
    title = "Answer key" if key else "Exercise sheet"
    sheet = subject.sheet("exercises", title, look, *own, *["--key"] * key)
    if key:
        asked = {"letters to use": use, "letters to avoid": avoid, "turns at most": most_turns}
        sheet["steps"] = f"{_steps_said(made.steps)}{_wished(wanted, asked)}"
        sheet["said"] = _KEY_SAID
        sheet["sheets"] = [_answers(one) for one in made.sheets]
        sheet["seed"] = str(number)
        return press("key", sheet, look)
    # What else was wished for would give answers away.
    sheet["steps"] = _steps_said(made.steps)
    sheet["said"] = _sheet_said(subject) + (
        " The letters in the pictures are those of the colours." if look.grey else ""
    )
    sheet["boxes"] = [
        {
            "orbit": way.orbit.name,
            "buffer": geometry(subject.method.size).names[way.buffer],
            "count": MOST[f"{way.orbit.piece_word}_letters"],
        }
        for way in subject.method.ways
    ]
    sheet["a_page"] = a_page = 1 if look.large else 4
    sheet["pages"] = [page for one in made.sheets for page in _pages(one, made, a_page)]
    sheet["pictures"] = {
        f"cube {one.number} {at}": scrambled_svg(Cube.from_turns(exercise.plan.scramble), look.grey)
        for one in made.sheets
        for at, exercise in enumerate(one.exercises, 1)
    }
    return press("exercises", sheet, look)


def _whole(text: str) -> int:
    if not (text.strip().isascii() and text.strip().isdigit() and len(text.strip()) <= 6):
        raise PaperError(f"at most “{text[:24]}” turns is no number; write it with digits alone, such as 120")
    return int(text)


def _pages(sheet: Sheet, made: ExerciseSet, a_page: int) -> list[dict[str, Any]]:
    """The pages of one sheet as the template takes them."""
    cubes = [
        {"number": at, "scramble": exercise.plan.scramble or "–", "picture": f"cube {sheet.number} {at}"}
        for at, exercise in enumerate(sheet.exercises, 1)
    ]
    parts = [cubes[at : at + a_page] for at in range(0, len(cubes), a_page)]
    return [
        {
            "learner": brief(sheet.learner, 60),
            "number": f"Sheet {sheet.number} of {len(made.sheets)}"
            + (f", page {at} of {len(parts)}" if len(parts) > 1 else ""),
            "seed": str(made.seed),
            "cubes": part,
        }
        for at, part in enumerate(parts, 1)
    ]


def _steps_said(steps: tuple[int, ...]) -> str:
    if len(steps) == 1:
        return f"The cube has {steps[0]} letters in all."
    if len(set(steps)) == 1:
        return f"The cubes have {steps[0]} letters in all each; those with fewer breaks come first."
    return f"The cubes get harder: they have {and_list(list(map(str, steps)))} letters in all."


def _wished(features: Features, asked: Mapping[str, str | None]) -> str:
    """What was wished for besides the letters in all."""
    rest = features.only([name for name in features.wishes if name != "letters"])
    told = [f"{name} {text}" for name, text in asked.items() if text is not None]
    return f" All have {rest}." * bool(rest.wishes) + f" Asked for: {'; '.join(told)}." * bool(told)


def _sheet_said(subject: Subject) -> str:
    hold = "" if subject.hold == _SCRAMBLED else f" Then hold it {subject.hold}."
    return (
        f"Scramble each cube from solved, white up and green in front, and compare it with its picture.{hold} Write "
        "one letter in each box, and a bar between two boxes where a cycle ends. Any right memo counts."
    )


def _answers(sheet: Sheet) -> dict[str, Any]:
    """One sheet's answers as the template takes them."""
    return {
        "title": f"Sheet {sheet.number}" + (f": {brief(sheet.learner, 60)}" if sheet.learner else ""),
        "answers": [_answer(at, exercise) for at, exercise in enumerate(sheet.exercises, 1)],
    }


def _answer(number: int, exercise: Exercise) -> dict[str, Any]:
    plan = exercise.plan
    counts = " + ".join(str(len(reading.targets)) for reading in plan.orbits)
    other = another(plan)
    breaks = exercise.breaks
    return {
        "number": number,
        "scramble": plan.scramble or "–",
        "memo": [asdict(memo) for memo in map(memo_of, plan.orbits)],
        "parity": "parity" if plan.parity else "no parity",
        "counts": f"{counts} = {plan.letters} letters, {breaks or 'no'} break{'s' * (breaks != 1)}",
        "harder": _harder(exercise.harder_than),
        "memos": "1 right memo" if plan.memos == 1 else f"{plan.memos:,} right memos",
        "others": [told.said for told in exercise.others],
        "also": [] if other is None else [asdict(memo) for memo in map(memo_of, other.orbits)],
    }


def _harder(share: Fraction) -> str:
    if share < Fraction(1, 1000):
        return "hardly any cube is easier"
    if share > Fraction(999, 1000):
        return "hardly any cube is harder"
    return f"harder than {float(100 * share):.1f}% of all cubes"


@dataclass(frozen=True, slots=True)
class PrintedMemo:
    """A memo of one orbit in pairs; of each letter, whether a cycle ends with it while others follow."""

    orbit: str
    pairs: tuple[tuple[tuple[str, bool], ...], ...]


def memo_of(reading: OrbitReading) -> PrintedMemo:
    """The memo of a reading, to be printed."""
    ended = [
        (letter, at == len(cycle.letters) - 1) for cycle in reading.cycles for at, letter in enumerate(cycle.letters)
    ]
    if ended:
        ended[-1] = (ended[-1][0], False)
    return PrintedMemo(reading.orbit.name, tuple(tuple(ended[at : at + 2]) for at in range(0, len(ended), 2)))
