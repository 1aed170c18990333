"""Spreadsheets of plants that were sent to the bot, until they are taken into the log or left."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add the table."""
    op.create_table(
        "sheets",
        sa.Column("id", KEY, nullable=False),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("chat_id", KEY, nullable=False),
        sa.Column("inbox_id", KEY, nullable=False),
        sa.Column("file_key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("ready_at", sa.BigInteger(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.CheckConstraint("state IN ('waiting', 'open', 'done')", name="state"),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_sheets_collection_id"),
        sa.ForeignKeyConstraint(["chat_id"], ["chats.id"], name="fk_sheets_chat_id"),
        sa.ForeignKeyConstraint(["inbox_id"], ["inbox.id"], name="fk_sheets_inbox_id"),
        sa.PrimaryKeyConstraint("id", name="pk_sheets"),
        sa.UniqueConstraint("inbox_id", name="uq_sheets_inbox_id"),
    )
    op.create_index("ix_sheets_state", "sheets", ["state", "ready_at"])
    op.create_index("ix_sheets_chat", "sheets", ["chat_id", "state"])
