"""Whether new water may itself be what hurts, by what a log tells of the two days before a reading.

Who asks of trouble is asked what was done; a tank's own page knows it by its log. Where water
came in and nothing shows that the tank is like its tap, pH and hardness may have jumped, and more
new water would be one more step of it. (A remedy is thinned by it, and newcomers are no water: for
those ammonia that was read counts more.) A tank that was filled of late, one
whose water is mostly of its tap by the changes of two months, and one that reads like its tap,
bears a change as it did the last.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from watervane.advice.trouble_change import like_its_tap
from watervane.advice.trouble_deeds import MONTHS, TWO_DAYS, deeds_in, happened
from watervane.chemistry.dilution import left_after_changes
from watervane.records import Tank, WaterChange

NEW_WATER = ("water-raw", "water-change")
FILLED_OF_LATE = timedelta(days=45)  # drifts little from its tap in that time; a house estimate
MOSTLY_TAP = 0.5


def may_hurt(tank: Tank, read_at: datetime) -> str:
    """The deed by which new water may be what hurts; empty where none was written, or none can.

    Parameters
    ----------
    tank
        With its log.
    read_at
        When the alarming reading was taken, aware; what was done after it is its answer.
    """
    done = deeds_in(tank, read_at - TWO_DAYS, read_at)
    deed = next((each for each in NEW_WATER if each in done), "")
    return "" if not deed or _bears_its_tap(tank, read_at - TWO_DAYS) else deed


def _bears_its_tap(tank: Tank, before: datetime) -> bool:
    if before.date() - tank.filled <= FILLED_OF_LATE or like_its_tap(tank):
        return True
    events = happened(tank, before - MONTHS, before)
    changes = (each.fraction for each in events if isinstance(each, WaterChange))
    return left_after_changes(changes) <= MOSTLY_TAP
