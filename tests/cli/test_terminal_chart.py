"""The terminal chart fits, and tells its marks apart without colour."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sample_forecasts import moment, sample_forecast, sample_tank

from watervane.app.pictures import picture_of
from watervane.charts import Picture
from watervane.charts.data import level_domain
from watervane.charts.spec import forecast_spec
from watervane.cli.glyphs import BLOCKS, PLAIN, Glyphs, glyphs_for
from watervane.cli.terminal_chart import MARGIN, ROWS, _level_labels, _LevelScale, chart_lines


def drawn(width: int = 80, glyphs: Glyphs = BLOCKS) -> list[str]:
    picture = picture_of(sample_forecast(), sample_tank())
    return [line.plain for line in chart_lines(picture, width, glyphs)]


@pytest.mark.parametrize("width", [40, 80, 100])
@pytest.mark.parametrize("glyphs", [BLOCKS, PLAIN], ids=["blocks", "plain"])
def test_it_fits(width: int, glyphs: Glyphs) -> None:
    lines = drawn(width, glyphs)
    plots = [line for line in lines if line[MARGIN - 1 : MARGIN] in {glyphs.axis, glyphs.tick}]
    assert len(plots) >= 4 * ROWS
    assert max(len(line) for line in plots) <= width


def test_every_mark_is_its_own() -> None:
    for glyphs in (BLOCKS, PLAIN):
        marks = [
            glyphs.outer,
            glyphs.inner,
            glyphs.median,
            glyphs.reading,
            glyphs.reading_late,
            glyphs.open_top,
            glyphs.limit,
            glyphs.now,
        ]
        assert len(set(marks)) == len(marks)
        assert all(len(mark) == 1 for mark in marks)
    assert PLAIN.outer.isascii()


def test_plain_marks_where_the_terminal_knows_no_others() -> None:
    assert glyphs_for("utf-8") is BLOCKS
    assert glyphs_for("ascii") is PLAIN
    assert glyphs_for(None) is PLAIN
    assert all(line.isascii() for line in drawn(80, PLAIN))


def test_the_median_stands_where_the_numbers_say() -> None:
    picture = picture_of(sample_forecast(), sample_tank())
    lines = drawn()
    first = next(i for i, line in enumerate(lines) if line.startswith("Nitrate"))
    rows = lines[first + 1 : first + 1 + ROWS]
    nitrate = picture.panels[2]
    low, high = level_domain(picture, nitrate)
    last = picture.forecast.series[nitrate.series_key].p50[-1] * nitrate.factor
    expected = ROWS - 1 - int((last - low) / ((high - low) / ROWS))
    found = [i for i, row in enumerate(rows) if row[-1] == BLOCKS.median]
    assert found == [expected]


def test_readings_stand_at_their_day() -> None:
    picture = picture_of(sample_forecast(), sample_tank())
    lines = drawn()
    first = next(i for i, line in enumerate(lines) if line.startswith("pH"))
    rows = lines[first + 1 : first + 1 + ROWS]
    columns = {row.index(BLOCKS.reading) for row in rows if BLOCKS.reading in row}
    start = picture.forecast.filled.replace(hour=0)
    span = (moment(46) - start).total_seconds()
    share = (moment(8.8) - start).total_seconds() / span
    assert columns == {MARGIN + int(share * (80 - MARGIN - 1))}


@pytest.mark.parametrize(
    ("high", "labels"),
    [(9.0, ["0.0", "2.5", "5.0", "7.5"]), (70.0, ["0", "20", "40", "60"]), (0.05, ["0.00"])],
)
def test_level_labels_are_round_and_exact(high: float, labels: list[str]) -> None:
    found = list(_level_labels(0.0, high, _LevelScale(0.0, high)).values())
    assert found[: len(labels)] == labels
    assert len(set(found)) == len(found)


@pytest.mark.parametrize("width", [40, 44, 60, 80])
def test_every_level_line_is_explained_whatever_the_width(width: int) -> None:
    picture = picture_of(sample_forecast(), sample_tank())
    panel = next(panel for panel in picture.panels if len(panel.marks) > 1)
    lines = drawn(width)
    first = lines.index(next(line for line in lines if line.startswith(panel.title)))
    last = next(i for i in range(first + 1, len(lines)) if lines[i][MARGIN - 1 : MARGIN] in "│┤")
    title = lines[first:last]
    assert max(map(len, title)) <= width
    for mark in panel.marks:
        assert any(f"{BLOCKS.limit * 2} {mark.label}" in line for line in title)


def across_a_year() -> Picture:
    """The invented forecast, with everything moved to the end of the year."""
    forecast, later = sample_forecast(), timedelta(days=280)
    moved = replace(
        forecast,
        filled=forecast.filled + later,
        as_of=forecast.as_of + later,
        times=tuple(time + later for time in forecast.times),
    )
    return picture_of(moved, replace(sample_tank(), readings=(), events=(), habits=()))


def test_the_year_stands_where_a_picture_runs_over_its_end() -> None:
    picture = across_a_year()
    assert picture.words.title.endswith("Thursday 17 December 2026")
    axis = [line for line in (x.plain for x in chart_lines(picture, 80, BLOCKS)) if " Dec" in line]
    assert any("Dec 2026" in line and "Jan 2027" in line for line in axis)
    ticks = forecast_spec(picture)["vconcat"][-2]["layer"][-1]["encoding"]["x"]["axis"]
    assert ticks["format"].endswith("%Y")


def test_within_one_year_the_year_is_left_out() -> None:
    picture = picture_of(sample_forecast(), sample_tank())
    assert picture.words.title.endswith("Thursday 12 March")
    assert not any("2026" in line for line in drawn())
    ticks = forecast_spec(picture)["vconcat"][-2]["layer"][-1]["encoding"]["x"]["axis"]
    assert not ticks["format"].endswith("%Y")
