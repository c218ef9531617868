"""Where settings, a person's own files and the logbook are kept."""

from __future__ import annotations

import os
import tomllib
from difflib import get_close_matches
from pathlib import Path

from nightfold.practice.errors import LogbookError

#: The environment variable that names one folder for everything.
HOME_VARIABLE = "NIGHTFOLD_HOME"
#: The environment variable that says where the logbook is: a path, or the URL of a database.
LOGBOOK_VARIABLE = "NIGHTFOLD_LOGBOOK"
#: The key of the settings file that says the same.
LOGBOOK_KEY = "logbook"


def data_folder(kind: str = "") -> Path:
    """The folder of a person's own ``methods``, ``letterings`` and so on, or the one that all these are in.

    It is in NIGHTFOLD_HOME, else in the user's data folder.
    """
    if named := os.environ.get(HOME_VARIABLE):
        return Path(named).expanduser() / kind
    from platformdirs import user_data_path

    return user_data_path("nightfold", appauthor=False) / kind


def settings_file() -> Path:
    """Where settings are: in NIGHTFOLD_HOME, else in the user's configuration folder."""
    if named := os.environ.get(HOME_VARIABLE):
        return Path(named).expanduser() / "settings.toml"
    from platformdirs import user_config_path

    return user_config_path("nightfold", appauthor=False) / "settings.toml"


def logbook_place() -> tuple[str, str]:
    """The path or URL of the logbook, and what says so: NIGHTFOLD_LOGBOOK, the settings file, or nothing.

    A path in the settings file is seen from its folder.  Raises LogbookError where that file cannot be read, and where
    the folder that is named is not there, so that nothing is kept in another place than meant.
    """
    if named := os.environ.get(LOGBOOK_VARIABLE):
        return _there(named, LOGBOOK_VARIABLE), LOGBOOK_VARIABLE
    path = settings_file()
    try:
        settings = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        settings = {}
    except (OSError, ValueError) as trouble:
        why = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else trouble
        raise LogbookError(
            f"{path} cannot be read, and may say where the logbook is: {why}; mend it or move it away"
        ) from None
    chosen = settings.get(LOGBOOK_KEY)
    if chosen is None:
        if close := get_close_matches(LOGBOOK_KEY, [key for key in settings if key != LOGBOOK_KEY], 1, 0.75):
            raise LogbookError(f"{path}: “{close[0]}” is no setting; {LOGBOOK_KEY} says where the logbook is")
        return str(data_folder() / "logbook.db"), ""
    if not isinstance(chosen, str) or not chosen.strip():
        raise LogbookError(f"{path}: {LOGBOOK_KEY} must be a text, the path of a file or the URL of a database")
    if "://" not in chosen and not Path(chosen).expanduser().is_absolute():
        chosen = str(path.parent / chosen)
    return _there(chosen, str(path)), str(path)


def _there(place: str, told_by: str) -> str:
    """The place, if its folder is there: one that is not may be a drive that is not connected."""
    file = place.removeprefix("sqlite:///") if place.startswith("sqlite:///") else place
    if "://" not in file and not (folder := Path(file).expanduser().parent).is_dir():
        raise LogbookError(
            f"the logbook is to be {place}, says {told_by}, but the folder {folder} is not there; connect its drive, "
            "make the folder, or name another place"
        )
    return place
