"""Ask for jobs, call them off, try them again: one keeper's, one commit each."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import Connection, insert, select, update

from watervane.journal.kept_jobs import keep_newest
from watervane.journal.looking import Looking
from watervane.journal.moments import zone_of
from watervane.journal.tables import jobs
from watervane.journal.troubles import JournalTrouble
from watervane.records import Finding, Job, KeptResult, Person

FRESH = {
    "state": "waiting", "stage": "", "progress": 0.0, "attempts": 0, "worker": None,
    "started_at": None, "beaten_at": None, "ended_at": None, "why_key": None,
    "why_arguments": None,
}  # fmt: skip


class Asking(Looking):
    """What a keeper may do with the jobs of their own tanks."""

    def __init__(self, connection: Connection, actor: Person, now: datetime) -> None:
        super().__init__(connection, actor)
        self._now = now

    def ask(self, tank: str, kind: str, *, again: bool = False) -> Job:
        """Ask for a job about a tank as it is now; asked twice, it is one job.

        Parameters
        ----------
        tank
            Its key.
        kind
            One of `watervane.records.JOB_KINDS`.
        again
            Take up one that ended, however it ended, from the start.
        """
        self._now += timedelta(microseconds=1)  # of those asked for together the first is first
        day = day_by(self._now, self.description(tank).time_zone)
        newest = self.newest_entry(tank)
        row = self._connection.execute(
            select(jobs).where(
                jobs.c.tank_key == tank,
                jobs.c.kind == kind,
                jobs.c.newest_entry == newest,
                jobs.c.day == day,
            )
        ).first()
        if row is None:
            key = uuid.uuid4().hex
            told = {"tank_key": tank, "kind": kind, "newest_entry": newest, "day": day}
            self._connection.execute(
                insert(jobs).values(
                    key=key, owner=self._actor.name, asked_at=self._now, **told, **FRESH
                )
            )
            return self.job(key)
        if again and row.state not in ("waiting", "running"):
            self._start_over(row.key)
        return self.job(row.key)

    def cancel(self, key: str) -> Job:
        """Call a job off; one that has ended stays as it is."""
        if self.job(key).open:
            self._connection.execute(
                update(jobs)
                .where(jobs.c.key == key)
                .values(
                    state="cancelled",
                    ended_at=self._now,
                    why_key="job-cancelled",
                    why_arguments="{}",
                )
            )
        return self.job(key)

    def retry(self, key: str) -> Job:
        """Let a job that failed or was called off wait again, with all its attempts.

        Raises
        ------
        JournalTrouble
            ``job-not-ended`` where it is not one of these.
        """
        if self.job(key).state not in ("failed", "cancelled"):
            raise JournalTrouble("job-not-ended")
        self._start_over(key)
        return self.job(key)

    def keep(self, tank: str, result: KeptResult) -> bool:
        """Keep a result that nobody asked a worker for, unless a better one is kept."""
        self.description(tank)
        return keep_newest(self._connection, tank, result)

    def _start_over(self, key: str) -> None:
        again = update(jobs).where(jobs.c.key == key).values(asked_at=self._now, **FRESH)
        self._connection.execute(again)


def day_by(moment: datetime, time_zone: str) -> date:
    """The date of a moment by a tank's own clock."""
    return moment.astimezone(zone_of(time_zone)).date()


def superseded(now: datetime) -> dict[str, object]:
    """The columns of a job that a newer one took the place of."""
    why = Finding("job-superseded", "problem")
    return {
        "state": "cancelled",
        "ended_at": now.astimezone(UTC),
        "why_key": why.key,
        "why_arguments": "{}",
    }
