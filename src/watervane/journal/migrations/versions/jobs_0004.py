"""Jobs for a worker, and the newest result of each tank: the only tables whose rows change."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "jobs",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("owner", sa.Text, nullable=False),
        sa.Column("tank_key", sa.Text, sa.ForeignKey("tanks.key"), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("newest_entry", sa.BigInteger, nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("stage", sa.Text, nullable=False),
        sa.Column("progress", sa.Float, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("worker", sa.Text),
        sa.Column("asked_at", sa.DateTime, nullable=False),
        sa.Column("started_at", sa.DateTime),
        sa.Column("beaten_at", sa.DateTime),
        sa.Column("ended_at", sa.DateTime),
        sa.Column("why_key", sa.Text),
        sa.Column("why_arguments", sa.Text),
        sa.CheckConstraint("kind IN ('forecast', 'today')", name="kind"),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'done', 'failed', 'cancelled')", name="state"
        ),
        sa.UniqueConstraint("tank_key", "kind", "newest_entry", "day", name="uq_jobs_tank_key"),
    )
    op.create_index("ix_jobs_state_asked_at", "jobs", ["state", "asked_at"])
    op.create_table(
        "results",
        sa.Column("tank_key", sa.Text, sa.ForeignKey("tanks.key"), primary_key=True),
        sa.Column("kind", sa.Text, primary_key=True),
        sa.Column("grade", sa.Text, nullable=False),
        sa.Column("as_of", sa.DateTime, nullable=False),
        sa.Column("current_until", sa.DateTime, nullable=False),
        sa.Column("newest_entry", sa.BigInteger, nullable=False),
        sa.Column("seed", sa.BigInteger, nullable=False),
        sa.Column("members", sa.Integer, nullable=False),
        sa.Column("model_version", sa.Text, nullable=False),
        sa.Column("parameter_digest", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("document", sa.LargeBinary, nullable=False),
        sa.CheckConstraint("kind IN ('forecast', 'today')", name="kind"),
        sa.CheckConstraint("grade IN ('provisional', 'full')", name="grade"),
    )
