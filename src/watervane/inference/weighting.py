"""Importance weights of prior members; the sampler that will move them takes this place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from watervane.inference.kits import RATIO_ION_TO_N, log_likelihood
from watervane.inference.observed import observable
from watervane.inference.priors import TIMELESS
from watervane.process.noise import keyed_normal
from watervane.process.run import Course, Members
from watervane.records import Reading, Tank

LEAST_EFFECTIVE = 40.0
GOOD_EFFECTIVE = 150.0
ION_CHANCE = 0.8  # of a basis left out (common practice, no source)


@dataclass(frozen=True)
class Weighting:
    """Members weighed against the readings.

    Parameters
    ----------
    log_weights
        Of each member, normalised, after softening.
    effective
        Effective number of members before softening.
    softening
        Power the likelihood was taken to; 1 where enough members agree.
    by_reading
        Mean likelihood of each reading under the weighted members.
    """

    log_weights: NDArray[np.float64]
    effective: float
    softening: float
    by_reading: NDArray[np.float64]

    @property
    def health(self) -> str:
        """``good``, ``thin`` or ``poor``."""
        if self.effective >= GOOD_EFFECTIVE:
            return "good"
        return "thin" if self.effective >= LEAST_EFFECTIVE else "poor"


def weigh(
    tank: Tank, members: Members, readings: Sequence[Reading], course: Course, stops: Sequence[int]
) -> Weighting:
    """Weigh members by how well they foretell the readings.

    Parameters
    ----------
    tank
        For its kits.
    members, course
        The members and what their water did.
    readings, stops
        The readings, and the stop of the course each belongs to.
    """
    each = np.zeros((max(len(readings), 1), len(members)))
    as_ion: dict[tuple[str | None, str], NDArray[np.float64]] = {}
    as_n: dict[tuple[str | None, str], NDArray[np.float64]] = {}
    total = np.zeros(len(members))
    for i, (reading, stop) in enumerate(zip(readings, stops, strict=True)):
        kit = tank.kits.get(reading.kit) if reading.kit else None
        stream = f"bias {reading.kit} {reading.quantity}"
        bias = keyed_normal(members.seed, members.numbers, TIMELESS, stream)
        truth = observable(course, stop, reading.quantity)
        each[i] = log_likelihood(reading, kit, truth, bias)
        if reading.value.basis == "unknown" and reading.quantity in RATIO_ION_TO_N:
            key = (reading.kit, reading.quantity)
            other = log_likelihood(reading, kit, truth, bias, read_as_n=True)
            as_ion[key] = as_ion.get(key, 0.0) + each[i]
            as_n[key] = as_n.get(key, 0.0) + other
        else:
            total += each[i]
    for key, ion in as_ion.items():
        # One kit has one basis: the two courses are weighed as wholes.
        total += np.logaddexp(np.log(ION_CHANCE) + ion, np.log1p(-ION_CHANCE) + as_n[key])
    effective = effective_members(total)
    softening = 1.0 if effective >= LEAST_EFFECTIVE else _soften(total)
    log_weights = softening * total
    log_weights = log_weights - logsumexp(log_weights)
    by_reading = np.exp(each) @ np.exp(log_weights)
    return Weighting(log_weights, effective, softening, by_reading[: len(readings)])


def effective_members(log_weights: NDArray[np.float64]) -> float:
    """Kish's effective sample size of unnormalised log weights."""
    return float(np.exp(2.0 * logsumexp(log_weights) - logsumexp(2.0 * log_weights)))


def _soften(log_weights: NDArray[np.float64]) -> float:
    """Largest power of the likelihood that leaves enough members."""
    target = min(LEAST_EFFECTIVE, 0.5 * len(log_weights))
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
