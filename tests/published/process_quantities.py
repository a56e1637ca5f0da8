"""Numbers of the process floor that a publication can be held against, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime

import numpy as np
from scipy.optimize import brentq

from watervane.inference.priors import from_whitened
from watervane.process.geometry import tank_geometry
from watervane.process.matrix import tank_matrix
from watervane.process.metabolism import resting_oxygen_mg_per_d
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.population import MG_N_PER_G_WET, Population
from watervane.process.rates.animals import animal_rates, metabolic_pace
from watervane.process.rates.conditions import Conditions
from watervane.process.rates.gases import gas_pace
from watervane.process.rates.nitrifiers import (
    colony_pace,
    colony_rates,
    colony_site,
    environment_factor,
    ph_factor,
    temperature_factor,
    wake_target,
)
from watervane.process.warmth import vapour_pressure_kpa
from watervane.records import AnimalsIn, Shape, Tank

MATRIX = tank_matrix()
MG_CACO3_PER_MEQ = 50.0435
MEQ_PER_DKH = 0.356650
MG_CO2_PER_MMOL = 44.0095
COD_PER_VSS = 1.416  # C5H7O2N: 160 / 113
CENTRE = {name: from_whitened(name, np.zeros(1)) for name in PARAMETER_NAMES}

RATION_PER_D = 0.015  # of wet mass, ornamental fish (common practice)


def change(extents: Mapping[str, float]) -> dict[str, float]:
    """What these extents do to every component."""
    moved = sum(e * MATRIX.coefficients[MATRIX.process(p)] for p, e in extents.items())
    return dict(zip((c.name for c in MATRIX.components), np.asarray(moved), strict=True))


def _together(*parts: tuple[float, Mapping[str, float]]) -> dict[str, float]:
    return {name: sum(k * part[name] for k, part in parts) for name in parts[0][1]}


def _eaten_again(growth: Mapping[str, float]) -> dict[str, float]:
    """Change by growth whose cells are broken down to ammonia at once."""
    extents = dict(growth)
    for name, made in change(growth).items():
        if "oxidisers" in name and made:
            extents[f"loss_of_{name}"] = made
    litter = change(extents)
    extents["decay_of_faeces"] = litter["faeces_nitrogen"]
    extents["oxidation_of_organic_matter"] = litter["organic_matter"]
    return change(extents)


def oxidation(step: str, growth: str) -> dict[str, float]:
    """Change of every component per nitrogen oxidised, with the cells grown or without."""
    cells = change if growth == "yes" else _eaten_again
    ammonia = cells({"growth_of_ammonia_oxidisers_bed": 1.0})
    ammonia = _together((-1.0 / ammonia["ammonia"], ammonia))
    if step == "ammonia":
        return ammonia
    nitrite = cells({"growth_of_nitrite_oxidisers_bed": 1.0})
    if growth == "no":  # the cells' ammonia goes back to the nitrite they were made of
        nitrite = _together((1.0, nitrite), (nitrite["ammonia"], ammonia))
    nitrite = _together((-1.0 / nitrite["nitrite"], nitrite))
    if step == "nitrite":
        return nitrite
    return _together((1.0, ammonia), (ammonia["nitrite"], nitrite))


def oxygen_per_n(step: str, growth: str) -> float:
    """Oxygen taken per nitrogen oxidised. [g/g]"""
    return -oxidation(step, growth)["oxygen"]


def of_nitrification(what: str, growth: str) -> float:
    """Alkalinity taken, carbon dioxide, nitrate or cells made, per ammonium oxidised."""
    moved = oxidation("total", growth)
    cells = sum(v for n, v in moved.items() if "oxidisers" in n)
    return {
        "alkalinity_g_caco3": -moved["alkalinity"] * MG_CACO3_PER_MEQ,
        "alkalinity_meq_per_mg": -moved["alkalinity"],
        "alkalinity_dkh_l_per_mg": -moved["alkalinity"] / MEQ_PER_DKH,
        "nitrate": moved["nitrate"],
        "cells_g_vss": cells / COD_PER_VSS,
        # Each equivalent of bicarbonate lost leaves as CO2, besides what cells bind.
        "co2_g": (-moved["alkalinity"] + moved["inorganic_carbon"]) * MG_CO2_PER_MMOL,
    }[what]


def food_alkalinity_dkh_l_per_mg() -> float:
    """Buffering that a milligram of food nitrogen costs once it is nitrate. [dKH L/mg]"""
    nitrified, excreted = oxidation("total", "no"), change({"excretion_of_meals": 1.0})
    moved = _together((1.0, excreted), (excreted["ammonia"], nitrified))
    return -moved["alkalinity"] / MEQ_PER_DKH


def chloramine_ammonia(chloramine_mg_per_l: float, share: float) -> float:
    """Ammonia that a conditioner sets free in a water change. [mg N/L]"""
    return change({"neutralisation_of_chloramine": share * chloramine_mg_per_l})["ammonia"]


def growth_at(guild: str, temperature_c: float) -> float:
    """Centre of the prior of the fastest growth, moved to a temperature. [1/d]"""
    theta = CENTRE[f"{guild}_oxidiser_theta"]
    fastest = CENTRE[f"{guild}_oxidiser_growth_per_d"]
    return float((fastest * temperature_factor(np.log(theta), np.array([temperature_c])))[0])


def resting_oxygen(mass_g: float, temperature_c: float) -> float:
    """Resting uptake of one fish, with the temperature form of the rates. [mg O2/h]"""
    at = still_water(temperature_c=temperature_c, animal_nitrogen=1.0, animal_matter=1e9)
    forcing = {"respiration_mg_o2_per_mg_n_d": 1.0, "fasting_excretion_per_d": 0.0}
    rate = animal_rates(at, CENTRE, forcing, metabolic_pace(at.temperature_c))[
        "respiration_of_animals"
    ]
    plenty = 8.0 / (0.7 + 8.0)  # the model's own slowing at 8 mg O2/L
    return float(rate[0]) / plenty * resting_oxygen_mg_per_d(mass_g) / 24.0


def fasting_excretion(mass_g: float, temperature_c: float) -> float:
    """Ammonia that one fasting fish gives off for its mass. [mg N/kg/h]"""
    fish = AnimalsIn(
        at=datetime(2026, 3, 1, 12, tzinfo=UTC), species="Danio rerio", count=1, mass_g=mass_g
    )
    school = Population(100.0)
    school.record(0.0, fish)
    at = still_water(temperature_c=temperature_c, animal_nitrogen=MG_N_PER_G_WET)
    forcing = {
        "respiration_mg_o2_per_mg_n_d": 0.0,
        "fasting_excretion_per_d": school.history[-1].fasting_excretion_per_d,
    }
    rates = animal_rates(at, CENTRE, forcing, metabolic_pace(at.temperature_c))
    return 1000.0 / 24.0 * float(rates["excretion_of_fasting_animals"][0])


def feed_ammonia_factor() -> float:
    """Ammonia excreted per protein eaten, centre of the prior. [g N/g]"""
    return float(CENTRE["meal_share_excreted"][0]) * 0.16


def tank_transfer(by: str, temperature_c: float, depth_m: float) -> float:
    """Oxygen transfer of a 60 L tank by its still surface or by 60 L/h of bubbles. [1/h]"""
    floor = Shape(length_cm=50.0, width_cm=40.0, water_depth_cm=100.0 * depth_m, measured="inside")
    tank = Tank("A", date(2026, 3, 1), volume_l=60.0, shape=floor, air_flow_l_per_h=60.0)
    geometry, _ = tank_geometry(tank)
    at_20 = geometry["gas_transfer_per_h"] * geometry[f"gas_share_{by}"]
    return at_20 * float(gas_pace(temperature_c))


def still_water(
    *,
    ammonia: float = 0.0,
    temperature_c: float = 25.0,
    ph: float = 7.2,
    awake: float = 1.0,
    **amounts: float,
) -> Conditions:
    """Conditions with plenty of oxygen and buffering and nothing that inhibits."""
    one, held = np.ones(1), {c.name: np.zeros(1) for c in MATRIX.components}
    held |= {name: value * one for name, value in amounts.items()}
    held |= {"oxygen": 8.0 * one, "alkalinity": 3.0 * one, "ammonia": ammonia * one}
    return Conditions(
        concentration=held,
        amount=held,
        per_volume=one,
        temperature_c=temperature_c * one,
        ph=ph * one,
        free_ammonia_mg_n_per_l=0.0 * one,
        nitrous_acid_mg_n_per_l=0.0 * one,
        co2_mmol_per_l=0.05 * one,
        carbonate_mmol_per_l=0.0 * one,
        co2_slope=one,
        ammonia_wakefulness=awake * one,
        nitrite_wakefulness=awake * one,
    )


_SQUARE_METRE = {
    "volume_l": 1.0,
    "bed_area_m2": 1.0,
    "filter_area_m2": 1.0,
    "surface_area_m2": 1.0,
    "filter_flow_l_per_d": 1e9,
}


def _film(ammonia: float, film_mg_per_m2: float, *, doze: bool) -> tuple[float, float]:
    """Removal [mg N/m2/d] and net growth [mg/m2/d] of a film on glass at 27.2 degC."""
    at = still_water(ammonia=ammonia, temperature_c=27.2, ammonia_oxidisers_surface=film_mg_per_m2)
    site = colony_site("ammonia", CENTRE, _SQUARE_METRE)
    pace = colony_pace("ammonia", CENTRE, site, at.temperature_c)
    environment = environment_factor("ammonia", at, CENTRE, ph_factor(at.ph))
    if doze:
        awake = wake_target("ammonia", at, CENTRE, pace, environment)
        at = at._replace(ammonia_wakefulness=awake)
    running = {"filter_running": np.ones(1), "filter_stale": np.zeros(1)}
    rates, _ = colony_rates("ammonia", at, CENTRE, site, pace, environment, running)
    growth = float(rates["growth_of_ammonia_oxidisers_surface"][0])
    loss = float(rates["loss_of_ammonia_oxidisers_surface"][0])
    taken = -change({"growth_of_ammonia_oxidisers_surface": growth})["ammonia"]
    return taken, 0.98 * growth - loss


def areal_removal(ammonia_mg_n_per_l: float, film: str) -> float:
    """Removal by a densest film, or by the film that this ammonia keeps up. [g N/m2/d]"""
    if film == "densest":
        densest = float(CENTRE["ammonia_oxidiser_density_mg_per_m2"][0])
        return _film(ammonia_mg_n_per_l, densest, doze=False)[0] / 1000.0
    kept = brentq(lambda c: _film(ammonia_mg_n_per_l, c, doze=True)[1], 1.0, 1000.0)
    return _film(ammonia_mg_n_per_l, kept, doze=True)[0] / 1000.0


QUANTITIES: Mapping[str, Callable[..., float]] = {
    "oxygen_per_n": oxygen_per_n,
    "of_nitrification": of_nitrification,
    "food_alkalinity_dkh_l_per_mg": food_alkalinity_dkh_l_per_mg,
    "chloramine_ammonia": chloramine_ammonia,
    "ph_factor": lambda ph: float(ph_factor(np.array([ph]))[0]),
    "growth_at": growth_at,
    "resting_oxygen": resting_oxygen,
    "fasting_excretion": fasting_excretion,
    "feed_ammonia_factor": feed_ammonia_factor,
    "vapour_pressure_kpa": lambda temperature_c: float(vapour_pressure_kpa(temperature_c)),
    "areal_removal": areal_removal,
    "tank_transfer": tank_transfer,
}
