"""What counts once two histories of a tank lie in one journal, and what they contradict in."""

from __future__ import annotations

import dataclasses
import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select

from watervane.journal.entries import described, description_row, entry_of
from watervane.journal.lineage import Lineage, lineage
from watervane.journal.tables import DESCRIPTION, UNDO, entries, photos, writes
from watervane.records import Clash, TankHistory

_LOG = ("events", "habits", "readings", "owner")
_NOTHING: dict[str, Any] = dict.fromkeys(
    ("at", "zone", "hour_known", "subject", "low", "high")
)  # what an entry of our own making leaves out


@dataclasses.dataclass(frozen=True, slots=True)
class Settled:
    """How many entries counted twice, and what is contradicted."""

    twins: int
    clashes: tuple[Clash, ...]


def settle(
    connection: Connection,
    history: TankHistory,
    before: TankHistory | None,
    added: frozenset[str],
    taken: Mapping[str, str],
) -> Settled:
    """Let equal entries count once and join descriptions, field by field.

    Parameters
    ----------
    connection
        Within the write; it holds all entries of both.
    history, before
        What came, and what was here; ``None`` for a tank that is new here.
    added
        Keys of the entries that were new here.
    taken
        Of writes that came under a request used here before, by which of our writes.
    """
    if before is None:
        return Settled(0, ())
    settling = _Settling(connection, history.key)
    theirs = {entry.key for entry in history.entries}
    ours = {entry.key for entry in before.entries} - theirs
    clashes = settling.requests(taken)
    twins = settling.sent_twice(taken) + settling.told_twice(ours, added)
    clashes += settling.rivals(added) + settling.revived(ours, added)
    return Settled(twins, tuple(clashes))


class _Settling:
    """One tank whose histories were put together."""

    def __init__(self, connection: Connection, tank: str) -> None:
        self.connection, self.tank = connection, tank
        self._read()

    def _read(self) -> None:
        rows = self.connection.execute(self._joined().order_by(entries.c.number)).all()
        self.rows: dict[str, Row[Any]] = {row.key: row for row in rows}
        seen = self.connection.execute(
            select(photos.c.entry_key, photos.c.digest)
            .join(entries, photos.c.entry_key == entries.c.key)
            .where(entries.c.tank_key == self.tank)
            .order_by(photos.c.digest)
        )
        self.photos: dict[str, tuple[str, ...]] = {}
        for row in seen:
            self.photos[row.entry_key] = (*self.photos.get(row.entry_key, ()), row.digest)
        self.lineage = self._lineage()

    def _joined(self) -> Select[Any]:
        return (
            select(entries, writes.c.actor, writes.c.written_at, writes.c.digest)
            .join(writes, entries.c.write_key == writes.c.key)
            .where(entries.c.tank_key == self.tank)
        )

    def _lineage(self) -> Lineage:
        return lineage([row for row in self.rows.values() if row.corrects is not None])

    def requests(self, taken: Mapping[str, str]) -> list[Clash]:
        """Two different writes under one request; both are kept."""
        return [
            Clash("request", standing=self._of(here)[0].raw, other=self._of(came)[0].raw)
            for came, here in taken.items()
            if not self._alike(came, here) and self._of(came) and self._of(here)
        ]

    def sent_twice(self, taken: Mapping[str, str]) -> int:
        """One write that was sent to both journals under the same request."""
        count = 0
        for came, here in taken.items():
            if self._alike(came, here):
                pairs = zip(self._of(came), self._of(here), strict=True)
                count += sum(self._drop_one(*pair) for pair in pairs)
        self.lineage = self._lineage()
        return count

    def _alike(self, came: str, here: str) -> bool:
        first, second = self._of(came), self._of(here)
        return (
            len(first) == len(second) > 0
            and first[0].digest == second[0].digest
            and all(a.kind == b.kind != DESCRIPTION for a, b in zip(first, second, strict=True))
        )

    def _of(self, write: str) -> list[Row[Any]]:
        return [row for row in self.rows.values() if row.write_key == write]

    def told_twice(self, ours: set[str], theirs: frozenset[str]) -> int:
        """Equal entries, one told to each journal: as many count as the longer list holds."""
        count = 0
        here, came = self._standing(ours), self._standing(theirs)
        for content in here.keys() & came.keys():
            pairs = zip(here[content], came[content], strict=False)
            count += sum(self._drop_one(*pair) for pair in pairs)
        self.lineage = self._lineage()
        return count

    def _standing(self, keys: Sequence[str] | set[str] | frozenset[str]) -> dict[Any, list[Any]]:
        found: dict[Any, list[Any]] = defaultdict(list)
        for key in sorted(keys, key=lambda key: _age(self.rows[key])):
            row = self.rows[key]
            if row.kind not in (UNDO, DESCRIPTION) and self.lineage.stands(key):
                pictures = self.photos.get(key, ())
                found[row.kind, row.at, row.hour_known, row.body, pictures].append(row)
        return found

    def _drop_one(self, first: Row[Any], second: Row[Any]) -> bool:
        """Of two entries that are one, undo the later; where one fell already, the other."""
        stand = [row for row in (first, second) if self.lineage.stands(row.key)]
        if not stand:
            return False
        dropped = max(stand, key=_age)
        self._make(UNDO, dropped, "twins", (first, second), {"raw": "", "body": "{}"})
        return True

    def rivals(self, added: frozenset[str]) -> list[Clash]:
        """Corrections of one entry in both journals; of descriptions, both changes are taken."""
        found = []
        for stands, other in self.lineage.rivals:
            if not {stands, other} & added:
                continue
            if self.rows[stands].kind == DESCRIPTION:
                found += self._descriptions(stands, other)
            elif _content(self.rows[stands]) != _content(self.rows[other]):
                found.append(self._clash("correction", self._tip(stands), self._tip(other)))
        return found

    def revived(self, ours: set[str], added: frozenset[str]) -> list[Clash]:
        """Entries that were undone in one journal and corrected in the other."""
        found = []
        for correction, undone in self.lineage.revived:
            undos = [r.key for r in self.rows.values() if r.kind == UNDO and r.corrects == undone]
            apart = (correction in added and not added >= set(undos)) or (
                correction in ours and added & set(undos)
            )
            if apart and self.rows[correction].kind != DESCRIPTION:
                found.append(self._clash("undone", self._tip(correction), self.rows[undone]))
        return found

    def _clash(self, kind: str, stands: Row[Any], other: Row[Any]) -> Clash:
        return Clash(kind, stands.raw, other.raw, entry_of(stands, standing=True))

    def _tip(self, key: str) -> Row[Any]:
        """The newest correction in a chain of them."""
        by_place = defaultdict(list)
        for row in self.rows.values():
            if row.corrects is not None and row.kind != UNDO and row.key not in self.lineage.undone:
                by_place[row.corrects].append(row)
        while by_place[key]:
            key = max(by_place[key], key=_age).key
        return self.rows[key]

    def _descriptions(self, stands: str, other: str) -> list[Clash]:
        first, second = self._tip(stands), self._tip(other)
        base = self.rows[self.rows[other].corrects]
        old, new, lost = (described(row, "") for row in (base, first, second))
        changes, found = {}, []
        for field in dataclasses.fields(new):
            if field.name in _LOG:
                continue
            was, here, there = (getattr(each, field.name) for each in (old, new, lost))
            if there in (was, here):
                continue
            if here == was:
                changes[field.name] = there
            else:
                told = (f"{field.name}: {_said(here)}", f"{field.name}: {_said(there)}")
                found.append(Clash("description", *told))
        if changes:
            merged = description_row(dataclasses.replace(new, **changes), first.raw)
            self._make(DESCRIPTION, first, "descriptions", (first, second), merged)
        return found

    def _make(
        self,
        kind: str,
        corrected: Row[Any],
        why: str,
        of: tuple[Row[Any], Row[Any]],
        told: Mapping[str, Any],
    ) -> None:
        """An entry that follows from two others, the same in whichever journal it is made."""
        names = sorted(row.key for row in of)
        key = hashlib.sha256("\n".join((why, *names, corrected.key)).encode()).hexdigest()[:32]
        if key in self.rows:
            return
        write = {
            "key": key,
            "actor": corrected.actor,
            "request": key,
            "digest": key,
            "what": "join",
        }
        latest = max(row.written_at for row in of)
        self.connection.execute(
            insert(writes).values({**write, "actor": corrected.actor, "written_at": latest})
        )
        row = {"key": key, "tank_key": self.tank, "write_key": key, "corrects": corrected.key}
        self.connection.execute(insert(entries).values({**_NOTHING, **told, **row, "kind": kind}))
        query = self._joined().where(entries.c.key == key)
        self.rows[key] = self.connection.execute(query).one()


def _age(row: Row[Any]) -> tuple[Any, str]:
    return row.written_at, row.key


def _content(row: Row[Any]) -> tuple[Any, ...]:
    return row.kind, row.at, row.hour_known, row.body


def _said(value: object) -> str:
    text = "nothing" if value is None else str(value)
    return text if len(text) <= 80 else f"{text[:80]}..."
