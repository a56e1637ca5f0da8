"""A tank's whole history out of a journal."""

from __future__ import annotations

import dataclasses

from sqlalchemy import Connection, or_, select

from watervane.journal.entries import kept_forecast, kept_photo
from watervane.journal.tables import entries, forecasts, photos, tanks, writes
from watervane.records import (
    EntryMade,
    ForecastMade,
    KeptForecast,
    PhotoMade,
    TankHistory,
    WriteMade,
)

ENTRY_COLUMNS = tuple(
    field.name for field in dataclasses.fields(EntryMade) if field.name != "write"
)
WRITE_COLUMNS = tuple(field.name for field in dataclasses.fields(WriteMade))


def history_of(connection: Connection, key: str, name: str) -> TankHistory:
    """Every row about a tank, in the order it was written."""
    rows = connection.execute(
        select(entries).where(entries.c.tank_key == key).order_by(entries.c.number)
    ).all()
    by_number = {row.number: row.key for row in rows}
    made = tuple(
        EntryMade(write=row.write_key, **{name: getattr(row, name) for name in ENTRY_COLUMNS})
        for row in rows
    )
    kept = connection.execute(
        select(forecasts, writes.c.written_at)
        .join(writes, forecasts.c.write_key == writes.c.key)
        .where(forecasts.c.tank_key == key)
        .order_by(writes.c.written_at, forecasts.c.key)
    ).all()
    pictures = connection.execute(
        select(photos)
        .join(entries, photos.c.entry_key == entries.c.key)
        .where(entries.c.tank_key == key)
        .order_by(entries.c.number, photos.c.key)
    ).all()
    write = connection.execute(select(tanks.c.write_key).where(tanks.c.key == key)).scalar_one()
    return TankHistory(
        key=key,
        name=name,
        write=write,
        writes=_writes(connection, key),
        entries=made,
        forecasts=tuple(
            ForecastMade(
                row.key,
                row.write_key,
                by_number.get(row.newest_entry),
                _unnumbered(kept_forecast(row)),
            )
            for row in kept
        ),
        photos=tuple(PhotoMade(row.key, row.entry_key, kept_photo(row)) for row in pictures),
    )


def _unnumbered(forecast: KeptForecast) -> KeptForecast:
    """Without what is told by keys: numbers and moments of writing belong to one journal."""
    return dataclasses.replace(forecast, newest_entry=0, made_at=None)


def _writes(connection: Connection, key: str) -> tuple[WriteMade, ...]:
    """The writes that anything about a tank came of, in their order."""
    of_entries = select(entries.c.write_key).where(entries.c.tank_key == key)
    of_forecasts = select(forecasts.c.write_key).where(forecasts.c.tank_key == key)
    of_tank = select(tanks.c.write_key).where(tanks.c.key == key)
    rows = connection.execute(
        select(writes)
        .where(
            or_(
                writes.c.key.in_(of_entries),
                writes.c.key.in_(of_forecasts),
                writes.c.key.in_(of_tank),
            )
        )
        .order_by(writes.c.written_at, writes.c.key)
    )
    return tuple(WriteMade(**{name: getattr(row, name) for name in WRITE_COLUMNS}) for row in rows)
