"""The shape of a population: which directions the readings tell of, and how much.

Under the prior the whitened unknowns are independent and standard normal. Readings move and
narrow a few directions and leave the rest as they were: the spiked covariance model. A sample
covariance of many unknowns from few members is mostly noise, so only directions whose variance
lies outside the noise's own band are believed, with what the noise added taken off again
(donoho2018, baik2006, from memory); the others keep the prior.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from watervane.inference.target import Floats, Indices

SLOW = 6  # smooth directions of each block of noise that are looked at one by one
LEAST_FREEDOM, MOST_FREEDOM = 4.0, 1e4
_EDGE = 1.1  # a little past the noise's band, whose own edge trembles
_MEAN_SIGNIFICANCE = 3.0


def rotation(count: int, lasting: Indices, fleeting: Mapping[str, Indices]) -> tuple[Floats, int]:
    """Turn unknowns so that the ones worth looking at come first.

    Parameters
    ----------
    count
        Unknowns.
    lasting, fleeting
        See `Target`.

    Returns
    -------
    turn, leading
        Orthonormal rows, shape (unknowns, unknowns), so the prior stays as it is; how many
        rows lead: the lasting unknowns and the smooth directions of each block of noise,
        because a likelihood feels sums of noise over many days, not single days.
    """
    first = [np.eye(count)[lasting]]
    rest = []
    for rows in fleeting.values():
        waves = _cosines(len(rows))
        block = np.zeros((len(rows), count))
        block[:, rows] = waves
        first.append(block[:SLOW])
        rest.append(block[SLOW:])
    turn = np.concatenate([*first, *rest])
    if turn.shape[0] != count or not np.allclose(turn @ turn.T, np.eye(count)):
        raise ValueError(
            "Every unknown must be lasting or stand in one block of noise: "
            f"{count} unknowns, {turn.shape[0]} named."
        )
    return turn, sum(len(part) for part in first)


def _cosines(count: int) -> Floats:
    """Orthonormal discrete cosines, slowest first, shape (count, count)."""
    k, t = np.arange(count)[:, None], np.arange(count)[None, :]
    waves = np.cos(math.pi * k * (t + 0.5) / count) * math.sqrt(2.0 / count)
    waves[0] *= math.sqrt(0.5)
    return np.asarray(waves, dtype=np.float64)


@dataclass(frozen=True)
class Shape:
    """A fitted t distribution in the known directions, the prior in all others.

    Parameters
    ----------
    axes
        Orthonormal rows, shape (leading, leading); the first ``known`` of them known.
    mean, spread
        Along the known axes, shape (known, 1).
    freedom
        Degrees of freedom of the t.
    """

    axes: Floats
    mean: Floats
    spread: Floats
    freedom: float

    @property
    def known(self) -> int:
        """Directions the readings tell of."""
        return len(self.mean)

    def standard(self, turned: Floats) -> Floats:
        """Known coordinates in units of their spread, shape (known, members)."""
        along = self.axes[: self.known] @ turned[: len(self.axes)]
        return np.asarray((along - self.mean) / self.spread)

    def log_density(self, standard: Floats) -> Floats:
        """Log density of the fitted t at standard coordinates, up to a constant."""
        square = (standard * standard).sum(axis=0)
        power = 0.5 * (self.freedom + self.known)
        return np.asarray(-power * np.log1p(square / self.freedom))


def fit_shape(leading: Floats, weights: Floats | None = None) -> Shape:
    """Fit a shape to weighted members.

    Parameters
    ----------
    leading
        Leading coordinates, shape (leading, members).
    weights
        Shape (members,), of any sum; equal ones if left out.
    """
    count, members = leading.shape
    share = np.full(members, 1.0 / members) if weights is None else weights / weights.sum()
    effective = 1.0 / float((share**2).sum())
    centre = leading @ share
    apart = leading - centre[:, None]
    values, vectors = np.linalg.eigh((apart * share) @ apart.T)
    values *= effective / max(effective - 1.0, 1.0)
    variance, clear = _believed(values, count / effective)
    axes = np.concatenate([vectors.T[clear], vectors.T[~clear]])
    axes, moved = _mean_direction(axes, centre, int(clear.sum()), effective)
    variance = np.concatenate([variance[clear], np.ones(moved)])
    known = len(variance)
    along = axes[:known] @ centre
    spread = np.sqrt(variance)[:, None]
    shape = Shape(axes, along[:, None], spread, MOST_FREEDOM)
    freedom = _freedom(shape.standard(leading), share)
    # A t of given spread is wider than a normal one: its scale is taken back.
    return Shape(axes, along[:, None], spread * math.sqrt(1.0 - 2.0 / freedom), freedom)


def fit_within(leading: Floats, basis: Floats) -> Shape:
    """Fit a shape whose known directions are given.

    Parameters
    ----------
    leading
        Leading coordinates of members, shape (leading, members).
    basis
        Orthonormal rows, shape (known, leading).
    """
    known = len(basis)
    if known == 0:
        return Shape(np.eye(len(leading)), np.zeros((0, 1)), np.zeros((0, 1)), MOST_FREEDOM)
    along = basis @ leading
    variance, turn = np.linalg.eigh(np.atleast_2d(np.cov(along)))
    axes = turn.T @ basis
    rest, _ = np.linalg.qr(np.concatenate([axes.T, np.eye(len(leading))], axis=1))
    whole = np.concatenate([axes, rest.T[known:]])
    mean = (axes @ leading).mean(axis=1, keepdims=True)
    spread = np.sqrt(np.maximum(variance, 1e-6))[:, None]
    equal = np.full(leading.shape[1], 1.0 / leading.shape[1])
    freedom = _freedom((axes @ leading - mean) / spread, equal)
    return Shape(whole, mean, spread * math.sqrt(1.0 - 2.0 / freedom), freedom)


def _believed(
    values: Floats, ratio: float
) -> tuple[Floats, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Variances with the noise's part taken off, and which are outside the noise's band."""
    root = min(math.sqrt(ratio), 0.95) * _EDGE
    ratio = min(ratio, 0.9)
    low, high = max(1.0 - root, 0.0) ** 2, (1.0 + root) ** 2
    clear = (values < low) | (values > high)
    middle = values + 1.0 - ratio
    half = np.sqrt(np.maximum(middle**2 - 4.0 * values, 0.0))
    true = np.where(values < 1.0, middle - half, middle + half) / 2.0
    true = np.maximum(true, 1e-8)
    with np.errstate(divide="ignore", invalid="ignore"):
        sure = (1.0 - ratio / (true - 1.0) ** 2) / (1.0 + ratio / (true - 1.0))
    sure = np.clip(np.nan_to_num(sure), 0.0, 1.0)
    return np.where(clear, true * sure + 1.0 - sure, 1.0), clear


def _mean_direction(
    axes: Floats, centre: Floats, clear: int, effective: float
) -> tuple[Floats, int]:
    """Make the direction in which the unclear axes have moved a known one, if they have."""
    rest = axes[clear:]
    shift = rest @ centre
    count = len(rest)
    chance = (count + _MEAN_SIGNIFICANCE * math.sqrt(2.0 * count)) / effective
    length = float(np.linalg.norm(shift))
    if count == 0 or length**2 <= chance:
        return axes, 0
    turn, _ = np.linalg.qr(np.column_stack([shift / length, np.eye(count)]))
    return np.concatenate([axes[:clear], turn.T @ rest]), 1


def _freedom(standard: Floats, share: Floats) -> float:
    """Degrees of freedom from how unequal the members' distances are."""
    known = len(standard)
    if known == 0:
        return MOST_FREEDOM
    square = (standard * standard).sum(axis=0)
    first, second = float(square @ share), float(square**2 @ share)
    if first <= 0.0:  # all members are the same one, drawn again
        return MOST_FREEDOM
    excess = second / first**2 * known / (known + 2.0)
    if excess <= 1.0 + 1.0 / MOST_FREEDOM:
        return MOST_FREEDOM
    return float(np.clip((4.0 * excess - 2.0) / (excess - 1.0), LEAST_FREEDOM, MOST_FREEDOM))
