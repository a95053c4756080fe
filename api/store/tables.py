"""The tables, as the newest migration leaves them; a test holds the two to each other."""

from sqlalchemy import Boolean
from sqlalchemy import Column
from sqlalchemy import ForeignKey
from sqlalchemy import ForeignKeyConstraint
from sqlalchemy import Index
from sqlalchemy import LargeBinary
from sqlalchemy import MetaData
from sqlalchemy import Table
from sqlalchemy import text

from .column_types import Whole
from .column_types import Words

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_PRESENT = text("to_version IS NULL")
_OPEN = text("result IS NULL")
_PLACED = text("place IS NOT NULL")

# What was rated. Append-only, and held so by triggers.

records = Table(
    "records",
    metadata,
    Column("id", Words, primary_key=True),
    Column("document", Words, nullable=False),
    Column("document_digest", Words, nullable=False),
    Column("result", Words, nullable=False),
    Column("status", Words, nullable=False),
    Column("current_ma", Whole),
    Column("engine_version", Words, nullable=False),
    Column("edition", Words, nullable=False),
    Column("tables_digest", Words, nullable=False),
    Column("catalogue_digest", Words),
    Column("catalogue_version", Whole, ForeignKey("catalogue_versions.number")),
    Column("asked_by", Words, nullable=False),
    Column("asked_at", Words, nullable=False),
    Column("order_id", Words),
    Column("designation", Words),
    Column("revision", Whole),
    Column("digest", Words, nullable=False),
    Index(None, "document_digest", "id"),
    Index(None, "order_id", "id"),
    # By which method the records are, told without reading their long texts.
    Index("ix_records_method", "engine_version", "edition", "tables_digest", "catalogue_version", "id"),
)

record_parts = Table(
    "record_parts",
    metadata,
    Column("part", Words, primary_key=True),
    Column("record_id", Words, ForeignKey("records.id"), primary_key=True),
    Index(None, "record_id"),
    sqlite_with_rowid=False,
)

# The catalogue. A row of parts is a part as it was from one version to the version before another; of a row only the
# end of its validity is ever written later. The long text stands apart, so that a search reads narrow rows.

catalogue_versions = Table(
    "catalogue_versions",
    metadata,
    Column("number", Whole, primary_key=True, autoincrement=False),
    Column("digest", Words, nullable=False),
    Column("parts", Whole, nullable=False),
    Column("created_at", Words, nullable=False),
    Column("created_by", Words, nullable=False),
    Column("note", Words),
)

parts = Table(
    "parts",
    metadata,
    Column("row", Whole, primary_key=True, autoincrement=False),
    Column("part", Words, nullable=False),
    Column("part_digest", Words, nullable=False),
    Column("from_version", Whole, ForeignKey("catalogue_versions.number"), nullable=False),
    Column("to_version", Whole, ForeignKey("catalogue_versions.number")),
    Column("kind", Words, nullable=False),
    Column("poles", Whole),
    Column("ampere_ma", Whole),
    Column("mounting", Words),
    Column("interrupting_ma", Whole),
    Column("folded", Words, nullable=False),
    Index(None, "part", "from_version", unique=True),
    Index("ix_parts_present", "part", unique=True, sqlite_where=_PRESENT, postgresql_where=_PRESENT),
    Index(None, "kind", "part"),
)

part_documents = Table(
    "part_documents",
    metadata,
    Column("row", Whole, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    Column("document", Words, nullable=False),
)

part_ratings = Table(
    "part_ratings",
    metadata,
    Column("row", Whole, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    Column("number", Whole, primary_key=True, autoincrement=False),
    Column("supply", Words, nullable=False),
    Column("form", Words, nullable=False),
    Column("line_mv", Whole, nullable=False),
    Column("ground_mv", Whole),
    Column("applied", Boolean, nullable=False),
    Column("interrupting_ma", Whole),
    sqlite_with_rowid=False,
)

part_attributes = Table(
    "part_attributes",
    metadata,
    Column("name", Words, primary_key=True),
    Column("value", Words, primary_key=True),
    Column("row", Whole, ForeignKey("parts.row"), primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

# Orders. Revisions and shipments are append-only.

orders = Table(
    "orders",
    metadata,
    Column("order_id", Words, primary_key=True),
    Column("folded", Words, nullable=False),
    Column("created_at", Words, nullable=False),
)

panels = Table(
    "panels",
    metadata,
    Column("order_id", Words, ForeignKey("orders.order_id"), primary_key=True),
    Column("designation", Words, primary_key=True),
    Column("folded", Words, nullable=False),
    Column("newest", Whole, nullable=False),
    Column("changed_at", Words, nullable=False),
)

revisions = Table(
    "revisions",
    metadata,
    Column("order_id", Words, primary_key=True),
    Column("designation", Words, primary_key=True),
    Column("revision", Whole, primary_key=True, autoincrement=False),
    Column("record_id", Words, ForeignKey("records.id"), nullable=False, unique=True),
    Column("etag", Words, nullable=False),
    Column("created_at", Words, nullable=False),
    Column("created_by", Words, nullable=False),
    ForeignKeyConstraint(["order_id", "designation"], ["panels.order_id", "panels.designation"]),
)

shipments = Table(
    "shipments",
    metadata,
    Column("order_id", Words, primary_key=True),
    Column("designation", Words, primary_key=True),
    Column("revision", Whole, primary_key=True, autoincrement=False),
    Column("shipped_at", Words, nullable=False),
    Column("shipped_by", Words, nullable=False),
    ForeignKeyConstraint(
        ["order_id", "designation", "revision"],
        ["revisions.order_id", "revisions.designation", "revisions.revision"],
    ),
)

# What is under way.

idempotency = Table(
    "idempotency",
    metadata,
    Column("scope", Words, primary_key=True),
    Column("key", Words, primary_key=True),
    Column("fingerprint", Words, nullable=False),
    Column("token", Words, nullable=False),
    Column("claimed_at", Words, nullable=False),
    Column("status", Whole),
    Column("headers", Words),
    Column("body", LargeBinary),
    Index(None, "claimed_at"),
)

batches = Table(
    "batches",
    metadata,
    Column("id", Words, primary_key=True),
    Column("created_at", Words, nullable=False),
    Column("created_by", Words, nullable=False),
    Column("state", Words, nullable=False),
    Column("options", Words, nullable=False),
    Column("lines", Whole, nullable=False),
    Column("done", Whole, nullable=False),
    Column("failed", Whole, nullable=False),
    Column("sealed_at", Words),
    Column("finished_at", Words),
    Column("reason", Words),
    Column("kind", Words, nullable=False, server_default="ratings"),
    Index(None, "state", "id"),
)

batch_items = Table(
    "batch_items",
    metadata,
    Column("batch_id", Words, ForeignKey("batches.id"), primary_key=True),
    Column("line", Whole, primary_key=True, autoincrement=False),
    Column("input", LargeBinary, nullable=False),
    Column("result", Words),
    Column("failed", Boolean, nullable=False),
    Column("claimed_by", Words),
    Column("claimed_until", Words),
    Column("attempts", Whole, nullable=False, server_default="0"),
    Column("place", Whole),
    Index("ix_batch_items_open", "batch_id", "line", sqlite_where=_OPEN, postgresql_where=_OPEN),
    Index("ix_batch_items_place", "batch_id", "place", "line", sqlite_where=_PLACED, postgresql_where=_PLACED),
)

# Who may ask, who did what, and who is told.

keys = Table(
    "keys",
    metadata,
    Column("id", Words, primary_key=True),
    Column("prefix", Words, nullable=False),
    Column("hash", Words, nullable=False, unique=True),
    Column("role", Words, nullable=False),
    Column("name", Words, nullable=False),
    Column("created_at", Words, nullable=False),
    Column("revoked_at", Words),
    Column("last_used_at", Words),
)

audit = Table(
    "audit",
    metadata,
    Column("id", Words, primary_key=True),
    Column("at", Words, nullable=False),
    Column("key_id", Words),
    Column("action", Words, nullable=False),
    Column("object", Words, nullable=False),
    Column("detail", Words, nullable=False),
    Column("request_id", Words),
)

webhooks = Table(
    "webhooks",
    metadata,
    Column("id", Words, primary_key=True),
    Column("url", Words, nullable=False),
    Column("secret", Words, nullable=False),
    Column("events", Words, nullable=False),
    Column("created_at", Words, nullable=False),
    Column("created_by", Words, nullable=False),
    Column("disabled_at", Words),
)

deliveries = Table(
    "deliveries",
    metadata,
    Column("id", Words, primary_key=True),
    Column("webhook_id", Words, ForeignKey("webhooks.id"), nullable=False),
    Column("event_id", Words, nullable=False),
    Column("event", Words, nullable=False),
    Column("payload", Words, nullable=False),
    Column("state", Words, nullable=False),
    Column("attempts", Whole, nullable=False),
    Column("created_at", Words, nullable=False),
    Column("next_at", Words),
    Column("last_status", Whole),
    Column("last_error", Words),
    Index(None, "state", "next_at"),
)
