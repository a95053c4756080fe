"""The fleet: an index of the methods of records; batches of another kind, and results in an order of their own."""

from alembic import op
from sqlalchemy import BigInteger
from sqlalchemy import Column
from sqlalchemy import Integer
from sqlalchemy import Text
from sqlalchemy import text

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

WORDS = Text().with_variant(Text(collation="C"), "postgresql")
WHOLE = BigInteger().with_variant(Integer(), "sqlite")
PLACED = text("place IS NOT NULL")


def upgrade() -> None:
    """Add the columns and their indexes; the batches that are there are of panels to be rated."""
    method = ["engine_version", "edition", "tables_digest", "catalogue_version", "id"]
    op.create_index("ix_records_method", "records", method)
    op.add_column("batches", Column("kind", WORDS, nullable=False, server_default="ratings"))
    op.add_column("batch_items", Column("place", WHOLE))
    columns = ["batch_id", "place", "line"]
    op.create_index("ix_batch_items_place", "batch_items", columns, sqlite_where=PLACED, postgresql_where=PLACED)


def downgrade() -> None:
    """Refuse: what is kept is never thrown away by a program."""
    raise NotImplementedError
