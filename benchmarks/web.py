"""The browser app's server: how long a plan takes over HTTP, and how soon it answers after being started."""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time

from benchmarks.harness import report, seconds
from nightfold.blind.plan import make_plan

REQUESTS, CLIENTS, STARTS = 2000, 2, 7


def _scrambles() -> list[str]:
    rng = random.Random(5)
    turns = [face + amount for face in "URFDLB" for amount in ("", "2", "'")]
    return [" ".join(rng.choices(turns, k=20)) for _ in range(REQUESTS)]


def start(home: str) -> tuple[subprocess.Popen[str], int, float]:
    """Start the server in a process of its own; gives its port and the seconds until it had answered a request."""
    command = [sys.executable, "-c", "from nightfold.cli import main; main()", "app", "--no-browser"]
    begun = time.perf_counter()
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "NIGHTFOLD_HOME": home})
    assert server.stdout is not None
    found = re.search(r":(\d+) ", server.stdout.readline())
    if found is None:
        raise RuntimeError("the server did not tell its address")
    _ask(http.client.HTTPConnection("127.0.0.1", int(found[1])), "R U F")
    return server, int(found[1]), time.perf_counter() - begun


def _ask(connection: http.client.HTTPConnection, scramble: str) -> None:
    body = json.dumps({"scramble": scramble})
    connection.request("POST", "/api/plan", body, {"Content-Type": "application/json"})
    answer = connection.getresponse()
    if answer.status != 200 or b'"solved":true' not in answer.read():
        raise RuntimeError(f"no plan for {scramble}")


def end(server: subprocess.Popen[str]) -> None:
    """End it as Ctrl-C does."""
    server.send_signal(signal.SIGINT)
    server.communicate(timeout=30)


def run() -> None:
    """Measure and report."""
    scrambles = _scrambles()
    with tempfile.TemporaryDirectory() as folder:
        ready = []
        for _ in range(STARTS):
            server, port, took = start(folder)
            ready.append(took)
            end(server)
        server, port, _ = start(folder)
        times: list[float] = []

        def client(mine: list[str]) -> None:
            connection = http.client.HTTPConnection("127.0.0.1", port)
            for scramble in mine:
                begun = time.perf_counter()
                _ask(connection, scramble)
                times.append(time.perf_counter() - begun)

        client(scrambles[:50])
        times.clear()
        threads = [threading.Thread(target=client, args=(scrambles[at::CLIENTS],)) for at in range(CLIENTS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        end(server)
    inside = seconds(lambda: [make_plan(scramble) for scramble in scrambles[:100]]) / 100
    cuts = statistics.quantiles(times, n=100)
    count = f"{len(times):,} requests, {CLIENTS} clients at once"
    report("plan over HTTP, median", f"{cuts[49] * 1e3:.1f} ms", f"{count}; in Python {inside * 1e3:.1f} ms")
    report("plan over HTTP, 99th in a hundred", f"{cuts[98] * 1e3:.1f} ms", count, "20 ms")
    bare = seconds(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True))
    report(
        "nightfold app, until the first answer",
        f"{statistics.median(ready):.2f} s",
        f"slowest of {STARTS} {max(ready):.2f} s; bare Python {bare:.2f} s",
        "1 s",
    )
