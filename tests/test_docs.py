"""The documentation is true: its commands are run, its files loaded, its numbers computed again.

``python -m tests.test_docs`` pastes the real output into every session that is not shortened with ``…``.
"""

from __future__ import annotations

import doctest
import itertools
import json
import math
import os
import random
import re
import shlex
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import typer

from nightfold.blind.dealing import RANDOM_MOVES
from nightfold.blind.errors import MethodError
from nightfold.blind.files import read_named
from nightfold.blind.lettering import load_lettering
from nightfold.blind.method import default_ease, load_method, method_from
from nightfold.blind.parity import EXCHANGES
from nightfold.blind.plan import make_plan
from nightfold.cli import app
from nightfold.cube.errors import NightfoldError
from nightfold.cube.geometry import compose, geometry, inverse, permutation_of, turn_permutation
from nightfold.cube.net import is_odd
from nightfold.cube.notation import FACE_LETTERS, Turn, parse_turns
from nightfold.cube.state import Cube
from nightfold.search.hands import default_hands, load_hands

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted(DOCS.glob("*.md"))]
FENCE = re.compile(r"^```(?P<language>\w*)(?: (?P<name>\S+))?\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)
each_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name if page.parent == DOCS else page.stem)


def rows(text: str) -> list[list[str]]:
    """The cells of every table row of a text, headings and rules left out."""
    lines = [line for line in text.splitlines() if line.startswith("|")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    rules = [at for at, row in enumerate(cells) if set("".join(row)) <= set("- ")]
    return [row for at, row in enumerate(cells) if at not in rules and at + 1 not in rules]


def section(page: Path, heading: str) -> str:
    """What stands under a heading, up to the next one."""
    text = page.read_text("utf-8")
    found = re.search(rf"^(#+) {re.escape(heading)}\n(.*?)(?=^#+ |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"{page.name} has no heading “{heading}”"
    return found[2]


# --- sessions ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Session:
    """A command shown on a page and the output pasted under it."""

    command: str
    pasted: list[str]


def sessions(block: str) -> Iterator[Session]:
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, *pasted = part.rstrip("\n").split("\n")
        yield Session(command, pasted)


def run(command: str, folder: Path) -> list[str]:
    """What a terminal of 80 columns shows, without the spaces at the ends of lines."""
    words = shlex.split(command)
    assert words[0] == "nightfold", f"only nightfold can be shown in a console block, not {words[0]}"
    given = (folder / words.pop()).read_text("utf-8") if "<" in words and words.pop(words.index("<")) else ""
    kept = {key: value for key, value in os.environ.items() if key not in ("FORCE_COLOR", "CLICOLOR_FORCE")}
    done = subprocess.run(
        [Path(sys.executable).with_name("nightfold"), *words[1:]],
        cwd=folder,
        env={
            **kept,
            **{"NIGHTFOLD_HOME": "home", "COLUMNS": "80", "NO_COLOR": "1", "PYTHONUTF8": "1", "PYTHONUNBUFFERED": "1"},
        },
        input=given,
        encoding="utf-8",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    return [line.rstrip() for line in done.stdout.rstrip().split("\n")] if done.stdout.strip() else []


def fits(pasted: list[str], real: list[str]) -> bool:
    """Whether the lines are the same, where a pasted ``…`` stands for one or more lines."""
    if not pasted:
        return not real
    if pasted[0].strip() == "…":
        return any(fits(pasted[1:], real[at:]) for at in range(1, len(real) + 1))
    return bool(real) and pasted[0].rstrip() == real[0] and fits(pasted[1:], real[1:])


def test_shortened_output_still_has_to_fit() -> None:
    real = ["a", "b", "c", "d"]
    assert fits(real, real)
    assert fits(["a", "…"], real)
    assert fits(["…", "c", "…"], real)
    assert fits(["a", "…", "d"], real)
    assert not fits(["a", "…", "c"], real)
    assert not fits(["a", "b", "c", "d", "…"], real)
    assert not fits(["b", "…"], real)
    assert not fits([], real)


def load(path: Path) -> None:
    """Load a method, a lettering or a file of weights, whichever it is."""
    data = read_named(path, "methods", MethodError)[1]
    if "buffer" in data.get("edges", {}):
        load_method(path)
    elif "turn" in data or "hand" in data:
        load_hands(path)
    else:
        load_lettering(path)


@each_page
def test_commands_print_what_is_pasted_and_files_load_or_are_refused_as_told(page: Path, tmp_path: Path) -> None:
    text = page.read_text("utf-8")
    for block in FENCE.finditer(text):
        if block["name"]:
            file = tmp_path / block["name"]
            file.write_text(block["text"], "utf-8")
            if file.suffix == ".toml":
                try:
                    load(file)
                except NightfoldError as refused:
                    assert str(refused) in text, f"{page.name} does not tell why {file.name} is refused: {refused}"
        if block["language"] == "console":
            for session in sessions(block["text"]):
                real = run(session.command, tmp_path)
                assert fits(session.pasted, real), f"$ {session.command}\n" + "\n".join(real)


def test_every_command_that_the_readme_lists_works(tmp_path: Path) -> None:
    listed = [shlex.split(row[1].strip("`")) for row in rows(section(ROOT / "README.md", "What it can do"))]
    commands: dict[str, Any] = getattr(typer.main.get_command(app), "commands", {})
    assert {words[1] for words in listed} | {"methods"} == set(commands)
    for words in listed:
        if words[1] == "app":  # it would serve until it is stopped
            words.append("--help")
        said = run(shlex.join(words), tmp_path)
        assert said and not said[0].startswith("nightfold: "), said


@each_page
def test_python_on_the_pages_runs(page: Path) -> None:
    names: dict[str, Any] = {}
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for block in FENCE.finditer(page.read_text("utf-8")):
        if block["language"] == "python":
            test = parser.get_doctest(block["text"], names, page.name, str(page), 0)
            assert test.examples
            told: list[str] = []
            assert not runner.run(test, out=told.append, clear_globs=False).failed, "".join(told)
            names = test.globs


def test_picture_is_what_the_command_on_the_page_draws(tmp_path: Path) -> None:
    commands = [
        session.command
        for block in FENCE.finditer((DOCS / "tutorial.md").read_text("utf-8"))
        for session in sessions(block["text"])
        if "-o net.svg" in session.command
    ]
    assert len(commands) == 1
    run(commands[0], tmp_path)
    assert (tmp_path / "net.svg").read_bytes() == (DOCS / "pictures" / "net.svg").read_bytes()


# --- links, paths, words -----------------------------------------------------------------------------------


def anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.*)$", FENCE.sub("", page.read_text("utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


@each_page
def test_links_lead_somewhere(page: Path) -> None:
    for link in re.findall(r"\]\(([^)\s]+)\)", FENCE.sub("", page.read_text("utf-8"))):
        if not link.startswith(("http:", "https:")):
            path, _, anchor = link.partition("#")
            to = (page.parent / path).resolve() if path else page
            assert to.exists(), f"{page.name} links to {link}"
            assert not anchor or anchor in anchors(to), f"{page.name} links to {link}"


def test_index_lists_every_page() -> None:
    index = (DOCS / "README.md").read_text("utf-8")
    assert set(re.findall(r"\]\((\S+?\.md)\)", index)) == {page.name for page in DOCS.glob("*.md")} - {"README.md"}


@each_page
def test_paths_and_make_targets_exist(page: Path) -> None:
    text = page.read_text("utf-8")
    for path in re.findall(r"`((?:src|native|frontend|docs|tests|examples|benchmarks)/[\w./-]*)`", text):
        assert (ROOT / path).exists(), f"{page.name} names {path}"
    targets = re.findall(r"^([\w-]+):", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE)
    for target in re.findall(r"(?:^|`)make ([\w-]+)", text, re.MULTILINE):
        assert target in targets, f"{page.name} names make {target}"


def test_layout_names_every_layer_and_files_that_exist() -> None:
    layout = DOCS / "layout.md"
    described = re.findall(r"^## `src/nightfold/(\w+)/`$", layout.read_text("utf-8"), re.MULTILINE)
    package = ROOT / "src" / "nightfold"
    assert set(described) == {path.parent.name for path in package.glob("*/__init__.py")}
    for folder in described:
        named = re.findall(r"`(\w+(?:\.\w+|/))`", section(layout, f"`src/nightfold/{folder}/`"))
        assert named
        for name in named:
            assert (package / folder / name).exists(), f"layout.md names {name} in {folder}"
    native = set(re.findall(r"`(\w+\.\w+)`", section(layout, "`native/`")))
    assert native == {path.name for path in (ROOT / "native").iterdir()} - {"CMakeLists.txt"}
    contract = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"][0]
    for layer in contract["layers"]:
        assert f"`{layer.removeprefix('nightfold.')}`" in section(layout, "Who may import whom")


def test_every_clause_cited_in_the_code_is_among_the_sources() -> None:
    sources = (DOCS / "sources.md").read_text("utf-8")
    code = [path for top in ("src", "tests") for path in (ROOT / top).rglob("*.py") if path != Path(__file__)]
    cited = {clause for path in code for clause in re.findall(r"\bWCA (\d+[a-z]\w*)", path.read_text("utf-8"))}
    assert cited
    assert not {clause for clause in cited if not re.search(rf"\b{clause}\b", sources)}


# --- JSON --------------------------------------------------------------------------------------------------

KINDS: dict[str, Callable[[Any], bool]] = {
    "text": lambda value: isinstance(value, str),
    "text or null": lambda value: value is None or isinstance(value, str),
    "true or false": lambda value: isinstance(value, bool),
    "number": lambda value: isinstance(value, int | float) and not isinstance(value, bool),
    "true, false or null": lambda value: value is None or isinstance(value, bool),
    "object or null": lambda value: value is None or isinstance(value, dict),
    "number or null": lambda value: value is None or KINDS["number"](value),
    "object": lambda value: isinstance(value, dict),
    "list": lambda value: isinstance(value, list),
    "list of texts": lambda value: isinstance(value, list) and all(isinstance(one, str) for one in value),
    "list of objects": lambda value: isinstance(value, list) and all(isinstance(one, dict) for one in value),
    "list of lists of texts": lambda value: all(KINDS["list of texts"](one) for one in value),
}


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every key of a JSON value with its path, as in ``orbits[].letters``."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield f"{path}.{key}".lstrip("."), inner
            yield from leaves(inner, f"{path}.{key}".lstrip("."))
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, f"{path}[]")


def json_sections() -> list[str]:
    text = (DOCS / "plan-json.md").read_text("utf-8")
    return re.findall(r"^## (`nightfold .*--json`)$", text, re.MULTILINE)


def json_tables() -> list[tuple[Path, str, str]]:
    """Every table of keys: the page and heading it stands under, and a command that prints such JSON.

    On a page about one command the table stands under “JSON”, with an example below it.
    """
    tables = [(DOCS / "plan-json.md", heading, heading.strip("`")) for heading in json_sections()]
    for page in sorted(DOCS.glob("*.md")):
        if re.search(r"^## JSON$", page.read_text("utf-8"), re.MULTILINE):
            tables += [(page, "JSON", command) for command, _ in json_examples(page)]
    return tables


def json_examples(page: Path) -> list[tuple[str, str]]:
    """The commands on a page whose JSON is shown set out over many lines, and what is shown."""
    text = page.read_text("utf-8")
    return re.findall(r"`(nightfold [^`]*--json)`[^`]*```json\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


def test_every_command_with_json_has_its_section_or_page() -> None:
    shown = {heading.strip("`").split()[1] for heading in json_sections()}
    text = (DOCS / "plan-json.md").read_text("utf-8")
    elsewhere = dict(re.findall(r"of `nightfold (\w+)`[^`]*?\]\((\w+\.md)\)", text))
    commands: dict[str, Any] = getattr(typer.main.get_command(app), "commands", {})
    answering = {name for name, one in commands.items() if any("--json" in option.opts for option in one.params)}
    assert answering == shown | set(elsewhere)
    assert not shown & set(elsewhere)
    tested = {(page.name, command.split()[1]) for page, _, command in json_tables()}
    assert {(page, name) for name, page in elsewhere.items()} <= tested


@pytest.mark.parametrize(("page", "heading", "command"), json_tables(), ids=lambda part: str(part).split("/")[-1])
def test_json_has_the_keys_and_kinds_that_are_documented(
    page: Path, heading: str, command: str, tmp_path: Path
) -> None:
    table = rows(section(page, heading))
    documented = {key: row[1] for row in table for key in re.findall(r"`(.*?)`", row[0])}
    # A key such as <orbit> stands for any.
    patterns = {path: re.compile(re.sub(r"<\w+>", r"[\\w -]+", re.escape(path))) for path in documented}
    met: set[str] = set()
    for path, value in leaves(json.loads("\n".join(run(command, tmp_path)))):
        matching = [known for known, pattern in patterns.items() if pattern.fullmatch(path)]
        assert len(matching) == 1, f"{path} is documented {len(matching)} times"
        assert KINDS[documented[matching[0]]](value), f"{path} is no {documented[matching[0]]}: {value!r}"
        met.add(matching[0])
    assert met == set(documented)


@each_page
def test_example_of_json_is_what_the_command_prints(page: Path, tmp_path: Path) -> None:
    shown = json_examples(page)
    assert shown or page.name != "plan-json.md"
    for command, example in shown:
        assert json.loads(example) == json.loads("\n".join(run(command, tmp_path)))


# --- methods -----------------------------------------------------------------------------------------------


def refusals() -> list[tuple[str, str]]:
    table = rows(section(DOCS / "writing-a-method.md", "What is checked"))
    return [(row[0].strip("`"), row[1]) for row in table]


@pytest.mark.parametrize(("change", "sentence"), refusals())
def test_refusals_are_as_the_guide_tells(change: str, sentence: str) -> None:
    data = read_named("two-swap", "methods", MethodError)[1]
    for key, value in tomllib.loads(change.replace("; ", "\n")).items():
        data[key] = {**data[key], **value} if value and isinstance(value, dict) and key in data else value
    with pytest.raises(MethodError) as refused:
        method_from(data, "mine")
    assert re.sub(r"^mine(: |, )", "", str(refused.value)) == sentence


def test_guide_explains_the_keys_that_its_full_example_uses() -> None:
    guide = DOCS / "writing-a-method.md"
    blocks = {block["name"]: block["text"] for block in FENCE.finditer(guide.read_text("utf-8"))}
    for heading, file in (("The keys", "every-key.toml"), ("Letterings", "small-letters.toml")):
        explained = {row[0].strip("`") for row in rows(section(guide, heading))}
        used = {path for path, value in leaves(tomllib.loads(blocks[file])) if not isinstance(value, dict)}
        for path in used:
            pattern = re.compile(
                re.sub(r"\b(edges|corners)\b", r"(\1|<orbit>)", re.sub(r"\.(\w+)$", r"\\.(\1|<\\w+>)", path))
            )
            assert any(pattern.fullmatch(key) for key in explained), path
        parts = {part for path in used for part in path.split(".")}
        for key in explained:
            assert key.split(".")[-1].startswith("<") or key.split(".")[-1] in parts, key


def test_guide_gives_the_weights_of_ease_as_they_are() -> None:
    ease = default_ease()
    table = {row[0].strip("`"): row[2] for row in rows(section(DOCS / "writing-a-method.md", "The keys"))}
    for weight in ("quarter", "half", "wide", "slice"):
        assert table[f"ease.{weight}"] == str(getattr(ease, weight))
    assert table["ease.awkward.<layer>"] == ", ".join(f"{layer} {cost}" for layer, cost in ease.awkward.items())


def test_page_about_finding_gives_the_weights_of_the_hands_as_they_are() -> None:
    table = rows(section(DOCS / "finding.md", "What is easy for the hands"))
    told = {
        key: float(value)
        for keys, _, values in table
        for key, value in zip(re.findall(r"`(.*?)`", keys), values.split(", "), strict=True)
    }
    hands = default_hands()
    whole = {f"turn.{key}": cost for key, cost in hands.turn.items()}
    whole |= {f"hand.{key}": float(getattr(hands, key)) for key in ("half", "again", "wrist", "regrip")}
    assert told == whole


# --- numbers -----------------------------------------------------------------------------------------------


def random_state(dice: random.Random) -> Cube:
    """A uniformly random possible cube."""

    def orbit(pieces: int, ways: int) -> list[tuple[int, int]]:
        turned = [dice.randrange(ways) for _ in range(pieces - 1)]
        return list(zip(dice.sample(range(pieces), pieces), [*turned, -sum(turned) % ways], strict=True))

    while True:
        corners, edges = orbit(8, 3), orbit(12, 2)
        if is_odd([piece for piece, _ in corners]) == is_odd([piece for piece, _ in edges]):
            return Cube.from_pieces({"corners": corners, "edges": edges})


def letters_needed(pieces: tuple[int, ...], turned: tuple[int, ...], buffer: int) -> int:
    """How many letters an orbit takes, counted by cycles as docs/how-it-works.md does."""
    letters, seen = 0, set()
    for start in range(len(pieces)):
        cycle, at = [], start
        while at not in seen:
            seen.add(at)
            cycle.append(at)
            at = pieces[at]
        if buffer in cycle:
            letters += len(cycle) - 1
        elif len(cycle) > 1 or (cycle and turned[start]):
            letters += len(cycle) + 1
    return letters


def expected_letters(n: int, o: int) -> tuple[Fraction, Fraction, Fraction]:
    harmonic = sum(Fraction(1, k) for k in range(1, n + 1))
    away = Fraction((n - 1) ** 2, n)
    breaks = harmonic - 1 - Fraction(n - 1, n)
    return away, breaks, 2 * Fraction(n - 1, n) * Fraction(o - 1, o)


@pytest.mark.parametrize(("n", "o"), [(2, 2), (2, 3), (3, 2), (3, 3), (4, 2), (4, 3), (5, 1), (5, 2)])
def test_expected_number_of_letters_against_every_state_of_small_orbits(n: int, o: int) -> None:
    total = states = 0
    for pieces in itertools.permutations(range(n)):
        for turned in itertools.product(range(o), repeat=n):
            if sum(turned) % o == 0:
                states += 1
                total += letters_needed(pieces, turned, buffer=0)
    assert Fraction(total, states) == sum(expected_letters(n, o))


def test_cycles_tell_how_many_letters_tracing_gives() -> None:
    dice = random.Random(1859)
    counted = []
    for _ in range(150):
        cube = random_state(dice)
        plan = make_plan(cube)
        for reading in plan.orbits:
            placed = cube.pieces(reading.orbit)
            home = next(at for at, piece in enumerate(reading.orbit.pieces) if reading.buffer in piece)
            pieces, turned = zip(*placed, strict=True)
            assert len(reading.letters) == letters_needed(pieces, turned, home)
        assert plan.orbits[0].odd == plan.orbits[1].odd
        counted.append(plan.letters)
    mean = sum(sum(expected_letters(n, o)) for n, o in ((12, 2), (8, 3)))
    # The spread of one cube is below 2.5 letters, so 150 cubes stray less than 0.7 from the mean but once in 1,500.
    assert abs(sum(counted) / len(counted) - mean) < 0.7


def test_table_of_expected_letters() -> None:
    table = rows(section(DOCS / "how-it-works.md", "How many letters to expect"))
    totals = Fraction(0)
    for _, n, o, *terms, total, about in table[:-1]:
        expected = expected_letters(int(n), int(o))
        assert tuple(Fraction(term) for term in terms) == expected
        assert Fraction(total) == sum(expected)
        assert about == f"{float(Fraction(total)):.4f}"
        totals += sum(expected)
    assert [int(cell) for row in table[:-1] for cell in row[1:3]] == [12, 2, 8, 3]
    assert Fraction(table[-1][-2]) == totals
    assert table[-1][-1] == f"{float(totals):.4f}"


def test_page_about_dealing_gives_the_random_moves_as_they_are() -> None:
    page = DOCS / "dealing.md"
    told: dict[int, int] = {}
    for sizes, dealt, _ in rows(section(page, "Other sizes")):
        if "random moves" in dealt:
            told |= zip(map(int, sizes.split(", ")), map(int, re.findall(r"\d+", dealt)), strict=True)
    assert told == RANDOM_MOVES
    measured = rows(section(page, "How many random moves"))
    assert measured[-1][:2] == ["random states", f"{float(sum(expected_letters(24, 1))):.3f}"]
    assert str(RANDOM_MOVES[4]) in [row[0] for row in measured]


def test_table_of_orbits() -> None:
    for size, names, pieces, ways in rows(section(DOCS / "how-it-works.md", "Orbits")):
        orbits = geometry(int(size)).orbits
        assert names.split(", ") == [orbit.name for orbit in orbits]
        assert pieces.split(", ") == [str(len(orbit.pieces)) for orbit in orbits]
        assert ways.split(", ") == [str(orbit.turns_of_piece) for orbit in orbits]


def test_numbers_of_states() -> None:
    text = section(DOCS / "how-it-works.md", "Impossible cubes")
    assembled = math.factorial(8) * 3**8 * math.factorial(12) * 2**12
    assert f"{assembled:,}" in text
    assert f"{assembled // 12:,}" in text


def test_all_exchanges_of_two_corners_and_two_edges_are_conjugates() -> None:
    quarter = [turn_permutation(3, Turn(face, 1, 1, 1)) for face in FACE_LETTERS]
    steps = [(turn, inverse(turn)) for turn in quarter]
    start = permutation_of(parse_turns(EXCHANGES["T perm"]), 3)
    found, new = {start}, [start]
    while new:
        effect = new.pop()
        for turn, back in steps:
            conjugate = compose(compose(back, effect), turn)
            if conjugate not in found:
                found.add(conjugate)
                new.append(conjugate)
    assert len(found) == math.comb(8, 2) * 3 * math.comb(12, 2) * 2
    assert f"{len(found):,}" in section(DOCS / "how-it-works.md", "Finding the parity algorithm")
    shapes = Counter(tuple(sorted(Counter(map(len, Cube(3, effect).cycles())).items())) for effect in found)
    assert set(shapes) == {((2, 5),)}


# --- pasting -----------------------------------------------------------------------------------------------


def paste(page: Path, folder: Path) -> None:
    """Put the real output under every command whose pasted output is not shortened."""

    def filled(block: re.Match[str]) -> str:
        if block["name"]:
            (folder / block["name"]).write_text(block["text"], "utf-8")
        if block["language"] != "console":
            return block[0]
        lines = []
        for session in sessions(block["text"]):
            real = run(session.command, folder)
            kept = session.pasted if any(line.strip() == "…" for line in session.pasted) else real
            lines += [f"$ {session.command}", *kept]
        return "\n".join(["```console", *lines, "```"])

    page.write_text(FENCE.sub(filled, page.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    import tempfile

    for page in PAGES:
        with tempfile.TemporaryDirectory() as folder:
            paste(page, Path(folder))
