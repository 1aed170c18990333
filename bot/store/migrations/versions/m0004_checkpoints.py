"""How a collection stood some weeks ago, so that a note that reaches back needs no fold of the whole log."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add the table, and the index by which the events since a day are found."""
    op.create_table(
        "checkpoint",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("extras", sa.Text(), nullable=False),
        sa.Column("rows", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_checkpoint_collection_id"),
        sa.PrimaryKeyConstraint("collection_id", name="pk_checkpoint"),
    )
    op.create_index("ix_care_log_day", "care_log", ["collection_id", "happened_on"])
