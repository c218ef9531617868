"""The built browser app is served as it is; without it one sentence says how to build it."""

from __future__ import annotations

from pathlib import Path

import httpx
import pytest

from nightfold.web import pages


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small built app."""
    folder = tmp_path / "static"
    (folder / "assets").mkdir(parents=True)
    (folder / "index.html").write_text("<!doctype html><title>Nightfold</title>", "utf-8")
    (folder / "assets" / "desk-4f2a.js").write_text("export {}", "utf-8")
    (folder / "lamp.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>", "utf-8")
    (tmp_path / "secret.txt").write_text("a secret", "utf-8")
    monkeypatch.setattr(pages, "built_folder", lambda: folder)
    return folder


def test_without_the_app_one_sentence_says_how_to_build_it(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "built_folder", lambda: None)
    for path in ("/", "/desk", "/assets/x.js"):
        answer = client.get(path)
        assert answer.status_code == 503
        assert answer.text == pages.MISSING + "\n"
    assert client.get("/api/about").status_code == 200


@pytest.mark.parametrize("path", ["/", "/desk", "/marking/deep/link", "/index.html", "/api"])
def test_every_address_that_is_no_file_is_the_apps_page(client: httpx.Client, built: Path, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert "<title>Nightfold</title>" in answer.text
    assert answer.headers["content-type"].startswith("text/html")
    assert answer.headers["cache-control"] == "no-cache"
    again = client.get(path, headers={"if-none-match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_files_named_by_their_content_are_kept_for_good_and_others_asked_for(client: httpx.Client, built: Path) -> None:
    script = client.get("/assets/desk-4f2a.js")
    assert script.headers["content-type"].startswith("text/javascript")
    assert script.headers["cache-control"] == "public, max-age=31536000, immutable"
    picture = client.get("/lamp.svg")
    assert picture.headers["content-type"].startswith("image/svg+xml")
    assert picture.headers["cache-control"] == "no-cache"
    assert picture.headers["etag"]


@pytest.mark.parametrize(
    "path",
    [
        "/assets/gone.js",
        "/../secret.txt",
        "/assets/../../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/assets/..%5c..%5csecret.txt",
        "//etc/hosts.txt",
    ],
)
def test_nothing_but_the_apps_files_is_served(client: httpx.Client, built: Path, port: int, path: str) -> None:
    import http.client

    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", path)
    answer = connection.getresponse()
    text = answer.read()
    connection.close()
    assert answer.status == 404
    assert b"a secret" not in text


def test_the_app_that_is_built_anew_is_noticed(client: httpx.Client, built: Path) -> None:
    assert client.get("/assets/desk-9c1b.js").status_code == 404
    (built / "assets" / "desk-9c1b.js").write_text("export {}", "utf-8")
    (built / "index.html").write_text("<!doctype html><title>Nightfold, again</title>", "utf-8")
    assert "again" in client.get("/").text
    assert client.get("/assets/desk-9c1b.js").status_code == 200


def test_where_the_built_app_is_looked_for() -> None:
    found = pages.built_folder()
    assert found is None or (found / "index.html").is_file()
