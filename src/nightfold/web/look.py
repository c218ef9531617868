"""``POST /api/look``: the unfolded cube of any size after some turns."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import Field

from nightfold.blind.lettering import DEFAULT
from nightfold.cube.geometry import geometry
from nightfold.cube.state import Cube
from nightfold.web import library
from nightfold.web.models import Answer, Asked, Size
from nightfold.web.work import quick

router = APIRouter(tags=["cube"])


class LookIn(Asked):
    """What to look at."""

    scramble: str = Field(description="Turns from a solved cube, white up and green in front.")
    size: Size = 3
    lettering: str | None = Field(None, description=f"The name of a lettering; {DEFAULT} if null.")


class LookOut(Answer):
    """The unfolded cube; stickers are numbered face by face in the order U, L, F, R, B, D."""

    size: int
    colours: list[str] = Field(description="The colour seen at each place, by initial.")
    names: list[str] = Field(description="The name of each place, its own face first.")
    labels: dict[int, str] = Field(description="The letter of each place that has one.")
    net: str = Field(description="The net text.")


@router.post("/look")
async def look(asked: LookIn) -> LookOut:
    """The cube as it lies after the turns, with the letters of its places."""
    return await quick(lambda: _look(asked))


def _look(asked: LookIn) -> LookOut:
    from nightfold.cube.net import net_of

    net = net_of(Cube.from_turns(asked.scramble, asked.size))
    letters = library.lettering(asked.lettering or DEFAULT, asked.size)
    return LookOut(
        size=asked.size,
        colours=list(net.symbols),
        names=list(geometry(asked.size).names),
        labels=letters.labels,
        net=str(net),
    )
