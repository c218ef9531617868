"""``nightfold deal``: scrambles, plain or with asked-for features, and how likely such a cube is."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import JsonOption, LetteringOption, MethodOption, SizeOption, print_json, searching
from nightfold.cli.features import with_features
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
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
    from nightfold.blind.dealing import Dealer, parse_wish
    from nightfold.blind.method import load_method

    if not 1 <= count <= 100_000:
        raise NightfoldError(f"{count} scrambles cannot be dealt; 1 to 100000 can")
    chosen = load_method(method)
    wish = parse_wish(chosen, use, avoid, most_turns)
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
                print_json(data | dealer.chance_to_dict())
            else:
                print(dealt)
        if not as_json:
            dealer.survey()
    if not as_json:
        print(dealer.said, file=sys.stderr)
