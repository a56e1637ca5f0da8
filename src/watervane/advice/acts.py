"""Things a keeper can do, as changes of what is planned, with the work they take.

Work is counted in minutes of one person with buckets: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime, timedelta

from watervane.process.calendar import Calendar, events_through
from watervane.records import (
    Act,
    AnimalsOut,
    Clean,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Seed,
    Span,
    Tank,
    WaterChange,
)

BEGIN_MIN, PER_LITRE_MIN = 8.0, 0.6  # of a water change: fetch and tidy, carry and condition
FAST_MIN_PER_D, LESS_MIN_PER_D = 3.0, 1.5  # no work, but not for nothing
AIR_MIN, CLEAR_MIN, DOSE_MIN, WARM_MIN = 10.0, 10.0, 6.0, 5.0
ZEOLITE_MIN = 15.0  # rinse it, fill a bag, hang it into the flow
POURED = ("condition", "salt", "buffer", "zeolite")
SEED_MIN, MOVE_MIN = 60.0, 90.0
LESS_FOOD = 0.5
SETTINGS = {
    "air": "air_flow_l_per_h",
    "warm": "heater_set_point_c",
    "cool": "heater_set_point_c",
}
READ_MIN = 8.0  # two tests read side by side
CARRIED_L, BY_HOSE_MIN = 150.0, 0.1  # past what one person carries a day, a hose is laid


def change(
    at: datetime, share: float, volume_l: float, times: int = 1, every_d: float = 1.0
) -> Act:
    """Change a share of the water, once or every so many days."""
    litres = share * volume_l
    return Act("change", at, share, "share", times, every_d, "", _change_min(litres), litres)


def _change_min(litres: float) -> float:
    carried = min(litres, CARRIED_L)
    return BEGIN_MIN + PER_LITRE_MIN * carried + BY_HOSE_MIN * (litres - carried)


def check(
    at: datetime,
    share: float,
    volume_l: float,
    often: tuple[int, float],
    above: tuple[tuple[str, float], ...],
) -> Act:
    """Read tests some times, so many days apart, and change a share of the water where one is high.

    Parameters
    ----------
    at
        Now; the first time comes so many days later.
    share
        Of the water, on a day on which a test shows so much.
    volume_l
        Of the full tank. [L]
    often
        How many times, and how many days apart. [d]
    above
        Readings from which on water is changed, by quantity. [mg N/L]
    """
    times, every_d = often
    what = ", ".join(quantity for quantity, _ in above)
    litres = share * volume_l
    begin = at + timedelta(days=every_d)
    return Act("check", begin, share, "share", times, every_d, what, READ_MIN, litres, above)


def fast(at: datetime, days: float) -> Act:
    """Give no food for some days."""
    return Act("fast", at, days, "d", minutes=FAST_MIN_PER_D * days)


def less_food(at: datetime, days: float) -> Act:
    """Give half the food for some days."""
    return Act("less-food", at, days, "d", minutes=LESS_MIN_PER_D * days)


def air(at: datetime, flow_l_per_h: float) -> Act:
    """Run so much air from now on."""
    return Act("air", at, flow_l_per_h, "L/h", minutes=AIR_MIN)


def clear(at: datetime) -> Act:
    """Take out what is dead or left uneaten."""
    return Act("clear", at, minutes=CLEAR_MIN)


def dose(kind: str, at: datetime, substance: str, grams: float) -> Act:
    """Dose a substance; ``kind`` is ``condition``, ``salt`` or ``buffer``."""
    return Act(kind, at, grams, "g" if grams else "", what=substance, minutes=DOSE_MIN)


def zeolite(at: datetime, grams: float) -> Act:
    """Hang a bag of zeolite into the filter's flow."""
    return Act("zeolite", at, grams, "g", what="zeolite", minutes=ZEOLITE_MIN)


def seed(at: datetime, litres: float) -> Act:
    """Bring in mature media of a healthy tank."""
    return Act("seed", at, litres, "L", minutes=SEED_MIN)


def move_out(at: datetime, species: str, count: int) -> Act:
    """Give some animals a place elsewhere."""
    return Act("move-out", at, float(count), "animals", what=species, minutes=MOVE_MIN)


def set_warmth(at: datetime, warmth_c: float, *, warmer: bool) -> Act:
    """Set the heater."""
    return Act("warm" if warmer else "cool", at, warmth_c, "degC", minutes=WARM_MIN)


def work_of(acts: Iterable[Act], answers: float = 0.0) -> tuple[float, float]:
    """Work and source water of all acts. [min], [L]

    Parameters
    ----------
    acts
        Each as often as it says.
    answers
        Changes of water to be expected of a check, besides its readings.
    """
    minutes = litres = 0.0
    for act in acts:
        minutes += act.minutes * act.times
        if act.kind == "check":
            minutes += answers * _change_min(act.litres)
        litres += act.litres * (answers if act.kind == "check" else act.times)
    return minutes, litres


def with_acts(
    tank: Tank, acts: Iterable[Act], calendar: Calendar, temperature_c: float | None = None
) -> Tank:
    """The tank with acts done.

    Parameters
    ----------
    tank
        With its plans.
    acts
        In any order.
    calendar
        Of the tank.
    temperature_c
        Of the water poured in, matched to the tank's; left out, that of the tap. [degC]
    """
    for act in acts:
        tank = _DOING[act.kind](tank, act, calendar, temperature_c)
    return tank


def events_of(act: Act, temperature_c: float | None = None) -> tuple[Event, ...]:
    """What a keeper's log says once an act is done; empty for one that only changes meals.

    Parameters
    ----------
    act
        Done each time it says.
    temperature_c
        Of the water poured in; left out, that of the tap. [degC]
    """
    moments = (act.at + timedelta(days=k * act.every_days) for k in range(act.times))
    return tuple(e for at in moments if (e := _event(act, at, temperature_c)) is not None)


def _event(act: Act, at: datetime, temperature_c: float | None) -> Event | None:
    if act.kind == "change":
        return WaterChange(at=at, fraction=act.amount, temperature_c=temperature_c)
    if act.kind == "clear":
        return Clean(at=at, part="waste")
    if act.kind == "seed":
        return Seed(at=at, source="media", volume_l=act.amount)
    if act.kind == "move-out":
        return AnimalsOut(at=at, species=act.what, count=round(act.amount))
    if act.kind in SETTINGS:
        return EquipmentChange(at=at, changes={SETTINGS[act.kind]: act.amount})
    if act.kind in POURED:
        mass = Span.exact(act.amount) if act.amount else None
        return Dose(at=at, substance=act.what, mass_g=mass)
    return None


def _left_alone(tank: Tank, *_: object) -> Tank:
    """Of a check: whether water is changed differs from member to member."""
    return tank


def _doing_events(tank: Tank, act: Act, _: Calendar, temperature_c: float | None) -> Tank:
    return replace(tank, events=(*tank.events, *events_of(act, temperature_c)))


def _feeding(factor: float) -> Callable[[Tank, Act, Calendar, float | None], Tank]:
    def fed(tank: Tank, act: Act, calendar: Calendar, _: float | None) -> Tank:
        end = act.at + timedelta(days=act.amount)
        last = calendar.date(0)
        last_day = (end.astimezone(calendar.zone).date() - last).days
        first = act.at.astimezone(calendar.zone).replace(hour=0, minute=0, second=0, microsecond=0)

        def less(event: Feed) -> Feed:
            if not act.at <= event.at < end:
                return event
            return replace(
                event, mass_g=Span(factor * event.mass_g.low, factor * event.mass_g.high)
            )

        inside = [
            e for e in events_through(tank, calendar, last_day)
            if isinstance(e, Feed) and first <= e.at < end
        ]  # fmt: skip
        others = (e for e in tank.events if not (isinstance(e, Feed) and first <= e.at < end))
        return replace(tank, events=(*others, *(less(e) for e in inside)))

    return fed


_DOING: dict[str, Callable[[Tank, Act, Calendar, float | None], Tank]] = {
    **dict.fromkeys(
        ("change", "clear", *POURED, "seed", "move-out", *SETTINGS),
        _doing_events,
    ),
    "check": _left_alone,
    "fast": _feeding(0.0),
    "less-food": _feeding(LESS_FOOD),
}
