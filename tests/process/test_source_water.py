"""The keeper's source water as components."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.process.source_water import (
    SOURCE_PARAMETERS,
    source_composition,
    source_findings,
)
from watervane.process.state import COLUMN, MATRIX
from watervane.records import SourceWater

CHARGE = MATRIX.content[:, 1]


def _composed(water: SourceWater, z: float = 0.0, count: int = 1) -> np.ndarray:
    deviations = {n: np.full((1, count), z) for n in SOURCE_PARAMETERS}
    return source_composition(water, deviations)[:, 0, :]


waters = st.builds(
    SourceWater,
    ph=st.floats(6.0, 8.8),
    kh_dkh=st.floats(0.3, 18.0),
    gh_dgh=st.none() | st.floats(0.0, 30.0),
    nitrate_mg_n_per_l=st.none() | st.floats(0.0, 12.0),
    ammonia_mg_n_per_l=st.none() | st.floats(0.0, 1.0),
    chlorine_mg_per_l=st.none() | st.floats(0.0, 4.0),
    chloramine_mg_per_l=st.none() | st.floats(0.0, 4.0),
    chloride_mg_per_l=st.none() | st.floats(0.0, 250.0),
)


@given(waters, st.floats(-2.5, 2.5))
def test_charges_cancel_and_nothing_is_negative(water: SourceWater, z: float) -> None:
    composition = _composed(water, z)
    assert composition.min() >= 0.0
    gross = np.abs(CHARGE) @ composition
    assert np.all(np.abs(CHARGE @ composition) <= 1e-9 * gross)


@given(waters)
def test_the_ph_told_comes_back(water: SourceWater) -> None:
    """At the 15 degC of tap water; ammonia shifts it a little, hence none here."""
    composition = _composed(SourceWater(ph=water.ph, kh_dkh=water.kh_dkh, gh_dgh=water.gh_dgh))
    c = {name: composition[i] for name, i in COLUMN.items()}
    ionic = 1e-3 * (0.5 * c["alkalinity"] + 2.0 * (c["calcium"] + c["magnesium"]) + 0.3)
    ph = ph_from_alkalinity(c["alkalinity"], c["inorganic_carbon"], 15.0, ionic)
    assert ph == pytest.approx(water.ph, abs=1e-6)


def test_told_values_are_taken_over() -> None:
    water = SourceWater(
        ph=7.6, kh_dkh=5.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.13, chloramine_mg_per_l=1.5
    )
    composition = _composed(water)
    assert composition[COLUMN["alkalinity"]] == pytest.approx(5.0 * 0.356650)
    hard = composition[COLUMN["calcium"]] + composition[COLUMN["magnesium"]]
    assert hard == pytest.approx(8.0 * 0.178325)
    assert composition[COLUMN["nitrate"]] == pytest.approx(1.13)
    assert composition[COLUMN["chloramine"]] == 1.5
    assert composition[COLUMN["chlorine"]] == 0.0


def test_what_is_not_told_is_uncertain_and_said() -> None:
    known, unknown = SourceWater(kh_dkh=5.0, ph=7.6), SourceWater()
    spread = [
        np.ptp(np.concatenate([_composed(w, z)[COLUMN["alkalinity"]] for z in (-2.0, 2.0)]))
        for w in (known, unknown)
    ]
    assert spread[1] > 5.0 * spread[0]
    keys = {f.key for f in source_findings(unknown)}
    assert keys == {"assumed-source-water", "assumed-chloramine"}
    told = SourceWater(
        ph=7.6, kh_dkh=5.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.0, chlorine_mg_per_l=0.0
    )
    assert source_findings(told) == []


def test_unknown_disinfectant_counts_as_chloramine() -> None:
    assert _composed(SourceWater())[COLUMN["chloramine"]] == 1.0
    assert _composed(SourceWater(chlorine_mg_per_l=0.5))[COLUMN["chloramine"]] == 0.0


def test_water_told_to_be_free_of_something_is_free_of_it_in_every_member() -> None:
    water = SourceWater(kh_dkh=0.0, nitrate_mg_n_per_l=0.0, gh_dgh=0.0, ph=6.0)
    for z in (-2.0, 0.0, 2.0):
        composition = _composed(water, z)
        for name in ("nitrate", "alkalinity", "calcium", "magnesium"):
            assert composition[COLUMN[name]] == 0.0, name
