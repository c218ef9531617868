"""The demo's records are found at once, however many others there are."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Go forward; there is no way back but a backup."""
    for table, columns in (
        ("attempt", ["solver", "event", "started"]),
        ("mistake", ["solver", "found"]),
        ("review", ["solver", "exercise", "answered"]),
    ):
        op.create_index(
            f"{table}_of_demo",
            table,
            columns,
            sqlite_where=sa.text("demo = 1"),
            postgresql_where=sa.text("demo"),
        )
