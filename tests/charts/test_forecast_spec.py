"""The specification holds every panel, and every form is written from it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
import vl_convert
from sample_forecasts import sample_forecast, sample_tank

from watervane.app.pictures import picture_of
from watervane.charts import Picture, render, write_picture
from watervane.charts.data import MOST_TIMES, band_rows, level_domain, thinned, tick_days, wall
from watervane.charts.render import VEGA_LITE
from watervane.charts.spec import forecast_spec


@pytest.fixture(scope="module")
def picture() -> Picture:
    return picture_of(sample_forecast(), sample_tank())


def test_the_specification_compiles_and_has_all_panels(picture: Picture) -> None:
    spec = forecast_spec(picture)
    json.dumps(spec, allow_nan=False)
    vega = vl_convert.vegalite_to_vega(spec, vl_version=VEGA_LITE)
    assert vega["marks"]
    titles = [view["title"]["text"] for view in spec["vconcat"] if "title" in view]
    assert titles == ["Ammonia, mg N/L", "Nitrite, mg N/L", "Nitrate, mg/L as nitrate", "pH"]


def test_rows_carry_the_bands_in_the_unit_of_their_panel(picture: Picture) -> None:
    rows = band_rows(picture)
    band = picture.forecast.series["nitrate_mg_n_per_l"]
    nitrate = next(panel for panel in picture.panels if panel.quantity == "nitrate")
    assert rows[0]["nitrate_mg_n_per_l_p50"] == pytest.approx(
        band.p50[0] * nitrate.factor, rel=1e-3
    )
    assert nitrate.factor == pytest.approx(62.0049 / 14.0067, rel=1e-4)  # molar masses


def test_times_are_those_of_the_clock_on_the_wall(picture: Picture) -> None:
    assert wall(picture.forecast.filled) == "2026-03-01T11:00:00Z"


def test_the_level_axis_shows_bands_and_readings(picture: Picture) -> None:
    for panel in picture.panels:
        low, high = level_domain(picture, panel)
        band = picture.forecast.series[panel.series_key]
        assert low <= min(band.p05) * panel.factor or low == 0.0
        assert high >= max(band.p95) * panel.factor


def test_long_series_are_thinned_but_keep_their_end() -> None:
    assert thinned(10) == list(range(10))
    chosen = thinned(10_000)
    assert len(chosen) <= MOST_TIMES + 1
    assert chosen[-1] == 9_999


def test_few_days_are_labelled(picture: Picture) -> None:
    filled = picture.forecast.filled.date()
    for span in (3, 14, 47, 120, 500):
        days = tick_days(filled, filled.fromordinal(filled.toordinal() + span))
        assert 2 <= len(days) <= 11


@pytest.mark.parametrize(
    ("ending", "start"), [(".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF")]
)
def test_every_form_is_written(picture: Picture, ending: str, start: bytes, tmp_path: Path) -> None:
    path = tmp_path / "deep" / f"chart{ending}"
    write_picture(picture, path)
    assert path.read_bytes().startswith(start)


def test_the_svg_draws_limits_readings_flags_and_words(picture: Picture) -> None:
    drawn = render(picture, ".svg").decode()
    for text in ("settled stays under 0.2", "Thu 12 Mar", ">W<", "Reading room", "as tall as"):
        assert text in drawn


def test_an_unknown_form_is_refused(picture: Picture) -> None:
    with pytest.raises(ValueError, match="svg"):
        render(picture, ".bmp")


def test_a_tank_without_events_or_readings_still_draws() -> None:
    tank = replace(sample_tank(), events=(), habits=(), readings=())
    assert render(picture_of(sample_forecast(), tank), ".svg").startswith(b"<svg")
