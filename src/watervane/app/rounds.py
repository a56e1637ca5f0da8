"""All tanks at a glance, the one that could lose animals soonest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import View
from watervane.charts import Emblem, EmblemDay
from watervane.records import Forecast, KeptForecast, KeptResult, KeptTank, Person
from watervane.wording.risks import leading_week

ACUTE, CHRONIC = "_acute", "_chronic"
DAYS = 7
WORTH_FEARING = 0.05  # one future of twenty
UNKNOWN, UNTROUBLED = 2 * DAYS, 3 * DAYS  # ranks behind any day of harm


@dataclass(frozen=True, slots=True)
class Foreseen:
    """The newest kept forecast of a tank, and how many entries were written since."""

    forecast: Forecast
    made_at: datetime | None
    written_since: int


@dataclass(frozen=True, slots=True)
class Round:
    """One tank of the rounds."""

    tank: KeptTank
    now: datetime
    foreseen: Foreseen | None
    week: Emblem | None


def rounds(actor: Person, ports: Ports) -> tuple[Round, ...]:
    """The actor's tanks with what was last foretold of each, the most urgent first."""
    now = ports.journal.now()
    with ports.journal.open() as journal, journal.looking(actor) as view:
        found = [_round(tank, view, now, ports) for tank in view.tanks()]
    return tuple(sorted(found, key=_urgency))


def newest_foreseen(key: str, view: View, ports: Ports) -> Foreseen | None:
    """The newest kept forecast of a tank; one that can no longer be read is none."""
    kept = view.result(key, "forecast") or next(iter(view.forecasts(key, 1)), None)
    try:
        return None if kept is None else _foreseen(kept, key, view, ports)
    except BadInput:
        return None


def week_of(forecast: Forecast) -> Emblem | None:
    """The marks of the next seven days, of the limit most to be feared."""
    week = leading_week(forecast)
    if week is None:
        return None
    return Emblem(week.title, tuple(EmblemDay(d.label, d.struck, d.text) for d in week.days))


def _foreseen(kept: KeptForecast | KeptResult, key: str, view: View, ports: Ports) -> Foreseen:
    forecast = ports.pages.forecast_of_text(kept.document)
    since = max(0, view.newest_entry(key) - kept.newest_entry)
    return Foreseen(forecast, kept.made_at, since)


def _round(tank: KeptTank, view: View, now: datetime, ports: Ports) -> Round:
    foreseen = newest_foreseen(tank.key, view, ports)
    week = None if foreseen is None else week_of(foreseen.forecast)
    return Round(tank, now.astimezone(ZoneInfo(tank.time_zone)), foreseen, week)


def _urgency(each: Round) -> tuple[float, float, str]:
    """Days until harm is to be feared, what harms at once first; then the chance; then the name."""
    name = each.tank.name.casefold()
    if each.foreseen is None:
        return (UNKNOWN, 0.0, name)
    forecast = each.foreseen.forecast
    gone = max(0, (each.now - forecast.as_of).days)
    for rank, tier in ((0, ACUTE), (DAYS, CHRONIC)):
        days = _worst(forecast, tier)[gone : gone + DAYS]
        feared = [day for day, chance in enumerate(days) if chance >= WORTH_FEARING]
        if feared:
            return (rank + feared[0], -max(days), name)
    return (UNTROUBLED, -max(_worst(forecast, ACUTE)[gone:], default=0.0), name)


def _worst(forecast: Forecast, tier: str) -> tuple[float, ...]:
    """The greatest chance of any limit of a tier, day by day."""
    told = [chances for subject, chances in forecast.risk.items() if subject.endswith(tier)]
    return tuple(max(day) for day in zip(*told, strict=True))
