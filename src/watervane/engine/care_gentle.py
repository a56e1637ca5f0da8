"""Small changes before the routine, where a tank's water holds hardly any buffering.

Held against the same figure as a reading of KH on a tank's own page, so that both say the same.
"""

from __future__ import annotations

import numpy as np

from watervane.advice.read_alarm import GENTLE_SHARE, LITTLE_KH_DKH
from watervane.engine.care_gains import Gains
from watervane.engine.care_ground import Ground
from watervane.planning.water_of_state import water_of
from watervane.process.source_water import MEQ_PER_DKH
from watervane.records.care import GentleStart, Routine

MOST_DAYS = 60


def gentle_start(ground: Ground, routine: Routine, gains: Gains) -> GentleStart | None:
    """What comes before the routine; none where its change is as small, or buffering is enough.

    Parameters
    ----------
    ground
        Members on the first morning.
    routine
        As it is told.
    gains
        What a day takes of KH.
    """
    some = np.arange(len(ground.members))
    held = float(np.median(np.asarray(water_of(ground.state, some).alkalinity_meq_per_l)))
    kh = held / MEQ_PER_DKH
    small_enough = routine.share <= GENTLE_SHARE or kh > LITTLE_KH_DKH
    if ground.returned.plan is not None or small_enough:
        return None
    days = days_until(kh, float(np.median(ground.taps.kh)), float(np.median(gains.gain["kh"])))
    litres = GENTLE_SHARE * ground.volume_l
    return GentleStart(GENTLE_SHARE, litres, max(kh, 0.0), LITTLE_KH_DKH, days)


def days_until(kh_dkh: float, tap_kh_dkh: float, gain_dkh_per_d: float) -> int | None:
    """Days of one small change each until buffering is enough; none where that never comes.

    Parameters
    ----------
    kh_dkh, tap_kh_dkh
        Of tank and tap. [dKH]
    gain_dkh_per_d
        What a day adds, less than 0 where it takes. [dKH/d]
    """
    for day in range(1, MOST_DAYS + 1):
        kh_dkh = max(kh_dkh + gain_dkh_per_d, 0.0)
        kh_dkh += GENTLE_SHARE * (tap_kh_dkh - kh_dkh)
        if kh_dkh > LITTLE_KH_DKH:
            return day
    return None
