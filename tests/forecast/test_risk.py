"""Chance of passing a level, day by day."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.risk import LEVELS, Level, daily_risk
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState
from watervane.reference import sources

NO_STATE = TankState(*(np.zeros(1) for _ in TankState._fields))
QUIET = {"ph": 7.5, "oxygen_mg_per_l": 8.0}
SIX_HOURS = 0.25


def course(stops_d: np.ndarray, members: int = 4, **series: np.ndarray) -> Course:
    outputs = np.zeros((len(OUTPUTS), len(stops_d), members))
    for name, level in QUIET.items():
        outputs[OUTPUT[name]] = level
    for name, levels in series.items():
        outputs[OUTPUT[name]] = levels
    return Course(stops_d, outputs, np.zeros((0, 2, members)), 0, NO_STATE)


STOPS = np.arange(0.0, 5.0, SIX_HOURS)


def test_quiet_water_passes_nothing() -> None:
    risk = daily_risk(course(STOPS), 0.0, 4)
    assert set(risk) == {level.key for level in LEVELS}
    assert all(chances == (0.0,) * 4 for chances in risk.values())


def beyond(level: Level) -> float:
    return level.value * (1.01 if level.above else 0.99)


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.key)
def test_a_level_is_passed_on_its_own_side_only(level: Level) -> None:
    for value, chance in ((level.value, 0.0), (beyond(level), 1.0)):
        series = {level.output: np.full((len(STOPS), 4), value)}
        assert daily_risk(course(STOPS, **series), 0.0, 3)[level.key] == (chance,) * 3


def test_the_chance_is_the_share_of_members_that_pass_within_the_day() -> None:
    level = LEVELS[1]
    nitrite = np.zeros((len(STOPS), 4))
    nitrite[STOPS == 1.5, 0] = beyond(level)
    nitrite[(STOPS > 1.0) & (STOPS < 1.5), 3] = beyond(level)
    nitrite[STOPS == 3.25, :] = beyond(level)
    risk = daily_risk(course(STOPS, nitrite_mg_n_per_l=nitrite), 0.0, 4)
    assert risk[level.key] == (0.0, 0.5, 0.0, 1.0)


def test_days_count_from_the_moment_of_the_forecast() -> None:
    level = LEVELS[1]
    nitrite = np.zeros((len(STOPS), 4))
    nitrite[STOPS == 1.5] = beyond(level)
    risk = daily_risk(course(STOPS, nitrite_mg_n_per_l=nitrite), 0.75, 3)
    assert risk[level.key] == (1.0, 0.0, 0.0)


def test_what_lies_before_the_forecast_is_no_risk() -> None:
    level = LEVELS[1]
    nitrite = np.zeros((len(STOPS), 4))
    nitrite[STOPS < 2.0] = beyond(level)
    risk = daily_risk(course(STOPS, nitrite_mg_n_per_l=nitrite), 2.0, 3)
    assert risk[level.key] == (0.0, 0.0, 0.0)


def test_every_level_names_a_listed_source_and_a_reported_output() -> None:
    assert {level.source for level in LEVELS} <= set(sources())
    assert {level.output for level in LEVELS} <= set(OUTPUTS)
