"""What the sampler asks of a target, and what it hands back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Evaluated:
    """What one sweep over all members returns.

    Parameters
    ----------
    log_likelihood
        Of all readings, shape (members,); ``-inf`` where a member cannot be.
    kept
        Anything with members on its last axis; it follows the members through every move.
    log_base
        The part of ``log_likelihood`` that a starting population already agrees with;
        ``None`` without such a population.
    """

    log_likelihood: Floats
    kept: Mapping[str, NDArray[np.generic]] = field(default_factory=lambda: MappingProxyType({}))
    log_base: Floats | None = None

    @property
    def base(self) -> Floats:
        """The part already agreed with: zero where there is none."""
        return np.zeros_like(self.log_likelihood) if self.log_base is None else self.log_base

    def take(self, index: Indices) -> Evaluated:
        """The same of the members named, in that order, repeats allowed."""
        return Evaluated(
            self.log_likelihood[index],
            {name: values[..., index] for name, values in self.kept.items()},
            None if self.log_base is None else self.log_base[index],
        )

    def renewed(self, accepted: Flags, other: Evaluated) -> Evaluated:
        """The same with what ``other`` says of the accepted members."""
        return Evaluated(
            np.where(accepted, other.log_likelihood, self.log_likelihood),
            {n: np.where(accepted, other.kept[n], values) for n, values in self.kept.items()},
            None if self.log_base is None else np.where(accepted, other.base, self.log_base),
        )


class Target(Protocol):
    """A posterior over whitened unknowns, each standard normal under the prior.

    ``lasting`` names the rows that are parameters, biases and starting colonies; ``fleeting``
    the blocks of noise rows, each in the order of time. No row stands in two of them.
    """

    @property
    def names(self) -> tuple[str, ...]:
        """One name a row."""

    @property
    def lasting(self) -> Indices:
        """Rows that hold for all days."""

    @property
    def fleeting(self) -> Mapping[str, Indices]:
        """Rows of noise by block."""

    def evaluate(self, z: Floats) -> Evaluated:
        """Weigh all members, shape (unknowns, members); always as many as were asked for."""


class Surrogate(Protocol):
    """A cheap guess of `Target.evaluate`, without anything kept."""

    def __call__(self, z: Floats) -> Evaluated: ...


@runtime_checkable
class Guessable(Protocol):
    """A target that can make surrogates of itself from runs."""

    def surrogate(self, z: Floats, kept: Mapping[str, Floats], weights: Floats) -> Surrogate:
        """Fit to weighted runs, shape (unknowns, runs), and what `evaluate` kept of them."""

    @property
    def needed(self) -> tuple[str, ...]:
        """What a surrogate needs of `Evaluated.kept`."""


@dataclass(frozen=True)
class Population:
    """Members that fit the readings so far, to start from.

    Parameters
    ----------
    z
        Whitened unknowns, shape (unknowns, members).
    evaluated
        What the target says of them, where it is known already.
    log_weights
        Of the members against the readings so far; ``None`` where all weigh the same.
    """

    z: Floats
    evaluated: Evaluated | None = None
    log_weights: Floats | None = None


@dataclass(frozen=True)
class Mixing:
    """How far members still resemble those before the moves: correlations, 0 is fresh.

    Parameters
    ----------
    lasting
        The worst among the lasting unknowns.
    known
        The worst among the directions the readings tell something of.
    free
        Of everything else together.
    likelihood
        Of the log likelihood.
    drift
        By how many spreads the members' mean moved meanwhile, where it moved most. Members
        that are still on their way somewhere forget where they were, too; only a mean that
        stays tells that they have arrived.
    """

    lasting: float
    known: float
    free: float
    likelihood: float
    drift: float = 0.0

    @property
    def worst(self) -> float:
        """The worst among the unknowns."""
        return max(self.lasting, self.known, self.free)


@dataclass(frozen=True)
class Stage:
    """One temperature of a run.

    Parameters
    ----------
    power
        The readings' likelihood (its new part) was taken to this power.
    effective
        Effective members before resampling.
    parents
        Distinct members that were kept by resampling.
    known
        Directions the readings tell something of.
    sweeps
        Calls of the target in this stage.
    acceptance
        Share of proposals accepted, by kind of move.
    mixing
        After the last move of the stage.
    capped
        Whether moving stopped at the cap, still unmixed.
    """

    power: float
    effective: float
    parents: int
    known: int
    sweeps: int
    acceptance: Mapping[str, float]
    mixing: Mixing
    capped: bool


@dataclass(frozen=True)
class Info:
    """How a run went.

    Parameters
    ----------
    stages
        Temperature by temperature.
    sweeps
        Calls of the target in all.
    log_evidence
        Log of the mean likelihood under the prior (of the new readings, given a start).
    ancestors
        Distinct first members with descendants at the end.
    effective
        Members drawn independently that would tell as much of the worst known lasting
        unknown, from how much families of members differ.
    unusable
        Members whose likelihood was no number, over all sweeps.
    health
        ``good``, ``thin`` or ``poor``.
    """

    stages: tuple[Stage, ...]
    sweeps: int
    log_evidence: float
    ancestors: int
    effective: float
    unusable: int
    health: str


@dataclass(frozen=True)
class Posterior:
    """Members drawn from the posterior, all of the same weight.

    Parameters
    ----------
    z
        Whitened unknowns, shape (unknowns, members).
    evaluated
        What the target says of them.
    info
        How the run went.
    families
        Number of the member each descends from, some temperatures back, shape (members,):
        members of one family are not independent.
    """

    z: Floats
    evaluated: Evaluated
    info: Info
    families: Indices

    def population(self) -> Population:
        """The members as a start for further readings."""
        return Population(self.z, self.evaluated)

    def standard_error(self, values: Floats) -> float:
        """Monte Carlo error of the mean of a value of each member, from its families.

        Notes
        -----
        Sum over families of the squared sum of deviations (lee2018 in its simplest form,
        from memory).
        """
        return family_error(values, self.families)


def family_error(values: Floats, families: Indices) -> float:
    """Standard error of a mean over members that come in families."""
    apart = values - values.mean()
    _, family = np.unique(families, return_inverse=True)
    sums = np.bincount(family, weights=apart)
    # All sums add up to nothing, which takes one family's share of the squares away.
    count = len(sums)
    return float(np.sqrt((sums**2).sum() * count / max(count - 1, 1)) / len(values))
