"""Members that agree with the readings: importance sampling that learns where to look.

A first lot comes from the prior. Each further lot comes from a mixture of the prior and a
Gaussian fitted to the lots before it, under weights flattened until enough members carry
them. In the end all lots are weighed together against the mixture of all proposals
(adaptive multiple importance sampling, cornuet2012, from memory), so every draw counts and
no weight can exceed what the prior's share of the mixture allows. Daily noise keeps its
prior: only unknowns that last are moved. A sampler that moves members takes this place.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from watervane.inference.priors import UNKNOWNS, members_from_whitened, prior_whitened
from watervane.inference.weighting import (
    Weighting,
    agreement,
    bias_names,
    power_for,
    resample,
    weighting,
)
from watervane.process.noise import keyed_uniform
from watervane.process.run import Members, initial_state, simulate
from watervane.process.timeline import Timeline
from watervane.records import Reading

PRIOR_LOTS = 2  # lots of the prior's own draws, each as large as the forecast
ROUNDS = 6
PRIOR_SHARE = 0.2  # of each later lot
FIT_EFFECTIVE = 200.0
INFLATION = 1.15
MOST_FITTED = 12  # unknowns; a covariance of more is all noise at FIT_EFFECTIVE members
_LOT = 1 << 20  # member numbers of different lots never meet
_LOG_2PI = math.log(2.0 * math.pi)


@dataclass(frozen=True)
class Fitted:
    """Members with weights, and the ones drawn from them.

    Parameters
    ----------
    members
        All members weighed.
    weighting
        Their weights; ``None`` without readings.
    index
        Members drawn for the forecast, repeats allowed.
    """

    members: Members
    weighting: Weighting | None
    index: NDArray[np.int64]


@dataclass
class _Gaussian:
    """A proposal in whitened unknowns: mixture of the prior and one Gaussian."""

    mean: NDArray[np.float64]
    root: NDArray[np.float64]  # Cholesky factor of the covariance

    def draw(
        self, normal: NDArray[np.float64], from_prior: NDArray[np.bool_]
    ) -> NDArray[np.float64]:
        moved = self.mean[:, None] + self.root @ normal
        return np.where(from_prior[None, :], normal, moved)

    def log_density(self, z: NDArray[np.float64]) -> NDArray[np.float64]:
        white = np.asarray(np.linalg.solve(self.root, z - self.mean[:, None]), dtype=np.float64)
        fitted = _log_normal(white) - float(np.log(np.diag(self.root)).sum())
        return np.logaddexp(
            math.log(PRIOR_SHARE) + _log_normal(z), math.log1p(-PRIOR_SHARE) + fitted
        )


def _log_normal(z: NDArray[np.float64]) -> NDArray[np.float64]:
    result: NDArray[np.float64] = -0.5 * (z * z).sum(axis=0) - 0.5 * len(z) * _LOG_2PI
    return result


def agreeing_members(
    line: Timeline,
    readings: Sequence[Reading],
    count: int,
    seed: int,
    threads: int,
    progress: Callable[[float], None] | None = None,
) -> Fitted:
    """Draw members of a tank that agree with its readings.

    Parameters
    ----------
    line
        The tank, made ready past its last reading.
    readings
        Of quantities the model knows, in the tank's own water.
    count
        Members wanted.
    seed
        Of all random numbers.
    threads
        See `simulate`.
    progress
        Called with the share done.
    """
    search = _Search(line, list(readings), seed, threads)
    lots = PRIOR_LOTS + ROUNDS

    def tell(done: float, size: float) -> Callable[[float], None]:
        def told(share: float) -> None:
            if progress is not None:
                progress((done + share * size) / lots)

        return told

    search.add(PRIOR_LOTS * count, None, tell(0.0, PRIOR_LOTS))
    for i in range(ROUNDS):
        search.add(count, search.fit(), tell(PRIOR_LOTS + i, 1.0))
    weighed = weighting(search.log_ratio(), search.each)
    offset = float(keyed_uniform(seed, np.array([0]), -2, "resample")[0])
    return Fitted(search.members(), weighed, resample(weighed.log_weights, count, offset))


class _Search:
    """All lots drawn so far."""

    def __init__(self, line: Timeline, readings: list[Reading], seed: int, threads: int) -> None:
        self._line, self._readings = line, readings
        self._seed, self._threads = seed, threads
        self._names = (*UNKNOWNS, *bias_names(readings))
        moments = sorted({line.calendar.days(r.at) for r in readings})
        self._moments = moments
        self._stops = [moments.index(line.calendar.days(r.at)) for r in readings]
        self._proposals: list[_Gaussian | None] = []
        self._sizes: list[int] = []
        self._z = np.zeros((len(self._names), 0))
        self._numbers = np.zeros(0, dtype=np.int64)
        self._likelihood = np.zeros(0)
        self.each = np.zeros((len(readings), 0))

    def add(self, size: int, proposal: _Gaussian | None, progress: Callable[[float], None]) -> None:
        """Draw a lot, run it through the readings, keep it."""
        numbers = np.arange(size) + len(self._sizes) * _LOT
        z = prior_whitened(self._names, numbers, self._seed)
        if proposal is not None:
            chance = keyed_uniform(self._seed, numbers, -1, "which proposal")
            z = proposal.draw(z, chance < PRIOR_SHARE)
        drawn = self._members(z, numbers)
        course = simulate(
            self._line,
            drawn,
            initial_state(self._line, drawn),
            (0, math.floor(self._moments[-1] + 1e-9) + 1),
            stops_d=self._moments,
            threads=self._threads,
            progress=progress,
        )
        biases = {n: z[i] for i, n in enumerate(self._names) if n not in UNKNOWNS}
        found = agreement(self._line.tank, self._readings, course, self._stops, biases)
        self._proposals.append(proposal)
        self._sizes.append(size)
        self._z = np.concatenate([self._z, z], axis=1)
        self._numbers = np.concatenate([self._numbers, numbers])
        self._likelihood = np.concatenate([self._likelihood, found.total])
        self.each = np.concatenate([self.each, found.each], axis=1)

    def log_ratio(self) -> NDArray[np.float64]:
        """Log of posterior over the mixture of all proposals, up to a constant."""
        prior = _log_normal(self._z)
        parts = np.stack(
            [
                math.log(n) + (prior if p is None else p.log_density(self._z))
                for p, n in zip(self._proposals, self._sizes, strict=True)
            ]
        )
        return np.asarray(self._likelihood + prior - logsumexp(parts, axis=0))

    def fit(self) -> _Gaussian:
        """Fit a Gaussian to the lots so far, under flattened weights."""
        log_ratio = self.log_ratio()
        power = power_for(log_ratio, FIT_EFFECTIVE)
        weights = np.exp(power * log_ratio - logsumexp(power * log_ratio))
        mean = self._z @ weights
        apart = self._z - mean[:, None]
        covariance = (apart * weights) @ apart.T
        told = _most_told(mean, np.diag(covariance))
        centre, spread = np.zeros_like(mean), np.eye(len(mean))
        centre[told] = mean[told]
        spread[np.ix_(told, told)] = INFLATION * covariance[np.ix_(told, told)]
        spread[told, told] += 0.02
        return _Gaussian(centre, np.asarray(np.linalg.cholesky(spread), dtype=np.float64))

    def _members(self, z: NDArray[np.float64], numbers: NDArray[np.int64]) -> Members:
        unknowns = dict(zip(self._names, z, strict=True))
        return members_from_whitened(self._line.tank, unknowns, numbers, self._seed)

    def members(self) -> Members:
        """All members drawn."""
        return self._members(self._z, self._numbers)


def _most_told(mean: NDArray[np.float64], variance: NDArray[np.float64]) -> NDArray[np.int64]:
    """The unknowns the readings tell most of; the others keep their prior.

    Ranked by the divergence of a fitted normal from the standard one.
    """
    told = 0.5 * (mean**2 + variance - 1.0 - np.log(np.maximum(variance, 1e-6)))
    return np.sort(np.argsort(told)[-MOST_FITTED:])
