"""Bringing a logbook's tables up to this program: all of it in one transaction, or none."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text

from nightfold.practice.errors import LogbookError, NewerError
from nightfold.practice.schema import APPLICATION_ID, HEAD, VERSION_TABLE

if TYPE_CHECKING:
    from alembic.config import Config
    from alembic.script import ScriptDirectory

#: Where the migrations are.
FOLDER = Path(__file__).parent / "migrations"


def revision_of(connection: Connection) -> str | None:
    """The revision of the tables that are there; None where there are none yet.

    Raises LogbookError for a database that belongs to something else.
    """
    if connection.dialect.name == "sqlite":
        owner = connection.execute(text("PRAGMA application_id")).scalar_one()
        there = connection.execute(text("SELECT count(*) FROM sqlite_schema")).scalar_one()
        if there == 0 and owner in (0, APPLICATION_ID):
            return None
        if owner != APPLICATION_ID:
            raise LogbookError("that file is a database, but no logbook; name another file")
    elif not inspect(connection).has_table(VERSION_TABLE):
        return None
    found = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalars().all()
    return found[0] if found else None


def steps_from(revision: str | None) -> list[str]:
    """The revisions that lead from one to the newest.

    Raises NewerError for a revision that this program does not know: a newer one has made it.
    """
    if revision == HEAD:
        return []
    script = scripts()
    known = [one.revision for one in script.walk_revisions()][::-1]
    if revision is not None and revision not in known:
        from nightfold import __version__

        raise NewerError(
            f"this logbook was written by a newer Nightfold (its tables are {revision[:20]}, version {__version__} "
            f"knows them up to {HEAD}); nothing was changed: use the newer version"
        )
    return known[known.index(revision) + 1 if revision else 0 :]


def upgrade(connection: Connection) -> None:
    """Bring the tables up to this program, within the connection's transaction."""
    from alembic import command

    from nightfold.practice.writing import recount

    settings = _settings()
    settings.attributes["connection"] = connection
    command.upgrade(settings, "head")
    # What the summaries count may be another matter in every version.
    recount(connection)
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id={APPLICATION_ID}"))


def scripts() -> ScriptDirectory:
    """The migrations."""
    from alembic.script import ScriptDirectory

    return ScriptDirectory.from_config(_settings())


def _settings() -> Config:
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    settings.set_main_option("path_separator", "newline")
    settings.set_main_option("version_locations", "\n".join(map(str, version_folders())).replace("%", "%%"))
    return settings


def version_folders() -> list[Path]:
    """The folders that the revisions are in."""
    return [FOLDER / "versions"]
