"""The browser app in a real Chromium: how large it is, how soon it can be used, how smoothly it turns."""

from __future__ import annotations

import gzip
import statistics
import tempfile
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.browser import driver, launched, opened

from benchmarks.harness import report
from benchmarks.web import end, start
from nightfold.web.pages import built_folder

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
LOADS = 9
#: Seconds of playing, the first of which is not counted.
PLAYED = 6

#: Notes when the box for a scramble is there and the page has nothing left to do before it answers a key.
_INTERACTIVE = """
new MutationObserver((_, watch) => {
  if (!document.querySelector('main textarea')) return;
  watch.disconnect();
  requestIdleCallback(() => { window.interactive = performance.now(); });
}).observe(document, { childList: true, subtree: true });
"""
#: Notes when the letters of a cube that came with the link are there, and when it is drawn in three dimensions.
_READ = """
const look = () => {
  if (!window.lettered && document.querySelector('.letter')) window.lettered = performance.now();
  const canvas = document.querySelector('main canvas');
  if (window.lettered && canvas?.width > 300) requestIdleCallback(() => { window.drawn = performance.now(); });
  else requestAnimationFrame(look);
};
requestAnimationFrame(look);
"""
#: The gaps between frames while the solve is played, in milliseconds.
_GAPS = """seconds => new Promise(done => {
  const gaps = [];
  let [begun, before] = [0, 0];
  const frame = now => {
    begun ||= now;
    if (now - begun > 1000) gaps.push(now - before);
    before = now;
    if (now - begun < seconds * 1000) requestAnimationFrame(frame);
    else done(gaps);
  };
  document.querySelector('.play button.main').click();
  requestAnimationFrame(frame);
})"""
_PAINTER = """() => {
  const gl = document.createElement('canvas').getContext('webgl2');
  const told = gl?.getExtension('WEBGL_debug_renderer_info');
  return gl ? gl.getParameter(told ? told.UNMASKED_RENDERER_WEBGL : gl.RENDERER) : '';
}"""


def _sizes(browser: Browser, port: int) -> None:
    """What a first visit of the desk fetches, a cube in three dimensions and all, and how large the rest is."""
    folder = built_folder()
    if folder is None:
        raise RuntimeError("the browser app is not built")
    sizes = {path.name: len(gzip.compress(path.read_bytes(), 9)) for path in folder.rglob("*") if path.is_file()}
    with opened(browser, port) as window:
        window.go("desk", scramble=SCRAMBLE)
        window.page.wait_for_load_state("networkidle")
        names = {url.partition("#")[0].rpartition("/")[2] or "index.html" for url in window.asked}
    fetched = sum(sizes[name] for name in names & sizes.keys())
    cube = sum(sizes[name] for name in names & sizes.keys() if name.startswith("scene"))
    reference = (
        f"of it the 3-D cube, which comes last, {cube / 1000:.0f} kB; all screens {sum(sizes.values()) / 1000:.0f} kB"
    )
    report("what the desk fetches, gzipped", f"{fetched / 1000:.0f} kB", reference, "300 kB")


def _loads(browser: Browser, port: int, address: dict[str, str], script: str, *marks: str) -> dict[str, list[float]]:
    """When each mark was reached, in milliseconds after the page was asked for, each time in a new profile."""
    found: dict[str, list[float]] = {mark: [] for mark in marks}
    for _ in range(LOADS):
        with opened(browser, port) as window:
            window.page.add_init_script(script)
            window.go("desk", **address)
            for mark in marks:
                window.page.wait_for_function(f"() => window.{mark}")
                found[mark].append(float(window.page.evaluate(f"window.{mark}")))
    return found


def _frames(browser: Browser, port: int) -> None:
    for ghost, what in (("", "hidden faces shown"), ("off", "without them")):
        with opened(browser, port, still=False) as window:
            page = window.go("desk", scramble=SCRAMBLE, ghost=ghost)
            page.wait_for_selector(".play")
            page.wait_for_load_state("networkidle")
            page.get_by_label("Speed").select_option("2")
            gaps: list[float] = page.evaluate(_GAPS, PLAYED)
            painter: Any = page.evaluate(_PAINTER)
        soft = any(name in painter for name in ("SwiftShader", "llvmpipe", "softpipe"))
        late = statistics.quantiles(gaps, n=100)[98]
        report(
            f"frames a second while it turns, {what}",
            f"{1000 * len(gaps) / sum(gaps):.0f}",
            f"99 gaps in a hundred up to {late:.0f} ms; drawn by {'the processor' if soft else painter}",
            "60",
        )


def run() -> None:
    """Measure and report."""
    try:
        with driver() as playwright, tempfile.TemporaryDirectory() as folder:
            browser = launched(playwright)
            server, port, _ = start(folder)
            try:
                _sizes(browser, port)
                ready = _loads(browser, port, {}, _INTERACTIVE, "interactive")["interactive"]
                read = _loads(browser, port, {"scramble": SCRAMBLE}, _READ, "lettered", "drawn")
                count = f"slowest of {LOADS}, each in a new profile,"
                for name, times, aim in (
                    ("the desk, until it can be used", ready, "1000 ms"),
                    ("a link to a cube, until its letters stand", read["lettered"], ""),
                    ("a link to a cube, until it is drawn in 3-D", read["drawn"], ""),
                ):
                    report(name, f"{statistics.median(times):.0f} ms", f"{count} {max(times):.0f} ms", aim)
                _frames(browser, port)
            finally:
                end(server)
                browser.close()
    except pytest.skip.Exception as reason:
        print(f"  the rest is left out: {reason}")
