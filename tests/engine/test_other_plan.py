"""Another plan changes the future only, as far as it says, and with the same luck."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest

from watervane.engine import CannotRehearse, Update, rehearse
from watervane.engine.other_plan import rehearse_plan
from watervane.engine.stage import Stage, set_stage
from watervane.records import (
    AnimalsIn,
    Feed,
    Filter,
    Habit,
    Media,
    Mishap,
    Reading,
    ReadingValue,
    Seed,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)
from watervane.records.other_plans import DatedMishap, OtherPlan, RehearsedPlan

MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
AS_OF = datetime(2026, 4, 20, 20, tzinfo=UTC)
DAYS = 14


@cache
def _tank() -> Tank:
    """An invented tank, seven weeks old, well seeded and fully stocked."""
    feed = Feed(at=MORNING, mass_g=Span.exact(0.2))
    change = WaterChange(at=MORNING.replace(hour=12), fraction=0.25)
    return Tank(
        name="by the door",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        lid=True,
        filter=Filter((Media("sponge", 0.6),), 300.0),
        source_water=SourceWater(ph=7.6, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=0.0),
        events=(
            AnimalsIn(at=MORNING, species="Danio rerio", count=12, length_cm=4.0),
            Seed(at=MORNING, source="media", volume_l=0.3),
        ),
        habits=(
            Habit(template=feed, every_days=1, start=MORNING.date()),
            Habit(template=change, every_days=7, start=date(2026, 3, 8)),
        ),
    )


@cache
def _stage() -> Stage:
    return set_stage(_tank(), as_of=AS_OF, now=AS_OF, horizon_days=DAYS, members=120, threads=1)


@cache
def _rehearsed(plan: OtherPlan) -> RehearsedPlan:
    return rehearse_plan(_stage(), plan, threads=1)


def _last(one: RehearsedPlan, series: str) -> float:
    return one.changed[series].p50[-1]


def test_the_plan_itself_changes_nothing() -> None:
    one = _rehearsed(OtherPlan())
    assert one.planned == one.changed
    assert all(before == after for before, after in one.rehearsal.passed.values())
    again = _rehearsed(OtherPlan(food_times=1.0 + 1e-9))
    for name, band in one.planned.items():
        assert again.changed[name].p50 == pytest.approx(band.p50, rel=1e-6), name


def test_a_mishap_is_the_same_as_in_a_long_rehearsal() -> None:
    """One engine: only how often a course is looked at differs, so extremes hardly do."""
    (alone,) = rehearse(
        _tank(),
        [Mishap("power-cut", 24.0)],
        as_of=AS_OF,
        now=AS_OF,
        horizon_days=DAYS,
        members=120,
        threads=1,
    ).rehearsed
    dated = (DatedMishap(Mishap("power-cut", 24.0), 1),)
    here = _rehearsed(OtherPlan(mishaps=dated)).rehearsal
    assert (here.begins.date(), here.ends) == (alone.begins.date(), alone.ends)
    for ours, theirs in zip(here.extremes, alone.extremes, strict=True):
        assert ours.changed.p50 == pytest.approx(theirs.changed.p50, rel=0.05, abs=0.01), (
            ours.series
        )


def test_more_food_means_more_nitrate_and_none_means_less() -> None:
    nitrate = [_last(_rehearsed(OtherPlan(food_times=f)), "nitrate_mg_n_per_l")
               for f in (0.0, 0.5, 1.0, 2.0, 3.0)]  # fmt: skip
    assert nitrate == sorted(nitrate)
    assert nitrate[0] < 0.8 * nitrate[2] < 0.64 * nitrate[-1]


def test_larger_and_oftener_changes_leave_less_nitrate() -> None:
    plans = [(0.0, 7), (0.25, 7), (0.25, 2), (0.5, 2)]
    nitrate = [
        _last(_rehearsed(OtherPlan(change_fraction=share, change_every_days=days)),
              "nitrate_mg_n_per_l")
        for share, days in plans
    ]  # fmt: skip
    assert nitrate == sorted(nitrate, reverse=True)


def test_changes_take_the_place_of_those_planned() -> None:
    """The plan written once more, on other days: about as much nitrate is left."""
    as_planned = _last(_rehearsed(OtherPlan()), "nitrate_mg_n_per_l")
    same = OtherPlan(change_fraction=0.25, change_every_days=7)
    assert _last(_rehearsed(same), "nitrate_mg_n_per_l") == pytest.approx(as_planned, rel=0.25)


def test_nothing_happens_before_its_day() -> None:
    late = OtherPlan(mishaps=(DatedMishap(Mishap("heater-stopped", 48.0), 7),))
    one = _rehearsed(late)
    begins = _stage().line.calendar.moment(_stage().line.calendar.bounds_d(_stage().days[0])[0])
    noon = begins + timedelta(days=6, hours=12)
    before = [place for place, at in enumerate(one.times) if at < noon]
    for name, planned in one.planned.items():
        for place in before:
            assert one.changed[name].p50[place] == planned.p50[place], (name, place)
    assert min(one.changed["temperature_c"].p50) < min(one.planned["temperature_c"].p50) - 1.0


def test_two_mishaps_come_to_both() -> None:
    spilt = DatedMishap(Mishap("food-spilt", 5.0), 2)
    cold = DatedMishap(Mishap("heater-stopped", 72.0), 5)
    both = _rehearsed(OtherPlan(mishaps=(spilt, cold)))
    only = _rehearsed(OtherPlan(mishaps=(spilt,)))
    assert max(both.changed["ammonia_mg_n_per_l"].p50) > max(both.planned["ammonia_mg_n_per_l"].p50)
    assert min(both.changed["temperature_c"].p50) < min(only.changed["temperature_c"].p50) - 1.0


def test_newcomers_eat_and_so_bring_nitrogen() -> None:
    few, many = (_rehearsed(OtherPlan(mishaps=(DatedMishap(Mishap("more-animals", n), 1),)))
                 for n in (2.0, 24.0))  # fmt: skip
    peaks = [max(one.changed["ammonia_mg_n_per_l"].p50) for one in (few, many)]
    assert max(few.planned["ammonia_mg_n_per_l"].p50) < peaks[0] < peaks[1]
    assert _last(few, "nitrate_mg_n_per_l") < _last(many, "nitrate_mg_n_per_l")


def test_what_cannot_be_rehearsed_says_so() -> None:
    bare = set_stage(
        replace(_tank(), habits=(), events=()), as_of=AS_OF, now=AS_OF, horizon_days=3, members=20,
        threads=1,
    )  # fmt: skip
    with pytest.raises(CannotRehearse) as told:
        rehearse_plan(bare, OtherPlan(food_times=2.0), threads=1)
    assert told.value.reason == "no-meals-planned"


def test_what_progress_raises_ends_it() -> None:
    class Overtaken(Exception):
        """A newer question."""

    def told(_share: float) -> None:
        raise Overtaken

    with pytest.raises(Overtaken):
        rehearse_plan(_stage(), OtherPlan(food_times=0.0), threads=1, progress=told)


@pytest.mark.slow
def test_carried_members_stand_where_their_forecast_left_them() -> None:
    """What is planned is what the forecast of the same members says, but for its luck."""
    value = ReadingValue("exact", 0.1, 0.1, "n", "0.1 mg/L as N")
    reading = Reading(at=AS_OF - timedelta(days=3), quantity="ammonia", value=value, kit="drop")
    tank = replace(_tank(), readings=(reading,))
    made = Update(tank, None, as_of=AS_OF, now=AS_OF, members=100, threads=1).replacement()
    assert made.tank is not None
    stage = set_stage(tank, made.tank, as_of=AS_OF, now=AS_OF, horizon_days=DAYS, threads=1)
    one = rehearse_plan(stage, OtherPlan(), threads=1)
    assert one.known_until == reading.at
    assert one.diagnostics.readings_used == 1
    forecast = made.made.forecast
    for name in ("nitrate_mg_n_per_l", "temperature_c", "ph"):
        by_time = dict(zip(forecast.times, forecast.series[name].p50, strict=True))
        both = [(now, by_time[at]) for at, now in zip(one.times, one.planned[name].p50, strict=True)
                if at in by_time]  # fmt: skip
        assert len(both) > DAYS
        for now, then in both:
            assert now == pytest.approx(then, rel=0.05, abs=0.05), name


def test_a_first_look_is_by_some_members_and_near_what_all_of_them_tell(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("watervane.engine.stage.NARROW_MEMBERS", 60)
    stage, plan = replace(_stage()), OtherPlan(food_times=2.0)
    whole = rehearse_plan(stage, plan, threads=1)
    first = rehearse_plan(stage, plan, threads=1, first_look=True)
    assert (first.seen_of, first.first_look, whole.first_look) == ((60, 120), True, False)
    assert len(set(stage.part.run.numbers.tolist())) == 60
    assert first.planned == whole.planned, "what is planned does not jump"
    for name in ("nitrate_mg_n_per_l", "oxygen_mg_per_l", "temperature_c"):
        ours, theirs = first.changed[name], whole.changed[name]
        assert ours.p50 == pytest.approx(theirs.p50, rel=0.05), name
        edges = zip(ours.p05, ours.p50, ours.p95, strict=True)
        assert all(0.0 <= low <= middle <= high for low, middle, high in edges), name
    idle = rehearse_plan(stage, OtherPlan(), threads=1, first_look=True)
    assert idle.seen_of == (120, 120), "the plan itself is known of all of them"
