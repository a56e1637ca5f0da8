"""The sequential test: honest forecasts are seldom contradicted, and a slide is found."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ndtr

from watervane.advice.drift_test import Compared, Shape, drift_evidence
from watervane.advice.watched_kinds import (
    EACH_PER_Y,
    FALSE_ALARMS_PER_Y,
    FEWEST_LOOKS_PER_Y,
    KINDS,
    threshold,
)

SHAPES = (Shape(by_week=-0.5), Shape(by_week=-1.5))
NOISE, BIAS, DOUBT = 0.4, 0.3, 0.3


def _log(rng: np.random.Generator, count: int, slope: float = 0.0, begins: int = 0) -> Compared:
    """Weekly readings of a level of 6 by a kit of whole steps, foretold rightly."""
    day = 7.0 * np.arange(count) + 1.0
    away = BIAS * rng.standard_normal() + DOUBT * rng.standard_normal()
    level = 6.0 + away + slope * np.maximum(np.arange(count) - begins + 1.0, 0.0)
    shown = np.round(level + NOISE * rng.standard_normal(count))
    square = np.full((count, count), 6.0)
    square[np.tril_indices(count, -1)] = np.nan
    one = np.ones((count, count))
    return Compared(
        day=day,
        low=shown - 0.5,
        high=shown + 0.5,
        stray=np.full(count, 0.05),
        outlier=np.full(count, 0.02),
        start_d=day - 1.0,
        middle=square,
        doubt=DOUBT * one,
        noise=NOISE * one,
        bias=BIAS * one,
    )


def test_the_ratio_of_honest_readings_is_one_on_average() -> None:
    rng = np.random.default_rng(1)
    only = [drift_evidence(_log(rng, 1), SHAPES, anchors=0).total[0] for _ in range(4000)]
    mean, error = np.mean(only), np.std(only) / np.sqrt(len(only))
    # within the kit's slips, which the honest draws here have none of
    assert abs(mean - 1.0) < 3.0 * error + 0.03


def test_honest_logs_hold_the_stated_rate_and_a_slide_is_found_in_three_readings() -> None:
    rng = np.random.default_rng(2)
    limit = (365.25 / 7.0) / EACH_PER_Y
    honest = [drift_evidence(_log(rng, 52), SHAPES).total for _ in range(60)]
    alarms = np.mean([(total[3:] >= limit).any() for total in honest])
    assert alarms <= EACH_PER_Y
    found = [
        (drift_evidence(_log(rng, 11, -1.5, 8), SHAPES).total[8:] >= limit).any() for _ in range(60)
    ]
    assert np.mean(found) >= 0.8


def test_a_planted_wrong_forecast_is_told_so_the_rate_can_fail() -> None:
    rng = np.random.default_rng(3)
    limit = (365.25 / 7.0) / EACH_PER_Y
    wrong = [replace(log, middle=log.middle + 3.0) for log in (_log(rng, 20) for _ in range(10))]
    assert all((drift_evidence(each, SHAPES).total >= limit).any() for each in wrong)


def test_one_stray_reading_alone_is_not_told() -> None:
    log = _log(np.random.default_rng(4), 12)
    shown = np.full(12, 6.0)
    shown[8] = 1.0
    stray = replace(log, low=shown - 0.5, high=shown + 0.5)
    total = drift_evidence(stray, SHAPES).total
    assert total[8] < (365.25 / 7.0) / EACH_PER_Y


def test_one_reading_is_weighed_as_the_closed_form_says() -> None:
    log = _log(np.random.default_rng(5), 1)
    log = replace(log, low=np.array([3.5]), high=np.array([4.5]))
    shape = Shape(at_once=-2.0)
    got = drift_evidence(log, (shape,), anchors=0).total[0]
    spread = np.sqrt(NOISE**2 + BIAS**2 + DOUBT**2)

    def chance(centre: float) -> float:
        inside = ndtr((4.5 - centre) / spread) - ndtr((3.5 - centre) / spread)
        return float(0.98 * inside + 0.02 * 0.05)

    assert got == pytest.approx(chance(4.0) / chance(6.0), rel=0.02)


def test_all_kinds_together_keep_within_the_rate() -> None:
    assert len(KINDS) * EACH_PER_Y <= FALSE_ALARMS_PER_Y + 1e-9
    for name, kind in KINDS.items():
        assert threshold(name, 5.0) == kind.factor * FEWEST_LOOKS_PER_Y / EACH_PER_Y
        assert threshold(name, 104.0) == kind.factor * 104.0 / EACH_PER_Y


def test_the_page_of_evidence_is_of_the_factors_in_use_and_within_the_rate() -> None:
    page = Path(__file__).parents[2] / "docs" / "evidence" / "watch.md"
    text = page.read_text(encoding="utf-8")
    used = {f"{kind.factor:g}" for kind in KINDS.values()}
    rows = re.findall(r"^\| \D+ \| \w+ \| \d+ d \| ([\d.]+) \| ([\d.]+) \|$", text, re.MULTILINE)
    assert len(rows) == 18
    assert {f"{float(factor):g}" for factor, _ in rows} == used
    (total,) = re.findall(r"worst kit and pace: ([\d.]+) false alarms", text)
    assert float(total) <= FALSE_ALARMS_PER_Y
    assert all(float(rate) <= float(total) for _, rate in rows)
