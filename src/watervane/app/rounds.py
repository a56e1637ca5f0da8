"""All tanks as the first page shows them: the rounds, with the marks of each tank's week."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from watervane.app.going_rounds import go_rounds
from watervane.app.keeping import in_sight
from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import View
from watervane.charts import Emblem, EmblemDay
from watervane.records import (
    AtOnce,
    Forecast,
    KeptForecast,
    KeptResult,
    KeptTank,
    Person,
    TankRound,
    TankRounds,
    Today,
    ToldLimit,
)
from watervane.wording.risks import leading_week

READ_HARM = "reading-harmful"  # the verdict that goes by a reading alone


@dataclass(frozen=True, slots=True)
class Foreseen:
    """The newest kept forecast of a tank, and how many entries were written since."""

    forecast: Forecast
    made_at: datetime | None
    written_since: int


@dataclass(frozen=True, slots=True)
class Round:
    """One tank of the rounds.

    ``at_once`` is what readings say that no judgement knows yet; ``read`` are the quantities that
    were read of late, where nothing is judged.
    """

    tank: KeptTank
    told: TankRound
    now: datetime
    foreseen: Foreseen | None
    week: Emblem | None
    at_once: AtOnce = field(default_factory=AtOnce)
    read: frozenset[str] = frozenset()


def rounds(actor: Person, ports: Ports, found: TankRounds | None = None) -> tuple[Round, ...]:
    """The actor's tanks with what was last found out of each, the most urgent first.

    Whoever has gone the rounds already hands over what was ``found``.
    """
    found = go_rounds(actor, ports) if found is None else found
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tanks = {tank.name: tank for tank in in_sight(view)}
        return tuple(
            _round(tanks[told.tank], told, view, found.as_of, ports)
            for told in found.rounds
            if told.tank in tanks
        )


def newest_foreseen(key: str, view: View, ports: Ports) -> Foreseen | None:
    """The newest kept forecast of a tank; one that can no longer be read is none."""
    for kept in (view.result(key, "forecast"), *view.forecasts(key, 1)):
        if kept is not None:
            with suppress(BadInput):
                return _foreseen(kept, key, view, ports)
    return None


def week_of(forecast: Forecast, today: Today | None = None) -> Emblem | None:
    """The marks of the next seven days, of the limit that the verdict names.

    Where it names none, of the one most to be feared.
    """
    week = leading_week(forecast, None if today is None else _named(today))
    if week is None:
        return None
    return Emblem(week.title, tuple(EmblemDay(d.label, d.struck, d.text) for d in week.days))


def _named(today: Today) -> ToldLimit | None:
    """The limit that the verdict's sentence is about; ``None`` where it is about none."""
    said = today.verdict
    if said.key == READ_HARM and said.alarm is not None:
        return said.alarm.limit
    return None if said.leading is None else said.leading.limit


def _foreseen(kept: KeptForecast | KeptResult, key: str, view: View, ports: Ports) -> Foreseen:
    forecast = ports.pages.forecast_of_text(kept.document)
    since = view.written_since(key, kept.newest_entry)
    return Foreseen(forecast, kept.made_at, since)


def _round(tank: KeptTank, told: TankRound, view: View, now: datetime, ports: Ports) -> Round:
    foreseen = newest_foreseen(tank.key, view, ports)
    week = None if foreseen is None else week_of(foreseen.forecast, told.today)
    return Round(tank, told, now.astimezone(ZoneInfo(tank.time_zone)), foreseen, week)
