"""How often a line of a batch was lent: of one that ends each process that rates it, an end must come."""

from alembic import op
from sqlalchemy import BigInteger
from sqlalchemy import Column
from sqlalchemy import Integer

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

WHOLE = BigInteger().with_variant(Integer(), "sqlite")


def upgrade() -> None:
    """Add the column; lines that are under way now begin anew."""
    op.add_column("batch_items", Column("attempts", WHOLE, nullable=False, server_default="0"))


def downgrade() -> None:
    """Refuse: what is kept is never thrown away by a program."""
    raise NotImplementedError
