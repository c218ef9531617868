"""A worked example: one cube solved from the first look to the last turn, told so that it can be read aloud.

What is told is the plan of that cube, its reasons and its words; ``example_of`` puts it into sentences, ``pictures_of``
draws it.  ``press_example`` prints it, ``example_text.py`` writes it for editors and for screens, ``animation.py``
moves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from textwrap import wrap
from typing import Any

from nightfold.blind.dealing import Dealer
from nightfold.blind.plan import PARITY, Plan, Step, make_plan, parity_sentence
from nightfold.blind.reading import Cycle, OrbitReading
from nightfold.blind.setups import number_word
from nightfold.blind.ways import SwapWay, and_list
from nightfold.cube.geometry import geometry, inverse, permutation_of
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from nightfold.memory.candidates import Finder
from nightfold.memory.lexicon import language_of
from nightfold.memory.own import OwnWords, read_own
from nightfold.memory.symbols import pair_text
from nightfold.memory.telling import Telling, tell
from nightfold.paper.class_list import read_seed
from nightfold.paper.constellation import constellation_svg
from nightfold.paper.leaflet import CAUTION
from nightfold.paper.place import side_of
from nightfold.paper.press import PLAIN, Look, PaperError, press
from nightfold.paper.sides import sides_svg
from nightfold.paper.strip import strip_svg
from nightfold.paper.subject import Subject

TITLE = "A worked example"
#: No file of words a person wrote is anywhere near so large.
_MAX_OWN = 2_000_000
#: So many characters make a line of turns; the press cuts texts short that are much longer.
_LINE = 1000
#: So many other letters of a break are listed, more are counted.
_LISTED = 5
#: Why a break goes where it goes, by the policy that chose it.
_POLICIES = {
    "lowest": "the letter that comes first",
    "shortest": "the letter that makes the plan shortest",
    "words": "the letter that makes the best pairs",
}


@dataclass(frozen=True, slots=True)
class ToldLetter:
    """One letter of a reading: its sticker, why it follows, and what is said of the choice where it was one."""

    letter: str
    sticker: str
    why: str
    choice: str = ""


@dataclass(frozen=True, slots=True)
class ToldCycle:
    """One cycle: its letters, and how it ends (empty where its last letter says so)."""

    kind: str
    letters: tuple[ToldLetter, ...]
    end: str


@dataclass(frozen=True, slots=True)
class ToldPair:
    """A pair of letters and its word (empty for none); ``mark`` is “your own” or “weak”, or empty."""

    pair: str
    word: str
    mark: str


@dataclass(frozen=True, slots=True)
class ToldOrbit:
    """The reading of one orbit, and what is remembered of it."""

    orbit: str
    buffer: str
    intro: str
    cycles: tuple[ToldCycle, ...]
    outro: str
    pairs: tuple[ToldPair, ...]
    phrase: str


@dataclass(frozen=True, slots=True)
class ToldStep:
    """One step: what is turned, why, and what it leaves.

    ``number`` counts from 1.  ``letter`` and ``sticker`` are empty for the parity step, ``setup`` and ``undo`` where
    nothing is set up.  ``label`` is what the swap is called; ``then`` says what came of it.
    """

    number: int
    orbit: str
    letter: str
    sticker: str
    setup: str
    label: str
    swap: str
    undo: str
    why: str
    then: str


@dataclass(frozen=True, slots=True)
class Algorithm:
    """An algorithm to know: what it is called, its turns, what it exchanges."""

    label: str
    turns: str
    does: str


@dataclass(frozen=True, slots=True)
class Example:
    """All that a worked example tells; ``plan`` is what it tells of."""

    plan: Plan
    intro: str
    turn: str
    hold: str
    orbits: tuple[ToldOrbit, ...]
    memo: str
    why_not: str
    parity: tuple[str, ...]
    carry: str
    algorithms: tuple[Algorithm, ...]
    slowly: tuple[tuple[int, str], ...]
    steps: tuple[ToldStep, ...]
    end: str
    caution: str = CAUTION


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture, and what it shows in words."""

    svg: str
    alt: str


# --- choosing the cube -------------------------------------------------------------------------------------


def example_of(
    subject: Subject,
    *,
    scramble: str | None = None,
    seed: int | None = None,
    breaks: str | None = None,
    words: OwnWords | None = None,
    language: str | None = None,
) -> Example:
    """The example of the cube that ``scramble`` makes, or of one that is dealt, the same for the same ``seed``.

    ``breaks`` is a policy as for ``make_plan``, or ``words``.  ``words`` are one's own for letter pairs, which come
    first; ``language`` is that of all others (chosen by the letters if None).  Raises NightfoldError for what cannot be
    used.
    """
    turns = str(Dealer(seed=seed).deal()) if scramble is None else scramble
    method, letters = subject.method, subject.letters

    def plan(policy: Any) -> Plan:
        return make_plan(turns, method, letters, subject.hold, policy)

    plan("lowest")  # whatever is wrong with the cube is told before words are looked for
    told = tell(Finder(_symbols(subject), language, own=words), method, letters, plan, breaks)
    return _example(told, breaks or method.breaks)


def _symbols(subject: Subject) -> list[str]:
    return [symbol for orbit in subject.letters.symbols.values() for symbol in orbit.values()]


def chosen_example(subject: Subject, wanted: Mapping[str, Any]) -> Example:
    """``example_of`` for what ``asked`` gives, with the words of the file and those that the logbook keeps.

    Raises NightfoldError for a file, or a logbook, that cannot be used.
    """
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import kept_words, together

    words, language = _own_words(wanted["own"]), wanted["language"]
    book = Logbook.look()
    if book is not None:
        with book:
            kept = kept_words(book, wanted["solver"] or "", language or language_of(_symbols(subject)))
            words = together(words, kept)
    return example_of(
        subject,
        scramble=wanted["scramble"],
        seed=wanted["seed"],
        breaks=wanted["breaks"],
        words=words,
        language=language,
    )


def asked(
    scramble: str | None = None,
    seed: str | None = None,
    breaks: str | None = None,
    own: str | None = None,
    solver: str | None = None,
    language: str | None = None,
    limit: int = 0,
) -> dict[str, Any]:
    """What was typed as what ``chosen_example`` takes, a seed drawn where a cube is to be dealt and none was given.

    ``limit`` concerns animations alone.  Raises PaperError for a cube that is both given and dealt.
    """
    if scramble is not None and seed is not None:
        raise PaperError("the cube is either given with --scramble or dealt with --seed; leave one of them out")
    return {
        "scramble": scramble,
        "seed": read_seed(seed) if scramble is None else None,
        "breaks": breaks,
        "own": own,
        "solver": solver,
        "language": language,
    }


def words_of(choices: Mapping[str, Any]) -> list[str]:
    """The words of a command that ask for the same example again; of a file they tell the name alone."""
    told = dict(choices) | {"own": choices["own"] and Path(choices["own"]).name}
    return [word for name, value in told.items() if value is not None for word in (f"--{name}", str(value))]


def _own_words(file: str | None) -> OwnWords:
    """The words of a file, none without one.  Raises NightfoldError for a file that cannot be used."""
    if file is None:
        return OwnWords()
    shown = file[:80]
    try:
        with Path(file).open("rb") as source:
            data = source.read(_MAX_OWN + 1)
    except (OSError, ValueError) as trouble:
        reason = getattr(trouble, "strerror", None) or "not a usable path"
        raise PaperError(f"the file of words “{shown}” cannot be read: {reason}") from None
    if len(data) > _MAX_OWN:
        raise PaperError(f"“{shown}” holds more than {_MAX_OWN:,} bytes, which is no file of words")
    try:
        return read_own(data.decode("utf-8-sig"), Path(file).name)
    except UnicodeDecodeError as trouble:
        raise PaperError(
            f"“{shown}” is not text (byte {trouble.start + 1} is not UTF-8), so it is no file of words"
        ) from None


# --- telling it --------------------------------------------------------------------------------------------


def _example(told: Telling, policy: str) -> Example:
    plan = told.plan
    return Example(
        plan=plan,
        intro=_intro(plan),
        turn=plan.scramble,
        hold=_hold(plan),
        orbits=tuple(_orbit(told, at, policy) for at in range(len(plan.orbits))),
        memo=(
            "The letters are remembered two by two, each pair as a picture. The pictures make a little tale, which is "
            "easier to keep than letters are."
            if told.phrases and plan.letters
            else "The letters are remembered two by two, each pair as a picture."
        ),
        why_not=told.why_not[:1].upper() + told.why_not[1:] + "." if told.why_not else "",
        parity=_parity(plan),
        carry=(
            "Cover your eyes. Each letter is carried out in three strokes: the setup brings its sticker to the home "
            "target, the swap exchanges it with the buffer, and the undo takes the setup back."
            if plan.steps
            else "There is no letter to carry out."
        ),
        algorithms=_algorithms(plan),
        slowly=_slowly(plan),
        steps=_steps(plan),
        end=_end(plan),
    )


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _intro(plan: Plan) -> str:
    if not plan.steps:
        return "This cube is solved as it is: there is nothing to read, to remember or to turn."
    parts = [_counted(len(reading.targets), f"{reading.orbit.piece_word} letter") for reading in plan.orbits]
    breaks = sum(cycle.kind == "break" for reading in plan.orbits for cycle in reading.cycles)
    turned = sum(cycle.kind == "in place" for reading in plan.orbits for cycle in reading.cycles)
    met = ["one break into a new cycle"] if breaks == 1 else []
    met += [f"{number_word(breaks)} breaks into new cycles"] if breaks > 1 else []
    met += ["one piece turned in its place"] if turned == 1 else []
    met += [f"{number_word(turned)} pieces turned in their places"] if turned > 1 else []
    met += ["parity"] if plan.parity else []
    meets = f" On the way it meets {and_list(met)}." if met else ""
    return (
        f"One cube is solved here blind, from the first look to the last turn: read, remembered, and turned. It takes "
        f"{and_list(parts)}, and {_counted(len(plan.solution), 'turn')}.{meets}"
    )


def _hold(plan: Plan) -> str:
    names = f"{plan.held}"
    if not plan.hold:
        return f"Keep holding it as it is, with {names}. From here on it is never turned round as a whole."
    return (
        f"Then turn the whole cube, {plan.hold}, so that it is held with {names}. From here on it is never turned "
        "round as a whole."
    )


def _orbit(told: Telling, at: int, policy: str) -> ToldOrbit:
    plan, reading = told.plan, told.plan.orbits[at]
    name, names = reading.orbit.name, plan.cube_names
    buffer = names[reading.buffer]
    if at == 0:
        intro = (
            f"The buffer of the {name} is {buffer}. Look at the sticker that lies there: the place where it belongs is "
            "the first letter. What lies at that place gives the next letter, and so on until the buffer's own piece "
            "turns up."
        )
    else:
        intro = f"The {name} are read in the same way. Their buffer is {buffer}."
    if reading.buffer_turned:
        turned = "flipped" if reading.orbit.turns_of_piece == 2 else "twisted"
        intro += f" The buffer's own piece is at home but {turned}; it comes right along with the others."
    count = len(reading.targets)
    if count:
        memo = ", ".join(pair_text(pair) for pair in told.memo[name])
        outro = f"That is all: the {name} are {_counted(count, 'letter')}. In pairs: {memo}."
    else:
        outro = f"All {name} are right already, so there is nothing to remember of them."
    words = zip(told.memo[name], told.words[name], strict=True)
    return ToldOrbit(
        name,
        buffer,
        intro,
        tuple(_cycle(plan, reading, cycle, policy) for cycle in reading.cycles),
        outro,
        tuple(
            ToldPair(
                pair_text(pair),
                one.word if one else "",
                "" if one is None else "your own" if one.own else "weak" if one.weak else "",
            )
            for pair, one in words
        ),
        str(told.phrases[name]) if name in told.phrases else "",
    )


def _cycle(plan: Plan, reading: OrbitReading, cycle: Cycle, policy: str) -> ToldCycle:
    symbols = plan.lettering.of(reading.orbit)
    chosen = _POLICIES.get(policy.strip(), "the letter that was asked for")
    letters = []
    for target in cycle.targets:
        choice = ""
        others = sorted(symbols[sticker] for sticker in cycle.options if sticker != target.sticker)
        if target.role == "break" and others:
            listed = " ".join(others) if len(others) <= _LISTED else f"any of {len(others)} other letters"
            choice = f"It could go to {listed} as well; here it goes to {chosen}."
            if cycle.kind == "in place":
                choice = f"Such a piece takes two letters, in at one of its stickers and out at another. {choice}"
        letters.append(ToldLetter(target.symbol, plan.cube_names[target.sticker], target.why, choice))
    return ToldCycle(cycle.kind, tuple(letters), cycle.end)


def _beside(way: SwapWay) -> str:
    return f" and, besides, {' and '.join(way.disturbed_names)}" if way.disturbed else ""


def _parity(plan: Plan) -> tuple[str, ...]:
    counts = " and ".join(_counted(len(each.targets), f"{each.orbit.piece_word} letter") for each in plan.orbits)
    if not plan.letters:
        return ("There are no letters, so there is no parity.",)
    moved = [
        f"The {way.label} exchanges two {way.orbit.name}{_beside(way)}: done twice it puts these back, so an even "
        "number of letters leaves nothing behind."
        for way in plan.method.ways
        if way.disturbed
    ]
    if not plan.parity:
        verdict = f"There are {counts}. Both numbers are even, so there is no parity, and nothing is to be done."
    else:
        verdict = f"Here there is parity: {parity_sentence(plan.method, plan.orbits)}"
    both = "Both numbers are always even or both odd; a memo in which they differ has a mistake in it."
    return (" ".join(moved), f"{verdict} {both}")


def _algorithms(plan: Plan) -> tuple[Algorithm, ...]:
    names = plan.cube_names
    used = {step.orbit for step in plan.steps}
    found = [
        Algorithm(
            way.label,
            write(way.core),
            f"exchanges {names[way.buffer]} and {names[way.home]}{_beside(way)}",
        )
        for way in plan.method.ways
        if way.orbit.name in used
    ]
    if PARITY in used:
        first, second = plan.method.ways
        does = f"exchanges {' and '.join(first.disturbed_names)}, and {' and '.join(second.disturbed_names)}"
        found.append(Algorithm(plan.method.parity.label, write(plan.method.parity.turns), does))
    return tuple(found)


def _slowly(plan: Plan) -> tuple[tuple[int, str], ...]:
    """The steps that are shown turn by turn: the first one of each orbit, and parity; each with what is said of it."""
    found = []
    seen: set[str] = set()
    for number, step in enumerate(plan.steps, 1):
        if step.orbit in seen:
            continue
        seen.add(step.orbit)
        if step.orbit == PARITY:
            said = f"Step {number}, parity, turn by turn."
        else:
            piece = plan.method.way(step.orbit).orbit.piece_word
            said = (
                f"Step {number}, the {piece} letter {step.letter}, turn by turn. The two that are exchanged are ringed."
            )
        found.append((number, said))
    return tuple(found)


def _steps(plan: Plan) -> tuple[ToldStep, ...]:
    labels, cube = plan.labels, plan.cube
    found = []
    for number, step in enumerate(plan.steps, 1):
        cube = cube.apply(step.turns)
        found.append(
            ToldStep(
                number,
                step.orbit,
                step.letter,
                step.sticker,
                write(step.setup),
                labels[step.orbit],
                write(step.swap),
                write(step.undo),
                step.why[:1].upper() + step.why[1:].removesuffix(".") + ".",
                _then(plan, step, cube),
            )
        )
    return tuple(found)


def _then(plan: Plan, step: Step, after: Cube) -> str:
    """What a step left, as the cube shows it."""
    if after.stickers == Cube.solved(after.size).stickers:
        return "The cube is solved."
    if step.orbit == PARITY:
        return ""
    buffer, target = plan.method.way(step.orbit).buffer, geometry(after.size).sticker(step.sticker)
    names = plan.cube_names
    if after.stickers[target] == target:
        return f"{step.sticker} is right now."
    if after.stickers[target] in geometry(after.size).piece_of(buffer):
        return f"The buffer's own piece waits at {step.sticker} now, and {names[buffer]} has another."
    return ""


def _end(plan: Plan) -> str:
    if not plan.steps:
        return "The cube is solved as it is."
    turns, short = len(plan.solution), len(plan.cancelled)
    shorter = (
        f" Where an undo meets the next setup, turns run into one another, and {short} are enough."
        if short < turns
        else ""
    )
    return f"That was the last turn. After {turns} turns the cube is solved.{shorter}"


# --- drawing it --------------------------------------------------------------------------------------------


def pictures_of(example: Example, look: Look = PLAIN) -> Mapping[str, Picture]:
    """All pictures of an example by name.

    ``look`` and ``end``: the cube before and after all turns; ``reading`` with an orbit's name; ``slowly``, ``before``
    and ``after`` with a step's number.  No two of them use one name for a hatching.
    """
    plan, names = example.plan, example.plan.cube_names
    colours, grey = plan.scheme, look.grey
    buffers = [reading.buffer for reading in plan.orbits]
    alt = "The scrambled cube from the front, and from behind"
    found = {
        "look": Picture(
            sides_svg(plan.cube, colours=colours, lit=buffers, grey=grey, names=True, prefix="l", title=alt), alt
        )
    }
    for reading in plan.orbits:
        if not reading.targets:
            continue
        name = f"reading {reading.orbit.name}"
        svg = constellation_svg(
            plan.cube, reading, colours=colours, labels=plan.lettering.labels, grey=grey, prefix=name.replace(" ", "-")
        )
        found[name] = Picture(svg, f"The reading of the {reading.orbit.name} on the unfolded cube")
    slow = {number for number, _ in example.slowly}
    cube = plan.cube
    for number, step in enumerate(plan.steps, 1):
        pair = _exchanged(plan, step)
        after = cube.apply(step.turns)
        said = f"step {number}, {f'{step.letter} at {step.sticker}' if step.letter else 'parity'}"
        more: dict[str, Any] = {"colours": colours, "grey": grey}
        alt = f"Before {said}: the cube from the front, and from behind"
        if step.letter:
            alt += f"; {names[pair[0][0]]} and {names[pair[0][1]]} will change places"
        before = sides_svg(
            cube,
            lit=[end for ends in pair for end in ends] if step.letter else (),
            arrows=pair,
            prefix=f"b{number}-",
            title=alt,
            **more,
        )
        found[f"before {number}"] = Picture(before, alt)
        alt = f"After {said}: the cube from the front, and from behind"
        lit = [pair[0][1]] if step.letter else []
        found[f"after {number}"] = Picture(sides_svg(after, lit=lit, prefix=f"a{number}-", title=alt, **more), alt)
        if number in slow:
            found[f"slowly {number}"] = _strip(plan, step, cube, number, look)
        cube = after
    alt = "The solved cube from the front, and from behind"
    found["end"] = Picture(sides_svg(cube, colours=colours, grey=grey, prefix="e", title=alt), alt)
    return found


def _exchanged(plan: Plan, step: Step) -> list[tuple[int, int]]:
    """The stickers that change places in a step, pair by pair: buffer and target, or all that parity exchanges."""
    table = geometry(plan.method.size)
    if step.orbit != PARITY:
        return [(plan.method.way(step.orbit).buffer, table.sticker(step.sticker))]
    # One sticker of every piece tells where all of it goes.
    first = {table.cubie_of(sticker)[0] for sticker in range(len(table.names))}
    cycles = Cube(plan.method.size, permutation_of(step.turns, plan.method.size)).cycles()
    return [(cycle[0], cycle[1]) for cycle in cycles if len(cycle) == 2 and cycle[0] in first]


def _strip(plan: Plan, step: Step, cube: Cube, number: int, look: Look) -> Picture:
    """A step turn by turn, from the side that shows more of what is exchanged, which is ringed on its way."""
    places = [sticker for pair in _exchanged(plan, step) for sticker in pair] if step.letter else []
    lit = [frozenset(places)]
    for turn in step.turns:
        goes = inverse(permutation_of((turn,), cube.size))
        places = [goes[place] for place in places]
        lit.append(frozenset(places))
    seen = [side_of(cube.size, place) for places in lit for place in places]
    side = "behind" if seen.count("behind") > seen.count("front") else "front"
    alt = f"Step {number} turn by turn, from {'the front' if side == 'front' else side}: {write(step.turns)}"
    svg = strip_svg(
        cube,
        step.turns,
        "behind" if side == "behind" else "front",
        colours=plan.scheme,
        lit=lit,
        grey=look.grey,
        prefix=f"s{number}-",
        title=alt,
    )
    return Picture(svg, alt)


# --- printing it -------------------------------------------------------------------------------------------


def press_example(subject: Subject, look: Look = PLAIN, **choices: Any) -> bytes:
    """The example as PDF; ``choices`` are those of ``asked``.  Raises NightfoldError for what cannot be used."""
    wanted = asked(**choices)
    example = chosen_example(subject, wanted)
    pictures = pictures_of(example, look)
    sheet = subject.sheet("example", TITLE, look, *words_of(wanted))
    sheet |= _as_data(example)
    sheet["alt"] = {name: picture.alt for name, picture in pictures.items()}
    sheet["legend"], swatches = subject.legend(look)
    sheet["pictures"] = swatches | {name: picture.svg for name, picture in pictures.items()}
    return press("example", sheet, look)


def _as_data(example: Example) -> dict[str, Any]:
    plan = example.plan
    return {
        "intro": example.intro,
        "turn": lines_of(example.turn),
        "hold": example.hold,
        "orbits": [asdict(orbit) for orbit in example.orbits],
        "memo": example.memo,
        "why_not": example.why_not,
        "parity": example.parity,
        "carry": example.carry,
        "algorithms": [asdict(one) for one in example.algorithms],
        "slowly": [{"number": number, "said": said} for number, said in example.slowly],
        "steps": [asdict(step) for step in example.steps],
        "end": example.end,
        "solution": lines_of(write(plan.solution)),
        "caution": example.caution,
    }


def lines_of(text: str) -> list[str]:
    """A text of any length in lines that are short enough to be printed whole."""
    return wrap(text, _LINE, break_long_words=False, break_on_hyphens=False)
