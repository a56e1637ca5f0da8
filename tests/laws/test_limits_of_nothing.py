"""Where nothing comes in, nothing appears."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from eventful_tank import eventful_tank
from tank_runs import prior_batch, run

from watervane.process.state import COLUMN, OUTPUT
from watervane.process.timeline import timeline
from watervane.records import SourceWater, Tank, WaterChange


def test_water_without_nitrogen_never_makes_ammonia() -> None:
    """No animals, no food, no biomass; changes and top-offs go on with nitrogen-free water."""
    eventful = eventful_tank()
    changes = tuple(h for h in eventful.habits if isinstance(h.template, WaterChange))
    tank = replace(
        eventful,
        events=(),
        habits=changes,
        source_water=SourceWater(ph=7.6, kh_dkh=5.0, nitrate_mg_n_per_l=0.0, chlorine_mg_per_l=1.0),
    )
    batch = prior_batch(timeline(tank, 21))
    living = [i for c, i in COLUMN.items() if "oxidisers" in c or c.endswith("_nitrogen")]
    batch.start.amounts[living] = 0.0
    for piece in run(batch, (0, 21), 24):
        for name in ("ammonia", "nitrite", "nitrate", "dinitrogen"):
            assert np.all(piece.after.amounts[:, COLUMN[name]] == 0.0), name


def test_a_closed_still_tank_in_balance_stays_as_it_is() -> None:
    """Saturated water at room temperature without life, light or evaporation does not move."""
    tank = Tank(
        name="still",
        filled=date(2026, 3, 1),
        volume_l=57.0,
        light_hours=0.0,
        source_water=SourceWater(ph=8.0, kh_dkh=4.0, nitrate_mg_n_per_l=5.0, chlorine_mg_per_l=0.0),
    )
    batch = prior_batch(timeline(tank, 0))
    living = [i for c, i in COLUMN.items() if "oxidisers" in c or c.endswith("algal_nitrogen")]
    batch.start.amounts[living] = 0.0
    batch.geometry["evaporation_l_per_d_per_kpa"][:] = 0.0
    batch.geometry["gas_transfer_per_h"][:] = 0.0
    batch.theta["room_temperature_deviation_c"][:] = 0.0
    pieces = list(run(batch, (0, 1), 24))
    first, last = pieces[0].outputs[2], pieces[-1].outputs[-1]  # once pH is found
    for name, i in OUTPUT.items():
        assert np.allclose(first[i], last[i], rtol=1e-9, atol=1e-9), name
