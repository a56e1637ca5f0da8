"""A reading taken at its word in the members' waters.

Nitrogen counts for two days, as it takes days to go. pH, warmth and gases may be others by the next
morning, so a reading of them counts for half a day.
"""

from __future__ import annotations

from functools import partial

import numpy as np

from watervane.advice.read_alarm import HELD, NITROGEN, SLOW_D, TIERS, read_alarms
from watervane.advice.since_reading import done_since
from watervane.advice.wary_change import may_hurt
from watervane.engine.futures import Standing, stop_at
from watervane.engine.verdict import Ahead
from watervane.forecast.harm_after import cut
from watervane.limits import Limit
from watervane.records import ReadAlarm, Reading

FAST_D = 0.5
MODELLED = {name: HELD[name] for name in HELD if name != "kh"}


def read_alarm(standing: Standing, ahead: Ahead, limits: tuple[Limit, ...]) -> ReadAlarm | None:
    """The gravest recent reading that passes a limit of harm if it is right.

    The last one of each quantity counts, thinned by the water changed since it was taken.

    Parameters
    ----------
    standing
        The members; their pH, warmth and chloride now are those the reading is held against.
    ahead
        Their planned future.
    limits
        Of the animals present.

    Returns
    -------
    ReadAlarm
        ``None`` where no reading passes a limit in half of the members' waters.
    """
    now = np.arange(len(ahead.stops_d)) == stop_at(ahead.stops_d, standing.as_of_d)
    water = cut(ahead.water, now)
    readings = [one for one in standing.tank.readings if _still_counts(one, standing)]
    found = read_alarms(
        readings,
        done_since(standing.tank, standing.as_of, SLOW_D["kh"]),
        standing.as_of,
        water,
        limits,
        MODELLED,
        doubted=partial(may_hurt, standing.tank),
    )
    return next((one for one in found if one.limit.tier in TIERS), None)


def _still_counts(reading: Reading, standing: Standing) -> bool:
    """Too little KH, too: it alarms nobody here, but says how gently water is to be changed."""
    return (
        reading.quantity in {*NITROGEN, "kh"}
        or standing.as_of_d - standing.calendar.days(reading.at) <= FAST_D
    )
