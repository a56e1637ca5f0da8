"""What Alembic runs first: the steps go over the connection they are handed."""

from __future__ import annotations

from alembic import context

from watervane.journal.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
)
context.run_migrations()
