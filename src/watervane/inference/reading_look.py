"""What a tank's readings look at, and how likely they are given that."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation import (
    ObservationModel,
    Seen,
    is_series,
    latent_names,
    observation_models,
)
from watervane.inference.observation.left_out import LeftOut
from watervane.inference.observed import output_of
from watervane.process.run import Course
from watervane.process.state import OUTPUTS, TankState
from watervane.process.timeline import Timeline
from watervane.records import WHOLE_WATER, Reading

Numbers = NDArray[np.float64]
_NO_STATE = TankState(*(np.zeros(0) for _ in TankState._fields))  # readings do not look at it


class ReadingLook:
    """The readings of a tank with their observation models.

    Parameters
    ----------
    line
        The tank.
    readings
        That some observation model can explain.

    Attributes
    ----------
    readings
        As given.
    moments
        When the tank is looked at, each once. [d]
    latents
        Whitened unknowns of the kits.
    outputs, stops
        The values looked at: rows of `OUTPUTS` and places of `moments`, shape (looks,).
    of_source
        Whether any reading is of the source water.
    of_series
        Which readings are values of a probe, shape (readings,).
    """

    def __init__(self, line: Timeline, readings: Sequence[Reading]) -> None:
        self.models = observation_models(line.tank, readings)
        days = [max(line.calendar.days(r.at), 0.0) for r in readings]
        self.moments = sorted(set(days))
        self.latents = latent_names(self.models)
        self.of_source = any(r.of_source_water for r in readings)
        self.readings = tuple(readings)
        self.of_series = np.array([is_series(line.tank, r) for r in readings])
        self._stops = np.array([self.moments.index(d) for d in days], dtype=np.int64)
        looks = sorted(
            {
                (OUTPUTS.index(output_of(quantity)), int(stop))
                for reading, stop in zip(readings, self._stops, strict=True)
                if not reading.of_source_water
                for quantity in _looked_at(reading)
            }
        )
        self.outputs = np.array([output for output, _ in looks], dtype=np.int64)
        self.stops = np.array([stop for _, stop in looks], dtype=np.int64)

    @property
    def keys(self) -> tuple[tuple[int, float], ...]:
        """Output and moment of each look."""
        return tuple(
            (int(output), self.moments[stop])
            for output, stop in zip(self.outputs, self.stops, strict=True)
        )

    def looks(self, course: Course) -> Numbers:
        """The values looked at, shape (looks, members)."""
        return np.asarray(course.outputs[self.outputs, self.stops])

    def log_likelihood(self, looks: Numbers, source: Numbers | None, latents: Numbers) -> Numbers:
        """Of each reading given those of its kit before it, shape (readings, members).

        Parameters
        ----------
        looks
            Shape (looks, members).
        source
            Source water of the members, if any of it was tested.
        latents
            Shape (latents, members).
        """
        seen, result = self._seen(looks, source, latents)
        for model in self.models:
            result[list(model.readings)] = model.log_likelihood(seen, self._of(model, latents))
        return result

    def left_out(
        self, looks: Numbers, source: Numbers | None, latents: Numbers, parts: NDArray[np.int64]
    ) -> LeftOut:
        """The readings without each of some parts of them; see `log_likelihood`.

        Parameters
        ----------
        parts
            To which part each reading belongs, from 0 on, shape (readings,).
        """
        seen, below = self._seen(looks, source, latents)
        above = np.zeros_like(below)
        gained = np.zeros((int(parts.max()) + 1, latents.shape[1]))
        for model in self.models:
            rows = list(model.readings)
            here, own = np.unique(parts[rows], return_inverse=True)
            found = model.left_out(seen, self._of(model, latents), own)
            gained[here] += found.gained
            below[rows], above[rows] = found.below, found.above
        return LeftOut(gained, below, above)

    def _seen(
        self, looks: Numbers, source: Numbers | None, latents: Numbers
    ) -> tuple[Seen, Numbers]:
        count = latents.shape[1]
        outputs = np.zeros((len(OUTPUTS), len(self.moments), count))
        outputs[self.outputs, self.stops] = looks
        course = Course(np.array(self.moments), outputs, np.zeros((0, 2, count)), 0, _NO_STATE)
        return Seen(course, self._stops, source), np.zeros((len(self.readings), count))

    def _of(self, model: ObservationModel, latents: Numbers) -> dict[str, Numbers]:
        told = dict(zip(self.latents, latents, strict=True))
        return {name: told[name] for name in model.names}


def _looked_at(reading: Reading) -> tuple[str, ...]:
    if reading.quantity == WHOLE_WATER:
        return ("ammonia", "nitrite")
    if reading.quantity == "nitrate":
        return ("nitrate", "nitrite")
    return (reading.quantity,)
