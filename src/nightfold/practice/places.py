"""Where settings, a person's own files and the logbook are kept."""

from __future__ import annotations

import os
import tomllib
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

    Raises LogbookError where the settings file cannot be read, so that nothing is kept in another place than meant.
    """
    if named := os.environ.get(LOGBOOK_VARIABLE):
        return named, LOGBOOK_VARIABLE
    path = settings_file()
    try:
        chosen = tomllib.loads(path.read_bytes().decode("utf-8-sig")).get(LOGBOOK_KEY)
    except FileNotFoundError:
        chosen = None
    except (OSError, ValueError) as trouble:
        why = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else trouble
        raise LogbookError(
            f"{path} cannot be read, and may say where the logbook is: {why}; mend it or move it away"
        ) from None
    if chosen is None:
        return str(data_folder() / "logbook.db"), ""
    if not isinstance(chosen, str) or not chosen.strip():
        raise LogbookError(f"{path}: {LOGBOOK_KEY} must be a text, the path of a file or the URL of a database")
    return chosen, str(path)
