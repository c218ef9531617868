"""A reading as figures in the sky of the unfolded cube: each cycle one figure, its stars lettered in order.

A line leads from each star to the next; it is dashed where a break was chosen, and the star chosen has four points.
Where a cycle passes a sticker a second time, at its close, a small star stands beside the first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from nightfold.blind.reading import OrbitReading
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, net_of
from nightfold.cube.picture import HEIGHT, WIDTH, clean_text, ink_on, number, sticker_centre, sticker_pitch
from nightfold.cube.state import Cube
from nightfold.paper.cubeview import SMALL
from nightfold.paper.ink import ACCENT, FONTS, LINE, hatchings, inks, paler

Point = tuple[float, float]
#: The ground's border in the night picture, most of which paper does not need.
_CUT = 23.0
#: How much of the paint is left on stickers that are not part of the reading.
_PALE = 0.35
#: The radius of a star, of the four points of a chosen one and of one that stands beside another, in stickers.
_STAR, _CHOSEN, _AGAIN = 0.36, 0.47, 0.24
#: How far such a one stands to the right of its sticker's middle and below it.
_BESIDE = 0.3


@dataclass(frozen=True, slots=True)
class Star:
    """One letter of a reading: where it stands, its place in the memo from 0, and the number of its cycle.

    ``chosen`` marks a break, ``again`` a sticker that was passed before.
    """

    sticker: int
    at: Point
    letter: str
    order: int
    cycle: int
    chosen: bool
    again: bool


def stars_of(reading: OrbitReading) -> tuple[Star, ...]:
    """The stars of a reading, in the order of its memo."""
    size = reading.orbit.size
    away = _BESIDE * sticker_pitch(size)
    passed: set[int] = set()
    stars: list[Star] = []
    for cycle, figure in enumerate(reading.cycles):
        for target in figure.targets:
            x, y = sticker_centre(size, target.sticker)
            again = target.sticker in passed
            at = (x + away, y + away) if again else (x, y)
            stars.append(Star(target.sticker, at, target.symbol, len(stars), cycle, target.role == "break", again))
            passed.add(target.sticker)
    return tuple(stars)


def constellation_svg(
    cube: Cube,
    reading: OrbitReading,
    *,
    colours: Sequence[str] = STANDARD_COLOURS,
    labels: Mapping[int, str] | None = None,
    grey: bool = False,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """The unfolded cube with the constellation of one orbit's reading over it, as an SVG document.

    ``colours`` and ``labels`` are as for ``net_svg``; ``grey`` and ``prefix`` as for ``view_svg``.  Raises NetError for
    colours that are not six different symbols.
    """
    size, pitch = cube.size, sticker_pitch(cube.size)
    net, labels = net_of(cube, colours), labels or {}
    laid = inks(colours, grey=grey, prefix=prefix)
    stars = stars_of(reading)
    starred = {star.sticker for star in stars} | {reading.buffer}
    said = " ".join(reading.letters) or "nothing"
    title = clean_text(title or f"The reading of the {reading.orbit.name} on the unfolded cube: {said}")
    width, height = number(WIDTH - 2 * _CUT), number(HEIGHT - 2 * _CUT)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{number(_CUT)} {number(_CUT)} {width} {height}" '
        f'width="{width}" height="{height}" role="img" aria-label="{escape(title)}">',
        f"<title>{escape(title)}</title>",
        *([hatchings(prefix)] if grey else []),
        f'<g stroke="{LINE}" stroke-width="1.2">',
    ]
    side = 0.95 * pitch
    ink: dict[int, str] = {}
    for sticker in range(6 * size**2):
        x, y = sticker_centre(size, sticker)
        fill = laid[net.symbols[sticker]].fill
        if sticker not in starred:
            fill = "#ffffff" if grey else paler(fill, _PALE)
        ink[sticker] = LINE if grey else ink_on(fill)
        parts.append(
            f'<rect x="{number(x - side / 2)}" y="{number(y - side / 2)}" width="{number(side)}" '
            f'height="{number(side)}" rx="{number(side * 0.1)}" fill="{fill}"/>'
        )
    parts.append(f'</g><g text-anchor="middle" font-family="{FONTS}">')
    for sticker, label in labels.items():
        if sticker not in starred and sticker in reading.orbit.stickers:
            parts.append(_text(sticker_centre(size, sticker), label, 0.42 * pitch, ink[sticker]))
    for face, middle in geometry(size).fixed_centres.items():
        parts.append(_text(sticker_centre(size, middle), face, 0.38 * pitch, ink[middle], SMALL))
    parts.append("</g>")
    parts += _lines(reading, stars, LINE if grey else ACCENT)
    parts.append(f'<g text-anchor="middle" font-family="{FONTS}" font-weight="700" stroke-linejoin="round">')
    parts += _start(sticker_centre(size, reading.buffer), pitch)
    # A star beside another lies over it, so it is drawn later.
    for star in sorted(stars, key=lambda star: star.again):
        parts += _star(star, pitch, LINE if grey else ACCENT)
    return "\n".join([*parts, "</g>", "</svg>"]) + "\n"


def _lines(reading: OrbitReading, stars: Sequence[Star], paint: str) -> list[str]:
    """The line to every star from the one before, with a white rim so that it stands out from any paint."""
    pitch = sticker_pitch(reading.orbit.size)
    parts = ['<g fill="none" stroke-linecap="round">']
    last, rim = sticker_centre(reading.orbit.size, reading.buffer), _STAR * pitch
    for star in stars:
        own = (_AGAIN if star.again else _STAR) * pitch
        if path := bend(last, star.at, rim, own):
            dashes = ' stroke-dasharray="0.5 6"' if star.chosen else ""
            parts.append(f'<path d="{path}" stroke="#fff" stroke-width="6.5" opacity="0.85"/>')
            parts.append(f'<path d="{path}" stroke="{paint}" stroke-width="{3.4 if star.chosen else 2.6}"{dashes}/>')
        last, rim = star.at, own
    return [*parts, "</g>"]


def bend(start: Point, end: Point, leave: float, meet: float) -> str:
    """The path of a gently bent line that leaves one star's rim and meets another's; empty where they touch."""
    across, down = end[0] - start[0], end[1] - start[1]
    length = math.hypot(across, down)
    if length <= leave + meet:
        return ""
    lift = min(0.14 * length, 30)
    middle = (
        (start[0] + end[0]) / 2 - down / length * lift,
        (start[1] + end[1]) / 2 + across / length * lift,
    )

    def rim(point: Point, radius: float) -> str:
        x, y = middle[0] - point[0], middle[1] - point[1]
        reach = math.hypot(x, y)
        return f"{number(point[0] + x / reach * radius, 1)} {number(point[1] + y / reach * radius, 1)}"

    return f"M{rim(start, leave)}Q{number(middle[0], 1)} {number(middle[1], 1)} {rim(end, meet)}"


def _start(at: Point, pitch: float) -> list[str]:
    """Two rings and a word where the reading begins."""
    x, y = (number(part) for part in at)
    return [
        f'<circle cx="{x}" cy="{y}" r="{number(0.42 * pitch)}" fill="#fff" stroke="{LINE}" stroke-width="2.2"/>',
        f'<circle cx="{x}" cy="{y}" r="{number(0.35 * pitch)}" fill="none" stroke="{LINE}" stroke-width="1"/>',
        _text(at, "start", 0.22 * pitch, LINE, ' font-weight="400"'),
    ]


def _star(star: Star, pitch: float, paint: str) -> list[str]:
    if star.again:
        points, letter = star_points(star.at, 8, _AGAIN * pitch, 0.72 * _AGAIN * pitch), 0.27
    elif star.chosen:
        points, letter = star_points(star.at, 4, _CHOSEN * pitch, 0.6 * _CHOSEN * pitch), 0.4
    else:
        points, letter = star_points(star.at, 8, _STAR * pitch, 0.78 * _STAR * pitch), 0.4
    fill, ink = (paint, "#ffffff") if star.chosen else ("#ffffff", LINE)
    height = min(letter, 1.6 * letter / len(star.letter)) * pitch
    parts = [
        f'<polygon points="{points}" fill="{fill}" stroke="{paint if not star.chosen else "#ffffff"}" '
        f'stroke-width="{1.6 if not star.chosen else 1.2}"/>',
        _text(star.at, star.letter, height, ink),
    ]
    if not star.again:
        where = (star.at[0] + 0.36 * pitch, star.at[1] - 0.33 * pitch)
        halo = ' font-weight="600" stroke="#fff" stroke-width="3" paint-order="stroke"'
        parts.append(_text(where, str(star.order + 1), 0.2 * pitch, LINE, halo))
    return parts


def star_points(at: Point, spikes: int, outer: float, inner: float) -> str:
    """The points of a star with so many spikes, the first one up."""
    found = []
    for turn in range(2 * spikes):
        radius, angle = inner if turn % 2 else outer, math.pi * turn / spikes - math.pi / 2
        found.append(f"{number(at[0] + radius * math.cos(angle), 1)},{number(at[1] + radius * math.sin(angle), 1)}")
    return " ".join(found)


def _text(at: Point, text: str, height: float, ink: str, more: str = "") -> str:
    return (
        f'<text x="{number(at[0])}" y="{number(at[1] + 0.34 * height)}" font-size="{number(height)}" fill="{ink}"'
        f"{more}>{escape(clean_text(text))}</text>"
    )
