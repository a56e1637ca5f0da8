"""When it was: a day, and an hour where it is known."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time

from watervane.records import Finding
from watervane.web.forms.fields import DAY, HOUR, BadField, Field
from watervane.wording import phrase


class BadMoment(BadField):
    """A day or an hour that is none, by the field it was typed in."""

    def __init__(self, name: str, typed: str) -> None:
        super().__init__(name, Finding(f"form-bad-{name}", "problem", {"value": typed}))


def when_fields(now: date | datetime, *, hour_known: bool = True) -> tuple[Field, ...]:
    """The two fields, filled in with a moment."""
    clock = f"{now:%H:%M}" if isinstance(now, datetime) and hour_known else ""
    return (
        Field(DAY, "date", phrase("form-day"), value=f"{now:%Y-%m-%d}", short=True),
        Field(HOUR, "time", phrase("form-hour"), phrase("form-hour-hint"), clock, short=True),
    )


def moment_typed(typed: Mapping[str, str]) -> date | datetime | None:
    """The moment that was typed; ``None`` for now.

    Raises
    ------
    BadMoment
        Where a day or an hour is none.
    """
    told_day, told_hour = typed.get(DAY, "").strip(), typed.get(HOUR, "").strip()
    if not told_day:
        return None
    try:
        day = date.fromisoformat(told_day)
    except ValueError:
        raise BadMoment(DAY, told_day) from None
    if not told_hour:
        return day
    try:
        return datetime.combine(day, time.fromisoformat(told_hour))
    except ValueError:
        raise BadMoment(HOUR, told_hour) from None
