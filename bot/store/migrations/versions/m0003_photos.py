"""Photos with their plant and note, and the lines behind the numbers of each list that was sent."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add the table and the column."""
    op.add_column("outbox", sa.Column("listed", sa.Text(), nullable=True))
    op.create_table(
        "photos",
        sa.Column("id", KEY, nullable=False),
        sa.Column("public_id", sa.Text(), nullable=False),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("chat_id", KEY, nullable=False),
        sa.Column("inbox_id", KEY, nullable=False),
        sa.Column("note_id", KEY, nullable=True),
        sa.Column("event", sa.Text(), nullable=True),
        sa.Column("file_key", sa.Text(), nullable=False),
        sa.Column("album", sa.Text(), nullable=False),
        sa.Column("taken_on", sa.Date(), nullable=False),
        sa.Column("refs", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("ready_at", sa.BigInteger(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("error", sa.Text(), nullable=True),
        sa.CheckConstraint("state IN ('waiting', 'kept', 'refused')", name="state"),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_photos_collection_id"),
        sa.ForeignKeyConstraint(["chat_id"], ["chats.id"], name="fk_photos_chat_id"),
        sa.ForeignKeyConstraint(["inbox_id"], ["inbox.id"], name="fk_photos_inbox_id"),
        sa.ForeignKeyConstraint(["note_id"], ["notes.id"], name="fk_photos_note_id"),
        sa.PrimaryKeyConstraint("id", name="pk_photos"),
        sa.UniqueConstraint("public_id", name="uq_photos_public_id"),
        sa.UniqueConstraint("inbox_id", name="uq_photos_inbox_id"),
    )
    op.create_index("ix_photos_chat", "photos", ["chat_id", "id"])
    op.create_index("ix_photos_collection", "photos", ["collection_id", "taken_on"])
    op.create_index("ix_photos_state", "photos", ["state", "ready_at"])
    op.create_index("ix_photos_note_id", "photos", ["note_id"])
