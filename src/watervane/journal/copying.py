"""All that a journal holds, as rows of any database."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, func, insert, select

from watervane.journal.tables import entries, metadata, tanks

_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class Contents:
    """What a journal holds at one moment; equal contents have equal digests."""

    tanks: int
    entries: int
    digest: str


def contents(connection: Connection) -> Contents:
    """Read a whole journal, every row of it."""
    digest = hashlib.sha256()
    counted = {}
    for table in metadata.sorted_tables:
        count = 0
        for row in _rows(connection, table):
            digest.update(repr((table.name, *row.values())).encode())
            count += 1
        counted[table.name] = count
    return Contents(counted[tanks.name], counted[entries.name], digest.hexdigest())


def copy_rows(source: Connection, target: Connection) -> None:
    """Put every row of one journal into another, empty one."""
    for table in metadata.sorted_tables:
        waiting: list[dict[str, Any]] = []
        for row in _rows(source, table):
            waiting.append(dict(row))
            if len(waiting) == _AT_ONCE:
                target.execute(insert(table), waiting)
                waiting = []
        if waiting:
            target.execute(insert(table), waiting)
    if target.dialect.name == "postgresql":  # the next number follows the highest there is
        highest = select(func.coalesce(func.max(entries.c.number), 0) + 1).scalar_subquery()
        sequence = func.pg_get_serial_sequence(entries.name, entries.c.number.name)
        target.execute(select(func.setval(sequence, highest, False)))


def is_empty(connection: Connection) -> bool:
    """Whether nothing was ever written."""
    return connection.execute(select(tanks.c.key).limit(1)).first() is None


def _rows(connection: Connection, table: Table) -> Iterator[RowMapping]:
    ordered = select(table).order_by(*table.primary_key.columns)
    yield from connection.execute(ordered).yield_per(_AT_ONCE).mappings()
