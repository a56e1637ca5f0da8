"""The tables of the journal, as the newest migration leaves them."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    Identity,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

from watervane.journal.moments import UtcMoment

NUMBER = BigInteger().with_variant(Integer, "sqlite")  # SQLite counts in an INTEGER alone
DESCRIPTION, READING, EVENT, HABIT, UNDO = "tank", "reading", "event", "habit", "undo"
KINDS = (DESCRIPTION, READING, EVENT, HABIT, UNDO)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
    }
)

writes = Table(
    "writes",
    metadata,
    Column("key", Text, primary_key=True),
    Column("actor", Text, nullable=False),
    Column("request", Text, nullable=False),  # the writer's own name for it: sent twice, kept once
    Column("digest", Text, nullable=False),  # of what was asked
    Column("what", Text, nullable=False),
    Column("written_at", UtcMoment, nullable=False),
    UniqueConstraint("actor", "request"),
)

tanks = Table(
    "tanks",
    metadata,
    Column("key", Text, primary_key=True),
    Column("owner", Text, nullable=False, index=True),
    Column("write_key", Text, ForeignKey("writes.key"), nullable=False),
)

entries = Table(
    "entries",
    metadata,
    Column("number", NUMBER, Identity(), primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    Column("tank_key", Text, ForeignKey("tanks.key"), nullable=False),
    Column("write_key", Text, ForeignKey("writes.key"), nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("corrects", Text, ForeignKey("entries.key")),
    Column("at", UtcMoment),
    Column("zone", Text),
    Column("hour_known", Boolean),
    Column("subject", Text),  # quantity of a reading, kind of an event
    Column("low", Float),  # of a reading, in the canonical unit of its quantity
    Column("high", Float),
    Column("raw", Text, nullable=False),  # as the keeper wrote it
    Column("body", Text, nullable=False),  # as it was understood, JSON
    CheckConstraint("kind IN ('tank', 'reading', 'event', 'habit', 'undo')", name="kind"),
    CheckConstraint("kind <> 'undo' OR corrects IS NOT NULL", name="undo"),
    Index("ix_entries_tank_key_kind_at", "tank_key", "kind", "at"),
    Index("ix_entries_tank_key_number", "tank_key", "number"),  # the newest of a tank
    Index("ix_entries_tank_key_corrects", "tank_key", "corrects"),
    sqlite_autoincrement=True,
)

forecasts = Table(
    "forecasts",
    metadata,
    Column("key", Text, primary_key=True),
    Column("tank_key", Text, ForeignKey("tanks.key"), nullable=False),
    Column("write_key", Text, ForeignKey("writes.key"), nullable=False),
    Column("as_of", UtcMoment, nullable=False),
    Column("horizon_days", Integer, nullable=False),
    Column("newest_entry", BigInteger, nullable=False),  # the last one the forecast knew of
    Column("seed", BigInteger, nullable=False),
    Column("members", Integer, nullable=False),
    Column("model_version", Text, nullable=False),
    Column("parameter_digest", Text, nullable=False),
    Column("document", LargeBinary, nullable=False),  # JSON text, packed by zlib
    Index("ix_forecasts_tank_key_as_of", "tank_key", "as_of"),
)

photos = Table(
    "photos",
    metadata,
    Column("key", Text, primary_key=True),
    Column("entry_key", Text, ForeignKey("entries.key"), nullable=False, index=True),
    Column("media_type", Text, nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("digest", Text, nullable=False),
    Column("data", LargeBinary, nullable=False),
)

# What follows is no entry: it says what is to be computed and what came of it last, may change and
# can be made again. Nothing that keepers wrote lies here.
jobs = Table(
    "jobs",
    metadata,
    Column("key", Text, primary_key=True),
    Column("owner", Text, nullable=False),
    Column("tank_key", Text, ForeignKey("tanks.key"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("newest_entry", BigInteger, nullable=False),  # of the tank when it was asked for
    Column("day", Date, nullable=False),  # by the tank's own clock
    Column("state", Text, nullable=False),
    Column("stage", Text, nullable=False),
    Column("progress", Float, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("worker", Text),  # who runs it, or did
    Column("asked_at", UtcMoment, nullable=False),
    Column("started_at", UtcMoment),
    Column("beaten_at", UtcMoment),
    Column("ended_at", UtcMoment),
    Column("why_key", Text),
    Column("why_arguments", Text),  # JSON
    CheckConstraint("kind IN ('forecast', 'today')", name="kind"),
    CheckConstraint("state IN ('waiting', 'running', 'done', 'failed', 'cancelled')", name="state"),
    UniqueConstraint("tank_key", "kind", "newest_entry", "day"),
    Index("ix_jobs_state_asked_at", "state", "asked_at"),
)

results = Table(
    "results",
    metadata,
    Column("tank_key", Text, ForeignKey("tanks.key"), primary_key=True),
    Column("kind", Text, primary_key=True),
    Column("grade", Text, nullable=False),
    Column("as_of", UtcMoment, nullable=False),
    Column("current_until", UtcMoment, nullable=False),
    Column("newest_entry", BigInteger, nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("members", Integer, nullable=False),
    Column("model_version", Text, nullable=False),
    Column("parameter_digest", Text, nullable=False),
    Column("made_at", UtcMoment, nullable=False),
    Column("document", LargeBinary, nullable=False),  # JSON text, packed by zlib
    CheckConstraint("kind IN ('forecast', 'today')", name="kind"),
    CheckConstraint("grade IN ('provisional', 'full')", name="grade"),
)
