"""``POST /api/odds``: exact probabilities over all cubes or those with certain features, and where one cube lies."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from pydantic import Field

from nightfold.web.cubes import plan_of
from nightfold.web.models import Answer, CubeIn, FeaturesIn
from nightfold.web.work import quick

router = APIRouter(tags=["cube"])


class OddsIn(FeaturesIn):
    """Among which cubes, and of which one."""

    cube: CubeIn | None = Field(None, description="A cube, to see where it lies.")


class TableOut(Answer):
    """The chances of each value, as fractions such as 3/8."""

    mean: str
    table: dict[str, str]


class StandingOut(Answer):
    """One number of a cube among all: the shares of cubes with fewer, as many, and more."""

    value: int
    fewer: str
    equal: str
    more: str


class PlaceOut(Answer):
    """Where a cube lies; fewer letters are easier, and at equal letters fewer breaks."""

    easier: str = Field(description="The share of cubes that are easier than this one.")
    alike: str
    harder: str
    parity: bool
    has_features: bool = Field(description="Whether the cube is itself one of those it is compared with.")
    chance: str = Field(description="The chance of a cube like it in everything that features tell of.")
    standings: dict[str, StandingOut]


class OddsOut(Answer):
    """The exact odds; every number is a fraction such as 3/8."""

    edge_letters: TableOut
    corner_letters: TableOut
    total_letters: TableOut
    edge_breaks: TableOut
    corner_breaks: TableOut
    total_breaks: TableOut
    flipped_edges: TableOut
    twisted_corners: TableOut
    solved_edges: TableOut
    solved_corners: TableOut
    parity: TableOut
    chance: str | None = Field(description="The chance of a cube to have the features; null where none were asked for.")
    place: PlaceOut | None = Field(description="Where the cube lies; null where none was given.")


@router.post("/odds")
async def odds(asked: OddsIn) -> OddsOut:
    """The exact odds of letters, breaks and parity, and where one cube lies among the others."""
    return await quick(lambda: _odds(asked))


def _odds(asked: OddsIn) -> OddsOut:
    from nightfold.blind.features import parse_features
    from nightfold.blind.odds import odds as odds_of
    from nightfold.blind.odds import place_of

    features = parse_features(asked.wishes)
    plan = None if asked.cube is None else plan_of(asked.cube)
    data: dict[str, Any] = {"chance": None, **odds_of(features).to_dict()}
    data["place"] = None if plan is None else place_of(plan, features).to_dict()
    return OddsOut.model_validate(data)
