"""A solve that moves: the cube before each step, and after every turn of it, with its letter and its turns, as a GIF or
an animated PNG.

Turns follow one another slowly enough for eyes: never more than three pictures a second (WCAG 2.1, 2.3.1).
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from html import escape
from itertools import chain, islice
from typing import TYPE_CHECKING, Any, Literal

from nightfold.blind.plan import PARITY, Plan, Step
from nightfold.cube.geometry import geometry, inverse, permutation_of
from nightfold.cube.notation import Turn
from nightfold.cube.picture import clean_text, number
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import HEIGHT
from nightfold.paper.handouts import Written
from nightfold.paper.ink import ACCENT, FONTS, LINE, hatchings
from nightfold.paper.press import MARK, PLAIN, Look, PaperError
from nightfold.paper.raster import pngs_of
from nightfold.paper.sides import BOTH, sides_body
from nightfold.paper.subject import Subject

if TYPE_CHECKING:
    from PIL import Image

Pace = Literal["turns", "strokes", "steps"]
Format = Literal["gif", "apng"]
#: How long pictures stand, in milliseconds: the first, one before a step, one after a turn or a stroke, the last.
FIRST_MS, STEP_MS, TURN_MS, STROKE_MS, LAST_MS = 2500, 1400, 400, 1000, 5000
#: What one megabyte is, and the most that may be asked for.
MEGABYTE, MOST_MEGABYTES = 1_000_000, 100
#: What is tried in turn until it fits: what gets a picture, and how many pixels wide that is.
_TRIED: tuple[tuple[Pace, int], ...] = (
    ("turns", 640),
    ("turns", 480),
    ("turns", 360),
    ("strokes", 480),
    ("strokes", 360),
    ("steps", 360),
    ("steps", 240),
)
_PACES: dict[Pace, str] = {
    "turns": "a picture a turn",
    "strokes": "a picture for each setup, swap and undo",
    "steps": "a picture a step",
}
#: The picture, and where its parts stand in it.
_WIDTH, _ABOVE, _BELOW = BOTH + 24, 64.0, 62.0
_HEIGHT = _ABOVE + HEIGHT + _BELOW
_QUIET = "#5c5c5c"
#: A space that stays between two turns.
_NARROW = "\u00a0"
#: So many turns of a stroke are shown at once.
_SHOWN_TURNS = 18
#: Colours in a picture, pictures that they are chosen from, and pictures that tell how large all will be.
_COLOURS, _SAMPLE, _PROBE = 40, 3, 36
#: So far apart colours are at least, red, green and blue together.
_APART = 40
#: A probe that says so much more than the limit settles it.
_CLEARLY = 1.3


@dataclass(frozen=True, slots=True)
class Frame:
    """One picture of an animation, and for how many milliseconds it stands."""

    svg: str
    ms: int


@dataclass(frozen=True, slots=True)
class Animation:
    """An animation as a file; ``pace`` tells what gets a picture, ``said`` sums it up in a sentence."""

    data: bytes
    frames: int
    width: int
    height: int
    pace: Pace
    said: str


# --- the pictures ------------------------------------------------------------------------------------------


def frames_of(plan: Plan, look: Look = PLAIN, pace: Pace = "turns") -> Iterator[Frame]:
    """The pictures of a solve: the scrambled cube, each step before it begins and then turn by turn, the solved cube.

    With ``strokes`` for ``pace`` a setup, a swap or an undo is one picture, with ``steps`` all of a step.
    """
    draw = partial(_picture, plan, look)
    yield Frame(draw(plan.cube, _Caption("", _hold(plan), 0)), FIRST_MS)
    cube, done = plan.cube, 0
    for at, step in enumerate(plan.steps, 1):
        places = _exchanged(plan, step)
        said = f"step {at} of {len(plan.steps)}" + (f", {step.sticker}" if step.sticker else "")
        caption = partial(_Caption, step.letter or "parity", said)
        arrows = [(places[0], places[1])] if places else []
        yield Frame(draw(cube, caption(done), lit=places, arrows=arrows), STEP_MS)
        strokes = [
            (name, turns)
            for name, turns in (("setup", step.setup), (plan.labels[step.orbit], step.swap), ("undo", step.undo))
            if turns
        ]
        for name, turns in strokes:
            for made, turn in enumerate(turns, 1):
                cube, done = cube.apply((turn,)), done + 1
                goes = inverse(permutation_of((turn,), cube.size))
                places = [goes[place] for place in places]
                if pace == "turns":
                    yield Frame(draw(cube, caption(done, name, turns, made), lit=places), TURN_MS)
            if pace == "strokes":
                yield Frame(draw(cube, caption(done, name, turns, 0), lit=places), STROKE_MS)
        if pace == "steps":
            yield Frame(draw(cube, caption(done), lit=places), STROKE_MS)
    if plan.steps:
        turns_made = f"{done} turn{'' if done == 1 else 's'}"
        yield Frame(draw(cube, _Caption("solved", f"after {turns_made}", done)), LAST_MS)


@dataclass(frozen=True, slots=True)
class _Caption:
    """What stands round the cube: a letter or a word, something quiet, the turns done so far; a stroke and its turns.

    ``made`` is how many turns of the stroke are made; 0 sets none of them off.
    """

    head: str
    said: str
    done: int
    stroke: str = ""
    turns: tuple[Turn, ...] = ()
    made: int = 0


def _hold(plan: Plan) -> str:
    return f"{plan.held}; {plan.letters} letters, {len(plan.solution)} turns"


def _exchanged(plan: Plan, step: Step) -> list[int]:
    if step.orbit == PARITY:
        return []
    return [plan.method.way(step.orbit).buffer, geometry(plan.method.size).sticker(step.sticker)]


def _picture(
    plan: Plan,
    look: Look,
    cube: Cube,
    caption: _Caption,
    lit: Sequence[int] = (),
    arrows: Sequence[tuple[int, int]] = (),
) -> str:
    accent = LINE if look.grey else ACCENT
    head, left = clean_text(caption.head), 20.0
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(_WIDTH)} {number(_HEIGHT)}" '
        f'width="{number(_WIDTH)}" height="{number(_HEIGHT)}">',
        *([hatchings()] if look.grey else []),
        f'<g font-family="{FONTS}">',
    ]
    if head:
        height = min(44.0, 44.0 * 8 / len(head))
        parts.append(_text(left, 48, head, height, accent, "700"))
        left += ((0.53 if head.islower() else 0.8) * len(head) + 0.05) * height + 12
    parts.append(_text(left, 46, caption.said, 19, _QUIET))
    if caption.stroke:
        parts.append(_text(20, _HEIGHT - 25, caption.stroke, min(19, 19 * 16 / len(caption.stroke)), _QUIET))
        parts.append(_turns(caption, accent))
    share = caption.done / max(1, len(plan.solution))
    for width, paint in ((_WIDTH - 40, "#e2e2e2"), ((_WIDTH - 40) * share, accent)):
        parts.append(f'<rect x="20" y="{number(_HEIGHT - 11)}" width="{number(width)}" height="3" fill="{paint}"/>')
    parts += [
        "</g>",
        f'<g transform="translate(12 {number(_ABOVE)})">',
        *sides_body(cube, colours=plan.scheme, lit=lit, arrows=arrows, grey=look.grey),
        "</g>",
        "</svg>",
    ]
    return "\n".join(parts)


def _turns(caption: _Caption, accent: str) -> str:
    """The turns of a stroke, the one that was just made set off; of many, those round it."""
    first = max(0, min(caption.made - _SHOWN_TURNS // 2, len(caption.turns) - _SHOWN_TURNS))
    shown = caption.turns[first : first + _SHOWN_TURNS]
    spans = [
        f'<tspan fill="{accent if at == caption.made else LINE}" font-weight="{700 if at == caption.made else 400}">'
        f"{escape(str(turn))}</tspan>"
        for at, turn in enumerate(shown, first + 1)
    ]
    if first:
        spans.insert(0, "…")
    if first + len(shown) < len(caption.turns):
        spans.append("…")
    return f'<text x="150" y="{number(_HEIGHT - 25)}" font-size="19" fill="{LINE}">{_NARROW.join(spans)}</text>'


def _text(x: float, y: float, text: str, height: float, ink: str, weight: str = "400") -> str:
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(height)}" font-weight="{weight}" fill="{ink}">'
        f"{escape(clean_text(text))}</text>"
    )


# --- the file ----------------------------------------------------------------------------------------------


def animate(plan: Plan, look: Look = PLAIN, limit: int = 5 * MEGABYTE, form: Format = "gif") -> Animation:
    """A solve as a moving picture of at most ``limit`` bytes.

    Where a picture a turn would be too large, it gets smaller pictures first and then fewer; ``said`` tells.  Raises
    PaperError where not even the smallest fits.
    """
    smallest = 0
    known: dict[Pace, float] = {}
    for pace, width in _TRIED:
        # A picture shrinks at most as its area does.
        if pace in known and known[pace] * width**2 > limit:
            smallest = round(known[pace] * width**2)
            continue
        frames = list(frames_of(plan, look, pace))
        if len(frames) > 2 * _PROBE:
            data, _ = _encoded(frames[:_PROBE], width, form)
            if len(data) * len(frames) / _PROBE > _CLEARLY * limit:
                smallest = round(len(data) * len(frames) / _PROBE)
                known[pace] = smallest / width**2
                continue
        data, height = _encoded(frames, width, form)
        smallest = len(data)
        known[pace] = smallest / width**2
        if len(data) <= limit:
            counted = f"{len(frames)} picture{'' if len(frames) == 1 else 's'}"
            said = f"{counted} of {width} by {height} pixels, {_PACES[pace]}, {len(data) / MEGABYTE:.1f} MB"
            if (pace, width) != _TRIED[0]:
                said += f"; more or larger ones would not fit into {limit / MEGABYTE:g} MB"
            return Animation(data, len(frames), width, height, pace, said)
    raise PaperError(
        f"the animation takes about {smallest / MEGABYTE:.2f} MB at the least, more than the limit of "
        f"{limit / MEGABYTE:g} MB; allow more with --limit"
    )


def _encoded(frames: Sequence[Frame], width: int, form: Format) -> tuple[bytes, int]:
    """The file, and how high its pictures are."""
    from PIL import PngImagePlugin

    pictures = _drawn([frame.svg for frame in frames], width)
    first = next(pictures)
    more: dict[str, Any] = {"comment": MARK.encode(), "optimize": False}
    if form == "apng":
        about = PngImagePlugin.PngInfo()
        about.add_text("Comment", MARK)
        more = {"pnginfo": about}
    file = io.BytesIO()
    first.save(
        file,
        "GIF" if form == "gif" else "PNG",
        save_all=True,
        append_images=list(pictures),
        duration=[frame.ms for frame in frames] if len(frames) > 1 else frames[0].ms,
        loop=0,
        **more,
    )
    return file.getvalue(), first.height


def _drawn(pictures: Sequence[str], width: int) -> Iterator[Image.Image]:
    """The pictures in colours that they share: the commonest of some of them, so that paints come out exactly."""
    from PIL import Image

    opened = (Image.open(io.BytesIO(png)).convert("RGB") for png in pngs_of(pictures, width))
    some = list(islice(opened, _SAMPLE))
    palette = Image.new("P", (1, 1))
    colours = _commonest(some)
    palette.putpalette([part for colour in colours for part in colour])
    for picture in chain(some, opened):
        yield picture.quantize(palette=palette, dither=Image.Dither.NONE)


def _commonest(pictures: Iterable[Image.Image]) -> list[tuple[int, int, int]]:
    """The commonest colours that are not almost alike."""
    counted: Counter[Any] = Counter()
    for picture in pictures:
        for count, colour in picture.getcolors(picture.width * picture.height) or []:
            counted[colour] += count
    found: list[tuple[int, int, int]] = []
    for colour, _ in counted.most_common():
        if all(sum(abs(one - other) for one, other in zip(colour, known, strict=True)) >= _APART for known in found):
            found.append(colour)
        if len(found) == _COLOURS:
            break
    return found


# --- the handout -------------------------------------------------------------------------------------------


def gif_example(subject: Subject, look: Look, stem: str, **choices: Any) -> Written:
    """The worked example as a moving GIF; ``choices`` are those of ``asked``.  Raises NightfoldError as ``animate``."""
    return _example(subject, look, f"{stem}.gif", "gif", **choices)


def apng_example(subject: Subject, look: Look, stem: str, **choices: Any) -> Written:
    """The worked example as an animated PNG; the rest is as for ``gif_example``."""
    return _example(subject, look, f"{stem}.apng", "apng", **choices)


def _example(subject: Subject, look: Look, name: str, form: Format, limit: int = 5, **choices: Any) -> Written:
    from nightfold.paper.example import asked, chosen_example

    if not 1 <= limit <= MOST_MEGABYTES:
        raise PaperError(f"--limit is {limit}; it must be from 1 to {MOST_MEGABYTES} megabytes")
    wanted = asked(**choices)
    made = animate(chosen_example(subject, wanted).plan, look, limit * MEGABYTE, form)
    dealt = "" if wanted["seed"] is None else f"; the cube was dealt with --seed {wanted['seed']}"
    return Written({name: made.data}, made.said + dealt)
