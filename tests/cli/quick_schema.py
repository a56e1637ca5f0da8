"""Tables of a new journal from the statements that its steps came to once, not from all the steps.

Every test begins with a journal of its own. The steps themselves are held by the tests of the
journal, which take them as they are.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from sqlalchemy import Connection, create_engine, text
from sqlalchemy.pool import StaticPool

from watervane.journal import schema

_step_by_step = schema.upgrade
_NAMED = text("select sql from sqlite_master where sql is not null and name not like 'sqlite_%'")


@cache
def _statements() -> tuple[str, ...]:
    engine = create_engine("sqlite://", poolclass=StaticPool)
    with engine.begin() as connection:
        _step_by_step(connection, schema.HEAD)
        made = [str(row[0]) for row in connection.execute(_NAMED)]
        made += [
            f"PRAGMA {name}={connection.exec_driver_sql(f'PRAGMA {name}').scalar()}"
            for name in ("application_id", "user_version")
        ]
    engine.dispose()
    return tuple(made)


def upgrade(connection: Connection, revision: str) -> None:
    """As `schema.upgrade`; an empty journal in a file gets its last tables at once."""
    dialect: Any = connection.dialect
    whole = dialect.name == "sqlite" and revision == schema.HEAD
    if not whole or connection.execute(_NAMED).first() is not None:
        _step_by_step(connection, revision)
        return
    for each in _statements():
        connection.exec_driver_sql(each)
    connection.exec_driver_sql("insert into alembic_version values (?)", (schema.HEAD,))
