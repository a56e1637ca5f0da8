"""What the colonies could turn over, in closed form, and when that carries a load."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from watervane.forecast.capacity import MARGIN, capacity_mg_n_per_l_d, ready_days
from watervane.forecast.milestones import SETTLED_DAYS
from watervane.process.rates.nitrifiers import YIELD_MG_O2_PER_MG_N, ph_factor
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState

NO_STATE = TankState(*(np.zeros(1) for _ in TankState._fields))
GROWTH, THETA, HALF = 0.8, 1.1, 0.2
HALF_OXYGEN, HALF_ALKALINITY = 0.5, 0.4
PARAMETERS = {
    "growth_per_d": GROWTH,
    "theta": THETA,
    "half_saturation": HALF,
    "half_saturation_oxygen": HALF_OXYGEN,
}
MEMBERS = {
    f"{guild}_oxidiser_{name}": np.array([value, value])
    for guild in ("ammonia", "nitrite")
    for name, value in PARAMETERS.items()
} | {"half_saturation_alkalinity": np.array([HALF_ALKALINITY] * 2)}


def course(**levels: float) -> Course:
    """Two members at one moment; colonies of one milligram a litre, 20 degC, pH 7.2."""
    told = {
        "ammonia_oxidisers_mg_per_l": 1.0,
        "nitrite_oxidisers_mg_per_l": 1.0,
        "temperature_c": 20.0,
        "ph": 7.2,
        "oxygen_mg_per_l": 8.0,
        "alkalinity_meq_per_l": 2.0,
    }
    outputs = np.zeros((len(OUTPUTS), 1, 2))
    for name, level in (told | levels).items():
        outputs[OUTPUT[name]] = level
    return Course(np.array([0.5]), outputs, np.zeros((0, 2, 2)), 0, NO_STATE)


def capacity(guild: str = "ammonia", level: float = 0.2, **levels: float) -> float:
    found = capacity_mg_n_per_l_d(course(**levels), np.array([0]), MEMBERS, guild, level)
    assert found.shape == (1, 2)
    assert found[0, 0] == found[0, 1]
    return float(found[0, 0])


@pytest.mark.parametrize("guild", ["ammonia", "nitrite"])
def test_at_half_saturation_of_everything_an_eighth_of_the_fastest_is_left(guild: str) -> None:
    found = capacity(guild, HALF, oxygen_mg_per_l=HALF_OXYGEN, alkalinity_meq_per_l=HALF_ALKALINITY)
    fastest = GROWTH / YIELD_MG_O2_PER_MG_N[guild] * float(ph_factor(7.2))
    assert found == pytest.approx(fastest / 8.0)


@pytest.mark.parametrize("temperature_c", [12.0, 20.0, 25.0, 30.0])
def test_warmth_counts_by_its_factor_a_degree(temperature_c: float) -> None:
    ratio = capacity(temperature_c=temperature_c) / capacity(temperature_c=20.0)
    assert ratio == pytest.approx(THETA ** (temperature_c - 20.0))


def test_a_larger_colony_turns_over_more_in_proportion() -> None:
    assert capacity(ammonia_oxidisers_mg_per_l=3.0) == pytest.approx(3.0 * capacity())
    assert capacity(nitrite_oxidisers_mg_per_l=3.0) == pytest.approx(capacity())


def test_without_oxygen_or_buffering_nothing_is_turned_over() -> None:
    assert capacity(oxygen_mg_per_l=0.0) == 0.0
    assert capacity(alkalinity_meq_per_l=-0.3) == 0.0


def test_acid_water_slows_by_the_factor_of_the_rates() -> None:
    assert capacity(ph=6.2) / capacity(ph=7.2) == pytest.approx(
        float(ph_factor(6.2)) / float(ph_factor(7.2))
    )


def able(*days: float) -> np.ndarray:
    return np.array(days)[:, None]


def test_ready_is_the_first_of_seven_days_that_carry_the_load_with_margin() -> None:
    enough = MARGIN * 2.0
    days = able(*[0.5] * 3, *[enough] * 7)
    plenty = np.full_like(days, 9.0)
    assert ready_days(days, plenty, 2.0).tolist() == [3.0]
    assert ready_days(plenty, days, 2.0).tolist() == [3.0], "the weaker colony counts"
    assert ready_days(0.99 * days, plenty, 2.0).tolist() == [np.inf]


def test_less_than_a_week_makes_nobody_ready() -> None:
    days = np.full((SETTLED_DAYS - 1, 2), 9.0)
    assert ready_days(days, days, 1.0).tolist() == [np.inf, np.inf]


@given(
    arrays(np.float64, (16, 2), elements=st.floats(0.0, 3.0)),
    arrays(np.float64, (16, 2), elements=st.floats(0.0, 3.0)),
    st.floats(0.1, 1.5),
)
def test_ready_is_what_a_search_finds(first: np.ndarray, second: np.ndarray, load: float) -> None:
    found = ready_days(first, second, load)
    for member in range(2):
        weak = np.minimum(first[:, member], second[:, member])
        weeks = [
            day
            for day in range(len(weak) - SETTLED_DAYS + 1)
            if (weak[day : day + SETTLED_DAYS] >= MARGIN * load).all()
        ]
        assert found[member] == (weeks[0] if weeks else np.inf)
