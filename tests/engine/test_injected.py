"""A planted tank with injected carbon dioxide, from its file to the chances: no permanent alarm."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.engine.held_limits import held_limits
from watervane.exchange import parse_tank_text
from watervane.forecast.harm import Harm, harm_to
from watervane.process.calendar import Calendar
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState

FILE = """
format = "watervane-tank/1"
[tank]
name = "planted"
filled = 2026-03-01
volume = "60 L"
plants = "many"
{co2}
[[event]]
at = 2026-03-05
kind = "animals-in"
species = "{animal}"
count = 6
"""
DECLARED = 'co2 = { injected = true, target = "28 mg/L" }'
NO_STATE = TankState(*(np.zeros(1) for _ in TankState._fields))
STOPS = np.arange(0.0, 60.0, 0.25)
QUIET = {
    "ph": 6.9,
    "temperature_c": 24.5,
    "oxygen_mg_per_l": 7.0,
    "alkalinity_meq_per_l": 1.5,
    "chloride_mg_per_l": 20.0,
    "minerals_mmol_per_l": 1.2,
}


def harm(co2: str, mg_per_l: float, animal: str = "neon tetra") -> dict[str, Harm]:
    """What six weeks of a steady level do."""
    tank = parse_tank_text(FILE.format(co2=co2, animal=animal))
    outputs = np.zeros((len(OUTPUTS), len(STOPS), 3))
    for name, level in {**QUIET, "co2_mg_per_l": mg_per_l}.items():
        outputs[OUTPUT[name]] = level
    course = Course(STOPS, outputs, np.zeros((0, 2, 3)), 0, NO_STATE)
    whose = held_limits(tank, Calendar(tank.filled, tank.time_zone), 40.0, 50.0)
    return {one.name: one for one in harm_to(course, whose.held, 40.0, 10).values()}


@pytest.mark.parametrize("animal", ["neon tetra", "cherry shrimp", "zebrafish"])
def test_what_the_keeper_means_to_hold_is_no_alarm_of_any_tier(animal: str) -> None:
    found = harm(DECLARED, 27.0, animal)
    assert {found[f"co2_{tier}"].within for tier in ("acute", "chronic", "comfort")} == {0.0}


def test_the_same_water_where_nothing_is_declared_is_a_matter_of_comfort_alone() -> None:
    found = harm("", 27.0)
    assert found["co2_comfort"].within == 1.0
    assert {found["co2_acute"].within, found["co2_chronic"].within} == {0.0}


def test_declaring_it_moves_no_limit_of_harm() -> None:
    for declared in ("", DECLARED, 'co2 = { injected = true, target = "90 mg/L" }'):
        too_much = harm(declared, 65.0)
        assert too_much["co2_acute"].within == too_much["co2_chronic"].within == 1.0


def test_a_bare_declaration_takes_the_usual_level() -> None:
    found = harm("co2 = { injected = true }", 27.0)
    assert found["co2_comfort"].within == 0.0
    assert found["co2_comfort"].told.level == 30.0
