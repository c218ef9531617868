"""``nightfold words`` as it is typed, and the breaks policy ``words`` of ``nightfold plan``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nightfold.blind.plan import make_plan
from nightfold.memory.lexicon import languages
from nightfold.memory.occurring import memo_pairs
from nightfold.memory.own import read_own
from tests.cli.running import cases, complaint, here, shell, there
from tests.memory.finders import covered, finder

SCRAMBLE = "D F L2 B U R F' L' B2"
OWN = """pair,word,kind,note,strength
QV,quiver,object,the archer's,0.9
PU,Pugh,person,,0.7
LS,lass,person,,0.1
ZZ,zip,,,
"""


@pytest.fixture
def mine(tmp_path: Path) -> str:
    """A file of own words."""
    path = tmp_path / "mine.csv"
    path.write_text(OWN, "utf-8")
    return str(path)


# --- one pair ----------------------------------------------------------------------------------------------


def test_candidates_of_a_pair(mine: str) -> None:
    data = here("words", "ls", "--json").data
    assert (data["pair"], data["language"]) == ("LS", "en")
    assert data["candidates"] == [one.to_dict() for one in finder().of(("L", "S"))]
    own = here("words", "LS", "--own", mine, "--json").data["candidates"]
    assert (own[0]["word"], own[0]["own"], own[0]["strength"], own[0]["weak"]) == ("lass", True, 0.1, True)
    assert len(here("words", "LS", "--number", "3", "--json").data["candidates"]) == 3


def test_text_tells_every_candidate(mine: str) -> None:
    ran = here("words", "QV", "--own", mine, "--number", "5")
    assert ran.code == 0
    assert ran.lines[0] == "QV  language en; by opening, consonants, ends, sounds, two-words"
    data = here("words", "QV", "--own", mine, "--number", "5", "--json").data["candidates"]
    assert [line.split()[:2] for line in ran.lines[2:]] == [
        [str(at), one["word"].split()[0]] for at, one in enumerate(data, 1)
    ]
    assert "quiver  the archer's" in ran.lines[2] and ran.lines[2].split()[-3:] == ["90", "your", "own"]


def test_patterns_and_rules() -> None:
    found = here("words", "BR", "--pattern", "ends, opening", "--json").data["candidates"]
    assert {one["pattern"] for one in found} == {"ends", "opening"}
    ruled = here("words", "BR", "--rule", "starts {a}, ends {b}, 4 letters", "--json").data["candidates"]
    assert ruled and all(one["word"][0] == "b" and one["word"][-1] == "r" and len(one["word"]) == 4 for one in ruled)
    both = here("words", "BR", "--rule", "starts {a}, ends {b}", "--pattern", "opening", "--json").data["candidates"]
    assert {one["pattern"] for one in both} <= {"rule", "opening"}
    assert here("words", "BR", "--rule", "starts {a}, ends {b}").lines[0] == "BR  language en; by rule"


def test_the_filter_and_other_languages() -> None:
    rude = {one["word"] for one in here("words", "PS", "--rude", "--number", "200", "--json").data["candidates"]}
    clean = {one["word"] for one in here("words", "PS", "--number", "200", "--json").data["candidates"]}
    assert rude - clean
    german = here("words", "KA", "--language", "de", "--json").data
    assert german["language"] == "de"
    assert all(one["marks"] is None or one["marks"]["picturable"] is None for one in german["candidates"])
    unknown = "of this language it is not known how picturable words are; the frequent and short ones come first"
    for asked in (["KA"], ["--grid"], ["--for", "R U"]):
        assert " ".join(here("words", *asked, "--language", "de").out.split()).count(unknown) == 1
        assert unknown not in " ".join(here("words", *asked).out.split())
    greek = here("words", "μα", "--lettering", "greek", "--json").data
    assert (greek["pair"], greek["language"]) == ("ΜΑ", "el")


def test_no_word_at_all(tmp_path: Path) -> None:
    ran = here("words", "ΜΑ", "--lettering", "greek", "--language", "en", columns=120)
    assert ran.lines[1:] == ["  there is no word for this pair by these patterns; give one of your own with --add"]
    assert here("words", "ΜΑ", "--lettering", "greek", "--language", "en", "--json").data["candidates"] == []


# --- a memo ------------------------------------------------------------------------------------------------


def test_a_memo_in_words() -> None:
    data = here("words", "--for", SCRAMBLE, "--json").data
    plan = make_plan(SCRAMBLE)
    assert data["scramble"] == SCRAMBLE
    for told, reading in zip(data["orbits"], plan.orbits, strict=True):
        assert told["orbit"] == reading.orbit.name
        assert [one["pair"] for one in told["pairs"]] == ["".join(pair) for pair in memo_pairs(reading.letters)]
        assert "".join(part["text"] for part in told["phrase"]["parts"]) == told["phrase"]["text"]
        tells = [part for part in told["phrase"]["parts"] if part["pair"]]
        assert [part["pair"] for part in tells] == [one["pair"] for one in told["pairs"]]
    assert [told["phrase"]["style"] for told in data["orbits"]] == ["person-action-object", "story"]


def test_text_of_a_memo() -> None:
    ran = here("words", "--for", SCRAMBLE, columns=200)
    data = here("words", "--for", SCRAMBLE, "--json").data
    for told in data["orbits"]:
        assert told["orbit"].upper() in ran.lines
        assert f"  {told['phrase']['text']}" in ran.lines
        for one in told["pairs"]:
            assert any(line.startswith(f"  {one['pair']:<2}  {one['word']} ") for line in ran.out.splitlines())
    assert ran.lines[-1] == "18 letters; there is parity"


def test_styles_routes_and_breaks(mine: str) -> None:
    sounds = here("words", "--for", SCRAMBLE, "--phrases", "sounds", "--json").data["orbits"]
    words = covered().words
    for told in sounds:
        assert told["phrase"]["style"] == "sounds"
        pairs = [tuple(one["pair"]) for one in told["pairs"]]
        assert all(words[pair].word == one["word"] for pair, one in zip(pairs, told["pairs"], strict=True) if pair[1:])
    route = here("words", "--for", SCRAMBLE, "--route", "door, stove, lamp, bed, sink", "--json").data["orbits"]
    assert [told["phrase"]["style"] for told in route] == ["route", "route"]
    assert route[1]["phrase"]["text"].startswith("By night: Bed: ")
    chosen = here("words", "--for", SCRAMBLE, "--breaks", "choose:edges=O", "--json").data["orbits"][0]["pairs"]
    assert "".join(one["pair"] for one in chosen) == "".join(
        make_plan(SCRAMBLE, breaks="choose:edges=O").orbits[0].letters
    )
    own = here("words", "--for", SCRAMBLE, "--breaks", "words", "--own", mine, "--json").data["orbits"]
    assert {"quiver", "Pugh"} <= {one["word"] for told in own for one in told["pairs"] if one["own"]}


def test_a_solved_cube_and_other_languages() -> None:
    ran = here("words", "--for", "R R'")
    assert ran.lines.count("  nothing to remember: all solved") == 2
    assert here("words", "--for", "R R'", "--json").data["orbits"][0]["phrase"]["text"] == ""
    greek = here("words", "--for", SCRAMBLE, "--lettering", "greek")
    assert greek.code == 0
    assert "phrases are written in English only; the words of other languages come as a list" in " ".join(greek.lines)
    data = here("words", "--for", SCRAMBLE, "--lettering", "greek", "--json").data
    assert [told["phrase"] for told in data["orbits"]] == [None, None]
    assert all(one["word"] for told in data["orbits"] for one in told["pairs"])


# --- all pairs ---------------------------------------------------------------------------------------------


def test_the_grid(mine: str) -> None:
    data = here("words", "--grid", "--json").data
    assert data == {**covered().to_dict(), "unused": []}
    own = here("words", "--grid", "--own", mine, "--json").data
    assert own["unused"] == ["ZZ"]
    cells = {cell["pair"]: cell for orbit in own["orbits"] for cell in orbit["pairs"]}
    assert [cells[pair]["state"] for pair in ("QV", "PU", "LS")] == ["own", "own", "weak"]


@pytest.mark.parametrize("columns", [40, 80, 200])
def test_the_grid_fits_the_terminal_and_shows_every_cell(columns: int, mine: str) -> None:
    ran = here("words", "--grid", "--orbit", "edges", "--own", mine, columns=columns)
    assert ran.code == 0
    assert all(len(line) <= columns for line in ran.lines)
    signs = "".join(
        "".join(line[3:].split())
        for line in ran.lines
        if line[:1] == " " and line[2:3] == " " and line[1:2] in "ACDEFGHIJKLNOPQRSTUVWX"
    )
    counts = here("words", "--grid", "--orbit", "edges", "--own", mine, "--json").data["orbits"][0]["counts"]
    for state, sign in (("own", "O"), ("suggestion", "+"), ("weak", "~"), ("clashing", "#"), ("missing", "-")):
        assert signs.count(sign) == counts[state]
    told = " ".join(" ".join(ran.lines).split())
    assert "LS lass" in told and "no memo has these pairs of your own: ZZ" in told


def test_an_exported_file_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "all.csv"
    ran = here("words", "--export", str(path))
    assert ran.code == 0
    words = read_own(path.read_text("utf-8"))
    assert len(words) == len(covered().words)
    assert f"{len(words)} words written to" in ran.out
    counts = here("words", "--grid", "--own", str(path), "--json").data["orbits"][0]["counts"]
    assert counts == {"own": 462, "suggestion": 0, "weak": 0, "clashing": 0, "missing": 0}
    complaint(here("words", "--export", str(path)), "all.csv” is there already; choose another name")
    assert read_own(here("words", "--export", "-").out).all == words.all
    data = here("words", "--export", str(tmp_path / "edges.csv"), "--orbit", "edges", "--json").data
    assert (data["language"], data["words"]) == ("en", 462)


def test_symbols_of_several_characters_and_of_double_width(tmp_path: Path) -> None:
    path = tmp_path / "signs.toml"
    signs = [*"ABDEFGHI", "猫", "犬", "Ch", "Sh", *"JKLMNOPQRTUV"]
    faces = (" ".join(signs[at : at + 4]) for at in range(0, 24, 4))
    table = "\n".join(f'{face} = "{some}"' for face, some in zip("ULFRBD", faces, strict=True))
    path.write_text(f'name = "signs"\n[every-orbit]\n{table}\n', "utf-8")
    found = here("words", "Ch·A", "--lettering", str(path), "--pattern", "opening", "--json").data
    assert all(one["word"].startswith("cha") for one in found["candidates"]) and found["candidates"]
    grid = here("words", "--grid", "--lettering", str(path), columns=120)
    assert grid.code == 0
    from rich.cells import cell_len

    assert all(cell_len(line) <= 120 for line in grid.lines)
    assert "missing: " in grid.out
    memo = here("words", "--for", SCRAMBLE, "--lettering", str(path))
    assert memo.code == 0 and "no word" in memo.out


# --- plans -------------------------------------------------------------------------------------------------


def test_plan_with_breaks_for_words(mine: str) -> None:
    usual = here("plan", SCRAMBLE, "--json").data
    chosen = here("plan", SCRAMBLE, "--breaks", "words", "--own", mine, "--json").data
    assert chosen["solved"]
    assert chosen["counts"]["letters"] == usual["counts"]["letters"]
    pairs = {"".join(pair) for orbit in chosen["orbits"] for pair in memo_pairs(orbit["letters"])}
    assert {"QV", "PU"} <= pairs
    many = there("plan", "-", "--breaks", "words", "--json", stdin=f"{SCRAMBLE}\nR U F\n")
    assert [json.loads(line)["solved"] for line in many.lines] == [True, True]
    assert here("plan", SCRAMBLE, "--breaks", "words", "--language", "de", "--json").data["solved"]


def test_the_program_itself(mine: str) -> None:
    ran = there("words", "LS", "--number", "2")
    assert (ran.code, ran.err) == (0, "")
    assert "\x1b" not in ran.out
    piped: Any = shell("nightfold words --export - | nightfold words BR --own - --json", environment={})
    assert json.loads(piped.out)["pair"] == "BR"
    plain = there("words", "--grid", environment={"PYTHONIOENCODING": "ascii"}, encoding="ascii")
    assert plain.code == 0


# --- what is refused ---------------------------------------------------------------------------------------

REFUSED = cases(
    {
        "nothing": ([], "give one of these: a pair, as in nightfold words LS; --for"),
        "two things": (["LS", "--grid"], "give one of these"),
        "no pair": (["LZ"], "“LZ” is no pair of letters (nor a single one) of this lettering: A B C"),
        "three letters": (["LSD"], "“LSD” is no pair"),
        "empty": ([""], "“” is no pair"),
        "control": (["L\x1b"], "\\x1b"),
        "number": (["LS", "--number", "0"], "--number is 0; it must be from 1 to 200"),
        "large number": (["LS", "--number", "201"], "--number is 201"),
        "no number": (["LS", "--number", "x"], "invalid value for '--number'"),
        "no language": (["LS", "--language", ""], "there are no words for the language “”; known are"),
        "language": (
            ["LS", "--language", "xx"],
            f"there are no words for the language “xx”; known are {languages()[0]}",
        ),
        "pattern": (["LS", "--pattern", "begin"], "“begin” is no pattern; patterns are opening"),
        "pattern of another language": (["LS", "--pattern", "sounds", "--language", "de"], "for the language en only"),
        "rule": (["LS", "--rule", "begins {a}"], "“begins {a}” at column 1 is no part of a rule"),
        "style alone": (["LS", "--phrases", "story"], "--phrases goes with --for only"),
        "route alone": (["--grid", "--route", "door"], "--route goes with --for only"),
        "breaks alone": (["LS", "--breaks", "words"], "--breaks goes with --for only"),
        "orbit alone": (["LS", "--orbit", "edges"], "--orbit goes with --grid or --export only"),
        "orbit": (["--grid", "--orbit", "wings"], "“wings” is no orbit of the method two-swap; it has edges, corners"),
        "style": (["--for", "R U", "--phrases", "poem"], "“poem” is no style of phrases"),
        "route missing": (["--for", SCRAMBLE, "--phrases", "route"], "the route is missing; this memo needs at least"),
        "route too short": (["--for", SCRAMBLE, "--route", "door"], "the route has 1 place; this memo needs at least"),
        "phrases in German": (
            ["--for", "R U", "--language", "de", "--phrases", "story"],
            "phrases are written in English only",
        ),
        "no scramble": (["--for", ""], "the scramble is missing; write its turns behind --for"),
        "scramble of blanks": (["--for", "  "], "the scramble is missing"),
        "long pair": (["L" * 60], f"“{'L' * 24}…” is no pair of letters"),
        "scramble": (["--for", "R Q"], "“Q” at column 3"),
        "breaks": (["--for", "R", "--breaks", "wherever"], "“wherever” is no way to choose breaks"),
        "file": (["LS", "--own", "nowhere.csv"], "the file of words “nowhere.csv” cannot be read: No such file"),
        "method": (["LS", "--method", "none"], "there is no method “none”"),
        "lettering": (["LS", "--lettering", "runes"], "no lettering “runes”"),
        "export nowhere": (["--export", "nowhere/all.csv"], "nowhere/all.csv” cannot be written: No such file"),
        "export without a name": (["--export", ""], "cannot be written"),
    }
)


@pytest.mark.parametrize(("arguments", "said"), REFUSED)
@pytest.mark.parametrize("form", [[], ["--json"]], ids=["text", "json"])
def test_refusals(arguments: list[str], said: str, form: list[str]) -> None:
    complaint(here("words", *arguments, *form), said)


def test_refused_files_and_options(tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("pair,word,strength\nBJ,,2\nBK,book,3\n")
    complaint(
        here("words", "BJ", "--own", str(bad)), "bad.csv, row 2, column word: there is nothing in it (and 1 more)"
    )
    complaint(here("words", "BJ", "--own", "-", stdin="word\nx\n"), "standard input, row 1: the column pair is missing")
    complaint(here("words", "--export", "-", "--json"), "--export - prints the file")
    complaint(here("plan", "R", "--own", str(bad)), "--own goes with --breaks words only")
    complaint(here("plan", "R", "--language", "de", "--breaks", "lowest"), "--language goes with --breaks words only")
    complaint(here("plan", "R", "--breaks", "words", "--own", str(bad)), "bad.csv, row 2, column word")
    complaint(here("plan", "R", "--breaks", "words", "--language", "xx"), "there are no words for the language “xx”")
