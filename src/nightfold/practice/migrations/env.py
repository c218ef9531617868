"""Runs migrations over the connection that the program hands in, within the transaction that it has begun."""

from alembic import context

from nightfold.practice.schema import VERSION_TABLE, metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=VERSION_TABLE,
    transactional_ddl=False,  # the transaction is already there, and ends as a whole
)
context.run_migrations()
