"""Readings that came after a forecast, and the chances it gave to what they showed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.engine.foretell import Made
from watervane.engine.kit_chances import kit_chances, witnesses
from watervane.engine.known import local_day, usable_readings
from watervane.engine.rivals import rivals
from watervane.engine.showable import Showable
from watervane.inference.kits import with_kit_basis
from watervane.process.calendar import Calendar
from watervane.records import OWN, WHOLE_WATER, Reading, Tank

Numbers = NDArray[np.float64]
NOT_FORETOLD = ("temperature", WHOLE_WATER)  # the heater sets the one, the other has no number


def on_kit_basis(tank: Tank) -> Tank:
    """The tank with its readings on the basis their kits are known to have."""
    told = tuple(with_kit_basis(r, tank.kits.get(r.kit) if r.kit else None) for r in tank.readings)
    return replace(tank, readings=told)


def scored_readings(tank: Tank, calendar: Calendar) -> tuple[Reading, ...]:
    """Readings a replay scores: with a number, of the tank's own water, a probe's once a day."""
    last: dict[tuple[str | None, str, int], Reading] = {}
    kept = []
    for reading in usable_readings(tank, calendar):
        if reading.of_source_water or reading.quantity in NOT_FORETOLD:
            continue
        kit = tank.kits.get(reading.kit) if reading.kit else None
        if kit is not None and kit.kind == "probe":
            day = local_day(calendar, calendar.days(reading.at))
            last[reading.kit, reading.quantity, day] = reading
        else:
            kept.append(reading)
    return tuple(sorted([*kept, *last.values()], key=lambda r: r.at))


def chances_of(tank: Tank, one: Made, later: Sequence[Showable], seed: int) -> list[Numbers]:
    """What the members of a forecast make of later readings, see `kit_chances`.

    Parameters
    ----------
    tank
        See `on_kit_basis`.
    one
        Made with a stop at each of its readings and at the later ones.
    later
        What could be shown then.
    seed
        Of the forecast.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    members = witnesses(one.course, one.fitted, calendar, seed)
    return kit_chances(tank, one.readings, later, members)


def all_chances(
    tank: Tank, one: Made, later: Sequence[Showable], seed: int
) -> list[dict[str, Numbers]]:
    """The same by the forecast and by the rivals that know as many readings; see `chances_of`."""
    calendar = Calendar(tank.filled, tank.time_zone)
    own = chances_of(tank, one, later, seed)
    return [
        {OWN: chances, **rivals(one.readings, each, calendar)}
        for each, chances in zip(later, own, strict=True)
    ]
