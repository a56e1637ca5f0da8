"""Every published number that the process floor touches, one row each, against our own.

As for chemistry: a row that agrees stays within its tolerance, a row that differs stays at the
value recorded beside it, so that a finding cannot quietly change.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from process_quantities import (
    CENTRE,
    MATRIX,
    QUANTITIES,
    RATION_PER_D,
    oxidation,
    still_water,
)

from watervane.chemistry.carbonate import ph_from_alkalinity, solve_ph, speciate
from watervane.chemistry.carbonate_constants import carbonate_constants
from watervane.chemistry.gases import co2_saturation_mg_per_l
from watervane.process.population import FASTING_MG_N_PER_G_D, MG_N_PER_G_WET
from watervane.process.rates.animals import animal_rates, metabolic_pace
from watervane.process.warmth import vapour_pressure_kpa
from watervane.reference import sources

HERE = Path(__file__).parent
COLUMNS = (
    *("id", "quantity", "inputs", "expected", "tolerance", "where", "status", "measured"),
    "note",
)


def _table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


FILES = sorted((HERE / "process").glob("*.csv"))
ROWS = [(path.stem, row) for path in FILES for row in _table(path)]


@pytest.mark.parametrize(
    "row", [row for _, row in ROWS], ids=[f"{source}-{row['id']}" for source, row in ROWS]
)
def test_published_process_number(row: dict[str, str]) -> None:
    assert tuple(row) == COLUMNS
    pairs = (item.split("=") for item in row["inputs"].split(";") if item)
    ours = float(QUANTITIES[row["quantity"]](**{name: _number(v) for name, v in pairs}))
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    within = abs(ours - expected) <= tolerance * (1.0 + 1e-9)
    if row["status"] == "agrees":
        assert within, f"{ours!r} against {expected} +- {tolerance} ({row['where']})"
        return
    assert row["status"] == "differs", row["status"]
    assert row["note"], "a finding needs its reason"
    assert not within, f"no longer differs: {ours!r} against {expected}"
    assert ours == pytest.approx(float(row["measured"]), rel=1e-5)


def test_every_process_quantity_is_used() -> None:
    assert {row["quantity"] for _, row in ROWS} == set(QUANTITIES)


def test_every_process_file_is_named_after_a_source() -> None:
    assert {path.stem for path in FILES} <= set(sources())


DROPS = _table(HERE / "data" / "phreeqc_reference" / "nitrification_ph_drop.csv")


@pytest.mark.parametrize(
    "row",
    DROPS,
    ids=[
        f"{r['initial_alkalinity_meq_L']}meq-{r['tan_oxidised_mgN_L']}mg-{r['gas_exchange']}"
        for r in DROPS
    ],
)
def test_nitrification_lowers_ph_as_phreeqc_says(row: dict[str, str]) -> None:
    """The matrix takes alkalinity, chemistry finds pH; the gas leaves fully or not at all.

    Sodium bicarbonate water; PHREEQC pairs some of its ions, hence 0.02 of pH and 0.2 % of carbon.
    """
    start, oxidised = float(row["initial_alkalinity_meq_L"]), float(row["tan_oxidised_mgN_L"])
    moved = oxidation("total", "no")
    alkalinity = start + oxidised * moved["alkalinity"]
    assert alkalinity == pytest.approx(float(row["final_alkalinity_meq_L"]), abs=2e-4)
    ionic = 1e-3 * start
    constants = carbonate_constants(25.0, ionic)
    dry = 1.0 - vapour_pressure_kpa(25.0) / 101.325  # there 420 ppm is the pressure itself
    air = float(co2_saturation_mg_per_l(25.0, 420.0, 1.0)) / 44.0095 / float(dry)

    def balanced(level: float) -> float:
        """Inorganic carbon whose CO2 stands at the air's, by halving."""
        low, high = 0.0, level + 1.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            ph = ph_from_alkalinity(level, middle, 25.0, ionic)
            if float(speciate(constants, ph, middle).co2) > air:
                high = middle
            else:
                low = middle
        return middle

    carbon = balanced(alkalinity if row["gas_exchange"] != "closed" else start)
    assert carbon == pytest.approx(float(row["final_dic_mmol_L"]), rel=2e-3)
    ph = float(ph_from_alkalinity(alkalinity, carbon, 25.0, ionic))
    assert ph == pytest.approx(float(row["final_pH"]), abs=0.02)
    renewed = float(solve_ph(constants, alkalinity, carbon, 0.0, ph + 0.2, 3))
    assert renewed == pytest.approx(ph, abs=1e-4), "the time loop's own solver comes to the same"


def _excretion_mg_n_per_g_d(mass_g: np.ndarray, temperature_c: np.ndarray, fed: bool) -> np.ndarray:
    """Ammonia of the model's fish in steady state, per wet mass."""
    at = still_water(gut_nitrogen=1.0 if fed else 0.0, animal_nitrogen=1.0, animal_matter=14.0)
    at = at._replace(temperature_c=temperature_c)
    theta = {name: np.broadcast_to(v, mass_g.shape) for name, v in CENTRE.items()}
    fasting = FASTING_MG_N_PER_G_D * mass_g**-0.2 / MG_N_PER_G_WET
    forcing = {"respiration_mg_o2_per_mg_n_d": 0.0, "fasting_excretion_per_d": fasting}
    rates = animal_rates(at, theta, forcing, metabolic_pace(at.temperature_c))
    meals = rates["excretion_of_meals"], rates["egestion_of_meals"], rates["retention_of_meals"]
    share = meals[0] / np.maximum(sum(meals), 1e-12)
    eaten = 1000.0 * RATION_PER_D * 0.42 * 0.16 * theta["eaten_share"]
    result: np.ndarray = (
        fed * share * eaten + rates["excretion_of_fasting_animals"] * MG_N_PER_G_WET
    )
    return result


@pytest.fixture(scope="module")
def fish() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Wet mass [g], temperature [degC] and excretion [mg N/g/d] of single fish (vanni2017)."""
    rows = _table(HERE / "data" / "fish_ammonia_excretion" / "freshwater_fish_nh4_excretion.csv")
    mass = np.array([float(r["dry_mass_g"]) / 0.25 for r in rows])
    warm = np.array([float(r["temp_C"]) for r in rows])
    rate = np.array([float(r["nh4_excretion_ugN_ind_h"]) for r in rows]) * 0.024 / mass
    return mass, warm, rate


def test_fed_fish_excrete_like_wild_fish(fish: tuple[np.ndarray, ...]) -> None:
    """Fed 1.5 % a day (common practice): the middle fish within 1.4, all the data can tell."""
    mass, warm, rate = fish
    off = np.log10(rate / _excretion_mg_n_per_g_d(mass, warm, fed=True))
    assert abs(np.median(off)) < np.log10(1.4)
    # Where rates above 10 mg/g/d, of tiny or freshly handled fish, are left out.
    assert abs(off[rate < 10.0].mean()) < np.log10(1.4)


def test_how_far_single_fish_lie_from_the_model(fish: tuple[np.ndarray, ...]) -> None:
    """Findings, held at what was measured.

    All 2838 fish excrete 1.30 times ours in the geometric mean, within the 1.4 asked for. Within a
    factor of 2.5 lie 73 in 100; the data's own best straight fit reaches 75. Wild fish eat more
    than 1.5 % a day. Fasting fish of ours excrete a quarter: no fish of this table is known to
    fast, and fed to satiation fish excrete up to ten times as much.
    """
    mass, warm, rate = fish
    fed = np.log10(rate / _excretion_mg_n_per_g_d(mass, warm, fed=True))
    assert 10 ** fed.mean() == pytest.approx(1.30, abs=0.02)
    assert (np.abs(fed) < np.log10(2.5)).mean() == pytest.approx(0.73, abs=0.01)
    fit = 10 ** (1.995 + 0.835 * np.log10(0.25 * mass) + 0.0087 * warm) * 0.024 / mass
    best = (np.abs(np.log10(rate / fit)) < np.log10(2.5)).mean()
    assert best == pytest.approx(0.75, abs=0.01)
    fasting = _excretion_mg_n_per_g_d(mass, warm, fed=False)
    assert 10 ** np.log10(rate / fasting).mean() == pytest.approx(4.1, abs=0.1)


def test_fasting_fish_excrete_the_geometric_mean_of_what_was_measured() -> None:
    """Four studies, five groups (fasting_fish_home); each single group differs, see its row."""
    rows = [row for _, row in ROWS if row["quantity"] == "fasting_excretion"]
    assert len(rows) == 5
    off = [np.log(float(row["measured"]) / float(row["expected"])) for row in rows]
    assert np.exp(np.mean(off)) == pytest.approx(1.0, abs=0.05)
    assert np.abs(off).max() < np.log(2.5)


@pytest.mark.parametrize("mass_g", [0.3, 1.0, 5.0])
def test_a_maintenance_ration_keeps_fish_as_they_are(mass_g: float) -> None:
    """1 to 2 % a day (common practice, no source): body nitrogen moves under 0.8 % a day."""
    excreted = float(_excretion_mg_n_per_g_d(np.array([mass_g]), np.array([25.0]), fed=True)[0])
    eaten = 1000.0 * RATION_PER_D * 0.42 * 0.16 * float(CENTRE["eaten_share"][0])
    kept = 0.8 * eaten - excreted  # a fifth leaves as faeces
    assert abs(kept) < 0.008 * MG_N_PER_G_WET


def test_small_fish_excrete_more_for_their_mass_than_large_ones() -> None:
    mass, warm = np.array([0.5, 50.0]), np.array([25.0, 25.0])
    small, large = _excretion_mg_n_per_g_d(mass, warm, fed=False)
    assert small > large > 0.0


def test_a_gram_of_food_makes_the_printed_ammonia() -> None:
    """1 g of food with 45 % protein, all eaten: 41.4 mg (timmons_ebeling2007, from memory)."""
    eaten_mg_n = 1000.0 * 0.45 * 0.16
    share = float(CENTRE["meal_share_excreted"][0])
    row = MATRIX.coefficients[MATRIX.process("excretion_of_meals")]
    made = row[MATRIX.component("ammonia")] / -row[MATRIX.component("gut_nitrogen")]
    assert eaten_mg_n * share * made == pytest.approx(41.4, abs=0.05)
