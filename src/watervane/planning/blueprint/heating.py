"""Heater, its failures, cooling and a year's energy, from the heat a tank loses to its room."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.heat import HeatLoss, TankFaces, heat_loss
from watervane.planning.blueprint.shapes import CannotPlan, Vessel
from watervane.process.geometry import LID_SHARE_OPEN
from watervane.records import BlueprintWish, Finding, HeatDay, HeatPlan

TRADE_W = (10.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0)
MOST_DUTY = 0.75  # on the coldest day: house estimate, the rest is for bad days and warming up
BEARABLE_RISE_C = 2.0  # above the set point before cooling is wanted: house estimate
COLDEST_WATER_C, WARMEST_WATER_C = 4.0, 35.0  # what the formulas are made for
_MOST_STEPS, _CLOSE_W, _CLOSE_C = 200, 1e-9, 1e-12
DAYS = 365  # of the year, the coldest counted as the first
KJ_PER_L_K = 4.18  # heat that a litre of water takes up, handbook value, from memory
_STEPS = 50


def check_warmth(wish: BlueprintWish) -> None:
    """Raise ``CannotPlan`` for a room's year the wrong way round, or water nobody keeps."""
    if wish.coldest_c > wish.warmest_c:
        told = {"coldest_c": wish.coldest_c, "warmest_c": wish.warmest_c}
        raise CannotPlan([Finding("blueprint-room", "problem", told)])
    if not COLDEST_WATER_C <= wish.water_c <= WARMEST_WATER_C:
        told = {"water_c": wish.water_c, "low": COLDEST_WATER_C, "high": WARMEST_WATER_C}
        raise CannotPlan([Finding("blueprint-water-range", "problem", told)])


def faces_of(vessel: Vessel) -> TankFaces:
    """Panes wetted inside, floor and surface of any outline."""
    floor = 1e-4 * vessel.inner.area_cm2
    sides = 1e-4 * vessel.inner.perimeter_cm * vessel.water_depth_cm
    return TankFaces(sides, floor, floor, vessel.glass_mm)


def loss_of(
    wish: BlueprintWish, vessel: Vessel, water_c: float, room_c: float, *, lid: bool
) -> HeatLoss:
    """Heat lost on one day, see `watervane.chemistry.heat`."""
    return _loss(wish, faces_of(vessel), water_c, room_c, lid=lid)


def _loss(
    wish: BlueprintWish,
    faces: TankFaces,
    water_c: float | NDArray[np.floating[Any]],
    room_c: float | NDArray[np.floating[Any]],
    *,
    lid: bool,
) -> HeatLoss:
    closed = 1.0 - LID_SHARE_OPEN if lid else 0.0
    return heat_loss(faces, water_c, room_c, wish.humidity, lid_closed=closed)


def resting_temperature_c(loss_w: Callable[[float], float], heat_w: float, room_c: float) -> float:
    """Temperature at which water loses just the heat it is given. [degC]

    Parameters
    ----------
    loss_w
        Heat lost at a temperature of the water; rises with it.
    heat_w
        [W]
    room_c
        [degC]
    """
    low, high = room_c - 20.0, 99.0
    under, over = loss_w(low) - heat_w, loss_w(high) - heat_w
    if over <= 0.0:
        return high
    if under >= 0.0:
        return low
    side = 0
    for _ in range(_MOST_STEPS):  # false position; an end that stays counts half (Illinois)
        found = low - under * (high - low) / (over - under)
        there = loss_w(found) - heat_w
        if abs(there) < _CLOSE_W or high - low < _CLOSE_C:
            return found
        if there < 0.0:
            low, under, over = found, there, over * (0.5 if side < 0 else 1.0)
            side = -1
        else:
            high, over, under = found, there, under * (0.5 if side > 0 else 1.0)
            side = 1
    return 0.5 * (low + high)


def trade_size_w(power_w: float) -> float:
    """The next size heaters are sold in; beyond the largest, the power itself. [W]

    Parameters
    ----------
    power_w
        [W]
    """
    return next((size for size in TRADE_W if size >= power_w), math.ceil(power_w / 100.0) * 100.0)


def heat_of_days_kwh(
    wish: BlueprintWish, vessel: Vessel, *, lid: bool
) -> NDArray[np.floating[Any]]:
    """Heat a heater gives on each day of a year: the room swings as a sine.

    Parameters
    ----------
    wish, vessel
        What is planned.
    lid
        Whether the tank is covered.

    Returns
    -------
    NDArray
        By day, from the middle of the cold half on; shape (365,). [kWh]
    """
    middle = 0.5 * (wish.coldest_c + wish.warmest_c)
    swing = 0.5 * (wish.warmest_c - wish.coldest_c)
    days = np.arange(DAYS) + 0.5
    rooms = middle - swing * np.cos(2.0 * math.pi * days / DAYS)
    lost = _loss(wish, faces_of(vessel), wish.water_c, rooms, lid=lid).total_w
    given: NDArray[np.floating[Any]] = 0.024 * np.maximum(lost - wish.machines_w, 0.0)
    return given


def energy_kwh(wish: BlueprintWish, vessel: Vessel, *, lid: bool) -> float:
    """Heat a heater gives in a year, in kilowatt hours."""
    return float(heat_of_days_kwh(wish, vessel, lid=lid).sum())


def warming_up_h(wish: BlueprintWish, vessel: Vessel, net_l: float, power_w: float) -> float:
    """Time a heater needs to warm the first water, as cold as the room of the coldest day. [h]

    Parameters
    ----------
    wish, vessel
        What is planned.
    net_l
        [L]
    power_w
        [W]
    """
    span = wish.water_c - wish.coldest_c
    if span <= 0.0:
        return 0.0
    step = span / _STEPS
    waters = wish.coldest_c + (np.arange(_STEPS) + 0.5) * step
    lost = _loss(wish, faces_of(vessel), waters, wish.coldest_c, lid=wish.lid).total_w
    seconds = KJ_PER_L_K * 1000.0 * net_l * step / (power_w + wish.machines_w - lost)
    return float(seconds.sum()) / 3600.0


def heat_plan(wish: BlueprintWish, vessel: Vessel, bearable_c: float | None = None) -> HeatPlan:
    """All about warmth.

    Parameters
    ----------
    wish, vessel
        What is planned.
    bearable_c
        The warmest that all animals are well in, where that is known. [degC]
    """
    faces = faces_of(vessel)
    most = max(bearable_c or wish.water_c + BEARABLE_RISE_C, wish.water_c)

    def lost(water_c: float, *, room_c: float, lid: bool = wish.lid) -> float:
        return float(_loss(wish, faces, water_c, room_c, lid=lid).total_w)

    cold = partial(lost, room_c=wish.coldest_c)
    warm = partial(lost, room_c=wish.warmest_c)
    needed = max(cold(wish.water_c) - wish.machines_w, 0.0)
    one, half = trade_size_w(needed / MOST_DUTY), trade_size_w(0.5 * needed / MOST_DUTY)
    if needed == 0.0:
        one = half = 0.0
    own = wish.machines_w

    def at(power_w: float, day: Callable[[float], float], room_c: float) -> float:
        return resting_temperature_c(day, power_w + own, room_c)

    yearly = energy_kwh(wish, vessel, lid=wish.lid)
    price = wish.price_per_kwh
    return HeatPlan(
        days=tuple(
            _day(wish, vessel, room, lid=lid)
            for room in (wish.coldest_c, wish.warmest_c)
            for lid in (True, False)
        ),
        heater_w=one,
        half_heater_w=half,
        duty=needed / one if one else 0.0,
        one_stuck_c=at(one, warm, wish.warmest_c),
        two_stuck_c=at(half, warm, wish.warmest_c),
        one_failed_c=min(at(0.0, cold, wish.coldest_c), wish.water_c),
        two_failed_c=min(at(half, cold, wish.coldest_c), wish.water_c),
        unheated_c=at(0.0, warm, wish.warmest_c),
        unheated_open_c=at(0.0, partial(warm, lid=False), wish.warmest_c),
        bearable_c=most,
        cooling_w=max(own - warm(most), 0.0),
        energy_kwh_per_year=yearly,
        energy_other_lid_kwh_per_year=energy_kwh(wish, vessel, lid=not wish.lid),
        cost_per_year=None if price is None else price * yearly,
        enough=None if wish.heater_w is None else wish.heater_w >= needed,
    )


def _day(wish: BlueprintWish, vessel: Vessel, room_c: float, *, lid: bool) -> HeatDay:
    lost = loss_of(wish, vessel, wish.water_c, room_c, lid=lid)
    return HeatDay(
        room_c=room_c,
        lid=lid,
        evaporation_w=float(lost.evaporation_w),
        glass_w=float(lost.sides_w + lost.bottom_w),
        surface_w=float(lost.surface_w),
        total_w=float(lost.total_w),
        evaporation_l_per_d=float(lost.evaporation_kg_per_d),
    )
