"""Write to a journal: one block, one commit, and nothing is ever changed or deleted."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from watervane.journal.entries import description_row, forecast_row, photo_row, written_row
from watervane.journal.joining import join
from watervane.journal.looking import Looking
from watervane.journal.tables import DESCRIPTION, UNDO, entries, forecasts, photos, tanks, writes
from watervane.journal.troubles import JournalTrouble
from watervane.records import (
    Event,
    Habit,
    Joined,
    KeptForecast,
    Person,
    Reading,
    Receipt,
    Tank,
    TankHistory,
    Written,
)

_UNTOLD: dict[str, Any] = {
    "corrects": None, "at": None, "zone": None, "hour_known": None, "subject": None,
    "low": None, "high": None,
}  # fmt: skip


class Writing(Looking):
    """One write; it is kept when its block ends well, and leaves no trace otherwise.

    Parameters
    ----------
    request
        The writer's own name for this write. The same request sent again, with the same
        ``asked``, is not written twice: `earlier` holds what it came to.
    asked
        All that is asked, as text.
    what
        What kind of write it is, in a word.
    """

    def __init__(
        self,
        connection: Connection,
        actor: Person,
        *,
        request: str | None,
        asked: str,
        what: str,
        now: datetime,
    ) -> None:
        super().__init__(connection, actor)
        self._key = uuid.uuid4().hex
        self._digest = hashlib.sha256(f"{what}\n{asked}".encode()).hexdigest()
        self.earlier = None if request is None else self._earlier(request)
        if self.earlier is None:
            self._connection.execute(
                insert(writes).values(
                    key=self._key,
                    actor=actor.name,
                    request=request or self._key,
                    digest=self._digest,
                    what=what,
                    written_at=now,
                )
            )

    def add_tank(self, tank: Tank, raw: str = "") -> Receipt:
        """Keep a new tank with its whole log.

        Raises
        ------
        JournalTrouble
            ``tank-name-taken``, or ``tank-name-away`` where that tank was put away.
        """
        self._check_name(tank.name)
        key = uuid.uuid4().hex
        self._connection.execute(
            insert(tanks).values(key=key, owner=self._actor.name, write_key=self._key)
        )
        rows = [description_row(tank, raw)]
        rows += [written_row(Written(what)) for what in (*tank.events, *tank.habits)]
        rows += [written_row(Written(reading)) for reading in tank.readings]
        return self._kept(key, rows)

    def describe(self, key: str, tank: Tank, raw: str = "") -> Receipt:
        """Keep a new description of a tank in place of the one that stands; its log stays."""
        self.description(key)
        self._check_name(tank.name, but=key)
        row = self._connection.execute(
            select(entries.c.key)
            .where(entries.c.tank_key == key, entries.c.kind == DESCRIPTION)
            .order_by(entries.c.number)
        ).all()
        sorted_out = self._lineage(key)
        standing = [each.key for each in row if sorted_out.stands(each.key)][-1]
        return self._kept(key, [{**description_row(tank, raw), "corrects": standing}])

    def record(self, key: str, written: Sequence[Written]) -> Receipt:
        """Keep what was done to a tank or read off a kit."""
        self.description(key)
        receipt = self._kept(key, [written_row(each) for each in written])
        self._keep_photos(receipt, written)
        return receipt

    def correct(self, number: int, written: Written) -> Receipt:
        """Keep something in place of an entry that was wrong.

        Raises
        ------
        JournalTrouble
            ``entry-unknown``, ``entry-fallen`` where it no longer stands, or
            ``correction-of-another-kind``.
        """
        key, entry = self.entry(number)
        if not entry.standing:
            raise JournalTrouble("entry-fallen", number=number)
        if _sort(entry.what) is not _sort(written.what):
            raise JournalTrouble("correction-of-another-kind", number=number)
        receipt = self._kept(key, [{**written_row(written), "corrects": entry.key}])
        self._keep_photos(receipt, [written])
        return receipt

    def join(self, history: TankHistory) -> Joined:
        """Add all that another journal knows of a tank and this one does not.

        Raises
        ------
        JournalTrouble
            Where the history cannot be understood, contradicts an entry of the same key, is of a
            tank that was undone here, or brings one whose name another has.
        """
        joined = join(self._connection, self._actor, history)
        found = self._descriptions().get(history.key)
        if found is None:
            raise JournalTrouble("join-tank-undone", name=history.name)
        self._check_joined(found.name, history.key)
        return joined

    def keep_forecast(self, key: str, forecast: KeptForecast) -> Receipt:
        """Keep a forecast as it was made; it is never changed and so can be scored later."""
        self.description(key)
        row = forecast_row(forecast)
        self._connection.execute(
            insert(forecasts).values(key=uuid.uuid4().hex, tank_key=key, write_key=self._key, **row)
        )
        return Receipt(key, ())

    def undo_entry(self, number: int) -> Receipt:
        """Undo one entry; where it was a correction, what it corrected stands again."""
        key, entry = self.entry(number)
        if not entry.standing:
            raise JournalTrouble("entry-fallen", number=number)
        return self._kept(key, [_undo(entry.key)])

    def undo_last(self, key: str) -> Receipt:
        """Undo the newest write about a tank that was not undone yet, undoing apart.

        Raises
        ------
        JournalTrouble
            ``nothing-to-undo``.
        """
        self.description(key)
        sorted_out = self._lineage(key)
        rows = self._connection.execute(
            select(entries.c.key, entries.c.write_key)
            .where(entries.c.tank_key == key, entries.c.kind != UNDO)
            .order_by(entries.c.number.desc())
        )
        last, undone = None, []
        for row in rows:
            if row.key in sorted_out.undone:
                continue
            if last is None:
                last = row.write_key
            if row.write_key != last:
                break
            undone.append(_undo(row.key))
        if not undone:
            raise JournalTrouble("nothing-to-undo")
        return self._kept(key, undone)

    def _kept(self, tank: str, rows: Sequence[dict[str, Any]]) -> Receipt:
        if self.earlier is not None:
            raise RuntimeError("a write that was sent before is not to be made again")
        if not rows:
            return Receipt(tank, ())
        whole = [
            {**_UNTOLD, **row, "key": uuid.uuid4().hex, "tank_key": tank, "write_key": self._key}
            for row in rows
        ]
        self._connection.execute(insert(entries), whole)
        return Receipt(tank, self._numbers(self._key))

    def _keep_photos(self, receipt: Receipt, written: Sequence[Written]) -> None:
        newest = receipt.entries[len(receipt.entries) - len(written) :]
        for number, each in zip(newest, written, strict=True):
            for photo in each.photos:
                entry_key = select(entries.c.key).where(entries.c.number == number)
                self._connection.execute(
                    insert(photos).values(
                        key=uuid.uuid4().hex,
                        entry_key=entry_key.scalar_subquery(),
                        **photo_row(photo),
                    )
                )

    def _numbers(self, write: str) -> tuple[int, ...]:
        found = self._connection.execute(
            select(entries.c.number).where(entries.c.write_key == write).order_by(entries.c.number)
        )
        return tuple(found.scalars())

    def _earlier(self, request: str) -> Receipt | None:
        row = self._connection.execute(
            select(writes).where(writes.c.actor == self._actor.name, writes.c.request == request)
        ).first()
        if row is None:
            return None
        if row.digest != self._digest:
            raise JournalTrouble("request-reused", request=request)
        tank = self._connection.execute(
            select(entries.c.tank_key)
            .where(entries.c.write_key == row.key)
            .union(select(forecasts.c.tank_key).where(forecasts.c.write_key == row.key))
        ).scalar_one()
        return Receipt(tank, self._numbers(row.key), repeated=True)

    def _check_joined(self, name: str, key: str) -> None:
        try:
            self._check_name(name, but=key)
        except JournalTrouble as trouble:
            raise JournalTrouble("join-name-taken", name=name) from trouble

    def _check_name(self, name: str, but: str | None = None) -> None:
        others = (tank for key, tank in self._descriptions().items() if key != but)
        taken = next((tank for tank in others if tank.name.casefold() == name.casefold()), None)
        if taken is None:
            return
        if taken.put_away is None:
            raise JournalTrouble("tank-name-taken", name=name)
        raise JournalTrouble("tank-name-away", name=taken.name, day=str(taken.put_away))


def _undo(key: str) -> dict[str, Any]:
    return {"kind": UNDO, "corrects": key, "raw": "", "body": "{}"}


def _sort(what: Event | Habit | Reading) -> type:
    return type(what) if isinstance(what, Habit | Reading) else object
