"""The worked example as running text: Markdown with its pictures beside it, and one HTML page that needs nothing else.

Whatever varies is escaped, so that no letter, word or name in it is read as markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from html import escape
from typing import Any
from urllib.parse import quote

from nightfold.cube.notation import write
from nightfold.paper.example import (
    TITLE,
    Algorithm,
    Example,
    Picture,
    ToldCycle,
    ToldOrbit,
    ToldStep,
    asked,
    chosen_example,
    lines_of,
    pictures_of,
    words_of,
)
from nightfold.paper.handouts import Written
from nightfold.paper.press import Look, printable
from nightfold.paper.subject import Subject

#: What stands between the lines of a paragraph and its pictures.
_RINGED = "The stickers at the buffers are ringed; the faces' names stand in their middles."
_FIGURES = "Each cycle is a figure, its letters numbered; a dotted line leads to a break."
_PAIRS_SHOWN = (
    "Each step shows the cube before it, with an arrow between the two stickers that change places, and the cube after "
    "it, with the place that was shot to ringed."
)
#: How many pixels wide the pictures beside a Markdown file are, by the first word of their names.
_WIDTHS = {"look": 476, "reading": 640, "slowly": 720, "before": 300, "after": 300, "end": 476, "swatch": 18}


def markdown_example(subject: Subject, look: Look, stem: str, **choices: Any) -> Written:
    """The example as Markdown (CommonMark, with a table as most editors know it), and its pictures.

    The files by name: the text is ``stem.md``, the pictures lie in the folder ``stem-pictures``.  ``choices`` are those
    of ``asked``.  Raises NightfoldError for what cannot be used.
    """
    wanted = asked(**choices)
    example = chosen_example(subject, wanted)
    pictures = pictures_of(example, look)
    folder = f"{stem}-pictures"
    legend, swatches = _legend(subject, look)
    pictures = {**pictures, **swatches}
    files = {name: f"{folder}/{_file(name)}" for name in pictures}
    notes = subject.notes("example", look, *words_of(wanted), "--out", f"{stem}.md")
    text = "\n\n".join(_markdown(example, pictures, files, legend, notes)) + "\n"
    found = {f"{stem}.md": text.encode()}
    found |= {files[name]: _beside(picture.svg, name).encode() for name, picture in pictures.items()}
    return Written(found)


def _file(name: str) -> str:
    word, _, rest = name.partition(" ")
    return f"{word}-{rest.zfill(2)}.svg" if rest else f"{word}.svg"


def _beside(svg: str, name: str) -> str:
    """A picture as a file of its own: as wide as suits it, and on white, whatever the editor's ground is."""
    width = _WIDTHS[name.split()[0]]
    return re.sub(r' width="[\d.]+" height="[\d.]+"', f' width="{width}" style="background:#fff"', svg, count=1)


def _legend(subject: Subject, look: Look) -> tuple[dict[str, str], dict[str, Picture]]:
    """The colour of each face, and how it is laid on."""
    rows, drawn = subject.legend(look)
    colours = {row["face"]: row["colour"] for row in rows}
    pictures = {}
    for row in rows:
        # As for all pictures in one page: no two use one name for a hatching.
        svg = re.sub(r'(id="|url\(#)h', rf"\1w{row['face']}h", drawn[row["picture"]])
        pictures[f"swatch {row['face']}"] = Picture(svg, row["colour"])
    return colours, pictures


# --- Markdown ----------------------------------------------------------------------------------------------


def md(text: str) -> str:
    """A text of one line as Markdown that shows it as it stands.

    Backslashes stand before what has a meaning in CommonMark 0.31 or in the usual extensions of it, bare addresses
    among them.
    """
    plain = _plain(text)
    plain = re.sub(r"([\\`*_\[\]<>&|~$#{}^=])", r"\\\1", plain)
    plain = re.sub(r"(?<=\S)([.:@])(?=\S)", r"\\\1", plain)
    plain = re.sub(r"^(\s*)([-+])", r"\1\\\2", plain)
    return re.sub(r"^(\d+)([.)])", r"\1\\\2", plain)


def _plain(text: str) -> str:
    """A text without what no page can show, on one line."""
    return " ".join(word for line in lines_of(text) for word in str(printable(line)).replace("\u200b", "").split())


def _markdown(
    example: Example,
    pictures: Mapping[str, Picture],
    files: Mapping[str, str],
    legend: Mapping[str, str],
    notes: list[str],
) -> Iterator[str]:
    def picture(name: str) -> str:
        return f"![{md(pictures[name].alt)}]({quote(files[name])})"

    yield f"# {md(TITLE)}"
    yield md(example.intro)
    if example.turn:
        yield "Take a solved cube, hold it with white up and green in front, and make these turns:"
        yield f"**{md(example.turn)}**"
    yield md(example.hold)
    yield picture("look")
    yield f"*{md(_RINGED)}*"
    yield " &nbsp; ".join(f"{picture(f'swatch {face}')} {md(f'{face} {colour}')}" for face, colour in legend.items())
    for told in example.orbits:
        yield f"## Reading the {told.orbit}"
        yield md(told.intro)
        if told.cycles:
            yield picture(f"reading {told.orbit}")
            yield f"*{md(_FIGURES)}*"
        for cycle in told.cycles:
            lines = [f"- **{md(one.letter)}** – {md(f'{one.why} {one.choice}')}" for one in cycle.letters]
            yield "\n".join(lines)
            # A list ends only where something else stands.
            yield f"*{md(cycle.end)}*" if cycle.end else "<!-- next -->"
        yield md(told.outro)
    yield "## What is remembered"
    if example.plan.letters:
        yield md(example.memo)
    else:
        yield "Nothing: the cube is solved as it is."
    for told in example.orbits:
        yield from _markdown_memo(told)
    if example.plan.letters and example.why_not:
        yield md(example.why_not)
    yield "## Parity"
    yield from (md(said) for said in example.parity if said)
    yield "## Carrying it out"
    yield md(example.carry)
    if example.algorithms:
        yield "\n".join(f"- **{md(one.label)}**: {md(one.turns)} – it {md(one.does)}." for one in example.algorithms)
    for number, said in example.slowly:
        yield md(said)
        yield picture(f"slowly {number}")
    if example.steps:
        yield "## Step by step"
        yield md(_PAIRS_SHOWN)
    for step in example.steps:
        yield f"### {step.number}. {md(_called(step))}"
        yield _strokes(step, lambda turns: f"**{md(turns)}**") + f" {md(f'{step.why} {step.then}')}"
        yield f"{picture(f'before {step.number}')} {picture(f'after {step.number}')}"
    yield "## The last turn"
    yield md(example.end)
    yield picture("end")
    if example.steps:
        yield f"All turns: {md(write(example.plan.solution))}"
    yield f"> {md(example.caution)}"
    yield "---"
    yield from (md(note) for note in notes)


def _markdown_memo(told: ToldOrbit) -> Iterator[str]:
    if not told.pairs:
        return
    rows = [f"| {md(one.pair)} | {md(one.word or 'no word is known')} | {md(one.mark)} |" for one in told.pairs]
    yield "\n".join([f"| {told.orbit} | picture | |", "| --- | --- | --- |", *rows])
    if told.phrase:
        yield f"> {md(told.phrase)}"


def _called(step: ToldStep) -> str:
    return f"{step.letter} at {step.sticker}" if step.letter else "Parity"


def _strokes(step: ToldStep, strong: Any) -> str:
    """What is done in a step, as a sentence; ``strong`` sets turns and names off and escapes them."""
    if not step.letter:
        return f"Do the {strong(step.label)}."
    if not step.setup:
        return f"Nothing is set up: do the {strong(step.label)}."
    return f"Set up with {strong(step.setup)}, do the {strong(step.label)}, and undo with {strong(step.undo)}."


# --- HTML --------------------------------------------------------------------------------------------------


def html_example(subject: Subject, look: Look, stem: str, **choices: Any) -> Written:
    """The example as one HTML page with its pictures in it, no script, and no address of anything elsewhere.

    The one file by its name, ``stem.html``.  ``choices`` are those of ``asked``.  Raises NightfoldError for what
    cannot be used.
    """
    wanted = asked(**choices)
    example = chosen_example(subject, wanted)
    pictures = pictures_of(example, look)
    notes = subject.notes("example", look, *words_of(wanted), "--out", f"{stem}.html")
    legend, swatches = _legend(subject, look)
    body = "\n".join(_html(example, {**pictures, **swatches}, legend, notes))
    style = _STYLE.replace("PAPER", "letter" if look.paper == "letter" else "A4")
    style = style.replace("SIZE", "1.35rem" if look.large else "1.0625rem")
    page = (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="color-scheme" content="light dark">\n<title>{h(TITLE)}</title>\n<style>{style}</style>\n'
        f"</head>\n<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )
    return Written({f"{stem}.html": page.encode()})


def h(text: str) -> str:
    """A text as HTML that shows it as it stands."""
    return escape(_plain(text))


def _inline(svg: str) -> str:
    """A picture as HTML takes it: without the name of its language, and as wide as its place."""
    svg = svg.replace(' xmlns="http://www.w3.org/2000/svg"', "")
    return re.sub(r' width="[\d.]+" height="[\d.]+"', "", svg, count=1).strip()


def _html(
    example: Example, pictures: Mapping[str, Picture], legend: Mapping[str, str], notes: list[str]
) -> Iterator[str]:
    def picture(name: str, said: str = "") -> str:
        told = f"<figcaption>{h(said)}</figcaption>" if said else ""
        return f'<figure class="{name.split()[0]}">{_inline(pictures[name].svg)}{told}</figure>'

    yield f"<h1>{h(TITLE)}</h1>\n<p>{h(example.intro)}</p>"
    if example.turn:
        yield "<p>Take a solved cube, hold it with white up and green in front, and make these turns:</p>"
        yield f'<p class="turns"><b>{h(example.turn)}</b></p>'
    yield f"<p>{h(example.hold)}</p>"
    yield picture("look", _RINGED)
    swatches = (
        f"<span>{_inline(pictures[f'swatch {face}'].svg)} {face} {h(colour)}</span>" for face, colour in legend.items()
    )
    yield f'<p class="legend quiet">{" ".join(swatches)}</p>'
    for told in example.orbits:
        yield f"<section>\n<h2>Reading the {h(told.orbit)}</h2>\n<p>{h(told.intro)}</p>"
        if told.cycles:
            cycles = "".join(map(_html_cycle, told.cycles))
            yield f'<div class="read">{picture(f"reading {told.orbit}", _FIGURES)}<div>{cycles}</div></div>'
        yield f"<p>{h(told.outro)}</p>\n</section>"
    yield "<section>\n<h2>What is remembered</h2>"
    yield f"<p>{h(example.memo if example.plan.letters else 'Nothing: the cube is solved as it is.')}</p>"
    yield f'<div class="memos">{"".join(_html_memo(told) for told in example.orbits)}</div>'
    if example.plan.letters and example.why_not:
        yield f'<p class="quiet">{h(example.why_not)}</p>'
    yield "</section>\n<section>\n<h2>Parity</h2>"
    yield from (f"<p>{h(said)}</p>" for said in example.parity if said)
    yield f"</section>\n<section>\n<h2>Carrying it out</h2>\n<p>{h(example.carry)}</p>"
    if example.algorithms:
        yield f"<dl>{''.join(map(_html_algorithm, example.algorithms))}</dl>"
    for number, said in example.slowly:
        yield f'<div class="slow"><p>{h(said)}</p>{picture(f"slowly {number}")}</div>'
    yield "</section>"
    if example.steps:
        yield f'<section>\n<h2>Step by step</h2>\n<p class="quiet">{h(_PAIRS_SHOWN)}</p>\n<div class="steps">'
        for step in example.steps:
            both = picture(f"before {step.number}", "before") + picture(f"after {step.number}", "after")
            yield _html_step(step, both)
        yield "</div>\n</section>"
    yield f"<section>\n<h2>The last turn</h2>\n<p>{h(example.end)}</p>\n{picture('end')}"
    if example.steps:
        yield f'<p class="quiet all">All turns: {h(write(example.plan.solution))}</p>'
    yield f"<aside>{h(example.caution)}</aside>\n</section>"
    yield f"<footer>{''.join(f'<p>{h(note)}</p>' for note in notes)}</footer>"


def _html_cycle(cycle: ToldCycle) -> str:
    rows = "".join(
        f"<li><bdi>{h(one.letter)}</bdi><span>{h(one.why)}"
        + (f' <span class="quiet">{h(one.choice)}</span>' if one.choice else "")
        + "</span></li>"
        for one in cycle.letters
    )
    end = f'<p class="quiet close">{h(cycle.end)}</p>' if cycle.end else ""
    return f'<ol class="cycle">{rows}</ol>{end}'


def _html_memo(told: ToldOrbit) -> str:
    if not told.pairs:
        return ""
    rows = "".join(
        f'<tr><th scope="row"><bdi>{h(one.pair)}</bdi></th><td>{h(one.word or "no word is known")}'
        + (f' <span class="quiet">{h(one.mark)}</span>' if one.mark else "")
        + "</td></tr>"
        for one in told.pairs
    )
    phrase = f"<blockquote>{h(told.phrase)}</blockquote>" if told.phrase else ""
    return f"<div><h3>{h(told.orbit)}</h3><table>{rows}</table>{phrase}</div>"


def _html_algorithm(one: Algorithm) -> str:
    return f'<dt>{h(one.label)}</dt><dd><b>{h(one.turns)}</b> <span class="quiet">it {h(one.does)}</span></dd>'


def _html_step(step: ToldStep, pictures: str) -> str:
    name = f"<bdi>{h(step.letter)}</bdi>" if step.letter else "<bdi>Parity</bdi>"
    place = f"step {step.number}, {step.sticker}" if step.sticker else f"step {step.number}"
    return (
        f'<article class="step"><h3>{name} <span class="quiet">{h(place)}</span></h3>'
        f'<p class="strokes">{_strokes(step, lambda turns: f"<b>{h(turns)}</b>")}</p>'
        f'<p>{h(step.why)} <strong>{h(step.then)}</strong></p><div class="both">{pictures}</div></article>'
    )


_STYLE = """
:root { color-scheme: light dark; --ground: #fdfbf6; --ink: #222; --quiet: #5f5b54; --lamp: #a3480f; --line: #dcd6ca; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ground: #0d1322; --ink: #ece6da; --quiet: #a9a69f; --lamp: #f2b45a; --line: #2b3450; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--ink); font: SIZE/1.55 "Source Sans 3", "Source Sans Pro",
  ui-sans-serif, system-ui, sans-serif; overflow-wrap: anywhere; }
main { max-width: 58rem; margin: 0 auto; padding: 2rem 1.25rem 3rem; }
h1 { font-size: 2.1em; line-height: 1.15; margin: 0 0 0.6em; }
h2 { font-size: 1.4em; line-height: 1.2; margin: 2.2em 0 0.5em; break-after: avoid; }
h3 { font-size: 1.05em; margin: 0 0 0.3em; }
h3::first-letter { text-transform: capitalize; }
p { margin: 0 0 0.8em; max-width: 44rem; }
b { font-weight: 650; }
bdi { color: var(--lamp); font-weight: 700; text-transform: none; }
.quiet, figcaption, footer { color: var(--quiet); font-size: 0.88em; }
.legend { display: flex; flex-wrap: wrap; gap: 0.3em 1.2em; }
.legend svg { width: 1.5em; height: 1.5em; vertical-align: -0.4em; }
.turns { font-size: 1.15em; }
figure { margin: 1em 0; }
figure svg { display: block; width: 100%; height: auto; }
figcaption { margin-top: 0.4em; }
.look, .end { max-width: 30rem; }
.reading { max-width: 40rem; }
@media (min-width: 60rem) {
  .read { display: grid; grid-template-columns: 1fr 25rem; gap: 0 2.5rem; align-items: start; }
  .read figure { grid-column: 2; position: sticky; top: 1rem; margin-top: 0.6em; }
  .read div { grid-column: 1; grid-row: 1; }
}
.slowly svg > g > text { fill: var(--ink); }
.cycle { list-style: none; margin: 0.6em 0 0.2em; padding: 0; max-width: 44rem; }
.cycle li { display: flex; gap: 0.8em; padding: 0.14em 0; }
.cycle bdi { flex: 0 0 2.2em; font-size: 1.1em; }
p.close { margin: 0 0 1em 3.2em; }
.memos { display: grid; gap: 1.5rem; grid-template-columns: repeat(auto-fit, minmax(min(17rem, 100%), 1fr)); }
table { border-collapse: collapse; }
th, td { text-align: left; padding: 0.12em 1.2em 0.12em 0; vertical-align: baseline; }
blockquote, aside { margin: 1em 0; padding: 0.2em 0 0.2em 1em; border-left: 3px solid var(--lamp); max-width: 44rem; }
blockquote { font-style: italic; }
dt { font-weight: 650; }
dt::first-letter { text-transform: capitalize; }
dd { margin: 0 0 0.5em; }
.slow, .step { break-inside: avoid; }
.slow figure { max-width: 40rem; margin-top: 0.4em; }
.steps { display: grid; gap: 0 2rem; grid-template-columns: repeat(auto-fill, minmax(min(24rem, 100%), 1fr)); }
.step { border-top: 1px solid var(--line); padding: 0.9rem 0 0.6rem; }
.step h3 bdi { font-size: 1.7em; line-height: 1; margin-right: 0.2em; }
.step h3 .quiet { font-weight: 400; }
.step p { margin-bottom: 0.4em; }
.both { display: grid; grid-template-columns: 1fr 1fr; gap: 1rem; }
.both figure { margin: 0.3em 0; }
@media (max-width: 30rem) { .both { grid-template-columns: 1fr; gap: 0; } .both figure { max-width: 20rem; } }
footer { border-top: 1px solid var(--line); margin-top: 2.5rem; padding-top: 0.8rem; }
@page { size: PAPER; margin: 16mm 17mm; }
@media print {
  :root { --ground: #fff; }
  body { font-size: 10.5pt; }
  main { max-width: none; padding: 0; }
  .steps { grid-template-columns: 1fr 1fr; }
  .reading { max-width: 26rem; }
  .slow figure { max-width: 28rem; }
  dt { break-after: avoid; }
  dd { break-before: avoid; }
  figure, li, blockquote, tr { break-inside: avoid; }
}
"""
