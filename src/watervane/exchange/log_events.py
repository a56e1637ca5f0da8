"""Rows of a log that are events, or are kept as notes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from watervane.exchange.log_header import ammonia_of, seed_source
from watervane.exchange.log_rows import LogRow, number_of
from watervane.exchange.log_tests import QUANTITIES
from watervane.exchange.problems import shown
from watervane.exchange.quantities import parse_dose_g
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Died,
    Dose,
    Event,
    Feed,
    Finding,
    Note,
    Seed,
    Span,
    TopOff,
    WaterChange,
)
from watervane.reference import food_amounts
from watervane.units import UnitError, parse_concentration, parse_food, parse_volume_l

_Shared = dict[str, Any]
_MOST_ANIMALS = 100_000
# House estimates, 95 % ranges. A level is filled up to by the keeper's own kit, good to a third
# either way; a rise is reckoned from the bottle's strength, a spoon and the tank's volume.
RAISED_TO_FACTOR = Span(0.65, 1.5)
RAISED_BY_FACTOR = Span(0.5, 2.0)
_UNIT_OF_CHANGE = {"water_change_pct": "percent", "water_change_litres": "l"}


class _NoSize(Exception):
    """The row tells what was done, but not how much."""


class LogEvents:
    """Collects events; whatever cannot be one is kept as a note and reported."""

    def __init__(self, header: dict[str, Any], volume_l: float | None) -> None:
        self.events: list[Event] = []
        self.findings: list[Finding] = []
        self.problems: list[Finding] = []
        self._volume_l = volume_l
        self._ammonia = ammonia_of(header)
        self._noted: dict[str, Finding] = {}

    def take(self, row: LogRow, at: datetime) -> None:
        """Add one row."""
        shared: _Shared = {"at": at, "hour_known": False, "note": row.note, "line": row.line}
        make = self._makers().get(row.quantity.lower())
        if make is None:
            self._keep(row, shared)
            return
        try:
            event = make(row, shared)
        except _NoSize:
            self._add_note(row, shared)
            told = {"quantity": shown(row.quantity), "day": at.date().isoformat()}
            self.findings.append(Finding("log-size-unknown", "caution", told, row.line))
        except UnitError as error:
            arguments = {**error.arguments, "name": row.quantity}
            self.problems.append(Finding(error.key, "problem", arguments, row.line))
        else:
            self.events.append(event)

    def _makers(self) -> dict[str, Callable[[LogRow, _Shared], Event]]:
        return {
            "dose_ammonia_to": self._raised_to,
            "dose_ammonia_add": self._raised_by,
            "dose_ammonia_drops": self._drops,
            "dose_ammonia": self._dosed,
            "dose_food": _fed,
            "feed": _fed,
            "seed_media": _seeded,
            "water_change": self._changed,
            "water_change_pct": self._changed,
            "water_change_litres": self._changed,
            "top_off": _topped_off,
            "fish_added": _animals(AnimalsIn),
            "animals_added": _animals(AnimalsIn),
            "fish_removed": _animals(AnimalsOut),
            "fish_died": _animals(Died),
        }

    def _raised_to(self, row: LogRow, shared: _Shared) -> Event:
        return Dose(
            substance=self._ammonia,
            target_mg_n_per_l=_ammonia_level(row),
            amount_factor=RAISED_TO_FACTOR,
            **shared,
        )

    def _raised_by(self, row: LogRow, shared: _Shared) -> Event:
        return Dose(
            substance=self._ammonia,
            added_mg_n_per_l=_ammonia_level(row),
            amount_factor=RAISED_BY_FACTOR,
            **shared,
        )

    def _drops(self, row: LogRow, shared: _Shared) -> Event:
        text = f"{_size(row):g} drops"
        if not any(finding.key == "log-drops" for finding in self.findings):
            self.findings.append(Finding("log-drops", "caution"))
        return Dose(substance=self._ammonia, mass_g=parse_dose_g(text), raw=text, **shared)

    def _dosed(self, row: LogRow, shared: _Shared) -> Event:
        text = f"{_size(row):g} {row.unit}"
        return Dose(substance=self._ammonia, mass_g=parse_dose_g(text), raw=text, **shared)

    def _changed(self, row: LogRow, shared: _Shared) -> Event:
        size = _size(row)
        unit = _UNIT_OF_CHANGE.get(row.quantity.lower(), row.unit.lower())
        if unit in ("percent", "%", "pct"):
            fraction = size / 100.0
        elif unit in ("", "fraction") and size <= 1.0:
            fraction = size
        elif self._volume_l is None or not unit:
            raise _NoSize
        else:
            fraction = parse_volume_l(f"{size!r} {row.unit or unit}") / self._volume_l
        if not 0.0 < fraction <= 1.0:
            raise _NoSize
        return WaterChange(fraction=fraction, **shared)

    def _keep(self, row: LogRow, shared: _Shared) -> None:
        """A reading in words, or a quantity this program does not read."""
        self._add_note(row, shared)
        quantity = row.quantity.lower()
        if quantity in QUANTITIES:
            told = {"quantity": QUANTITIES[quantity][0], "value": shown(row.value)}
            self.findings.append(Finding("log-text-value", "info", told, row.line))
            return
        earlier = self._noted.get(quantity)
        count = 1 if earlier is None else int(str(earlier.arguments["count"])) + 1
        finding = Finding(
            "log-kept-as-note",
            "info",
            {"quantity": shown(row.quantity), "count": count},
            row.line if earlier is None else earlier.line,
        )
        if earlier is not None:
            self.findings.remove(earlier)
        self._noted[quantity] = finding
        self.findings.append(finding)

    def _add_note(self, row: LogRow, shared: _Shared) -> None:
        words = f"{row.quantity}: {row.value} {row.unit}".rstrip(": ")
        self.events.append(Note(text=words, **shared))


def _size(row: LogRow) -> float:
    """How much; the middle of a range where only that is told."""
    value, low, high = (number_of(text) for text in (row.value, row.low, row.high))
    if value is None and low is not None and high is not None:
        value = 0.5 * (low + high)
    if value is None:
        raise _NoSize
    return value


def _ammonia_level(row: LogRow) -> float:
    unit = "mg/L as N" if row.basis.lower().startswith("as n,") else row.unit or "ppm"
    found = parse_concentration(f"{_size(row):.10g} {unit}", "ammonia")
    return found.low or 0.0


def _fed(row: LogRow, shared: _Shared) -> Event:
    text = f"{_size(row):.10g} {row.unit}".strip()
    return Feed(mass_g=parse_food(text, food_amounts()), raw=text, **shared)


def _seeded(row: LogRow, shared: _Shared) -> Event:
    return Seed(source=seed_source(row.note) or "media", **shared)


def _topped_off(row: LogRow, shared: _Shared) -> Event:
    volume = None if number_of(row.value) is None else parse_volume_l(f"{row.value} {row.unit}")
    return TopOff(volume_l=volume, **shared)


def _animals(
    record: type[AnimalsIn | AnimalsOut | Died],
) -> Callable[[LogRow, _Shared], Event]:
    def make(row: LogRow, shared: _Shared) -> Event:
        count = _size(row)
        if not (1 <= count <= _MOST_ANIMALS and count == int(count)):
            raise _NoSize
        species = row.unit if row.unit.lower() not in ("", "fish", "count") else row.note or "fish"
        return record(species=species[:200], count=int(count), **shared)

    return make
