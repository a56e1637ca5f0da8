"""Honest logs of settled tanks, and the same with a drift put in, for the watch.

Truths are members of invented tanks, run by the model for more than a year and read by coarse
kits at an even pace. What a forecast would have said before each reading comes of the same
members: their mean and covariance over the year, narrowed by the readings so far as if all were
normal. That is the Kalman step of an ensemble, thousands of times cheaper than drawing members
anew each week; what it leaves out is told on the page.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from watervane.advice.drift_test import Compared
from watervane.inference.observed import observable
from watervane.inference.priors import prior_members
from watervane.kits.sizes import ADDITIVE, errors_of
from watervane.kits.steps import StepFace
from watervane.process.run import initial_state, simulate
from watervane.process.timeline import timeline
from watervane.records import (
    AnimalsIn,
    Feed,
    Habit,
    ReadingValue,
    Seed,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

Numbers = NDArray[np.float64]
MEMBERS = 400
BEGIN_D, END_D = 84, 462  # settled by then; a year of readings and three weeks to learn from
HORIZON_D = 30.0
ZONE = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 19, tzinfo=ZONE)
QUANTITIES = ("nitrate", "kh", "ammonia", "temperature")
STEPS: Mapping[str, Mapping[str, tuple[float, ...]]] = {
    "drop": {
        "nitrate": (0.0, 1.0, 2.5, 5.0, 10.0, 20.0),
        "kh": tuple(float(n) for n in range(25)),
        "ammonia": (0.0, 0.2, 0.5, 1.0, 2.0, 4.0),
        "temperature": tuple(15.0 + 0.5 * n for n in range(40)),
    },
    "strip": {
        "nitrate": (0.0, 2.5, 6.0, 12.0, 25.0, 50.0),
        "kh": (0.0, 3.0, 6.0, 10.0, 15.0, 20.0),
        "ammonia": (0.0, 0.4, 0.8, 2.5, 5.0),
        "temperature": tuple(18.0 + 2.0 * n for n in range(9)),
    },
}


@dataclass(frozen=True)
class Setup:
    """One invented tank."""

    volume_l: float
    kh_dkh: float
    fish: int
    length_cm: float
    food_g: float
    change: float
    every_d: float
    plants: str = "few"


SETUPS = (
    Setup(54.0, 3.0, 10, 2.5, 0.08, 0.25, 7.0),
    Setup(112.0, 5.0, 14, 3.0, 0.2, 0.3, 14.0),
    Setup(180.0, 8.0, 8, 6.0, 0.5, 0.25, 7.0, "many"),
    Setup(240.0, 12.0, 30, 4.0, 0.8, 0.4, 14.0, "none"),
    Setup(30.0, 6.0, 6, 2.0, 0.03, 0.2, 7.0, "many"),
    Setup(90.0, 4.0, 6, 5.0, 0.25, 0.5, 28.0, "few"),
)


@dataclass(frozen=True)
class Slide:
    """A drift put into a truth from a reading on: a slope a week, a jump, or a wandering."""

    by_week: float = 0.0
    at_once: float = 0.0
    wander: float = 0.0


@dataclass(frozen=True)
class Ensemble:
    """What the members of a tank held at each moment, shape (moments, members) by quantity."""

    day: Numbers
    levels: Mapping[str, Numbers]


@cache
def ensemble(number: int) -> Ensemble:
    """Members of a tank, looked at every day at seven in the evening."""
    line = timeline(_tank(SETUPS[number]), END_D + 2)
    members = prior_members(line.tank, np.arange(MEMBERS), 11 + number)
    day = np.arange(BEGIN_D, END_D, dtype=np.float64) + 19.0 / 24.0
    course = simulate(
        line, members, initial_state(line, members), (0, END_D + 1), stops_d=list(day), threads=2
    )
    levels = {
        quantity: np.array([observable(course, stop, quantity) for stop in range(len(day))])
        for quantity in QUANTITIES
    }
    return Ensemble(day, levels)


def _tank(setup: Setup) -> Tank:
    meal = Feed(at=START.replace(hour=8), mass_g=Span(0.7 * setup.food_g, 1.4 * setup.food_g))
    change = WaterChange(at=START.replace(hour=17), fraction=setup.change)
    return Tank(
        name="watched",
        filled=date(2026, 3, 1),
        volume_l=setup.volume_l,
        heater_power_w=1.2 * setup.volume_l,
        heater_set_point_c=25.0,
        plants=setup.plants,
        source_water=SourceWater(ph=7.6, kh_dkh=setup.kh_dkh, gh_dgh=setup.kh_dkh + 3.0),
        events=(
            Seed(at=START, source="media", volume_l=0.2, condition="rinsed in tank water"),
            AnimalsIn(
                at=START + timedelta(days=2),
                species="Danio rerio",
                count=setup.fish,
                length_cm=setup.length_cm,
            ),
        ),
        habits=(
            Habit(template=meal, every_days=1, start=date(2026, 3, 3)),
            Habit(template=change, every_days=setup.every_d, start=date(2026, 3, 8)),
        ),
    )


def log_of(
    number: int,
    quantity: str,
    *,
    kit: str,
    every_d: int,
    rng: np.random.Generator,
    slide: Slide | None = None,
    begins: int = 0,
) -> Compared:
    """One tank-year of one quantity, read and set beside what forecasts would have said.

    Parameters
    ----------
    number
        Of `SETUPS`.
    quantity, kit, every_d
        What is read, by what, how often. [d]
    rng
        Picks the member that is the truth, and the errors of its readings.
    slide
        Put in from just before the reading ``begins`` on.
    """
    found = ensemble(number)
    rows = np.arange(int(rng.integers(0, every_d)), len(found.day), every_d)
    day, levels = found.day[rows], found.levels[quantity][rows]
    truth = levels[:, int(rng.integers(0, MEMBERS))].copy()
    if slide is not None:
        since = day[begins] - rng.uniform(0.0, every_d)
        weeks = np.maximum(day - since, 0.0) / 7.0
        after = day >= day[begins]
        truth = truth + slide.by_week * weeks + slide.at_once * after
        truth += slide.wander * after * rng.standard_normal(len(day))
        truth = truth if quantity in ADDITIVE else np.maximum(truth, 0.0)
    return _beside(quantity, kit, day, levels, _shown(quantity, kit, truth, rng))


def _shown(quantity: str, kit: str, truth: Numbers, rng: np.random.Generator) -> Numbers:
    """What the kit shows of each level."""
    errors, face = errors_of(kit, quantity), StepFace(quantity, STEPS[kit][quantity], _CUT)
    shown = errors.biased(truth, np.full(len(truth), rng.standard_normal()))
    shown = shown + errors.spread(shown) * rng.standard_normal(len(truth))
    stray = face.stray(rng.uniform(size=len(truth)))
    odd = rng.uniform(size=len(truth)) < errors.outlier_chance
    return np.where(odd, stray, face.show(shown))


_CUT = 0.75  # of the way to the first step: between the two habits of saying 0


def _beside(quantity: str, kit: str, day: Numbers, levels: Numbers, shown: Numbers) -> Compared:
    """Readings with the forecasts before each: a normal law, narrowed reading by reading."""
    errors, face = errors_of(kit, quantity), StepFace(quantity, STEPS[kit][quantity], _CUT)
    cells = [face.cell(ReadingValue("exact", float(v), float(v), "n", "")) for v in shown]
    law = _Law.of(quantity, levels, errors.bias_log_sd, errors.bias_floor)
    count = len(day)
    middle, doubt, noise, bias = (np.full((count, count), np.nan) for _ in range(4))
    for row in range(count):
        ahead = np.flatnonzero((day >= day[row]) & (day <= day[row] + HORIZON_D - 1.0))
        middle[row, ahead], doubt[row, ahead] = law.told(ahead)
        noise[row, ahead] = errors.spread(middle[row, ahead])
        additive = quantity in ADDITIVE
        bias[row, ahead] = (
            errors.bias_floor if additive else errors.bias_log_sd * middle[row, ahead]
        )
        step = _width(cells[row].low, cells[row].high)
        law = law.narrowed(row, float(shown[row]), float(noise[row, row]), step)
    start = np.concatenate([[day[0] - 0.5], day[:-1] + 0.05])
    return Compared(
        day=day,
        low=np.array([c.low for c in cells]),
        high=np.array([c.high for c in cells]),
        stray=np.array([c.stray for c in cells]),
        outlier=np.full(count, errors.outlier_chance),
        start_d=start,
        middle=middle,
        doubt=doubt,
        noise=noise,
        bias=bias,
        positive=quantity not in ADDITIVE,
    )


def _width(low: float, high: float) -> float:
    low, high = max(low, 0.0), high if np.isfinite(high) else 1.5 * max(low, 0.1)
    return max(high - low, 1e-3)


@dataclass(frozen=True)
class _Law:
    """Normal law of all levels, or of their logarithms, and of the kit's steady error."""

    mean: Numbers
    covariance: Numbers
    logs: bool

    @staticmethod
    def of(quantity: str, levels: Numbers, bias_log_sd: float, bias_floor: float) -> _Law:
        """Of members before any reading."""
        logs = quantity not in ADDITIVE
        values = np.log(np.maximum(levels, 1e-3)) if logs else levels
        count = len(values)
        covariance = np.zeros((count + 1, count + 1))
        covariance[:count, :count] = np.cov(values) + 1e-6 * np.eye(count)
        covariance[count, count] = (bias_log_sd if logs else bias_floor) ** 2
        return _Law(np.append(values.mean(axis=1), 0.0), covariance, logs)

    def told(self, rows: NDArray[np.int64]) -> tuple[Numbers, Numbers]:
        """Middle and spread of levels."""
        mean, sd = self.mean[rows], np.sqrt(np.maximum(np.diagonal(self.covariance)[rows], 0.0))
        if not self.logs:
            return mean, sd
        low, high = np.exp(mean - 1.645 * sd), np.exp(mean + 1.645 * sd)
        return np.exp(mean), (high - low) / 3.29

    def narrowed(self, row: int, shown: float, noise: float, step: float) -> _Law:
        """After a reading; one of 0 tells no more than that little is there."""
        level = float(np.exp(self.mean[row])) if self.logs else float(self.mean[row])
        error = np.hypot(noise, step / np.sqrt(12.0))
        value = shown
        if self.logs:
            if shown <= 0.0 and level < step:  # as little as was expected
                return self
            value = float(np.log(max(shown, 0.5 * step)))
            error = error / max(shown, 0.5 * step, level)
        count = len(self.mean) - 1
        gain_of = self.covariance[:, row] + self.covariance[:, count]
        spread = gain_of[row] + gain_of[count] + error**2
        off = value - self.mean[row] - self.mean[count]
        if abs(off) > 3.5 * np.sqrt(spread):  # taken for a stray one
            return self
        gain = gain_of / spread
        return replace(
            self,
            mean=self.mean + gain * off,
            covariance=self.covariance - np.outer(gain, gain_of),
        )
