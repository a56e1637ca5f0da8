"""What the worker does with jobs of all keepers: take, keep alive, keep what came of them, end."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, and_, case, delete, func, or_, select, update

from watervane.journal.asking import Asking, day_by, superseded
from watervane.journal.kept_jobs import keep_newest, why_row
from watervane.journal.looking import Looking
from watervane.journal.tables import entries, jobs, results, tanks, writes
from watervane.journal.troubles import JournalTrouble
from watervane.records import JOB_KINDS, Finding, Job, KeptResult, Person, Tank

LEASE = timedelta(seconds=60)  # without a sign of life, after which a job is another worker's
SET_BACK = timedelta(hours=1)  # a sign of life so far ahead was given by another clock
MOST_ATTEMPTS = 3
REMEMBERED = timedelta(days=30)  # that jobs have ended
NOT_AGAIN_FOR = timedelta(hours=1)  # after which a job that came to nothing is asked for again
_LOST = Finding("job-died", "problem", {"attempts": MOST_ATTEMPTS})


class Working:
    """One step of a worker; it is kept when its block ends well.

    Parameters
    ----------
    worker
        Its name, no other's.
    """

    def __init__(self, connection: Connection, worker: str, now: datetime) -> None:
        self._connection = connection
        self._worker = worker
        self._now = now

    def take(self) -> tuple[Job, Tank] | None:
        """The job that was asked for first, now this worker's, and its tank with the whole log.

        One that was asked for of fewer entries or of an earlier day than there are now is brought
        up to the present, unless the present was asked for as well: then it is called off.
        """
        gone = or_(
            jobs.c.beaten_at < self._now - LEASE,
            jobs.c.beaten_at > self._now + SET_BACK,
        )
        waiting = select(jobs).where(
            or_(jobs.c.state == "waiting", and_(jobs.c.state == "running", gone))
        )
        for row in self._connection.execute(waiting.order_by(jobs.c.asked_at, jobs.c.key)).all():
            if row.attempts >= MOST_ATTEMPTS:
                self._change(row.key, {"state": "failed", "ended_at": self._now, **why_row(_LOST)})
                continue
            look = Looking(self._connection, Person(self._owner(row.tank_key)))
            try:
                zone = look.description(row.tank_key).time_zone
            except JournalTrouble:  # its adding was undone
                self._change(row.key, superseded(self._now))
                continue
            present = (look.newest_entry(row.tank_key), day_by(self._now, zone))
            if not self._brought_up(row, *present):
                continue
            self._change(
                row.key,
                {
                    "state": "running",
                    "worker": self._worker,
                    "attempts": row.attempts + 1,
                    "progress": 0.0,
                    "stage": "",
                    "started_at": self._now,
                    "beaten_at": self._now,
                },
            )
            return look.job(row.key), look.tank(row.tank_key)
        return None

    def take_over(self) -> int:
        """Let all running jobs wait again, where no other worker can be alive; how many."""
        running = update(jobs).where(jobs.c.state == "running", jobs.c.worker != self._worker)
        return self._connection.execute(running.values(state="waiting")).rowcount

    def clear_away(self) -> int:
        """Forget jobs that ended long ago; how many."""
        old = delete(jobs).where(jobs.c.ended_at < self._now - REMEMBERED)
        ended = jobs.c.state.not_in(("waiting", "running"))
        return self._connection.execute(old.where(ended)).rowcount

    def beat(self, key: str, stage: str, progress: float) -> bool:
        """Give a sign of life; whether the job is still wanted of this worker.

        It is not once it was called off, or once the same was asked for with more entries.
        """
        row = self._mine(key)
        if row is None:
            return False
        newer = select(jobs.c.key).where(
            jobs.c.tank_key == row.tank_key,
            jobs.c.kind == row.kind,
            jobs.c.state == "waiting",
            jobs.c.newest_entry > row.newest_entry,
        )
        if self._connection.execute(newer.limit(1)).first() is not None:
            self._change(key, superseded(self._now))
            return False
        told = {"stage": stage, "progress": min(max(progress, 0.0), 1.0), "beaten_at": self._now}
        self._change(key, told)
        return True

    def keep(self, key: str, result: KeptResult) -> bool:
        """Keep what came of a job, unless it is not this worker's any more or there is newer."""
        row = self._mine(key)
        if row is None:
            return False
        return keep_newest(self._connection, row.tank_key, result)

    def done(self, key: str) -> bool:
        """End a job well."""
        ended = {"state": "done", "stage": "", "progress": 1.0, "ended_at": self._now}
        return self._ended(key, ended)

    def failed(self, key: str, why: Finding) -> bool:
        """End a job badly; doing it again would come to the same."""
        return self._ended(key, {"state": "failed", "ended_at": self._now, **why_row(why)})

    def give_back(self, key: str) -> bool:
        """Let a job wait again, as if it had not been begun."""
        attempts = case((jobs.c.attempts > 0, jobs.c.attempts - 1), else_=0)
        return self._ended(key, {"state": "waiting", "attempts": attempts, "progress": 0.0})

    def ask_for_news(self, model_version: str, since: datetime) -> Job | None:
        """Ask for one result that is not there, rests on fewer entries or speaks of another day.

        Parameters
        ----------
        model_version
            Of this program; what another made is made anew.
        since
            Tanks about which nothing was written since then are left alone.
        """
        if self._open():
            return None
        rows = self._connection.execute(
            select(tanks.c.key, tanks.c.owner, func.max(entries.c.number).label("newest"))
            .join(entries, entries.c.tank_key == tanks.c.key)
            .group_by(tanks.c.key, tanks.c.owner)
            .order_by(func.max(entries.c.number).desc())
        ).all()
        kept = {
            (row.tank_key, row.kind): row
            for row in self._connection.execute(
                select(
                    results.c.tank_key,
                    results.c.kind,
                    results.c.newest_entry,
                    results.c.grade,
                    results.c.current_until,
                    results.c.model_version,
                )
            )
        }
        for tank in rows:
            for kind in JOB_KINDS:
                old = kept.get((tank.key, kind))
                fresh = (
                    old is not None
                    and old.newest_entry == tank.newest
                    and old.grade == "full"
                    and old.current_until > self._now
                    and old.model_version == model_version
                )
                if not fresh and self._written_since(tank.newest, since):
                    job = self._asked(tank.key, tank.owner, kind)
                    if job is not None:
                        return job
        return None

    def _asked(self, tank: str, owner: str, kind: str) -> Job | None:
        """A job that was not there yet; one that failed is not taken up again by itself."""
        asking = Asking(self._connection, Person(owner), self._now)
        try:
            told = asking.description(tank)
            if told.put_away is not None or told.filled > day_by(self._now, told.time_zone):
                return None  # out of sight, or without water yet
            job = asking.ask(tank, kind)
        except JournalTrouble:  # its adding was undone
            return None
        long_ago = job.ended_at is not None and job.ended_at < self._now - NOT_AGAIN_FOR
        if job.state == "done" and long_ago:  # by another program, or its result is gone
            job = asking.ask(tank, kind, again=True)
        return job if job.open else None

    def _written_since(self, number: int, since: datetime) -> bool:
        query = select(writes.c.written_at).join(entries, entries.c.write_key == writes.c.key)
        written_at = self._connection.execute(query.where(entries.c.number == number)).scalar_one()
        return bool(written_at >= since)

    def _open(self) -> bool:
        query = select(jobs.c.key).where(jobs.c.state.in_(("waiting", "running"))).limit(1)
        return self._connection.execute(query).first() is not None

    def _brought_up(self, row: Row[Any], newest: int, day: Any) -> bool:
        if (row.newest_entry, row.day) == (newest, day):
            return True
        other = self._connection.execute(
            select(jobs.c.key).where(
                jobs.c.tank_key == row.tank_key,
                jobs.c.kind == row.kind,
                jobs.c.newest_entry == newest,
                jobs.c.day == day,
                jobs.c.key != row.key,
            )
        ).first()
        if other is not None:
            self._change(row.key, superseded(self._now))
            return False
        self._change(row.key, {"newest_entry": newest, "day": day})
        return True

    def _owner(self, tank: str) -> str:
        query = select(tanks.c.owner).where(tanks.c.key == tank)
        return str(self._connection.execute(query).scalar_one())

    def _mine(self, key: str) -> Row[Any] | None:
        query = select(jobs).where(
            jobs.c.key == key, jobs.c.state == "running", jobs.c.worker == self._worker
        )
        return self._connection.execute(query).first()

    def _ended(self, key: str, values: dict[str, Any]) -> bool:
        if self._mine(key) is None:
            return False
        self._change(key, values)
        return True

    def _change(self, key: str, values: dict[str, Any]) -> None:
        self._connection.execute(update(jobs).where(jobs.c.key == key).values(**values))
