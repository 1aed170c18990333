"""Run by alembic: takes the migrations through the connection, and the transaction, that the caller gave."""

from alembic import context

import bot.store.indexes  # noqa: F401  adds them to the tables
from bot.store.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
