"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Go forward; there is no way back but a backup."""
    op.create_table(
        "attempt_tally",
        sa.Column("feature", sa.String(length=20), autoincrement=False, nullable=False),
        sa.Column("solver", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("event", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("day", sa.String(length=10), autoincrement=False, nullable=False),
        sa.Column("method", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("demo", sa.Boolean(), autoincrement=False, nullable=False),
        sa.Column("value", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("attempts", sa.BigInteger(), nullable=False),
        sa.Column("solved", sa.BigInteger(), nullable=False),
        sa.Column("plus2", sa.BigInteger(), nullable=False),
        sa.Column("dnf", sa.BigInteger(), nullable=False),
        sa.Column("dns", sa.BigInteger(), nullable=False),
        sa.Column("unfinished", sa.BigInteger(), nullable=False),
        sa.Column("timed", sa.BigInteger(), nullable=False),
        sa.Column("total_ms", sa.BigInteger(), nullable=False),
        sa.Column("memo_timed", sa.BigInteger(), nullable=False),
        sa.Column("memo_ms", sa.BigInteger(), nullable=False),
        sa.Column("planned", sa.BigInteger(), nullable=False),
        sa.Column("letters", sa.BigInteger(), nullable=False),
        sa.Column("cycles", sa.BigInteger(), nullable=False),
        sa.Column("parities", sa.BigInteger(), nullable=False),
        sa.Column("turns", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("feature", "solver", "event", "day", "method", "demo", "value"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "card",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("exercise", sa.String(length=200), nullable=False),
        sa.Column("subject", sa.String(length=200), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("due", sa.BigInteger(), nullable=False),
        sa.Column("stability", sa.Double(), nullable=True),
        sa.Column("difficulty", sa.Double(), nullable=True),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("card_by_solver_due", "card", ["solver", "due"])
    op.create_index("card_by_solver_exercise_due", "card", ["solver", "exercise", "due"])
    op.create_table(
        "fact",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "mistake_tally",
        sa.Column("solver", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("day", sa.String(length=10), autoincrement=False, nullable=False),
        sa.Column("source", sa.String(length=20), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("orbit", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("demo", sa.Boolean(), autoincrement=False, nullable=False),
        sa.Column("mistakes", sa.BigInteger(), nullable=False),
        sa.Column("weight", sa.BigInteger(), nullable=False),
        sa.Column("cost", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("solver", "day", "source", "kind", "orbit", "demo"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "review_tally",
        sa.Column("solver", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("day", sa.String(length=10), autoincrement=False, nullable=False),
        sa.Column("exercise", sa.String(length=200), autoincrement=False, nullable=False),
        sa.Column("demo", sa.Boolean(), autoincrement=False, nullable=False),
        sa.Column("reviews", sa.BigInteger(), nullable=False),
        sa.Column("right", sa.BigInteger(), nullable=False),
        sa.Column("share", sa.BigInteger(), nullable=False),
        sa.Column("timed", sa.BigInteger(), nullable=False),
        sa.Column("answer_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("solver", "day", "exercise", "demo"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "route",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("loci", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("created", sa.BigInteger(), nullable=False),
        sa.Column("changed", sa.BigInteger(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "run",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("exercise", sa.String(length=200), nullable=False),
        sa.Column("started", sa.BigInteger(), nullable=False),
        sa.Column("ended", sa.BigInteger(), nullable=True),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.Column("score", sa.Double(), nullable=True),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("run_by_solver_exercise_started", "run", ["solver", "exercise", "started"])
    op.create_table(
        "series",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("event", sa.String(length=200), nullable=False),
        sa.Column("started", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("series_by_solver_started", "series", ["solver", "started"])
    op.create_table(
        "solver",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("created", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "word",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("language", sa.String(length=200), nullable=False),
        sa.Column("pair", sa.String(length=80), nullable=False),
        sa.Column("word", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=200), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("strength", sa.Double(), nullable=False),
        sa.Column("created", sa.BigInteger(), nullable=False),
        sa.Column("changed", sa.BigInteger(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("word_by_solver_language_pair", "word", ["solver", "language", "pair"])
    op.create_table(
        "attempt",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("series", sa.String(length=36), nullable=True),
        sa.Column("number", sa.BigInteger(), nullable=True),
        sa.Column("event", sa.String(length=200), nullable=False),
        sa.Column("started", sa.BigInteger(), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("scramble", sa.Text(), nullable=False),
        sa.Column("hold", sa.String(length=200), nullable=False),
        sa.Column("method", sa.String(length=200), nullable=False),
        sa.Column("lettering", sa.String(length=200), nullable=False),
        sa.Column("breaks_policy", sa.String(length=200), nullable=False),
        sa.Column("outcome", sa.String(length=20), nullable=False),
        sa.Column("memo_ms", sa.BigInteger(), nullable=True),
        sa.Column("total_ms", sa.BigInteger(), nullable=True),
        sa.Column("final", sa.Text(), nullable=True),
        sa.Column("memo", sa.Text(), nullable=False),
        sa.Column("edge_letters", sa.BigInteger(), nullable=True),
        sa.Column("corner_letters", sa.BigInteger(), nullable=True),
        sa.Column("breaks", sa.BigInteger(), nullable=True),
        sa.Column("flipped", sa.BigInteger(), nullable=True),
        sa.Column("twisted", sa.BigInteger(), nullable=True),
        sa.Column("parity", sa.Boolean(), nullable=True),
        sa.Column("cycles", sa.BigInteger(), nullable=True),
        sa.Column("turns", sa.BigInteger(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["series"], ["series.id"], ondelete="SET NULL", initially="DEFERRED", deferrable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("attempt_by_series_number", "attempt", ["series", "number"])
    op.create_index("attempt_by_solver_event_outcome_total_ms", "attempt", ["solver", "event", "outcome", "total_ms"])
    op.create_index("attempt_by_solver_event_started", "attempt", ["solver", "event", "started"])
    op.create_index("attempt_by_solver_method_started", "attempt", ["solver", "method", "started"])
    op.create_index("attempt_by_solver_outcome_started", "attempt", ["solver", "outcome", "started"])
    op.create_index("attempt_by_solver_started", "attempt", ["solver", "started"])
    op.create_index("attempt_by_started", "attempt", ["started"])
    op.create_table(
        "review",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("card", sa.String(length=36), nullable=False),
        sa.Column("run", sa.String(length=36), nullable=True),
        sa.Column("exercise", sa.String(length=200), nullable=False),
        sa.Column("answered", sa.BigInteger(), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("rating", sa.BigInteger(), nullable=False),
        sa.Column("right", sa.Boolean(), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.Column("answer_ms", sa.BigInteger(), nullable=True),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("given", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["card"], ["card.id"], ondelete="CASCADE", initially="DEFERRED", deferrable=True),
        sa.ForeignKeyConstraint(["run"], ["run.id"], ondelete="SET NULL", initially="DEFERRED", deferrable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("review_by_card_answered", "review", ["card", "answered"])
    op.create_index("review_by_run", "review", ["run"])
    op.create_index("review_by_solver_answered", "review", ["solver", "answered"])
    op.create_index("review_by_solver_exercise_answered", "review", ["solver", "exercise", "answered"])
    op.create_table(
        "cube",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("attempt", sa.String(length=36), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("scramble", sa.Text(), nullable=False),
        sa.Column("outcome", sa.String(length=20), nullable=False),
        sa.Column("final", sa.Text(), nullable=True),
        sa.Column("memo", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["attempt"], ["attempt.id"], ondelete="CASCADE", initially="DEFERRED", deferrable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("cube_by_attempt_number", "cube", ["attempt", "number"])
    op.create_table(
        "mistake",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("solver", sa.String(length=200), nullable=False),
        sa.Column("attempt", sa.String(length=36), nullable=True),
        sa.Column("run", sa.String(length=36), nullable=True),
        sa.Column("found", sa.BigInteger(), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("source", sa.String(length=20), nullable=False),
        sa.Column("explanation", sa.BigInteger(), nullable=False),
        sa.Column("probability", sa.Double(), nullable=False),
        sa.Column("alone", sa.Boolean(), nullable=False),
        sa.Column("kind", sa.String(length=200), nullable=False),
        sa.Column("orbit", sa.String(length=200), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=True),
        sa.Column("letter", sa.String(length=200), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("demo", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["attempt"], ["attempt.id"], ondelete="CASCADE", initially="DEFERRED", deferrable=True),
        sa.ForeignKeyConstraint(["run"], ["run.id"], ondelete="CASCADE", initially="DEFERRED", deferrable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("mistake_by_attempt", "mistake", ["attempt"])
    op.create_index("mistake_by_run", "mistake", ["run"])
    op.create_index("mistake_by_solver_found", "mistake", ["solver", "found"])
