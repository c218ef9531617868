"""``POST /api/turns``: what an algorithm does."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import Field

from nightfold.cube.geometry import geometry
from nightfold.cube.notation import parse, write
from nightfold.cube.sequences import cancel, count, mirror
from nightfold.cube.state import Cube
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
    read = parse(algorithm, size)
    single = read.expand()
    cube = Cube.from_turns(single, size)
    geo = geometry(size)
    counts = count(single)
    cycles: dict[str, list[list[str]]] = {}
    for cycle in cube.cycles():
        orbit = geo.orbit_of(cycle[0])
        # The second stickers of wings only repeat what the first ones tell; centres that move tell the hold.
        kind = orbit.name if orbit else "centres" if len(geo.names[cycle[0]]) == 1 else ""
        if kind:
            cycles.setdefault(kind, []).append([geo.names[sticker] for sticker in cycle])
    return TurnsOut(
        algorithm=str(read),
        size=size,
        expanded=write(single),
        cancelled=write(cancel(single)),
        inverse=write(cancel(read.inverse().expand())),
        mirrored=write(mirror(single)),
        counts=TurnCountsOut(obtm=counts.obtm, etm=counts.etm, stm=counts.stm, qtm=counts.qtm),
        order=cube.order,
        cycles=cycles,
        permutation=list(cube.stickers),
    )
