"""``nightfold methods`` and ``nightfold method``: what is told about a method is what is true of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from nightfold.blind.files import SHIPPED
from nightfold.blind.method import load_method, method_names
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from tests.cli.running import complaint, here, there

GEO = geometry(3)


def own(path: Path, *changes: tuple[str, str]) -> str:
    """A file with the two-swap method, some of its text changed."""
    text = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text, "utf-8")
    return str(path)


def test_methods_lists_all_that_come_along() -> None:
    data = here("methods", "--json").data
    assert [one["name"] for one in data] == list(method_names())
    ran = here("methods")
    flowing = " ".join(ran.out.split())
    for one in data:
        assert list(one) == ["name", "title", "about"]
        assert f"{one['name']} {one['title']} {' '.join(one['about'].split())}" in flowing
    assert there("methods") == ran


@pytest.mark.parametrize("name", method_names())
def test_the_data_of_a_method(name: str) -> None:
    data = here("method", name, "--json").data
    method = load_method(name)
    assert list(data) == [
        *("name", "title", "about", "order", "hold", "breaks", "lettering", "orbits", "parity", "checks"),
    ]
    assert (data["name"], data["title"], data["lettering"]) == (name, method.title, method.lettering)
    assert data["order"] == [orbit["orbit"] for orbit in data["orbits"]]
    assert len(data["checks"]) == 5
    effects = []
    for orbit in data["orbits"]:
        assert list(orbit) == [
            *("orbit", "way", "buffer", "home", "swap", "label", "free", "disturbs", "verdicts"),
        ]
        swap = Cube.from_turns(orbit["swap"])
        effects.append(swap)
        mine = set(GEO.orbit(orbit["orbit"]).stickers)
        moved = [s for cycle in swap.cycles() for s in cycle]
        assert {GEO.piece_name(s) for s in moved if s not in mine} == set(orbit["disturbs"])
        assert {GEO.piece_name(s) for s in moved if s in mine} == {
            GEO.piece_name(GEO.sticker(orbit[key])) for key in ("buffer", "home")
        }
        # 18 face turns and 18 wide ones, each with its verdict.
        assert len({verdict["turn"] for verdict in orbit["verdicts"]}) == len(orbit["verdicts"]) == 36
        assert sorted(v["turn"] for v in orbit["verdicts"] if v["free"]) == sorted(orbit["free"])
        for verdict in orbit["verdicts"]:
            assert list(verdict) == ["turn", "free", "spare", "why"]
            assert verdict["why"] and not (verdict["free"] and verdict["spare"])
            turn = Cube.from_turns(verdict["turn"])
            buffer = GEO.sticker(orbit["buffer"])
            harmless = turn.stickers[buffer] == buffer and all(
                # Swapping with and without the turn around it disturbs the same outside the orbit.
                turn.then(swap).then(turn.inverse()).stickers[place] == swap.stickers[place]
                for place in range(54)
                if place not in mine
            )
            assert harmless == (verdict["free"] or verdict["spare"]), verdict
    # Two odd orbits leave both disturbances behind; the parity algorithm, between them, takes them back.
    parity = Cube.from_turns(data["parity"]["algorithm"])
    first, second = (effect.then(_only(effect, orbit)) for effect, orbit in zip(effects, data["orbits"], strict=True))
    assert first.then(parity).then(second) == Cube.solved()


def _only(effect: Cube, orbit: Any) -> Cube:
    """What takes back the part of a swap that lies inside its own orbit."""
    mine = set(GEO.orbit(orbit["orbit"]).stickers)
    inside = tuple(effect.stickers[place] if place in mine else place for place in range(54))
    return Cube(3, inside).inverse()


@pytest.mark.parametrize("name", method_names())
def test_the_text_of_a_method(name: str) -> None:
    data = here("method", name, "--json").data
    ran = here("method", name)
    assert ran.code == 0
    flowing = " ".join(ran.out.split())
    assert f"order: {', then '.join(data['order'])}; hold: white up, green in front; breaks: lowest;" in flowing
    for orbit in data["orbits"]:
        heading = f"{orbit['orbit'].upper()} way: swap buffer {orbit['buffer']} home target {orbit['home']}"
        assert f"{heading} {orbit['label']} {orbit['swap']} free turns" in flowing
        for verdict in orbit["verdicts"]:
            if not verdict["free"]:
                assert verdict["why"] in flowing
    assert data["parity"]["algorithm"] in flowing
    for sentence in data["checks"]:
        assert f"+ {sentence}" in flowing


def test_what_wraps_hangs_behind_its_first_line() -> None:
    lines = here("method", columns=50).lines
    for start in ("  order: ", "  + The T perm"):
        at = next(i for i, line in enumerate(lines) if line.startswith(start))
        assert lines[at + 1].startswith("    ") and lines[at + 1].strip()


def test_a_method_of_ones_own(tmp_path: Path) -> None:
    path = own(tmp_path / "evening.toml", ('title = "Two swaps, edges first"', 'title = "As on Tuesdays"'))
    data = here("method", path, "--json").data
    assert (data["name"], data["title"]) == ("evening", "As on Tuesdays")
    shipped = here("method", "--json").data
    assert {**data, "name": "", "title": ""} == {**shipped, "name": "", "title": ""}
    assert here("plan", "R U F2", "--method", path, "--json").data["solved"]


def test_a_parity_algorithm_that_is_left_out_is_searched(tmp_path: Path) -> None:
    path = own(tmp_path / "searched.toml", ("algorithm = \"R U R' F' R U2 R' U2 R' F R U R U2 R' U'\"\n", ""))
    assert "PARITY  R perm (searched)" in here("method", path).out
    data = here("method", path, "--json").data
    assert data["parity"]["searched"]
    effect = Cube.from_turns(here("method", "--json").data["parity"]["algorithm"])
    assert Cube.from_turns(data["parity"]["algorithm"]) == effect


def test_every_failed_check_is_told(tmp_path: Path) -> None:
    path = own(
        tmp_path / "wrong.toml",
        ("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", 'swap = "R U"'),
        ('home = "DFR"', 'home = "UBL"'),
    )
    for options in ((), ("--json",)):
        complaint(here("method", path, *options), "wrong: edges: ", "wrong: corners: ", lines=2)
