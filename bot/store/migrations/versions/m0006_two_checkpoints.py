"""Two checkpoints of a collection instead of one: some weeks and a year back. What they held is made anew from the log."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the table anew, with the reach of a checkpoint in its key."""
    op.drop_table("checkpoint")
    op.create_table(
        "checkpoint",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("reach", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("extras", sa.Text(), nullable=False),
        sa.Column("rows", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_checkpoint_collection_id"),
        sa.PrimaryKeyConstraint("collection_id", "reach", name="pk_checkpoint"),
    )
