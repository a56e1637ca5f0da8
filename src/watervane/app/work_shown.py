"""What a worker is at, for pages that follow it."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.app.keeping import in_sight
from watervane.app.ports import Ports
from watervane.records import JOB_KINDS, Job, Person


@dataclass(frozen=True, slots=True)
class TankWork:
    """What is being made of one tank, and a mark that changes when something was made.

    ``after_others``: nothing was made yet, and the worker is still at other tanks.
    """

    key: str
    job: Job | None
    made: str
    after_others: bool = False


def look_at_work(actor: Person, ports: Ports) -> tuple[TankWork, ...]:
    """Of each of the actor's tanks, the work that is still to come and what came last."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        jobs = view.jobs()
        found = []
        for tank in in_sight(view):
            results = (view.result(tank.key, kind) for kind in JOB_KINDS)
            made = "/".join("" if kept is None else kept.made_at.isoformat() for kept in results)
            still = [job for job in jobs if job.tank == tank.key and job.open]
            running = [job for job in still if job.state == "running"]
            job = next(iter((*running, *still)), None)
            turn = job is None and not made.strip("/") and any(other.open for other in jobs)
            found.append(TankWork(tank.key, job, made, turn))
    return tuple(found)
