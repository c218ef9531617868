"""``nightfold look``: the cube in the terminal or as net text, and pictures of it (SVG or PNG)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.lettering import DEFAULT, load_lettering
from nightfold.cli.common import QUIET, JsonOption, NetOption, SizeOption, console, print_json, read_text
from nightfold.cli.terminal_net import print_net
from nightfold.cube.errors import NightfoldError
from nightfold.cube.net import STANDARD_COLOURS
from nightfold.cube.state import Cube

if TYPE_CHECKING:
    from nightfold.paper.cubeview import Side


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("look")(look)


def look(
    scramble: Annotated[str | None, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes.")] = None,
    net: NetOption = None,
    size: SizeOption = 3,
    lettering: Annotated[str, typer.Option("--lettering", metavar="NAME|FILE", help="The letters to show.")] = DEFAULT,
    out: Annotated[
        str | None, typer.Option("--out", "-o", metavar="FILE.svg|FILE.png", help="Write the picture to a file.")
    ] = None,
    side: Annotated[
        str | None,
        typer.Option("--side", metavar="front|behind", help="The picture shows three faces, from the front or behind."),
    ] = None,
    strip: Annotated[
        bool, typer.Option("--strip", metavar="", help="The picture shows a solved cube turn by turn.")
    ] = False,
    grey: Annotated[bool, typer.Option("--grey", metavar="", help="The picture has hatchings, no colours.")] = False,
    width: Annotated[int, typer.Option("--width", metavar="N", help="How many pixels wide a PNG is.")] = 1200,
    as_text: Annotated[
        bool, typer.Option("--text", metavar="", help="Print net text, which --net reads back.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """The cube unfolded, in colour, with the letters of its places."""
    from nightfold.cube.net import cube_from_net, write_net

    if (scramble is None) == (net is None):
        raise NightfoldError('give either a scramble in quotes, as in nightfold look "R U F2", or --net with a file')
    scheme: tuple[str, ...] = STANDARD_COLOURS
    if net is not None:
        cube, scheme = cube_from_net(read_text(net, "net"))
    else:
        cube = Cube.from_turns(scramble or "", size)
    labels = load_lettering(lettering, cube.size).labels
    if side not in (None, "front", "behind"):
        raise NightfoldError(f"--side: “{side[:24]}” is no side to look from; say front or behind")
    if out is None and (side or strip or grey):
        raise NightfoldError("--side, --strip and --grey are for pictures; name one with -o FILE.svg or -o FILE.png")
    if strip and scramble is None:
        raise NightfoldError("--strip shows turns; give them in quotes in place of --net")
    if out is not None:
        _save(_picture(cube, scramble or "", scheme, labels, side, strip, grey), out, width)
    if as_json:
        print_json({"size": cube.size, "net": write_net(cube, scheme), "solved": cube.is_solved})
        return
    if as_text:
        print(write_net(cube, scheme))
        return
    from rich.text import Text

    shown = console()
    print_net(shown, cube, labels, scheme)
    shown.print()
    shown.print(Text("capital: the letter of the place; small: the sticker's colour", style=QUIET))


def _picture(
    cube: Cube,
    turns: str,
    scheme: Sequence[str],
    labels: Mapping[int, str],
    side: str | None,
    strip: bool,
    grey: bool,
) -> str:
    """The picture that is asked for, as SVG."""
    seen: Side = "behind" if side == "behind" else "front"
    if strip:
        from nightfold.cube.notation import parse_turns
        from nightfold.paper.strip import strip_svg

        made = parse_turns(turns, cube.size)
        return strip_svg(Cube.solved(cube.size), made, seen, colours=scheme, labels=labels, grey=grey)
    if side is not None:
        from nightfold.paper.cubeview import view_svg

        return view_svg(cube, seen, colours=scheme, labels=labels, grey=grey)
    if grey:
        from nightfold.paper.unfolded import unfolded_svg

        return unfolded_svg(cube, colours=scheme, labels=labels, grey=True)
    from nightfold.cube.picture import net_svg

    return net_svg(cube, colours=scheme, labels=labels)


def _save(picture: str, to: str, width: int) -> None:
    """Write a picture as what the ending of its file says."""
    from nightfold.paper.handouts import put

    ending = Path(to).suffix.lower()
    if ending == ".png":
        from nightfold.paper.raster import png_of

        data = png_of(picture, width, clear=True)
    elif ending == ".svg":
        data = picture.encode()
    else:
        raise NightfoldError(f"the picture “{to[:80]}” must end in .svg or .png, which tells how it is written")
    try:
        put(data, Path(to))
    except (OSError, ValueError) as trouble:
        reason = getattr(trouble, "strerror", None) or "not a usable path"
        raise NightfoldError(f"“{to[:80]}” cannot be written: {reason}") from None
