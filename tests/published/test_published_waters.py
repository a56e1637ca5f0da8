"""Reports and mixtures against eighty real tap waters, PHREEQC and exact doses."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phreeqpython import PhreeqPython

from watervane.chemistry.disinfectant import dechlorinator_mg_per_l
from watervane.chemistry.gases import co2_saturation_mg_per_l
from watervane.planning.blueprint.whole import blueprint_of
from watervane.planning.waters.blending import Shelf
from watervane.planning.waters.ions import aired, ions_of_salt, mixed
from watervane.planning.waters.recipes import conditioned, recipe_for
from watervane.planning.waters.report import allowed_difference_meq_per_l, pure, read_report
from watervane.records import (
    BlueprintWish,
    GlassBox,
    IonWater,
    PouredWater,
    SaltAtHand,
    WaterReport,
    WaterTarget,
)

HERE = Path(__file__).parent
MG_NO3_PER_N = 4.42680


def _profiles() -> list[dict[str, str]]:
    path = HERE / "data" / "tapwater_heilbronn" / "tapwater_profiles.csv"
    with path.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


PROFILES = _profiles()
NAMES = [f"{row['municipality']}-{row['district']}-{row['zone']}" for row in PROFILES]


def report_of(row: dict[str, str]) -> WaterReport:
    """A profile as a report; its alkalinity is not printed."""
    return WaterReport(
        row["municipality"],
        calcium_mg_per_l=float(row["Ca"]),
        magnesium_mg_per_l=float(row["Mg"]),
        sodium_mg_per_l=float(row["Na"]),
        potassium_mg_per_l=float(row["K"]),
        chloride_mg_per_l=float(row["Cl"]),
        sulfate_mg_per_l=float(row["SO4"]),
        nitrate_mg_n_per_l=float(row["NO3"]) / MG_NO3_PER_N,
    )


@pytest.mark.parametrize("row", PROFILES, ids=NAMES)
def test_alkalinity_and_hardness_of_tap_waters(row: dict[str, str]) -> None:
    """The alkalinity their charges leave, and the hardness of their calcium and magnesium."""
    water = read_report(report_of(row))
    assert "bicarbonate" in water.assumed
    expected = float(row["alkalinity_by_charge_balance_meq_L"])
    assert water.ions["bicarbonate"] == pytest.approx(expected, abs=2e-3)
    hardness = aired(water.ions, 25.0).gh_dgh
    assert hardness == pytest.approx(float(row["gh_from_ca_mg_dGH"]), abs=0.01)
    assert hardness == pytest.approx(float(row["hardness_dGH_reported"]), abs=1.5)
    assert not water.softened


def test_allowed_difference_of_an_analysis() -> None:
    """apha1030, from memory: 0.2 meq/L up to 3, 2 % of the sum from 3 to 10, 5 % beyond."""
    assert allowed_difference_meq_per_l(2.0) == pytest.approx(0.2)
    assert allowed_difference_meq_per_l(5.0) == pytest.approx(0.2)
    assert allowed_difference_meq_per_l(20.0) == pytest.approx(2.0)


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    return PhreeqPython()


SALTS = ("sodium-bicarbonate", "calcium-chloride-dihydrate", "magnesium-sulfate-heptahydrate")
BLENDS = st.fixed_dictionaries(
    {
        "row": st.integers(0, len(PROFILES) - 1),
        "tap": st.floats(0.05, 1.0),
        "salts": st.tuples(*(st.floats(0.0, 1.5) for _ in SALTS)),
        "temperature_c": st.sampled_from([20.0, 25.0, 28.0]),
        "co2_ppm": st.floats(400.0, 2000.0),
    }
)


@settings(max_examples=120, deadline=None, derandomize=True)
@given(drawn=BLENDS)
def test_blended_waters_as_phreeqc_has_them(phreeqc: PhreeqPython, drawn) -> None:
    """The pH after airing within 0.02, calcite index within 0.03; 0.015, 0.017 over 400 draws.

    PHREEQC pairs more ions than we do, sodium with bicarbonate and sulfate among them.
    """
    tap = read_report(report_of(PROFILES[drawn["row"]]))
    share, t = drawn["tap"], drawn["temperature_c"]
    ions = mixed(
        [(tap.ions, share)]
        + [(ions_of_salt(s), a) for s, a in zip(SALTS, drawn["salts"], strict=True)]
    )
    ours = aired(ions, t, drawn["co2_ppm"])
    names = {
        "calcium": "Ca",
        "magnesium": "Mg",
        "sodium": "Na",
        "potassium": "K",
        "chloride": "Cl",
        "sulfate": "S(6)",
        "nitrate": "N(5)",
    }
    told = {names[name]: amount for name, amount in ions.items() if name in names and amount > 0}
    water = phreeqc.add_solution(
        {"units": "mmol/kgw", "temp": t, "pH": "8 charge", "C": ions["bicarbonate"], **told}
    )
    dissolved = float(co2_saturation_mg_per_l(t, drawn["co2_ppm"])) / 44009.5
    constant = float(co2_saturation_mg_per_l(t, 1e6)) / 44009.5
    vapour = {20.0: 0.023078, 25.0: 0.031274, 28.0: 0.037323}[t]
    water.equalize(["CO2(g)"], [math.log10(dissolved / (constant / (1.0 - vapour)))])
    theirs, index = water.pH, water.si("Calcite")
    water.forget()
    assert ours.ph == pytest.approx(theirs, abs=0.02)
    assert ours.calcite_index == pytest.approx(index, abs=0.03)


@pytest.mark.parametrize(
    ("salt", "quantity", "grams"),
    [
        ("sodium-bicarbonate", "kh", 2.996),
        ("sodium-carbonate", "kh", 1.890),
        ("calcium-chloride-dihydrate", "gh", 2.622),
        ("calcium-sulfate-dihydrate", "gh", 3.070),
        ("magnesium-sulfate-heptahydrate", "gh", 4.395),
    ],
)
def test_one_degree_in_a_hundred_litres(salt: str, quantity: str, grams: float) -> None:
    """Exact doses of the reference table, as a recipe into pure water weighs them."""
    shelf = Shelf((PouredWater(pure("rain")),), (SaltAtHand(salt),))
    target = WaterTarget({quantity: (1.0, math.inf)}, batch_l=100.0, scale_g=0.001)
    (weighed,) = [p for p in recipe_for(shelf, target).parts if p.kind == "salt"]
    assert weighed.exact == pytest.approx(grams, abs=6e-4)


def test_first_dose_of_a_plan() -> None:
    """3.819 mg of ammonium chloride bring a mg of nitrogen, by the reference table of doses."""
    box = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, glass_mm=6.0)
    plan = blueprint_of(BlueprintWish("x", box))
    start = next(each for each in plan.timeline.steps if each.key == "start")
    brought = 2.0 * plan.volumes.net_l * 3.819 / 1000.0
    assert start.arguments["up_to"] == 2.0
    assert start.arguments["dose_g"] == pytest.approx(brought, rel=2e-4)


def test_limestone_gives_a_degree_of_each() -> None:
    """1.785 g of calcium carbonate in 100 L: one dKH and one dGH."""
    ions = {name: 1.785 / 100.09 * 10.0 * part for name, part in
            ions_of_salt("calcium-carbonate").items()}  # fmt: skip
    water = aired(ions, 25.0)
    assert (water.kh_dkh, water.gh_dgh) == pytest.approx((1.0, 1.0), abs=5e-4)


def test_conditioner_and_the_ammonia_it_leaves() -> None:
    """7.000 mg thiosulfate pentahydrate per mg Cl2; 4 mg/L chloramine leave 0.79 mg N/L."""
    water = IonWater("tap", {"ammonium": 0.0}, chlorine_mg_per_l=1.0, chloramine_mg_per_l=4.0)
    told = conditioned([(water, 1.0)], 10.0)
    assert told.thiosulfate_g == pytest.approx(7.000 * 5.0 * 10.0 / 1000.0, rel=1e-4)
    assert told.ammonia_mg_n_per_l == pytest.approx(0.79, abs=0.005)
    third = conditioned([(water, 0.3), (pure("rain"), 0.7)], 10.0)
    assert third.chloramine_mg_per_l == pytest.approx(1.2)
    assert dechlorinator_mg_per_l(0.0, 1.0, "ascorbic-acid") == pytest.approx(2.484, abs=1e-3)


def test_two_milligrams_of_chloramine_in_a_third_of_the_water() -> None:
    """30 % change with mains at 2 mg/L: 0.119 mg N/L added tank-wide."""
    water = IonWater("tap", {"ammonium": 0.0}, chloramine_mg_per_l=2.0)
    assert 0.3 * conditioned([(water, 1.0)], 1.0).ammonia_mg_n_per_l == pytest.approx(
        0.119, abs=5e-4
    )
