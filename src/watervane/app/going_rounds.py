"""Go the rounds: every tank by what is kept of it, the one that could lose animals soonest first.

Nothing is computed here. `refresh` has a worker make what is not current, and waits for it.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from watervane.app.job_ports import Progress, WorkRequest
from watervane.app.jobs import NewestResults
from watervane.app.keeping import in_sight
from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import View
from watervane.records import (
    JOB_KINDS,
    Act,
    AllowedRisk,
    Finding,
    Forecast,
    Job,
    KeptTank,
    Looming,
    Person,
    TankRound,
    TankRounds,
    Today,
)

LOOK_S = 0.25  # between two looks at how far a worker is
NO_ANIMALS = "no-animals"
CHANGED_AWAY = ("ammonia", "nitrite", "nitrate")  # what a change of water answers


def go_rounds(actor: Person, ports: Ports) -> TankRounds:
    """The actor's tanks by the newest that is kept of each, the most urgent first.

    First come tanks in which a limit of harm at once is passed with more chance than is accepted,
    the earliest day first; then those of which nothing is known; then those in which harm over
    time looms; then the others, and last those without animals.
    """
    now = ports.journal.now()
    with ports.journal.open() as journal, journal.looking(actor) as view:
        found = [_round(tank, view, now, ports) for tank in in_sight(view)]
    return TankRounds(now, tuple(sorted(found, key=urgency)))


def urgency(one: TankRound) -> tuple[int, date, float, date, float, str]:
    """What tanks are sorted by."""
    acute, chronic = one.acute, one.chronic
    if one.today is not None and not one.animals:
        rank = 4
    elif acute is not None:
        rank = 0
    elif one.today is None:
        rank = 1
    else:
        rank = 2 if chronic is not None else 3
    return (
        rank,
        date.max if acute is None else acute.on,
        0.0 if acute is None else -acute.chance,
        date.max if chronic is None else chronic.on,
        0.0 if chronic is None else -chronic.chance,
        one.tank.casefold(),
    )


@dataclass(frozen=True, slots=True)
class _Kept:
    """What is kept of a tank, read."""

    newest: NewestResults
    forecast: Forecast | None
    today: Today | None
    allowed: AllowedRisk


def _round(tank: KeptTank, view: View, now: datetime, ports: Ports) -> TankRound:
    kept = _kept(tank, view, now, ports)
    newest, today = kept.newest, kept.today
    known = newest.today if today is not None else None
    step, due_at = (None, None) if today is None else _next_step(today, now)
    since = 0
    if known is not None and known.newest_entry < newest.newest_entry:
        since = view.written_since(tank.key, known.newest_entry)
    job = newest.job("today")
    return TankRound(
        tank=tank.name,
        acute=_first(_looming(kept, "acute")),
        chronic=_first(_looming(kept, "chronic")),
        today=today,
        current=today is not None and newest.is_current("today"),
        grade="" if known is None else known.grade,
        entries_since=since,
        animals=today is None or today.verdict.key != NO_ANIMALS,
        next_step=step,
        due_at=due_at,
        job=None if job is None or job.state in ("done", "cancelled") else job,
    )


def _kept(tank: KeptTank, view: View, now: datetime, ports: Ports) -> _Kept:
    """What is kept, and read; what can no longer be read is as good as not there."""
    results = (view.result(tank.key, "forecast"), view.result(tank.key, "today"))
    newest = NewestResults(
        tank.key, tank.name, view.newest_entry(tank.key), *results, view.jobs(tank.key), now
    )
    forecast, today = None, None
    if newest.forecast is not None:
        with suppress(BadInput):
            forecast = ports.pages.forecast_of_text(newest.forecast.document)
    if newest.today is not None:
        with suppress(BadInput):
            today = ports.jobs.today_of_text(newest.today.document)
    return _Kept(newest, forecast, today, view.description(tank.key).allowed_risk)


def _looming(kept: _Kept, tier: str) -> Iterator[Looming]:
    """Days on which more is to be feared than is accepted by now, by whatever is kept."""
    accepted = kept.allowed.of(tier)
    today, forecast = kept.today, kept.forecast
    if today is not None:
        day = today.as_of.date()
        for danger in today.verdict.dangers:
            if danger.tier == tier:
                ahead = ((0, danger.now), (2, danger.soon), (7, danger.week))
                for days, chance in ahead:
                    if chance > accepted:
                        yield Looming(tier, day + timedelta(days=days), chance)
        alarm = today.verdict.alarm
        if alarm is not None and alarm.limit.tier == tier:
            yield Looming(tier, day, alarm.chance)
    if forecast is not None:
        for subject, chances in forecast.risk.items():
            if subject.endswith(f"_{tier}"):
                for days, chance in enumerate(chances):
                    if chance > accepted:
                        yield Looming(tier, forecast.as_of.date() + timedelta(days=days), chance)


def _first(found: Iterator[Looming]) -> Looming | None:
    """The earliest, of one day the likeliest."""
    return min(found, key=lambda one: (one.on, -one.chance), default=None)


def _next_step(today: Today, now: datetime) -> tuple[Act | None, datetime | None]:
    """The first thing that is still to be done, or to be done again, of what was chosen."""
    alarm = today.verdict.alarm if today.verdict.key == "reading-harmful" else None
    if alarm is not None and alarm.quantity in CHANGED_AWAY:
        # What was chosen goes by all else that is told; the reading's word comes before it.
        return _change(today, alarm.share), today.as_of
    due = [(_due(act, now), act) for _, act in today.in_order]
    if not due:
        return None, None
    at, act = min(due, key=lambda one: one[0].date())  # of one day the first in order
    return act, at


def _change(today: Today, share: float) -> Act:
    """A change of a share of the water at once; its litres by those of the ways that were tried."""
    acts = (act for way in today.frontier for act in way.acts if act.kind == "change")
    full_l = next((act.litres / act.amount for act in acts if act.amount), 0.0)
    return Act("change", today.as_of, share, "share", litres=share * full_l)


def _due(act: Act, now: datetime) -> datetime:
    """When an act is due next: the first of its times not of a day gone by, else the last."""
    zone = act.at.tzinfo or ZoneInfo("UTC")
    today = now.astimezone(zone).date()
    times = [act.at + timedelta(days=act.every_days * turn) for turn in range(max(act.times, 1))]
    return next((at for at in times if at.date() >= today), times[-1])


def refresh(
    actor: Person, ports: Ports, request: WorkRequest, progress: Progress | None = None
) -> tuple[Job, ...]:
    """Have a worker make whatever is not current of the actor's tanks, and wait for it.

    A worker that is at the journal already does it; else one is started, in a process of its own,
    and stopped when all is made.

    Returns
    -------
    tuple of Job
        As they ended: done, or failed or called off with the reason.

    Raises
    ------
    BadInput
        Where no worker can be started.
    """
    jobs = _asked_for_all(actor, ports)
    if not jobs:
        return ()
    worker = ports.jobs.start_worker(request)
    try:
        while True:
            with ports.journal.open() as journal, journal.looking(actor) as view:
                jobs = tuple(view.job(job.key) for job in jobs)
            running = [job for job in jobs if job.state == "running"]
            if progress is not None:
                share = sum(job.progress if job.open else 1.0 for job in jobs) / len(jobs)
                stage = running[0].stage if running and running[0].stage else "worker"
                progress(stage, share)
            if not any(job.open for job in jobs):
                return jobs
            if worker.failed:
                raise BadInput([Finding("worker-dies", "problem")])
            time.sleep(LOOK_S)
    finally:
        worker.stop()


def _asked_for_all(actor: Person, ports: Ports) -> tuple[Job, ...]:
    now = ports.journal.now()
    jobs = []
    with ports.journal.open() as journal, journal.asking(actor, now) as asking:
        for tank in in_sight(asking):
            if tank.filled > now.astimezone(ZoneInfo(tank.time_zone)).date():
                continue  # planned: there is no water yet
            newest = NewestResults(
                tank.key,
                tank.name,
                asking.newest_entry(tank.key),
                asking.result(tank.key, "forecast"),
                asking.result(tank.key, "today"),
                (),
                now,
            )
            jobs += [
                asking.ask(tank.key, kind, again=True)
                for kind in reversed(JOB_KINDS)
                if not newest.is_full(kind)
            ]
    return tuple(jobs)
