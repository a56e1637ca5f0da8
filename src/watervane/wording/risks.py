"""The chance, day by day, that a watched level is passed: sentences and the emblem's marks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from watervane.records import Forecast
from watervane.wording.amounts import TWENTIETHS, listed, out_of_twenty
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.templates import phrase

DAYS = 7
WORTH_TELLING = 0.05
_KEY = re.compile(
    r"(?P<name>[a-z0-9_]+?)_(?P<side>above|below)_(?P<value>[0-9.]+)(?:_(?P<unit>\w+))?"
)
_NAMES = {"ph": "pH", "kh": "KH"}
_UNITS = {"mg_n_per_l": "mg N/L", "mg_per_l": "mg/L", "dkh": "dKH"}


@dataclass(frozen=True, slots=True)
class Watched:
    """A level as its key tells it: ``nitrite_above_0.6_mg_n_per_l``."""

    key: str
    name: str
    above: bool
    value: float
    unit: str
    series_key: str

    @property
    def limit(self) -> str:
        """``over 0.6 mg N/L``."""
        side = "over" if self.above else "under"
        return f"{side} {self.value:g} {self.unit}".strip()

    @property
    def kept(self) -> str:
        """``nitrite stays under 0.6 mg N/L``: what holds as long as the level is not passed."""
        key = "kept-over" if self.above else "kept-under"
        return phrase(key, name=self.name, level=f"{self.value:g} {self.unit}".strip())

    @property
    def text(self) -> str:
        """``nitrite over 0.6 mg N/L``."""
        return f"{self.name} {self.limit}"


@dataclass(frozen=True, slots=True)
class MarkedDay:
    """One day of the emblem: twenty marks, the struck ones last, and the words under them."""

    label: str
    struck: int
    text: str
    """The chance that the level is kept, as the marks left standing."""


@dataclass(frozen=True, slots=True)
class MarkedWeek:
    """One watched level over the next seven days."""

    title: str
    days: tuple[MarkedDay, ...]


def watched(key: str) -> Watched | None:
    """A level from its key; ``None`` for a key of another form."""
    found = _KEY.fullmatch(key)
    if found is None:
        return None
    name, unit = found["name"], found["unit"] or ""
    return Watched(
        key=key,
        name=_NAMES.get(name, name.replace("_", " ")),
        above=found["side"] == "above",
        value=float(found["value"]),
        unit=_UNITS.get(unit, unit.replace("_", " ")),
        series_key=f"{name}_{unit}" if unit else name,
    )


def risk_sentences(forecast: Forecast) -> list[str]:
    """Which watched levels are likely to be passed in the next seven days, the likeliest first."""
    told = _weeks(forecast)
    if not told:
        return []
    worst = sorted(told, key=lambda item: -max(item[1]))
    grave = [item for item in worst if max(item[1]) >= WORTH_TELLING]
    if not grave:
        names = listed([level.text for level, _ in told])
        return [phrase("risk-none", levels=names)]
    sentences = []
    for level, chances in grave:
        date = weekday_date(_day(forecast, chances.index(max(chances))), beside=forecast.as_of)
        name = level.name if level.name == "pH" else level.name.capitalize()
        words = {"name": name, "limit": level.limit, "share": out_of_twenty(max(chances))}
        sentences.append(phrase("risk-passed", **words, date=date))
    return [*sentences, phrase("risk-do")]


def marked_weeks(forecast: Forecast) -> tuple[MarkedWeek, ...]:
    """The emblem of every level that may well be passed."""
    weeks = []
    for level, chances in _weeks(forecast):
        if max(chances) >= WORTH_TELLING:
            days = tuple(
                MarkedDay(
                    short_date(_day(forecast, day)).rpartition(" ")[0],
                    round(chance * TWENTIETHS),
                    _short(1.0 - chance),
                )
                for day, chance in enumerate(chances)
            )
            weeks.append(MarkedWeek(phrase("emblem-title", level=level.kept), days))
    return tuple(weeks)


def _day(forecast: Forecast, day: int) -> datetime:
    """The date most of the day's 24 hours after the forecast's moment fall on."""
    return forecast.as_of + timedelta(days=day, hours=12)


def _weeks(forecast: Forecast) -> list[tuple[Watched, tuple[float, ...]]]:
    levels = ((watched(key), chances[:DAYS]) for key, chances in forecast.risk.items())
    return [(level, chances) for level, chances in levels if level is not None and chances]


def _short(share: float) -> str:
    marks = round(share * TWENTIETHS)
    if marks == TWENTIETHS and share < 1.0:
        return ">19 of 20"
    if marks == 0 and share > 0.0:
        return "<1 of 20"
    return f"{marks} of 20"
