"""``POST /api/deal``: scrambles, plain or with asked-for features, and how likely such a cube is."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from fastapi import APIRouter, Request
from pydantic import Field

from nightfold.cube.errors import NightfoldError
from nightfold.web import library
from nightfold.web.models import Answer, FeaturesIn, LetteringName, MethodName, Size
from nightfold.web.work import Task, search

if TYPE_CHECKING:
    from nightfold.blind.dealing import Dealer

router = APIRouter(tags=["cube"])

#: How many scrambles one request may ask for.
MOST = 500


class DealIn(FeaturesIn):
    """What to deal."""

    count: int = Field(1, ge=1, le=MOST, description="How many scrambles.")
    blind: bool = Field(False, description="End in a random orientation, as blindfolded events ask for.")
    size: Size = 3
    seed: int | None = Field(
        None, gt=-(1 << 64), lt=1 << 64, description="The same seed deals the same scrambles again."
    )
    use: str | None = Field(None, description="Letters that must be there.", examples=["edges=K Q;corners=B"])
    avoid: str | None = Field(None, description="Letters that must not be there.", examples=["edges=K Q;corners=B"])
    most_turns: int | None = Field(None, ge=0, le=100_000, description="The plan takes at most so many turns.")
    method: MethodName = "two-swap"
    lettering: LetteringName = None


class ScrambleOut(Answer):
    """One dealt scramble."""

    scramble: str
    orienting: int = Field(description="How many turns at the end bring the cube into its random orientation.")


class EstimateOut(Answer):
    """How likely such a cube is, estimated from those that were looked at (95% interval)."""

    chance: float
    low: float
    high: float
    tried: int
    fitted: int


class DealOut(Answer):
    """Dealt scrambles."""

    scrambles: list[ScrambleOut]
    random_state: bool = Field(description="Whether every state was equally likely.")
    chance: str | None = Field(description="The exact chance of the countable features, as a fraction such as 3/8.")
    estimate: EstimateOut | None = Field(description="How likely the rest is, where it was found by trying.")
    said: str = Field(description="What kind of scrambles these are and how likely such a cube is.")


@router.post("/deal")
async def deal(asked: DealIn, request: Request) -> DealOut:
    """Uniformly random cubes, or uniformly random among those that have what is asked for."""
    return await search(request, lambda task: _deal(asked, task))


def _deal(asked: DealIn, task: Task) -> DealOut:
    from nightfold.blind.dealing import Dealer, Wish
    from nightfold.blind.features import parse_features

    chosen = library.method(asked.method)
    letters = library.letters_for(chosen, asked.lettering)
    names = tuple(way.orbit.name for way in chosen.ways)
    wish = Wish(_letters(asked.use, "use", names), _letters(asked.avoid, "avoid", names), asked.most_turns)
    features = parse_features(asked.wishes)
    dealer = Dealer(asked.size, features, wish, asked.blind, chosen, letters, asked.seed, task.check)
    dealt = []
    for _ in range(asked.count):
        task.check()
        dealt.append(dealer.deal())
    estimate = None
    if dealer.tried:
        value, low, high = dealer.estimate()
        estimate = EstimateOut(chance=value, low=low, high=high, tried=dealer.tried, fitted=dealer.fitted)
    return DealOut(
        scrambles=[ScrambleOut(scramble=str(one), orienting=one.orienting) for one in dealt],
        random_state=dealt[0].random_state,
        chance=str(dealer.chance) if asked.size <= 3 else None,
        estimate=estimate,
        said=_said(dealer),
    )


def _letters(text: str | None, field: str, orbits: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Letters by orbit from ``edges=K Q;corners=B``."""
    found: list[tuple[str, str]] = []
    for part in (text or "").split(";"):
        name, equals, letters = part.partition("=")
        if text is None or not part.strip():
            continue
        if not equals or name.strip() not in orbits or not letters.split():
            raise NightfoldError(f"{field} “{part[:40]}” must be an orbit, =, and letters, as in {orbits[0]}=K Q")
        found += [(name.strip(), letter) for letter in letters.split()]
    return tuple(found)


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
    if size != 3 or (dealer.tried == 0 and dealer.features == ANY):
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
