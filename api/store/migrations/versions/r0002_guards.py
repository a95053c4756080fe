"""Triggers that keep what was acknowledged: rows that are never changed and never deleted, whoever asks."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

#: Each with the names of its primary key.
APPEND_ONLY = {
    "records": ("id",),
    "record_parts": ("part", "record_id"),
    "catalogue_versions": ("number",),
    "part_documents": ("row",),
    "part_ratings": ("row", "number"),
    "part_attributes": ("name", "value", "row"),
    "revisions": ("order_id", "designation", "revision"),
    "shipments": ("order_id", "designation", "revision"),
    "audit": ("id",),
}
#: What a row of parts says for good. Only the end of its validity is written later, once.
FIXED = (
    *("row", "part", "part_digest", "from_version"),
    *("kind", "poles", "ampere_ma", "mounting", "interrupting_ma", "folded"),
)


def upgrade() -> None:
    """Make the triggers."""
    if op.get_bind().dialect.name == "postgresql":
        _postgresql()
    else:
        _sqlite()


def downgrade() -> None:
    """Refuse: what is kept is never thrown away by a program."""
    raise NotImplementedError


def _sqlite() -> None:
    for table, key in APPEND_ONLY.items():
        _refuse_in_sqlite(table, "UPDATE")
        _refuse_in_sqlite(table, "DELETE")
        # INSERT OR REPLACE deletes what stands in its way without asking the triggers for DELETE.
        same = " AND ".join(f'"{column}" = NEW."{column}"' for column in key)
        _refuse_in_sqlite(table, "INSERT", f'WHEN EXISTS (SELECT 1 FROM "{table}" WHERE {same})')
    changed = " OR ".join(f'OLD."{column}" IS NOT NEW."{column}"' for column in FIXED)
    ended = "OLD.to_version IS NOT NULL OR NEW.to_version IS NULL"
    _refuse_in_sqlite("parts", "UPDATE", f"WHEN {ended} OR {changed}")
    _refuse_in_sqlite("parts", "DELETE")
    _refuse_in_sqlite("parts", "INSERT", 'WHEN EXISTS (SELECT 1 FROM parts WHERE "row" = NEW."row")')


def _refuse_in_sqlite(table: str, action: str, condition: str = "") -> None:
    op.execute(
        f"CREATE TRIGGER {table}_keeps_on_{action.lower()} BEFORE {action} ON {table} {condition} "
        f"BEGIN SELECT RAISE(ABORT, '{table}: rows are never changed or deleted'); END"
    )


def _postgresql() -> None:
    op.execute(
        "CREATE FUNCTION sccr_keeps() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION '%: rows are never changed or deleted', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for table in APPEND_ONLY:
        _refuse_in_postgresql(table, "UPDATE OR DELETE", "ROW")
        _refuse_in_postgresql(table, "TRUNCATE", "STATEMENT")
    changed = " OR ".join(f'OLD."{column}" IS DISTINCT FROM NEW."{column}"' for column in FIXED)
    ended = "OLD.to_version IS NOT NULL OR NEW.to_version IS NULL"
    _refuse_in_postgresql("parts", "UPDATE", "ROW", f"WHEN ({ended} OR {changed})")
    _refuse_in_postgresql("parts", "DELETE", "ROW")
    _refuse_in_postgresql("parts", "TRUNCATE", "STATEMENT")


def _refuse_in_postgresql(table: str, action: str, each: str, condition: str = "") -> None:
    name = f"{table}_keeps_on_{action.split()[0].lower()}"
    op.execute(
        f"CREATE TRIGGER {name} BEFORE {action} ON {table} FOR EACH {each} {condition} EXECUTE FUNCTION sccr_keeps()"
    )
