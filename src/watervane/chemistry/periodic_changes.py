"""Where water changes that are repeated lead to: closed forms, exact for a steady gain.

A quantity gains ``daily_gain`` every day (food's nitrogen as nitrate, minerals of topped-off
water; negative for buffering that is used up) and loses a share of itself a day
(``daily_loss``, plants or denitrification, zero where none is told). Every ``interval`` days a
share of the water is replaced by water that holds ``source``.
"""

from __future__ import annotations

from watervane.chemistry._arrays import Numbers, namespace
from watervane.units.conversions import CALCIUM_CARBONATE, MEQ_PER_L_PER_DKH, NITROGEN

# Equivalents a mole of nitrogen turned to nitrate takes in all: nitrification takes two;
# excretion and decay of food have given one back before.
EQUIVALENTS = {"food": 1.0, "ammonium": 2.0}
_NOTHING = 1e-12


def between_changes(
    level: Numbers, daily_gain: Numbers, days: Numbers, daily_loss: Numbers = 0.0
) -> Numbers:
    """Level after days without a change.

    Parameters
    ----------
    level : float or array
        At the start, in any unit.
    daily_gain : float or array
        In that unit a day.
    days : float or array [d]
    daily_loss : float or array [1/d]

    Returns
    -------
    float or array
        In the unit of ``level``.
    """
    xp = namespace(level, daily_gain, days, daily_loss)
    return level * xp.exp(-daily_loss * days) + daily_gain * _time_lost(daily_loss, days)


def steady_peak(
    source: Numbers,
    daily_gain: Numbers,
    share: Numbers,
    interval: Numbers,
    daily_loss: Numbers = 0.0,
) -> Numbers:
    """Level just before each change, in the long run.

    Parameters
    ----------
    source : float or array
        Of the new water, in any unit.
    daily_gain : float or array
        In that unit a day; of what falls, the "peak" is the lowest level.
    share : float or array [-]
        Of the water, above 0.
    interval : float or array
        Days between changes.
    daily_loss : float or array [1/d]

    Returns
    -------
    float or array
        In the unit of ``source``; without a loss, ``source + gain interval / share``.
    """
    xp = namespace(source, daily_gain, share, interval, daily_loss)
    kept = xp.exp(-daily_loss * interval)
    risen = share * source * kept + daily_gain * _time_lost(daily_loss, interval)
    return risen / (1.0 - (1.0 - share) * kept)


def after_change(level: Numbers, source: Numbers, share: Numbers) -> Numbers:
    """Level right after a share of the water was replaced.

    Parameters
    ----------
    level, source : float or array
        Of the water that was there and of the new, in one unit.
    share : float or array [-]

    Returns
    -------
    float or array
        In that unit.
    """
    return level + share * (source - level)


def share_for_peak(
    source: Numbers, daily_gain: Numbers, interval: Numbers, peak: Numbers
) -> Numbers:
    """Share of the water whose change holds a level, where nothing else takes it away.

    Parameters
    ----------
    source, daily_gain, interval
        See `steady_peak`.
    peak : float or array
        The level just before each change, in the unit of ``source``.

    Returns
    -------
    float or array [-]
        Over 1 where no change is large enough; infinite where the new water is no better.
    """
    xp = namespace(source, daily_gain, interval, peak)
    risen, room = daily_gain * interval, peak - source
    possible = risen * room > 0.0
    share = risen / xp.where(possible, room, 1.0)
    return xp.where(possible, share, xp.where(risen == 0.0, 0.0, xp.inf))


def top_off_gain(top_off: Numbers, evaporating: Numbers) -> Numbers:
    """What topping off brings: the water goes, what is dissolved stays.

    Parameters
    ----------
    top_off : float or array
        Of the water that is poured in; nothing of distilled water. In any unit.
    evaporating : float or array [1/d]
        Of the tank's water.

    Returns
    -------
    float or array
        In the unit of ``top_off`` a day.
    """
    return top_off * evaporating


def buffering_spent_dkh(nitrogen_mg_n_per_l: Numbers, nitrogen_from: str = "food") -> Numbers:
    """KH that nitrogen takes on its way to nitrate. [dKH]

    Parameters
    ----------
    nitrogen_mg_n_per_l : float or array [mg N/L]
    nitrogen_from : str
        ``food``, whose decay gives half of it back, or ``ammonium`` that was dosed as a salt.
    """
    return EQUIVALENTS[nitrogen_from] * nitrogen_mg_n_per_l / NITROGEN / MEQ_PER_L_PER_DKH


def buffering_spent_mg_caco3_per_l(
    nitrogen_mg_n_per_l: Numbers, nitrogen_from: str = "food"
) -> Numbers:
    """The same as calcium carbonate. [mg/L]

    Parameters
    ----------
    nitrogen_mg_n_per_l : float or array [mg N/L]
    nitrogen_from : str
        See `buffering_spent_dkh`.
    """
    return EQUIVALENTS[nitrogen_from] * nitrogen_mg_n_per_l / NITROGEN * CALCIUM_CARBONATE / 2.0


def _time_lost(daily_loss: Numbers, days: Numbers) -> Numbers:
    """``(1 - exp(-loss days)) / loss``, which is ``days`` where nothing is lost. [d]"""
    xp = namespace(daily_loss, days)
    rate = xp.where(daily_loss == 0.0, _NOTHING, daily_loss)
    return -xp.expm1(-rate * days) / rate
