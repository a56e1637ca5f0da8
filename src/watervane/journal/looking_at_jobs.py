"""Look at what is being computed about a person's tanks, and at what came of it last."""

from __future__ import annotations

from sqlalchemy import Connection, select

from watervane.journal.kept_jobs import kept_job, kept_result
from watervane.journal.tables import jobs, results, tanks
from watervane.journal.troubles import JournalTrouble
from watervane.records import Job, KeptResult, Person


class LookingAtJobs:
    """The part of a view that is about jobs."""

    _connection: Connection
    _actor: Person

    def result(self, key: str, kind: str) -> KeptResult | None:
        """The newest result of a tank; ``None`` before there is one."""
        query = select(results).join(tanks, results.c.tank_key == tanks.c.key)
        query = query.where(
            results.c.tank_key == key,
            results.c.kind == kind,
            tanks.c.owner == self._actor.name,
        )
        row = self._connection.execute(query).first()
        return None if row is None else kept_result(row)

    def jobs(self, key: str | None = None, newest: int | None = 100) -> tuple[Job, ...]:
        """The actor's jobs, or those of one tank, the one asked for last at the end."""
        query = select(jobs).join(tanks, jobs.c.tank_key == tanks.c.key)
        query = query.where(tanks.c.owner == self._actor.name)
        if key is not None:
            query = query.where(jobs.c.tank_key == key)
        query = query.order_by(jobs.c.asked_at.desc(), jobs.c.key).limit(newest)
        return tuple(map(kept_job, reversed(self._connection.execute(query).all())))

    def job(self, key: str) -> Job:
        """One of the actor's jobs by its key.

        Raises
        ------
        JournalTrouble
            ``job-unknown``.
        """
        query = select(jobs).join(tanks, jobs.c.tank_key == tanks.c.key)
        query = query.where(jobs.c.key == key, tanks.c.owner == self._actor.name)
        row = self._connection.execute(query).first()
        if row is None:
            raise JournalTrouble("job-unknown")
        return kept_job(row)
