"""What one animal takes and leaves in a plan, against the published allometry and single fish."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from watervane.planning.blueprint.breath import BUSY_OVER_RESTING, breathed_mg_per_h
from watervane.planning.blueprint.filters import ammonia_of_food_mg_n_per_d
from watervane.planning.blueprint.upkeep import nitrate_of_food_mg_n_per_d
from watervane.process.food_need import food_need_g_per_d

HERE = Path(__file__).parent
MM_O2_MG = 31.998

# Resting teleosts of a mass [g] at a temperature [degC], mg O2/h a fish: the law of
# clarke_johnston1999, ln R50 = 15.7 - 5020/T, mass to the power 0.80, printed to three digits.
RESTING = [
    (0.5, 15.0, 0.144),
    (0.5, 25.0, 0.258),
    (1.0, 20.0, 0.337),
    (1.0, 25.0, 0.449),
    (1.0, 30.0, 0.593),
    (5.0, 25.0, 1.63),
    (10.0, 22.0, 2.39),
    (50.0, 25.0, 10.3),
    (100.0, 28.0, 21.1),
    (500.0, 15.0, 36.1),
    (500.0, 30.0, 85.5),
]


@pytest.mark.parametrize(("mass", "warm", "told"), RESTING)
def test_animals_breathe_twice_the_published_resting_rate(mass, warm, told) -> None:
    """Half a unit of the last digit for the printed figure, and the law's own three digits."""
    ours = breathed_mg_per_h((mass,), warm) / BUSY_OVER_RESTING
    digit = 10.0 ** (math.floor(math.log10(told)) - 2)
    law = math.exp(15.7 - 5020.0 / (warm + 273.15)) * (mass / 50.0) ** 0.80 * MM_O2_MG
    assert law == pytest.approx(told, abs=0.51 * digit)
    assert ours == pytest.approx(law, rel=1.5e-3)  # 10.263 and 15.7 are rounded apart


def test_published_exponent_of_mass() -> None:
    """Ln R = 0.80 ln M - 5.43 at all temperatures (clarke_johnston1999): ten grams to a hundred."""
    ratio = breathed_mg_per_h((100.0,), 20.0) / breathed_mg_per_h((10.0,), 20.0)
    assert math.log10(ratio) == pytest.approx(0.80, abs=0.005)


@pytest.fixture(scope="module")
def fish() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Wet mass [g], temperature [degC] and excretion [mg N/d] of single fish (vanni2017)."""
    file = HERE / "data" / "fish_ammonia_excretion" / "freshwater_fish_nh4_excretion.csv"
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    mass = np.array([float(row["dry_mass_g"]) / 0.25 for row in rows])
    warm = np.array([float(row["temp_C"]) for row in rows])
    rate = np.array([float(row["nh4_excretion_ugN_ind_h"]) for row in rows]) * 0.024
    return mass, warm, rate


def _planned(mass: np.ndarray, warm: np.ndarray, of_food) -> np.ndarray:
    food = [food_need_g_per_d(m, t).centre for m, t in zip(mass, warm, strict=True)]
    return np.array([of_food(each, 0.42) for each in food])


def test_ammonia_of_a_plan_is_low_beside_wild_fish(fish) -> None:
    """Findings, held at what was measured.

    2838 wild fish excrete 1.82 times the ammonia that a plan counts for food which just keeps an
    animal's weight: outside the factor 1.4 asked of the mean, inside 2.5. Wild fish eat more, and
    were handled. In single fish 63 of 100 lie within 2.5.
    """
    mass, warm, rate = fish
    off = np.log10(rate / _planned(mass, warm, ammonia_of_food_mg_n_per_d))
    assert 10 ** off.mean() == pytest.approx(1.82, abs=0.02)
    assert 10 ** np.median(off) == pytest.approx(1.83, abs=0.02)
    assert (np.abs(off) < np.log10(2.5)).mean() == pytest.approx(0.63, abs=0.01)


def test_nitrogen_counted_for_water_changes_is_what_wild_fish_excrete(fish) -> None:
    """All nitrogen of that food, as the weekly change counts it: the mean fish within 1.4."""
    mass, warm, rate = fish
    off = np.log10(rate / _planned(mass, warm, nitrate_of_food_mg_n_per_d))
    assert abs(off.mean()) < np.log10(1.4)
    assert 10 ** off.mean() == pytest.approx(1.04, abs=0.02)


def test_excretion_rises_with_mass_as_in_wild_fish_and_more_with_warmth(fish) -> None:
    """The data's own straight fit: exponents 0.835 of mass, 0.0087 a degree; ours 0.80, 0.025."""
    mass, warm, rate = fish
    design = np.vstack([np.ones_like(mass), np.log10(mass), warm]).T
    told = np.linalg.lstsq(design, np.log10(rate), rcond=None)[0]
    planned = np.log10(_planned(mass, warm, ammonia_of_food_mg_n_per_d))
    ours = np.linalg.lstsq(design, planned, rcond=None)[0]
    assert told[1] == pytest.approx(0.835, abs=0.001)
    assert ours[1] == pytest.approx(0.80, abs=0.001)
    assert told[2] == pytest.approx(0.0087, abs=0.0001)
    assert ours[2] == pytest.approx(0.0251, abs=0.0001)
