"""The partial indexes: over open messages, waiting messages and open questions only, so that they stay small for years.

Apart from the tables, since an index with a condition makes SQLAlchemy import every dialect named, and nothing but a migration
and the comparison with the migrated schema asks for them.
"""

from __future__ import annotations

import sqlalchemy as sa

from bot.store.tables import inbox, notes, outbox


def _where(condition: str, name: str, *columns: sa.Column[object], unique: bool = False) -> sa.Index:
    return sa.Index(name, *columns, unique=unique, sqlite_where=sa.text(condition), postgresql_where=sa.text(condition))


PARTIAL_INDEXES = (
    _where("state = 'open'", "ix_inbox_open", inbox.c.transport, inbox.c.address, inbox.c.id),
    _where("state = 'open'", "ix_inbox_open_in_order", inbox.c.id),
    _where("state = 'waiting'", "ix_outbox_waiting", outbox.c.ready_at),
    _where("state = 'waiting'", "ix_outbox_waiting_in_chat", outbox.c.chat_id, outbox.c.send_after, outbox.c.id),
    # unique: a chat has one open question at most
    _where("question_state = 'open'", "ix_notes_open_question", notes.c.chat_id, unique=True),
)
