"""${message}."""

from alembic import op

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the schema from the step before to this one."""
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    """Refuse: what is kept is never thrown away by a program."""
    raise NotImplementedError
