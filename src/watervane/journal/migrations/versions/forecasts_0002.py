"""Forecasts as they were made, to be scored on what came."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of forecasts."""
    op.create_table(
        "forecasts",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("tank_key", sa.Text, sa.ForeignKey("tanks.key"), nullable=False),
        sa.Column("write_key", sa.Text, sa.ForeignKey("writes.key"), nullable=False),
        sa.Column("as_of", sa.DateTime, nullable=False),
        sa.Column("horizon_days", sa.Integer, nullable=False),
        sa.Column("newest_entry", sa.BigInteger, nullable=False),
        sa.Column("seed", sa.BigInteger, nullable=False),
        sa.Column("members", sa.Integer, nullable=False),
        sa.Column("model_version", sa.Text, nullable=False),
        sa.Column("parameter_digest", sa.Text, nullable=False),
        sa.Column("document", sa.LargeBinary, nullable=False),
    )
    op.create_index("ix_forecasts_tank_key_as_of", "forecasts", ["tank_key", "as_of"])
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER forecasts_no_{what.lower()} BEFORE {what} ON forecasts "
                "BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END"
            )
        return
    op.execute(
        "CREATE TRIGGER forecasts_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON forecasts "
        "FOR EACH STATEMENT EXECUTE FUNCTION kept_for_good()"
    )
