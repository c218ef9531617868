"""``nightfold odds`` as it is typed: what it prints, the data it gives, and what it refuses."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from nightfold.blind.features import MOST, Features, parse_features
from nightfold.blind.odds import TABLES, odds, place_of
from nightfold.blind.plan import make_plan
from nightfold.blind.states import chance
from nightfold.cli.odds import bar, one_in, percent
from tests.cli.running import cases, complaint, here, there

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' R U2"

OPTIONS = {
    **{f"--{name.replace('_', '-')}": (name, "2..4") for name in MOST},
    "--parity": ("parity", "yes"),
    "--edge-buffer": ("edge_buffer", "home"),
    "--corner-buffer": ("corner_buffer", "turned,away"),
}


# --- data --------------------------------------------------------------------------------------------------


def test_data_without_wishes() -> None:
    data = here("odds", "--json").data
    assert data == odds().to_dict()
    assert set(data) == {*TABLES, "parity"}
    for name, entry in data.items():
        assert set(entry) == {"mean", "table"}
        shares = {value: Fraction(share) for value, share in entry["table"].items()}
        assert sum(shares.values()) == 1
        if name != "parity":
            assert Fraction(entry["mean"]) == sum(int(value) * share for value, share in shares.items())
    assert data["parity"] == {"mean": "1/2", "table": {"yes": "1/2", "no": "1/2"}}


@pytest.mark.parametrize(("option", "name", "text"), [(option, *rest) for option, rest in OPTIONS.items()])
def test_every_feature_has_its_option(option: str, name: str, text: str) -> None:
    features = parse_features({name: text})
    data = here("odds", option, text, "--json").data
    assert data["chance"] == str(chance(features)) not in ("0", "1")
    assert data == odds(features).to_dict()
    assert option in here("odds", "--help").out


def test_features_are_wished_for_together() -> None:
    data = here("odds", "--letters", "..18", "--parity", "no", "--edge-breaks", "1..2", "--json").data
    features = Features(letters=(0, 18), parity=False, edge_breaks=(1, 2))
    assert Fraction(data["chance"]) == chance(features) < chance(Features(letters=(0, 18)))
    assert data["parity"] == {"mean": "0", "table": {"yes": "0", "no": "1"}}
    assert set(data["edge_breaks"]["table"]) == {"1", "2"}


def test_data_of_a_scramble() -> None:
    data = here("odds", SCRAMBLE, "--json").data
    assert {key: value for key, value in data.items() if key != "scramble"} == odds().to_dict()
    assert data["scramble"] == {"scramble": SCRAMBLE, **place_of(make_plan(SCRAMBLE)).to_dict()}
    shares = [Fraction(data["scramble"][key]) for key in ("easier", "alike", "harder")]
    assert sum(shares) == 1


def test_data_of_a_scramble_among_cubes_with_features() -> None:
    among = Features(parity=False)
    data = here("odds", SCRAMBLE, "--parity", "no", "--json").data
    assert data["scramble"] == {"scramble": SCRAMBLE, **place_of(make_plan(SCRAMBLE), among).to_dict()}
    assert data["scramble"]["has_features"] is True
    assert here("odds", SCRAMBLE, "--parity", "yes", "--json").data["scramble"]["has_features"] is False


def test_the_method_reads_the_scramble() -> None:
    given = {
        name: here("odds", SCRAMBLE, "--method", name, "--json").data["scramble"] for name in ("two-swap", "left-hand")
    }
    for name, scramble in given.items():
        assert scramble["standings"]["total_letters"]["value"] == make_plan(SCRAMBLE, name).letters
    assert here("odds", "--method", "left-hand", "--json").data == odds().to_dict()


# --- text --------------------------------------------------------------------------------------------------


def test_tables_of_all_cubes() -> None:
    ran = here("odds")
    assert ran.code == 0
    assert max(map(len, ran.lines)) <= 80
    assert all(line == line.rstrip() for line in ran.lines)
    for name, table in odds().tables.items():
        assert f"{name.replace('_', ' ').upper()}  mean {float(table.mean):.2f}" in ran.out
    assert "    12   31.2%  ████████████████████" in ran.out
    assert ran.lines[-1] == "PARITY  50.0% have odd numbers of letters"


def test_what_the_tables_show_adds_up() -> None:
    lines = here("odds", columns=60).lines
    at = lines.index("EDGE LETTERS  mean 12.19")
    rows = [
        re.fullmatch(r" *(\d+)(?:-(\d+))? +(<?[\d.]+)%(?:  [█▏▎▍▌▋▊▉]*)?", line) for line in lines[at + 1 : at + 12]
    ]
    shown = [row for row in rows if row]
    assert len(shown) == 11
    values = [value for row in shown for value in range(int(row[1]), int(row[2] or row[1]) + 1)]
    assert values == list(range(23))
    assert sum(float(row[3]) for row in shown if row[3][0] != "<") == pytest.approx(100, abs=0.6)


def test_odds_under_wishes() -> None:
    ran = here("odds", "--letters", "..16", "--parity", "no")
    assert ran.code == 0
    wanted = Features(letters=(0, 16), parity=False)
    assert ran.lines[0] == "ODDS  at most 16 letters in all and no parity"
    assert ran.lines[1] == f"      {one_in(chance(wanted))}, exactly {chance(wanted)}"
    assert "PARITY  0% have odd numbers of letters" in ran.out
    assert "TOTAL LETTERS  mean 15.92" in ran.out


def test_where_a_scramble_lies() -> None:
    ran = here("odds", SCRAMBLE)
    assert ran.code == 0
    assert max(map(len, ran.lines)) <= 80
    place = place_of(make_plan(SCRAMBLE))
    assert f"easier than {percent(place.harder)} of all cubes, harder than {percent(place.easier)}" in ran.out
    for name, standing in place.standings.items():
        (line,) = [line for line in ran.lines if line.startswith(name.replace("_", " "))]
        shares = [percent(share) for share in (standing.fewer, standing.equal, standing.more)]
        assert line.removeprefix(name.replace("_", " ")).split() == [str(standing.value), *shares]
    assert (
        f"no parity; the chance of a cube like it in all of this and in its buffers is {one_in(chance(place.own))}"
        in (" ".join(ran.out.split()))
    )


def test_a_scramble_that_is_none_of_the_cubes_it_is_compared_with() -> None:
    ran = here("odds", "R", "--parity", "no")
    assert "ODDS  no parity" in ran.out
    assert "it is not one of these cubes itself" in ran.out
    assert "of these cubes, harder than" in ran.out
    assert "not one of" not in here("odds", "R", "--parity", "yes").out


def test_the_solved_cube_may_be_asked_about() -> None:
    out = " ".join(here("odds", "").out.split())
    assert "SCRAMBLE no turns: the solved cube easier than >99.9% of all cubes, harder than 0%, as hard as <0.1%" in out
    assert "1 in 43,252,003,274,489,856,000" in out


def test_narrow_terminals_and_plain_letters() -> None:
    for columns in (24, 40, 79):
        for ran in (here("odds", columns=columns), here("odds", SCRAMBLE, columns=columns)):
            assert ran.code == 0
            assert max(map(len, ran.lines)) <= max(columns, 38)
    ran = there("odds", environment={"PYTHONIOENCODING": "ascii"}, encoding="ascii")
    assert ran.code == 0
    assert "    12   31.2%  ####################" in ran.out


# --- refusals ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    cases(
        {
            "no number": (
                ["--letters", "many"],
                "letters in all: “many” is no number or range; write 8, 6..8, 6.. or ..8",
            ),
            "backwards": (["--flipped", "3..1"], "edges flipped in place: 3..1 runs backwards; write 1..3"),
            "parity": (["--parity", "odd"], "parity must be yes or no, not “odd”"),
            "buffer": (
                ["--edge-buffer", "flipped"],
                "the edge buffer cannot be “flipped”; it can be home, turned or away",
            ),
            "parities": (
                ["--edge-letters", "7", "--corner-letters", "8"],
                "no cube has 7 edge letters and 8 corner letters: edge letters and corner letters are both even",
            ),
            "twist": (["--solved-corners", "7"], "no corner is ever twisted alone"),
            "scramble": (["R Q"], "“Q”"),
            "method": (["R", "--method", "none"], "there is no method “none”"),
            "option": (["--colour", "red"], "no such option"),
        }
    ),
)
@pytest.mark.parametrize("form", [[], ["--json"]], ids=["text", "json"])
def test_refusals(arguments: list[str], said: str, form: list[str]) -> None:
    complaint(here("odds", *arguments, *form), said)


# --- words and bars ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (Fraction(0), "0%"),
        (Fraction(1), "100%"),
        (Fraction(1, 3), "33.3%"),
        (Fraction(1, 1000), "0.1%"),
        (Fraction(1, 1001), "<0.1%"),
        (Fraction(1, 10**30), "<0.1%"),
        (Fraction(999, 1000), "99.9%"),
        (Fraction(9991, 10000), ">99.9%"),
        (1 - Fraction(1, 10**30), ">99.9%"),
    ],
)
def test_percentages(share: Fraction, said: str) -> None:
    assert percent(share) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (Fraction(1), "1 in 1"),
        (Fraction(2, 5), "1 in 2.5"),
        (Fraction(1, 99), "1 in 99"),
        (Fraction(2, 12345), "1 in 6,172"),
        (Fraction(1, 43_252_003_274_489_856_000), "1 in 43,252,003,274,489,856,000"),
    ],
)
def test_one_in_so_many(share: Fraction, said: str) -> None:
    assert one_in(share) == said


def test_bars() -> None:
    assert bar(Fraction(1), 4) == "████"
    assert bar(Fraction(0), 4) == ""
    assert bar(Fraction(5, 8), 4) == "██▌"
    assert [bar(Fraction(eighth, 8), 1) for eighth in range(9)] == ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉", "█"]
    assert bar(Fraction(5, 8), 4, "ascii") == "##"
    assert bar(Fraction(7, 8), 4, "latin-1") == "####"
