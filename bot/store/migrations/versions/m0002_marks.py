"""Moments that the program remembers by name: when a messenger was last reached, since when a chat is quiet."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table."""
    op.create_table(
        "marks",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("moment", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_marks"),
    )
