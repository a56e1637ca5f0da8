"""Hare and lynx as a target: whitened unknowns of the Lotka-Volterra model to a likelihood."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from watervane.inference.target import Evaluated

DATA = Path(__file__).parent / "data" / "posterior_lynx_hare"
Floats = NDArray[np.float64]

CUT_NORMAL = {"theta[1]": (1.0, 0.5), "theta[2]": (0.05, 0.05),
              "theta[3]": (1.0, 0.5), "theta[4]": (0.05, 0.05)}  # fmt: skip
LOGNORMAL = {"z_init[1]": (np.log(10.0), 1.0), "z_init[2]": (np.log(10.0), 1.0),
             "sigma[1]": (-1.0, 1.0), "sigma[2]": (-1.0, 1.0)}  # fmt: skip
STEPS_A_YEAR = 20
_MOST_LOG = 60.0  # a course that leaves this is no course of pelts


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a data file."""
    with (DATA / name).open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


@dataclass(frozen=True)
class LynxHare:
    """The posterior of eight unknowns, none of them fleeting."""

    steps_a_year: int = STEPS_A_YEAR

    @property
    def names(self) -> tuple[str, ...]:
        return (*CUT_NORMAL, *LOGNORMAL)

    @property
    def lasting(self) -> NDArray[np.int64]:
        return np.arange(len(self.names))

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        return {}

    @cached_property
    def pelts(self) -> Floats:
        """Logarithms of what was counted, shape (2, years)."""
        told = [
            [r["hare_thousand_pelts"], r["lynx_thousand_pelts"]] for r in rows("observations.csv")
        ]
        return np.log(np.array(told, dtype=np.float64).T)

    def parameters(self, z: Floats) -> dict[str, Floats]:
        """What whitened unknowns stand for, by the names of the reference."""
        told = dict(zip(self.names, z, strict=True))
        found = {}
        for name, (mean, spread) in CUT_NORMAL.items():
            # Counted from the top, where a share keeps its digits.
            above = ndtr(-told[name]) * ndtr(mean / spread)
            found[name] = mean - spread * ndtri(above)
        for name, (mean, spread) in LOGNORMAL.items():
            found[name] = np.exp(mean + spread * told[name])
        return found

    def course(self, p: Mapping[str, Floats]) -> Floats:
        """Logarithms of both animals each year, shape (2, years, members): classic RK4."""
        state = np.log(np.stack([p["z_init[1]"], p["z_init[2]"]]))
        rates = np.stack([p["theta[1]"], -p["theta[3]"]])
        slopes = np.stack([-p["theta[2]"], p["theta[4]"]])
        step = 1.0 / self.steps_a_year

        def change(log: Floats) -> Floats:
            return rates + slopes * np.exp(np.minimum(log[::-1], _MOST_LOG))

        years = [state]
        with np.errstate(over="ignore", invalid="ignore"):
            for _ in range(self.pelts.shape[1] - 1):
                for _ in range(self.steps_a_year):
                    one = change(state)
                    two = change(state + 0.5 * step * one)
                    three = change(state + 0.5 * step * two)
                    four = change(state + step * three)
                    state = state + step / 6.0 * (one + 2.0 * two + 2.0 * three + four)
                years.append(state)
        return np.stack(years, axis=1)

    def evaluate(self, z: Floats) -> Evaluated:
        p = self.parameters(z)
        error = np.stack([p["sigma[1]"], p["sigma[2]"]])[:, None, :]
        with np.errstate(over="ignore", invalid="ignore"):
            off = (self.pelts[:, :, None] - self.course(p)) / error
            each = -0.5 * off**2 - np.log(error) - 0.5 * np.log(2.0 * np.pi)
            total = (each - self.pelts[:, :, None]).sum(axis=(0, 1))
        return Evaluated(np.where(np.isfinite(total), total, -np.inf))
