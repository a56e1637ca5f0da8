"""A tank carried on by a new reading: at once, its replacement, and what long logs cost.

A process of its own (``python -m benchmarks.carried``), so that its memory is its own too.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TypeVar

import numpy as np

from benchmarks.workload import SEED, UTC, tank
from watervane.engine.carried_tank import CarriedTank
from watervane.engine.kept_arrays import to_arrays
from watervane.engine.update import CARRY, Update
from watervane.inference.priors import prior_members
from watervane.process.memory_arenas import few_memory_arenas
from watervane.process.noise import keyed_normal
from watervane.process.run import initial_state, simulate
from watervane.process.timeline import timeline
from watervane.records import Kit, KitScale, Reading, ReadingValue, Tank

ROOT = Path(__file__).resolve().parents[1]
AIM_AT_ONCE_S, AIM_REPLACED_S, AIM_MEMORY_GB = 0.8, 6.0, 1.0
AIMED_DAYS = 60
DAYS = (30, 60, 90)  # of logs, none of which needs an anchor
READ_SHARE = 2.0 / 3.0  # of the days: 40 of 60
EVENING = datetime(2026, 3, 1, 18, tzinfo=UTC)
STEPS = {"ammonia": (0.0, 0.2, 0.5, 1.0, 2.0, 4.0), "nitrite": (0.0, 0.1, 0.3, 0.7, 1.5, 3.0)}
T = TypeVar("T")


@dataclass(frozen=True)
class Took:
    """What one forecast took.

    Parameters
    ----------
    seconds, processor_s
        Shortest of the repeats on the clock, and of all processors then. [s]
    load
        Processes that wanted a core in the minute before.
    sweeps
        Runs of all members through the log; 0: none.
    effective
        Effective members of the forecast.
    """

    seconds: float
    processor_s: float
    load: float
    sweeps: int
    effective: float


@dataclass(frozen=True)
class Log:
    """What logs of one length took.

    Parameters
    ----------
    days, readings
        Of the log.
    first_s
        The first fit. [s]
    memory_gb
        Largest of the process so far, no longer log before. [GB]
    at_once, replaced
        Both forecasts of a new reading.
    """

    days: int
    readings: int
    first_s: float
    memory_gb: float
    at_once: Took
    replaced: Took


@dataclass(frozen=True)
class CarriedCost:
    """What carrying a tank on took.

    Parameters
    ----------
    members, horizon_days
        Of all forecasts.
    logs
        By length.
    kept_mb
        Arrays kept between two forecasts of the log the aims speak of. [MB]
    """

    members: int
    horizon_days: int
    logs: tuple[Log, ...]
    kept_mb: float


def measured_apart(members: int, horizon_days: int, repeats: int) -> CarriedCost:
    """Measure in a fresh process."""
    done = subprocess.run(  # noqa: S603  (our own module)
        [sys.executable, "-m", "benchmarks.carried", str(members), str(horizon_days), str(repeats)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return from_json(done.stdout)


def from_json(text: str) -> CarriedCost:
    """What the process of its own wrote."""
    told = json.loads(text)
    logs = tuple(
        Log(**{**log, "at_once": Took(**log["at_once"]), "replaced": Took(**log["replaced"])})
        for log in told["logs"]
    )
    return CarriedCost(**{**told, "logs": logs})


def measured(
    members: int, horizon_days: int, repeats: int, lengths: Sequence[int] = DAYS
) -> CarriedCost:
    """Measure here."""
    logs, kept_mb = [], 0.0
    for days in sorted(lengths):
        log, kept = _one_log(members, horizon_days, repeats, days)
        logs.append(log)
        if days == AIMED_DAYS or not kept_mb:
            kept_mb = sum(a.nbytes for a in to_arrays(kept).values()) / 1e6
    return CarriedCost(members, horizon_days, tuple(logs), kept_mb)


def _one_log(members: int, horizon_days: int, repeats: int, days: int) -> tuple[Log, CarriedTank]:
    told = read_tank(days)
    evening = told.readings[-1].at
    old = replace(told, readings=tuple(r for r in told.readings if r.at < evening))

    def update(before: CarriedTank | None, log: Tank) -> Update:
        return Update(log, before, horizon_days=horizon_days, members=members, seed=SEED)

    begun = time.perf_counter()
    kept = update(None, old).replacement().tank
    first_s = time.perf_counter() - begun
    if kept is None:
        raise ValueError("a log with readings leaves something to carry on")
    begun_with: CarriedTank = kept
    at_once, one = _timed(lambda: update(begun_with, told).provisional(), repeats)
    replaced, two = _timed(lambda: update(begun_with, told).replacement(), repeats)
    if one is None or two.tank is None:
        raise ValueError("the benchmark's reading left no provisional forecast")
    info = two.made.fitted.info
    return Log(
        days,
        len(told.readings),
        first_s,
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0**2,
        Took(*at_once, 0, one.made.fitted.effective),
        Took(*replaced, 0 if info is None else info.sweeps, two.made.fitted.effective),
    ), two.tank


def _timed(work: Callable[[], T], repeats: int) -> tuple[tuple[float, float, float], T]:
    """Seconds, processor seconds and load of the shortest of some runs, and its result."""
    best: tuple[float, float, float] | None = None
    for _ in range(repeats):
        load, begun, busy = os.getloadavg()[0], time.perf_counter(), time.process_time()
        found = work()
        took = time.perf_counter() - begun, time.process_time() - busy, load
        best = took if best is None else min(best, took)
    if best is None:
        raise ValueError("nothing can be timed in no run")
    return best, found


@cache
def read_tank(days: int) -> Tank:
    """The invented tank, read with a drop kit on two days of three by a member of its prior."""
    blank = tank()
    line = timeline(blank, days)
    truth = prior_members(blank, np.array([7]), 3)
    read = sorted({round(x) for x in np.linspace(2, days - 1, round(READ_SHARE * days))})
    moments = [line.calendar.days(EVENING + timedelta(days=d)) for d in read]
    course = simulate(line, truth, initial_state(line, truth), (0, days), stops_d=moments)
    told = []
    for i, day in enumerate(read):
        for quantity, steps in STEPS.items():
            error = float(keyed_normal(SEED, np.array([0]), day, f"benchmark {quantity}")[0])
            level = float(course.output(f"{quantity}_mg_n_per_l")[i, 0]) * np.exp(0.15 * error)
            shown = min(steps, key=lambda step: abs(step - level))
            value = ReadingValue("exact", shown, shown, "n", f"{shown} mg/L as N")
            told.append(Reading(EVENING + timedelta(days=day), quantity, value, kit="drop"))
    scales = tuple(KitScale(q, steps=steps, basis="n") for q, steps in STEPS.items())
    return replace(blank, readings=tuple(told), kits={"drop": Kit("drop", scales=scales)})


def section(found: CarriedCost) -> str:
    """The page's section."""
    took = ("processor s", "load")
    head = ("days", "readings", "first fit, s", "at once, s", *took, "replaced, s", *took, "sweeps")
    rows = [f"| {' | '.join(head)} |", "|---" * len(head) + "|", *map(_row, found.logs)]
    table = "\n".join(rows)
    aimed = next((log for log in found.logs if log.days == AIMED_DAYS), found.logs[-1])
    most = f"At most {CARRY.most_at_end} sweeps move the members after a reading"
    told = [f"{most}, more only where it surprises."]
    if len(found.logs) > 1:
        told.append(_growth(found.logs))
    told += [
        (
            f"Largest memory of this process with logs of up to {aimed.days} days: "
            f"{aimed.memory_gb:.2f} GB."
        ),
        f"Between two forecasts of {aimed.days} days {found.kept_mb:.0f} MB are kept.",
    ]
    notes = "\n".join(f"- {note}" for note in told)
    return f"""\
## A new reading

The invented tank is read with a drop kit, ammonia and nitrite, on two days of three; the log was
fitted up to the day before the last of them. {found.members} members, {found.horizon_days} days
ahead, two threads. *At once* is the forecast of members weighed by the new reading, from the log
in memory to all its numbers, half of the members run ahead; *replaced* that of members moved by
all readings, its past and future run as accurately as printed. Processor seconds add up both
threads: half of them is what two free cores would take at best. Load is how many processes wanted
a core in the minute before.

{table}

{notes}
"""


def aims(found: CarriedCost) -> list[tuple[str, str, float, float]]:
    """What was aimed at: name, unit, measured, aim."""
    aimed = next((log for log in found.logs if log.days == AIMED_DAYS), found.logs[-1])
    what = f"{aimed.days} days, {found.members} members"
    return [
        (f"a new reading, at once, {what}", "s", aimed.at_once.seconds, AIM_AT_ONCE_S),
        (f"a new reading, replaced, {what}", "s", aimed.replaced.seconds, AIM_REPLACED_S),
        (f"largest memory carrying a tank on, {what}", "GB", aimed.memory_gb, AIM_MEMORY_GB),
    ]


def _row(log: Log) -> str:
    one, two = log.at_once, log.replaced
    return (
        f"| {log.days} | {log.readings} | {log.first_s:.1f} | {one.seconds:.2f} "
        f"| {one.processor_s:.2f} | {one.load:.1f} | {two.seconds:.2f} | {two.processor_s:.2f} "
        f"| {two.load:.1f} | {two.sweeps} |"
    )


def _growth(logs: Sequence[Log]) -> str:
    """Processor seconds of the longest log over the shortest, beside their days."""
    short, long = logs[0], logs[-1]
    ratios = [
        long.at_once.processor_s / short.at_once.processor_s,
        long.replaced.processor_s / short.replaced.processor_s,
    ]
    return (
        f"{long.days / short.days:.1f} times the days take {ratios[0]:.1f} times the processor "
        f"seconds at once, {ratios[1]:.1f} times until replaced."
    )


if __name__ == "__main__":
    few_memory_arenas()  # as every command that foretells
    asked_members, asked_days, asked_repeats = (int(each) for each in sys.argv[1:4])
    print(json.dumps(asdict(measured(asked_members, asked_days, asked_repeats))))
