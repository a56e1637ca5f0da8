"""The verdict, the next steps and a rehearsal, with the program warm and the members ready.

A process of its own (``python -m benchmarks.steps``): it keeps no other run's memory or load.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from benchmarks.workload import SEED, UTC, tank
from watervane.engine.futures import Standing, future, stand
from watervane.engine.mishaps import Scene, under
from watervane.engine.today import today_of
from watervane.process.calendar import Calendar
from watervane.process.memory_arenas import few_memory_arenas
from watervane.process.timeline import timeline
from watervane.records import Mishap, Reading, ReadingValue, Tank, Today

ROOT = Path(__file__).resolve().parents[1]
AIM_STEPS_S, AIM_REHEARSAL_S = 4.0, 1.0
LOG_DAYS, MISHAP_DAYS = 20, 21


@dataclass(frozen=True)
class StepsCost:
    """What each part took, shortest of the repeats. [s]

    ``fit`` draws the members from 20 readings, ``verdict`` judges them, ``steps`` tries
    ``tried`` ways and judges again those that matter, ``rehearsal`` runs one mishap beside the
    plan for three weeks.
    """

    members: int
    fit: float
    verdict: float
    steps: float
    rehearsal: float
    tried: int
    load: float


def measured_apart(members: int, repeats: int) -> StepsCost:
    """Measure in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.steps", str(members), str(repeats)]
    done = subprocess.run(  # noqa: S603 - our own module
        command, cwd=ROOT, check=True, capture_output=True, text=True
    )
    return StepsCost(**json.loads(done.stdout.splitlines()[-1]))


def section(found: StepsCost) -> str:
    """The page's part."""
    return f"""\
## The next steps

The invented tank, read with a drop kit on ten of {LOG_DAYS} days, overfed so that something has to
be done; {found.members} members, two threads, one process that has run before. Load in the minute
before: {found.load:.1f}.

| part | seconds |
|---|---|
| members drawn from the readings | {found.fit:.2f} |
| verdict | {found.verdict:.2f} |
| steps: {found.tried} ways tried | {found.steps:.2f} |
| one mishap rehearsed beside the plan, {MISHAP_DAYS} days | {found.rehearsal:.2f} |
"""


def aims(found: StepsCost) -> list[tuple[str, str, float, float]]:
    """Rows of the table of aims."""
    return [
        ("today's verdict and steps, members ready", "s", found.verdict + found.steps, AIM_STEPS_S),
        ("a rehearsal, members ready", "s", found.rehearsal, AIM_REHEARSAL_S),
    ]


def measured(members: int, repeats: int) -> StepsCost:
    """Measure in this process; the first run of each part only warms it up."""
    few_memory_arenas()
    load = os.getloadavg()[0]
    read = _read(tank())
    as_of = datetime(2026, 3, 1, 19, tzinfo=UTC) + timedelta(days=LOG_DAYS)
    parts: dict[str, list[float]] = {"fit": [], "verdict": [], "steps": [], "rehearsal": []}
    tried = 0
    for _ in range(repeats + 1):
        begun = time.perf_counter()
        standing = stand(read, as_of=as_of, members=members, seed=SEED, now=as_of)
        parts["fit"].append(time.perf_counter() - begun)
        tried, verdict, steps = _day(standing)
        parts["verdict"].append(verdict)
        parts["steps"].append(steps)
        begun = time.perf_counter()
        _rehearsed(standing)
        parts["rehearsal"].append(time.perf_counter() - begun)
    shortest = {name: min(times[1:]) for name, times in parts.items()}
    return StepsCost(members, **shortest, tried=tried, load=load)


def _day(standing: Standing) -> tuple[int, float, float]:
    """Ways tried, and seconds until the verdict and from there to the steps, as they are shown."""
    said: list[float] = []
    begun = time.perf_counter()
    found = today_of(standing, seed=SEED, early=lambda _: said.append(time.perf_counter()))
    verdict, steps = said
    return _tried(found), verdict - begun, steps - verdict


def _tried(found: Today) -> int:
    if found.chosen is None or not found.chosen.acts:
        raise ValueError("the tank of this benchmark is to need steps")
    return found.tried


def _rehearsed(standing: Standing) -> None:
    last = standing.today + MISHAP_DAYS
    scene = Scene(timeline(standing.tank, last), standing.as_of + timedelta(hours=12))
    for changed in (standing.tank, under(scene, Mishap("power-cut", 8.0))):
        future(standing, changed, MISHAP_DAYS)


def _read(one: Tank) -> Tank:
    calendar = Calendar(one.filled, one.time_zone)
    readings = []
    for day in range(2, LOG_DAYS + 1, 2):
        at = calendar.moment(day + 0.75)
        for quantity, level in (("ammonia", 1.0), ("nitrite", 0.3)):
            value = ReadingValue("exact", level, level, "n")
            readings.append(Reading(at, quantity, value))
    return replace(one, readings=tuple(readings))


if __name__ == "__main__":
    print(json.dumps(asdict(measured(int(sys.argv[1]), int(sys.argv[2])))))
