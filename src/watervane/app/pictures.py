"""Join records, words and panels into the picture of a forecast."""

from __future__ import annotations

from datetime import timedelta

from watervane.charts import Flag, Mark, Panel, Picture, Words, WordTable
from watervane.records import Forecast, Tank
from watervane.wording import phrase
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.happenings import Happened, happenings
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

# The residuals that count as settled, both in mg N/L: ammonia, nitrite.
SETTLED_UNDER_MG_N_PER_L = {"ammonia": 0.2, "nitrite": 0.1}


def picture_of(forecast: Forecast, tank: Tank, *, basis: str = "usual") -> Picture:
    """Everything a renderer needs to draw a forecast.

    Parameters
    ----------
    forecast, tank
        The forecast and the tank it was made for.
    basis
        ``usual``, ``n`` or ``ion``: how nitrogen is printed.
    """
    until = forecast.as_of + timedelta(days=forecast.horizon_days)
    happened = happenings(tank, until)
    flags = tuple(Flag(item.at, item.letter, item.kind, item.label) for item in happened)
    return Picture(
        forecast=forecast,
        tank=tank,
        panels=tuple(panel_of(shown) for shown in shown_series(basis)),
        flags=flags,
        words=_words(forecast, tank, happened, basis),
    )


def panel_of(shown: Shown) -> Panel:
    """The panel that draws one shown series, with its settled line where there is one."""
    marks: tuple[Mark, ...] = ()
    if shown.quantity in SETTLED_UNDER_MG_N_PER_L:
        level = SETTLED_UNDER_MG_N_PER_L[shown.quantity]
        label = phrase("settled-line", level=f"{level * shown.factor:.2g}")
        marks = (Mark(level * shown.factor, label),)
    title = f"{shown.title}, {shown.unit}" if shown.unit else shown.title
    return Panel(
        series_key=shown.key,
        quantity=shown.quantity,
        title=title,
        factor=shown.factor,
        from_zero=shown.quantity != "ph",
        marks=marks,
    )


def _words(forecast: Forecast, tank: Tank, happened: tuple[Happened, ...], basis: str) -> Words:
    kinds = {item.letter: item.kind for item in happened}
    guide = [phrase("guide-bands"), phrase("guide-readings")]
    if kinds:
        guide.append(
            " \N{MIDDLE DOT} ".join(f"{letter} {kind}" for letter, kind in sorted(kinds.items()))
        )
    tables = (milestone_table(forecast), number_table(forecast, basis=basis))
    records = (reading_table(tank, forecast), event_table(happened))
    return Words(
        title=phrase("picture-title", tank=tank.name, date=weekday_date(forecast.as_of)),
        subtitle=tuple(headline(forecast, basis=basis)),
        description=" ".join(headline(forecast, basis=basis)),
        now_label=phrase("now-label", date=short_date(forecast.as_of)),
        guide=tuple(guide),
        summary=tuple(summary(forecast, basis=basis)),
        reasons_title=phrase("reasons-title"),
        reasons=tuple(trust_sentences(forecast) + assumption_sentences(forecast)),
        cautions=tuple(cautions(tank)),
        tables=tuple(_table(table) for table in tables),
        records=tuple(_table(table) for table in records),
    )


def _table(table: NumberTable) -> WordTable:
    return WordTable(table.title, table.caption, table.headers, table.rows)
