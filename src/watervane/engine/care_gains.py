"""What a day adds to the water of each member, and so where routines would lead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.advice.routines import Steady
from watervane.chemistry.periodic_changes import top_off_gain
from watervane.engine.care_bounds import CONDUCTIVITY, conductivity_bound
from watervane.engine.care_lanes import LOOKS_AT, WEEK_D, LaneRan
from watervane.limits import Limit
from watervane.limits.limit import Constant
from watervane.planning.returning import conductivity_of
from watervane.planning.water_of_state import gh_dgh, tap_of
from watervane.process.source_water import MEQ_PER_DKH
from watervane.records import AllowedRisk
from watervane.units.conversions import MMOL_PER_L_PER_DGH

Numbers = NDArray[np.float64]
OUTPUTS = {
    "nitrate": ("nitrate_mg_n_per_l", 1.0),
    "kh": ("alkalinity_meq_per_l", MEQ_PER_DKH),
    "gh": ("minerals_mmol_per_l", MMOL_PER_L_PER_DGH),
}
SUBJECTS = {"nitrate": "nitrate", "kh": "alkalinity", "gh": "hardness"}
EVENING = len(LOOKS_AT) - 1  # the last look of a day


@dataclass(frozen=True)
class Gains:
    """Of each member: what a day adds, what the tap holds, what evaporates.

    Parameters
    ----------
    gain, source
        By quantity: nitrate [mg N/L], KH and GH [degrees], conductivity [uS/cm]; topping off is
        left out of the gain.
    evaporating
        Share of the water a day. [1/d]
    """

    gain: Mapping[str, Numbers]
    source: Mapping[str, Numbers]
    evaporating: Numbers


def levels(ran: LaneRan, quantity: str) -> Numbers:
    """Course of a quantity, shape (stops, members)."""
    name, unit = OUTPUTS[quantity]
    return ran.course.output(name) / unit


def gains_of(ran: LaneRan, source: Numbers, weeks: range) -> Gains:
    """Gains of the members in some weeks of a run.

    Parameters
    ----------
    ran
        The run.
    source
        Components of each member's tap, shape (components, members).
    weeks
        Of the run; the last is not the run's own last one.

    Notes
    -----
    Within a week nothing is changed, so that what is there on its last evening over what was
    there on its first is the gain; both are taken for a litre of the full tank.
    """
    per_week = WEEK_D * len(LOOKS_AT)
    present = ran.course.output("volume_ratio")
    stops = ran.course.stops_d
    tap = tap_of(source, np.full(source.shape[-1], 25.0))
    gain = {}
    for quantity in OUTPUTS:
        held = levels(ran, quantity) * present
        slopes = [
            (held[last] - held[first]) / (stops[last] - stops[first])
            for first, last in ((w * per_week + EVENING, (w + 1) * per_week - 1) for w in weeks)
        ]
        gain[quantity] = np.mean(slopes, axis=0)
    salts = ran.conductivity * (1.0 - ran.evaporated)
    tap_salts = conductivity_of(tap)
    rises = [(salts[w + 1] - _after_deeds(ran, salts[w], tap_salts, w)) / WEEK_D for w in weeks]
    gain[CONDUCTIVITY] = np.mean(rises, axis=0)
    held_by_tap = {
        "nitrate": np.asarray(tap.nitrate_mg_n_per_l),
        "kh": np.asarray(tap.alkalinity_meq_per_l) / MEQ_PER_DKH,
        "gh": gh_dgh(tap),
        CONDUCTIVITY: tap_salts,
    }
    evaporating = ran.evaporated[weeks.start + 1 : weeks.stop + 1].mean(axis=0) / WEEK_D
    return Gains(gain, held_by_tap, np.asarray(evaporating))


def _after_deeds(ran: LaneRan, salts: Numbers, tap: Numbers, week: int) -> Numbers:
    """Conductivity of the full tank once it is topped off and, where due, changed."""
    lane = ran.lane
    full = salts + (0.0 if lane.pure else 1.0) * ran.evaporated[week] * tap
    return np.asarray(full + lane.share * (tap - full) if lane.due(week) else full)


def steady_of(gains: Gains, limits: Sequence[Limit], allowed: AllowedRisk) -> Mapping[str, Steady]:
    """Each quantity with the strictest bound of comfort on the side it drifts to."""
    found = {}
    for quantity, gain in gains.gain.items():
        above = quantity != "kh"
        source = gains.source[quantity]
        bound = (
            float(np.median(conductivity_bound(source)))
            if quantity == CONDUCTIVITY
            else comfort_level(limits, SUBJECTS[quantity], above=above)
        )
        if bound is None:
            continue
        found[quantity] = Steady(
            gain,
            source,
            np.asarray(top_off_gain(source, gains.evaporating)),
            bound / MEQ_PER_DKH if quantity == "kh" else bound,
            above,
            allowed.comfort,
        )
    return found


def comfort_level(limits: Sequence[Limit], subject: str, *, above: bool) -> float | None:
    """The strictest level of comfort on one side, in the unit of its limit."""
    side = "above" if above else "below"
    told = [
        limit.level.value
        for limit in limits
        if limit.subject == subject
        and limit.tier == "comfort"
        and limit.side == side
        and isinstance(limit.level, Constant)
    ]
    if not told:
        return None
    return min(told) if above else max(told)
