"""The kept logs, and whether what a log tells is enough to run it."""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from watervane.exchange import read_keeper_log
from watervane.process.calendar import Calendar
from watervane.records import (
    AnimalsIn,
    Dose,
    Event,
    Feed,
    Finding,
    Reading,
    Tank,
    TopOff,
    WaterChange,
)

DATA = Path(__file__).parent / "data"
LOGS = DATA / "keeper-logs"
NITROGEN = ("ammonia", "nitrite")
LEAST_READINGS = 8
LEAST_DATES = 5
STARTED_MG_N_PER_L = 0.3  # more than a trace before anything was put in: the log begins late


@dataclass(frozen=True)
class KeptLog:
    """One log as read.

    Parameters
    ----------
    name, title
        Short name and what the header calls it.
    tank, findings
        From the reader.
    header
        The header's entries.
    day_of_filling
        What the log's own count calls the day the run begins.
    lacking
        What keeps the log from being run, a phrase each; empty where nothing does.
    """

    name: str
    title: str
    tank: Tank
    findings: tuple[Finding, ...]
    header: Mapping[str, object]
    day_of_filling: int
    lacking: tuple[str, ...]

    @property
    def calendar(self) -> Calendar:
        """Days since filling."""
        return Calendar(self.tank.filled, self.tank.time_zone)

    @property
    def tests(self) -> list[Reading]:
        """Ammonia and nitrite told in numbers, in order of time."""
        return nitrogen_tests(self.tank)

    @property
    def middle(self) -> datetime:
        """The moment half-way between the first and the last test of ammonia or nitrite."""
        first, last = self.tests[0].at, self.tests[-1].at
        return first + (last - first) / 2


def nitrogen_tests(tank: Tank) -> list[Reading]:
    """Readings of ammonia and nitrite in the tank's own water, in order of time."""
    own = (r for r in tank.readings if r.quantity in NITROGEN and not r.of_source_water)
    return sorted(own, key=lambda r: r.at)


def kept_logs(folder: Path = LOGS) -> list[KeptLog]:
    """Every log of a folder, in the order of their names."""
    return [_read(path) for path in sorted(folder.glob("*.csv"))]


def _read(path: Path) -> KeptLog:
    header_path = path.with_suffix(".toml")
    header = tomllib.loads(header_path.read_text(encoding="utf-8"))
    tank, findings = read_keeper_log(path, header_path)
    name = str(header["id"])
    title = str(header["title"])
    tank = replace(tank, name=f"Log {name}")
    return KeptLog(
        name,
        title,
        tank,
        findings,
        header,
        _day_of_filling(path, tank),
        tuple(lacking(tank, findings)),
    )


def _day_of_filling(path: Path, tank: Tank) -> int:
    """The count of the table, set against the dates the reader gave its rows."""
    counted = {}
    with path.open(encoding="utf-8", newline="") as table:
        rows = csv.DictReader(table)
        for row in rows:
            counted[rows.line_num] = math.floor(float(row["day"]))
    reading = tank.readings[0]
    return counted[reading.line or 0] - (reading.at.date() - tank.filled).days


def lacking(tank: Tank, findings: tuple[Finding, ...]) -> list[str]:
    """What a log would have to tell besides, judged by its content alone.

    Parameters
    ----------
    tank, findings
        As the reader of logs hands them out.
    """
    found = []
    keys = {finding.key for finding in findings}
    tests = nitrogen_tests(tank)
    dates = {r.at.date() for r in tests}
    if tank.source_water.salinity_g_per_kg > 0.0:
        found.append("it is salt water, which this program does not keep house for")
    if len(tests) < LEAST_READINGS or len(dates) < LEAST_DATES:
        found.append(
            f"ammonia and nitrite are told in numbers {len(tests)} times on {len(dates)} days, "
            f"fewer than {LEAST_READINGS} times or {LEAST_DATES} days"
        )
    inputs = [e for e in tank.events if brings_nitrogen(e)]
    if not inputs:
        found.append("nothing that brings nitrogen is told with an amount")
    if "log-animals-unknown" in keys:
        found.append("there are animals, but not which or how many")
    if "log-size-unknown" in keys:
        found.append("a feeding or a water change is told without its size")
    if tank.volume_l is None and any(_needs_volume(e) for e in tank.events):
        found.append("amounts are told by mass, drops or litres, but not the volume of the tank")
    first_input = min((e.at for e in inputs), default=None)
    early = [r for r in tests if first_input is None or r.at < first_input]
    if any((r.value.low or 0.0) > STARTED_MG_N_PER_L for r in early):
        found.append(
            "ammonia or nitrite is there before anything that brings it is told, so the log "
            "begins after the start"
        )
    return found


def brings_nitrogen(event: Event) -> bool:
    """Whether an event puts in nitrogen of a known amount."""
    if isinstance(event, Dose):
        told = (event.mass_g, event.target_mg_n_per_l, event.added_mg_n_per_l)
        return "ammoni" in event.substance and any(t is not None for t in told)
    return isinstance(event, Feed | AnimalsIn)


def _needs_volume(event: Event) -> bool:
    if isinstance(event, Dose):
        return event.mass_g is not None
    if isinstance(event, TopOff):
        return event.volume_l is not None
    return isinstance(event, Feed | AnimalsIn) and not isinstance(event, WaterChange)
