"""From the sourced tables to prior members: whitened unknowns and what they stand for."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtri

from watervane.process.noise import keyed_normal
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.run import Members
from watervane.process.source_water import SOURCE_PARAMETERS, source_composition
from watervane.records import Tank
from watervane.reference import Row, value

UNKNOWNS = (*PARAMETER_NAMES, *SOURCE_PARAMETERS)
TIMELESS = -1  # the day of draws that belong to a member, not to a day
_Z95 = 1.959964
_EITHER_WIDTH = 0.15  # of the way between both, in standard normal numbers

# Model parameter -> table row and factor, where the names differ.
_ROWS: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        "ammonia_oxidiser_theta": ("ammonia_oxidiser_growth_theta", 1.0),
        "nitrite_oxidiser_theta": ("nitrite_oxidiser_growth_theta", 1.0),
        "ammonia_oxidiser_half_saturation": ("ammonia_half_saturation_mg_n_per_l", 1.0),
        "nitrite_oxidiser_half_saturation": ("nitrite_half_saturation_mg_n_per_l", 1.0),
        "ammonia_oxidiser_half_saturation_oxygen": (
            "ammonia_oxidiser_oxygen_half_saturation_mg_per_l",
            1.0,
        ),
        "nitrite_oxidiser_half_saturation_oxygen": (
            "nitrite_oxidiser_oxygen_half_saturation_mg_per_l",
            1.0,
        ),
        "ammonia_oxidiser_inhibition_free_ammonia": (
            "ammonia_oxidiser_free_ammonia_inhibition_mg_n_per_l",
            1.0,
        ),
        "nitrite_oxidiser_inhibition_free_ammonia": (
            "nitrite_oxidiser_free_ammonia_inhibition_mg_nh3_per_l",
            14.0067 / 17.0305,
        ),
        "ammonia_oxidiser_inhibition_nitrous_acid": (
            "ammonia_oxidiser_nitrous_acid_inhibition_mg_n_per_l",
            1.0,
        ),
        "nitrite_oxidiser_inhibition_nitrous_acid": (
            "nitrite_oxidiser_nitrous_acid_inhibition_mg_n_per_l",
            1.0,
        ),
        "half_saturation_alkalinity": ("alkalinity_half_saturation_meq_per_l", 1.0),
        "chlorine_kill_l_per_mg_d": ("chlorine_kill_l_per_mg_h", 24.0),
    }
)
_CEILINGS = {"eaten_share": (0.3, 1.0), "meal_share_excreted": (0.2, 0.8)}


def prior_row(parameter: str) -> Row:
    """The table row a parameter's prior comes from."""
    return value(_ROWS.get(parameter, (parameter, 1.0))[0])


def from_whitened(parameter: str, z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Turn standard normal numbers into values of a parameter.

    ``low`` and ``high`` of the row are its 95 % range; a missing distribution means
    lognormal. ``either`` is nearly 1 with the chance that is the row's value, else nearly 0.
    Shares are clipped to what is possible.
    """
    row_id, factor = _ROWS.get(parameter, (parameter, 1.0))
    row = value(row_id)
    if row.low is None or row.high is None:
        return np.full_like(z, factor * row.value)
    if row.extra.get("distribution", "lognormal") == "normal":
        spread = np.where(z < 0.0, row.value - row.low, row.high - row.value) / _Z95
        result = row.value + spread * z
    elif row.extra.get("distribution") == "either":
        result = expit((z + ndtri(row.value)) / _EITHER_WIDTH)
    else:
        up, down = math.log(row.high / row.value), math.log(row.value / row.low)
        result = row.value * np.exp(np.where(z < 0.0, down, up) / _Z95 * z)
    if parameter in _CEILINGS:
        result = np.clip(result, *_CEILINGS[parameter])
    return factor * result


def prior_whitened(
    names: tuple[str, ...], numbers: NDArray[np.int64], seed: int
) -> NDArray[np.float64]:
    """Standard normal numbers of each unknown and member, shape (unknowns, members).

    The same name, number and seed always give the same draw.
    """
    return np.stack([keyed_normal(seed, numbers, TIMELESS, name) for name in names])


def members_from_whitened(
    tank: Tank,
    unknowns: Mapping[str, NDArray[np.float64]],
    numbers: NDArray[np.int64],
    seed: int,
) -> Members:
    """Make members of a tank from whitened unknowns.

    Parameters
    ----------
    tank
        For its source water.
    unknowns
        Standard normal under the prior, by `UNKNOWNS`, shape (members,) each.
    numbers
        Member numbers, keys of the daily noise.
    seed
        Of the forecast.
    """
    parameters = {name: from_whitened(name, unknowns[name]) for name in PARAMETER_NAMES}
    deviations = {name: unknowns[name][None, :] for name in SOURCE_PARAMETERS}
    source = source_composition(tank.source_water, deviations)[:, 0, :]
    return Members(numbers, parameters, source, seed)


def prior_members(tank: Tank, numbers: NDArray[np.int64], seed: int) -> Members:
    """Draw members of a tank from the prior; see `members_from_whitened`."""
    drawn = prior_whitened(UNKNOWNS, numbers, seed)
    return members_from_whitened(tank, dict(zip(UNKNOWNS, drawn, strict=True)), numbers, seed)


def prior_digest() -> str:
    """Short fingerprint of every prior, for stored forecasts."""
    text = ";".join(
        f"{n}={r.value},{r.low},{r.high}" for n in PARAMETER_NAMES for r in (prior_row(n),)
    )
    return hashlib.sha256(text.encode()).hexdigest()[:12]
