"""``POST /api/deal``: scrambles, plain or with asked-for features, and how likely such a cube is."""

from __future__ import annotations

from fastapi import APIRouter, Request
from pydantic import Field

from nightfold.web import library
from nightfold.web.models import Answer, FeaturesIn, LetteringName, MethodName, Size
from nightfold.web.work import Task, search

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
    from nightfold.blind.dealing import Dealer, parse_wish
    from nightfold.blind.features import parse_features

    chosen = library.method(asked.method)
    letters = library.letters_for(chosen, asked.lettering)
    wish = parse_wish(chosen, asked.use, asked.avoid, asked.most_turns)
    features = parse_features(asked.wishes)
    dealer = Dealer(asked.size, features, wish, asked.blind, chosen, letters, asked.seed, task.check)
    dealt = []
    for _ in range(asked.count):
        task.check()
        dealt.append(dealer.deal())
    dealer.survey()
    return DealOut.model_validate(
        {
            "scrambles": [{"scramble": str(one), "orienting": one.orienting} for one in dealt],
            "random_state": dealt[0].random_state,
            "chance": None,
            "estimate": None,
            **dealer.chance_to_dict(),
            "said": dealer.said,
        }
    )
