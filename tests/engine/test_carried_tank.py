"""A tank carried on by its readings: at once and provisionally, then anew, and after edits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.engine.carried_tank import CarriedTank, Carrying
from watervane.engine.update import Update
from watervane.inference.history import Spacing
from watervane.inference.priors import prior_members
from watervane.process.run import initial_state, simulate
from watervane.process.timeline import timeline
from watervane.records import (
    AnimalsIn,
    Feed,
    Forecast,
    Habit,
    Kit,
    KitScale,
    Reading,
    ReadingValue,
    Span,
    Tank,
    WaterChange,
)

UTC = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 18, tzinfo=UTC)
STEPS = (0.0, 0.2, 0.5, 1.0, 2.0, 4.0)
MEMBERS = 250  # as many as one block holds: more would fill two
CLOSE = Spacing(every_d=7, age_d=10)


def reading(day: float, mg_n_per_l: float, quantity: str = "ammonia") -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n", f"{mg_n_per_l}")
    return Reading(START + timedelta(days=day), quantity, value, kit="drop")


def tank_of(readings: tuple[Reading, ...], change_day: int = 6) -> Tank:
    scales = tuple(KitScale(q, steps=STEPS, basis="n") for q in ("ammonia", "nitrite"))
    return Tank(
        name="small",
        filled=START.date(),
        volume_l=54.0,
        kits={"drop": Kit("drop", scales=scales)},
        events=(
            AnimalsIn(at=START + timedelta(days=1), species="Danio rerio", count=6),
            WaterChange(at=START + timedelta(days=change_day), fraction=0.3),
        ),
        habits=(
            Habit(
                template=Feed(at=START, mass_g=Span(0.02, 0.08)),
                every_days=1,
                start=date(2026, 3, 2),
            ),
        ),
        readings=readings,
    )


def told_until(last: int) -> tuple[Reading, ...]:
    """What a member of the prior would have shown on a kit with steps."""
    line = timeline(tank_of(()), 40)
    truth = prior_members(line.tank, np.array([33]), 4)
    days = range(3, last + 1, 3)
    moments = [line.calendar.days(START + timedelta(days=day)) for day in days]
    course = simulate(line, truth, initial_state(line, truth), (0, last + 1), stops_d=moments)
    return tuple(
        reading(day, min(STEPS, key=lambda s: abs(s - level)), quantity)
        for i, day in enumerate(days)
        for quantity in ("ammonia", "nitrite")
        for level in (float(course.output(f"{quantity}_mg_n_per_l")[i, 0]),)
    )


OLD = told_until(12)
NEW = told_until(15)


def update(readings: tuple[Reading, ...], before: CarriedTank | None, **more: object) -> Update:
    tank = tank_of(readings, int(str(more.pop("change_day", 6))))
    options = {"horizon_days": 10, "members": MEMBERS, "accuracy": "sampling"} | more
    return Update(tank, before, **options)


def keys(forecast: Forecast) -> list[str]:
    return [f.key for f in forecast.diagnostics.findings]


def kept(carrying: Carrying) -> CarriedTank:
    assert carrying.tank is not None
    return carrying.tank


@pytest.fixture(scope="module")
def first() -> CarriedTank:
    news = update(OLD, None)
    assert news.way == "first"
    assert news.provisional() is None
    return kept(news.replacement())


@pytest.mark.slow
@pytest.mark.parametrize("known", [True, False])
def test_a_tank_read_again_after_a_long_gap_is_foretold(known: bool) -> None:
    few = {"members": 60, "spacing": CLOSE}
    before = kept(update(OLD, None, **few).replacement()) if known else None
    late = (*OLD, reading(75, 0.0), reading(75, 0.0, "nitrite"))
    found = update(late, before, **few).replacement()
    told = found.made.forecast
    assert told.diagnostics.readings_used == len(late)
    assert told.as_of == late[-1].at
    assert kept(found).kept.until_d > 74.0


@pytest.fixture(scope="module")
def second(first: CarriedTank) -> CarriedTank:
    return kept(update(NEW, first).replacement())


def test_a_new_reading_gives_a_provisional_forecast_then_its_replacement(
    first: CarriedTank,
) -> None:
    news = update(NEW, first)
    assert news.way == "carried"
    at_once = news.provisional()
    assert at_once is not None
    later = news.replacement()
    provisional, replaced = at_once.made.forecast, later.made.forecast
    assert "forecast-provisional" in keys(provisional)
    assert "forecast-provisional" not in keys(replaced)
    for forecast in (provisional, replaced):
        assert forecast.diagnostics.readings_used == len(NEW)
        assert forecast.diagnostics.health in ("good", "thin", "poor")
        assert forecast.as_of == NEW[-1].at
    assert provisional.times == replaced.times
    assert provisional.diagnostics.effective_members <= first.kept.effective + 1e-9


def test_the_past_of_a_provisional_forecast_is_what_its_members_did(first: CarriedTank) -> None:
    """Kept from the last forecast and chosen by weight, it is what running it again would give."""
    news = update(NEW, first)
    at_once = news.provisional()
    assert at_once is not None
    made = at_once.made
    assert made.ready is not None
    line = made.ready.line
    members = made.fitted.members
    again = simulate(
        line, members, initial_state(line, members), (0, 16), stops_d=[11.25, 14.5], threads=2
    )
    at = [int(np.abs(made.course.stops_d - d).argmin()) for d in (11.25, 14.5)]
    levels = made.course.output("ammonia_mg_n_per_l")[at]
    assert levels == pytest.approx(again.output("ammonia_mg_n_per_l"), rel=1e-5, abs=1e-6)
    assert made.course.daily_means[:16] == pytest.approx(again.daily_means, rel=1e-5, abs=1e-6)


@pytest.mark.slow
def test_carried_and_fitted_anew_agree(second: CarriedTank, first: CarriedTank) -> None:
    one = update(NEW, first).replacement().made
    two = update(NEW, None, seed=3, members=500).replacement().made
    error = np.sqrt(1.0 / one.fitted.effective + 1.0 / two.fitted.effective)
    for name in ("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "ammonia_oxidisers_mg_per_l"):
        levels = [np.log(m.course.output(name)[-30] + 0.01) for m in (one, two)]
        apart = abs(levels[0].mean() - levels[1].mean()) / levels[1].std()
        print(name, apart, error, levels[0].std() / levels[1].std())
        assert apart < 4.0 * error
        assert abs(np.log(levels[0].std() / levels[1].std())) < 4.0 * error


def test_an_event_alone_needs_no_moves(second: CarriedTank) -> None:
    tank = tank_of(NEW)
    later = WaterChange(at=NEW[-1].at + timedelta(hours=2), fraction=0.5)
    changed = replace(tank, events=(*tank.events, later))
    options = {"horizon_days": 10, "accuracy": "sampling"}
    news = Update(changed, second, **options)
    assert news.way == "carried"
    at_once = news.provisional()
    assert at_once is not None
    assert at_once.made.fitted.z is not None
    rows = [i for i, n in enumerate(second.kept.names) if n in at_once.made.fitted.names]
    names = [second.kept.names[i] for i in rows]
    found = at_once.made.fitted.z[[at_once.made.fitted.names.index(n) for n in names]]
    assert np.array_equal(found, second.kept.z[rows])
    whole = Update(tank, second, as_of=later.at, **options).provisional()
    assert whole is not None
    place = next(i for i, at in enumerate(whole.made.forecast.times) if at > later.at)
    diluted, not_diluted = (
        one.made.forecast.series["ammonia_mg_n_per_l"].p50[place] for one in (at_once, whole)
    )
    assert diluted < 0.75 * not_diluted


def test_after_an_edit_members_go_back_to_the_last_time_that_holds(second: CarriedTank) -> None:
    mistaken = (*NEW[:-2], replace(NEW[-2], value=reading(15, 1.0).value), NEW[-1])
    news = update(mistaken, second)
    assert news.way == "edited"
    made = news.replacement().made
    (edit,) = [f for f in made.forecast.diagnostics.findings if f.key == "past-edited"]
    assert edit.arguments["at"] == OLD[-1].at
    assert made.forecast.diagnostics.readings_used == len(NEW)


def test_after_an_edit_of_all_its_past_a_tank_is_fitted_from_filling(second: CarriedTank) -> None:
    news = update(NEW, second, change_day=2)
    assert news.way == "edited"
    assert news.provisional() is None
    made = news.replacement().made
    (edit,) = [f for f in made.forecast.diagnostics.findings if f.key == "past-edited"]
    assert edit.arguments["at"].date() == START.date()


@pytest.fixture(scope="module")
def anchored() -> CarriedTank:
    """Readings of 24 days in two steps, with anchors as close as a quick test needs them."""
    before = kept(update(told_until(15), None, spacing=CLOSE).replacement())
    assert before.kept.anchor is None
    return kept(update(told_until(24), before, spacing=CLOSE).replacement())


def test_a_long_log_begins_at_an_anchor_and_tells_so(anchored: CarriedTank) -> None:
    assert anchored.kept.anchor is not None
    assert anchored.kept.anchor.day in (7, 14)
    news = update(told_until(27), anchored, spacing=CLOSE)
    assert news.way == "carried"
    at_once = news.provisional()
    assert at_once is not None
    for one in (at_once, news.replacement()):
        forecast = one.made.forecast
        assert "history-anchored" in keys(forecast)
        assert forecast.times[0] < START + timedelta(days=1)
        assert len(one.made.course.daily_means) == 27 + 10 + 7
        assert all(np.isfinite(forecast.series["nitrate_mg_n_per_l"].p50))
        assert forecast.diagnostics.readings_used == len(told_until(27))


@pytest.mark.slow
def test_an_edit_before_an_anchor_undoes_it(anchored: CarriedTank) -> None:
    told = told_until(24)
    news = update(told, anchored, change_day=2, spacing=CLOSE)
    made = news.replacement()
    assert news.way == "edited"
    (edit,) = [f for f in made.made.forecast.diagnostics.findings if f.key == "past-edited"]
    assert edit.arguments["at"].date() == START.date()


def test_an_edit_after_an_anchor_leaves_it(anchored: CarriedTank) -> None:
    told = told_until(24)
    assert anchored.kept.anchor is not None
    recent = (*told[:-4], replace(told[-4], value=reading(0, 2.0).value), *told[-3:])
    news = update(recent, anchored, spacing=CLOSE)
    made = news.replacement()
    (edit,) = [f for f in made.made.forecast.diagnostics.findings if f.key == "past-edited"]
    begin = START.replace(hour=0) + timedelta(days=anchored.kept.anchor.day)
    assert edit.arguments["at"] >= begin
    assert kept(made).kept.anchor is not None
