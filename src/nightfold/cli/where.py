"""``nightfold where``: where everything is kept."""

from __future__ import annotations

import typer

from nightfold.cli.common import LAMP, QUIET, JsonOption, console, print_json


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("where")(where)


def where(as_json: JsonOption = False) -> None:
    """Tell where the logbook, its backups, your methods, letterings and settings are."""
    from pathlib import Path

    from nightfold.practice.backup import backup_folder, backups
    from nightfold.practice.database import Database
    from nightfold.practice.places import HOME_VARIABLE, data_folder, logbook_place, settings_file
    from nightfold.search.tables import FOLDER_VARIABLE, cache_folder

    place, told_by = logbook_place()
    database = Database(place, writes=False)
    try:
        found = backups(database)
        folder = backup_folder(database)
        there = database.path is None or database.path.exists()
        shown = database.shown
    finally:
        database.close()
    places = {
        "methods": data_folder("methods"),
        "letterings": data_folder("letterings"),
        "settings": settings_file(),
        "tables": cache_folder(),
    }
    if as_json:
        print_json(
            {
                "logbook": shown,
                "logbook_there": there,
                "logbook_told_by": told_by,
                "backups": str(folder),
                "backups_made": [backup.to_dict() for backup in found],
                **{name: str(path) for name, path in places.items()},
            }
        )
        return
    from rich.text import Text

    newest = f"{len(found)}, the newest of {found[0].made.astimezone():%Y-%m-%d %H:%M}" if found else "none yet"
    remarks = {
        "logbook": "" if there else "not there yet",
        "backups": newest,
        **{name: "" if Path(path).exists() else "not there yet" for name, path in places.items()},
    }
    out = console()
    for name, path in {"logbook": shown, "backups": folder, **places}.items():
        line = Text.assemble((f"{name:<12}", LAMP), str(path))
        if remarks[name]:
            line.append(f"  {remarks[name]}", QUIET)
        out.print(line, soft_wrap=True)
    out.print()
    out.print(
        Text(f"{HOME_VARIABLE} names one folder for all but the tables, {FOLDER_VARIABLE} that for these.", QUIET)
    )
