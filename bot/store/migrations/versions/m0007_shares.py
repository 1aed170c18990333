"""Lists shared with others, and when each was opened."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add the tables."""
    op.create_table(
        "shares",
        sa.Column("id", KEY, nullable=False),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("partner", sa.Text(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("until", sa.Date(), nullable=True),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_shares_collection_id"),
        sa.PrimaryKeyConstraint("id", name="pk_shares"),
        sa.UniqueConstraint("digest", name="uq_shares_digest"),
        sa.UniqueConstraint("collection_id", "number", name="uq_shares_number"),
    )
    op.create_table(
        "share_opens",
        sa.Column("id", KEY, nullable=False),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("share_id", KEY, nullable=False),
        sa.Column("opened_at", sa.BigInteger(), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_share_opens_collection_id"),
        sa.ForeignKeyConstraint(["share_id"], ["shares.id"], name="fk_share_opens_share_id"),
        sa.PrimaryKeyConstraint("id", name="pk_share_opens"),
    )
    op.create_index("ix_share_opens_share_id", "share_opens", ["share_id", "opened_at"])
