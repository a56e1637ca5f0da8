"""Weights of members: likelihood of the readings, effective number, resampling."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from watervane.inference.observation import (
    ObservationModel,
    Seen,
    bias_name,
    observation_models,
)
from watervane.inference.observation import latent_names as names_of
from watervane.process.run import Course
from watervane.records import Reading, Tank


@dataclass(frozen=True)
class Agreement:
    """How well members foretell the readings.

    Parameters
    ----------
    total
        Log likelihood of all readings, shape (members,).
    each
        Log likelihood of each reading given those of its kit before it, shape
        (readings, members).
    """

    total: NDArray[np.float64]
    each: NDArray[np.float64]


def latent_names(tank: Tank, readings: Sequence[Reading]) -> tuple[str, ...]:
    """Whitened unknowns of the kits: steady errors, and what else the readings need."""
    return names_of(observation_models(tank, readings))


def bias_names(readings: Sequence[Reading]) -> tuple[str, ...]:
    """One unknown a kit and quantity: its steady error."""
    return tuple(sorted({bias_name(r) for r in readings}))


def agreement(
    tank: Tank,
    readings: Sequence[Reading],
    course: Course,
    stops: Sequence[int],
    biases: Mapping[str, NDArray[np.float64]],
    source: NDArray[np.float64] | None = None,
) -> Agreement:
    """Weigh members by how well they foretell the readings.

    Parameters
    ----------
    tank
        For its kits.
    readings, stops
        The readings, and the stop of the course each belongs to.
    course
        What the members' water did.
    biases
        Whitened unknowns by `latent_names`, shape (members,) each; one that is left out is
        taken in the middle of its prior.
    source
        The members' source water, where it was tested; see `Seen`.
    """
    seen = Seen(course, np.array(stops, dtype=np.int64), source)
    each = np.zeros((len(readings), seen.count))
    for model in observation_models(tank, readings):
        told = _told(model, biases, seen.count)
        each[list(model.readings)] = model.log_likelihood(seen, told)
    return Agreement(each.sum(axis=0), each)


def fit(
    tank: Tank,
    readings: Sequence[Reading],
    course: Course,
    stops: Sequence[int],
    unknowns: Mapping[str, NDArray[np.float64]],
    source: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """How well each reading fits each member, shape (readings, members).

    The chance of a reading at least as far out, given those of its kit before it; unlike a
    likelihood it does not shrink with the steps or digits of a kit. Averaged over weighted
    members it tells the readings that fit no course. Parameters as in `agreement`.
    """
    seen = Seen(course, np.array(stops, dtype=np.int64), source)
    result = np.zeros((len(readings), seen.count))
    for model in observation_models(tank, readings):
        told = _told(model, unknowns, seen.count)
        result[list(model.readings)] = model.tail(seen, told)
    return result


def _told(
    model: ObservationModel, unknowns: Mapping[str, NDArray[np.float64]], count: int
) -> dict[str, NDArray[np.float64]]:
    middle = np.zeros(count)
    return {name: unknowns.get(name, middle) for name in model.names}


def effective_members(log_weights: NDArray[np.float64]) -> float:
    """Kish's effective sample size of unnormalised log weights."""
    return float(np.exp(2.0 * logsumexp(log_weights) - logsumexp(2.0 * log_weights)))


def power_for(log_weights: NDArray[np.float64], effective: float) -> float:
    """Largest power, at most one, of the weights that leaves so many effective members."""
    target = min(effective, 0.5 * len(log_weights))
    if effective_members(log_weights) >= target:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if effective_members(middle * log_weights) >= target:
            low = middle
        else:
            high = middle
    return low


def resample(log_weights: NDArray[np.float64], count: int, offset: float) -> NDArray[np.int64]:
    """Systematic resampling: every member as often as its weight asks, to within one.

    Parameters
    ----------
    log_weights
        Normalised.
    count
        Members wanted.
    offset
        In (0, 1), the only random number used.
    """
    edges = np.cumsum(np.exp(log_weights))
    points = (np.arange(count) + offset) / count * edges[-1]
    chosen: NDArray[np.int64] = np.searchsorted(edges, points).astype(np.int64)
    return np.clip(chosen, 0, len(log_weights) - 1)
