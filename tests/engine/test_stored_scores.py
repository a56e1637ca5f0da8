"""Forecasts stored long ago, set against what was read since."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from watervane.engine.stored_scores import level_points, score_stored
from watervane.records import LAST_VALUE, OWN, RULE, Band, Forecast, Reading, ReadingValue, Tank

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from sample_forecasts import FILLED, moment, sample_forecast, sample_tank


def later(day: float, value: float, quantity: str = "ammonia") -> Reading:
    told = ReadingValue("exact", value, value, "none" if quantity == "ph" else "n", f"{value}")
    return Reading(moment(day), quantity, told, kit="drop")


def tank(*readings: Reading) -> Tank:
    blank = sample_tank()
    return replace(blank, readings=readings)


def forecast(level: float) -> Forecast:
    """Of a level that is known well."""
    made = sample_forecast(day=11.0, horizon_days=30)
    count = len(made.times)
    rows = [(level * factor,) * count for factor in (0.9, 0.96, 1.0, 1.04, 1.1)]
    return replace(made, series={**made.series, "ammonia_mg_n_per_l": Band(*rows)})


def test_the_nearer_forecast_scores_better() -> None:
    log = tank(later(5, 0.7), later(15, 1.5), later(60, 3.0))
    near, far = (score_stored(log, [forecast(level)]).rows for level in (1.5, 4.0))
    assert [row.at for row in near] == [moment(15)]  # day 60 lies past the horizon
    assert near[0].marks[OWN].log_score < far[0].marks[OWN].log_score
    assert near[0].marks[OWN].crps < far[0].marks[OWN].crps
    assert near[0].marks[LAST_VALUE] == far[0].marks[LAST_VALUE]


def test_nothing_read_since_gives_no_rows() -> None:
    assert score_stored(tank(later(5, 0.7)), [forecast(1.0)]).rows == ()


def test_points_follow_the_quantiles() -> None:
    told = norm.ppf((0.05, 0.25, 0.5, 0.75, 0.95), 5.0, 1.0)
    points = level_points(list(told), additive=False)
    assert np.quantile(points, (0.05, 0.5, 0.95)) == pytest.approx(told[[0, 2, 4]], abs=0.02)
    assert points.std() == pytest.approx(1.0, abs=0.05)
    assert level_points([0.0, 0.0, 0.1, 0.2, 0.4], additive=False).min() == 0.0


def test_the_settled_date_is_scored_from_its_quantiles() -> None:
    read = [
        *(later(14, 1.5, q) for q in ("ammonia", "nitrite")),
        *(later(d, 0.0, q) for d in (20, 23, 27) for q in ("ammonia", "nitrite")),
    ]
    made = forecast(1.0)
    days = [18.0, 19.0, 20.0, 21.0, 24.0]
    dates = replace(
        made.settled.date,
        **{f"p{p:02d}": FILLED + timedelta(days=d) for p, d in zip((5, 25, 50, 75, 95), days)},  # noqa: B905
    )
    sure = replace(made, settled=replace(made.settled, date=dates, status="ahead"))
    scores = score_stored(tank(*read), [sure])
    marks = scores.moments[0].settled
    assert set(marks) == {OWN, RULE}
    assert marks[OWN].crps_d < 3.0 < marks[RULE].crps_d
    assert marks[OWN].place == (0.0, 0.05)  # day 17, the middle of 14 and 20
