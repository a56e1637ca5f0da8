"""Food a keeper gives but did not write down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from watervane.engine.known import as_known, moment_of_forecast, present
from watervane.process.calendar import Calendar, events_through
from watervane.process.population import Population
from watervane.records import AnimalsIn, AnimalsOut, Died, Feed, Finding, Habit, Span, Tank

USUAL_SHARE_OF_MASS = Span(0.007, 0.025)  # 1 to 2 % a day, common practice, no source
RECENT_DAYS = 14
MEAL_AT = time(18)


@dataclass(frozen=True)
class KnownTank:
    """A tank as it was known at a moment, with the food its animals are assumed to get.

    ``findings`` tell what was assumed of food.
    """

    tank: Tank
    findings: tuple[Finding, ...]
    calendar: Calendar
    as_of: datetime


def fed_as_known(tank: Tank, as_of: datetime | None, now: datetime | None) -> KnownTank:
    """Take a tank as it was known at a moment, and feed its animals.

    Parameters
    ----------
    tank
        With its whole log.
    as_of, now
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    now = present(tank, now or datetime.now(UTC))
    as_of = moment_of_forecast(tank, as_of, calendar, now)
    known, findings = with_assumed_food(as_known(tank, as_of, now), as_of, calendar)
    return KnownTank(known, findings, calendar, as_of)


def with_assumed_food(
    tank: Tank, as_of: datetime, calendar: Calendar
) -> tuple[Tank, tuple[Finding, ...]]:
    """Give animals food where the log is silent about it; an unlogged day is no fast day.

    Animals that are never fed in the log get `normal_food`, else a usual share of their
    mass. Where single meals were logged of late and none is planned, they go on at their
    daily mean. A habit that was ended is believed.
    """
    habits = [h for h in tank.habits if isinstance(h.template, Feed)]
    meals = [e for e in tank.events if isinstance(e, Feed)]
    if not habits and not meals:
        added = tuple(_usual_meals(tank, calendar))
        if not added:
            return tank, ()
        told = {"mass_g": added[-1].template.mass_g}  # type: ignore[union-attr]
        return (
            replace(tank, habits=(*tank.habits, *added)),
            (Finding("assumed-feeding", "caution", told),),
        )
    if habits or any(e.at > as_of for e in meals):
        return tank, ()
    going_on = _recent_mean(tank, as_of, calendar)
    if going_on is None:
        return tank, ()
    told = {"mass_g": going_on.mass_g}
    start = as_of.astimezone(calendar.zone).date() + timedelta(days=1)
    habit = Habit(template=going_on, every_days=1, start=start)
    return (
        replace(tank, habits=(*tank.habits, habit)),
        (Finding("assumed-feeding-goes-on", "info", told),),
    )


def _usual_meals(tank: Tank, calendar: Calendar) -> Iterator[Habit]:
    """A daily meal for each stretch between changes of the stock, while there is any."""
    stretches = _mass_by_date(tank, calendar)
    days = list(stretches)
    for i, day in enumerate(days):
        grams = stretches[day]
        if grams <= 0.0:
            continue
        until = days[i + 1] - timedelta(days=1) if i + 1 < len(days) else None
        share = USUAL_SHARE_OF_MASS
        mass = tank.normal_food_g_per_d or Span(grams * share.low, grams * share.high)
        at = datetime.combine(day, MEAL_AT, calendar.zone)
        meal = Feed(at=at, mass_g=mass, protein=tank.normal_food_protein)
        yield Habit(template=meal, every_days=1, start=day, until=until)


def _mass_by_date(tank: Tank, calendar: Calendar) -> dict[date, float]:
    """Animals' mass after each date the stock changed. [g]"""
    stock = Population(1.0, own=tank.own_animals)
    masses: dict[date, float] = {}
    for event in events_through(replace(tank, habits=()), calendar, 0):
        if isinstance(event, AnimalsIn | AnimalsOut | Died):
            stock.record(calendar.days(event.at), event)
            day = event.at.astimezone(calendar.zone).date()
            masses[day] = sum(n * stock.masses_g[s] for s, n in stock.counts.items() if n)
    return masses


def _recent_mean(tank: Tank, as_of: datetime, calendar: Calendar) -> Feed | None:
    """The mean of the last fortnight's single meals as one daily meal, if animals are there."""
    now_d = calendar.days(as_of)
    recent = [
        e
        for e in tank.events
        if isinstance(e, Feed) and now_d - RECENT_DAYS < calendar.days(e.at) <= now_d
    ]
    masses = [m for day, m in _mass_by_date(tank, calendar).items() if day <= as_of.date()]
    if not recent or not masses or masses[-1] <= 0.0:
        return None
    first = min(calendar.days(e.at) for e in recent)
    days = max(1, round(now_d - first + 0.5))
    low, high = sum(e.mass_g.low for e in recent), sum(e.mass_g.high for e in recent)
    if high <= 0.0:
        return None
    protein = sum(e.mass_g.centre * e.protein for e in recent) / sum(
        e.mass_g.centre for e in recent
    )
    last = max(recent, key=lambda e: calendar.days(e.at))
    return Feed(at=last.at, mass_g=Span(low / days, high / days), protein=protein)
