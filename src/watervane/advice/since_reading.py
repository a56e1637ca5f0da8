"""What was done to a tank since it was read: how much of a reading still stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.chemistry.dilution import left_after_changes
from watervane.process.calendar import Calendar, events_through
from watervane.records import Dose, Reading, Tank, WaterChange
from watervane.reference import substance

# Of the water; with less of it left, and a tap nobody told of, KH may be another (house estimate).
MOSTLY_LEFT = 0.75


@dataclass(frozen=True, slots=True)
class Done:
    """What readings were followed by.

    Parameters
    ----------
    changes
        Moment and share of each water change.
    buffered
        Moments at which something was dosed that brings alkalinity.
    tap_kh_dkh
        Of the water that changes bring, where it was told. [dKH]
    """

    changes: tuple[tuple[datetime, float], ...] = ()
    buffered: tuple[datetime, ...] = ()
    tap_kh_dkh: float | None = None

    def left(self, at: datetime) -> float:
        """Share of the water of a moment that is still there."""
        return left_after_changes(share for done, share in self.changes if done > at)

    def kh_dkh(self, reading: Reading, *, recent: bool) -> tuple[float | None, float | None]:
        """What KH was read to be, as new water has moved it; none where that is not known.

        Parameters
        ----------
        reading
            Of KH.
        recent
            Whether it is of these days: then it stands where nobody told of the tap.

        Returns
        -------
        tuple
            Lowest and highest, ``None`` where open, both where it says nothing any more. [dKH]
        """
        if any(done > reading.at for done in self.buffered):
            return None, None
        left, tap = self.left(reading.at), self.tap_kh_dkh
        if tap is None and left < MOSTLY_LEFT and not recent:
            return None, None

        def moved(end: float | None) -> float | None:
            if end is None:
                return None
            read = end * reading.diluted
            return read if tap is None else read * left + tap * (1.0 - left)

        return moved(reading.value.low), moved(reading.value.high)


def done_since(tank: Tank, as_of: datetime, within_days: float = float("inf")) -> Done:
    """What was done to a tank, planned or told, until a moment.

    Parameters
    ----------
    tank
        With its log.
    as_of
        The moment, aware.
    within_days
        Of it; what was done before says nothing of later readings. [d]
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    last_day = (as_of.astimezone(calendar.zone).date() - tank.filled).days
    changes, buffered = [], []
    for event in events_through(tank, calendar, last_day):
        age_d = (as_of - event.at).total_seconds() / 86400.0
        if not 0.0 <= age_d <= within_days:
            continue
        if isinstance(event, WaterChange):
            changes.append((event.at, event.fraction))
        elif isinstance(event, Dose) and substance(event.substance).alkalinity_eq > 0.0:
            buffered.append(event.at)
    return Done(tuple(changes), tuple(buffered), tank.source_water.kh_dkh)
