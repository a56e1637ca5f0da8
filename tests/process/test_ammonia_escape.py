"""Ammonia gas leaves with the vapour: how fast, and what it takes along."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from watervane.inference.priors import prior_members
from watervane.process.run import initial_state, simulate
from watervane.process.state import COLUMN, OUTPUT
from watervane.process.timeline import timeline
from watervane.records import SourceWater, Tank

DAYS = 10


def _lost(lid: bool, ph: float, kh_dkh: float = 8.0) -> tuple[Any, Any, Any]:
    """Daily loss as a share of free ammonia, gas lost and alkalinity gone, without any life."""
    tank = Tank(
        name="still",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        lid=lid,
        heater_power_w=100.0,
        heater_set_point_c=26.0,
        light_hours=0.0,
        source_water=SourceWater(ph=ph, kh_dkh=kh_dkh, ammonia_mg_n_per_l=3.0),
    )
    line = timeline(tank, DAYS)
    drawn = prior_members(tank, np.arange(40), 3)
    barren = {f"initial_{g}_oxidisers_mg_per_l": np.zeros(40) for g in ("ammonia", "nitrite")}
    members = replace(drawn, parameters={**drawn.parameters, **barren})
    start = initial_state(line, members)
    start.amounts[COLUMN["algal_nitrogen"]] = 0.0
    found = simulate(
        line, members, start, (0, DAYS), stops_d=[d + 0.5 for d in range(DAYS)], food_noise=False
    )
    free = found.outputs[OUTPUT["free_ammonia_mg_n_per_l"]].mean(axis=0)
    gas = found.final.amounts[COLUMN["ammonia_gas"], 0]
    alkalinity = (
        found.final.amounts[COLUMN["alkalinity"], 0] - start.amounts[COLUMN["alkalinity"], 0]
    )
    return gas / DAYS / free, gas, alkalinity


def test_an_open_tank_loses_about_half_of_its_free_ammonia_in_a_day() -> None:
    """By evaporation from the same film: 55.5 mol/L x 0.3 L/d/kPa / 0.59 over 60 L: 0.47 a day."""
    share, _, _ = _lost(lid=False, ph=8.4)
    assert 0.2 < np.median(share) < 1.0


def test_a_lid_holds_it_back_and_acid_water_keeps_it_as_ammonium() -> None:
    _, open_gas, _ = _lost(lid=False, ph=8.4)
    _, closed_gas, _ = _lost(lid=True, ph=8.4)
    _, acid_gas, _ = _lost(lid=False, ph=6.4, kh_dkh=0.5)
    assert np.all(closed_gas < 0.6 * open_gas)
    assert np.all(acid_gas < 0.3 * open_gas)


def test_each_milligram_takes_its_base_along() -> None:
    _, gas, alkalinity = _lost(lid=False, ph=8.4)
    top_off_brings = alkalinity + gas / 14.0067
    assert np.all(top_off_brings > -1e-9), "top-off only adds"
    assert np.all(gas > 0.0)
    assert pytest.approx(0.0, abs=0.6) == float(np.median(top_off_brings))
