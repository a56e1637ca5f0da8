"""The sampler where the answer is known exactly: linear readings of normal unknowns."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.inference.target import Evaluated
from watervane.inference.tempered import sample

Numbers = NDArray[np.float64]
LASTING, NOISES, READINGS, ERROR = 10, 60, 20, 1.0
MEMORY_DAYS = 8.0
MEMBERS, SEEDS = 1000, (1, 2, 3)


class LinearTarget:
    """Readings that are sums of unknowns with normal errors."""

    def __init__(self, seed: int, *, rough: bool) -> None:
        rng = np.random.default_rng(seed)
        count = LASTING + NOISES
        self._weights = rng.standard_normal((READINGS, count))
        if rough:
            self._weights[:, LASTING:] *= 0.2
        else:
            day = np.arange(NOISES)
            read = np.linspace(5.0, NOISES, READINGS)[:, None]
            memory = np.where(day < read, np.exp(-(read - day) / MEMORY_DAYS), 0.0)
            self._weights[:, LASTING:] = 0.15 * memory
        truth = rng.standard_normal(count)
        self._read = self._weights @ truth + ERROR * rng.standard_normal(READINGS)
        precision = np.eye(count) + self._weights.T @ self._weights / ERROR**2
        self.covariance = np.linalg.inv(precision)
        self.mean = self.covariance @ self._weights.T @ self._read / ERROR**2
        whole = ERROR**2 * np.eye(READINGS) + self._weights @ self._weights.T
        _, log_volume = np.linalg.slogdet(2.0 * np.pi * whole)
        square = self._read @ np.linalg.solve(whole, self._read)
        self.log_evidence = -0.5 * float(log_volume + square)

    @property
    def names(self) -> tuple[str, ...]:
        """One name a row."""
        return tuple(f"unknown {i}" for i in range(LASTING + NOISES))

    @property
    def lasting(self) -> NDArray[np.int64]:
        """Rows that hold for all days."""
        return np.arange(LASTING)

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        """Rows of noise."""
        return {"noise": np.arange(LASTING, LASTING + NOISES)}

    def evaluate(self, z: Numbers) -> Evaluated:
        """Weigh all members."""
        off = (self._read[:, None] - self._weights @ z) / ERROR
        constant = READINGS * np.log(ERROR * np.sqrt(2.0 * np.pi))
        return Evaluated(-0.5 * (off * off).sum(axis=0) - constant)


def section() -> str:
    """Text with a table."""
    rows = []
    for rough in (False, True):
        for seed in SEEDS:
            target = LinearTarget(seed, rough=rough)
            found = sample(target, MEMBERS, seed)
            spread = np.sqrt(np.diag(target.covariance))[:LASTING]
            apart = (found.z[:LASTING].mean(axis=1) - target.mean[:LASTING]) / spread
            wide = found.z[:LASTING].std(axis=1) / spread
            rows.append(
                f"| {'rough' if rough else 'smooth'} | {seed} | {found.info.sweeps} | "
                f"{found.info.health} | {np.abs(apart).max():.2f} | "
                f"{wide.min():.2f} to {wide.max():.2f} | "
                f"{found.info.log_evidence - target.log_evidence:+.2f} |"
            )
    return "\n".join(
        [
            f"{READINGS} readings, each a sum of {LASTING} lasting unknowns and {NOISES} daily",
            "noises with a normal error; the posterior is known in closed form. Differences of",
            f"lasting unknowns' means are in their posterior spreads; with {MEMBERS:,} members",
            "chance alone puts the largest of ten about 0.06 to 0.1 off. *Smooth* noise fades out",
            "of the readings over days, as food does out of a tank; *rough* noise acts day by day",
            "at random and strongly, which no tank does and this sampler is not made for: it says",
            "so itself where its health is not good.",
            "",
            "| noise | seed | sweeps | health | furthest mean | spread over exact | evidence |",
            "|---|---|---|---|---|---|---|",
            *rows,
        ]
    )
