"""What a tank's own log tells of a substance: when it last went in, and what is left of it.

Only plain salt is counted: nothing but changes of water takes it away. Of all else the log tells
no decay, so it is told when it went in and how much of the water was changed since.
"""

from __future__ import annotations

from datetime import datetime

from watervane.chemistry.dilution import left_after_changes
from watervane.process.calendar import Calendar, events_through
from watervane.process.geometry import water_body
from watervane.records import Dose, Event, Tank, Treatment, WaterChange
from watervane.records.doses import LoggedDose
from watervane.reference import UnknownNameError
from watervane.reference.dosing import COPPER, SALT, TREATMENT, Dosed, dosed

COUNTED = (SALT, COPPER, TREATMENT)


def logged_dose(tank: Tank, substance: str, now: datetime) -> LoggedDose | None:
    """The last dose of a substance that a log tells of; nothing where there is none.

    Parameters
    ----------
    tank
        With its log.
    substance
        Known to `watervane.reference.dosing.dosed`.
    now
        What lies ahead is a plan.
    """
    what = dosed(substance)
    if what.kind not in COUNTED:
        return None
    calendar = Calendar(tank.filled, tank.time_zone)
    last_day = (calendar.moment(calendar.days(now)).date() - tank.filled).days
    past = [event for event in events_through(tank, calendar, last_day) if event.at <= now]
    doses = [event for event in past if _of(event, what)]
    if not doses:
        return None
    changes = [(each.at, each.fraction) for each in past if isinstance(each, WaterChange)]

    def left(at: datetime) -> float:
        return left_after_changes(share for done, share in changes if done > at)

    last = max(each.at for each in doses)
    grams = sum(
        each.mass_g.centre * left(each.at)
        for each in doses
        if isinstance(each, Dose) and each.mass_g is not None
    )
    salt_g_per_l = grams / water_body(tank)[0].volume_l if what.kind == SALT else None
    return LoggedDose(last, 1.0 - left(last), salt_g_per_l)


def _of(event: Event, what: Dosed) -> bool:
    if isinstance(event, Treatment):
        copper = "copper" in event.substance.lower()
        return what.kind == TREATMENT or (what.kind == COPPER and copper)
    if not isinstance(event, Dose):
        return False
    try:
        other = dosed(event.substance)
    except UnknownNameError:
        return False
    return other.kind == what.kind
