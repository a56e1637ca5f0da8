"""Heat, oxygen, media and limestone of a plan against numbers from outside the program."""

from __future__ import annotations

from math import log10

import pytest
from phreeqpython import PhreeqPython

from watervane.chemistry.gas_transfer import kla_of_bubbler_per_h
from watervane.chemistry.gases import co2_saturation_mg_per_l
from watervane.planning.blueprint.breath import (
    breathed_mg_per_h,
    gas_transfer_rates,
    oxygen_plan,
)
from watervane.planning.blueprint.filling import bed_parts, volumes_of
from watervane.planning.blueprint.filters import (
    Load,
    ammonia_of_food_mg_n_per_d,
    areal_rate_mg_n_per_m2_d,
)
from watervane.planning.blueprint.heating import heat_plan, loss_of
from watervane.planning.blueprint.limestone import (
    RICH_CO2_MG_PER_L,
    ceiling_of,
    dissolved_limestone_mmol_per_l,
)
from watervane.planning.blueprint.shapes import vessel_of
from watervane.records import BedLayer, BlueprintWish, GlassBox, SourceWater

# Worked heat budgets, lid open, quiet surface, humidity 50 %, bottom free to the air:
# length, width, height [cm], glass [mm], room, water [degC]; kg/d, then W: evaporation, sides,
# bottom, surface, all. Printed to one decimal.
BUDGETS = [
    (60.0, 30.0, 36.0, 6.0, 20.0, 25.0, 0.839, 23.7, 25.2, 5.3, 7.4, 61.6),
    (120.0, 50.0, 60.0, 12.0, 21.0, 26.0, 2.965, 83.7, 75.8, 16.9, 24.9, 201.3),
]


# The same budgets with the factor of a quiet surface left at one, and at a half: W of vapour.
# A factor alone moves them, so the printed 23.7 and 83.7 are 0.74 of the first.
FACTORS = [(32.0, 16.0), (113.1, 56.6)]


@pytest.mark.parametrize("number", [0, 1], ids=["60cm", "120cm"])
def test_vapour_moves_with_the_factor_of_the_surface(number: int) -> None:
    """ashrae_natatorium, from memory: activity factors 1.0 and 0.5 beside the measured 0.74."""
    wish = _open_tank(BUDGETS[number])
    lost = loss_of(wish, vessel_of(wish.box), wish.water_c, wish.coldest_c, lid=False)
    for factor, printed in zip((1.0, 0.5), FACTORS[number], strict=True):
        assert lost.evaporation_w * factor / 0.74 == pytest.approx(printed, abs=0.1)


def _open_tank(row: tuple[float, ...]) -> BlueprintWish:
    length, width, height, glass, room, water = row[:6]
    box = GlassBox("rectangular", length, width, height, water_depth_cm=height, glass_mm=glass)
    return BlueprintWish(
        "x", box, layers=(), water_c=water, coldest_c=room, warmest_c=room, lid=False
    )


@pytest.mark.parametrize("row", BUDGETS, ids=["60cm", "120cm"])
def test_worked_heat_budgets(row: tuple[float, ...]) -> None:
    wish = _open_tank(row)
    lost = loss_of(wish, vessel_of(wish.box), wish.water_c, wish.coldest_c, lid=False)
    kilograms, evaporation, sides, bottom, surface, total = row[6:]
    assert lost.evaporation_kg_per_d == pytest.approx(kilograms, abs=2e-3)
    told = (lost.evaporation_w, lost.sides_w, lost.bottom_w, lost.surface_w)
    assert told == pytest.approx((evaporation, sides, bottom, surface), abs=0.1)
    assert lost.total_w == pytest.approx(total, abs=0.2)
    day = heat_plan(wish, vessel_of(wish.box)).days[1]
    assert day.total_w == pytest.approx(total, abs=0.2)


def test_ammonia_of_food() -> None:
    """timmons_ebeling2007, from memory: 1 g of 45 % protein leaves 41.4 mg."""
    assert ammonia_of_food_mg_n_per_d(1.0, 0.45) == pytest.approx(41.4, abs=0.05)


@pytest.mark.parametrize(
    ("ammonia", "rate"),
    [(0.1, 27.0), (0.25, 153.0), (0.5, 329.0), (1.0, 590.0)],
)
def test_areal_rate_of_the_biofilm(ammonia: float, rate: float) -> None:
    """zhu_chen1999 at 27.2 degC, to the three digits printed."""
    kind = areal_rate_mg_n_per_m2_d(ammonia, 27.2).high
    assert kind == pytest.approx(rate, abs=0.5)
    assert areal_rate_mg_n_per_m2_d(ammonia, 27.2).low == pytest.approx(0.7 * rate, abs=0.5)


def test_areal_rate_never_passes_the_highest_found() -> None:
    """nijhof_bovendeur1990: 0.69 g/m2/d; the formula alone would give 0.913 at 2 mg/L."""
    assert areal_rate_mg_n_per_m2_d(2.0, 27.2).high == pytest.approx(690.0)


def test_areal_rates_lie_in_the_range_farms_are_designed_by() -> None:
    """0.2 (cold or low ammonia) to 1.0 g/m2/d (28 degC, high), from memory."""
    cold, warm = areal_rate_mg_n_per_m2_d(0.5, 15.0), areal_rate_mg_n_per_m2_d(1.5, 28.0)
    assert 100.0 < cold.low < cold.high < 400.0
    assert 400.0 < warm.low < warm.high <= 1000.0


def test_temperature_slopes_of_a_film() -> None:
    """zhu_chen2002, from memory: 1.1 % a degree where oxygen limits, 4.3 % where it does not."""
    at, colder = areal_rate_mg_n_per_m2_d(0.5, 26.0), areal_rate_mg_n_per_m2_d(0.5, 25.0)
    assert at.high / colder.high == pytest.approx(1.011)
    assert at.low / colder.low == pytest.approx(1.043)


def test_oxygen_of_ten_small_fish() -> None:
    """60 L, 0.30 m deep, 25 degC, ten fish of 1 g at twice rest: 8.98 mg/h, 6.46 mg/L by night."""
    assert breathed_mg_per_h((1.0,) * 10, 25.0) == pytest.approx(8.98, abs=0.01)
    still, stirred = gas_transfer_rates(0.30, 60.0, 60.0, (25.0, 1.0))
    assert still == pytest.approx(0.083, abs=5e-4)
    assert 8.263 - 8.98 / 60.0 / still == pytest.approx(6.46, abs=0.02)
    bubbles = stirred - gas_transfer_rates(0.30, 60.0, 0.0, (25.0, 1.0))[1]
    assert bubbles == pytest.approx(kla_of_bubbler_per_h(60.0, 0.02, 60.0, 25.0))
    assert bubbles == pytest.approx(0.687, abs=0.005)


@pytest.mark.parametrize(
    ("altitude_m", "temperature_c", "saturation"),
    [(0.0, 25.0, 8.263), (1000.0, 25.0, 7.300), (2000.0, 30.0, 5.860), (3000.0, 20.0, 6.226)],
)
def test_oxygen_and_altitude(altitude_m: float, temperature_c: float, saturation: float) -> None:
    """Benson and Krause with the standard atmosphere."""
    wish = BlueprintWish(
        "x", GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0), altitude_m=altitude_m
    )
    vessel = vessel_of(wish.box)
    net = volumes_of(wish, vessel, bed_parts(wish, vessel)).net_l
    plan = oxygen_plan(wish, vessel, Load((), 0.0, assumed=False), net, temperature_c)
    assert plan.saturation_mg_per_l == pytest.approx(saturation, abs=1e-3)
    assert plan.still_mg_per_l == pytest.approx(saturation, abs=1e-3)


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    return PhreeqPython()


@pytest.mark.parametrize("co2_mg_per_l", [0.61, 3.0, 10.0])
@pytest.mark.parametrize("temperature_c", [20.0, 25.0])
@pytest.mark.parametrize("kh_meq", [0.0, 1.0])
def test_limestone_dissolves_as_phreeqc_says(
    phreeqc: PhreeqPython, co2_mg_per_l: float, temperature_c: float, kh_meq: float
) -> None:
    """Calcite and CO2 held: alkalinity, which is what is told, within 2 % of PHREEQC's.

    What dissolves differs by up to 3 %, most where the water is nearly saturated already.
    """
    ours = dissolved_limestone_mmol_per_l(kh_meq, 0.0, co2_mg_per_l, temperature_c)
    one_atm = float(co2_saturation_mg_per_l(temperature_c, 1e6, 1.0))
    vapour = {20.0: 0.0231, 25.0: 0.0313}[temperature_c]
    pressure = co2_mg_per_l / (one_atm / (1.0 - vapour))
    water = phreeqc.add_solution(
        {"units": "mmol/kgw", "temp": temperature_c, "pH": "7 charge", "Na": kh_meq, "C": kh_meq}
        if kh_meq
        else {"units": "mmol/kgw", "temp": temperature_c, "pH": "7 charge"}
    )
    water.equalize(["Calcite", "CO2(g)"], [0.0, log10(pressure)])
    theirs = 1e3 * water.total_element("Ca", units="mol")
    water.forget()
    assert kh_meq + 2.0 * ours == pytest.approx(kh_meq + 2.0 * theirs, rel=0.02)


@pytest.mark.parametrize("kh_dkh", [0.5, 3.0])
def test_ph_over_a_bed_of_lime_is_phreeqcs(phreeqc: PhreeqPython, kh_dkh: float) -> None:
    """Both ends of the range told, at the altitude and warmth of the plan: pH within 0.02."""
    box = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0)
    tap = SourceWater(kh_dkh=kh_dkh, gh_dgh=0.0)
    wish = BlueprintWish("x", box, layers=(BedLayer("limestone"),), source_water=tap)
    told = ceiling_of(wish)
    assert told is not None
    aired = float(co2_saturation_mg_per_l(25.0))
    for co2, ours in ((aired, told.ph.high), (RICH_CO2_MG_PER_L, told.ph.low)):
        one_atm = float(co2_saturation_mg_per_l(25.0, 1e6, 1.0))
        kh_meq = 0.356650 * kh_dkh
        held = {"units": "mmol/kgw", "temp": 25.0, "pH": "7 charge", "Na": kh_meq, "C": kh_meq}
        water = phreeqc.add_solution(held)
        water.equalize(["Calcite", "CO2(g)"], [0.0, log10(co2 / (one_atm / (1.0 - 0.0313)))])
        theirs = water.pH
        water.forget()
        assert ours == pytest.approx(theirs, abs=0.02)
