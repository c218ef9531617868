"""A solve that moves: every turn is in it, it ends solved, and it is no larger than allowed."""

from __future__ import annotations

import io
import re
from functools import cache

import pytest
from PIL import Image, ImageChops, ImageStat

from nightfold.blind.method import load_method
from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.paper.animation import (
    FIRST_MS,
    LAST_MS,
    STEP_MS,
    TURN_MS,
    Animation,
    Format,
    Frame,
    animate,
    frames_of,
)
from nightfold.paper.press import MARK, Look, PaperError
from nightfold.paper.raster import png_of
from nightfold.paper.sides import sides_body

#: A T perm: few letters, and parity.
SCRAMBLE = "R U R' U' R' F R2 U' R' U' R U R' F'"


@cache
def plan(lettering: str = "clockwise") -> Plan:
    return make_plan(SCRAMBLE, lettering=lettering)


@cache
def short() -> Plan:
    """A plan of two letters: an edge is flipped in its place, and the buffer."""
    way = load_method().ways[0]
    steps = way.execute([geometry(3).sticker("UL"), geometry(3).sticker("LU")])
    solution = [turn for step in steps for turn in step.turns]
    return make_plan(Cube.solved().apply([turn.inverse for turn in reversed(solution)]))


@cache
def moving(form: Format) -> Animation:
    return animate(short(), form=form)


def opened(made: Animation) -> Image.Image:
    return Image.open(io.BytesIO(made.data))


@pytest.mark.parametrize("lettering", ["clockwise", "greek"])
def test_every_turn_is_shown_in_order_with_the_cube_after_it(lettering: str) -> None:
    solve = plan(lettering)
    frames = list(frames_of(solve))
    assert len(frames) == 1 + len(solve.steps) + len(solve.solution) + 1
    cube = solve.cube
    turns = iter(solve.solution)
    shown = []
    for frame in frames:
        if found := re.search(r'<tspan fill="#b2541a" font-weight="700">(.+?)</tspan>', frame.svg):
            shown.append(found[1].replace("&#x27;", "'"))
            cube = cube.apply((next(turns),))
        stickers = "\n".join(line for line in sides_body(cube, colours=solve.scheme) if 'fill="none"' not in line)
        assert re.findall(r'<polygon points="\S+?(?: \S+)*" fill="#\w+"/>', stickers) == re.findall(
            r'<polygon points="\S+?(?: \S+)*" fill="#\w+"/>', frame.svg
        )
    assert shown == [str(turn) for turn in solve.solution]
    assert cube.is_solved
    captions = [re.search(r'font-weight="700" fill="#b2541a">(.+?)</text>', frame.svg) for frame in frames[1:-1]]
    heads = [caption[1] for caption in captions if caption]
    assert list(dict.fromkeys(heads)) == list(dict.fromkeys(step.letter or "parity" for step in solve.steps))


def test_other_paces_show_strokes_and_steps() -> None:
    solve = plan()
    strokes = sum(bool(part) for step in solve.steps for part in (step.setup, step.swap, step.undo))
    assert len(list(frames_of(solve, pace="strokes"))) == 1 + len(solve.steps) + strokes + 1
    assert len(list(frames_of(solve, pace="steps"))) == 1 + 2 * len(solve.steps) + 1
    last: set[str] = {list(frames_of(solve, pace=pace))[-1].svg for pace in ("turns", "strokes", "steps")}
    assert len(last) == 1


def test_no_more_than_three_pictures_a_second() -> None:
    """WCAG 2.1, 2.3.1: nothing flashes more than three times in any second."""
    assert all(frame.ms >= 334 for frame in frames_of(plan()))


@pytest.mark.parametrize("form", ["gif", "apng"])
def test_the_file_has_every_picture_for_its_time_and_ends_solved(form: Format) -> None:
    made, frames = moving(form), list(frames_of(short()))
    file = opened(made)
    assert file.format == ("GIF" if form == "gif" else "PNG")
    assert file.size == (made.width, made.height)
    assert file.n_frames == made.frames == len(frames)  # type: ignore[attr-defined]
    times = []
    for at in range(made.frames):
        file.seek(at)
        times.append(round(file.info["duration"]))
    assert times == [frame.ms for frame in frames]
    assert [times[0], times[1], times[2], times[-1]] == [FIRST_MS, STEP_MS, TURN_MS, LAST_MS]
    file = opened(made)
    for at in (0, 1, made.frames // 2, made.frames - 1):
        file.seek(at)
        assert like(file.convert("RGB"), frames[at], made.width)
    file.seek(made.frames - 1)
    assert not like(file.convert("RGB"), frames[1], made.width)
    assert "".join(map(str, sides_body(Cube.solved(), colours=short().scheme))) in frames[-1].svg.replace("\n", "")
    assert MARK.encode() in made.data
    assert len(made.data) <= 5_000_000
    assert f"{made.frames} pictures of {made.width} by {made.height} pixels, a picture a turn" in made.said


def like(picture: Image.Image, frame: Frame, width: int) -> bool:
    """Whether a picture is that of a frame, but for fine shades at the edges."""
    drawn = Image.open(io.BytesIO(png_of(frame.svg, width))).convert("RGB")
    return bool(max(ImageStat.Stat(ImageChops.difference(picture, drawn)).mean) < 1.5)


def test_it_keeps_to_the_limit_and_says_how() -> None:
    whole = moving("gif")
    smaller = animate(short(), limit=len(whole.data) * 2 // 3)
    assert len(smaller.data) <= len(whole.data) * 2 // 3
    assert smaller.pace == "turns"
    assert smaller.width < whole.width
    assert "more or larger ones would not fit into" in smaller.said
    fewer = animate(short(), limit=60_000)
    assert len(fewer.data) <= 60_000
    assert fewer.pace != "turns"
    assert fewer.frames < smaller.frames
    with pytest.raises(PaperError, match=r"takes about 0\.\d+ MB at the least, more than the limit of 0.005 MB"):
        animate(short(), limit=5_000)


def test_in_grey_and_of_a_solved_cube() -> None:
    grey = opened(animate(plan(), Look(grey=True), limit=250_000))
    for _, colour in grey.convert("RGB").getcolors(grey.width * grey.height) or []:
        assert isinstance(colour, tuple)
        assert max(colour) - min(colour) <= 2
    solved = animate(make_plan(""))
    assert solved.frames == 1
    assert "1 picture of" in solved.said


def test_hostile_letters_are_letters() -> None:
    from nightfold.blind.lettering import Lettering

    letters = plan().lettering
    odd = Lettering(
        "x", 3, {name: {at: "<&\"'" + sign for at, sign in known.items()} for name, known in letters.symbols.items()}
    )
    frames = list(frames_of(make_plan(SCRAMBLE, lettering=odd)))
    assert png_of(frames[1].svg, 200)
    assert "&lt;&amp;&quot;&#x27;" in frames[1].svg
