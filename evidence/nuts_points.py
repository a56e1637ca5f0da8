"""Points of a milestone from two samplers, how far apart they are, and how far by chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import rankdata

from evidence.effective_size import bulk_size, point_size, split_r_hat
from watervane.inference.target import Floats, family_error

POINTS = (0.05, 0.5, 0.95)
FAIR = 0.15  # spreads that points may be apart
LEAST = 4000  # effective draws
CENTRAL = 3.29  # spreads of a normal that hold its central 90 %
PARTS = 4  # of a run of the sampler, taken for chains where runs are held against each other


@dataclass(frozen=True)
class Draws:
    """Draws of one milestone by one sampler.

    Parameters
    ----------
    values
        Shape (draws,).
    bulk
        Effective size for the mean of ranks.
    at_points
        Effective size for each of `POINTS`.
    r_hat
        Of chains, or of runs.
    """

    values: Floats
    bulk: float
    at_points: tuple[float, ...]
    r_hat: float

    @classmethod
    def of_chains(cls, values: Floats) -> Draws:
        """From values of chains, shape (draws, chains)."""
        return cls(
            values.ravel(),
            bulk_size(values),
            tuple(point_size(values, share) for share in POINTS),
            split_r_hat(values),
        )

    @classmethod
    def of_members(cls, runs: Sequence[Floats], families: Sequence[Any]) -> Draws:
        """From values of members and their families, run by run."""
        values = np.concatenate(runs)
        ranks = np.split(rankdata(values) / len(values), np.cumsum([len(r) for r in runs])[:-1])
        limits = np.quantile(values, POINTS)
        order = np.random.default_rng(0)
        mixed = [order.permutation(run).reshape(-1, PARTS) for run in runs]
        return cls(
            values,
            _size(ranks, families),
            tuple(
                _size([(run <= limit).astype(np.float64) for run in runs], families)
                for limit in limits
            ),
            split_r_hat(np.concatenate(mixed, axis=1)),
        )

    @property
    def size(self) -> float:
        """The least of all effective sizes, of points that lie inside."""
        inside = [
            size
            for size, share in zip(self.at_points, POINTS, strict=True)
            if 0.0 < (self.values <= np.quantile(self.values, share)).mean() < 1.0
        ]
        return min([self.bulk, *inside])


def _size(runs: Sequence[Floats], families: Sequence[Any]) -> float:
    """Effective members of several independent runs together."""
    variance = float(np.concatenate(runs).var())
    if variance <= 0.0:
        return float(sum(len(run) for run in runs))
    whole = sum(len(run) for run in runs)
    # Errors of the runs' means add up as those of parts of one mean do.
    square = sum(
        (len(run) / whole * family_error(run, family)) ** 2
        for run, family in zip(runs, families, strict=True)
    )
    return variance / square


@dataclass(frozen=True)
class Compared:
    """One milestone by both samplers; points are infinite where they lie past the end."""

    ours: tuple[float, ...]
    nuts: tuple[float, ...]
    apart: tuple[float, ...]
    chance: tuple[float, ...]
    ours_size: float
    nuts_size: float
    ours_r_hat: float
    nuts_r_hat: float
    ours_share: float
    nuts_share: float


def compare(ours: Draws, nuts: Draws, *, end: float | None) -> Compared:
    """Hold points of members against those of NUTS.

    Parameters
    ----------
    ours, nuts
        Draws of the same milestone.
    end
        For days: the number that stands for all later ones. ``None`` for what is no day.
    """
    first, second = (_spread_out(each.values, end) for each in (ours, nuts))
    low, high = np.quantile(second, (POINTS[0], POINTS[-1]))
    spread = min(float(second.std()), float(high - low) / CENTRAL)
    points = np.quantile(first, POINTS), np.quantile(second, POINTS)
    errors = [
        [_point_error(values, share, size) for share, size in zip(POINTS, sizes, strict=True)]
        for values, sizes in ((first, ours.at_points), (second, nuts.at_points))
    ]
    past = np.inf if end is None else end - 0.5
    shown = [tuple(float(v) if v < past else np.inf for v in each) for each in points]
    return Compared(
        shown[0],
        shown[1],
        tuple(((points[0] - points[1]) / spread).tolist()),
        tuple((np.hypot(*np.array(errors)) / spread).tolist()),
        ours.size,
        nuts.size,
        ours.r_hat,
        nuts.r_hat,
        *(1.0 if end is None else float((each.values < end).mean()) for each in (ours, nuts)),
    )


def _spread_out(values: Floats, end: float | None) -> Floats:
    """Days spread evenly over their length, so that points do not jump by whole days."""
    if end is None:
        return values
    # Evenly and not by chance: each day's draws are laid out in order.
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    _, first, count = np.unique(ordered, return_index=True, return_counts=True)
    place = np.arange(len(values)) - np.repeat(first, count)
    out = np.empty_like(values)
    out[order] = ordered + (place + 0.5) / np.repeat(count, count) - 0.5
    return out


def _point_error(values: Floats, share: float, size: float) -> float:
    """Standard error of a point: half the way between the points one error of the share apart."""
    error = np.sqrt(share * (1.0 - share) / size)
    below, above = np.quantile(values, np.clip([share - error, share + error], 0.0, 1.0))
    return 0.5 * float(above - below)
