"""Join records, words and panels into the picture of a forecast."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from watervane.charts import Emblem, EmblemDay, Flag, Mark, Panel, Picture, Words, WordTable
from watervane.records import Band, Finding, Forecast, SettledLevels, Tank, plans_begin
from watervane.wording import finding_line, phrase
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.happenings import Happened, happenings
from watervane.wording.risks import Watched, marked_weeks, watched
from watervane.wording.shown import Shown, shown_series
from watervane.wording.summary import (
    assumption_sentences,
    cautions,
    headline,
    summary,
    trust_sentences,
)
from watervane.wording.tables import (
    NumberTable,
    event_table,
    milestone_table,
    number_table,
    reading_table,
)

SETTLED_SPECIES = ("ammonia", "nitrite")


def picture_of(
    forecast: Forecast,
    tank: Tank,
    *,
    basis: str = "usual",
    findings: tuple[Finding, ...] = (),
    now: datetime | None = None,
) -> Picture:
    """Everything a renderer needs to draw a forecast.

    Parameters
    ----------
    forecast, tank
        The forecast and the tank it was made for.
    basis
        ``usual``, ``n`` or ``ion``: how nitrogen is printed.
    findings
        What the reader of the tank's file had to take for granted.
    now
        The present, for telling plans from log entries the forecast did not know.
    """
    until = forecast.as_of + timedelta(days=forecast.horizon_days)
    happened = happenings(
        tank,
        forecast.as_of,
        until,
        plans_begin(tank, forecast.as_of, now or datetime.now(UTC)),
    )
    flags = tuple(Flag(item.at, item.letter, item.kind, item.label) for item in happened)
    return Picture(
        forecast=forecast,
        tank=tank,
        panels=tuple(panel_of(shown, forecast) for shown in shown_series(basis)),
        flags=flags,
        words=_words(forecast, tank, happened, basis, findings),
    )


def panel_of(shown: Shown, forecast: Forecast) -> Panel:
    """The panel that draws one shown series, with its labelled levels where there are any."""
    marks = []
    if shown.quantity in SETTLED_SPECIES:
        level = SettledLevels().of(shown.quantity) * shown.factor
        marks.append(Mark(level, phrase("settled-line", level=f"{level:.2g}")))
    for limit in filter(None, map(watched, forecast.risk)):
        if limit.series_key == shown.key and _reached(limit, forecast.series[shown.key]):
            level = limit.value * shown.factor
            key = "caution-line-over" if limit.above else "caution-line-under"
            marks.append(Mark(level, phrase(key, level=f"{level:.2g}")))
    title = f"{shown.title}, {shown.unit}" if shown.unit else shown.title
    return Panel(
        series_key=shown.key,
        quantity=shown.quantity,
        title=title,
        factor=shown.factor,
        from_zero=shown.quantity != "ph",
        marks=tuple(marks),
    )


def _reached(limit: Watched, band: Band) -> bool:
    """A level far outside the band would only squeeze the picture."""
    if limit.above:
        return max(band.p95) > 0.5 * limit.value
    return min(band.p05) < limit.value + 0.5


def _words(
    forecast: Forecast,
    tank: Tank,
    happened: tuple[Happened, ...],
    basis: str,
    findings: tuple[Finding, ...],
) -> Words:
    kinds = {item.letter: item.kind for item in happened}
    guide = [phrase("guide-bands"), phrase("guide-readings")]
    if kinds:
        guide.append(
            " \N{MIDDLE DOT} ".join(f"{letter}: {kind}" for letter, kind in sorted(kinds.items()))
        )
    tables = (milestone_table(forecast), number_table(forecast, basis=basis))
    records = (reading_table(tank, forecast), event_table(happened))
    return Words(
        title=phrase("picture-title", tank=tank.name, date=_day_of(forecast)),
        subtitle=tuple(headline(forecast, basis=basis)),
        description=" ".join(headline(forecast, basis=basis)),
        now_label=phrase("now-label", date=short_date(forecast.as_of)),
        guide=tuple(guide),
        summary=tuple(summary(forecast, basis=basis)),
        emblems=_emblems(forecast),
        emblem_guide=phrase("emblem-guide"),
        reasons_title=phrase("reasons-title"),
        reasons=_reasons(forecast, findings),
        cautions=tuple(cautions(tank)),
        tables=tuple(_table(table) for table in tables),
        records=tuple(_table(table) for table in records),
    )


def _day_of(forecast: Forecast) -> str:
    """The day of a forecast, with its year where the picture runs over the end of one."""
    until = forecast.as_of + timedelta(days=forecast.horizon_days)
    years = (forecast.filled, until)
    other = next((day for day in years if day.year != forecast.as_of.year), None)
    return weekday_date(forecast.as_of, beside=other)


def _emblems(forecast: Forecast) -> tuple[Emblem, ...]:
    return tuple(
        Emblem(
            week.title,
            tuple(EmblemDay(day.label, day.struck, day.text) for day in week.days),
        )
        for week in marked_weeks(forecast)
    )


def _reasons(forecast: Forecast, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    told = [finding_line(finding) for finding in findings]
    sentences = [*trust_sentences(forecast), *told, *assumption_sentences(forecast)]
    return tuple(dict.fromkeys(sentences))


def _table(table: NumberTable) -> WordTable:
    return WordTable(table.title, table.caption, table.headers, table.rows)
