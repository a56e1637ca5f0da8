"""Join records, words and panels into the picture of a forecast."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from watervane.charts import Emblem, EmblemDay, Flag, Mark, Panel, Picture, Words, WordTable
from watervane.records import Band, Finding, Forecast, Tank, plans_begin
from watervane.wording import finding_line, phrase
from watervane.wording.amounts import plain
from watervane.wording.brief import brief_findings
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.happenings import Happened, happenings
from watervane.wording.lessons import in_words
from watervane.wording.risks import limit_lines, marked_weeks
from watervane.wording.shown import Shown, shown_series
from watervane.wording.summary import (
    assumption_sentences,
    brief_summary,
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
from watervane.wording.watched import Watched, watched

SETTLED_SPECIES = ("ammonia", "nitrite")
MOST_LETTERS = 44  # of a label: what the narrowest drawing has room for


def picture_of(
    forecast: Forecast,
    tank: Tank,
    *,
    basis: str = "usual",
    findings: tuple[Finding, ...] = (),
    now: datetime | None = None,
    since: datetime | None = None,
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
    since
        Where the time axis begins; left out, with the filling.
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
        since=since,
    )


def panel_of(shown: Shown, forecast: Forecast) -> Panel:
    """The panel that draws one shown series, with its labelled levels where there are any."""
    marks = []
    if shown.quantity in SETTLED_SPECIES:
        level = forecast.settled_levels.of(shown.quantity) * shown.factor
        marks.append(Mark(level, phrase("settled-line", level=plain(level, 2))))
    drawn = drawn_limits(shown, forecast)
    apart = len({limit.animals for limit in drawn if limit.told is not None}) > 1
    for limit in drawn:
        level = limit.drawn_value * shown.factor
        side = "over" if limit.above else "under"
        key = f"limit-line-{limit.tier}-{side}" if limit.tier else f"caution-line-{side}"
        label = phrase(key, level=plain(level, 2))
        marks.append(Mark(level, _whose(label, limit) if apart else label))
    title = f"{shown.title}, {shown.unit}" if shown.unit else shown.title
    return Panel(
        series_key=shown.key,
        quantity=shown.quantity,
        title=title,
        factor=shown.factor,
        from_zero=shown.quantity != "ph",
        marks=tuple(sorted(marks, key=lambda mark: mark.value)),
    )


def _whose(label: str, limit: Watched) -> str:
    """A line's label with whose limit it is: lines of one panel may be of different animals."""
    animals = () if limit.told is None else limit.told.animals
    for name in dict.fromkeys((limit.animals, *animals[:1])):
        more = len(animals) - 1 if name != limit.animals else 0
        key = "limit-line-whose-and" if more else "limit-line-whose"
        told = phrase(key, line=label, name=name, count=more)
        if name and len(told) <= MOST_LETTERS:
            return told
    return label


def drawn_limits(shown: Shown, forecast: Forecast) -> list[Watched]:
    """Limits that are drawn as lines on a panel: those the water comes near to."""
    found = filter(None, (watched(key, forecast.limits) for key in forecast.risk))
    band = forecast.series[shown.key]
    return [one for one in found if one.series_key == shown.key and _reached(one, band)]


def _reached(limit: Watched, band: Band) -> bool:
    """A level far outside the band would only squeeze the picture."""
    if not limit.above:
        return min(band.p05) < limit.drawn_value + 0.5
    near = limit.drawn_value - 0.5 if limit.series_key == "ph" else 0.5 * limit.drawn_value
    return max(band.p95) > near


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
        brief=tuple(brief_summary(forecast, basis=basis)),
        brief_reasons=_brief_reasons(forecast, findings),
        emblems=_emblems(forecast),
        emblem_guide=phrase("emblem-guide"),
        reasons_title=phrase("reasons-title"),
        reasons=_reasons(forecast, findings),
        limits_title=phrase("limits-title"),
        limits=_limits(forecast),
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


def _brief_reasons(forecast: Forecast, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    told = [*map(in_words, forecast.diagnostics.findings), *findings, *forecast.assumptions]
    return tuple(dict.fromkeys(brief_findings(told)))


def _limits(forecast: Forecast) -> tuple[str, ...]:
    """Where the limits that are told or drawn come from."""
    drawn = [one.key for shown in shown_series() for one in drawn_limits(shown, forecast)]
    return tuple(limit_lines(forecast, tuple(drawn)))


def _table(table: NumberTable) -> WordTable:
    return WordTable(table.title, table.caption, table.headers, table.rows)
