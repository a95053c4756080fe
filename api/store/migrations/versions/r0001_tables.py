"""The tables as they were at first. What is written here stays: a change is a step of its own."""

from alembic import op
from sqlalchemy import BigInteger
from sqlalchemy import Boolean
from sqlalchemy import Column
from sqlalchemy import ForeignKey
from sqlalchemy import ForeignKeyConstraint
from sqlalchemy import Index
from sqlalchemy import Integer
from sqlalchemy import LargeBinary
from sqlalchemy import MetaData
from sqlalchemy import Table
from sqlalchemy import Text
from sqlalchemy import text

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

WORDS = Text().with_variant(Text(collation="C"), "postgresql")
WHOLE = BigInteger().with_variant(Integer(), "sqlite")
PRESENT = text("to_version IS NULL")
OPEN = text("result IS NULL")
METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def upgrade() -> None:
    """Make the tables."""
    METADATA.create_all(op.get_bind(), checkfirst=False)


def downgrade() -> None:
    """Refuse: what is kept is never thrown away by a program."""
    raise NotImplementedError


# What was rated. Append-only, and held so by triggers.

Table(
    "records",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("document", WORDS, nullable=False),
    Column("document_digest", WORDS, nullable=False),
    Column("result", WORDS, nullable=False),
    Column("status", WORDS, nullable=False),
    Column("current_ma", WHOLE),
    Column("engine_version", WORDS, nullable=False),
    Column("edition", WORDS, nullable=False),
    Column("tables_digest", WORDS, nullable=False),
    Column("catalogue_digest", WORDS),
    Column("catalogue_version", WHOLE, ForeignKey("catalogue_versions.number")),
    Column("asked_by", WORDS, nullable=False),
    Column("asked_at", WORDS, nullable=False),
    Column("order_id", WORDS),
    Column("designation", WORDS),
    Column("revision", WHOLE),
    Column("digest", WORDS, nullable=False),
    Index(None, "document_digest", "id"),
    Index(None, "order_id", "id"),
)

Table(
    "record_parts",
    METADATA,
    Column("part", WORDS, primary_key=True),
    Column("record_id", WORDS, ForeignKey("records.id"), primary_key=True),
    Index(None, "record_id"),
    sqlite_with_rowid=False,
)

# The catalogue. A row of parts is a part as it was from one version to the version before another; of a row only the
# end of its validity is ever written later. The long text stands apart, so that a search reads narrow rows.

Table(
    "catalogue_versions",
    METADATA,
    Column("number", WHOLE, primary_key=True, autoincrement=False),
    Column("digest", WORDS, nullable=False),
    Column("parts", WHOLE, nullable=False),
    Column("created_at", WORDS, nullable=False),
    Column("created_by", WORDS, nullable=False),
    Column("note", WORDS),
)

Table(
    "parts",
    METADATA,
    Column("row", WHOLE, primary_key=True, autoincrement=False),
    Column("part", WORDS, nullable=False),
    Column("part_digest", WORDS, nullable=False),
    Column("from_version", WHOLE, ForeignKey("catalogue_versions.number"), nullable=False),
    Column("to_version", WHOLE, ForeignKey("catalogue_versions.number")),
    Column("kind", WORDS, nullable=False),
    Column("poles", WHOLE),
    Column("ampere_ma", WHOLE),
    Column("mounting", WORDS),
    Column("interrupting_ma", WHOLE),
    Column("folded", WORDS, nullable=False),
    Index(None, "part", "from_version", unique=True),
    Index("ix_parts_present", "part", unique=True, sqlite_where=PRESENT, postgresql_where=PRESENT),
    Index(None, "kind", "part"),
)

Table(
    "part_documents",
    METADATA,
    Column("row", WHOLE, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    Column("document", WORDS, nullable=False),
)

Table(
    "part_ratings",
    METADATA,
    Column("row", WHOLE, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    Column("number", WHOLE, primary_key=True, autoincrement=False),
    Column("supply", WORDS, nullable=False),
    Column("form", WORDS, nullable=False),
    Column("line_mv", WHOLE, nullable=False),
    Column("ground_mv", WHOLE),
    Column("applied", Boolean, nullable=False),
    Column("interrupting_ma", WHOLE),
    sqlite_with_rowid=False,
)

Table(
    "part_attributes",
    METADATA,
    Column("name", WORDS, primary_key=True),
    Column("value", WORDS, primary_key=True),
    Column("row", WHOLE, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

# Orders. Revisions and shipments are append-only.

Table(
    "orders",
    METADATA,
    Column("order_id", WORDS, primary_key=True),
    Column("folded", WORDS, nullable=False),
    Column("created_at", WORDS, nullable=False),
)

Table(
    "panels",
    METADATA,
    Column("order_id", WORDS, ForeignKey("orders.order_id"), primary_key=True),
    Column("designation", WORDS, primary_key=True),
    Column("folded", WORDS, nullable=False),
    Column("newest", WHOLE, nullable=False),
    Column("changed_at", WORDS, nullable=False),
)

Table(
    "revisions",
    METADATA,
    Column("order_id", WORDS, primary_key=True),
    Column("designation", WORDS, primary_key=True),
    Column("revision", WHOLE, primary_key=True, autoincrement=False),
    Column("record_id", WORDS, ForeignKey("records.id"), nullable=False, unique=True),
    Column("etag", WORDS, nullable=False),
    Column("created_at", WORDS, nullable=False),
    Column("created_by", WORDS, nullable=False),
    ForeignKeyConstraint(["order_id", "designation"], ["panels.order_id", "panels.designation"]),
)

Table(
    "shipments",
    METADATA,
    Column("order_id", WORDS, primary_key=True),
    Column("designation", WORDS, primary_key=True),
    Column("revision", WHOLE, primary_key=True, autoincrement=False),
    Column("shipped_at", WORDS, nullable=False),
    Column("shipped_by", WORDS, nullable=False),
    ForeignKeyConstraint(
        ["order_id", "designation", "revision"],
        ["revisions.order_id", "revisions.designation", "revisions.revision"],
    ),
)

# What is under way.

Table(
    "idempotency",
    METADATA,
    Column("scope", WORDS, primary_key=True),
    Column("key", WORDS, primary_key=True),
    Column("fingerprint", WORDS, nullable=False),
    Column("token", WORDS, nullable=False),
    Column("claimed_at", WORDS, nullable=False),
    Column("status", WHOLE),
    Column("headers", WORDS),
    Column("body", LargeBinary),
    Index(None, "claimed_at"),
)

Table(
    "batches",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("created_at", WORDS, nullable=False),
    Column("created_by", WORDS, nullable=False),
    Column("state", WORDS, nullable=False),
    Column("options", WORDS, nullable=False),
    Column("lines", WHOLE, nullable=False),
    Column("done", WHOLE, nullable=False),
    Column("failed", WHOLE, nullable=False),
    Column("sealed_at", WORDS),
    Column("finished_at", WORDS),
    Column("reason", WORDS),
    Index(None, "state", "id"),
)

Table(
    "batch_items",
    METADATA,
    Column("batch_id", WORDS, ForeignKey("batches.id"), primary_key=True),
    Column("line", WHOLE, primary_key=True, autoincrement=False),
    Column("input", LargeBinary, nullable=False),
    Column("result", WORDS),
    Column("failed", Boolean, nullable=False),
    Column("claimed_by", WORDS),
    Column("claimed_until", WORDS),
    Index("ix_batch_items_open", "batch_id", "line", sqlite_where=OPEN, postgresql_where=OPEN),
)

# Who may ask, who did what, and who is told.

Table(
    "keys",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("prefix", WORDS, nullable=False),
    Column("hash", WORDS, nullable=False, unique=True),
    Column("role", WORDS, nullable=False),
    Column("name", WORDS, nullable=False),
    Column("created_at", WORDS, nullable=False),
    Column("revoked_at", WORDS),
    Column("last_used_at", WORDS),
)

Table(
    "audit",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("at", WORDS, nullable=False),
    Column("key_id", WORDS),
    Column("action", WORDS, nullable=False),
    Column("object", WORDS, nullable=False),
    Column("detail", WORDS, nullable=False),
    Column("request_id", WORDS),
)

Table(
    "webhooks",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("url", WORDS, nullable=False),
    Column("secret", WORDS, nullable=False),
    Column("events", WORDS, nullable=False),
    Column("created_at", WORDS, nullable=False),
    Column("created_by", WORDS, nullable=False),
    Column("disabled_at", WORDS),
)

Table(
    "deliveries",
    METADATA,
    Column("id", WORDS, primary_key=True),
    Column("webhook_id", WORDS, ForeignKey("webhooks.id"), nullable=False),
    Column("event_id", WORDS, nullable=False),
    Column("event", WORDS, nullable=False),
    Column("payload", WORDS, nullable=False),
    Column("state", WORDS, nullable=False),
    Column("attempts", WHOLE, nullable=False),
    Column("created_at", WORDS, nullable=False),
    Column("next_at", WORDS),
    Column("last_status", WHOLE),
    Column("last_error", WORDS),
    Index(None, "state", "next_at"),
)
