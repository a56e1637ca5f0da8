"""Readings typed in a hurry: a figure with degrees is warmth, any other figure wants a name."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from watervane.exchange.problems import TankFileErrors
from watervane.exchange.quick_tank import quick_tank

NOW = datetime(2026, 3, 10, 18, tzinfo=UTC)
ANIMALS = ("6 Danio rerio",)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("33 \N{DEGREE SIGN}C", 33.0), ("33C", 33.0), ("91.4 degF", 33.0), ("33,5 deg C", 33.5)],
)
def test_a_bare_figure_with_degrees_is_warmth(text: str, degrees: float) -> None:
    tank, assumed = quick_tank(NOW, (text,), ANIMALS)
    (reading,) = tank.readings
    assert reading.quantity == "temperature"
    assert reading.value.high == pytest.approx(degrees, abs=0.01)
    assert "quick-warmth" not in {each.key for each in assumed}, "warmth was told"


@pytest.mark.parametrize("text", ["33", "2 mg/L", "< 0.5 mg/L"])
def test_any_other_figure_is_asked_for_what_it_measures(text: str) -> None:
    with pytest.raises(TankFileErrors) as refused:
        quick_tank(NOW, (text,), ANIMALS)
    assert [each.key for each in refused.value.problems] == ["quick-reading"]


@pytest.mark.parametrize("text", ["temperature 1.2.3", "1.2.3 C", "temperature ..F"])
def test_warmth_that_is_no_figure_is_refused_with_its_option(text: str) -> None:
    with pytest.raises(TankFileErrors) as refused:
        quick_tank(NOW, (text,), ANIMALS)
    (problem,) = refused.value.problems
    assert problem.arguments["name"] == "--reading"
