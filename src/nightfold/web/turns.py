"""``POST /api/turns``: what an algorithm does."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import Field

from nightfold.cube.account import account_of
from nightfold.web.models import Answer, Asked, Size
from nightfold.web.work import quick

router = APIRouter(tags=["cube"])


class TurnsIn(Asked):
    """An algorithm."""

    algorithm: str = Field(description="The algorithm in standard notation.", examples=["[R: U2]"])
    size: Size = 3


class TurnCountsOut(Answer):
    """How many turns it has, counted in four ways."""

    obtm: int = Field(description="Outer-block turns; an inner slice is two, rotations are free.")
    etm: int = Field(description="As executed: every turn and every rotation is one.")
    stm: int = Field(description="Slices are one turn too, rotations are free.")
    qtm: int = Field(description="Quarter turns of outer blocks.")


class TurnsOut(Answer):
    """What it is and does."""

    algorithm: str
    size: int
    expanded: str = Field(description="Written as single turns.")
    cancelled: str = Field(description="Without waste.")
    inverse: str
    mirrored: str
    counts: TurnCountsOut
    order: int = Field(description="Done that often, everything is home again.")
    cycles: dict[str, list[list[str]]] = Field(description="For each orbit its cycles of stickers.")
    permutation: list[int] = Field(description="For each place the sticker that is seen there afterwards.")


@router.post("/turns")
async def turns(asked: TurnsIn) -> TurnsOut:
    """An algorithm's cycles of stickers, order, counts, inverse and mirror."""
    return await quick(lambda: _turns(asked.algorithm, asked.size))


def _turns(algorithm: str, size: int) -> TurnsOut:
    account = account_of(algorithm, size)
    return TurnsOut.model_validate(account.to_dict() | {"permutation": list(account.cube.stickers)})
