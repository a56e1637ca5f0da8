"""The readings of one kit and quantity, and what of the water reaches its reagent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation.conditioner import (
    DISTURBED,
    binder_name,
    bound_weight,
    shown_after_binder,
)
from watervane.inference.observation.model import Seen, Unknowns
from watervane.inference.observation.nitrate_lift import LIFTED, lift_name, nitrite_lift
from watervane.inference.observation.source_tests import source_level
from watervane.inference.observed import plain
from watervane.kits.dilution import dilution_error
from watervane.kits.face import Array
from watervane.kits.sizes import UNTOLD, Errors, errors_of
from watervane.process.calendar import Calendar
from watervane.records import Kit, KitScale, Reading, Tank


def bias_name(reading: Reading) -> str:
    """Name of the unknown steady error a reading shares with others of its kit."""
    return f"bias {reading.kit} {reading.quantity}"


@dataclass(frozen=True)
class Sample:
    """What the readings of one kit and quantity have in common, and what sets them apart.

    Parameters
    ----------
    readings
        In order of time.
    places
        Their places in the whole list.
    days
        When, since the tank was filled, shape (readings,). [d]
    filled
        The day water went in.
    kit, scale
        As far as told.
    fold
        Parts of sample for one part of tank water, shape (readings,).
    felt
        See `bound_weight`, shape (readings,).
    of_source
        Which are of the source water, shape (readings,).
    """

    readings: tuple[Reading, ...]
    places: NDArray[np.int64]
    days: Array
    filled: date
    kit: Kit | None
    scale: KitScale | None
    fold: Array
    felt: Array
    of_source: NDArray[np.bool_]

    @property
    def quantity(self) -> str:
        """What is tested."""
        return self.readings[0].quantity

    @property
    def kind(self) -> str:
        """Kind of kit; a drop kit where none is told."""
        return "drop" if self.kit is None else self.kit.kind

    @cached_property
    def errors(self) -> Errors:
        """Errors of the kit."""
        told = self.scale or KitScale(self.quantity)
        kind = UNTOLD if self.kit is None else self.kind
        return errors_of(kind, self.quantity, relative=told.relative_error, floor=told.error_floor)

    @property
    def lifted(self) -> bool:
        """Whether nitrite lifts what the kit shows."""
        return self.quantity == LIFTED and self.kind != "probe"

    @property
    def disturbed(self) -> bool:
        """Whether a conditioner that binds ammonia may disturb the test."""
        return self.quantity == DISTURBED and bool((self.felt > 0.0).any())

    @cached_property
    def calibrated_d(self) -> tuple[float, ...]:
        """Days on which a probe was calibrated, since the tank was filled. [d]"""
        days = () if self.kit is None else self.kit.calibrated
        return tuple(float((day - self.filled).days) for day in days)

    @property
    def names(self) -> tuple[str, ...]:
        """Unknowns of the kit."""
        told = self.readings[0].kit
        lift = (lift_name(told),) if self.lifted else ()
        binder = (binder_name(told),) if self.disturbed else ()
        return (bias_name(self.readings[0]), *lift, *binder)

    def level(self, seen: Seen, unknowns: Unknowns) -> Array:
        """What the reagent or sensor answers to, shape (readings, members)."""
        told = self.readings[0].kit
        held = self._held(self.quantity, seen)
        if self.lifted:
            nitrite = self._held("nitrite", seen)
            held = held + nitrite_lift(unknowns[lift_name(told)]) * nitrite
        if self.disturbed:
            reagent = "" if self.scale is None else self.scale.reagent
            held = held * shown_after_binder(self.felt, reagent, unknowns[binder_name(told)])
        return np.asarray(held / self.fold[:, None]) if (self.fold > 1.0).any() else held

    def _held(self, quantity: str, seen: Seen) -> Array:
        if not self.of_source.any():
            return plain(seen.course, seen.stops[self.places], quantity)
        if seen.source is None:
            raise ValueError("the source water was tested, but the members' source is not given")
        held = np.empty((len(self.readings), seen.count))
        own = ~self.of_source
        held[own] = plain(seen.course, seen.stops[self.places[own]], quantity)
        held[self.of_source] = source_level(seen.source, quantity)
        return held

    def shown(self, seen: Seen, unknowns: Unknowns) -> tuple[Array, Array]:
        """What the kit shows on average and its spread, shape (readings, members) each."""
        bias = unknowns[bias_name(self.readings[0])]
        shown = self.errors.biased(self.level(seen, unknowns), bias)
        further = dilution_error(self.fold)[:, None] if (self.fold > 1.0).any() else 0.0
        return shown, self.errors.spread(shown, further)


def sample(tank: Tank, readings: Sequence[Reading], places: Sequence[int]) -> Sample:
    """Bring together the readings of one kit and quantity.

    Parameters
    ----------
    tank
        For its kits and doses.
    readings
        The whole list.
    places
        Which of them belong together, in order of time.
    """
    chosen = tuple(readings[i] for i in places)
    kit = tank.kits.get(chosen[0].kit) if chosen[0].kit else None
    disturbed = chosen[0].quantity == DISTURBED
    calendar = Calendar(tank.filled, tank.time_zone)
    return Sample(
        readings=chosen,
        places=np.array(places, dtype=np.int64),
        days=np.array([calendar.days(r.at) for r in chosen]),
        filled=tank.filled,
        kit=kit,
        scale=None if kit is None else kit.scale(chosen[0].quantity),
        fold=np.array([r.diluted for r in chosen]),
        felt=bound_weight(chosen, tank) if disturbed else np.zeros(len(chosen)),
        of_source=np.array([r.of_source_water for r in chosen]),
    )
