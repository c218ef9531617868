"""``GET /api/about``: what this is and what can be chosen."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import Field

from nightfold import __version__
from nightfold.blind.method import DEFAULT, load_method
from nightfold.web import library
from nightfold.web.models import Answer
from nightfold.web.work import quick

router = APIRouter(tags=["about"])


class MethodItem(Answer):
    """A method that can be chosen."""

    name: str
    title: str
    about: str = Field(description="What it is; for one of your own that cannot be used, why not.")
    own: bool = Field(description="Whether it is one of your own.")


class LetteringItem(Answer):
    """A lettering that can be chosen."""

    name: str
    about: str = Field(description="What it is; for one of your own that cannot be used, why not.")
    own: bool = Field(description="Whether it is one of your own.")


class Defaults(Answer):
    """What is used where nothing is chosen."""

    method: str
    hold: str = Field(description="The initials of the colours up and in front.", examples=["W,G"])
    breaks: str


class About(Answer):
    """What this is and what can be chosen."""

    version: str
    methods: list[MethodItem]
    letterings: list[LetteringItem]
    defaults: Defaults


@router.get("/about")
async def about() -> About:
    """The version, every method and lettering there is, and what is used where nothing is chosen."""
    return await quick(_about)


def _about() -> About:
    methods = []
    for name in (*library.METHODS.shipped(), *library.own_names(library.METHODS)):
        title, said = library.about(library.METHODS, name)
        own = name not in library.METHODS.shipped()
        methods.append(MethodItem(name=name, title=title, about=said, own=own))
    letterings = [
        LetteringItem(
            name=name,
            about=library.about(library.LETTERINGS, name)[1],
            own=name not in library.LETTERINGS.shipped(),
        )
        for name in (*library.LETTERINGS.shipped(), *library.own_names(library.LETTERINGS))
    ]
    method = load_method(DEFAULT)
    hold = f"{method.hold.top},{method.hold.front}"
    defaults = Defaults(method=DEFAULT, hold=hold, breaks=method.breaks)
    return About(version=__version__, methods=methods, letterings=letterings, defaults=defaults)
