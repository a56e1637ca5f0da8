"""The forecast as a script moves it: signals for its days, a row for the chosen one."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
import vl_convert
from sample_forecasts import sample_forecast, sample_tank

from watervane.app.pictures import picture_of
from watervane.charts.moving import BEGINS, CHOSEN, ENDS, TICKS, WITHIN, moving_spec
from watervane.charts.render import VEGA_LITE
from watervane.charts.spec import forecast_spec


@pytest.fixture(scope="module")
def still() -> dict[str, Any]:
    return forecast_spec(picture_of(sample_forecast(), sample_tank()), titled=False)


@pytest.fixture(scope="module")
def vega(still: dict[str, Any]) -> dict[str, Any]:
    return vl_convert.vegalite_to_vega(moving_spec(still), vl_version=VEGA_LITE)


def test_it_begins_with_the_days_of_the_still_one(still: dict[str, Any]) -> None:
    told = {each["name"]: each["value"] for each in moving_spec(still)["params"]}
    x = next(each for each in still["vconcat"][1]["layer"] if "x" in each.get("encoding", {}))
    begins, ends = x["encoding"]["x"]["scale"]["domain"]
    for name, text in ((BEGINS, begins), (ENDS, ends)):
        assert datetime.fromtimestamp(told[name] / 1000, UTC) == datetime.fromisoformat(text)
    assert len(told[TICKS]) == len(x["encoding"]["x"]["axis"]["values"])
    assert "params" not in still  # which stays as it was
    assert CHOSEN not in still["datasets"]


def test_one_time_axis_follows_the_signals(vega: dict[str, Any]) -> None:
    (x,) = (each for each in vega["scales"] if each["name"] == "x")
    assert BEGINS in str(x["domain"])
    assert ENDS in str(x["domain"])
    assert "2026" not in str(x["domain"])
    axes = [axis for mark in vega["marks"] for axis in mark["axes"] if axis["scale"] == "x"]
    assert axes
    assert all(axis["values"] == {"signal": TICKS} for axis in axes)


def test_what_lies_outside_the_days_is_left_out_or_cut_off(still: dict[str, Any]) -> None:
    timed = [
        layer
        for view in moving_spec(still)["vconcat"]
        for layer in view["layer"]
        if layer.get("encoding", {}).get("x", {}).get("field") == "t"
    ]
    assert len(timed) > 30
    for layer in timed:
        assert layer["mark"].get("clip") or WITHIN in layer["transform"], layer["mark"]


def test_the_chosen_day_is_a_row_of_data_in_every_panel(
    still: dict[str, Any], vega: dict[str, Any]
) -> None:
    (data,) = (each for each in vega["data"] if each["name"] == CHOSEN)
    assert data["values"] == []
    rules = [view["layer"][-1] for view in moving_spec(still)["vconcat"]]
    assert len(rules) == 5  # the flags and four panels
    assert all(rule["data"] == {"name": CHOSEN} for rule in rules)
