"""Write a method of one's own, see what follows from it, and see it refused where it cannot work.

Wren is left-handed and wants one algorithm for everything: the J perm in the mirror.  It exchanges the edges UL and UF
and the corners UFL and UBL, so it can serve both orbits, and the parity step as well.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from nightfold import Method, NightfoldError, load_method, make_plan
from nightfold.blind.setups import families
from nightfold.cube.geometry import geometry
from nightfold.cube.notation import parse_turns, write
from nightfold.cube.sequences import mirror

LEFT_J_PERM = write(mirror(parse_turns("R U R' F' R U R' U' R' F R2 U' R' U'")))
LEFT_T_PERM = write(mirror(parse_turns("R U R' U' R' F R2 U' R' U' R U R' F'")))


def method_file(title: str, algorithm: str, home_of_edges: str) -> str:
    """The content of a method file that uses one algorithm for edges and corners."""
    return f"""\
title = "{title}"

[edges]
buffer = "UL"
home = "{home_of_edges}"
swap = "{algorithm}"

[corners]
buffer = "UFL"
home = "UBL"
swap = "{algorithm}"
"""


def tell(method: Method) -> None:
    """Print what was derived: the free turns of each orbit, the parity algorithm, and all that was checked."""
    names = geometry(method.size).names
    print(method.title)
    for way in method.ways:
        print(f"  {way.orbit.name}: {names[way.buffer]} and {names[way.home]}; free turns {families(way.free)}")
    print(f"  parity: {method.parity.algorithm}")
    for sentence in method.checks:
        print(f"  {sentence}")


def main() -> None:
    """One method that works, and one that does not."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "wren.toml"

        file.write_text(method_file("The left J perm for everything", LEFT_J_PERM, "UF"), encoding="utf-8")
        method = load_method(file)
        tell(method)
        plan = make_plan("U F U'", method)
        print(f"  U F U' is {' '.join(letter for reading in plan.orbits for letter in reading.letters)}")
        print(f"  solved: {plan.solved}")

        # The T perm exchanges UL and UR: now R, which corner setups need, would move one of the two.
        file.write_text(method_file("The left T perm for everything", LEFT_T_PERM, "UR"), encoding="utf-8")
        try:
            load_method(file)
        except NightfoldError as refused:
            print(f"Refused: {refused}")


if __name__ == "__main__":
    main()
