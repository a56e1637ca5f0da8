"""A log kept as a table (CSV) with a header (TOML) of the same name."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path as FilePath
from typing import Any

from watervane.exchange.log_events import LogEvents
from watervane.exchange.log_header import (
    bed_of,
    is_fish_in,
    kept_notes,
    plants_of,
    seeding_of,
    source_water_of,
    temperature_c_of,
)
from watervane.exchange.log_rows import LogDays, LogRow, read_rows
from watervane.exchange.log_tests import LogReadings
from watervane.exchange.problems import TankFileErrors, fail, shown
from watervane.exchange.source_text import parsed, read_text
from watervane.records import AnimalsIn, Finding, Seed, Tank

USUAL_TEMPERATURE_C = 25.0  # common practice, no source: what most keepers set


def read_keeper_log(
    csv_path: FilePath | str, header_toml_path: FilePath | str
) -> tuple[Tank, tuple[Finding, ...]]:
    """Read a log as a tank, with everything that had to be taken for granted.

    Parameters
    ----------
    csv_path
        Columns ``seq, day, date, quantity, value, low, high, qualifier, unit, basis,
        kit, note``; at least day or date, quantity and value.
    header_toml_path
        ``title``, ``volume_litres`` (``nan`` where unknown), ``water`` and texts on the
        set-up.

    Returns
    -------
    tank, findings
        Times are UTC and hours unknown. Days without dates are counted from an
        invented one.

    Raises
    ------
    TankFileErrors
        With every problem, lines being those of the CSV.
    """
    table, head = FilePath(csv_path), FilePath(header_toml_path)
    rows, problems = read_rows(read_text(table))
    if not head.exists():
        fail("log-header-missing", file=shown(head.name))
    header = parsed(read_text(head))
    volume_l = _volume(header)
    days = LogDays.of(rows, problems)
    if problems:
        raise TankFileErrors(problems)
    return _Log(header, rows, days, volume_l, table.stem).tank()


def _volume(header: dict[str, Any]) -> float | None:
    told = header.get("volume_litres", math.nan)
    if isinstance(told, bool) or not isinstance(told, (int, float)):
        fail("log-volume", value=shown(told))
    if math.isnan(told):
        return None
    if not 0.0 < told < 1e6:
        fail("log-volume", value=shown(told))
    return float(told)


class _Log:
    """One log on its way to a tank."""

    def __init__(
        self,
        header: dict[str, Any],
        rows: list[LogRow],
        days: LogDays,
        volume_l: float | None,
        name: str,
    ) -> None:
        self.header, self.rows, self.days = header, rows, days
        self.volume_l, self.name = volume_l, name
        self.findings: list[Finding] = []

    def tank(self) -> tuple[Tank, tuple[Finding, ...]]:
        """The tank and what had to be taken for granted."""
        events = LogEvents(self.header, self.volume_l)
        tests = LogReadings(self.rows)
        for row in self.rows:
            at = self.days.moment(row)
            if not tests.take(row, at):
                events.take(row, at)
        problems = [*tests.problems, *events.problems]
        if problems:
            raise TankFileErrors(problems)
        self._assume_days()
        set_point_c = self._temperature(tests)
        happened = [*events.events, *self._seeds(events)]
        if is_fish_in(self.header) and not any(isinstance(e, AnimalsIn) for e in happened):
            self._add("log-animals-unknown", "caution")
        if self.volume_l is None:
            self._add("log-volume-unknown", "caution")
        tank = Tank(
            name=str(self.header.get("title") or self.name)[:200],
            filled=self.days.filled,
            volume_l=self.volume_l,
            bed=self._bed(),
            heater_set_point_c=set_point_c,
            plants=plants_of(self.header),
            source_water=source_water_of(self.header, tests.readings, self._marine),
            kits=tests.kits,
            events=tuple(sorted(happened, key=lambda e: e.at)),
            readings=tuple(tests.readings),
            notes=kept_notes(self.header),
        )
        return tank, (*self.findings, *tests.findings, *events.findings)

    def _add(self, key: str, severity: str, **arguments: object) -> None:
        self.findings.append(Finding(key, severity, arguments))

    def _marine(self, water: str) -> None:
        self._add("log-marine", "caution", water=water)

    def _assume_days(self) -> None:
        if self.days.invented:
            day_zero: date = self.days.day_zero
            self._add("log-dates-invented", "info", day=day_zero.isoformat())
        self._add("log-hours-unknown", "info")

    def _temperature(self, tests: LogReadings) -> float:
        told = tests.usual_temperature_c() or temperature_c_of(self.header)
        if told is None:
            self._add("log-temperature-assumed", "caution", temperature_c=USUAL_TEMPERATURE_C)
            return USUAL_TEMPERATURE_C
        self._add("log-temperature-taken", "info", temperature_c=told)
        return told

    def _bed(self) -> Any:
        bed = bed_of(self.header)
        if bed is not None:
            self._add("log-bed-taken", "info", material=bed.material)
        return bed

    def _seeds(self, events: LogEvents) -> list[Seed]:
        """Seeding the header tells of, on the days that have no row for it."""
        sown = {e.at.date() for e in events.events if isinstance(e, Seed)}
        added = []
        for source, day in seeding_of(self.header):
            at = self.days.noon(self.days.first_day if day is None else float(day))
            if at.date() not in sown and at.date() >= self.days.filled:
                added.append(
                    Seed(at=at, hour_known=False, source=source, note="told by the header")
                )
                told = {"source": source, "day": at.date().isoformat()}
                self._add("log-seeding-taken", "caution", **told)
        return added
