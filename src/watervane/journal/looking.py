"""Read a journal as one person may: their own tanks, as of one moment."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Hashable, Mapping
from typing import Any

from sqlalchemy import Connection, Row, Select, and_, func, select

from watervane.journal.entries import described, entry_of, kept_forecast, kept_photo, understood
from watervane.journal.history import history_of
from watervane.journal.lineage import Lineage, lineage
from watervane.journal.looking_at_jobs import LookingAtJobs
from watervane.journal.looking_at_log import CONTENT, log_part
from watervane.journal.memory import Made, Memory
from watervane.journal.moments import in_zone
from watervane.journal.tables import (
    DESCRIPTION,
    EVENT,
    HABIT,
    READING,
    UNDO,
    entries,
    forecasts,
    photos,
    tanks,
    writes,
)
from watervane.journal.troubles import JournalTrouble
from watervane.records import (
    Entry,
    KeptForecast,
    KeptTank,
    LogAsked,
    LogPart,
    Person,
    Photo,
    Receipt,
    Tank,
    TankHistory,
)


class Looking(LookingAtJobs):
    """One view of a journal; it ends with the block it was opened in."""

    def __init__(self, connection: Connection, actor: Person, memory: Memory | None = None) -> None:
        self._connection = connection
        self._actor = actor
        self._memory = memory
        self._newest: int | None = None

    def tanks(self) -> tuple[KeptTank, ...]:
        """The actor's tanks, by name."""
        return self._once(("tanks",), self._tanks)

    def _tanks(self) -> tuple[KeptTank, ...]:
        found = [self._listed(key, tank) for key, tank in self._descriptions().items()]
        return tuple(sorted(found, key=lambda tank: (tank.name.casefold(), tank.key)))

    def key_of(self, name: str) -> str:
        """The key of the actor's tank of that name, however it is capitalised.

        Raises
        ------
        JournalTrouble
            ``tank-unknown``, with the names there are.
        """
        described_ones = self._descriptions()
        wanted = name.strip().casefold()
        exact = [key for key, tank in described_ones.items() if tank.name == name]
        alike = [key for key, tank in described_ones.items() if tank.name.casefold() == wanted]
        if exact or len(alike) == 1:
            return (exact or alike)[0]
        names = tuple(sorted(tank.name for tank in described_ones.values()))
        raise JournalTrouble("tank-unknown" if names else "tank-none", name=name, known=names)

    def description(self, key: str) -> Tank:
        """A tank as it is described, its log left out."""
        found = self._descriptions().get(key)
        if found is None:
            raise JournalTrouble("tank-unknown", name=key, known=())
        return found

    def tank(self, key: str) -> Tank:
        """A tank with all that stands in its log, in the order it was written."""
        tank = self.description(key)
        sorted_out = self._lineage(key)
        rows = self._connection.execute(
            select(entries)
            .where(entries.c.tank_key == key, entries.c.kind.in_(CONTENT))
            .order_by(entries.c.number)
        ).all()
        number = {row.key: row.number for row in rows}
        standing = [row for row in rows if sorted_out.stands(row.key)]
        standing.sort(key=lambda row: number.get(sorted_out.first(row.key), row.number))
        log: dict[str, list[Any]] = {kind: [] for kind in CONTENT}
        for row in standing:
            log[row.kind].append(understood(row))
        return dataclasses.replace(
            tank,
            events=tuple(log[EVENT]),
            habits=tuple(log[HABIT]),
            readings=tuple(log[READING]),
        )

    def entries(
        self, key: str, newest: int | None = None, *, all_of_them: bool = False
    ) -> tuple[Entry, ...]:
        """What was written about a tank, the newest last.

        Parameters
        ----------
        key
            Of the tank.
        newest
            How many at most, from the newest on.
        all_of_them
            Those that were corrected or undone, too.
        """
        self.description(key)
        sorted_out = self._lineage(key)
        query = self._joined().where(entries.c.tank_key == key, entries.c.kind.in_(CONTENT))
        fallen = 0 if all_of_them else len(sorted_out.undone) + len(sorted_out.replaced)
        query = query.order_by(entries.c.number.desc())
        if newest is not None:
            query = query.limit(newest + fallen)
        found = [
            entry_of(row, standing=sorted_out.stands(row.key))
            for row in self._connection.execute(query)
            if all_of_them or sorted_out.stands(row.key)
        ]
        return tuple(reversed(found[:newest]))

    def latest(self, key: str, each: int) -> tuple[Entry, ...]:
        """What happened to a tank last, by when it happened, the latest last.

        Parameters
        ----------
        key
            Of the tank.
        each
            How many readings, events and habits at most, those corrected or undone among them.
        """
        return self._once(("latest", key, each), lambda: self._latest(key, each))

    def _latest(self, key: str, each: int) -> tuple[Entry, ...]:
        self.description(key)
        sorted_out = self._lineage(key)
        found: list[Row[Any]] = []
        for kind in CONTENT:
            query = self._joined().where(entries.c.tank_key == key, entries.c.kind == kind)
            order = (entries.c.at.desc(), entries.c.number.desc())
            found += self._connection.execute(query.order_by(*order).limit(each))
        found.sort(key=lambda row: (row.at, row.number))
        return tuple(entry_of(row, standing=sorted_out.stands(row.key)) for row in found)

    def logged(self, key: str, asked: LogAsked) -> LogPart:
        """A part of a tank's log, by when things happened, the latest first."""
        self.description(key)

        def part() -> LogPart:
            return log_part(self._connection, self._joined(), self._lineage(key), key, asked)

        return self._once(("logged", key, asked), part)

    def entry(self, number: int) -> tuple[str, Entry]:
        """An entry of one of the actor's tanks by its number, with the key of the tank.

        Raises
        ------
        JournalTrouble
            ``entry-unknown``.
        """
        row = self._connection.execute(
            self._joined().where(entries.c.number == number, entries.c.kind.in_(CONTENT))
        ).first()
        if row is None or row.tank_key not in self._descriptions():
            raise JournalTrouble("entry-unknown", number=number)
        standing = self._lineage(row.tank_key).stands(row.key)
        return row.tank_key, entry_of(row, standing=standing)

    def taken_back(self, undoing: Receipt) -> tuple[Entry, ...]:
        """The entries that a write of undoing took back, descriptions left out."""
        if not undoing.entries:
            return ()
        first, last = undoing.entries[0], undoing.entries[-1]
        undone = select(entries.c.corrects).where(
            entries.c.tank_key == undoing.tank,
            entries.c.number.between(first, last),
            entries.c.kind == UNDO,
        )
        query = self._joined().where(
            entries.c.tank_key == undoing.tank,
            entries.c.key.in_(undone),
            entries.c.kind.in_(CONTENT),
        )
        rows = self._connection.execute(query.order_by(entries.c.number))
        return tuple(entry_of(row, standing=False) for row in rows)

    def photos(self, number: int) -> tuple[Photo, ...]:
        """The photos of an entry, those of the entry it corrects after its own.

        Raises
        ------
        JournalTrouble
            ``entry-unknown``.
        """
        found: list[Photo] = []
        entry: str | None = self.entry(number)[1].key
        while entry is not None:
            query = select(photos).where(photos.c.entry_key == entry).order_by(photos.c.key)
            found += map(kept_photo, self._connection.execute(query))
            before = select(entries.c.corrects).where(entries.c.key == entry)
            entry = self._connection.execute(before).scalar_one()
        return tuple(found)

    def with_photos(self, key: str) -> frozenset[int]:
        """The numbers of a tank's entries that photos were kept with."""
        return self._once(("photos", key), lambda: self._with_photos(key))

    def _with_photos(self, key: str) -> frozenset[int]:
        joined = select(entries.c.number).join(photos, photos.c.entry_key == entries.c.key)
        # Not by the index of tanks: there are few photos and, after years, many entries.
        of_tank = entries.c.tank_key.concat("") == key
        found = self._connection.execute(joined.where(of_tank))
        return frozenset(found.scalars())

    def newest_entry(self, key: str) -> int:
        """The number of the last entry about a tank, whatever its kind."""
        newest = select(func.max(entries.c.number)).where(entries.c.tank_key == key)
        return self._connection.execute(newest).scalar_one() or 0

    def written_since(self, key: str, number: int) -> int:
        """How many entries about a tank came after one; numbers run over all tanks."""
        later = (entries.c.tank_key == key, entries.c.number > number)
        counted = select(func.count()).select_from(entries).where(*later)
        asked = ("since", key, number)
        return self._once(asked, lambda: self._connection.execute(counted).scalar_one())

    def forecasts(self, key: str, newest: int | None = None) -> tuple[KeptForecast, ...]:
        """Forecasts of a tank as they were made, the one of the latest moment last."""
        self.description(key)
        query = (
            select(forecasts, writes.c.written_at)
            .join(writes, forecasts.c.write_key == writes.c.key)
            .where(forecasts.c.tank_key == key)
            .order_by(forecasts.c.as_of.desc(), writes.c.written_at.desc())
            .limit(newest)
        )
        return tuple(map(kept_forecast, reversed(self._connection.execute(query).all())))

    def history(self, key: str) -> TankHistory:
        """All that was ever written about a tank, for taking it to another journal."""
        return history_of(self._connection, key, self.description(key).name)

    def _joined(self) -> Select[Any]:
        return select(entries, writes.c.actor, writes.c.written_at).join(
            writes, entries.c.write_key == writes.c.key
        )

    def _once(self, asked: tuple[Hashable, ...], make: Callable[[], Made]) -> Made:
        """What is made of entries alone, from memory where nothing was written since."""
        if self._memory is None:
            return make()
        if self._newest is None:
            newest = self._connection.execute(select(func.max(entries.c.number))).scalar_one()
            self._newest = newest or 0
        return self._memory.once(self._newest, (self._actor.name, *asked), make)

    def _descriptions(self) -> Mapping[str, Tank]:
        """The standing description of each of the actor's tanks that was not undone."""
        return self._once(("descriptions",), self._described)

    def _described(self) -> Mapping[str, Tank]:
        rows = self._connection.execute(
            select(entries)
            .join(tanks, entries.c.tank_key == tanks.c.key)
            .where(tanks.c.owner == self._actor.name, entries.c.kind == DESCRIPTION)
            .order_by(entries.c.number)
        ).all()
        by_tank: dict[str, list[Row[Any]]] = defaultdict(list)
        for row in rows:
            by_tank[row.tank_key].append(row)
        found = {}
        for key, told in by_tank.items():
            sorted_out = self._lineage(key)
            standing = [row for row in told if sorted_out.stands(row.key)]
            if standing:
                found[key] = described(standing[-1], self._actor.name)
        return found

    def _lineage(self, key: str) -> Lineage:
        return self._once(("lineage", key), lambda: self._sorted_out(key))

    def _sorted_out(self, key: str) -> Lineage:
        links = self._connection.execute(
            select(entries.c.key, entries.c.kind, entries.c.corrects, writes.c.written_at)
            .join(writes, entries.c.write_key == writes.c.key)
            .where(entries.c.tank_key == key, entries.c.corrects.is_not(None))
        ).all()
        return lineage(links)

    def _listed(self, key: str, tank: Tank) -> KeptTank:
        of_tank = and_(entries.c.tank_key == key, entries.c.kind == READING)
        sorted_out = self._lineage(key)
        fallen = sorted_out.undone | sorted_out.replaced
        count = self._connection.execute(
            select(func.count()).select_from(entries).where(of_tank)
        ).scalar_one()
        newest = self._connection.execute(
            select(entries.c.key, entries.c.at)
            .where(of_tank)
            .order_by(entries.c.at.desc())
            .limit(len(fallen) + 1)
        ).all()
        last = next((row.at for row in newest if row.key not in fallen), None)
        return KeptTank(
            key=key,
            name=tank.name,
            owner=tank.owner,
            filled=tank.filled,
            time_zone=tank.time_zone,
            readings=count - self._fallen_readings(key, fallen),
            last_reading=None if last is None else in_zone(last, tank.time_zone),
            put_away=tank.put_away,
        )

    def _fallen_readings(self, key: str, fallen: frozenset[str]) -> int:
        if not fallen:
            return 0
        corrected = select(entries.c.corrects).where(
            entries.c.tank_key == key, entries.c.corrects.is_not(None)
        )
        rows = self._connection.execute(
            select(entries.c.key).where(entries.c.key.in_(corrected), entries.c.kind == READING)
        )
        return sum(row.key in fallen for row in rows)
