"""Is the posterior as sure as it says? Truths are drawn, read, and looked for again.

Simulation-based calibration (talts2018, from memory): where truths come from the prior and
readings from the model, the rank of each truth among the members of its posterior is uniform,
whatever the quantity. Truths are stratified, so that little is left to the luck of the draw,
and what luck remains is shown by the ranks of the same truths in the prior.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
from scipy.special import betainc, ndtri
from scipy.stats import beta, binom, chi2, kstest, qmc

from watervane.inference.target import Floats, Posterior, Target
from watervane.inference.tempered import Effort, sample

LEVELS = (0.5, 0.8, 0.9)
PRIOR_DRAWS = 4000
_TRIALS = 2000  # of uniform draws, from which the simultaneous band is found
_PRIOR_STREAM = 1 << 20


class Problem(Protocol):
    """A kind of target that can be imagined from any truth."""

    @property
    def unknowns(self) -> int:
        """How many whitened unknowns a truth has."""

    def imagine(self, truth: Floats, rng: np.random.Generator) -> Target:
        """Readings of a truth, shape (unknowns,), as a target."""

    def quantities(self, z: Floats) -> Mapping[str, Floats]:
        """What is judged of members, shape (unknowns, members): shape (members,) each."""


@dataclass(frozen=True)
class Judged:
    """How truths lie among members, by quantity.

    Parameters
    ----------
    places
        Rank of each truth among the members of its posterior, as a share between 0 and 1
        that is uniform where the posterior is right, shape (truths,).
    prior_places
        The same among draws of the prior.
    sweeps
        Of each truth's run.
    health
        Of each truth's run.
    """

    places: Mapping[str, Floats]
    prior_places: Mapping[str, Floats]
    sweeps: tuple[int, ...]
    health: tuple[str, ...]


@dataclass(frozen=True)
class Uniformity:
    """Chances of places at least as uneven, were they uniform; small ones tell against it.

    Parameters
    ----------
    chi_square
        Of counts in equal bins.
    kolmogorov
        Of the largest distance of the cumulative curve.
    band
        Of the least likely single point of the cumulative curve, all points together
        (sailynoja2022, from memory); unlike the distance it also sees the tails.
    """

    chi_square: float
    kolmogorov: float
    band: float

    @property
    def least(self) -> float:
        """The least of the three."""
        return min(self.chi_square, self.kolmogorov, self.band)


def stratified_truths(unknowns: int, count: int, seed: int) -> Floats:
    """Truths from the prior, each unknown one draw a stratum, shape (unknowns, count)."""
    drawn = qmc.LatinHypercube(unknowns, rng=np.random.default_rng(seed)).random(count)
    return np.asarray(ndtri(np.clip(drawn, 1e-12, 1.0 - 1e-12)).T, dtype=np.float64)


def place(truth: float, members: Floats, rng: np.random.Generator) -> float:
    """Where a truth lies among members, 0 to 1: rank, ties and the gap shared out by chance."""
    below = int((members < truth).sum())
    ties = int((members == truth).sum())
    return float((below + rng.uniform() * (ties + 1)) / (len(members) + 1))


@dataclass(frozen=True)
class Placed:
    """Where one truth lies, by quantity, and how its run went; see `Judged`."""

    places: Mapping[str, float]
    prior_places: Mapping[str, float]
    sweeps: int
    health: str


def look_for(
    problem: Problem,
    truth: Floats,
    prior: Mapping[str, Floats],
    members: int,
    seed: int,
    number: int,
    *,
    effort: Effort | None = None,
    told: Callable[[int, Posterior], None] | None = None,
) -> Placed:
    """Read one truth, draw the posterior of its readings and look where it lies.

    Parameters
    ----------
    problem
        What is imagined and judged.
    truth
        From the prior, shape (unknowns,).
    prior
        Quantities of draws of the prior; see `prior_quantities`.
    members
        Of the posterior.
    seed, number
        Of readings, ranks and the run; ``number`` tells one truth from another.
    effort
        Of the run.
    told
        Called with the truth's number and the posterior.
    """
    chance = np.random.default_rng([seed, number])
    actual = problem.quantities(truth[:, None])
    found = sample(problem.imagine(truth, chance), members, seed + number, effort=effort)
    drawn = problem.quantities(found.z)
    places, before = {}, {}
    for name, values in actual.items():
        places[name] = place(float(values[0]), drawn[name], chance)
        before[name] = place(float(values[0]), prior[name], chance)
    if told is not None:
        told(number, found)
    return Placed(places, before, found.info.sweeps, found.info.health)


def prior_quantities(problem: Problem, seed: int) -> Mapping[str, Floats]:
    """What is judged, of draws of the prior, shape (`PRIOR_DRAWS`,) each."""
    rng = np.random.default_rng([seed, _PRIOR_STREAM])
    return problem.quantities(rng.standard_normal((problem.unknowns, PRIOR_DRAWS)))


def calibrate(
    problem: Problem,
    truths: Floats,
    members: int,
    seed: int,
    *,
    effort: Effort | None = None,
    told: Callable[[int, Posterior], None] | None = None,
) -> Judged:
    """Look for every truth in the posterior of its own readings.

    Parameters
    ----------
    problem, members, effort, told
        As in `look_for`.
    truths
        From the prior, shape (unknowns, truths); see `stratified_truths`.
    seed
        Of readings, ranks and runs.
    """
    prior = prior_quantities(problem, seed)
    return together(
        [
            look_for(problem, truth, prior, members, seed, number, effort=effort, told=told)
            for number, truth in enumerate(truths.T)
        ]
    )


def together(each: Sequence[Placed]) -> Judged:
    """Truths looked for one by one, as one."""
    return Judged(
        {name: np.array([one.places[name] for one in each]) for name in each[0].places},
        {name: np.array([one.prior_places[name] for one in each]) for name in each[0].places},
        tuple(one.sweeps for one in each),
        tuple(one.health for one in each),
    )


def covered(places: Floats, level: float) -> float:
    """Share of truths inside the central interval of a level."""
    return float((np.abs(places - 0.5) < 0.5 * level).mean())


def coverage_bounds(count: int, level: float, alarm: float) -> tuple[float, float]:
    """Shares between which the coverage of right intervals falls but for a chance of alarm.

    Parameters
    ----------
    count
        Truths.
    level
        Of the intervals.
    alarm
        Chance of a false alarm, both sides together.
    """
    low, high = binom.interval(1.0 - alarm, count, level)
    return float(low) / count, float(high) / count


def mean_coverage(places: Mapping[str, Floats], level: float) -> tuple[float, float]:
    """Coverage over all quantities, and its standard error from how truths differ."""
    inside = np.stack([np.abs(values - 0.5) < 0.5 * level for values in places.values()])
    each = inside.mean(axis=0)
    return float(each.mean()), float(each.std(ddof=1) / np.sqrt(len(each)))


def uniformity(places: Floats, bins: int = 10) -> Uniformity:
    """Tests of whether places are uniform.

    Parameters
    ----------
    places
        Between 0 and 1, independent.
    bins
        Of the chi-square test.
    """
    count = len(places)
    found = np.histogram(places, bins=bins, range=(0.0, 1.0))[0]
    expected = count / bins
    statistic = float(((found - expected) ** 2 / expected).sum())
    least = _least_chance(np.sort(places)[None])[0]
    return Uniformity(
        chi_square=float(chi2.sf(statistic, bins - 1)),
        kolmogorov=float(kstest(places, "uniform").pvalue),
        band=float((1 + (_uniform_chances(count) <= least).sum()) / (1 + _TRIALS)),
    )


def ecdf_band(count: int, level: float = 0.95) -> tuple[Floats, Floats]:
    """Between which all ordered places lie together with a chance, shape (count,) each."""
    alarm = float(np.quantile(_uniform_chances(count), 1.0 - level))
    order = np.arange(1, count + 1)
    low = beta.ppf(alarm / 2.0, order, count + 1 - order)
    high = beta.ppf(1.0 - alarm / 2.0, order, count + 1 - order)
    return np.asarray(low), np.asarray(high)


def _least_chance(ordered: Floats) -> Floats:
    """Two-sided chance of the least likely ordered value, row by row."""
    order = np.arange(1, ordered.shape[1] + 1)
    below = betainc(order, ordered.shape[1] + 1 - order, ordered)
    return np.asarray((2.0 * np.minimum(below, 1.0 - below)).min(axis=1))


@lru_cache(maxsize=8)
def _uniform_chances(count: int) -> Floats:
    """The same of uniform places, many times over."""
    drawn = np.random.default_rng(count).uniform(size=(_TRIALS, count))
    return _least_chance(np.sort(drawn, axis=1))
