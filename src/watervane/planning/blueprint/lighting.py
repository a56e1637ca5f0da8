"""Hours of light for the plants wanted: common practice, no source."""

from __future__ import annotations

from watervane.records import LightPlan

# Without plants light is for the eye alone, and what it feeds are algae.
HOURS_PER_D = {"none": 6.0, "few": 7.0, "many": 8.0}
FIRST_HOURS_PER_D, FIRST_DAYS = 6.0, 28.0  # while plants take root, algae take what they leave


def light_plan(plants: str) -> LightPlan:
    """Hours a day, and how many in the first weeks.

    Parameters
    ----------
    plants
        none, few or many.
    """
    hours = HOURS_PER_D[plants]
    return LightPlan(hours, min(hours, FIRST_HOURS_PER_D), FIRST_DAYS)
