"""Whatever is typed, piped in or written in a file: it works, or it fails with a sentence of our own."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nightfold.blind.files import SHIPPED, parse_toml
from nightfold.blind.lettering import lettering_from
from nightfold.blind.method import method_from
from nightfold.blind.plan import make_plan
from nightfold.cube.diagnosis import diagnose
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import STANDARD_COLOURS, cube_from_net, is_possible, net_of, parse_net
from nightfold.cube.notation import parse
from nightfold.cube.state import Cube
from tests.cli.running import here

#: Pieces of what people type, right and wrong.
SCRAPS = st.sampled_from(
    [*"ULFRBDxyzMESurwmes()[],:'2310 ", "’", "Rw", "3Rw", "2R", "R2'", "[R, U]", "(F R)3", "\n", "\t", "\0", "🙂", "é"]
)
TYPED = st.one_of(st.lists(SCRAPS, max_size=20).map("".join), st.text(max_size=30))
STICKERS = st.one_of(
    st.lists(st.sampled_from("WOGRBYwogrby \n|?P🟥"), max_size=120).map("".join),
    st.permutations("WOGRBY" * 9).map("".join),
    st.dictionaries(st.integers(0, 53), st.sampled_from(STANDARD_COLOURS), max_size=4).map(
        lambda changes: str(net_of(Cube.from_turns("R U F'")).with_symbols(changes))
    ),
)


def shipped(folder: str) -> list[dict[str, Any]]:
    return [tomllib.loads(path.read_text("utf-8")) for path in sorted((SHIPPED / folder).glob("*.toml"))]


KEYS = ["name", "title", "order", "hold", "parity", "algorithm", "buffer", "home", "swap", "ease", "awkward"]
KEYS += ["every-orbit", "edges", "corners", "stickers", "U"]
WORDS = st.one_of(
    st.sampled_from([*KEYS, "UF", "UFR", "LUB", "R U R'", "A B C D", "lowest", "white,green", ""]), st.text(max_size=12)
)
VALUES = st.recursive(
    st.one_of(WORDS, st.integers(), st.floats(), st.booleans()),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=8,
)


@st.composite
def mutated(draw: st.DrawFn, originals: list[dict[str, Any]]) -> dict[str, Any]:
    """A shipped file's content with one to three entries changed, removed or added, at any depth."""
    data: dict[str, Any] = copy.deepcopy(draw(st.sampled_from(originals)))
    for _ in range(draw(st.integers(1, 3))):
        tables = [value for value in data.values() if isinstance(value, dict) and value]
        table: dict[str, Any] = draw(st.sampled_from([data, *tables]))
        known = st.sampled_from(sorted(table)) if table else WORDS
        key = draw(st.one_of(known, WORDS))
        if draw(st.booleans()):
            table.pop(key, None)
        else:
            table[key] = draw(VALUES)
    return data


def sentence_or_nothing(action: Callable[[], object]) -> bool:
    """Whether the action worked; if not, it must have failed with one of our own sentences."""
    try:
        action()
    except NightfoldError as trouble:
        assert str(trouble).strip()
        return False
    return True


@given(TYPED, st.integers(-1, 9))
def test_any_text_is_turns_or_an_error_of_ours(text: str, size: int) -> None:
    sentence_or_nothing(lambda: Cube.from_turns(parse(text, size), size))


@given(STICKERS)
@settings(max_examples=60)
def test_any_text_is_a_cube_or_an_error_of_ours(text: str) -> None:
    if sentence_or_nothing(lambda: cube_from_net(text)):
        assert diagnose(text).possible
    elif sentence_or_nothing(lambda: parse_net(text)):
        found = diagnose(text)
        assert not found.possible
        assert all(is_possible(repair.net) for repair in found.repairs[:5])


@given(st.one_of(mutated(shipped("methods")), VALUES))
@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
def test_any_content_is_a_method_or_an_error_of_ours(data: Any) -> None:
    if isinstance(data, dict):
        sentence_or_nothing(lambda: make_plan("R U F", method_from(data, "any")))


@given(st.one_of(mutated(shipped("letterings")), VALUES), st.integers(2, 7))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_any_content_is_a_lettering_or_an_error_of_ours(data: Any, size: int) -> None:
    if isinstance(data, dict):
        sentence_or_nothing(lambda: lettering_from(data, size, "any"))


@given(
    st.sampled_from(sorted(path for path in SHIPPED.glob("*/*.toml"))),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 8), st.binary(max_size=6)), min_size=1, max_size=3),
)
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_any_file_is_read_or_an_error_of_ours(path: Path, edits: list[tuple[int, int, bytes]]) -> None:
    data = path.read_bytes()
    for at, gone, come in edits:
        at %= len(data)
        data = data[:at] + come + data[at + gone :]

    def read() -> None:
        content = parse_toml(data, "any", NightfoldError)
        method_from(content, "any") if path.parent.name == "methods" else lettering_from(content, 3, "any")

    sentence_or_nothing(read)


#: Every option that only reads; what writes files or settings is tried with known names above.
OPTIONS = st.sampled_from(
    [
        "--method",
        "--lettering",
        "--hold",
        "--breaks",
        "--net",
        "--size",
        "--orbit",
        "--json",
        "--brief",
        "--all",
        "--text",
    ]
)
CHOICES = st.sampled_from(
    [
        "two-swap",
        "left-hand",
        "greek",
        "-",
        "3",
        "5",
        "W,G",
        "red,blue",
        "shortest",
        "choose:edges=A B",
        "edges",
        "corners",
    ]
)


@given(
    st.sampled_from(["plan", "setups", "method", "methods", "lettering", "turns", "look", "", "-", "R"]),
    st.lists(st.one_of(OPTIONS, CHOICES, TYPED), max_size=5),
    st.one_of(TYPED, STICKERS).map(lambda text: text.encode("utf-8", "replace")),
)
@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
def test_any_words_are_a_command_or_an_error_of_ours(command: str, words: list[str], stdin: bytes) -> None:
    words = [word for word in words if not word.startswith(("--i", "--sa", "--sv", "--sh"))]
    ran = here(command, *words, stdin=stdin)
    assert ran.code in (0, 2), ran
    assert bool(ran.err) == (ran.code == 2), ran
    assert all(line.startswith("nightfold: ") for line in ran.err.splitlines()), ran
