"""Bringing animals home: the bag's water as it arrives, and the way into this tank's water."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.home_water import (
    ASSUMED_THERE,
    FRESH_FOR,
    TOLD_KH_LOG_SD,
    UNTOLD_KH_DKH,
    UNTOLD_KH_LOG_SD,
    HomeWater,
    home_water,
)
from watervane.engine.water_gaps import (
    STEP_GH_DGH,
    STEP_GH_TENDER_DGH,
    BothWaters,
    hardness_of,
    is_tender,
    kept_warm,
    water_gaps,
    wide_step,
)
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import Judged, Limit, judge, limits_in
from watervane.limits import Water as HeldWater
from watervane.planning.arrival import dripped
from watervane.planning.travel import AIR_OXYGEN_SHARE, Bag, Shut, Water, metabolism
from watervane.planning.travel import shut_for as shut_in
from watervane.process.read_water import (
    TOLD_C_SD,
    TOLD_PH_SD,
    UNTOLD_C,
    UNTOLD_C_SD,
    UNTOLD_PH,
    UNTOLD_PH_SD,
)
from watervane.records import Finding, Forecast, Homecoming, Tank, Trip
from watervane.reference import strangers_among, wet_mass_g
from watervane.units.conversions import MEQ_PER_L_PER_DKH

Numbers = NDArray[np.float64]
DRAWS = 400
DRIP_MINUTES = 45.0
PURE_OXYGEN_SHARE = 0.95
GRAVE, LIKELY = 0.05, 0.5  # of a chance
WARM_GAP_C = 2.0  # common practice, no source
FLOAT_TIME_CONSTANT_MIN = 15.0  # of a litre in a bag (house estimate)
STEP_PH = 1.0  # common practice, no source
SHOP_AMMONIA_MG_N_PER_L = 0.1


def bring_home(
    tank: Tank,
    trip: Trip,
    *,
    seed: int = 1,
    at: datetime | None = None,
    forecast: Forecast | None = None,
) -> Homecoming:
    """Work out a bag's water on arrival and the best way into the tank.

    Parameters
    ----------
    tank
        Its own water is taken from its forecast, else from the latest readings.
    trip
        The bag.
    seed
        Of all that is not known.
    at
        When the bag is opened; the newest entry's moment where left out.
    forecast
        Of this tank, where there is one.
    """
    rng = np.random.default_rng([seed, 77])
    shop = _water(rng, trip.ph, trip.kh_dkh, trip.temperature_c, SHOP_AMMONIA_MG_N_PER_L)
    there = home_water(tank, rng, DRAWS, at, forecast)
    home = there.water
    masses = [wet_mass_g(trip.species, trip.length_cm, tank.own_animals)] * trip.count
    animals = metabolism(masses, shop.temperature_c, rng)
    share = AIR_OXYGEN_SHARE if trip.gas == "air" else PURE_OXYGEN_SHARE
    shut = shut_in(Bag(trip.water_l, trip.gas_l, share), shop, animals, trip.hours)
    limits = limits_in(tank, (trip.species,))
    # A level borne for long: animals worn out by a trip are spared all that can be spared.
    harmful = _strictest(limits, "chronic", "free_ammonia_mg_n_per_l", shut, home)
    stifling = _strictest(limits, "acute", "oxygen_mg_per_l", shut, home)
    acute = _acute_ammonia(limits, home)
    opened = dripped(shut, trip.water_l, home, animals, DRIP_MINUTES, harmful, rng, acute)
    chances = {
        "short-of-oxygen": float((shut.oxygen_mg_per_l < stifling).mean()),
        "ammonia-when-dripped": float((opened.highest_free_ammonia_mg_n_per_l > harmful).mean()),
        "harm-when-dripped": float((opened.acute_ratio > 1.0).mean()),
        "ammonia-in-the-bag": float((shut.free_ammonia_mg_n_per_l > harmful).mean()),
        "wide-step-of-ph": wide_step(home.ph - shut.ph, STEP_PH),
        "wide-gap-of-ph": wide_step(home.ph - shop.ph, STEP_PH),
    }
    suits = _tank_for(limits, there, tank)
    chances |= {key: chance for key, (chance, _) in suits.items()}
    return Homecoming(
        tank.name,
        trip,
        {
            name: number_quantiles(getattr(shut, name))
            for name in (
                "oxygen_mg_per_l",
                "co2_mg_per_l",
                "ph",
                "ammonia_mg_n_per_l",
                "free_ammonia_mg_n_per_l",
            )
        },
        number_quantiles(opened.highest_free_ammonia_mg_n_per_l),
        DRIP_MINUTES,
        chances,
        (*_of_the_tank(there, suits), *_advice(tank, trip, shop, home, chances)),
        water_gaps(tank, trip, BothWaters(shop, home, there.origins), limits),
        harmful,
        there.origins,
    )


def _acute_ammonia(limits: tuple[Limit, ...], home: Water) -> Callable[[Numbers, Numbers], Numbers]:
    """Ammonia as a share of what harms these animals within an hour, by ammonia and pH."""
    of_ammonia = [each for each in limits if (each.tier, each.subject) == ("acute", "ammonia")]

    def ratio(ammonia_mg_n_per_l: Numbers, ph: Numbers) -> Numbers:
        water = HeldWater(
            ph=ph, temperature_c=home.temperature_c, ammonia_mg_n_per_l=ammonia_mg_n_per_l
        )
        found = [each.ratio(water) for each in of_ammonia]
        told = [each for each in found if each is not None]
        return np.max(told, axis=0) if told else np.zeros_like(ph)

    return ratio


Suits = Mapping[str, tuple[float, Judged | None]]


def _tank_for(limits: tuple[Limit, ...], there: HomeWater, tank: Tank) -> Suits:
    """Chance that the tank's water harms those in the bag, and that it is none they like.

    What nobody read or told harms nobody here: it is asked for instead.
    """
    home = there.water
    water = HeldWater(
        ph=home.ph,
        temperature_c=home.temperature_c,
        chloride_mg_per_l=there.chloride_mg_per_l,
        ammonia_mg_n_per_l=home.ammonia_mg_n_per_l,
        nitrite_mg_n_per_l=there.nitrite_mg_n_per_l,
        gh_dgh=hardness_of(tank),
    )
    unknown = {name for name, origin in there.origins.items() if origin == ASSUMED_THERE}
    if "kh" not in unknown:
        unknown.discard("ph")  # worked out from it
    found = {key: each for key, each in judge(limits, water).items() if key[1] not in unknown}
    return {
        "tank-harms": _any(found, ("acute", "chronic")),
        "tank-unlike": _any(found, ("comfort",)),
    }


def _any(
    found: Mapping[tuple[str, str], Judged], tiers: tuple[str, ...]
) -> tuple[float, Judged | None]:
    """Chance that any limit of some tiers is passed, and the one that is most often."""
    some = [each for (tier, _), each in found.items() if tier in tiers]
    passed = [np.broadcast_to(each.passed, (DRAWS,)) for each in some]
    if not passed:
        return 0.0, None
    leading = max(range(len(some)), key=lambda place: passed[place].mean())
    return float(np.any(passed, axis=0).mean()), some[leading]


def _of_the_tank(there: HomeWater, suits: Suits) -> list[Finding]:
    """Whether anybody should be fetched into this water at all."""
    told: list[Finding] = []
    for key, grave in (("tank-harms", GRAVE), ("tank-unlike", LIKELY)):
        chance, leading = suits[key]
        if chance > grave and leading is not None:
            words = {"subject": leading.subject, "chance": chance, "side": leading.leader.side}
            told.append(Finding(f"bring-{key}", "caution", words))
    if there.origins["ammonia"] == ASSUMED_THERE:
        told.append(Finding("bring-tank-unread", "caution", {"days": FRESH_FOR.days}))
    return told


def _strictest(
    limits: tuple[Limit, ...], tier: str, quantity: str, shut: Shut, home: Water
) -> float:
    """The strictest level of a tier for these animals, in the middle of the draws."""
    water = HeldWater(ph=shut.ph, temperature_c=home.temperature_c)
    levels = [
        (float(np.median(limit.level(water))), limit.side)
        for limit in limits
        if limit.tier == tier and limit.quantity == quantity
    ]
    sides = {side for _, side in levels}
    return (min if sides == {"above"} else max)(level for level, _ in levels)


def _water(
    rng: np.random.Generator,
    ph: float | None,
    kh_dkh: float | None,
    temperature_c: float | None,
    ammonia_mg_n_per_l: float,
) -> Water:
    """Draws of a water of which some is told."""

    def about(value: float | None, untold: float, spread: float, told: float) -> Numbers:
        middle, width = (untold, spread) if value is None else (value, told)
        return middle + width * rng.standard_normal(DRAWS)

    kh = None if kh_dkh is None else math.log(max(kh_dkh, 0.2))
    log_kh = about(kh, math.log(UNTOLD_KH_DKH), UNTOLD_KH_LOG_SD, TOLD_KH_LOG_SD)
    return Water(
        about(ph, UNTOLD_PH, UNTOLD_PH_SD, TOLD_PH_SD),
        MEQ_PER_L_PER_DKH * np.exp(log_kh),
        about(temperature_c, UNTOLD_C, UNTOLD_C_SD, TOLD_C_SD),
        np.full(DRAWS, ammonia_mg_n_per_l),
    )


SUFFOCATING = 0.5  # chance of too little oxygen above which nobody should set out


def _advice(
    tank: Tank, trip: Trip, shop: Water, home: Water, chances: dict[str, float]
) -> list[Finding]:
    """What to do, in the order of the work."""
    told: list[Finding] = [Finding("bring-look", "info", {}), kept_warm(trip, tank, home)]
    if chances["short-of-oxygen"] > SUFFOCATING:
        told.insert(0, Finding("bring-do-not-travel", "caution", {}))
    if strangers_among([trip.species], tank.own_animals):
        told.insert(0, Finding("bring-unknown-animal", "caution", {"species": trip.species}))
    if chances["short-of-oxygen"] > GRAVE:
        told.append(Finding("bring-short-of-oxygen", "caution", {}))
    short = chances["short-of-oxygen"] > GRAVE
    told.append(Finding("bring-open-now", "caution", {}) if short else _floating(trip, shop, home))
    told.append(_way_in(tank, trip, chances))
    told += [Finding(key, "info", {}) for key in ("bring-bag-water-out", "bring-rest")]
    return told


def _floating(trip: Trip, shop: Water, home: Water) -> Finding:
    gap = float(abs(np.median(home.temperature_c) - np.median(shop.temperature_c)))
    if gap <= WARM_GAP_C and trip.temperature_c is not None:
        return Finding("bring-no-float", "info", {"gap": round(gap, 1)})
    constant = FLOAT_TIME_CONSTANT_MIN * trip.water_l ** (1.0 / 3.0)
    minutes = max(constant * math.log(max(gap, WARM_GAP_C) / 1.0), 15.0)
    return Finding("bring-float", "info", {"minutes": 5 * math.ceil(minutes / 5.0)})


def _way_in(tank: Tank, trip: Trip, chances: dict[str, float]) -> Finding:
    """At once into the tank's water, or by drops: ammonia against the step of water."""
    tender, home_gh = is_tender(trip, tank), hardness_of(tank)
    step = None if home_gh is None or trip.gh_dgh is None else abs(home_gh - trip.gh_dgh)
    wide = step is not None and step > (STEP_GH_TENDER_DGH if tender else STEP_GH_DGH)
    # Fish mind the waters' own gap; what carbon dioxide took off the bag's pH leaves it again.
    wide = wide or chances["wide-gap-of-ph"] > 0.5
    wide = wide or (tender and (step is None or chances["wide-step-of-ph"] > 0.5))
    if wide and chances["harm-when-dripped"] > GRAVE:
        return Finding("bring-swap-water", "caution", {})
    if wide:
        # A step of water harms at once; what is borne badly for weeks is borne for this while.
        over = "-over" if chances["ammonia-when-dripped"] > GRAVE else ""
        return Finding(f"bring-drip{over}", "info", {"minutes": round(DRIP_MINUTES)})
    if chances["ammonia-when-dripped"] > GRAVE:
        return Finding("bring-at-once", "caution", {})
    return Finding("bring-net-over", "info", {})
