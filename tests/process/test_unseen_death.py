"""An animal that dies unseen turns from body to carrion, and readings may be explained by it."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np

from watervane.inference.priors import prior_members
from watervane.inference.tank_target import TankTarget
from watervane.process.run import Members, initial_state, simulate
from watervane.process.state import COLUMN
from watervane.process.timeline import timeline
from watervane.records import AnimalsIn, Reading, ReadingValue, Tank

MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
ARRIVED = AnimalsIn(at=MORNING, species="Danio rerio", count=4, length_cm=4.0)


def _tank(*events: AnimalsIn, readings: tuple[Reading, ...] = ()) -> Tank:
    return Tank(
        name="unseen", filled=date(2026, 3, 1), volume_l=60.0, events=events, readings=readings
    )


def test_the_dead_become_carrion_where_the_noise_says_so() -> None:
    line = timeline(_tank(ARRIVED), 12)
    drawn = prior_members(line.tank, np.arange(2), 1)
    never, once = np.array([-4.0, -4.0]), np.array([4.0, -4.0])  # members, in standard normals
    told = {"death": np.stack([once, never])}
    members = Members(drawn.numbers, drawn.parameters, drawn.source, drawn.seed, told)
    found = simulate(line, members, initial_state(line, members), (0, 4)).final.amounts
    animals, carrion = (
        found[COLUMN[f"{n}_nitrogen"], 0] / members.parameters["animal_mass_multiplier"]
        for n in ("animal", "carrion")
    )
    assert np.isclose(animals[0], 0.75 * animals[1], rtol=0.02)
    assert carrion[0] > 0.15 * animals[1]
    assert carrion[1] == 0.0


def test_weeks_with_animals_are_unknowns_of_a_fit_and_others_are_not() -> None:
    value = ReadingValue("exact", 0.5, 0.5, "n", "0.5")
    readings = (Reading(MORNING.replace(day=16), "ammonia", value, kit="drop"),)
    for events, weeks in (((ARRIVED,), ["death 0", "death 1"]), ((), [])):
        tank = _tank(*events, readings=readings)
        target = TankTarget(timeline(tank, 20), readings, 1, 1)
        assert [n for n in target.names if n.startswith("death")] == weeks
