"""How many independent draws chains are worth, and whether they agree with each other.

Rank-normalised split R-hat and effective sizes (vehtari2021, from memory): autocorrelations are
summed pairwise while the pairs stay positive and do not rise (geyer1992).
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtri
from scipy.stats import rankdata

from watervane.inference.target import Floats


def effective_size(values: Floats) -> float:
    """Independent draws that would tell as much of the mean.

    Parameters
    ----------
    values
        Shape (draws, chains), at least four draws.
    """
    parts = _split(values)
    draws = len(parts)
    within = float(parts.var(axis=0, ddof=1).mean())
    total = _total(parts, within)
    if total <= 0.0:
        return float(parts.size)
    memory = 1.0 - (within - _autocovariance(parts).mean(axis=1) * draws / (draws - 1)) / total
    memory[0] = 1.0
    pairs = memory[: draws - draws % 2].reshape(-1, 2).sum(axis=1)
    negative = np.flatnonzero(pairs <= 0.0)
    pairs = np.minimum.accumulate(pairs[: negative[0] if len(negative) else len(pairs)])
    length = max(2.0 * float(pairs.sum()) - 1.0, 1.0 / np.log10(parts.size))
    return float(parts.size / length)


def bulk_size(values: Floats) -> float:
    """The same of ranks, which no far draw can spoil."""
    return effective_size(_normal_scores(values))


def point_size(values: Floats, share: float) -> float:
    """Of the share of draws up to the point that has so large a share below it."""
    return effective_size((values <= np.quantile(values, share)).astype(np.float64))


def split_r_hat(values: Floats) -> float:
    """The worse of two: of ranks, and of ranks of the distances from the median."""
    apart = np.abs(values - np.median(values))
    return max(_r_hat(_normal_scores(each)) for each in (values, apart))


def _r_hat(values: Floats) -> float:
    parts = _split(values)
    within = float(parts.var(axis=0, ddof=1).mean())
    if within <= 0.0:
        return 1.0 if float(parts.std()) == 0.0 else np.inf
    return float(np.sqrt(_total(parts, within) / within))


def _total(parts: Floats, within: float) -> float:
    """Variance of all draws, from within and between chains."""
    draws, chains = parts.shape
    between = float(parts.mean(axis=0).var(ddof=1)) if chains > 1 else 0.0
    return float(within * (draws - 1) / draws + between)


def _split(values: Floats) -> Floats:
    """Both halves of each chain side by side."""
    half = len(values) // 2
    return np.concatenate([values[:half], values[len(values) - half :]], axis=1)


def _normal_scores(values: Floats) -> Floats:
    ranks = rankdata(values, method="average").reshape(values.shape)
    scores: Floats = ndtri((ranks - 0.375) / (values.size + 0.25))
    return scores


def _autocovariance(parts: Floats) -> Floats:
    """By lag, each chain about its own mean, shape (lags, chains)."""
    draws = len(parts)
    apart = parts - parts.mean(axis=0)
    waves = np.fft.rfft(apart, n=2 * draws, axis=0)
    found: Floats = np.fft.irfft(np.abs(waves) ** 2, n=2 * draws, axis=0)[:draws] / draws
    return found
