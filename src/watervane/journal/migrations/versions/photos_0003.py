"""Photos, each of one entry."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of photos."""
    op.create_table(
        "photos",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("entry_key", sa.Text, sa.ForeignKey("entries.key"), nullable=False),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("width_px", sa.Integer, nullable=False),
        sa.Column("height_px", sa.Integer, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    op.create_index("ix_photos_entry_key", "photos", ["entry_key"])
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER photos_no_{what.lower()} BEFORE {what} ON photos "
                "BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END"
            )
        return
    op.execute(
        "CREATE TRIGGER photos_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON photos "
        "FOR EACH STATEMENT EXECUTE FUNCTION kept_for_good()"
    )
