"""How far the shop's water and the tank's lie apart, and how much of a step animals bear."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.quantiles import number_quantiles
from watervane.limits import Limit, allowed_change
from watervane.planning.travel import Water
from watervane.process.read_water import latest_reading
from watervane.records import Finding, NumberQuantiles, Tank, Trip, WaterGap
from watervane.reference import animal_form, animal_needs

STEP_GH_DGH, STEP_GH_TENDER_DGH = 8.0, 3.0  # common practice, no source
TENDER_FORMS = ("shrimp", "snail")
AIR_TIME_CONSTANT_H = 2.0  # of a litre in a bag in still air (house estimate)
NEARLY_ALL = 2.0  # time constants until little of a difference is left
LIKED_ROOM_C = 2.0  # about the tank's warmth, where no table knows the animal


@dataclass(frozen=True)
class BothWaters:
    """The shop's water and the tank's, as draws; where the tank's is from, see `home_water`."""

    shop: Water
    home: Water
    origins: Mapping[str, str]


def water_gaps(
    tank: Tank, trip: Trip, waters: BothWaters, limits: tuple[Limit, ...]
) -> tuple[WaterGap, ...]:
    """The gaps of pH, warmth and hardness, with what those in the bag bear of each.

    Parameters
    ----------
    tank, trip
        What is told of either water.
    waters
        The draws.
    limits
        Of the animals in the bag.
    """
    ph_told, warmth_told = (waters.origins[name] != "assumed" for name in ("ph", "temperature"))
    home_gh = hardness_of(tank)
    tender = is_tender(trip, tank)
    return (
        WaterGap(
            "ph",
            number_quantiles(waters.shop.ph),
            number_quantiles(waters.home.ph),
            _untold(trip.ph is not None, ph_told),
            allowed_change(limits, "ph_change"),
            allowed_change(limits, "ph_change", "acute"),
        ),
        WaterGap(
            "temperature_c",
            number_quantiles(waters.shop.temperature_c),
            number_quantiles(waters.home.temperature_c),
            _untold(trip.temperature_c is not None, warmth_told),
            allowed_change(limits, "temperature_change_k"),
            allowed_change(limits, "temperature_change_k", "acute"),
        ),
        WaterGap(
            "gh_dgh",
            _known(trip.gh_dgh),
            _known(home_gh),
            _untold(trip.gh_dgh is not None, home_gh is not None),
            STEP_GH_TENDER_DGH if tender else STEP_GH_DGH,
            None,
        ),
    )


def is_tender(trip: Trip, tank: Tank) -> bool:
    """Whether a step of hardness harms those in the bag more than ammonia on the way in would."""
    return animal_form(trip.species, tank.own_animals).form in TENDER_FORMS


def hardness_of(tank: Tank) -> float | None:
    """Of the tank's own water, as read or as told of its source. [dGH]"""
    read = latest_reading(tank, "gh")
    return tank.source_water.gh_dgh if read is None else read


def kept_warm(trip: Trip, tank: Tank, home: Water) -> Finding:
    """At what warmth the bag is to travel, and how fast it follows the air around it."""
    liked = animal_needs(trip.species, tank.own_animals).values.get("temperature")
    warmth = float(np.median(home.temperature_c))
    low, high = warmth - LIKED_ROOM_C, warmth + LIKED_ROOM_C
    if liked is not None and liked.widest_low is not None and liked.widest_high is not None:
        low, high = liked.widest_low, liked.widest_high
    hours = NEARLY_ALL * AIR_TIME_CONSTANT_H * trip.water_l ** (1.0 / 3.0)
    told = {"low": round(low), "high": round(high), "hours": round(hours, 1)}
    return Finding("bring-warmth", "info", told)


def wide_step(step: NDArray[np.float64], allowed: float) -> float:
    """Chance that a step is wider than allowed."""
    return float((np.abs(step) > allowed).mean())


def _known(value: float | None) -> NumberQuantiles:
    return NumberQuantiles(*(value,) * 5)


def _untold(shop: bool, home: bool) -> tuple[str, ...]:  # noqa: FBT001 - two facts
    return tuple(name for name, told in (("shop", shop), ("tank", home)) if not told)
