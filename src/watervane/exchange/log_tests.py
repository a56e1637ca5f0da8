"""Rows of a log that are readings."""

from __future__ import annotations

import statistics
from collections import Counter
from datetime import datetime

from watervane.exchange.log_rows import LogRow, number_of
from watervane.exchange.problems import shown
from watervane.records import Finding, Kit, Reading, ReadingValue
from watervane.units import UnitError, parse_reading

# Name in the log -> quantity, and the unit its name carries (else the unit column's).
QUANTITIES: dict[str, tuple[str, str | None]] = {
    **{name: (name, None) for name in ("ammonia", "nitrite", "nitrate", "oxygen", "phosphate")},
    **{name: (name, None) for name in ("chlorine", "chloride", "co2", "conductivity")},
    "ph": ("ph", ""),
    "kh": ("kh", None),
    "gh": ("gh", None),
    "kh_ppm": ("kh", "ppm as CaCO3"),
    "gh_ppm": ("gh", "ppm as CaCO3"),
    "kh_deg": ("kh", "dKH"),
    "gh_deg": ("gh", "dGH"),
    "temperature": ("temperature", None),
    "temperature_c": ("temperature", "degC"),
    "temperature_f": ("temperature", "degF"),
}
UNITS = {"degrees": "deg", "c": "degC", "f": "degF", "mg/l": "mg/L", "ph": ""}
KIT_WORDS = {"drop": "drop", "strip": "strip", "photometer": "photometer"}
KIT_WORDS |= {"meter": "probe", "probe": "probe", "thermometer": "probe"}
NITROGEN = ("ammonia", "nitrite", "nitrate")
TOP_STEPS_PPM = (1.0, 5.0, 10.0)  # where usual nitrite charts end
_SIGNS = {"=": "", "~": "~", ">": "> ", "<": "< "}


class LogReadings:
    """Collects readings, the kits they were made with, and what was doubtful."""

    def __init__(self, rows: list[LogRow]) -> None:
        self.readings: list[Reading] = []
        self.kits: dict[str, Kit] = {}
        self.findings: list[Finding] = []
        self.problems: list[Finding] = []
        self._top = _nitrite_top(rows)
        if self._top is not None:
            count = sum(_at_top(row, self._top) for row in rows)
            told = {"count": count, "value": f"{self._top:g} ppm"}
            self.findings.append(Finding("log-nitrite-at-top", "info", told))

    def take(self, row: LogRow, at: datetime) -> bool:
        """Whether the row was a reading that has been dealt with."""
        known = QUANTITIES.get(row.quantity.lower())
        if row.is_event or known is None or row.qualifier == "text":
            return False
        quantity, unit = known
        text = self._text(row)
        if text is None:
            return False
        try:
            value = parse_reading(f"{text} {_unit(row, quantity, unit)}".strip(), quantity)
        except UnitError as error:
            told = {**error.arguments, "name": f"{quantity} reading"}
            self.problems.append(Finding(error.key, "problem", told, row.line))
            return True
        self.readings.append(
            Reading(
                at=at,
                quantity=quantity,
                value=_as_stated(value, row),
                hour_known=False,
                kit=self._kit(row.kit),
                of_source_water="tap" in row.note.lower().split(),
                note=row.note,
                line=row.line,
            )
        )
        return True

    def usual_temperature_c(self) -> float | None:
        """Median of the temperatures read. [degC]"""
        read = [
            0.5 * (r.value.low + r.value.high)
            for r in self.readings
            if r.quantity == "temperature" and r.value.low is not None and r.value.high is not None
        ]
        return round(statistics.median(read), 2) if read else None

    def _text(self, row: LogRow) -> str | None:
        if self._top is not None and _at_top(row, self._top):
            return f"> {row.value}"
        low, high = number_of(row.low), number_of(row.high)
        for name, text in (("low", row.low), ("high", row.high)):
            if text and number_of(text) is None:
                told = {"value": shown(text), "column_name": name}
                self.findings.append(Finding("log-stray-bound", "caution", told, row.line))
        if row.qualifier == "range" and low is not None and high is not None:
            return f"{low:.10g}..{high:.10g}" if low < high else f"{low:.10g}"
        value = number_of(row.value)
        if value is None:
            return None
        return f"{_SIGNS.get(row.qualifier, '')}{value:.10g}"

    def _kit(self, text: str) -> str | None:
        words = text.lower().replace(",", " ").replace("(", " ").split()
        kind = next((KIT_WORDS[word] for word in words if word in KIT_WORDS), None)
        if kind is not None:
            self.kits.setdefault(kind, Kit(kind, kind))
        return kind


def _unit(row: LogRow, quantity: str, unit: str | None) -> str:
    if unit is None:
        unit = UNITS.get(row.unit.lower(), row.unit)
        unit = {"deg": {"kh": "dKH", "gh": "dGH"}.get(quantity, "degC")}.get(unit, unit)
    if quantity not in NITROGEN:
        return unit
    if "/" not in unit and unit.lower() != "ppm":
        unit = unit or "mg/L"
    basis = row.basis.lower()
    if basis.startswith("as n") and not basis.startswith(("as nh", "as no")):
        return f"{unit} as N"
    stated = basis.startswith("as ion") and "presumed" not in basis
    ion = {"ammonia": "NH4", "nitrite": "NO2", "nitrate": "NO3"}[quantity]
    return f"{unit} as {ion}" if stated else unit


def _as_stated(value: ReadingValue, row: LogRow) -> ReadingValue:
    """The same value, with the words of the log."""
    words = f"{row.qualifier if row.qualifier in '~<>' else ''}{row.value} {row.unit}"
    if row.qualifier == "range":
        words = f"{row.low}..{row.high} {row.unit}"
    return ReadingValue(value.kind, value.low, value.high, value.basis, words.strip())


def _nitrite_top(rows: list[LogRow]) -> float | None:
    """The highest nitrite of a log where that is the end of a usual chart."""
    highs = Counter(
        number
        for row in rows
        for number in [number_of(row.value)]
        if row.quantity.lower() == "nitrite" and row.qualifier in "=~<>" and number is not None
    )
    top = max(highs, default=None)
    exact = any(_at_top(row, top) for row in rows) if top is not None else False
    return top if top in TOP_STEPS_PPM and exact else None


def _at_top(row: LogRow, top: float) -> bool:
    return (
        row.quantity.lower() == "nitrite"
        and row.qualifier in ("=", "~")
        and number_of(row.value) == top
        and row.unit.lower() in ("ppm", "mg/l")
    )
