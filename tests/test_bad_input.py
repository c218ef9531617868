"""Whatever a person gives that cannot be used gets one sentence: what is wrong, where, and what would be right."""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from nightfold.blind.files import SHIPPED
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from tests.cli.running import cases, complaint, here, shell, there

# --- what the files hold -----------------------------------------------------------------------------------


def method(*changes: tuple[str, str]) -> bytes:
    """The two-swap method's file with some of its text changed."""
    text = (SHIPPED / "methods" / "two-swap.toml").read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text.encode()


def lettering(*changes: tuple[str, str]) -> bytes:
    """The clockwise lettering's file with some of its text changed."""
    text = (SHIPPED / "letterings" / "clockwise.toml").read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text.encode()


def net(changes: Mapping[str, str] | None = None, cube: Cube | None = None) -> bytes:
    """The net text of a cube (solved unless given) with some stickers, by name, showing another colour."""
    geo = geometry(3)
    shown = ["WOGRBY"[colour] for colour in (cube or Cube.solved()).colours]
    for name, colour in (changes or {}).items():
        shown[geo.sticker(name)] = colour
    face = ["".join(shown[at : at + 9]) for at in range(0, 54, 9)]
    rows = [face[0][at : at + 3] for at in (0, 3, 6)]
    rows += ["".join(face[side][at : at + 3] for side in (1, 2, 3, 4)) for at in (0, 3, 6)]
    rows += [face[5][at : at + 3] for at in (0, 3, 6)]
    return "\n".join(rows).encode()


def put_wrong(orbit: str, *placed: tuple[int, int, int]) -> bytes:
    """The net of a solved cube taken apart: each of ``placed`` is a place, the piece put there, and its turn."""
    pieces = list(Cube.solved().pieces(orbit))
    for place, piece, turned in placed:
        pieces[place] = (piece, turned)
    return net(cube=Cube.from_pieces({orbit: pieces}))


FILES: dict[str, bytes] = {
    "empty": b"",
    "binary": bytes(range(256)),
    "huge": b"# " + b"W" * 2_100_000,
    # nets
    "short.net": net()[:-1],
    "long.net": net() + b"W",
    "one-row-short.net": net().replace(b"OOOGGGRRRBBB", b"OOOGGGRRRBB", 1),
    "five-colours.net": net().replace(b"Y", b"W"),
    "seven-colours.net": net({"UF": "P"}),
    "ten-white.net": net({"FU": "W"}),
    "ink.net": net().replace(b"W", b"?", 1),
    "flipped.net": put_wrong("edges", (0, 0, 1)),
    "clockwise.net": put_wrong("corners", (2, 2, 1)),
    "anticlockwise.net": put_wrong("corners", (2, 2, 2)),
    "exchanged.net": put_wrong("edges", (0, 1, 0), (1, 0, 0)),
    "twice.net": net({"BU": "G", "FD": "B"}),
    "no-such-edge.net": net({"FU": "Y", "DF": "G"}),
    "same-centres.net": net({"R": "O", "LU": "R"}),
    "mirrored-corner.net": net({"FUR": "R", "RUF": "G"}),
    # methods
    "prose.toml": b"This is how I solve the cube.\n",
    "deep.toml": b"a = " + b"[" * 5000 + b"]" * 5000,
    "long-number.toml": b"size = " + b"9" * 5000,
    "hex-title.toml": method(('title = "Two swaps, edges first"', f"title = 0x{'f' * 5000}")),
    "hex-size.toml": method(("title =", f"size = 0x{'f' * 5000}\ntitle =")),
    "hex-order.toml": method(('order = ["edges", "corners"]', f"order = [0x{'f' * 5000}, 1]")),
    "hex-weight.toml": method() + f"\n[ease]\nquarter = 0x{'f' * 5000}\n".encode(),
    "unknown-key.toml": method(("title =", "tittle =")),
    "unknown-key-in-table.toml": method(("label =", "labl =")),
    "no-corners.toml": method(("[corners]", "[parity.corners]")),
    "no-buffer.toml": method(('buffer = "UR"\n', "")),
    "text-for-table.toml": b'edges = "UR"\n',
    "buffer-nowhere.toml": method(('buffer = "UR"', 'buffer = "UD"')),
    "buffer-on-corner.toml": method(('buffer = "UR"', 'buffer = "UFR"')),
    "home-on-buffer.toml": method(('home = "UL"', 'home = "RU"')),
    "no-exchange.toml": method(("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", 'swap = "R U"')),
    "exchanges-others.toml": method(('home = "UL"', 'home = "UF"')),
    "moves-more.toml": method(
        ("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", "swap = \"R U R' U' R' F R2 U' R' U' R U R' F' D\"")
    ),
    "turned.toml": method(
        ("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", "swap = \"R U R' U' R' F R2 U' R' U' R U R' F' x\"")
    ),
    "bad-turn.toml": method(("swap = \"R U R'", "swap = \"R U K'")),
    "no-turns.toml": method(("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", 'swap = ""')),
    "turns-for-ever.toml": method(("swap = \"R U R' U' R' F R2 U' R' U' R U R' F'\"", 'swap = "(R U)600"')),
    "bad-parity.toml": method(("algorithm = \"R U R' F' R U2 R' U2 R' F R U R U2 R' U'\"", 'algorithm = "R U2"')),
    "idle-parity.toml": method(("algorithm = \"R U R' F' R U2 R' U2 R' F R U R U2 R' U'\"", 'algorithm = "R R\'"')),
    "bad-hold.toml": method(('hold = "white, green"', 'hold = "white, white"')),
    "hold-a-number.toml": method(('hold = "white, green"', "hold = 7")),
    "bad-order.toml": method(('order = ["edges", "corners"]', 'order = ["edges", "edges"]')),
    "order-of-numbers.toml": method(('order = ["edges", "corners"]', "order = [1, 2]")),
    "bad-size.toml": method(("title =", "size = 4\ntitle =")),
    "bad-breaks.toml": method(('breaks = "lowest"', 'breaks = "wherever"')),
    "bad-way.toml": method(('way = "swap"', 'way = "leap"')),
    "bad-weight.toml": method() + b"\n[ease]\nquarter = -1\n",
    "weight-nan.toml": method() + b"\n[ease]\nhalf = nan\n",
    "lost-lettering.toml": method(('lettering = "clockwise"', 'lettering = "widdershins"')),
    "control.toml": method(('title = "', 'title = "\\u001b[31m')),
    "wrong-twice.toml": method(('home = "UL"', 'home = "RU"'), ('home = "DFR"', 'home = "UBL"')),
    # letterings
    "gap.toml": lettering(('U = "A B C D"', 'U = "A B C"')),
    "double.toml": lettering(('L = "E F G H"', 'L = "A F G H"')),
    "many.toml": lettering(('U = "A B C D"', 'U = "A B C D E"')),
    "unknown-orbit.toml": lettering() + b'\n[angels]\nU = "A B C D"\n',
    "unknown-face.toml": lettering(('U = "A B C D"', 'V = "A B C D"')),
    "wrong-type.toml": lettering(('U = "A B C D"', "U = 4")),
    "list-of-letters.toml": lettering(('U = "A B C D"', 'U = ["A", "B", "C", "D"]')),
    "control-letter.toml": lettering(('U = "A B C D"', 'U = "A\\u0007 B C D"')),
    "wide-letter.toml": lettering(('U = "A B C D"', f'U = "{"A" * 40} B C D"')),
    "stray-sticker.toml": lettering() + b'\n[edges.stickers]\nUFR = "?"\n',
    "no-sticker.toml": lettering() + b'\n[edges.stickers]\nXY = "?"\n',
    "spaced-sticker.toml": lettering() + b'\n[edges.stickers]\nUF = "a b"\n',
    "edges-only.toml": lettering(("[every-orbit]", "[edges]")),
}


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all the files above."""
    folder = tmp_path_factory.mktemp("fennel-point")
    for name, content in FILES.items():
        (folder / name).write_bytes(content)
    (folder / "folder").mkdir()
    return folder


def settle(arguments: tuple[str, ...], room: Path) -> tuple[str, ...]:
    """Arguments with ``@name`` made the path of a file in the room."""
    return tuple(str(room / word[1:]) if word.startswith("@") else word for word in arguments)


# --- the cases: the arguments, then what the sentence must hold --------------------------------------------

NOTATION: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "unknown letter": (("plan", "R U K"), ("“K” at column 5", "turns are U L F R B D")),
    "small slice": (("plan", "m"), ("“m” at column 1", "M")),
    "large rotation": (("plan", "R X"), ("“X” at column 3", "x")),
    "bad amount": (("plan", "R U4"), ("“U4” at column 3", "1, 2 or 3 times", "2 for a half turn")),
    "nought": (("plan", "R0"), ("“R0” at column 1", "1, 2 or 3 times")),
    "unclosed group": (("plan", "R (U F"), ("“(” at column 3", "never closed; add “)”")),
    "unclosed bracket": (("plan", "[R, U"), ("“[” at column 1", "never closed; add “]”")),
    "mismatched brackets": (("plan", "[R, (U])"), ("“]” at column 7", "expected )")),
    "closing only": (("plan", "R U)"), ("“)” at column 4", "remove it or write the opening bracket")),
    "empty group": (("plan", "R ()"), ("“()” at column 3", "no turn in this part")),
    "empty half": (("plan", "[R, ]"), ("“[R, ]” at column 1", "no turn in this part")),
    "no comma": (("plan", "[R U]"), ("“[R U]” at column 1", "[R, U] or [R: U]")),
    "three parts": (("plan", "[R, U, F]"), ("“,” at column 6", "two parts")),
    "stray comma": (("plan", "R, U"), ("“,” at column 2", "inside square brackets")),
    "too wide": (("plan", "3Rw"), ("“3Rw” at column 1", "the widest turn on a 3x3x3 is Rw")),
    "too narrow": (("plan", "U 1Rw"), ("“1Rw” at column 3", "at least 2 layers; write R")),
    "numbered layer": (("plan", "2R"), ("“2R” at column 1", "not numbered on a 3x3x3", "Rw", "M, E or S")),
    "no middle": (("turns", "--size", "4", "R M2"), ("“M2” at column 3", "4x4x4 has no middle layer")),
    "wide on a 2x2x2": (("turns", "--size", "2", "Rw"), ("“Rw” at column 1", "2x2x2 has no wide turns")),
    "layer too deep": (("turns", "--size", "5", "5R"), ("“5R” at column 1", "2 to 4")),
    "large W": (("plan", "RW"), ("“RW” at column 1", "write Rw")),
    "numbered slice": (("plan", "2M"), ("“2M” at column 1", "takes no layer number; write M")),
    "two apostrophes": (("plan", "R U''"), ("“U''” at column 3", "write one, or 2 for a half turn")),
    "lone apostrophe": (("plan", "R '"), ("“'” at column 3", "directly behind a turn, as in R'")),
    "lone digit": (("plan", "R 2"), ("“2” at column 3", "before a turn (3Rw) or directly behind one (R2)")),
    "absurd repeats": (("plan", "(R U)999999"), ("“999999” at column 6", "1 to 20,000 times")),
    "no repeats": (("plan", "(R U)0"), ("“0” at column 6", "1 to 20,000 times")),
    "too many turns": (("turns", "((R U)999)999"), ("1,996,002 turns; at most 20,000",)),
    "nested too deeply": (("turns", "(" * 60 + "R" + ")" * 60), ("“(” at column 41", "more than 40 deep")),
    "much too long": (("turns", "R " * 150_000), ("300,000 characters long; at most 200,000",)),
    "emoji": (("plan", "R 🙂"), ("“🙂” at column 3", "turns are U L F R B D")),
    "null character": (("plan", "R\x00U"), ("“\\x00” at column 2", "no turn has this name")),
    "control characters": (("plan", "R \x1b[31mU"), ("“\\x1b” at column 3",)),
    "undecodable": (("plan", "R \udcff"), ("“\\udcff” at column 3",)),
    "prose": (("plan", "from the lighthouse"), ("column 3", "“o”")),
}

NETS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "too few stickers": (
        ("plan", "--net", "@short.net"),
        ("53 stickers", "a 3x3x3 has 54", "row 9 has 2 instead of 3"),
    ),
    "too many stickers": (
        ("look", "--net", "@long.net"),
        ("55 stickers", "a 3x3x3 has 54", "row 9 has 4 instead of 3"),
    ),
    "a short row": (("plan", "--net", "@one-row-short.net"), ("row 4 has 11 instead of 12",)),
    "five colours": (("plan", "--net", "@five-colours.net"), ("only 5 colours", "a cube has six")),
    "seven colours": (("plan", "--net", "@seven-colours.net"), ("“P” at row 3, column 2", "a cube has six")),
    "ten of a colour": (("plan", "--net", "@ten-white.net"), ("10 stickers are white", "9 of each")),
    "no colour": (("plan", "--net", "@ink.net"), ("“?” at row 1, column 1", "one letter, digit or emoji")),
    "empty file": (("plan", "--net", "@empty"), ("no stickers in this net", "54")),
    "binary file": (("plan", "--net", "@binary"), ("binary is not text", "byte 129 is not UTF-8")),
    "missing file": (("look", "--net", "@nowhere"), ("nowhere” cannot be read: No such file",)),
    "a folder": (("plan", "--net", "@folder"), ("folder” cannot be read: Is a directory",)),
    "huge file": (("plan", "--net", "@huge"), ("more than 2,000,000 bytes, which is no net",)),
    "no path": (("plan", "--net", ""), ("the net “” cannot be read",)),
    "path of nulls": (("plan", "--net", "\x00"), ("the net “\\x00” cannot be read: not a usable path",)),
    "flipped edge": (("plan", "--net", "@flipped.net"), ("one edge is flipped", "must be flipped to put that right")),
    "corner twisted clockwise": (
        ("plan", "--net", "@clockwise.net"),
        ("twisted clockwise", "twisted anticlockwise to"),
    ),
    "corner twisted anticlockwise": (
        ("plan", "--net", "@anticlockwise.net"),
        ("twisted anticlockwise", "twisted clockwise to"),
    ),
    "two edges exchanged": (("look", "--net", "@exchanged.net"), ("two pieces are exchanged", "edges", "corners")),
    "a piece twice": (("plan", "--net", "@twice.net"), ("the white and green edge is there twice, at UF and UB",)),
    "impossible piece": (("plan", "--net", "@no-such-edge.net"), ("UF", "white and yellow are opposite colours")),
    "two centres alike": (("plan", "--net", "@same-centres.net"), ("centres of L and R are both orange", "red")),
    "mirrored corner": (("plan", "--net", "@mirrored-corner.net"), ("the corner at UFR", "the wrong way round")),
}

METHODS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "unknown": (("plan", "R", "--method", "three-swap"), ("no method “three-swap”", "j-and-y", "two-swap")),
    "a folder": (("setups", "--method", "@folder"), ("folder” is not a file", "TOML")),
    "binary": (("method", "@binary"), ("binary is not a text file", "byte 129 is not UTF-8")),
    "empty": (("method", "@empty"), ("the table [edges] is missing; it gives buffer, home and swap",)),
    "not TOML": (("method", "@prose.toml"), ("prose.toml is not valid TOML", "line 1")),
    "huge": (("plan", "R", "--method", "@huge"), ("huge is larger than 1,000,000 bytes",)),
    "nested": (("method", "@deep.toml"), ("deep.toml is nested too deeply",)),
    "a long number": (("method", "@long-number.toml"), ("long-number.toml holds a number of too many digits",)),
    "title of many digits": (("method", "@hex-title.toml"), ("“title” must be text", "a number of very many digits")),
    "size of many digits": (("method", "@hex-size.toml"), ("“size” is a number of very many digits", "size = 3")),
    "order of many digits": (("method", "@hex-order.toml"), ("“order” must name corners and edges",)),
    "weight of many digits": (("method", "@hex-weight.toml"), ("from 0 to 1000, not a number of very many digits",)),
    "unknown key": (("method", "@unknown-key.toml"), ("“tittle” is not known here", "title")),
    "unknown key in a table": (
        ("method", "@unknown-key-in-table.toml"),
        ("[edges]: “labl” is not known here", "label"),
    ),
    "missing table": (("method", "@no-corners.toml"), ("the table [corners] is missing",)),
    "missing key": (("method", "@no-buffer.toml"), ("[edges]: “buffer” is missing",)),
    "text for a table": (("method", "@text-for-table.toml"), ("“edges” must be a table, written [edges]",)),
    "buffer nowhere": (("method", "@buffer-nowhere.toml"), ("“UD” is no sticker of a 3x3x3", "as in UF or LUB")),
    "buffer on a corner": (("method", "@buffer-on-corner.toml"), ("buffer “UFR” is no sticker of the edges",)),
    "home on the buffer": (("method", "@home-on-buffer.toml"), ("home target RU is on the buffer piece UR",)),
    "no exchange": (("method", "@no-exchange.toml"), ("T perm must exchange UR and UL, but", "no exchange")),
    "exchanges others": (("method", "@exchanges-others.toml"), ("exchanges UR and UL; the home target would be UL",)),
    "moves more": (("method", "@moves-more.toml"), ("also moves", "may move no other piece of its orbit")),
    "leaves the cube turned": (("method", "@turned.toml"), ("leaves the cube turned", "add the rotation")),
    "bad turn": (("method", "@bad-turn.toml"), ("[edges], swap: “K'” at column 5",)),
    "no turns": (("method", "@no-turns.toml"), ("[edges]: “swap” has no turns in it",)),
    "turns for ever": (("method", "@turns-for-ever.toml"), ("“swap” has more than 500 turns",)),
    "wrong parity": (("method", "@bad-parity.toml"), ("R perm must undo", "UB", "still not right", "leave it out")),
    "idle parity": (("method", "@idle-parity.toml"), ("R perm must undo", "it does nothing", "leave it out")),
    "bad hold": (("method", "@bad-hold.toml"), ("hold: the hold “white, white” names one colour twice",)),
    "hold a number": (("method", "@hold-a-number.toml"), ("“hold” must be text in quotes, not 7",)),
    "bad order": (("method", "@bad-order.toml"), ("“order” must name", "corners", '["edges", "corners"]')),
    "order of numbers": (("method", "@order-of-numbers.toml"), ("“order” must name", '["edges", "corners"]')),
    "bad size": (("method", "@bad-size.toml"), ("“size” is 4; methods are for the 3x3x3",)),
    "bad breaks": (("method", "@bad-breaks.toml"), ("“breaks” is “wherever”; it can be lowest or shortest",)),
    "bad way": (("method", "@bad-way.toml"), ("the way “leap” is not known; known is swap",)),
    "bad weight": (("method", "@bad-weight.toml"), ("the weight “quarter” must be a number from 0 to 1000, not -1",)),
    "weight not a number": (("method", "@weight-nan.toml"), ("the weight “half”", "not nan")),
    "lost lettering": (("plan", "R", "--method", "@lost-lettering.toml"), ("no lettering “widdershins”", "clockwise")),
    "control character": (("method", "@control.toml"), ("“title” holds the control character U+001B",)),
    "two faults, to plan": (("plan", "R", "--method", "@wrong-twice.toml"), ("and 1 more", "nightfold method FILE")),
}

LETTERINGS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "unknown": (("lettering", "runes"), ("no lettering “runes”", "clockwise, greek")),
    "a folder": (("lettering", "@folder"), ("folder” is not a file",)),
    "a method": (("lettering", "@unknown-key-in-table.toml"), ("is not known here",)),
    "gap": (("lettering", "@gap.toml"), ("gap, [corners]: 1 of 24 stickers have no symbol: UFL",)),
    "double": (("plan", "R", "--lettering", "@double.toml"), ("“A” stands for both UBL and LUB", "once in an orbit")),
    "too many symbols": (("look", "R", "--lettering", "@many.toml"), ("face U has 4 stickers but 5 symbols",)),
    "unknown orbit": (("lettering", "@unknown-orbit.toml"), ("“angels” is not known here", "edges")),
    "unknown face": (("lettering", "@unknown-face.toml"), ("[every-orbit]: “V” is not known", "U, L, F, R, B, D")),
    "wrong type": (("setups", "--lettering", "@wrong-type.toml"), ("“U” must be text in quotes, not 4",)),
    "a list": (("lettering", "@list-of-letters.toml"), ("“U” must be text in quotes, not ['A', 'B', 'C', 'D']",)),
    "control character": (("lettering", "@control-letter.toml"), ("control character U+0007",)),
    "wide letter": (("lettering", "@wide-letter.toml"), ("longer than 16 characters",)),
    "a corner among edges": (("lettering", "@stray-sticker.toml"), ("UFR is no sticker of the edges",)),
    "no such sticker": (("lettering", "@no-sticker.toml"), ("“XY” is no sticker of a 3x3x3",)),
    "two words for a sticker": (("lettering", "@spaced-sticker.toml"), ("symbol of UF must be text without spaces",)),
    "corners left out": (("lettering", "@edges-only.toml"), ("the corners have no letters; add a table [corners]",)),
}

COMMAND: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "unknown command": (("solve",), ("'solve'", "commands are plan, ")),
    "a slip in a command": (("plna", "R"), ("'plna'", "did you mean 'plan'?")),
    "unknown option": (("plan", "R", "--loud"), ("--loud", "see nightfold plan --help")),
    "unknown option of all": (("--loud",), ("--loud", "see nightfold --help")),
    "option without its value": (("plan", "R", "--method"), ("'--method' requires an argument",)),
    "no algorithm": (("turns",), ("'ALG'", "see nightfold turns --help")),
    "no quotes": (("plan", "R", "U", "F2"), ("(U F2)", 'nightfold plan "R U F2"')),
    "too many names": (("method", "two-swap", "j-and-y"), ("(j-and-y)", "see nightfold method --help")),
    "scramble and net": (("plan", "R", "--net", "-"), ("either a scramble in quotes", "--net with a file")),
    "neither": (("plan",), ("either a scramble in quotes", "--net with a file")),
    "scramble and net to look at": (("look", "R", "--net", "-"), ("either a scramble in quotes",)),
    "nothing to look at": (("look",), ("either a scramble in quotes",)),
    "no scrambles": (("plan", "-"), ("standard input holds no scramble; give one a line",)),
    "unknown orbit": (("setups", "--orbit", "wings"), ("“wings” is no orbit", "edges and corners")),
    "no orbit": (("setups", "--orbit", ""), ("“” is no orbit", "edges and corners")),
    "size 8": (("turns", "R", "--size", "8"), ("“8” is no number of layers; 2 to 7",)),
    "size 1": (("look", "R", "--size", "1"), ("“1” is no number of layers; 2 to 7",)),
    "size -3": (("lettering", "--size", "-3"), ("“-3” is no number of layers; 2 to 7",)),
    "size of a word": (("lettering", "--size", "big"), ("“big” is no number of layers; 2 to 7",)),
    "half a layer": (("look", "R", "--size", "3.5"), ("“3.5” is no number of layers",)),
    "endless size": (("look", "R", "--size", "9" * 6000), ("is no number of layers",)),
    "hold of one colour": (("plan", "R", "--hold", "white"), ("“white” must be two colours", "W,G")),
    "no hold": (("plan", "R", "--hold", ""), ("“” must be two colours", "W,G")),
    "hold one colour twice": (("plan", "R", "--hold", "white,W"), ("names one colour twice",)),
    "hold opposite faces": (("plan", "R", "--hold", "white,yellow"), ("white and yellow are opposite faces",)),
    "hold no colour": (("plan", "R", "--hold", "pink,green"), ("“pink” is no colour; colours are white, orange",)),
    "hold a colour not there": (("plan", "R", "--hold", "P,G"), ("no centre is P; the centres are W, O, G, R, B, Y",)),
    "unknown breaks": (("plan", "R", "--breaks", "best"), ("“best” is no way to choose breaks", "choose:edges=K Q")),
    "no breaks": (("plan", "R", "--breaks", ""), ("“” is no way to choose breaks", "lowest, shortest")),
    "breaks without an orbit": (("plan", "R", "--breaks", "choose:K Q"), ("“K Q” must be an orbit, =, and letters",)),
    "breaks of an unknown orbit": (("plan", "R", "--breaks", "choose:wings=K"), ("“wings=K” must be an orbit",)),
    "break at no letter": (("plan", "R", "--breaks", "choose:edges=?"), ("“?” is no letter of the edges", "A B C")),
    "break into the solved": (
        ("plan", "R", "--breaks", "choose:corners=X"),
        ("corners: a break cannot go to DBL (X), which is already solved", "it can go to"),
    ),
    "break into the buffer": (
        ("plan", "R", "--breaks", "choose:corners=E"),
        ("cannot go to LUB (E), which is on the buffer piece",),
    ),
    "more letters than breaks": (
        ("plan", "R", "--breaks", "choose:corners=B J"),
        ("corners: there is 1 break on this cube, so none is left for J",),
    ),
    "letters without breaks": (
        ("plan", "R", "--breaks", "choose:edges=B"),
        ("edges: there are 0 breaks on this cube, so none is left for B",),
    ),
    "picture nowhere": (("look", "R", "--out", "@nowhere/cube.svg"), ("cube.svg” cannot be written: No such file",)),
    "picture without an ending": (("look", "R", "--out", "@folder"), ("folder” must end in .svg or .png",)),
    "picture without a name": (("look", "R", "--out", ""), ("the picture “” must end in .svg or .png",)),
    "picture too wide": (
        ("look", "R", "--out", "@wide.png", "--width", "90000"),
        ("a picture 90000 pixels wide cannot be drawn; 16 to 8000 can",),
    ),
    "lettering saved nowhere": (("lettering", "--save", "@nowhere/mine.toml"), ("mine.toml” cannot be written",)),
    "lettering saved in a folder": (("lettering", "--save", "@folder"), ("folder” cannot be written: Is a directory",)),
    "lettering saved without a name": (("lettering", "--save", ""), ("“” cannot be written",)),
    "lettering saved to nulls": (("lettering", "--save", "\x00"), ("“\\x00” cannot be written: not a usable path",)),
    "a name with a line break": (("lettering", "two\nlines"), ("“two\\nlines”", "clockwise, greek")),
}

EVERY = {
    f"{subject}: {name}": case
    for subject, table in (
        ("notation", NOTATION),
        ("net", NETS),
        ("method", METHODS),
        ("lettering", LETTERINGS),
        ("command", COMMAND),
    )
    for name, case in table.items()
}


@pytest.mark.parametrize(("arguments", "fragments"), cases(EVERY))
def test_one_clear_sentence(arguments: tuple[str, ...], fragments: tuple[str, ...], room: Path) -> None:
    complaint(here(*settle(arguments, room)), *fragments)


@pytest.mark.parametrize(
    "name",
    [
        "notation: unknown letter",
        "notation: emoji",
        "notation: undecodable",
        "notation: control characters",
        "net: flipped edge",
        "net: too few stickers",
        "net: binary file",
        "net: huge file",
        "method: wrong parity",
        "method: nested",
        "method: a long number",
        "lettering: double",
        "command: unknown command",
        "command: no quotes",
        "command: no scrambles",
        "command: size 8",
        "command: hold opposite faces",
        "command: picture nowhere",
    ],
)
def test_the_program_says_the_same(name: str, room: Path) -> None:
    arguments, fragments = EVERY[name]
    arguments = settle(arguments, room)
    ran = there(*arguments)
    complaint(ran, *fragments)
    assert ran == here(*arguments)


def test_a_json_reader_gets_no_half_a_value_either(room: Path) -> None:
    for name in (
        "notation: unknown letter",
        "net: a piece twice",
        "method: bad hold",
        "command: break into the solved",
    ):
        arguments, fragments = EVERY[name]
        complaint(here(*settle(arguments, room), "--json"), *fragments)


def test_every_fault_of_a_method_is_told_on_a_line_of_its_own(room: Path) -> None:
    path = str(room / "wrong-twice.toml")
    complaint(
        there("method", path), "target RU is on the buffer piece UR", "target UBL is on the buffer piece UBL", lines=2
    )


@pytest.mark.parametrize("command", ["plan", "look"])
def test_an_empty_net_from_standard_input(command: str) -> None:
    complaint(there(command, "--net", "-"), "no stickers in this net")


@pytest.mark.parametrize("given", [b"\xff\xfe", b"R U\n\x80\n"])
def test_standard_input_that_is_no_text(given: bytes) -> None:
    complaint(here("plan", "-", stdin=given), "standard input is not text", "is not UTF-8")


def test_standard_input_without_end() -> None:
    complaint(here("plan", "-", stdin=b"R U\n" * 600_000), "standard input holds more than 2,000,000 bytes")


def test_blank_lines_are_no_scrambles() -> None:
    complaint(here("plan", "-", stdin="\n  \n\t\n"), "standard input holds no scramble")


def test_closed_standard_input() -> None:
    complaint(shell("nightfold plan - <&-"), "standard input holds no scramble")


@pytest.mark.parametrize("command", ["plan R", "setups --json", "lettering", "turns R"])
def test_output_that_cannot_be_written(command: str) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    complaint(shell(f"nightfold {command} >/dev/full"), "the output cannot be written: No space left")


def test_closed_output() -> None:
    assert shell("nightfold setups >&-").err == ""
    assert shell("nightfold solve 2>&-").code == 2


def test_a_file_that_may_not_be_read(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    # Taking the permission away would stop no administrator, so opening is what fails here.
    monkeypatch.setattr(Path, "open", refuse)
    path = str(room / "flipped.net")
    complaint(here("plan", "--net", path), "flipped.net” cannot be read: Permission denied")
    complaint(here("method", path), "flipped.net” cannot be read: Permission denied")


def test_a_bad_option_is_told_once_however_many_scrambles_there_are() -> None:
    complaint(here("plan", "-", "--hold", "white", stdin="R\nU\nF\n"), "must be two colours")
    complaint(here("plan", "-", "--lettering", "runes", stdin="R\nU\nF\n"), "no lettering “runes”")


def test_nothing_is_written_when_the_input_is_bad(room: Path) -> None:
    picture = room / "never.svg"
    complaint(here("look", "R K", "--out", str(picture)), "“K” at column 3")
    complaint(here("lettering", str(room / "gap.toml"), "--save", str(picture)), "no symbol")
    assert not picture.exists()


def test_a_lettering_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text("the work of an evening")
    complaint(here("lettering", "--save", str(mine)), "mine.toml” is there already; choose another name")
    assert mine.read_text() == "the work of an evening"


def test_the_empty_scramble_is_a_solved_cube() -> None:
    made: Any = here("plan", "", "--json").data
    assert made["solved"] and made["solution"] == "" and made["counts"]["letters"] == 0
