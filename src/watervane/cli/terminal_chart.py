"""The forecast drawn in characters: one panel a series over a shared time axis."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from rich.text import Text

from watervane.charts import Panel, Picture
from watervane.charts.data import day_start, horizon_end, level_domain, tick_days
from watervane.charts.readings import reading_bars
from watervane.cli.glyphs import Glyphs
from watervane.records import QUANTILE_KEYS, Band
from watervane.wording import phrase
from watervane.wording.dates import tick_label

ROWS = 9
HALF_A_DAY = timedelta(hours=12)
MARGIN = 7  # columns for the level labels and the axis
STYLES = {"reading": "bold dark_orange3", "now": "dark_orange3", "median": "bold", "limit": "dim"}
GUIDE = ("outer", "inner", "median", "now", "reading", "later", "open")
Grid = list[list[tuple[str, str]]]


class _TimeScale:
    """Columns of the plot against time."""

    def __init__(self, picture: Picture, columns: int) -> None:
        self.start = day_start(picture.forecast.filled)
        self.end = horizon_end(picture.forecast)
        self.columns = columns
        self._seconds = (self.end - self.start).total_seconds()

    def column(self, at: datetime) -> int:
        share = (at - self.start).total_seconds() / self._seconds
        return min(self.columns - 1, max(0, math.floor(share * self.columns)))

    def middle(self, column: int) -> datetime:
        return self.start + timedelta(seconds=self._seconds * (column + 0.5) / self.columns)


class _LevelScale:
    """Rows of the plot against level; row 0 is the top."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.step = low, (high - low) / ROWS

    def row(self, level: float) -> int:
        return ROWS - 1 - min(ROWS - 1, max(0, math.floor((level - self.low) / self.step)))

    def rows(self, low: float, high: float) -> range:
        return range(self.row(high), self.row(low) + 1)


def chart_lines(picture: Picture, width: int, glyphs: Glyphs) -> list[Text]:
    """All panels, the flags above them and the guide below.

    Parameters
    ----------
    picture
        Records and words.
    width
        Columns of the terminal; nothing drawn is wider.
    glyphs
        Block marks or plain ones.
    """
    times = _TimeScale(picture, max(20, width - MARGIN - 1))
    lines = _flag_lines(picture, times)
    for panel in picture.panels:
        lines += _title_lines(panel, width, glyphs)
        lines += _panel_lines(picture, panel, times, glyphs)
    lines += [Text(part, style="dim") for part in _guide(picture, glyphs, width)]
    return [*lines, Text("")]


def chief_panel(picture: Picture) -> Panel:
    """The panel that matters most: whose water may go farthest past the lowest of its lines.

    Parameters
    ----------
    picture
        With its panels.
    """

    def how_far(panel: Panel) -> float:
        forecast = picture.forecast
        band = forecast.series[panel.series_key]
        ahead = [h for h, at in zip(band.p95, forecast.times, strict=True) if at >= forecast.as_of]
        lines = [mark.value for mark in panel.marks if mark.value > 0.0]
        if not panel.from_zero or not lines or not ahead:
            return 0.0
        return max(ahead) * panel.factor / min(lines)

    return max(picture.panels, key=how_far)


def _title_lines(panel: Panel, width: int, glyphs: Glyphs) -> list[Text]:
    """The panel's title and, beside it or below, what each level line means."""
    lines = [Text(panel.title, style="bold")]
    for mark in panel.marks:
        told = f"   {glyphs.limit * 2} {mark.label}"
        if len(lines[-1]) + len(told) > width:
            lines.append(Text())
        lines[-1].append(told, style="not bold")
    return lines


def _panel_lines(picture: Picture, panel: Panel, times: _TimeScale, glyphs: Glyphs) -> list[Text]:
    low, high = level_domain(picture, panel)
    levels = _LevelScale(low, high)
    grid: Grid = [[(" ", "")] * times.columns for _ in range(ROWS)]
    now = times.column(picture.forecast.as_of)
    for mark in panel.marks:
        _limit(grid, levels.row(mark.value), glyphs)
    for row in grid:
        row[now] = (glyphs.now, STYLES["now"])
    _bands(grid, picture, panel, times, levels, glyphs)
    _readings(grid, picture, panel, times, levels, glyphs)
    labels = _level_labels(low, high, levels)
    lines: list[Text] = []
    for index, row in enumerate(grid):
        label = labels.get(index)
        line = Text(f"{label or '':>{MARGIN - 2}} {glyphs.tick if label else glyphs.axis}")
        for character, style in row:
            line.append(character, style=style)
        lines.append(line)
    return [*lines, *_axis_lines(picture, times, glyphs), Text("")]


def _bands(
    grid: Grid,
    picture: Picture,
    panel: Panel,
    times: _TimeScale,
    levels: _LevelScale,
    glyphs: Glyphs,
) -> None:
    forecast, factor, before = picture.forecast, panel.factor, None
    band = daily_means(forecast.series[panel.series_key], forecast.times)
    at = 0
    for column in range(times.column(forecast.times[0]), times.columns):
        middle = times.middle(column)
        while at + 1 < len(forecast.times) and forecast.times[at + 1] <= middle:
            at += 1
        for row in levels.rows(band.p05[at] * factor, band.p95[at] * factor):
            grid[row][column] = (glyphs.outer, "")
        for row in levels.rows(band.p25[at] * factor, band.p75[at] * factor):
            grid[row][column] = (glyphs.inner, "")
        here = levels.row(band.p50[at] * factor)
        reach = range(here, here + 1)
        if before is not None and abs(here - before) > 1:  # keep a steep line joined
            reach = range(here, before) if here < before else range(before + 1, here + 1)
        for row in reach:
            grid[row][column] = (glyphs.median, STYLES["median"])
        before = here


def daily_means(band: Band, times: tuple[datetime, ...]) -> Band:
    """Each quantile averaged over the day around it.

    A column of characters is about as wide as a day, so the swing from day to night
    would only turn into noise.
    """
    first, last, columns = 0, 0, {key: list[float]() for key in QUANTILE_KEYS}
    for moment in times:
        while moment - times[first] > HALF_A_DAY:
            first += 1
        while last < len(times) and times[last] - moment <= HALF_A_DAY:
            last += 1
        for key, column in columns.items():
            window = getattr(band, key)[first:last]
            column.append(sum(window) / len(window))
    return Band(**{key: tuple(column) for key, column in columns.items()})


def _readings(
    grid: Grid,
    picture: Picture,
    panel: Panel,
    times: _TimeScale,
    levels: _LevelScale,
    glyphs: Glyphs,
) -> None:
    for bar in reading_bars(picture.tank, panel.quantity, picture.forecast.as_of):
        if bar.at > times.end:
            continue
        mark = glyphs.reading if bar.used else glyphs.reading_late
        column = times.column(bar.at)
        rows = levels.rows(bar.low * panel.factor, bar.high * panel.factor)
        for row in rows:
            grid[row][column] = (mark, STYLES["reading"])
        if bar.open_top:
            grid[rows[0]][column] = (glyphs.open_top, STYLES["reading"])


def _limit(grid: Grid, row: int, glyphs: Glyphs) -> None:
    for column in range(len(grid[row])):
        grid[row][column] = (glyphs.limit, STYLES["limit"])


def _level_labels(low: float, high: float, levels: _LevelScale) -> dict[int, str]:
    rough = (high - low) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * nice for nice in (1, 2, 2.5, 5, 10) if power * nice >= rough)
    places = len(f"{step:.6g}".partition(".")[2])
    labels = {}
    tick = math.ceil(low / step - 1e-9) * step
    while tick < high:
        labels[levels.row(tick)] = f"{tick:.{places}f}"
        tick += step
    return labels


def _axis_lines(picture: Picture, times: _TimeScale, glyphs: Glyphs) -> list[Text]:
    floor = [glyphs.floor] * times.columns
    labels = [" "] * (times.columns + MARGIN)
    free = 0
    zone = picture.forecast.as_of.tzinfo
    for day in tick_days(times.start.date(), times.end.date()):
        column = times.column(datetime(day.year, day.month, day.day, tzinfo=zone))
        label = tick_label(day, times.start, times.end)
        if column >= free and column + len(label) <= len(labels) - MARGIN:
            floor[column] = glyphs.floor_tick
            labels[column + MARGIN : column + MARGIN + len(label)] = label
            free = column + len(label) + 2
    axis = f"{' ' * (MARGIN - 1)}{glyphs.corner}{''.join(floor)}"
    return [Text(axis), Text("".join(labels).rstrip())]


def _flag_lines(picture: Picture, times: _TimeScale) -> list[Text]:
    flags = [" "] * times.columns
    for flag in picture.flags:
        if times.start <= flag.at <= times.end:
            column = times.column(flag.at)
            flags[column] = flag.letter if flags[column] == " " else "+"
    now = times.column(picture.forecast.as_of)
    label = picture.words.now_label
    offset = min(now, times.columns - len(label))
    lines = [Text(f"{' ' * (MARGIN + offset)}{label}", style=STYLES["now"])]
    if any(flag != " " for flag in flags):
        lines.insert(0, Text(f"{' ' * MARGIN}{''.join(flags).rstrip()}"))
    return lines


def _guide(picture: Picture, glyphs: Glyphs, width: int) -> list[str]:
    marks = {name: getattr(glyphs, name) for name in Glyphs.__slots__}
    kinds = {flag.letter: flag.kind for flag in picture.flags}
    parts = [phrase(f"terminal-guide-{name}", **marks) for name in GUIDE]
    parts += [f"{letter}: {kind}" for letter, kind in sorted(kinds.items())]
    if kinds:
        parts.append(phrase("terminal-guide-several"))
    lines = [""]
    for part in parts:
        if lines[-1] and len(lines[-1]) + 3 + len(part) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]}   {part}".strip()
    return lines
