"""Parts of a log held against the rest of it: a target in which all is known exactly."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom, norm

from watervane.inference.cross_check import cross_check, day_chances
from watervane.inference.observation.left_out import LeftOut
from watervane.records import Reading, ReadingValue

START = datetime(2026, 3, 1, 18, tzinfo=UTC)
MEMBERS, DAYS, A_DAY = 2000, 6, 2
ERROR = 0.6


def reading(day: int, **told: Any) -> Reading:
    value = ReadingValue("exact", 0.0, 0.0, "n", "0")
    return Reading(START + timedelta(days=day), "ammonia", value, **told)


READINGS = tuple(reading(day) for day in range(DAYS) for _ in range(A_DAY))


class Line:
    """Readings of a level and a slope, both standard normal, each with a normal error."""

    def __init__(self, values: np.ndarray) -> None:
        self.readings = READINGS
        self.of_series = np.zeros(len(READINGS), dtype=bool)
        self.values = values
        days = np.array([(r.at - START).days for r in READINGS])
        self.design = np.stack([np.ones(len(days)), (days - 2.5) / 2.5], axis=1)

    def posterior(self, without: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
        kept = np.ones(len(READINGS), dtype=bool) if without is None else ~without
        design = self.design[kept] / ERROR
        covariance = np.linalg.inv(np.eye(2) + design.T @ design)
        return covariance @ design.T @ (self.values[kept] / ERROR), covariance

    def left_out(
        self, looks: np.ndarray, source: None, latents: np.ndarray, parts: np.ndarray
    ) -> LeftOut:
        apart = (self.values[:, None] - self.design @ looks) / ERROR
        rows = norm.logpdf(apart) - np.log(ERROR)
        gained = np.stack([-rows[parts == p].sum(axis=0) for p in range(parts.max() + 1)])
        return LeftOut(gained, norm.cdf(apart), norm.sf(apart))


def checked(line: Line, rng: np.random.Generator, members: int = MEMBERS) -> np.ndarray:
    middle, covariance = line.posterior()
    z = rng.multivariate_normal(middle, covariance, members).T
    return cross_check(line, z, None, z).fit


def drawn(rng: np.random.Generator) -> Line:
    line = Line(np.zeros(len(READINGS)))
    line.values = line.design @ rng.standard_normal(2) + ERROR * rng.standard_normal(len(READINGS))
    return line


def test_a_day_is_foretold_by_the_posterior_of_the_other_days() -> None:
    rng = np.random.default_rng(6)
    line = drawn(rng)
    line.values[4] += 1.0
    fit = checked(line, rng, 40_000)
    days = np.arange(len(READINGS)) // A_DAY
    for place, row in enumerate(line.design):
        middle, covariance = line.posterior(without=days == days[place])
        spread = np.sqrt(row @ covariance @ row + ERROR**2)
        expected = 2.0 * norm.sf(abs(line.values[place] - row @ middle) / spread)
        assert fit[place] == pytest.approx(expected, rel=0.08, abs=0.01)


def test_honest_days_are_called_up_no_more_often_than_claimed() -> None:
    rng = np.random.default_rng(7)
    chances = np.array(
        [c for _ in range(300) for _, c in day_chances(READINGS, checked(drawn(rng), rng, 300))]
    )
    for level in (0.1, 0.05, 0.01):
        # Days of one log share their unknowns, so a tenth more than independent ones may.
        assert (chances < level).sum() <= binom.ppf(0.999, len(chances), 1.1 * level)
    assert (chances < 0.1).mean() > 0.05, "nor is it so seldom that nothing can be found"


def test_a_spoilt_day_is_found() -> None:
    rng = np.random.default_rng(8)
    found = []
    for _ in range(60):
        line = drawn(rng)
        line.values[2 * A_DAY] += 5.0 * ERROR
        chances = [c for _, c in day_chances(READINGS, checked(line, rng, 300))]
        found.append((chances[2] < 0.01, min(chances[:2] + chances[3:]) < 0.01))
    assert np.mean([hit for hit, _ in found]) > 0.7
    assert np.mean([other for _, other in found]) < 0.2


def test_tests_of_the_source_water_are_days_by_themselves() -> None:
    readings = (reading(1), reading(1), reading(1, of_source_water=True))
    assert day_chances(readings, np.array([0.5, 0.004, 0.001])) == [
        ([0, 1], pytest.approx(0.008)),
        ([2], pytest.approx(0.001)),
    ]
