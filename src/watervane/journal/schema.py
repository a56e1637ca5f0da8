"""Bring a journal to the schema this program knows."""

from __future__ import annotations

import sqlite3
from contextlib import closing

from sqlalchemy import Connection, Engine, inspect

from watervane.journal.connections import connected_for_reading
from watervane.journal.places import Place
from watervane.journal.troubles import JournalTrouble

REVISIONS = (
    "0001",
    "0002",
    "0003",
    "0004",
)  # every schema that ever landed; the last is this program's own
HEAD = REVISIONS[-1]
_MIGRATIONS = "watervane.journal:migrations"


def revision_of(connection: Connection) -> str | None:
    """The schema of an open journal; ``None`` where there are no tables yet.

    Raises
    ------
    JournalTrouble
        Where the tables are none of ours.
    """
    names = set(inspect(connection).get_table_names())
    if "alembic_version" in names:
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        return None if found is None else str(found)
    if names and connection.dialect.name == "sqlite":
        raise JournalTrouble("journal-foreign")
    return None


def check_known(revision: str, place: Place) -> None:
    """Refuse a journal that a newer program has brought further.

    Raises
    ------
    JournalTrouble
        ``journal-newer``.
    """
    if revision not in REVISIONS:
        raise JournalTrouble("journal-newer", place=str(place), schema=revision, known=HEAD)


def bring_up(engine: Engine, place: Place) -> None:
    """Make the tables, or take the steps that lead to this program's schema, all or none.

    Raises
    ------
    JournalTrouble
        Where the journal is newer than the program or no journal at all.
    """
    with engine.begin() as connection:
        revision = revision_of(connection)
        if revision is not None:
            check_known(revision, place)
        if revision == HEAD:
            return
        if revision is not None and place.file is not None:
            _keep_copy(place, revision)
        upgrade(connection, HEAD)


def upgrade(connection: Connection, revision: str) -> None:
    """Take the steps up to ``revision`` within the connection's transaction."""
    from alembic import command  # noqa: PLC0415 - slow, and seldom needed
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", _MIGRATIONS)
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def _keep_copy(place: Place, revision: str) -> None:
    """Leave the journal as it was beside the one that is about to change."""
    if place.file is None:
        return
    beside = place.file.with_name(f"{place.file.stem}-before-{HEAD}-was-{revision}.sqlite")
    with (
        closing(connected_for_reading(place.file)) as source,
        closing(sqlite3.connect(beside)) as copy,
    ):
        source.backup(copy)
