"""A tank's log, a part at a time, by when things happened."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, func, or_, select

from watervane.journal.entries import entry_of
from watervane.journal.lineage import Lineage
from watervane.journal.plain import NAME_OF
from watervane.journal.tables import EVENT, HABIT, READING, entries
from watervane.records import LogAsked, LogPart, Reading

CONTENT = (READING, EVENT, HABIT)


def log_part(
    connection: Connection, joined: Select[Any], sorted_out: Lineage, key: str, asked: LogAsked
) -> LogPart:
    """The entries that are asked for, corrected and undone ones among them.

    Parameters
    ----------
    connection
        To the journal.
    joined
        Selects entries with their writes.
    sorted_out
        Of the tank.
    key
        Of the tank.
    asked
        Which entries.
    """
    wanted = and_(entries.c.tank_key == key, *_conditions(asked))
    count = select(func.count()).select_from(entries).where(wanted)
    total = int(connection.execute(count).scalar_one())
    rows = connection.execute(
        joined.where(wanted)
        .order_by(entries.c.at.desc(), entries.c.number.desc())
        .offset(asked.skip)
        .limit(asked.count)
    ).all()
    return LogPart(
        entries=tuple(entry_of(row, standing=sorted_out.stands(row.key)) for row in rows),
        total=total,
        corrected=frozenset(row.number for row in rows if row.key in sorted_out.replaced),
    )


def _conditions(asked: LogAsked) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    if asked.until is not None:
        found.append(entries.c.at < asked.until)
    if not asked.kinds:
        return [*found, entries.c.kind.in_(CONTENT)]
    names = sorted(NAME_OF[kind] for kind in asked.kinds if kind is not Reading)
    events = and_(entries.c.kind.in_((EVENT, HABIT)), entries.c.subject.in_(names))
    readings = entries.c.kind == READING
    return [*found, or_(events, readings) if Reading in asked.kinds else events]
