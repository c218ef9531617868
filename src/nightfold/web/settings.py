"""``/api/settings``: what a person chose, kept in a small file."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from typing import Literal

from fastapi import APIRouter
from pydantic import ConfigDict, Field, ValidationError

from nightfold.blind.hold import parse_hold
from nightfold.blind.method import DEFAULT
from nightfold.blind.plan import make_plan
from nightfold.cube.errors import NightfoldError
from nightfold.practice.files import set_aside, write
from nightfold.practice.places import LOGBOOK_KEY, settings_file
from nightfold.web import library
from nightfold.web.cubes import WORDS
from nightfold.web.models import Asked
from nightfold.web.work import quick

router = APIRouter(tags=["settings"])


class SettingsIn(Asked):
    """What a person chooses; null where the method decides."""

    theme: Literal["auto", "night", "day"] = "auto"
    method: str = Field(default=DEFAULT, description="The name of a method.")
    lettering: str | None = Field(default=None, description="The name of a lettering; the method's own if null.")
    hold: str | None = Field(default=None, description="The colours up and in front; the method's if null.")
    breaks: str | None = Field(default=None, description="lowest, shortest or words; the method's if null.")


class SettingsOut(SettingsIn):
    """What was chosen, or what is usual."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)


@router.get("/settings")
async def get_settings() -> SettingsOut:
    """What was chosen, or what is usual.  A file that cannot be read is set aside."""
    return await quick(read_settings)


@router.put("/settings")
async def put_settings(asked: SettingsIn) -> SettingsOut:
    """Keep what was chosen, if it can be used."""

    def work() -> SettingsOut:
        _check(asked)
        read_settings()  # so that a damaged file is set aside before another takes its place
        keep_settings(asked)
        return SettingsOut(**asked.model_dump())

    return await quick(work)


def read_settings() -> SettingsOut:
    """The settings that are kept, or the usual ones.

    A file that is damaged is set aside; a method or lettering that is no longer there gives way to the usual one.
    """
    path = settings_file()
    try:
        chosen = tomllib.loads(path.read_bytes().decode("utf-8"))
        chosen.pop(LOGBOOK_KEY, None)
        kept = SettingsOut.model_validate(chosen)
    except FileNotFoundError:
        return SettingsOut()
    except (OSError, ValueError, ValidationError):
        with suppress(NightfoldError):
            set_aside(path, "damaged")
        return SettingsOut()
    try:
        _check(kept)
    except NightfoldError:
        return SettingsOut(theme=kept.theme)
    return kept


def keep_settings(settings: SettingsIn) -> None:
    """Write the settings to their file, whole or not at all; where the logbook is stays.  Raises StoringError."""
    import tomli_w

    path = settings_file()
    kept = settings.model_dump(exclude_none=True)
    with suppress(OSError, ValueError):
        there = tomllib.loads(path.read_bytes().decode("utf-8"))
        kept |= {LOGBOOK_KEY: there[LOGBOOK_KEY]} if LOGBOOK_KEY in there else {}
    write(path, tomli_w.dumps(kept))


def _check(settings: SettingsIn) -> None:
    """Raise NightfoldError unless the solved cube can be read with these settings."""
    method = library.method(settings.method)
    letters = library.letters_for(method, settings.lettering)
    breaks = None if settings.breaks == WORDS else settings.breaks
    make_plan("", method, letters, None if settings.hold is None else parse_hold(settings.hold), breaks)
