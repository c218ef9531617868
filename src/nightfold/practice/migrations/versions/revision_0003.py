"""Summaries know the time of execution, and what was kept in mind."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Go forward; there is no way back but a backup."""
    # Summaries are made anew out of the records when tables have changed, so what is in them need not be kept.
    for table, names in (("attempt_tally", ("executed", "execution_ms")), ("review_tally", ("again", "recalled"))):
        op.execute(f"DELETE FROM {table}")
        for name in names:
            op.add_column(table, sa.Column(name, sa.BigInteger(), nullable=False, server_default="0"))
    op.add_column("review", sa.Column("days_since", sa.Double(), nullable=True))
