"""Ammonia tested soon after a conditioner that binds it.

The bound ammonia is still there and still feeds the colonies, and reagents of the salicylate
kind still see it, for it falls apart in their strong base. Reagents with mercury are disturbed
by what is left of the conditioner. How far this kit is off is one unknown, fading evenly over
``conditioner_window_d`` after each dose (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from watervane.kits.face import Array
from watervane.kits.sizes import log_sd, number
from watervane.process.calendar import Calendar, events_through
from watervane.records import Dose, Reading, Tank
from watervane.reference import substance, value

DISTURBED = "ammonia"
BINDER = "ammonia binder"
UNKNOWN_MAKE = "conditioner"
_ROWS = {"salicylate": "salicylate_after_binder", "nessler": "nessler_after_binder"}


def binder_name(kit: str | None) -> str:
    """Name of the unknown of a kit."""
    return f"after binder {kit}"


def binder_doses(tank: Tank, last_day: int) -> tuple[tuple[float, float], ...]:
    """Moments [d] of doses that may bind ammonia, with the weight of each.

    A conditioner of unknown make counts in part; one that goes in with a water change is
    taken to neutralise chlorine only.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    weights = {BINDER: 1.0, UNKNOWN_MAKE: number("unknown_make_binder_weight")}
    doses = [e for e in events_through(tank, calendar, last_day) if isinstance(e, Dose)]
    named = [(calendar.days(dose.at), substance(dose.substance).name) for dose in doses]
    return tuple((at, weights[name]) for at, name in named if name in weights)


def bound_weight(readings: Sequence[Reading], tank: Tank) -> Array:
    """How much of the unknown each reading feels, 0 to 1, shape (readings,)."""
    calendar = Calendar(tank.filled, tank.time_zone)
    days = np.array([calendar.days(r.at) for r in readings])
    felt = np.zeros(len(days))
    own = np.array([not r.of_source_water for r in readings])
    for at, weight in binder_doses(tank, math.floor(days.max(initial=0.0)) + 1):
        faded = 1.0 - (days - at) / number("conditioner_window_d")
        felt = np.maximum(felt, np.where((days >= at) & own, weight * np.maximum(faded, 0.0), 0.0))
    return felt


def shown_after_binder(felt: Array, reagent: str, z: Array) -> Array:
    """Factor by which a kit is off, shape (readings, members).

    Parameters
    ----------
    felt
        See `bound_weight`.
    reagent
        ``salicylate``, ``nessler`` or empty where not told.
    z
        Standard normal number of this kit, shape (members,).
    """
    row = value(_ROWS.get(reagent, "any_reagent_after_binder"))
    return np.asarray(np.exp(felt[:, None] * (math.log(row.value) + log_sd(row) * z)))
