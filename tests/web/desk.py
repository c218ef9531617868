"""What the desk shows: letters and colours, to be compared with what Nightfold itself computes."""

from __future__ import annotations

from nightfold.blind.plan import Plan, make_plan
from nightfold.cube.geometry import geometry
from nightfold.cube.net import STANDARD_COLOURS, net_of
from nightfold.cube.state import Cube
from tests.web.browser import Window

#: Seven breaks, no parity.
SCRAMBLE = "R U2 F' L2 D B2 R' F D2 L U' B R2 D' F2 U L2 B' Rw U2"
SOLVED = "".join(colour * 9 for colour in STANDARD_COLOURS)
_LETTERS = "[...document.querySelectorAll(`.row[aria-label^='${orbit}'] .letter`)].map(e => e.textContent).join('')"
_NET = (
    "[...document.querySelectorAll('section.net .spot')].sort((a, b) => a.dataset.place - b.dataset.place)"
    ".map(e => e.querySelector('.initial')?.textContent ?? '-').join('')"
)


def letters_of(plan: Plan) -> tuple[str, ...]:
    """The letters of each orbit, in the method's order."""
    return tuple("".join(reading.letters) for reading in plan.orbits)


def place_of(name: str) -> int:
    """The number of a sticker's place."""
    return geometry(3).sticker(name)


def colours_after(turns: str) -> str:
    """The colours that a cube shows after these turns."""
    return "".join(net_of(Cube.from_turns(turns)).symbols)


def letters(window: Window, orbit: str) -> str:
    """The letters on show for an orbit."""
    found: str = window.page.evaluate(f"orbit => {_LETTERS}", orbit)
    return found


def wait_for_letters(window: Window, orbit: str, wanted: str) -> None:
    """Wait until an orbit shows these letters."""
    window.page.wait_for_function(f"([orbit, wanted]) => {_LETTERS} === wanted", arg=[orbit, wanted])


def net(window: Window) -> str:
    """The colour initials of the net, place by place."""
    found: str = window.page.evaluate(_NET)
    return found


def wait_for_net(window: Window, colours: str) -> None:
    """Wait until the net shows these colours."""
    window.page.wait_for_function(f"wanted => {_NET} === wanted", arg=colours)


def put(window: Window, scramble: str = SCRAMBLE, **more: str) -> Plan:
    """Put a scramble on the desk and wait until its letters are there; the plan that they must be from."""
    plan = make_plan(scramble)
    window.go("desk", scramble=scramble, **more)
    for reading in plan.orbits:
        wait_for_letters(window, reading.orbit.name, "".join(reading.letters))
    return plan
