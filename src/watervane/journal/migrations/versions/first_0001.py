"""Tanks with their owners, writes, and entries that are only ever added to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")
APPLICATION_ID = 0x57564A4E
KEPT = ("writes", "tanks", "entries")


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "writes",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("actor", sa.Text, nullable=False),
        sa.Column("request", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("written_at", sa.DateTime, nullable=False),
        sa.UniqueConstraint("actor", "request", name="uq_writes_actor"),
    )
    op.create_table(
        "tanks",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("owner", sa.Text, nullable=False),
        sa.Column("write_key", sa.Text, sa.ForeignKey("writes.key"), nullable=False),
    )
    op.create_index("ix_tanks_owner", "tanks", ["owner"])
    _entries()
    dialect = op.get_bind().dialect.name
    if dialect == "sqlite":
        op.execute(f"PRAGMA application_id={APPLICATION_ID}")
    for table in KEPT:
        _keep_for_good(table, dialect)


def _entries() -> None:
    op.create_table(
        "entries",
        sa.Column("number", NUMBER, sa.Identity(), primary_key=True),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("tank_key", sa.Text, sa.ForeignKey("tanks.key"), nullable=False),
        sa.Column("write_key", sa.Text, sa.ForeignKey("writes.key"), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("corrects", sa.Text, sa.ForeignKey("entries.key")),
        sa.Column("at", sa.DateTime),
        sa.Column("zone", sa.Text),
        sa.Column("hour_known", sa.Boolean),
        sa.Column("subject", sa.Text),
        sa.Column("low", sa.Float),
        sa.Column("high", sa.Float),
        sa.Column("raw", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.UniqueConstraint("key", name="uq_entries_key"),
        sa.CheckConstraint("kind IN ('tank', 'reading', 'event', 'habit', 'undo')", name="kind"),
        sa.CheckConstraint("kind <> 'undo' OR corrects IS NOT NULL", name="undo"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_entries_write_key", "entries", ["write_key"])
    op.create_index("ix_entries_tank_key_kind_at", "entries", ["tank_key", "kind", "at"])
    op.create_index("ix_entries_tank_key_number", "entries", ["tank_key", "number"])
    op.create_index("ix_entries_tank_key_corrects", "entries", ["tank_key", "corrects"])


def _keep_for_good(table: str, dialect: str) -> None:
    """Let the database itself refuse to change or delete what was kept."""
    if dialect == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} "
                "BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END"
            )
        return
    op.execute(
        "CREATE OR REPLACE FUNCTION kept_for_good() RETURNS trigger AS $$ "
        "BEGIN RAISE EXCEPTION 'what was kept is never changed'; END $$ LANGUAGE plpgsql"
    )
    op.execute(
        f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION kept_for_good()"
    )
