"""``nightfold deal``: scrambles, plain or with asked-for features, and how likely such a cube is."""

from __future__ import annotations

import sys
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import JsonOption, LetteringOption, MethodOption, SizeOption, print_json, searching
from nightfold.cli.features import with_features
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from nightfold.blind.dealing import Dealer
    from nightfold.blind.features import Features


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("deal")(deal)


@with_features
def deal(
    features: Features,
    count: Annotated[int, typer.Argument(metavar="N", help="How many scrambles.")] = 1,
    seed: Annotated[
        int | None, typer.Option("--seed", metavar="S", help="The same seed deals the same scrambles again.")
    ] = None,
    blind: Annotated[
        bool, typer.Option("--blind", help="End in a random orientation, as blindfolded events ask for.")
    ] = False,
    size: SizeOption = 3,
    use: Annotated[
        str | None,
        typer.Option("--use", metavar="LETTERS", help="Letters that must be there, as in edges=K Q;corners=B."),
    ] = None,
    avoid: Annotated[
        str | None, typer.Option("--avoid", metavar="LETTERS", help="Letters that must not be there.")
    ] = None,
    most_turns: Annotated[
        int | None, typer.Option("--most-turns", metavar="N", help="The plan takes at most so many turns.")
    ] = None,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    as_json: JsonOption = False,
) -> None:
    """Deal scrambles: uniformly random cubes, or uniformly random among those that have what you ask for."""
    from nightfold.blind.dealing import Dealer, Wish
    from nightfold.blind.method import load_method

    if not 1 <= count <= 100_000:
        raise NightfoldError(f"{count} scrambles cannot be dealt; 1 to 100000 can")
    if seed is not None and abs(seed) >= 1 << 64:
        raise NightfoldError("the seed is too large; any whole number below 2 to the power 64 will do")
    chosen = load_method(method)
    names = tuple(way.orbit.name for way in chosen.ways)
    wish = Wish(_letters(use, "--use", names), _letters(avoid, "--avoid", names), most_turns)
    with searching(as_json) as tell:

        def progress(tried: int, fitted: int) -> bool:
            if tell is not None:
                tell(f"{tried:,} cubes looked at, {fitted:,} fit")
            return True

        dealer = Dealer(size, features, wish, blind, chosen, lettering, seed, progress)
        for _ in range(count):
            dealt = dealer.deal()
            if as_json:
                data = {
                    "scramble": str(dealt),
                    "size": size,
                    "random_state": dealt.random_state,
                    "orienting": dealt.orienting,
                }
                print_json(data | _chance_data(dealer))
            else:
                print(dealt)
    if not as_json:
        print(_said(dealer), file=sys.stderr)


def _letters(text: str | None, option: str, orbits: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Letters by orbit from ``edges=K Q;corners=B``."""
    found: list[tuple[str, str]] = []
    for part in (text or "").split(";"):
        name, equals, letters = part.partition("=")
        if text is None or (not part.strip() and text.strip()):
            continue
        if not equals or name.strip() not in orbits or not letters.split():
            raise NightfoldError(f"{option} “{part[:40]}” must be an orbit, =, and letters, as in {orbits[0]}=K Q")
        found += [(name.strip(), letter) for letter in letters.split()]
    return tuple(found)


def _chance_data(dealer: Dealer) -> dict[str, object]:
    if dealer.size > 3:
        return {}
    data: dict[str, object] = {"chance": str(dealer.chance)}
    if dealer.tried:
        value, low, high = dealer.estimate()
        data["estimate"] = {"chance": value, "low": low, "high": high, "tried": dealer.tried, "fitted": dealer.fitted}
    return data


def _said(dealer: Dealer) -> str:
    """What kind of scrambles these are, and how likely such a cube is."""
    from nightfold.blind.dealing import RANDOM_MOVES
    from nightfold.blind.features import ANY

    size = dealer.size
    if size > 3:
        kind = f"{RANDOM_MOVES[size]} random moves"
        if size == 4:
            kind += " (close to a random state, but not one by construction)"
    else:
        kind = "random states"
    if dealer.blind:
        kind += " in random orientations"
    if size == 2 or (dealer.tried == 0 and dealer.features == ANY):
        return kind
    said = f"{kind} among the cubes that fit; "
    if not dealer.tried:
        return said + f"such a cube is met {_one_in(dealer.chance)}"
    value, low, high = dealer.estimate()
    if low <= 0:
        return said + f"such a cube is met less than once in {1 / high:,.0f}"
    said += f"such a cube is met about once in {1 / value:,.0f}"
    return said + f" (between {1 / high:,.0f} and {1 / low:,.0f}, from {dealer.tried:,} looked at)"


def _one_in(chance: Fraction) -> str:
    """``once in 16.1 (chance 123/1980)``; long fractions in decimal."""
    number = 1 / chance
    shown = f"{float(number):,.1f}" if number < 1000 else f"{int(number):,}"
    exact = str(chance) if len(str(chance)) <= 40 else f"{float(chance):.6g}"
    return f"once in {shown} (chance {exact})"
