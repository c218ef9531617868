"""Handouts through the interface: every kind there is, made, looked at and fetched; and what is refused."""

from __future__ import annotations

import io
import time
import zipfile
from typing import Any

import httpx
import pytest
from PIL import Image
from pypdf import PdfReader

from nightfold.blind.method import load_method
from nightfold.paper.handouts import KINDS
from nightfold.web import handouts
from nightfold.web.work import ANSWERS
from tests.cli.running import here
from tests.web.serving import MINE, asked


def _fetch(client: httpx.Client, made: dict[str, Any]) -> PdfReader:
    answer = client.get(f"/api/handouts/made/{made['made']}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert made["file"] in answer.headers["content-disposition"]
    return PdfReader(io.BytesIO(answer.content))


def test_every_kind_is_listed_with_its_choices(client: httpx.Client) -> None:
    listed = {kind["name"]: kind for kind in asked(client, "handouts")}
    assert listed.keys() == KINDS.keys()
    for name, kind in KINDS.items():
        offered = [choice.name for choice in kind.choices if not choice.file]
        assert [choice["name"] for choice in listed[name]["choices"]] == offered
        assert listed[name]["forms"] == list(kind.forms)
        assert all(choice["kind"] in ("switch", "number", "text") for choice in listed[name]["choices"])


@pytest.mark.parametrize("name", KINDS)
def test_it_is_made_looked_at_and_fetched(client: httpx.Client, name: str) -> None:
    made = asked(client, f"handouts/{name}", {"method": "two-swap", "paper": "letter", "grey": True})
    read = _fetch(client, made)
    assert len(read.pages) == made["pages"]
    width, height = (float(side) / 72 for side in read.pages[0].mediabox[2:])
    # ANSI Y14.1: Letter is 8.5 by 11 inches.
    assert sorted((width, height)) == pytest.approx([8.5, 11], abs=0.01)
    picture = client.get(f"/api/handouts/made/{made['made']}/pages/1?width=300")
    assert picture.headers["content-type"] == "image/png"
    image = Image.open(io.BytesIO(picture.content))
    assert image.width == 300
    assert image.height == pytest.approx(300 * height / width, abs=1.5)
    # There is something on the page, and where no colours are wanted, there are none.
    assert len(image.convert("L").getcolors() or ()) > 10


@pytest.mark.parametrize("form", KINDS["example"].forms)
def test_other_forms_of_an_example(client: httpx.Client, form: str) -> None:
    made = asked(client, "handouts/example", {"form": form, "choices": {"scramble": "R U"}})
    assert made["pages"] == 0
    answer = client.get(f"/api/handouts/made/{made['made']}")
    begins = {".html": b"<!doctype html>", ".md": b"PK", ".gif": b"GIF89a", ".apng": b"\x89PNG\r\n"}[form]
    assert answer.content[:20].lower().startswith(begins.lower())
    assert made["file"].endswith(".zip" if form == ".md" else form)
    if form == ".md":
        with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
            main, *pictures = archive.namelist()
            text = archive.read(main).decode()
        assert main.endswith(".md")
        assert pictures and all(name.endswith(".svg") and name in text for name in pictures)
    assert client.get(f"/api/handouts/made/{made['made']}/pages/1").status_code == 404


def test_the_command_prints_the_same(client: httpx.Client, tmp_path: Any) -> None:
    made = asked(client, "handouts/lettering", {"method": "j-and-y", "lettering": "greek", "choices": {"blank": True}})
    words = made["command"].split()
    assert words[:3] == ["nightfold", "handout", "lettering"]
    assert {"--blank", "greek", "j-and-y"} <= set(words)
    file = tmp_path / "same.pdf"
    here(*words[1:], "-o", str(file))
    assert client.get(f"/api/handouts/made/{made['made']}").content == file.read_bytes()


def test_a_lettering_of_ones_own(client: httpx.Client) -> None:
    asked(client, "letterings/mine", {"source": MINE}, "PUT")
    made = asked(client, "handouts/setups", {"lettering": "mine"})
    text = "".join(page.extract_text() for page in _fetch(client, made).pages)
    method = load_method("two-swap")
    assert "mine" in made["file"]
    assert method.name in text
    # Only capitals come with the default lettering; these are small letters.
    assert all(f"\n{letter}" in text or f"{letter} " in text for letter in "abcdefgh")


@pytest.mark.parametrize(
    ("path", "body", "status", "said"),
    [
        ("posters", {}, 404, "is no kind of handout; kinds are"),
        ("setups", {"method": "nobodys"}, 404, "there is no method “nobodys”"),
        ("setups", {"method": "../../etc/passwd"}, 404, "there is no method"),
        ("setups", {"lettering": "/etc/passwd"}, 404, "there is no lettering"),
        ("setups", {"hold": "W,W"}, 422, "hold"),
        ("setups", {"paper": "a3"}, 422, "paper"),
        ("setups", {"choices": {"gold": True}}, 422, "gold"),
        ("setups", {"choices": {"pocket": 3}}, 422, "give true or false"),
        ("setups", {"form": ".html"}, 422, "cannot be had of setups; give .pdf"),
        ("example", {"form": ".exe"}, 422, "cannot be had of example; give .pdf or"),
        ("example", {"choices": {"own": "/etc/passwd"}}, 422, "files are named in the terminal alone"),
    ],
)
def test_what_is_refused(client: httpx.Client, path: str, body: dict[str, Any], status: int, said: str) -> None:
    answer = client.post(f"/api/handouts/{path}", json=body)
    assert answer.status_code == status
    assert said in answer.json()["error"]


@pytest.mark.parametrize("choices", ['{"learners": "\\ud800"}', '{"\\ud800": "1"}'])
def test_half_a_character_is_refused_at_any_depth(client: httpx.Client, choices: str) -> None:
    body = f'{{"choices": {choices}}}'
    answer = client.post("/api/handouts/exercises", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert "“choices” holds half a character" in answer.json()["error"]


def test_what_is_not_there(client: httpx.Client) -> None:
    assert client.get("/api/handouts/made/none").status_code == 404
    made = asked(client, "handouts/leaflet", {})
    answer = client.get(f"/api/handouts/made/{made['made']}/pages/99")
    assert (answer.status_code, answer.json()["error"]) == (422, f"there is no page 99; it has {made['pages']}")


def test_the_last_ones_stay_ready(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handouts, "_READY", 2)
    first, again, other = (
        asked(client, "handouts/leaflet", {"large": large, "grey": grey})["made"]
        for large, grey in ((False, True), (True, True), (False, False))
    )
    statuses = [client.get(f"/api/handouts/made/{made}").status_code for made in (first, again, other)]
    assert statuses == [404, 200, 200]


def test_one_that_nobody_waits_for_is_not_made(client: httpx.Client) -> None:
    rare = {"choices": {"learners": "100", "cubes": 24, "seed": "1", "use": "edges=K Q;corners=G"}}
    with pytest.raises(httpx.ReadTimeout):
        client.post("/api/handouts/exercises", json=rare, timeout=1)
    begun = time.monotonic()
    while ANSWERS.tasks and time.monotonic() < begun + 20:
        time.sleep(0.05)
    assert not ANSWERS.tasks
