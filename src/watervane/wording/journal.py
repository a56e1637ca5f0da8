"""What was kept, in a few words each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from watervane.records import (
    AnimalsIn,
    Dose,
    Entry,
    Event,
    Feed,
    Habit,
    KeptTank,
    Note,
    Reading,
    Tank,
    TopOff,
    WaterChange,
)
from watervane.wording.amounts import listed
from watervane.wording.dates import day_and_month, weekday_date
from watervane.wording.happenings import event_label
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

_LONGEST = 60
FEW = 3  # entries that are told one by one
_SIGNS = {"ph": "pH", "kh": "KH", "gh": "GH", "co2": "CO2", "water": "the water"}


def entry_label(what: Event | Habit | Reading) -> str:
    """A few words: ``ammonia 0.7 mg/L as N``, ``fed 1 pinch``, ``water change 25 %``."""
    if isinstance(what, Habit):
        label, days = entry_label(what.template), what.every_days
        daily = phrase("kept-habit-daily", what=label)
        told = daily if days == 1 else phrase("kept-habit", what=label, days=days)
        if what.until is None:
            return told
        return phrase("kept-habit-until", what=told, until=weekday_date(what.until))
    if isinstance(what, Reading):
        told = with_degrees(what.value.raw or _bounds(what)).replace("..", " to ")
        source = " (source water)" if what.of_source_water else ""
        return f"{_SIGNS.get(what.quantity, what.quantity)} {told}{source}"
    if isinstance(what, AnimalsIn) and what.length_cm is not None:
        return phrase("kept-animals", what=event_label(what), length=f"{what.length_cm:g}")
    if isinstance(what, Dose) and what.target_mg_n_per_l is not None:
        level = f"{what.target_mg_n_per_l:.2g}"
        return phrase("kept-dose-to", what=event_label(what), level=level)
    if isinstance(what, Feed):
        return (
            phrase("kept-no-food")
            if what.mass_g.high == 0
            else f"fed {what.raw or _grams(what)}".strip()
        )
    if isinstance(what, Note):
        return _short(what.text)
    return event_label(what)


def with_degrees(told: str) -> str:
    """A temperature as people write it."""
    return told.replace("degC", "\N{DEGREE SIGN}C").replace("degF", "\N{DEGREE SIGN}F")


def entry_line(entry: Entry, beside: datetime | None = None) -> str:
    """One entry of a list: its number, its day, with a year other than that of ``beside``."""
    what = entry.what
    happened = what.template if isinstance(what, Habit) else what
    clock = f" {happened.at:%H:%M}" if happened.hour_known else ""
    return f"{entry.number}: {weekday_date(happened.at, beside=beside)}{clock}, {entry_label(what)}"


def kept_sentence(tank: str, entry: Entry, key: str = "kept-entry") -> str:
    """What was just kept or undone."""
    happened = entry.what.template if isinstance(entry.what, Habit) else entry.what
    told = {"tank": tank, "number": str(entry.number), "what": entry_label(entry.what)}
    ahead = happened.at > entry.written_at
    beside = entry.written_at if ahead else None  # a year that is still to come is said
    return phrase(key, **told, date=weekday_date(happened.at, beside=beside))


def kept_told(tank: str, entry: Entry) -> str:
    """What was just kept, with what was taken along unseen: the conditioner, an amount."""
    what = entry.what.template if isinstance(entry.what, Habit) else entry.what
    sentence = kept_sentence(tank, entry)
    if isinstance(what, WaterChange | TopOff) and not getattr(what, "pure", False):
        key = "kept-with-conditioner" if what.conditioner else "kept-without-conditioner"
        return f"{sentence} {phrase(key)}"
    if isinstance(what, Dose) and what.raw:
        return f"{sentence} {phrase('kept-dose', amount=what.raw)}"
    return sentence


def kept_together(tank: str, entries: Sequence[Entry]) -> tuple[str, ...]:
    """What was just kept; of many readings one sentence a day."""
    if len(entries) <= FEW or not all(isinstance(each.what, Reading) for each in entries):
        return tuple(kept_told(tank, each) for each in entries)
    days: dict[str, list[Entry]] = {}
    for each in entries:
        if isinstance(each.what, Reading):
            days.setdefault(weekday_date(each.what.at), []).append(each)
    told = [phrase("kept-many", tank=tank, count=len(entries))]
    for date, of_day in days.items():
        what = listed([entry_label(each.what) for each in of_day])
        told.append(phrase("kept-many-day", date=date, what=what))
    return tuple(told)


def shown_sentence(tank: Tank) -> str:
    """A tank of the journal in a line."""
    counts = {"readings": len(tank.readings), "events": len(tank.events)}
    filled = f"{day_and_month(tank.filled)} {tank.filled.year}"
    return phrase("tank-shown", tank=tank.name, filled=filled, habits=len(tank.habits), **counts)


def tanks_table(tanks: tuple[KeptTank, ...]) -> NumberTable:
    """The tanks of a journal."""
    rows = tuple(
        (
            tank.name,
            tank.filled.isoformat(),
            str(tank.readings),
            "-" if tank.last_reading is None else f"{tank.last_reading:%Y-%m-%d %H:%M}",
        )
        for tank in tanks
    )
    headers = ("tank", "filled", "readings", "last reading")
    return NumberTable(phrase("tanks-title"), phrase("tanks-caption"), headers, rows)


def _bounds(reading: Reading) -> str:
    low, high = reading.value.low, reading.value.high
    if low is None:
        return reading.value.kind if high is None else f"< {high:g}"
    if high is None:
        return f"> {low:g}"
    return f"{low:g}" if low == high else f"{low:g}..{high:g}"


def _grams(feed: Feed) -> str:
    low, high = feed.mass_g.low, feed.mass_g.high
    return f"{low:g} g" if low == high else f"{low:g} to {high:g} g"


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST else f"{line[:_LONGEST]}..."
