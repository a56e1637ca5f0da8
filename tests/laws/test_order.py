"""The scheme is of second order across events, and stable where gas transfer is stiff."""

from __future__ import annotations

import numpy as np
import pytest
from eventful_tank import eventful_tank
from numpy.typing import NDArray
from stress_tanks import stressed
from tank_runs import Batch, final_amounts, prior_batch, run

from watervane.process.state import COLUMN, OUTPUT
from watervane.process.timeline import timeline

DAYS = (0, 30)  # doses, seeds, animals, deaths, cleaning, changes and a power cut among them
STEPS = (48, 96, 192)
FINEST = 768


@pytest.fixture(scope="module")
def batch() -> Batch:
    return prior_batch(timeline(eventful_tank(), DAYS[1]))


@pytest.fixture(scope="module")
def errors(batch: Batch) -> dict[int, NDArray[np.float64]]:
    """Relative error of every component at the end, by steps a day."""
    exact = final_amounts(run(batch, DAYS, FINEST))
    return {
        steps: np.abs(final_amounts(run(batch, DAYS, steps)) - exact) / np.maximum(exact, 1e-6)
        for steps in STEPS
    }


MOVING = (
    *("ammonia", "nitrite", "nitrate", "oxygen", "inorganic_carbon", "alkalinity"),
    *("food_nitrogen", "faeces_nitrogen", "organic_matter", "gut_nitrogen", "animal_matter"),
    *("algal_nitrogen", "ammonia_oxidisers_bed", "ammonia_oxidisers_filter"),
    *("nitrite_oxidisers_bed", "nitrite_oxidisers_filter", "nitrite_oxidisers_surface"),
)


@pytest.mark.parametrize("component", MOVING)
def test_halving_the_step_quarters_the_error(
    errors: dict[int, NDArray[np.float64]], component: str
) -> None:
    """Slope between 1.7 and 2.4, in the root mean square over prior members."""
    sizes = [float(np.sqrt(np.mean(errors[s][COLUMN[component]] ** 2))) for s in STEPS]
    # The reference itself is off by a sixteenth of the finest error: lifts the last slope by 0.09.
    slope = np.log2(sizes[0] / sizes[-1]) / (len(STEPS) - 1)
    assert 1.7 < slope < 2.4, (component, sizes)


@pytest.mark.parametrize("stress", ["still", "aired", "violent", "unbuffered", "overgrown"])
@pytest.mark.parametrize("steps", [20, 24, 56])
def test_a_stiff_tank_stays_finite_and_above_zero(batch: Batch, stress: str, steps: int) -> None:
    low, high = np.inf, -np.inf  # plants in a still tank lift pH above 10
    for piece in run(stressed(batch, stress), DAYS, steps):
        amounts = np.delete(piece.after.amounts, COLUMN["alkalinity"], axis=1)
        assert np.isfinite(piece.after.amounts).all()
        low, high = min(low, amounts.min()), max(high, piece.outputs[:, OUTPUT["ph"]].max())
    assert low > -1e-6
    assert high < 11.0


@pytest.mark.parametrize("stress", ["violent", "aired"])
def test_strong_aeration_brings_the_water_into_balance_with_the_room(
    batch: Batch, stress: str
) -> None:
    """At 60 per hour, gases stand at saturation whatever else goes on (25 degC, henry's law)."""
    made = stressed(batch, stress)
    made.theta["room_co2_ppm"][:] = 420.0
    made.theta["set_point_deviation_c"][:] = 0.0
    *_, last = run(made, (0, 3), 24)
    quiet = last.outputs[-2]
    assert quiet[OUTPUT["oxygen_mg_per_l"]] == pytest.approx(8.26, rel=0.02)
    assert quiet[OUTPUT["co2_mg_per_l"]] == pytest.approx(0.61, rel=0.05)
